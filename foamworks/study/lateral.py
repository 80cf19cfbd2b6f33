"""Does the model wander, wag or wind itself into a turn? Spiral and Dutch roll before and after the change. SI.

Small motions at the flown speed and at the landing speed, controls held. Derivatives about the centre of gravity from
the lattice, which is at zero incidence: what the wing's lift adds is put on by the usual first terms (below). The
body's part is its side force and yawing moment, and what the wing's height on it does to the roll. Left out: the axes'
turn by the incidence (about 4 deg flown, 8 landing), the body's sidewash at two fins (not known; at one on its back it
adds a tenth or so), loss of slope at low Reynolds numbers.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying, Plane
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import stock_cg
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.physics import modes, trim
from foamworks.physics.balance import Inertia
from foamworks.physics.modes import Mode, SideDerivatives
from foamworks.physics.planform import ReferenceWing
from foamworks.study.inertia import own_inertia, state_inertia

ROLL_BY_YAW_PER_LIFT = 0.25  # Clr per CL; Nelson, 2nd ed., table of lateral estimates (from memory)
YAW_BY_ROLL_PER_LIFT = -0.125  # Cnp per CL; as above
NO_SPIRAL, NO_DUTCH_ROLL = Mode("spiral", ()), Mode("Dutch roll", ())


@dataclass(frozen=True)
class LateralRow:
    """One aircraft at one speed: spiral and Dutch roll, without roots where the motion has no such mode of its own."""

    model: str  # "stock" or "modified"
    flight: str  # "flown speed" or "landing speed"
    speed: float
    lift: float
    spiral: Mode
    dutch_roll: Mode


@dataclass(frozen=True)
class Lateral:
    """Both aircraft at both speeds, and whether the inertia was measured."""

    rows: tuple[LateralRow, ...]
    inertia_measured: bool

    def row(self, model: str, flight: str) -> LateralRow:
        """Give one aircraft at one speed; one that was not studied has no modes."""
        none = LateralRow(model, flight, math.nan, math.nan, NO_SPIRAL, NO_DUTCH_ROLL)
        return next((row for row in self.rows if (row.model, row.flight) == (model, flight)), none)


def sweep_dihedral(*, lift: float, sweep: float, mac_y: float, span: float) -> float:
    """Rolling moment per radian of sideslip that a swept wing's lift adds [-], negative: -2 CL tan(sweep) y/b.

    lift coefficient; sweep of the quarter-chord line [rad]; mac_y, span [m]: where each half's lift acts.
    Source: simple sweep theory by strips, own derivation; a real wing gives about four fifths of it.

    >>> round(sweep_dihedral(lift=0.5, sweep=math.radians(45), mac_y=0.2, span=1.0), 3)
    -0.2
    """
    return -2 * lift * math.tan(sweep) * mac_y / span


def side_derivatives(
    plane: Plane, wing: ReferenceWing, *, sweep: float, cg: tuple[float, float], lift: float
) -> SideDerivatives:
    """Give the lateral derivatives about the centre of gravity at a lift coefficient."""
    s, body = plane.solution.about(*cg), plane.body
    sweep_part = sweep_dihedral(lift=lift, sweep=sweep, mac_y=wing.mac_y, span=wing.span)
    return SideDerivatives(
        side_beta=s.side_slope + (body.side if body else 0.0),
        roll_beta=s.dihedral_effect + sweep_part + (body.roll if body else 0.0),
        yaw_beta=plane.yaw_stiffness(*cg),
        roll_p=s.roll_damping,
        yaw_p=s.yaw_by_roll_rate + YAW_BY_ROLL_PER_LIFT * lift,
        roll_r=s.roll_by_yaw_rate + ROLL_BY_YAW_PER_LIFT * lift,
        yaw_r=s.yaw_damping,
        side_p=s.side_by_roll_rate,
        side_r=s.side_by_yaw_rate,
    )


@where_given
def study_lateral(design: Design, flying: Flying, balance: Balance) -> Lateral:
    """Study both aircraft; None when mass, CG, inertia or a fin to compare with is not known."""
    airframe, aero, wing = design.airframe, flying.aero, flying.wing
    own = given(own_inertia(airframe, wing))
    row = balance.row(NO_MOTOR)
    after = given(state_inertia(design, wing, row.loads))
    x, z = stock_cg(airframe)
    given(x)
    given(balance.trimming if balance.trimming.speed > 0 else None)
    rows = []
    for name, plane, mass, inertia, cg in (
        ("stock", aero.stock, given(airframe.mass), own.inertia, (x, z)),
        ("modified", aero.modified, row.mass, after, (row.cg_x, row.cg_z)),
    ):
        if not plane.has_fins or (name == "modified" and plane is aero.stock):
            continue
        place = (cg[0], cg[1] if math.isfinite(cg[1]) else 0.0)
        landing = trim.landing_speed(
            mass=mass, max_lift=flying.shape.max_lift, density=air_of(design).density, area=wing.area
        )
        rows += [
            _row(design, plane, flying, name=name, flight=flight, speed=speed, mass=mass, inertia=inertia, cg=place)
            for flight, speed in (("flown speed", balance.trimming.speed), ("landing speed", landing))
        ]
    return Lateral(tuple(given(rows or None)), own.measured)


def _row(
    design: Design,
    plane: Plane,
    flying: Flying,
    *,
    name: str,
    flight: str,
    speed: float,
    mass: float,
    inertia: Inertia,
    cg: tuple[float, float],
) -> LateralRow:
    density, wing = air_of(design).density, flying.wing
    sweep = flying.shape.half.quarter_sweep
    possible = inertia.xz**2 < inertia.xx * inertia.zz  # estimates of the parts may not go together
    lift = trim.lift_coefficient(mass=mass, speed=speed, density=density, area=wing.area)
    matrix = modes.side_matrix(
        derivatives=side_derivatives(plane, wing, sweep=sweep, cg=cg, lift=lift),
        mass=mass,
        inertia_roll=inertia.xx,
        inertia_yaw=inertia.zz,
        inertia_product=inertia.xz if possible else 0.0,
        speed=speed,
        density=density,
        area=wing.area,
        span=wing.span,
    )
    found = {mode.name: mode for mode in modes.side_modes(matrix)}
    return LateralRow(name, flight, speed, lift, found.get("spiral", NO_SPIRAL), found.get("Dutch roll", NO_DUTCH_ROLL))
