"""The printed sheet, measured in the written file itself: its content streams are read with pypdf."""

import hashlib
import math
import os
import random
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from pypdf import PdfReader
from pypdf.generic import ContentStream
from shapely import LineString, Polygon, box
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from foamworks.output import pen as drawing_pen
from foamworks.output.sheets.paper import write_sheet_pdf
from foamworks.output.sheets.paper_labels import Placer, wordings
from foamworks.output.sheets.paper_tiles import plan
from foamworks.output.sheets.washers import write_washers
from foamworks.parts.base import Bevel, BoardPart, BoughtPart, Stroke
from foamworks.parts.board.sheet import PlacedPart, Sheet, make_sheet
from foamworks.parts.board.tool import Tool
from laid import place_part

MM = 72 / 25.4  # points
FIN = Polygon([(0, 0), (90, 40), (90, 100), (0, 120)])
FRAME = Polygon([(0, 0), (60, 0), (60, 60), (0, 60)], [[(10, 10), (10, 50), (50, 50), (50, 10)]])
STRIP = Polygon([(0, 0), (200, 0), (200, 4), (0, 4)])
PLATE = Polygon([(0, 0), (300, 0), (300, 190), (0, 230)])
CHIP = Polygon([(0, 0), (6, 0), (6, 5), (0, 5)])
NOTE = "the marked face looks outward"
MARKS = (
    Stroke("score", ((45, 30), (45, 100)), depth_mm=2.5),
    Stroke("mark", ((20, 20), (20, 100))),
    Stroke("mark", ((50, 60),), text="hinge", height_mm=4),
)


def board_part(name: str, outline: Polygon, **more: Any) -> BoardPart:
    return BoardPart(name, "foam board 5", 4.9, outline, mass_g=outline.area * 3e-4, **more)


def example(name: str = "fin", **more: Any) -> Sheet:
    fin = board_part(
        name, FIN, count=2, mirrored=1, grain="length", strokes=MARKS, note="the marked face looks outward"
    )
    chip = board_part("chip", CHIP, count=2)
    rows = [
        (fin, 1, 1, 10, 10, 0, False), (fin, 1, 2, 120, 140, 0, True),
        (board_part("frame", FRAME), 2, 1, 210, 40, 90, False),
        (board_part("spar cap", STRIP), 3, 1, 320, 480, 0, False),
        (board_part("plate", PLATE), 4, 1, 320, 20, 0, False), (chip, 5, 1, 20, 300, 0, False),
        (chip, 5, 2, 30, 300, 0, False),
    ]  # fmt: skip
    placed = [
        place_part(part, number=number, copy=copy, x=x, y=y, angle=angle, mirrored=mirrored, tool=Tool())
        for part, number, copy, x, y, angle, mirrored in rows
    ]
    return sheet_of(placed, **more)


def sheet_of(placed: list[PlacedPart], **more: Any) -> Sheet:
    return make_sheet(
        board="foam board 5", number=1, of=2, width=762, height=508, thickness=4.9, placed=placed, margin=6,
        tool=Tool(), title="Skerry boost", **more,
    )  # fmt: skip


@dataclass
class Page:
    """Straight steps of a page by line width, in millimetres from its lower left corner, and its fonts' sizes."""

    name: str
    width: float
    height: float
    steps: dict[float, list[LineString]] = field(default_factory=lambda: defaultdict(list))
    sizes: set[float] = field(default_factory=set)
    text: str = ""


def read(path: Path) -> list[Page]:
    reader = PdfReader(path)
    names = [str(entry.title) for entry in reader.outline if not isinstance(entry, list)]
    pages = []
    for name, page in zip(names, reader.pages, strict=True):
        found = Page(name, float(page.mediabox.width) / MM, float(page.mediabox.height) / MM, text=page.extract_text())
        _collect(ContentStream(page.get_contents(), reader), found)
        pages.append(found)
    return pages


