"""Push parts together without turning them: a linear programme between parts that are near each other [mm].

For each near pair of convex parts the half plane that parts them most is kept; a step that keeps every such half
plane keeps the layout free of overlap. Minimised is the length; a little of the mean x breaks ties.

For a fixed shape a and a moving shape b, both about their own centres, t is the offset of b's centre from a's. Each
pair of convex parts is apart when max(N.t - C) >= 0 over its outward unit normals N; the shapes are apart when every
pair is.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.shapes import Array, Bundle, Form, bundle, products
from foamworks.parts.nest.task import Box

ROUNDS = 8
MOVE = 2.5  # lattice steps a part may move in one round
GAIN = 0.02  # mm; a round that shortens by less is the last
PULL = 0.02  # of the mean x beside the length
MISS = 1000.0  # price of a mm by which half planes are missed, beside a mm of length
ROW_WORK = 6000  # cells that could be added in the time the programme takes for a row
ROUND_WORK = 1_500_000  # and in the time a round takes on its own
Whole = NDArray[np.int64]
MISSED = 1e-9  # mm by which a half plane counts as missed
Step = tuple[Array, float, set[tuple[int, int]]]
Entry = tuple[Whole, Whole, Array]


@dataclass(frozen=True)
class Pose:
    """Centres (n, 2) [mm] from the sheet's origin, form numbers (n), and the reach from the free box's left edge."""

    centre: Array
    form: tuple[int, ...]
    length: float


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


class Compactor:
    """Holds the half planes of a sheet's forms while its layouts are pushed together."""

    def __init__(self, forms: Sequence[Form], step: float, box: Box, solid: Sequence[Array]) -> None:
        self.forms, self.box, self.solid = forms, box, solid
        self.move = MOVE * step
        self._planes: dict[tuple[int, int], HalfPlanes] = {}
        self.work = 0
        self.stuck: set[tuple[int, int]] = set()

    def run(self, centre: Array, form: tuple[int, ...]) -> Pose | None:
        """Part what overlaps and push left; None when some overlap cannot be undone by small moves.

        Then `stuck` holds the pairs of parts (first -1: the sheet) that could not be parted.
        """
        length, best = np.inf, None
        for _ in range(ROUNDS):
            answer = self._round(centre, form, elastic=False)
            if answer is None:
                answer = self._round(centre, form, elastic=True)
            if answer is None:
                break
            moved, reach, self.stuck = answer
            centre = moved
            if not self.stuck:
                better = reach < length - GAIN
                if reach < length:
                    length, best = reach, Pose(moved, form, reach)
                if not better:
                    break
        return best

    def planes(self, a: int, b: int) -> HalfPlanes:
        """Half planes of form b about form a; a = number of forms: about what is no sheet."""
        planes = self._planes.get((a, b))
        if planes is None:
            forms = self.forms
            if a == len(forms):
                planes = half_planes(bundle(self.solid), bundle(forms[b].bare))
            else:
                planes = half_planes(forms[a].grown, forms[b].grown)
            self._planes[(a, b)] = planes
        return planes

    def _round(self, centre: Array, form: tuple[int, ...], *, elastic: bool) -> Step | None:
        """One step: new centres, reach, and the pairs whose half planes are missed, none unless elastic."""
        from scipy import optimize, sparse  # slow to import

        count = len(form)
        half = np.asarray([self.forms[f].half for f in form])
        normals, offsets, first, second = self._rows(centre, form)
        rows = len(offsets)
        row, free = np.arange(rows), first >= 0
        spare = rows if elastic else 0  # each half plane may be missed, at a price
        last = rows + np.arange(count)  # a part's right edge stays within the length, unknown number 2 count
        entries: list[Entry] = [
            (row, second, -normals[:, 0]),
            (row, second + count, -normals[:, 1]),
            (row[free], first[free], normals[free, 0]),
            (row[free], first[free] + count, normals[free, 1]),
            (last, np.arange(count), np.ones(count)),
            (last, np.full(count, 2 * count), np.full(count, -1.0)),
            (row[:spare], 2 * count + 1 + row[:spare], np.full(spare, -1.0)),
        ]
        i, j, value = (np.concatenate(column) for column in zip(*entries, strict=True))
        matrix = sparse.csr_matrix((value, (i, j)), shape=(rows + count, 2 * count + 1 + spare))
        low, high = self._bounds(centre, half)
        low = np.concatenate([low.T.ravel(), [self.box[0]], np.zeros(spare)])
        high = np.concatenate([high.T.ravel(), [self.box[2]], np.full(spare, np.inf)])
        price = np.concatenate([np.full(count, PULL / count), np.zeros(count), [1.0], np.full(spare, MISS)])
        bound = np.concatenate([-offsets, -half[:, 0]])  # no more than the gap: exact fits stay
        answer = optimize.linprog(price, matrix, bound, bounds=np.stack([low, high], axis=1), method="highs-ds")
        self.work += ROUND_WORK + ROW_WORK * (matrix.shape[0] + spare)
        if answer.status != 0:
            return None
        moved = answer.x[: 2 * count].reshape(2, count).T
        missed = np.flatnonzero(answer.x[2 * count + 1 :] > MISSED)
        stuck = set(zip(first[missed].tolist(), second[missed].tolist(), strict=True))
        return moved, float((moved[:, 0] + half[:, 0]).max()) - self.box[0], stuck

    def _bounds(self, centre: Array, half: Array) -> tuple[Array, Array]:
        inner_low, inner_high = np.asarray(self.box[:2]) + half, np.asarray(self.box[2:]) - half
        inner_high = np.maximum(inner_low, inner_high)
        near = np.clip(centre, inner_low, inner_high)
        return np.maximum(inner_low, near - self.move), np.minimum(inner_high, near + self.move)

    def _rows(self, centre: Array, form: tuple[int, ...]) -> tuple[Array, Array, Whole, Whole]:
        """Normals, offsets and part numbers (first -1: the sheet) of the half planes to keep."""
        reach = np.asarray([self.forms[f].reach for f in form])
        free = np.abs(centre[:, None] - centre[None]) - reach[:, None] - reach[None]
        near = np.triu((free < 2 * self.move).all(axis=2), 1)
        pairs = [(int(i), int(j)) for i, j in zip(*np.nonzero(near), strict=True)]
        if self.solid:
            pairs += [(-1, j) for j in range(len(form))]
        normals, offsets, first, second = [np.zeros((0, 2))], [np.zeros(0)], [], []
        for i, j in pairs:
            planes = self.planes(form[i] if i >= 0 else len(self.forms), form[j])
            normal, offset = _nearest(planes, centre[j] - centre[i] if i >= 0 else centre[j], 2.83 * self.move)
            normals.append(normal)
            offsets.append(offset)
            first += [i] * len(offset)
            second += [j] * len(offset)
        return (
            np.concatenate(normals),
            np.concatenate(offsets),
            np.asarray(first, dtype=np.int64),
            np.asarray(second, dtype=np.int64),
        )


def _nearest(planes: HalfPlanes, offset: Array, within: float) -> tuple[Array, Array]:
    """Give the parting half plane of each convex pair that is less than `within` apart."""
    apart = planes.apart(offset)
    best = apart.argmax(axis=1)
    row = np.arange(len(best))
    close = apart[row, best] < within
    return planes.normals[row, best][close], planes.offsets[row, best][close]
