"""Prints as they stand on the bed: read back from the files, and measured by a mesh library of its own."""

import itertools
from functools import cache
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh
from shapely import MultiPoint, Point, box

import kept
from foamworks.output.prints import solids
from foamworks.parts.fitted import fairing
from foamworks.parts.make import make
from foamworks.parts.mesh import mesh
from foamworks.parts.mounted_pod import layout_of
from foamworks.parts.nose import nose_cone, nose_print
from foamworks.parts.pose import TURNS, pose_of, posed
from foamworks.parts.rings import notched_thrust_ring, stop
from foamworks.parts.solidmath import on_aircraft, print_part
from kept import check
from varied import VARIED

DESIGNS = Path(__file__).parents[1] / "designs"
BED = (220.0, 220.0, 250.0)
NAMES = [path.stem for path in sorted(DESIGNS.glob("*.toml"))]


@cache
def prints(name):
    return check(DESIGNS / f"{name}.toml").parts.prints


def hanging(body):
    """Share of the surface steeper than 45 degrees that is not on the bed, and the area that is [mm2]."""
    low = body.vertices[:, 2].min()
    down = body.face_normals[:, 2] < -np.sin(np.radians(45.1))
    lies = down & (body.triangles[:, :, 2].max(axis=1) < low + 0.02)
    return body.area_faces[down & ~lies].sum() / body.area, body.area_faces[lies].sum()


SIX = [
    trimesh.transformations.rotation_matrix(angle, axis)
    for angle, axis in [(0, (1, 0, 0)), *((np.pi / 2 * k, (1, 0, 0)) for k in (1, 2, 3))]
    + [(np.pi / 2 * k, (0, 1, 0)) for k in (1, 3)]
]


def check_poses(parts):
    for part in parts:
        made = mesh(part.shape)
        body = trimesh.Trimesh(made.vertices, made.triangles, process=False)
        tried = [hanging(body.copy().apply_transform(turn)) for turn in SIX]
        best = min((share for share, foot in tried if foot >= 25), default=min(share for share, _ in tried))
        stands = posed(made, pose_of(part).up)
        share, foot = hanging(trimesh.Trimesh(stands.vertices, stands.triangles, process=False))
        assert stands.vertices.min(axis=0) == pytest.approx([0, 0, 0], abs=1e-9), part.name
        assert share <= best + 0.02, part.name
        assert foot >= 25, part.name
        assert share == pytest.approx(pose_of(part).hangs, abs=0.01), part.name
        assert pose_of(part).supports == (share > 0.03), part.name


@pytest.mark.parametrize("name", NAMES)
def test_no_print_hangs_more_than_in_the_best_of_the_six_axis_poses(name):
    check_poses(prints(name))


@pytest.mark.slow
@pytest.mark.parametrize("name", VARIED)
def test_nor_does_one_of_other_tubes_noses_retainers_and_cameras(name, small_file):
    made = kept.check(small_file(VARIED[name])).parts.prints
    assert made
    check_poses(made)


@pytest.mark.parametrize(("inner", "motor"), [(18.4, 18), (25, 24), (29.5, 24), (29.5, 29), (39, 38)])
def test_the_notched_ring_stays_closed_and_sound(inner, motor):
    """Its notch used to end on the bore, or in it: the solid fell open, or was none."""
    ring = notched_thrust_ring(tube_inner=inner, motor=motor, wire=1.5, reach=3.0)
    (bore,) = ring.outline.interiors
    assert bore.distance(ring.outline.exterior) >= 1.6 - 1e-2  # four lines of a 0.4 mm nozzle under the notch
    made = solids.solid(ring)
    assert made.isValid()
    assert made.Volume() == pytest.approx(ring.outline.area * 6.0, rel=1e-3)


@pytest.mark.parametrize("up", TURNS)
def test_a_pose_is_a_turn_and_never_a_mirror_image(up):
    turn = np.array(TURNS[up])
    assert np.linalg.det(turn) == pytest.approx(1)
    axis = dict(zip("xyz", np.eye(3), strict=True))[up[-1]] * (-1 if up.startswith("-") else 1)
    assert turn @ axis == pytest.approx([0, 0, 1])


@pytest.mark.parametrize(
    ("part", "up", "brim"),
    [
        # a nose tip up on its shoulder, a stop on its flange (aft), a plate of the retainer flat, a hood on its mouth
        (nose_print(nose_cone(profile="von_karman", length=80, tube_outer=31.5, tube_inner=29.5)), "-x", True),
        (print_part("stop", stop(tube_inner=29.5, motor=24.0, length=28.0)), "-x", False),
        (print_part("ring", notched_thrust_ring(tube_inner=29.5, motor=24.0, wire=1.5, reach=3.0)), "z", False),
        (print_part("hood", fairing.shape(fairing.hood(length=52, width=22, height=30, wall=1.2))), "x", True),
    ],
    ids=lambda value: getattr(value, "name", None),
)
def test_each_kind_stands_as_its_geometry_asks(part, up, brim):
    pose = pose_of(part)
    assert (pose.up, pose.supports, pose.brim) == (up, False, brim)
    assert "no supports" in pose.words
    assert ("a brim" in pose.words) == brim


