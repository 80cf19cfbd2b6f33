"""How deep two shapes overlap at each lattice offset: the maps the overlap search adds up [lattice steps, 1/8 step].

A map belongs to a fixed form a and a moving shape b in all turns of one half-turn pair. It counts offsets of b's
centre from a's centre. Overlap up to the search's tolerance is 0; deeper is 2 and more, in eighths of a step.
"""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.lattice import Borders, Mask, blocked, borders
from foamworks.parts.nest.shapes import Array, Form, bundle
from foamworks.parts.nest.task import Box

Bytes = NDArray[np.uint8]
Whole = NDArray[np.int64]
Store = dict[tuple[int, int], Bytes]

EASY = 0.5  # steps of overlap that the search lets pass; the linear programme parts what is left
PER_STEP = 8  # units of depth in one lattice step
EASE = 6  # units taken off: the first cell inside the tolerance is half a step deep on average, and counts 2
SIDEWAYS = 8  # lattice steps looked aside for the nearest free place; deeper overlaps are measured along the axes
FAR = 120  # steps, more than any depth that fits a byte


def depth_map(pairs: Borders, half: tuple[int, int], step: float) -> Bytes:
    """Depth at the offsets (i, j) step, |i| <= half[0], |j| <= half[1], from borders eased by EASY steps."""
    xs = np.arange(-half[0], half[0] + 1, dtype=np.float64) * step
    return depth_of(blocked(pairs, xs, -half[1] * step, step, 2 * half[1] + 1))


def depth_of(mask: Mask) -> Bytes:
    """Distance of each blocked cell to the nearest free cell, in units; outside the mask all is free.

    >>> depth_of(np.ones((1, 3), dtype=bool)).tolist()
    [[2, 2, 2]]
    """
    high = _run(mask)
    squared = np.minimum(high, _run(mask.T).T) ** 2
    high *= high
    for aside in range(1, min(SIDEWAYS, len(mask) - 1) + 1):
        lifted = high + np.int16(aside**2)
        np.minimum(squared[:-aside], lifted[aside:], out=squared[:-aside])
        np.minimum(squared[aside:], lifted[:-aside], out=squared[aside:])
    units: Bytes = _units()[squared]
    return units


def _run(mask: Mask) -> NDArray[np.int16]:
    """Steps from each cell to the nearest free cell in its row, at most FAR; beyond the ends all is free."""
    place = np.arange(mask.shape[1], dtype=np.int16)
    before = np.maximum.accumulate(np.where(mask, np.int16(-1), place), axis=1)
    after = np.minimum.accumulate(np.where(mask, np.int16(mask.shape[1]), place)[:, ::-1], axis=1)[:, ::-1]
    return np.minimum(np.minimum(place - before, after - place), np.int16(FAR))


@functools.cache
def _units() -> Bytes:
    """Depth in units by squared distance in steps."""
    steps = np.sqrt(np.arange(FAR**2 + 1))
    return np.asarray(np.clip(np.rint(steps * PER_STEP) - EASE, 0, 255), dtype=np.uint8)


