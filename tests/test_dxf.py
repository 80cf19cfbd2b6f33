"""The sheet's drawing, read back with ezdxf and measured with shapely."""

import hashlib
import math
import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.path
import pytest
from ezdxf.filemanagement import readfile
from shapely import Point, Polygon

from foamworks.output.sheets.dxf import true_circle, write_sheet_dxf
from foamworks.output.sheets.look import Look
from foamworks.parts.base import BoardPart, Stroke
from foamworks.parts.board.sheet import (
    Sheet,
    cut_order,
    cut_path,
    lost_holes,
    make_sheet,
    place,
    place_point,
    place_stroke,
)
from foamworks.parts.board.tool import Tool
from laid import place_part

FIN = Polygon([(0, 0), (90, 40), (90, 100), (0, 120)])
RING_SIDES = 200


def circle(radius: float) -> list[tuple[float, float]]:
    turns = [2 * math.pi * k / RING_SIDES for k in range(RING_SIDES)]
    return [(radius * math.cos(t), radius * math.sin(t)) for t in turns]


RING = Polygon(circle(21), [circle(12)])
STRIP = Polygon([(0, 0), (200, 0), (200, 4), (0, 4)])
SCORES = (
    Stroke("score", ((45, 30), (45, 100)), depth_mm=2.5),
    Stroke("mark", ((20, 20), (20, 100))),
    Stroke("mark", ((30, 60), (40, 60), (40, 70)), closed=True),
    Stroke("mark", ((50, 60),), text="hinge", height_mm=4),
)


def example_sheet(kerf: float = 0.0, name: str = "fin") -> Sheet:
    fin = BoardPart(name, "foam board 5", 4.9, FIN, count=2, mirrored=1, grain="length", strokes=SCORES, mass_g=4.2)
    ring = BoardPart("centring ring", "foam board 5", 4.9, RING, count=1, mass_g=0.5)
    strip = BoardPart("spar cap", "foam board 5", 4.9, STRIP, count=1)
    plug = BoardPart("plug", "foam board 5", 4.9, Polygon(circle(8)), count=1)
    placed = [
        place_part(fin, number=1, copy=1, x=10, y=10, angle=0, mirrored=False, tool=Tool(kerf=kerf)),
        place_part(fin, number=1, copy=2, x=120, y=140, angle=0, mirrored=True, tool=Tool(kerf=kerf)),
        place_part(ring, number=2, copy=1, x=260, y=60, angle=0, mirrored=False, tool=Tool(kerf=kerf)),
        place_part(strip, number=3, copy=1, x=310, y=210, angle=180, mirrored=False, tool=Tool(kerf=kerf)),
        place_part(plug, number=4, copy=1, x=260, y=60, angle=0, mirrored=False, tool=Tool(kerf=kerf)),
    ]
    return make_sheet(
        board="foam board 5", number=1, of=2, width=762, height=508, thickness=4.9, placed=placed, margin=6,
        tool=Tool(kerf=kerf), title="Skerry boost",
    )  # fmt: skip


def written(tmp_path: Path, version: Any = "r2010", **options: Any) -> Any:
    path = tmp_path / "sheet.dxf"
    write_sheet_dxf(example_sheet(**options), path, version)
    return readfile(path)


def loops(document: Any) -> list[Polygon]:
    """Read the closed outlines of the layer cut, bulges flattened to 0.001 mm."""
    found = []
    for entity in document.modelspace().query('LWPOLYLINE POLYLINE CIRCLE[layer=="cut"]'):
        if entity.dxftype() != "CIRCLE":
            assert entity.closed if entity.dxftype() == "LWPOLYLINE" else entity.is_closed
        path = ezdxf.path.make_path(entity)
        found.append(Polygon([(p.x, p.y) for p in path.flattening(0.001)]))
    return found


VERSIONS = pytest.mark.parametrize("version", ["r2010", "r12"])


@VERSIONS
def test_the_audit_finds_nothing_to_fault_or_fix(version: str, tmp_path: Path) -> None:
    audit = written(tmp_path, version).audit()
    assert not audit.errors
    assert not audit.fixes


