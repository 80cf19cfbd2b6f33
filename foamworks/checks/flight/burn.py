"""What does lighting the motor do in pitch: moment, change of direction, load factor?"""

import math
from collections.abc import Iterator
from functools import partial
from typing import TypeVar

from foamworks.aircraft.masses import stock_cg
from foamworks.aircraft.thrust_line import IGNITION
from foamworks.checks.base import Check, Finding, Proposal, Verdict, collected, given, heard, judged, lacking
from foamworks.checks.case import Case
from foamworks.checks.flight.aim import aimed, jig, signed, steadied
from foamworks.checks.records import record
from foamworks.errors import not_measured
from foamworks.parts.mounted_pod import layout_of
from foamworks.study.flight.drive import drive
from foamworks.study.flight.response import Held, MotorResponse, Swing
from foamworks.study.flight.scatter import Scatter
from foamworks.units import degrees, mm, percent, said

T = TypeVar("T")
MOMENT = record("thrust-moment")
PITCH = record("pitch-change")
LOAD = record("load-factor")

ELEVATOR_WISH = 1 / 3  # of the elevator's travel that the booster may ask for (common practice, no source)
PITCH_CAUTION, PITCH_FAIL = degrees.si(10), degrees.si(45)  # hands off, at the end of the burn (ours)
LOAD_FAIL = -2.0  # g (ours)
LOAD_CAUTION = (0.0, 4.0)  # g: outside it the wing and what is loose aboard feel it (ours)


def findings(case: Case) -> list[Finding]:
    """Judge each motor's burn; nothing without a motor that may be lit."""
    lit = case.study.burn.boosts if case.design.pod else ()
    own = [finding for row in lit for finding in heard(_moment(case, row.motor))]
    own += [finding for row in lit for finding in heard(_pitch(case, row.motor))]
    return own + (collected(case, _loads) if lit else [])


def _lacks(case: Case) -> str:
    """Name what the answer in pitch cannot be worked out without."""
    airframe = case.design.airframe
    if not_measured(airframe.mass):
        return "the model's mass, balance and wing ([airframe])"
    x, z = stock_cg(airframe)
    asked = {
        "where it balances (cg under [airframe])": x,
        "the height of its centre of gravity (z of cg under [airframe])": not_measured(x) or z,
        "the elevator (elevator under [airframe.tailplane])": airframe.elevator,
        "the fan's static thrust and diameter (under [airframe.fan])": drive(case.design, stock=True).pushes,
        "the pod's nozzle and tube": case.design.standing and layout_of(case.design),
    }
    return lacking(asked, "a mass or a place aboard: see the findings on what was not weighed")


def _known(check: Check, case: Case, motor: str, answer: T | None) -> T:
    """Take the answer in pitch that a check rests on, or end it with what that lacks."""
    return check.need(answer, motor, what=_lacks(case) if not answer else "")


def _moment(case: Case, motor: str) -> Iterator[Finding]:
    response = case.study.burn.response
    known = [held for held in response.held if held.motor == motor and math.isfinite(held.worst_elevator)]
    held = _known(MOMENT, case, motor, known or None)
    worst = max(held, key=lambda h: _share(h, response.up, response.down))
    share = _share(worst, response.up, response.down)
    row = next(r for r in given(case.study.thrust_line).rows if (r.motor, r.state) == (worst.motor, worst.state))
    nose = "down" if row.moment < 0 else "up"
    verdict = judged(share, fail_above=1.0, caution_above=ELEVATOR_WISH)
    own = degrees(abs(worst.elevator))
    why = (
        f"at {worst.state} {abs(row.moment):.2f} N m push the nose {nose}: {own:.1f} deg of elevator "
        f"at entry speed, {degrees(abs(worst.worst_elevator)):.1f} with 2 deg of building error and 5 mm "
        f"of error in the CG's height, {percent(share):.0f} % of its travel"
    )
    yield MOMENT.finding(
        verdict,
        worst.motor,
        value=share if math.isfinite(share) else None,
        limit=1.0 if verdict == "fail" else ELEVATOR_WISH,
        why=why,
        cure=lambda: aimed(case, worst),
    )


def _share(held: Held, up: float, down: float) -> float:
    """Elevator that is asked for, errors included, as a share of its travel that way."""
    asked = held.worst_elevator
    travel = up if asked < 0 else down
    return abs(asked) / travel if travel > 0 else math.inf


