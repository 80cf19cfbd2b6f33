"""Which loops do a drawing's loose lines make? Ends that lie within GAP of each other are one corner. Millimetres."""

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

from foamworks.design.drawing.trace_curves import Point
from foamworks.design.drawing.trace_lines import Chain
from foamworks.errors import DesignError

GAP = 0.1  # mm, ends this close are meant to meet: a drawing snapped by eye, still under a knife's width
_REACH = GAP * (1 + 1e-6)  # a gap of 0.1 as drawn, after its numbers were rounded

Partners = dict[tuple[int, bool], tuple[int, bool]]


@dataclass(frozen=True)
class _End:
    """One end of an open chain: `last` tells which."""

    chain: int
    last: bool
    place: Point


def join(chains: list[Chain], where: str) -> list[Chain]:
    """Join open chains end to end into loops; the closest ends first, over at most GAP."""
    loops = [chain for chain in chains if chain.closed]
    lines = [chain.points for chain in chains if not chain.closed]
    layers = [chain.layer for chain in chains if not chain.closed]
    partner = _pair_ends(lines, where)
    runs = _open_runs(lines, partner)
    waiting = set(range(len(lines))) - {chain for run in runs for chain in run.chains}
    while waiting:
        first = min(waiting)
        loop: list[Point] = []
        chain, forward = first, True
        while chain in waiting:
            waiting.discard(chain)
            _append(loop, lines[chain] if forward else lines[chain][::-1])
            left, last = partner[chain, forward]
            chain, forward = left, not last
        loops.append(Chain([_middle(loop[0], loop[-1]), *loop[1:-1]], True, layers[first]))
    if runs:
        raise DesignError(_open_text(runs, loops, where))
    return loops


def _pair_ends(chains: list[list[Point]], where: str) -> Partners:
    ends = [_End(k, last, points[-1 if last else 0]) for k, points in enumerate(chains) for last in (False, True)]
    partner: Partners = {}
    for _, a, b in sorted(_candidates(ends, chains, where)):
        one, two = (ends[a].chain, ends[a].last), (ends[b].chain, ends[b].last)
        if one not in partner and two not in partner:
            partner[one], partner[two] = two, one
    return partner


def _candidates(ends: list[_End], chains: list[list[Point]], where: str) -> Iterator[tuple[float, int, int]]:
    """Yield (distance, end, end) for all pairs of ends within GAP of each other."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, end in enumerate(ends):
        cells[_cell(end)].append(number)
    crowd = next((members for members in cells.values() if len(members) > 8), None)
    if crowd:
        raise DesignError(f"{where}: more than 8 lines end near {at(ends[crowd[0]].place)} mm; keep the outline's two")
    for number, end in enumerate(ends):
        column, row = _cell(end)
        near = (m for i in (-1, 0, 1) for j in (-1, 0, 1) for m in cells.get((column + i, row + j), ()))
        for other in near:
            distance = math.dist(end.place, ends[other].place)
            same = end.chain == ends[other].chain
            if other > number and distance <= _REACH and not (same and _span(chains[end.chain]) <= 3 * GAP):
                yield distance, number, other


def _cell(end: _End) -> tuple[int, int]:
    return math.floor(end.place[0] / _REACH), math.floor(end.place[1] / _REACH)


def _span(points: list[Point]) -> float:
    return sum(math.dist(p, q) for p, q in pairwise(points))


@dataclass(frozen=True)
class _Run:
    """Open chains joined as far as they go: which, how long, and where the two free ends are."""

    chains: tuple[int, ...]
    length: float
    ends: tuple[Point, Point]


def _open_runs(lines: list[list[Point]], partner: Partners) -> list[_Run]:
    """Follow every free end to the other end of its run."""
    runs, done = [], set()
    for start, points in enumerate(lines):
        for leaving in (True, False):
            if (start, not leaving) in partner or start in done:
                continue
            chain, forward, passed = start, leaving, [start]
            while (chain, forward) in partner:
                chain, last = partner[chain, forward]
                forward = not last
                passed.append(chain)
            done |= set(passed)
            ends = (points[0 if leaving else -1], lines[chain][-1 if forward else 0])
            runs.append(_Run(tuple(passed), sum(_span(lines[one]) for one in passed), ends))
    return runs


def _open_text(runs: list[_Run], loops: list[Chain], where: str) -> str:
    """Say where the outline is open: at its smallest gap; or which line belongs to no outline."""
    longest = max((_span([*loop.points, loop.points[0]]) for loop in loops), default=0.0)
    stray = min(runs, key=lambda run: run.length)
    if stray.length < longest:
        return (
            f"{where}: a stray line from {at(stray.ends[0])} to {at(stray.ends[1])} mm, {stray.length:.1f} mm long, "
            'belongs to no closed outline; remove it, or name the outline\'s layer: layer = "..."'
        )
    places = [(number, end) for number, run in enumerate(runs) for end in run.ends]
    pairs = [(p, q) for (i, p), (j, q) in combinations(places, 2) if i != j or len(runs) == 1]
    near = min(pairs, key=lambda pair: math.dist(*pair))
    more = f"; {len(runs) - 1} more gap{'s' if len(runs) > 2 else ''}" if len(runs) > 1 else ""
    return (
        f"{where}: the outline is open: its ends are at {at(near[0])} and {at(near[1])} mm, {math.dist(*near):.2f} mm "
        f"apart{more}; close it (gaps up to {GAP} mm are closed by themselves)"
    )


def at(place: Point) -> str:
    """Write a place, without its unit.

    >>> at((1, 2.5))
    '(1.00, 2.50)'
    """
    return f"({place[0]:.2f}, {place[1]:.2f})"


def _append(loop: list[Point], points: list[Point]) -> None:
    """Go on with the next chain; where two ends meet over a gap, or overshoot, one corner stands half way."""
    if loop and points:
        loop[-1] = _middle(loop[-1], points[0])
        loop.extend(points[1:])
    else:
        loop.extend(points)


def _middle(p: Point, q: Point) -> Point:
    return p if p == q else ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
