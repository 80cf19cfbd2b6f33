"""The answer: may I fly, what is wrong, what do I set, what do I change, what comes next."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from foamworks.changes.flights import FlightAnswer, Go, flights, worst
from foamworks.changes.jobs import job_sentence
from foamworks.changes.plain import blind, clause, rank, sentence, whole
from foamworks.changes.trial import BAD, Key, Tried, tried
from foamworks.checks.at_speed import unseen
from foamworks.checks.base import VERDICTS, Finding, Proposal
from foamworks.checks.case import Case
from foamworks.checks.proposals import leaves_out
from foamworks.design.edit import Edit
from foamworks.units import grams, km_h, mm

MOST_CAUSES = 5  # named; the rest stand under `other`
MOST_CHANGES = 2  # shown of one cause
MOST_TRIALS = {"fail": 6, "caution": 2}  # of one answer, by what is to be cured: each is a whole check
MOST_NEXT = 5
OTHER = "other"
NOBODY = "Nobody knows "
NAMED = re.compile(r" \([a-z]+-[a-z-]+[^)]*\)")  # where a check is named in brackets: the page has it
TYPED = re.compile(r"[a-z_]+(\.[a-z_]+)* = ")  # words that begin with a key of the design file
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
    """What several findings have in common, the worst first, what was tried against it, and what is shown of that."""

    cause: str
    findings: tuple[Finding, ...]
    helped: tuple[Tried, ...]
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

    def changes_of(self, finding: Finding) -> list[Tried | Proposal]:
        """Give what a finding proposes: words as they are, edits where they were tried and clear it."""
        key = (finding.check, finding.subject)
        helped = [t for cause in self.causes for t in cause.helped if key in t.clears]
        found = (_as_tried(proposal, helped) if proposal.edits else proposal for proposal in finding.proposals)
        return [change for change in found if change is not None]

    @property
    def gathered(self) -> dict[Key, str]:
        """The cause under which each finding stands here."""
        return {(f.check, f.subject): cause.cause for cause in self.causes for f in cause.findings}


def _as_tried(proposal: Proposal, helped: Sequence[Tried]) -> Tried | None:
    """Give a proposal as it was tried: in its own words, with all that was typed (a weighing may go out with it)."""
    asked = proposal.edits
    found = next((t for t in helped if t.proposal.edits[: len(asked)] == asked), None)
    return None if found is None else replace(found, proposal=replace(proposal, edits=found.proposal.edits))


def answered(case: Case) -> Answer:
    """Answer for a judged case."""
    flown = flights(case)
    causes = tuple(_causes(case))
    bad = [finding for finding in case.findings if finding.verdict in BAD]
    if flown:
        verdict = worst(flight.verdict for flight in flown)
        sentence = _may_i_fly(flown)
    else:
        verdict = "not yet" if any(f.verdict == "fail" for f in bad) else "care" if bad else "go"
        sentence = job_sentence(case)
    return Answer(verdict, sentence, causes, flown, tuple(_next(case, causes, flown)), tuple(_not_judged(case, flown)))


def _causes(case: Case) -> Iterator[Cause]:
    """Gather what fails or is marginal by its cause, worst first."""
    groups: dict[str, list[Finding]] = {}
    for finding in case.findings:
        if finding.verdict in BAD and not finding.record.inherent:
            groups.setdefault(finding.record.cause, []).append(finding)
    ordered = sorted(groups.items(), key=lambda group: min(map(_seriousness, group[1])))
    named = ordered[:MOST_CAUSES]
    rest = [finding for _, findings in ordered[MOST_CAUSES:] for finding in findings]
    trials = {verdict: iter(range(most)) for verdict, most in MOST_TRIALS.items()}
    for cause, findings in [*named, *([(OTHER, rest)] if rest else [])]:
        worst_first = sorted(findings, key=_seriousness)
        helped = _helped(case, worst_first, trials[worst_first[0].verdict])
        words = {p.words: p for f in worst_first for p in f.proposals if not p.edits}
        shown: list[Tried | Proposal] = [*helped, *words.values()]
        yield Cause(cause, tuple(worst_first), tuple(helped), tuple(shown[:MOST_CHANGES]))


def _seriousness(finding: Finding) -> tuple[int, tuple[int, float]]:
    return VERDICTS.index(finding.verdict), rank(finding)


def _helped(case: Case, findings: Sequence[Finding], trials: Iterator[int]) -> list[Tried]:
    """Try what these findings propose, the worst first: what clears one that proposes it and makes nothing fail.

    The one that clears most comes first. Where nothing fails, to leave a motor out comes last: it is a price.
    """
    asked: dict[tuple[Edit, ...], dict[Key, Proposal]] = {}
    for finding in findings:
        for proposal in finding.proposals:
            asked.setdefault(proposal.edits, {})[finding.check, finding.subject] = proposal
    helped: list[Tried] = []
    for edits, by in asked.items():
        if not edits or next(trials, None) is None:
            continue
        result = tried(case, next(iter(by.values())))
        own = [] if result is None or result.harms else [by[key] for key in by if key in result.clears]
        if result is not None and own:
            helped.append(replace(result, proposal=replace(own[0], edits=result.proposal.edits)))
    mild = findings[0].verdict != "fail"
    helped.sort(key=lambda t: (mild and leaves_out(t.proposal), len(t.tips) - len(t.clears), len(t.proposal.edits)))
    return helped


def _may_i_fly(flown: Sequence[FlightAnswer]) -> str:
    """Say up to which flight, and what stops the next."""
    stop = next((n for n, flight in enumerate(flown) if flight.verdict in {"not yet", "cannot say"}), None)
    if stop is None:
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
    """Say what to do tomorrow at the bench, in order."""
    steps = [step_of(change) for cause in causes if cause.verdict == "fail" for change in cause.changes[:1]]
    unknown = [f for f in case.findings if _asked(f, flown) and f.cure and not f.cure.startswith("see ")]
    steps += [clause(finding.cure) for finding in sorted(unknown, key=lambda f: f.record.when == "boost")]
    typed = (change for cause in causes for change in cause.changes[:1] if isinstance(change, Tried))
    steps += [step_of(change) for change in typed]
    to_fly = next((flight for flight in flown if flight.step.flown is None and flight.verdict in {"go", "care"}), None)
    if to_fly is not None:
        name = to_fly.name
        fails = any(cause.verdict == "fail" for cause in causes)
        steps.insert(
            MOST_NEXT - 1 if fails else 1, f'fly "{name}", then type [[flights]] flight = "{name}" and its speed'
        )
    return [whole(step) for step in dict.fromkeys(steps)][:MOST_NEXT]


def step_of(change: Tried | Proposal) -> str:
    """Say a change as something to do: what to type where it can be typed, else the first of its words."""
    proposal = change if isinstance(change, Proposal) else change.proposal
    if proposal.edits and proposal.kind == "set" and not leaves_out(proposal):
        return " and ".join(edit.told for edit in proposal.edits)
    words = NAMED.sub("", clause(proposal.words))
    return f"type {words}" if TYPED.match(words) else words


def _asked(finding: Finding, flown: Sequence[FlightAnswer]) -> bool:
    """Tell whether what is not known matters here: a job without flights is not asked about flying."""
    flies = finding.record.concerns & {"flight", "balance", "power"}
    return finding.verdict == "unknown" and (bool(flown) or not flies)


def _not_judged(case: Case, flown: Sequence[FlightAnswer]) -> Iterator[str]:
    """Say what nobody has looked at."""
    if case.study.wing is None:
        return
    unknown = sorted((f for f in case.findings if _asked(f, flown)), key=rank)
    yield from (f"{NOBODY}{text}." for text in dict.fromkeys(map(blind, unknown)))
    if case.design.motors:
        yield f"Nobody has looked at {unseen(case)} in a boost."
    if flown:
        yield "Gusts, your hand on the sticks, the law and your club's rules are not judged."


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
