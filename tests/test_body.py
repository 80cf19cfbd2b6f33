import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics.body import (
    Body,
    height_dihedral,
    inertia_coefficients,
    multhopp_pitch_slope,
    munk_pitch_slope,
    side_slopes,
)


def spheroid(length: float, diameter: float, count: int = 400) -> Body:
    t = np.linspace(0, np.pi, count)
    size = tuple(diameter * np.maximum(np.sin(t), 0))
    return Body(x=tuple(length * (1 - np.cos(t)) / 2), width=size, height=size, z=(0.0,) * count)


def tube(length: float, width: float, height: float) -> Body:
    return Body(x=(0, length), width=(width,) * 2, height=(height,) * 2, z=(0, 0))


def test_volume_of_a_cone_is_a_third_of_its_cylinder():
    cone = Body(x=(0, 0.3), width=(0, 0.1), height=(0, 0.1), z=(0, 0.02))
    assert cone.volume == pytest.approx(math.pi * 0.05**2 * 0.3 / 3, rel=1e-12)


def test_volume_of_a_spheroid():
    assert spheroid(0.8, 0.1).volume == pytest.approx(math.pi / 6 * 0.1**2 * 0.8, rel=1e-4)


def test_skin_of_a_cone_is_pi_r_s():
    cone = Body(x=(0, 0.3), width=(0, 0.1), height=(0, 0.1), z=(0, 0))
    assert cone.wetted_area == pytest.approx(math.pi * 0.05 * math.hypot(0.05, 0.3), rel=1e-9)


def test_skin_of_a_tube_is_the_ellipse_s_girth_times_its_length():
    """Ramanujan's second formula for the girth, good to 1e-6 at this ratio."""
    a, b = 0.06, 0.04
    h = ((a - b) / (a + b)) ** 2
    girth = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    assert tube(0.5, 2 * a, 2 * b).wetted_area == pytest.approx(girth * 0.5, rel=1e-6)


def test_skin_of_a_spheroid():
    """Prolate spheroid: 2 pi a^2 (1 + c/(a e) asin e)."""
    a, c = 0.05, 0.4
    e = math.sqrt(1 - a * a / c / c)
    assert spheroid(2 * c, 2 * a).wetted_area == pytest.approx(
        2 * math.pi * a * a * (1 + c / a / e * math.asin(e)), rel=1e-4
    )


def test_sizes_at_a_place_are_joined_straight():
    body = Body(x=(0, 1), width=(0, 0.2), height=(0, 0.1), z=(0, 0.02))
    assert (body.width_at(0.5), body.height_at(0.5), body.centre_at(0.5)) == pytest.approx((0.1, 0.05, 0.01))


def test_there_is_no_body_beyond_its_ends():
    body = tube(1, 0.1, 0.1)
    assert (body.width_at(-0.1), body.height_at(1.1)) == (0, 0)


def test_a_sphere_has_inertia_coefficients_of_one_half():
    assert inertia_coefficients(1.0) == (0.5, 0.5)
    assert inertia_coefficients(1.001) == pytest.approx((0.5, 0.5), abs=1e-3)


def test_a_needle_has_inertia_coefficients_of_nought_and_one():
    assert inertia_coefficients(1e4) == pytest.approx((0, 1), abs=1e-6)


@given(fineness=st.floats(1.01, 100))
def test_lamb_s_integrals_add_to_two(fineness):
    """alpha + 2 beta = 2 for any ellipsoid (Lamb, article 114); k = alpha/(2 - alpha)."""
    k1, k2 = inertia_coefficients(fineness)
    alpha, beta = 2 * k1 / (1 + k1), 2 * k2 / (1 + k2)
    assert alpha + 2 * beta == pytest.approx(2, abs=1e-9)


def test_a_body_destabilises_in_pitch_and_in_yaw():
    body = spheroid(0.8, 0.1)
    assert munk_pitch_slope(body, reference_area=0.15, reference_chord=0.17) > 0
    assert max(side_slopes(body, reference_area=0.15, reference_span=0.9, about=0.4)) < 0


def test_a_round_body_yaws_by_less_than_its_slender_body_moment():
    body = spheroid(0.8, 0.1)
    pitch = munk_pitch_slope(body, reference_area=0.15, reference_chord=0.9)
    assert -pitch < side_slopes(body, reference_area=0.15, reference_span=0.9, about=0.4)[1] < -0.5 * pitch


