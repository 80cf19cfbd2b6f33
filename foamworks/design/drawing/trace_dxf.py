"""Which lines does a DXF drawing hold, in millimetres? Chains of points, not yet joined into loops.

x to the right, y up, as drawn. Lines, arcs, circles, ellipses, splines and (bulged) polylines, in blocks too, are
read; texts, dimensions, hatches and whatever else stands in the drawing are passed over.
"""

import itertools
import logging
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from foamworks.design.drawing.trace_curves import TOLERANCE, Point, bulge_points, ellipse_points
from foamworks.design.drawing.trace_lines import DRAWN_IN, Chain, Unit, told
from foamworks.errors import DesignError

Flat = tuple[list[Point], bool]  # points in the drawing's unit, and whether they close on themselves

MOST_ENTITIES = 20_000  # a traced outline has tens; more is a whole plan
DEEPEST_BLOCK = 8  # blocks within blocks; a drawing by hand has one or two
MOST_SPLINE_POINTS = 20_000  # one spline
# $INSUNITS code -> unit; 0 is "no unit". Source: the DXF reference, header variables.
UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
READ = ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE")

# a library's remarks about a stranger's file go to whoever asked for logs, not to the terminal
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


def read_chains(path: Path, *, where: str, drawn_in: str | None = None) -> tuple[list[Chain], Unit]:
    """Give every line of the drawing as a chain of points [mm], and the unit it was drawn in.

    `where` opens the text of a fault (file and key); `drawn_in` overrules what the drawing says. Raises DesignError.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        document = readfile(path)  # the strict reader: the repairing one changes damaged numbers without a word
        unit = told(drawn_in) or _unit(document, path, where)
        return [
            _chain(entity, layer, hidden, unit.millimetres) for layer, hidden, entity in _found(document, where)
        ], unit
    except DesignError:
        raise
    except (
        DXFError,
        OSError,
        ValueError,
        ArithmeticError,
        LookupError,
        TypeError,
        AttributeError,
        RecursionError,
    ) as fault:  # a damaged file makes the reader stumble in any of these ways
        raise DesignError(f"{where}: cannot be read as DXF ({_short(fault)}); save it again as DXF R2010") from fault


def _short(fault: Exception) -> str:
    return " ".join(str(fault).split())[:80] or type(fault).__name__


def _unit(document: Any, path: Path, where: str) -> Unit:
    """Give the drawing's unit by its header."""
    # ezdxf fills in metres when a file has no header, so the file itself is asked
    code = document.header.get("$INSUNITS", 0) if b"$INSUNITS" in path.read_bytes() else 0
    if code == 0:
        return Unit(1.0, "mm", "the drawing names no unit: taken as mm", guessed=True)
    if code not in UNITS:
        raise DesignError(f"{where}: drawn in unit number {code} ($INSUNITS); draw it in mm, cm, m, in or ft")
    return Unit(DRAWN_IN[UNITS[code]], UNITS[code], f"the drawing names {UNITS[code]}")


def _found(document: Any, where: str) -> list[tuple[str, bool, Any]]:
    """Give what can be read with its layer and whether it is hidden; refuse a whole plan."""
    off = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
    walk = _walk(document.modelspace(), None, 0)
    shown = ((layer, layer.lower() in off or bool(one.dxf.get("invisible", 0)), one) for layer, one in walk)
    found = list(itertools.islice(shown, MOST_ENTITIES + 1))
    if len(found) > MOST_ENTITIES:
        raise DesignError(
            f"{where}: more than {MOST_ENTITIES} entities; trace one outline, or put it alone on a layer named cut"
        )
    return found


def _walk(entities: Any, inherited: str | None, depth: int) -> Iterator[tuple[str, Any]]:
    """Yield (layer, entity) of all that can be read; what lies on layer 0 of a block is on the block's layer."""
    for entity in entities:
        layer = entity.dxf.get("layer", "0")
        if inherited is not None and layer == "0":
            layer = inherited
        kind = entity.dxftype()
        if kind == "INSERT" and depth < DEEPEST_BLOCK:
            yield from _walk(_inside(entity), layer, depth + 1)
        elif kind in READ and not (kind == "POLYLINE" and (entity.is_poly_face_mesh or entity.is_polygon_mesh)):
            yield layer, entity