@dataclass(frozen=True)
class Maps:
    """All maps of the shapes on one sheet, in one array of bytes, for scanning and for looking up.

    Forms are numbered through, shape after shape; a family is a shape's turns that lie half a turn apart.
    `start[a, f]` is where the map of fixed form a and moving family f begins, `half[a, f]` its half extents [steps].
    Within a map the four parities of (i, j) stand apart, turns innermost: shape (2, 2, columns, rows, turns).
    A last fixed form, if `anchor` is given, is what is no sheet; its centre lies at `anchor` [steps].
    """

    step: float
    forms: tuple[Form, ...]
    family: tuple[int, ...]
    slot: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]
    data: Bytes
    start: Whole
    half: Whole
    turns: Whole
    anchor: tuple[int, int] | None

    def planes(self, fixed: int, family: int) -> list[Bytes]:
        """Give the four parity planes of a map, each (columns, rows, turns)."""
        columns, rows = (self.half[fixed, family] + 1).tolist()
        count = int(self.turns[family])
        begin = int(self.start[fixed, family])
        size = columns * rows * count
        return [self.data[begin + k * size : begin + (k + 1) * size].reshape(columns, rows, count) for k in range(4)]

    def rewrite(self, fixed: int, family: int, maps: Sequence[Bytes]) -> None:
        """Put other maps of the same extents, one for each turn, in the place of a map."""
        begin, block = int(self.start[fixed, family]), _parities(np.stack(maps, axis=-1)).ravel()
        self.data[begin : begin + block.size] = block

    def look(self, fixed: Whole, family: int, slot: Whole | int, offset_x: Whole, offset_y: Whole) -> Whole:
        """Depths of a moving family's turns (`slot`) at offsets from fixed forms [steps]."""
        half_x, half_y = self.half[fixed, family, 0], self.half[fixed, family, 1]
        x, y = offset_x + half_x, offset_y + half_y
        outside = (x < 0) | (y < 0) | (x > 2 * half_x) | (y > 2 * half_y)
        plane = (x & 1) * 2 + (y & 1)
        cell = (plane * (half_x + 1) + (x >> 1)) * (half_y + 1) + (y >> 1)
        cell = self.start[fixed, family] + cell * self.turns[family] + slot
        cell[outside] = len(self.data) - 1  # the last byte is 0
        return np.asarray(self.data[cell], dtype=np.int64)


