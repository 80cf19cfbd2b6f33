"""How near does a pod come to the body under it, and to whatever else stands round it? Millimetres and radians.

On the aircraft: x aft, y starboard, z up. A pod is circles about a tilted axis; the point of the axis at distance s
ahead of the nozzle is nozzle - s (cos d, sin d) in (x, z), d the downthrust. What it may touch is given as patches:
surfaces over the unit square. The least distance is found on a grid that closes in on its least point, patch by patch.
"""

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.design.airframe import Section
from foamworks.parts.base import BackSection, Point
from foamworks.physics.grid import distinct

Floats = NDArray[np.float64]
Point3 = tuple[float, float, float]
Patch = Callable[[Floats, Floats], Floats]  # (u, v) of 0 to 1 -> points (n, 3)
Measure = Callable[[Floats], Floats]  # points (n, 3) -> their distances
Pair = tuple[Patch, Measure]  # a patch and what measures the distance of its points
Hidden = Callable[[Floats], NDArray[np.bool_]]  # points (n, 3) -> which of them count for nothing

ALONG, ROUND = 9, 25  # points of a patch's grid each way
EXACT = 0.01  # mm, the size of a cell at which closing in on the least point ends
SLICES, TURNS = 81, 41  # points along and round a pod, where its deepest dip is looked for


@dataclass(frozen=True)
class Pod:
    """A pod where it stands: `profile` (s, radius) from the aft end forward; nozzle (x, z); downthrust; its plane y."""

    profile: tuple[Point, ...]
    nozzle: Point
    downthrust: float
    y: float = 0.0

    def distance(self, points: Floats) -> Floats:
        """Distance of points (n, 3) from the pod; negative inside it, by the way to its nearest side."""
        cos, sin = math.cos(self.downthrust), math.sin(self.downthrust)
        x, z = points[:, 0] - self.nozzle[0], points[:, 2] - self.nozzle[1]
        return profile_distance(-x * cos - z * sin, np.hypot(points[:, 1] - self.y, z * cos - x * sin), self.profile)


def profile_distance(s: Floats, r: Floats, profile: Sequence[Point]) -> Floats:
    """Distance of points at s and radius r from the body that the profile turns round its axis; negative inside.

    >>> profile_distance(np.array([5.0, 5.0, 13.0]), np.array([3.0, 1.0, 6.0]), [(0.0, 2.0), (10.0, 2.0)])
    array([ 1., -1.,  5.])
    """
    line = np.array([(profile[0][0], 0.0), *profile, (profile[-1][0], 0.0)])
    start, along = line[:-1], np.diff(line, axis=0)
    length = np.maximum((along**2).sum(axis=1), 1e-18)
    off_s, off_r = s[:, None] - start[:, 0], r[:, None] - start[:, 1]
    share = np.clip((off_s * along[:, 0] + off_r * along[:, 1]) / length, 0.0, 1.0)
    away = np.hypot(off_s - share * along[:, 0], off_r - share * along[:, 1]).min(axis=1)
    inside = (s > line[0, 0]) & (s < line[-1, 0]) & (r < np.interp(s, line[1:-1, 0], line[1:-1, 1]))
    return np.asarray(np.where(inside, -away, away))


def body_patches(sections: Sequence[BackSection]) -> list[Patch]:
    """Give a body of elliptic sections joined by straight rules, and its two flat ends."""
    ends = [_end(sections[0]), _end(sections[-1])]
    return [*(_frustum(a, b) for a, b in itertools.pairwise(sections)), *ends]


def _frustum(a: BackSection, b: BackSection) -> Patch:
    def points(u: Floats, v: Floats) -> Floats:
        width, height, x, z = (
            p + u * (q - p) for p, q in ((a.width, b.width), (a.height, b.height), (a.x, b.x), (a.z, b.z))
        )
        turn = 2 * math.pi * v
        return np.stack([x, width / 2 * np.sin(turn), z + height / 2 * np.cos(turn)], axis=1)

    return points


def _end(section: BackSection) -> Patch:
    def points(u: Floats, v: Floats) -> Floats:
        turn = 2 * math.pi * v
        y, z = u * section.width / 2 * np.sin(turn), section.z + u * section.height / 2 * np.cos(turn)
        return np.stack([np.full_like(u, section.x), y, z], axis=1)

    return points


def least(
    patches: Iterable[Patch], distance: Callable[[Floats], Floats], *, enough: float = -math.inf
) -> tuple[float, Point3]:
    """Give the least distance from the patches, and where; infinite without a patch.

    A patch whose grid lies further than another's least by more than a cell's size is not looked at more closely. What
    is found under `enough` may be given as it is.
    """
    coarse = [_spot(_look(patch), distance) for patch in patches]
    best: tuple[float, Point3] = (math.inf, (math.nan, math.nan, math.nan))
    if coarse:
        best = min(((spot.value, spot.point) for spot in coarse), key=lambda found: found[0])
    for spot in sorted(coarse, key=lambda spot: spot.value - spot.cell):
        if best[0] < enough:
            break
        if spot.value - spot.cell < best[0]:
            best = min(best, _close_in(spot, distance), key=lambda found: found[0])
    return best


@lru_cache(maxsize=8)  # a change that is tried seldom touches the pod
def near(pairs: tuple[Pair, ...], *, within: float, hidden: Hidden) -> tuple[tuple[float, int, Point3], ...]:
    """Give the least distance of each patch with its own measure, its number and where: the nearest first.

    Only what may be the nearest of all, or lie `within` that distance, is given.
    """
    coarse = [(spot, i) for i, spot in enumerate(_first_spots(pairs, hidden))]
    found: list[tuple[float, int, Point3]] = []
    best = min((spot.value for spot, _ in coarse), default=math.inf)
    for spot, i in sorted(coarse, key=lambda row: row[0].value - row[0].cell):
        if spot.value - spot.cell > max(best, within):
            break
        value, point = _close_in(spot, pairs[i][1], beyond=max(best, within))
        best = min(best, value)
        found.append((value, i, point))
    return tuple(sorted(found))


