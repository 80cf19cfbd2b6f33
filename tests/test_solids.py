"""Solids and their files: weighed against the paper, read back, closed, named, the same bytes in every process."""

import hashlib
import math
import re
import subprocess
import sys
import time
from dataclasses import replace

import pytest
import trimesh
from shapely import Point, box

from foamworks.errors import GateError, KernelMissing
from foamworks.output.prints import solids
from foamworks.parts import rings
from foamworks.parts.base import BackSection, Extrude, Placement, Revolve, Saddle
from foamworks.parts.fitted import fairing
from foamworks.parts.nose import nose_cone, nose_print
from foamworks.parts.solidmath import Filament, measures, print_part
from foamworks.physics import profiles

PROFILES = [
    ("cone", None),
    ("tangent_ogive", None),
    ("ellipse", None),
    ("parabola", None),
    ("power", 0.1),
    ("power", 0.5),
    ("power", 0.75),
    ("haack", -0.5),
    ("haack", 1.0),
    ("von_karman", None),
    ("lv_haack", None),
]
every_profile = pytest.mark.parametrize(("profile", "parameter"), PROFILES)
JET = (BackSection(0.0, 88.0, 92.0, 8.0), BackSection(30.0, 80.0, 84.0, 9.0), BackSection(60.0, 62.0, 60.0, 12.0))


def saddle(tilt=0.12, offset=0.0, sections=JET, axis=72.0):
    return Saddle(60.0, 24.0, 16.0, axis, tilt, sections, offset)


def some_prints():
    """A nose, a ring at two places, a collar, a mount, a sewn hood and a bench part."""
    over = fairing.shape(fairing.hood(length=52.0, width=22.0, height=30.0, wall=1.2))
    cone = nose_cone(profile="von_karman", length=62.0, tube_outer=31.5, tube_inner=29.5)
    ring = rings.centring_ring(tube_inner=29.5, motor=24.0)
    two = (Placement(600.0, 0.0, 90.0, 0.1), Placement(650.0, 0.0, 95.0, 0.1))
    quarter = Placement(690.0, 0.0, 99.0, 0.1 - math.pi / 2)
    return [
        nose_print(cone, filament=Filament(1.27), places=(Placement(510.0, 0.0, 82.0, 0.1),)),
        print_part("centring ring for 24 mm Grün", ring, places=two, motor="24 mm Grün", group="pod"),
        print_part("retainer collar", rings.collar(tube_outer=31.5), places=(quarter,), group="pod"),
        print_part("pod mount", saddle(), places=(Placement(600.0, 0.0, 40.0),), group="pod"),
        print_part("camera fairing", over, places=(Placement(280.0, 150.0, 10.0),), group="pod"),
        print_part("ring gauge", rings.ring_gauge(tube_inner=29.5), group="pod"),
    ]


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    solids.write_prints(some_prints(), folder)
    return folder, some_prints()


def step_solids(path):
    import cadquery

    return cadquery.importers.importStep(str(path)).val()


# --- solids against closed forms and the paper -------------------------------------------------------------------

# L = 60, R = 15, checks of nose shapes N1 to N8 (closed forms re-derived, see tests/published/test_nose_shapes.py)
NOSES = [
    ("cone", None, 14137.17),
    ("ellipse", None, 28274.33),
    ("von_karman", None, 21205.75),
    ("lv_haack", None, 23856.47),
    ("parabola", 1.0, 22619.47),
    ("power", 0.5, 21205.75),
    ("power", 0.75, 16964.60),
]


@pytest.mark.parametrize(("profile", "parameter", "volume"), NOSES)
def test_a_solid_nose_has_its_published_volume_in_the_step_file(profile, parameter, volume, tmp_path):
    shape = nose_cone(profile=profile, parameter=parameter, length=60.0, tube_outer=30.0, wall=40.0)
    solids.write_prints([nose_print(shape)], tmp_path)
    assert step_solids(tmp_path / "prints" / "nose-cone.step").Volume() == pytest.approx(volume, rel=1e-4)


