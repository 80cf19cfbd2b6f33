"""What stands first on the page: what to set for the next flight, the flights as a table, what helps in words."""

import math

from foamworks.changes.answer import Answer, Cause
from foamworks.changes.plain import whole
from foamworks.changes.trial import Tried
from foamworks.design.model import Design
from foamworks.output.ruler import beside
from foamworks.output.tables import Table, headed
from foamworks.output.terminal import HEADS, UNITS, change_line, known_columns, row_of
from foamworks.units import said


def flight_table(answer: Answer) -> Table:
    """Give the flights as a table, with why each has its verdict and what comes before it."""
    words, units, *rows = known_columns(answer.flights)
    heads = [headed(word, unit) for word, unit in zip(words, units, strict=True)]
    body = tuple(
        (*row, whole(flight.because), whole(flight.before)) for row, flight in zip(rows, answer.flights, strict=True)
    )
    caption = "Numbers are for what is aboard on each flight; light at: the height at which the motor may be lit"
    return Table(
        caption, (*heads, "why", "comes after"), body, (*(head not in HEADS[:2] for head in words), False, False)
    )


def tiles(answer: Answer, design: Design) -> list[tuple[str, str]]:
    """Give what to set for the next flight that may be flown; nothing where none may."""
    to_fly = next((f for f in answer.flights if not f.step.is_flown and f.verdict in {"go", "care"}), None)
    if to_fly is None:
        return []
    told = zip(HEADS[2:], UNITS[2:], row_of(to_fly)[2:], strict=True)
    step, lands = to_fly.step, to_fly.step.landing
    own = {"battery": (step.battery_x, "mm"), "lead": (step.ballast, "g"), "balance": (step.cg_x, "mm")}
    return [
        ("next flight", to_fly.name),
        *(
            (head, f"{value} {unit}{beside(design, *own[head]) if head in own else ''}")
            for head, unit, value in told
            if value
        ),
        *([("lands at", said(lands, "km/h", 0))] if math.isfinite(lands) else []),
    ]


def first_help(cause: Cause) -> str:
    """Say what helps against the worst of a cause where something fails or it was tried; more stands further down."""
    first = cause.first
    return (
        change_line(first, cause.findings[0])
        if first is not None and (cause.verdict == "fail" or isinstance(first, Tried))
        else ""
    )
