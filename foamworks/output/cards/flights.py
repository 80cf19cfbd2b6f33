"""A card for each flight: what changed, when to fly it, what to expect, what to write down, when to stop."""

import math

from foamworks.changes.answer import Answer
from foamworks.changes.flights import FlightAnswer, concerns
from foamworks.changes.plain import sentence, whole
from foamworks.checks.base import round_up
from foamworks.checks.case import Case
from foamworks.checks.stamp import STAMP
from foamworks.design.ladder import Kind, Rung, rungs
from foamworks.output.cards.pages import Block, Card, table, ticks, writes
from foamworks.output.keys import Row, text_of
from foamworks.study.flight.ladder import Step
from foamworks.units import NOT_KNOWN, STANDARD_GRAVITY, km_h, number, said, with_unit

WIND = "wind under 3 m/s along the runway"  # common practice, no source
HEIGHT = "50 m or more before any change of power"  # common practice, no source
NOT_YET = "NOT YET"
NOSE_MOST = 10  # deg of pitch off what is expected that end the boosts (ours)
STOP = (
    "any rocking of the wings, any buzz or hum from the tail",
    "anything loose, warm, brown or cracked when you look it over",
)


def flight_cards(case: Case, data: Row, answer: Answer) -> list[Card]:
    """Give a card for each flight of the ladder, in flying order."""
    by_rung = {flight.step.rung: flight for flight in answer.flights}
    return [
        _flight(case, data, rung, number, by_rung.get(rung)) for number, rung in enumerate(rungs(case.design), start=1)
    ]


def _flight(case: Case, data: Row, rung: Rung, count: int, flight: FlightAnswer | None) -> Card:
    step = None if flight is None else flight.step
    blocks = [
        Block("head", "Set, and expect; the elevator is what it lands with"),
        *_expected(data, rung, flight),
        Block("head", "Fly it when"),
        *ticks(*_entry(data, rung, flight)),
        Block("head", "Stop when"),
        *ticks(*STOP, *([_nose_stop(data, rung.lit.name)] if rung.lit is not None else [])),
        Block("head", f"Write down, and type the last three lines into {case.file}"),
        *writes(*_to_write(rung)),
        Block("head", "[[flights]]"),
        Block("text", f'flight = "{rung.name}"'),
        *writes("speed ="),
    ]
    return Card(f"Flight {count}: {rung.name}", _stamp(case, rung, flight) + _changed(case, rung, step), tuple(blocks))


def _stamp(case: Case, rung: Rung, flight: FlightAnswer | None) -> str:
    """Say whether this flight may be flown; what does not concern it stamps no card of it."""
    own = [f for f in case.findings if f.verdict == "fail" and rung.kind != "stock" and concerns(f, rung, case.design)]
    if own or (flight is not None and flight.verdict == "not yet"):
        return f"{STAMP if own else NOT_YET}: {whole(flight.because if flight is not None else sentence(own[0]))} "
    return ""


def _changed(case: Case, rung: Rung, step: Step | None) -> str:
    """Say what is new on this flight, and what makes up for what is not aboard yet."""
    faired = case.design.camera is not None and case.design.camera.fairing
    motor = rung.motor.name if rung.motor is not None else "the motor"
    first = next((r for r in rungs(case.design) if r.kind == "dead mass"), None)
    pod = "The pod on, with a dead mass" if rung == first else "A dead mass in the pod"
    words: dict[Kind, str] = {
        "stock": "Nothing: the model as it was bought, to have numbers to compare with.",
        "twin fins": "The old fin off, the new fins on. Trim before speed.",
        "battery": "Battery, ballast and what moves with them in their new places.",
        "dead mass": f"{pod} in the place of {motor}: same mass, same place, nothing that burns.",
        "lit": f"{motor} in the pod, lit once. All else as before.",
        "camera": f"The camera on the wing{', in its fairing' if faired else ''}.",
    }
    new = words[rung.kind]
    low = next((f for f in case.findings if f.check == "flight-ladder" and f.subject == rung.name), None)
    if low is None or low.verdict == "pass":
        return new
    counted = "the numbers below are with it" if step is not None and step.stand_in else "the numbers are without it"
    return f"{new} But {low.cure}: {counted}."


def _entry(data: Row, rung: Rung, flight: FlightAnswer | None) -> list[str]:
    if rung.lit is None:
        return [f"{WIND}; {HEIGHT}", "the checks of the flight before are done and written down"]
    both = "; both motors together" if _boost(data, rung.lit.name).get("motors_lit") == 2 else ""
    level, high = (flight.step.now.level, flight.entry_height) if flight else (math.nan, math.nan)
    entry = f", about {said(level, 'km/h', 0)}" if math.isfinite(level) else ""
    lit = f"at {said(round_up(high), 'm', 0)} or higher when the motor is lit" if math.isfinite(high) else HEIGHT
    return [
        f"{WIND}; {lit}",
        f"into the wind, level at full throttle{entry}, wings level{both}",
        "its dead mass is flown, the ground test ticked; a helper watches the tail",
    ]


