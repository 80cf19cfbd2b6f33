"""Where one shape may lie beside another: the half planes of the no-fit area [mm].

For a fixed shape a and a moving shape b, both about their own centres, t is the offset of b's centre from a's. Each
pair of convex parts is apart when max(N.t - C) >= 0 over its outward unit normals N; the shapes are apart when every
pair is.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.shapes import Array, Bundle, products

SAME = 1e-9  # radians between the normals of one side
Whole = NDArray[np.int64]


@dataclass(frozen=True)
class HalfPlanes:
    """Normals (pairs, k, 2) and offsets (pairs, k) [mm] of the convex pairs of two shapes."""

    normals: Array
    offsets: Array

    def apart(self, offset: Array) -> Array:
        """How far each pair is outside each of its half planes at an offset (pairs, k) [mm]."""
        return np.asarray(self.normals[..., 0] * offset[0] + self.normals[..., 1] * offset[1] - self.offsets)


def half_planes(fixed: Bundle, moving: Bundle) -> HalfPlanes:
    """Half planes of the Minkowski sums of each convex part of `fixed` with each of the mirrored `moving`."""
    (p, j), (q, k) = fixed.reach.shape, moving.reach.shape
    across = -products(fixed.normals, moving.corners).min(axis=3)
    back = -products(moving.normals, fixed.corners).min(axis=3)
    normals = np.empty((p, q, j + k, 2))
    normals[:, :, :j] = fixed.normals[:, None]
    normals[:, :, j:] = -moving.normals[None]
    offsets = np.empty((p, q, j + k))
    offsets[:, :, :j] = fixed.reach[:, None] + across.transpose(0, 2, 1)
    offsets[:, :, j:] = moving.reach[None] + back.transpose(2, 0, 1)
    return HalfPlanes(normals.reshape(p * q, j + k, 2), offsets.reshape(p * q, j + k))


@dataclass(frozen=True)
class Sides:
    """Sides of no-fit areas of convex pairs: outward unit normals (n, 2), offsets (n), each area's first side (areas).

    The same as HalfPlanes without padding, so that areas of many shapes can be joined.
    """

    normal: Array
    offset: Array
    first: Whole

    def counts(self) -> Whole:
        """Give the number of sides of each area."""
        return np.diff(self.first, append=len(self.offset))

    def over(self, points: Array) -> Array:
        """How far points are outside each side (points, n) [mm]."""
        return np.asarray(
            points[:, :1] * self.normal[:, 0] + points[:, 1:] * self.normal[:, 1] - self.offset, dtype=np.float64
        )

    def most(self, values: Array) -> Array:
        """Greatest value over the sides of each area (rows, areas): above 0 where a point is outside."""
        return np.asarray(np.maximum.reduceat(values, self.first, axis=1))

    def take(self, chosen: NDArray[np.bool_], sides: NDArray[np.bool_]) -> "Sides":
        """Give some sides of some areas only; each of these must keep one."""
        keep = np.repeat(chosen, self.counts()) & sides
        counts = np.add.reduceat(keep, self.first, dtype=np.int64)[chosen]
        return Sides(self.normal[keep], self.offset[keep], np.cumsum(counts) - counts)

    def moved(self, shift: Array) -> "Sides":
        """Give the sides of the same areas moved by a shift."""
        return Sides(self.normal, self.offset + self.normal[:, 0] * shift[0] + self.normal[:, 1] * shift[1], self.first)


def sides_of(planes: HalfPlanes) -> Sides:
    """Leave out what is only padding, sides with the same normal; each area's sides go counter-clockwise."""
    angle = np.arctan2(planes.normals[..., 1], planes.normals[..., 0])
    order = np.argsort(angle, axis=1, kind="stable")
    row = np.arange(len(order))[:, None]
    keep = np.diff(angle[row, order], axis=1, prepend=-np.inf) > SAME
    counts = keep.sum(axis=1)
    return Sides(planes.normals[row, order][keep], planes.offsets[row, order][keep], np.cumsum(counts) - counts)


def joined(rows: Sequence[Sides]) -> Sides:
    """Put the areas of several shapes together, at least one."""
    begin = np.cumsum([0] + [len(row.offset) for row in rows[:-1]])
    first = [row.first + start for row, start in zip(rows, begin, strict=True)]
    return Sides(
        np.concatenate([row.normal for row in rows]),
        np.concatenate([row.offset for row in rows]),
        np.concatenate(first),
    )
