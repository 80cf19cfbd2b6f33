import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics.planform import (
    Stations,
    continue_down,
    gross_wing,
    outline_area,
    outline_stations,
    reference_wing,
    trapezoid,
)

FIN = [(0.0, 0.0), (0.2, 0.0), (0.18, 0.1), (0.08, 0.1)]  # leading edge swept, trailing edge swept forward


def shoelace(points: list[tuple[float, float]]) -> float:
    turned = [*points[1:], points[0]]
    return abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, turned, strict=True))) / 2


def cut(points: list[tuple[float, float]], z: float) -> tuple[float, float]:
    """Least and greatest x of a polygon at height z, edge by edge: the slow second route."""
    hits = []
    for (xa, za), (xb, zb) in zip(points, [*points[1:], points[0]], strict=True):
        if min(za, zb) <= z <= max(za, zb) and za != zb:
            hits.append(xa + (xb - xa) * (z - za) / (zb - za))
    return min(hits), max(hits)


def test_gross_wing_continues_the_first_panel_straight_to_the_centre_line():
    wing = gross_wing(Stations(x=(0.25, 0.33), s=(0.05, 0.45), chord=(0.2, 0.12), across=(0.01, 0.05)))
    assert (wing.s[0], wing.x[0], wing.chord[0], wing.across[0]) == pytest.approx((0.0, 0.24, 0.21, 0.005))


def test_a_wing_given_to_the_centre_line_is_its_own_gross_wing():
    wing = Stations(x=(0.0, 0.1), s=(0.0, 0.5), chord=(0.2, 0.1))
    assert gross_wing(wing) is wing


def test_reference_of_a_wing_with_a_gap_equals_that_of_the_whole_trapezoid():
    whole = Stations(x=(0.1, 0.2), s=(0.0, 0.5), chord=(0.3, 0.1))
    x, chord, _ = whole.at(0.07)
    part = Stations(x=(x, 0.2), s=(0.07, 0.5), chord=(chord, 0.1))
    assert vars(reference_wing(part)) == pytest.approx(vars(reference_wing(whole)), rel=1e-12)


def test_reference_area_counts_both_halves():
    wing = reference_wing(Stations(x=(0.0, 0.0), s=(0.0, 3.0), chord=(1.0, 1.0)))
    assert (wing.area, wing.span, wing.mac, wing.quarter_mac_x, wing.aspect_ratio) == pytest.approx((6, 6, 1, 0.25, 6))


def test_mean_chord_of_an_ellipse_is_its_closed_form():
    """Mean aerodynamic chord of an elliptic wing = 8/(3 pi) of its root chord (calculus)."""
    t = np.linspace(0, np.pi / 2, 2001)
    wing = Stations(x=tuple(0 * t), s=tuple(np.sin(t)), chord=tuple(np.maximum(np.cos(t), 0)))
    assert wing.mac == pytest.approx(8 / (3 * math.pi), rel=1e-5)
    assert wing.area == pytest.approx(math.pi / 4, rel=1e-5)


def test_two_panel_wing_is_the_area_mean_of_its_panels():
    inner = Stations(x=(0.0, 0.1), s=(0.0, 0.4), chord=(0.3, 0.2))
    outer = Stations(x=(0.1, 0.3), s=(0.4, 1.0), chord=(0.2, 0.1))
    both = Stations(x=(0.0, 0.1, 0.3), s=(0.0, 0.4, 1.0), chord=(0.3, 0.2, 0.1))
    for name in ("mac", "mac_le_x", "quarter_mac_x", "mac_s", "centroid_x"):
        mean = (getattr(inner, name) * inner.area + getattr(outer, name) * outer.area) / (inner.area + outer.area)
        assert getattr(both, name) == pytest.approx(mean, rel=1e-12), name


@given(aspect_ratio=st.floats(0.3, 6), taper=st.floats(0, 1.5), sweep=st.floats(-1.2, 1.2), area=st.floats(1e-4, 1))
def test_a_trapezoid_has_the_shape_it_was_asked_for(aspect_ratio, taper, sweep, area):
    fin = trapezoid(aspect_ratio=aspect_ratio, taper=taper, sweep=sweep, area=area, root_x=0.7, root_s=0.03)
    assert (fin.area, fin.aspect_ratio, fin.taper) == pytest.approx((area, aspect_ratio, taper), rel=1e-9, abs=1e-9)
    assert fin.sweep == pytest.approx(sweep, abs=1e-9)
    assert (fin.x[0], fin.s[0]) == (0.7, 0.03)


def test_a_trapezoid_by_height_is_the_one_by_area():
    by_height = trapezoid(aspect_ratio=1.5, taper=0.5, sweep=0.3, height=0.1)
    assert trapezoid(aspect_ratio=1.5, taper=0.5, sweep=0.3, area=by_height.area).chord == pytest.approx(
        by_height.chord
    )


@given(k=st.floats(0.1, 10))
def test_scaling_a_fin_keeps_shape_and_root(k):
    fin = trapezoid(aspect_ratio=1.3, taper=0.4, sweep=0.5, area=0.01, root_x=0.6, root_s=0.04)
    large = fin.scaled(k)
    assert (large.aspect_ratio, large.taper, large.sweep) == pytest.approx((fin.aspect_ratio, fin.taper, fin.sweep))
    assert large.area == pytest.approx(k * k * fin.area)
    assert (large.x[0], large.s[0]) == (fin.x[0], fin.s[0])


