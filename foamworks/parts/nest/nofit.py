"""Where one shape may lie beside another: half planes of the no-fit area, and the same on a lattice of offsets [mm].

For a fixed shape a and a moving shape b, both about their own centres, t is the offset of b's centre from a's. Each
pair of convex parts is apart when max(N.t - C) >= 0 over its outward unit normals N; the shapes are apart when every
pair is.
"""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.shapes import Array, Bundle, Form, bundle

TOUCH = 1e-7  # mm, overlap that rounding may cause and that does not count
UPRIGHT = 1e-9  # y of a unit normal below which a side stands upright
CHUNK = 2_000_000  # numbers in one intermediate array at most, 16 MB
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class HalfPlanes:
    """Normals (pairs, k, 2) and offsets (pairs, k) [mm] of the convex pairs of two shapes."""

    normals: Array
    offsets: Array

    def apart(self, offset: Array) -> Array:
        """How far each convex pair is apart at an offset [mm], negative: how deep it overlaps."""
        return np.asarray((self.normals @ offset - self.offsets).max(axis=1))


def half_planes(fixed: Bundle, moving: Bundle) -> HalfPlanes:
    """Half planes of the Minkowski sums of each convex part of `fixed` with each of the mirrored `moving`."""
    (p, j), (q, k) = fixed.reach.shape, moving.reach.shape
    across = -(fixed.normals.reshape(-1, 2) @ moving.corners.reshape(-1, 2).T).reshape(p, j, q, k).min(axis=3)
    back = -(moving.normals.reshape(-1, 2) @ fixed.corners.reshape(-1, 2).T).reshape(q, k, p, j).min(axis=3)
    normals = np.empty((p, q, j + k, 2))
    normals[:, :, :j] = fixed.normals[:, None]
    normals[:, :, j:] = -moving.normals[None]
    offsets = np.empty((p, q, j + k))
    offsets[:, :, :j] = fixed.reach[:, None] + across.transpose(0, 2, 1)
    offsets[:, :, j:] = moving.reach[None] + back.transpose(2, 0, 1)
    return HalfPlanes(normals.reshape(p * q, j + k, 2), offsets.reshape(p * q, j + k))


