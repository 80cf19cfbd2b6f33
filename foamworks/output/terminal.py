"""The answer as the terminal shows it: at most thirty lines of a hundred columns, all in whole sentences."""

import math
import re
import shlex
import textwrap
from collections.abc import Callable, Sequence
from itertools import chain

from foamworks.changes.answer import NOBODY, UNJUDGED, UNSEEN, Answer, Cause, step_of
from foamworks.changes.flights import FlightAnswer, worst
from foamworks.changes.plain import rank, sentence, who, whole
from foamworks.changes.trial import Tried, eases
from foamworks.checks.base import BAD, VERDICTS, Finding, Proposal, round_up
from foamworks.checks.case import Case
from foamworks.errors import printable
from foamworks.units import grams, if_known, km_h, mm, number, percent

FIELD, MOST_STAYING = "leaves-the-field", 2  # lines of what no change takes away
SHOWS_ALL = "foamworks check --all DESIGN"
WIDTH, LINES = 100, 30
LEAST_STEPS = 3  # of what comes next, before the causes get more room
LEAST_NAME = 12  # columns of a flight's name
END = len(", dead mass")  # columns that a clipped name keeps of its end
MOST_ROWS, FIRST_ROWS, LAST_ROWS = 14, 7, 4  # of the flights: beyond the most, so many first and last ones
HEADS = ("flight", "may fly", "battery", "lead", "balance", "margin", "gyro", "expected", "flown", "light at")
UNITS = ("", "", "mm", "g", "mm", "%", "%", "km/h", "km/h", "m")
NUMBER = re.compile(r"(\d) (%|mm|m|deg|km/h|g|N m|N|MPa|C|V|A|s)(?=[ .,;:)]|$)")
EXPLAINED = {  # a word of the table's heads or names
    "dead mass": "a weight in the motor's place",
    "camera": "flown with it",
    "margin": "balance ahead of the neutral point, of the mean chord",
    "gyro": "its gain",
    "light at": "the least height to light it at",
}
HANG = 4  # columns that a cause's further lines stand in
ADVICE = re.compile(r"[:;] (?![^(]*\))")  # where the first clause of an advice ends


def answer_lines(case: Case, answer: Answer) -> list[str]:
    """Give the lines of the answer; what does not fit says how to see it."""
    top = wrapped(f"{case.name}: {answer.verdict.upper()}. {answer.sentence}")
    table = [*flight_table(answer.flights), *legend(answer.flights)]
    close = _close(case)
    room = LINES - len(top) - len(table) - len(close) - len(_staying(case, 0))
    most = 2 if answer.verdict == "not yet" else 3  # lines: what mends comes before what is not known
    blind = _fitting(answer.not_judged, lambda texts: wrapped(unmarked(texts)), min(most, room))
    steps = _fitting(answer.next, _numbered, LEAST_STEPS)
    causes = _causes(answer, room - len(blind) - len(steps))
    steps = _fitting(answer.next, _numbered, room - len(blind) - len(causes))
    shown = [*top, *causes, *table, *steps, *blind]
    return [*shown, *_staying(case, LINES - len(shown) - len(close)), *close]


def wrapped(text: str, lead: str = "", hang: int | None = None) -> list[str]:
    """Wrap a text behind its lead, its further lines by `hang` columns in; a number and its unit stay together."""
    held, further = NUMBER.sub("\\1\u00a0\\2", text), " " * (len(lead) if hang is None else hang)
    lines = textwrap.wrap(held, WIDTH, initial_indent=lead, subsequent_indent=further, break_on_hyphens=False)
    return [line.replace("\u00a0", " ") for line in lines]


def _staying(case: Case, room: int) -> list[str]:
    """Say what no change of the design takes away, first that a boost leaves the field: that has its lines always."""
    stay = [finding for finding in case.findings if finding.verdict == "caution" and finding.record.inherent]
    stay.sort(key=lambda finding: (finding.check != FIELD, rank(finding)))
    lead = f"{len(stay)} {'stays' if len(stay) == 1 else 'stay'} whatever you build: "

    def told(texts: Sequence[str]) -> list[str]:
        more = [f"and {len(stay) - len(texts)} more"] if len(texts) < len(stay) else []
        return wrapped(f"{lead}{'; '.join((*texts, *more))}.")

    leaves = any(finding.check == FIELD for finding in stay)
    return _fitting(list(map(sentence, stay)), told, MOST_STAYING if leaves else min(room, MOST_STAYING))


