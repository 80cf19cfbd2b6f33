"""The camera's fairing: its box goes in, it weighs and sits as drawn, it flies wherever the camera flies."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh
from shapely import Point, Polygon, box, unary_union

import kept
from foamworks.checks import judged
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.additions import Box
from foamworks.design.edit import edited
from foamworks.errors import PhysicsError
from foamworks.output.prints import solids
from foamworks.output.report.page import scene
from foamworks.output.views.outlines import outlines
from foamworks.parts import mesh
from foamworks.parts.base import Arch, PrintPart
from foamworks.parts.fitted import fairing
from foamworks.parts.pose import pose_of
from foamworks.parts.solidmath import Filament, measures, print_part

CAMERA = "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=Z}"
ON_TOP, UNDER = CAMERA.replace("Z", "30"), CAMERA.replace("Z", "-20")
BOXES = [(52, 22, 30), (40, 60, 41), (60, 60, 20), (120, 10, 60), (10, 8, 8), (50, 30, 5)]
every_box = pytest.mark.parametrize("size", BOXES, ids=lambda size: "x".join(map(str, size)))
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    return lambda camera: kept.check(small_file({"camera": camera}))


def made(size: tuple[float, float, float], wall: float = 1.2) -> fairing.Hood:
    length, width, height = size
    return fairing.hood(length=length, width=width, height=height, wall=wall)


def the_part(case: Case) -> PrintPart:
    return next(part for part in case.parts.prints if part.name == "camera fairing")


def found(case: Case, check: str) -> Finding:
    return next(finding for finding in case.findings if finding.check == check)


# --- the shape ---------------------------------------------------------------------------------------------------


def test_a_straight_arch_has_its_closed_forms() -> None:
    """A half pipe over two slabs: radii 10 and 8, legs 20, 50 long; a half disc closes each end of the solid one."""
    shape = Arch(((0.0, 0.0), (0.0, 10.0), (50.0, 10.0), (50.0, 0.0)), 20.0)
    area = math.pi / 2 * 10**2 + 20 * 20
    size = measures(shape)
    assert size.volume == pytest.approx(50 * area, rel=1e-12)
    assert size.area == pytest.approx(2 * area + 50 * (math.pi * 10 + 2 * 20 + 20), rel=1e-12)
    up = (math.pi / 2 * 100 * (20 + 40 / (3 * math.pi)) + 400 * 10) / area  # a half disc's centroid: 4 r/(3 pi)
    assert size.centroid == pytest.approx((25.0, 0.0, up), rel=1e-12)
    assert size.box == (50.0, 20.0, 30.0)


def test_an_arch_without_legs_is_half_a_ball() -> None:
    turn = np.linspace(0, math.pi, 721)
    ball = Arch(tuple((float(-9 * math.cos(t)), abs(float(9 * math.sin(t)))) for t in turn), 0.0)
    size = measures(ball)
    assert size.volume == pytest.approx(2 / 3 * math.pi * 9**3, rel=1e-4)
    assert size.centroid == pytest.approx((0.0, 0.0, 3 / 8 * 9), abs=1e-3)


@every_box
def test_the_camera_goes_in_with_its_clearance_and_the_arch_touches_it(size: tuple[float, float, float]) -> None:
    hood = made(size)
    inside = unary_union([
        Point(0, hood.legs).buffer(hood.half, quad_segs=720), box(-hood.half, 0, hood.half, hood.legs)
    ])  # fmt: skip
    room = box(-size[1] / 2 - 0.5, 0, size[1] / 2 + 0.5, size[2] + 0.5)
    assert room.difference(inside).area < 0.01
    assert inside.exterior.distance(Point(size[1] / 2 + 0.5, size[2] + 0.5)) < 0.01


@every_box
def test_no_wider_or_taller_arch_over_the_box_has_a_smaller_front(size: tuple[float, float, float]) -> None:
    hood, side, top = made(size), size[1] / 2 + 0.5, size[2] + 0.5
    for half in np.linspace(side, math.hypot(side, top), 97):
        legs = top - math.sqrt(half**2 - side**2)
        front = 2 * (half + 1.2) * legs + math.pi / 2 * (half + 1.2) ** 2
        assert hood.frontal_area <= front * (1 + 1e-4)


@every_box
@pytest.mark.parametrize("wall", [0.4, 1.2, 2.4])
def test_the_wall_is_a_wall_all_along(size: tuple[float, float, float], wall: float) -> None:
    """Seen from above and aft of the lips: the hollow grown by 0.9 walls stays in the hood, by 1.1 it does not."""
    hood = made(size, wall)
    points = list(fairing.shape(hood).meridian)
    front = min(range(len(points)), key=lambda i: (round(points[i][0], 6), -points[i][1]))
    hood_seen, hollow = (
        Polygon([(0, 0), *curve]).intersection(box(hood.lip, 0, 1e4, 1e4))
        for curve in (points[front:], points[front - 1 :: -1])
    )
    grown = [hollow.buffer(share * wall).intersection(box(hood.lip, 0, 1e4, 1e4)) for share in (0.9, 1.1)]
    assert grown[0].difference(hood_seen).area < 1e-6
    assert grown[1].difference(hood_seen).area > 0.05 * wall * hood.box_length


@every_box
def test_the_mesh_is_closed_outward_and_as_large_as_on_paper(size: tuple[float, float, float]) -> None:
    part = print_part("camera fairing", fairing.shape(made(size)))
    one = mesh.mesh_part(part)
    back = trimesh.Trimesh(one.vertices, one.triangles, process=False)
    assert back.is_volume
    assert back.volume == pytest.approx(part.volume_mm3, rel=1e-3)
    assert back.center_mass == pytest.approx(measures(part.shape).centroid, abs=0.05)


@pytest.mark.parametrize("forward", [False, True])
@pytest.mark.parametrize(
    "size", [BOXES[0], BOXES[2], *(pytest.param(size, marks=pytest.mark.slow) for size in BOXES[3:])]
)
def test_the_solid_in_the_step_file_is_the_one_on_paper(
    size: tuple[float, float, float], forward: bool, tmp_path: Path
) -> None:
    import cadquery

    part = print_part("camera fairing", fairing.shape(made(size), forward=forward), filament=Filament(1.27))
    solids.write_prints([part], tmp_path)
    back = cadquery.importers.importStep(str(tmp_path / "prints" / "camera-fairing.step")).val()
    assert back.isValid()
    assert len(back.Solids()) == 1
    assert back.Volume() == pytest.approx(part.volume_mm3, rel=1e-3)
    assert back.Area() == pytest.approx(measures(part.shape).area, rel=1e-3)
    assert back.Center().toTuple() == pytest.approx(measures(part.shape).centroid, abs=0.01)


@every_box
def test_it_prints_without_supports_on_its_lips_flat_land(size: tuple[float, float, float]) -> None:
    """The land is half a ring over two straight legs; its foot was an edge of a layer's thickness."""
    hood = made(size)
    pose = pose_of(print_part("camera fairing", fairing.shape(hood)))
    assert (pose.up, pose.supports) == ("x", False)
    inner, outer = hood.opening[0] / 2, hood.opening[0] / 2 + math.tan(math.pi / 8) * hood.lip
    assert outer - inner >= 0.8  # two lines of a 0.4 mm nozzle
    assert pose.foot == pytest.approx(math.pi / 2 * (outer**2 - inner**2) + 2 * (outer - inner) * hood.legs, rel=0.01)
    assert pose.hangs < 0.005


