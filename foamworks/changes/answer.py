"""The answer: may I fly, what is wrong, what do I set, what do I change, what comes next."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from foamworks.changes.flights import FlightAnswer, Go, flights, unstopped, worst
from foamworks.changes.jobs import NOTHING, job_sentence
from foamworks.changes.plain import blind, clause, rank, sentence, whole
from foamworks.changes.trial import Key, Trials, Tried, betters, eases, helps, verdicts, worsens
from foamworks.checks.at_speed import unseen
from foamworks.checks.base import BAD, VERDICTS, Finding, Proposal
from foamworks.checks.case import Case
from foamworks.checks.flight.aim import BALANCE_FIRST
from foamworks.checks.proposals import leaves_out
from foamworks.design.edit import Edit
from foamworks.design.ladder import refused
from foamworks.units import grams, km_h, mm

MOST_CAUSES = 5  # named; the rest stand under `other`
MOST_CHANGES = 2  # shown of one cause
MOST_TRIALS = {"fail": 6.0, "caution": 4.0}  # of one answer, by what is to be cured: each is a whole check
MOST_OF_CAUSE = {"fail": 3, "caution": 1}  # of them for one cause
MOST_NEXT = 5
MEASURED = ("flights-agree", "closing-error", "weighed")  # the checks of what was flown and weighed
OTHER = "other"
NOBODY, UNSEEN, UNJUDGED = "Nobody knows ", "Nobody has looked at ", " are not judged."
LABELS = {
    "balance": "Balance",
    "thrust line": "Thrust line",
    "motor": "Motor",
    "fins": "Fins",
    "pod": "Pod",
    "ignition": "Ignition",
    "speed": "Speed",
    "strength": "Strength",
    "camera": "Camera",
    "board": "Board and sheets",
    "measures": "Measures",
    OTHER: "Other",
}


@dataclass(frozen=True)
class Cause:
    """What several findings have in common, the worst first, and what is shown of what helps against it."""

    cause: str
    findings: tuple[Finding, ...]
    changes: tuple[Tried | Proposal, ...]

    @property
    def verdict(self) -> str:
        """The worst of its findings'."""
        return self.findings[0].verdict

    @property
    def sentence(self) -> str:
        """What is wrong, by the worst of its findings."""
        return whole(sentence(self.findings[0]))

    @property
    def first(self) -> Tried | Proposal | None:
        """What helps most against what the sentence speaks of: what was tried and betters it, else advice."""
        worst = self.findings[0]
        return next(
            (c for c in self.changes if (eases(c, worst) if isinstance(c, Tried) else c in worst.proposals)), None
        )

    @property
    def label(self) -> str:
        """What it is called."""
        return LABELS[self.cause]

    @property
    def name(self) -> str:
        """What it is called, and how many findings it has."""
        return self.label if len(self.findings) == 1 else f"{self.label} ({len(self.findings)})"


@dataclass(frozen=True)
class Answer:
    """All of it, as terminal, page, cards and JSON tell it."""

    verdict: Go
    sentence: str
    causes: tuple[Cause, ...]
    flights: tuple[FlightAnswer, ...]
    next: tuple[str, ...]
    not_judged: tuple[str, ...]
    trials: Trials

    def changes_of(self, finding: Finding) -> list[Tried | Proposal]:
        """Give what a finding proposes: words as they are, edits where they were tried and clear or ease it."""
        found: list[Tried | Proposal] = []
        for proposal in self._standing(finding):
            tried = self.trials.results.get(proposal.edits, ())
            found += [result.told_as(proposal) for result in tried] if proposal.edits else [proposal]
        return found

    def proved(self, findings: Sequence[Finding]) -> tuple[Finding, ...]:
        """Give findings without the proposals that were tried and do not better them, or make something fail."""
        return tuple(replace(finding, proposals=tuple(self._standing(finding))) for finding in findings)

    def _standing(self, finding: Finding) -> Iterator[Proposal]:
        results = self.trials.results
        for proposal in finding.proposals:
            if proposal.edits not in results or any(betters(result, finding) for result in results[proposal.edits]):
                yield proposal

    @property
    def gathered(self) -> dict[Key, str]:
        """The cause under which each finding stands here."""
        return {(f.check, f.subject): cause.cause for cause in self.causes for f in cause.findings}


def answered(case: Case, *, every: bool = False) -> Answer:
    """Answer for a judged case; `every`: with all that is proposed tried, not the worst of it alone."""
    flown = flights(case)
    trials = Trials(case, dict(MOST_TRIALS))
    causes = tuple(_causes(case, trials))  # the same advice whether all is tried or not
    if every:
        trials.left = dict.fromkeys(trials.left, math.inf)
        for finding, proposal in ((f, p) for f in case.findings if f.verdict in BAD for p in f.proposals if p.edits):
            trials.of(proposal, finding.verdict)
    bad = [finding for finding in case.findings if finding.verdict in BAD]
    if flown:
        left = unstopped(case, flown)
        verdict = "not yet" if left else worst(flight.verdict for flight in flown)
        sentence = f"{_no_motor(case, flown)}{_may_i_fly(flown, left)}"
    else:
        sentence = job_sentence(case)
        stop = sentence == NOTHING or any(f.verdict == "fail" for f in bad)
        verdict = "not yet" if stop else "care" if bad else "go"
    return Answer(
        verdict, sentence, causes, flown, tuple(_next(case, causes, flown)), tuple(_not_judged(case, flown)), trials
    )