def make_maps(
    shapes: Sequence[Sequence[Form]],
    turns: Sequence[Sequence[int]],
    *,
    solid: Sequence[Array],
    box: Box,
    step: float,
    made: Store | None = None,
) -> Maps:
    """Make the maps of some shapes on a sheet whose free box is `box`; `solid` is what inside it is no sheet.

    `made` keeps single maps for later calls with the same shapes and the same step.
    """
    forms = [form for row in shapes for form in row]
    groups = [families(row) for row in turns]
    first = np.cumsum([0] + [len(row) for row in shapes]).tolist()
    members = [tuple(first[k] + turn for turn in group) for k in range(len(shapes)) for group in groups[k]]
    maker = _Maker(forms, [(k, turn % 360) for k, row in enumerate(turns) for turn in row], step, made)
    rows = [[[maker.get(a, b) for b in group] for group in members] for a in range(len(forms))]
    anchor = None
    if solid:
        size = [int((box[k + 2] - box[k]) / step) for k in (0, 1)]
        anchor = (size[0] // 2, size[1] // 2)
        rows.append([[solid_map(solid, forms[b], box, anchor, step) for b in group] for group in members])
    return _pack(rows, forms, members, anchor, step)


def _pack(
    rows: Sequence[Sequence[Sequence[Bytes]]],
    forms: Sequence[Form],
    members: Sequence[tuple[int, ...]],
    anchor: tuple[int, int] | None,
    step: float,
) -> Maps:
    start = np.zeros((len(rows), len(members)), dtype=np.int64)
    half = np.zeros((len(rows), len(members), 2), dtype=np.int64)
    blocks, end = [], 0
    for a, row in enumerate(rows):
        for f, group in enumerate(row):
            block = _parities(np.stack(group, axis=-1))
            start[a, f], half[a, f] = end, [side // 2 for side in group[0].shape]
            end += block.size
            blocks.append(block.ravel())
    place = {form: (f, slot) for f, group in enumerate(members) for slot, form in enumerate(group)}
    family, slot = (tuple(place[form][k] for form in range(len(forms))) for k in (0, 1))
    data = np.concatenate([*blocks, np.zeros(1, dtype=np.uint8)])
    turns = np.asarray([len(group) for group in members], dtype=np.int64)
    return Maps(step, tuple(forms), family, slot, tuple(members), data, start, half, turns, anchor)


def _parities(stack: Bytes) -> Bytes:
    columns, rows, turns = stack.shape
    out = np.zeros((2, 2, columns // 2 + 1, rows // 2 + 1, turns), dtype=np.uint8)
    for x in (0, 1):
        for y in (0, 1):
            part = stack[x::2, y::2]
            out[x, y, : part.shape[0], : part.shape[1]] = part
    return out


def pair_map(fixed: Form, moving: Form, step: float, easy: float = EASY) -> Bytes:
    """Map of a moving form about a fixed one; `easy` steps of overlap count as none."""
    half = extents(fixed.reach, moving.reach, step)
    return depth_map(borders(fixed.grown, moving.grown, easy * step), half, step)


def solid_map(
    solid: Sequence[Array], form: Form, box: Box, anchor: tuple[int, int], step: float, easy: float = EASY
) -> Bytes:
    """Map of a form about what is no sheet."""
    centre = np.asarray([box[k] + anchor[k] * step for k in (0, 1)])
    pairs = borders(bundle([part - centre for part in solid]), bundle(form.bare), easy * step)
    return depth_map(pairs, (anchor[0] + 2, anchor[1] + 2), step)


class _Maker:
    """Makes each map once: swapped pairs, half turns and quarter turns of a pair are the same map turned."""

    def __init__(
        self, forms: Sequence[Form], names: Sequence[tuple[int, int]], step: float, made: Store | None
    ) -> None:
        self.forms, self.names, self.step = forms, names, step
        self._number = {name: index for index, name in enumerate(names)}
        self._made = {} if made is None else made

    def get(self, a: int, b: int) -> Bytes:
        """Give the map of moving form b about fixed form a, (columns, rows)."""
        (fixed, moving), quarters = self._same(a, b)
        key = (id(self.forms[fixed]), id(self.forms[moving]))
        made = self._made.get(key)
        if made is None:
            made = pair_map(self.forms[fixed], self.forms[moving], self.step)
            self._made[key] = made
        return _turned_map(made, quarters)

    def _same(self, a: int, b: int) -> tuple[tuple[int, int], int]:
        """Give the pair to make, and by how many quarters its map is looked at turned."""
        best = ((a, b), 0)
        for quarter in range(4):
            pair = [self._number.get((self.names[k][0], (self.names[k][1] + 90 * quarter) % 360)) for k in (a, b)]
            if pair[0] is not None and pair[1] is not None:
                best = min(best, ((pair[0], pair[1]), quarter), ((pair[1], pair[0]), (quarter + 2) % 4))
        return best


def _turned_map(values: Bytes, quarters: int) -> Bytes:
    """Read a map at offsets turned by quarters: entry (x, y) is the map's at the turned (x, y).

    >>> _turned_map(np.array([[1, 2, 3]], dtype=np.uint8), 3).tolist()
    [[3], [2], [1]]
    """
    if quarters == 0:
        return values
    if quarters == 2:
        return values[::-1, ::-1]
    return values.T[:, ::-1] if quarters == 1 else values.T[::-1]


def map_bytes(shapes: Sequence[Sequence[Form]], step: float) -> int:
    """Memory that the maps of some shapes take at a step, without what is no sheet."""
    reach = np.asarray([form.reach for row in shapes for form in row])
    columns, rows = ((2 * (reach[:, None, k] + reach[None, :, k]) / step + 3).astype(np.int64) for k in (0, 1))
    return int((columns * rows).sum())


def extents(a: tuple[float, float], b: tuple[float, float], step: float) -> tuple[int, int]:
    """Half extents of a map [steps]: beyond them the shapes cannot touch."""
    return int((a[0] + b[0]) / step + 1e-6) + 1, int((a[1] + b[1]) / step + 1e-6) + 1


def families(turns: Sequence[int]) -> list[tuple[int, ...]]:
    """Group turn indices that are half a turn apart: their boxes are the same.

    >>> families((0, 90, 180, 270))
    [(0, 2), (1, 3)]
    """
    groups: dict[int, list[int]] = {}
    for index, turn in enumerate(turns):
        groups.setdefault(turn % 180, []).append(index)
    return [tuple(group) for group in groups.values()]
