"""Arcs found again in a closed path of straight pieces, as the bulges a drawing file keeps them in. Millimetres.

Curves are carried through the program as chords within 0.01 mm; a cutter runs smoother, and a drawing is smaller, when
what was an arc is one again.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import LinearRing, Polygon

from foamworks.parts.base import Point

Corner = tuple[float, float, float]  # x, y, bulge of the piece that starts here: tan(a quarter of its turn), left > 0
FIT = 0.003  # mm: how far the chords' ends may lie off the arc
SAGITTA = 0.015  # mm: how far a chord's middle may lie off it; farther apart the pieces are meant as straight
LEAST_CHORDS = 4
LEAST_SIDES = 16  # of a whole circle: fewer sides are meant as a polygon
LEAST_TURN = math.radians(5.0)
MOST_TURN = math.radians(340.0)  # of one arc: nearer to a whole turn its ends nearly meet, and it is two
SHARP = math.radians(20.0)  # a turn between chords that no arc within the sagitta has
STRAIGHTEST = 20_000.0  # mm: an arc of a larger radius stays straight pieces


def circle(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> tuple[Point, float]:
    """Centre and radius of the circle through three points; infinite for three in a line."""
    (ax, ay), (bx, by), (cx, cy) = a, b, c
    twice = 2 * ((bx - ax) * (cy - ay) - (cx - ax) * (by - ay))
    if twice == 0:
        return (math.inf, math.inf), math.inf
    b2, c2 = (bx - ax) ** 2 + (by - ay) ** 2, (cx - ax) ** 2 + (cy - ay) ** 2
    ux, uy = ((cy - ay) * b2 - (by - ay) * c2) / twice, ((bx - ax) * c2 - (cx - ax) * b2) / twice
    return (ax + ux, ay + uy), math.hypot(ux, uy)


def true_circle(ring: LinearRing) -> tuple[Point, float] | None:
    """Tell whether a ring stands for a circle: its centre and the radius of the same area.

    >>> true_circle(LinearRing([(0, 0), (9, 0), (9, 9), (0, 9)])) is None
    True
    """
    sides = len(ring.coords) - 1
    if sides < LEAST_SIDES:
        return None
    whole = Polygon(ring)
    centre = (whole.centroid.x, whole.centroid.y)
    radii = [math.dist(corner, centre) for corner in ring.coords]
    longest = max(math.dist(p, q) for p, q in pairwise(ring.coords))
    if max(radii) - min(radii) > 2 * FIT or longest >= radii[0]:
        return None
    if radii[0] - math.sqrt(radii[0] ** 2 - longest**2 / 4) > SAGITTA:
        return None
    return centre, math.sqrt(whole.area / math.pi)


def with_arcs(ring: Sequence[Point]) -> list[Corner]:
    """Give a closed path (its last point not repeated) with each run of chords of one arc made that arc.

    >>> quarter = [(10 * math.cos(a), 10 * math.sin(a)) for a in np.linspace(0, math.pi / 2, 33)]
    >>> [(round(x, 6), round(y, 6), round(b, 6)) for x, y, b in with_arcs([(0.0, 0.0), *quarter])]
    [(10.0, 0.0, 0.414214), (0.0, 10.0, 0.0), (0.0, 0.0, 0.0)]
    """
    first = _sharpest(ring)
    points = np.array([*ring[first:], *ring[: first + 1]])
    found: list[Corner] = []
    at, last = 0, len(points) - 1
    while at < last:
        reach, bulge = _longest(points, at, last)
        found.append((float(points[at, 0]), float(points[at, 1]), bulge))
        at = reach
    return found


def _sharpest(ring: Sequence[Point]) -> int:
    """Give the corner where the path turns most, or its pieces differ most in length: no arc runs through it."""
    points = np.array(ring)
    ahead, back = np.roll(points, -1, axis=0) - points, points - np.roll(points, 1, axis=0)
    turn = np.arctan2(back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(axis=1))
    uneven = np.abs(np.log(np.hypot(*ahead.T) / np.hypot(*back.T)))
    sharp = np.abs(turn)
    return int(np.argmax(np.round(sharp if sharp.max() > SHARP else sharp + uneven, 6)))


def _longest(points: npt.NDArray[np.float64], at: int, last: int) -> tuple[int, float]:
    """Give how far one piece from point `at` reaches, and its bulge: the next point, or the end of an arc."""
    best = (at + 1, 0.0)
    for end in range(at + LEAST_CHORDS, last + 1):
        turn = _arc(points[at : end + 1])
        if turn is None:
            break
        if abs(turn) >= LEAST_TURN:
            best = (end, math.tan(turn / 4))
    return best


def _arc(run: npt.NDArray[np.float64]) -> float | None:
    """Give the turn [rad] of the arc a run of points lies on, left > 0; None when it is none."""
    # an offset path enters and leaves an arc somewhere on a chord, not at its end: the inner points tell the circle
    first, last = (1, -2) if len(run) > LEAST_CHORDS + 1 else (0, -1)
    centre, radius = circle(run[first], run[len(run) // 2], run[last])
    if radius > STRAIGHTEST:
        return None
    off = np.abs(np.hypot(*(run - centre).T) - radius)
    if off.max() > SAGITTA or off[1:-1].max() > FIT:
        return None
    chords = np.hypot(*np.diff(run, axis=0).T)
    if chords.max() >= 2 * radius:
        return None
    steps = 2 * np.arcsin(chords / (2 * radius))
    sagitta = radius * (1 - np.cos(steps.max() / 2))
    way = np.unwrap(np.arctan2(*(run - centre).T[::-1]))
    one_way = bool((np.diff(way) > 0).all() or (np.diff(way) < 0).all())
    turn = float(way[-1] - way[0])
    return turn if sagitta <= SAGITTA and one_way and abs(turn) <= MOST_TURN else None
