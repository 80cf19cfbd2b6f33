"""Nelson, *Flight Stability and Automatic Control*, 2nd ed.: the light single of table B.1. Numbers from memory."""

import math

import numpy as np
import pytest

from foamworks.physics import modes, trim
from foamworks.units import INCH, POUND, STANDARD_GRAVITY
from routes import dynamics, tailplane

FOOT = 12 * INCH
SLUG = POUND * STANDARD_GRAVITY / FOOT  # lbf s2/ft in kg

MASS = 2750 * POUND
AREA = 184 * FOOT**2
SPAN = 33.4 * FOOT
CHORD = 5.7 * FOOT
SPEED = 176 * FOOT
DENSITY = 0.002377 * SLUG / FOOT**3
PITCH = dynamics.PitchDerivatives(
    lift=0.41, drag=0.05, lift_slope=4.44, drag_slope=0.33, moment_slope=-0.683, downwash_lag=-4.36, pitch_damping=-9.96
)
SIDE = modes.SideDerivatives(
    side_beta=-0.564, roll_beta=-0.074, yaw_beta=0.0701, roll_p=-0.410, yaw_p=-0.0575, roll_r=0.107, yaw_r=-0.125
)
SIDE_MATRIX = np.array(
    [[-0.254, 0, -1, 0.182], [-16.02, -8.40, 2.19, 0], [4.488, -0.350, -0.760, 0], [0, 1, 0, 0]], dtype=float
)


def pitch_matrix() -> modes.Matrix:
    return dynamics.pitch_matrix(
        derivatives=PITCH,
        mass=MASS,
        inertia=3000 * SLUG * FOOT**2,
        speed=SPEED,
        density=DENSITY,
        area=AREA,
        chord=CHORD,
    )


def test_short_period_and_phugoid_of_example_4_3() -> None:
    # L1: phugoid -0.0171 +- 0.213 i, short period -2.5 +- 2.59 i (from memory), 1 %
    short, phugoid = dynamics.pitch_modes(pitch_matrix())
    assert short.roots[0].real == pytest.approx(-2.5, rel=0.01)
    assert short.roots[0].imag == pytest.approx(2.59, rel=0.01)
    assert phugoid.roots[0].real == pytest.approx(-0.0171, rel=0.01)
    assert phugoid.roots[0].imag == pytest.approx(0.213, rel=0.01)


def test_the_approximate_formulas_of_example_4_3() -> None:
    # L1: phugoid w 0.26, zeta 0.087; short period w 3.60, zeta 0.69 (from memory)
    matrix = pitch_matrix()
    assert dynamics.short_period_approximation(matrix) == pytest.approx((3.60, 0.69), rel=0.01)
    assert dynamics.phugoid_approximation(matrix) == pytest.approx((0.26, 0.087), rel=0.01)


def test_lateral_modes_of_example_5_2() -> None:
    # L2: spiral -0.00877, roll -8.435, Dutch roll -0.487 +- 2.335 i (from memory), 2 %: the matrix is rounded
    roll, spiral, dutch = modes.side_modes(SIDE_MATRIX)
    assert (roll.name, spiral.name, dutch.name) == ("roll", "spiral", "Dutch roll")
    assert roll.roots[0].real == pytest.approx(-8.435, rel=0.02)
    assert spiral.roots[0].real == pytest.approx(-0.00877, rel=0.02)
    assert dutch.roots[0].real == pytest.approx(-0.487, rel=0.02)
    assert dutch.roots[0].imag == pytest.approx(2.335, rel=0.02)


def test_the_lateral_matrix_follows_from_the_coefficients_of_table_b_1() -> None:
    # Ix 1048, Iz 3530 slug ft2 and the coefficients above (from memory) against the matrix printed in example 5.2
    matrix = modes.side_matrix(
        derivatives=SIDE, mass=MASS, inertia_roll=1048 * SLUG * FOOT**2, inertia_yaw=3530 * SLUG * FOOT**2,
        speed=SPEED, density=DENSITY, area=AREA, span=SPAN,
    )  # fmt: skip
    assert matrix == pytest.approx(SIDE_MATRIX, rel=0.01, abs=0.005)


def test_the_approximate_lateral_roots_of_example_5_2() -> None:
    # spiral -0.144, roll -8.4, Dutch roll -0.51 +- 2.1 i (from memory); the spiral's from the unrounded matrix, 2 %
    frequency, damping = dynamics.dutch_roll_approximation(SIDE_MATRIX)
    assert dynamics.roll_approximation(SIDE_MATRIX) == pytest.approx(-8.4, abs=0.05)
    assert dynamics.spiral_approximation(SIDE_MATRIX) == pytest.approx(-0.144, rel=0.02)
    assert -frequency * damping == pytest.approx(-0.51, abs=0.005)
    assert frequency * math.sqrt(1 - damping**2) == pytest.approx(2.1, abs=0.05)


def test_wing_tail_and_body_of_example_2_2() -> None:
    # L4, inputs from memory; V_H 0.66, de/da 0.45, tail -1.42 (p. 59, read), neutral point 0.55; 1.5 %
    section = math.degrees(0.097)
    wing_slope = section / (1 + section / (math.pi * 6.06))
    volume = trim.tail_volume(tail_area=43, tail_arm=16, wing_area=184, chord=5.7)
    downwash = tailplane.elliptic_downwash_slope(lift_slope=wing_slope, aspect_ratio=6.06)
    tail = tailplane.tail_moment_slope(volume=volume, tail_slope=3.91, downwash_slope=downwash)
    point = tailplane.textbook_neutral_point(
        wing_centre=0.25, wing_slope=wing_slope, body_moment_slope=0.12, tail_moment_slope=tail
    )
    assert wing_slope == pytest.approx(4.30, rel=0.015)
    assert volume == pytest.approx(0.66, rel=0.015)
    assert downwash == pytest.approx(0.45, rel=0.015)
    assert tail == pytest.approx(-1.42, rel=0.015)
    assert point == pytest.approx(0.55, rel=0.015)


def test_moment_slope_of_example_2_2_from_its_neutral_point() -> None:
    # L4: wing 0.194 + body 0.12 + tail -1.42 about the CG at 0.295; static margin x wing slope must give their sum
    point = tailplane.textbook_neutral_point(
        wing_centre=0.25, wing_slope=4.30, body_moment_slope=0.12, tail_moment_slope=-1.42
    )
    margin = trim.static_margin(cg=0.295, neutral_point=point, chord=1.0)
    assert -margin * 4.30 == pytest.approx(0.194 + 0.12 - 1.42, abs=0.001)


def test_elevator_to_trim_from_derivatives() -> None:
    # L5: -0.015051 rad = -0.862 deg, own arithmetic on table B.1, not published
    found = tailplane.elevator_from_derivatives(
        zero_lift=0.05, lift=0.41, lift_slope=4.44, moment_slope=-0.683, lift_elevator=0.355, moment_elevator=-0.923
    )
    assert found == pytest.approx(-0.015051, abs=1e-6)
    assert math.degrees(found) == pytest.approx(-0.862, abs=5e-4)
