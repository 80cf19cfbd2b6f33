"""The lifting surfaces the lattice is given: wing to the centre line, tailplane, and one set of fins. SI.

With a fuselage, what stands on it is continued through it: the tailplane to the centre line, a fin's root by its own
edges down to the tailplane if that lies within the fin's chord, else to the body's axis. Without a fuselage surfaces
stand as given. One rule for old and new fins.
"""

import math

import numpy as np

from foamworks.aircraft.fins import FinSet, tail_stations, wing_stations
from foamworks.design.airframe import Airframe, Fuselage
from foamworks.design.model import Design
from foamworks.errors import PhysicsError, given, where_given
from foamworks.physics import planform
from foamworks.physics.planform import Stations
from foamworks.physics.vortex.panels import Flap, Surface

WING, TAIL, FINS = "wing", "tailplane", "fins"
LEAST_CHORD = 1e-4  # m: a tip that runs to a point is cut off here, the lattice needs some chord
SLIVER = 1e-6  # of a fin's height, over which its edges' slope at the root is read


@where_given
def wing_surface(airframe: Airframe) -> Surface:
    """Give the gross wing."""
    return _flat(WING, planform.gross_wing(given(wing_stations(airframe))), None)


@where_given
def tail_half(airframe: Airframe) -> Stations:
    """Give the tailplane's starboard half, through the fuselage where there is one."""
    stations = given(tail_stations(airframe))
    return stations if airframe.fuselage is None else planform.gross_wing(stations)


@where_given
def tail_surface(airframe: Airframe) -> Surface:
    """Give the tailplane with its elevator."""
    stations, tail = given(tail_half(airframe)), given(airframe.tailplane)
    flap = None
    if tail.elevator is not None:
        flap = Flap(tail.elevator.chord_fraction, _flap_span(stations, tail.stations[0].y, tail.elevator.span))
    return _flat(TAIL, stations, flap)


def _flap_span(stations: Stations, root: float, span: tuple[float, float]) -> tuple[float, float]:
    """Turn a part of the tailplane as given into a part of the surface the lattice has, which may reach further in."""
    tip, inner = stations.s[-1], stations.s[0]
    ends = [(root + part * (tip - root) - inner) / (tip - inner) for part in span]
    return (max(0.0, ends[0]), min(1.0, ends[1]))


def _flat(name: str, stations: Stations, flap: Flap | None) -> Surface:
    chord = tuple(max(c, LEAST_CHORD) for c in stations.chord)
    return Surface(name, x=stations.x, y=stations.s, z=stations.across, chord=chord, mirrored=True, flap=flap)


def fin_surface(airframe: Airframe, fins: FinSet) -> Surface:
    """Give one set of fins, its root continued by the rule above."""
    first = fins.stations.s[0]
    depth = _until_edges_meet(fins.stations, root_depth(airframe, fins))
    stations = planform.continue_down(fins.stations, first - depth) if depth > 0 else fins.stations
    along = [s - first for s in stations.s]
    twin = fins.count == 2
    return Surface(
        FINS,
        x=stations.x,
        y=tuple(max(0.0, fins.y + s * math.sin(fins.cant)) if twin else 0.0 for s in along),
        z=tuple(fins.z + s * math.cos(fins.cant) for s in along),
        chord=tuple(max(c, LEAST_CHORD) for c in stations.chord),
        mirrored=twin,
    )


def _until_edges_meet(stations: Stations, depth: float) -> float:
    """Shorten the depth [m] for a fin so narrow towards its root that its edges meet before they get there."""
    if depth <= 0:
        return depth
    first = stations.s[0]
    try:
        near = planform.continue_down(stations, first - SLIVER * stations.height)
    except PhysicsError:  # they meet within the fin itself, which stands on a point: it is taken as it is
        return 0.0
    lost = (near.chord[1] - near.chord[0]) / (near.s[1] - near.s[0])
    if lost <= 0:
        return depth
    return max(0.0, min(depth, first - near.s[1] + (near.chord[1] - LEAST_CHORD) / lost))


def root_depth(airframe: Airframe, fins: FinSet) -> float:
    """How far along the fin its root is continued below where it was given [m]; 0 without a fuselage."""
    if airframe.fuselage is None:
        return 0.0
    target = _tailplane_below(airframe, fins)
    if math.isnan(target):
        target = _axis_below(airframe.fuselage, fins)
    return (fins.z - target) / math.cos(fins.cant) if target < fins.z else 0.0


def _tailplane_below(airframe: Airframe, fins: FinSet) -> float:
    """Height of the tailplane under the fin's root when it lies within the fin's chord; NaN when it does not."""
    tail = tail_half(airframe)
    if tail is None or not tail.s[0] <= fins.y <= tail.s[-1]:
        return math.nan
    x, chord, z = tail.at(fins.y)
    start, end = fins.stations.x[0], fins.stations.x[0] + fins.stations.chord[0]
    return z if min(x + chord, end) > max(x, start) and z <= fins.z else math.nan


def _axis_below(fuselage: Fuselage, fins: FinSet) -> float:
    """Height of the body's axis under the fin's root; NaN when the fin does not stand on the body."""
    rows = fuselage.sections
    middle = fins.stations.x[0] + fins.stations.chord[0] / 2
    places = [row.x for row in rows]
    if not places[0] <= middle <= places[-1] or fins.y > np.interp(middle, places, [row.width / 2 for row in rows]):
        return math.nan
    return float(np.interp(middle, places, [row.z for row in rows]))


def surfaces(design: Design, fins: FinSet | None) -> list[Surface]:
    """Give the whole aircraft with one set of fins, or with none."""
    airframe = design.airframe
    rows = [wing_surface(airframe), tail_surface(airframe), fin_surface(airframe, fins) if fins else None]
    return [row for row in rows if row is not None]
