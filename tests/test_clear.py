"""How near a pod comes to the body: against shapely in cross-sections, and against clouds of points all round."""

import math

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shapely import Point, Polygon
from shapely.affinity import scale

from foamworks.parts import clear, mount
from foamworks.parts.base import BackSection

JET = (
    BackSection(0.0, 6.0, 6.0, -4.0),
    BackSection(90.0, 66.0, 72.0, 0.0),
    BackSection(260.0, 92.0, 108.0, 8.0),
    BackSection(480.0, 88.0, 92.0, 8.0),
    BackSection(700.0, 62.0, 66.0, 12.0),
    BackSection(812.0, 52.0, 54.0, 14.0),
)
# tube of radius 15.75 from 8 to 128 mm ahead of the nozzle, a half ellipsoid of 60 mm ahead of it
NOSE = [(128 + 60 * math.sin(t), 15.75 * math.cos(t)) for t in np.linspace(0, 1.55, 25)]
POD = ((8.0, 15.75), *((float(s), float(r)) for s, r in NOSE))


def cloud_of_body(sections: tuple[BackSection, ...], near: float) -> np.ndarray:
    """Points on the skin of the body, a millimetre or two apart, within 250 mm of a station."""
    table = [s.x for s in sections]
    x = np.arange(max(table[0], near - 250), min(table[-1], near + 250), 1.0)
    turn = np.linspace(0, 2 * math.pi, 241)
    width, height, z = (np.interp(x, table, [getattr(s, key) for s in sections]) for key in ("width", "height", "z"))
    return np.stack(
        [
            np.repeat(x, len(turn)),
            (width[:, None] / 2 * np.sin(turn)).ravel(),
            (z[:, None] + height[:, None] / 2 * np.cos(turn)).ravel(),
        ],
        axis=1,
    )


def cloud_of_pod(profile: tuple[tuple[float, float], ...], nozzle: tuple[float, float], tilt: float, y: float):
    """Points on the skin of the pod, turned and moved by plain trigonometry."""
    s = np.linspace(profile[0][0], profile[-1][0], 241)
    r = np.interp(s, *np.array(profile).T)
    turn = np.linspace(0, 2 * math.pi, 145)
    up, side = (r[:, None] * np.cos(turn)).ravel(), (r[:, None] * np.sin(turn)).ravel()
    along = np.repeat(s, len(turn))
    x = nozzle[0] - along * math.cos(tilt) - up * math.sin(tilt)
    return np.stack([x, y + side, nozzle[1] - along * math.sin(tilt) + up * math.cos(tilt)], axis=1)


@pytest.mark.parametrize("y", [0.0, 12.0, 30.0, 47.0, 70.0])
@pytest.mark.parametrize(("width", "height"), [(80, 80), (30, 90), (120, 40)])
def test_in_the_cross_section_it_is_the_distance_of_a_circle_from_an_ellipse(y: float, width: float, height: float):
    sections = (BackSection(0.0, width, height, 0.0), BackSection(1000.0, width, height, 0.0))
    level = ((0.0, 15.0), (200.0, 15.0))
    found = mount.clearance(sections=sections, lower=level, nozzle=(700.0, 75.0), downthrust=0.0, y=y)
    ellipse = scale(Point(0, 0).buffer(1, quad_segs=2000), width / 2, height / 2)
    circle = Point(y, 75).buffer(15, quad_segs=2000)
    assert found == pytest.approx(circle.distance(ellipse), abs=1e-3)