def _collect(content: Any, page: Page) -> None:
    """Follow the path operators; no scaling may stand in front of them, or millimetres would be something else."""
    width, points, start = 0.0, [], (0.0, 0.0)
    for operands, operator in content.operations:
        numbers = [float(n) for n in operands] if operator in (b"m", b"l", b"w", b"cm") else []
        if operator == b"cm":
            assert math.hypot(numbers[0], numbers[1]) == pytest.approx(1, abs=1e-5)  # turned or moved at most
        elif operator == b"w":
            width = round(numbers[0] / MM, 3)
        elif operator == b"Tf":
            page.sizes.add(float(operands[1]))
        elif operator == b"m":
            points = [(numbers[0] / MM, numbers[1] / MM)]
            start = points[0]
        elif operator == b"l":
            points.append((numbers[0] / MM, numbers[1] / MM))
            page.steps[width].append(LineString(points[-2:]))
        elif operator == b"h":
            page.steps[width].append(LineString([points[-1], start]))


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Page]:
    path = tmp_path_factory.mktemp("paper") / "sheet.pdf"
    write_sheet_pdf(example(), path)
    return read(path)


CUT, BAR = 0.3, 0.2  # mm, line widths


def straight(page: Page, length: float, axis: int) -> list[LineString]:
    """Give the lines of a page that lie along one axis and have this length, to 0.001 mm."""
    found = []
    for step in page.steps[BAR]:
        (x1, y1), (x2, y2) = step.coords
        away = (x2 - x1, y2 - y1)
        if abs(abs(away[axis]) - length) < 1e-3 and abs(away[1 - axis]) < 1e-3:
            found.append(step)
    return found


@pytest.mark.parametrize("length", [100.0, 101.6], ids=["100 mm", "4 in"])
@pytest.mark.parametrize("axis", [0, 1], ids=["across", "up"])
def test_every_page_has_both_scale_bars_along_both_axes(length: float, axis: int, pages: list[Page]) -> None:
    for page in pages:
        assert straight(page, length, axis), page.name


def test_the_first_page_has_a_square_of_100_mm_with_its_diagonal(pages: list[Page]) -> None:
    first = pages[0]
    assert len(straight(first, 100, 0)) == len(straight(first, 100, 1)) == 3  # two sides and the bar
    diagonals = [s for s in first.steps[BAR] if s.length == pytest.approx(100 * math.sqrt(2), abs=1e-3)]
    assert len(diagonals) == 1
    assert "141.4" in first.text


def test_pages_fit_a4_and_letter(pages: list[Page]) -> None:
    """Both papers have at least 210 x 279.4 mm; all lines keep 10 mm from the page's edge."""
    for page in pages:
        short, long = sorted((page.width, page.height))
        assert short <= 210 + 1e-3
        assert long <= 279.4 + 1e-3
        printable = box(10, 10, page.width - 10, page.height - 10).buffer(1e-3)
        assert all(printable.covers(step) for steps in page.steps.values() for step in steps)


def crosses(page: Page) -> list[tuple[float, float]]:
    level = straight(page, 8, 0)
    return sorted({(round(s.centroid.x, 3), round(s.centroid.y, 3)) for s in level})


def boundaries(sheet: Sheet, numbers: Iterable[int]) -> BaseGeometry:
    return shapely.union_all([sheet.placed[i].cut.boundary for i in numbers])


def same_lines(drawn: BaseGeometry, wanted: BaseGeometry) -> None:
    drawn = translate(drawn, wanted.bounds[0] - drawn.bounds[0], wanted.bounds[1] - drawn.bounds[1])
    assert drawn.bounds == pytest.approx(wanted.bounds, abs=0.01)
    assert drawn.difference(wanted.buffer(0.01)).length < 0.01
    assert wanted.difference(drawn.buffer(0.01)).length < 0.01


def test_tiles_joined_at_their_crosses_give_the_parts_that_no_page_holds(pages: list[Page]) -> None:
    """Each tile is laid where its name says, its crosses on its neighbours'; what it keeps is taken."""
    sheet, joined = example(), []
    for page in (page for page in pages if page.name.startswith("tile ")):
        (left, low), *_, (right, top) = crosses(page)
        column, row = ord(page.name[5]) - ord("A"), int(page.name[6:]) - 1
        kept = box(left, low, right, top)
        shift = (column * (right - left) - left, -row * (top - low) - low)
        joined += [translate(step.intersection(kept), *shift) for step in page.steps[CUT]]
    grid = plan(sheet)
    assert grid.large == {4}  # the plate of 300 x 230 mm
    there = grid.large.union(*(tile.parts for tile in grid.joined))
    same_lines(shapely.union_all([line for line in joined if not line.is_empty]), boundaries(sheet, there))


