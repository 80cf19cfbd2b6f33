"""The printed nose cone of a pod: one closed meridian, its profile on the tube's outer diameter, its shoulder inside.

Millimetres; x runs aft from the profile's own tip (the print starts a little aft of it, on a small flat).
"""

import itertools
import math

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box
from shapely.geometry.polygon import orient

from foamworks.errors import PhysicsError
from foamworks.parts.base import Placement, Point, PrintPart, Revolve
from foamworks.parts.solidmath import Filament, print_part
from foamworks.physics import profiles
from foamworks.physics.grid import distinct
from foamworks.physics.profiles import Profile

Floats = NDArray[np.float64]

TIP_FLAT = 0.4  # mm radius, one nozzle width: a profile that runs to the axis in a point breaks solids and meshes
NOZZLE = 0.4  # mm, the usual one
PRINT_CLEARANCE = 0.25  # mm on diameter between a print and the tube it slides into; common practice, no source
CURVE_POINTS = 150  # about so many to a curve: their chords give the volume of a hollow nose to some 2e-4
OFFSET_POINTS = 400  # of the outer curve that the inner one is drawn from
GRADING = 0.25  # mm of growth of a chord for each mm along the curve: a spline swings where chords jump
DENSE = 2000  # stations the curve's points are chosen from
CORNER = math.radians(6)  # a turn between neighbouring chords above this is a corner, not a curve
JUMP = 4.0  # ratio of neighbouring chords: a straight line meets a curve
RUN = 40  # chords to one surface: a kernel's volume of a longer one around a blunt tip was seen to be 3 % off
SHORTEST_CHORD = 0.005  # mm; the direction of a shorter one says little
STRAIGHT = 1e-6  # rad; a curve that turns less is a straight line
LEAD_IN = 0.6  # mm chamfer on the shoulder's end, so that it finds the tube
FOOT_LINES = 2  # lines of the nozzle that the lead-in leaves of the shoulder's end, on which the nose is printed
FLARE = 1.02  # mm along the axis for each mm of radius where the shoulder widens to the cone: just under 45 deg hangs
SHOULDER_SHARE = 0.6  # of the tube's outer diameter; common practice, no source
SHOULDER_LEAST, SHOULDER_MOST = 12.0, 30.0  # mm: less rocks, more is only weight


def default_fit(nozzle: float) -> float:
    """Clearance of a print in a tube [mm on the diameter] by the nozzle's width [mm]: a finer one keeps size better.

    >>> default_fit(0.4), default_fit(0.6)
    (0.25, 0.38)
    """
    return round(PRINT_CLEARANCE * nozzle / NOZZLE + 1e-9, 2)


def default_shoulder(tube_outer: float) -> float:
    """Length of the shoulder [mm] for a tube of this outer diameter [mm].

    >>> default_shoulder(31.5)
    18.9
    """
    return min(max(SHOULDER_SHARE * tube_outer, SHOULDER_LEAST), SHOULDER_MOST)


def nose_cone(
    *,
    profile: Profile,
    length: float,
    tube_outer: float,
    tube_inner: float | None = None,
    wall: float = 1.2,
    shoulder: float | None = None,
    parameter: float | None = None,
    clearance: float = PRINT_CLEARANCE,
    nozzle: float = NOZZLE,
) -> Revolve:
    """Meridian of the nose cone [mm]; without a `tube_inner` it has no shoulder and is glued butt.

    `wall` is measured across the skin; near the base it grows to what keeps the shoulder one piece with the cone.
    Printed tip up the cone would hang over its shoulder as a flat ring: it ends in a flare, on whose foot the tube's
    inner edge bears.
    """
    _check(wall=wall, tube_outer=tube_outer, tube_inner=tube_inner, clearance=clearance)
    dense = _dense_profile(profile=profile, length=length, tube_outer=tube_outer, parameter=parameter)
    outer = _graded(dense, CURVE_POINTS)
    if tube_inner is None:
        end, plug, rear = length, tube_outer / 2, []
    else:
        plug = (tube_inner - clearance) / 2
        end = length + (default_shoulder(tube_outer) if shoulder is None else shoulder)
        chamfer = min(LEAD_IN, max(wall - FOOT_LINES * nozzle, 0.0), (end - length) / 2)
        foot = (length + FLARE * clearance / 2, plug)  # the flare goes through the inner edge of the tube's end
        if end > foot[0] + chamfer:
            outer, rear = _flared(outer, foot), [foot, *_lead_in(end, plug, chamfer)]
        else:
            rear = []
    cavity = _cavity(_graded(dense, OFFSET_POINTS), wall=wall, end=end, greatest=plug - wall)
    axis = cavity[-1] if cavity else (end, 0.0)
    inside = [_graded(piece, CURVE_POINTS) for piece in _pieces(cavity)] if cavity else []
    return _joined([[(outer[0][0], 0.0)], outer, rear, *inside, [(axis[0], 0.0)]])


