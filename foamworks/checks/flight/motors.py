"""Are the motors what they are said to be, and allowed as they are? Impulse in N s, masses in g, thrust in N."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from foamworks.checks.base import Finding, Proposal, collected, heard, judged, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.proposals import left_out
from foamworks.checks.records import record
from foamworks.design.additions import Motor
from foamworks.design.curve import curve_of, usable_curve
from foamworks.design.ladder import NO_MOTOR, NO_POD, WITH_MOTOR, State
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.physics.flight import motor as physics
from foamworks.study.flight.boost import MotorBoost
from foamworks.study.flight.motor_classes import usual, usual_filling
from foamworks.units import STANDARD_GRAVITY, grams, mm, said

CODES = "NAR, Standard Motor Codes"
PLUGGED = record("plugged-only")
CURVE = record("motor-curve")
CLASS = record("motor-class")
LIFT_OFF = record("lift-off-mass")
THRUST_TO_WEIGHT = record("thrust-to-weight")

SPECIFIC_IMPULSE = (50.0, 260.0)  # s: no solid motor burns worse or better (ours; 75 to 220 are usual, from memory)
DENSEST = 1900.0  # kg/m3 of propellant, the case's wall and nozzle left out (handbook value, from memory)
UNUSUAL = 1.5  # times what usual motors of that size hold, or as much under it (ours)
MOST_THRUST_TO_WEIGHT = 1.5
BRISK = 1.0  # from here on it is said and not judged: a model that enters level meets no limit there (ours)
CERTIFIED = "a high-power motor may be bought and flown by certified persons only"


def findings(case: Case) -> list[Finding]:
    """Judge the motors; nothing without any."""
    return collected(case, _plugged, _curves, _classes, _lift_off, _thrust_to_weight)


def _plugged(case: Case) -> Iterator[Finding]:
    bad = [motor for motor in case.design.motors if not motor.plugged]
    for motor in bad:
        yield PLUGGED.finding(
            "fail",
            motor.name,
            why="it is not declared plugged: an ejection charge would blow the pod open in flight; no boost is worked "
            "out for it",
            cure=(
                Proposal(
                    "use the plugged motor of its kind, whose designation ends in P, and type plugged = true; "
                    "never plug "
                    "or alter one yourself"
                ),
                *left_out(case.asked, motor.name),
            ),
        )
    if case.design.motors and not bad:
        yield PLUGGED.passes("motors", why="every motor is declared plugged")


def _curves(case: Case) -> Iterator[Finding]:
    """Judge each motor's specific impulse; when all are what solid motors give, say so once."""
    low, high = SPECIFIC_IMPULSE
    good: list[float] = []
    for motor in case.design.motors:
        try:
            time, thrust = curve_of(motor)
        except PhysicsError as fault:
            yield CURVE.finding(
                "fail", motor.name, of="contradicts", value=motor.impulse, unit="N s", fault=fault, source="arithmetic"
            )
            continue
        impulse = physics.total_impulse(time=time, thrust=thrust)
        value, fits = physics.specific_impulse(impulse=impulse, propellant=motor.propellant), impulse / STANDARD_GRAVITY
        if low <= value <= high:
            good.append(value)
            continue
        yield CURVE.finding(
            "fail",
            motor.name,
            value=value,
            limit=high if value > high else low,
            least=round_up(grams(fits / high)),
            most=round_down(grams(fits / low)),
        )
    if good and len(good) == len(case.design.motors):
        why = f"specific impulse from {min(good):.0f} to {max(good):.0f} s: what solid motors give"
        yield CURVE.passes("motors", value=max(good), limit=high, why=why)


def _classes(case: Case) -> Iterator[Finding]:
    for motor in case.design.motors:
        curve = usable_curve(motor)
        if curve is None:
            continue
        impulse = physics.total_impulse(time=curve[0], thrust=curve[1])
        try:
            letter = physics.impulse_class(impulse=impulse)
        except PhysicsError as fault:
            yield CLASS.finding(
                "fail", motor.name, of="none", value=impulse, limit=physics.class_limit("O"), fault=fault, source=CODES
            )
            continue
        yield _class_finding(motor, impulse, letter)


