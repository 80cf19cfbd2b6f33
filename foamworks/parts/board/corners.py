"""Corners of a cut path: inside ones freed of a round tool's radius, outside ones cut past by a trailing blade.

Millimetres. A path is a polygon whose inside is the part; its outline runs counter-clockwise and its holes clockwise,
so the part lies on the left of every edge and an inside corner turns right.
"""

import math
from collections.abc import Iterator

from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from foamworks.parts.base import Point

SHARP = math.radians(30)  # a path that turns by less is a curve drawn in straight pieces
REACH = 0.4  # of the shorter side: how far a relief may begin from its corner
Segment = tuple[Point, Point]
Corner = tuple[Point, Point, Point, float]  # the point before, the corner, the point after, the turn [rad], left > 0


def _corners(coords: list[Point]) -> Iterator[Corner]:
    """Give each corner of a closed path (its last point not repeated)."""
    for before, at, after in zip(coords[-1:] + coords[:-1], coords, coords[1:] + coords[:1], strict=True):
        ux, uy, vx, vy = at[0] - before[0], at[1] - before[1], after[0] - at[0], after[1] - at[1]
        yield before, at, after, math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def _ahead(start: Point, towards: Point, length: float) -> Point:
    """Give the point that lies `length` from the start on the way to another; below 0 on the far side."""
    whole = math.dist(start, towards)
    return (
        start[0] + (towards[0] - start[0]) * length / whole,
        start[1] + (towards[1] - start[1]) * length / whole,
    )


def relieved(path: Polygon, kerf: float) -> Polygon:
    """Move the path of a round tool into every sharp inside corner, so far that the tool's edge reaches the corner.

    `path` is the way of the tool's middle, half the kerf [mm] from the part. Where the part's own corner has the angle
    a (in what is cut away), a tool of diameter k leaves (k/2)(1/sin(a/2) - 1) uncut in it; the path's corner goes
    deeper by just that, over at most one kerf to each side. A part too narrow for that keeps its path. Source:
    geometry of a circle between two lines.

    >>> notched = Polygon([(0, 0), (20, 0), (20, 20), (12, 20), (12, 8), (8, 8), (8, 20), (0, 20)])
    >>> round(notched.area - relieved(notched, 1.0).area, 6) > 0
    True
    """
    path = orient(path)
    if kerf <= 0:
        return path
    loops = [_relieved_loop(loop, kerf) for loop in _loops(path)]
    freed = Polygon(loops[0], loops[1:])
    return orient(freed) if freed.is_valid else path


def inside_corners(path: Polygon) -> int:
    """Count the sharp inside corners of a part, those of its holes among them."""
    return sum(turn <= -SHARP for loop in _loops(orient(path)) for *_, turn in _corners(loop))


def uncut(kerf: float, half: float) -> float:
    """Give what a round tool leaves in a corner of twice `half` [rad]: from the corner to the tool's edge [mm].

    >>> round(uncut(2.0, math.pi / 4), 6)
    0.414214
    """
    return kerf / 2 * (1 / math.sin(half) - 1)


def _loops(path: Polygon) -> list[list[Point]]:
    """Give outline and holes of a turned path, the last point not repeated."""
    return [[(x, y) for x, y in ring.coords[:-1]] for ring in (path.exterior, *path.interiors)]


def _relieved_loop(coords: list[Point], kerf: float) -> list[Point]:
    made: list[Point] = []
    for before, at, after, turn in _corners(coords):
        if turn > -SHARP:
            made.append(at)
            continue
        half = (math.pi + turn) / 2
        deeper = uncut(kerf, half)
        back = min(kerf, REACH * math.dist(before, at), REACH * math.dist(at, after))
        start, end = _ahead(at, before, back), _ahead(at, after, back)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        made += [start, _ahead(at, middle, -deeper), end]
    return made


def overcuts(path: Polygon, length: float) -> tuple[Segment, ...]:
    """Give the short cuts that run on past each sharp outside corner, both edges of it, `length` [mm] into the waste.

    A trailing blade turns about its tip and leaves the corner's lower end hanging; each edge cut a little too far
    frees it. A piece that would enter the part again, across a narrow slot, is left out.

    >>> overcuts(Polygon([(0, 0), (10, 0), (10, 5)]), 0.5)[0]
    ((0.0, 0.0), (-0.5, 0.0))
    """
    if length <= 0:
        return ()
    path = orient(path)
    found = []
    for loop in _loops(path):
        for before, at, after, turn in _corners(loop):
            if turn >= SHARP:
                found += [(at, _ahead(at, after, -length)), (at, _ahead(at, before, -length))]
    return tuple(segment for segment in found if LineString(segment).intersection(path).length < length / 1000)
