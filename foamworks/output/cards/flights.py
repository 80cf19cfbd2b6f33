"""A card for each flight: what changed, when to fly it, what to expect, what to write down, when to stop."""

import math
from collections.abc import Sequence

from foamworks.changes.answer import Answer
from foamworks.changes.flights import FlightAnswer, concerns
from foamworks.changes.plain import sentence, whole
from foamworks.checks.base import BAD, round_up
from foamworks.checks.case import Case
from foamworks.checks.stamp import STAMP
from foamworks.design.ladder import Rung, rungs
from foamworks.design.model import Design
from foamworks.output.cards.pages import Block, Card, table
from foamworks.output.cards.words import worded
from foamworks.output.keys import Row, text_of
from foamworks.output.ruler import read
from foamworks.units import NOT_KNOWN, STANDARD_GRAVITY, km_h, measured, number, said, with_unit

NOT_YET = "NOT YET"
FIELD = "leaves-the-field"
HEADS = ("number", "expected", "found")
WIDTHS = (1.35, 1.5, 0.65) * 2
ROOMY = (1.36, 1.75, 0.64, 1.28, 1.33, 0.64)  # room for an inch beside the millimetre


def flight_cards(case: Case, data: Row, answer: Answer) -> list[Card]:
    """Give a card for each flight of the ladder, in flying order."""
    return [
        _flight(case, data, rung, number, [flight for flight in answer.flights if flight.step.rung == rung])
        for number, rung in enumerate(rungs(case.design), start=1)
    ]


def _flight(case: Case, data: Row, rung: Rung, count: int, flights: Sequence[FlightAnswer]) -> Card:
    """Make a flight's card; `flights`: its answer, none where nothing was worked out."""
    lit = rung.lit.name if rung.lit else ""
    boost: Row = next((row for row in data.get("boost", []) if row["motor"] == lit), {})
    change = _pitch_change(data, lit)
    low = [f for f in case.findings if f.check == "flight-ladder" and f.subject == rung.name and f.verdict != "pass"]
    field = [f for f in case.findings if (f.check, f.subject) == (FIELD, lit) and f.verdict in BAD]
    levels = [flight.step.now.level for flight in flights if math.isfinite(flight.step.now.level)]
    highs = [round_up(flight.entry_height) for flight in flights if math.isfinite(flight.entry_height)]
    mass = next((flight.step.mass for flight in flights), math.nan)
    rows = [row for flight in flights for row in _set_rows(case.design, flight)]
    return worded(
        "flight",
        design=case.design,
        file=case.file,
        rung=rung,
        count=count,
        stamp=_stamp(case, rung, flights),
        first_with_pod=rung == next((r for r in rungs(case.design) if r.kind == "dead mass"), rung),
        cures=low[:1],
        field=[whole(sentence(finding)) for finding in field],
        stands_in=any(flight.step.stand_in for flight in flights),
        numbers=_numbers(
            ROOMY if case.design.typed_in else WIDTHS, [*rows, *(_boost_rows(boost, change, mass) if lit else [])]
        ),
        level="".join(said(level, "km/h", 0) for level in levels),
        high="".join(said(high, "m", 0) for high in highs),
        both=boost.get("motors_lit") == 2,
        change=change,
    )


def _stamp(case: Case, rung: Rung, flights: Sequence[FlightAnswer]) -> str:
    """Say whether this flight may be flown; what does not concern it stamps no card of it."""
    own = [f for f in case.findings if f.verdict == "fail" and rung.kind != "stock" and concerns(f, rung, case.design)]
    if own or any(flight.verdict == "not yet" for flight in flights):
        because = [*(flight.because for flight in flights), *map(sentence, own)]
        return f"{STAMP if own else NOT_YET}: {whole(because[0])}"
    return ""


def _numbers(widths: tuple[float, ...], rows: Sequence[tuple[str, str]]) -> Block:
    """Set two numbers in a line, so that a flight is one card."""
    half = (len(rows) + 1) // 2
    left, right = rows[:half], [*rows[half:], ("", "")][:half]
    lines = [(*one, "", *two, "") for one, two in zip(left, right, strict=True)]
    return table((*HEADS, *HEADS), lines, widths)


def _set_rows(design: Design, flight: FlightAnswer) -> list[tuple[str, str]]:
    """Give what is set before this flight, then its speed, mass and margin; all that is known."""
    step = flight.step
    speed, band = step.now.speed(lit=step.lit), step.now.band(lit=step.lit)
    between = "-".join(number(km_h(edge), 0) for edge in band)
    size = said(abs(step.elevator), "deg", 1)
    way = "" if size == said(0.0, "deg", 1) else " up" if step.elevator < 0 else " down"
    rows = [
        ("battery at x", read(design, step.battery_x, "mm", 0)),
        ("lead", read(design, step.ballast, "g", 0) if step.ballast else "none"),
        ("for the camera", f"{said(step.stand_in, 'g', 0)} of dead mass" if step.stand_in else NOT_KNOWN),
        ("CG at x", read(design, step.cg_x, "mm", 0 if design.typed_in else 1)),
        ("gyro gain", with_unit(step.gyro_gain, "%", 0)),
        ("elevator", f"{size}{way}" if math.isfinite(step.elevator) else NOT_KNOWN),
        ("light it from", with_unit(round_up(flight.entry_height), "m", 0)),
        (
            "peak km/h" if step.lit else "level km/h",
            f"{number(km_h(speed), 0)} ({between})" if math.isfinite(speed) else NOT_KNOWN,
        ),
        ("mass", said(step.mass, "g", 1)),
        ("margin", said(step.static_margin, "%", 1)),
    ]
    return [row for row in rows if row[1] != NOT_KNOWN]


def _boost_rows(boost: Row, change: float | None, mass: float) -> list[tuple[str, str]]:
    """Give a motor's run, its push on what is aboard on this flight, `mass` [kg]; what is not known is left out."""
    rows = [
        ("thrust/weight", number(measured(boost.get("mean_thrust_N")) / (mass * STANDARD_GRAVITY), 2)),
        ("burn", text_of("burn_s", boost.get("burn_s"))),
        ("pitch change", with_unit(change, "deg", 1)),
    ]
    return [row for row in rows if row[1] != NOT_KNOWN]


def _pitch_change(data: Row, name: str) -> float | None:
    """Give the greatest change in pitch [deg] that is expected through a motor's burn."""
    lines = data.get("thrust_line", {}).get("states", [])
    changes = [measured(line.get("pitch_change_deg")) for line in lines if line["motor"] == name]
    return max((change for change in changes if math.isfinite(change)), key=abs, default=None)
