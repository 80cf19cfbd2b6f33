"""What does lighting the motor do to the flight? Moments in N m, angles in deg, load factors in g, distances in m."""

import math
from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding, Verdict, judged, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.model import Design
from foamworks.parts.make import clears_back, pod_clearance, pod_shape
from foamworks.physics.pitch import downthrust_through
from foamworks.study.flight.boost import BoostRun, leaves_after
from foamworks.study.flight.burn import Burn
from foamworks.study.flight.response import NEARBY, Held, MotorResponse, Swing
from foamworks.study.flight.scatter import Scatter
from foamworks.study.twin_pods import MOST_SIDESLIP, overshoot
from foamworks.units import said

MOMENT = record("thrust-moment")
PITCH = record("pitch-change")
LOAD = record("load-factor")
ONE_OUT = record("one-out-yaw")
FIELD = record("leaves-the-field")

ELEVATOR_WISH = 100 / 3  # % of the elevator's travel that the booster may ask for (common practice, no source)
PITCH_CAUTION, PITCH_FAIL = 10.0, 45.0  # deg, hands off, at the end of the burn (ours)
LOAD_FAIL = -2.0  # g (ours)
LIFT_MOST = 60  # mm: how far a nozzle that clears the back is looked for
ALIKE = math.radians(0.25)  # an angle is glued to a degree: so near it is met, and by so much it may settle anew (ours)
SMALL_ERROR = math.radians(1.5)  # between the two building errors of angle that are flown, 1 and 2 deg
LOAD_CAUTION = (0.0, 4.0)  # g: outside it the wing and what is loose aboard feel it (ours)


def findings(case: Case) -> list[Finding]:
    """Judge each motor's burn; nothing without a motor that may be lit."""
    burn = case.study.burn
    if burn is None or not burn.boosts or case.design.pod is None:
        return []
    return [*_moments(case, burn), *_pitch(case, burn), *_loads(case, burn), *_one_out(case, burn), *_field(case, burn)]


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
    """Elevator that is asked for, errors included, in percent of its travel that way."""
    asked = held.worst_elevator or 0.0
    travel = up if asked < 0 else down
    return 100 * abs(asked) / travel if travel > 0 else math.inf


def _moment_finding(case: Case, held: list[Held], up: float, down: float) -> Finding:
    worst = max(held, key=lambda h: _share(h, up, down))
    share = _share(worst, up, down)
    line = case.study.thrust_line
    row = next(r for r in line.rows if (r.motor, r.state) == (worst.motor, worst.state)) if line else None
    nose = "down" if row is not None and row.moment < 0 else "up"
    verdict = judged(share, fail_above=100.0, caution_above=ELEVATOR_WISH)
    own = math.degrees(abs(worst.elevator or 0.0))
    why = (
        f"at {worst.state} {abs(row.moment) if row else 0.0:.2f} N m push the nose {nose}: {own:.1f} deg of elevator "
        f"at entry speed, {math.degrees(abs(worst.worst_elevator or 0.0)):.1f} with 2 deg of building error and 5 mm "
        f"of error in the CG's height, {share:.0f} % of its travel"
    )
    cure = "" if verdict == "pass" else _aim(case, worst)
    return MOMENT.finding(
        verdict,
        worst.motor,
        value=share if math.isfinite(share) else None,
        limit=100.0 if verdict == "fail" else ELEVATOR_WISH,
        why=why,
        cure=cure,
    )


def _aim(case: Case, held: Held) -> str:
    """Say at which angle the line meets the CG, how much of it can be built, and what 10 mm do."""
    line, pod, burn = case.study.thrust_line, case.design.pod, case.study.burn
    if line is None or pod is None or pod.nozzle is None:
        return ""
    row = next(r for r in line.rows if (r.motor, r.state) == (held.motor, held.state))
    aft, above = pod.nozzle.x - row.cg_x, pod.nozzle.z - row.cg_z
    words = [*_balance_first(case, held.motor)]
    if aft > 0:
        words.append(_angle(case, aft, above))
    answer = burn.response.of(held.motor) if burn and burn.response else None
    if answer is not None and abs(answer.lower.arm) < abs(row.arm):
        words.append(
            f"a nozzle 10 mm lower leaves an arm of {said(answer.lower.arm, 'mm', 0)} instead of {1e3 * row.arm:.0f}"
            f"{'' if _clears_lower(case) else ', but at this angle the pod does not clear the back there'}"
        )
    return "; ".join([*words, "a smaller motor asks for less in proportion"])


