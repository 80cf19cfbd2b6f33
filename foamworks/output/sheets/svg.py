"""A sheet as an SVG picture in millimetres, one group for each layer, as the work goes: mark, score, cut; and sheet.

The picture's unit is the millimetre, its size the board, or board and words below it where these are asked for. SVG
counts y downwards, so the sheet is turned over: y in the file is the sheet's height less y on the sheet. Of cut paths
whole circles are circles and arcs are arcs, as in the DXF. The same sheet gives the same bytes.
"""

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

import shapely
from shapely import LinearRing, Polygon

from foamworks.output.sheets.arcs import true_circle, with_arcs
from foamworks.output.sheets.label import Anchor, Fit, fit, label, largest, upright
from foamworks.output.sheets.look import PLAIN, Look
from foamworks.output.sheets.section import TEXT as SKETCH_TEXT
from foamworks.output.sheets.section import high_of, laid, sketches
from foamworks.output.sheets.words import TEXT, sheet_words
from foamworks.parts.base import Point
from foamworks.parts.board.sheet import PlacedPart, Sheet, cut_order

# layer -> stroke width [mm], dashes [mm]
LAYERS: dict[str, tuple[float, str]] = {
    "mark": (0.25, "0.6 1.2"), "score": (0.25, "5 2"), "cut": (0.3, "none"), "sheet": (0.2, "10 1.5 1 1.5"),
}  # fmt: skip
CAPITAL = 0.73  # height of a capital in a plain font, of the font's size
CHECK = 100.0  # mm
STAMP_SHARE = 0.9  # of its height: how wide a letter of the stamp is at most
STAMP_LEAST, STAMP_CLEAR = 10.0, 5.0  # mm: height of its letters beside the parts, and how far it keeps from these
FILLED = 'fill="black" stroke="none"'


def sheet_svg(sheet: Sheet, look: Look = PLAIN) -> str:
    """Give a sheet as the text of an SVG file."""
    title = " - ".join(word for word in (sheet.title, sheet.heading, sheet.stamp) if word)
    beside, low = _beside(sheet) if look.words and not look.cut_only else ([], 0.0)
    high = sheet.height - low
    size = f'width="{sheet.width:g}mm" height="{high:g}mm" viewBox="0 0 {sheet.width:g} {high:g}"'
    rows = [f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" fill="none" font-family="sans-serif">']
    rows.append(f"<title>{_clean(title)}</title>")
    for layer in look.layers:
        width, dashes = LAYERS[layer]
        drawn = f'stroke="{look.stroke(layer)}" stroke-width="{width}" stroke-dasharray="{dashes}"'
        rows.append(f'<g id="{layer}" {drawn}>')
        rows += _layer(sheet, layer)
        rows += beside if layer == "sheet" else []
        rows.append("</g>")
    return "\n".join([*rows, "</svg>", ""])


def _layer(sheet: Sheet, layer: str) -> list[str]:
    h = sheet.height
    if layer == "cut":
        past = [_path(segment, h, closed=False) for piece in sheet.placed for segment in piece.overcuts]
        return [*past, *(_loop(ring, h) for ring in cut_order(sheet))]
    strokes = [stroke for piece in sheet.placed for stroke in piece.strokes]
    if layer != "sheet":
        return [_path(s.points, h, closed=s.closed) for s in strokes if s.layer == layer and not s.text]
    rows = [_path(sheet.edge.exterior.coords[:-1], h, closed=True)]
    for stroke in strokes:
        if stroke.text:
            line = upright(stroke)
            rows.append(_text(line.at, stroke.text, stroke.height_mm, h, angle=line.angle, anchor=line.anchor))
    return [*rows, *(_label(piece, h) for piece in sheet.placed), *_stamp(sheet)]


def _stamp(sheet: Sheet) -> list[str]:
    """Write the stamp in hollow letters on the largest place free of parts; without one across the board, over them."""
    if not sheet.stamp:
        return []
    length, tallest = STAMP_SHARE * len(sheet.stamp), sheet.height / 4
    parts = shapely.union_all([Polygon(piece.cut.exterior) for piece in sheet.placed]).buffer(STAMP_CLEAR)
    free = largest(sheet.edge.difference(parts))
    across = Fit((sheet.width / 2, sheet.height / 2), 0.0, min(tallest, sheet.width / length))
    beside = fit(free, length=length, tallest=tallest) if free else across
    place = beside if beside.height >= STAMP_LEAST else across
    hollow = 'stroke-width="0.8" stroke-dasharray="none"'
    return [
        _text(_base(place), sheet.stamp, place.height, sheet.height, angle=place.angle, anchor="middle", ink=hollow)
    ]


def _beside(sheet: Sheet) -> tuple[list[str], float]:
    """Write what stands below the board: the line to measure, the words, the bevels; give the lower edge too."""
    words, h, y = sheet_words(sheet), sheet.height, -1.6 * TEXT
    low = -(len(words) + 3) * 1.6 * TEXT
    line = _path([(0.0, y), (CHECK, y)], h, closed=False).replace("<path", '<path stroke-dasharray="none"')
    rows = [line, _text((CHECK + TEXT, y - TEXT / 2), "100 mm", TEXT, h)]
    rows += [_text((0.0, -(row + 3) * 1.6 * TEXT), words_line, TEXT, h) for row, words_line in enumerate(words)]
    found = sketches(sheet)
    for sketch in laid(found, (0.0, low), sheet.width):
        solid = [_path(points, h, closed=False) for points in sketch.lines]
        rows += [f'<g stroke-dasharray="none">{"".join(solid)}</g>', _path(sketch.dashed, h, closed=False)]
        rows += [_text(at, text, SKETCH_TEXT, h) for at, text in sketch.texts]
    return rows, low - high_of(len(found), sheet.width)


def _label(piece: PlacedPart, h: float) -> str:
    text, found = label(piece)
    return _text(_base(found), text, found.height, h, angle=found.angle, anchor="middle")


def _base(place: Fit) -> Point:
    """Give the middle of a text's base line."""
    turn, down = math.radians(place.angle), place.height / 2
    return place.middle[0] + down * math.sin(turn), place.middle[1] - down * math.cos(turn)


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:.10g}"


