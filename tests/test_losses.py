"""What is taken off the lattice: closed forms, limits and signs of the tail's factor and the intake's force."""

import pytest

from foamworks.physics.losses import (
    ELEVATOR_BAND,
    ELEVATOR_FACTOR,
    TAIL_BAND,
    TAIL_FACTOR,
    flown_lift_slope,
    flown_moment_slope,
    intake_slope,
)


def test_a_tail_of_full_strength_and_no_intake_leave_the_lattice_as_it_is() -> None:
    assert flown_lift_slope(lift_slope=4.6, tail_lift=0.5, tail_factor=1.0, intake=0.0) == 4.6
    moment = flown_moment_slope(
        moment_slope=-0.9, tail_moment=-1.4, tail_factor=1.0, body=0.2, intake=0.0, intake_ahead=1.0
    )
    assert moment == pytest.approx(-0.7)


def test_a_tail_that_does_nothing_leaves_wing_and_body() -> None:
    assert flown_lift_slope(lift_slope=4.6, tail_lift=0.5, tail_factor=0.0, intake=0.0) == pytest.approx(4.1)
    moment = flown_moment_slope(
        moment_slope=-0.9, tail_moment=-1.4, tail_factor=0.0, body=0.2, intake=0.0, intake_ahead=1.0
    )
    assert moment == pytest.approx(-0.9 + 1.4 + 0.2)


def test_the_nominal_factors_lie_in_the_middle_of_their_bands() -> None:
    assert pytest.approx(sum(TAIL_BAND) / 2) == TAIL_FACTOR
    assert pytest.approx(sum(ELEVATOR_BAND) / 2) == ELEVATOR_FACTOR


def test_the_intakes_force_is_the_momentum_it_turns() -> None:
    # 0.22 kg/s of air at 32.8 m/s turned by one radian pull with m V = 7.2 N
    speed, density, area, exit_area, thrust = 32.8, 1.22, 0.14, 0.0027, 7.6
    jet = 67.156  # of Ve (Ve - V) = T/(rho A), by hand
    assert jet * (jet - speed) == pytest.approx(thrust / (density * exit_area), rel=1e-4)
    mass_flow = density * exit_area * jet
    assert thrust == pytest.approx(mass_flow * (jet - speed), rel=1e-4)
    force = intake_slope(thrust=thrust, exit_area=exit_area, density=density, speed=speed, area=area)
    assert force * 0.5 * density * speed**2 * area == pytest.approx(mass_flow * speed, rel=1e-4)


def test_the_intake_pulls_harder_on_a_slow_model() -> None:
    air = {"exit_area": 0.0027, "density": 1.22, "area": 0.14}
    slow, fast = (intake_slope(thrust=8.0, speed=speed, **air) for speed in (12.0, 33.0))
    assert slow > 2 * fast
