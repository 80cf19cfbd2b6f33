"""Every verdict on boards, cutting and printing made to pass, warn, fail and stay open once; cures are tried."""

import math
import re
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from shapely import Polygon

from foamworks.changes.plain import whole
from foamworks.changes.trial import Tried, changed
from foamworks.checks.base import Finding
from foamworks.checks.bench.sheets import judge_layout
from foamworks.checks.case import Case
from foamworks.checks.stamp import STAMP, stamp
from foamworks.design.edit import Edit
from foamworks.errors import DesignError
from foamworks.output.prints.plates import plates
from foamworks.parts.base import PrintPart
from foamworks.parts.board.layout import LaidOut, LeftOver, lay_out
from foamworks.parts.board.stock import stock_of
from foamworks.parts.board.webs import least_web
from foamworks.parts.mesh import DRAWN, Mesh, mesh
from foamworks.parts.pose import pose_of, posed
from kept import answer, check

ROOT = Path(__file__).parents[1]
BOARD = '[[boards]]\nname = "board"\nthickness = 5\nsheet = [400, 600]\nmass = 108\n'
FINS = """
[fins]
each = { root_chord = %g, tip_chord = 60, height = 100 }
root = { x = 700, y = 100, z = 30 }
board = "board"
"""


def cut(shape: str, *, name: str = "part", more: str = "") -> str:
    return f'[[cuts]]\nname = "{name}"\nboard = "board"\n{shape}\n{more}\n'


def case_of(folder: Path, *text: str) -> Case:
    path = folder / "design.toml"
    path.write_text("\n".join(text))
    return check(path)


def by_subject(findings: tuple[Finding, ...]) -> dict[tuple[str, str], Finding]:
    assert len({(f.check, f.subject) for f in findings}) == len(findings)  # one finding for a check and subject
    return {(finding.check, finding.subject): finding for finding in findings}


def judged(folder: Path, *text: str) -> dict[tuple[str, str], Finding]:
    return by_subject(case_of(folder, *text).findings)


def test_cuts_alone_get_only_what_concerns_board_and_cutting(tmp_path: Path) -> None:
    assert {name for name, _ in judged(tmp_path, BOARD, cut("disc = [60, 20]"))} == {"sheet-fit"}


def test_cuts_without_a_board_are_laid_on_the_usual_one_and_what_was_not_measured_is_said(tmp_path: Path) -> None:
    case = case_of(tmp_path, '[[cuts]]\nname = "part"\nrectangle = [120, 60]\n')
    assert {(f.check, f.verdict) for f in case.findings} == {
        ("sheet-fit", "unknown"), ("board-thickness", "unknown"), ("board-mass", "unknown"),
    }  # fmt: skip
    laid, _ = lay_out(case.design, case.parts, title="")
    assert [piece.part.name for sheet in laid.sheets for piece in sheet.placed] == ["part"]


# --- the sheet ---


@pytest.mark.parametrize(
    ("shape", "verdict"),
    [("rectangle = [588, 388]", "pass"), ("rectangle = [388, 588]", "pass"), ("rectangle = [589, 50]", "fail")],
)
def test_a_part_fits_the_sheet_inside_its_margin(tmp_path: Path, shape: str, verdict: str) -> None:
    found = judged(tmp_path, BOARD, cut(shape))  # 600 x 400 less 6 mm all round
    assert found["sheet-fit", "board" if verdict == "pass" else "part"].verdict == verdict


def test_a_part_along_the_grain_may_not_be_turned_to_fit(tmp_path: Path) -> None:
    found = judged(tmp_path, BOARD, cut("rectangle = [300, 500]", more='grain = "length"'))["sheet-fit", "part"]
    assert (found.verdict, found.value, found.limit) == ("fail", 500, 388)  # the side that is too long, not its x


def test_the_kerf_counts_with_the_part(tmp_path: Path) -> None:
    tight = cut("rectangle = [588, 100]")
    found = judged(tmp_path, BOARD, tight, "[cutting]\nkerf = 0.8\n")["sheet-fit", "part"]
    assert (found.verdict, found.value) == ("fail", pytest.approx(588.8))


def test_each_part_that_is_too_large_is_named_once(tmp_path: Path) -> None:
    cuts = [cut("rectangle = [700, 50]", name=name, more="count = 4\nmirror = true") for name in ("spar", "keel")]
    found = judged(tmp_path, BOARD, *cuts, cut("disc = 50"))
    assert [subject for check, subject in found if check == "sheet-fit"] == ["spar", "keel"]