def test_a_deep_body_unsettles_yaw_more_than_a_flat_one():
    place = {"reference_area": 1.0, "reference_span": 1.0, "about": 0.4}
    deep, flat = (side_slopes(tube(0.8, *size), **place)[1] for size in ((0.06, 0.12), (0.12, 0.06)))
    assert deep < 2 * flat


def test_the_side_force_of_a_cone_is_its_section_where_the_flow_leaves_it():
    # a cone that widens to its end never shrinks: x1 = L and x0 = 0.905 L; the moment about x0 is the volume ahead
    body = Body(x=(0.0, 0.5), width=(0.0, 0.1), height=(0.0, 0.1), z=(0.0, 0.0))
    side, yaw = side_slopes(body, reference_area=1.0, reference_span=1.0, about=0.905 * 0.5)
    section = math.pi / 4 * (0.1 * 0.905) ** 2
    assert yaw / side == pytest.approx(0.905 * 0.5 / 3, rel=2e-3)  # volume over section of a cone
    k1, k2 = inertia_coefficients(0.5 / math.sqrt(6 * math.pi / 12 * 0.1**2 * 0.5 / (math.pi * 0.5)))
    assert side == pytest.approx(-2 * (k2 - k1) * section, rel=2e-3)


def test_a_high_wing_rolls_out_of_the_wind_and_a_low_one_into_it():
    size = {"diameter": 0.1, "span": 0.9, "aspect_ratio": 5.4}
    high, low = (height_dihedral(below=below, **size) for below in (-0.04, 0.04))
    assert high == -low < 0
    assert height_dihedral(below=0.0, **size) == 0


def test_a_body_flatter_than_a_ball_has_no_moment():
    assert munk_pitch_slope(tube(0.05, 0.1, 0.1), reference_area=1, reference_chord=1) == 0


def test_strips_without_upwash_count_all_that_stands_ahead_and_behind():
    body = tube(1.0, 0.1, 0.1)
    slope = multhopp_pitch_slope(
        body, reference_area=0.2, reference_chord=0.2, wing_start=0.3, wing_end=0.5, upwash=np.zeros_like
    )
    assert slope == pytest.approx(math.pi / 2 * 0.1**2 * 0.8 / 0.04, rel=1e-9)


def test_strips_take_an_upwash_that_rises_without_limit_at_the_leading_edge():
    """Upwash a/sqrt(d): its integral over the nose of length L is 2 a sqrt(L)."""
    body = tube(0.3, 0.1, 0.1)
    slope = multhopp_pitch_slope(
        body,
        reference_area=1,
        reference_chord=1,
        wing_start=0.3,
        wing_end=0.6,
        upwash=lambda x: 0.2 / np.sqrt(0.3 - x),
    )
    assert slope == pytest.approx(math.pi / 2 * 0.1**2 * (0.3 + 2 * 0.2 * math.sqrt(0.3)), rel=1e-3)


def test_strips_in_full_downwash_count_nothing():
    slope = multhopp_pitch_slope(
        tube(1.0, 0.1, 0.1),
        reference_area=1,
        reference_chord=1,
        wing_start=-1.0,
        wing_end=0.0,
        upwash=lambda x: -np.ones_like(x),
    )
    assert slope == 0


@given(k=st.floats(0.01, 100))
def test_slopes_do_not_change_with_the_scale(k):
    def slope(k: float) -> float:
        return munk_pitch_slope(tube(k * 0.8, k * 0.1, k * 0.08), reference_area=k * k * 0.15, reference_chord=k * 0.17)

    assert slope(k) == pytest.approx(slope(1.0), rel=1e-9)


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({"x": (0,), "width": (1,), "height": (1,), "z": (0,)}, "at least two"),
        ({"x": (0, 0), "width": (1, 1), "height": (1, 1), "z": (0, 0)}, "must rise"),
        ({"x": (0, 1), "width": (1, -1), "height": (1, 1), "z": (0, 0)}, "negative"),
        ({"x": (0, 1), "width": (0, 0), "height": (1, 1), "z": (0, 0)}, "not all 0"),
        ({"x": (0, 1), "width": (1, 1), "height": (1, math.nan), "z": (0, 0)}, "finite"),
    ],
)
def test_impossible_bodies_are_refused(fields, text):
    with pytest.raises(PhysicsError, match=text):
        Body(**fields)


def test_inertia_coefficients_of_a_disc_are_refused():
    with pytest.raises(PhysicsError, match="fineness"):
        inertia_coefficients(0.5)
