"""What does a boost cost, and what must hold when it is lit? Does the heavier model take off?"""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.checks.base import Finding, Proposal, Verdict, collected, given, judged, round_up
from foamworks.checks.case import Case
from foamworks.checks.flight.aim import jig
from foamworks.checks.pod.strength import glue_cures
from foamworks.checks.proposals import built, left_out
from foamworks.checks.records import record
from foamworks.parts.pod_bought import PLY
from foamworks.study.flight.response import MotorResponse
from foamworks.study.flight.takeoff import TakeOff
from foamworks.study.pod.hold import PROOF, SPARED
from foamworks.study.strength import PLY_BENDING
from foamworks.units import degrees, grams, mm, said

FACTOR = 2.0  # wanted over what is computed to break (ours)
HIGH = 120.0  # m: many countries let a model fly no higher without a permit (from memory; the law there decides)
LEAST_PUSH = 0.35  # fan's thrust over the weight that leaves grass without fuss (common practice, no source)
THROWN = 9.0  # m/s, of a good throw by hand, level (common practice, no source)
SHARE_OF_FIELD = 0.5  # of the field that the roll may take (ours)

ENTRY_HEIGHT = record("entry-height", high=HIGH)
BATTERY_HELD = record("battery-held")
PROOF_PULL = record("proof-pull", proof=PROOF)
TAILPLANE_STRENGTH = record("tailplane-strength", factor=FACTOR)
TAKE_OFF = record("take-off", least_push=LEAST_PUSH)


def findings(case: Case) -> list[Finding]:
    """Judge what a boost costs and asks for; nothing of what the design does not have."""
    return collected(case, _heights, _battery, _proof, _tailplane, _take_off)


def _heights(case: Case) -> Iterator[Finding]:
    yield from (_height(case, answer) for answer in case.study.burn.response.motors)


def _height(case: Case, answer: MotorResponse) -> Finding:
    built, one, worst = (round(lost) for lost in answer.height_lost)
    entry, angle = answer.entry_height, max(answer.errors, key=lambda row: row[2].height_lost)[0]
    return ENTRY_HEIGHT.judge(
        answer.motor,
        entry,
        caution_above=HIGH,
        why=f"hands off and without a gyro the burn costs {built} m of height as designed, {one} m with the angle "
        f"{degrees(case.design.build.angle_error):g} deg off and {worst} m at the worst building error (the angle "
        f"{degrees(angle):+.0f} deg off); with one second to react and a pull-out at "
        f"{answer.pull_out:.1f} g it is to be lit at {round_up(entry):.0f} m or higher",
        cure=lambda: (
            jig(case),
            *left_out(case.asked, answer.motor),
            Proposal("look up how high the law of your country lets you fly", "fly"),
        ),
    )


def _battery(case: Case) -> Iterator[Finding]:
    slip, least = given(case.study.slip), case.design.limits.least
    others = "".join(f"; {name} pushes with {said(force, 'N', 1)}" for name, force in slip.others)
    push = f"{slip.motor} pushes the battery aft with {said(slip.force, 'N', 1)} at its peak{others}"
    BATTERY_HELD.need(slip.travel, "battery", push=push)
    held = case.design.build.battery_block
    safe = held or slip.margin >= least - 1e-9
    yield BATTERY_HELD.finding(
        "pass" if safe else "caution",
        "battery",
        value=slip.force,
        why=f"{push}; it can slide {said(slip.travel, 'mm', 0)} aft, where the margin is {said(slip.margin, '%', 1)} "
        f"of the mean chord{'; a block holds it' if held else ''}",
        cure=lambda: built(
            f"glue a block behind the battery where it stands, and pull at it with {round_up(2 * slip.force):.0f} N",
            "battery_block",
            True,
        ),
    )


def _proof(case: Case) -> Iterator[Finding]:
    proof = given(case.study.proof)
    verdict: Verdict = "pass" if proof.safe else "fail"
    allowed, cure = SPARED * proof.breaks, partial(_proved, case, proof.weakest)
    yield PROOF_PULL.finding(verdict, "pod", value=proof.pull, limit=allowed, proof=proof, times=PROOF, cure=cure)


