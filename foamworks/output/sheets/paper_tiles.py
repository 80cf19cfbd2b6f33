"""Which pages does a sheet on paper take? Every part that one page holds is whole on one, and drawn on no other.

Millimetres in the sheet's axes. Only what is larger than a page is joined of tiles: a tile keeps 180 x 249 mm (or 249 x
180); around it 5 mm more are printed, so that neighbours overlap by 10 mm. Columns are lettered from the left, rows
numbered from the top. A tile shows the smaller parts too that lie whole on it; the others share pages of their own,
named 1, 2, ..., each a window on the sheet. No page's edge runs along a cut.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt
from shapely import Polygon, box

from foamworks.parts.base import Point
from foamworks.parts.board.sheet import Sheet

PRINTABLE = (190.0, 259.0)  # mm, what both A4 (210 x 297) and Letter (215.9 x 279.4) take with 10 mm at the edges
OVERLAP = 10.0  # mm between neighbours
PAGE_EDGE = 10.0  # mm around the printable area; the page itself is as wide as A4 and as high as Letter
STRIP = OVERLAP / 2  # mm printed beyond the kept area on each side
BAR = 1.0  # mm from the printed area's edge to its scale bars
CLEAR = 2.0  # mm a part keeps from a tile's edge to count as whole
BESIDE = 1.0  # mm: a cut nearer to a page's edge than this runs along it
SLIDES = 60  # small steps in which the grid is tried
CLEAR_OF_BARS = ((PRINTABLE[0] - OVERLAP, PRINTABLE[1] - OVERLAP), (PRINTABLE[1] - OVERLAP, PRINTABLE[0] - OVERLAP))
FULL = (PRINTABLE, PRINTABLE[::-1])  # what the whole printed area holds, either way

Array = npt.NDArray[np.float64]
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Tile:
    """One page: its name, the lower left corner and the size of its kept area [mm, sheet], its place in the grid.

    `parts`: the numbers, in the sheet's list, of those that lie whole on this page. A page of whole parts alone stands
    outside the grid: its column and row are -1.
    """

    name: str
    x: float
    y: float
    width: float
    height: float
    parts: frozenset[int]
    column: int = -1
    row: int = -1

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
    """All pages of a sheet: `joined` tiles for the parts that are too `large` for a page, `whole` ones for the rest."""

    joined: tuple[Tile, ...]
    whole: tuple[Tile, ...]
    large: frozenset[int]

    @property
    def pages(self) -> tuple[Tile, ...]:
        """Give all pages in the order in which they are printed."""
        return (*self.joined, *self.whole)

    def neighbour(self, tile: Tile, across: int, down: int) -> str:
        """Give the name of the printed tile beside this one, empty when there is none."""
        place = (tile.column + across, tile.row + down)
        return next((other.name for other in self.joined if (other.column, other.row) == place), "")


def plan(sheet: Sheet) -> Plan:
    """Divide a sheet: of upright and lying tiles those with which there are fewer pages."""
    shapes = [piece.cut for piece in sheet.placed] or [sheet.edge]
    edges = _edges([*(piece.cut for piece in sheet.placed), sheet.edge])
    large = frozenset(i for i, s in enumerate(shapes) if not any(_fits(s.bounds, size) for size in FULL))
    both = [_divided(shapes, edges, large, size) for size in CLEAR_OF_BARS[: 2 if large else 1]]
    return min(both, key=lambda found: len(found.pages))


def _divided(shapes: Sequence[Polygon], edges: tuple[Array, Array], large: frozenset[int], size: Point) -> Plan:
    joined = _grid(shapes, edges, large, size) if large else ()
    waiting = set(range(len(shapes))) - large - {i for tile in joined for i in tile.parts}
    return Plan(joined, _whole_pages({i: shapes[i].bounds for i in waiting}, edges), large)


def _edges(shapes: Sequence[Polygon]) -> tuple[Array, Array]:
    """Give x of all straight cuts that run upright and y of all that run level: no page's edge shall lie on one."""
    found: tuple[list[float], list[float]] = ([], [])
    for ring in (ring for shape in shapes for ring in (shape.exterior, *shape.interiors)):
        for p, q in pairwise(ring.coords):
            for axis in (0, 1):
                if abs(p[axis] - q[axis]) < BESIDE and abs(p[1 - axis] - q[1 - axis]) > CLEAR:
                    found[axis].append((p[axis] + q[axis]) / 2)
    return np.array(sorted(set(found[0]))), np.array(sorted(set(found[1])))


