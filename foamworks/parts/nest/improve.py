"""Search longer, under a limit of time the user gives: what comes of it is kept, not made again [mm, seconds].

Searches with other seeds and growing budgets: from the best layout on where it is one sheet, else with all parts
shared out anew. Only a layout that passes the exact check and beats the start is given back.
"""

import time
from collections.abc import Callable, Sequence

from foamworks.parts.nest.core import to_layout
from foamworks.parts.nest.greedy import Filling, Spot
from foamworks.parts.nest.model import Layout, Piece, Stock, check_input, placed
from foamworks.parts.nest.proof import verify
from foamworks.parts.nest.sheets import nest_sheets
from foamworks.parts.nest.strip import shortened
from foamworks.parts.nest.task import Task, make_task, same_turn

FIRST_BUDGET = 2e8  # work of the first search, to learn how fast the machine is
GROWTH = 1.5  # each search has this much more work than the one before
LEAST_TOLD = 0.05  # mm: a smaller gain would be printed as none


def search_longer(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    gap: float,
    margin: float,
    seconds: float,
    start: Layout,
    progress: Callable[[str, float], None] | None = None,
) -> Layout:
    """Look for a better layout than `start` for about `seconds`; give the best that passes the check, else `start`.

    The time decides how far the search gets, so the answer may differ from run to run: keep it in a file.
    """
    check_input(pieces, stocks, gap=gap, margin=margin)
    end = time.monotonic() + seconds
    task = make_task(pieces, stocks, gap=gap, margin=margin)
    parts = [kind for kind, piece in zip(task.kind, pieces, strict=True) for _ in range(piece.count)]
    supply = [stock.count for stock in stocks]
    best, budget, pace, seed = start, FIRST_BUDGET, 0.0, 1
    while end - time.monotonic() > pace * budget:
        before, seed = time.monotonic(), seed + 1
        if len(best.sheets) == 1 and not best.unplaced:
            filling = read_layout(task, pieces, best)
            found = to_layout(task, pieces, [shortened(task, filling, {}, budget, seed)], [], stocks)
        else:
            found = to_layout(task, pieces, *nest_sheets(task, parts, supply, budget, seed=seed), stocks)
        if layout_cost(found, pieces, stocks) < layout_cost(best, pieces, stocks):
            best = best if verify(found, pieces, stocks, gap=gap, margin=margin) else found
        pace = (time.monotonic() - before) / budget
        budget *= GROWTH
        if progress is not None:
            progress(f"search {seed - 1}", min(1.0, max(0.0, 1 - (end - time.monotonic()) / seconds)))
    return best


def read_layout(task: Task, pieces: Sequence[Piece], layout: Layout) -> Filling:
    """Read a layout of one sheet back as the searches see it."""
    filling = Filling(layout.sheets[0], task.sheets[layout.sheets[0]])
    for place in layout.placements:
        kind, box = task.kind[place.piece], filling.sheet.box
        left, low = placed(pieces[place.piece], place).bounds[:2]
        turn = same_turn(pieces[place.piece].outline, task.turns[kind], place.angle)
        filling.spots.append(Spot(kind, turn, left - box[0], low - box[1]))
    return filling


def layout_cost(layout: Layout, pieces: Sequence[Piece], stocks: Sequence[Stock]) -> tuple[float, float, float]:
    """Compare layouts: area not placed, then area of opened sheets, then the lengths used."""
    return (
        round(sum(pieces[piece].outline.area for piece, _ in layout.unplaced), 6),
        round(sum(stocks[stock].outline.area for stock in layout.sheets), 6),
        round(sum(layout.used_length), 6),
    )


def gained(before: Layout, after: Layout) -> str:
    """Say what a longer search gained: parts that found a place, whole sheets, millimetres of sheet.

    >>> first = Layout((), (0, 0), ((0, "no room"),), (300.0, 120.5))
    >>> gained(first, Layout((), (0,), (), (280.25,))), gained(first, first)
    ('1 part more found a place, 1 sheet fewer, 140.2 mm less used', 'nothing gained')
    """
    placed, sheets = len(before.unplaced) - len(after.unplaced), len(before.sheets) - len(after.sheets)
    length = sum(before.used_length) - sum(after.used_length)
    words = [f"{placed} part{'s' if placed > 1 else ''} more found a place"] if placed > 0 else []
    words += [f"{sheets} sheet{'s' if sheets > 1 else ''} fewer"] if sheets > 0 else []
    words += [f"{length:.1f} mm less used"] if length >= LEAST_TOLD else []
    return ", ".join(words) or "nothing gained"
