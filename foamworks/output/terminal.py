"""The answer as the terminal shows it: at most thirty lines of a hundred columns."""

import textwrap
from collections.abc import Iterable, Sequence

from foamworks.changes.answer import LABELS, OTHER, Answer, Cause, words_of
from foamworks.changes.flights import FlightAnswer
from foamworks.changes.trial import Tried
from foamworks.checks.base import VERDICTS, Proposal
from foamworks.checks.case import Case
from foamworks.checks.proposals import leaves_out
from foamworks.units import grams, km_h, mm, number, percent

WIDTH, LINES = 100, 30
HEADS = ("flight", "may fly", "battery", "lead", "balance", "margin", "gyro", "expected", "flown", "light at")
UNITS = ("", "", "mm", "g", "mm", "%", "%", "km/h", "km/h", "m")


def answer_lines(case: Case, answer: Answer) -> list[str]:
    """Give the lines of the answer; what does not fit says how to see it."""
    top = _wrapped(f"{case.name}: {answer.verdict.upper()}. {answer.sentence}", most=3)
    table = _flights(answer.flights)
    steps = [line for n, step in enumerate(answer.next, start=1) for line in _wrapped(step, f"  {n} ", most=1)]
    blind = _wrapped(f"Not judged: {' '.join(answer.not_judged)}", most=2) if answer.not_judged else []
    close = [_counts(case)]
    room = LINES - len(top) - len(table) - len(blind) - len(close) - 2
    steps = steps[: max(room - 2 * len(answer.causes) - 1, 2)]
    causes = _causes(answer.causes, room - len(steps) - bool(steps))
    return [
        *top,
        *(["What is wrong, and what helps:", *causes] if causes else []),
        *table,
        *(["Next:", *steps] if steps else []),
        *blind,
        *close,
    ][:LINES]


def _counts(case: Case) -> str:
    verdicts = [finding.verdict for finding in case.findings]
    counts = ", ".join(f"{verdicts.count(verdict)} {verdict}" for verdict in VERDICTS)
    return f"{counts}; every finding: foamworks check --all {case.file}"


def _causes(causes: Sequence[Cause], room: int) -> list[str]:
    """Give each cause a line, and its best change another while there is room."""
    found, left = [], room - len(causes)
    for cause in causes:
        mark = "fail   " if cause.verdict == "fail" else "caution"
        name = "" if cause.cause == OTHER else f"{LABELS[cause.cause]}, "
        found += _wrapped(f"{name}{cause.sentence}", f"  {mark} ", most=1)
        if cause.changes and left > 0:
            found += _wrapped(_change(cause.changes[0]), "          -> ", most=1)
            left -= 1
    return found


def _change(change: Tried | Proposal) -> str:
    proposal = change if isinstance(change, Proposal) else change.proposal
    if not proposal.edits:
        return words_of(change)
    typed = ", ".join(f"{edit.key} = {edit.typed}" for edit in proposal.edits)
    said = f"type {typed}" if proposal.kind == "set" and not leaves_out(proposal) else words_of(change)
    return said if isinstance(change, Proposal) else f"{said} (clears {len(change.clears)}, worsens {len(change.tips)})"


def _flights(flights: Sequence[FlightAnswer]) -> list[str]:
    """Give the flights as a table; a column that nobody knows is left out."""
    if not flights:
        return []
    rows = [_row(flight) for flight in flights]
    kept = [n for n in range(len(HEADS)) if any(row[n] for row in rows)]
    heads = [f"{HEADS[n]} {UNITS[n]}".strip() for n in kept]
    table = [heads, *([row[n] or "-" for n in kept] for row in rows)]
    widths = [max(len(row[column]) for row in table) for column in range(len(kept))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()[:WIDTH] for row in table
    ]


def _row(flight: FlightAnswer) -> tuple[str, ...]:
    step = flight.step
    least, likely, most = (km_h(speed) for speed in flight.expected)
    band = "" if likely is None else f"{number(likely, 0)}" + ("" if least is None else f" ({least:.0f}-{most:.0f})")
    return (
        flight.name,
        flight.verdict,
        "" if step.battery_x is None else number(mm(step.battery_x), 0),
        number(grams(step.ballast), 0) if step.ballast else "",
        number(mm(step.cg_x), 0) if step.cg_x == step.cg_x else "",
        "" if step.static_margin is None else number(percent(step.static_margin), 1),
        "" if step.gyro_gain is None else number(step.gyro_gain, 0),
        band,
        "" if step.flown is None else number(km_h(step.flown), 0),
        "" if flight.entry_height is None else number(flight.entry_height, 0),
    )


def _wrapped(text: str, lead: str = "", *, most: int) -> list[str]:
    """Wrap a text behind its lead; what passes the last line ends in dots."""
    lines = textwrap.wrap(
        text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead), max_lines=most, placeholder=" ..."
    )
    return list(_clipped(lines))


def _clipped(lines: Iterable[str]) -> Iterable[str]:
    return (line[:WIDTH] for line in lines)
