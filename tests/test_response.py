"""The answer in pitch of whole designs: statics and signs of the thrust line, elevator, gyro, building errors."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.aircraft.thrust_line import PoweredRow, powered_states
from foamworks.checks.case import Case
from foamworks.design.ladder import State
from foamworks.study.flight.burn_case import downwash_lag
from foamworks.study.flight.response import Held, MotorResponse, Response, fan_moment, moments_with_errors

RHO = 1.2250  # kg/m3 at sea level and 15 C, as the International Standard Atmosphere prints it
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
POD = (
    "tube = {{ inner = 25, outer = 26.5, length = 120 }}\nnozzle = {{ x = 690, z = {z} }}\ndownthrust = {tilt}\n"
    'nose = {{ profile = "cone", length = 50 }}\nretainer = "cap"'
)
Check = Callable[..., Case]


def pod(*, z: float = 95, tilt: float = 6) -> dict[str, str]:
    return {"pod": POD.format(z=z, tilt=tilt)}


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    return lambda tables=None: kept.check(small_file({"airframe.fan": FAN} | (tables or {})))


def response_of(case: Case) -> Response:
    burn = case.study.burn
    assert burn is not None
    assert burn.response is not None
    return burn.response


def motor_of(case: Case) -> MotorResponse:
    found = response_of(case).of("D")
    assert found is not None
    return found


def at(case: Case, state: str) -> tuple[Held, PoweredRow]:
    held = response_of(case).at("D", state)
    assert held is not None
    assert case.study.thrust_line is not None
    return held, next(row for row in case.study.thrust_line.rows if row.state == state)


def through_the_cg(check: Check) -> Case:
    """Aim the line at the CG of ignition: a few rounds, as the motor's place moves with its tilt."""
    tilt = 10.0
    for _ in range(6):
        case = check(pod(tilt=tilt))
        _, row = at(case, "ignition")
        tilt = math.degrees(math.atan2(0.095 - row.cg_z, 0.690 - row.cg_x))
    return check(pod(tilt=tilt))


@pytest.mark.parametrize("state", ["ignition", "peak thrust", "burnout"])
def test_the_elevator_cancels_the_boosters_moment_at_entry_speed(check: Check, state: str) -> None:
    case = check()
    held, row = at(case, state)
    assert case.study.aero is not None
    assert case.study.burn is not None
    run = case.study.burn.boosts[0].run
    assert run is not None
    power = case.study.aero.modified.elevator_power
    assert power is not None
    own = RHO / 2 * run.entry**2 * 0.18 * 0.2 * power * held.elevator
    assert own == pytest.approx(-row.moment, rel=1e-4)


def test_a_line_above_asks_for_up_elevator_and_drops_the_nose(check: Check) -> None:
    held, row = at(check(), "ignition")
    assert row.arm > 0
    assert row.moment < 0
    assert held.elevator < 0
    assert motor_of(check()).hands_off.pitch_change < 0


def test_a_line_below_lifts_the_nose(check: Check) -> None:
    case = check(pod(tilt=25))
    held, row = at(case, "ignition")
    assert row.arm < 0
    assert held.elevator > 0
    assert motor_of(case).hands_off.pitch_change > 0


def test_a_line_through_the_centre_of_gravity_gives_no_moment_and_hardly_any_pitch(check: Check) -> None:
    case = through_the_cg(check)
    held, row = at(case, "ignition")
    assert row.moment == pytest.approx(0, abs=1e-4)
    assert held.elevator == pytest.approx(0, abs=1e-5)
    off = abs(motor_of(check(pod(tilt=0))).hands_off.pitch_change)
    # what is left: more speed at the same trim, and the downward part of the thrust
    assert abs(motor_of(case).hands_off.pitch_change) < off / 8


def test_the_pitch_change_grows_with_the_arm(check: Check) -> None:
    changes = [motor_of(check(pod(tilt=tilt))).hands_off.pitch_change for tilt in (0, 3, 6, 9)]
    assert changes == sorted(changes)
    assert np.diff(changes) == pytest.approx(np.diff(changes).mean(), rel=0.15)  # nearly straight in the angle


def test_the_gyro_leaves_less_of_it_and_its_gain_doubles_the_damping(check: Check) -> None:
    case = check()
    found = motor_of(case)
    assert found.gyro is not None
    assert found.gyro_gain is not None
    assert abs(found.gyro.pitch_change) < 0.9 * abs(found.hands_off.pitch_change)
    assert case.study.aero is not None
    assert case.study.balance is not None
    state = case.study.balance.row(State("ignition", "D"))
    plane = case.study.aero.modified
    assert case.study.burn is not None
    run = case.study.burn.boosts[0].run
    assert run is not None
    gyro = plane.elevator_moment(state.cg_x) * found.gyro_gain
    assert gyro == pytest.approx(plane.pitch_damping(state.cg_x) * 0.2 / (2 * run.entry), rel=1e-9)


def test_load_factors_start_from_level_flight(check: Check) -> None:
    own = motor_of(check()).hands_off
    assert own.least_load <= 1 <= own.greatest_load