@pytest.mark.parametrize("wall", [0.8, 1.0, 1.2, 2.0])
@pytest.mark.parametrize("inner", [27.5, 29.5])
def test_a_nose_hangs_only_at_its_hollows_end_and_stands_on_two_lines_of_the_nozzle(wall, inner):
    shape = nose_cone(profile="von_karman", length=62, tube_outer=31.5, tube_inner=inner, wall=wall, nozzle=0.4)
    stands = posed(mesh(shape), "-x")
    share, foot = hanging(trimesh.Trimesh(stands.vertices, stands.triangles, process=False))
    assert share < 1e-4  # the hollow's flat end, 0.8 mm across, alone
    radius = (inner - 0.25) / 2
    # two lines wide, at its smallest just inside the greatest lead-in of 0.6 mm
    assert foot >= 0.995 * np.pi * ((radius - 0.6) ** 2 - (radius - 1.4) ** 2)


def test_the_tubes_end_bears_on_the_flare_at_the_noses_base():
    # the tube's inner edge (r = 14.75) at the base, x = 62: the nose passes through it, and stays inside the tube aft
    shape = nose_cone(profile="ellipse", length=62, tube_outer=31.5, tube_inner=29.5)
    x, r = np.array(shape.meridian).T
    base = int(np.argmax(x > 62))
    assert np.interp(62, x[base - 1 : base + 1], r[base - 1 : base + 1]) == pytest.approx(14.75, abs=1e-6)
    assert r[x > 62].max() <= 14.75


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    solids.write_prints(prints("skerry-boost"), folder, BED)
    return folder / "prints"


def read(path):
    """Read a 3MF file with the format's own library, strictly: its build items as (name, vertices where they lie)."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    items, found = model.GetBuildItems(), []
    while items.MoveNext():
        item = items.GetCurrent()
        thing = model.GetMeshObjectByID(item.GetObjectResource().GetResourceID())
        assert thing.IsManifoldAndOriented()
        spots = np.array([vertex.Coordinates for vertex in thing.GetVertices()])
        turn = np.array([list(row) for row in item.GetObjectTransform().Fields])
        found.append((thing.GetName(), spots @ turn[:3] + turn[3]))
    return found


def test_stl_and_3mf_stand_in_the_positive_corner(built):
    for part, name in zip(
        prints("skerry-boost"), solids.safe_names([p.name for p in prints("skerry-boost")]), strict=True
    ):
        low = trimesh.load(built / f"{name}.stl").bounds[0]
        assert low == pytest.approx([0, 0, 0], abs=1e-5), name
        ((called, spots),) = read(built / f"{name}.3mf")
        assert called == part.name
        assert spots.min(axis=0) == pytest.approx([0, 0, 0], abs=1e-5)
        assert np.ptp(spots[:, 2]) == pytest.approx(pose_of(part).height, abs=0.2)


def test_the_plates_hold_every_piece_once_on_the_bed_and_apart(built):
    pieces = [row for path in sorted(built.glob("plate-*.3mf")) for row in read(path)]
    wanted = {part.name: part.count for part in prints("skerry-boost")}
    names = [name for name, _ in pieces]
    assert {name: names.count(name) for name in set(names)} == wanted
    for path in built.glob("plate-*.3mf"):
        there = read(path)
        for name, spots in there:
            assert spots[:, 2].min() == pytest.approx(0, abs=1e-5), name
            assert spots[:, :2].min() >= 5 - 1e-3
            assert spots[:, :2].max() <= 215 + 1e-3
        hulls = [MultiPoint(spots[:, :2]).convex_hull for _, spots in there]
        assert all(a.distance(b) >= 4 - 1e-3 for a, b in itertools.combinations(hulls, 2))


def test_more_than_one_bed_takes_makes_more_plates_and_what_is_too_tall_makes_none(tmp_path):
    cone = nose_print(nose_cone(profile="cone", length=60, tube_outer=31.5, tube_inner=29.5), count=5)
    solids.write_prints([cone], tmp_path, (80.0, 80.0, 100.0))
    assert [len(read(path)) for path in sorted((tmp_path / "prints").glob("plate-*"))] == [3, 2]
    solids.write_prints([cone], tmp_path / "low", (80.0, 80.0, 70.0))
    assert not list((tmp_path / "low").rglob("plate-*"))


def test_a_hook_goes_through_the_tube_into_the_rings_notch(small):
    design = small(
        {
            "pod": (
                "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = 6\n"
                'nose = { profile = "cone", length = 50 }\nretainer = "hook"'
            )
        }
    )
    made, layout = make(design), layout_of(design)
    ring = next(part for part in made.prints if part.name == "thrust ring")
    hook = next(part for part in made.bought if part.name == "motor hook")
    # the wire's end, in the ring's own frame, stands within the notch; the ring's bearing face keeps its bore
    end = hook.shape.outline.exterior.coords
    inward = [y for x, y in end if 0 <= x <= 1.5 and y < 12.5]
    assert min(inward) == pytest.approx(12.5 - 3.0)
    wire = box(-13.25, -0.75, -min(inward), 0.75)
    assert not ring.shape.outline.intersects(wire)
    assert ring.shape.outline.distance(wire) == pytest.approx(0.25, abs=1e-6)
    assert ring.shape.outline.contains(Point(12.0, 0.0))
    # the notch is on top, half way along the ring: 70 + 1.5 + 0.4 + 3 ahead of the nozzle
    x, _, z = on_aircraft((-12.4, 0.0, 3.0), ring.places[0])
    s = 70 + 1.5 + 0.4 + 3
    tilt = np.radians(6)
    assert x == pytest.approx(690 - s * np.cos(tilt) - 12.4 * np.sin(tilt))
    assert z == pytest.approx(95 - s * np.sin(tilt) + 12.4 * np.cos(tilt))
    assert f"{s - 8:.1f} mm from the tube's aft end" in hook.note
    assert layout.thrust_ring == pytest.approx((71.9, 77.9))