def test_the_sheet_that_the_cure_asks_for_takes_the_part(tmp_path: Path) -> None:
    part = cut("trapezoid = [650, 200, 420, 10]")
    cure = judged(tmp_path, BOARD, part)["sheet-fit", "part"].cure
    size = re.search(r"at least (\d+) x (\d+) mm", cure)
    assert size is not None
    bought = BOARD.replace("[400, 600]", f"[{size.group(1)}, {size.group(2)}]")
    assert judged(tmp_path, bought, part)["sheet-fit", "board"].verdict == "pass"


def test_a_sheet_that_was_not_measured_is_unknown(tmp_path: Path) -> None:
    found = judged(tmp_path, '[[boards]]\nname = "board"\nthickness = 5\n', cut("disc = 50"))
    assert found["sheet-fit", "board"].verdict == "unknown"


@pytest.mark.parametrize(
    ("board", "asks"),
    [
        ('[[boards]]\nname = "board"\nthickness = 5\nsheet = [400, 600]\n', "mass"),
        ('[[boards]]\nname = "board"\nthickness = 5\nmass = 108\n', "sheet"),
    ],
)
def test_a_board_that_was_not_weighed_says_what_is_missing(tmp_path: Path, board: str, asks: str) -> None:
    found = judged(tmp_path, board, cut("disc = 50"))["board-mass", "board"]
    assert (found.verdict, asks in found.cure) == ("unknown", True)
    assert "carry no mass" in found.why


def test_fins_from_a_board_that_was_not_weighed_say_what_is_taken(tmp_path: Path) -> None:
    why = judged(tmp_path, BOARD.replace("mass = 108\n", ""), FINS % 110)["board-mass", "board"].why
    assert "450 g/m2 is taken" in why  # trade's table: the craft kind, of 5 mm


def test_of_several_sizes_the_weighed_one_stands_first_and_is_named(tmp_path: Path) -> None:
    sizes = BOARD.replace("sheet = [400, 600]", "sheet = [[400, 600], [500, 1000]]")
    found = judged(tmp_path, sizes, cut("disc = 50"))["board-mass", "board"]
    assert (found.verdict, found.value, found.unit) == ("pass", pytest.approx(108), "g")
    assert "taken for the first, 400 x 600 mm: 450 g/m2" in found.why  # 108 g over 0.24 m2
    same = BOARD.replace("sheet = [400, 600]", "sheet = [[400, 600], [600, 400]]")
    assert ("board-mass", "board") not in judged(tmp_path, same, cut("disc = 50"))


# --- names ---


WEIGHED_FIN = '[[weighed]]\npart = "fin"\nmass = 3\n'


def test_a_cut_called_like_a_part_of_the_design_fails_until_it_is_renamed(tmp_path: Path) -> None:
    case = case_of(tmp_path, BOARD, FINS % 110, cut("disc = 50", name="fin"), WEIGHED_FIN)
    found = by_subject(case.findings)["part-names", "fin"]
    assert found.verdict == "fail"
    assert "counts for neither" in found.why
    name = re.search(r'name = "([^"]+)"', found.cure)
    assert name is not None
    cured = case_of(tmp_path, BOARD, FINS % 110, cut("disc = 50", name=name[1]), WEIGHED_FIN)
    assert not [f for f in cured.findings if f.check == "part-names"]
    assert [p.mass_g for p in cured.parts.boards if p.name == "fin"] == [3]


def test_what_was_weighed_under_a_name_of_two_parts_counts_for_neither(tmp_path: Path) -> None:
    text = (BOARD, FINS % 110, cut("rectangle = [100, 60]", name="fin"))
    fin, plate = (p for p in case_of(tmp_path, *text, WEIGHED_FIN).parts.boards if p.name == "fin")
    assert plate.mass_g == pytest.approx(6000 * 108 / 240_000)
    assert fin.mass_g == pytest.approx(fin.outline.area * 108 / 240_000)


# --- tabs, holes, grain, hands ---


@pytest.mark.parametrize(
    ("root", "kerf", "verdict"),
    # two edges of 10 mm and a tab of 15 want 35 mm of root; the slot is 5 mm wide
    [(110, 0, "pass"), (36, 0, "pass"), (34, 0, "fail"), (110, 4.9, "pass"), (110, 5, "fail")],
)
def test_a_fin_with_tabs_needs_root_and_slot_for_them(tmp_path: Path, root: float, kerf: float, verdict: str) -> None:
    found = judged(tmp_path, BOARD, FINS % root, f"[cutting]\nkerf = {kerf}\n")["slot-fit", "fin"]
    assert (found.verdict, bool(found.cure)) == (verdict, verdict == "fail")


