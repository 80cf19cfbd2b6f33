"""What outline does a drawing hold? One flat outline with its holes, in millimetres, from a DXF or an SVG file.

x to the right, y up, as drawn (an SVG's origin is its page's lower left corner). Loose lines are joined into loops
over gaps of up to 0.1 mm; the largest loop is the outline, the loops inside it are its holes. Curves become straight
steps within 0.01 mm. A fault names the file, the design's key and the place in millimetres.
"""

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from shapely import LinearRing, Polygon, is_valid_reason

from foamworks.design import trace_dxf, trace_svg
from foamworks.design.trace_curves import Point
from foamworks.errors import DesignError

Chain = tuple[list[Point], bool]

GAP = 0.1  # mm, ends this close are meant to meet: a drawing snapped by eye, still under a knife's width
MOST_BYTES = 1 << 20  # as for the design file; a traced outline has some tens of KiB
MOST_POINTS = 200_000  # after flattening; a careful outline has some hundreds
FARTHEST = 1e5  # mm from the origin; beyond it a coordinate is a slip
SMALLEST = 0.01  # mm2, less encloses nothing


@dataclass(frozen=True)
class Trace:
    """An outline as drawn [mm], and what had to be taken without being told (`said`, sentences)."""

    outline: Polygon
    said: tuple[str, ...] = ()


def read_trace(path: Path | str, *, key: str) -> Polygon:
    """Give the outline of a DXF or SVG file in millimetres; `key` is the design's key that names the file.

    Raises DesignError with file, key, place and what would do.
    """
    return load_trace(path, key=key).outline


def load_trace(path: Path | str, *, key: str) -> Trace:
    """Give the outline as `read_trace` does, with the sentences that have to be said about it."""
    path = Path(path)
    where = f"{path}: {key}"
    _check_file(path, where)
    reader = trace_svg if path.suffix.lower() == ".svg" else trace_dxf
    chains, said = reader.read_chains(path, where=where)
    chains = _clean(chains, where)
    loops = _join(chains, where)
    return Trace(_polygon(loops, where), tuple(said))


def _check_file(path: Path, where: str) -> None:
    if path.suffix.lower() not in (".dxf", ".svg"):
        raise DesignError(f"{where}: a trace is a .dxf or .svg file")
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise DesignError(f"{where}: is not a file")
        with path.open("rb"):
            pass
    except OSError as fault:
        raise DesignError(f"{where}: cannot be opened ({fault.strerror})") from fault
    if size > MOST_BYTES:
        raise DesignError(f"{where}: {size / MOST_BYTES:.1f} MiB; at most 1 MiB: save the one outline by itself")
    if size == 0:
        raise DesignError(f"{where}: the file is empty")


def _clean(chains: list[Chain], where: str) -> list[Chain]:
    """Drop points that repeat and lines drawn twice; refuse what is not finite, too far out or too much."""
    kept: list[Chain] = []
    seen: set[tuple[Point, ...]] = set()
    total = 0
    for points, closed in chains:
        total += len(points)
        if total > MOST_POINTS:
            raise DesignError(f"{where}: more than {MOST_POINTS} points; trace one outline, with fewer points")
        for x, y in points:
            if not (abs(x) <= FARTHEST and abs(y) <= FARTHEST):  # false for what is not a number, too
                raise DesignError(f"{where}: a point at ({x:g}, {y:g}) mm; all must lie within {FARTHEST:g} mm")
        single = [p for k, p in enumerate(points) if k == 0 or p != points[k - 1]]
        if closed and len(single) > 1 and single[0] == single[-1]:
            single.pop()
        rounded = [(round(x, 4), round(y, 4)) for x, y in single]
        name = tuple(sorted(rounded)) if closed else min(tuple(rounded), tuple(reversed(rounded)))
        if len(single) > 1 and name not in seen:
            seen.add(name)
            kept.append((single, closed))
    if not kept:
        raise DesignError(f"{where}: holds no line to trace; draw the outline with lines, arcs, curves or polylines")
    return kept


@dataclass(frozen=True)
class _End:
    """One end of an open chain: `last` tells which."""

    chain: int
    last: bool
    place: Point


def _join(chains: list[Chain], where: str) -> list[list[Point]]:
    """Join open chains end to end into loops; the closest ends first, over at most GAP."""
    loops = [points for points, closed in chains if closed]
    open_chains = [points for points, closed in chains if not closed]
    partner = _pair_ends(open_chains, where)
    waiting = set(range(len(open_chains)))
    while waiting:
        first = min(waiting)
        loop: list[Point] = []
        chain, forward = first, True
        while chain in waiting:
            waiting.discard(chain)
            points = open_chains[chain] if forward else open_chains[chain][::-1]
            _append(loop, points)
            leave = partner.get((chain, forward))
            if leave is None:
                raise DesignError(_open_text(open_chains, partner, first, where))
            chain, forward = leave[0], not leave[1]
        loops.append(_shut(loop))
    return loops