def _inside(insert: Any) -> Iterator[Any]:
    copies = insert.multi_insert() if insert.mcount > 1 else [insert]
    for copy in itertools.islice(copies, MOST_ENTITIES):
        yield from copy.virtual_entities()


def _chain(entity: Any, layer: str, hidden: bool, scale: float) -> Chain:
    """Flatten one entity in its drawing's unit and carry it to millimetres."""
    tolerance = TOLERANCE / scale
    kind = entity.dxftype()
    if kind == "LINE":
        points, closed = [_flat(entity.dxf.start), _flat(entity.dxf.end)], False
    elif kind in ("ARC", "CIRCLE"):
        points, closed = _round(entity, tolerance)
    elif kind == "ELLIPSE":
        points, closed = _ellipse(entity, tolerance)
    elif kind == "SPLINE":
        walk = entity.flattening(tolerance, segments=8)
        points, closed = [_flat(p) for p in itertools.islice(walk, MOST_SPLINE_POINTS)], bool(entity.closed)
    else:
        points, closed = _polyline(entity, tolerance)
    return Chain([(x * scale, y * scale) for x, y in points], closed, (layer,), hidden)


def _flat(point: Any) -> Point:
    return (float(point[0]), float(point[1]))


def _round(entity: Any, tolerance: float) -> Flat:
    """Flatten an arc or a circle; its own plane may look from below (mirrored), so its axes are carried over."""
    ocs = entity.ocs()
    radius = float(entity.dxf.radius)
    start, sweep, closed = 0.0, 2 * math.pi, True
    if entity.dxftype() == "ARC":
        start = math.radians(entity.dxf.start_angle)
        sweep = (math.radians(entity.dxf.end_angle) - start) % (2 * math.pi) or 2 * math.pi
        closed = math.isclose(sweep, 2 * math.pi)
    points = ellipse_points(
        centre=_flat(ocs.to_wcs(entity.dxf.center)),
        u=_flat(ocs.to_wcs((radius, 0, 0))),
        v=_flat(ocs.to_wcs((0, radius, 0))),
        start=start,
        sweep=sweep,
        tolerance=tolerance,
    )
    return points, closed


def _ellipse(entity: Any, tolerance: float) -> Flat:
    start = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - start) % (2 * math.pi) or 2 * math.pi
    points = ellipse_points(
        centre=_flat(entity.dxf.center),
        u=_flat(entity.dxf.major_axis),
        v=_flat(entity.minor_axis),
        start=start,
        sweep=sweep,
        tolerance=tolerance,
    )
    return points, math.isclose(sweep, 2 * math.pi)


def _polyline(entity: Any, tolerance: float) -> Flat:
    """Flatten a light or an old polyline, bulges as arcs."""
    if entity.dxftype() == "LWPOLYLINE":
        corners = [(float(x), float(y), float(bulge)) for x, y, bulge in entity.get_points("xyb")]
        closed = bool(entity.closed)
        height = float(entity.dxf.get("elevation", 0.0))
    else:
        corners = [
            (float(v.dxf.location.x), float(v.dxf.location.y), float(v.dxf.get("bulge", 0.0)))
            for v in entity.vertices
            if not v.dxf.get("flags", 0) & 16  # control point of a fitted curve, not on it
        ]
        closed = bool(entity.is_closed)
        height = 0.0
    points = _walk_corners(corners, closed, tolerance)
    if entity.dxftype() == "POLYLINE" and entity.is_3d_polyline:
        return points, closed
    ocs = entity.ocs()
    return [_flat(ocs.to_wcs((x, y, height))) for x, y in points], closed


def _walk_corners(corners: list[tuple[float, float, float]], closed: bool, tolerance: float) -> list[Point]:
    points: list[Point] = [(corners[0][0], corners[0][1])] if corners else []
    following = [*corners[1:], corners[0]] if closed and corners else corners[1:]
    for (x, y, bulge), (x2, y2, _) in zip(corners, following, strict=False):
        points.extend(bulge_points((x, y), (x2, y2), bulge, tolerance)[1:])
    return points
