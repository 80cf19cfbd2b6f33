"""How hard is the model to turn? Moments of inertia about the centre of gravity, state by state. SI.

The stock model's own come from a bifilar swing when it was swung (yaw; the others follow from it), else from radii of
gyration as fractions of its size, an estimate and marked as one. What is added, moved or taken away counts as points.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.masses import Load, stock_cg
from foamworks.design.airframe import Airframe
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.physics import balance
from foamworks.physics.balance import Inertia
from foamworks.physics.planform import ReferenceWing


@dataclass(frozen=True)
class OwnInertia:
    """The stock model's inertia about its own CG, whether it was measured, and where it comes from."""

    inertia: Inertia
    measured: bool
    source: str


def model_length(airframe: Airframe) -> float:
    """Nose tip (x = 0, or the first section) to the last of fuselage and tailplane [m]; without both, of the wing.

    NaN when none of the three is given.
    """
    sections = airframe.sections
    tail = airframe.tailplane.stations if airframe.tailplane else ()
    ends = [s.x for s in sections] + [s.x + s.chord for s in tail]
    if not ends and airframe.wing is not None:  # a flying wing ends with its wing
        ends = [s.x + s.chord for s in airframe.wing.stations]
    if not ends:
        return math.nan
    length = max(ends) - min(sections[0].x if sections else 0.0, *ends)
    return length if length > 0 else math.nan


@where_given
def own_inertia(airframe: Airframe, wing: ReferenceWing) -> OwnInertia:
    """Give the stock model's own inertia; None when its mass or length is not known.

    No body has Izz above Ixx + Iyy: the fractions, made for long fuselages, are held to that. A swing gives Izz; Ixx
    stays by the fraction and Iyy = Izz - Ixx, as for a flat model, but at least a quarter of Izz.
    """
    mass = given(airframe.mass)
    guess = balance.inertia_by_gyration(mass=mass, span=wing.span, length=given(model_length(airframe)))
    swing = airframe.swing
    if swing is None:
        zz = min(guess.zz, guess.xx + guess.yy)
        source = "radii of gyration as fractions of the size (textbook table, from memory); swing the model to measure"
        return OwnInertia(Inertia(guess.xx, guess.yy, zz), measured=False, source=source)
    zz = balance.bifilar_inertia(mass=mass, gap=swing.gap, length=swing.length, period=swing.period)
    xx = min(guess.xx, 0.75 * zz)
    source = "bifilar swing in yaw; roll by the radius of gyration, pitch as the rest"
    return OwnInertia(Inertia(xx, zz - xx, zz), measured=True, source=source)


@where_given
def state_inertia(design: Design, wing: ReferenceWing, loads: tuple[Load, ...]) -> Inertia:
    """Give a state's inertia about its own centre of gravity; None when a mass or a place along x is not known.

    A height that was not measured counts as that of the centre of gravity: heights are the small part of it.
    """
    airframe = design.airframe
    own = given(own_inertia(airframe, wing))
    mass = sum(load.mass for load in loads)
    x = given(sum(load.mass * load.x for load in loads) / mass if mass > 0 else None)
    high = [load for load in loads if math.isfinite(load.z)]
    known = sum(load.mass for load in high)
    z = sum(load.mass * load.z for load in high) / known if known > 0 else 0.0
    stock_x, stock_z = stock_cg(airframe)
    stock = given(next((load for load in loads if load.kind == "stock"), None))
    drop = stock_z - z if math.isfinite(stock_z) else 0.0
    total = balance.inertia_moved(own=own.inertia, mass=stock.mass, dx=stock_x - x, dz=drop)
    rest = [load for load in loads if load is not stock]
    points = balance.inertia_of_points(
        masses=[load.mass for load in rest],
        x=[load.x for load in rest],
        y=[load.y for load in rest],
        z=[load.z if math.isfinite(load.z) else z for load in rest],
        about_x=x,
        about_z=z,
    )
    found = total + points
    return given(found if min(found.xx, found.yy, found.zz) > 0 else None)
