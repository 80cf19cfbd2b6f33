"""Nose profiles against closed forms, limits and a second quadrature."""

import math

import numpy as np
import pytest

from foamworks.errors import PhysicsError
from foamworks.physics import profiles

CASES = [
    ("cone", None),
    ("tangent_ogive", None),
    ("ellipse", None),
    ("parabola", 0.5),
    ("parabola", None),
    ("power", 0.1),
    ("power", 0.5),
    ("power", 0.75),
    ("power", 1.0),
    ("haack", -0.5),
    ("haack", 1.0),
    ("von_karman", None),
    ("lv_haack", None),
]
every_profile = pytest.mark.parametrize(("profile", "parameter"), CASES)


def shape(profile, parameter=None, length=62.0, base_radius=15.75):
    return {"profile": profile, "parameter": parameter, "length": length, "base_radius": base_radius}


def trapezoid(profile, parameter):
    """Volume, wetted area and centroid by frusta on a graded grid: a second route without derivatives."""
    s = np.linspace(0, 1, 60001)
    x = 62.0 * np.unique(np.concatenate([s**10, (1 - np.cos(np.pi * s)) / 2, np.linspace(0, 1, 60001) ** 40]))
    r = profiles.radius(x=x, **shape(profile, parameter))
    dx, dr, mean = np.diff(x), np.diff(r), (r[1:] + r[:-1]) / 2
    volume = math.pi / 3 * np.sum(dx * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2))
    area = 2 * math.pi * np.sum(mean * np.hypot(dx, dr))
    moment = math.pi * np.sum(dx * mean**2 * (x[1:] + x[:-1]) / 2)
    return volume, area, moment / volume


@every_profile
def test_integrals_agree_with_frusta_of_the_same_radius(profile, parameter):
    volume, area, centroid = trapezoid(profile, parameter)
    assert profiles.volume(**shape(profile, parameter)) == pytest.approx(volume, rel=1e-6)
    assert profiles.wetted_area(**shape(profile, parameter)) == pytest.approx(area, rel=1e-6)
    assert profiles.centroid(**shape(profile, parameter)) == pytest.approx(centroid, rel=1e-6)


@every_profile
def test_radius_runs_from_zero_to_the_base_without_nan(profile, parameter):
    r = profiles.radius(x=np.linspace(0, 62.0, 2001), **shape(profile, parameter))
    assert np.all(np.isfinite(r))
    assert r[0] == 0
    assert r[-1] == pytest.approx(15.75, rel=1e-12)


@every_profile
def test_volume_scales_by_the_cube_and_area_by_the_square(profile, parameter):
    small, large = shape(profile, parameter), shape(profile, parameter, 186.0, 47.25)
    assert profiles.volume(**large) == pytest.approx(27 * profiles.volume(**small), rel=1e-12)
    assert profiles.wetted_area(**large) == pytest.approx(9 * profiles.wetted_area(**small), rel=1e-12)


@pytest.mark.parametrize(("profile", "parameter"), [("parabola", 0.0), ("power", 1.0)])
def test_the_limit_of_a_parameter_is_the_cone(profile, parameter):
    for number in (profiles.volume, profiles.wetted_area, profiles.centroid):
        assert number(**shape(profile, parameter)) == pytest.approx(number(**shape("cone")), rel=1e-10)


@pytest.mark.parametrize("profile", ["tangent_ogive", "ellipse"])
def test_a_nose_as_long_as_its_radius_is_a_half_ball(profile):
    ball = shape(profile, None, 20.0, 20.0)
    assert profiles.volume(**ball) == pytest.approx(2 / 3 * math.pi * 20**3, rel=1e-12)
    assert profiles.wetted_area(**ball) == pytest.approx(2 * math.pi * 20**2, rel=1e-9)
    assert profiles.centroid(**ball) == pytest.approx(20 * 5 / 8, rel=1e-9)
    x = np.linspace(0, 20, 41)
    assert profiles.radius(x=x, **ball) == pytest.approx(np.sqrt(20**2 - (20 - x) ** 2), rel=1e-12)


def test_a_slender_ogive_keeps_its_digits():
    # slender limit: r -> R u (2 - u), V -> 8/15 pi R^2 L; the next term is of order (R/L)^2
    assert profiles.volume(**shape("tangent_ogive", None, 1000.0, 5.0)) == pytest.approx(
        8 / 15 * math.pi * 25 * 1000, rel=1e-4
    )


@pytest.mark.parametrize("c", [0.7, 1.0, 2.0, 3.0])
def test_haack_beyond_two_thirds_overshoots_the_base(c):
    greatest = profiles.greatest_radius(**shape("haack", c))
    r = profiles.radius(x=np.linspace(0, 62.0, 200001), **shape("haack", c))
    assert greatest > 15.75
    assert greatest == pytest.approx(r.max(), rel=1e-9)


@pytest.mark.parametrize(("profile", "parameter"), [("haack", 2 / 3), ("haack", 0.0), ("cone", None), ("power", 0.3)])
def test_other_profiles_are_widest_at_the_base(profile, parameter):
    assert profiles.greatest_radius(**shape(profile, parameter)) == 15.75


@pytest.mark.parametrize(
    ("keys", "match"),
    [
        ({"length": 0.0}, "length = 0"),
        ({"base_radius": math.nan}, "base radius = nan"),
        ({"length": 10.0}, "at least as long as its base radius"),
        ({"profile": "power", "parameter": 1.5}, "within 0.1 and 1"),
        ({"profile": "haack", "parameter": -0.7}, "within -0.6 and 3"),
        ({"profile": "spike"}, 'unknown nose profile "spike"'),
    ],
)
def test_what_cannot_be_is_refused_by_name(keys, match):
    with pytest.raises(PhysicsError, match=match):
        profiles.volume(**{**shape("tangent_ogive"), **keys})


@pytest.mark.parametrize("x", [-0.1, 62.1, math.nan])
def test_a_station_off_the_nose_is_refused(x):
    with pytest.raises(PhysicsError, match="within 0 and the length"):
        profiles.radius(x=[1.0, x], **shape("cone"))
