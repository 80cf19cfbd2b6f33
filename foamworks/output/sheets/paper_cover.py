"""The first page of a sheet's print: what to check, what the lines mean, which part is which, how the tiles lie."""

import itertools
import math

from foamworks.output.pen import SMALLEST, Pen, Style, shortened, text_width, wrapped
from foamworks.output.sheets.paper_page import draw_arrow, draw_bars, draw_map, map_size
from foamworks.output.sheets.paper_tiles import PAGE_EDGE, PRINTABLE, Plan
from foamworks.output.sheets.section import HIGH, Sketch, columns, laid, sketches
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
LEGEND: tuple[tuple[Style, str], ...] = (
    ("cut", "cut: all the way through"),
    ("score", "score: to the depth given, not through"),
    ("mark", "mark: with a pen, do not cut"),
    ("fold", "fold: along a score, the scored face outward"),
)
COLUMNS = (("no.", 8.0), ("part", 52.0), ("here", 11.0), ("of all", 11.0), ("hand", 16.0), ("g each", 12.0))  # mm
BEFORE_NOTE = sum(width for _, width in COLUMNS)  # mm
Row = tuple[str, ...]  # one part's line in the list: a cell for each column, and its note
HOW = (
    "Print at 100 %, never fitted to the page; A4 or Letter.",
    "Measure the square, its diagonal and the bars before cutting: a printer may be out of square.",
)
JOIN = "trim right and top edges on the dashed frame and lay them over the neighbours so that the crosses meet."


def part_rows(sheet: Sheet) -> list[Row]:
    """Give the parts of a sheet by number, each once."""
    return [_row(number, pieces) for number, pieces in sheet.by_number.items()]


def _row(number: int, pieces: list[PlacedPart]) -> Row:
    part = pieces[0].part
    mass = if_known(part.mass_g, 1, otherwise="?")
    notes = [*operations(part), "grain along the sheet" if part.grain == "length" else "", part.note]
    cells = (str(number), part.name, str(len(pieces)), str(part.count), " ".join(hands(pieces)), mass)
    return *cells, "; ".join(filter(None, notes))


def draw_covers(pen: Pen, sheet: Sheet, plan: Plan) -> None:
    """Draw the first page, and more when the list of parts or the bevels run on."""
    rows, found, room, low = part_rows(sheet), sketches(sheet), PRINTABLE[0] - 2 * INSET, PAGE_EDGE + INSET
    left, top = _headed(pen, sheet, "first page", room)
    rows, end = draw_list(pen, rows, (left, draw_checks(pen, sheet, plan, (left, top), room)), room, low)
    for number in itertools.count(2):
        if not rows:
            break
        rows, end = draw_list(pen, rows, _headed(pen, sheet, f"parts, page {number}", room), room, low)
    here = columns(len(found), room) * int((end - AIR - low) / HIGH)
    draw_sketches(pen, found[:here], (left, end - AIR), room)
    a_page = columns(len(found), room) * int((PRINTABLE[1] - HEADING) / HIGH)
    for number in range(here, len(found), a_page):
        draw_sketches(pen, found[number : number + a_page], _headed(pen, sheet, "bevels", room), room)


def _headed(pen: Pen, sheet: Sheet, name: str, room: float) -> Point:
    """Begin a page with its bars and the heading; give where the next thing may begin."""
    pen.page(PRINTABLE[0] + 2 * PAGE_EDGE, PRINTABLE[1] + 2 * PAGE_EDGE, name)
    draw_bars(pen, (PAGE_EDGE, PAGE_EDGE), *PRINTABLE)
    left = PAGE_EDGE + INSET
    return left, draw_heading(pen, sheet, (left, PAGE_EDGE + PRINTABLE[1] - INSET), room)