def _close(case: Case) -> list[str]:
    """Count the verdicts, and say what to type to see them; a file too far down to be typed on a line goes by its name.

    What is typed stands on one line, so that it can be copied.
    """
    verdicts = [finding.verdict for finding in case.findings]
    stay = sum(finding.verdict == "caution" and finding.record.inherent for finding in case.findings)
    apart = {"caution": f" ({stay} stay)"} if stay else {}
    counts = ", ".join(f"{verdicts.count(verdict)} {verdict}{apart.get(verdict, '')}" for verdict in VERDICTS)
    paths = (printable(shlex.quote(text)) for text in (str(case.path), case.path.name))
    command = next((line for path in paths if len(line := f"foamworks check --all {path}") <= WIDTH), SHOWS_ALL)
    line = f"{counts}; {command}"
    return [line] if len(line) <= WIDTH else [counts, command]


def _fitting(texts: Sequence[str], form: Callable[[Sequence[str]], list[str]], room: int) -> list[str]:
    """Give as many whole sentences as the room takes, from the first on."""
    for kept in range(len(texts), 0, -1):
        lines = form(texts[:kept])
        if len(lines) <= room:
            return lines
    return []


def unmarked(texts: Sequence[str]) -> str:
    """Tell what is not judged in one sentence: first what one more measurement would tell."""
    unknown = [text.removeprefix(NOBODY).rstrip(".") for text in texts if text.startswith(NOBODY)]
    rest = [text.removeprefix(UNSEEN).removesuffix(UNJUDGED) for text in texts if not text.startswith(NOBODY)]
    parts = [", ".join(unknown), *(f"{text[:1].lower()}{text[1:].rstrip('.')}" for text in rest)]
    return f"Not judged: {'; '.join(filter(None, parts))}."


def _numbered(texts: Sequence[str]) -> list[str]:
    leads = [f"{'Next:' if count == 1 else '':5} {count} " for count in range(1, len(texts) + 1)]
    return [line for lead, text in zip(leads, texts, strict=True) for line in wrapped(text, lead)]


def _causes(answer: Answer, room: int) -> list[str]:
    """Give each cause its sentence and what helps; where that is too long, the worst first, and without figures."""
    told, count = [], "findings"
    for cause in answer.causes:
        many, told_of = len(cause.findings), said_of(cause, answer)
        told.append(f"{cause.label}{f' ({many} {count}'.rstrip() + ')' if many > 1 else ''}: {told_of}")
        count = "" if many > 1 else count  # the first says what is counted
    leads = [f"  {cause.verdict:8}" for cause in answer.causes]
    helped = list(zip(_helps(answer), map(_steps, answer.causes), strict=True))
    lines = [wrapped(text, lead, HANG) for text, lead in zip(told, leads, strict=True)]
    left = room - sum(map(len, lines))
    for n, texts in enumerate(helped):
        longer = (wrapped(f"{told[n]} -> {text}", leads[n], HANG) for text in texts if text)
        fits = next((more for more in longer if len(more) - len(lines[n]) <= left), lines[n])
        left -= len(fits) - len(lines[n])
        lines[n] = fits
    return _fitting(told, lambda kept: list(chain(*lines[: len(kept)])), room)


def _steps(cause: Cause) -> str:
    """Say what was tried against a cause, without what it comes to."""
    return whole(step_of(cause.first)) if isinstance(cause.first, Tried) else ""


def _helps(answer: Answer) -> list[str]:
    """Say of each cause what helps, shortly; what a cause above names already is not said twice."""
    steps = [step_of(cause.first) if cause.first is not None else "" for cause in answer.causes]
    return [
        "The same helps." if step and step in steps[:n] else help_of(cause, answer)
        for n, (cause, step) in enumerate(zip(answer.causes, steps, strict=True))
    ]


def help_of(cause: Cause, answer: Answer) -> str:
    """Say what helps against a cause's sentence: what was tried, else advice, else why there is none."""
    worst, first = cause.findings[0], cause.first
    if isinstance(first, Tried):
        before, after = first.shown(worst)
        milder = f"a {now.verdict}" if (now := first.now(worst)) and worst.verdict != now.verdict in BAD else ""
        then = after if after != before else milder
        figure = then and f"then {then}"
        clears = f"clears {len(first.clears)}" if first.clears else ""
        counts = " and ".join(filter(None, (clears, _worse(first))))
        return f"{whole(step_of(first))} {whole('; '.join(filter(None, (figure, counts))))}"
    if first is not None:
        return whole(ADVICE.split(first.words, maxsplit=1)[0])
    typed = [proposal for proposal in worst.proposals if proposal.edits]
    if any(proposal.edits not in answer.trials.results for proposal in typed):
        return "The command check --all tries what may help."
    return f"Nothing to type helps; it stays a {worst.verdict}."