@pytest.mark.parametrize("start", range(4))
@pytest.mark.parametrize("turn", [1, -1])
def test_an_outline_gives_the_same_stations_however_it_is_drawn(start, turn):
    points = (FIN[start:] + FIN[:start])[::turn]
    stations = outline_stations(points)
    assert stations.s == pytest.approx((0.0, 0.1))
    assert stations.x == pytest.approx((0.0, 0.08))
    assert stations.chord == pytest.approx((0.2, 0.1))
    assert outline_area(points) == pytest.approx(stations.area)


def test_an_outline_with_a_kink_keeps_it():
    stations = outline_stations([(0, 0), (0.2, 0), (0.17, 0.06), (0.16, 0.1), (0.1, 0.1)])
    assert stations.s == pytest.approx((0.0, 0.06, 0.1))
    assert stations.chord == pytest.approx((0.2, 0.11, 0.06))


def test_a_level_step_in_an_outline_makes_two_stations_at_one_height():
    stations = outline_stations([(0, 0), (0.3, 0), (0.3, 0.05), (0.2, 0.05), (0.2, 0.1), (0, 0.1)])
    assert stations.s == pytest.approx((0.0, 0.05, 0.05, 0.1))
    assert stations.chord == pytest.approx((0.3, 0.3, 0.2, 0.2))


def test_a_rounded_trace_of_200_points_keeps_its_area_and_place():
    """A half ellipse standing on its flat side: area pi a b/2, centroid 4 b/(3 pi) up."""
    t = np.linspace(0, np.pi, 200)
    points = list(zip(0.1 * np.cos(t) + 0.7, 0.08 * np.sin(t) + 0.04, strict=True))
    stations = outline_stations(points)
    assert stations.area == pytest.approx(math.pi * 0.1 * 0.08 / 2, rel=1e-3)
    assert stations.mac_s == pytest.approx(0.04 + 4 * 0.08 / (3 * math.pi), rel=1e-3)
    assert stations.centroid_x == pytest.approx(0.7, rel=1e-6)
    assert outline_area(points) == pytest.approx(stations.area, rel=1e-6)


def test_rounding_noise_in_a_trace_makes_no_station_of_its_own():
    stations = outline_stations([(0, 0), (0.2, 1e-9), (0.18, 0.1), (0.08, 0.1 - 1e-9)])
    assert len(stations.s) == 2
    assert stations.chord == pytest.approx((0.2, 0.1), rel=1e-6)


@given(st.lists(st.tuples(st.floats(0.01, 0.2), st.floats(0.25, 0.5)), min_size=2, max_size=8))
def test_stations_of_any_stack_of_trapezoids_cut_as_the_polygon_does(widths):
    step = 0.03
    rise = [(lead, i * step) for i, (lead, _) in enumerate(widths)]
    fall = [(trail, i * step) for i, (_, trail) in enumerate(widths)]
    points = rise + fall[::-1]
    stations = outline_stations(points)
    assert stations.area == pytest.approx(shoelace(points), rel=1e-9)
    for z in np.linspace(0.001, (len(widths) - 1) * step - 0.001, 7):
        least, greatest = cut(points, float(z))
        x, chord, _ = stations.at(float(z))
        assert (x, x + chord) == pytest.approx((least, greatest), abs=1e-9)


def test_a_fin_is_continued_down_by_its_own_edges():
    fin = continue_down(Stations(x=(0.5, 0.6), s=(0.04, 0.14), chord=(0.16, 0.08)), 0.02)
    assert (fin.x[0], fin.s[0], fin.chord[0]) == pytest.approx((0.48, 0.02, 0.176))


def test_a_fin_is_not_shortened_by_a_root_above_it():
    fin = Stations(x=(0.5, 0.6), s=(0.04, 0.14), chord=(0.16, 0.08))
    assert continue_down(fin, 0.05) is fin


def test_a_fin_with_a_slanting_root_is_continued_by_its_edges_not_by_the_slant():
    """Root cut along a rising back: (0.5, 0.05) to (0.66, 0.04); both edges upright."""
    fin = outline_stations([(0.5, 0.05), (0.66, 0.04), (0.66, 0.14), (0.5, 0.14)])
    down = continue_down(fin, 0.02)
    assert (down.s[0], down.x[0], down.chord[0]) == pytest.approx((0.02, 0.5, 0.16))


def test_edges_that_meet_are_refused():
    with pytest.raises(PhysicsError, match="no chord left"):
        continue_down(Stations(x=(0.5, 0.4), s=(0.1, 0.2), chord=(0.05, 0.2)), 0.0)


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({"x": (0,), "s": (0,), "chord": (1,)}, "at least two"),
        ({"x": (0, 0), "s": (1, 0), "chord": (1, 1)}, "must rise"),
        ({"x": (0, 0), "s": (0, 1), "chord": (1, -1)}, "must not be negative"),
        ({"x": (0, math.nan), "s": (0, 1), "chord": (1, 1)}, "finite"),
    ],
)
def test_impossible_stations_are_refused(fields, text):
    with pytest.raises(PhysicsError, match=text):
        Stations(**fields)


@pytest.mark.parametrize("points", [[(0, 0), (1, 0)], [(0, 0), (1, 0), (2, 0)], [(0, 0), (1, 0), (1, math.inf)]])
def test_what_is_no_outline_is_refused(points):
    with pytest.raises(PhysicsError, match="outline"):
        outline_stations(points)
