"""What the knife does besides cutting out: corners freed and cut past, bevels, scores, its time and its waste."""

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ezdxf.filemanagement import readfile
from scipy.spatial import ConvexHull
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate

from foamworks.checks.base import Finding
from foamworks.output.sheets.dxf import write_sheet_dxf
from foamworks.output.sheets.look import Look
from foamworks.output.sheets.section import sketches
from foamworks.output.sheets.svg import sheet_svg
from foamworks.output.sheets.words import sheet_line, sheet_words
from foamworks.parts.base import Bevel, BoardPart, Stroke
from foamworks.parts.board.bevels import marks, set_back, taken_off
from foamworks.parts.board.corners import inside_corners, overcuts, relieved
from foamworks.parts.board.layout import lay_out
from foamworks.parts.board.sheet import Sheet, cut_path, make_sheet
from foamworks.parts.board.tool import Tool, kinds, tool_of
from foamworks.parts.fins import fin, tab_places
from foamworks.pipeline import check
from laid import place_part

SLOTTED = Polygon([(0, 0), (60, 0), (60, 40), (35, 40), (35, 20), (30, 20), (30, 40), (0, 40)])
BOARD = '[[boards]]\nname = "board"\nthickness = 5\nsheet = [400, 600]\nmass = 108\n'


def wedge(angle: float) -> Polygon:
    """Give a part with one inside corner of that angle [deg] at 50,50."""
    half = math.radians(angle) / 2
    mouth = [(50 + 90 * math.cos(a), 50 + 90 * math.sin(a)) for a in (math.pi / 2 - half, math.pi / 2 + half)]
    return box(0, 0, 100, 80).difference(Polygon([(50, 50), *mouth]))


# --- inside corners ---


@pytest.mark.parametrize("angle", [40.0, 60.0, 90.0, 120.0])
@pytest.mark.parametrize("kerf", [0.4, 0.8])
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_a_round_tool_reaches_the_corner_and_goes_no_deeper(angle: float, kerf: float, turn: float) -> None:
    """The disc of the tool touches the part's own corner: half a kerf from it, to the micrometre."""
    part = rotate(wedge(angle), turn, origin=(50, 50))
    path = relieved(part.buffer(kerf / 2, join_style="mitre", mitre_limit=10), kerf)
    assert path.exterior.distance(Point(50, 50)) == pytest.approx(kerf / 2, abs=1e-6)


def test_without_the_relief_the_tool_stands_off_by_the_textbook_length() -> None:
    """A circle between two lines at a right angle stands (sqrt 2 - 1) radii off their corner."""
    path = cut_path(SLOTTED, 0.8)
    assert path.exterior.distance(Point(30, 20)) - 0.4 == pytest.approx(0.4 * (math.sqrt(2) - 1))


def test_relief_takes_only_from_inside_corners_so_the_layout_still_holds() -> None:
    plain, freed = cut_path(SLOTTED, 0.8), cut_path(SLOTTED, 0.8, relief=True)
    assert freed.difference(plain).area == pytest.approx(0, abs=1e-9)
    lost = plain.difference(freed)
    assert [Point(c).distance(lost) < 0.5 for c in ((30, 20), (35, 20), (0, 0), (60, 40))] == [True, True, False, False]


def test_a_hole_is_relieved_at_all_its_corners() -> None:
    frame = Polygon(box(0, 0, 40, 40).exterior, [box(10, 10, 30, 25).exterior])
    hole = Polygon(cut_path(frame, 0.8, relief=True).interiors[0])
    for corner in ((10, 10), (30, 10), (30, 25), (10, 25)):
        assert hole.exterior.distance(Point(corner)) == pytest.approx(0.4, abs=1e-6)


def test_curves_in_straight_pieces_are_no_corners() -> None:
    ring = Polygon(Point(0, 0).buffer(20, quad_segs=32).exterior, [Point(0, 0).buffer(10, quad_segs=32).exterior])
    assert inside_corners(ring) == 0
    assert relieved(ring, 0.8).equals(ring)
    assert overcuts(ring, 1.0) == ()


def test_a_knife_without_kerf_needs_no_relief() -> None:
    assert relieved(SLOTTED, 0.0).equals(SLOTTED)


# --- outside corners ---


