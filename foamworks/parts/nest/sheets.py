"""Several sheets: each is filled in its turn as well as it goes, and the last is kept short [mm]."""

import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from foamworks.parts.nest.depth import Store
from foamworks.parts.nest.exact import Areas, Corners
from foamworks.parts.nest.greedy import (
    FULL,
    ORDER_PARTS,
    Answer,
    Fields,
    Filling,
    endless_stocks,
    fill,
    length,
    orders,
    price,
)
from foamworks.parts.nest.lattice import room_of
from foamworks.parts.nest.strip import shortened
from foamworks.parts.nest.task import Task

STORE_BYTES = 40_000_000  # of kept depth maps, beyond which they are dropped between sheets
REFILLS = 3  # times a sheet is shortened and then offered parts of later sheets; once when there are MANY
TRIES = 20  # kinds of part offered to a shortened sheet, the largest first
MOST_SIZES = 6  # of new sheets that are tried as the first to open
MANY = 150  # parts on all sheets
EXACT_WORK = 4000  # parts times kinds of part over all exact trials: what they cost grows with both
SHUFFLE_SEED = 1  # of the further orders
Trial = tuple[tuple[int, ...], int]
Report = Callable[[str, float], None]


def first_layout(task: Task, parts: Sequence[int], supply: Sequence[int | None]) -> Answer:
    """Lay the parts in several orders; give the best: sheets and kinds without a place.

    Where new sheets come in several sizes each is tried as the one to open first, and what lies on a sheet moves to a
    smaller one that holds it. When the areas do not rule out that less would do, the parts are laid again, exactly
    where they touch.
    """
    tried, sizes = orders(task, parts), [None, *endless_stocks(supply)[1:MOST_SIZES]]  # None: as they are listed
    best = min(
        (_onto_smaller(task, fill(Fields(task), order, supply, size), supply) for size in sizes for order in tried),
        key=lambda answer: cost(task, answer),
    )
    trials = _exact_trials(tried) if parts else []
    areas: Areas = {}
    for order, axis in trials:
        if not _might_do_with_less(task, best, supply):
            break
        laid, left = fill(Corners(task.fine, axis, areas), order, supply, limit=price(task, best))
        exact = [replace(filling, sheet=task.sheets[filling.stock]) for filling in laid], left
        best = min(best, exact, key=lambda answer: price(task, answer))
    return best


def _onto_smaller(task: Task, answer: Answer, supply: Sequence[int | None]) -> Answer:
    """Move what lies on a sheet onto the smallest size of new sheet that holds it all."""
    sizes = sorted(endless_stocks(supply), key=lambda stock: (round(task.sheets[stock].area, 6), stock))
    if len(sizes) < 2:
        return answer
    return [_smallest(task, filling, sizes) for filling in answer[0]], answer[1]


def _smallest(task: Task, filling: Filling, sizes: Sequence[int]) -> Filling:
    kinds = [spot.kind for spot in filling.spots]
    for stock in sizes if filling.stock in sizes else ():
        sheet = task.sheets[stock]
        if sheet.area >= filling.sheet.area or filling.area > FULL * sheet.area:
            continue
        found, left = fill(Fields(task), kinds, [int(stock == other) for other in range(len(task.sheets))])
        if not left:
            return found[0]
    return filling


