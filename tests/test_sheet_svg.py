"""The sheet's picture, read back as XML and measured in millimetres."""

import math
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, translate

from drawn import read_trace
from foamworks.output.sheets.look import PLAIN, Look
from foamworks.output.sheets.svg import sheet_svg
from foamworks.parts.base import BoardPart, Stroke
from foamworks.parts.board.sheet import Sheet, make_sheet
from foamworks.parts.board.tool import Tool
from laid import place_part

NS = {"s": "http://www.w3.org/2000/svg"}
FIN = Polygon([(0, 0), (90, 40), (90, 100), (0, 120)])
FRAME = Polygon([(0, 0), (40, 0), (40, 40), (0, 40)], [[(10, 10), (10, 30), (30, 30), (30, 10)]])
MARKS = (
    Stroke("score", ((45, 30), (45, 100)), depth_mm=2.5),
    Stroke("mark", ((20, 20), (20, 100))),
    Stroke("mark", ((50, 60),), text="hinge <&>"),
)


def example(name: str = "fin", only_fin: bool = False) -> Sheet:
    fin = BoardPart(name, "foam board 5", 4.9, FIN, count=1, strokes=MARKS, mass_g=4.2)
    frame = BoardPart("frame", "foam board 5", 4.9, FRAME)
    placed = [
        place_part(fin, number=1, copy=1, x=10, y=20, angle=0, mirrored=False, tool=Tool()),
        place_part(frame, number=2, copy=1, x=200, y=100, angle=90, mirrored=False, tool=Tool()),
    ]
    return make_sheet(
        board="foam board 5", number=1, of=1, width=500, height=300, thickness=4.9,
        placed=placed[: 1 if only_fin else 2], margin=6, tool=Tool(), title="Skerry boost",
    )  # fmt: skip


WORDS = Look(words=True)


def root_of(sheet: Sheet, look: Look = PLAIN) -> ET.Element:
    return ET.fromstring(sheet_svg(sheet, look))


def numbers(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"-?\d+\.?\d*", text)]


def test_the_picture_is_the_board_in_millimetres() -> None:
    root = root_of(example())
    assert (root.attrib["width"], root.attrib["height"]) == ("500mm", "300mm")
    assert numbers(root.attrib["viewBox"]) == [0, 0, 500, 300]
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        assert 0 <= float(text.attrib["x"]) <= 500
        assert 0 <= float(text.attrib["y"]) <= 300


def test_it_says_that_it_is_a_picture_and_of_what() -> None:
    root = root_of(example())
    assert root.get("role") == "img"
    assert root.findtext("s:title", "", NS)


def test_with_words_the_picture_is_longer_below() -> None:
    root = root_of(example(), WORDS)
    width, height = root.attrib["width"], root.attrib["height"]
    assert width == "500mm"
    assert numbers(height)[0] > 340
    assert numbers(root.attrib["viewBox"]) == [0, 0, 500, *numbers(height)]


def test_each_layer_is_a_group_with_its_own_dashes_and_no_colour() -> None:
    groups = root_of(example()).findall("s:g", NS)
    assert [group.get("id") for group in groups] == ["mark", "score", "cut", "sheet"]  # in the order of the work
    assert len({group.get("stroke-dasharray") for group in groups}) == 4
    assert {group.get("stroke") for group in groups} == {"black"}


def test_four_colours_are_told_apart_by_the_colour_blind() -> None:
    """As seen without red, green or blue cones no two come near: distances in the plane of what is left of them.

    Simplified to one tone each, by F. Vienot, H. Brettel, J. Mollon, 1999: without the long or the middle cones red
    and green are one, so what tells is blue against yellow and lightness (matrix from memory).
    """
    groups = root_of(example(), Look(colours=True)).findall("s:g", NS)
    colours = [[int(group.attrib["stroke"][k : k + 2], 16) / 255 for k in (1, 3, 5)] for group in groups]
    assert len({tuple(colour) for colour in colours}) == 4
    for weights in ((0.11238, 0.88762), (0.29275, 0.70725)):  # what red and green become without long, middle cones
        seen = [(weights[0] * r**2.2 + weights[1] * g**2.2, b**2.2) for r, g, b in colours]
        for k, one in enumerate(seen):
            assert all(math.dist(one, other) > 0.15 for other in seen[k + 1 :])