def test_every_part_that_a_page_holds_is_whole_on_one_page_and_drawn_on_no_other(pages: list[Page]) -> None:
    sheet = example()
    grid = plan(sheet)
    homes = [i for tile in grid.pages for i in tile.parts]
    assert sorted(homes) == [0, 1, 2, 3, 5, 6]
    alone = [page for page in pages if page.name.startswith("page ")]
    assert [page.name for page in alone] == [f"page {tile.name}" for tile in grid.whole]
    for page, tile in zip(alone, grid.whole, strict=True):
        same_lines(shapely.union_all(page.steps[CUT]), boundaries(sheet, tile.parts))


def test_neighbours_overlap_by_10_mm(pages: list[Page]) -> None:
    for page in (page for page in pages if page.name.startswith("tile ")):
        (left, low), *_, (right, top) = crosses(page)
        assert (page.width - 20) - (right - left) == pytest.approx(10, abs=1e-3)
        assert (page.height - 20) - (top - low) == pytest.approx(10, abs=1e-3)


def test_tiles_carry_their_name_and_their_neighbours(pages: list[Page]) -> None:
    joined = [page for page in pages if page.name.startswith("tile ")]
    names = {page.name.removeprefix("tile ") for page in joined}
    for page in joined:
        name = page.name.removeprefix("tile ")
        assert name in page.text.split()
        right = f"{chr(ord(name[0]) + 1)}{name[1:]}"
        assert (f"joins {right}" in page.text) == (right in names)


def test_no_letter_is_smaller_than_7_points(pages: list[Page]) -> None:
    for page in pages:
        used = page.sizes - {12.0}  # the size reportlab opens each page with, unused
        assert min(used) >= 7, page.name


def test_the_first_page_says_what_must_be_said(pages: list[Page]) -> None:
    text = " ".join(pages[0].text.split())
    for words in (
        "Skerry boost", "foam board 5, sheet 1 of 2", "762 x 508 x 4.9 mm", "millimetres", "scale 1:1", "cut length",
        "used share", "Print at 100 %", "cut: all the way through", "score: to the depth given", "mark: with a pen",
        "fold: along a score", "a laser only where the workshop's written rules allow this very foam", "score 2.5 mm",
        "the marked face looks outward", "1 L 1 R", "grain of the board",
    ):  # fmt: skip
        assert words in text, words


def test_each_part_is_named_on_a_tile(pages: list[Page]) -> None:
    text = " ".join(" ".join(page.text.split()) for page in pages[1:])
    for words in ("1 fin R", "1 fin L", "2 frame", "3 spar cap, 1 of 1", "4 plate", "5 chip", "2 of 2, 0.0 g", "hinge"):
        assert words in text, words
    assert f"{FIN.area * 3e-4:.1f} g" in text


