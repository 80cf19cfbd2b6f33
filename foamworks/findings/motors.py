"""Are the motors what they are said to be, and allowed as they are? Impulse in N s, masses in g, thrust in N."""

import math
from collections.abc import Iterator

from foamworks.design.additions import Motor
from foamworks.errors import PhysicsError
from foamworks.findings.base import OURS, Finding, Verdict, round_down, round_up, unknown
from foamworks.findings.case import Case
from foamworks.physics import motor as physics
from foamworks.study.boost import MotorBoost
from foamworks.study.motor_classes import usual, usual_filling
from foamworks.study.thrust_line import curve_of, usable_curve
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


def _lift_off(case: Case) -> Iterator[Finding]:
    burn, pods = case.study.burn, case.design.pod.count if case.design.pod else 1
    rows = {row.motor: row for row in burn.boosts} if burn else {}
    passed: MotorBoost | None = None
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
        found = _lift_off_finding(motor, row, pods)
        if found.verdict != "pass":
            yield found
        elif passed is None or (passed.mass or 0.0) < row.mass:
            passed = row
    if passed is not None and passed.mass is not None:
        yield Finding(
            "lift-off-mass", passed.motor, "pass", 1e3 * passed.mass, 1e3 * physics.MODEL_MASS, "g",
            f"{1e3 * passed.mass:.0f} g at ignition, the heaviest that stays a model rocket by the code", "", CODE,
        )  # fmt: skip


def _lift_off_finding(motor: Motor, row: MotorBoost, pods: int) -> Finding:
    mass, propellant = row.mass or 0.0, pods * motor.propellant
    inside = physics.within_model_limits(mass=mass, propellant=propellant, impulse=row.impulse)
    reasons = physics.high_power_reasons(
        impulse=row.impulse / pods, propellant=motor.propellant, mean=row.mean_thrust / pods
    )
    over = [
        text
        for broken, text in (
            (mass > physics.MODEL_MASS, f"{1e3 * mass:.0f} g at ignition, over 1500"),
            (propellant > physics.MODEL_PROPELLANT, f"{1e3 * propellant:.0f} g of propellant, over 125"),
            (row.impulse > physics.MODEL_IMPULSE, f"{row.impulse:.0f} N s installed, over 320"),
        )
        if broken
    ]
    verdict: Verdict = "pass" if inside and not reasons else "caution" if inside else "fail"
    text = "beyond a model rocket: " + ", ".join(over) if over else "the motor counts as high power: "
    why = text + ("" if over else ", ".join(reasons))
    cure = "" if verdict == "pass" else (
        "a smaller motor; a high-power motor may be bought and flown by certified persons only"
    )  # fmt: skip
    return Finding("lift-off-mass", motor.name, verdict, 1e3 * mass, 1e3 * physics.MODEL_MASS, "g", why, cure, CODE)


def _thrust_to_weight(case: Case) -> Iterator[Finding]:
    burn, pods = case.study.burn, case.design.pod.count if case.design.pod else 1
    for row in burn.boosts if burn else ():
        if row.thrust_to_weight is None or row.mass is None:
            yield unknown(
                "thrust-to-weight", row.motor, "the model's weight with this motor is not known",
                "weigh the stock model ready to fly (airframe.mass)",
            )  # fmt: skip
            continue
        ratio, weight = row.thrust_to_weight, row.mean_thrust / row.thrust_to_weight
        both = " (both motors together)" if pods == 2 else ""
        why = f"{row.mean_thrust:.1f} N of mean thrust{both} push {weight:.1f} N of weight"
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