def all_clear(pairs: Sequence[Pair], *, gap: float, hidden: Hidden) -> bool:
    """Tell whether every patch keeps a distance by its own measure; quicker than the distances themselves."""
    coarse = _first_spots(pairs, hidden)
    if any(spot.value < gap for spot in coarse):
        return False
    unsure = ((spot, measure) for spot, (_, measure) in zip(coarse, pairs, strict=True) if spot.value - spot.cell < gap)
    return all(_close_in(spot, measure, beyond=gap)[0] >= gap for spot, measure in unsure)


@dataclass(frozen=True)
class _Grid:
    """Points (n, 3) over a piece of a patch, the size of its largest cell, which points count, its lines each way."""

    patch: Patch
    hidden: Hidden | None
    points: Floats
    cell: float
    counts: NDArray[np.bool_] | None
    across: Floats
    round: Floats


@dataclass(frozen=True)
class _Spot:
    """The least point of a grid: its distance, where it is, and the cells beside it."""

    grid: _Grid
    value: float
    point: Point3
    u: tuple[float, float]
    v: tuple[float, float]

    @property
    def cell(self) -> float:
        """The size of a cell."""
        return self.grid.cell


WHOLE = (0.0, 1.0)


def _look(
    patch: Patch, u: tuple[float, float] = WHOLE, v: tuple[float, float] = WHOLE, hidden: Hidden | None = None
) -> _Grid:
    across, round_ = np.linspace(*u, ALONG), np.linspace(*v, ROUND)
    points = patch(np.repeat(across, ROUND), np.tile(round_, ALONG))
    grid = points.reshape(ALONG, ROUND, 3)
    steps = (np.linalg.norm(np.diff(grid, axis=axis), axis=2).max() for axis in (0, 1))
    counts = None if hidden is None else ~hidden(points)
    return _Grid(patch, hidden, points, float(math.hypot(*steps)), counts, across, round_)


@lru_cache(maxsize=128)  # a change that is tried seldom touches a surface or the body
def _from_afar(patch: Patch, hidden: Hidden) -> _Grid:
    return _look(patch, hidden=hidden)


def _first_spots(pairs: Sequence[Pair], hidden: Hidden) -> list[_Spot]:
    """Look at every pair from afar; a patch that stands in several is laid out once."""
    return [_spot(_from_afar(patch, hidden), distance) for patch, distance in pairs]


def _spot(grid: _Grid, distance: Measure) -> _Spot:
    values = distance(grid.points)
    if grid.counts is not None:
        values = np.where(grid.counts, values, np.inf)
    least_ = int(np.argmin(values))
    i, j = divmod(least_, ROUND)
    x, y, z = (float(place) for place in grid.points[least_])
    across, round_ = grid.across, grid.round
    return _Spot(
        grid,
        float(values[least_]),
        (x, y, z),
        (float(across[max(i - 1, 0)]), float(across[min(i + 1, ALONG - 1)])),
        (float(round_[max(j - 1, 0)]), float(round_[min(j + 1, ROUND - 1)])),
    )


def _close_in(spot: _Spot, distance: Measure, *, beyond: float = math.inf) -> tuple[float, Point3]:
    """Close in on the least point; what turns out to lie `beyond` a distance is given as it is."""
    best = (spot.value, spot.point)
    while spot.cell > EXACT and spot.value - spot.cell <= beyond:
        spot = _spot(_look(spot.grid.patch, spot.u, spot.v, spot.grid.hidden), distance)
        best = min(best, (spot.value, spot.point), key=lambda found: found[0])
    return best


def sizes_at(sections: Sequence[BackSection | Section], x: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Width, height and height of the middle of a body at stations x, by straight rules between its sections."""
    table = [section.x for section in sections]
    rows = [(section.width, section.height, section.z) for section in sections]
    width, height, z = (np.interp(np.asarray(x), table, values) for values in zip(*rows, strict=True))
    return width, height, z


def back_height(sections: Sequence[BackSection], x: Floats, y: Floats) -> Floats:
    """Height of the body's back over (x, y); minus infinity where there is no body."""
    width, height, z = sizes_at(sections, x)
    share = np.divide(2 * y, width, out=np.full_like(x, np.inf), where=width > 0)
    inside = (x >= sections[0].x) & (x <= sections[-1].x) & (np.abs(share) <= 1)
    return np.where(inside, z + height / 2 * np.sqrt(np.maximum(1 - np.minimum(share**2, 1), 0)), -np.inf)


def dip(pod: Pod, sections: Sequence[BackSection]) -> float:
    """How far a pod's lower side lies under the back at most, by height; 0 where it lies over it."""
    table, radii = np.array(pod.profile).T
    s = distinct(np.concatenate([table, np.linspace(table[0], table[-1], SLICES)]))
    turn = np.linspace(-math.pi / 2, math.pi / 2, TURNS)
    r = np.interp(s, table, radii)[:, None]
    cos, sin = math.cos(pod.downthrust), math.sin(pod.downthrust)
    down = r * np.cos(turn)
    x = pod.nozzle[0] - s[:, None] * cos + down * sin
    z = pod.nozzle[1] - s[:, None] * sin - down * cos
    y = pod.y + r * np.sin(turn)
    return max(float((back_height(sections, x, y) - z).max()), 0.0)