def _expected(data: Row, rung: Rung, flight: FlightAnswer | None) -> list[Block]:
    rows = [] if flight is None else [*_set_rows(flight), *_balance_rows(flight.step)]
    if rung.lit is not None:
        rows += _boost_rows(data, rung.lit.name, math.nan if flight is None else flight.step.mass)
    if not rows:
        return [Block("text", "Nothing was worked out for it.")]
    half = (len(rows) + 1) // 2
    left, right = rows[:half], [*rows[half:], ("", "")][:half]  # two numbers in a line, so that a flight is one card
    lines = [(*one, "", *two, "") for one, two in zip(left, right, strict=True)]
    heads = ("number", "expected", "found")
    return [table((*heads, *heads), lines, (1.35, 1.5, 0.65) * 2)]


def _set_rows(flight: FlightAnswer) -> list[tuple[str, str]]:
    """Give what is set before this flight: battery, lead, what stands for the camera, balance, gyro, elevator."""
    step = flight.step
    size = said(abs(step.elevator), "deg", 1)
    way = "" if size == said(0.0, "deg", 1) else " up" if step.elevator < 0 else " down"
    rows = [
        ("battery at x", said(step.battery_x, "mm", 0)),
        ("lead", said(step.ballast, "g", 0) if step.ballast else "none"),
        ("for the camera", f"{said(step.stand_in, 'g', 0)} of dead mass" if step.stand_in else NOT_KNOWN),
        ("CG at x", said(step.cg_x, "mm", 1)),
        ("gyro gain", with_unit(step.gyro_gain, "%", 0)),
        ("elevator", f"{size}{way}" if math.isfinite(step.elevator) else NOT_KNOWN),
        ("light it from", with_unit(round_up(flight.entry_height), "m", 0)),
    ]
    return [row for row in rows if row[1] != NOT_KNOWN]


def _balance_rows(step: Step) -> list[tuple[str, str]]:
    rows = []
    speed, band = step.now.speed(lit=step.lit), step.now.band(lit=step.lit)
    if math.isfinite(speed):
        between = "-".join(number(km_h(edge), 0) for edge in band)
        rows.append(("peak km/h" if step.lit else "level km/h", f"{number(km_h(speed), 0)} ({between})"))
    rows.append(("mass", said(step.mass, "g", 1)))
    if math.isfinite(step.static_margin):
        rows.append(("margin", said(step.static_margin, "%", 1)))
    return rows


def _boost(data: Row, name: str) -> Row:
    """Give a motor's run; nothing without one."""
    return next((row for row in data.get("boost", []) if row["motor"] == name), {})


def _boost_rows(data: Row, name: str, mass: float) -> list[tuple[str, str]]:
    """Give a motor's run, its push on what is aboard on this flight, `mass` [kg]."""
    row, rows = _boost(data, name), []
    if math.isfinite(mass) and row.get("mean_thrust_N") is not None:
        rows.append(("thrust/weight", number(row["mean_thrust_N"] / (mass * STANDARD_GRAVITY), 2)))
    if row.get("burn_s") is not None:
        rows.append(("burn", text_of("burn_s", row["burn_s"])))
    change = _pitch_change(data, name)
    if change is not None:
        rows.append(("pitch change", with_unit(change, "deg", 1)))
    return rows


def _pitch_change(data: Row, name: str) -> float | None:
    """Give the greatest change in pitch [deg] that is expected through a motor's burn."""
    changes: list[float] = [
        line["pitch_change_deg"]
        for line in data.get("thrust_line", {}).get("states", [])
        if line["motor"] == name and line.get("pitch_change_deg") is not None
    ]
    return max(changes, key=abs, default=None)


def _nose_stop(data: Row, name: str) -> str:
    """Say which move of the nose ends the boosts: one that was not expected."""
    change = _pitch_change(data, name)
    if change is None:
        return f"the nose moves more than {NOSE_MOST} deg on ignition; any scorch"
    if abs(change) <= NOSE_MOST:
        return f"the nose moves more than {NOSE_MOST} deg from what is expected; any scorch"
    return "the nose moves further than expected; any scorch"


def _to_write(rung: Rung) -> list[str]:
    rows = ["date, field|wind, temperature"]
    if rung.lit is None:
        return [*rows, "speed out km/h|back km/h", "trim: elevator deg|let go in a shallow dive it", "remarks"]
    return [
        "date, field, wind|peak km/h",
        "nose on ignition deg|at burnout deg",
        "tail and pod after landing|boosts so far, remarks",
    ]
