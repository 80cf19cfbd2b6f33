"""Sketches of bevelled edges as seen along the edge: the board's end, its angle, how far which face is set back.

Each sketch is lines and texts in millimetres on paper, in a box of WIDE x HIGH with its lower left corner at 0,0; the
board is drawn larger than it is, so the sketch says so.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from foamworks.output.sheets.words import bevel_words
from foamworks.parts.base import Bevel, BoardPart, Point
from foamworks.parts.board.bevels import LONG, section, set_back
from foamworks.parts.board.sheet import Sheet

WIDE, HIGH = 86.0, 34.0  # mm, room for one sketch with its words
BOARD = (36.0, 14.0)  # mm, the largest the drawn end of the board may be
TEXT = 1.9  # mm, height of its capitals: 7.4 points
LOW = 8.0  # mm, from the box's lower edge to the board
ZIGZAG = 1.2  # mm, how far the broken end swings


@dataclass(frozen=True)
class Sketch:
    """Lines, a dashed one square to the faces through the larger one's edge, texts by the left end of the base line."""

    lines: tuple[tuple[Point, ...], ...]
    dashed: tuple[Point, ...]
    texts: tuple[tuple[Point, str], ...]
    right: float = WIDE  # of its box

    def moved(self, across: float, up: float) -> "Sketch":
        """Give the same sketch elsewhere."""

        def there(points: Iterable[Point]) -> tuple[Point, ...]:
            return tuple((across + x, up + y) for x, y in points)

        ends, words = zip(*self.texts, strict=True)
        texts = tuple(zip(there(ends), words, strict=True))
        return Sketch(tuple(map(there, self.lines)), there(self.dashed), texts, self.right + across)


def sketches(sheet: Sheet) -> list[Sketch]:
    """Give a sketch for each different bevel on a sheet, by part number."""
    seen: dict[tuple[int, str, float], tuple[str, BoardPart, Bevel]] = {}
    for piece in sorted(sheet.placed, key=lambda piece: (piece.number, piece.copy)):
        for bevel in piece.part.bevels:
            if bevel.angle:
                key = (piece.number, bevel.what, round(bevel.angle, 6))
                seen.setdefault(key, (f"{piece.number} {piece.part.name}", piece.part, bevel))
    return [_sketch(*found) for found in seen.values()]


def _sketch(name: str, part: BoardPart, bevel: Bevel) -> Sketch:
    depth, t = set_back(bevel, part.thickness_mm), part.thickness_mm
    scale = min(BOARD[0] / (LONG * t + depth), BOARD[1] / t)
    right = 4.0 + BOARD[0]

    def paper(point: Point) -> Point:
        return (right + scale * point[0], LOW + scale * point[1])

    (back, _), *end, (_, top), _ = section(part, bevel)
    left = paper((back, 0.0))[0]
    low, high = LOW, LOW + scale * top
    zigzag = [(left + ZIGZAG * k, low + (high - low) * s) for k, s in ((0, 0), (1, 0.3), (-1, 0.7), (0, 1))]
    board = ((left, low), *(paper(point) for point in end), (left, high))
    beside = right + 3.0
    return Sketch(
        lines=(board, tuple(zigzag)),
        dashed=((right, low - 1.0), (right, high + 1.0)),
        texts=(
            ((0.0, HIGH - 1.5 * TEXT), name),
            ((0.0, HIGH - 3.2 * TEXT), bevel_words(bevel.what, bevel.angle)),
            ((left, high + 0.8), "marked face"),
            ((left, low - 1.9 * TEXT), f"section, {scale:.1f} times as large"),
            ((beside, low + 0.62 * (high - low)), f"{abs(bevel.angle):.3g} deg from square"),
            ((beside, low + 0.62 * (high - low) - 1.6 * TEXT), f"{depth:.2f} mm set back"),
        ),
    )


def columns(count: int, room: float) -> int:
    """Give how many sketches stand side by side in a width [mm]."""
    return max(1, min(count, int(room / WIDE)))


def high_of(count: int, room: float) -> float:
    """Give the height a number of sketches takes in a width [mm]."""
    return HIGH * math.ceil(count / columns(count, room))


def laid(found: Sequence[Sketch], at: Point, room: float) -> list[Sketch]:
    """Lay sketches side by side and row by row in a width [mm], the upper left corner `at`."""
    across = columns(len(found), room)
    return [
        sketch.moved(at[0] + number % across * WIDE, at[1] - (number // across + 1) * HIGH)
        for number, sketch in enumerate(found)
    ]