def _proved(case: Case, weakest: str) -> Iterator[Proposal]:
    """Propose what makes the weakest glue line as strong as is wanted: a proof asks for less than that."""
    pod = given(given(case.study.strength).pod)
    weak = next(line for line in pod.lines if line.name == weakest)
    yield from glue_cures(case, weak, pod.motor)


def _tailplane(case: Case) -> Iterator[Finding]:
    tail = given(given(case.study.strength).tail)
    side = f"each fin turns the tailplane under it with {said(tail.moment, 'N m', 2)}, both the same way"
    TAILPLANE_STRENGTH.need(tail.stands, "tailplane", side=side)
    doubler = case.design.build.tail_doubler
    under = f" with {said(doubler, 'mm', 1)} of plywood under it" if doubler else ""
    missing = FACTOR * tail.moment - tail.stands + tail.chord * PLY_BENDING * doubler**2 / 6
    ply = round_up(mm(math.sqrt(6 * max(missing, 0.0) / (tail.chord * PLY_BENDING))), 1)
    across = 2 * given(case.study.new_fins).y + tail.chord / 2  # a quarter of the chord beyond each fin
    weighs = said(grams.si(PLY * mm(across) * mm(tail.chord) * ply), "g", 0)
    yield TAILPLANE_STRENGTH.finding(
        judged(tail.stands, fail_below=tail.moment, caution_below=FACTOR * tail.moment),
        "tailplane",
        value=tail.moment,
        limit=tail.stands / FACTOR if tail.stands >= tail.moment else tail.stands,
        why=f"{side}; its foam{under} breaks at about "
        f"{said(tail.stands, 'N m', 2)}, {FACTOR:g} times the load is wanted",
        cure=lambda: built(
            f"glue a doubler of {ply:.1f} mm plywood under the tailplane, in one piece across both fins, weigh it (of "
            f"the whole chord and {said(across, 'mm', 0)} long it weighs {weighs}) and type it as one of [[changes]]",
            "tail_doubler",
            ply,
            "mm",
        ),
    )


def _take_off(case: Case) -> Iterator[Finding]:
    state = given(max(case.study.take_off, key=lambda state: state.mass, default=None))
    field = case.design.field
    speeds = (
        f"{said(state.mass, 'g', 0)} ({state.state}) stalls at {said(state.stall, 'km/h', 0)} and lifts off at "
        f"{said(state.lift_off, 'km/h', 0)}; the fan pushes {state.thrust_to_weight:.2f} times the weight"
    )
    climb = f", and it then climbs at {said(state.climb, 'deg', 0)}" if state.run else ""
    if field.launch == "ground":
        yield _from_the_ground(case, state, speeds + climb)
    elif field.launch == "hand":
        slow = state.stall > THROWN
        yield TAKE_OFF.finding(
            judged(state.thrust_to_weight, caution_below=math.inf if slow else LEAST_PUSH),
            state.state,
            of="hand",
            value=state.thrust_to_weight,
            limit=LEAST_PUSH,
            speeds=speeds + climb,
            throw=THROWN,
            than="less" if slow else "more",
        )
    else:
        released = TAKE_OFF.need(field.bank_speed, state.state, speeds=speeds + climb)
        yield TAKE_OFF.finding(
            judged(released, fail_below=state.stall, caution_below=state.lift_off),
            state.state,
            of="bank",
            value=state.thrust_to_weight,
            speeds=speeds + climb,
            released=released,
            state=state,
        )


def _from_the_ground(case: Case, state: TakeOff, words: str) -> Finding:
    surface, length = case.design.field.surface, case.design.field.length
    run = state.run.get(surface, math.nan)
    rolls = "; it rolls " + " or ".join(_rolled(s, r) for s, r in state.run.items()) if state.run else ""
    verdict = judged(state.thrust_to_weight, caution_below=LEAST_PUSH if surface == "grass" else 0.0)
    if math.isinf(run):
        verdict = "fail"
    elif length is not None and run > SHARE_OF_FIELD * length:
        verdict = "caution"
    return TAKE_OFF.finding(
        verdict,
        state.state,
        of="ground",
        value=state.thrust_to_weight,
        limit=LEAST_PUSH if surface == "grass" else None,
        speeds=f"{words}{rolls}",
    )


def _rolled(surface: str, run: float) -> str:
    return f"without end on {surface}" if math.isinf(run) else f"{run:.0f} m on {surface}"