def test_each_outside_corner_is_cut_past_along_both_its_edges() -> None:
    found = overcuts(box(0, 0, 30, 20), 0.5)
    assert {tuple(round(v, 9) for v in end) for _, end in found} == {
        (-0.5, 0), (0, -0.5), (30.5, 0), (30, -0.5), (30.5, 20), (30, 20.5), (-0.5, 20), (0, 20.5),
    }  # fmt: skip


def test_overcuts_run_in_the_waste_only() -> None:
    """The slot is 5 mm wide: a cut of 6 mm past its lip would enter the part again and is left out."""
    for length in (0.5, 2.0, 6.0):
        cuts = overcuts(SLOTTED, length)
        assert cuts
        assert all(LineString(cut).intersection(SLOTTED).length < 1e-9 for cut in cuts)
    assert len(overcuts(SLOTTED, 6.0)) == len(overcuts(SLOTTED, 2.0)) - 2


# --- bevels ---


@pytest.mark.parametrize("angle", [12.0, -30.0, 60.0])
def test_a_bevel_takes_the_mass_of_its_wedge(angle: float) -> None:
    """Against the volume of the bevelled block as the convex hull of its eight corners."""
    t, depth = 5.0, 5.0 * math.tan(math.radians(abs(angle)))
    top, bottom = (depth, 0.0) if angle > 0 else (0.0, depth)
    corners = [(x, y, z) for z, low in ((0.0, bottom), (t, top)) for x in (0.0, 80.0) for y in (low, 60.0)]
    taken = taken_off(box(0, 0, 80, 60), [Bevel(((0, 0), (80, 0)), angle)], t)
    assert (80 * 60 - taken) * t == pytest.approx(ConvexHull(np.array(corners)).volume, rel=1e-12)


def test_the_line_to_cut_along_lies_where_the_set_back_face_ends() -> None:
    strokes = marks(box(0, 0, 80, 60), [Bevel(((0, 0), (80, 0)), 45.0)], 5.0)
    line = next(s for s in strokes if not s.text)
    assert sorted(line.points) == [(0.0, pytest.approx(5.0)), (80.0, pytest.approx(5.0))]
    assert next(s.text for s in strokes if s.text) == "bevel 45 deg"


def test_a_bevel_on_the_hidden_face_has_words_and_no_line() -> None:
    strokes = marks(box(0, 0, 80, 60), [Bevel(((0, 0), (80, 0)), -45.0)], 5.0)
    assert [s.text for s in strokes] == ["bevel 45 deg, from the back"]


@pytest.mark.parametrize("cant", [15.0, 40.0, -25.0])
@pytest.mark.parametrize("tabs", [True, False])
def test_a_canted_fin_stands_on_its_whole_root(cant: float, tabs: bool) -> None:
    """Stood up at its cant, the root edges of both faces lie on the tailplane: the plane through the root line."""
    lean, t = math.radians(cant), 5.0
    made = canted(lean, tabs=tabs)
    (bevel,) = made.bevels
    larger = bevel.edge[0][0]  # along the fin, of the face that keeps the outline
    smaller = larger + set_back(bevel, t)
    outer, inner = (smaller, larger) if bevel.angle > 0 else (larger, smaller)  # the marked face looks outward
    for along, out in ((outer, t / 2), (inner, -t / 2)):
        assert along * math.cos(lean) - out * math.sin(lean) == pytest.approx(0, abs=1e-9)


def canted(lean: float, *, tabs: bool = True) -> BoardPart:
    return fin(
        root_chord=110, tip_chord=60, height=90, sweep=0.5, rounding=0, tabs=tab_places(110, 5.0) if tabs else (),
        board="board", thickness=5.0,
        areal_density=0.0005, count=2, x_root=0, z_root=0, cant=lean, root_bevel=lean,
    )  # fmt: skip


def test_the_root_bevel_keeps_the_fins_mass() -> None:
    """What is left below the root line is what the bevel takes off above it; the edges' taper is of second order."""
    straight, leaning = canted(0.0, tabs=False).mass_g, canted(math.radians(15), tabs=False).mass_g
    assert leaning == pytest.approx(straight, rel=1e-3)


# --- time and waste ---


def sheet_of(part: BoardPart, tool: Tool, **options: Any) -> Sheet:
    placed = [place_part(part, number=1, copy=1, x=10, y=10, angle=0, mirrored=False, tool=tool)]
    return make_sheet(
        board="board", number=1, of=1, width=600, height=400, thickness=5, placed=placed, margin=6, tool=tool, **options
    )


