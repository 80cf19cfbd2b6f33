"""Several sheets: each is filled in its turn as well as it goes, and the last is kept short [mm]."""

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from foamworks.parts.nest.depth import Store
from foamworks.parts.nest.greedy import Filling, Spot, fill, length, orders
from foamworks.parts.nest.nofit import Mask, Stamps, blocked, half_planes, sheet_stamp
from foamworks.parts.nest.strip import Strip
from foamworks.parts.nest.task import Task

STAMP_BYTES = 64 * 2**20  # kept no-fit masks of the first layouts
STORE_MAPS = 40_000_000  # bytes of kept depth maps beyond which they are dropped between sheets
REFILLS = 3  # times a sheet is shortened and then offered parts of later sheets
TRIES = 40  # kinds of part offered to a shortened sheet, the largest first
Answer = tuple[list[Filling], list[int]]
Report = Callable[[str, float], None]


def first_layout(task: Task, parts: Sequence[int], supply: Sequence[int | None], stamps: Stamps) -> Answer:
    """Lay the parts in several orders; give the best: sheets and kinds without a place."""
    tried = []
    for order in orders(task, parts):
        fillings, left = fill(task, order, supply, stamps)
        tried.append(([filling for filling in fillings if filling.spots], [order[i] for i in left]))
    return min(tried, key=lambda answer: cost(task, answer))


def cost(task: Task, answer: Answer) -> tuple[float, float, float]:
    """Compare layouts: area not placed, then area of opened sheets, then the lengths used."""
    fillings, left = answer
    return (
        round(sum(task.forms[kind][0].area for kind in left), 6),
        round(sum(filling.sheet.area for filling in fillings), 6),
        round(sum(length(task, filling) for filling in fillings), 6),
    )


def nest_sheets(
    task: Task, parts: Sequence[int], supply: Sequence[int | None], budget: float, report: Report, seed: int = 1
) -> Answer:
    """Fill sheet after sheet within a budget of work; never worse than the first layout."""
    stamps = Stamps(task.step, STAMP_BYTES)
    start = plan = first_layout(task, parts, supply, stamps)
    report("first layout", 0.1)
    done: list[Filling] = []
    rest, supply, all_parts = Counter(parts), list(supply), len(parts)
    made: dict[float, Store] = {}
    while plan[0]:
        filling = plan[0][0]
        rest -= Counter(spot.kind for spot in filling.spots)
        share = budget * len(filling.spots) / all_parts
        done.append(_filled(task, filling, rest, share, made, seed))
        report(f"sheet {len(done)}", 1 - 0.9 * rest.total() / all_parts)
        stock = supply[filling.stock]
        supply[filling.stock] = None if stock is None else stock - 1
        if not rest:
            return min(start, (done, []), key=lambda answer: cost(task, answer))
        if len(plan[0]) > 1 or plan[1]:
            plan = first_layout(task, sorted(rest.elements()), supply, stamps)
        else:
            plan = ([], plan[1])
    return min(start, (done, sorted(rest.elements())), key=lambda answer: cost(task, answer))


def _filled(
    task: Task, filling: Filling, rest: Counter[int], budget: float, made: dict[float, Store], seed: int
) -> Filling:
    """Shorten a sheet and put on it what it then takes of `rest`, which loses it."""
    for again in range(REFILLS):
        if sum(block.nbytes for store in made.values() for block in store.values()) > STORE_MAPS:
            made.clear()
        strip = Strip(task, filling.sheet, filling.spots, made)
        pose = strip.shorten(strip.pose(filling.spots), budget / (2**again if rest else 1), seed)
        filling = Filling(filling.stock, filling.sheet, strip.spots(pose), area=filling.area)
        if not rest or not refill(task, filling, rest):
            break
    return filling


def refill(task: Task, filling: Filling, rest: Counter[int]) -> int:
    """Put parts of `rest` onto a sheet whose parts lie off the lattice, the largest first; count them."""
    added = 0
    kinds = sorted(rest, key=lambda kind: (-round(task.forms[kind][0].area, 6), kind))
    for kind in kinds[:TRIES]:
        while rest[kind] and filling.room(task.forms[kind][0]):
            spot = _free_spot(task, filling, kind)
            if spot is None:
                break
            filling.spots.append(spot)
            filling.area += task.forms[kind][0].area
            rest[kind] -= 1
            added += 1
        rest += Counter()
    for kind in [kind for kind in rest if not rest[kind]]:
        del rest[kind]
    return added


def _free_spot(task: Task, filling: Filling, kind: int) -> Spot | None:
    found = []
    for turn, form in enumerate(task.forms[kind]):
        mask = sheet_stamp(filling.sheet.box, filling.sheet.solid, form, task.step)
        if mask is None:
            continue
        for spot in filling.spots:
            _press_off_lattice(task, mask, spot, kind, turn)
        first = int(mask.argmin())
        if not mask.flat[first]:
            i, j = divmod(first, mask.shape[1])
            found.append((round(i * task.step + 2 * form.half[0], 6), j, turn, i))
    if not found:
        return None
    _, j, turn, i = min(found)
    return Spot(kind, turn, i * task.step, j * task.step)


def _press_off_lattice(task: Task, mask: Mask, spot: Spot, kind: int, turn: int) -> None:
    """Mark on the lattice of a moving form's corner what a part anywhere on the sheet takes."""
    fixed, moving, step = task.forms[spot.kind][spot.turn], task.forms[kind][turn], task.step
    shift = [(spot.x, spot.y)[k] + fixed.half[k] - moving.half[k] for k in (0, 1)]
    span = [fixed.reach[k] + moving.reach[k] for k in (0, 1)]
    low = [max(0, int(np.ceil((shift[k] - span[k]) / step))) for k in (0, 1)]
    high = [min(mask.shape[k], int(np.floor((shift[k] + span[k]) / step)) + 1) for k in (0, 1)]
    if low[0] < high[0] and low[1] < high[1]:
        xs = np.arange(low[0], high[0], dtype=np.float64) * step - shift[0]
        taken = blocked(half_planes(fixed.grown, moving.grown), xs, low[1] * step - shift[1], step, high[1] - low[1])
        mask[low[0] : high[0], low[1] : high[1]] |= taken