def test_tabs_in_a_board_of_no_known_thickness_are_unknown(tmp_path: Path) -> None:
    fins = (FINS % 110).replace('board = "board"', "")
    assert judged(tmp_path, fins)["slot-fit", "fin"].verdict == "unknown"


def test_glued_fins_have_no_slot(tmp_path: Path) -> None:
    found = judged(tmp_path, BOARD, (FINS % 110).replace("[fins]", '[fins]\nmount = "glue"'))
    assert ("slot-fit", "fin") not in found


def test_the_least_web_lies_between_holes_too() -> None:
    plate = [(0, 0), (100, 0), (100, 50), (0, 50)]
    left, right = ([(x, 20), (x + 10, 20), (x + 10, 30), (x, 30)] for x in (30, 44))
    assert least_web(Polygon(plate, [left, right])) == 4
    assert least_web(Polygon(plate, [left])) == 20
    assert least_web(Polygon(plate)) == math.inf


@pytest.mark.parametrize(("inner", "verdict"), [(40, None), (41, "caution")])
def test_a_web_under_two_thicknesses_is_a_caution(tmp_path: Path, inner: float, verdict: str | None) -> None:
    found = judged(tmp_path, BOARD, cut(f"disc = [60, {inner}]")).get(("thin-web", "part"))
    assert (None if found is None else found.verdict) == verdict  # 10 mm of board, 9.5


def test_a_hole_narrower_than_the_kerf_cannot_be_cut(tmp_path: Path) -> None:
    found = judged(tmp_path, BOARD, cut("disc = [60, 0.5]"), "[cutting]\nkerf = 0.8\n")["thin-web", "part"]
    assert (found.verdict, found.value) == ("fail", 0.8)


def test_parts_with_a_grain_on_a_board_without_one_are_named_together(tmp_path: Path) -> None:
    board = BOARD + 'grain = "none"\n'
    cuts = [cut("disc = 50", name=f"rib {n}", more='grain = "length"') for n in range(6)]
    found = judged(tmp_path, board, *cuts)["grain", "board"]
    assert (found.verdict, found.value) == ("caution", 6)
    assert "and 2 more" in found.why


def test_a_grain_that_the_board_has_is_no_matter(tmp_path: Path) -> None:
    assert ("grain", "board") not in judged(tmp_path, BOARD, cut("disc = 50", more='grain = "length"'))


@pytest.mark.parametrize(("count", "verdict"), [(4, "pass"), (3, "caution")])
def test_hands_come_in_pairs(tmp_path: Path, count: int, verdict: str) -> None:
    found = judged(tmp_path, BOARD, cut("disc = 50", more=f"mirror = true\ncount = {count}"))["left-right", "part"]
    assert found.verdict == verdict
    assert f"{count - count // 2} as drawn (R) and {count // 2} mirrored (L)" in found.why


# --- the tool ---


@pytest.mark.parametrize(("kerf", "verdict"), [(0.8, "pass"), (0, "unknown")])
def test_a_needles_kerf_is_measured(tmp_path: Path, kerf: float, verdict: str) -> None:
    found = judged(tmp_path, BOARD, cut("disc = 50"), f'[cutting]\ntool = "needle"\nkerf = {kerf}\n')
    assert found["kerf-measured", "needle"].verdict == verdict


def test_a_knife_has_no_kerf_to_measure(tmp_path: Path) -> None:
    found = judged(tmp_path, BOARD, cut("disc = 50"), '[cutting]\ntool = "knife"\n')
    assert {name for name, _ in found} == {"sheet-fit"}


def test_no_sheet_is_called_ready_for_a_laser(tmp_path: Path) -> None:
    case = case_of(tmp_path, BOARD, cut("disc = 50"), '[cutting]\ntool = "laser"\nkerf = 0.3\n')
    found = by_subject(case.findings)["laser", "sheets"]
    assert (found.verdict, "hydrogen chloride" in found.why) == ("fail", True)
    assert stamp(case, {"sheets"}) == STAMP


# --- the printer ---

NOSE = '[pod]\ntube = { inner = 29.5, outer = 31.5 }\nnose = { profile = "cone", length = %g }\n'
PRINTER = '[printer]\nbed = [%g, %g, %g]\nfilament = { name = "PETG" }\n'


