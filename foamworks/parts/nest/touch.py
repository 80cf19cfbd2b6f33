"""Exact places: where a shape touches what lies on a sheet, though the lattice has no free point there [mm].

A place is that of the lower left corner of a shape's box, from the free box's. It is free outside the no-fit areas of
all pairs of convex parts. Free regions are closed, so even a single point counts; those between the lattice points are
found at the corners of the no-fit areas: where borders of two of them meet, or one and an edge of the lattice cell.
"""

import math
from collections.abc import Callable, Sequence

import numpy as np

from foamworks.parts.nest.lattice import TOUCH, Mask, Whole, press, sheet_mask
from foamworks.parts.nest.nofit import Sides, half_planes, joined, sides_of
from foamworks.parts.nest.shapes import Array, Form, bundle
from foamworks.parts.nest.task import Sheet

REACH = math.sqrt(0.5) + 1e-9  # lattice steps from a place to the nearest lattice point, at most
CHUNK = 48  # cells looked at together
MOST_CELLS = 480  # looked at in one call; a cell without a free place is never looked at again
MANY_SIDES = 60  # in one cell, beyond which it is quartered
DEPTH = 5  # times a cell is quartered at most
SLIDES = 4  # times a part is slid left and then down
PARALLEL = 1e-9  # sine of the angle between two lines that do not meet
FAR = 1e9  # mm, beyond any sheet
Place = tuple[float, float]
Laid = tuple[Form, float, float]


class Touching:
    """Exact places of one form on a sheet that is being filled. `near` marks the cells that can have none."""

    def __init__(self, sheet: Sheet, form: Form, room: Place, step: float) -> None:
        self.form, self.room, self.step = form, np.asarray(room), step
        near = sheet_mask(sheet.box, sheet.solid, form, step, REACH * step)
        self.near: Mask = np.zeros((0, 0), dtype=bool) if near is None else near
        self._areas: list[Sides] = []
        self._boxes: list[tuple[float, float, float, float]] = []
        if sheet.solid:
            corner = np.asarray(sheet.box[:2]) + form.half
            self._areas.append(sides_of(half_planes(bundle(sheet.solid), bundle(form.bare))).moved(-corner))
            self._boxes.append((-FAR, -FAR, FAR, FAR))

    def add(self, laid: Sequence[Laid], sides: Callable[[Form], Sides]) -> None:
        """Take in parts laid since; `sides` gives the no-fit areas about a laid form."""
        press(self.near, laid, self.form, self.step, REACH * self.step)
        for other, x, y in laid:
            middle = np.asarray([x + other.half[0] - self.form.half[0], y + other.half[1] - self.form.half[1]])
            span = np.asarray(other.reach) + self.form.reach
            self._areas.append(sides(other).moved(middle))
            self._boxes.append((*(middle - span).tolist(), *(middle + span).tolist()))

    def best(self, taken: Mask, free: Place | None, axis: int = 0) -> Place | None:
        """Give a touching place left of a free lattice place, or else where that touches when it is slid.

        Axis 1: below it.
        """
        if free is not None:
            free = self.slide(free, axis)
        end = float(self.room[axis]) + self.step if free is None else free[axis] - TOUCH
        corner = self._corner(taken, end, axis)
        return free if corner is None else self.slide(corner, axis)

    def slide(self, place: Place, axis: int = 0) -> Place:
        """Move a free place left and down, or down and left, until it touches."""
        now = list(place)
        for _ in range(SLIDES):
            old = tuple(now)
            for k in (axis, 1 - axis):
                now[k] = self._back(k, now[k], now[1 - k])
            if max(old[0] - now[0], old[1] - now[1]) < TOUCH:
                break
        return now[0], now[1]

    def _back(self, axis: int, begin: float, aside: float) -> float:
        """Go back along an axis to the first no-fit area or to 0."""
        sides = self._within((-FAR, aside, begin, aside) if axis == 0 else (aside, -FAR, aside, begin))
        if sides is None:
            return 0.0
        along, rest = sides.normal[:, axis], sides.offset - sides.normal[:, 1 - axis] * aside
        flat = np.abs(along) < PARALLEL
        safe = np.where(flat, 1.0, along)
        inner = (rest - TOUCH) / safe  # of areas a little smaller: an overlap by TOUCH does not count
        missed = flat & (rest <= TOUCH)
        end = -sides.most(-np.where(~flat & (along > 0), inner, FAR)[None])[0]
        start = sides.most(np.where(missed, FAR, np.where(~flat & (along < 0), inner, -FAR))[None])[0]
        stop = -sides.most(-np.where(~flat & (along > 0), rest / safe, FAR)[None])[0]
        before = stop[(start < end) & (end <= begin)]
        return min(begin, max(0.0, float(before.max(initial=0.0))))

    def _corner(self, taken: Mask, end: float, axis: int) -> Place | None:
        """Find the first free place below `end` along an axis in cells that have no free lattice point near."""
        near, taken = (self.near, taken) if axis == 0 else (self.near.T, taken.T)
        lines = max(0, min(len(near), math.ceil(end / self.step + 0.5)))
        thin = ~(near[:lines] | _beside(taken, lines, near.shape[1]))
        cells = np.argwhere(thin)[:MOST_CELLS, :: 1 - 2 * axis]
        for start in range(0, len(cells), CHUNK):
            found = self._in_cells(cells[start : start + CHUNK])
            first = min(found, key=lambda place: (place[axis], place), default=None)
            if first is not None and first[axis] < end:
                return first
        return None

    def _in_cells(self, cells: Whole) -> list[Place]:
        """Give the leftmost free place of each cell that has one; the others are marked."""
        low, high = (np.clip((cells + off) * self.step, 0.0, self.room) for off in (-0.5, 0.5))
        sides = self._within((*low.min(axis=0).tolist(), *high.max(axis=0).tolist()))
        if sides is None:
            return [(float(x), float(y)) for x, y in low]
        covered, touched, border = _seen_from(sides, low, high)
        found = []
        for n, cell in enumerate(cells.tolist()):
            place = None
            if not covered[n]:
                place = _free_corner(sides.take(touched[n], border[n]), low[n], high[n])
            if place is None:
                self.near[cell[0], cell[1]] = True
            else:
                found.append(place)
        return found

    def _within(self, box: tuple[float, float, float, float]) -> Sides | None:
        """Give the no-fit areas of the parts that reach into a box of places."""
        if not self._boxes:
            return None
        boxes = np.asarray(self._boxes)
        inside = (boxes[:, :2] <= np.asarray(box[2:]) + TOUCH) & (boxes[:, 2:] >= np.asarray(box[:2]) - TOUCH)
        chosen = np.flatnonzero(inside.all(axis=1)).tolist()
        return joined([self._areas[index] for index in chosen]) if chosen else None