@pytest.mark.parametrize(
    ("nozzle", "tilt", "y"),
    [
        ((700.0, 101.0), 10.0, 0.0),
        ((700.0, 101.0), 10.0, 25.0),
        ((700.0, 90.0), 0.0, 40.0),
        ((640.0, 110.0), 16.0, 33.0),
        ((560.0, 100.0), 3.0, 50.0),
        ((840.0, 95.0), 12.0, 22.0),  # its aft end stands behind the body
    ],
)
def test_all_round_it_is_the_least_distance_of_two_clouds_of_points(nozzle: tuple[float, float], tilt: float, y: float):
    d = math.radians(tilt)
    found = mount.clearance(sections=JET, lower=POD, nozzle=nozzle, downthrust=d, y=y)
    distance, _ = cKDTree(cloud_of_body(JET, nozzle[0] - 60)).query(cloud_of_pod(POD, nozzle, d, y))
    assert found > 0
    assert distance.min() - 0.15 < found <= distance.min() + 1e-6  # points lie up to a millimetre apart


def test_a_narrow_back_is_no_nearer_beside_the_plane_of_a_wide_pod_over_it():
    # the pod is three times as wide as the back: still the ridge under its middle is nearest, and no flank beside it
    ridge = (BackSection(0.0, 10.0, 80.0, 0.0), BackSection(1000.0, 10.0, 80.0, 0.0))
    found = mount.clearance(sections=ridge, lower=POD, nozzle=(700.0, 80.0), downthrust=0.0)
    distance, _ = cKDTree(cloud_of_body(ridge, 640)).query(cloud_of_pod(POD, (700.0, 80.0), 0.0, 0.0))
    assert found == pytest.approx(80 - 15.75 - 40, abs=1e-9)
    assert distance.min() == pytest.approx(found, abs=0.05)


def test_a_twin_pod_that_touches_beside_its_plane_bites():
    flat = (BackSection(0.0, 60.0, 120.0, 0.0), BackSection(1000.0, 60.0, 120.0, 0.0))
    # its axis stands 36 mm off the middle of a body of 30 mm half width: nothing is under it, and it is in the flank
    found = mount.clearance(sections=flat, lower=POD, nozzle=(700.0, 20.0), downthrust=0.0, y=36.0)
    assert found < 0
    clear_of_it = mount.clearance(sections=flat, lower=POD, nozzle=(700.0, 20.0), downthrust=0.0, y=50.0)
    ellipse, circle = scale(Point(0, 0).buffer(1, quad_segs=2000), 30, 60), Point(50, 20).buffer(15.75, quad_segs=2000)
    assert clear_of_it == pytest.approx(circle.distance(ellipse), abs=1e-3)


@pytest.mark.parametrize("y", [0.0, 20.0, 40.0])
def test_the_greatest_tilt_keeps_just_the_gap_all_round(y: float):
    tilt = mount.greatest_tilt(sections=JET, lower=POD, nozzle=(700.0, 101.0), air_gap=4.0, y=y)
    assert tilt is not None
    distance, _ = cKDTree(cloud_of_body(JET, 600)).query(cloud_of_pod(POD, (700.0, 101.0), tilt, y))
    assert distance.min() == pytest.approx(4.0, abs=0.15)


def test_a_dip_is_as_deep_as_the_cross_section_says():
    sections = (BackSection(0.0, 80.0, 60.0, 0.0), BackSection(1000.0, 80.0, 60.0, 0.0))
    pod = clear.Pod(((0.0, 15.0), (200.0, 15.0)), (700.0, 35.0), 0.0, 10.0)
    y = np.linspace(-5, 25, 3001)
    top = 30 * np.sqrt(1 - (y / 40) ** 2)
    low = 35 - np.sqrt(np.maximum(225 - (y - 10) ** 2, 0))
    assert clear.dip(pod, sections) == pytest.approx(float((top - low).max()), abs=0.05)


def test_a_points_distance_from_a_profile_is_that_of_its_outline():
    profile = ((0.0, 15.75), *POD)
    area = Polygon([(0.0, 0.0), *profile, (POD[-1][0], 0.0)])
    rng = np.random.default_rng(3)
    s, r = rng.uniform(-40, 230, 200), rng.uniform(0, 60, 200)
    expected = [area.distance(Point(a, b)) for a, b in zip(s, r, strict=True)]
    assert np.maximum(clear.profile_distance(s, r, profile), 0.0) == pytest.approx(np.array(expected), abs=1e-9)