def _grid(
    shapes: Sequence[Polygon], edges: tuple[Array, Array], large: frozenset[int], size: Point
) -> tuple[Tile, ...]:
    """Give the tiles that hold anything of the large parts, each with the smaller parts that are whole on it."""
    (columns, left), (rows, low) = (
        _offset([(s.bounds[k], s.bounds[k + 2]) for s in shapes], edges[k], large, size[k]) for k in (0, 1)
    )
    tiles: list[Tile] = []
    homeless = set(range(len(shapes))) - large
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * size[0], low + (rows - 1 - row) * size[1]
            tile = Tile(f"{_letters(column)}{row + 1}", x, y, *size, frozenset(), column, row)
            if any(shapes[i].intersects(tile.kept) for i in large):
                clear = tile.kept.buffer(-CLEAR, join_style="mitre")
                here = frozenset(i for i in homeless if clear.covers(shapes[i]))
                homeless -= here
                tiles.append(replace(tile, parts=here))
    return tuple(tiles)


def _whole_pages(waiting: dict[int, Box], edges: tuple[Array, Array]) -> tuple[Tile, ...]:
    """Give the pages for the parts with these boxes: as many of them on a page as it takes."""
    pages: list[Tile] = []
    while waiting:
        first = min(waiting, key=lambda i: waiting[i])
        sizes = CLEAR_OF_BARS if any(_fits(waiting[first], size) for size in CLEAR_OF_BARS) else FULL
        lows = sorted({b[1] for b in waiting.values()})
        tries = [(_held(waiting, first, low, size), size) for size in sizes for low in lows]
        held, (w, h) = max(tries, key=lambda found: len(found[0]))
        boxes = [waiting.pop(i) for i in held]
        kept = (w, h) if sizes is CLEAR_OF_BARS else (w - OVERLAP, h - OVERLAP)
        corner = [_around(min(b[k] for b in boxes), max(b[k + 2] for b in boxes), kept[k], edges[k]) for k in (0, 1)]
        pages.append(Tile(f"{len(pages) + 1}", corner[0], corner[1], *kept, frozenset(held)))
    return tuple(pages)


def _around(low: float, high: float, step: float, edges: Array) -> float:
    """Give where a page of this size begins that holds all from `low` to `high`: in the middle, or a little beside it.

    So that neither a cut nor the board's edge runs along an edge of the page or a scale bar.
    """
    middle, slack = (low + high - step) / 2, max(step - (high - low), 0.0) / 2
    tries = [middle + slack * k / SLIDES for k in sorted(range(-SLIDES, SLIDES + 1), key=abs)]
    return min(tries, key=lambda start: _along(edges, start, step, 1))


def _fits(bounds: Box, size: Point) -> bool:
    return bounds[2] - bounds[0] <= size[0] and bounds[3] - bounds[1] <= size[1]


def _held(waiting: dict[int, Box], first: int, low: float, size: Point) -> list[int]:
    """Give the parts that a page holds from the first one's left edge and from `low` on, the first among them."""
    left, right, top = waiting[first][0], waiting[first][0] + size[0], low + size[1]
    held = [i for i, b in waiting.items() if b[0] >= left and b[1] >= low and b[2] <= right and b[3] <= top]
    return held if first in held else []


def _offset(spans: Sequence[Point], edges: Array, large: frozenset[int], step: float) -> tuple[int, float]:
    """Give the number of tiles that the large parts take along one axis, and where the first begins.

    The grid may slide by what it is longer than they need. It is tried at both ends, in the middle, where a line
    between tiles would just clear a part, and in small steps: first of all no edge of a page may run along a cut
    (`edges`), then few parts are to be cut.
    """
    low = min(spans[i][0] for i in large) - CLEAR
    high = max(spans[i][1] for i in large) + CLEAR
    count = max(1, math.ceil((high - low) / step - 1e-9))
    first = high - count * step
    tries = [(first + low) / 2, first, low]
    for a, b in spans:
        for edge in (a - CLEAR, b + CLEAR):
            tries += [edge - k * step for k in range(1, count) if first <= edge - k * step <= low]
    tries += [first + (low - first) * k / SLIDES for k in range(1, SLIDES)]
    rows = np.array(spans)
    return count, min(tries, key=lambda start: (_along(edges, start, step, count), _cut(rows, start, step, count)))


def _along(edges: Array, start: float, step: float, count: int) -> int:
    """Count the cuts that an edge of a page would run along: of what is kept, of what is printed, or a scale bar."""
    beside = (-STRIP, BAR - STRIP, 0.0, STRIP - BAR, STRIP)
    lines = np.add.outer(start + step * np.arange(count + 1), beside).ravel()
    return int((np.abs(np.subtract.outer(edges, lines)) < BESIDE).any(axis=1).sum())


def _cut(spans: Array, start: float, step: float, count: int) -> int:
    """Count the parts, (n, 2) from their least to their greatest, that an edge of a page would run through."""
    lines = start + step * np.arange(count + 1)
    inside = (spans[:, :1] - CLEAR / 2 < lines) & (lines < spans[:, 1:] + CLEAR / 2)
    return int(inside.any(axis=1).sum())


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
