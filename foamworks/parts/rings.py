"""The round printed parts round a motor: thrust ring, stop, centring rings, retainer, ring gauge.

Millimetres. Revolved parts have their own x along the tube, aft; extruded ones their own z (placed with a pitch of
the pod's downthrust less a quarter turn). Clearances are on the diameter and common practice, no source.
"""

import math
from functools import lru_cache

from shapely import Point as Spot
from shapely import Polygon, box, unary_union

from foamworks.errors import PhysicsError
from foamworks.parts.base import Extrude, Revolve

SLIDE = 0.25  # mm, a print in the tube
MOTOR_SLIDE = 0.3  # mm, a motor or its card sleeve in a print
BEARING = 3.0  # mm, least width on which a motor's front edge bears
LIP = 2.0  # mm, how far the retainer reaches over the motor's aft edge
NOTCH_ROOM = 0.5  # mm round a hook's wire in the thrust ring's notch
RING_LENGTH = 6.0  # mm along the tube: a glue line as long as a fingertip is wide
CENTRING_LENGTH = 5.0  # mm
STOP_WALL = 1.6  # mm, four widths of a 0.4 mm nozzle
STOP_FLANGE = 3.0  # mm
CARD = 0.5  # mm, thickness of the rolled card sleeve that a smaller motor slides in
LEAST_CENTRING_WALL = 1.2  # mm; a thinner ring is replaced by more turns of card
COLLAR_WALL = 2.4  # mm round the tube
COLLAR_LENGTH = 14.0  # mm glued to the tube
PLATE_THICKNESS = 3.0  # mm, the plate behind the motor
SCREW_HOLE, SCREW_PILOT = 3.4, 2.6  # mm: free for M3, and for an M3 to cut its own thread
EAR_RADIUS = 4.0  # mm of plastic round a screw's axis
CIRCLE_SIDES = 64  # sides of a quarter circle: 256-gon, area within 1e-4
GAUGE_STEPS = (0.5, 0.4, 0.3, 0.2, 0.1, 0.0)  # mm of clearance on the diameter, one step of the plug each
GAUGE_LENGTH = 4.0  # mm a step


def ring(*, outer: float, inner: float, length: float) -> Revolve:
    """A plain ring; diameters and length [mm]."""
    if not (0 < inner < outer and length > 0):
        raise PhysicsError(f"ring: inner {inner:g} must lie between 0 and outer {outer:g}, length {length:g} above 0")
    return Revolve(
        meridian=((0.0, inner / 2), (0.0, outer / 2), (length, outer / 2), (length, inner / 2)),
    )


def thrust_ring(*, tube_inner: float, motor: float, length: float = RING_LENGTH, clearance: float = SLIDE) -> Revolve:
    """The ring glued inside the tube that the motor pushes against; `motor`: the smallest diameter that bears on it."""
    return ring(outer=tube_inner - clearance, inner=max(motor - 2 * BEARING, 2.0), length=length)


def notched_thrust_ring(*, tube_inner: float, motor: float, wire: float, reach: float) -> Extrude:
    """The thrust ring with a notch on top for a hook's front end, which goes in through the tube's wall.

    `wire`: the hook's diameter; `reach`: how far its end stands in from the tube's inside [mm]. Own -x is the top. The
    bore is no wider than leaves a wall under the notch.
    """
    plain = thrust_ring(tube_inner=tube_inner, motor=motor)
    bottom, outer = tube_inner / 2 - reach - NOTCH_ROOM, plain.meridian[1][1]
    inner = min(plain.meridian[0][1], bottom - STOP_WALL)
    half = (wire + NOTCH_ROOM) / 2
    notch = box(-2 * outer, -half, -bottom, half)
    return Extrude(
        outline=_one(_disc(0, 0, outer).difference(_disc(0, 0, inner)).difference(notch)), height=RING_LENGTH
    )


