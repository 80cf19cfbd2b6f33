"""How is a sheet divided into pages? Tiles that fit A4 and Letter, as few as will do, cutting through few parts.

Millimetres in the sheet's axes. A tile keeps 180 x 249 mm (or 249 x 180); around it 5 mm more are printed, so that
neighbours overlap by 10 mm. Columns are lettered from the left, rows numbered from the top. A part that a joint would
cut, though one page holds it, has it whole on a page of its own besides, named +1, +2, ...; no page's edge runs along a
cut.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import Polygon, box

from foamworks.parts.board.sheet import Sheet

PRINTABLE = (190.0, 259.0)  # mm, what both A4 (210 x 297) and Letter (215.9 x 279.4) take with 10 mm at the edges
OVERLAP = 10.0  # mm between neighbours
PAGE_EDGE = 10.0  # mm around the printable area; the page itself is as wide as A4 and as high as Letter
STRIP = OVERLAP / 2  # mm printed beyond the kept area on each side
BAR = 1.0  # mm from the printed area's edge to its scale bars
CLEAR = 1.0  # mm a part should keep from a tile's edge to count as whole
BESIDE = 0.5  # mm: a cut nearer to a page's edge than this runs along it
SLIDES = 60  # small steps in which the grid is tried

Array = npt.NDArray[np.float64]
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Tile:
    """One page: its name, its place in the grid, the lower left corner and the size of its kept area [mm, sheet].

    A page of whole parts stands outside the grid: its column and row are -1.
    """

    name: str
    column: int
    row: int
    x: float
    y: float
    width: float
    height: float

    @property
    def alone(self) -> bool:
        """Tell whether this page joins no other: it shows whole parts."""
        return self.column < 0

    @property
    def kept(self) -> Polygon:
        """Give the area that stays when the tiles are joined."""
        return box(self.x, self.y, self.x + self.width, self.y + self.height)

    @property
    def printed(self) -> Polygon:
        """Give the area that is printed: the kept one and the strips around it."""
        reach = (self.x + self.width + STRIP, self.y + self.height + STRIP)
        return box(self.x - STRIP, self.y - STRIP, *reach)


@dataclass(frozen=True)
class Plan:
    """All tiles of a sheet: size kept of one [mm], grid, pages that hold anything; `split` parts are cut through.

    `whole` are the pages besides, for those of the split parts that one page holds.
    """

    width: float
    height: float
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    split: int
    whole: tuple[Tile, ...] = ()

    def neighbour(self, tile: Tile, across: int, down: int) -> str:
        """Give the name of the printed tile beside this one, empty when there is none."""
        place = (tile.column + across, tile.row + down)
        return next((other.name for other in self.tiles if (other.column, other.row) == place), "")


def plan(sheet: Sheet) -> Plan:
    """Divide a sheet: of upright and lying pages those with the fewer tiles, then the fewer parts cut through."""
    shapes = [piece.cut for piece in sheet.placed] or [box(0, 0, sheet.width, sheet.height)]
    wide, high = PRINTABLE[0] - OVERLAP, PRINTABLE[1] - OVERLAP
    edges = _edges([piece.cut for piece in sheet.placed])
    both = [_grid(shapes, edges, wide, high), _grid(shapes, edges, high, wide)]
    grid = min(both, key=lambda grid: (len(grid.tiles), grid.split))
    return replace(grid, whole=_whole_pages(shapes, grid))


def _edges(shapes: Sequence[Polygon]) -> tuple[Array, Array]:
    """Give x of all straight cuts that run upright and y of all that run level: no page's edge shall lie on one."""
    found: tuple[list[float], list[float]] = ([], [])
    for ring in (ring for shape in shapes for ring in (shape.exterior, *shape.interiors)):
        for p, q in pairwise(ring.coords):
            for axis in (0, 1):
                if abs(p[axis] - q[axis]) < BESIDE and abs(p[1 - axis] - q[1 - axis]) > CLEAR:
                    found[axis].append((p[axis] + q[axis]) / 2)
    return np.array(sorted(set(found[0]))), np.array(sorted(set(found[1])))