def _path(points: Sequence[Point], h: float, *, closed: bool) -> str:
    steps = " ".join(f"{_number(x)},{_number(h - y)}" for x, y in points)
    return f'<path d="M{steps}{"Z" if closed else ""}"/>'


def _loop(ring: LinearRing, h: float) -> str:
    circle = true_circle(ring)
    if circle is not None:
        (x, y), radius = circle
        return f'<circle cx="{_number(x)}" cy="{_number(h - y)}" r="{_number(radius)}"/>'
    corners = with_arcs([(x, y) for x, y in ring.coords[:-1]])
    steps = [f"M{_number(corners[0][0])},{_number(h - corners[0][1])}"]
    for (x, y, bulge), (to_x, to_y, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
        kind = "L"
        if bulge:  # the tangent of a quarter of the turn: radius by the chord, over half a turn above 1
            size = _number(math.hypot(to_x - x, to_y - y) * (1 + bulge**2) / (4 * abs(bulge)))
            kind = f"A{size},{size} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} "  # left is against the clock
        steps.append(f"{kind}{_number(to_x)},{_number(h - to_y)}")
    return f'<path d="{" ".join(steps if corners[-1][2] else steps[:-1])}Z"/>'


def _text(
    at: Point,
    text: str,
    height: float,
    h: float,
    *,
    angle: float = 0.0,
    anchor: Anchor = "start",
    ink: str = FILLED,
) -> str:
    """Write a text whose capitals are `height` [mm] tall; `anchor`: which point of its base line lies at `at`."""
    x, y = _number(at[0]), _number(h - at[1])
    turn = f" transform={quoteattr(f'rotate({_number(-angle)} {x} {y})')}" if angle else ""
    held = "" if anchor == "start" else f' text-anchor="{anchor}"'
    size = _number(height / CAPITAL)
    return f'<text x="{x}" y="{y}" font-size="{size}" {ink}{held}{turn}>{_clean(text)}</text>'


def _clean(text: str) -> str:
    return escape("".join(c if c.isprintable() else " " for c in text))