def centring_ring(
    *, tube_inner: float, motor: float, length: float = CENTRING_LENGTH, clearance: float = SLIDE
) -> Revolve | None:
    """The ring round a smaller motor in its card sleeve; None where too little is left for a wall."""
    inner = motor + 2 * CARD + MOTOR_SLIDE
    if (tube_inner - clearance - inner) / 2 < LEAST_CENTRING_WALL:
        return None
    return ring(outer=tube_inner - clearance, inner=inner, length=length)


def stop(*, tube_inner: float, motor: float, length: float, clearance: float = SLIDE) -> Revolve:
    """The distance piece between a shorter motor and the thrust ring, with a flange on its aft end that centres it."""
    outer, tube = (tube_inner - clearance) / 2, motor / 2
    inner = max(tube - STOP_WALL, 1.0)
    if length <= 2 * STOP_FLANGE or outer - tube < STOP_WALL / 2:
        return ring(outer=2 * outer, inner=2 * min(inner, outer - STOP_WALL), length=length)
    flange = length - STOP_FLANGE
    return Revolve(
        meridian=((0.0, inner), (0.0, tube), (flange, tube), (flange, outer), (length, outer), (length, inner)),
    )


def collar(*, tube_outer: float, length: float = COLLAR_LENGTH, clearance: float = SLIDE) -> Extrude:
    """The collar glued on the tube's aft end; two ears abeam take the screws."""
    return _eared(tube_outer=tube_outer, bore=tube_outer + clearance, hole=SCREW_PILOT, length=length)


def cap_ring(*, tube_outer: float, motor: float, length: float) -> Extrude:
    """The ring round the part of the motor that stands proud of the tube."""
    return _eared(tube_outer=tube_outer, bore=motor + 2 * MOTOR_SLIDE, hole=SCREW_HOLE, length=length)


def cap_plate(*, tube_outer: float, motor: float, length: float = PLATE_THICKNESS) -> Extrude:
    """The plate behind the largest motor, its opening smaller than the case."""
    return _eared(tube_outer=tube_outer, bore=motor - 2 * LIP, hole=SCREW_HOLE, length=length)


def screw_offset(tube_outer: float) -> float:
    """Distance of a screw's axis from the tube's axis [mm]."""
    return tube_outer / 2 + COLLAR_WALL + SCREW_HOLE / 2


def ring_gauge(*, tube_inner: float, steps: tuple[float, ...] = GAUGE_STEPS) -> Revolve:
    """A stepped plug: the last step that slides into the tube gives the clearance of this printer and this tube [mm].

    Clearances on the diameter are `steps` from the thin end; the bore is plain.
    """
    outside: list[tuple[float, float]] = []
    for number, step in enumerate(steps):
        radius = (tube_inner - step) / 2
        outside += [(number * GAUGE_LENGTH, radius), ((number + 1) * GAUGE_LENGTH, radius)]
    end, bore = outside[-1][0], max(outside[0][1] - STOP_WALL, 1.0)
    return Revolve(meridian=((0.0, bore), *outside, (end, bore)))


@lru_cache(maxsize=32)  # made anew for every angle that the solver tries
def _eared(*, tube_outer: float, bore: float, hole: float, length: float) -> Extrude:
    at = screw_offset(tube_outer)
    body = [_disc(0.0, 0.0, tube_outer / 2 + COLLAR_WALL), _disc(0.0, at, EAR_RADIUS), _disc(0.0, -at, EAR_RADIUS)]
    holes = [_disc(0.0, 0.0, bore / 2), _disc(0.0, at, hole / 2), _disc(0.0, -at, hole / 2)]
    return Extrude(outline=_one(unary_union(body).difference(unary_union(holes))), height=length)


def _disc(x: float, y: float, radius: float) -> Polygon:
    return Spot(x, y).buffer(radius, quad_segs=CIRCLE_SIDES)


def _one(shape: Polygon) -> Polygon:
    """Hold that an outline is one piece."""
    if not isinstance(shape, Polygon) or shape.is_empty or not math.isfinite(shape.area):
        raise PhysicsError("a printed outline fell into pieces; the tube is too small for its parts")
    return shape