def _balance_first(case: Case, motor: str) -> Iterator[str]:
    """Say that the balance comes first where the model is not stable: no angle of the line cures that."""
    rows = case.study.balance.rows if case.study.balance else ()
    row = next((r for r in rows if r.name == f"{motor}: ignition"), None)
    if row is not None and row.static_margin is not None and row.static_margin < case.design.limits.least - 1e-9:
        yield "first the balance (static-margin, balance-solved): no angle holds a model that is not stable"


def _angle(case: Case, aft: float, above: float) -> str:
    """Say which downthrust meets the CG from a nozzle so far aft and above it [m], and how much of it can be built."""
    pod, asked, fit = case.design.pod, case.asked.pod, case.solved.fit
    angle = downthrust_through(aft=aft, above=above)
    built = pod.downthrust if pod is not None and isinstance(pod.downthrust, float) else math.nan
    words = f"a downthrust of {said(angle, 'deg', 1)} meets the CG"
    if abs(angle - built) < ALIKE:
        return f"{words} already"
    if fit is not None and angle > fit:
        most = round_down(math.degrees(fit), 1)
        words += f"; {most:.1f} deg is the most that clears the back from this nozzle (pod-fit)"
        lift = _lift(case, aft, above)
        if lift is not None:
            higher = math.degrees(downthrust_through(aft=aft, above=above + lift / 1000))
            words += f", from {lift} mm higher {higher:.1f} deg does both"
    if pod is not None and asked is not None and asked.downthrust == "auto" and angle > pod.downthrust_limit:
        words += f"; {math.degrees(pod.downthrust_limit):g} deg is the most you would build (pod.downthrust_limit)"
    return words


def _lift(case: Case, aft: float, above: float) -> int | None:
    """Find how much higher [mm] the nozzle must stand for the angle that meets the CG to clear the back."""

    def clears(design: Design) -> bool:
        pod, old, shape = design.pod, case.design.pod, pod_shape(design)
        if shape is None or pod is None or pod.nozzle is None or old is None or old.nozzle is None:
            return False
        angle = downthrust_through(aft=aft, above=above + pod.nozzle.z - old.nozzle.z)
        return clears_back(design, shape, angle + ALIKE)

    return moves.least(LIFT_MOST, lambda by: moves.nozzle(case.design, lift=by), clears)


def _clears_lower(case: Case) -> bool:
    """Tell whether the pod, 10 mm lower at its angle, still keeps its air over the back; True where nobody knows."""
    pod, shape = case.design.pod, pod_shape(case.design)
    if pod is None or pod.nozzle is None or shape is None:
        return True
    nozzle = pod.nozzle.model_copy(update={"z": pod.nozzle.z - NEARBY})
    gap = pod_clearance(case.design.model_copy(update={"pod": pod.model_copy(update={"nozzle": nozzle})}), shape)
    return gap is None or gap >= 1e3 * pod.air_gap - 1e-3


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


def _signed(angle: float) -> str:
    """Write an angle [rad] in whole degrees with its sign, none for 0."""
    whole = round(math.degrees(angle))
    return f"{whole:+d}" if whole else "0"


