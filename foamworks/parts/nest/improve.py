"""Search longer, under a limit of time the user gives: what comes of it is kept, not made again [mm, seconds].

Own searches with other seeds and growing budgets, and, when it is installed, the strip packer spyrrow in a process of
its own on the parts of the last sheet. Only a layout that passes the exact check and beats the start is given back.
"""

import importlib.util
import json
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from foamworks.parts.nest.core import search, to_layout
from foamworks.parts.nest.greedy import Filling, Spot
from foamworks.parts.nest.model import Layout, Piece, Stock, check_input, placed
from foamworks.parts.nest.proof import verify
from foamworks.parts.nest.strip import Strip
from foamworks.parts.nest.task import Task, make_task, same_turn

Progress = Callable[[str, float], None]

OUTSIDE_SHARE = 0.4  # of the time goes to the outside packer
OUTSIDE_LEAST = 2  # s; with less it is not started
OUTSIDE_PARTS = 3  # fewer parts than this need no packer
GRACE = 10.0  # s the outside packer may take beyond its own limit before it is ended
LOOSE = 1e-3  # mm added to the gap outside, where numbers have seven digits
FIRST_BUDGET = 1e8  # work of the first own search, to learn how fast the machine is
LEAST_TOLD = 0.05  # mm: a smaller gain would be printed as none
GROWTH = 1.5  # each own search has this much more work than the one before

# Run apart: the packer ends the process it runs in when it meets a shape it cannot take.
OUTSIDE = """
import json, sys, spyrrow
job = json.load(sys.stdin)
items = [spyrrow.Item(str(i), [tuple(p) for p in shape], count, turns) for i, shape, count, turns in job["items"]]
packer = spyrrow.StripPackingInstance("sheet", job["height"], items)
config = spyrrow.StripPackingConfig(
    early_termination=False, total_computation_time=job["seconds"], min_items_separation=job["apart"], seed=1
)
found = packer.solve(config)
print(json.dumps([[int(item.id), item.rotation, *item.translation] for item in found.placed_items]))
"""


def search_longer(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    gap: float,
    margin: float,
    seconds: float,
    start: Layout,
    progress: Progress | None = None,
) -> Layout:
    """Look for a better layout than `start` for about `seconds`; give the best that passes the check, else `start`.

    The time decides how far the search gets, so the answer may differ from run to run: keep it in a file.
    """
    check_input(pieces, stocks, gap=gap, margin=margin)
    end = time.monotonic() + seconds
    task = make_task(pieces, stocks, gap=gap, margin=margin)
    best = start

    def keep(layout: Layout | None) -> None:
        nonlocal best
        if layout is None or layout_cost(layout, pieces, stocks) >= layout_cost(best, pieces, stocks):
            return
        if not verify(layout, pieces, stocks, gap=gap, margin=margin):
            best = layout

    reserve = OUTSIDE_SHARE * seconds if _useful(start) else 0.0
    budget, pace, seed = FIRST_BUDGET, 0.0, 1
    while end - reserve - time.monotonic() > pace * budget:
        before, seed = time.monotonic(), seed + 1
        keep(_shortened(task, pieces, stocks, best, budget, seed) or _searched(task, pieces, stocks, budget, seed))
        pace = (time.monotonic() - before) / budget
        budget *= GROWTH
        if progress is not None:
            progress(f"search {seed - 1}", min(1.0, max(0.0, 1 - (end - time.monotonic()) / seconds)))
    if reserve:
        keep(_outside(task, pieces, stocks, best, gap, int(end - time.monotonic())))
    return best


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


def _searched(task: Task, pieces: Sequence[Piece], stocks: Sequence[Stock], budget: float, seed: int) -> Layout:
    parts = [kind for kind, piece in zip(task.kind, pieces, strict=True) for _ in range(piece.count)]
    fillings, left = search(task, parts, [stock.count for stock in stocks], budget, None, seed)
    return to_layout(task, pieces, fillings, left, stocks)


