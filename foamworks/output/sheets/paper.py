"""A sheet on paper at full size, as tiles for a home printer (A4 or Letter) or as one page for a plotter.

The first page carries what to measure, what the lines mean, which part is which and how the tiles lie; the plotter's
page has this below the sheet. Lines lie where the sheet has them, moved but not scaled; the same sheet gives the same
bytes.
"""

import itertools
import math
from pathlib import Path

from shapely import box

from foamworks.output.pen import SMALLEST, Pen, Style, shortened, text_width, wrapped
from foamworks.output.sheets.paper_labels import Placer
from foamworks.output.sheets.paper_page import (
    View,
    draw_arrow,
    draw_bars,
    draw_labels,
    draw_lines,
    draw_map,
    draw_strokes_text,
    draw_tile,
    map_size,
)
from foamworks.output.sheets.paper_tiles import PAGE_EDGE, PRINTABLE, Plan, plan
from foamworks.output.sheets.section import HIGH, Sketch, columns, high_of, laid, sketches
from foamworks.output.sheets.words import hands, lengths, mass_words, operations, size_words, time_words
from foamworks.output.texts import CUTTING
from foamworks.parts.base import Point
from foamworks.parts.board.sheet import PlacedPart, Sheet
from foamworks.units import if_known, said

SQUARE = 100.0  # mm
MAP_HIGHEST = 48.0  # mm, the map of pages
HEADING = 60.0  # mm, kept for the heading on a page of sections
AIR = 4.0  # mm between the list of parts and the bevels
LINE = 3.6  # mm from line to line of small text
INSET = 8.0  # mm from the printable area's edge to the words: clear of the bars
LEFT, LOW, ROOM = PAGE_EDGE + INSET, PAGE_EDGE + INSET, PRINTABLE[0] - 2 * INSET  # mm, where the words stand
LEGEND: tuple[tuple[Style, str], ...] = (
    ("cut", "cut: all the way through"),
    ("score", "score: to the depth given, not through"),
    ("mark", "mark: with a pen, do not cut"),
    ("fold", "fold: along a score, the scored face outward"),
)
HEADS = ("no.", "part", "here", "of all", "hand", "g each", "note")  # of the list of parts
WIDTHS = (8.0, 52.0, 11.0, 11.0, 16.0, 12.0, 65.0)  # mm
BEFORE_NOTE = sum(WIDTHS[:-1])  # mm
Row = tuple[str, ...]  # one part's line in the list: a cell for each column, and its note
HOW = (
    "Print at 100 %, never fitted to the page; A4 or Letter.",
    "Measure the square, its diagonal and the bars before cutting: a printer may be out of square.",
)
JOIN = "trim right and top edges on the dashed frame and lay them over the neighbours so that the crosses meet."


def write_sheet_pdf(sheet: Sheet, path: Path, plotter: bool = False) -> None:
    """Write a sheet's pages at 1:1: a first page and its tiles, or with `plotter` one page that holds all."""
    pen = Pen(" - ".join(word for word in (sheet.title, sheet.heading) if word))
    if plotter:
        _draw_plot(pen, sheet)
    else:
        tiles = plan(sheet)
        _draw_covers(pen, sheet, tiles)
        for tile in tiles.pages:
            draw_tile(pen, sheet, tiles, tile)
    path.write_bytes(pen.finish())


def _draw_plot(pen: Pen, sheet: Sheet) -> None:
    """Draw the whole sheet on one page, and below it the words of a first page."""
    rows, found = _part_rows(sheet), sketches(sheet)
    below = 175.0 + 2 * LINE * len(rows) + 10.0 * len(sheet.cautions) + high_of(len(found), ROOM)
    wide, high = max(sheet.width, PRINTABLE[0]) + 2 * PAGE_EDGE, sheet.height + below + 3 * PAGE_EDGE
    pen.page(wide, high, "sheet")
    draw_bars(pen, (PAGE_EDGE / 2, PAGE_EDGE / 2), wide - PAGE_EDGE, high - PAGE_EDGE)
    low = high - PAGE_EDGE - sheet.height
    view = View(pen, PAGE_EDGE, low, box(0, 0, sheet.width, sheet.height))
    pieces = list(sheet.placed)
    draw_lines(view, sheet, pieces)
    placer = Placer(view.window, pieces, sheet.edge.exterior)
    draw_strokes_text(view, pieces, placer)
    draw_labels(view, pieces, placer, lambda _: True)
    top = _draw_checks(pen, sheet, None, _draw_heading(pen, sheet, low - PAGE_EDGE))
    _draw_list(pen, rows, top, 0.0)
    _draw_sketches(pen, found, PAGE_EDGE + high_of(len(found), ROOM))