def _pitch(case: Case, motor: str) -> Iterator[Finding]:
    answer = _known(PITCH, case, motor, case.study.burn.response.of(motor))
    own, worst = answer.hands_off, answer.worst[2]
    near = max((swing.pitch_change for swing in (own, *answer.one_off)), key=abs)
    built = _built(case, answer.motor)
    likely = math.copysign(max(abs(near), built.most if built else 0.0), near)
    verdict = judged(abs(likely), fail_above=PITCH_FAIL, caution_above=PITCH_CAUTION)
    if verdict == "pass" and abs(worst.pitch_change) > PITCH_CAUTION:
        verdict, likely = "caution", worst.pitch_change
    one = case.design.build.angle_error
    why = (
        f"hands off the nose has moved {signed(own.pitch_change)} deg at the end of the burn (least load factor "
        f"{own.least_load:.1f} g), and {signed(near)} deg when the angle is {degrees(one):g} deg off, as glued "
        f"mounts are; built {degrees(answer.worst[0]):+.0f} deg off with the CG's height "
        f"{mm(answer.worst[1]):+.0f} mm off it moves {signed(worst.pitch_change)} deg"
    )
    if built:
        why += (
            f"; nineteen builds of twenty stay within {said(built.most, 'deg', 0)}, {said(built.within[1], '%', 0)} "
            f"of all within {degrees(PITCH_FAIL):g}"
        )
    if answer.gyro:
        why += (
            f"; a rate gyro that doubles the pitch damping ({answer.gyro_gain:.3f} rad per rad/s) leaves "
            f"{signed(answer.gyro.pitch_change)} deg"
        )
    yield PITCH.finding(
        verdict,
        answer.motor,
        value=likely,
        limit=PITCH_FAIL if verdict == "fail" else PITCH_CAUTION,
        why=why,
        cure=lambda: (*_cures(case, answer, as_built=abs(own.pitch_change) <= PITCH_CAUTION), *steadied(case, answer)),
    )


def _cures(case: Case, answer: MotorResponse, *, as_built: bool) -> tuple[Proposal, ...]:
    """Propose what meets the centre of gravity, and a jig; the jig first where only how it is built is at fault."""
    held = case.study.burn.response.at(answer.motor, IGNITION)
    aim = tuple(aimed(case, held)) if held else ()
    return (jig(case), *aim) if as_built else (*aim, jig(case))


def _built(case: Case, motor: str) -> Scatter | None:
    """Give what the builds make of a motor's burn; None where they could not be sampled."""
    return next((row for row in case.study.burn.response.scattered if row.motor == motor), None)


def _loads(case: Case) -> Iterator[Finding]:
    for answer in case.study.burn.response.motors:
        own = answer.hands_off
        angle, height, swing = min(answer.errors, key=lambda row: row[2].least_load)
        off = swing.least_load
        one = likely = min(swing.least_load for swing in (own, *answer.one_off))
        built = _built(case, answer.motor)
        if built and built.least_load < LOAD_FAIL:  # in more than one build in twenty
            likely = min(likely, built.least_load)
        low, high = LOAD_CAUTION
        fails = likely < LOAD_FAIL
        marginal = own.least_load < low or own.greatest_load > high or off < LOAD_FAIL
        verdict: Verdict = "fail" if fails else "caution" if marginal else "pass"
        value, limit = (likely, LOAD_FAIL) if fails or not marginal else _marginal_load(own, off)
        why = (
            f"hands off the load factor lies between {own.least_load:.1f} and {own.greatest_load:.1f} g; an angle "
            f"{degrees(case.design.build.angle_error):g} deg off takes it to {one:.1f} g, the worst building "
            f"error ({degrees(angle):+.0f} deg off, the CG's height {mm(height):+.0f} mm off) to {off:.1f} g"
        )
        if built:
            why += f"; {said(built.load, '%', 0)} of the builds stay above {LOAD_FAIL:g} g"
        yield LOAD.finding(
            verdict,
            answer.motor,
            value=value,
            limit=limit,
            why=why,
            cure=partial(_cures, case, answer, as_built=low <= own.least_load and own.greatest_load <= high),
        )


def _marginal_load(own: Swing, worst: float) -> tuple[float, float]:
    """Give the load factor that makes a caution, and the limit that it has missed."""
    low, high = LOAD_CAUTION
    if worst < LOAD_FAIL:
        return worst, LOAD_FAIL
    return (own.least_load, low) if own.least_load < low else (own.greatest_load, high)
