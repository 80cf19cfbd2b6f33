"""The rings that are cut from ply by hand, at full size on paper, to be stuck on it and sawn along the line [mm]."""

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from foamworks.output.pen import SMALLEST, Pen, shortened
from foamworks.output.sheets.paper_page import titled_page
from foamworks.output.sheets.paper_tiles import PRINTABLE
from foamworks.parts.base import BoughtPart, Point

INSET = 12.0  # mm from the printable area's edge to the first ring: clear of the bars
NARROWEST = 74.0  # mm, a ring's room with its words above it
BETWEEN = 6.0  # mm
WORDS = 10.0  # mm above each ring
HEAD = 16.0  # mm on top of a page
CHORD_ERROR = 0.005  # mm
Flat = tuple[BoughtPart, tuple[float, float]]  # with its outer and inner diameter
HOW = "Ply rings at full size: print at 100 %, measure the bars, stick the page on the ply, drill the middle first."


def write_washers(bought: Sequence[BoughtPart], path: Path, *, title: str) -> None:
    """Write the pages of all rings among the bought parts; no file where there are none."""
    flat = [(part, part.ring_mm) for part in bought if part.ring_mm is not None]
    if not flat:
        return
    pen = Pen(f"{title} - ply rings")
    largest = max(outer for _, (outer, _) in flat)
    wide = max(PRINTABLE[0], largest + 2 * INSET)
    high = max(PRINTABLE[1], largest + 2 * INSET + HEAD + WORDS)
    page, left, top = 0, 0.0, 0.0
    for number, (x, y), (part, ring) in _places(flat, wide - 2 * INSET, high - 2 * INSET - HEAD):
        if number != page:
            page = number
            left, top = titled_page(pen, (wide, high), INSET, title, (HOW,), name=f"ply rings {page}")
        _draw(pen, part, ring, (left + x, top - HEAD - y))
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(pen.finish())


def _places(flat: Sequence[Flat], wide: float, high: float) -> Iterator[tuple[int, Point, Flat]]:
    """Give each ring's page, counted from 1, and the upper left corner of its room, x to the right and y downwards."""
    page, x, y, row = 1, 0.0, 0.0, 0.0
    for part, (outer, inner) in flat:
        room = max(outer, NARROWEST)
        if x > 0 and x + room > wide:
            x, y, row = 0.0, y + row, 0.0
        if y > 0 and y + WORDS + outer > high:
            page, x, y, row = page + 1, 0.0, 0.0, 0.0
        yield page, (x, y), (part, (outer, inner))
        x, row = x + room + BETWEEN, max(row, WORDS + outer + BETWEEN)


def _draw(pen: Pen, part: BoughtPart, ring: tuple[float, float], corner: Point) -> None:
    """Draw one ring with its middle marked, its name and its measures above it."""
    (outer, inner), (x, y) = ring, corner
    room = max(outer, NARROWEST)
    pen.text((x, y - 3.5), shortened(part.name, 8, room), 8, bold=True)
    pieces = f"{part.count} piece{'s' if part.count > 1 else ''}: {part.note}"
    pen.text((x, y - 7.5), shortened(pieces, SMALLEST, room))
    middle = (x + outer / 2, y - WORDS - outer / 2)
    pen.style("cut")
    for diameter in (outer, inner):
        pen.polyline(_circle(middle, diameter / 2), closed=True)
    pen.style("bar")
    arm = min(3.0, inner / 3)
    pen.line((middle[0] - arm, middle[1]), (middle[0] + arm, middle[1]))
    pen.line((middle[0], middle[1] - arm), (middle[0], middle[1] + arm))


def _circle(middle: Point, radius: float) -> list[Point]:
    sides = max(16, math.ceil(math.pi / math.acos(1 - min(1.0, CHORD_ERROR / radius))))
    turns = [2 * math.pi * k / sides for k in range(sides)]
    return [(middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn)) for turn in turns]
