"""Shorten the layout of one sheet: ask for a little less length, search, push together, again [mm].

Budgets are counted in work (cells added up), never in time, so that the answer does not depend on the machine.
"""

import functools
import random
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from foamworks.parts.nest.compact import Compactor, Pose
from foamworks.parts.nest.depth import Maps, Store, Whole, make_maps, map_bytes, pair_map, solid_map
from foamworks.parts.nest.greedy import Filling, Spot
from foamworks.parts.nest.lattice import room_of
from foamworks.parts.nest.overlap import Search, State
from foamworks.parts.nest.shapes import Array
from foamworks.parts.nest.task import Sheet, Task

FIRST_STEP, LEAST_STEP = 0.02, 0.003  # of the length asked off at once
FADE = 0.7  # of the step after a failure
NEAR = 0.05  # mm over the least length any layout could have: with that the search ends
SWEEPS = 200  # of one search
MENDABLE = 3  # overlap units a part: a state with no more is given to the linear programme
MAP_WORK = 20_000  # cells that could be added while one map is made; with less work than that no search is begun
MAP_BYTES = 128 * 2**20  # of depth maps at most; above it the search lattice is twice as wide


def shortened(task: Task, filling: Filling, made: dict[float, Store], budget: float, seed: int = 1) -> Filling:
    """Shorten what lies on a sheet within a budget of work. `made` keeps depth maps by their step."""
    strip = Strip(task, filling.sheet, filling.spots, made)
    pose = strip.shorten(strip.pose(filling.spots), budget, seed)
    return replace(filling, spots=strip.spots(pose))


