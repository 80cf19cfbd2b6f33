"""Are the motors what they are said to be, and allowed as they are? Impulse in N s, masses in g, thrust in N."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from foamworks.aircraft.masses import MOTOR_STATES, NO_MOTOR, NO_POD
from foamworks.checks.base import OURS, Finding, Verdict, round_down, round_up, unknown
from foamworks.checks.case import Case
from foamworks.design.additions import Motor
from foamworks.design.curve import curve_of, usable_curve
from foamworks.errors import PhysicsError
from foamworks.physics import motor as physics
from foamworks.study.flight.boost import MotorBoost
from foamworks.study.flight.motor_classes import usual, usual_filling
from foamworks.units import STANDARD_GRAVITY

SPECIFIC_IMPULSE = (50.0, 260.0)  # s: no solid motor burns worse or better (ours; 75 to 220 are usual, from memory)
DENSEST = 1900.0  # kg/m3 of propellant, the case's wall and nozzle left out (handbook value, from memory)
UNUSUAL = 1.5  # times what usual motors of that size hold, or as much under it (ours)
MOST_THRUST_TO_WEIGHT = 1.0
CODE = "NFPA 1122:2018 4.4-4.5, read at second hand; written for rockets that fly straight up"


def findings(case: Case) -> list[Finding]:
    """Judge the motors; nothing without any."""
    if not case.design.motors:
        return []
    return [*_plugged(case), *_curves(case), *_classes(case), *_lift_off(case), *_thrust_to_weight(case)]


def _plugged(case: Case) -> Iterator[Finding]:
    bad = [motor for motor in case.design.motors if not motor.plugged]
    why = "it is not declared plugged: an ejection charge would blow the pod open in flight"
    for motor in bad:
        yield Finding(
            "plugged-only", motor.name, "fail", None, None, "", why + "; no boost is worked out for it",
            "use the plugged motor of its kind (its designation ends in P), then write plugged = true; never plug or "
            "alter one yourself", "rule of this program: others lost models to ejection charges",
        )  # fmt: skip
    if not bad:
        yield Finding(
            "plugged-only", "motors", "pass", None, None, "", "every motor is declared plugged", "",
            "rule of this program: others lost models to ejection charges",
        )  # fmt: skip


def _curves(case: Case) -> Iterator[Finding]:
    low, high = SPECIFIC_IMPULSE
    good: list[float] = []
    for motor in case.design.motors:
        try:
            time, thrust = curve_of(motor)
        except PhysicsError as fault:
            why = f"its numbers contradict each other: {fault}"
            cure = "copy impulse, burn and peak again from the data sheet, or give its thrust curve"
            yield Finding("motor-curve", motor.name, "fail", motor.impulse, None, "N s", why, cure, "arithmetic")
            continue
        value = physics.specific_impulse(
            impulse=physics.total_impulse(time=time, thrust=thrust), propellant=motor.propellant
        )
        good.append(value)
        if low <= value <= high:
            continue
        good.pop()
        fits = physics.total_impulse(time=time, thrust=thrust) / STANDARD_GRAVITY
        why = (
            f"{value:.0f} s of specific impulse is not what a solid motor gives: black powder has about 80 s, "
            "composite propellant 160 to 220"
        )
        cure = (
            f"check impulse and propellant on the data sheet: for this impulse the propellant weighs between "
            f"{round_up(1e3 * fits / high):.0f} and {round_down(1e3 * fits / low):.0f} g"
        )
        yield Finding("motor-curve", motor.name, "fail", value, high if value > high else low, "s", why, cure, OURS)
    if good and len(good) == len(case.design.motors):
        why = f"specific impulse from {min(good):.0f} to {max(good):.0f} s: what solid motors give"
        yield Finding("motor-curve", "motors", "pass", max(good), high, "s", why, "", OURS)


def _classes(case: Case) -> Iterator[Finding]:
    for motor in case.design.motors:
        curve = usable_curve(motor)
        if curve is None:
            continue
        impulse = physics.total_impulse(time=curve[0], thrust=curve[1])
        try:
            letter = physics.impulse_class(impulse=impulse)
        except PhysicsError as fault:
            yield Finding(
                "motor-class", motor.name, "fail", impulse, physics.class_limit("O"), "N s", str(fault),
                "check the impulse on the data sheet", "NAR, Standard Motor Codes",
            )  # fmt: skip
            continue
        yield _class_finding(motor, impulse, letter)


def _class_finding(motor: Motor, impulse: float, letter: str) -> Finding:
    limit = physics.class_limit(letter)
    why = f"{impulse:.3g} N s is class {letter}, which goes to {limit:g} N s"
    known = usual(letter)
    if known is not None:
        why += (
            f"; a usual one: {1e3 * known.diameter:g} x {1e3 * known.length:g} mm, {known.impulse:g} N s, "
            f"{known.burn:g} s, {1e3 * known.mass:g} g ({known.source})"
        )
    filling = impulse / (motor.diameter**2 * motor.length)
    low, high = usual_filling()
    room = DENSEST * math.pi / 4 * motor.diameter**2 * motor.length
    verdict: Verdict = "pass"
    cure = ""
    if motor.propellant > room:
        verdict = "fail"
        why = f"{1e3 * motor.propellant:.0f} g of propellant do not go into a case that holds {1e3 * room:.0f}; " + why
        cure = "check diameter, length and propellant on the data sheet"
    elif not low / UNUSUAL <= filling <= high * UNUSUAL:
        much = "far more" if filling > high else "far less"
        verdict = "caution"
        why += f"; {much} than motors of this size hold"
        volume = motor.diameter**2 * motor.length
        cure = (
            f"check the data sheet: usual motors of {1e3 * motor.diameter:g} x {1e3 * motor.length:g} mm hold "
            f"{low * volume:.3g} to {high * volume:.3g} N s"
        )
    return Finding(
        "motor-class", motor.name, verdict, impulse, limit, "N s", why, cure,
        "NAR, Standard Motor Codes; sizes from memory, use the data sheet",
    )  # fmt: skip


def _closing(case: Case, motor: str) -> float:
    """Give what the scale said over the sum of parts [kg], minus where it said less; 0 when no whole state was weighed.

    A state with this motor tells most, then the one without a motor, then any other with the pod, then without it.
    """
    rows = {row.name: row.mass for row in (case.study.balance.rows if case.study.balance else ())}
    weighed = {entry.part: entry.mass for entry in case.design.weighed if math.isfinite(rows.get(entry.part, math.nan))}
    others = [other.name for other in case.design.motors if other.name != motor]
    states = [f"{name}: {state}" for name in (motor, *others) for state in MOTOR_STATES]
    own = len(MOTOR_STATES)
    order = [*states[:own], NO_MOTOR, *states[own:], NO_POD]
    part = next((name for name in order if name in weighed), None)
    return 0.0 if part is None else weighed[part] - rows[part]


def _with_closing(error: float) -> str:
    """Say that the scale's difference [kg] is in a mass."""
    grams = round(1e3 * abs(error))
    if not grams:
        return ""
    how = f"{grams} g of them" if error > 0 else f"{grams} g taken off"
    side = "over" if error > 0 else "under"
    return f", {how} because the model was weighed so much {side} the sum of its parts"