def _class_finding(motor: Motor, impulse: float, letter: str) -> Finding:
    limit, volume = physics.class_limit(letter), motor.diameter**2 * motor.length
    low, high = (UNUSUAL**way * share for way, share in zip((-1, 1), usual_filling(), strict=True))
    why = f"{impulse:.3g} N s is class {letter}, which goes to {limit:g} N s{_usual_one(letter)}"
    room = DENSEST * math.pi / 4 * volume
    if motor.propellant > room:
        return CLASS.finding(
            "fail", motor.name, of="case", value=motor.propellant, limit=room, unit="g", room=grams(room), others=why
        )
    verdict = judged(impulse / volume, caution_below=low, caution_above=high)
    if verdict != "pass":
        limit, word = (high * volume, "more") if impulse / volume > high else (low * volume, "less")
        why += f"; far {word} than motors of this size hold"
    least, most = (share * volume for share in usual_filling())
    size = f"{mm(motor.diameter):g} x {mm(motor.length):g}"
    return CLASS.finding(verdict, motor.name, value=impulse, limit=limit, told=why, size=size, least=least, most=most)


def _usual_one(letter: str) -> str:
    known = usual(letter)
    if known is None:
        return ""
    return (
        f"; a usual one: {mm(known.diameter):g} x {mm(known.length):g} mm, {known.impulse:g} N s, {known.burn:g} s, "
        f"{grams(known.mass):g} g ({known.source})"
    )


def _closing(case: Case, motor: str) -> float:
    """Give what the scale said over the sum of parts [kg], minus where it said less; 0 when no whole state was weighed.

    A state with this motor tells most, then the one without a motor, then any other with the pod, then without it.
    """
    rows = {row.name: row.mass for row in (case.study.balance.rows if case.study.balance else ())}
    weighed = {entry.part: entry.mass for entry in case.design.weighed if math.isfinite(rows.get(entry.part, math.nan))}
    others = [other.name for other in case.design.motors if other.name != motor]
    states = [State(phase, name) for name in (motor, *others) for phase in WITH_MOTOR]
    own = len(WITH_MOTOR)
    order = [*states[:own], NO_MOTOR, *states[own:], NO_POD]
    return next((weighed[state.name] - rows[state.name] for state in order if state.name in weighed), 0.0)


def _with_closing(error: float) -> str:
    """Say that the scale's difference [kg] is in a mass."""
    off = round(grams(abs(error)))
    if not off:
        return ""
    how = f"{off} g of them" if error > 0 else f"{off} g taken off"
    side = "over" if error > 0 else "under"
    return f", {how} because the model was weighed so much {side} the sum of its parts"


def _pods(case: Case) -> int:
    return case.design.pod.count if case.design.pod else 1


def _boosts(case: Case) -> dict[str, MotorBoost]:
    return {row.motor: row for row in case.study.burn.boosts}


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
    rows, weighed = _boosts(case), []
    for motor in (motor for motor in case.design.motors if motor.name in rows):
        row = rows[motor.name]
        if not math.isfinite(row.mass):
            yield LIFT_OFF.unknown(motor.name)
            continue
        weighed.append(_at_lift_off(motor, row, row.mass, _closing(case, motor.name), _pods(case)))
    yield from (_lift_off_finding(case.asked, one, weighed, _pods(case)) for one in weighed if not one.passes)
    passed = max((one for one in weighed if one.passes), key=lambda one: one.mass, default=None)
    if passed:
        yield LIFT_OFF.passes(
            passed.motor.name,
            of="passes",
            value=passed.mass,
            limit=physics.MODEL_MASS,
            weighed=_with_closing(passed.error),
        )