def test_turned_over_it_is_the_same_hood() -> None:
    there, back = (measures(fairing.shape(made(BOXES[0]), forward=forward)) for forward in (False, True))
    assert back.volume == pytest.approx(there.volume, rel=1e-12)
    assert back.centroid == pytest.approx((-there.centroid[0], 0.0, there.centroid[2]), rel=1e-9)


@pytest.mark.parametrize("nozzle", [0.001, 5.0])
@pytest.mark.parametrize("side", [0.01, 500.0])
def test_the_smallest_and_largest_that_can_be_asked_for_are_still_one_closed_body(nozzle: float, side: float) -> None:
    body = Box.model_construct(length=side / 1000, width=side / 1000, height=side / 1000)
    hood = fairing.hood_over(body, Filament(1.27, walls=50, nozzle=nozzle))
    assert hood.wall == max(0.2, 50 * nozzle)
    assert mesh.mesh_part(print_part("camera fairing", fairing.shape(hood))).closed


@pytest.mark.parametrize("wrong", [{"width": 0.0}, {"wall": -1.0}])
def test_a_fairing_over_nothing_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(PhysicsError, match="fairing"):
        fairing.hood(**{"length": 50.0, "width": 20.0, "height": 30.0, "wall": 1.2, **wrong})


# --- on the aircraft ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("camera", "side", "foot"), [(ON_TOP, 1, 15), (UNDER, -1, -5)])
def test_it_stands_on_the_plane_of_the_boxs_foot_with_its_opening_ahead(
    check: Check, camera: str, side: int, foot: float
) -> None:
    part = the_part(check(camera))
    solid = mesh.mesh(part.shape)
    place = part.places[0]
    turn = np.array([[math.cos(place.pitch), -math.sin(place.pitch)], [math.sin(place.pitch), math.cos(place.pitch)]])
    at = solid.vertices[:, [0, 2]] @ turn.T + (place.x, place.z)
    aside = solid.vertices[:, 1] + place.y
    assert sorted((min(side * at[:, 1]), max(side * at[:, 1]))) == pytest.approx(
        [side * foot, side * foot + part.box_mm[2]], abs=0.01
    )
    assert (min(aside) + max(aside)) / 2 == pytest.approx(100.0)
    ahead, behind = np.ptp(aside[at[:, 0] < min(at[:, 0]) + 0.1]), np.ptp(aside[at[:, 0] > max(at[:, 0]) - 0.1])
    assert behind < 2.5  # the tail is an edge
    assert ahead > 10  # the front is the opening
    assert min(at[:, 0]) < 275
    assert max(at[:, 0]) > 325


