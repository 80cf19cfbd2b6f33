"""Which lines does an SVG drawing hold, in millimetres? Chains of points, not yet joined into loops.

The page's lower left corner is the origin, x to the right, y up (an SVG counts y downwards; it is turned over here).
Paths and the basic shapes are read with their transforms, groups too; texts, pictures and definitions are passed
over. A shape's layer is the groups round it by their names (label and id).
Source: SVG 1.1 (W3C), chapters 7 to 9; lengths by CSS: 96 px to the inch.
"""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as ET
from xml.parsers import expat

from foamworks.design.drawing.trace_curves import IDENTITY, Matrix, Point, apply, compose, ellipse_points
from foamworks.design.drawing.trace_lines import Chain, Unit, told
from foamworks.design.drawing.trace_path import Pen
from foamworks.errors import DesignError

Flat = tuple[list[Point], bool]
MOST_ENTITIES = 20_000  # as in a DXF
DEEPEST = 64  # groups within groups; a drawing by hand has a handful
PIXEL = 25.4 / 96  # mm, CSS
LENGTHS = {"": PIXEL, "px": PIXEL, "mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "q": 0.25}  # mm
SHAPES = ("path", "rect", "circle", "ellipse", "line", "polygon", "polyline")
GROUPS = ("svg", "g", "a", "switch")

_NUMBERS = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z%]*)\s*")
_TRANSFORM = re.compile(r"\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^)]*)\)[\s,]*")


def read_chains(path: Path, *, where: str, drawn_in: str | None = None) -> tuple[list[Chain], Unit]:
    """Give every line of the drawing as a chain of points [mm], and the unit it was drawn in.

    `where` opens the text of a fault (file and key); `drawn_in` overrules what the page says. Raises DesignError.
    """
    data = path.read_bytes()
    try:
        _forbid_definitions(data, where)
        root = ET.fromstring(data)
    except (expat.ExpatError, ET.ParseError, ValueError, LookupError) as fault:
        if isinstance(fault, DesignError):
            raise
        raise DesignError(f"{where}: cannot be read as SVG ({fault}); save it again as plain SVG") from fault
    if _name(root) != "svg":
        raise DesignError(f"{where}: is <{_name(root)}>, not <svg>; save the drawing as plain SVG")
    try:
        page, unit = _page(root, told(drawn_in))
        return [
            Chain(points, closed, layer, hidden)
            for layer, hidden, shape in _walk(root, page, where)
            for points, closed in _chains(*shape)
        ], unit
    except (ValueError, ArithmeticError) as fault:
        if isinstance(fault, DesignError):
            raise
        raise DesignError(f"{where}: cannot be read as SVG: {fault}") from fault


def _forbid_definitions(data: bytes, where: str) -> None:
    """Refuse what could make a small file large or reach outside it, before anything is built from it."""
    parser = expat.ParserCreate()
    depth = 0

    def doctype(_name: str, _system: str | None, _public: str | None, has_subset: int) -> None:
        if has_subset:
            raise DesignError(f"{where}: holds a document type with definitions; save it as plain SVG")

    def entity(*_: object) -> None:
        raise DesignError(f"{where}: holds entity definitions; save it as plain SVG")

    def start(*_: object) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise DesignError(f"{where}: groups lie more than {DEEPEST} deep; ungroup the drawing")

    def end(*_: object) -> None:
        nonlocal depth
        depth -= 1

    parser.StartDoctypeDeclHandler = doctype
    parser.EntityDeclHandler = entity
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.Parse(data, True)


def _name(element: ET.Element) -> str:
    return element.tag.rsplit("}", 1)[-1] if isinstance(element.tag, str) else ""


def _length(text: str, what: str) -> float:
    """Turn "12.5mm" into millimetres; a bare number is in CSS pixels."""
    found = _LENGTH.fullmatch(text)
    if not found or found.group(2).lower() not in LENGTHS:
        raise ValueError(f'{what}="{text}": a length in mm, cm, in, pt, pc or px is needed')
    return float(found.group(1)) * LENGTHS[found.group(2).lower()]


