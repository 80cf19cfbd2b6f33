"""What is written on each part of a printed tile, and where: inside when it fits, else beside it with a line to it.

Millimetres in the sheet's axes, sizes in points. Nothing is smaller than 7 points and nothing lies across the
tile's kept area.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import numpy as np
import shapely
from shapely import Polygon, box
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from foamworks.output.pen import CAPITAL, MM, SMALLEST, text_width
from foamworks.output.sheets.label import fit, largest, line
from foamworks.parts.base import Point
from foamworks.parts.board.sheet import PlacedPart

LARGEST = 10.0  # pt, a label's largest letters
LEADING = 1.25  # of the size, from line to line
AIR = 0.7  # mm around a label
LATTICE = 2.0  # mm, step of the places that are tried beside a part
REACHES = (30.0, 70.0)  # mm, how far from its part a label is looked for, both ways: first near, then farther
CHOICE = 100  # nearest free places that are looked at more closely
DETOUR = 200.0  # mm, as which it counts when a label's line runs over another part or text


@dataclass(frozen=True)
class Label:
    """Lines of text about `middle`, turned by `angle` [deg], the first bold; `lead` runs from the text to its part."""

    lines: tuple[str, ...]
    middle: Point
    angle: float = 0.0
    size: float = SMALLEST
    lead: tuple[Point, Point] | None = None

    @property
    def extent(self) -> tuple[float, float]:
        """Give width and height [mm]."""
        return block(self.lines, self.size)

    @property
    def area(self) -> Polygon:
        """Give the area the label takes on the sheet."""
        (w, h), (x, y) = self.extent, self.middle
        upright = box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)
        turned: Polygon = rotate(upright, self.angle, origin=self.middle)
        return turned


def block(lines: Sequence[str], size: float) -> tuple[float, float]:
    """Give width and height [mm] of lines of text, the first one bold."""
    wide = max(text_width(line, size, bold=k == 0) for k, line in enumerate(lines))
    return wide, ((len(lines) - 1) * LEADING + CAPITAL) * size / MM


def wordings(piece: PlacedPart) -> list[tuple[str, ...]]:
    """Give what a part's label says, from the fullest wording to the shortest."""
    part = piece.part
    count, thick = f"{piece.copy} of {part.count}", f"{part.thickness_mm:g} mm"
    board = f"{part.board}, {thick}"
    mass = [f"{part.mass_g:.1f} g"] if math.isfinite(part.mass_g) else []
    line = ", ".join([piece.label, count, *mass])
    return [
        (piece.label, count, part.board, ", ".join([thick, *mass])),
        (piece.label, ", ".join([count, *mass]), board),
        (f"{line}, {board}",),
        (piece.label, ", ".join([count, *mass])),
        (line,),
        (f"{piece.label}, {count}",),
        (piece.label,),
    ]


