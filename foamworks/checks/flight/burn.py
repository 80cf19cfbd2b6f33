"""What does lighting the motor do in pitch: moment, change of direction, load factor?"""

import math
from collections.abc import Iterator

from foamworks.checks.base import Finding, Proposal, Verdict, judged
from foamworks.checks.case import Case
from foamworks.checks.flight.aim import aimed, jig, signed, small, steadied
from foamworks.checks.records import record
from foamworks.study.flight.burn import Burn
from foamworks.study.flight.response import Held, MotorResponse, Swing
from foamworks.study.flight.scatter import Scatter
from foamworks.units import degrees, mm, percent, said

MOMENT = record("thrust-moment")
PITCH = record("pitch-change")
LOAD = record("load-factor")

ELEVATOR_WISH = 1 / 3  # of the elevator's travel that the booster may ask for (common practice, no source)
PITCH_CAUTION, PITCH_FAIL = degrees.si(10), degrees.si(45)  # hands off, at the end of the burn (ours)
LOAD_FAIL = -2.0  # g (ours)
LOAD_CAUTION = (0.0, 4.0)  # g: outside it the wing and what is loose aboard feel it (ours)


def findings(case: Case) -> list[Finding]:
    """Judge each motor's burn; nothing without a motor that may be lit."""
    burn = case.study.burn
    if burn is None or not burn.boosts or case.design.pod is None:
        return []
    return [*_moments(case, burn), *_pitch(case, burn), *_loads(case, burn)]


def _lacks(case: Case) -> list[str]:
    """Name what the answer in pitch cannot be worked out without."""
    airframe, found = case.design.airframe, []
    if airframe.mass is None:
        return ["the model's mass, balance and wing ([airframe])"]
    tail = airframe.tailplane
    if airframe.cg is None or (airframe.cg.x is None and airframe.cg.rear_load is None):
        found.append("where it balances (airframe.cg)")
    elif airframe.cg.z is None:
        found.append("the height of its centre of gravity (airframe.cg.z)")
    if tail is None or tail.elevator is None:
        found.append("the elevator (airframe.tailplane.elevator)")
    fan = airframe.fan
    if fan is None or fan.thrust is None or (fan.diameter is None and fan.exit_area is None):
        found.append("the fan's static thrust and diameter (airframe.fan)")
    if case.design.pod is None or case.design.pod.nozzle is None or case.design.pod.tube.inner is None:
        found.append("the pod's nozzle and tube")
    return found or ["a mass or a place aboard: see the findings on what was not weighed"]


def _moments(case: Case, burn: Burn) -> Iterator[Finding]:
    response = burn.response
    for row in burn.boosts:
        held = [h for h in response.held if h.motor == row.motor] if response else []
        known = [h for h in held if h.worst_elevator is not None]
        if response is None or not known or response.up is None or response.down is None:
            text = " and ".join(_lacks(case))
            why = f"nobody can say whether the elevator holds the booster's moment without {text}"
            yield MOMENT.unknown(
                row.motor,
                why=why,
                measure=f"measure {text}",
            )
            continue
        yield _moment_finding(case, known, response.up, response.down)


def _share(held: Held, up: float, down: float) -> float:
    """Elevator that is asked for, errors included, as a share of its travel that way."""
    asked = held.worst_elevator or 0.0
    travel = up if asked < 0 else down
    return abs(asked) / travel if travel > 0 else math.inf


def _moment_finding(case: Case, held: list[Held], up: float, down: float) -> Finding:
    worst = max(held, key=lambda h: _share(h, up, down))
    share = _share(worst, up, down)
    line = case.study.thrust_line
    row = next(r for r in line.rows if (r.motor, r.state) == (worst.motor, worst.state)) if line else None
    nose = "down" if row is not None and row.moment < 0 else "up"
    verdict = judged(share, fail_above=1.0, caution_above=ELEVATOR_WISH)
    own = degrees(abs(worst.elevator or 0.0))
    why = (
        f"at {worst.state} {abs(row.moment) if row else 0.0:.2f} N m push the nose {nose}: {own:.1f} deg of elevator "
        f"at entry speed, {degrees(abs(worst.worst_elevator or 0.0)):.1f} with 2 deg of building error and 5 mm "
        f"of error in the CG's height, {percent(share):.0f} % of its travel"
    )
    return MOMENT.finding(
        verdict,
        worst.motor,
        value=share if math.isfinite(share) else None,
        limit=1.0 if verdict == "fail" else ELEVATOR_WISH,
        why=why,
        cure=lambda: tuple(aimed(case, worst)),
    )