class Strip:
    """One sheet's parts, ready for shortening. `spots` name the parts; their order stays."""

    def __init__(self, task: Task, sheet: Sheet, spots: Sequence[Spot], made: dict[float, Store]) -> None:
        self.task, self.sheet = task, sheet
        self.kinds = sorted({spot.kind for spot in spots})
        shapes = [task.forms[k] for k in self.kinds]
        self.step = task.step
        while map_bytes(shapes, self.step) > MAP_BYTES:
            self.step *= 2
        self.forms = [form for row in shapes for form in row]
        self.first = np.cumsum([0] + [len(row) for row in shapes]).tolist()
        self.parts = [self.kinds.index(spot.kind) for spot in spots]
        self.compactor = Compactor(self.forms, self.step, sheet.box, sheet.solid)
        self.size = ((sheet.box[2] - sheet.box[0]) / self.step, (sheet.box[3] - sheet.box[1]) / self.step)
        self._made = made
        self._hard: set[tuple[int, int]] = set()

    @functools.cached_property
    def maps(self) -> Maps:
        """The depth maps, made when first needed."""
        return make_maps(
            [self.task.forms[k] for k in self.kinds],
            [self.task.turns[k] for k in self.kinds],
            solid=self.sheet.solid,
            box=self.sheet.box,
            step=self.step,
            made=self._made.setdefault(self.step, {}),
        )

    @functools.cached_property
    def families(self) -> list[list[int]]:
        """The moving families each part may take: those that the sheet is large enough for."""
        owner = [self._owner(group[0]) for group in self.maps.members]
        fits = [room_of(self.sheet.box, self.forms[group[0]]) is not None for group in self.maps.members]
        return [[f for f, kind in enumerate(owner) if kind == part and fits[f]] for part in self.parts]

    def _owner(self, form: int) -> int:
        return int(np.searchsorted(self.first, form, side="right")) - 1

    def pose(self, spots: Sequence[Spot]) -> Pose:
        """Read a pose from spots."""
        forms = tuple(self.first[part] + spot.turn for part, spot in zip(self.parts, spots, strict=True))
        half = np.asarray([self.forms[form].half for form in forms])
        centre = np.asarray([(spot.x, spot.y) for spot in spots]) + half + np.asarray(self.sheet.box[:2])
        return Pose(centre, forms, float((centre[:, 0] + half[:, 0]).max()) - self.sheet.box[0])

    def spots(self, pose: Pose) -> list[Spot]:
        """Write a pose as spots."""
        found = []
        for centre, form in zip(pose.centre.tolist(), pose.form, strict=True):
            half, kind = self.forms[form].half, self._owner(form)
            x, y = (centre[k] - half[k] - self.sheet.box[k] for k in (0, 1))
            found.append(Spot(self.kinds[kind], form - self.first[kind], x, y))
        return found

    def least_length(self) -> float:
        """A length no layout can beat: the area over the width, and the part that is long whichever way it lies.

        The area is that of the parts grown by half the gap on the box grown as much.
        """
        forms, gap = self.forms, self.task.gap
        area = sum(self.task.need[self.kinds[part]] for part in self.parts)
        high = self.sheet.box[3] - self.sheet.box[1]
        long = [
            min(
                2 * form.half[0] for form in forms[self.first[k] : self.first[k + 1]] if 2 * form.half[1] <= high + 1e-6
            )
            for k in range(len(self.kinds))
        ]
        return float(max(area / (high + gap) - gap, *long))

    def shorten(self, best: Pose, budget: float, seed: int = 1) -> Pose:
        """Shorten a legal pose within a budget of work."""
        pushed = self.compactor.run(best.centre, best.form)
        if pushed is not None and pushed.length < best.length:
            best = pushed
        if budget < MAP_WORK * len(self.forms) ** 2:
            return best
        return self._search(best, seed, budget, self.least_length() + NEAR)

    def _search(self, best: Pose, seed: int, budget: float, floor: float) -> Pose:
        """Ask for a step less than the best length; when that fails, for a smaller step from a disturbed state."""
        search = Search(self.maps, self.families, self.size, seed)
        state = self._to_lattice(best)
        step = FIRST_STEP
        while search.work + self.compactor.work < budget and best.length > floor:
            length = max(floor, best.length * (1 - step))
            search.load(state, length / self.step)
            found = search.run(SWEEPS, budget - self.compactor.work)
            pose = None
            if search.least <= MENDABLE * len(self.parts):
                pose = self.compactor.run(self._from_lattice(found), tuple(found.form.tolist()))
            if pose is not None and pose.length < best.length - 1e-6:
                best, state = pose, self._to_lattice(pose)
            elif pose is None and search.least == 0 and self._harden(found.form):
                state = found
            else:
                step = max(LEAST_STEP, step * FADE)
                state = self._disturbed(found, search.random)
        return best

    def _harden(self, form: Whole) -> bool:
        """Let pass no overlap any more between shapes that small moves could not part, a tab in too narrow a slot.

        False when that is so already.
        """
        maps, family = self.maps, self.maps.family
        new = set()
        for i, j in self.compactor.stuck:
            new.add((family[form[i]] if i >= 0 else -1, family[form[j]]))
        new -= self._hard
        self._hard |= new | {(b, a) for a, b in new}
        for a, b in sorted(new):
            if a < 0 and maps.anchor is not None:
                solid, box = self.sheet.solid, self.sheet.box
                hard = [solid_map(solid, self.forms[k], box, maps.anchor, self.step, 0.0) for k in maps.members[b]]
                maps.rewrite(len(self.forms), b, hard)
            for one, two in ((a, b), (b, a)):
                for fixed in maps.members[one] if min(one, two) >= 0 else ():
                    moving = [pair_map(self.forms[fixed], self.forms[k], self.step, 0.0) for k in maps.members[two]]
                    maps.rewrite(fixed, two, moving)
        return bool(new)

    def _to_lattice(self, pose: Pose) -> State:
        place = np.rint((pose.centre - np.asarray(self.sheet.box[:2])) / self.step).astype(np.int64)
        return State(place, np.asarray(pose.form))

    def _from_lattice(self, state: State) -> Array:
        return np.asarray(state.place * self.step + np.asarray(self.sheet.box[:2]), dtype=np.float64)

    def _disturbed(self, state: State, dice: random.Random) -> State:
        """Exchange the places of two different large parts."""
        area = [self.forms[form].area for form in state.form.tolist()]
        large = sorted(range(len(area)), key=lambda i: (-area[i], i))[: max(2, len(area) // 2)]
        one = dice.choice(large)
        others = [i for i in large if self.parts[i] != self.parts[one]] or [i for i in large if i != one] or [one]
        two = dice.choice(others)
        place = state.place.copy()
        place[[one, two]] = place[[two, one]]
        return State(place, state.form)