def test_the_unit_is_the_millimetre(tmp_path: Path) -> None:
    document = written(tmp_path)
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1


def test_r12_has_no_unit_in_its_header_so_words_give_it(tmp_path: Path) -> None:
    document = written(tmp_path, "r12")
    assert document.dxfversion == "AC1009"
    assert "UNITS mm" in texts(document, "sheet")


def texts(document: Any, layer: str) -> list[str]:
    return [entity.dxf.text for entity in document.modelspace().query(f'TEXT[layer=="{layer}"]')]


@VERSIONS
@pytest.mark.parametrize("kerf", [0.0, 0.8])
def test_every_part_is_there_with_its_area_and_stands_clear_of_the_others(
    version: str, kerf: float, tmp_path: Path
) -> None:
    found = loops(written(tmp_path, version, kerf=kerf))
    assert len(found) == 6
    assert all(loop.is_valid and loop.exterior.is_simple for loop in found)
    fins = [loop for loop in found if loop.area > 8000]
    grow = kerf * FIN.length / 2  # to first order; the mitred corners add less than kerf^2
    assert [fin.area for fin in fins] == pytest.approx([FIN.area + grow] * 2, abs=4 * kerf**2 + 1e-6)
    for k, one in enumerate(found):
        for other in found[k + 1 :]:
            nested = one.contains(other) or other.contains(one)
            assert nested or one.distance(other) > 1


@VERSIONS
def test_a_whole_circle_is_one_and_of_its_size(version: str, tmp_path: Path) -> None:
    """Rings of 200 sides stand for circles of 8, 12 and 21 mm."""
    circles = written(tmp_path, version).modelspace().query('CIRCLE[layer=="cut"]')
    assert sorted(entity.dxf.radius for entity in circles) == pytest.approx([8, 12, 21], abs=0.005)
    assert all(Point(entity.dxf.center.x, entity.dxf.center.y).distance(Point(260, 60)) < 1e-6 for entity in circles)


def test_a_circle_drawn_with_uneven_sides_is_one_and_an_ellipse_is_none() -> None:
    turns = [2 * math.pi * (k / 300 + 0.001 * (k % 3)) for k in range(300)]
    found = true_circle(Polygon([(5 + 20 * math.cos(t), 20 * math.sin(t)) for t in turns]).exterior)
    assert found is not None
    assert (*found[0], found[1]) == pytest.approx((5, 0, 20), abs=0.005)
    assert true_circle(Polygon([(20.01 * math.cos(t), 20 * math.sin(t)) for t in turns]).exterior) is None


def test_no_text_lies_on_a_layer_that_a_machine_follows(tmp_path: Path) -> None:
    assert {entity.dxf.layer for entity in written(tmp_path).modelspace().query("TEXT MTEXT")} == {"sheet"}


@VERSIONS
def test_the_layer_cut_alone_is_all_there_is_when_asked_for(version: str, tmp_path: Path) -> None:
    write_sheet_dxf(example_sheet(), tmp_path / "whole.dxf", version)
    sheet = replace(example_sheet(), stamp="DOES NOT PASS")
    write_sheet_dxf(sheet, tmp_path / "cut.dxf", version, Look(cut_only=True))
    alone, whole = readfile(tmp_path / "cut.dxf"), readfile(tmp_path / "whole.dxf")
    assert {entity.dxf.layer for entity in alone.modelspace()} == {"cut"}
    assert not {"mark", "score", "sheet"} & {layer.dxf.name for layer in alone.layers}
    assert [a.equals(b) for a, b in zip(loops(alone), loops(whole), strict=True)] == [True] * 6
    assert (tmp_path / "cut.dxf").read_text().startswith("999\nDOES NOT PASS\n")  # a comment, read by people
    assert not alone.audit().has_errors


@VERSIONS
def test_four_colours_are_four(version: str, tmp_path: Path) -> None:
    write_sheet_dxf(example_sheet(), tmp_path / "sheet.dxf", version, Look(colours=True))
    layers = [readfile(tmp_path / "sheet.dxf").layers.get(name) for name in ("cut", "score", "mark", "sheet")]
    assert len({layer.dxf.color for layer in layers} - {7}) == 4