@pytest.mark.parametrize(
    ("length", "bed", "verdict"),
    [
        (60, (200, 200, 200), "pass"),
        (60, (40, 40, 100), "pass"),  # standing
        (60, (100, 40, 40), "caution"),  # lying only: its file stands tip up
        (60, (30, 200, 200), "fail"),  # 31 mm wide, whichever way
        (300, (200, 200, 250), "fail"),
    ],
)
def test_a_print_fits_the_bed_as_it_is_printed(
    tmp_path: Path, length: float, bed: tuple[float, float, float], verdict: str
) -> None:
    found = judged(tmp_path, NOSE % length, PRINTER % bed)
    assert found["print-fit", "prints" if verdict == "pass" else "nose cone"].verdict == verdict


def test_the_number_of_a_print_that_does_not_fit_is_the_side_that_meets_the_bed(tmp_path: Path) -> None:
    found = judged(tmp_path, NOSE % 60, PRINTER % (30, 200, 200))["print-fit", "nose cone"]
    # the cone's radius 15.75 x/60 meets the flare, which rises 1 mm in 1.02 through the tube's inner edge 14.75 at 60
    radius = (60 + 1.02 * 14.75) / (60 / 15.75 + 1.02)
    assert found.value == pytest.approx(2 * radius, abs=1e-3)
    assert found.limit == 30
    assert "31 mm meet 30" in found.why


def test_a_print_too_tall_as_it_is_printed_is_on_no_plate_and_says_so(tmp_path: Path) -> None:
    case = case_of(tmp_path, NOSE % 60, PRINTER % (100, 40, 40))
    found = by_subject(case.findings)["print-fit", "nose cone"]
    assert (round(found.value or 0), found.limit) == (77, 40)
    assert "on no plate" in found.why
    prints = case.parts.prints
    laid = plates(prints, [as_printed(part) for part in prints], (100, 40, 40))
    assert {prints[item.which].name for plate in laid for item in plate} == {"ring gauge"}


def as_printed(part: PrintPart) -> Mesh:
    return posed(mesh(part.shape, *DRAWN), pose_of(part).up)


def test_the_box_as_printed_is_that_of_the_mesh_in_its_pose() -> None:
    for part in check(ROOT / "designs" / "skerry-boost.toml").parts.prints:
        corner = as_printed(part).vertices.max(axis=0)
        assert part.box_as_printed == pytest.approx((*sorted(corner[:2]), corner[2]), abs=0.15), part.name


def test_a_bed_that_is_not_given_is_unknown(tmp_path: Path) -> None:
    assert judged(tmp_path, NOSE % 60)["print-fit", "prints"].verdict == "unknown"


# --- what only a layout knows ---


def laid_out(folder: Path, *text: str) -> tuple[Case, LaidOut]:
    case = case_of(folder, *text)
    return case, lay_out(case.design, case.parts, title=case.name)[0]


@pytest.mark.parametrize(
    ("shape", "verdict"),
    # of the sheet 388 mm are used across: two strips of 180 fill nearly all, an L of two arms of 60 a quarter
    [
        ("rectangle = [580, 180]\ncount = 2", "pass"),
        ("outline = [[0,0],[588,0],[588,60],[60,60],[60,380],[0,380]]", "caution"),
    ],
)
def test_a_sheet_of_which_little_becomes_parts_is_a_caution(tmp_path: Path, shape: str, verdict: str) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut(shape))
    assert by_subject(judge_layout(case, laid))["utilisation", "board, sheet 1 of 1"].verdict == verdict


def test_a_sheet_that_is_hardly_begun_is_not_blamed(tmp_path: Path) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut("disc = 40"))
    assert by_subject(judge_layout(case, laid))["utilisation", "board, sheet 1 of 1"].verdict == "pass"


def test_what_found_no_place_fails_once(tmp_path: Path) -> None:
    case = case_of(tmp_path, BOARD, cut("disc = 50"))
    laid = LaidOut((), (LeftOver("board", "part", 2, "no sheet left"), LeftOver("board", "part", 1, "no offcut left")))
    found = by_subject(judge_layout(case, laid))["sheet-fit", "part"]
    assert (found.verdict, found.value) == ("fail", 3)
    assert "no sheet left; no offcut left" in found.why


def test_a_part_too_large_for_its_sheet_is_not_named_again_by_the_layout(tmp_path: Path) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut("rectangle = [700, 50]"))
    assert [row.part for row in laid.left_over] == ["part"]
    together = replace(case, findings=judge_layout(case, laid))
    assert by_subject(together.findings)["sheet-fit", "part"].verdict == "fail"


