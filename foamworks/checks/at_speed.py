"""Is this model still the one that was made for its speed: beyond what was flown, servo, wing in twist?"""

import math
from collections.abc import Iterator

from foamworks.checks.base import Finding, Proposal, collected, given, judged, missed, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.proposals import left_out
from foamworks.checks.records import record
from foamworks.checks.strength import FLUTTER_WANTED, at, give_speed, rate, reserve, withheld
from foamworks.design.airframe import Elevator
from foamworks.design.edit import Edit
from foamworks.design.ladder import named
from foamworks.errors import not_measured
from foamworks.study.at_speed import ServoLoad, travel_held
from foamworks.study.flight.flown import airspeed
from foamworks.study.strength import Fast
from foamworks.units import degrees, said

FASTER = 1.3  # times the fastest flown speed of the stock model: 1.7 times the air's pressure (ours)
SERVO_WANTED = 2.0  # times what it has to hold: moving, a servo gives about half of what its label says (ours)
SERVO_TURN = math.radians(50)  # that a servo turns either way (common practice, no source)
ELEVATOR = "airframe.tailplane.elevator"

BEYOND_FLOWN = record("beyond-flown", faster=FASTER)
SERVO_TORQUE = record("servo-torque", factor=SERVO_WANTED)
DIVERGENCE = record("wing-divergence")


def findings(case: Case) -> list[Finding]:
    """Judge what the speed asks of what was on the model before."""
    return collected(case, _faster, _servo, _divergence)


def unseen(case: Case) -> str:
    """Name what nobody has looked at, whatever is typed in, and what a measurement would still answer."""
    strength = case.study.strength
    left = ["flutter", "hinges"]
    if strength is None or not_measured(strength.divergence):
        left.append("wing twist")
    told = strength and strength.servo and math.isfinite(strength.servo.gives)
    left.append("ailerons" if told else "servos")
    return f"{', '.join(left[:-1])} and {left[-1]}"


def _fast(case: Case) -> Fast:
    fast = given(case.study.strength).fastest
    given(fast.speed)
    return fast


def _faster(case: Case) -> Iterator[Finding]:
    fast = _fast(case)
    given(case.design.motors or None)
    stock = (f for f in case.design.flights if any(r.kind == "stock" for r in named(case.design, f.named)[:1]))
    flown = max((airspeed(flight)[0] for flight in stock), default=0.0)
    if flown <= 0:
        yield BEYOND_FLOWN.unknown("model")
        return
    ratio = fast.speed / flown
    yield BEYOND_FLOWN.judge(
        "model", ratio**2, caution_above=FASTER**2, of="flown", fast=fast, ratio=ratio, flown=flown, unseen=unseen(case)
    )


def _servo(case: Case) -> Iterator[Finding]:
    fast, elevator = _fast(case), given(case.design.airframe.elevator)
    load = given(given(case.study.strength).servo)
    asks = (
        f"{said(load.travel, 'deg', 0)} of up elevator at {at(fast)} turn its hinge back with "
        f"{said(load.hinge, 'N m', 2)}; with the servo's arm {elevator.arm_over_horn:g} times the horn the servo is to "
        f"hold {_torque(load.torque)}"
    )
    gives = SERVO_TORQUE.need(load.gives, "elevator", asks=asks)
    verdict = withheld(judged(gives, fail_below=load.torque, caution_below=SERVO_WANTED * load.torque), fast)
    yield SERVO_TORQUE.finding(
        verdict,
        "elevator",
        value=load.torque,
        limit=missed(verdict, gives, gives / SERVO_WANTED),
        why=f"{asks}; it gives {_torque(gives)}, {gives / load.torque:.1f} times that, {SERVO_WANTED:g} times are "
        "wanted: with less the elevator blows back and the pull-out is not there",
        cure=lambda: _servo_cures(case, elevator, load, fast),
    )


def _torque(torque: float) -> str:
    return f"{said(torque, 'N m', 2)} ({said(torque, 'kg cm', 1)})"


def _servo_cures(case: Case, elevator: Elevator, load: ServoLoad, fast: Fast) -> Iterator[Proposal]:
    """A smaller rate, a shorter arm where the servo still turns far enough, a stronger servo, a slower boost."""
    gives = load.gives
    if gives >= SERVO_WANTED * load.torque:
        yield Proposal(give_speed(case), "measure")
        return
    yield from rate(round_down(degrees(travel_held(load, SERVO_WANTED)), 1), fast)
    arm = round_down(elevator.arm_over_horn * gives / (SERVO_WANTED * load.torque), 2)
    if arm > 0 and elevator.up / arm <= SERVO_TURN:
        yield Proposal(
            "hang the linkage further in on the servo's arm, or further out on the horn",
            "bench",
            (Edit(f"{ELEVATOR}.arm_over_horn", arm),),
        )
    wanted = round_up(SERVO_WANTED * load.torque, 2)
    yield Proposal(
        f"fit a servo of {_torque(wanted)}; a mass balance on the elevator does not help here",
        "bench",
        (Edit(f"{ELEVATOR}.servo_torque", wanted, "N m"),),
    )
    yield from left_out(case.asked, fast.motor)


def _divergence(case: Case) -> Iterator[Finding]:
    fast, wing = _fast(case), given(case.design.airframe.wing)
    given(wing.torsion_stiffness)
    speed = DIVERGENCE.need(given(case.study.strength).divergence, "wing")
    swept = (
        ""
        if math.isfinite(wing.bending_stiffness)
        else "; what its sweep does for it is not counted without bending_stiffness"
    )
    if math.isinf(speed):
        yield DIVERGENCE.passes("wing", why="twisting and bending as it does, the air turns it back: it never does")
        return
    yield reserve(
        DIVERGENCE,
        "wing",
        speed,
        fast,
        why=f"by its stiffness in twist the wing would twist itself off at {said(speed, 'km/h', 0)}",
        more=f"{swept}. Flutter, which may come before it, is not judged",
        cure=lambda: _stiffer(case, speed, fast),
    )


def _stiffer(case: Case, speed: float, fast: Fast) -> Iterator[Proposal]:
    """The speed goes with the root of the stiffness."""
    short = FLUTTER_WANTED * fast.speed / speed
    if short <= 1:
        yield Proposal(give_speed(case), "measure")
        return
    times = round_up(short**2, 1)
    yield Proposal(
        f"make the wing {times:.1f} x as stiff in twist (glass cloth on the slant, a carbon tube with its ends glued), "
        "measure it again, and type torsion_stiffness under [airframe.wing]"
    )
    yield from left_out(case.asked, fast.motor)