def said_of(cause: Cause, answer: Answer) -> str:
    """Give a cause's sentence; of what the answer's first sentence says already, whom it concerns and by how much."""
    told, worst = cause.sentence.rstrip("."), cause.findings[0]
    if not answer.sentence.lower().endswith(f": {told.lower()}."):
        return cause.sentence
    value = worst.figures[0].lstrip("-" if worst.record.either_way else "")
    return f"{whole(who(worst.subject)).rstrip('.')}{value and f': {value}'}, as above."


def change_line(change: Tried | Proposal, finding: Finding) -> str:
    """Say a change as a sentence, and what it does where it was tried: to a finding's figure, and to all findings."""
    step = whole(step_of(change))
    if isinstance(change, Proposal):
        return step
    worse = _worse(change)
    worse = worse and f" and {worse}"
    many = "1 finding" if len(change.clears) == 1 else f"{len(change.clears)} findings"
    now, (before, after) = change.now(finding), change.shown(finding)
    figure = f"{before} becomes {after}; it clears" if after and before and after != before else "Clears"
    if (finding.check, finding.subject) not in change.clears and eases(change, finding):
        eased = f"Eases {before} to {after}" if figure != "Clears" else f"Eases it to a {now.verdict if now else ''}"
        return f"{step} {eased}{f'; it clears {many}' if change.clears else ''}{worse}."
    return f"{step} {figure} {many}{worse}."


def _worse(change: Tried) -> str:
    return f"worsens {len(change.tips)}" if change.tips else ""


def flight_table(flights: Sequence[FlightAnswer]) -> list[str]:
    """Give the flights as a table; a column that nobody knows is left out, a long name is clipped.

    Of many flights the first and the last are shown, and how many stand between: the causes need room too.
    """
    if not flights:
        return []
    between = len(flights) - FIRST_ROWS - LAST_ROWS if len(flights) > MOST_ROWS else 0
    table = known_columns(flights)
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    gap = "  " if sum(widths) + 2 * len(widths) <= WIDTH + 2 else " "
    widths[0] = max(min(widths[0], WIDTH - sum(widths[1:]) - len(gap) * (len(widths) - 1)), LEAST_NAME)
    lines = [gap.join(_cell(row, n, width) for n, width in enumerate(widths)).rstrip()[:WIDTH] for row in table]
    if not between:
        return lines
    worst_between = worst(flight.verdict for flight in flights[FIRST_ROWS:-LAST_ROWS])
    told = f"... and {between} flights between, the worst of them: {worst_between} (check --json tells of each)"
    return [*lines[: 2 + FIRST_ROWS], told, *lines[-LAST_ROWS:]]


def known_columns(flights: Sequence[FlightAnswer]) -> list[tuple[str, ...]]:
    """Give heads, units and a row for each flight, of the columns in which anything is known."""
    rows = [row_of(flight) for flight in flights]
    kept = [n for n in range(len(HEADS)) if any(row[n] for row in rows)]
    heads, units = (tuple(row[n] for n in kept) for row in (HEADS, UNITS))
    return [heads, units, *(tuple(row[n] or "-" for n in kept) for row in rows)]


def legend(flights: Sequence[FlightAnswer]) -> list[str]:
    """Explain what stands in the table and needs a word: in two lines at most."""
    heads, _, *rows = known_columns(flights)
    told = {*heads, *(word for word in EXPLAINED for row in rows if row[0].endswith(word))}
    return wrapped("; ".join(f"{word}: {means}" for word, means in EXPLAINED.items() if word in told))


def _cell(row: Sequence[str], column: int, width: int) -> str:
    text = row[column]
    if len(text) > width:  # why: what tells a motor's two flights apart stands at the end
        end = min(END, width // 2)
        text = f"{text[: width - end - 2]}..{text[-end:]}"
    return text.ljust(width) if column < 2 else text.rjust(width)


def row_of(flight: FlightAnswer) -> tuple[str, ...]:
    """Give a flight's row, a text for each of the heads; empty where nothing is known."""
    step = flight.step
    least, likely, most = (km_h(speed) for speed in flight.expected)
    between = f" ({least:.0f}-{most:.0f})" if math.isfinite(least) else ""
    return (
        flight.name,
        flight.verdict,
        if_known(mm(step.battery_x)),
        number(grams(step.ballast), 0) if step.ballast else "",
        if_known(mm(step.cg_x)),
        if_known(percent(step.static_margin), 1),
        if_known(step.gyro_gain),
        if_known(likely) + between,
        if_known(km_h(step.flown)),
        if_known(round_up(flight.entry_height)),
    )