def _pitch(case: Case, burn: Burn) -> Iterator[Finding]:
    for row in burn.boosts:
        answer = burn.response.of(row.motor) if burn.response else None
        if answer is None:
            text = " and ".join(_lacks(case))
            why = f"the motion in pitch through the burn cannot be worked out without {text}"
            yield PITCH.unknown(
                row.motor,
                why=why,
                measure=f"measure {text}",
            )
            continue
        yield _pitch_finding(case, answer)


def _pitch_finding(case: Case, answer: MotorResponse) -> Finding:
    own, worst = answer.hands_off, answer.worst[2]
    near = max((swing.pitch_change for swing in (own, *answer.one_off)), key=abs)
    change, likely, off = own.pitch_change, near, worst.pitch_change
    built = _built(case, answer.motor)
    if built is not None and built.most > max(abs(near), PITCH_FAIL):
        likely = math.copysign(built.most, near)  # more than one build in twenty passes the limit
    verdict = judged(abs(likely), fail_above=PITCH_FAIL, caution_above=PITCH_CAUTION)
    if verdict == "pass" and abs(off) > PITCH_CAUTION:
        verdict = "caution"
    one = case.design.build.angle_error
    why = (
        f"hands off the nose has moved {signed(own.pitch_change)} deg at the end of the burn (least load factor "
        f"{own.least_load:.1f} g), and {signed(near)} deg when the angle is {degrees(one):g} deg off, as glued "
        f"mounts are; built {degrees(answer.worst[0]):+.0f} deg off with the CG's height "
        f"{mm(answer.worst[1]):+.0f} mm off it moves {signed(worst.pitch_change)} deg"
    )
    if built is not None:
        why += f"; {said(built.within[1], '%', 0)} of the builds stay within {degrees(PITCH_FAIL):g} deg"
    if answer.gyro is not None:
        why += (
            f"; a rate gyro that doubles the pitch damping ({answer.gyro_gain:.3f} rad per rad/s) leaves "
            f"{signed(answer.gyro.pitch_change)} deg"
        )
    held = _at_ignition(case, answer.motor)
    fails = verdict == "fail"
    limit = PITCH_FAIL if fails else PITCH_CAUTION
    value = likely if fails else off if verdict == "caution" and abs(change) <= PITCH_CAUTION else change
    return PITCH.finding(
        verdict,
        answer.motor,
        value=value,
        limit=limit,
        why=why,
        cure=lambda: (*(aimed(case, held) if held is not None else ()), *steadied(case, answer)),
    )


def _at_ignition(case: Case, motor: str) -> Held | None:
    response = case.study.burn.response if case.study.burn is not None else None
    return response.at(motor, "ignition") if response is not None else None


def _built(case: Case, motor: str) -> Scatter | None:
    """Give what the builds make of a motor's burn; None where they could not be sampled."""
    return next((row for row in case.study.scattered if row.motor == motor), None)


def _loads(case: Case, burn: Burn) -> Iterator[Finding]:
    for answer in burn.response.motors if burn.response else ():
        own, off = answer.hands_off, min(swing.least_load for *_, swing in answer.errors)
        one = likely = min(swing.least_load for swing in (own, *answer.one_off))
        built = _built(case, answer.motor)
        if built is not None and built.least_load < LOAD_FAIL:  # in more than one build in twenty
            likely = min(likely, built.least_load)
        low, high = LOAD_CAUTION
        fails = likely < LOAD_FAIL
        marginal = own.least_load < low or own.greatest_load > high or off < LOAD_FAIL
        verdict: Verdict = "fail" if fails else "caution" if marginal else "pass"
        value, limit = (likely, LOAD_FAIL) if fails or not marginal else _marginal_load(own, off)
        why = (
            f"hands off the load factor lies between {own.least_load:.1f} and {own.greatest_load:.1f} g; an angle "
            f"{degrees(case.design.build.angle_error):g} deg off takes it to {one:.1f} g, the worst building "
            f"error to {off:.1f} g"
        )
        if built is not None:
            why += f"; {said(built.load, '%', 0)} of the builds stay above {LOAD_FAIL:g} g"
        yield LOAD.finding(
            verdict,
            answer.motor,
            value=value,
            limit=limit,
            why=why,
            cure="" if verdict == "pass" else tuple(_load_cures(case, answer)),
        )


def _marginal_load(own: Swing, worst: float) -> tuple[float, float]:
    """Give the load factor that makes a caution, and the limit that it has missed."""
    low, high = LOAD_CAUTION
    if worst < LOAD_FAIL:
        return worst, LOAD_FAIL
    return (own.least_load, low) if own.least_load < low else (own.greatest_load, high)


def _load_cures(case: Case, answer: MotorResponse) -> Iterator[Proposal]:
    held = _at_ignition(case, answer.motor)
    if held is not None:
        yield from aimed(case, held)
    near = min(swing.least_load for angle, _, swing in answer.errors if small(case, angle))
    yield jig(case, f"{near:.1f} g")
