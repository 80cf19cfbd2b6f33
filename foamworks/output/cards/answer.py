"""The first card: may it fly, what is wrong and what helps, what to do next."""

from foamworks.changes.answer import Answer
from foamworks.checks.case import Case
from foamworks.output.cards.pages import Block, Card, table
from foamworks.output.report.top import first_help
from foamworks.output.terminal import HEADS, UNITS, row_of, said_of

SHOWN = ("flight", "may fly", "battery", "lead", "balance", "gyro", "light at")
WIDTHS = (4.18, 1.51, 1.52, 1.03, 1.6, 1.12, 1.5)
MOST_CAUSES = 4  # named here, so that the answer is one card; report.html has them all


def answer_card(case: Case, answer: Answer) -> Card:
    """Give the card of the answer."""
    blocks = [Block("text", answer.sentence)]
    for cause in answer.causes[:MOST_CAUSES]:
        blocks.append(Block("text", f"{cause.label}: {said_of(cause, answer)} {first_help(cause)}".strip()))
    to_fly = [flight for flight in answer.flights if not flight.step.is_flown]
    if to_fly:
        columns = [HEADS.index(head) for head in SHOWN]
        rows = [
            tuple(f"{row[n]} {UNITS[n]}".strip() if row[n] else "-" for n in columns) for row in map(row_of, to_fly)
        ]
        blocks += [Block("head", "Still to fly, in order")]
        blocks.append(table(SHOWN, rows, WIDTHS))
    if answer.next:
        blocks += [Block("head", "Next"), *(Block("tick", step) for step in answer.next)]
    under = f"{answer.verdict.upper()}. Made from {case.file}; report.html says the rest."
    return Card("The answer", under, tuple(blocks))
