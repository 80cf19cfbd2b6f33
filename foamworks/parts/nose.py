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
from foamworks.physics.profiles import Profile

Floats = NDArray[np.float64]

TIP_FLAT = 0.4  # mm radius, one nozzle width: a profile that runs to the axis in a point breaks solids and meshes
PRINT_CLEARANCE = 0.25  # mm on diameter between a print and the tube it slides into; common practice, no source
CURVE_POINTS = 101  # chords of 101 points give the volume of a hollow nose to 1e-4
DENSE = 2000  # stations the curve's points are chosen from
CORNER = math.radians(12)  # a turn between neighbouring chords above this is a corner, not a curve
SHORTEST_CHORD = 0.02  # mm; a shorter one makes a spline wiggle
LEAD_IN = 0.6  # mm chamfer on the shoulder's end, so that it finds the tube
SHOULDER_SHARE = 0.6  # of the tube's outer diameter; common practice, no source
SHOULDER_LEAST, SHOULDER_MOST = 12.0, 30.0  # mm: less rocks, more is only weight


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
) -> Revolve:
    """Meridian of the nose cone [mm]; without a `tube_inner` it has no shoulder and is glued butt.

    `wall` is measured across the skin; near the base it grows to what keeps the shoulder one piece with the cone.
    """
    _check(wall=wall, tube_outer=tube_outer, tube_inner=tube_inner, clearance=clearance)
    outer = outer_profile(profile=profile, length=length, tube_outer=tube_outer, parameter=parameter)
    if tube_inner is None:
        end, plug, rear = length, tube_outer / 2, []
    else:
        plug = (tube_inner - clearance) / 2
        end = length + (default_shoulder(tube_outer) if shoulder is None else shoulder)
        chamfer = min(LEAD_IN, wall / 2, (end - length) / 2)
        rear = [(length, plug), (end - chamfer, plug), (end, plug - chamfer)] if end > length else []
    cavity = _cavity(outer, wall=wall, end=end, greatest=plug - wall)
    points = [(outer[0][0], 0.0), *outer, *rear, *(cavity or [(end, 0.0)])]
    if cavity:
        points.append((cavity[-1][0], 0.0))
    first_inside = 1 + len(outer) + len(rear)
    runs = [(1, len(outer)), (first_inside, first_inside + len(cavity) - 1)]
    return Revolve(meridian=tuple(points), smooth=tuple(run for each in runs for run in _curves(points, *each)))


def nose_print(
    shape: Revolve, *, filament: Filament | None = None, places: tuple[Placement, ...] = (), name: str = "nose cone"
) -> PrintPart:
    """Make the printed part of a nose cone; its own frame starts at the profile's tip."""
    cut = shape.meridian[0][0]
    note = (
        f"Print it tip up. The tip is a flat {2 * TIP_FLAT:g} mm across, {cut:.1f} mm aft of the profile's own point. "
        "The shoulder is glued into the tube."
    )
    return print_part(name, shape, filament=filament, places=places, note=note)


def outer_profile(*, profile: Profile, length: float, tube_outer: float, parameter: float | None = None) -> list[Point]:
    """The outer curve [mm] from the tip's flat to the base, its points spread by arc length and by turning alike."""
    s = np.linspace(0, 1, DENSE)
    x = length * np.unique(np.concatenate([s**8, (1 - np.cos(math.pi * s)) / 2]))
    r = profiles.radius(profile=profile, x=x, length=length, base_radius=tube_outer / 2, parameter=parameter)
    first = int(np.argmax(r >= TIP_FLAT))
    start = float(np.interp(TIP_FLAT, r[first - 1 : first + 1], x[first - 1 : first + 1]))
    return _thin(np.concatenate([[start], x[first:]]), np.concatenate([[TIP_FLAT], r[first:]]))


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


def _thin(x: Floats, r: Floats) -> list[Point]:
    """Choose the curve's points; two when it is straight."""
    chord_x, chord_r = np.diff(x), np.diff(r)
    keep = np.hypot(chord_x, chord_r) > 1e-9
    x, r = np.concatenate([x[:1], x[1:][keep]]), np.concatenate([r[:1], r[1:][keep]])
    step = np.hypot(np.diff(x), np.diff(r))
    turn = np.abs(np.diff(np.arctan2(np.diff(r), np.diff(x))))
    if turn.sum() < 1e-6:
        return [(float(x[0]), float(r[0])), (float(x[-1]), float(r[-1]))]
    arc = np.concatenate([[0.0], np.cumsum(step)])
    turned = np.concatenate([[0.0, 0.0], np.cumsum(turn)])
    pace = arc / arc[-1] + turned / turned[-1]
    at = np.unique(np.searchsorted(pace, np.linspace(0, pace[-1], CURVE_POINTS)).clip(0, len(x) - 1))
    at = np.unique(np.concatenate([[0], at, [len(x) - 1]]))
    chosen = [(float(x[i]), float(r[i])) for i in at]
    return _spaced(chosen)


def _spaced(points: list[Point]) -> list[Point]:
    """Drop inner points that stand nearer than the shortest chord to the one before or to the last."""
    kept = points[:1]
    for point in points[1:-1]:
        if math.dist(point, kept[-1]) >= SHORTEST_CHORD and math.dist(point, points[-1]) >= SHORTEST_CHORD:
            kept.append(point)
    return [*kept, points[-1]]


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
    return _spaced(ring[: last + 1])


def _curves(points: list[Point], first: int, last: int) -> list[tuple[int, int]]:
    """Split a run of points at its corners into smooth stretches of at least four points."""
    ends = [first]
    for i in range(first + 1, last):
        before = math.atan2(points[i][1] - points[i - 1][1], points[i][0] - points[i - 1][0])
        after = math.atan2(points[i + 1][1] - points[i][1], points[i + 1][0] - points[i][0])
        if abs(math.remainder(after - before, math.tau)) > CORNER:
            ends.append(i)
    ends.append(last)
    return [(a, b) for a, b in itertools.pairwise(ends) if b - a >= 3]
