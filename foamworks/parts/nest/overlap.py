"""Search for places without overlap on a strip of given length, on the lattice [lattice steps, eighths of a step].

Guided local search: parts that overlap are lifted in a shuffled order and laid where the weighted sum of overlap
depths is least, looked for over the whole strip; pairs that go on overlapping weigh more and more. All numbers are
whole and the random numbers come from a seed, so the search gives the same answer wherever it runs.
"""

import itertools
import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.nest.depth import Maps, Whole

BASE = 16  # weight of a pair that does not overlap
MOST_WEIGHT = 2048  # weights stop here, so that sums stay within 31 bits
RAMP = 64  # ties between cells with the same sum are broken by up to this much less than one unit
BANDS = 8  # the best cell of each such part of the strip's length is looked at more closely
CLOSE = 5  # of those best cells, this many
PATIENCE = 60  # sweeps without a better state that end a search
SLACK = 0.25  # steps a part may stand over the edge; the linear programme moves it back
CALL_WORK = 2500  # cells that could be added in the time one call takes on its own

Field = NDArray[np.int32]


@dataclass(frozen=True)
class State:
    """Places of the parts' centres (n, 2) on the lattice and their form numbers (n)."""

    place: Whole
    form: Whole


class Search:
    """The parts of one sheet. `kinds[i]` are part i's families; `size` the free box [steps]."""

    def __init__(self, maps: Maps, kinds: Sequence[Sequence[int]], size: tuple[float, float], seed: int) -> None:
        self.maps, self.kinds, self.size = maps, kinds, size
        self.random = random.Random(seed)
        self.work, self.least = 0, 0
        self.count = len(kinds)
        self.length = size[0]
        self._slot, self._family = np.asarray(maps.slot), np.asarray(maps.family)
        self._planes: dict[tuple[int, int], list[NDArray[np.uint8]]] = {}
        self._field = np.zeros(0, dtype=np.int32)
        self._spare = np.zeros(0, dtype=np.int32)
        fixed = self.count + (maps.anchor is not None)
        self.place = np.zeros((fixed, 2), dtype=np.int64)
        self.form = np.full(fixed, len(maps.forms), dtype=np.int64)
        if maps.anchor is not None:
            self.place[-1] = maps.anchor
        self.weight = np.full((self.count, fixed), BASE, dtype=np.int64)
        self.overlap = np.zeros((self.count, fixed), dtype=np.int64)

    def window(self, form: int, length: float) -> tuple[int, int, int, int]:
        """Least and most column and row a form's centre may take on a strip of that length."""
        bounds = []
        for half, side in zip(self.maps.forms[form].half, (length, self.size[1]), strict=True):
            low = half / self.maps.step - SLACK
            high = side - low
            first, last = int(np.ceil(low)), int(np.floor(high))
            middle = int(np.rint(side / 2))
            bounds += [first, last] if first <= last else [middle, middle]
        return bounds[0], bounds[2], bounds[1], bounds[3]

    def load(self, state: State, length: float) -> None:
        """Start from a state, drawn into a strip of this length, all weights equal."""
        self.length = length
        self.form[: self.count] = state.form
        for i in range(self.count):
            left, low, right, high = self.window(int(state.form[i]), length)
            x, y = state.place[i].tolist()
            self.place[i] = min(max(x, left), right), min(max(y, low), high)
        self.weight[:] = BASE
        for i in range(self.count):
            self.overlap[i] = self._row(i)

    def state(self) -> State:
        """Give the parts' places and forms as they are."""
        return State(self.place[: self.count].copy(), self.form[: self.count].copy())

    def total(self) -> int:
        """Sum of overlap depths over all ordered pairs."""
        return int(self.overlap.sum())

    def run(self, sweeps: int, end: float) -> State:
        """Sweep until nothing overlaps, the sweeps run out or all work reaches `end`; give the best state seen."""
        best, least, stale = self.state(), self.total(), 0
        for _ in range(sweeps):
            if least == 0 or stale == PATIENCE or self.work >= end:
                break
            self._sweep()
            total = self.total()
            stale += 1
            if total < least:
                best, least, stale = self.state(), total, 0
            self._weigh()
        self.least = least
        return best

    def _sweep(self) -> None:
        order = np.flatnonzero(self.overlap.any(axis=1)).tolist()
        self.random.shuffle(order)
        for i in order:
            if self.overlap[i].any():
                self._move(i)

    def _weigh(self) -> None:
        most = max(1, int(self.overlap.max()))
        grown = self.weight + self.weight * (most + 3 * self.overlap) // (4 * most)
        faded = np.maximum(BASE, self.weight - self.weight // 16)
        self.weight = np.where(self.overlap > 0, np.minimum(grown, MOST_WEIGHT), faded)

    def _row(self, i: int) -> Whole:
        form = int(self.form[i])
        offset = self.place[i] - self.place
        row = self.maps.look(self.form, self.maps.family[form], self.maps.slot[form], offset[:, 0], offset[:, 1])
        row[i] = 0
        return row

    def _move(self, i: int) -> None:
        """Lay part i where its weighted overlap is least, if that is no worse than where it lies."""
        now = int((self.weight[i] * self.overlap[i]).sum())
        options = [self._best(i, family) for family in self.kinds[i]]
        cost, form, x, y = min(options)
        if cost > now:
            return
        self.place[i], self.form[i] = (x, y), form
        row = self._row(i)
        self.overlap[i] = row
        self.overlap[:, i] = row[: self.count]

    def _best(self, i: int, family: int) -> tuple[int, int, int, int]:
        """Cheapest cost, form and place of part i within one family."""
        phase = self.random.getrandbits(4)
        members = self.maps.members[family]
        window = self.window(members[0], self.length)
        spans = (window[2] - window[0], window[3] - window[1])
        first = [window[k] + min(spans[k], (phase >> k) & 1) for k in (0, 1)]
        shape = ((window[2] - first[0]) // 2 + 1, (window[3] - first[1]) // 2 + 1, len(members))
        field = self._fill(i, family, (first[0], first[1]), shape)
        field += _ramp(shape, phase >> 2)
        picks = _band_minima(field)
        x = np.asarray([first[0] + 2 * pick[1] for pick in picks])
        y = np.asarray([first[1] + 2 * pick[2] for pick in picks])
        return self._close(i, family, window, x, y, np.asarray([pick[3] for pick in picks]))

    def _fill(self, i: int, family: int, first: tuple[int, int], shape: tuple[int, int, int]) -> Field:
        """Add up the maps of all other parts about where they lie, over every second column and row."""
        cells = shape[0] * shape[1] * shape[2]
        if len(self._field) < cells:
            self._field, self._spare = np.zeros(cells, dtype=np.int32), np.zeros(cells, dtype=np.int32)
        field = self._field[:cells].reshape(shape)
        field.fill(0)
        heavy = []
        for weight, spot, source in self._pieces(i, family, first, shape):
            if weight == BASE:
                target = field[spot]
                np.add(target, source, out=target)
            else:
                heavy.append((weight, spot, source))
        np.multiply(field, BASE, out=field)
        for weight, spot, source in heavy:
            product = self._spare[: source.size].reshape(source.shape)
            np.multiply(source, weight, out=product, dtype=np.int32)
            target = field[spot]
            np.add(target, product, out=target)
        np.multiply(field, RAMP, out=field)
        self.work += 4 * (cells + CALL_WORK)
        return field

    def _pieces(
        self, i: int, family: int, first: tuple[int, int], shape: tuple[int, int, int]
    ) -> list[tuple[int, tuple[slice, slice], NDArray[np.uint8]]]:
        """Cut from each other part's map what lies on the strip: weight, where it goes, the depths."""
        half = self.maps.half[self.form, family]
        at = np.asarray(first) - self.place + half
        begin = at >> 1
        low = np.maximum(0, -begin)
        high = np.minimum(np.asarray(shape[:2]), half + 1 - begin)
        keep = (low < high).all(axis=1)
        keep[i : i + 1] &= i >= self.count
        plane = ((at[:, 0] & 1) * 2 + (at[:, 1] & 1)).tolist()
        begin_, low_, high_, form = begin.tolist(), low.tolist(), high.tolist(), self.form.tolist()
        weight = self.weight[i].tolist()
        found = []
        for j in np.flatnonzero(keep).tolist():
            (bx, by), (x0, y0), (x1, y1) = begin_[j], low_[j], high_[j]
            source = self._plane(form[j], family)[plane[j]][x0 + bx : x1 + bx, y0 + by : y1 + by]
            found.append((weight[j], (slice(x0, x1), slice(y0, y1)), source))
            self.work += source.size + CALL_WORK
        return found

    def _plane(self, fixed: int, family: int) -> list[NDArray[np.uint8]]:
        planes = self._planes.get((fixed, family))
        if planes is None:
            planes = self._planes[(fixed, family)] = self.maps.planes(fixed, family)
        return planes

    def _close(
        self, i: int, family: int, window: tuple[int, int, int, int], x: Whole, y: Whole, slot: Whole
    ) -> tuple[int, int, int, int]:
        """Try the neighbours of some cells on the full lattice; give the cheapest cost, form and place."""
        xs = np.clip(x[:, None] + _NEAR[:, 0], window[0], window[2]).ravel()
        ys = np.clip(y[:, None] + _NEAR[:, 1], window[1], window[3]).ravel()
        slots = np.repeat(slot, len(_NEAR))
        depth = self.maps.look(
            self.form, family, slots[:, None], xs[:, None] - self.place[:, 0], ys[:, None] - self.place[:, 1]
        )
        if i < self.count:
            depth[:, i] = 0
        cost = depth @ self.weight[i]
        self.work += depth.size * 12 + 20 * CALL_WORK
        best = int(cost.argmin())
        return int(cost[best]), self.maps.members[family][int(slots[best])], int(xs[best]), int(ys[best])


_NEAR = np.asarray([(0, 0), (0, -1), (0, 1), (-1, 0), (1, 0), (-1, -1), (-1, 1), (1, -1), (1, 1)], dtype=np.int64)


def _band_minima(field: Field) -> list[tuple[int, int, int, int]]:
    """Give the cheapest cells (cost, column, row, turn) of bands along the strip, the cheapest first."""
    columns = len(field)
    edges = sorted({columns * band // BANDS for band in range(BANDS + 1)})
    found = []
    for begin, end in itertools.pairwise(edges):
        band = field[begin:end]
        flat = int(band.argmin())
        column, row, turn = np.unravel_index(flat, band.shape)
        found.append((int(band[column, row, turn]), begin + int(column), int(row), int(turn)))
    return sorted(found)[:CLOSE]


_RAMPS: dict[tuple[tuple[int, int, int], int], Field] = {}


def _ramp(shape: tuple[int, int, int], corner: int) -> Field:
    """Numbers 0 to RAMP - 1 that rise away from one of the four corners of the strip."""
    ramp = _RAMPS.get((shape, corner))
    if ramp is None:
        across = np.arange(shape[0]) / max(1, shape[0] - 1)
        along = np.arange(shape[1]) / max(1, shape[1] - 1)
        across, along = across[:: -1 if corner & 1 else 1], along[:: -1 if corner & 2 else 1]
        values = (0.6 * across[:, None] + 0.4 * along[None]) * (RAMP - 1)
        ramp = np.broadcast_to(values[..., None], shape).astype(np.int32)
        if len(_RAMPS) > 64:
            _RAMPS.clear()
        _RAMPS[(shape, corner)] = ramp
    return ramp