def _shortened(
    task: Task, pieces: Sequence[Piece], stocks: Sequence[Stock], layout: Layout, budget: float, seed: int
) -> Layout | None:
    """Go on from a layout of one sheet; None when there are more, whose parts should be shared out anew."""
    if len(layout.sheets) != 1 or layout.unplaced:
        return None
    filling = read_layout(task, pieces, layout)[0]
    strip = Strip(task, filling.sheet, filling.spots, {})
    pose = strip.shorten(strip.pose(filling.spots), budget, seed)
    return to_layout(task, pieces, [replace(filling, spots=strip.spots(pose))], [], stocks)


def _useful(layout: Layout) -> bool:
    """Tell whether the outside packer is there and has enough to do."""
    last = sum(place.sheet == len(layout.sheets) - 1 for place in layout.placements)
    return last >= OUTSIDE_PARTS and importlib.util.find_spec("spyrrow") is not None


def _outside(
    task: Task, pieces: Sequence[Piece], stocks: Sequence[Stock], layout: Layout, gap: float, seconds: int
) -> Layout | None:
    """Pack the last sheet's parts again outside, then push them together here; None when nothing comes of it."""
    fillings = read_layout(task, pieces, layout)
    last = fillings[-1]
    if last.sheet.solid or seconds < OUTSIDE_LEAST:
        return None
    spots = _packed(task, pieces, last, gap, seconds)
    if spots is None:
        return None
    strip = Strip(task, last.sheet, spots, {})
    pose = strip.compactor.run(strip.pose(spots).centre, strip.pose(spots).form)
    if pose is None:
        return None
    left = [task.kind[piece] for piece, _ in layout.unplaced]
    return to_layout(task, pieces, [*fillings[:-1], replace(last, spots=strip.spots(pose))], left, stocks)


def read_layout(task: Task, pieces: Sequence[Piece], layout: Layout) -> list[Filling]:
    """Read a layout's sheets back as the searches see them."""
    fillings = [Filling(stock, task.sheets[stock]) for stock in layout.sheets]
    for place in layout.placements:
        kind, box = task.kind[place.piece], fillings[place.sheet].sheet.box
        left, low = placed(pieces[place.piece], place).bounds[:2]
        turn = same_turn(pieces[place.piece].outline, task.turns[kind], place.angle)
        fillings[place.sheet].spots.append(Spot(kind, turn, left - box[0], low - box[1]))
    return fillings


def _packed(task: Task, pieces: Sequence[Piece], filling: Filling, gap: float, seconds: int) -> list[Spot] | None:
    """Ask the outside packer, in a process of its own and within its time."""
    kinds = sorted({spot.kind for spot in filling.spots})
    outline = {kind: pieces[task.kind.index(kind)].outline for kind in kinds}
    apart, low = gap + LOOSE, filling.sheet.box[1]
    items = [
        [
            kind,
            list(outline[kind].exterior.coords),
            sum(spot.kind == kind for spot in filling.spots),
            [float(turn) for turn in task.turns[kind]],
        ]
        for kind in kinds
    ]
    job = {"items": items, "height": filling.sheet.box[3] - low + 2 * apart, "apart": apart, "seconds": seconds}
    try:
        ran = subprocess.run(
            [sys.executable, "-c", OUTSIDE],
            input=json.dumps(job),
            capture_output=True,
            text=True,
            timeout=seconds + GRACE,
            check=True,
        )
        rows = json.loads(ran.stdout)
    except (subprocess.SubprocessError, OSError, ValueError):
        return None
    spots = []
    for kind, angle, x, y in rows:
        turn = same_turn(outline[kind], task.turns[kind], round(angle))
        form = task.forms[kind][turn]
        spots.append(Spot(kind, turn, x + form.centre[0] - form.half[0], y - apart + form.centre[1] - form.half[1]))
    left = min(spot.x for spot in spots)
    return [replace(spot, x=spot.x - left) for spot in spots]
