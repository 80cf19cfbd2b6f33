"""From pieces and sheets to a layout, the same on every run: the one door to the searches [mm, degrees]."""

import math
from collections.abc import Callable, Sequence

from foamworks.errors import OutputError
from foamworks.parts.nest.exact import Corners
from foamworks.parts.nest.greedy import Filling, fill
from foamworks.parts.nest.model import LATTICE, Layout, Piece, Placement, Stock, check_input
from foamworks.parts.nest.proof import verify
from foamworks.parts.nest.sheets import nest_sheets
from foamworks.parts.nest.task import Task, make_task

BUDGET = 4_100_000_000  # work in cells added up; some 400 million are done in a second on a quiet core
FIRST_WORK = 440_000  # of it for each pair of parts: the first layout and the depth maps
FEW = 24  # parts; fewer get less work, by their number to the power 1.5


def nest(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    gap: float,
    margin: float,
    effort: int | None = None,
    progress: Callable[[str, float], None] | None = None,
) -> Layout:
    """Lay every copy of every piece on the sheets, `gap` apart and `margin` from the edge [mm].

    Sheets with a count are used up first, in the order given; then new ones are opened of the first stock without
    count that takes the part. `effort` is the budget of work: cells added up, never time, so the layout is the same on
    any machine load. Left out, it takes up to twelve seconds of processor time; 0 gives the first layout alone.
    `progress` is told the step and how much is done, 0 to 1.

    Raises PhysicsError for what cannot be nested, OutputError should a layout fail its own check.
    """
    check_input(pieces, stocks, gap=gap, margin=margin)
    task = make_task(pieces, stocks, gap=gap, margin=margin)
    parts = [kind for kind, piece in zip(task.kind, pieces, strict=True) for _ in range(piece.count)]
    supply = [stock.count for stock in stocks]
    budget = _budget(len(parts)) if effort is None else effort
    fillings, left = nest_sheets(task, parts, supply, budget, progress)
    layout = to_layout(task, pieces, fillings, left, stocks)
    faults = verify(layout, pieces, stocks, gap=gap, margin=margin)
    if faults:
        raise OutputError(f"nesting: the layout failed its own check: {faults[0]}")
    return layout


def _budget(parts: int) -> float:
    """Work for the search of so many parts; the least is for so many that the first layout alone takes its time."""
    return max(BUDGET / 4, BUDGET - FIRST_WORK * parts**2) * min(1.0, math.pow(parts / FEW, 1.5))


def to_layout(
    task: Task, pieces: Sequence[Piece], fillings: Sequence[Filling], left: Sequence[int], stocks: Sequence[Stock]
) -> Layout:
    """Name the copies and round the places: the lower left corner of each part's box onto the lattice."""
    waiting: dict[int, list[tuple[int, int]]] = {}
    for index, piece in enumerate(pieces):
        waiting.setdefault(task.kind[index], []).extend((index, copy) for copy in range(piece.count))
    placements, used = [], []
    per = round(1 / LATTICE)
    for number, filling in enumerate(fillings):
        right = 0.0
        for spot in filling.spots:
            owner, copy = waiting[spot.kind].pop(0)
            form, box = task.forms[spot.kind][spot.turn], filling.sheet.box
            corner = [round((box[k] + (spot.x, spot.y)[k]) * per) / per for k in (0, 1)]
            x, y = (round(corner[k] - (form.centre[k] - form.half[k]), 9) for k in (0, 1))
            placements.append(Placement(owner, copy, number, x, y, task.turns[spot.kind][spot.turn]))
            right = max(right, corner[0] + 2 * form.half[0])
        used.append(round(right - filling.sheet.left, 9))
    unplaced = [(*waiting[kind].pop(0), kind) for kind in left]
    reasons = tuple((piece, why(task, kind, stocks)) for piece, _, kind in sorted(unplaced))
    placements.sort(key=lambda place: (place.sheet, place.piece, place.copy))
    return Layout(tuple(placements), tuple(filling.stock for filling in fillings), reasons, tuple(used))


def why(task: Task, kind: int, stocks: Sequence[Stock]) -> str:
    """Say why a shape found no place."""
    if not stocks:
        return "there is no sheet"
    alone = [fill(Corners(task.fine), [kind], [int(k == n) for k in range(len(stocks))])[1] for n in range(len(stocks))]
    if all(alone):
        wide, high = (2 * side for side in task.forms[kind][0].half)
        return f"larger than any sheet inside its margin ({wide:.1f} x {high:.1f} mm)"
    return "no room left on the sheets given"