def _grid(shapes: Sequence[Polygon], edges: tuple[Array, Array], width: float, height: float) -> Plan:
    columns, left, split_x = _offset([(s.bounds[0], s.bounds[2]) for s in shapes], edges[0], width, frozenset())
    rows, low, split = _offset([(s.bounds[1], s.bounds[3]) for s in shapes], edges[1], height, split_x)
    tiles = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * width, low + (rows - 1 - row) * height
            if any(shape.intersects(box(x, y, x + width, y + height)) for shape in shapes):
                tiles.append(Tile(f"{_letters(column)}{row + 1}", column, row, x, y, width, height))
    return Plan(width, height, columns, rows, tuple(tiles), len(split))


def _whole_pages(shapes: Sequence[Polygon], grid: Plan) -> tuple[Tile, ...]:
    """Give further pages for the parts that no tile keeps whole and a page holds: as many parts a page as it takes."""
    kept = [tile.kept for tile in grid.tiles]
    cut = [shape.bounds for shape in shapes if not any(area.covers(shape) for area in kept)]
    clear = ((grid.width, grid.height), (grid.height, grid.width))  # of the bars
    full = tuple((w + OVERLAP, h + OVERLAP) for w, h in clear)
    waiting = sorted(b for b in cut if any(_fits(b, size) for size in full))
    pages: list[Tile] = []
    while waiting:
        sizes = clear if any(_fits(waiting[0], size) for size in clear) else full
        tries = [(_held(waiting, low, size), size) for size in sizes for low in sorted({b[1] for b in waiting})]
        held, (w, h) = max(tries, key=lambda found: len(found[0]))
        middle = [(min(b[k] for b in held) + max(b[k + 2] for b in held)) / 2 for k in (0, 1)]
        wide, high = (w, h) if sizes is clear else (w - OVERLAP, h - OVERLAP)
        corner = (middle[0] - wide / 2, middle[1] - high / 2)
        pages.append(Tile(f"+{len(pages) + 1}", -1, -1, *corner, wide, high))
        waiting = [b for b in waiting if b not in held]
    return tuple(pages)


def _fits(bounds: Box, size: tuple[float, float]) -> bool:
    return bounds[2] - bounds[0] <= size[0] and bounds[3] - bounds[1] <= size[1]


def _held(waiting: Sequence[Box], low: float, size: tuple[float, float]) -> list[Box]:
    """Give the boxes that a page holds from the leftmost box's left edge and from `low` on, that box among them."""
    left, right, top = waiting[0][0], waiting[0][0] + size[0], low + size[1]
    held = [b for b in waiting if b[0] >= left and b[1] >= low and b[2] <= right and b[3] <= top]
    return held if waiting[0] in held else []


def _offset(
    spans: Sequence[tuple[float, float]], edges: Array, step: float, already: frozenset[int]
) -> tuple[int, float, frozenset[int]]:
    """Give the number of tiles along one axis, where the first begins, and which parts are cut through.

    The grid may slide by what it is longer than the parts need. It is tried at both ends, in the middle, where a line
    between tiles would just clear a part, and in small steps: first of all no edge of a page may run along a cut
    (`edges`). `already`: parts that the other axis cuts anyway.
    """
    low, high = min(a for a, _ in spans) - CLEAR, max(b for _, b in spans) + CLEAR
    count = max(1, math.ceil((high - low) / step - 1e-9))
    first = high - count * step
    tries = [(first + low) / 2, first, low]
    for a, b in spans:
        for edge in (a - CLEAR, b + CLEAR):
            tries += [edge - k * step for k in range(1, count) if first <= edge - k * step <= low]
    tries += [first + (low - first) * k / SLIDES for k in range(1, SLIDES)]
    best = min(tries, key=lambda s: (_along(edges, s, step, count), len(_cut(spans, s, step, count) | already)))
    return count, best, _cut(spans, best, step, count) | already


def _along(edges: Array, start: float, step: float, count: int) -> int:
    """Count the cuts that an edge of a page would run along: of what is kept, of what is printed, or a scale bar."""
    beside = (-STRIP, BAR - STRIP, 0.0, STRIP - BAR, STRIP)
    lines = np.add.outer(start + step * np.arange(count + 1), beside).ravel()
    return int((np.abs(np.subtract.outer(edges, lines)) < BESIDE).any(axis=1).sum())


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