def _pitch_finding(case: Case, answer: MotorResponse) -> Finding:
    own, worst = answer.hands_off, answer.worst[2]
    near = max((swing.pitch_change for swing in (own, *answer.one_off)), key=abs)
    change, likely, off = (math.degrees(a) for a in (own.pitch_change, near, worst.pitch_change))
    built = _built(case, answer.motor)
    if built is not None and built.most > abs(near) and math.degrees(built.most) > PITCH_FAIL:
        likely = math.copysign(math.degrees(built.most), near)  # more than one build in twenty passes the limit
    verdict = judged(abs(likely), fail_above=PITCH_FAIL, caution_above=PITCH_CAUTION)
    if verdict == "pass" and abs(off) > PITCH_CAUTION:
        verdict = "caution"
    one = case.design.build.angle_error
    why = (
        f"hands off the nose has moved {_signed(own.pitch_change)} deg at the end of the burn (least load factor "
        f"{own.least_load:.1f} g), and {_signed(near)} deg when the angle is {math.degrees(one):g} deg off, as glued "
        f"mounts are; built {math.degrees(answer.worst[0]):+.0f} deg off with the CG's height "
        f"{1e3 * answer.worst[1]:+.0f} mm off it moves {_signed(worst.pitch_change)} deg"
    )
    if built is not None:
        why += f"; {said(built.within[1], '%', 0)} of the builds stay within {PITCH_FAIL:g} deg"
    if answer.gyro is not None:
        why += (
            f"; a rate gyro that doubles the pitch damping ({answer.gyro_gain:.3f} rad per rad/s) leaves "
            f"{_signed(answer.gyro.pitch_change)} deg"
        )
    held = (
        case.study.burn.response.at(answer.motor, "ignition") if case.study.burn and case.study.burn.response else None
    )
    cure = (
        ""
        if verdict == "pass" or held is None
        else (
            f"{_aim(case, held)}{_nearby(answer)}; {_jig_pitch(answer)}; a gyro on the elevator; prove the angle with "
            "the smallest motor"
        )
    )
    fails = verdict == "fail"
    limit = PITCH_FAIL if fails else PITCH_CAUTION
    value = likely if fails else off if verdict == "caution" and abs(change) <= PITCH_CAUTION else change
    return PITCH.finding(
        verdict,
        answer.motor,
        value=value,
        limit=limit,
        why=why,
        cure=cure,
    )


def _built(case: Case, motor: str) -> Scatter | None:
    """Give what the builds make of a motor's burn; None where they could not be sampled."""
    return next((row for row in case.study.scattered if row.motor == motor), None)


def _nearby(answer: MotorResponse) -> str:
    """Say what a nozzle 10 mm lower, or further aft, leaves of the pitch change, where it is less than here."""
    ways = (("lower", answer.lower.pitch_change), ("further aft", answer.aft.pitch_change))
    better = [
        f"10 mm {way} it is {_signed(change)} deg"
        for way, change in ways
        if abs(change) < abs(answer.hands_off.pitch_change)
    ]
    return "".join(f"; {words}" for words in better)


def _jig_pitch(answer: MotorResponse) -> str:
    near = [swing.pitch_change for angle, _, swing in answer.errors if abs(angle) < SMALL_ERROR]
    return f"a jig that holds the built angle within 1 deg leaves {_signed(max(near, key=abs))} deg at worst"


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
            f"{math.degrees(case.design.build.angle_error):g} deg off takes it to {one:.1f} g, the worst building "
            f"error to {off:.1f} g"
        )
        if built is not None:
            why += f"; {said(built.load, '%', 0)} of the builds stay above {LOAD_FAIL:g} g"
        held = burn.response.at(answer.motor, "ignition") if burn.response else None
        cure = "" if verdict == "pass" or held is None else f"{_aim(case, held)}; {_jig(answer)}"
        yield LOAD.finding(
            verdict,
            answer.motor,
            value=value,
            limit=limit,
            why=why,
            cure=cure,
        )


def _marginal_load(own: Swing, worst: float) -> tuple[float, float]:
    """Give the load factor that makes a caution, and the limit that it has missed."""
    low, high = LOAD_CAUTION
    if worst < LOAD_FAIL:
        return worst, LOAD_FAIL
    return (own.least_load, low) if own.least_load < low else (own.greatest_load, high)