def _pair_ends(chains: list[list[Point]], where: str) -> dict[tuple[int, bool], tuple[int, bool]]:
    ends = [_End(k, last, points[-1 if last else 0]) for k, points in enumerate(chains) for last in (False, True)]
    partner: dict[tuple[int, bool], tuple[int, bool]] = {}
    for _, a, b in sorted(_candidates(ends, chains, where)):
        one, two = (ends[a].chain, ends[a].last), (ends[b].chain, ends[b].last)
        if one not in partner and two not in partner:
            partner[one], partner[two] = two, one
    return partner


def _candidates(ends: list[_End], chains: list[list[Point]], where: str) -> Iterator[tuple[float, int, int]]:
    """Yield (distance, end, end) for all pairs of ends within GAP of each other."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, end in enumerate(ends):
        cells[(math.floor(end.place[0] / GAP), math.floor(end.place[1] / GAP))].append(number)
    crowd = next((members for members in cells.values() if len(members) > 8), None)
    if crowd:
        raise DesignError(f"{where}: more than 8 lines end near {_at(ends[crowd[0]].place)} mm; keep the outline's two")
    for number, end in enumerate(ends):
        column, row = math.floor(end.place[0] / GAP), math.floor(end.place[1] / GAP)
        near = (m for i in (-1, 0, 1) for j in (-1, 0, 1) for m in cells.get((column + i, row + j), ()))
        for other in near:
            distance = math.dist(end.place, ends[other].place)
            same = end.chain == ends[other].chain
            if other > number and distance <= GAP and not (same and _span(chains[end.chain]) <= 3 * GAP):
                yield distance, number, other


def _span(points: list[Point]) -> float:
    return sum(math.dist(p, q) for p, q in pairwise(points))


def _open_text(
    chains: list[list[Point]], partner: dict[tuple[int, bool], tuple[int, bool]], first: int, where: str
) -> str:
    """Say where an open line's two ends are: follow it both ways from the chain `first`."""
    places = []
    for forward in (True, False):
        chain, last = first, forward
        for _ in range(len(chains)):
            leave = partner.get((chain, last))
            if leave is None:
                break
            chain, last = leave[0], not leave[1]
        places.append(chains[chain][-1 if last else 0])
    gap = math.dist(*places)
    ends = f"{_at(places[1])} and {_at(places[0])} mm, {gap:.2f} mm apart"
    return (
        f"{where}: the outline is open: its ends are at {ends}; close it (gaps up to {GAP} mm are closed by themselves)"
    )


def _at(place: Point) -> str:
    return f"({place[0]:.2f}, {place[1]:.2f})"


def _append(loop: list[Point], points: list[Point]) -> None:
    """Go on with the next chain; where two ends meet over a gap, or overshoot, one corner stands half way."""
    if loop and points:
        loop[-1] = _middle(loop[-1], points[0])
        loop.extend(points[1:])
    else:
        loop.extend(points)


def _shut(loop: list[Point]) -> list[Point]:
    """Put the last corner and the first into one."""
    return [_middle(loop[0], loop[-1]), *loop[1:-1]]


def _middle(p: Point, q: Point) -> Point:
    return p if p == q else ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)


def _polygon(loops: list[list[Point]], where: str) -> Polygon:
    """Sort loops into one outline and its holes."""
    rings = [_ring(loop, where) for loop in loops]
    rings.sort(key=lambda ring: -ring.area)
    outer, holes = rings[0], rings[1:]
    for hole in holes:
        _check_hole(outer, hole, where)
    outline = Polygon(outer.exterior, [hole.exterior for hole in holes])
    if not outline.is_valid:
        raise DesignError(f"{where}: holes touch, cross or lie within each other near {_fault_place(outline)} mm")
    return outline


def _ring(loop: list[Point], where: str) -> Polygon:
    place = f"{_at(loop[0])} mm"
    if len(loop) < 3:
        raise DesignError(f"{where}: the line at {place} goes there and back and encloses nothing; remove it")
    ring = Polygon(LinearRing(loop))
    if not ring.is_valid:
        raise DesignError(
            f"{where}: the outline crosses or touches itself at {_fault_place(ring)} mm; part the lines there"
        )
    if ring.area < SMALLEST:
        raise DesignError(f"{where}: the loop at {place} encloses {ring.area:.4f} mm2; check the drawing's unit")
    return ring


def _fault_place(shape: Polygon) -> str:
    """Give the place that the validity check names, "Self-intersection[12 3]" -> "(12.00, 3.00)"."""
    reason = str(is_valid_reason(shape))
    x, y = reason[reason.index("[") + 1 : reason.index("]")].split()[:2]
    return _at((float(x), float(y)))


def _check_hole(outer: Polygon, hole: Polygon, where: str) -> None:
    if outer.contains(hole) and not outer.exterior.intersects(hole.exterior):
        return
    crossing = outer.exterior.intersection(hole.exterior)
    if not crossing.is_empty:
        place = crossing.representative_point()
        raise DesignError(f"{where}: two loops cross or touch at {_at((place.x, place.y))} mm; part or merge them")
    boxes = [f"{_at(ring.bounds[:2])} to {_at(ring.bounds[2:])}" for ring in (outer, hole)]
    raise DesignError(
        f"{where}: two separate outlines, {boxes[0]} and {boxes[1]} mm; keep one, or put it alone on a layer named cut"
    )
