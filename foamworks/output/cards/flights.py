"""A card for each flight: what changed, when to fly it, what to expect, what to write down, when to stop."""

from foamworks.checks.case import Case
from foamworks.design.ladder import Kind, Rung, rungs
from foamworks.output.cards.pages import Block, Card, table, ticks, writes
from foamworks.output.keys import Row, cell, text_of
from foamworks.study.flight.ladder import Step, study_ladder
from foamworks.units import km_h, number, said, with_unit

WIND = "wind under 3 m/s along the runway"  # common practice, no source
HEIGHT = "50 m or more before any change of power"  # common practice, no source
NOSE_MOST = 10  # deg of pitch off what is expected that end the boosts (ours)
STOP = (
    "any rocking of the wings, any buzz or hum from the tail",
    "anything loose, warm, brown or cracked when you look it over",
)


def flight_cards(case: Case, data: Row) -> list[Card]:
    """Give a card for each flight of the ladder, in flying order; `data` with the answer says which is not yet."""
    study = case.study
    steps = study_ladder(case.design, case.parts, study.flying, study.balance)
    ladder = rungs(case.design)
    answers = data.get("answer", {}).get("flights") or [{}] * len(ladder)
    return [
        _flight(case, data, rung, number, step, told)
        for number, (rung, step, told) in enumerate(zip(ladder, steps or [None] * len(ladder), answers, strict=True), 1)
    ]


def _flight(case: Case, data: Row, rung: Rung, count: int, step: Step | None, answer: Row) -> Card:
    blocks = [
        Block("head", "What changed"),
        Block("text", _changed(case, rung, step)),
        Block("head", "Fly it when"),
        *ticks(*_entry(data, rung, step, answer)),
        Block("head", "Expect"),
        *_expected(data, rung, step),
        Block("head", "Stop when"),
        *ticks(*STOP, *([_nose_stop(data, rung.lit.name)] if rung.lit is not None else [])),
        Block("head", "Write down"),
        *writes(*_to_write(rung)),
    ]
    return Card(
        f"Flight {count}: {rung.name}",
        f'One change since the flight before. Then [[flights]] flight = "{rung.name}"',
        tuple(blocks),
    )


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


def _entry(data: Row, rung: Rung, step: Step | None, answer: Row) -> list[str]:
    places = "" if step is None else f"{_places(step)}; "
    rows = [f"{places}{WIND}; {HEIGHT}"]
    if answer.get("verdict") == "not yet":
        rows.append(f"NOT YET: {answer['because']}")
    if rung.lit is None:
        return [*rows, "the checks of the flight before are done and written down"]
    row = next((row for row in data.get("boost", []) if row["motor"] == rung.lit.name), None)
    level = step.now.level if step is not None else None
    entry = "" if level is None else f", about {said(level, 'km/h', 0)}"
    both = "; both motors together" if row is not None and row["motors_lit"] == 2 else ""
    return [
        *rows,
        f"level, full throttle{entry}, into the wind, wings level before the switch{both}",
        "the flight with the dead mass is flown, the ground test of today is ticked",
        "gyro gain at its lowest; a helper watches the stop watch and the tail",
    ]


def _places(step: Step) -> str:
    """Say where the pack goes and what lead is in the nose on this flight."""
    pack = "" if step.battery_x is None else f"battery at x = {said(step.battery_x, 'mm', 0)}; "
    lead = "no lead" if not step.ballast else f"{said(step.ballast, 'g', 0)} of lead in"
    taped = f"{said(step.stand_in, 'g', 0)} of dead mass in the camera's place; " if step.stand_in else ""
    return f"{pack}{lead}; {taped}CG at x = {said(step.cg_x, 'mm', 1)}"


def _expected(data: Row, rung: Rung, step: Step | None) -> list[Block]:
    rows = [] if step is None else _balance_rows(step)
    if rung.lit is not None:
        rows += _boost_rows(data, rung.lit.name)
    if not rows:
        return [Block("text", "Nothing was worked out for it.")]
    half = (len(rows) + 1) // 2
    left, right = rows[:half], [*rows[half:], ("", "")][:half]  # two numbers in a line, so that a flight is one card
    lines = [(*one, "", *two, "") for one, two in zip(left, right, strict=True)]
    heads = ("number", "expected", "found")
    return [table((*heads, *heads), lines, (1.2, 1.65, 0.65) * 2)]


def _balance_rows(step: Step) -> list[tuple[str, str]]:
    rows = [("mass", said(step.mass, "g", 1)), ("CG, x", said(step.cg_x, "mm", 1))]
    if step.static_margin is not None:
        rows.append(("static margin", said(step.static_margin, "%", 1)))
    if step.gyro_gain is not None:
        rows.append(("gyro gain", with_unit(step.gyro_gain, "%", 0)))
    if step.elevator is not None:
        rows.append(("elevator", f"{said(step.elevator, 'deg', 1)} to land"))
    speed, band = step.now.speed(lit=step.lit), step.now.band(lit=step.lit)
    if speed is not None:
        between = "" if band is None else f" ({' to '.join(number(km_h(edge), 0) for edge in band)})"
        rows.append(("peak km/h" if step.lit else "level km/h", f"{number(km_h(speed), 0)}{between}"))
    return rows


def _boost_rows(data: Row, name: str) -> list[tuple[str, str]]:
    row: Row = next((row for row in data.get("boost", []) if row["motor"] == name), {})
    rows = []
    if row.get("thrust_to_weight") is not None:
        rows.append(("thrust/weight", cell("thrust_to_weight", row["thrust_to_weight"])))
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
        return [*rows, "speed out km/h|back km/h", "trim: elevator deg", "let go in a shallow dive it", "remarks"]
    return [
        *rows,
        "peak km/h|measured with",
        "nose on ignition deg|at burnout deg",
        "tail and pod after landing|boosts so far, remarks",
    ]