@every_profile
@pytest.mark.parametrize(
    "length", [62.0, pytest.param(16.0, marks=pytest.mark.slow), pytest.param(200.0, marks=pytest.mark.slow)]
)
def test_every_hollow_nose_passes_its_gate(profile, parameter, length):
    shape = nose_cone(profile=profile, parameter=parameter, length=length, tube_outer=31.5, tube_inner=29.5)
    made = solids.gated(nose_print(shape))
    assert made.Volume() == pytest.approx(measures(shape).volume, rel=3e-4)


@pytest.mark.parametrize("tube", [(10.0, 9.2), (18.69, 18.03), (30.99, 28.96), (80.0, 76.0)])
def test_noses_of_small_and_large_tubes_pass_their_gate(tube):
    shape = nose_cone(profile="tangent_ogive", length=2 * tube[0], tube_outer=tube[0], tube_inner=tube[1])
    assert solids.gated(nose_print(shape)).isValid()


def test_the_hollow_of_a_nose_is_the_cone_inside_it():
    # a cone of half angle a: the inner surface is the same cone moved aft by wall / sin a
    shape = nose_cone(profile="cone", length=60.0, tube_outer=30.0, wall=1.5)
    slant = math.atan2(15, 60)
    inner_length = 60 - 1.5 / math.sin(slant)
    inner_radius = inner_length * math.tan(slant)
    closed = math.pi / 3 * (15**2 * 60 - inner_radius**2 * inner_length)
    assert solids.gated(nose_print(shape)).Volume() == pytest.approx(closed, rel=1e-3)


@pytest.mark.parametrize("offset", [0.0, -8.0, 8.0])
@pytest.mark.parametrize("tilt", [0.0, 0.12, 0.5])
def test_a_saddle_weighs_what_the_paper_says(tilt, offset):
    part = print_part("pod mount", saddle(tilt, offset))
    assert solids.gated(part).Volume() == pytest.approx(part.volume_mm3, rel=1e-5)


def test_a_saddle_on_sections_that_turn_from_tall_to_wide_is_not_twisted():
    sections = (
        BackSection(0.0, 50.0, 90.0, 0.0),
        BackSection(30.0, 90.0, 50.0, 20.0),
        BackSection(60.0, 60.0, 70.0, 10.0),
    )
    part = print_part("pod mount", saddle(0.1, 0.0, sections, 80.0))
    assert solids.gated(part).Volume() == pytest.approx(part.volume_mm3, rel=1e-6)


def test_round_holes_are_circles_again_and_not_polygons():
    made = solids.solid(rings.collar(tube_outer=31.5))
    kinds = [face.geomType() for face in made.Faces()]
    assert kinds.count("CYLINDER") >= 3
    assert len(kinds) < 30


def test_a_plain_polygon_stays_one():
    plate = Extrude(box(0, 0, 40, 20).difference(box(10, 5, 20, 15)), 3.0)
    made = solids.solid(plate)
    assert made.Volume() == pytest.approx(2100.0, rel=1e-9)
    assert len(made.Faces()) == 10


# --- the gate ----------------------------------------------------------------------------------------------------

RING = Revolve(((0.0, 8.0), (0.0, 14.5), (6.0, 14.5), (6.0, 8.0)))


@pytest.mark.parametrize(
    ("fault", "match"),
    [
        ({"volume_mm3": 1.002 * measures(RING).volume}, "thrust ring: volume"),
        ({"box_mm": (6.0, 29.0, 30.0)}, "thrust ring: box"),
    ],
)
def test_a_solid_that_differs_from_the_paper_is_refused_by_part_and_check(fault, match):
    with pytest.raises(GateError, match=match):
        solids.gated(replace(print_part("thrust ring", RING), **fault))


def test_a_curve_forced_through_a_corner_is_caught():
    # a spline through a long straight and a dense curve swings; it still says it is valid
    shape = nose_cone(profile="von_karman", length=62.0, tube_outer=31.5, tube_inner=29.5)
    first = next(i for i, (x, _) in enumerate(shape.meridian) if x == max(x for x, _ in shape.meridian))
    swung = replace(shape, smooth=(shape.smooth[0], (first + 1, len(shape.meridian) - 2)))
    with pytest.raises(GateError, match="nose cone: volume"):
        solids.gated(nose_print(swung))


