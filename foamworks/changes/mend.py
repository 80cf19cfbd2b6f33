"""Packages of changes for a design: at most three, of at most three changes each, tried on the whole check.

What the findings propose comes first, then a few moves of what a builder can move: the nozzle, the battery's slide, the
lead, the retainer, the tube. A beam over them keeps what leaves least wrong; nothing that makes a finding fail is kept.
The order is the same every time.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from foamworks.changes.trial import Tried, tried
from foamworks.checks import judged
from foamworks.checks.base import BAD, Finding, Proposal
from foamworks.checks.case import Case
from foamworks.checks.proposals import leave_out as without_motor
from foamworks.checks.proposals import leaves_out
from foamworks.design.edit import Edit, edited
from foamworks.design.quantity import is_open
from foamworks.errors import DesignError
from foamworks.units import degrees, grams, mm

MOST_PACKAGES = 3
MOST_CHANGES = 3
MOST_TRIALS = 110  # whole checks of one search: by count, not by the clock, so that it ends alike everywhere
BEAM = 3  # packages kept from one change to the next
PARTNERS = 8  # of the best single changes, joined to each of them
NOZZLE_STEPS = (-40, -20, 20, 40)  # mm along the body
LIFTS = (5, 10, 20)  # mm
SLIDES = (-40, -20, 20, 40)  # mm
LEADS = (20, 50)  # g
TILTS = (2, 4)  # deg


@dataclass(frozen=True)
class Package:
    """Changes that were tried together: what they clear and tip of the whole, and what is left wrong.

    `stale`: the weighings of the model as it was, which go out with them; `alone`: what each does by itself.
    """

    proposals: tuple[Proposal, ...]
    stale: tuple[Edit, ...]
    alone: tuple[Tried, ...]
    fails: tuple[int, int]
    cautions: tuple[int, int]
    after: Case

    @property
    def edits(self) -> tuple[Edit, ...]:
        """All that is typed."""
        return (*_joined(self.proposals), *self.stale)

    @property
    def told(self) -> tuple[Proposal, ...]:
        """The changes as they are told: with the last go the weighings that they leave behind."""
        *others, last = self.proposals
        return (*others, replace(last, edits=(*last.edits, *self.stale)))

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """What comes first: the fewest fails, then cautions, then changes, then lines to type."""
        fails, cautions = _count(self.after.findings)
        flights = 2 * sum(map(leaves_out, self.proposals))  # a motor that stays on the ground is a price
        return fails, cautions + flights, len(self.proposals), len(self.edits)


def packages(case: Case, *, keep: Sequence[str] = (), without: str | None = None) -> tuple[Package, ...]:
    """Find packages for a case; `keep`: keys that stay as they are; `without`: a motor that is left out in any case.

    Raises DesignError for a motor that the design does not have, and for a key that nothing here would change.
    """
    start, first = case, tuple[Proposal, ...]()
    if without is not None:
        leave = leave_out(case, without)
        start, first = judged(edited(case.path, leave.edits), case.path), (leave,)
    moves = _allowed(case, [*_proposed(start), *_moves(start)], keep)
    before = _count(case.findings)
    if without is None and before[0] and len(case.asked.motors) > 1:
        moves += [leave_out(case, motor.name) for motor in case.asked.motors]
    base = _Tree(case, first, before, iter(range(MOST_TRIALS, 0, -1)))
    singles = [found for move in moves for found in base.grown(move)]
    singles.sort(key=lambda package: package.rank)
    kept, beam = list(singles), singles[:BEAM]
    partners = [package.proposals[-1] for package in singles[:PARTNERS]]
    for _ in range(MOST_CHANGES - 1 - len(first)):
        if beam and beam[0].rank[:2] == (0, 0):
            break
        longer = [found for package in beam for move in partners for found in base.better(package, move)]
        beam = _different(sorted(longer, key=lambda package: package.rank))[:BEAM]
        kept += beam
    helpful = [package for package in kept if package.rank[:2] < before]
    if without is not None and not helpful:
        helpful = [alone for alone in base.grown() if alone.rank[:2] < before]
    chosen = _different(sorted(_clearing(helpful), key=lambda package: package.rank))[:MOST_PACKAGES]
    return tuple(_with_alone(case, package) for package in chosen)


@dataclass(frozen=True)
class _Tree:
    """Where the search begins, and how a package grows by one change."""

    case: Case
    first: tuple[Proposal, ...]
    before: tuple[int, int]
    trials: Iterator[int]

    def better(self, package: Package, move: Proposal) -> Iterator[Package]:
        """Give a package with one change more, where that leaves less wrong than it does without."""
        if _apart(package.proposals, move) and not (leaves_out(move) and any(map(leaves_out, package.proposals))):
            grown = self.grown(*package.proposals[len(self.first) :], move)
            yield from (found for found in grown if found.rank[:2] < package.rank[:2])

    def grown(self, *proposals: Proposal) -> Iterator[Package]:
        """Give these changes as a package, where the design takes them and nothing comes to fail."""
        if not next(self.trials, 0):
            return
        whole = (*self.first, *proposals)
        edits = _joined(whole)
        found = tried(self.case, Proposal("", "set", edits))
        if found is None or found.harms:
            return
        stale = found.proposal.edits[len(edits) :]
        if stale:
            next(self.trials, 0)  # it was tried once more, without its weighing
        fails, cautions = ((_all(self.case.findings, v), _all(found.after.findings, v)) for v in BAD)
        yield Package(whole, stale, (), fails, cautions, found.after)


def _joined(proposals: Sequence[Proposal]) -> tuple[Edit, ...]:
    return tuple(edit for proposal in proposals for edit in proposal.edits)


def _all(findings: Sequence[Finding], verdict: str) -> int:
    """Count a verdict as `check` does, those to live with among them."""
    return sum(finding.verdict == verdict for finding in findings)


def _count(findings: Sequence[Finding]) -> tuple[int, int]:
    """Give the number of fails, and of cautions that a change of the design could take away."""
    fails = sum(finding.verdict == "fail" for finding in findings)
    return fails, sum(finding.verdict == "caution" and not finding.record.inherent for finding in findings)


def wrong(case: Case) -> bool:
    """Tell whether anything fails or is marginal that a change could take away."""
    return _count(case.findings) != (0, 0)


def _with_alone(case: Case, package: Package) -> Package:
    """Try each change of a package alone: what it clears and tips by itself stands beside it."""
    found = [(proposal, tried(case, proposal)) for proposal in package.told]
    return replace(package, alone=tuple(replace(t, proposal=proposal) for proposal, t in found if t is not None))


def _clearing(found: Sequence[Package]) -> Sequence[Package]:
    """Keep those that clear a fail where any does; else all."""
    return [package for package in found if package.fails[1] < package.fails[0]] or found


def _different(ranked: Sequence[Package]) -> list[Package]:
    """Keep the first of those whose keys hold each other's: other numbers, or something besides, are no other way."""
    found: dict[frozenset[str], Package] = {}
    for package in ranked:
        typed = frozenset(edit.key for edit in package.edits)
        if not any(typed <= other or other <= typed for other in found):
            found[typed] = package
    return list(found.values())