def blocked(planes: HalfPlanes, xs: Array, low: float, step: float, rows: int) -> Mask:
    """Mark the offsets (x, low + j step), j < rows, at which the shapes overlap by more than TOUCH."""
    marks = np.zeros(len(xs) * (rows + 1), dtype=np.int64)
    pairs, sides = planes.offsets.shape
    size = max(1, CHUNK // (sides * len(xs)))
    column = np.arange(len(xs)) * (rows + 1)
    for start in range(0, pairs, size):
        bottom, top = _intervals(planes.normals[start : start + size], planes.offsets[start : start + size], xs)
        first = np.maximum(np.ceil((bottom + (TOUCH - low)) / step), 0.0)
        last = np.minimum(np.floor((top - (TOUCH + low)) / step) + 1.0, rows)
        pair, x = np.nonzero(last > first)
        begin, end = column[x], column[x]
        begin = begin + first[pair, x].astype(np.int64)
        end = end + last[pair, x].astype(np.int64)
        marks += np.bincount(begin, minlength=len(marks)) - np.bincount(end, minlength=len(marks))
    return np.asarray(np.cumsum(marks.reshape(len(xs), rows + 1), axis=1)[:, :rows] > 0)


def _intervals(normals: Array, offsets: Array, xs: Array) -> tuple[Array, Array]:
    """Give the overlapped y of each convex pair at each x, bottom above top where there is none."""
    nx, ny = normals[..., 0], normals[..., 1]
    upright = np.abs(ny) < UPRIGHT
    slope = nx / np.where(upright, 1.0, ny)
    level = offsets / np.where(upright, 1.0, ny)
    top = _envelope(level, slope, ny >= UPRIGHT, xs)
    bottom = -_envelope(-level, -slope, ny <= -UPRIGHT, xs)
    right = np.where(upright & (nx > 0), offsets, np.inf).min(axis=1)
    left = -np.where(upright & (nx < 0), offsets, np.inf).min(axis=1)
    outside = (xs >= right[:, None] - TOUCH) | (xs <= left[:, None] + TOUCH)
    top[outside] = -np.inf
    return bottom, top


def _envelope(level: Array, slope: Array, take: Mask, xs: Array) -> Array:
    """Least of the lines level - slope x over the sides to take, for each convex pair at each x."""
    most = max(1, int(take.sum(axis=1).max()))
    order = np.argsort(~take, axis=1, kind="stable")[:, :most]
    taken = np.take_along_axis(take, order, axis=1)
    height = np.where(taken, np.take_along_axis(level, order, axis=1), np.inf)
    tilt = np.where(taken, np.take_along_axis(slope, order, axis=1), 0.0)
    lines = tilt[:, :, None] * -xs
    lines += height[:, :, None]
    return np.asarray(lines.min(axis=1))


@dataclass(frozen=True)
class Stamp:
    """Blocked lattice offsets of one shape's corner from another's: `mask[i, j]` at (first + (i, j)) step."""

    first: tuple[int, int]
    mask: Mask


class Stamps:
    """Makes and keeps stamps of pairs of forms on a lattice of `step` [mm], within a bound on memory."""

    def __init__(self, step: float, most_bytes: int) -> None:
        self.step = step
        self._most, self._held = most_bytes, 0
        self._kept: OrderedDict[tuple[int, int], Stamp] = OrderedDict()
        self.work = 0

    def get(self, key: tuple[int, int], fixed: Form, moving: Form) -> Stamp:
        """Give the stamp of `moving` beside `fixed`; `key` names the pair."""
        stamp = self._kept.get(key)
        if stamp is None:
            stamp = self._make(fixed, moving)
            self._kept[key] = stamp
            self._held += stamp.mask.nbytes
            while self._held > self._most:
                self._held -= self._kept.popitem(last=False)[1].mask.nbytes
        else:
            self._kept.move_to_end(key)
        return stamp

    def _make(self, fixed: Form, moving: Form) -> Stamp:
        # a lower left corner lies half a box from the centre
        shift = (fixed.half[0] - moving.half[0], fixed.half[1] - moving.half[1])
        span = (fixed.reach[0] + moving.reach[0], fixed.reach[1] + moving.reach[1])
        first = tuple(int(np.ceil((-span[k] + shift[k]) / self.step)) for k in (0, 1))
        last = tuple(int(np.floor((span[k] + shift[k]) / self.step)) for k in (0, 1))
        xs: Array = np.arange(first[0], last[0] + 1, dtype=np.float64) * self.step - shift[0]
        rows = max(0, last[1] - first[1] + 1)
        planes = half_planes(fixed.grown, moving.grown)
        mask = blocked(planes, xs, first[1] * self.step - shift[1], self.step, rows)
        self.work += planes.offsets.size * len(xs)
        return Stamp((first[0], first[1]), mask)


def sheet_stamp(
    box: tuple[float, float, float, float], solid: Sequence[Array], moving: Form, step: float
) -> Mask | None:
    """Mark where a form's lower left corner, box corner + (i, j) step, would put its cut path on what is no sheet.

    None when the form is larger than the box.
    """
    room = (box[2] - box[0] - 2 * moving.half[0], box[3] - box[1] - 2 * moving.half[1])
    if min(room) < -TOUCH:
        return None
    columns, rows = (int(np.floor(max(0.0, side) / step + 1e-9)) + 1 for side in room)
    if not solid:
        return np.zeros((columns, rows), dtype=bool)
    corner = (box[0] + moving.half[0], box[1] + moving.half[1])
    xs: Array = corner[0] + np.arange(columns, dtype=np.float64) * step
    return blocked(half_planes(bundle(solid), bundle(moving.bare)), xs, corner[1], step, rows)