def _page(root: ET.Element, given: Unit | None) -> tuple[Matrix, Unit]:
    """Give the matrix from the drawing's own units to millimetres from the page's lower left corner, y up."""
    sizes = [root.get("width"), root.get("height")]
    width, height = (None if s is None or s.strip().endswith("%") else _length(s, "width or height") for s in sizes)
    box = [float(n) for n in _NUMBERS.findall(root.get("viewBox", ""))]
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        box = [0.0, 0.0, (width or 0.0) / PIXEL, (height or 0.0) / PIXEL]
        width, height = None, None
    scales = [size / extent for size, extent in ((width, box[2]), (height, box[3])) if size is not None and size > 0]
    if given is not None:
        scales = [given.millimetres]
    x_scale, y_scale = (scales[0], scales[-1]) if scales else (PIXEL, PIXEL)
    if root.get("preserveAspectRatio", "").strip() != "none":
        x_scale = y_scale = min(x_scale, y_scale)
    matrix = (x_scale, 0.0, 0.0, -y_scale, -box[0] * x_scale, (box[1] + box[3]) * y_scale)
    return matrix, given or _page_unit(sizes if scales else [])


def _page_unit(sizes: list[str | None]) -> Unit:
    """Give the unit in which the page's size is told."""
    for size in sizes:
        named = re.search(r"(mm|cm|in|pt|pc|q)\s*$", size or "", re.IGNORECASE)
        if named:
            unit = named.group(1).lower()
            return Unit(LENGTHS[unit], unit, f"the page's size is given in {unit}")
    return Unit(PIXEL, "px", "the page's size names no unit of length: 96 units taken for an inch", guessed=True)


Shape = tuple[ET.Element, Matrix]


def _walk(root: ET.Element, page: Matrix, where: str) -> Iterator[tuple[tuple[str, ...], bool, Shape]]:
    """Yield (layer, whether it is hidden, (element, its matrix)) of every shape."""
    count = 0
    waiting: list[tuple[ET.Element, Matrix, tuple[str, ...], bool]] = [(root, page, (), False)]
    while waiting:
        element, outer, inherited, hidden = waiting.pop()
        name, hidden = _name(element), hidden or _hidden(element)
        copied = name == "use" or (name == "svg" and element is not root)
        if name not in (*SHAPES, *GROUPS, "use") or (hidden and copied):
            continue
        if copied:
            raise DesignError(
                f"{where}: holds {'a clone' if name == 'use' else 'an <svg> within'}; unlink or ungroup it"
            )
        matrix = compose(outer, _transform(element.get("transform", "")))
        layer = (*inherited, *_layer(element))
        if name in SHAPES:
            count += 1
            if count > MOST_ENTITIES:
                raise DesignError(f"{where}: more than {MOST_ENTITIES} shapes; trace one outline")
            yield layer, hidden, (element, matrix)
        else:
            waiting.extend((child, matrix, layer, hidden) for child in reversed(element))


def _hidden(element: ET.Element) -> bool:
    style = element.get("style", "").replace(" ", "")
    return "none" in (element.get("display"), *re.findall(r"display:(\w+)", style)) or "visibility:hidden" in style


def _layer(element: ET.Element) -> list[str]:
    """Give a group's names: the label that a drawing program shows for its layer, and its id."""
    if _name(element) != "g":
        return []
    labels = [value for key, value in element.attrib.items() if key.endswith("}label")]
    return [name.strip() for name in (*labels, element.get("id", "")) if name.strip()]