def test_the_layer_cut_alone() -> None:
    root = root_of(replace(example(), stamp="DOES NOT PASS"), Look(cut_only=True, words=True))
    assert [group.get("id") for group in root.findall("s:g", NS)] == ["cut"]
    assert list(root.iter("{http://www.w3.org/2000/svg}text")) == []
    assert "DOES NOT PASS" in (root.findtext("s:title", "", NS))


def test_a_sheet_that_does_not_pass_says_so_across_the_board() -> None:
    (text,) = [t for t in root_of(replace(example(), stamp="DOES NOT PASS")).iter() if t.text == "DOES NOT PASS"]
    high = 0.73 * float(text.attrib["font-size"])
    assert high > 20
    assert 13 * 0.9 * high < 500  # letters of a plain font are at most 0.9 of their height wide
    assert text.attrib.get("fill") is None  # hollow: the cuts are seen through it


def test_the_stamp_lies_beside_the_parts_where_there_is_room() -> None:
    sheet = replace(example(), stamp="DOES NOT PASS")
    (text,) = [t for t in root_of(sheet).iter() if t.text == "DOES NOT PASS"]
    high, x, y = (float(text.attrib[key]) for key in ("font-size", "x", "y"))
    high, wide = 0.73 * high, 13 * 0.9 * 0.73 * high
    turn = numbers(text.attrib.get("transform", "rotate(0)"))[0]
    place = rotate(box(x - wide / 2, 300 - y, x + wide / 2, 300 - y + high), -turn, origin=(x, 300 - y))
    assert sheet.edge.contains(place)
    assert not any(piece.cut.intersects(place) for piece in sheet.placed)


def test_on_a_full_board_the_stamp_lies_across_the_parts() -> None:
    plate = BoardPart("plate", "foam board 5", 4.9, box(0, 0, 480, 280))
    placed = [place_part(plate, number=1, copy=1, x=10, y=10, angle=0, mirrored=False, tool=Tool())]
    sheet = replace(example(), placed=tuple(placed), stamp="DOES NOT PASS")
    (text,) = [t for t in root_of(sheet).iter() if t.text == "DOES NOT PASS"]
    assert 0.73 * float(text.attrib["font-size"]) > 20
    assert float(text.attrib["x"]) == 250


def test_cut_loops_have_their_areas_and_are_closed() -> None:
    paths = root_of(example()).findall("s:g[@id='cut']/s:path", NS)
    assert all(path.attrib["d"].endswith("Z") for path in paths)
    areas = []
    for path in paths:
        flat = numbers(path.attrib["d"])
        areas.append(Polygon(list(zip(flat[::2], flat[1::2], strict=True))).area)
    assert areas == pytest.approx([400, 1600, FIN.area])  # from the inside out


def test_the_lower_left_corner_of_the_sheet_is_at_the_foot_of_its_edge() -> None:
    """A point at (10, 20) on a sheet 300 mm high is at (10, 280) in the file."""
    [*_, fin] = root_of(example()).findall("s:g[@id='cut']/s:path", NS)
    flat = numbers(fin.attrib["d"])
    assert (10, 280) in list(zip(flat[::2], flat[1::2], strict=True))


def test_what_is_written_can_be_traced_again(tmp_path: Path) -> None:
    """The other reader in the project takes the layer cut of it: same outline, same size."""
    path = tmp_path / "sheet.svg"
    path.write_text(sheet_svg(example(only_fin=True)))
    outline = read_trace(path, key="cuts[0].trace")
    assert outline.area == pytest.approx(FIN.area, rel=1e-6)
    width, height = (outline.bounds[2] - outline.bounds[0], outline.bounds[3] - outline.bounds[1])
    assert (width, height) == pytest.approx((90, 120), abs=1e-3)


