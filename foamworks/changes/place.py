"""A better place for the pod: the map's most promising places tried by the whole check, and what it gives there."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from foamworks.changes.trial import Key, Tried, tried
from foamworks.checks.base import Proposal
from foamworks.checks.case import Case
from foamworks.design.edit import Edit
from foamworks.design.ladder import NO_POD
from foamworks.design.quantity import AUTO, is_open
from foamworks.study.placement import PlacementMap, placement_map, promising
from foamworks.units import mm, said

MOST_TRIALS = 4  # each is a whole check


@dataclass(frozen=True)
class Placed:
    """The map of a case, how many of its places the whole check tried, and the best of them, None where none helps."""

    found: PlacementMap
    trials: int
    best: Tried | None

    @property
    def words(self) -> str:
        """What is said under the map: all of it as the whole check gives it."""
        number, good = self.found.good.size, int(self.found.good.sum())
        against = f"{good} of the {number} places on the map have nothing against them"
        if self.best is None:
            return (
                f"no better place: {against}, and of the {self.trials} most promising, tried by the whole check, none "
                "clears more than it makes worse"
            )
        tips = ", ".join(f"{check_of((tip.check, tip.subject))} becomes a {tip.verdict}" for tip in self.best.tips)
        return (
            f"a better place, tried by the whole check: {self.best.proposal.told}; worst static margin "
            f"{said(worst_margin(self.best.after), '%', 1)}; it clears {', '.join(map(check_of, self.best.clears))}"
            f"{f'; {tips}' if tips else ', and makes nothing worse'}; {against}"
        )


def check_of(key: Key) -> str:
    """Name a check and its subject."""
    return f"{key[0]} ({key[1]})"


def placed(case: Case) -> Placed | None:
    """Make the case's map and try it; None without a pod over a measured back, motors, or a known balance."""
    study = case.study
    runs = [boost.run for boost in study.burn.boosts if boost.run]
    found = placement_map(
        case.design,
        case.asked,
        flying=study.flying,
        balance=study.balance,
        spare=study.tolerance.spare if study.tolerance else 0.0,
        entry=runs[0].entry if runs else math.nan,
    )
    if found is None:
        return None
    results = [tried(case, proposal) for proposal in _proposals(case, found)]
    return Placed(found, len(results), better(result for result in results if result))


def better(results: Iterable[Tried]) -> Tried | None:
    """Choose the trial that clears most more than it makes worse and makes nothing fail; None where none does."""
    gains = [(len(row.clears) - len(row.tips), row) for row in results if not row.harms]
    gain, best = max(gains, key=lambda pair: pair[0], default=(0, None))
    return best if gain > 0 else None


def _proposals(case: Case, found: PlacementMap) -> Iterator[Proposal]:
    for row, column in promising(found, MOST_TRIALS):
        x, z = (float(round(mm(place))) for place in (found.x[column], found.z[row]))
        edits = [Edit("pod.nozzle.x", x, "mm"), Edit("pod.nozzle.z", z, "mm")]
        words = "put the nozzle there"
        if case.asked.pod is not None and not is_open(case.asked.pod.downthrust):
            edits.append(Edit("pod.downthrust", AUTO))
            words += ", its downthrust worked out"
        yield Proposal(words=words, edits=tuple(edits), kind="set")


def worst_margin(case: Case) -> float:
    """Give the least static margin of all states with the pod."""
    rows = case.study.balance.rows if case.study.balance else ()
    return min((row.static_margin for row in rows if row.state != NO_POD and math.isfinite(row.static_margin)),
               default=math.nan)  # fmt: skip
