"""First layout: part after part in a given order, each as far left as it goes, then as low [mm].

Parts lie on a lattice counted from the lower left corner of the sheet's free box to the lower left corner of the
part's own box. No-fit areas are exact, so only the lattice wastes room.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from foamworks.parts.nest.nofit import Mask, Stamp, Stamps, sheet_stamp
from foamworks.parts.nest.shapes import Form
from foamworks.parts.nest.task import Sheet, Task

FULL = 1.0 + 1e-9  # of a sheet's free area: beyond it nothing is tried any more


@dataclass(frozen=True)
class Spot:
    """A part on a sheet: its shape, its turn (index) and the lower left corner of its box from the free box's [mm]."""

    kind: int
    turn: int
    x: float
    y: float


@dataclass
class Filling:
    """One sheet being filled. `spots` are what lies on it, `steps` their lattice places."""

    stock: int
    sheet: Sheet
    spots: list[Spot] = field(default_factory=list)
    steps: list[tuple[int, int]] = field(default_factory=list)
    area: float = 0.0

    def room(self, form: Form) -> bool:
        """Tell whether the part's area could still go on."""
        return self.area + form.area <= FULL * self.sheet.area or not self.spots


class Fields:
    """Free places of one shape on the sheets, kept up to date while its copies are laid."""

    def __init__(self, task: Task, stamps: Stamps) -> None:
        self.task, self.stamps = task, stamps
        self._kind = -1
        self._seen: dict[tuple[int, int], tuple[Mask | None, int]] = {}

    def best(self, filling: Filling, number: int, kind: int) -> tuple[int, int, int] | None:
        """Find turn and lattice place of a shape on a sheet: least right edge, then least y, then the first turn."""
        if kind != self._kind:
            self._kind, self._seen = kind, {}
        found = []
        for turn, form in enumerate(self.task.forms[kind]):
            mask = self._mask(filling, number, kind, turn)
            if mask is None or not mask.size:
                continue
            first = int(mask.argmin())
            if not mask.flat[first]:
                i, j = divmod(first, mask.shape[1])
                right = round(i * self.task.step + 2 * form.half[0], 6)
                found.append((right, j, turn, i))
        if not found:
            return None
        _, j, turn, i = min(found)
        return turn, i, j

    def _mask(self, filling: Filling, number: int, kind: int, turn: int) -> Mask | None:
        form = self.task.forms[kind][turn]
        mask, seen = self._seen.get((number, turn), (None, -1))
        if seen < 0:
            mask, seen = sheet_stamp(filling.sheet.box, filling.sheet.solid, form, self.task.step), 0
        if mask is not None:
            moving = self.task.number(kind, turn)
            for spot, place in zip(filling.spots[seen:], filling.steps[seen:], strict=True):
                key = (self.task.number(spot.kind, spot.turn), moving)
                press(mask, self.stamps.get(key, self.task.forms[spot.kind][spot.turn], form), place)
        self._seen[(number, turn)] = (mask, len(filling.spots))
        return mask


def press(mask: Mask, stamp: Stamp, place: tuple[int, int]) -> None:
    """Mark on a sheet's lattice what a part lying at `place` takes from another."""
    i, j = place[0] + stamp.first[0], place[1] + stamp.first[1]
    left, low = max(0, i), max(0, j)
    right, high = min(mask.shape[0], i + stamp.mask.shape[0]), min(mask.shape[1], j + stamp.mask.shape[1])
    if left < right and low < high:
        part = mask[left:right, low:high]
        np.logical_or(part, stamp.mask[left - i : right - i, low - j : high - j], out=part)


def fill(
    task: Task, parts: Sequence[int], supply: Sequence[int | None], stamps: Stamps
) -> tuple[list[Filling], list[int]]:
    """Lay shapes `parts` in order over the sheets; give the sheets and, by place in `parts`, what found no room.

    Sheets with a count stand open from the start, in their order. A new sheet of a stock without count is opened
    when nothing open takes the part, of the first such stock that does.
    """
    fillings = [Filling(stock, task.sheets[stock]) for stock, count in enumerate(supply) for _ in range(count or 0)]
    endless = [stock for stock, count in enumerate(supply) if count is None]
    fields, left, full = Fields(task, stamps), [], set()
    for index, kind in enumerate(parts):
        area = task.forms[kind][0]
        for number, filling in enumerate(fillings):
            if (number, kind) not in full and filling.room(area):
                spot = fields.best(filling, number, kind)
                if spot is not None:
                    lay(task, filling, kind, spot)
                    break
                full.add((number, kind))
        else:
            if not _open(task, fillings, endless, kind, fields):
                left.append(index)
    return fillings, left


def _open(task: Task, fillings: list[Filling], endless: Sequence[int], kind: int, fields: Fields) -> bool:
    for stock in endless:
        filling = Filling(stock, task.sheets[stock])
        spot = fields.best(filling, len(fillings), kind)
        if spot is not None:
            fillings.append(filling)
            lay(task, filling, kind, spot)
            return True
    return False


def lay(task: Task, filling: Filling, kind: int, spot: tuple[int, int, int]) -> None:
    """Put a shape on a sheet at a turn and a lattice place."""
    turn, i, j = spot
    filling.spots.append(Spot(kind, turn, i * task.step, j * task.step))
    filling.steps.append((i, j))
    filling.area += task.forms[kind][turn].area


def orders(task: Task, parts: Sequence[int]) -> list[list[int]]:
    """Five orders of the parts, the largest first by area, hull, longest side, box and girth; equal shapes together."""
    measures: list[Callable[[Form], float]] = [
        lambda form: form.area,
        lambda form: form.hull_area,
        lambda form: max(form.half),
        lambda form: form.half[0] * form.half[1],
        lambda form: form.half[0] + form.half[1],
    ]
    return [sorted(parts, key=lambda kind: (-round(of(task.forms[kind][0]), 6), kind)) for of in measures]


def length(task: Task, filling: Filling) -> float:
    """Reach of the rightmost part from the free box's left edge [mm]."""
    return max((spot.x + 2 * task.forms[spot.kind][spot.turn].half[0] for spot in filling.spots), default=0.0)