def _causes(case: Case, trials: Trials) -> Iterator[Cause]:
    """Gather what fails or is marginal by its cause, worst first."""
    groups: dict[str, list[Finding]] = {}
    for finding in case.findings:
        if finding.verdict in BAD and not finding.record.inherent:
            groups.setdefault(finding.record.cause, []).append(finding)
    ordered = sorted(groups.items(), key=lambda group: min(map(_seriousness, group[1])))
    named = ordered[:MOST_CAUSES]
    rest = [finding for _, findings in ordered[MOST_CAUSES:] for finding in findings]
    for cause, findings in [*named, *([(OTHER, rest)] if rest else [])]:
        worst_first = sorted(findings, key=_seriousness)
        helped = _helped(worst_first, trials)
        first = worst_first[:1] if cause == OTHER else worst_first  # what is shown belongs to what is told
        words = {p.words: p for f in first for p in f.proposals if not p.edits}
        shown: list[Tried | Proposal] = [t for t in helped if any(helps(t, f) for f in first)]
        yield Cause(cause, tuple(worst_first), (*shown, *words.values())[:MOST_CHANGES])


def _seriousness(finding: Finding) -> tuple[int, tuple[float, float]]:
    return VERDICTS.index(finding.verdict), rank(finding)


def _helped(findings: Sequence[Finding], trials: Trials) -> list[Tried]:
    """Try what these findings propose, the worst first: what clears one that proposes it and makes nothing fail.

    What makes the worst worse is none. What clears the worst comes first, then what betters it, then what clears most.
    Where nothing fails, to leave a motor out comes last: it is a price, and is not tried where words help.
    """
    worst, helped = findings[0], dict[tuple[Edit, ...], Tried]()
    free = worst.verdict != "fail" and any(not p.edits for p in worst.proposals)
    proposed = (p for f in findings for p in f.proposals if p.edits)
    asked = dict.fromkeys(p.edits for p in proposed if not (free and leaves_out(p)))
    wanted = set(list(asked)[: MOST_OF_CAUSE[worst.verdict]])
    for finding, proposal in ((f, p) for f in findings for p in f.proposals if p.edits in wanted):
        for result in trials.of(proposal, worst.verdict):
            if helps(result, finding) and not worsens(result, worst):
                helped.setdefault(proposal.edits, result.told_as(proposal))
    mild = worst.verdict != "fail"
    return sorted(
        helped.values(),
        key=lambda t: (
            mild and leaves_out(t.proposal),
            not helps(t, worst),
            not eases(t, worst),
            len(t.tips) - len(t.clears),
            len(t.proposal.edits),
        ),
    )


def _no_motor(case: Case, flown: Sequence[FlightAnswer]) -> str:
    """Say first which motor may not be lit and why, where another flight stops before it does."""
    stopped = [flight for flight in flown if flight.verdict in {"not yet", "cannot say"}]
    barred = refused(case.design)
    held = [flight for flight in stopped[1:] if flight.step.rung.motor in barred]
    return "".join(f"{whole(flight.because)} " for flight in held if flight.first)


def _may_i_fly(flown: Sequence[FlightAnswer], left: Finding | None) -> str:
    """Say up to which flight, and what stops the next; `left`: what fails and stops none."""
    stop = next((n for n, flight in enumerate(flown) if flight.verdict in {"not yet", "cannot say"}), len(flown))
    if stop == len(flown) and left:
        return f"Not every flight yet: {sentence(left)}."
    if stop == len(flown):
        care = [flight for flight in flown if flight.verdict == "care" and flight.first is not None]
        if not care:
            return "You may fly every flight, in this order."
        most = min(care, key=lambda flight: rank(flight.first) if flight.first else (0, 0.0))
        return f"You may fly every flight, in this order and with care: {most.because}."
    first = flown[stop]
    if first.verdict == "cannot say":
        return f"Nobody can say yet whether it flies: {first.because}."
    if stop <= 1:
        return f"Only the stock model may fly yet: {first.because}."
    return f"You may fly up to the {flown[stop - 1].name}; not yet the {first.name}: {first.because}."