def _at_lift_off(motor: Motor, row: MotorBoost, computed: float, error: float, pods: int) -> _LiftOff:
    mass, propellant = computed + error, pods * motor.propellant
    reasons = physics.high_power_reasons(
        impulse=row.impulse / pods, propellant=motor.propellant, mean=row.mean_thrust / pods
    )
    limits = (
        (mass > physics.MODEL_MASS, f"{said(mass, 'g', 0)} at ignition{_with_closing(error)}, over 1500"),
        (propellant > physics.MODEL_PROPELLANT, f"{said(propellant, 'g', 0)} of propellant, over 125"),
        (row.impulse > physics.MODEL_IMPULSE, f"{row.impulse:.0f} N s installed, over 320"),
    )
    inside = physics.within_model_limits(mass=mass, propellant=propellant, impulse=row.impulse)
    over = () if inside else tuple(text for broken, text in limits if broken)
    return _LiftOff(motor, mass, error, over, tuple(reasons))


def _lift_off_finding(asked: Design, one: _LiftOff, weighed: list[_LiftOff], pods: int) -> Finding:
    text = "beyond a model rocket: " if one.over else "the motor counts as high power: "
    return LIFT_OFF.finding(
        "fail" if one.over else "caution",
        one.motor.name,
        value=one.mass,
        limit=physics.MODEL_MASS,
        why=text + ", ".join(one.over or one.high_power),
        cure=(Proposal(_lift_off_cure(one, weighed, pods)), *left_out(asked, one.motor.name)),
    )


def _lift_off_cure(one: _LiftOff, weighed: list[_LiftOff], pods: int) -> str:
    """Say which motor of the design keeps the code, or how much the model must lose for the lightest."""
    good = ", ".join(f'"{other.motor.name}"' for other in weighed if other.passes)
    if one.mass <= physics.MODEL_MASS:
        return f"take {good or 'a smaller motor'} instead: {CERTIFIED}"
    heavy = f"{round_up(grams(one.mass - physics.MODEL_MASS)):.0f} g"
    if good:
        return f"take {good} instead, or {heavy} off the model"
    lightest = min(weighed, key=lambda other: other.mass)
    left = grams(max(lightest.mass - physics.MODEL_MASS, 0.0))
    off = f'take {round_up(left):.0f} g off the model, with "{lightest.motor.name}"'
    if left <= 0:
        return f"take a smaller motor: it is {heavy} too heavy, and no motor of the design keeps the code"
    if one.mass - pods * one.motor.mass >= physics.MODEL_MASS:
        return f"{off}: it is {heavy} too heavy, and no motor is light enough"
    return f"{off}: it is {heavy} too heavy, and no motor of the design is light enough"


def _thrust_to_weight(case: Case) -> Iterator[Finding]:
    for row in _boosts(case).values():
        yield from heard(_pushed(case, row))


def _pushed(case: Case, row: MotorBoost) -> Iterator[Finding]:
    mass = THRUST_TO_WEIGHT.need(row.mass, row.motor)
    error, pods = _closing(case, row.motor), _pods(case)
    weight = (mass + error) * STANDARD_GRAVITY
    ratio = row.mean_thrust / weight
    both, motors, each = (" (both motors together)", "motors", " each") if pods == 2 else ("", "a motor", "")
    why = f"{row.mean_thrust:.1f} N of mean thrust{both} push {weight:.1f} N of weight"
    if round(grams(error)):
        why += f" ({grams(error):+.0f} g as weighed against the sum of parts)"
    verdict = judged(ratio, caution_above=MOST_THRUST_TO_WEIGHT)
    if verdict == "caution":
        why += ": far more than the model's own weight, everything happens at once"
    elif ratio > BRISK:
        why += ": a little more than the model's own weight, it goes off briskly"
    yield THRUST_TO_WEIGHT.finding(
        verdict,
        row.motor,
        value=ratio,
        limit=MOST_THRUST_TO_WEIGHT,
        why=why,
        cure=lambda: (
            Proposal(
                f"begin with {motors} of at most "
                f"{round_down(MOST_THRUST_TO_WEIGHT * weight / pods, 1):.1f} N mean thrust{each}, and go up one "
                "class a time",
                "fly",
            ),
            *left_out(case.asked, row.motor),
        ),
    )
