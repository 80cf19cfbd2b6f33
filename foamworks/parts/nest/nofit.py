"""Where one shape may lie beside another: half planes of the no-fit area, and the same on a lattice of offsets [mm].

For a fixed shape a and a moving shape b, both about their own centres, t is the offset of b's centre from a's. Each
pair of convex parts is apart when max(N.t - C) >= 0 over its outward unit normals N; the shapes are apart when every
pair is.
"""

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
    mask = np.zeros((len(xs), rows), dtype=bool)
    size = len(planes.offsets)
    stamp(mask, planes, xs[None], np.zeros(size, dtype=np.int64), np.full(size, low), step)
    return mask


def stamp(mask: Mask, planes: HalfPlanes, xs: Array, column: NDArray[np.int64], low: Array, step: float) -> None:
    """Mark on a lattice where convex pairs overlap by more than TOUCH.

    `xs` are the pairs' offsets along x, (1 or pairs, columns), the first of them in `column` of the mask; row 0 of
    the mask is the offset `low` along y. What falls outside the mask is left out.
    """
    columns, rows = mask.shape
    marks = np.zeros(columns * (rows + 1), dtype=np.int64)
    pairs, sides = planes.offsets.shape
    size = max(1, CHUNK // (sides * xs.shape[1]))
    for start in range(0, pairs, size):
        part = slice(start, start + size)
        x = xs[part] if len(xs) > 1 else xs
        bottom, top = _intervals(planes.normals[part], planes.offsets[part], x)
        first = np.maximum(np.ceil((bottom + (TOUCH - low[part, None])) / step), 0.0)
        last = np.minimum(np.floor((top - (TOUCH + low[part, None])) / step) + 1.0, rows)
        place = column[part, None] + np.arange(x.shape[1])
        real = (last > first) & (place >= 0) & (place < columns)
        base = place[real] * (rows + 1)
        marks += np.bincount(base + first[real].astype(np.int64), minlength=len(marks))
        marks -= np.bincount(base + last[real].astype(np.int64), minlength=len(marks))
    mask |= np.cumsum(marks.reshape(columns, rows + 1), axis=1)[:, :rows] > 0


def _intervals(normals: Array, offsets: Array, xs: Array) -> tuple[Array, Array]:
    """Give the overlapped y of each convex pair at each of its xs, bottom above top where there is none."""
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
    lines = tilt[:, :, None] * -xs[:, None, :]
    lines += height[:, :, None]
    return np.asarray(lines.min(axis=1))


def press(mask: Mask, fixed: Sequence[tuple[Form, float, float]], moving: Form, step: float) -> None:
    """Mark on a sheet's lattice, for the lower left corner of a moving form, what parts lying there take.

    `fixed` are forms and the lower left corners of their boxes [mm]; the lattice starts at 0, 0.
    """
    groups: dict[int, list[tuple[Form, float, float]]] = {}
    for part in fixed:
        groups.setdefault(part[0].grown.reach.shape[1], []).append(part)
    for group in groups.values():
        count = [len(form.convex) for form, _, _ in group]
        joined = Bundle(
            *(np.concatenate(rows) for rows in zip(*(form.grown.rows for form, _, _ in group), strict=True))
        )
        planes = half_planes(joined, moving.grown)
        # the moving centre's offset from each fixed centre when the corner lies at 0, 0
        shift = np.asarray(
            [(moving.half[0] - form.half[0] - x, moving.half[1] - form.half[1] - y) for form, x, y in group]
        )
        span = np.asarray([form.reach[0] for form, _, _ in group]) + moving.reach[0]
        column = np.ceil((-span - shift[:, 0]) / step).astype(np.int64)
        columns = int(np.floor(2 * span.max() / step)) + 1
        xs = (column[:, None] + np.arange(columns)) * step + shift[:, :1]
        pair = np.repeat(np.arange(len(group)), np.asarray(count) * len(moving.convex))
        stamp(mask, planes, xs[pair], column[pair], shift[pair, 1], step)


def sheet_mask(
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
