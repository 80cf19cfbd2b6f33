"""The pod's parts on paper: stations, nose meridian, rings, mount, and the gap over the back."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from foamworks.errors import PhysicsError
from foamworks.parts import mount, nose, pod, rings
from foamworks.parts.base import BackSection
from foamworks.parts.pod_bought import pod_bought
from foamworks.parts.solidmath import Filament, measures
from foamworks.physics import profiles

TUBE = {"tube_inner": 29.5, "tube_outer": 31.5}
D24 = pod.MotorSize("24 mm D class", 24.0, 70.0)
F29 = pod.MotorSize("29 mm F class", 29.0, 98.0)
ROWS = [(0, 6, 6, -4), (90, 66, 72, 0), (260, 92, 108, 8), (480, 88, 92, 8), (700, 62, 66, 12), (812, 52, 54, 14)]
JET = tuple(BackSection(*row) for row in ROWS)


def layout(**keys):
    return pod.pod_layout(**{"tube_length": 120.0, "nose_length": 62.0, "motors": (D24, F29), **TUBE, **keys})


# --- stations along the axis -------------------------------------------------------------------------------------


def test_the_stations_follow_one_another_without_overlap():
    at = layout()
    assert at.tube == (8.0, 128.0)
    assert at.thrust_ring[0] == pytest.approx(98.0 + pod.WASHER + 0.4)  # play, 0.3 to 0.5 mm wanted
    assert at.thrust_ring[1] <= at.shoulder[0] <= at.shoulder[1] == at.tube[1] == at.nose[0]
    assert at.nose[1] == 190.0


def test_a_shorter_motor_gets_a_stop_as_long_as_the_difference():
    fits = {fit.motor.name: fit for fit in layout().motors}
    assert fits[D24.name].stop == pytest.approx(28.0)
    assert fits[D24.name].centred
    assert fits[F29.name].stop == 0.0
    assert not fits[F29.name].centred


def test_the_default_shoulder_gives_way_to_the_longest_motor():
    at = layout(tube_length=115.0)
    assert at.motors[1].fits
    assert at.shoulder[1] - at.shoulder[0] == pytest.approx(123.0 - 105.9)


@pytest.mark.parametrize(
    ("keys", "reason"),
    [
        ({"tube_length": 100.0}, "9.9 mm too short"),  # 98 + 1.5 + 6 + 12 of shoulder - 8 proud = 109.5
        ({"shoulder": 25.0}, "2.9 mm too short"),
        ({"motors": (pod.MotorSize("fat", 38.0, 90.0),)}, "38 mm wide, the tube 29.5 mm inside"),
        ({"motors": (pod.MotorSize("stub", 29.0, 20.0),)}, "only 20 mm long"),
    ],
)
def test_a_motor_without_a_stop_ahead_says_why(keys, reason):
    fit = layout(**keys).motors[-1]
    assert not fit.fits
    assert reason in fit.reason


def test_a_nominal_29_mm_motor_fits_the_29_mm_tube_of_the_trade():
    # tube 28.96/30.99 for 29 mm motors (makers' tables, read)
    assert layout(tube_inner=28.96, tube_outer=30.99).motors[1].fits


# --- nose cone ---------------------------------------------------------------------------------------------------

PROFILES = [
    ("cone", None),
    ("tangent_ogive", None),
    ("ellipse", None),
    ("parabola", None),
    ("power", 0.1),
    ("power", 0.5),
    ("haack", -0.5),
    ("haack", 1.0),
    ("von_karman", None),
    ("lv_haack", None),
]
every_profile = pytest.mark.parametrize(("profile", "parameter"), PROFILES)


def cone(profile="von_karman", parameter=None, **keys):
    return nose.nose_cone(**{"profile": profile, "parameter": parameter, "length": 62.0, **TUBE, **keys})


def outer_curve(profile, parameter):
    """From the tip's flat to the base, of a cone without a shoulder."""
    bare = nose.nose_cone(profile=profile, parameter=parameter, length=62.0, tube_outer=31.5).meridian
    base = next(i for i, (x, _) in enumerate(bare) if x >= 62.0)
    return bare[1 : base + 1]


@every_profile
def test_the_meridian_is_one_simple_loop_off_the_axis_but_for_its_flats(profile, parameter):
    points = cone(profile, parameter).meridian
    assert Polygon(points).is_valid
    on_axis = [i for i, (_, r) in enumerate(points) if r == 0]
    assert on_axis == [0, len(points) - 1]
    assert points[1][1] == points[-2][1] == pytest.approx(nose.TIP_FLAT)