def _beside(taken: Mask, columns: int, rows: int) -> Mask:
    """Mark the lattice points that are free or have a free neighbour."""
    free: Mask = np.zeros((columns + 2, rows + 2), dtype=bool)
    part = ~taken[: columns + 1, :rows]
    free[1 : len(part) + 1, 1 : part.shape[1] + 1] = part
    across = free[:-2] | free[1:-1] | free[2:]
    return np.asarray(across[:, :-2] | across[:, 1:-1] | across[:, 2:])


def _seen_from(sides: Sides, low: Array, high: Array) -> tuple[Mask, Mask, Mask]:
    """Tell which cells lie in one area (cells), which areas reach into a cell (cells, areas), and which sides do."""
    value = sides.over((low + high) / 2)
    half = (high - low) / 2
    swing = half[:, :1] * np.abs(sides.normal[:, 0]) + half[:, 1:] * np.abs(sides.normal[:, 1])
    covered: Mask = np.logical_or.reduce(sides.most(value + swing) < -TOUCH, axis=1)
    return covered, sides.most(value - swing) < -TOUCH, np.abs(value) <= swing + TOUCH


def _free_corner(areas: Sides, low: Array, high: Array, depth: int = 0) -> Place | None:
    """Find a free place of a cell, the leftmost and then the lowest where two sides or its edges meet.

    A cell with many sides is quartered first: about a single free point most of them are far apart.
    """
    if len(areas.offset) > MANY_SIDES and depth < DEPTH:
        return _quartered(areas, low, high, depth + 1)
    normal = np.concatenate([areas.normal, [(1.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.0, 1.0)]])
    offset = np.concatenate([areas.offset, [low[0], high[0], low[1], high[1]]])
    one, two = np.triu_indices(len(offset), 1)
    points = _meetings(normal[one], offset[one], normal[two], offset[two])
    inside = ((points >= low - TOUCH) & (points <= high + TOUCH)).all(axis=1)
    points = np.clip(points[inside], low, high)
    _, kept = np.unique(np.round(points, 7), axis=0, return_index=True)
    for start in range(0, len(kept), CHUNK):
        block = points[kept[start : start + CHUNK]]
        free = (areas.most(areas.over(block)) >= -TOUCH).all(axis=1) if len(areas.first) else np.ones(len(block))
        if free.any():
            x, y = block[int(free.argmax())].tolist()
            return x, y
    return None


def _quartered(areas: Sides, low: Array, high: Array, depth: int) -> Place | None:
    middle = (low + high) / 2
    for corner in np.asarray([(0, 0), (0, 1), (1, 0), (1, 1)]):
        begin, end = np.where(corner, middle, low), np.where(corner, high, middle)
        covered, touched, border = _seen_from(areas, begin[None], end[None])
        if not covered[0]:
            place = _free_corner(areas.take(touched[0], border[0]), begin, end, depth)
            if place is not None:
                return place
    return None


def _meetings(normal: Array, offset: Array, other: Array, beyond: Array) -> Array:
    """Where lines N.t = C meet others; far away where they are parallel."""
    turn = normal[:, 0] * other[:, 1] - normal[:, 1] * other[:, 0]
    meets = np.abs(turn) > PARALLEL
    safe = np.where(meets, turn, 1.0)
    x = (offset * other[:, 1] - beyond * normal[:, 1]) / safe
    y = (normal[:, 0] * beyond - other[:, 0] * offset) / safe
    return np.where(meets[:, None], np.stack([x, y], axis=1), FAR)