def test_it_is_a_print_of_its_own_group_and_its_centroid_is_where_it_sits(check: Check) -> None:
    part = the_part(check(UNDER))
    along, _, up = measures(part.shape).centroid
    assert (part.count, part.group) == (1, "camera")
    assert part.x_mm == pytest.approx(part.places[0].x - along, abs=1e-6)
    assert part.z_mm == pytest.approx(-5 - up, abs=1e-6)


def test_every_state_that_carries_the_camera_gains_exactly_the_fairing(check: Check) -> None:
    with_it, without = (check(UNDER + text) for text in ("", "\nfairing = false"))
    assert with_it.study.balance is not None
    assert without.study.balance is not None
    grams = the_part(with_it).mass_g
    assert grams is not None
    assert grams > 5
    for row, bare in zip(with_it.study.balance.rows, without.study.balance.rows, strict=True):
        load = next(load for load in row.loads if load.name == "camera fairing")
        assert load.mass == pytest.approx(grams / 1000)
        assert load.y == pytest.approx(0.100)
        lead = [sum(one.mass for one in each.loads if one.name == "ballast") for each in (row, bare)]
        assert row.mass - bare.mass == pytest.approx(grams / 1000 + lead[0] - lead[1], abs=1e-9)


def test_without_a_place_it_stays_on_the_bench(check: Check) -> None:
    case = check("body = {length=50, width=20, height=30}\nmass = 30")
    part = the_part(case)
    assert (part.x_mm, part.z_mm, part.places) == (None, None, ())
    assert case.study.balance is not None
    assert all(load.name != "camera fairing" for row in case.study.balance.rows for load in row.loads)
    assert found(case, "camera-foot").verdict == "unknown"


