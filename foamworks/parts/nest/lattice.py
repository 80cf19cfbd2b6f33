"""Where one shape may lie beside others on a lattice of offsets: which lattice points are taken [mm].

Each pair of convex parts takes, at each x, the open interval of y between its lower and its upper border; borders are
the least and the greatest of straight lines. Exact along y, so the lattice alone decides what is lost.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.shapes import Array, Bundle, Form, bundle, facing, products

TOUCH = 1e-7  # mm, overlap that rounding may cause and that does not count
CHUNK = 1_000_000  # numbers in one intermediate array at most, 8 MB
Mask = NDArray[np.bool_]
Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Borders:
    """What each pair of convex parts takes: y < level - slope x above, y > below, left < x < right.

    `above`, `below` are levels and slopes (2, pairs, sides); `left`, `right` (pairs).
    """

    above: Array
    below: Array
    left: Array
    right: Array


def borders(fixed: Bundle, moving: Bundle, ease: float = 0.0) -> Borders:
    """Borders of the offsets at which convex parts of `moving` overlap those of `fixed` by more than `ease` [mm]."""
    above = np.concatenate(
        [_lines(fixed, moving, fixed.upper, ease), _mirrored(fixed, moving, moving.lower, ease)], axis=3
    )
    below = np.concatenate(
        [_lines(fixed, moving, fixed.lower, ease), _mirrored(fixed, moving, moving.upper, ease)], axis=3
    )
    pairs = above.shape[1] * above.shape[2]
    x, other = fixed.corners[..., 0], moving.corners[..., 0]
    left = x.min(axis=1)[:, None] - other.max(axis=1)[None] + ease
    right = x.max(axis=1)[:, None] - other.min(axis=1)[None] - ease
    return Borders(above.reshape(2, pairs, -1), below.reshape(2, pairs, -1), left.ravel(), right.ravel())


def _lines(fixed: Bundle, moving: Bundle, normals: Array, ease: float) -> Array:
    """Levels and slopes (2, fixed, moving, sides) of the sides that come from the fixed parts."""
    own = _reach(normals, fixed.corners)
    across = products(normals, moving.corners).min(axis=3)
    offset = own[:, None] - across.transpose(0, 2, 1) - ease
    slope = np.broadcast_to((normals[..., 0] / normals[..., 1])[:, None], offset.shape)
    return np.stack([offset / normals[:, None, :, 1], slope])


def _mirrored(fixed: Bundle, moving: Bundle, normals: Array, ease: float) -> Array:
    """The same of the sides that come from the mirrored moving parts; `normals` are those before mirroring."""
    own = _reach(normals, moving.corners)
    across = products(normals, fixed.corners).min(axis=3)
    offset = own[None] - across.transpose(2, 0, 1) - ease
    slope = np.broadcast_to((normals[..., 0] / normals[..., 1])[None], offset.shape)
    return np.stack([offset / -normals[None, :, :, 1], slope])


def _reach(normals: Array, corners: Array) -> Array:
    """How far parts reach along their own normals (parts, m)."""
    n, c = normals[:, :, None], corners[:, None]
    return np.asarray((n[..., 0] * c[..., 0] + n[..., 1] * c[..., 1]).max(axis=2))


class Marks:
    """Counts of parts that begin and end to take a lattice point, column by column."""

    def __init__(self, columns: int, rows: int, step: float) -> None:
        self.columns, self.rows, self.step = columns, rows, step
        self._first: list[Whole] = []
        self._after: list[Whole] = []

    def add(self, pairs: Borders, xs: Array, column: Whole, low: Array) -> None:
        """Mark what pairs take. `xs` are their offsets along x, (1 or pairs, columns), the first in `column`.

        Row 0 is the offset `low` (pairs) along y. What falls outside the lattice is left out.
        """
        size = max(1, CHUNK // (pairs.above.shape[2] * xs.shape[1]))
        for start in range(0, len(low), size):
            part = slice(start, start + size)
            x = xs[part] if len(xs) > 1 else xs
            top = (pairs.above[0, part, :, None] - pairs.above[1, part, :, None] * x[:, None]).min(axis=1)
            bottom = (pairs.below[0, part, :, None] - pairs.below[1, part, :, None] * x[:, None]).max(axis=1)
            first = np.maximum(np.ceil((bottom + (TOUCH - low[part, None])) / self.step), 0.0)
            last = np.minimum(np.floor((top - (TOUCH + low[part, None])) / self.step) + 1.0, self.rows)
            place = column[part, None] + np.arange(x.shape[1])
            real = (last > first) & (place >= 0) & (place < self.columns)
            real &= (x > pairs.left[part, None] + TOUCH) & (x < pairs.right[part, None] - TOUCH)
            base = place[real] * (self.rows + 1)
            self._first.append(base + first[real].astype(np.int64))
            self._after.append(base + last[real].astype(np.int64))

    def press(self, mask: Mask) -> None:
        """Mark the lattice points that are taken, in the columns that have any."""
        first, after = np.concatenate(self._first), np.concatenate(self._after)
        if len(first):
            low, high = int(first.min()) // (self.rows + 1), int(first.max()) // (self.rows + 1) + 1
            begin, size = low * (self.rows + 1), (high - low) * (self.rows + 1)
            change = np.bincount(first - begin, minlength=size) - np.bincount(after - begin, minlength=size)
            counts = np.cumsum(change.reshape(high - low, self.rows + 1), axis=1)
            mask[low:high] |= counts[:, : self.rows] > 0


def blocked(pairs: Borders, xs: Array, low: float, step: float, rows: int) -> Mask:
    """Mark the offsets (x, low + j step), j < rows, that the pairs take."""
    marks, count = Marks(len(xs), rows, step), len(pairs.left)
    marks.add(pairs, xs[None], np.zeros(count, dtype=np.int64), np.full(count, low))
    mask = np.zeros((len(xs), rows), dtype=bool)
    marks.press(mask)
    return mask


def press(mask: Mask, fixed: Sequence[tuple[Form, float, float]], moving: Form, step: float) -> None:
    """Mark on a sheet's lattice, for the lower left corner of a moving form, what parts lying there take.

    `fixed` are forms and the lower left corners of their boxes [mm]; the lattice starts at 0, 0.
    """
    groups: dict[tuple[int, ...], list[tuple[Bundle, Bundle, Form, float, float]]] = {}
    for form, x, y in fixed:
        own, other = facing(form, moving)
        wide = round(2 * math.log2(form.reach[0]))  # parts of much the same width need the same columns
        groups.setdefault((*own.size, wide, id(other)), []).append((own, other, form, x, y))
    marks = Marks(mask.shape[0], mask.shape[1], step)
    for group in groups.values():
        rows = zip(*(own.rows for own, *_ in group), strict=True)
        pairs = borders(Bundle(*(np.concatenate(row) for row in rows)), group[0][1])
        # the moving centre's offset from each fixed centre when the corner lies at 0, 0
        corner = np.asarray([(x + form.half[0], y + form.half[1]) for _, _, form, x, y in group])
        shift = np.asarray(moving.half) - corner
        span = np.asarray([form.reach[0] for _, _, form, _, _ in group]) + moving.reach[0]
        column = np.ceil((-span - shift[:, 0]) / step).astype(np.int64)
        xs = (column[:, None] + np.arange(int(2 * span.max() / step) + 1)) * step + shift[:, :1]
        owner = np.repeat(np.arange(len(group)), [len(own.corners) * len(other.corners) for own, other, *_ in group])
        marks.add(pairs, xs[owner], column[owner], shift[owner, 1])
    marks.press(mask)


def sheet_mask(
    box: tuple[float, float, float, float], solid: Sequence[Array], moving: Form, step: float
) -> Mask | None:
    """Mark where a form's lower left corner, box corner + (i, j) step, would put its cut path on what is no sheet.

    None when the form is larger than the box.
    """
    room = room_of(box, moving)
    if room is None:
        return None
    columns, rows = (int(np.floor(side / step + 1e-9)) + 1 for side in room)
    if not solid:
        return np.zeros((columns, rows), dtype=bool)
    corner = (box[0] + moving.half[0], box[1] + moving.half[1])
    xs: Array = corner[0] + np.arange(columns, dtype=np.float64) * step
    return blocked(borders(bundle(solid), bundle(moving.bare)), xs, corner[1], step, rows)


def room_of(box: tuple[float, float, float, float], form: Form) -> tuple[float, float] | None:
    """How far a form can be moved along x and y inside a box; None when it is larger."""
    room = (box[2] - box[0] - 2 * form.half[0], box[3] - box[1] - 2 * form.half[1])
    return None if min(room) < -TOUCH else (max(0.0, room[0]), max(0.0, room[1]))
