"""A sheet as an SVG picture in millimetres, one group for each layer, as the work goes: mark, score, cut; and sheet.

The picture's unit is the millimetre, its size the board and the words below it. SVG counts y downwards, so the sheet
is turned over: y in the file is the sheet's height less y on the sheet. The same sheet gives the same bytes.
"""

import math
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from foamworks.errors import OutputError
from foamworks.output.sheets.label import Anchor, label, upright
from foamworks.output.sheets.section import TEXT as SKETCH_TEXT
from foamworks.output.sheets.section import columns, corner, high_of, sketches
from foamworks.output.sheets.words import TEXT, sheet_words
from foamworks.parts.base import Point
from foamworks.parts.board.sheet import PlacedPart, Sheet, cut_order

# layer -> stroke width [mm], dashes [mm]
LAYERS: dict[str, tuple[float, str]] = {
    "mark": (0.25, "0.6 1.2"), "score": (0.25, "5 2"), "cut": (0.3, "none"), "sheet": (0.2, "10 1.5 1 1.5"),
}  # fmt: skip
CAPITAL = 0.73  # height of a capital in a plain font, of the font's size
CHECK = 100.0  # mm


def write_sheet_svg(sheet: Sheet, path: Path) -> None:
    """Write a sheet as SVG."""
    try:
        path.write_text(sheet_svg(sheet), encoding="utf-8", newline="\n")
    except OSError as fault:
        raise OutputError(f"{path}: cannot be written ({fault.strerror})") from fault


def sheet_svg(sheet: Sheet) -> str:
    """Give a sheet as the text of an SVG file."""
    words = sheet_words(sheet)
    low = -(len(words) + 3) * 1.6 * TEXT
    drawn, lowest = _sketches(sheet, low)
    high = sheet.height - lowest
    size = f'width="{sheet.width:g}mm" height="{high:g}mm" viewBox="0 0 {sheet.width:g} {high:g}"'
    rows = [f'<svg xmlns="http://www.w3.org/2000/svg" {size} fill="none" stroke="black" font-family="sans-serif">']
    rows.append(f"<title>{_clean(words[0])}</title>")
    for layer, (width, dashes) in LAYERS.items():
        rows.append(f'<g id="{layer}" stroke-width="{width}" stroke-dasharray="{dashes}">')
        rows += _layer(sheet, layer, words)
        rows += drawn if layer == "sheet" else []
        rows.append("</g>")
    return "\n".join([*rows, "</svg>", ""])


def _layer(sheet: Sheet, layer: str, words: Sequence[str]) -> list[str]:
    h = sheet.height
    if layer == "cut":
        past = [_path(segment, h, closed=False) for piece in sheet.placed for segment in piece.overcuts]
        return [*past, *(_path(ring.coords[:-1], h, closed=True) for ring in cut_order(sheet))]
    if layer == "sheet":
        edge = sheet.edge.exterior.coords[:-1]
        texts = [_text((0.0, -(row + 3) * 1.6 * TEXT), line, TEXT, h) for row, line in enumerate(words)]
        return [_path(edge, h, closed=True), *texts]
    rows = []
    for stroke in (stroke for piece in sheet.placed for stroke in piece.strokes if stroke.layer == layer):
        if stroke.text is None:
            rows.append(_path(stroke.points, h, closed=stroke.closed))
        else:
            line = upright(stroke)
            rows.append(_text(line.at, stroke.text, stroke.height_mm, h, angle=line.angle, anchor=line.anchor))
    return rows + _marks(sheet) if layer == "mark" else rows


def _sketches(sheet: Sheet, top: float) -> tuple[list[str], float]:
    """Draw the bevels' sections from `top` down; give the picture's lower edge too."""
    found, h = sketches(sheet), sheet.height
    drawn = []
    for number, sketch in enumerate(found):
        x, y = corner(number, columns(len(found), sheet.width))
        shift = [[(x + px, top + y + py) for px, py in points] for points in (*sketch.lines, sketch.dashed)]
        solid = [_path(points, h, closed=False) for points in shift[:-1]]
        drawn += [f'<g stroke-dasharray="none">{"".join(solid)}</g>', _path(shift[-1], h, closed=False)]
        drawn += [_text((x + px, top + y + py), text, SKETCH_TEXT, h) for (px, py), text in sketch.texts]
    return drawn, top - high_of(len(found), sheet.width)


def _marks(sheet: Sheet) -> list[str]:
    """Give the parts' labels and the line to measure."""
    y = -1.6 * TEXT
    check = _path([(0.0, y), (CHECK, y)], sheet.height, closed=False)
    name = _text((CHECK + TEXT, y - TEXT / 2), "100 mm", TEXT, sheet.height)
    return [*(_label(piece, sheet.height) for piece in sheet.placed), check, name]


def _label(piece: PlacedPart, h: float) -> str:
    found = label(piece)
    turn = math.radians(found.angle)
    down = found.height / 2
    base = (found.middle[0] + down * math.sin(turn), found.middle[1] - down * math.cos(turn))
    return _text(base, found.text, found.height, h, angle=found.angle, anchor="middle")


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:.10g}"


def _path(points: Sequence[Point], h: float, *, closed: bool) -> str:
    steps = " ".join(f"{_number(x)},{_number(h - y)}" for x, y in points)
    return f'<path d="M{steps}{"Z" if closed else ""}"/>'


def _text(
    at: Point,
    text: str,
    height: float,
    h: float,
    *,
    angle: float = 0.0,
    anchor: Anchor = "start",
) -> str:
    """Write a text whose capitals are `height` [mm] tall; `anchor`: which point of its base line lies at `at`."""
    x, y = _number(at[0]), _number(h - at[1])
    turn = f" transform={quoteattr(f'rotate({_number(-angle)} {x} {y})')}" if angle else ""
    held = "" if anchor == "start" else f' text-anchor="{anchor}"'
    size = _number(height / CAPITAL)
    return f'<text x="{x}" y="{y}" font-size="{size}" fill="black" stroke="none"{held}{turn}>{_clean(text)}</text>'


def _clean(text: str) -> str:
    return escape("".join(c if c.isprintable() else " " for c in text))