def _apart(proposals: Sequence[Proposal], move: Proposal) -> bool:
    """Tell whether a change types none of the keys that others type already."""
    taken = {edit.key for proposal in proposals for edit in proposal.edits}
    return not taken & {edit.key for edit in move.edits}


def _allowed(case: Case, moves: Sequence[Proposal], keep: Sequence[str]) -> list[Proposal]:
    keys = sorted({edit.key for move in moves for edit in move.edits})
    for key in keep:
        if not any(_under(other, key) for other in keys):
            names = ", ".join(keys) or "none"
            raise DesignError(f"{case.path}: --keep {key}: nothing here would change it; these may be kept: {names}")
    found: dict[tuple[Edit, ...], Proposal] = {}
    for move in moves:
        if not any(_under(edit.key, key) for edit in move.edits for key in keep):
            found.setdefault(move.edits, move)
    return list(found.values())


def _under(key: str, kept: str) -> bool:
    return key == kept or key.startswith((f"{kept}.", f"{kept}["))


def _proposed(case: Case) -> Iterator[Proposal]:
    """Give what the findings propose and can be typed; a measure is what it is, no change."""
    for finding in case.findings:
        if finding.verdict in BAD:
            yield from (one for one in finding.proposals if one.edits and one.kind != "measure")


def leave_out(case: Case, name: str) -> Proposal:
    """Give the change that leaves a motor out, and its flights with it."""
    motors = {motor.name for motor in case.asked.motors}
    if name not in motors:
        raise DesignError(
            f"{case.path}: --without {name}: no such motor; there are: {', '.join(sorted(motors)) or 'none'}"
        )
    return without_motor(case.asked, name)


def _moves(case: Case) -> Iterator[Proposal]:
    """Give a few moves of what a builder can move, whatever the findings say."""
    pod, airframe, ballast = case.asked.pod, case.asked.airframe, case.asked.ballast
    if pod is not None and pod.nozzle is not None:
        x, z = mm(pod.nozzle.x), mm(pod.nozzle.z)
        for step in NOZZLE_STEPS:
            yield _set(f"move the pod {abs(step)} mm {_way(step)}", "pod.nozzle.x", round(x + step), "mm")
        yield from (_set(f"raise the nozzle by {by} mm", "pod.nozzle.z", round(z + by), "mm") for by in LIFTS)
        limit = round(degrees(pod.downthrust_limit))
        yield from (_set(f"allow {by} deg more downthrust", "pod.downthrust_limit", limit + by, "deg") for by in TILTS)
        if pod.retainer == "cap":
            yield _set("hold the motor by a wire hook", "pod.retainer", "hook")
    battery = airframe.battery
    if battery is not None and battery.slide is not None and is_open(battery.x):
        least, most = (round(mm(end)) for end in battery.slide)
        for step in SLIDES:
            ends = (least + step, most) if step < 0 else (least, most + step)
            yield _set(f"let the battery go {abs(step)} mm further {_way(step)}", "airframe.battery.slide", ends, "mm")
    if ballast is not None and is_open(ballast.mass) and math.isfinite(ballast.most):
        most = round(grams(ballast.most))
        yield from (_set(f"allow {by} g more lead", "ballast.most", most + by, "g") for by in LEADS)


def _set(words: str, key: str, value: float | str | tuple[float, ...], unit: str = "") -> Proposal:
    return Proposal(words, "set", (Edit(key, value, unit),))


def _way(step: float) -> str:
    return "forward" if step < 0 else "aft"