def test_two_loose_solids_are_refused(monkeypatch):
    import cadquery as cq

    pair = cq.Compound.makeCompound([cq.Solid.makeBox(1, 1, 1), cq.Solid.makeBox(1, 1, 1, cq.Vector(5, 0, 0))])
    monkeypatch.setattr(solids, "solid", lambda _: pair)
    with pytest.raises(GateError, match="thrust ring: 2 solids"):
        solids.gated(print_part("thrust ring", RING))


def test_a_step_file_that_reads_back_otherwise_is_refused(built):
    folder, parts = built
    with pytest.raises(GateError, match="nose cone: the STEP file reads back with"):
        solids._reread(folder / "prints" / "nose-cone.step", parts[0], 1.01 * parts[0].volume_mm3)


class Blocked:
    """A finder that lets cadquery fail as it does without the system's libGL."""

    def find_spec(self, name, *_):
        if name == "cadquery":
            raise ImportError("libGL.so.1: cannot open shared object file: No such file or directory")


def test_a_missing_system_library_says_what_to_install(monkeypatch, tmp_path):
    monkeypatch.delitem(sys.modules, "cadquery", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Blocked(), *sys.meta_path])
    with pytest.raises(KernelMissing, match=r"libGL.*apt-get install --no-install-recommends libgl1"):
        solids.write_prints(some_prints(), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_kernel_says_how_to_install_it(monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "cadquery", None)
    with pytest.raises(KernelMissing, match="pip install cadquery"):
        solids.write_prints(some_prints(), tmp_path)


# --- the files ---------------------------------------------------------------------------------------------------


def test_every_print_has_its_three_files_and_all_have_one_assembly(built):
    folder, _ = built
    names = [
        "nose-cone",
        "centring-ring-for-24-mm-Gr-n",
        "retainer-collar",
        "pod-mount",
        "camera-fairing",
        "ring-gauge",
    ]
    expected = [f"prints/{name}.{kind}" for name in names for kind in ("step", "stl", "3mf")]
    expected += ["assembly.step", "assembly.glb"]
    written = [path for path in folder.rglob("*") if path.is_file()]
    assert {path.relative_to(folder).as_posix() for path in written} == set(expected)
    assert all(path.stat().st_size > 0 for path in written)


def test_every_step_file_reads_back_as_one_valid_solid_of_the_papers_volume(built):
    folder, parts = built
    for part, name in zip(parts, solids.safe_names([p.name for p in parts]), strict=True):
        back = step_solids(folder / "prints" / f"{name}.step")
        assert back.isValid()
        assert len(back.Solids()) == 1
        assert back.Volume() == pytest.approx(part.volume_mm3, rel=1e-3)
        bounds = back.BoundingBox()
        assert (bounds.xlen, bounds.ylen, bounds.zlen) == pytest.approx(part.box_mm, abs=0.1)


def test_every_stl_file_is_closed_and_as_heavy_as_its_step_file(built):
    folder, parts = built
    for name in solids.safe_names([p.name for p in parts]):
        back = trimesh.load(folder / "prints" / f"{name}.stl")
        assert back.is_volume
        assert back.volume == pytest.approx(step_solids(folder / "prints" / f"{name}.step").Volume(), rel=1e-3)


def test_a_step_file_names_its_part_its_unit_and_no_day(built):
    folder, _ = built
    text = (folder / "prints" / "centring-ring-for-24-mm-Gr-n.step").read_text(encoding="ascii")
    # ISO 10303-21 writes u-umlaut as \X2\00FC\X0\
    assert re.findall(r"= PRODUCT\('(.*?)'", text) == [r"centring ring for 24 mm Gr\X2\00FC\X0\n"]
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "'1970-01-01T00:00:00'" in text
    assert "AUTOMOTIVE_DESIGN" in text


def test_the_assembly_holds_every_flying_piece_by_name_where_it_sits(built):
    folder, parts = built
    text = (folder / "assembly.step").read_text(encoding="ascii")
    pieces = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)','(.*?)',", text)
    ring = r"centring ring for 24 mm Gr\X2\00FC\X0\n"
    names = ["nose cone", f"{ring} 1", f"{ring} 2", "retainer collar", "pod mount", "camera fairing"]
    groups = ["pod", r"24 mm Gr\X2\00FC\X0\n"]
    assert [number for number, _ in pieces] == [str(i) for i in range(1, len(names) + len(groups) + 1)]
    assert sorted(name for _, name in pieces) == sorted([*names, *groups])
    assert "translator" not in text  # the kernel's own name for what it was given none for, with a running number
    found = sorted((solid.Center().x, solid.Center().z) for solid in step_solids(folder / "assembly.step").Solids())
    wanted = [(p.x_mm, p.z_mm) for p in parts if p.count == 1 and p.x_mm is not None]
    # both rings: half their length aft of their place along the pitched axis
    wanted += [(x + 2.5 * math.cos(0.1), z + 2.5 * math.sin(0.1)) for x, z in ((600.0, 90.0), (650.0, 95.0))]
    for place, paper in zip(found, sorted(wanted), strict=True):
        assert place == pytest.approx(paper, abs=0.02)


