"""What shapes measure on paper, against closed forms and a sum over a fine grid."""

import math

import numpy as np
import pytest
from shapely import Point, Polygon, box

from foamworks.errors import PhysicsError
from foamworks.parts import solidmath
from foamworks.parts.base import BackSection, Extrude, Placement, Revolve, Saddle
from foamworks.parts.solidmath import Filament, measures, print_part

CONE = Revolve(((0.0, 0.0), (60.0, 15.0), (60.0, 0.0)))
RING = Revolve(((0.0, 8.0), (0.0, 14.5), (6.0, 14.5), (6.0, 8.0)))


def test_a_cone_measures_what_euclid_says():
    cone = measures(CONE)
    assert cone.volume == pytest.approx(math.pi * 15**2 * 60 / 3, rel=1e-12)
    assert cone.area == pytest.approx(math.pi * 15 * math.hypot(15, 60) + math.pi * 15**2, rel=1e-12)
    assert cone.centroid == pytest.approx((45.0, 0.0, 0.0), abs=1e-12)
    assert cone.box == (60.0, 30.0, 30.0)


def test_a_ring_measures_as_the_difference_of_two_cylinders():
    ring = measures(RING)
    assert ring.volume == pytest.approx(math.pi * (14.5**2 - 8**2) * 6, rel=1e-12)
    assert ring.area == pytest.approx(2 * math.pi * ((14.5**2 - 8**2) + 6 * (14.5 + 8)), rel=1e-12)
    assert ring.centroid[0] == pytest.approx(3.0)


def test_the_sense_of_the_meridian_does_not_matter():
    back = measures(Revolve(RING.meridian[::-1]))
    assert back.volume == pytest.approx(measures(RING).volume, rel=1e-12)
    assert back.centroid[0] == pytest.approx(3.0)


def test_a_plate_with_a_hole_counts_the_hole_wall():
    plate = measures(Extrude(box(0, 0, 40, 20).difference(box(10, 5, 20, 15)), 3.0))
    assert plate.volume == pytest.approx((800 - 100) * 3)
    assert plate.area == pytest.approx(2 * 700 + (120 + 40) * 3)
    assert plate.centroid == pytest.approx(((800 * 20 - 100 * 15) / 700, 10.0, 1.5))
    assert plate.box == (40.0, 20.0, 3.0)


def round_back(tilt=0.0, body=40.0, bore=16.0, width=24.0, length=60.0, gap=6.0, offset=0.0):
    """A saddle between a straight round body and a straight tube: everything in closed form."""
    sections = tuple(BackSection(x, 2 * body, 2 * body, 0.0) for x in (0.0, length))
    return Saddle(length, width, bore, body + gap + bore, tilt, sections, offset)


def strip(radius, half):
    """Area under a circular arc of this radius over |y| <= half, above its centre."""
    return half * math.sqrt(radius**2 - half**2) + radius**2 * math.asin(half / radius)


@pytest.mark.parametrize("tilt", [0.0, 0.1, 0.6])
def test_a_saddle_between_two_cylinders_has_its_closed_volume(tilt):
    half, body, bore, length, gap = 12.0, 40.0, 16.0, 60.0, 6.0
    mean_axis = body + gap + bore + length / 2 * math.tan(tilt)
    area = 2 * half * mean_axis - strip(bore, half) / math.cos(tilt) - strip(body, half)
    assert measures(round_back(tilt)).volume == pytest.approx(area * length, rel=1e-9)


def test_a_level_saddle_has_its_closed_surface():
    half, body, bore, length, gap = 12.0, 40.0, 16.0, 60.0, 6.0
    end = 2 * half * (body + gap + bore) - strip(bore, half) - strip(body, half)
    arcs = 2 * (bore * math.asin(half / bore) + body * math.asin(half / body))
    side = body + gap + bore - math.sqrt(bore**2 - half**2) - math.sqrt(body**2 - half**2)
    # the ends are summed by the trapezoid rule over 61 stations
    assert measures(round_back()).area == pytest.approx(2 * end + (arcs + 2 * side) * length, rel=1e-4)