@pytest.mark.parametrize("mirrored", [False, True])
def test_rounded_corners_are_cut_as_arcs_and_read_back_where_they_were(tmp_path: Path, mirrored: bool) -> None:
    """A stadium with a bite of 300 degrees out of a corner: arcs over and under half a turn, both ways round."""
    stadium = LineString([(0, 0), (60, 0)]).buffer(20, quad_segs=64)
    shape = stadium.difference(Point(60, 0).buffer(8, quad_segs=64).union(box(55, -4, 90, 4)))
    part = BoardPart("plate", "board", 5, shape)
    placed = place_part(part, number=1, copy=1, x=100, y=100, angle=25, mirrored=mirrored, tool=Tool())
    sheet = make_sheet(
        board="board", number=1, of=1, width=300, height=200, thickness=5, placed=[placed], margin=6, tool=Tool()
    )
    path = tmp_path / "sheet.svg"
    path.write_text(sheet_svg(sheet))
    (drawn,) = re.findall(r' d="([^"]*)"', path.read_text().split('id="cut"')[1].split("</g>")[0])
    arcs = re.findall(r"A([\d.]+),\1 0 (\d) (\d)", drawn)
    assert {round(float(radius)) for radius, *_ in arcs} == {20, 8}
    assert {large for radius, large, _ in arcs if round(float(radius)) == 8} == {"1"}
    assert {turn for *_, turn in arcs} == {"0", "1"}
    read, cut = read_trace(path, key="cuts[0].trace"), placed.cut
    assert read.area == pytest.approx(cut.area, rel=1e-3)
    low, wanted = read.bounds, cut.bounds
    moved = translate(read, wanted[0] - low[0], wanted[1] - low[1])
    assert moved.hausdorff_distance(cut) < 0.03


def test_a_round_hole_is_a_circle() -> None:
    disc = BoardPart("disc", "board", 5, Point(0, 0).buffer(30, quad_segs=64))
    placed = place_part(disc, number=1, copy=1, x=100, y=80, angle=0, mirrored=False, tool=Tool())
    sheet = make_sheet(
        board="board", number=1, of=1, width=300, height=200, thickness=5, placed=[placed], margin=6, tool=Tool()
    )
    (circle,) = root_of(sheet).findall("s:g[@id='cut']/s:circle", NS)
    assert [float(circle.attrib[key]) for key in ("cx", "cy", "r")] == pytest.approx([100, 200 - 80, 30], abs=0.02)


def test_scores_and_marks_stand_on_their_layers_and_all_words_on_the_sheets() -> None:
    root = root_of(example(), WORDS)
    assert len(root.findall("s:g[@id='score']/s:path", NS)) == 1
    for layer in ("mark", "score", "cut"):
        assert root.findall(f"s:g[@id='{layer}']/s:text", NS) == []
    texts = [text.text or "" for text in root.findall("s:g[@id='sheet']/s:text", NS)]
    assert {"hinge <&>", "1 fin", "2 frame", "100 mm"} <= set(texts)
    assert "a laser only where the workshop's written rules allow this very foam" in " ".join(texts)


def test_the_line_to_measure_is_level_and_100_mm_long() -> None:
    paths = root_of(example(), WORDS).findall("s:g[@id='sheet']/s:path", NS)
    lines = [numbers(path.attrib["d"]) for path in paths]
    assert any(len(p) == 4 and math.isclose(p[2] - p[0], 100) and p[1] == p[3] for p in lines)


@pytest.mark.parametrize("name", ["a < b & c", "quote \"'", "Flügel 左", "bell\x07"])
def test_any_name_gives_well_formed_xml(name: str) -> None:
    root_of(example(name))