@every_profile
def test_the_outer_curve_lies_on_the_profile(profile, parameter):
    outer = outer_curve(profile, parameter)
    x, r = np.array(outer).T
    exact = profiles.radius(profile=profile, parameter=parameter, x=x, length=62.0, base_radius=15.75)
    assert r[1:] == pytest.approx(exact[1:], abs=1e-9)
    assert outer[-1] == pytest.approx((62.0, 15.75))


@every_profile
def test_the_outer_body_has_the_profiles_volume(profile, parameter):
    outer = outer_curve(profile, parameter)
    x, r = np.array([(outer[0][0], 0.0), *outer, (62.0, 0.0)]).T
    frusta = math.pi / 3 * np.sum(np.diff(x) * (r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2))
    closed = profiles.volume(profile=profile, parameter=parameter, length=62.0, base_radius=15.75)
    assert frusta == pytest.approx(closed, rel=3e-4)


@every_profile
def test_the_skin_is_nowhere_thinner_than_the_wall(profile, parameter):
    shape = cone(profile, parameter)
    base = next(i for i, (x, _) in enumerate(shape.meridian) if x >= 62.0)
    inside = [p for p in shape.meridian[base + 4 : -1] if p[0] < 61]
    skin = LineString(shape.meridian[1 : base + 1])
    assert inside
    assert min(skin.distance(Point(p)) for p in inside) >= 1.2 - 0.02


def test_shoulder_and_cone_are_joined_by_a_whole_wall():
    # the trap: an inner cone as wide as the shoulder's outside leaves two loose solids
    loop = Polygon(cone().meridian)
    neck = loop.intersection(Polygon([(61.9, 0), (62.1, 0), (62.1, 20), (61.9, 20)]))
    _, low, _, high = neck.bounds
    assert (29.5 - 0.25) / 2 - low >= 1.2 - 1e-9
    assert high - 14.625 == pytest.approx(62 - 61.9 + 0.125, abs=0.01)  # the flare, 45 deg from the shoulder


def test_the_shoulder_fits_the_tube_with_its_clearance():
    points = cone(shoulder=20.0).meridian
    assert max(r for x, r in points if x > 62.0) == pytest.approx((29.5 - 0.25) / 2)
    assert max(x for x, _ in points) == 82.0


def test_a_tube_of_unknown_bore_gets_a_nose_without_a_shoulder():
    points = cone(tube_inner=None).meridian
    assert max(x for x, _ in points) == 62.0


def test_a_wall_thicker_than_the_nose_makes_it_solid():
    shape = cone(wall=20.0)
    plain = profiles.volume(profile="von_karman", length=62.0, base_radius=15.75)
    plug = math.pi * 14.625**2 * nose.default_shoulder(31.5)
    assert measures(shape).volume == pytest.approx(plain + plug, rel=2e-3)  # the shoulder's chamfer is left out


@pytest.mark.parametrize("keys", [{"wall": 0.0}, {"tube_inner": 40.0}, {"tube_outer": 1.0}, {"length": -1.0}])
def test_a_nose_that_cannot_be_is_refused(keys):
    with pytest.raises(PhysicsError, match="must"):
        cone(**keys)


@pytest.mark.parametrize(("outer", "length"), [(10.0, 12.0), (31.5, 18.9), (99.0, 30.0)])
def test_the_default_shoulder_is_customary(outer, length):
    assert nose.default_shoulder(outer) == pytest.approx(length)


# --- rings and retainer ------------------------------------------------------------------------------------------


def test_the_thrust_ring_bears_three_millimetres_wide_on_the_smallest_motor():
    x, r = np.array(rings.thrust_ring(tube_inner=29.5, motor=24.0).meridian).T
    assert (r.max(), r.min()) == (pytest.approx(14.625), pytest.approx(9.0))
    assert np.ptp(x) == rings.RING_LENGTH


def test_a_centring_ring_holds_motor_and_card_or_gives_way_to_card():
    ring = rings.centring_ring(tube_inner=29.5, motor=24.0)
    assert min(r for _, r in ring.meridian) == pytest.approx((24 + 1 + 0.3) / 2)
    assert rings.centring_ring(tube_inner=29.5, motor=27.0) is None


@pytest.mark.parametrize(("motor", "length"), [(24.0, 28.0), (29.0, 28.0), (24.0, 4.0), (18.0, 30.0)])
def test_a_stop_is_as_long_as_asked_and_slides_in_the_tube(motor, length):
    size = measures(rings.stop(tube_inner=29.5, motor=motor, length=length))
    assert size.box == pytest.approx((length, 29.25, 29.25))


def test_the_plate_holds_the_largest_motor_and_leaves_its_nozzle_open():
    plate = rings.cap_plate(tube_outer=31.5, motor=29.0).outline
    opening = max(plate.interiors, key=lambda hole: Polygon(hole).area)
    assert Polygon(opening).area == pytest.approx(math.pi * 12.5**2, rel=2e-4)
    assert len(plate.interiors) == 3