def test_the_time_is_the_way_over_the_feed_and_the_lifts() -> None:
    """By hand: 2 passes x 200 mm and one score of 40 mm at 10 mm/s, two lines begun at 3 s each: 50 s."""
    part = BoardPart("part", "board", 5, box(0, 0, 60, 40), strokes=(Stroke("score", ((10, 20), (50, 20)), 2.0),))
    sheet = sheet_of(part, Tool(feed=10, passes=2, lift=3))
    assert sheet.cut_seconds == pytest.approx(2 * 20 + 4 + 2 * 3)


def test_parts_waste_and_what_is_left_over_weigh_the_whole_sheet() -> None:
    density = 108 / (600 * 400)
    for kerf in (0.0, 0.8):
        part = BoardPart("part", "board", 5, SLOTTED)
        sheet = sheet_of(part, Tool(kerf=kerf), areal_density=density)
        assert sheet.parts_mass_g == pytest.approx(SLOTTED.area * density)
        left = sheet.rest_length_mm * 400 * density
        assert sheet.parts_mass_g + sheet.waste_mass_g + left == pytest.approx(108)


def test_an_unweighed_board_has_no_masses() -> None:
    sheet = sheet_of(BoardPart("part", "board", 5, SLOTTED), Tool())
    assert not sheet.weighed
    assert math.isnan(sheet.waste_mass_g)


def test_every_tool_of_the_table_says_how_far_to_trust_it() -> None:
    assert all("from memory" in kind.source for kind in kinds().values())
    assert {name for name, kind in kinds().items() if kind.round} == {"needle", "wire", "laser"}


# --- the sheet's files ---

BUSY = BoardPart(
    "frame", "board", 5, SLOTTED, bevels=(Bevel(((0, 0), (60, 0)), 30.0), Bevel(((0, 0), (0, 40)), -20.0)),
    strokes=(Stroke("mark", ((5, 5),), text="up", height_mm=3),),
)  # fmt: skip


@pytest.mark.parametrize("version", ["r2010", "r12"])
def test_overcuts_are_lines_of_the_cut_layer_and_leave_the_loops_alone(version: Any, tmp_path: Path) -> None:
    write_sheet_dxf(sheet_of(BUSY, Tool(overcut=0.5)), tmp_path / "sheet.dxf", version)
    space = readfile(tmp_path / "sheet.dxf").modelspace()
    lines = space.query('LINE[layer=="cut"]')
    assert len(lines) == len(overcuts(SLOTTED, 0.5)) > 0
    assert all(line.dxf.start.distance(line.dxf.end) == pytest.approx(0.5) for line in lines)
    assert len(space.query('LWPOLYLINE POLYLINE[layer=="cut"]')) == 1


def test_nothing_is_cut_past_a_corner_that_was_not_asked_for(tmp_path: Path) -> None:
    write_sheet_dxf(sheet_of(BUSY, Tool()), tmp_path / "sheet.dxf")
    assert not readfile(tmp_path / "sheet.dxf").modelspace().query('LINE[layer=="cut"]')


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_text_on_a_turned_part_is_read_from_below_or_from_the_right_and_stays_on_its_spot(
    angle: float, mirrored: bool, tmp_path: Path
) -> None:
    part = BoardPart("part", "board", 5, SLOTTED, count=2, mirrored=1, strokes=BUSY.strokes)
    placed = [place_part(part, number=1, copy=1, x=100, y=100, angle=angle, mirrored=mirrored, tool=Tool())]
    sheet = make_sheet(
        board="board", number=1, of=1, width=600, height=400, thickness=5, placed=placed, margin=6, tool=Tool()
    )
    write_sheet_dxf(sheet, tmp_path / "sheet.dxf")
    (text,) = [t for t in readfile(tmp_path / "sheet.dxf").modelspace().query("TEXT") if t.dxf.text == "up"]
    assert -90 < (text.dxf.rotation + 180) % 360 - 180 <= 90
    spot = box(5, 5, 9, 8)  # about what two letters of 3 mm take in the part's own frame
    turned = placed_like(spot, angle, mirrored)
    anchor = text.dxf.align_point if text.dxf.halign else text.dxf.insert
    assert turned.distance(Point(anchor.x, anchor.y)) < 1e-6


def placed_like(shape: Polygon, angle: float, mirrored: bool) -> Polygon:
    from foamworks.parts.board.sheet import place

    return place(shape, x=100, y=100, angle=angle, mirrored=mirrored)