def _transform(text: str) -> Matrix:
    """Read a transform list; the first in the text is the outermost."""
    matrix, at = IDENTITY, 0
    while text[at:].strip():
        found = _TRANSFORM.match(text, at)
        if not found:
            raise ValueError(f'transform "{text[at : at + 40]}" is not understood')
        at = found.end()
        matrix = compose(matrix, _single(found.group(1), [float(n) for n in _NUMBERS.findall(found.group(2))]))
    return matrix


def _single(kind: str, n: list[float]) -> Matrix:
    match (kind, n):
        case ("matrix", [a, b, c, d, e, f]):
            return (a, b, c, d, e, f)
        case ("translate", [x, *rest]) if len(rest) < 2:
            return (1, 0, 0, 1, x, rest[0] if rest else 0.0)
        case ("scale", [x, *rest]) if len(rest) < 2:
            return (x, 0, 0, rest[0] if rest else x, 0, 0)
        case ("rotate", [angle, *centre]) if len(centre) in (0, 2):
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            x, y = centre or (0.0, 0.0)
            return (cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y)
        case ("skewX", [angle]):
            return (1, 0, math.tan(math.radians(angle)), 1, 0, 0)
        case ("skewY", [angle]):
            return (1, math.tan(math.radians(angle)), 0, 1, 0, 0)
    raise ValueError(f"transform {kind} with {len(n)} numbers")


def _chains(element: ET.Element, matrix: Matrix) -> list[Flat]:
    """Flatten one shape."""
    name = _name(element)
    if name == "path":
        return Pen(element.get("d", ""), matrix).draw()
    if name in ("polygon", "polyline"):
        numbers = [float(n) for n in _NUMBERS.findall(element.get("points", ""))]
        pairs = zip(numbers[::2], numbers[1::2], strict=False)
        return [([apply(matrix, p) for p in pairs], True)]
    if name == "line":
        x1, y1, x2, y2 = (_user(element, key) for key in ("x1", "y1", "x2", "y2"))
        return [([apply(matrix, (x1, y1)), apply(matrix, (x2, y2))], False)]
    if name == "rect":
        return Pen(_rectangle(element), matrix).draw()
    rx, ry = (_user(element, "r"),) * 2 if name == "circle" else (_user(element, "rx"), _user(element, "ry"))
    if rx <= 0 or ry <= 0:
        return []  # not drawn, by the standard
    turned = (*matrix[:4], 0.0, 0.0)
    centre = apply(matrix, (_user(element, "cx"), _user(element, "cy")))
    u, v = apply(turned, (rx, 0.0)), apply(turned, (0.0, ry))
    return [(ellipse_points(centre=centre, u=u, v=v, start=0.0, sweep=2 * math.pi), True)]


def _user(element: ET.Element, key: str, default: str = "0") -> float:
    """Give a length in the drawing's own units (a unit of its own is a CSS length: 96 units to the inch)."""
    return _length(element.get(key, default), key) / PIXEL


def _rectangle(element: ET.Element) -> str:
    """Write a rectangle, with its rounded corners, as a path; nothing when it has no size."""
    x, y, w, h = (_user(element, key) for key in ("x", "y", "width", "height"))
    if w <= 0 or h <= 0:
        return ""
    rounds = [None if element.get(key) in (None, "auto") else _user(element, key) for key in ("rx", "ry")]
    rx, ry = (_first(rounds), _first(rounds[::-1]))
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx <= 0 or ry <= 0:
        return f"M{x!r},{y!r}h{w!r}v{h!r}h{-w!r}z"
    arc = f"a{rx!r},{ry!r} 0 0 1 "
    across, down = w - 2 * rx, h - 2 * ry
    return (
        f"M{x + rx!r},{y!r}h{across!r}{arc}{rx!r},{ry!r}v{down!r}{arc}{-rx!r},{ry!r}"
        f"h{-across!r}{arc}{-rx!r},{-ry!r}v{-down!r}{arc}{rx!r},{-ry!r}z"
    )


def _first(values: list[float | None]) -> float:
    return next((value for value in values if value is not None), 0.0)