def test_fifteen_building_errors_stand_round_the_design(check: Check) -> None:
    found = motor_of(check())
    assert len(found.errors) == 15
    angles = sorted({round(math.degrees(angle), 6) for angle, *_ in found.errors})
    heights = sorted({height for _, height, _ in found.errors})
    assert angles == [-2, -1, 0, 1, 2]
    assert heights == [-0.005, 0, 0.005]
    assert found.errors[7][2] == found.hands_off


def test_less_downthrust_and_a_lower_centre_of_gravity_are_the_worst_for_a_line_above(check: Check) -> None:
    angle, height, swing = motor_of(check()).worst
    assert math.degrees(angle) == pytest.approx(-2)
    assert height == pytest.approx(0.005)
    assert swing.pitch_change < motor_of(check()).hands_off.pitch_change


def test_moments_with_errors_are_thrust_times_the_errors_arm(check: Check) -> None:
    """Two degrees at the nozzle's distance from the CG, and 5 mm times the cosine of the tilt."""
    case = check()
    assert case.study.balance is not None
    powered = next(p for p in powered_states(case.design, case.study.balance.rows) if p.state == "peak thrust")
    moments = moments_with_errors(case.design, powered)
    _, row = at(case, "peak thrust")
    assert moments[7] == pytest.approx(row.moment)
    assert moments[8] - moments[6] == pytest.approx(-29 * 0.010 * math.cos(math.radians(6)), rel=1e-9)
    far = math.hypot(0.690 - row.cg_x, 0.095 - row.cg_z)
    assert moments[13] - moments[7] == pytest.approx(29 * far * math.sin(math.radians(2)), rel=0.02)


def test_ten_millimetres_lower_take_ten_millimetres_of_arm_less_what_the_centre_follows(check: Check) -> None:
    case = check()
    _, row = at(case, "ignition")
    lower = motor_of(case).lower
    taken = row.arm - lower.arm
    assert 0.008 < taken < 0.010 * math.cos(math.radians(6))
    assert lower.moment == pytest.approx(-10 * lower.arm)
    assert abs(lower.pitch_change) < abs(motor_of(case).hands_off.pitch_change)


def test_ten_millimetres_further_aft_cost_static_margin(check: Check) -> None:
    case = check()
    assert case.study.balance is not None
    margin = case.study.balance.row(State("ignition", "D")).static_margin
    assert margin is not None
    found = motor_of(case)
    assert found.lower.static_margin == margin
    assert 0 < margin - found.aft.static_margin < 0.010 / 0.2


@pytest.mark.parametrize(("z", "sign"), [(-30, 1), (60, -1)])
def test_the_fans_own_line_pitches_by_where_it_lies(check: Check, z: float, sign: int) -> None:
    held, _ = at(check({"airframe.fan": f"{FAN}\nz = {z}"}), "ignition")
    assert math.copysign(1, held.fan_moment) == sign


def test_a_fan_whose_height_is_not_given_has_no_moment(check: Check) -> None:
    held, _ = at(check(), "ignition")
    assert math.isnan(held.fan_moment)


def test_the_fans_moment_at_rest_is_its_thrust_times_its_arm(check: Check) -> None:
    case = check({"airframe.fan": f"{FAN}\nz = -30\nx = 600\ntilt = 4"})
    assert case.study.burn is not None
    assert case.study.burn.power is not None
    found = fan_moment(case.design, case.study.burn.power.drive, cg=(0.320, 0.010), speed=0.0)
    angle = math.radians(4)
    assert found == pytest.approx(9 * (0.280 * math.sin(angle) + 0.040 * math.cos(angle)), rel=1e-6)


def test_the_tails_late_downwash_damps(check: Check) -> None:
    """Cm with the rate of incidence is the tail's Cmq times the downwash slope, which lies between 0 and 1."""
    case = check()
    assert case.study.aero is not None
    plane = case.study.aero.modified
    lag = downwash_lag(plane, 0.320)
    tail = plane.solution.about(0.320, 0.010).share("tailplane").pitch_damping
    assert tail < lag < 0


def test_without_an_elevator_only_hands_off_is_known(check: Check) -> None:
    tail = "stations = [{x=720, y=0, z=30, chord=90}, {x=720, y=180, z=30, chord=90}]"
    case = check({"airframe.tailplane": tail})
    held, _ = at(case, "ignition")
    assert math.isnan(held.elevator)
    found = motor_of(case)
    assert found.gyro is None
    assert found.hands_off.pitch_change < 0


def test_without_the_height_of_the_balance_nothing_is_said(check: Check) -> None:
    found = response_of(check({"airframe": "mass = 700\ncg = { x = 305 }"}))
    assert found.motors == ()
    assert all(math.isnan(held.elevator) for held in found.held)


def test_strength_is_judged_at_the_speed_that_the_nose_going_down_makes(check: Check) -> None:
    """A line above drops the nose: faster than level, by no more than the height lost gives (v2 = u2 + 2 g h)."""
    case = check(pod(tilt=4))
    answer, burn = motor_of(case), case.study.burn
    level = burn.judged[0].run
    assert level is not None
    lost = max(answer.height_lost[:2])
    assert lost > 3
    assert level.peak + 0.5 < answer.fastest < math.sqrt(level.peak**2 + 2 * 9.80665 * lost)
    assert case.study.strength is not None
    assert case.study.strength.fastest is not None
    assert case.study.strength.fastest.speed == answer.fastest