def nose_print(
    shape: Revolve,
    *,
    filament: Filament | None = None,
    places: tuple[Placement, ...] = (),
    count: int = 1,
    glued: str = "",
) -> PrintPart:
    """Make the printed part of a nose cone; its own frame starts at the profile's tip. `glued` says how it is held."""
    cut = shape.meridian[0][0]
    note = f"The tip is a flat {2 * TIP_FLAT:g} mm across, {cut:.1f} mm aft of the profile's own point."
    return print_part(
        "nose cone", shape, filament=filament, places=places, count=count, note=f"{note} {glued}".strip(), group="pod"
    )


def _dense_profile(*, profile: Profile, length: float, tube_outer: float, parameter: float | None) -> list[Point]:
    """The profile from where it is as wide as the tip's flat, at stations crowded at tip and base."""
    s = np.linspace(0, 1, DENSE)
    x = length * distinct(np.concatenate([s**8, (1 - np.cos(math.pi * s)) / 2]))
    r = profiles.radius(profile=profile, x=x, length=length, base_radius=tube_outer / 2, parameter=parameter)
    first = int(np.argmax(r >= TIP_FLAT))
    start = float(np.interp(TIP_FLAT, r[first - 1 : first + 1], x[first - 1 : first + 1]))
    return [(start, TIP_FLAT), *zip(x[first:].tolist(), r[first:].tolist(), strict=True)]


def _lead_in(end: float, plug: float, chamfer: float) -> list[Point]:
    """The shoulder's end, its edge broken where there is wall enough."""
    return [(end - chamfer, plug), (end, plug - chamfer)] if chamfer > SHORTEST_CHORD else [(end, plug)]


def _flared(outer: list[Point], foot: Point) -> list[Point]:
    """The outer curve up to where a flare from the shoulder's `foot` meets it."""
    ahead = [foot[0] - x - FLARE * (r - foot[1]) for x, r in outer]  # of the flare, where above 0
    under = next(i for i, value in enumerate(ahead) if value <= 0)
    share = ahead[under - 1] / (ahead[under - 1] - ahead[under])
    (x0, r0), (x1, r1) = outer[under - 1], outer[under]
    top = (x0 + share * (x1 - x0), r0 + share * (r1 - r0))
    return [*(point for point in outer[:under] if math.dist(point, top) >= SHORTEST_CHORD), top]


def _check(*, wall: float, tube_outer: float, tube_inner: float | None, clearance: float) -> None:
    if not wall > 0:
        raise PhysicsError(f"nose wall = {wall:g} mm: must be greater than 0")
    if tube_outer <= 4 * TIP_FLAT:
        raise PhysicsError(f"tube outer diameter = {tube_outer:g} mm: must be greater than {4 * TIP_FLAT:g}")
    if tube_inner is not None and not 4 * TIP_FLAT < tube_inner - clearance < tube_outer:
        raise PhysicsError(
            f"tube inner diameter = {tube_inner:g} mm less the clearance {clearance:g}: "
            f"must lie between {4 * TIP_FLAT:g} and the outer diameter {tube_outer:g}"
        )