def test_each_different_bevel_has_its_section_and_the_section_has_its_angle() -> None:
    found = sketches(sheet_of(BUSY, Tool()))
    assert len(found) == 2
    for sketch, angle in zip(found, (30.0, -20.0), strict=True):
        (_, _), low, top, _ = sketch.lines[0]
        assert math.degrees(math.atan2(low[0] - top[0], top[1] - low[1])) == pytest.approx(angle)
        assert any(f"{abs(angle):g} deg from square" in text for _, text in sketch.texts)


def test_sections_stand_on_the_svg_inside_its_picture() -> None:
    text = sheet_svg(sheet_of(BUSY, Tool()), Look(words=True))
    high = float(re.search(r'viewBox="0 0 600 ([\d.]+)"', text)[1])  # type: ignore[index]
    assert text.count("deg from square") == 2
    assert all(float(y) < high for y in re.findall(r'<text x="[^"]*" y="([^"]*)"', text))


def test_the_words_name_time_masses_bevels_and_the_tool() -> None:
    words = "\n".join(sheet_words(sheet_of(BUSY, Tool(name="needle", named=True), areal_density=0.0005)))
    for wanted in (
        "min to cut (needle",
        "waste",
        "mm of the sheet left over",
        "edge bevel 30 deg, marked face set back",
    ):
        assert wanted in words
    assert "none named" in "\n".join(sheet_words(sheet_of(BUSY, Tool())))


@pytest.mark.parametrize("width", [120.0, 300.0, 762.0])
def test_the_words_stay_within_the_sheets_width(width: float) -> None:
    """On a sheet narrower than its words they go on in the next line; a letter is at most nine tenths of its height."""
    part = BoardPart("gusset", "board", 5, box(0, 0, 40, 30), note="a note that goes on and on " * 12)
    placed = [place_part(part, number=1, copy=1, x=10, y=10, angle=0, mirrored=False, tool=Tool())]
    sheet = make_sheet(
        board="board", number=1, of=1, width=width, height=200, thickness=5, placed=placed, margin=6, tool=Tool()
    )
    assert max(map(len, sheet_words(sheet))) * 0.9 * 4.0 <= width
    assert " ".join(" ".join(sheet_words(sheet)).split()).count("a note that goes on and on") == 12


def test_an_offcut_is_drawn_as_it_is(tmp_path: Path) -> None:
    """The paper, or the machine, is laid on the real piece by its own edge, not by a box about it."""
    path = tmp_path / "design.toml"
    path.write_text(
        '[[boards]]\nname = "board"\nthickness = 5\nmass = 108\n'
        "sheet = [[400, 600], { outline = [[0, 0], [300, 0], [0, 200]], count = 1 }]\n"
        '[[cuts]]\nname = "part"\nrectangle = [60, 40]\n'
    )
    case = check(path)
    (sheet,) = lay_out(case.design, case.parts, title="")[0].sheets
    write_sheet_dxf(sheet, tmp_path / "sheet.dxf")
    edges = [e for e in readfile(tmp_path / "sheet.dxf").modelspace().query('LWPOLYLINE[layer=="sheet"]') if e.closed]
    corners = {(round(x, 6), round(y, 6)) for edge in edges for x, y in edge.get_points("xy")}
    assert corners == {(0, 0), (300, 0), (0, 200)}
    assert 'd="M' in sheet_svg(sheet)
    assert any(line.startswith("offcut within 300 x 200") for line in sheet_words(sheet))
    grams = 108 / (400 * 600) * 0.5 * 300 * 200  # what the triangle weighs
    assert sheet.parts_mass_g + sheet.waste_mass_g < grams


# --- from the design file to the verdicts ---


def judged(folder: Path, cutting: str, *cuts: str) -> dict[tuple[str, str], Finding]:
    path = folder / "design.toml"
    shapes = "\n".join(f'[[cuts]]\nname = "part {k}"\n{text}' for k, text in enumerate(cuts, start=1))
    path.write_text(f"{BOARD}[cutting]\n{cutting}\n{shapes}\n")
    return {(f.check, f.subject): f for f in check(path).findings}


SLOT = "outline = [[0, 0], [60, 0], [60, 40], [35, 40], [35, 20], [30, 20], [30, 40], [0, 40]]"


