"""How a printed part stands on the printer's bed: which side up, on how much of a foot, with how much that hangs.

Round parts, mounts and hoods stand on one of their ends, plates lie flat: walls are then upright, and what must fit is
printed round. Of the two ways up, those that stand at all, of them the one with less that hangs, of equals the one
that stands broader.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely import MultiPoint

from foamworks.parts.base import PrintPart, Shape, upright
from foamworks.parts.mesh import DRAWN, Mesh, mesh

STEEP = np.sqrt(0.5)  # a face that looks down by more than this hangs: 45 deg (common practice, no source)
SLACK = 1e-3  # a face at just 45 deg does not
LEVEL = 0.02  # mm: what lies so near the lowest point lies on the bed
LEAST_STANCE = 25.0  # mm2 within the outline of the foot: on less a part falls over (ours)
EQUAL = 0.01  # of the surface: ways up that hang within this are equals
HANGS = 0.03  # of the surface that hangs: above it, supports (ours)
SLENDER = 25.0  # height squared over the foot's area: above it a brim holds the foot down (ours)
# own axis that points up -> rows: the own axes that become the bed's x, y and up
TURNS: dict[str, tuple[tuple[int, int, int], ...]] = {
    "z": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "x": ((0, 1, 0), (0, 0, 1), (1, 0, 0)),
    "-x": ((0, 1, 0), (0, 0, -1), (-1, 0, 0)),
    "y": ((0, 0, 1), (1, 0, 0), (0, 1, 0)),
    "-y": ((0, 0, -1), (1, 0, 0), (0, -1, 0)),
    "-z": ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
}
WORDS = {"z": "flat", "-z": "flat, upside down", "x": "on its front end", "-x": "on its aft end, front end up"}


@dataclass(frozen=True)
class Pose:
    """Which own axis points up; foot and the area within its outline [mm2]; the share that hangs; height [mm]."""

    up: str
    foot: float
    stance: float
    hangs: float
    height: float

    @property
    def supports(self) -> bool:
        """Whether it wants supports."""
        return self.hangs > HANGS

    @property
    def brim(self) -> bool:
        """Whether it wants a brim."""
        return self.height**2 > SLENDER * self.foot

    @property
    def words(self) -> str:
        """The sentence that goes with the part."""
        supports = "supports under what hangs" if self.supports else "no supports"
        return f"{WORDS[self.up]}; {supports}, {'a brim' if self.brim else 'no brim'}"


def pose_of(part: PrintPart) -> Pose:
    """Choose the pose that a part is printed in."""
    return _pose(part.shape)


@lru_cache(maxsize=128)
def _pose(shape: Shape) -> Pose:
    made = mesh(shape, *DRAWN)
    axis = upright(shape)
    tried = [standing(made, up) for up in (axis, f"-{axis}")]
    broadest = max(pose.stance for pose in tried)
    steady = [pose for pose in tried if pose.stance >= min(LEAST_STANCE, broadest)]
    least = min(pose.hangs for pose in steady)
    return max((pose for pose in steady if pose.hangs <= least + EQUAL), key=lambda pose: round(pose.stance, 1))


def standing(made: Mesh, up: str) -> Pose:
    """Measure a mesh in one pose."""
    stands = posed(made, up).vertices
    corners = stands[made.triangles]
    twice = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(twice, axis=1)
    down = -twice[:, 2] > (STEEP + SLACK) * area
    lies = down & (corners[:, :, 2].max(axis=1) < LEVEL)
    touches = MultiPoint(stands[stands[:, 2] < LEVEL, :2]).convex_hull.area
    hangs = float(area[down & ~lies].sum() / area.sum())
    return Pose(up, float(area[lies].sum()) / 2, float(touches), hangs, float(stands[:, 2].max()))


def posed(made: Mesh, up: str) -> Mesh:
    """Turn a mesh into a pose and move it to the bed: its lowest point at z = 0, x and y from 0 up."""
    turned = made.vertices @ np.array(TURNS[up], dtype=np.float64).T
    return Mesh(turned - turned.min(axis=0), made.triangles)
