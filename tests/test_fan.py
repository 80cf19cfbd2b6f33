"""Thrust of a ducted fan at speed against its own equations, solved another way, and its limits."""

import math

import numpy as np
import pytest

from foamworks.errors import PhysicsError
from foamworks.physics.flight import fan
from routes import open_rotor

FAN = {"static_thrust": 12.0, "exit_area": 0.0027, "density": 1.225}
STILL = fan.exit_speed(**FAN)


def test_the_annulus_is_the_disk_less_the_hub():
    assert fan.annulus_area(diameter=0.064, hub=0.026) == pytest.approx(math.pi * (0.032**2 - 0.013**2))


def test_static_thrust_is_momentum_flow():
    flow = 1.225 * 0.0027 * STILL
    assert flow * STILL == pytest.approx(12.0)


def test_jet_power_is_half_mass_flow_times_speed_squared():
    assert open_rotor.jet_power(**FAN) == pytest.approx(1.225 * 0.0027 * STILL**3 / 2)


@pytest.mark.parametrize("speed", [0.0, 5.0, 20.0, 40.0, 60.0, 100.0, 240.0])
def test_constant_power_solves_its_cubic(speed):
    # the polynomial's roots by eigenvalues, the largest of them, in place of Newton's method
    roots = np.roots([1.0, 0.0, -(speed**2), -(STILL**3)])
    jet = roots[np.abs(roots.imag) < 1e-6].real.max()
    expected = 1.225 * 0.0027 * jet * (jet - speed)
    assert float(fan.thrust_constant_power(speed=speed, **FAN)) == pytest.approx(expected, rel=1e-9)


def test_at_constant_power_the_jet_carries_away_the_same_power_at_every_speed():
    speed = np.linspace(0, 200, 50)
    thrust = fan.thrust_constant_power(speed=speed, **FAN)
    flow_speed = (speed + np.sqrt(speed**2 + 4 * thrust / (1.225 * 0.0027))) / 2  # from T = rho A Ve (Ve - V)
    power = 1.225 * 0.0027 * flow_speed * (flow_speed**2 - speed**2) / 2
    assert power == pytest.approx(np.full(50, open_rotor.jet_power(**FAN)))


def test_far_beyond_the_exit_speed_thrust_is_power_over_speed():
    assert float(fan.thrust_constant_power(speed=3000.0, **FAN)) == pytest.approx(
        open_rotor.jet_power(**FAN) / 3000, rel=1e-4
    )


def test_constant_efflux_ends_at_the_exit_speed():
    thrust = fan.thrust_constant_efflux(speed=[0.0, STILL / 2, STILL, 2 * STILL], **FAN)
    assert thrust == pytest.approx([12.0, 6.0, 0.0, 0.0])


def test_constant_power_is_the_upper_bound():
    speed = np.linspace(0.5, 150, 40)
    upper = fan.thrust_at_speed(speed=speed, model="constant power", **FAN)
    lower = fan.thrust_at_speed(speed=speed, model="constant efflux", **FAN)
    assert (upper > lower).all()


def test_the_open_disk_thrust_satisfies_the_power_equation():
    speed = np.linspace(0, 80, 20)
    thrust = open_rotor.open_disk_thrust(speed=speed, power=300.0, area=0.004, density=1.2)
    power = thrust * (speed / 2 + np.sqrt(speed**2 / 4 + thrust / (2 * 1.2 * 0.004)))
    assert power == pytest.approx(np.full(20, 300.0))


def test_straight_lines_between_table_rows_are_close_enough():
    speeds, thrusts = fan.thrust_table(**FAN)
    between = np.linspace(0.1, 120.1, 333)
    exact = fan.thrust_constant_power(speed=between, **FAN)
    assert np.interp(between, speeds, thrusts) == pytest.approx(exact, rel=1e-5)


def test_a_fan_that_is_off_gives_nothing():
    assert fan.thrust_at_speed(speed=[0, 50], static_thrust=0.0, exit_area=0.003, density=1.2) == pytest.approx([0, 0])


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: fan.annulus_area(diameter=0.06, hub=0.06), "hub"),
        (lambda: fan.exit_speed(static_thrust=-1, exit_area=0.003, density=1.2), "static thrust"),
        (lambda: fan.thrust_constant_power(speed=-1.0, **FAN), "speed"),
    ],
)
def test_numbers_out_of_range_are_named(call, match):
    with pytest.raises(PhysicsError, match=match):
        call()