def _part_rows(sheet: Sheet) -> list[Row]:
    """Give the parts of a sheet by number, each once."""
    return [_row(number, pieces) for number, pieces in sheet.by_number.items()]


def _row(number: int, pieces: list[PlacedPart]) -> Row:
    part = pieces[0].part
    mass = if_known(part.mass_g, 1, otherwise="?")
    notes = [*operations(part), "grain along the sheet" if part.grain == "length" else "", part.note]
    cells = (str(number), part.name, str(len(pieces)), str(part.count), " ".join(hands(pieces)), mass)
    return *cells, "; ".join(filter(None, notes))


def _draw_covers(pen: Pen, sheet: Sheet, plan: Plan) -> None:
    """Draw the first page, and more when the list of parts or the bevels run on."""
    rows, found = _part_rows(sheet), sketches(sheet)
    rows, end = _draw_list(pen, rows, _draw_checks(pen, sheet, plan, _headed(pen, sheet, "first page")), LOW)
    for number in itertools.count(2):
        if not rows:
            break
        rows, end = _draw_list(pen, rows, _headed(pen, sheet, f"parts, page {number}"), LOW)
    here = columns(len(found), ROOM) * int((end - AIR - LOW) / HIGH)
    _draw_sketches(pen, found[:here], end - AIR)
    a_page = columns(len(found), ROOM) * int((PRINTABLE[1] - HEADING) / HIGH)
    for number in range(here, len(found), a_page):
        _draw_sketches(pen, found[number : number + a_page], _headed(pen, sheet, "bevels"))


def _headed(pen: Pen, sheet: Sheet, name: str) -> float:
    """Begin a page with its bars and the heading; give where the next thing may begin."""
    pen.page(PRINTABLE[0] + 2 * PAGE_EDGE, PRINTABLE[1] + 2 * PAGE_EDGE, name)
    draw_bars(pen, (PAGE_EDGE, PAGE_EDGE), *PRINTABLE)
    return _draw_heading(pen, sheet, PAGE_EDGE + PRINTABLE[1] - INSET)


def _draw_sketches(pen: Pen, found: list[Sketch], top: float) -> None:
    """Draw the sections of bevelled edges side by side and row by row, from `top` down."""
    for sketch in laid(found, (LEFT, top), ROOM):
        pen.style("cut")
        for points in sketch.lines:
            pen.polyline(points)
        pen.style("frame")
        pen.polyline(sketch.dashed)
        for place, text in sketch.texts:
            pen.text(place, shortened(text, SMALLEST, sketch.right - place[0] - 1))


def _draw_heading(pen: Pen, sheet: Sheet, y: float) -> float:
    """Write title, board and figures, and the stamp if there is one; give where the next thing may begin."""
    if sheet.title:
        y -= 5
        pen.text((LEFT, y), shortened(sheet.title, 15, ROOM), 15, bold=True)
        y -= 1.5
    y -= 4
    pen.text((LEFT, y), shortened(sheet.heading, 11, ROOM), 11, bold=True)
    figures = (
        f"{size_words(sheet)}, millimetres, scale 1:1, "
        f"kerf {sheet.kerf:g} mm; {lengths(sheet)}; {time_words(sheet)}; "
        f"used length {sheet.used_length_mm:.0f} mm, used share {said(sheet.utilisation, '%', 0)}"
        f"{''.join('; ' + words for words in mass_words(sheet))}"
    )
    y = pen.paragraph((LEFT, y - 1), figures, room=ROOM, step=LINE)
    if sheet.stamp:
        for line in wrapped(sheet.stamp, 11, ROOM - 4):
            y -= 6
            pen.style("cut")
            pen.box((LEFT, y - 1.5), text_width(line, 11, bold=True) + 4, 6)
            pen.text((LEFT + 2, y), line, 11, bold=True)
    return y - 3