def draw_sketches(pen: Pen, found: list[Sketch], at: Point, room: float) -> None:
    """Draw the sections of bevelled edges side by side and row by row, from `at` down."""
    for sketch in laid(found, at, room):
        pen.style("cut")
        for points in sketch.lines:
            pen.polyline(points)
        pen.style("frame")
        pen.polyline(sketch.dashed)
        for place, text in sketch.texts:
            pen.text(place, shortened(text, SMALLEST, sketch.right - place[0] - 1))


def draw_heading(pen: Pen, sheet: Sheet, at: Point, room: float) -> float:
    """Write title, board and figures, and the stamp if there is one; give where the next thing may begin."""
    x, y = at
    if sheet.title:
        y -= 5
        pen.text((x, y), shortened(sheet.title, 15, room), 15, bold=True)
        y -= 1.5
    y -= 4
    pen.text((x, y), shortened(sheet.heading, 11, room), 11, bold=True)
    figures = (
        f"{size_words(sheet)}, millimetres, scale 1:1, "
        f"kerf {sheet.kerf:g} mm; {lengths(sheet)}; {time_words(sheet)}; "
        f"used length {sheet.used_length_mm:.0f} mm, used share {said(sheet.utilisation, '%', 0)}"
        f"{''.join('; ' + words for words in mass_words(sheet))}"
    )
    y = pen.paragraph((x, y - 1), figures, room=room, step=LINE)
    if sheet.stamp:
        for line in wrapped(sheet.stamp, 11, room - 4):
            y -= 6
            pen.style("cut")
            pen.box((x, y - 1.5), text_width(line, 11, bold=True) + 4, 6)
            pen.text((x + 2, y), line, 11, bold=True)
    return y - 3


def draw_checks(pen: Pen, sheet: Sheet, plan: Plan | None, at: Point, room: float) -> float:
    """Draw the square to measure, and beside it the legend, how to join, the map and the cautions."""
    x, top = at
    draw_square(pen, (x, top - SQUARE - 1))
    beside, y = x + SQUARE + 6, top - 1
    room -= SQUARE + 6
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


def draw_square(pen: Pen, corner: Point) -> None:
    """Draw the square of 100 mm with its diagonal."""
    x, y = corner
    pen.style("bar")
    pen.box(corner, SQUARE, SQUARE)
    pen.line(corner, (x + SQUARE, y + SQUARE))
    pen.middle((x + SQUARE / 2, y + 3), "100 mm", 8)
    pen.middle((x + 3, y + SQUARE / 2), "100 mm", 8, angle=90)
    diagonal = f"diagonal {math.hypot(SQUARE, SQUARE):.1f} mm"
    pen.middle((x + SQUARE / 2 - 2, y + SQUARE / 2 + 2), diagonal, 8, angle=45)


def draw_list(pen: Pen, rows: list[Row], at: Point, room: float, low: float) -> tuple[list[Row], float]:
    """Write the list of parts down to `low`; give the rows that found no room, and where the list ends."""
    x, y = at
    y -= LINE
    _cells(pen, (x, y), (*(name for name, _ in COLUMNS), "note"), room, bold=True)
    pen.style("bar")
    pen.line((x, y - 1), (x + room, y - 1))
    y -= 1
    for number, row in enumerate(rows):
        first, *rest = wrapped(row[-1], SMALLEST, room - BEFORE_NOTE) or [""]
        if y - LINE * (1 + len(rest)) < low and number:
            return rows[number:], y
        y -= LINE
        _cells(pen, (x, y), (*row[:-1], first), room)
        for line in rest:
            y -= LINE
            pen.text((x + BEFORE_NOTE, y), line)
    return [], y


def _cells(pen: Pen, at: Point, cells: Row, room: float, *, bold: bool = False) -> None:
    x, y = at
    for cell, width in zip(cells, (*(width for _, width in COLUMNS), room - BEFORE_NOTE + 1), strict=True):
        pen.text((x, y), shortened(cell, SMALLEST, width - 1), bold=bold)
        x += width
