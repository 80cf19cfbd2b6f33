"""What outline does a drawing hold? One flat outline with its holes, in millimetres, from a DXF or an SVG file.

x to the right, y up, as drawn (an SVG's origin is its page's lower left corner). When anything lies on a layer named
`cut` (any case), or on the layer that the design names, only that layer is read; what is hidden, switched off or
frozen, only when its layer is named. Loose lines are joined into loops over gaps of up to 0.1 mm; the largest loop is
the outline, the loops inside it are its holes. Curves become straight steps within 0.01 mm. A fault names the file, the
design's key and the place in millimetres.
"""

from dataclasses import dataclass
from pathlib import Path

from shapely import LinearRing, Polygon, is_valid_reason

from foamworks.design.drawing import trace_dxf, trace_svg
from foamworks.design.drawing.trace_curves import Point
from foamworks.design.drawing.trace_join import at, join
from foamworks.design.drawing.trace_lines import Chain, Unit, hidden_layers, layers_text, on_layer
from foamworks.errors import DesignError

MOST_BYTES = 1 << 20  # as for the design file; a traced outline has some tens of KiB
MOST_POINTS = 200_000  # after flattening; a careful outline has some hundreds
FARTHEST = 1e5  # mm from the origin; beyond it a coordinate is a slip
SMALLEST = 0.01  # mm2, less encloses nothing
# mm, paper by its sides: ISO 216 A5 to A0, and ANSI/ASME Y14.1 A to E
PAPER = (
    *((148, 210), (210, 297), (297, 420), (420, 594), (594, 841), (841, 1189)),
    *((215.9, 279.4), (279.4, 431.8), (431.8, 558.8), (558.8, 863.6), (863.6, 1117.6)),
)
PAPER_SLACK = 0.5  # mm


@dataclass(frozen=True)
class Trace:
    """An outline as drawn [mm], the unit it was taken in; `frame` [width, height]: a page's frame that was left out.

    `framed`: the layers of a rectangle that is or may be a page's frame, and of what it holds. `hidden`: layers that
    are switched off or frozen and were left out.
    """

    outline: Polygon
    unit: Unit
    frame: tuple[float, float] | None = None
    framed: tuple[str, str] | None = None
    hidden: tuple[str, ...] = ()


def load_trace(
    path: Path | str, *, key: str, layer: str | None = None, drawn_in: str | None = None, whole: bool = False
) -> Trace:
    """Give the outline of a DXF or SVG file in millimetres, and the unit that was taken; `key` names the file.

    Raises DesignError with file, key, place and what would do.
    `layer`: the one layer to read; `drawn_in`: the drawing's unit, whatever it says; `whole`: a part without large
    holes is looked for, so a rectangle round it is a page's frame.
    """
    path = Path(path)
    where = f"{path}: {key}"
    _check_file(path, where)
    reader = trace_svg if path.suffix.lower() == ".svg" else trace_dxf
    chains, unit = reader.read_chains(path, where=where, drawn_in=drawn_in)
    hidden = hidden_layers(chains) if layer is None else ()
    chains = _clean(on_layer(chains, layer, where), where)
    loops = sorted(_rings(join(chains, where), where), key=lambda loop: -loop.ring.area)
    frame, layers = None, None
    while whole and len(loops) > 1 and _is_box(loops[0].ring):  # a frame may be double
        if not all(loops[0].ring.contains(loop.ring) for loop in loops[1:]):
            break
        frame, layers = _size(loops[0].ring), (loops[0].layer, loops[1].layer)
        loops = [loop for loop in loops[1:] if loop.ring.intersects(loops[1].ring)]
    outline = _polygon([loop.ring for loop in loops], where, chains)
    return Trace(outline, unit, frame, layers or _maybe_framed(loops), hidden)


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
    for chain in chains:
        points, closed = chain.points, chain.closed
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
            kept.append(Chain(single, closed, chain.layer, chain.hidden))
    if not kept:
        raise DesignError(f"{where}: holds no line to trace; draw the outline with lines, arcs, curves or polylines")
    return kept


@dataclass(frozen=True)
class _Loop:
    ring: Polygon
    layer: str


def _rings(loops: list[Chain], where: str) -> list[_Loop]:
    return [_Loop(_ring(loop.points, where), (*loop.layer, "")[0]) for loop in loops]


def _is_box(ring: Polygon) -> bool:
    """Tell whether a loop is a rectangle along the axes."""
    return bool(ring.area > (1 - 1e-3) * ring.envelope.area)


def _size(ring: Polygon) -> tuple[float, float]:
    x0, y0, x1, y1 = ring.bounds
    return x1 - x0, y1 - y0


def _maybe_framed(loops: list[_Loop]) -> tuple[str, str] | None:
    """Give the layers of a rectangle and of what it holds, when the rectangle may be a page's frame.

    It may when it lies on another layer, or is as large as a sheet of paper, and holds one loop alone.
    """
    if len(loops) != 2 or not _is_box(loops[0].ring):
        return None
    sides = sorted(_size(loops[0].ring))
    paper = any(abs(sides[0] - a) < PAPER_SLACK and abs(sides[1] - b) < PAPER_SLACK for a, b in PAPER)
    layers = (loops[0].layer, loops[1].layer)
    return layers if paper or layers[0] != layers[1] else None


def _polygon(rings: list[Polygon], where: str, chains: list[Chain]) -> Polygon:
    """Make the largest loop the outline and the others its holes."""
    outer, holes = rings[0], rings[1:]
    for hole in holes:
        _check_hole(outer, hole, where, chains)
    outline = Polygon(outer.exterior, [hole.exterior for hole in holes])
    if not outline.is_valid:
        raise DesignError(
            f"{where}: holes touch, cross or lie within each other near {_fault_place(outline)} mm{_one_layer(chains)}"
        )
    return outline


def _one_layer(chains: list[Chain]) -> str:
    """Say how to name the one layer that is wanted, for a drawing that has several."""
    layers = {chain.layer[0] for chain in chains if chain.layer}
    if len(layers) < 2:
        return "; if a page's frame or a title block is in the drawing, take it out"
    return f'; name the part\'s own layer, as in layer = "{min(layers)}"{layers_text(chains)}'


def _ring(loop: list[Point], where: str) -> Polygon:
    place = f"{at(loop[0])} mm"
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
    return at((float(x), float(y)))


def _check_hole(outer: Polygon, hole: Polygon, where: str, chains: list[Chain]) -> None:
    if outer.contains(hole) and not outer.exterior.intersects(hole.exterior):
        return
    crossing = outer.exterior.intersection(hole.exterior)
    if not crossing.is_empty:
        place = crossing.representative_point()
        raise DesignError(
            f"{where}: two loops cross or touch at {at((place.x, place.y))} mm; part or merge them{_one_layer(chains)}"
        )
    boxes = [f"{at(ring.bounds[:2])} to {at(ring.bounds[2:])}" for ring in (outer, hole)]
    raise DesignError(
        f"{where}: two separate outlines, {boxes[0]} and {boxes[1]} mm; keep one, or put it alone on a layer named cut"
        f"{_one_layer(chains)}"
    )