@pytest.mark.parametrize(
    ("shape", "split"),
    [("rectangle = [259, 190]", False), ("rectangle = [190, 259]", False), ("rectangle = [191, 191]", True)],
)
def test_a_template_larger_than_a_page_is_joined(tmp_path: Path, shape: str, split: bool) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut(shape))
    found = by_subject(judge_layout(case, laid))  # trade's table: 190 x 259 mm fit A4 and Letter
    assert (("tile-split", "paper templates") in found) == split


def test_a_template_of_a_part_that_found_no_sheet_is_not_spoken_of(tmp_path: Path) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut("rectangle = [700, 50]"), cut("disc = 40", name="disc"))
    assert not [finding for finding in judge_layout(case, laid) if finding.check == "tile-split"]


# --- what the area tells before anything is laid out ---

OFFCUTS = BOARD.replace("[400, 600]", "[{ outline = [[0,0],[320,0],[320,320],[0,320]], count = %d }]")
PLATES = "rectangle = [150, 150]\ncount = %d"


@pytest.mark.parametrize(
    ("board", "shape"), [(BOARD, "trapezoid = [650, 200, 420, 10]"), (OFFCUTS % 1, PLATES % 5)], ids=["size", "area"]
)
def test_the_sheet_that_a_cure_types_takes_the_parts(tmp_path: Path, board: str, shape: str) -> None:
    case = case_of(tmp_path, board, cut(shape))
    (failed,) = [finding for finding in case.findings if finding.check == "sheet-fit"]
    typed = next(proposal.edits for proposal in failed.proposals if proposal.edits)
    after = changed(case, typed)
    assert after is not None
    assert {finding.verdict for finding in after.findings if finding.check == "sheet-fit"} == {"pass"}


@pytest.mark.parametrize(
    ("offcuts", "plates", "verdict"),
    # inside the margin 308 mm are square: four plates of 150 with 2 mm between lie on one, five take 1,155 of 961 cm2
    [(1, 4, "unknown"), (1, 5, "fail"), (2, 8, "unknown"), (2, 9, "fail")],
)
def test_the_area_alone_fails_what_cannot_be_laid_out(tmp_path: Path, offcuts: int, plates: int, verdict: str) -> None:
    found = judged(tmp_path, OFFCUTS % offcuts, cut(PLATES % plates))["sheet-fit", "board"]
    assert found.verdict == verdict
    if verdict == "unknown":
        assert (found.value, found.cure) == (plates / 4, "run foamworks build with this design")


@pytest.mark.parametrize(("pieces", "least"), [(1, 1), (4, 1), (5, 2), (8, 2), (9, 3)])
def test_the_area_asks_for_a_least_number_of_sheets(tmp_path: Path, pieces: int, least: int) -> None:
    # 588 x 388 mm inside the margin with half a gap all round are 230,100 mm2; 292 x 192 with theirs about 57,035
    found = judged(tmp_path, BOARD, cut(f"rectangle = [292, 192]\ncount = {pieces}"))["sheet-fit", "board"]
    assert (found.verdict, found.value) == ("pass", least)


def test_the_largest_offcuts_count_first(tmp_path: Path) -> None:
    sheets = BOARD.replace("[400, 600]", "[[400, 600], { outline = [[0,0],[900,0],[900,700],[0,700]] }]")
    found = judged(tmp_path, sheets, cut("rectangle = [300, 300]\ncount = 6"))["sheet-fit", "board"]
    assert (found.verdict, found.value) == ("pass", 1)  # six of 0.09 m2 and one offcut of 0.61 m2


def test_the_layout_stands_in_the_place_of_what_the_area_told(tmp_path: Path) -> None:
    case, laid = laid_out(tmp_path, BOARD, cut("rectangle = [300, 300]\ncount = 2"))  # two side by side: 602 of 588 mm
    assert by_subject(case.findings)["sheet-fit", "board"].value == 1
    found = by_subject(judge_layout(case, laid))["sheet-fit", "board"]
    assert (found.verdict, found.value) == ("pass", 2)


