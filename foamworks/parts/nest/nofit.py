"""Where one shape may lie beside another: the half planes of the no-fit area [mm].

For a fixed shape a and a moving shape b, both about their own centres, t is the offset of b's centre from a's. Each
pair of convex parts is apart when max(N.t - C) >= 0 over its outward unit normals N; the shapes are apart when every
pair is.
"""

from dataclasses import dataclass

import numpy as np

from foamworks.parts.nest.shapes import Array, Bundle, products


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