def test_parts_without_a_place_still_make_an_assembly(tmp_path):
    shape = nose_cone(profile="ellipse", length=30.0, tube_outer=31.5, tube_inner=29.5)
    solids.write_prints([nose_print(shape)], tmp_path)
    assert len(step_solids(tmp_path / "assembly.step").Solids()) == 1


def test_nothing_to_print_writes_nothing(tmp_path):
    solids.write_prints([], tmp_path)
    assert list(tmp_path.iterdir()) == []


def digests(folder):
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_a_second_export_in_the_same_process_gives_the_same_bytes(built, tmp_path):
    folder, _ = built
    solids.write_prints(some_prints(), tmp_path)
    assert digests(tmp_path) == digests(folder)


@pytest.mark.slow
def test_another_process_gives_the_same_bytes(built, tmp_path):
    folder, _ = built
    code = (
        "import importlib.util, pathlib, sys\n"
        "spec = importlib.util.spec_from_file_location('again', sys.argv[1])\n"
        "again = importlib.util.module_from_spec(spec)\n"
        "spec.loader.exec_module(again)\n"
        "again.solids.write_prints(again.some_prints(), pathlib.Path(sys.argv[2]))\n"
    )
    subprocess.run([sys.executable, "-c", code, __file__, str(tmp_path)], check=True, env={"PYTHONHASHSEED": "7"})
    assert digests(tmp_path) == digests(folder)


def timed(code, *arguments):
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code, *arguments], check=True)
    return time.perf_counter() - start


@pytest.mark.slow
def test_a_nose_alone_is_built_in_less_than_four_bare_imports_of_the_kernel(tmp_path):
    bare = min(timed("import cadquery") for _ in range(2))
    code = (
        "import pathlib, sys\n"
        "from foamworks.output.prints.solids import write_prints\n"
        "from foamworks.parts.nose import nose_cone, nose_print\n"
        "shape = nose_cone(profile='von_karman', length=62.0, tube_outer=31.5, tube_inner=29.5)\n"
        "write_prints([nose_print(shape)], pathlib.Path(sys.argv[1]))\n"
    )
    assert min(timed(code, str(tmp_path)) for _ in range(2)) < 4 * bare


def test_importing_the_module_does_not_load_the_kernel():
    code = "import sys, foamworks.output.prints.solids; sys.exit('cadquery' in sys.modules or 'OCP' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    ("names", "safe"),
    [
        (["a/b", "a b", "A-B"], ["a-b", "a-b-2", "A-B-3"]),
        (["../..", "   "], ["part", "part-2"]),
        (["x" * 90, "x" * 80], ["x" * 60, "x" * 60 + "-2"]),
    ],
)
def test_file_names_are_safe_and_no_two_alike(names, safe):
    assert solids.safe_names(names) == safe


def test_a_disc_becomes_one_round_face():
    made = solids.solid(Extrude(Point(3, 4).buffer(10, quad_segs=64), 2.0))
    assert len(made.Faces()) == 3
    assert made.Volume() == pytest.approx(math.pi * 200, rel=1e-9)


def test_profiles_listed_here_are_all_there_are():
    assert {name for name, _ in PROFILES} == set(profiles.PROFILES)