def test_a_design_that_does_not_pass_is_stamped_on_every_page(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    write_sheet_pdf(replace(example(), stamp="does not pass"), path)
    assert all("does not pass" in page.text for page in read(path))


@pytest.mark.parametrize("plotter", [False, True])
def test_no_text_runs_out_of_its_page(plotter: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    size = [0.0, 0.0]
    outside: list[str] = []
    new_page, write = drawing_pen.Pen.page, drawing_pen.Pen.text

    def page(pen: drawing_pen.Pen, width: float, height: float, name: str) -> None:
        size[:] = [width, height]
        new_page(pen, width, height, name)

    def text(pen: drawing_pen.Pen, at: Any, words: str, points: float = 7.0, **how: Any) -> None:
        wide = drawing_pen.text_width(words, points, bold=how.get("bold", False))
        turn = math.radians(how.get("angle", 0.0))
        end = (at[0] + wide * math.cos(turn), at[1] + wide * math.sin(turn))
        inside = box(9, 9, size[0] - 9, size[1] - 9) if not plotter else box(2, 2, size[0] - 2, size[1] - 2)
        if not inside.covers(LineString([at, end])):
            outside.append(words)
        write(pen, at, words, points, **how)

    monkeypatch.setattr(drawing_pen.Pen, "page", page)
    monkeypatch.setattr(drawing_pen.Pen, "text", text)
    write_sheet_pdf(example(name="a fin with " + "a very " * 9 + "long name"), tmp_path / "sheet.pdf", plotter)
    assert outside == []


def test_the_plotter_gets_one_page_with_the_whole_sheet(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    write_sheet_pdf(example(), path, plotter=True)
    [page] = read(path)
    wanted = shapely.union_all([piece.cut.boundary for piece in example().placed])
    above = [step for step in page.steps[CUT] if step.bounds[1] > page.height - 508 - 10]  # the legend is below
    drawn = shapely.union_all(above)
    drawn = translate(drawn, wanted.bounds[0] - drawn.bounds[0], wanted.bounds[1] - drawn.bounds[1])
    assert wanted.hausdorff_distance(drawn) < 0.01
    assert straight(page, 100, 0)
    assert straight(page, 101.6, 1)


# --- the division into tiles ------------------------------------------------------------------------------------


def test_what_fits_one_page_gets_one_page() -> None:
    placed = [place_part(board_part("fin", FIN), number=1, copy=1, x=300, y=200, angle=0, mirrored=False, tool=Tool())]
    assert len(plan(sheet_of(placed)).pages) == 1


@pytest.mark.parametrize(("width", "height", "lying"), [(240, 170, True), (170, 240, False)])
def test_pages_lie_or_stand_as_needs_fewer(width: float, height: float, lying: bool) -> None:
    part = board_part("plate", box(0, 0, width, height))
    (page,) = plan(sheet_of([place_part(part, number=1, copy=1, x=6, y=6, angle=0, mirrored=False, tool=Tool())])).pages
    assert (page.width > page.height) == lying


def test_every_part_is_wholly_on_the_pages() -> None:
    sheet = example()
    pages = shapely.union_all([tile.kept for tile in plan(sheet).pages])
    assert all(pages.buffer(1e-6).covers(piece.cut) for piece in sheet.placed)


def plates(width: float, height: float, across: int, up: int, gap: float = 5.0) -> Sheet:
    """A sheet of equal plates in rows."""
    plate = board_part("plate", box(0, 0, width, height), count=across * up)
    at = [(6 + (width + gap) * column, 6 + (height + gap) * row) for column in range(across) for row in range(up)]
    return sheet_of(
        [
            place_part(plate, number=1, copy=k, x=x, y=y, angle=0, mirrored=False, tool=Tool())
            for k, (x, y) in enumerate(at, start=1)
        ]
    )


def test_small_parts_are_never_cut_by_a_joint(tmp_path: Path) -> None:
    """Nine plates of 120 mm square, 5 mm apart: a page of 180 x 249 mm holds two of them, one of 249 x 180 too."""
    sheet = plates(120, 120, 3, 3)
    grid = plan(sheet)
    assert (grid.joined, len(grid.whole)) == ((), 5)
    write_sheet_pdf(sheet, tmp_path / "sheet.pdf")
    first, *pages = read(tmp_path / "sheet.pdf")
    for page in pages:  # nothing but whole squares is drawn
        length = sum(step.length for step in page.steps[CUT])
        assert length == pytest.approx(480 * round(length / 480), abs=0.5)
        assert "joins" not in page.text
    assert "nothing is joined" in first.text.replace("\n", " ")


def test_a_part_just_as_large_as_the_printed_area_is_no_joined_one() -> None:
    assert plan(plates(190, 259, 1, 1)).joined == ()
    assert len(plan(plates(190.1, 259, 1, 1)).joined) == 2


@pytest.mark.parametrize("seed", range(12))
def test_on_any_sheet_small_parts_have_one_page_and_large_ones_all_their_tiles(seed: int) -> None:
    """Boxes thrown anywhere on sheets of any size, 3 mm to the whole sheet large, one over the other."""
    pick = random.Random(seed)
    wide, high = pick.choice([(300, 200), (762, 508), (1189, 841)])
    boxes = []
    for _ in range(pick.randint(1, 25)):
        w, h = (pick.uniform(3, side if pick.random() < 0.1 else min(side, 220)) for side in (wide, high))
        x, y = pick.uniform(0, wide - w), pick.uniform(0, high - h)
        boxes.append(box(x, y, x + w, y + h))
    placed = [SimpleNamespace(cut=shape) for shape in boxes]
    grid = plan(SimpleNamespace(placed=placed, edge=box(0, 0, wide, high)))  # type: ignore[arg-type]
    homes = [i for page in grid.pages for i in page.parts]
    assert sorted([*homes, *grid.large]) == list(range(len(boxes)))
    for page in grid.pages:
        assert sorted((page.width + 10, page.height + 10)) <= [190 + 1e-6, 259 + 1e-6]
        assert all(page.printed.buffer(1e-6).covers(boxes[i]) for i in page.parts)
    joined = shapely.union_all([tile.kept for tile in grid.joined]).buffer(1e-6)
    assert all(joined.covers(boxes[i]) for i in grid.large)


def test_the_first_page_names_every_page_on_its_map(pages: list[Page]) -> None:
    assert all(tile.name in pages[0].text.split() for tile in plan(example()).pages)


@pytest.mark.parametrize("width", [170.0, 175.0, 180.0, 185.0, 249.0, 350.0, 360.0, 498.0])
def test_no_pages_edge_runs_along_a_cut(width: float) -> None:
    """Rows of strips whose ends would fall on the joints of a grid that begins at the first of them."""
    strip = board_part("strip", box(0, 0, width, 40))
    sheet = sheet_of(
        [place_part(strip, number=1, copy=k, x=6, y=6 + 45 * k, angle=0, mirrored=False, tool=Tool()) for k in range(8)]
    )
    for tile in plan(sheet).joined:
        for piece in sheet.placed:
            for area in (tile.kept, tile.printed):
                along = piece.cut.boundary.intersection(area.boundary.buffer(0.4))
                assert max((part.length for part in getattr(along, "geoms", [along])), default=0) < 2


def test_labels_lie_apart_and_those_beside_their_part_lie_on_none() -> None:
    sheet = example()
    placer = Placer(box(0, 0, 762, 508), sheet.placed)
    labels = [placer.place(piece, full=True) for piece in sheet.placed]
    areas = [label.area for label in labels if label]
    assert len(areas) == len(sheet.placed)
    for k, one in enumerate(areas):
        assert not any(one.intersects(other) for other in areas[k + 1 :])
    for label, piece in zip(labels, sheet.placed, strict=True):
        assert label is not None
        if label.lead is None:
            assert piece.cut.covers(label.area)
        else:
            assert not any(other.cut.intersects(label.area) for other in sheet.placed)


def test_a_label_says_number_name_hand_count_board_thickness_and_mass() -> None:
    words = " ".join(wordings(example().placed[1])[0])
    assert words == f"1 fin L 2 of 2 foam board 5 4.9 mm, {FIN.area * 3e-4:.1f} g"


def test_an_empty_sheet_still_gives_a_file(tmp_path: Path) -> None:
    write_sheet_pdf(sheet_of([]), tmp_path / "sheet.pdf")
    assert read(tmp_path / "sheet.pdf")[0].name == "first page"


def test_a_long_list_of_parts_runs_on_to_a_second_page(tmp_path: Path) -> None:
    placed = [
        place_part(board_part(f"part {k}", CHIP), number=k, copy=1, x=10 + 8 * (k % 20), y=10 + 8 * (k // 20), angle=0,
                   mirrored=False, tool=Tool())
        for k in range(45)
    ]  # fmt: skip
    write_sheet_pdf(sheet_of(placed), tmp_path / "sheet.pdf")
    pages = read(tmp_path / "sheet.pdf")
    assert [page.name for page in pages[:3]] == ["first page", "parts, page 2", "page 1"]
    assert "part 44" in pages[1].text


@pytest.mark.parametrize(("bevels", "pages"), [(1, ["first page"]), (20, ["first page", "bevels", "bevels"])])
def test_bevels_stand_below_the_list_of_parts_while_there_is_room(
    bevels: int, pages: list[str], tmp_path: Path
) -> None:
    slanting = tuple(Bevel(((0, 0), (0, 60)), 10.0 + k, f"edge {k}") for k in range(bevels))
    hatch = board_part("hatch", box(0, 0, 140, 60), bevels=slanting)
    placed = [place_part(hatch, number=1, copy=1, x=10, y=10, angle=0, mirrored=False, tool=Tool())]
    write_sheet_pdf(sheet_of(placed), tmp_path / "sheet.pdf")
    found = read(tmp_path / "sheet.pdf")
    assert [page.name for page in found if not page.name.startswith("page ")] == pages
    sections = " ".join(page.text.replace("\n", " ") for page in found)
    assert all(f"edge {k} bevel {10 + k} deg" in sections for k in range(bevels))


@pytest.mark.parametrize("name", ["Flügel", "Πτερύγιο", "左翼", "a" * 80])
def test_any_name_can_be_printed(name: str, tmp_path: Path) -> None:
    write_sheet_pdf(example(name), tmp_path / "sheet.pdf")
    if name in ("Flügel", "Πτερύγιο"):
        assert any(name in page.text for page in read(tmp_path / "sheet.pdf"))


@pytest.mark.parametrize(
    ("name", "font"), [("左翼", "STSong-Light"), ("つばさ", "HeiseiKakuGo-W5"), ("날개", "HYSMyeongJo-Medium")]
)
def test_an_east_asian_name_is_written_in_the_viewers_own_font_of_its_script(
    name: str, font: str, tmp_path: Path
) -> None:
    write_sheet_pdf(example(name), tmp_path / "sheet.pdf")
    assert f"/BaseFont /{font}".encode() in (tmp_path / "sheet.pdf").read_bytes()
    assert drawing_pen.text_width(name, 10.0) == pytest.approx(len(name) * 10 / drawing_pen.MM, rel=0.05)  # an em each


PROCESS = f"""
import importlib.util, pathlib, sys
spec = importlib.util.spec_from_file_location("t", {__file__!r})
t = importlib.util.module_from_spec(spec)
sys.modules["t"] = t
spec.loader.exec_module(t)
t.write_sheet_pdf(t.example(), pathlib.Path(sys.argv[1]))
"""


def test_the_bytes_are_the_same_in_any_process(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    write_sheet_pdf(example(), path)
    sums = {hashlib.sha256(path.read_bytes()).hexdigest()}
    environment = {**os.environ, "PYTHONHASHSEED": "777", "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
    subprocess.run([sys.executable, "-c", PROCESS, str(path)], check=True, env=environment)
    sums.add(hashlib.sha256(path.read_bytes()).hexdigest())
    assert len(sums) == 1


def test_every_ply_ring_is_drawn_at_full_size_on_pages_of_its_own(tmp_path: Path) -> None:
    sizes = [(29.0, 18.0), (27.5, 12.0), (60.0, 40.0), (150.0, 100.0), (150.0, 90.0), (24.0, 17.0)]
    bought = [
        BoughtPart(f"washer {k}", mass_g=0.5, note=f"{a} / {b}", ring_mm=(a, b)) for k, (a, b) in enumerate(sizes)
    ]
    write_washers([BoughtPart("glue", mass_g=5.0), *bought], tmp_path / "sheets" / "ply-rings.pdf", title="Skerry")
    pages = read(tmp_path / "sheets" / "ply-rings.pdf")
    found = []
    for page in pages:
        assert len(straight(page, 100, 0)) == 1
        assert len(straight(page, 100, 1)) == 1
        whole = shapely.polygonize([shapely.node(shapely.union_all(page.steps[CUT]))])
        discs = [Polygon(ring.exterior) for ring in whole.geoms]
        assert all(box(10, 10, page.width - 10, page.height - 10).covers(disc) for disc in discs)
        found += [2 * math.sqrt(disc.area / math.pi) for disc in discs]
    assert sorted(found) == pytest.approx(sorted(d for pair in sizes for d in pair), abs=0.03)
    assert all(f"washer {k}" in " ".join(page.text for page in pages) for k in range(6))


def test_without_rings_there_is_no_page_of_them(tmp_path: Path) -> None:
    write_washers([BoughtPart("glue", mass_g=5.0)], tmp_path / "ply-rings.pdf", title="Skerry")
    assert list(tmp_path.iterdir()) == []


def test_a_ring_wider_than_a_page_gets_a_larger_one(tmp_path: Path) -> None:
    write_washers([BoughtPart("w", mass_g=1.0, ring_mm=(300.0, 200.0))], tmp_path / "ply-rings.pdf", title="Skerry")
    (page,) = read(tmp_path / "ply-rings.pdf")
    assert page.width > 320
