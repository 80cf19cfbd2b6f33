"""A change of the design file tried on the whole check: what it clears, and what it makes worse."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from foamworks.checks import judged
from foamworks.checks.base import BAD, VERDICTS, Finding, Proposal, Verdict, proposing
from foamworks.checks.case import Case
from foamworks.design.edit import Edit, edited
from foamworks.design.model import Design
from foamworks.errors import FoamworksError

WEIGHED_WHOLE = "closing-error"  # the check that holds the sum of the parts against the scale
Key = tuple[str, str]  # check and subject


@dataclass(frozen=True)
class Tip:
    """A finding that is worse after a change."""

    check: str
    subject: str
    verdict: Verdict


@dataclass(frozen=True)
class Tried:
    """A proposal tried: the findings that are neither caution nor fail afterwards, those that are worse, the case."""

    proposal: Proposal
    clears: tuple[Key, ...]
    tips: tuple[Tip, ...]
    after: Case

    def told_as(self, proposal: Proposal) -> "Tried":
        """Give it in another proposal's words, with all that was typed: a weighing may have gone out with it."""
        return replace(self, proposal=replace(proposal, edits=self.proposal.edits))

    def now(self, finding: Finding) -> Finding | None:
        """Give what the same check says of the same subject after it, the worst; None where it says nothing more."""
        same = (f for f in self.after.findings if (f.check, f.subject) == (finding.check, finding.subject))
        return min(same, key=lambda f: VERDICTS.index(f.verdict), default=None)

    def shown(self, finding: Finding) -> tuple[str, str]:
        """Give a finding's figure before and after it, without a sign that says nothing; "" for what is not shown.

        A check may measure another thing afterwards: figures of two units are none.
        """
        now, way = self.now(finding), "-" if finding.record.either_way else ""
        if now is None or now.unit != finding.unit:
            return "", ""
        return finding.figures[0].lstrip(way), now.figures[0].lstrip(way)

    @property
    def harms(self) -> bool:
        """Whether it makes anything fail."""
        return any(tip.verdict == "fail" for tip in self.tips)


@dataclass
class Trials:
    """What was tried of a case, by what was typed for it; `left`: how many more may be, by what is to be cured."""

    case: Case
    left: dict[str, float]
    results: dict[tuple[Edit, ...], tuple[Tried, ...]] = field(default_factory=dict)

    def of(self, proposal: Proposal, verdict: str) -> tuple[Tried, ...]:
        """Try a proposal against a verdict; empty where the file does not take it, or as many were tried as may be."""
        if proposal.edits not in self.results:
            if self.left[verdict] <= 0:
                return ()
            self.left[verdict] -= 1
            result = tried(self.case, proposal)
            self.results[proposal.edits] = (result,) if result else ()
        return self.results[proposal.edits]


def helps(result: Tried, finding: Finding) -> bool:
    """Tell whether a change clears a finding, or makes one that fails a caution, and makes nothing fail."""
    now = result.now(finding)
    return not result.harms and (now is None or VERDICTS.index(now.verdict) > VERDICTS.index(finding.verdict))


def betters(result: Tried, finding: Finding) -> bool:
    """Tell whether a change clears or eases a finding and makes nothing fail."""
    return not result.harms and eases(result, finding)


def eases(result: Tried, finding: Finding) -> bool:
    """Tell whether a finding is milder after a change, by its verdict or by the figure that is shown."""
    return _milder(result, finding) > 0


def worsens(result: Tried, finding: Finding) -> bool:
    """Tell whether a finding is worse after a change, by its verdict or by the figure that is shown."""
    return _milder(result, finding) < 0


def _milder(result: Tried, finding: Finding) -> float:
    """Say by how much a finding is milder after a change: above 0 where it is or is no more, below 0 where worse."""
    now = result.now(finding)
    if now is None:
        return 1
    if now.verdict != finding.verdict:
        return VERDICTS.index(now.verdict) - VERDICTS.index(finding.verdict)
    comparable = now.unit == finding.unit and now.figures != finding.figures
    return finding.off - now.off if comparable else 0


def verdicts(findings: Iterable[Finding]) -> dict[Key, Verdict]:
    """Give the worst verdict of each check on each subject."""
    found: dict[Key, Verdict] = {}
    for finding in sorted(findings, key=lambda f: -VERDICTS.index(f.verdict)):
        found[finding.check, finding.subject] = finding.verdict
    return found


def tried(case: Case, proposal: Proposal) -> Tried | None:
    """Try a proposal's edits; None where the design file does not take them.

    A change that makes the model much lighter or heavier leaves the finished model's weighing behind: it goes out too.
    """
    after = changed(case, proposal.edits)
    if after is None:
        return None
    clears, tips = compared(case.findings, after.findings)
    stale = [tip.subject for tip in tips if tip.check == WEIGHED_WHOLE]
    if stale:
        return tried(case, _weighed_again(proposal, stale))
    return Tried(proposal, clears, tips, after)


def _weighed_again(proposal: Proposal, states: Sequence[str]) -> Proposal:
    """Take the weighings of these states out with the change: they are of the model as it was."""
    weighings = (Edit(f"weighed[{json.dumps(state, ensure_ascii=False)}]", None) for state in states)
    return replace(proposal, edits=(*proposal.edits, *weighings))


def changed(case: Case, edits: Sequence[Edit]) -> Case | None:
    """Judge the design with these edits made."""
    try:
        return judged_once(edited(case.path, edits), case.path)
    except FoamworksError:  # out of a key's range, or at odds with the rest: no change to print
        return None


@lru_cache(maxsize=8)
def judged_once(asked: Design, path: Path) -> Case:
    """Give a design's verdicts, or those of one like it: two changes often come to the same. No late cures in it."""
    before = proposing.set(False)
    try:
        return judged(asked, path)
    finally:
        proposing.reset(before)


def compared(before: Iterable[Finding], after: Iterable[Finding]) -> tuple[tuple[Key, ...], tuple[Tip, ...]]:
    """Tell what a change clears and what it tips.

    A subject that is no more (a motor left out) is cleared with it; one that is new counts by its verdict alone.
    """
    old, new = verdicts(before), verdicts(after)
    clears = tuple(key for key, verdict in old.items() if verdict in BAD and new.get(key, "pass") not in BAD)
    tips = tuple(
        Tip(*key, verdict)
        for key, verdict in new.items()
        if verdict in BAD and VERDICTS.index(verdict) < VERDICTS.index(old.get(key, "pass"))
    )
    return clears, tips
