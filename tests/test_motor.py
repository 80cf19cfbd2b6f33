"""Thrust curves against closed forms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics.flight import motor
from routes import motors

TRIANGLE = {"time": np.array([0.0, 1.0, 3.0]), "thrust": np.array([0.0, 20.0, 0.0])}


def test_a_triangle_has_half_its_box():
    assert motor.total_impulse(**TRIANGLE) == pytest.approx(30.0)


def test_the_burn_of_a_triangle_lies_between_its_five_percent_points():
    assert motor.burn_window(**TRIANGLE) == pytest.approx((0.05, 2.9))


def test_a_curve_that_starts_and_ends_high_burns_from_end_to_end():
    assert motor.burn_window(time=[0.2, 1.0], thrust=[10.0, 10.0]) == (0.2, 1.0)


def test_a_pause_in_the_middle_belongs_to_the_burn():
    # "until it falls below 5 %": the last fall counts, else a stutter would end the burn
    assert motor.burn_time(time=[0, 1, 2, 3, 4], thrust=[10.0, 10.0, 0.0, 10.0, 10.0]) == pytest.approx(4.0)


@pytest.mark.parametrize("at", [0.0, 0.3, 1.0, 1.7, 3.0, 9.0])
def test_impulse_used_is_the_integral_of_the_straight_lines(at):
    t = min(at, 3.0)
    exact = 10 * t**2 if t <= 1 else 10 + 20 * (t - 1) - 5 * (t - 1) ** 2
    assert float(motor.impulse_used(**TRIANGLE, at=at)) == pytest.approx(exact)


def test_propellant_leaves_with_the_impulse():
    left = motor.propellant_left(**TRIANGLE, propellant=0.03, at=[0.0, 1.0, 3.0])
    assert left == pytest.approx([0.03, 0.02, 0.0])


@given(st.floats(0.051, 0.999), st.floats(0.05, 20.0), st.floats(0.5, 500.0))
def test_the_plain_shape_has_exactly_impulse_burn_and_peak(fullness, burn, peak):
    impulse = fullness * burn * peak
    time, thrust = motor.plain_curve(impulse=impulse, burn=burn, peak=peak)
    assert motor.total_impulse(time=time, thrust=thrust) == pytest.approx(impulse, rel=1e-9)
    assert motor.burn_time(time=time, thrust=thrust) == pytest.approx(burn, rel=1e-9)
    assert thrust.max() == pytest.approx(peak, rel=1e-12)


def test_the_plain_shape_changes_little_where_its_kinds_meet():
    # full, ordinary and spiky shapes are three formulas: no jump between them
    for fullness in (0.955, 0.1707):
        low, high = (
            motor.impulse_used(time=t, thrust=f, at=[0.2, 0.5, 0.9])
            for t, f in (motor.plain_curve(impulse=fullness * k, burn=1.0, peak=1.0) for k in (0.999, 1.001))
        )
        assert low == pytest.approx(high, rel=0.02)


@pytest.mark.parametrize(("impulse", "burn", "peak"), [(68, 2.2, 29), (17, 1.7, 500), (10, 1, 10)])
def test_a_motor_that_cannot_be_is_refused(impulse, burn, peak):
    with pytest.raises(PhysicsError, match=r"impulse = .* does not fit a peak of .* and a burn of"):
        motor.plain_curve(impulse=impulse, burn=burn, peak=peak)


def test_more_thrust_at_the_same_impulse_burns_shorter():
    time, thrust = motors.scaled_curve(**TRIANGLE, thrust_factor=1.2)
    assert motor.total_impulse(time=time, thrust=thrust) == pytest.approx(30.0)
    assert time[-1] == pytest.approx(3 / 1.2)
    assert thrust.max() == pytest.approx(24.0)


def test_more_impulse_at_the_same_thrust_burns_longer():
    time, thrust = motors.scaled_curve(**TRIANGLE, impulse_factor=1.1)
    assert motor.total_impulse(time=time, thrust=thrust) == pytest.approx(33.0)
    assert thrust.max() == pytest.approx(20.0)


def test_steps_end_on_samples_and_keep_the_straight_lines():
    steps = motor.burn_steps(**TRIANGLE, longest=0.3)
    assert {0.0, 1.0, 3.0} <= set(np.round(steps.time, 12))
    assert np.diff(steps.time).max() <= 0.3 + 1e-12
    middle = (steps.time[1:] + steps.time[:-1]) / 2
    assert steps.thrust[:, 1] == pytest.approx(np.interp(middle, TRIANGLE["time"], TRIANGLE["thrust"]))


def test_steps_over_a_long_noisy_curve_lose_no_impulse():
    time = np.linspace(0, 2, 1500)
    thrust = 20 + 5 * np.sin(40 * time) + np.random.default_rng(1).uniform(0, 5, time.size)
    steps = motor.burn_steps(time=time, thrust=thrust, longest=0.05)
    simpson = np.diff(steps.time) * (steps.thrust @ [1, 4, 1]) / 6
    assert len(steps.time) == 41
    assert simpson.sum() == pytest.approx(motor.total_impulse(time=time, thrust=thrust), rel=1e-12)


@pytest.mark.parametrize(
    ("time", "thrust", "match"),
    [
        ([0.0], [1.0], "at least two"),
        ([0.0, 1.0], [1.0], "as many times"),
        ([0.0, 0.0], [1.0, 1.0], "time must rise"),
        ([0.0, 1.0], [1.0, -1.0], "0 or more"),
        ([0.0, 1.0], [0.0, 0.0], "more than 0 N"),
        ([0.0, np.nan], [1.0, 1.0], "finite"),
    ],
)
def test_what_cannot_be_a_curve_is_refused(time, thrust, match):
    with pytest.raises(PhysicsError, match=match):
        motor.total_impulse(time=time, thrust=thrust)


@pytest.mark.parametrize("text", ["", "6-3", "C", "P6-3", "C0-3", "C6-", "C6-3-4"])
def test_what_is_no_designation_is_refused(text):
    with pytest.raises(PhysicsError, match="must read like C6-3"):
        motors.read_designation(text)


@pytest.mark.parametrize("impulse", [0.0, -1.0, float("nan"), 41000.0])
def test_an_impulse_without_a_class_is_refused(impulse):
    with pytest.raises(PhysicsError, match="impulse = "):
        motor.impulse_class(impulse=impulse)
