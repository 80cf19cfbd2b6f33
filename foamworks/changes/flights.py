"""Each flight of the ladder with its own verdict: what concerns it, what to set, what to expect. SI."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from foamworks.aircraft.masses import NO_MOTOR, NO_POD
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.additions import Motor
from foamworks.design.ladder import Rung, motors_by_size
from foamworks.study.flight.gyro import gain_at
from foamworks.study.flight.ladder import Step, study_ladder
from foamworks.study.flight.rungs import state_before

Go = Literal["go", "care", "not yet", "cannot say"]
WORST_LAST: tuple[Go, ...] = ("go", "care", "cannot say", "not yet")
OF_VERDICT: dict[str, Go] = {"fail": "not yet", "caution": "care"}


@dataclass(frozen=True)
class FlightAnswer:
    """One flight: its verdict and why, where battery and lead go, mass, balance, gyro, speed, height; None unknown.

    expected: least, likely and most [m/s]; `before`: what comes before it.
    """

    rung: Rung
    verdict: Go
    because: str
    battery_x: float | None
    ballast: float
    mass: float
    cg_x: float
    static_margin: float | None
    gyro_gain: float | None
    expected: tuple[float | None, float | None, float | None]
    flown: float | None
    entry_height: float | None
    landing: float | None
    before: str


def flights(case: Case, smaller: dict[str, Case]) -> tuple[FlightAnswer, ...]:
    """Answer for each flight; `smaller`: the case with only the motors up to this one, by its name."""
    study = case.study
    steps = study_ladder(case.design, case.parts, aero=study.aero, wing=study.wing, balance=study.balance)
    found: list[FlightAnswer] = []
    held = ""
    for step in steps:
        known = _case_of(case, step.rung, smaller)
        verdict, because = judged_flight(known, step.rung)
        if held and step.rung.kind != "stock" and verdict != "not yet":
            verdict, because = "not yet", held
        found.append(_answer(case, step, verdict, because))
        if verdict == "not yet" and not held and step.rung.lit is not None:
            held = f"after {step.rung.name}, which is not yet to be flown"
    return tuple(found)


def _case_of(case: Case, rung: Rung, smaller: dict[str, Case]) -> Case:
    return case if rung.motor is None else smaller.get(rung.motor.name, case)


def judged_flight(case: Case, rung: Rung) -> tuple[Go, str]:
    """Give a flight's verdict by the findings that concern it, and the one that says why."""
    if rung.kind == "stock":
        return "go", "it is the model as you bought it"
    own = [finding for finding in case.findings if concerns(finding, rung, case.design.motors)]
    for bad, verdict in OF_VERDICT.items():
        first = next((f for f in own if f.verdict == bad and not (bad == "caution" and f.record and f.record.inherent)), None)
        if first is not None:
            return verdict, f"{first.check}: {headline(first.why)}"
    blind = next((f for f in own if f.verdict == "unknown" and f.check == "static-margin"), None)
    if blind is not None:
        return "cannot say", headline(blind.why)
    return "go", "nothing that concerns it fails or is marginal"


def headline(why: str) -> str:
    """Give the first clause of a finding's sentence."""
    return why.split(";")[0].strip()


def concerns(finding: Finding, rung: Rung, motors: Sequence[Motor]) -> bool:
    """Tell whether a finding speaks of what is flown on a rung; the stock model is as it was bought."""
    motor = motor_of(finding.subject, motors)
    if finding.check == "flight-ladder":
        return finding.subject == rung.name
    if motor is not None:
        return rung.motor is not None and rung.motor.name == motor and (rung.lit is not None or not _burns(finding))
    if finding.subject == NO_POD:
        return "pod" not in rung.fitted
    if finding.subject == NO_MOTOR:
        return "pod" in rung.fitted
    return rung.lit is not None if _burns(finding) else _fitted(finding) <= set(rung.fitted)


def motor_of(subject: str, motors: Sequence[Motor]) -> str | None:
    """Give the motor that a subject names: alone, in a state of its flight, or on a flight of the ladder."""
    names = (m.name for m in motors if subject == m.name or subject.startswith((f"{m.name}: ", f"{m.name}, ")))
    return max(names, key=len, default=None)


def _burns(finding: Finding) -> bool:
    return finding.record is not None and finding.record.when == "boost"


def _fitted(finding: Finding) -> set[str]:
    """Give what must be on the model for a finding to matter: its fins, its pod, its camera; else the fins at least."""
    about = finding.record.concerns if finding.record is not None else frozenset()
    if "camera" in about:
        return {"camera"}
    if about & {"pod", "ignition"} and not about & {"fins", "balance"}:
        return {"pod"}
    return set()


def _answer(case: Case, step: Step, verdict: Go, because: str) -> FlightAnswer:
    rung, balance = step.rung, case.study.balance
    before = state_before(balance, rung) if balance is not None else None
    stock = rung.kind in {"stock", "twin fins"}
    battery = case.design.airframe.battery if case.design.airframe else None
    x = before.battery_x if before is not None else None
    if stock and battery is not None:
        x = battery.x_stock if battery.x_stock is not None else x
    return FlightAnswer(
        rung=rung,
        verdict=verdict,
        because=because,
        battery_x=x,
        ballast=0.0 if stock or before is None else before.ballast,
        mass=step.mass,
        cg_x=step.cg_x,
        static_margin=step.static_margin,
        gyro_gain=_gain(case, step),
        expected=_expected(step),
        flown=step.flown,
        entry_height=_height(case, rung),
        landing=step.landing,
        before=_before(case, rung),
    )


def _expected(step: Step) -> tuple[float | None, float | None, float | None]:
    band = step.level_band if step.rung.lit is None else step.peak_band
    least, most = band if band is not None else (None, None)
    return least, step.predicted, most


def _gain(case: Case, step: Step) -> float | None:
    speed, gyro = step.speed, case.design.gyro
    if gyro is None or speed is None or not speed > 0:
        return None
    return gain_at(speed=speed, clean_speed=gyro.clean.speed, clean_gain=gyro.clean.gain)


def _height(case: Case, rung: Rung) -> float | None:
    response = case.study.burn.response if case.study.burn is not None else None
    answer = response.of(rung.lit.name) if response is not None and rung.lit is not None else None
    return None if answer is None or not math.isfinite(answer.entry_height) else answer.entry_height


def _before(case: Case, rung: Rung) -> str:
    """Say what comes before a flight."""
    if rung.kind == "lit" and rung.motor is not None:
        smallest = next(iter(motors_by_size(case.design)), None)
        proof = "the ground test and the static firing" if rung.motor == smallest else "the motor before it, twice"
        return f"its own weight as dead mass, {proof}"
    return {
        "stock": "nothing: fly it as it is, out and back at full throttle",
        "twin fins": "the stock model's speed",
        "battery": "the flight with twin fins",
        "dead mass": "the ground test; battery and lead in their new places",
        "camera": "all flights without the camera",
    }[rung.kind]


def worst(verdicts: Iterable[Go]) -> Go:
    """Give the verdict that counts for all."""
    return max(verdicts, key=WORST_LAST.index, default="go")