def test_a_square_or_a_hexagon_is_no_circle() -> None:
    for sides in (4, 6, 12):
        corners = [
            (10 * math.cos(2 * math.pi * k / sides), 10 * math.sin(2 * math.pi * k / sides)) for k in range(sides)
        ]
        assert true_circle(Polygon(corners).exterior) is None


@VERSIONS
def test_there_is_no_spline_and_nothing_is_drawn_twice(version: str, tmp_path: Path) -> None:
    space = written(tmp_path, version).modelspace()
    kinds = Counter(entity.dxftype() for entity in space)
    assert set(kinds) <= {"LWPOLYLINE", "POLYLINE", "CIRCLE", "LINE", "TEXT"}
    drawn = Counter(repr(sorted(map(repr, _corners(entity)))) for entity in space if entity.dxftype() != "TEXT")
    assert set(drawn.values()) == {1}


def _corners(entity: Any) -> list[tuple[float, float]]:
    if entity.dxftype() == "LINE":
        return [(round(p.x, 4), round(p.y, 4)) for p in (entity.dxf.start, entity.dxf.end)]
    return [(round(p.x, 4), round(p.y, 4)) for p in ezdxf.path.make_path(entity).control_vertices()]


def test_layers_are_told_apart_by_name_and_line_type_not_by_colour(tmp_path: Path) -> None:
    document = written(tmp_path)
    layers = [document.layers.get(name) for name in ("cut", "score", "mark", "sheet")]
    assert len({layer.dxf.linetype for layer in layers}) == 4
    assert {layer.dxf.color for layer in layers} == {7}
    assert all(layer.dxf.linetype in document.linetypes for layer in layers)
    assert {entity.dxf.layer for entity in document.modelspace()} == {"cut", "score", "mark", "sheet"}


@VERSIONS
def test_the_check_line_is_level_and_100_mm_long(version: str, tmp_path: Path) -> None:
    document = written(tmp_path, version)
    lines = document.modelspace().query('LINE[layer=="sheet"]')
    checks = [
        line for line in lines if line.dxf.start.y == line.dxf.end.y and abs(line.dxf.end.x - line.dxf.start.x) == 100
    ]
    assert len(checks) == 1
    assert {"100 mm", "UNITS mm"} <= set(texts(document, "sheet"))


def test_parts_carry_number_name_and_hand(tmp_path: Path) -> None:
    marks = texts(written(tmp_path), "sheet")
    assert {"1 fin R", "1 fin L", "4 plug"} <= set(marks)
    assert "3" in marks or "3 spar cap" in marks


def test_the_sheet_says_what_it_is_and_never_calls_itself_ready_for_a_laser(tmp_path: Path) -> None:
    words = "\n".join(texts(written(tmp_path), "sheet"))
    assert "Skerry boost: foam board 5, sheet 1 of 2" in words
    assert "762 x 508 x 4.9 mm" in words
    assert "1 fin: 2 of 2 here, 1 L and 1 R, 4.2 g each, grain along the sheet, score 2.5 mm deep" in words
    assert "a laser only where the workshop's written rules allow this very foam" in words


def test_the_view_opens_on_the_drawing(tmp_path: Path) -> None:
    [view] = written(tmp_path).viewports.get("*ACTIVE")
    assert 0 < view.dxf.center.x < 762
    assert view.dxf.height > 508


PROCESS = f"""
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("t", {__file__!r})
t = importlib.util.module_from_spec(spec)
spec.loader.exec_module(t)
for version in ("r2010", "r12"):
    t.write_sheet_dxf(t.example_sheet(), pathlib.Path(sys.argv[1]) / f"{{version}}.dxf", version)
"""


def test_the_bytes_are_the_same_in_any_process(tmp_path: Path) -> None:
    sums: dict[str, set[str]] = {"r2010": set(), "r12": set()}
    for seed in ("1", "777"):
        search = os.pathsep.join(p for p in sys.path if p)
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": search}
        subprocess.run([sys.executable, "-c", PROCESS, str(tmp_path)], check=True, env=environment)
        for version, seen in sums.items():
            seen.add(hashlib.sha256((tmp_path / f"{version}.dxf").read_bytes()).hexdigest())
    assert [len(seen) for seen in sums.values()] == [1, 1]


