"""From pieces and sheets to a layout, the same on every run: the one door to the searches [mm, degrees]."""

from collections.abc import Callable, Sequence
from typing import Literal

from foamworks.parts.nest.greedy import Filling, fill, length, orders
from foamworks.parts.nest.model import LATTICE, Layout, Piece, Placement, Stock, check_input
from foamworks.parts.nest.nofit import Stamps
from foamworks.parts.nest.task import Task, make_task

STAMP_BYTES = 64 * 2**20  # kept no-fit masks of the first layout


def nest(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    gap: float,
    margin: float,
    effort: Literal["quick", "normal"] | int = "normal",
    progress: Callable[[str, float], None] | None = None,
) -> Layout:
    """Lay every copy of every piece on the sheets, `gap` [mm] apart and `margin` [mm] from the edge."""
    check_input(pieces, stocks, gap=gap, margin=margin)
    task = make_task(pieces, stocks, gap=gap, margin=margin)
    parts = [kind for kind, piece in zip(task.kind, pieces, strict=True) for _ in range(piece.count)]
    stamps = Stamps(task.step, STAMP_BYTES)
    supply = [stock.count for stock in stocks]
    tried = [(*fill(task, order, supply, stamps), order) for order in orders(task, parts)]
    fillings, left, order = min(tried, key=lambda row: _cost(task, row[0], [row[2][i] for i in row[1]]))
    used = [filling for filling in fillings if filling.spots]
    return to_layout(task, pieces, used, [order[i] for i in left], stocks)


def _cost(task: Task, fillings: list[Filling], left: list[int]) -> tuple[float, float, float]:
    """Area not placed, then area of opened sheets, then the lengths used."""
    used = [filling for filling in fillings if filling.spots]
    return (
        sum(task.forms[kind][0].area for kind in left),
        sum(filling.sheet.area for filling in used),
        sum(length(task, filling) for filling in used),
    )


def to_layout(
    task: Task, pieces: Sequence[Piece], fillings: Sequence[Filling], left: Sequence[int], stocks: Sequence[Stock]
) -> Layout:
    """Name the copies and round the places: the lower left corner of each part's box onto the lattice."""
    waiting: dict[int, list[tuple[int, int]]] = {}
    for index, piece in enumerate(pieces):
        waiting.setdefault(task.kind[index], []).extend((index, copy) for copy in range(piece.count))
    placements = []
    per = round(1 / LATTICE)
    for number, filling in enumerate(fillings):
        for spot in filling.spots:
            owner, copy = waiting[spot.kind].pop(0)
            form = task.forms[spot.kind][spot.turn]
            corner = [round((filling.sheet.box[k] + (spot.x, spot.y)[k]) * per) / per for k in (0, 1)]
            x, y = (round(corner[k] - (form.centre[k] - form.half[k]), 9) for k in (0, 1))
            placements.append(Placement(owner, copy, number, x, y, task.turns[spot.kind][spot.turn]))
    unplaced = [(*waiting[kind].pop(0), kind) for kind in left]
    reasons = tuple((piece, why(task, kind, stocks)) for piece, _, kind in sorted(unplaced))
    placements.sort(key=lambda place: (place.sheet, place.piece, place.copy))
    used = tuple(round(filling.sheet.box[0] - filling.sheet.left + length(task, filling), 9) for filling in fillings)
    return Layout(tuple(placements), tuple(filling.stock for filling in fillings), reasons, used)


def why(task: Task, kind: int, stocks: Sequence[Stock]) -> str:
    """Say why a shape found no place."""
    if not stocks:
        return "there is no sheet"
    alone = [fill(task, [kind], [1 if k == stock else 0 for k in range(len(stocks))], Stamps(task.step, 0))[1]
             for stock in range(len(stocks))]  # fmt: skip
    if all(alone):
        wide, high = (2 * side for side in task.forms[kind][0].half)
        return f"larger than any sheet inside its margin ({wide:.1f} x {high:.1f} mm)"
    return "no room left on the sheets given"
