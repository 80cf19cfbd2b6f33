"""A sheet on paper at full size, as tiles for a home printer (A4 or Letter) or as one page for a plotter.

The first page carries what to measure, the legend and the list of parts. Lines lie where the sheet has them, moved
but not scaled; the same sheet gives the same bytes.
"""

from pathlib import Path

from shapely import box

from foamworks.output.pen import Pen
from foamworks.output.sheets.paper_cover import (
    LINE,
    draw_checks,
    draw_covers,
    draw_heading,
    draw_list,
    draw_sketches,
    part_rows,
)
from foamworks.output.sheets.paper_labels import Placer
from foamworks.output.sheets.paper_page import (
    View,
    draw_bars,
    draw_labels,
    draw_lines,
    draw_strokes_text,
    draw_tile,
)
from foamworks.output.sheets.paper_tiles import PAGE_EDGE, PRINTABLE, plan
from foamworks.output.sheets.section import high_of, sketches
from foamworks.parts.board.sheet import Sheet

WORDS_WIDTH = PRINTABLE[0] - 16.0  # mm, the square, the legend beside it, and the list of parts below them


def write_sheet_pdf(sheet: Sheet, path: Path, plotter: bool = False) -> None:
    """Write a sheet's pages at 1:1: a first page and its tiles, or with `plotter` one page that holds all."""
    pen = Pen(" - ".join(word for word in (sheet.title, sheet.heading) if word))
    if plotter:
        _draw_plot(pen, sheet)
    else:
        tiles = plan(sheet)
        draw_covers(pen, sheet, tiles)
        for tile in tiles.pages:
            draw_tile(pen, sheet, tiles, tile)
    path.write_bytes(pen.finish())


def _draw_plot(pen: Pen, sheet: Sheet) -> None:
    """Draw the whole sheet on one page, and below it the words of a first page."""
    rows, found = part_rows(sheet), sketches(sheet)
    below = 175.0 + 2 * LINE * len(rows) + 10.0 * len(sheet.cautions) + high_of(len(found), WORDS_WIDTH)
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
    left = PAGE_EDGE + 8.0
    top = draw_heading(pen, sheet, (left, low - PAGE_EDGE), WORDS_WIDTH)
    top = draw_checks(pen, sheet, None, (left, top), WORDS_WIDTH)
    draw_list(pen, rows, (left, top), WORDS_WIDTH, 0.0)
    draw_sketches(pen, found, (left, PAGE_EDGE + high_of(len(found), WORDS_WIDTH)), WORDS_WIDTH)