@pytest.mark.parametrize("camera", [None, UNDER + "\nfairing = false"])
def test_no_camera_or_none_wanted_no_fairing(check: Check, camera: str | None) -> None:
    assert all(part.name != "camera fairing" for part in check(camera).parts.all())


def test_it_is_drawn_where_it_sits(check: Check) -> None:
    case = check(UNDER)
    drawn = next(outline for outline in outlines(case) if outline.name == "camera fairing")
    part = the_part(case)
    assert np.ptp(np.array(drawn.side[0]), axis=0) == pytest.approx((part.box_mm[0], part.box_mm[2]), abs=0.01)
    assert np.ptp(np.array(drawn.top[0]), axis=0) == pytest.approx(part.box_mm[:2], abs=0.01)
    view = scene(case)
    assert view is not None
    piece = next(one for one in view["parts"] if one["name"] == "camera fairing")
    vertices = np.array(piece["v"]).reshape(-1, 3) / 10
    assert np.ptp(vertices, axis=0) == pytest.approx(part.box_mm, abs=0.3)
    assert max(vertices[:, 2]) == pytest.approx(-5.0, abs=0.1)


# --- what it does to the trim ------------------------------------------------------------------------------------


def test_the_balance_to_one_side_is_mass_times_place_and_the_lead_levels_it(check: Check) -> None:
    case = check(UNDER)
    grams = 30 + the_part(case).mass_g
    said = found(case, "lateral-balance")
    assert said.value == pytest.approx(grams * 100)
    assert f"{grams * 100 / 450:.1f} g of lead into the port wing tip" in said.cure  # half the span of 900 mm
    assert "to starboard" in said.why


def test_a_camera_moved_in_and_lead_in_the_other_tip_level_it_as_they_are_typed(check: Check) -> None:
    case = check(UNDER.replace("y=100", "y=300"))
    pulls = found(case, "lateral-balance")
    assert pulls.verdict == "caution"
    assert len(pulls.proposals) == 2
    for proposal in pulls.proposals:
        typed = judged(edited(case.path, proposal.edits), case.path)
        assert found(typed, "lateral-balance").verdict == "pass"
        assert found(typed, "camera-foot").verdict == found(case, "camera-foot").verdict


def test_a_camera_on_the_centre_line_pulls_to_no_side(check: Check) -> None:
    case = check(UNDER.replace("y=100", "y=0"))
    assert all(finding.check != "lateral-balance" for finding in case.findings)


def test_the_camera_to_port_wants_lead_to_starboard(check: Check) -> None:
    assert "into the starboard wing tip" in found(check(UNDER.replace("y=100", "y=-100")), "lateral-balance").cure


@pytest.mark.parametrize(("z", "verdict"), [(-20.1, "pass"), (-30.1, "caution"), (-10.1, "caution")])
def test_a_foot_off_the_skin_is_said_with_the_place_that_cures_it(check: Check, z: float, verdict: str) -> None:
    """Chord line at y = 100 of 450 is 4.44 mm up; NACA 0010, 25 % of 200 mm: ordinate 4.952 % (Report 460 tables)."""
    said = found(check(CAMERA.replace("Z", str(z))), "camera-foot")
    wanted = 100 / 450 * 20 - 0.04952 * 200 - 15
    assert said.verdict == verdict
    assert said.value == pytest.approx(abs(wanted - z), abs=0.05)
    assert (f"at.z = {wanted:.0f};" in said.cure) == (verdict != "pass")


def test_a_weighed_fairing_replaces_its_estimate(small_file: Callable[..., Path]) -> None:
    case = kept.check(small_file({"camera": UNDER, "[weighed]": 'part = "camera fairing"\nmass = 12.5'}))
    assert the_part(case).mass_g == 12.5


def test_a_camera_alone_gets_its_fairing(tmp_path: Path) -> None:
    path = tmp_path / "camera.toml"
    path.write_text("[camera]\nbody = { length = 52, width = 22, height = 30 }\n")
    case = kept.check(path)
    assert [part.name for part in case.parts.prints] == ["camera fairing"]
