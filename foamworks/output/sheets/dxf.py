"""A sheet as a DXF drawing in millimetres: what is cut, scored and marked, each on its own layer.

Origin at the sheet's lower left corner, x along its long side. Layers `cut`, `score`, `mark` and `sheet` are told
apart by name and line type; all are drawn in the neutral colour 7 unless four colours are asked for. Words stand on
`sheet` alone. Outlines are closed polylines in cutting order, from the inside out; whole circles are circles, arcs keep
their curve (bulges), all else stays within 0.02 mm of it. The same sheet gives the same bytes.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal

from shapely import LinearRing

from foamworks.output.sheets.arcs import true_circle, with_arcs
from foamworks.output.sheets.label import Anchor, label, upright
from foamworks.output.sheets.look import PLAIN, Look
from foamworks.output.sheets.section import TEXT as SKETCH_TEXT
from foamworks.output.sheets.section import high_of, laid, sketches
from foamworks.output.sheets.words import TEXT, sheet_words
from foamworks.parts.base import Point, Stroke
from foamworks.parts.board.sheet import Sheet, cut_order

# layer -> (line type, what it is, dash pattern in mm: total, dash, gap, ...)
LINE_TYPES: dict[str, tuple[str, str, tuple[float, ...]]] = {
    "cut": ("CONTINUOUS", "cut through", ()),
    "score": ("SCORE_DASHES", "score, not through", (7.0, 5.0, -2.0)),
    "mark": ("MARK_DOTS", "mark with a pen", (2.0, 0.5, -1.5)),
    "sheet": ("SHEET_LONG", "the board's edge and words", (14.0, 10.0, -1.5, 1.0, -1.5)),
}
CHECK = 100.0  # mm, the line to measure after import

# that R12 has no unit in its header is told to whoever asked for logs: it stands beside the sheet
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


def write_sheet_dxf(sheet: Sheet, path: Path, version: Literal["r2010", "r12"] = "r2010", look: Look = PLAIN) -> None:
    """Write a sheet as DXF R2010, or R12 for old controllers (old polylines, no unit in the header)."""
    import ezdxf

    with _fixed_meta_data(ezdxf):
        _draw(sheet, look, modern=version != "r12").saveas(path)
    if sheet.stamp:  # a comment too: the layer cut alone has no words
        path.write_bytes(f"999\n{sheet.stamp}\n".encode() + path.read_bytes())


def _draw(sheet: Sheet, look: Look, *, modern: bool) -> Any:
    from ezdxf.filemanagement import new

    document = new("R2010" if modern else "R12")
    _prepare(document, sheet, look, modern=modern)
    space = document.modelspace()
    if not look.cut_only:  # marked, scored and cut past the corners while the board still holds everything
        for piece in sheet.placed:
            for stroke in sorted(piece.strokes, key=lambda stroke: stroke.layer):
                _add_stroke(space, stroke)
            text, place = label(piece)
            _add_text(space, text, place.middle, place.height, angle=place.angle, anchor="middle")
    for segment in (segment for piece in sheet.placed for segment in piece.overcuts):
        space.add_line(*segment, dxfattribs={"layer": "cut"})
    for ring in cut_order(sheet):
        _add_loop(space, ring)
    if not look.cut_only:
        _add_frame(space, sheet)
        _add_check_line(space)
    for kind in sorted(document.entitydb.dxf_types_in_use()):  # their order would follow the process's hash seed
        document.classes.add_class(kind)
    return document


@contextmanager
def _fixed_meta_data(ezdxf: Any) -> Iterator[None]:
    """Leave times and random names out; the option is the whole process's, so it is put back."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _prepare(document: Any, sheet: Sheet, look: Look, *, modern: bool) -> None:
    """Set unit, layers, line types and the view on the whole drawing."""
    if modern:
        document.units = 4  # millimetres
        document.header["$MEASUREMENT"] = 1  # metric line types
    for layer in look.layers:
        kind, text, pattern = LINE_TYPES[layer]
        if pattern:
            document.linetypes.add(kind, pattern=list(pattern), description=text)
        document.layers.add(layer, color=look.index(layer), linetype=kind)
    low = 0.0 if look.cut_only else _words_end(sheet) - high_of(len(sketches(sheet)), sheet.width)
    document.modelspace().reset_extents((0, low, 0), (sheet.width, sheet.height, 0))
    document.set_modelspace_vport(height=1.1 * (sheet.height - low), center=(sheet.width / 2, (sheet.height + low) / 2))