@pytest.mark.parametrize("outer", [14.0, 18.69, 31.5, 60.0])
def test_the_screws_have_plastic_all_round_and_miss_the_tube(outer):
    hole = rings.screw_offset(outer) - rings.SCREW_HOLE / 2
    assert hole - (outer + rings.SLIDE) / 2 >= 1.2
    assert len(rings.collar(tube_outer=outer).outline.interiors) == 3


def parts(**keys):
    at = layout(**{k: v for k, v in keys.items() if k in {"motors", "tube_length"}})
    place = pod.PodPlace(700.0, 101.0, keys.get("downthrust", 0.1), keys.get("ys", (0.0,)))
    retainer = keys.get("retainer", "cap")
    prints = pod.pod_prints(at, place, retainer=retainer, filament=Filament(1.27), **TUBE)
    bought = pod_bought(at, place, retainer=retainer, **TUBE)
    return {part.name: part for part in (*prints, *bought)}


def test_a_part_that_serves_one_motor_carries_its_name():
    owners = {name: part.motor for name, part in parts().items() if part.motor}
    assert owners["stop for 24 mm D class"] == D24.name
    assert owners["centring ring for 24 mm D class"] == D24.name
    assert owners["washer behind 29 mm F class"] == F29.name
    assert parts()["thrust ring"].motor is None


def test_a_part_sits_on_the_tilted_axis():
    ring = parts(downthrust=0.2)["thrust ring"]
    s = 98.0 + pod.WASHER + 0.4 + rings.RING_LENGTH / 2
    assert (ring.x_mm, ring.z_mm) == pytest.approx((700 - s * math.cos(0.2), 101 - s * math.sin(0.2)))


def test_the_collar_covers_the_tubes_aft_end_and_the_plate_stands_behind_the_nozzle():
    held = parts(downthrust=0.0)
    assert held["retainer collar"].x_mm == pytest.approx(700 - 8 - 7)
    assert held["retainer ring"].x_mm == pytest.approx(700 - (8 - 1.5) / 2)
    assert held["retainer plate"].x_mm == pytest.approx(700 + 1.5 + 1.5)


def test_the_hook_takes_the_place_of_cap_and_screws():
    held = parts(retainer="hook")
    assert "motor hook" in held
    assert not any(name.startswith(("retainer", "washer behind")) for name in held)


def test_two_pods_double_every_piece_that_flies():
    one, two = parts(), parts(ys=(60.0, -60.0))
    flying = [name for name, part in one.items() if part.x_mm is not None]
    assert all(two[name].count == 2 * one[name].count for name in flying)
    assert two["ring gauge"].count == 1


def test_a_paper_tube_weighs_its_volume():
    # 0.75 g/cm3 on pi/4 (31.5^2 - 29.5^2) 120 mm3
    assert parts()["pod tube"].mass_g == pytest.approx(math.pi / 4 * (31.5**2 - 29.5**2) * 120 * 0.75e-3)


def test_a_tube_of_an_unknown_material_has_no_mass():
    place = pod.PodPlace(700.0, 101.0, 0.1)
    tube = pod_bought(layout(), place, material="something light", **TUBE)[0]
    assert math.isnan(tube.mass_g)


# --- the gap over the back ---------------------------------------------------------------------------------------

FLAT = (BackSection(0.0, 80.0, 80.0, 0.0), BackSection(1000.0, 80.0, 80.0, 0.0))  # a level back at z = 40
ROD = [(0.0, 10.0), (200.0, 10.0)]  # a bare tube of radius 10 from the nozzle 200 mm forward


def gap(tilt, sections=FLAT, nozzle=(900.0, 100.0), **keys):
    return mount.clearance(sections=sections, lower=ROD, nozzle=nozzle, downthrust=math.radians(tilt), **keys)


@pytest.mark.parametrize("tilt", [0.0, 5.0, 10.0])
def test_the_gap_over_a_level_back_is_that_of_the_front_lower_corner(tilt):
    d = math.radians(tilt)
    assert gap(tilt) == pytest.approx(100 - 200 * math.sin(d) - 10 * math.cos(d) - 40, abs=1e-9)


def test_a_bite_is_negative_and_as_deep_as_it_goes():
    d = math.radians(20)
    assert gap(20.0) == pytest.approx(100 - 200 * math.sin(d) - 10 * math.cos(d) - 40, abs=1e-6)
    assert gap(20.0) < 0


