"""What a horseshoe vortex does at a point: normal velocities for unit circulation, many vortices on many points.

SI; x aft, trailing legs run to x = infinity. The bound leg goes from the left to the right node; positive circulation
lifts along the panel's normal. Source: Biot and Savart's law for straight vortices; Katz & Plotkin, *Low-Speed
Aerodynamics*, 2nd ed., section 2.12 (from memory).
"""

import numpy as np
from numpy.typing import NDArray

from foamworks.physics.vortex.panels import Panels, Vortices

Floats = NDArray[np.float64]

BLOCK = 8192  # numbers in one working array, 64 KiB: found fastest, larger ones are fetched from memory each time
TINY = 1e-24  # m2: keeps a point exactly in line with a leg from dividing 0 by 0; it feels nothing from that leg


def normal_velocity(vortices: Vortices, points: Floats, normals: Floats) -> Floats:
    """Velocity along `normals` (m, 2: y and z) at `points` (m, 3) [1/m], for unit circulation of each vortex (columns).

    Worked out for a few points at a time, so that the working arrays stay in the processor's cache.
    """
    step = max(1, BLOCK // len(vortices.nodes))
    found = np.empty((len(points), len(vortices.left)))
    for first in range(0, len(points), step):
        part = slice(first, first + step)
        found[part] = _block(vortices, points[part], normals[part]).T
    return found


def _block(vortices: Vortices, points: Floats, normals: Floats) -> Floats:
    """The same with one row for each vortex, one column for each point: legs once for each node, then bound legs."""
    nodes, left, right = vortices.nodes, vortices.left, vortices.right
    ny, nz = normals.T
    dx, dy, dz = (points[:, i] - nodes[:, i : i + 1] for i in range(3))
    turn = nz * dy - ny * dz
    off = dy * dy
    off += dz * dz
    distance = np.sqrt(dx * dx + off)
    np.maximum(off, TINY, out=off)
    leg = turn * (1 + dx / distance) / off
    lx, ly, lz = (nodes[right] - nodes[left]).T[:, :, None]
    ra, rb = distance[left], distance[right]
    both = ra + rb
    bound = dx[left] * (ny * lz - nz * ly) + lx * turn[left]
    bound *= 2 * both
    bound /= ra * rb * (both * both - (lx * lx + ly * ly + lz * lz))
    found: Floats = (bound + leg[right] - leg[left]) / (4 * np.pi)
    return found


def own_and_image(vortices: Vortices, points: Floats, normals: Floats) -> tuple[Floats, Floats]:
    """Normal velocities of the vortices themselves and of their mirror images at -y, turning as the mirror turns."""
    flipped = points * np.array([1.0, -1.0, 1.0]), normals * np.array([-1.0, 1.0])
    return normal_velocity(vortices, points, normals), normal_velocity(vortices, *flipped)


def influence(panels: Panels) -> tuple[Floats, Floats]:
    """Normal velocity at every control point for unit circulation of every panel: the two half problems' matrices.

    Symmetric: both sides lift alike; antisymmetric: oppositely. A panel on the centre line is its own image: its
    symmetric column is 0, its antisymmetric one counts it once.
    """
    own, image = own_and_image(panels.vortices, panels.control, panels.normal)
    return (own + image) * panels.mirrored, (own - image) * np.where(panels.mirrored, 1.0, 0.5)


def wake_normal_velocity(panels: Panels) -> Floats:
    """Normal velocity far behind [1/m] at each strip's control line, for unit circulation of each strip, images too.

    Both sides alike (the symmetric problem). Rows and columns are strips.
    """
    strips, vortices = panels.strip, panels.vortices
    ends = [vortices.nodes[side[strips]] for side in (vortices.left, vortices.right)]
    point, normal = panels.control[strips], panels.normal[strips]
    total = np.zeros((len(point), len(point)))
    for flip in (1.0, -1.0):
        for sign, end in ((-1.0, ends[0]), (1.0, ends[1])):
            dy = flip * point[:, 1:2] - end[:, 1]
            dz = point[:, 2:3] - end[:, 2]
            turn = normal[:, 1:2] * dy - flip * normal[:, :1] * dz
            total += sign * turn / np.maximum(dy * dy + dz * dz, TINY)
    return total * np.where(panels.mirrored[strips], 1.0, 0.0) / (2 * np.pi)