def _graded(curve: list[Point], points: int) -> list[Point]:
    """Choose about so many of a dense curve's points, half by arc length, half by turning; two when it is straight."""
    xy = np.asarray(_spaced(curve), dtype=np.float64)
    chord = np.diff(xy, axis=0)
    step = np.hypot(*chord.T)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(chord[:, 1], chord[:, 0]))))
    if turn.sum() < STRAIGHT:
        return [curve[0], curve[-1]]
    curved = np.append(turn / (step[1:] + step[:-1]) * 2, 0.0)
    wanted = 2 / points / (1 / step.sum() + curved / turn.sum())
    pace = np.concatenate([[0.0], np.cumsum(step / _eased(wanted, step))])
    count = max(math.ceil(pace[-1]), 4)
    at = np.interp(np.linspace(0, pace[-1], count + 1), pace, np.arange(len(xy)))
    chosen = distinct(np.round(at)).astype(int)
    return [(float(xy[i, 0]), float(xy[i, 1])) for i in chosen]


def _spaced(curve: list[Point]) -> list[Point]:
    """Drop inner points that stand nearer than the shortest chord to the one before or to the last."""
    kept = curve[:1]
    for point in curve[1:-1]:
        if math.dist(point, kept[-1]) >= SHORTEST_CHORD <= math.dist(point, curve[-1]):
            kept.append(point)
    return [*kept, curve[-1]]


def _eased(wanted: Floats, step: Floats) -> Floats:
    """Chord lengths that nowhere grow faster than the grading, in either sense along the curve."""
    eased = wanted.tolist()
    growth = (GRADING * step).tolist()
    for i in range(1, len(eased)):
        eased[i] = min(eased[i], eased[i - 1] + growth[i])
    for i in range(len(eased) - 2, -1, -1):
        eased[i] = min(eased[i], eased[i + 1] + growth[i])
    return np.asarray(eased)


def _cavity(outer: list[Point], *, wall: float, end: float, greatest: float) -> list[Point]:
    """The inner curve from the open end to the flat at the inner tip; empty when nothing is left to hollow out."""
    if greatest <= 2 * TIP_FLAT:
        return []
    far = end + 10 * wall
    upper = [*outer, (far, outer[-1][1])]
    skin = Polygon([*upper, *((x, -r) for x, r in reversed(upper))])
    inside = skin.buffer(-wall, join_style="mitre").intersection(box(0.0, TIP_FLAT, end, greatest))
    pieces = [piece for piece in getattr(inside, "geoms", [inside]) if isinstance(piece, Polygon) and piece.area > 1]
    if not pieces:
        return []
    ring = list(orient(max(pieces, key=lambda piece: float(piece.area)), 1.0).exterior.coords)[:-1]
    start = max(range(len(ring)), key=lambda i: (round(ring[i][0], 9), ring[i][1]))
    ring = [(float(x), float(r)) for x, r in ring[start:] + ring[:start]]
    last = min(range(len(ring)), key=lambda i: (round(ring[i][1] - TIP_FLAT, 9), ring[i][0]))
    return ring[: last + 1]


def _pieces(curve: list[Point]) -> list[list[Point]]:
    """Split a curve at its corners, and where a long straight chord meets a curve."""
    inner = [i for i in range(1, len(curve) - 1) if _is_corner(*curve[i - 1 : i + 2])]
    ends = [0, *inner, len(curve) - 1]
    return [curve[a : b + 1] for a, b in itertools.pairwise(ends)]


def _is_corner(before: Point, at: Point, after: Point) -> bool:
    turn = math.atan2(after[1] - at[1], after[0] - at[0]) - math.atan2(at[1] - before[1], at[0] - before[0])
    shorter, longer = sorted((math.dist(before, at), math.dist(at, after)))
    return abs(math.remainder(turn, math.tau)) > CORNER or longer > JUMP * shorter


def _joined(pieces: list[list[Point]]) -> Revolve:
    """Join pieces to one meridian; a piece of four points or more is smooth, in runs that a kernel weighs rightly."""
    points: list[Point] = []
    smooth: list[tuple[int, int]] = []
    for piece in pieces:
        if not piece:
            continue
        shared = bool(points) and math.dist(points[-1], piece[0]) < SHORTEST_CHORD
        first = len(points) - shared
        points += piece[shared:]
        if len(piece) >= 4:
            parts = math.ceil((len(points) - 1 - first) / RUN)
            cuts = np.linspace(first, len(points) - 1, parts + 1).round().astype(int).tolist()
            smooth += list(itertools.pairwise(cuts))
    return Revolve(meridian=tuple(points), smooth=tuple(smooth))
