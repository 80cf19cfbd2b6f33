"""Nose shapes against closed forms integrated apart from this program (shapes: Crowell 1996, Haack 1941)."""

import math

import pytest

from foamworks.physics import profiles

# L = 60, R = 15: volume, wetted lateral area without the base, centroid/L from the tip, radius at L/2 over R.
# Sources: Crowell, The Descriptive Geometry of Nose Cones, 1996; Haack 1941; Ashley & Landahl (memory); closed forms.
ROWS = [
    pytest.param("cone", None, 14137.17, 2914.452, 0.7500, 0.5, id="N1"),
    pytest.param("ellipse", None, 28274.33, 4555.969, 0.6250, 0.86603, id="N3"),
    pytest.param("von_karman", None, 21205.75, 3764.898, 0.68750, 0.70711, id="N4"),
    pytest.param("haack", 0.0, 21205.75, 3764.898, 0.68750, 0.70711, id="N4-as-haack"),
    pytest.param("lv_haack", None, 23856.47, 4050.051, 0.66667, 0.77853, id="N5"),
    pytest.param("haack", 1 / 3, 23856.47, 4050.051, 0.66667, 0.77853, id="N5-as-haack"),
    pytest.param("parabola", 1.0, 22619.47, 3861.794, 0.68750, 0.75, id="N6"),
    pytest.param("power", 0.5, 21205.75, 3851.250, 0.66667, 0.70711, id="N7"),
    pytest.param("power", 0.75, 16964.60, 3309.758, 0.71429, 0.59460, id="N8"),
]


@pytest.mark.parametrize(("profile", "parameter", "volume", "area", "centroid", "middle"), ROWS)
def test_table_of_shapes_holds(profile, parameter, volume, area, centroid, middle):
    shape = {"profile": profile, "length": 60.0, "base_radius": 15.0, "parameter": parameter}
    assert profiles.volume(**shape) == pytest.approx(volume, abs=0.005)  # half the last printed digit
    assert profiles.wetted_area(**shape) == pytest.approx(area, abs=0.0005)
    assert profiles.centroid(**shape) / 60 == pytest.approx(centroid, abs=5e-6)
    assert profiles.radius(x=30.0, **shape) / 15 == pytest.approx(middle, abs=5e-6)


# second set; None where the source gives none
SECOND = [
    ("tangent_ogive", 1.0, 0.2, 0.0677816, 0.857676),
    ("von_karman", 1.0, 0.2, 0.0628319, 0.830147),
    ("lv_haack", 1.0, 0.2, 0.0706858, 0.892937),
    ("ellipse", 1.0, 0.2, None, 1.003850),
    ("cone", 1.0, 0.2, None, 0.640762),
    ("tangent_ogive", 100.0, 25.0, 106570.70, 10859.00),
    ("von_karman", 100.0, 25.0, 98174.77, 10458.05),
    ("lv_haack", 100.0, 25.0, 110446.6, 11250.1),
]


@pytest.mark.parametrize(("profile", "length", "base_radius", "volume", "area"), SECOND)
def test_second_set_holds(profile, length, base_radius, volume, area):
    shape = {"profile": profile, "length": length, "base_radius": base_radius}
    if volume is not None:
        assert profiles.volume(**shape) == pytest.approx(volume, rel=1e-6)
    # the last area is printed to 0.1
    assert profiles.wetted_area(**shape) == pytest.approx(area, rel=1e-6, abs=0.05 if area > 1e4 else 0.0)


def test_ogive_area_follows_its_closed_form():
    # A = 2 pi rho [(R - rho) asin(L/rho) + L], same source
    length, base = 60.0, 15.0
    rho = (base**2 + length**2) / (2 * base)
    closed = 2 * math.pi * rho * ((base - rho) * math.asin(length / rho) + length)
    assert profiles.wetted_area(profile="tangent_ogive", length=length, base_radius=base) == pytest.approx(
        closed, rel=1e-10
    )