def _next(case: Case, causes: Sequence[Cause], flown: Sequence[FlightAnswer]) -> list[str]:
    """Say what to do tomorrow at the bench, in order: of what fails, first what stops the next flight."""
    template = [clause(f.cure) for f in case.findings if f.check == "untouched-template" and case.asked.untouched.most]
    # what clears up what was typed and does not fit the rest: a speed, a weighing; the worst first
    apart = sorted((f for f in case.findings if f.verdict == "caution" and f.check in MEASURED), key=rank)
    odd = [clause(proposal.words) for finding in apart for proposal in finding.proposals[:1]]
    stops = next((flight.first for flight in flown if flight.verdict == "not yet"), None)
    steps = [*template, *odd, *_first_steps(sorted(causes, key=lambda cause: stops not in cause.findings))]
    unknown = [f for f in case.findings if _asked(f, flown) and f.cure]
    steps += [clause(finding.cure) for finding in sorted(unknown, key=lambda f: f.record.when == "boost")]
    typed = (change for cause in causes for change in cause.changes[:1] if isinstance(change, Tried))
    steps += [step_of(change) for change in typed]
    to_fly = next((flight for flight in flown if not flight.step.is_flown and flight.verdict in {"go", "care"}), None)
    if to_fly is not None:
        name = to_fly.name
        fails = any(cause.verdict == "fail" for cause in causes)
        steps.insert(
            MOST_NEXT - 1 if fails else 1, f'fly "{name}", then type this flight and its speed as one of [[flights]]'
        )
    return [whole(step) for step in dict.fromkeys(steps)][:MOST_NEXT]


def _first_steps(causes: Sequence[Cause]) -> Iterator[str]:
    """Say what mends what fails, cause by cause; not what a step before it mends too."""
    mended, balanced = set[Key](), False
    for cause in (cause for cause in causes if cause.verdict == "fail"):
        left = [f for f in cause.findings if f.verdict == "fail" and (f.check, f.subject) not in mended]
        helps_most = sorted(cause.changes, key=lambda change: change is not cause.first)
        for change in [c for c in helps_most if not (balanced and c == BALANCE_FIRST)][: 1 if left else 0]:
            yield step_of(change)
            if isinstance(change, Tried):
                balanced = balanced or cause.cause == "balance"
                after = verdicts(change.after.findings)
                failed = {(f.check, f.subject) for other in causes for f in other.findings if f.verdict == "fail"}
                mended |= {key for key in failed if after.get(key) != "fail"}


def step_of(change: Tried | Proposal) -> str:
    """Say a change as something to do, with what is typed for it; a motor that is left out needs no more words."""
    proposal = change if isinstance(change, Proposal) else change.proposal
    return proposal.words if leaves_out(proposal) else proposal.told


def _asked(finding: Finding, flown: Sequence[FlightAnswer]) -> bool:
    """Tell whether what is not known matters here: a job without flights is not asked about flying."""
    flies = finding.record.concerns & {"flight", "balance", "power"}
    return finding.verdict == "unknown" and (bool(flown) or not flies)


def _not_judged(case: Case, flown: Sequence[FlightAnswer]) -> Iterator[str]:
    """Say what nobody has looked at; first what no measurement answers, for a screen may show no more."""
    if case.study.wing is not None and case.design.motors:
        yield f"{UNSEEN}{unseen(case)} in a boost."
    unknown = sorted((f for f in case.findings if f.verdict == "unknown"), key=rank)
    yield from (f"{NOBODY}{text}." for text in dict.fromkeys(map(blind, unknown)))
    if flown:
        yield f"Gusts, your hands, the law and club rules{UNJUDGED}"


def as_dict(answer: Answer) -> dict[str, Any]:
    """Give the answer as the JSON tells it; keys carry their unit."""
    return {
        "verdict": answer.verdict,
        "sentence": answer.sentence,
        "causes": [_cause(cause) for cause in answer.causes],
        "flights": [_flight(flight) for flight in answer.flights],
        "next": list(answer.next),
        "not_judged": list(answer.not_judged),
    }


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "cause": cause.cause,
        "verdict": cause.verdict,
        "sentence": cause.sentence,
        "findings": [{"check": finding.check, "subject": finding.subject} for finding in cause.findings],
        "changes": [change_dict(change) for change in cause.changes],
    }


def change_dict(change: Tried | Proposal) -> dict[str, Any]:
    """Give one change: its words, its kind, what is typed, what it clears and what it tips."""
    proposal = change if isinstance(change, Proposal) else change.proposal
    clears, tips = ((), ()) if isinstance(change, Proposal) else (change.clears, change.tips)
    return {
        "words": proposal.words,
        "kind": proposal.kind,
        "edits": [{"key": edit.key, "value": edit.value, "unit": edit.unit} for edit in proposal.edits],
        "clears": [{"check": check, "subject": subject} for check, subject in clears],
        "tips": [{"check": tip.check, "subject": tip.subject, "verdict": tip.verdict} for tip in tips],
    }


def _flight(flight: FlightAnswer) -> dict[str, Any]:
    step = flight.step
    return {
        "flight": flight.name,
        "verdict": flight.verdict,
        "because": flight.because,
        "battery_x_mm": mm(step.battery_x),
        "ballast_g": grams(step.ballast),
        "mass_g": grams(step.mass),
        "cg_x_mm": mm(step.cg_x),
        "static_margin": step.static_margin,
        "gyro_gain": step.gyro_gain,
        "expected_km_h": [km_h(speed) for speed in flight.expected],
        "flown_km_h": km_h(step.flown),
        "entry_height_m": flight.entry_height,
        "landing_km_h": km_h(step.landing),
        "before": flight.before,
    }