def test_a_sloping_back_is_measured_square_to_its_line():
    slope = math.atan(0.2)
    sections = (BackSection(0.0, 80.0, 0.0, 0.0), BackSection(1000.0, 80.0, 0.0, 200.0))
    # a parallel rod: tilt aft end high by the same angle; its axis passes (900, 300), the back z = 0.2 x
    expected = (300 - 0.2 * 900) * math.cos(slope) - 10
    assert gap(math.degrees(slope), sections, (900.0, 300.0)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("y", [24.0, 41.0])
def test_beside_the_centre_line_the_nearest_of_a_round_body_counts(y):
    # a tube of radius 10 over a round body of radius 40, both level: in the plane y = 24 the gap is 58, all round 52.8
    assert gap(0.0, y=y) == pytest.approx(math.hypot(y, 100) - 40 - 10, abs=1e-6)


def test_the_greatest_tilt_leaves_just_the_air_gap():
    tilt = mount.greatest_tilt(sections=FLAT, lower=ROD, nozzle=(900.0, 100.0), air_gap=4.0)
    # 60 - 4 = 200 sin d + 10 (cos d), solved apart: R sin(d + phi), R = hypot(200, 10)
    closed = math.asin((100 - 40 - 4) / math.hypot(200, 10)) - math.atan2(10, 200)
    assert tilt == pytest.approx(closed, abs=2e-7)


def test_a_pod_with_room_enough_may_tilt_to_the_limit():
    assert mount.greatest_tilt(sections=FLAT, lower=ROD, nozzle=(900.0, 400.0), air_gap=4.0) == mount.GREATEST_TILT


def test_a_pod_sunk_in_the_back_has_no_tilt():
    assert mount.greatest_tilt(sections=FLAT, lower=ROD, nozzle=(900.0, 45.0), air_gap=4.0) is None


def test_the_nose_counts_in_what_must_clear():
    at, shape = layout(), cone()
    side = pod.lower_side(at, tube_outer=31.5, nose=shape)
    assert side[0] == (8.0, 15.75)
    assert side[-1][0] == pytest.approx(190.0, abs=0.5)
    assert all(a[0] < b[0] for a, b in itertools.pairwise(side))
    bare = pod.lower_side(at, tube_outer=31.5)
    keys = {"sections": JET, "nozzle": (700.0, 101.0), "air_gap": 4.0}
    assert mount.greatest_tilt(lower=side, **keys) < mount.greatest_tilt(lower=bare, **keys)


# --- the mount ---------------------------------------------------------------------------------------------------


def stand(**keys):
    given = {"sections": JET, "nozzle": (700.0, 101.0), "downthrust": 0.14, "tube_outer": 31.5, "span": (38.0, 98.0)}
    return mount.mount(**{**given, **keys})


def test_the_mount_stands_on_the_back_and_under_the_tube():
    (part,) = stand().prints
    place, shape = part.places[0], part.shape
    assert place.x + shape.sections[0].x == pytest.approx(700 - 98 * math.cos(0.14))
    # its axis is the pod's axis
    assert place.z + shape.axis_z == pytest.approx(101 - (700 - place.x) * math.tan(0.14))
    # and its sections are the body's
    middle = shape.sections[0]
    assert middle.width == pytest.approx(np.interp(place.x, [480, 700], [88, 62]))
    assert middle.z + place.z == pytest.approx(np.interp(place.x, [480, 700], [8, 12]))
    assert part.min_wall_mm >= mount.LEAST_WALL


def test_a_mount_longer_than_the_bed_is_split_where_it_stands():
    whole = stand().prints[0]
    pieces = stand(bed=(40.0, 40.0, 40.0)).prints
    assert [part.name for part in pieces] == ["pod mount 1 of 2", "pod mount 2 of 2"]
    assert sum(part.volume_mm3 for part in pieces) == pytest.approx(whole.volume_mm3, rel=1e-9)
    assert all(part.box_mm[0] <= 40 for part in pieces)


@pytest.mark.parametrize(
    ("keys", "reason"),
    [
        ({"nozzle": (700.0, 75.0)}, "mm into the back; a mount needs 2 mm: raise the nozzle"),
        ({"sections": FLAT, "nozzle": (900.0, 57.0), "downthrust": 0.0}, "only 1.2 mm under the tube"),
        ({"nozzle": (900.0, 101.0)}, "the fuselage lies under less than"),
        ({"y": 40.0}, "the back is only"),
    ],
)
def test_a_mount_that_cannot_stand_says_why(keys, reason):
    made = stand(**keys)
    assert made.prints == ()
    assert reason in made.reason


def test_twin_mounts_are_mirror_images():
    wide = tuple(replace(section, width=3 * section.width) for section in JET)
    right, left = (stand(sections=wide, y=y).prints[0] for y in (25.0, -25.0))
    assert right.volume_mm3 == pytest.approx(left.volume_mm3, rel=1e-12)
    assert right.shape.body_offset_y == -left.shape.body_offset_y == -25.0