def test_offcuts_without_room_for_all_fail_by_the_layout_and_pass_nowhere(tmp_path: Path) -> None:
    case, laid = laid_out(tmp_path, OFFCUTS % 1, cut("rectangle = [300, 152]\ncount = 2"))
    assert by_subject(case.findings)["sheet-fit", "board"].verdict == "unknown"
    found = [finding for finding in judge_layout(case, laid) if finding.check == "sheet-fit"]
    assert [(finding.subject, finding.verdict) for finding in found] == [("board", "pass")]
    # three of 160 x 160 take 77,700 of 96,100 mm2, and in a square of 308 mm there is room for one
    case, laid = laid_out(tmp_path, OFFCUTS % 1, cut("rectangle = [160, 160]\ncount = 3"))
    assert by_subject(case.findings)["sheet-fit", "board"].verdict == "unknown"
    found = [finding for finding in judge_layout(case, laid) if finding.check == "sheet-fit"]
    assert [(finding.subject, finding.verdict, finding.value) for finding in found] == [("part", "fail", 2)]


def test_a_mass_without_the_size_that_was_weighed_asks_for_the_size(tmp_path: Path) -> None:
    found = judged(tmp_path, OFFCUTS % 1, cut("disc = 50"))["board-mass", "board"]
    assert "108 g are given, but not the size of the sheet that was weighed" in found.why
    assert found.cure.startswith("put the size of the sheet that was weighed into sheet")


# --- the sheets that are there ---


@pytest.mark.parametrize(
    ("sheet", "sizes"),
    [
        # ISO 216:2007 table 1; ASME Y14.1: B is 11 x 17 in, E 34 x 44 in
        ('"A2"', [(594, 420)]),
        ('"a0"', [(1189, 841)]),
        ('"A4"', [(297, 210)]),
        ('"A6"', [(148, 105)]),
        ('"b1"', [(1000, 707)]),
        ('"B5"', [(250, 176)]),
        ('"ANSI B"', [(431.8, 279.4)]),
        ('"ansi-e"', [(1117.6, 863.6)]),
        ('["A3", "a2"]', [(420, 297), (594, 420)]),
        ('["A3", [400, 600]]', [(420, 297), (600, 400)]),
        ('[[400, 600], "ANSI A"]', [(600, 400), (279.4, 215.9)]),
        ('["20 in", "30 in"]', [(762, 508)]),
    ],
)
def test_a_sheet_is_given_by_its_sides_or_by_its_papers_name(tmp_path: Path, sheet: str, sizes: object) -> None:
    case = case_of(tmp_path, BOARD.replace("[400, 600]", sheet), cut("disc = 20"))
    found = [stocked.size for stocked in stock_of(case.design.boards[0])]
    assert [pytest.approx(size) for size in found] == sizes


def test_a_paper_size_that_is_none_is_told_with_the_names(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r'boards\[1\]\.sheet = "A22": is no paper size; .* one of A0, A1'):
        case_of(tmp_path, BOARD.replace("[400, 600]", '"A22"'), cut("disc = 20"))


def test_an_offcut_may_be_a_drawing_that_lies_anywhere(tmp_path: Path) -> None:
    drawing = ezdxf.new()
    drawing.units = 4
    corners = [(1000, -50), (1300, -50), (1300, 50), (1100, 150), (1000, 150)]
    drawing.modelspace().add_lwpolyline(corners, close=True)
    drawing.saveas(tmp_path / "offcut.dxf")
    case, laid = laid_out(tmp_path, BOARD.replace("[400, 600]", '{ trace = "offcut.dxf" }'), cut("disc = 80"))
    (sheet,) = laid.sheets
    assert (sheet.width, sheet.height) == pytest.approx((300, 200))
    assert sheet.edge.area == pytest.approx(Polygon(corners).area)
    assert sheet.heading == "board, sheet 1 of 1, an offcut"
    assert by_subject(judge_layout(case, laid))["sheet-fit", "board"].verdict == "pass"


def test_a_sheet_that_is_proposed_has_room_for_every_part_and_comes_first(tmp_path: Path) -> None:
    """A side of 813 mm and a fin 111 mm high on a board of 508 x 762: 813 and two margins of 6 mm, 508 as it is."""
    path = tmp_path / "long.toml"
    path.write_text(
        '[[cuts]]\nname = "side"\nrectangle = [813, 76]\n[[cuts]]\nname = "fin"\nrectangle = [140, 111]\n'
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [508, 762]\n'
    )
    told = answer(check(path))
    change = told.causes[0].first
    assert isinstance(change, Tried)
    assert change.proposal.edits == (Edit('boards["b"].sheet', (825.0, 508.0), "mm"),)
    assert ("sheet-fit", "side") in change.clears
    assert not change.harms
    assert told.next[0] == whole(change.proposal.told)
    assert told.causes[0].sentence.startswith("Side is 813.0 x 76.0 mm, and a sheet of b has room for 750 x 496 mm")
