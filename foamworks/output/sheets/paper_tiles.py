"""How is a sheet divided into pages? Tiles that fit A4 and Letter, as few as will do, cutting through few parts.

Millimetres in the sheet's axes. A tile keeps 180 x 249 mm (or 249 x 180); around it 5 mm more are printed, so that
neighbours overlap by 10 mm. Columns are lettered from the left, rows numbered from the top.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon, box

from foamworks.parts.board.sheet import Sheet

PRINTABLE = (190.0, 259.0)  # mm, what both A4 (210 x 297) and Letter (215.9 x 279.4) take with 10 mm at the edges
OVERLAP = 10.0  # mm between neighbours
PAGE_EDGE = 10.0  # mm around the printable area; the page itself is as wide as A4 and as high as Letter
STRIP = OVERLAP / 2  # mm printed beyond the kept area on each side
CLEAR = 1.0  # mm a part should keep from a tile's edge to count as whole


@dataclass(frozen=True)
class Tile:
    """One page: its name, its place in the grid and the lower left corner of its kept area on the sheet [mm]."""

    name: str
    column: int
    row: int
    x: float
    y: float


@dataclass(frozen=True)
class Plan:
    """All tiles of a sheet: size kept of one [mm], grid, pages that hold anything; `split` parts are cut through."""

    width: float
    height: float
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    split: int

    def neighbour(self, tile: Tile, across: int, down: int) -> str:
        """Give the name of the printed tile beside this one, empty when there is none."""
        place = (tile.column + across, tile.row + down)
        return next((other.name for other in self.tiles if (other.column, other.row) == place), "")

    def kept(self, tile: Tile) -> Polygon:
        """Give the area that stays when the tiles are joined."""
        return box(tile.x, tile.y, tile.x + self.width, tile.y + self.height)

    def printed(self, tile: Tile) -> Polygon:
        """Give the area that is printed: the kept one and the strips around it."""
        return box(tile.x - STRIP, tile.y - STRIP, tile.x + self.width + STRIP, tile.y + self.height + STRIP)


def plan(sheet: Sheet) -> Plan:
    """Divide a sheet: of upright and lying pages those with the fewer tiles, then the fewer parts cut through."""
    shapes = [piece.cut for piece in sheet.placed] or [box(0, 0, sheet.width, sheet.height)]
    wide, high = PRINTABLE[0] - OVERLAP, PRINTABLE[1] - OVERLAP
    both = [_grid(shapes, wide, high), _grid(shapes, high, wide)]
    return min(both, key=lambda grid: (len(grid.tiles), grid.split))


def _grid(shapes: Sequence[Polygon], width: float, height: float) -> Plan:
    columns, left, split_x = _offset([(s.bounds[0], s.bounds[2]) for s in shapes], width, frozenset())
    rows, low, split = _offset([(s.bounds[1], s.bounds[3]) for s in shapes], height, split_x)
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * width, low + (rows - 1 - row) * height
            if any(shape.intersects(box(x, y, x + width, y + height)) for shape in shapes):
                tiles.append(Tile(f"{_letters(column)}{row + 1}", column, row, x, y))
    return Plan(width, height, columns, rows, tuple(tiles), len(split))


def _offset(
    spans: Sequence[tuple[float, float]], step: float, already: frozenset[int]
) -> tuple[int, float, frozenset[int]]:
    """Give the number of tiles along one axis, where the first begins, and which parts are cut through.

    The grid may slide by what it is longer than the parts need. It is tried at both ends, in the middle, and where a
    line between tiles would just clear a part. `already`: parts that the other axis cuts anyway.
    """
    low, high = min(a for a, _ in spans), max(b for _, b in spans)
    count = max(1, math.ceil((high - low) / step - 1e-9))
    first = high - count * step
    tries = [(first + low) / 2, first, low]
    for a, b in spans:
        for edge in (a - CLEAR, b + CLEAR):
            tries += [edge - k * step for k in range(1, count) if first <= edge - k * step <= low]
    best = min(tries, key=lambda start: len(_cut(spans, start, step, count) | already))
    return count, best, _cut(spans, best, step, count) | already


def _cut(spans: Sequence[tuple[float, float]], start: float, step: float, count: int) -> frozenset[int]:
    lines = [start + k * step for k in range(1, count)]
    return frozenset(
        number for number, (a, b) in enumerate(spans) if any(a - CLEAR / 2 < line < b + CLEAR / 2 for line in lines)
    )


def _letters(column: int) -> str:
    """Name a column: A to Z, then AA.

    >>> [_letters(k) for k in (0, 25, 26)]
    ['A', 'Z', 'AA']
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
