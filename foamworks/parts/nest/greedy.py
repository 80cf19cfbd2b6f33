"""First layout: part after part in a given order, each as far left as it goes, then as low [mm].

Parts lie on a lattice counted from the lower left corner of the sheet's free box to the lower left corner of the
part's own box. No-fit areas are exact, so only the lattice wastes room.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from foamworks.parts.nest.lattice import Mask, press, sheet_mask
from foamworks.parts.nest.shapes import Form
from foamworks.parts.nest.task import Sheet, Task

ORDER_PARTS = 500  # parts laid over all orders tried: many parts get fewer orders
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
    """One sheet being filled, and what lies on it."""

    stock: int
    sheet: Sheet
    spots: list[Spot] = field(default_factory=list)
    area: float = 0.0

    def room(self, form: Form) -> bool:
        """Tell whether the part's area could still go on."""
        return self.area + form.area <= FULL * self.sheet.area or not self.spots

    def add(self, spot: Spot, form: Form) -> None:
        """Lay one part more."""
        self.spots.append(spot)
        self.area += form.area


Answer = tuple[list[Filling], list[int]]


class Finder(Protocol):
    """What finds a place for a shape on a sheet, by its number among those being filled."""

    task: Task

    def best(self, filling: Filling, number: int, kind: int) -> Spot | None:
        """Find a place for a shape; None where there is none."""


class Fields:
    """Free lattice points of one shape on the sheets, kept up to date while its copies are laid."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self._kind = -1
        self._seen: dict[tuple[int, int, int], tuple[Mask | None, int]] = {}

    def best(self, filling: Filling, number: int, kind: int) -> Spot | None:
        """Find a place for a shape on a sheet: least right edge, then least y, then the first turn."""
        step = self.task.step
        if kind != self._kind:
            self._kind, self._seen = kind, {}
        found = []
        for turn, form in enumerate(self.task.forms[kind]):
            mask = self._mask(filling, number, form, turn)
            if mask is None:
                continue
            x, y = divmod(int(mask.argmin()), mask.shape[1])
            if not mask[x, y]:
                found.append((round(x * step + 2 * form.half[0], 6), y, turn, x))
        if not found:
            return None
        _, y, turn, x = min(found)
        return Spot(kind, turn, x * step, y * step)

    def _mask(self, filling: Filling, number: int, form: Form, turn: int) -> Mask | None:
        key = (number, filling.stock, turn)
        mask, seen = self._seen.get(key, (None, -1))
        if seen < 0:
            mask, seen = sheet_mask(filling.sheet.box, filling.sheet.solid, form, self.task.step), 0
        new = filling.spots[seen:]
        if mask is not None and new:
            press(mask, [(self.task.forms[spot.kind][spot.turn], spot.x, spot.y) for spot in new], form, self.task.step)
        self._seen[key] = (mask, len(filling.spots))
        return mask


def fill(
    fields: Finder,
    parts: Sequence[int],
    supply: Sequence[int | None],
    first: int | None = None,
    limit: tuple[float, float] = (math.inf, math.inf),
) -> Answer:
    """Lay shapes `parts` in order over the sheets; give the sheets used and the shapes that found no room.

    Sheets with a count stand open from the start, in their order. A new sheet of a stock without count is opened
    when nothing open takes the part: of the stock `first`, else of the first such stock that does. As soon as the
    price is no longer below a limit, nothing is laid.
    """
    task = fields.task
    fillings = [Filling(stock, task.sheets[stock]) for stock, count in enumerate(supply) for _ in range(count or 0)]
    endless = sorted(endless_stocks(supply), key=lambda stock: stock != first)
    left: list[int] = []
    full: set[tuple[int, int]] = set()
    for kind in parts:
        if not _lay(task, fillings, kind, fields, full) and not _open(task, fillings, endless, kind, fields):
            left.append(kind)
        if price(task, (fillings, left)) >= limit:
            return [], list(parts)
    return [filling for filling in fillings if filling.spots], left


def endless_stocks(supply: Sequence[int | None]) -> list[int]:
    """Give the stocks of which there are as many sheets as are needed."""
    return [stock for stock, count in enumerate(supply) if count is None]


def price(task: Task, answer: Answer) -> tuple[float, float]:
    """Area of what is not placed, and of the sheets that are used [mm2]."""
    fillings, left = answer
    return (
        round(sum(task.forms[kind][0].area for kind in left), 6),
        round(sum(filling.sheet.area for filling in fillings if filling.spots), 6),
    )


def _lay(task: Task, fillings: list[Filling], kind: int, fields: Finder, full: set[tuple[int, int]]) -> bool:
    """Lay a shape on the first open sheet that takes it; `full` remembers what did not, and empty stocks (below 0)."""
    form = task.forms[kind][0]
    for number, filling in enumerate(fillings):
        key = (number if filling.spots else -1 - filling.stock, kind)
        if key in full or not filling.room(form):
            continue
        spot = fields.best(filling, number, kind)
        if spot is not None:
            filling.add(spot, form)
            return True
        full.add(key)
    return False


def _open(task: Task, fillings: list[Filling], endless: Sequence[int], kind: int, fields: Finder) -> bool:
    for stock in endless:
        filling = Filling(stock, task.sheets[stock])
        spot = fields.best(filling, len(fillings), kind)
        if spot is not None:
            filling.add(spot, task.forms[kind][0])
            fillings.append(filling)
            return True
    return False


def orders(task: Task, parts: Sequence[int]) -> list[list[int]]:
    """Up to five orders, the largest first by area, hull, longest side, box and girth; equal shapes together."""
    measures: list[Callable[[Form], float]] = [
        lambda form: form.area,
        lambda form: form.hull_area,
        lambda form: max(form.half),
        lambda form: form.half[0] * form.half[1],
        lambda form: form.half[0] + form.half[1],
    ]
    few = max(1, ORDER_PARTS // max(1, len(parts)))
    return [sorted(parts, key=lambda kind: (-round(of(task.forms[kind][0]), 6), kind)) for of in measures[:few]]


def length(task: Task, filling: Filling) -> float:
    """Reach of the rightmost part from the free box's left edge [mm]."""
    return max((spot.x + 2 * task.forms[spot.kind][spot.turn].half[0] for spot in filling.spots), default=0.0)
