"""Fuselage moments and tail volume against printed values (rows D and F of the check list)."""

import math

import numpy as np
import pytest

from foamworks.physics.body import Body, inertia_coefficients, multhopp_pitch_slope, munk_pitch_slope
from foamworks.physics.planform import volume_coefficient


@pytest.mark.parametrize(
    ("fineness", "k1", "k2"),
    [
        (1.0, 0.500, 0.500),
        (1.5, 0.305, 0.621),
        (2.0, 0.209, 0.702),
        (2.51, 0.156, 0.763),
        (2.99, 0.122, 0.803),
        (3.99, 0.082, 0.860),
        (4.99, 0.059, 0.895),
        (6.01, 0.045, 0.918),
        (6.97, 0.036, 0.933),
        (8.01, 0.029, 0.945),
        (9.02, 0.024, 0.954),
        (9.97, 0.021, 0.960),
    ],
)
def test_inertia_coefficients_are_those_lamb_printed(fineness, k1, k2):
    """Lamb, Hydrodynamics, article 114, as in Munk, NACA TR 184 (from memory).

    The printed third decimal is not always rounded well (2.0: exactly 0.2100, 0.7042), hence 0.0025.
    """
    assert inertia_coefficients(fineness) == pytest.approx((k1, k2), abs=0.0025)


def round_body() -> Body:
    t = np.linspace(0, 1, 200)
    size = tuple(0.1 * np.sqrt(t * (1 - t)) * 2)
    return Body(x=tuple(t), width=size, height=size, z=(0.0,) * 200)


def test_munk_s_moment_in_degrees_carries_the_printed_constant_36_5():
    """F2: Nelson eq. 2.29-2.30 (from memory): (k2-k1)/(36.5 S c) sum w^2 dx per degree, for a round body."""
    body = round_body()
    k1, k2 = inertia_coefficients(body.length / math.sqrt(6 * body.volume / (math.pi * body.length)))
    squares = np.asarray(body.width) ** 2
    strips = float(np.sum(np.diff(body.x) * (squares[:-1] + squares[1:]) / 2))
    per_degree = munk_pitch_slope(body, reference_area=0.15, reference_chord=0.17) * math.pi / 180
    assert per_degree == pytest.approx((k2 - k1) / (36.5 * 0.15 * 0.17) * strips, rel=1e-3)


def test_the_constant_itself():
    """F2: (pi/2)/57.2958 = 0.0274156 = 1/36.476."""
    assert (math.pi / 2) / (180 / math.pi) == pytest.approx(0.0274156, abs=5e-8)


def test_strip_sum_of_85_1_gives_nelson_s_slope_per_radian():
    """F2: Nelson Ex. 2.2: strip sum 85.1 ft3, S 184 ft2, c 5.7 ft: 0.002223 per degree, 0.1274 per radian.

    The book prints 0.12 (read quoted); here a body one foot wide and 85.1 ft long in undisturbed flow.
    """
    body = Body(x=(0, 85.1), width=(1, 1), height=(1, 1), z=(0, 0))
    slope = multhopp_pitch_slope(
        body, reference_area=184, reference_chord=5.7, wing_start=100, wing_end=101, upwash=np.zeros_like
    )
    assert slope * math.pi / 180 == pytest.approx(0.002223, abs=5e-6)
    assert slope == pytest.approx(0.1274, rel=2e-3)


def test_fin_of_a_light_single_by_volume():
    """D2: S 143 ft2, b 41.5 ft, arm 10 ft, coefficient 0.04 (Raymer's for a general-aviation single): 23.7 ft2."""
    assert volume_coefficient(fin_area=23.738, arm=10, wing_area=143, span=41.5) == pytest.approx(0.04, rel=1e-3)


def test_cant_takes_the_square_of_its_cosine():
    """D5c: Purser & Campbell, NACA TR 823 (from memory): side force by sin^2 of the angle from the horizontal."""
    upright = volume_coefficient(fin_area=0.01, arm=0.4, wing_area=0.15, span=0.9)
    canted = volume_coefficient(fin_area=0.01, arm=0.4, wing_area=0.15, span=0.9, cant=math.radians(30))
    assert canted / upright == pytest.approx(0.75)