def _add_loop(space: Any, ring: LinearRing) -> None:
    circle = true_circle(ring)
    if circle is None:
        _add_polyline(space, with_arcs([(x, y) for x, y in ring.coords[:-1]]), "cut", closed=True)
    else:
        centre, radius = circle
        space.add_circle(centre, radius, dxfattribs={"layer": "cut"})


def _add_polyline(space: Any, corners: list[tuple[float, float, float]], layer: str, *, closed: bool) -> None:
    """Add corners with bulges as a light polyline, in R12 as an old one."""
    attributes = {"layer": layer}
    if space.dxfversion > "AC1009":
        space.add_lwpolyline(corners, format="xyb", close=closed, dxfattribs=attributes)
    else:
        space.add_polyline2d(corners, format="xyb", close=closed, dxfattribs=attributes)


def _add_stroke(space: Any, stroke: Stroke) -> None:
    if stroke.text:
        line = upright(stroke)
        _add_text(space, stroke.text, line.at, stroke.height_mm, angle=line.angle, anchor=line.anchor)
    elif len(stroke.points) == 2 and not stroke.closed:
        space.add_line(*stroke.points, dxfattribs={"layer": stroke.layer})
    else:
        _add_polyline(space, [(x, y, 0.0) for x, y in stroke.points], stroke.layer, closed=stroke.closed)


def _add_text(
    space: Any,
    text: str,
    at: Point,
    height: float,
    *,
    angle: float = 0.0,
    anchor: Anchor = "start",
) -> None:
    """Write a text: all words stand on the layer `sheet`, so that no machine takes them for lines to draw."""
    from ezdxf.enums import TextEntityAlignment

    plain = "".join(c if c.isprintable() else " " for c in text).replace("%%", "% %").replace("^", "^ ")
    entity = space.add_text(plain, height=height, rotation=angle, dxfattribs={"layer": "sheet"})
    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.MIDDLE_CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    entity.set_placement(at, align=anchors[anchor])


def _words_end(sheet: Sheet) -> float:
    """Give y below the last line of words."""
    return -(len(sheet_words(sheet)) + 2) * 1.6 * TEXT - 2 * TEXT


def _add_frame(space: Any, sheet: Sheet) -> None:
    """Draw the board's edge, and the words below it."""
    _add_polyline(space, [(x, y, 0.0) for x, y in sheet.edge.exterior.coords[:-1]], "sheet", closed=True)
    for row, words in enumerate(sheet_words(sheet)):
        _add_text(space, words, (0.0, -(row + 3) * 1.6 * TEXT - TEXT), TEXT)
    for sketch in laid(sketches(sheet), (0.0, _words_end(sheet)), sheet.width):
        for points in (*sketch.lines, sketch.dashed):  # larger than life: it stands with the words, off the board
            _add_polyline(space, [(x, y, 0.0) for x, y in points], "sheet", closed=False)
        for at, text in sketch.texts:
            _add_text(space, text, at, SKETCH_TEXT)


def _add_check_line(space: Any) -> None:
    """Draw the line that must measure 100 mm, below the sheet's left end."""
    y = -2.0 * TEXT
    solid = {"layer": "sheet", "linetype": "CONTINUOUS"}
    space.add_line((0, y), (CHECK, y), dxfattribs=solid)
    for x in (0.0, CHECK):
        space.add_line((x, y - TEXT / 4), (x, y + TEXT / 4), dxfattribs=solid)
    _add_text(space, "100 mm", (CHECK + TEXT, y - TEXT / 2), TEXT)
    _add_text(space, "UNITS mm", (CHECK + 9 * TEXT, y - TEXT / 2), TEXT)
