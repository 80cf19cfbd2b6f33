"""The gyro's gain by speed, and one of two motors out: the trade's rules and their limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.design.additions import CleanGain, Gyro
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.study.flight.gyro import gain_at, study_gyro
from foamworks.study.pod.twins import least_speed, one_out_moment, one_out_sideslip, overshoot

CLEAN = Design.model_construct(gyro=Gyro.model_construct(clean=CleanGain.model_construct(gain=60.0, speed=70 / 3.6)))
WHERE = {"density": 1.2, "area": 0.15, "span": 0.9, "yaw_stiffness": 0.08}


@pytest.mark.parametrize(("speed", "gain"), [(70, 60), (140, 15), (210, 60 / 9), (40, 100), (54, 100)])
def test_the_gain_falls_with_the_square_of_the_speed_and_ends_with_the_slider(speed: float, gain: float) -> None:
    """60 % at 70 km/h is 15 % at 140: the trade's own example."""
    assert gain_at(speed=speed, clean_speed=70, clean_gain=60) == pytest.approx(gain)


@given(st.floats(1, 500), st.floats(1, 500), st.floats(0.1, 300))
def test_the_gain_is_never_above_the_slider_nor_below_nothing(speed: float, clean: float, gain: float) -> None:
    assert 0 < gain_at(speed=speed, clean_speed=clean, clean_gain=gain) <= 100


def test_the_table_goes_from_40_to_300_in_tens() -> None:
    found = study_gyro(CLEAN, level=30.0, peaks={})
    assert found is not None
    assert [round(3.6 * row.speed) for row in found.rows] == list(range(40, 301, 10))
    gains = [row.gain for row in found.rows]
    assert gains == sorted(gains, reverse=True)


def test_speeds_that_only_a_motor_reaches_are_marked() -> None:
    found = study_gyro(CLEAN, level=118 / 3.6, peaks={"D": 150 / 3.6, "F": 212 / 3.6})
    assert found is not None
    assert [round(3.6 * row.speed) for row in found.rows if row.boosted] == list(range(120, 211, 10))
    assert [mark.motor for mark in found.marks] == ["D", "F"]
    assert found.marks[0].gain == pytest.approx(60 * (70 / 150) ** 2)
    assert found.level == pytest.approx(60 * (70 / 118) ** 2)


def test_without_a_clean_observation_there_is_no_table() -> None:
    assert study_gyro(Design.model_construct(gyro=None), level=30.0, peaks={}) is None


def test_a_speed_of_nothing_is_refused() -> None:
    with pytest.raises(PhysicsError, match="speed"):
        gain_at(speed=0, clean_speed=70, clean_gain=60)


def test_one_motor_out_yaws_with_its_thrust_times_its_offset() -> None:
    assert one_out_moment(thrust=30, offset=-0.04) == pytest.approx(1.2)


def test_sideslip_is_the_moment_over_what_the_fins_hold_against() -> None:
    """M/(q S b Cnb) with q = 540 Pa: 1.2/(540 x 0.15 x 0.9 x 0.08) = 0.2058 rad."""
    assert one_out_sideslip(moment=1.2, speed=30, **WHERE) == pytest.approx(1.2 / (540 * 0.15 * 0.9 * 0.08))


def test_at_the_least_speed_it_is_ten_degrees() -> None:
    speed = least_speed(moment=1.2, **WHERE)
    assert math.degrees(one_out_sideslip(moment=1.2, speed=speed, **WHERE)) == pytest.approx(10)


def test_a_model_that_does_not_turn_into_the_wind_is_refused() -> None:
    with pytest.raises(PhysicsError, match="yaw stiffness"):
        one_out_sideslip(moment=1.2, speed=30, **(WHERE | {"yaw_stiffness": -0.01}))


@pytest.mark.parametrize("damping", [0.0, 0.1, 0.17, 0.5, 0.9])
def test_a_step_swings_as_far_over_as_the_motion_itself_marched(damping: float) -> None:
    # x'' + 2 z x' + x = 1 from rest, marched in small steps
    x = v = most = 0.0
    for _ in range(20_000):
        v += 1e-3 * (1 - x - 2 * damping * v)
        x += 1e-3 * v
        most = max(most, x)
    assert overshoot(damping) == pytest.approx(most, abs=2e-3)


def test_a_motion_damped_out_swings_no_further() -> None:
    assert overshoot(1.0) == overshoot(3.0) == 1.0