@dataclass
class Placer:
    """Places labels on one tile. `room` is the tile's kept area, `edge` the board's; `taken` grows with each label."""

    room: Polygon
    pieces: Sequence[PlacedPart]
    edge: BaseGeometry = field(default_factory=Polygon)
    taken: list[BaseGeometry] = field(default_factory=list)

    @cached_property
    def _parts(self) -> BaseGeometry:
        return _prepared(shapely.union_all([piece.cut for piece in self.pieces]))

    @cached_property
    def _lines(self) -> BaseGeometry:
        return _prepared(shapely.union_all([piece.cut.boundary for piece in self.pieces]))

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree([piece.cut for piece in self.pieces])

    def place(self, piece: PlacedPart, *, full: bool) -> Label | None:
        """Place a part's label: all of it on the tile that shows most of the part, number and name on the others."""
        visible = largest(piece.cut.intersection(self.room))
        if visible.is_empty:
            return None
        words = wordings(piece) if full else [(piece.label,), (str(piece.number),)]
        lines = shapely.union_all([line(stroke) for stroke in piece.strokes if not stroke.text])
        clear = largest(visible.difference(lines.buffer(AIR)))
        beside = [*words[3:4], words[-1]] if full else words[:1]
        number: list[tuple[str, ...]] = [(str(piece.number),)]
        label = (
            self._inside(clear, words[:4])
            or self._inside(visible, words)
            or self._beside(piece, visible, beside, crossing=False)
            or self._inside(visible, number)
            or self._beside(piece, visible, number, crossing=False)
            or self._beside(piece, visible, [*beside, *number], crossing=True)
            or Label(number[0], _heart(visible))
        )
        if label.lead:
            self.taken.append(shapely.LineString(label.lead))
        self.taken.append(label.area.buffer(AIR))
        return label

    def _inside(self, visible: Polygon, words: Sequence[tuple[str, ...]]) -> Label | None:
        free = largest(visible.difference(shapely.union_all(self.taken)))
        if free.is_empty:
            return None
        for lines in words:
            wide, high = block(lines, 1.0)
            found = fit(free, length=wide / high, tallest=LARGEST * high)
            size = found.height / high
            if size >= SMALLEST:
                return Label(lines, found.middle, found.angle, round(size, 2))
        return None

    def _beside(
        self, piece: PlacedPart, visible: Polygon, words: Sequence[tuple[str, ...]], *, crossing: bool
    ) -> Label | None:
        """Find the nearest free place for a label: in no part at all, or when its line may cross others, in another."""
        target = _heart(visible)
        for obstacles in (self._parts, self._lines) if crossing else (self._parts,):
            for wording, reach in product(words, REACHES if crossing else REACHES[:1]):
                middle = self._free_place(block(wording, SMALLEST), target, piece, obstacles, reach, crossing)
                if middle is not None:
                    label = Label(wording, middle)
                    start = shapely.shortest_line(label.area, shapely.Point(target)).coords[0]
                    return Label(wording, middle, lead=((float(start[0]), float(start[1])), target))
        return None

    def _free_place(
        self,
        extent: tuple[float, float],
        target: Point,
        piece: PlacedPart,
        obstacles: BaseGeometry,
        reach: float,
        may_cross: bool,
    ) -> Point | None:
        half = (extent[0] / 2 + AIR, extent[1] / 2 + AIR)
        around = box(*shapely.Point(target).buffer(reach).bounds)
        left, low, right, high = self.room.intersection(around).bounds
        xs = np.arange(left + half[0], right - half[0] + 1e-9, LATTICE)
        ys = np.arange(low + half[1], high - half[1] + 1e-9, LATTICE)
        if not xs.size or not ys.size:
            return None
        x, y = (axis.ravel() for axis in np.meshgrid(xs, ys))
        boxes = shapely.box(x - half[0], y - half[1], x + half[0], y + half[1])
        taken = _prepared(shapely.union_all([one for one in self.taken if one.intersects(around)]))
        free = ~np.logical_or.reduce([shapely.intersects(shape, boxes) for shape in (obstacles, taken, self.edge)])
        if not free.any():
            return None
        away = np.round(np.hypot(x - target[0], y - target[1]), 3)
        near = np.argsort(np.where(free, away, np.inf), kind="stable")[: min(CHOICE, int(free.sum()))]
        x, y = x[near], y[near]
        leads = shapely.linestrings(np.stack([np.stack([x, y], 1), np.broadcast_to(target, (x.size, 2))], 1))
        leads_at, parts_at = self._tree.query(leads, predicate="intersects")
        own = next(k for k, other in enumerate(self.pieces) if other is piece)
        crossing = shapely.intersects(taken, leads)
        crossing[leads_at[parts_at != own]] = True
        if crossing.all() and not may_cross:
            return None
        best = int(np.argmin(away[near] + DETOUR * crossing))
        return float(x[best]), float(y[best])

    def arrow(self, piece: PlacedPart) -> tuple[Point, Point] | None:
        """Find room for an arrow along the grain inside a part; None when there is none."""
        visible = largest(piece.cut.intersection(self.room))
        free = visible and largest(visible.difference(shapely.union_all(self.taken)))
        if not free:
            return None
        found = fit(free, length=8.0, tallest=3.0, turned=False)
        if found.height < 1.2:
            return None
        (x, y), reach = found.middle, 4.0 * found.height
        self.taken.append(box(x - reach, y - 1, x + reach, y + 1))
        return (x - reach, y), (x + reach, y)


def _heart(shape: Polygon) -> Point:
    """Give the middle of the largest circle inside."""
    x, y = shapely.maximum_inscribed_circle(shape, tolerance=0.1).coords[0]
    return float(x), float(y)


def _prepared(shape: BaseGeometry) -> BaseGeometry:
    shapely.prepare(shape)
    return shape
