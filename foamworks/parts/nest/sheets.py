"""Several sheets: each is filled in its turn as well as it goes, and the last is kept short [mm]."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from foamworks.parts.nest.depth import Store
from foamworks.parts.nest.greedy import Fields, Filling, fill, length, orders
from foamworks.parts.nest.strip import Strip
from foamworks.parts.nest.task import Task

STORE_BYTES = 40_000_000  # of kept depth maps, beyond which they are dropped between sheets
REFILLS = 3  # times a sheet is shortened and then offered parts of later sheets; once when there are MANY
TRIES = 20  # kinds of part offered to a shortened sheet, the largest first
MANY = 150  # parts on all sheets
Answer = tuple[list[Filling], list[int]]
Report = Callable[[str, float], None]


def first_layout(task: Task, parts: Sequence[int], supply: Sequence[int | None]) -> Answer:
    """Lay the parts in several orders; give the best: sheets and kinds without a place."""
    return min((fill(task, order, supply) for order in orders(task, parts)), key=lambda answer: cost(task, answer))


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
    """Fill sheet after sheet within a budget of work; never worse than the first layout.

    A sheet is shortened, then takes parts that lie on later sheets or nowhere, from the last sheet first.
    """
    start = first_layout(task, parts, supply)
    later, left = [replace(filling, spots=list(filling.spots)) for filling in start[0]], list(start[1])
    made: dict[float, Store] = {}
    done: list[Filling] = []
    while later:
        report(f"sheet {len(done) + 1}", sum(len(filling.spots) for filling in done) / len(parts))
        filling = later.pop(0)
        if not later and done:
            filling = _laid_anew(task, filling)
        share = budget * len(filling.spots) / len(parts)
        done.append(_filled(task, filling, later, left, share, made, seed))
        later = [filling for filling in later if filling.spots]
        if sum(block.nbytes for store in made.values() for block in store.values()) > STORE_BYTES:
            made.clear()
    return min(start, (done, left), key=lambda answer: cost(task, answer))


def _laid_anew(task: Task, filling: Filling) -> Filling:
    """Lay the parts that remain on a sheet once more, since gaps were left in it; keep the shorter layout."""
    supply = [int(stock == filling.stock) for stock in range(len(task.sheets))]
    fillings, left = first_layout(task, [spot.kind for spot in filling.spots], supply)
    return filling if left else min(filling, *fillings, key=lambda choice: length(task, choice))


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
        strip = Strip(task, filling.sheet, filling.spots, made)
        pose = strip.shorten(strip.pose(filling.spots), budget / 2 ** (again + bool(waiting)), seed)
        filling = Filling(filling.stock, filling.sheet, strip.spots(pose), filling.area)
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