@pytest.mark.parametrize(
    ("bevel", "verdict"),
    [
        ("{ edge = [[0, 0], [80, 0]], angle = 30 }", "pass"),
        ("{ edge = [[0, 0], [80, 0]], angle = 70 }", "caution"),
        ("{ edge = [[0, 5], [80, 5]], angle = 30 }", "fail"),
        ("{ edge = [[0, 0], [90, 0]], angle = 30 }", "fail"),
        ("{ edge = [[0, 0], [80, 0]], angle = 74 }, { edge = [[0, 0], [0, 6]], angle = 5 }", "fail"),
    ],
)
def test_a_bevel_lies_on_an_edge_and_leaves_a_part(tmp_path: Path, bevel: str, verdict: str) -> None:
    high = 6 if "[0, 6]" in bevel else 50
    found = judged(tmp_path, "kerf = 0", f"rectangle = [80, {high}]\nbevel = [{bevel}]")
    assert found["bevel", "part 1"].verdict == verdict


@pytest.mark.parametrize(
    ("score", "verdict"),
    [
        ("{ line = [[10, 5], [70, 5]], depth = 2.5 }", "pass"),
        ("{ line = [[10, 5], [70, 5]], depth = 4.5 }", "caution"),
        ("{ line = [[10, 5], [70, 5]], depth = 5 }", "fail"),
        ("{ line = [[10, 5], [90, 5]], depth = 2.5 }", "fail"),
    ],
)
def test_a_score_stays_in_the_board(tmp_path: Path, score: str, verdict: str) -> None:
    found = judged(tmp_path, "kerf = 0", f"rectangle = [80, 50]\nscore = [{score}]")
    assert found["score", "part 1"].verdict == verdict


def test_a_score_outside_is_told_where_the_part_lies(tmp_path: Path) -> None:
    found = judged(tmp_path, "kerf = 0", "disc = [80, 20]\nscore = [{ line = [[0, 30], [60, 30]], depth = 2 }]")
    assert "x from -40" in found["score", "part 1"].cure
    assert "y from -40" in found["score", "part 1"].cure


@pytest.mark.parametrize(
    ("cutting", "verdict"),
    [
        ('tool = "drag-knife"', "caution"),
        ('tool = "drag-knife"\novercut = 0.5', "pass"),
        ('tool = "drag-knife"\novercut = 0.5\ngap = 0.4', "fail"),
    ],
)
def test_an_overcut_is_asked_for_and_kept_out_of_the_neighbour(tmp_path: Path, cutting: str, verdict: str) -> None:
    assert judged(tmp_path, cutting, SLOT)["overcut", "drag-knife"].verdict == verdict


@pytest.mark.parametrize(
    ("cutting", "verdict"),
    [
        ('tool = "needle"\nkerf = 0.8', "pass"),
        ('tool = "needle"\nkerf = 0.8\nrelief = false', "caution"),
        ('tool = "needle"\nkerf = 4', "pass"),
    ],
)
def test_a_round_tool_relieves_inside_corners_unless_told_not_to(tmp_path: Path, cutting: str, verdict: str) -> None:
    assert judged(tmp_path, cutting, SLOT)["relief", "needle"].verdict == verdict


def test_a_design_that_names_no_tool_has_plain_corners(tmp_path: Path) -> None:
    """The contract: the cut path stands kerf/2 outside outlines and inside holes."""
    found = judged(tmp_path, "kerf = 0.8", SLOT)
    assert not any(name in {"relief", "overcut"} for name, _ in found)
    laid, _ = lay_out(check(tmp_path / "design.toml").design, check(tmp_path / "design.toml").parts, title="")
    (piece,) = laid.sheets[0].placed
    assert piece.cut.area == pytest.approx(SLOTTED.buffer(0.4, join_style="mitre").area, abs=1e-9)


def test_feed_and_passes_of_the_design_win_over_the_table(tmp_path: Path) -> None:
    judged(tmp_path, 'tool = "needle"\nfeed = "600 mm/min"\npasses = 3', SLOT)
    tool = tool_of(check(tmp_path / "design.toml").design.cutting)
    assert (tool.feed, tool.passes, tool.lift) == (pytest.approx(10), 3, kinds()["needle"].lift)


def test_a_sheets_line_says_use_waste_and_time() -> None:
    sheet = sheet_of(BUSY, Tool(), areal_density=0.0005)
    line = sheet_line(sheet)
    assert line.startswith(f"{sheet.heading}: {sheet.used_length_mm:.0f} of 600 mm used, ")
    assert f"{100 - 100 * sheet.utilisation:.0f} % of that waste ({sheet.waste_mass_g:.1f} g), about " in line
    assert "min to cut" in line