def _jig(answer: MotorResponse) -> str:
    """Say what building the angle within 1 degree is worth."""
    near = min(swing.least_load for angle, _, swing in answer.errors if abs(angle) < SMALL_ERROR)
    return f"a jig that holds the built angle within 1 deg leaves {near:.1f} g at worst"


def _overshoot(case: Case) -> tuple[float, str]:
    """Give how far the sideslip swings over where it settles, and in words by which damping."""
    row = case.study.lateral.row("modified", "flown speed") if case.study.lateral else None
    mode = row.dutch_roll if row else None
    if mode is None or mode.damping_ratio is None:
        return overshoot(0.0), "its damping is not known, so none is counted"
    return overshoot(mode.damping_ratio), f"Dutch roll damping {mode.damping_ratio:.2f}"


def _one_out(case: Case, burn: Burn) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or pod.count != 2:
        return
    limit = math.degrees(MOST_SIDESLIP)
    for row in burn.boosts:
        out = row.one_out
        if out is None or row.run is None:
            yield ONE_OUT.unknown(
                row.motor,
                why="the yaw with one motor out needs the entry speed and a model that is stable in yaw",
                measure="measure [airframe] with fan, balance and fins",
            )
            continue
        over, damped = _overshoot(case)
        steady = math.degrees(out.sideslip)
        value = over * steady
        verdict = judged(value, fail_above=limit)
        least = math.sqrt(over) * out.least_speed  # the sideslip goes with 1/V^2
        why = (
            f"one motor alone yaws with {out.moment:.2f} N m at its peak: it settles at {steady:.0f} deg of sideslip "
            f"at {said(row.run.entry, 'km/h', 0)} and swings to {value:.0f} on the way ({damped}); below "
            f"{said(least, 'km/h', 0)} it passes 10 deg"
        )
        y = round_down(1e3 * abs(pod.y or 0.0) * limit / value) if value > 0 else math.inf
        inward = f"or pods at y = {y:.0f} mm; " if y >= 1e3 * pod.tube.outer / 2 else ""  # nearer they would touch
        cure = (
            ""
            if verdict == "pass"
            else (
                f"one pod on the centre line; {inward}or larger fins; never light two below "
                f"{round_up(3.6 * least):.0f} km/h"
            )
        )
        yield ONE_OUT.finding(
            verdict,
            row.motor,
            value=value,
            limit=limit,
            why=why,
            cure=cure,
        )


def _field(case: Case, burn: Burn) -> Iterator[Finding]:
    runs = [(row.motor, row.run) for row in burn.judged if row.run is not None]
    if not runs:
        return
    length = case.design.field.length
    longest = max(run.burnout_distance for _, run in runs)
    if length is None:
        why = f"the longest burn alone takes {longest:.0f} m of straight flight; the field's length is not given"
        cure = 'pace the field and give it with its unit, such as field.length = "180 m"'
        yield FIELD.unknown(
            "field",
            why=why,
            measure=cure,
        )
        return
    for name, run in runs:
        yield _field_finding(name, run, length)


def _field_finding(name: str, run: BoostRun, length: float) -> Finding:
    coast = run.end_distance if run.end_distance is not None else float(run.path.distance[-1])
    verdict: Verdict = "fail" if run.burnout_distance > length else "caution" if coast > length else "pass"
    when = leaves_after(run.path, length)
    why = f"{run.burnout_distance:.0f} m in the burn, {coast:.0f} m until it is slow again, straight and level"
    if when is not None:
        why += f"; lit at one end of the field it is past the other after {when:.1f} s"
    cure = (
        ""
        if verdict == "pass"
        else (
            f"a field of {round_up(coast):.0f} m; or light it upwind and pull up into a climb before the edge; or a "
            "smaller motor"
        )
    )
    value = run.burnout_distance if verdict == "fail" else coast
    return FIELD.finding(
        verdict,
        name,
        value=value,
        limit=length,
        why=why,
        cure=cure,
    )
