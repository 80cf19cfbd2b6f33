"""Trim: one moment equation seen from several sides, each of which must agree with the others."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics import trim
from routes import tailplane

JET = {"neutral_point": 0.36, "chord": 0.17, "power": -1.1}


@given(lift=st.floats(0.05, 1.2), cg=st.floats(0.2, 0.5), elevator=st.floats(-0.4, 0.4))
def test_the_elevator_flown_comes_back_from_the_moment_it_betrays(lift: float, cg: float, elevator: float) -> None:
    moment = trim.zero_lift_moment(lift=lift, cg=cg, elevator=elevator, **JET)
    assert trim.elevator_to_trim(zero_lift=moment, lift=lift, cg=cg, **JET) == pytest.approx(elevator, abs=1e-12)


@given(lift=st.floats(0.3, 1.0), zero_lift=st.floats(-0.05, 0.05), up=st.floats(0.05, 0.5))
def test_at_the_forward_limit_two_thirds_of_up_elevator_hold_the_approach(
    lift: float, zero_lift: float, up: float
) -> None:
    limit = trim.forward_limit(lift=lift, zero_lift=zero_lift, up=up, **JET)
    elevator = trim.elevator_to_trim(zero_lift=zero_lift, lift=lift, cg=limit, **JET)
    assert elevator == pytest.approx(-2 / 3 * up, abs=1e-12)


def test_more_up_elevator_moves_the_forward_limit_forward() -> None:
    near, far = (trim.forward_limit(lift=0.6, zero_lift=0.0, up=up, **JET) for up in (0.2, 0.3))
    assert far < near < JET["neutral_point"]


def test_a_cg_further_forward_wants_more_up_elevator() -> None:
    aft, ahead = (trim.elevator_to_trim(zero_lift=0.01, lift=0.6, cg=cg, **JET) for cg in (0.34, 0.32))
    assert ahead < aft


def test_at_the_neutral_point_the_elevator_does_not_depend_on_lift() -> None:
    slow, fast = (trim.elevator_to_trim(zero_lift=0.02, lift=lift, cg=0.36, **JET) for lift in (0.9, 0.1))
    assert slow == pytest.approx(fast, abs=1e-15)


def test_power_about_the_neutral_point_gives_the_textbook_s_elevator() -> None:
    derivatives = {"lift_slope": 4.44, "moment_slope": -0.683, "lift_elevator": 0.355, "moment_elevator": -0.923}
    power = tailplane.elevator_power_about_neutral_point(**derivatives)
    ours = trim.elevator_to_trim(
        zero_lift=0.05, lift=0.41, cg=0.0, neutral_point=0.683 / 4.44, chord=1.0, power=power
    )  # the static margin is -Cm_a/CL_a
    book = tailplane.elevator_from_derivatives(zero_lift=0.05, lift=0.41, **derivatives)
    assert ours == pytest.approx(book, rel=1e-12)


def test_power_about_the_neutral_point_is_the_same_from_any_reference_point() -> None:
    # Moving the reference aft by d chords adds d x lift to every moment derivative.
    lift = {"lift_slope": 4.4, "lift_elevator": 0.4}
    here, there = (
        tailplane.elevator_power_about_neutral_point(
            moment_elevator=-1.0 + d * 0.4, moment_slope=-0.5 + d * 4.4, **lift
        )
        for d in (0.0, 0.3)
    )
    assert here == pytest.approx(there, rel=1e-12)


def test_a_nose_down_moment_wants_up_elevator_and_less_the_faster_it_flies() -> None:
    air = {"density": 1.2, "area": 0.14, "chord": 0.17, "power": -1.1}
    slow = trim.elevator_for_moment(moment=-0.5, speed=20.0, **air)
    fast = trim.elevator_for_moment(moment=-0.5, speed=40.0, **air)
    assert slow < 0
    assert fast == pytest.approx(slow / 4, rel=1e-12)
    assert -0.5 + 0.5 * 1.2 * 20.0**2 * 0.14 * 0.17 * -1.1 * slow == pytest.approx(0.0, abs=1e-12)


def test_the_manoeuvre_point_lies_aft_and_needs_no_elevator_in_a_pull() -> None:
    # In a pull-up of 1 g more: rate g/V, lift 2 m g/(rho V^2 S) more. With the CG on the manoeuvre point the moment
    # of that lift about it and the damping cancel.
    mass, density, area, chord, damping, speed = 0.9, 1.2, 0.14, 0.17, -9.0, 30.0
    point = trim.manoeuvre_point(
        neutral_point=0.36, chord=chord, pitch_damping=damping, density=density, area=area, mass=mass
    )
    more_lift = 2 * mass * 9.80665 / (density * speed**2 * area)
    rate = 9.80665 / speed * chord / (2 * speed)
    assert point > 0.36
    assert (point - 0.36) / chord * more_lift + damping * rate == pytest.approx(0.0, abs=1e-15)


def test_landing_is_thirty_percent_above_stall_and_holds_the_approach_lift() -> None:
    air = {"mass": 0.9, "density": 1.2, "area": 0.14}
    stall = trim.speed_at_lift(lift=1.05, **air)
    landing = trim.landing_speed(max_lift=1.05, **air)
    assert landing == pytest.approx(1.3 * stall, rel=1e-12)
    assert trim.lift_coefficient(speed=landing, **air) == pytest.approx(trim.approach_lift(max_lift=1.05), rel=1e-12)
    assert trim.approach_lift(max_lift=1.69) == pytest.approx(1.0, rel=1e-12)


def test_lift_at_the_stall_speed_carries_the_weight() -> None:
    stall = trim.speed_at_lift(mass=0.9, density=1.2, area=0.14, lift=1.05)
    assert 0.5 * 1.2 * stall**2 * 0.14 * 1.05 == pytest.approx(0.9 * 9.80665, rel=1e-12)


def test_a_tolerance_study_s_samples_give_what_single_numbers_give() -> None:
    rng = np.random.default_rng(1)
    mass, lift, point = rng.normal(0.9, 0.01, 10_000), rng.normal(0.6, 0.05, 10_000), rng.normal(0.36, 0.002, 10_000)
    fixed = {name: np.asarray(value) for name, value in {"density": 1.2, "area": 0.14}.items()}
    speeds = trim.speed_at_lift(mass=mass, lift=lift, **fixed)
    limits = trim.forward_limit(
        neutral_point=point, lift=lift, chord=np.asarray(0.17), zero_lift=np.asarray(0.01), power=np.asarray(-1.1),
        up=np.asarray(0.3),
    )  # fmt: skip
    assert speeds.shape == limits.shape == (10_000,)
    one = trim.speed_at_lift(mass=float(mass[7]), lift=float(lift[7]), density=1.2, area=0.14)
    assert speeds[7] == pytest.approx(one, rel=1e-14)


@pytest.mark.parametrize("power", [0.0, 0.5, math.nan])
def test_an_elevator_of_the_wrong_sign_is_refused(power: float) -> None:
    with pytest.raises(PhysicsError, match="power = "):
        trim.elevator_to_trim(zero_lift=0.0, lift=0.5, cg=0.3, neutral_point=0.36, chord=0.17, power=power)


def test_one_bad_sample_is_refused_by_name() -> None:
    with pytest.raises(PhysicsError, match=r"mass = -0\.1"):
        trim.speed_at_lift(
            mass=np.array([0.9, -0.1]), lift=np.asarray(1.0), density=np.asarray(1.2), area=np.asarray(1.0)
        )


def test_an_elevator_without_effect_is_refused() -> None:
    with pytest.raises(PhysicsError, match="no moment about the neutral point"):
        tailplane.elevator_from_derivatives(
            zero_lift=0.0, lift=0.4, lift_slope=4.0, moment_slope=-0.5, lift_elevator=0.0, moment_elevator=0.0
        )