def _exact_trials(tried: Sequence[Sequence[int]]) -> list[Trial]:
    """Give orders and axes to lay the parts exactly: first the tried orders, then others."""
    count, dice = Counter(tried[0]), random.Random(SHUFFLE_SEED)
    size = len(tried[0])
    most = max(int(size <= MANY), min(ORDER_PARTS, EXACT_WORK // len(count)) // size)
    first = dict.fromkeys(map(tuple, tried))
    trials = [(row, axis) for axis in (0, 1) for row in first]
    kinds = sorted(count)
    for _ in range(most):
        dice.shuffle(kinds)
        row = tuple(kind for kind in kinds for _ in range(count[kind]))
        trials += [(row, axis) for axis in (0, 1)]
    return list(dict.fromkeys(trials))[:most]


def _might_do_with_less(task: Task, answer: Answer, supply: Sequence[int | None]) -> bool:
    """Tell whether the areas leave it open that a place be found for what has none, or a sheet be saved or smaller."""
    fillings, left = answer
    used = Counter(filling.stock for filling in fillings)
    spare = [task.sheets[stock] for stock, count in enumerate(supply) for _ in range((count or 0) - used[stock])]
    room = sum(filling.sheet.most for filling in fillings)
    need = sum(task.need[spot.kind] for filling in fillings for spot in filling.spots)
    lost = [
        kind for kind in left if any(room_of(sheet.box, form) for sheet in task.sheets for form in task.forms[kind])
    ]
    if lost:
        least = need + min(task.need[kind] for kind in lost)
        return None in supply or least <= (room + sum(sheet.most for sheet in spare)) * FULL
    return any(
        need <= (room - filling.sheet.most + other) * FULL
        for filling in fillings
        for other in (0.0, *(sheet.most for sheet in spare if sheet.area < filling.sheet.area))
    )


def cost(task: Task, answer: Answer) -> tuple[float, float, float]:
    """Compare layouts: area not placed, then area of opened sheets, then the lengths used."""
    return (*price(task, answer), round(sum(length(task, filling) for filling in answer[0]), 6))


def nest_sheets(
    task: Task,
    parts: Sequence[int],
    supply: Sequence[int | None],
    budget: float,
    report: Report | None = None,
    seed: int = 1,
) -> Answer:
    """Fill sheet after sheet within a budget of work; never worse than the first layout.

    A sheet is shortened, then takes parts that lie on later sheets or nowhere, from the last sheet first.
    """
    start = first_layout(task, parts, supply)
    if budget <= 0:
        return start
    later, left = [replace(filling, spots=list(filling.spots)) for filling in start[0]], list(start[1])
    made: dict[float, Store] = {}
    done: list[Filling] = []
    while later:
        if report is not None:
            report(f"sheet {len(done) + 1}", sum(len(filling.spots) for filling in done) / len(parts))
        filling = later.pop(0)
        share = budget * len(filling.spots) / len(parts)
        done.append(_filled(task, filling, later, left, share, made, seed))
        later = [filling for filling in later if filling.spots]
        if sum(block.nbytes for store in made.values() for block in store.values()) > STORE_BYTES:
            made.clear()
    return min(start, (done, left), key=lambda answer: cost(task, answer))


def _filled(
    task: Task,
    filling: Filling,
    later: list[Filling],
    left: list[int],
    budget: float,
    made: dict[float, Store],
    seed: int,
) -> Filling:
    """Shorten a sheet and put on it what it then takes of later sheets and of what is left, which lose it."""
    waiting = len(left) + sum(len(other.spots) for other in later)
    for again in range(REFILLS if waiting < MANY else 1):
        filling = shortened(task, filling, made, budget / 2 ** (again + bool(waiting)), seed)
        if not waiting or not _refill(task, filling, later, left):
            break
    return filling


def _refill(task: Task, filling: Filling, later: list[Filling], left: list[int]) -> int:
    """Put parts of later sheets onto a sheet, the largest first; give their number."""
    waiting = Counter(left)
    for other in later:
        waiting.update(spot.kind for spot in other.spots)
    fields, taken = Fields(task), 0
    for kind in sorted(waiting, key=lambda kind: (-round(task.forms[kind][0].area, 6), kind))[:TRIES]:
        form = task.forms[kind][0]
        for _ in range(waiting[kind]):
            spot = fields.best(filling, 0, kind) if filling.room(form) else None
            if spot is None:
                break
            filling.add(spot, form)
            _take(kind, form.area, later, left)
            taken += 1
    return taken


def _take(kind: int, area: float, later: list[Filling], left: list[int]) -> None:
    """Take one part from where it waited: nowhere, or the last sheet that has it."""
    if kind in left:
        left.remove(kind)
        return
    filling = next(filling for filling in reversed(later) if any(spot.kind == kind for spot in filling.spots))
    place = next(index for index, spot in enumerate(filling.spots) if spot.kind == kind)
    del filling.spots[place]
    filling.area -= area