@dataclass(frozen=True)
class _LiftOff:
    """A motor with the mass [kg] that lifts off with it, the closing error in it, and what the code says to that."""

    motor: Motor
    mass: float
    error: float
    over: tuple[str, ...]
    high_power: tuple[str, ...]

    @property
    def passes(self) -> bool:
        return not self.over and not self.high_power


def _lift_off(case: Case) -> Iterator[Finding]:
    burn, pods = case.study.burn, case.design.pod.count if case.design.pod else 1
    rows = {row.motor: row for row in burn.boosts} if burn else {}
    judged: list[_LiftOff] = []
    for motor in case.design.motors:
        row = rows.get(motor.name)
        if row is None:
            continue
        if row.mass is None:
            yield unknown(
                "lift-off-mass", motor.name, "the model's mass with this motor is not known", "weigh the stock model "
                "ready to fly (airframe.mass) and give the pod's tube and nozzle", "g",
            )  # fmt: skip
            continue
        judged.append(_judged(motor, row, row.mass, _closing(case, motor.name), pods))
    yield from (_lift_off_finding(one, judged, pods) for one in judged if not one.passes)
    passed = max((one for one in judged if one.passes), key=lambda one: one.mass, default=None)
    if passed is not None:
        yield Finding(
            "lift-off-mass", passed.motor.name, "pass", 1e3 * passed.mass, 1e3 * physics.MODEL_MASS, "g",
            f"{1e3 * passed.mass:.0f} g at ignition{_with_closing(passed.error)}: the heaviest that stays a model "
            "rocket by the code", "", CODE,
        )  # fmt: skip