def test_a_level_saddle_is_thinnest_under_the_tubes_middle():
    assert solidmath.least_wall(round_back(gap=6.0)) == pytest.approx(6.0, abs=1e-9)


TAPERED = Saddle(
    70.0,
    24.0,
    16.0,
    70.0,
    0.15,
    (BackSection(0.0, 90.0, 96.0, 2.0), BackSection(30.0, 80.0, 70.0, 8.0), BackSection(70.0, 60.0, 64.0, 9.0)),
    -8.0,
)


def test_a_tapered_saddle_agrees_with_a_sum_over_a_fine_grid():
    step = 0.05
    x, y = np.meshgrid(np.arange(step / 2, 70, step), np.arange(-12 + step / 2, 12, step), indexing="ij")
    width = np.interp(x, [0, 30, 70], [90, 80, 60])
    height = np.interp(x, [0, 30, 70], [96, 70, 64])
    back = np.interp(x, [0, 30, 70], [2, 8, 9]) + height / 2 * np.sqrt(1 - (2 * (y + 8) / width) ** 2)
    tube = 70 + x * math.tan(0.15) - np.sqrt(16**2 - y**2) / math.cos(0.15)
    column = (tube - back) * step**2
    size = measures(TAPERED)
    assert size.volume == pytest.approx(column.sum(), rel=1e-5)
    for axis, coordinate in enumerate((x, y, (tube + back) / 2)):
        assert size.centroid[axis] == pytest.approx((coordinate * column).sum() / column.sum(), rel=1e-4, abs=1e-4)
    assert size.high[2] == pytest.approx(tube.max(), abs=0.05)
    assert size.low[2] == pytest.approx(back.min(), abs=0.05)
    slope = [np.gradient(surface, step) for surface in (tube, back)]
    faces = sum(np.sqrt(1 + gx**2 + gy**2).sum() * step**2 for gx, gy in slope)
    walls = sum((tube - back)[:, i].sum() * step for i in (0, -1)) + sum((tube - back)[i].sum() * step for i in (0, -1))
    assert size.area == pytest.approx(faces + walls, rel=2e-3)


def test_a_thin_print_is_solid_and_a_thick_one_has_skin_and_infill():
    filament = {"density": 1.2, "walls": 2, "nozzle": 0.5, "infill": 0.2}
    assert solidmath.print_mass(volume=1000.0, area=5000.0, **filament) == pytest.approx(1.2)
    cube = solidmath.print_mass(volume=8000.0, area=2400.0, **filament)
    assert cube == pytest.approx(1.2e-3 * (2400 + 0.2 * 5600))


@pytest.mark.parametrize("keys", [{"density": 0.0}, {"walls": 0}, {"nozzle": -0.4}, {"infill": 1.5}])
def test_a_print_of_nothing_is_refused(keys):
    with pytest.raises(PhysicsError, match="density"):
        solidmath.print_mass(volume=1.0, area=1.0, **{"density": 1.2, "walls": 3, "nozzle": 0.4, "infill": 0.1, **keys})


def test_two_places_give_two_pieces_and_their_common_centroid():
    places = (Placement(100.0, 60.0, 50.0, 0.0), Placement(140.0, -60.0, 70.0, 0.0))
    part = print_part("ring", RING, filament=Filament(1.27), places=places)
    assert (part.count, part.x_mm, part.z_mm) == (2, pytest.approx(123.0), pytest.approx(60.0))


def test_a_bench_part_has_no_place_and_without_filament_no_mass():
    part = print_part("gauge", RING)
    assert (part.count, part.x_mm, part.z_mm) == (1, None, None)
    assert math.isnan(part.mass_g)


def test_a_quarter_turn_down_lays_an_extruded_parts_own_z_along_x():
    place = Placement(100.0, 5.0, 50.0, -math.pi / 2)
    assert solidmath.on_aircraft((0.0, 3.0, 8.0), place) == pytest.approx((108.0, 8.0, 50.0))


def test_a_disc_with_an_offset_centre_keeps_its_centroid():
    plate = measures(Extrude(Polygon(Point(7, -3).buffer(10, quad_segs=64)), 2.0))
    assert plate.centroid == pytest.approx((7.0, -3.0, 1.0), abs=1e-9)