def test_the_library_is_left_as_it_was_found(tmp_path: Path) -> None:
    library: Any = ezdxf
    assert library.options.write_fixed_meta_data_for_testing is False
    written(tmp_path)
    assert library.options.write_fixed_meta_data_for_testing is False


@VERSIONS
@pytest.mark.parametrize("name", ["Flügel → 左", "50 %%d ^J", "x" * 80, "tab\tname"])
def test_any_name_can_be_written(name: str, version: str, tmp_path: Path) -> None:
    document = written(tmp_path, version, name=name)
    assert not document.audit().errors
    assert len(loops(document)) == 6


# --- the sheet's plain data -------------------------------------------------------------------------------------


def test_the_cut_path_stands_half_a_kerf_clear_with_sharp_corners() -> None:
    square = Polygon([(0, 0), (50, 0), (50, 50), (0, 50)], [[(10, 10), (10, 20), (20, 20), (20, 10)]])
    path = cut_path(square, 0.8)
    assert path.area == pytest.approx(50.8**2 - 9.2**2)
    assert len(path.exterior.coords) == len(path.interiors[0].coords) == 5


def test_a_slot_narrower_than_the_kerf_is_counted_as_lost() -> None:
    slotted = Polygon([(0, 0), (50, 0), (50, 50), (0, 50)], [[(10, 10), (10, 40), (10.5, 40), (10.5, 10)]])
    assert lost_holes(slotted, 0.8) == 1
    assert lost_holes(slotted, 0.4) == 0


def test_a_piece_is_mirrored_then_turned_then_moved() -> None:
    """A point at (3, 1): mirrored (3, -1); a quarter turn gives (1, 3); moved by (10, 20) gives (11, 23)."""
    assert place_point((3, 1), x=10, y=20, angle=90, mirrored=True) == (11, 23)
    shape = place(Polygon([(0, 0), (3, 0), (3, 1)]), x=10, y=20, angle=90, mirrored=True)
    assert [tuple(c) for c in shape.exterior.coords][:3] == [(10, 20), (10, 23), (11, 23)]


def test_a_text_on_a_mirrored_piece_stays_readable_over_the_same_spot() -> None:
    stroke = Stroke("mark", ((10, 5),), text="out", height_mm=4)
    placed = place_stroke(stroke, x=0, y=0, angle=0, mirrored=True)
    assert placed.points == ((10, -9), (11, -9))  # covers y -9 to -5, the mirror image of 5 to 9


def test_cutting_goes_from_the_inside_out() -> None:
    """The plug in the ring's hole first, then the hole, then the ring; the big fins last."""
    order = [Polygon(ring) for ring in cut_order(example_sheet())]
    for k, early in enumerate(order):
        assert not any(early.contains(late) for late in order[k + 1 :])
    assert order[0].centroid.distance(Point(260, 60)) < 1e-6


def test_lengths_and_share_of_a_sheet_follow_their_definitions() -> None:
    sheet = example_sheet()
    assert sheet.used_length_mm == pytest.approx(310 - 6)
    area = 2 * FIN.area + RING.area + STRIP.area + Polygon(circle(8)).area
    assert sheet.utilisation == pytest.approx(area / (304 * 496))
    rims = 2 * math.pi * (21 + 12 + 8) + STRIP.length + 2 * FIN.length
    assert sheet.cut_length_mm == pytest.approx(rims, rel=1e-3)


def test_a_label_lies_inside_its_part(tmp_path: Path) -> None:
    found = loops(written(tmp_path))
    for entity in written(tmp_path).modelspace().query('TEXT[layer=="sheet"]'):
        if entity.dxf.get("halign", 0) == 0:
            continue
        middle = Point(entity.dxf.align_point.x, entity.dxf.align_point.y)
        assert any(loop.contains(middle) for loop in found)