def _judged(motor: Motor, row: MotorBoost, computed: float, error: float, pods: int) -> _LiftOff:
    mass, propellant = computed + error, pods * motor.propellant
    reasons = physics.high_power_reasons(
        impulse=row.impulse / pods, propellant=motor.propellant, mean=row.mean_thrust / pods
    )
    over = tuple(
        text
        for broken, text in (
            (mass > physics.MODEL_MASS, f"{1e3 * mass:.0f} g at ignition{_with_closing(error)}, over 1500"),
            (propellant > physics.MODEL_PROPELLANT, f"{1e3 * propellant:.0f} g of propellant, over 125"),
            (row.impulse > physics.MODEL_IMPULSE, f"{row.impulse:.0f} N s installed, over 320"),
        )
        if broken
    )
    inside = physics.within_model_limits(mass=mass, propellant=propellant, impulse=row.impulse)
    return _LiftOff(motor, mass, error, () if inside else over, tuple(reasons))


def _lift_off_finding(one: _LiftOff, judged: list[_LiftOff], pods: int) -> Finding:
    text = "beyond a model rocket: " + ", ".join(one.over) if one.over else "the motor counts as high power: "
    return Finding(
        "lift-off-mass", one.motor.name, "fail" if one.over else "caution", 1e3 * one.mass, 1e3 * physics.MODEL_MASS,
        "g", text + ("" if one.over else ", ".join(one.high_power)), _lift_off_cure(one, judged, pods), CODE,
    )  # fmt: skip


def _lift_off_cure(one: _LiftOff, judged: list[_LiftOff], pods: int) -> str:
    """Say which motor of the design keeps the code, or how much the model must lose for the lightest."""
    good = ", ".join(f'"{other.motor.name}"' for other in judged if other.passes)
    certified = "a high-power motor may be bought and flown by certified persons only"
    if one.mass <= physics.MODEL_MASS:
        return f"{'take ' + good + ' instead' if good else 'a smaller motor'}; {certified}"
    excess = one.mass - physics.MODEL_MASS
    words = f"{round_up(1e3 * excess):.0f} g too heavy"
    if good:
        return f"{words}: take {good} instead, or as much off the model"
    lightest = min(judged, key=lambda other: other.mass)
    left = max(1e3 * (lightest.mass - physics.MODEL_MASS), 0.0)
    off = f'take {round_up(left):.0f} g off the model, with "{lightest.motor.name}"'
    if left <= 0:
        return f"{words}: a smaller motor; no motor of the design keeps the code"
    if one.mass - pods * one.motor.mass >= physics.MODEL_MASS:
        return f"{words}: no motor is light enough; {off}"
    return f"{words}: no motor of the design is light enough; {off}"


def _thrust_to_weight(case: Case) -> Iterator[Finding]:
    burn, pods = case.study.burn, case.design.pod.count if case.design.pod else 1
    for row in burn.boosts if burn else ():
        if row.thrust_to_weight is None or row.mass is None:
            yield unknown(
                "thrust-to-weight", row.motor, "the model's weight with this motor is not known",
                "weigh the stock model ready to fly (airframe.mass)",
            )  # fmt: skip
            continue
        error = _closing(case, row.motor)
        weight = (row.mass + error) * STANDARD_GRAVITY
        ratio = row.mean_thrust / weight
        both = " (both motors together)" if pods == 2 else ""
        why = f"{row.mean_thrust:.1f} N of mean thrust{both} push {weight:.1f} N of weight"
        if round(1e3 * error):
            why += f" ({1e3 * error:+.0f} g as weighed against the sum of parts)"
        over = ratio > MOST_THRUST_TO_WEIGHT
        cure = ""
        if over:
            why += ": more than the model's own weight, everything happens at once"
            cure = (
                f"not on the first boost: begin with {'motors' if pods == 2 else 'a motor'} of at most "
                f"{round_down(weight / pods, 1):.1f} N mean thrust{' each' if pods == 2 else ''}, one class up a time"
            )
        yield Finding(
            "thrust-to-weight", row.motor, "caution" if over else "pass", ratio, MOST_THRUST_TO_WEIGHT, "", why, cure,
            OURS,
        )  # fmt: skip