def _draw_checks(pen: Pen, sheet: Sheet, plan: Plan | None, top: float) -> float:
    """Draw the square to measure, and beside it the legend, how to join, the map and the cautions."""
    _draw_square(pen, (LEFT, top - SQUARE - 1))
    beside, room, y = LEFT + SQUARE + 6, ROOM - (SQUARE + 6), top - 1
    for style, text in LEGEND:
        y -= LINE + 0.6
        pen.style(style)
        pen.line((beside, y + 0.9), (beside + 12, y + 0.9))
        pen.text((beside + 14, y), text)
    y -= LINE + 0.6
    draw_arrow(pen, (beside, y + 0.9), (beside + 12, y + 0.9))
    pen.text((beside + 14, y), "grain of the board")
    y -= 1
    cutting = f"{CUTTING[0].upper()}{CUTTING[1:]}."
    for text in (*HOW, *(_pages_words(plan) if plan else ()), cutting, *sheet.cautions):
        y = pen.paragraph((beside, y - 1), text, room=room, step=LINE)
    if plan:
        wide, high = map_size(sheet, plan, room, MAP_HIGHEST)
        y -= high + 3
        draw_map(pen, sheet, plan, (beside, y), wide)
    return min(y, top - SQUARE - 1) - 4


def _pages_words(plan: Plan) -> list[str]:
    """Say which pages are joined, and that all others hold whole parts."""
    joined, whole = ([tile.name for tile in pages] for pages in (plan.joined, plan.whole))
    if not joined:
        return ["Every part is whole on its page: nothing is joined."]
    named = joined[0] if len(joined) == 1 else f"{joined[0]} to {joined[-1]}"
    words = [f"Pages {named} are joined for what is larger than a page: {JOIN}"]
    return words + (["The numbered pages hold whole parts and are joined to none."] if whole else [])


def _draw_square(pen: Pen, corner: Point) -> None:
    """Draw the square of 100 mm with its diagonal."""
    x, y = corner
    pen.style("bar")
    pen.box(corner, SQUARE, SQUARE)
    pen.line(corner, (x + SQUARE, y + SQUARE))
    pen.middle((x + SQUARE / 2, y + 3), "100 mm", 8)
    pen.middle((x + 3, y + SQUARE / 2), "100 mm", 8, angle=90)
    diagonal = f"diagonal {math.hypot(SQUARE, SQUARE):.1f} mm"
    pen.middle((x + SQUARE / 2 - 2, y + SQUARE / 2 + 2), diagonal, 8, angle=45)


def _draw_list(pen: Pen, rows: list[Row], y: float, low: float) -> tuple[list[Row], float]:
    """Write the list of parts down to `low`; give the rows that found no room, and where the list ends."""
    y -= LINE
    _cells(pen, y, HEADS, bold=True)
    pen.style("bar")
    pen.line((LEFT, y - 1), (LEFT + ROOM, y - 1))
    y -= 1
    for number, row in enumerate(rows):
        first, *rest = wrapped(row[-1], SMALLEST, ROOM - BEFORE_NOTE) or [""]
        if y - LINE * (1 + len(rest)) < low and number:
            return rows[number:], y
        y -= LINE
        _cells(pen, y, (*row[:-1], first))
        for line in rest:
            y -= LINE
            pen.text((LEFT + BEFORE_NOTE, y), line)
    return [], y


def _cells(pen: Pen, y: float, cells: Row, *, bold: bool = False) -> None:
    x = LEFT
    for cell, width in zip(cells, WIDTHS, strict=True):
        pen.text((x, y), shortened(cell, SMALLEST, width - 1), bold=bold)
        x += width
