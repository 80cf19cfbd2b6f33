"""Bench parts for gluing fins: angles by the outline's own corners, counts and hands, nothing in the balance."""

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

import kept
from foamworks.checks.case import Case
from foamworks.parts import jigs
from foamworks.parts.base import BoardPart
from foamworks.parts.board.webs import least_web
from foamworks.parts.density import Stuff
from foamworks.parts.fins import slot_template, tab_places
from foamworks.parts.make import root_stand
from foamworks.study.strength import glue_moment

BOARD = Stuff("board", 5.0, 400e-6, measured=True)
FINS = (
    "root = {{ x = 682, y = {y}, z = 32 }}\nshape = {{ aspect_ratio = 1.5, taper = 0.6, sweep = 25 }}\n"
    'board = "board"\ncant = {cant}\ntoe = {toe}\nmount = "{mount}"\ncount = {count}'
)
Make = Callable[..., Case]


@pytest.fixture(scope="module")
def make(small_file: Callable[..., Path]) -> Make:
    def run(*, cant: float = 0, toe: float = 0, mount: str = "tab", count: int = 2, y: float = 120) -> Case:
        text = FINS.format(cant=cant, toe=toe, mount=mount, count=count, y=y if count == 2 else 0)
        return kept.check(small_file({"fins": text}))

    return run


def part(case: Case, name: str) -> BoardPart | None:
    return next((part for part in case.parts.boards if part.name == name), None)


def jig(**changes: float) -> BoardPart | None:
    asked = {
        "lean": 0.0, "outboard": 60.0, "inboard": 60.0, "root_chord": 110.0, "tip_chord": 60.0, "height": 120.0,
        "sweep": math.radians(30), "count": 2,
    }  # fmt: skip
    return jigs.fin_jig(**{**asked, **changes}, stuff=BOARD)  # type: ignore[arg-type]


def edges(outline: Polygon) -> tuple[float, float, float]:
    """Angle between the edge on the tailplane (y = 0) and the one along the fin [deg], and both edges' outer ends [mm].

    The fin's edge is the other one whose line runs through the root, the origin.
    """
    corners = list(outline.exterior.coords)
    through = [
        (a, b)
        for a, b in pairwise(corners)
        if abs(a[0] * b[1] - a[1] * b[0]) < 1e-6 * math.dist(a, b) * max(math.hypot(*a), math.hypot(*b))
    ]
    ends = [max(edge, key=lambda p: math.hypot(*p)) for edge in through]
    foot = next(end for end in ends if abs(end[1]) < 1e-9)
    arm = next(end for end in ends if abs(end[1]) > 1e-9)
    return math.degrees(math.atan2(arm[1], arm[0])), math.hypot(*foot), math.hypot(*arm)


# --- the block ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lean", [-60, -20, -5, 0, 5, 20, 45, 60, 70])
def test_a_block_holds_the_fin_at_its_lean_from_the_side_it_leans_to(lean: float) -> None:
    made = jig(lean=math.radians(lean))
    assert made is not None
    angle, _, _ = edges(made.outline)
    assert angle == pytest.approx(90 - abs(lean), abs=1e-6)
    assert f"{90 - abs(lean):.1f} deg" in made.note
    if lean:
        assert ("outboard of the fin" if lean > 0 else "inboard of the fin") in made.note


def test_without_tailplane_outboard_the_block_stands_inboard_at_the_wide_angle() -> None:
    made = jig(lean=math.radians(20), outboard=10.0)
    assert made is not None
    assert edges(made.outline)[0] == pytest.approx(110.0)
    assert "inboard of the fin" in made.note


@pytest.mark.parametrize("changes", [{"outboard": 10.0, "inboard": 10.0}, {"lean": math.radians(80)}])
def test_where_nothing_can_stand_there_is_no_block(changes: dict[str, float]) -> None:
    assert jig(**changes) is None


@pytest.mark.parametrize("lean", [-60, 0, 20, 60])
def test_the_root_is_relieved_and_the_block_ends_on_the_tailplane(lean: float) -> None:
    made = jig(lean=math.radians(lean), outboard=40.0, inboard=40.0)
    assert made is not None
    assert made.outline.is_valid
    assert Point(0, 0).distance(made.outline) == pytest.approx(jigs.RELIEF, abs=0.02)
    _, foot, arm = edges(made.outline)
    assert foot == pytest.approx(40.0)
    assert arm * math.cos(math.radians(90 - abs(lean))) <= 40.0 + 1e-9
    assert made.outline.bounds[1] == pytest.approx(0.0, abs=1e-9)


def test_the_block_for_an_upright_fin_is_a_triangle_less_relief_and_points() -> None:
    """Legs 60 and 72 by the closed form: hull of five corners less a quarter disc of 6 mm."""
    made = jig()
    assert made is not None
    hull = Polygon([(0, 0), (60, 0), (60, 5), (5, 72), (0, 72)])
    assert made.outline.area == pytest.approx(hull.area - math.pi / 4 * 36, abs=0.1)
    assert made.mass_g == pytest.approx(made.outline.area * 400e-6)


@pytest.mark.parametrize("sweep", [-40, 0, 30, 60, 80])
def test_the_block_stands_where_the_fin_is_over_its_own_root(sweep: float) -> None:
    made = jig(sweep=math.radians(sweep))
    assert made is not None
    at = float(made.note.split(" mm behind")[0].rsplit(" ", 1)[-1])
    _, _, arm = edges(made.outline)
    chord = 110 - 50 * arm / 120
    aft = arm * math.tan(math.radians(sweep))
    assert 0 <= at <= 110
    assert aft - 0.5 <= at <= aft + chord + 0.5


@pytest.mark.parametrize("lean", [-60, -10, 10, 60])
@pytest.mark.parametrize("room", [30.0, 45.0, 80.0])
def test_what_is_written_on_a_block_lies_on_it(lean: float, room: float) -> None:
    made = jig(lean=math.radians(lean), outboard=room, inboard=room)
    assert made is not None
    for stroke in made.strokes:
        (x, y), *rest = stroke.points
        ends = [(x + 0.6 * stroke.height_mm * len(stroke.text), y + stroke.height_mm)] if stroke.text else rest
        assert made.outline.buffer(0.01).contains(LineString([(x, y), *ends]))
    if room >= 45:
        text = next(stroke.text for stroke in made.strokes if stroke.text)
        assert text.startswith(f"{90 - abs(lean):.1f}")
        assert "out" in text


@pytest.mark.parametrize(("lean", "points_away"), [(20, True), (-20, False)])
def test_the_arrow_points_outward(lean: float, points_away: bool) -> None:
    """The own frame's x runs away from the fin: outward for a block outboard, inward for one inboard."""
    made = jig(lean=math.radians(lean), outboard=80.0, inboard=80.0)
    assert made is not None
    shaft = next(stroke.points for stroke in made.strokes if not stroke.text and len(stroke.points) == 2)
    assert (shaft[1][0] > shaft[0][0]) == points_away


# --- the templates -----------------------------------------------------------------------------------------------


def slots(toe: float) -> BoardPart:
    made = slot_template(
        root_chord=110.0,
        tabs=tab_places(110.0, 5.0),
        thickness=5.0,
        slot_width=5.0,
        board="b",
        toe=math.radians(toe),
        y_root=82.0,
    )
    assert made is not None
    return made


@pytest.mark.parametrize("toe", [-20, -3, 2, 20])
def test_slots_are_turned_by_the_toe_against_the_templates_edges(toe: float) -> None:
    made = slots(toe)
    assert made.outline.is_valid
    assert made.outline.bounds[0] <= 0
    assert made.outline.bounds[2] == pytest.approx(110.0)
    for hole, (start, end) in zip(made.outline.interiors, tab_places(110.0, 5.0), strict=True):
        corners = np.array(hole.coords)[:4]
        assert Polygon(corners).area == pytest.approx(5.0 * (end - start))
        run = max((corners[(i + 1) % 4] - corners[i] for i in range(4)), key=lambda v: abs(v[0]))
        assert math.degrees(math.atan(run[1] / run[0])) == pytest.approx(toe)  # leading edges inward: y grows aft
        assert made.outline.exterior.distance(Polygon(corners)) >= 10.0 - 1e-9


def test_the_slots_line_meets_the_front_edge_where_the_root_begins() -> None:
    made = slots(3)
    middle = [np.array(Polygon(hole).centroid.coords[0]) for hole in made.outline.interiors]
    run = middle[1] - middle[0]
    at_front = middle[0][1] - run[1] / run[0] * middle[0][0]
    inner = float(made.note.split("the inner one ")[1].split(" mm")[0])
    assert inner + at_front == pytest.approx(82.0, abs=0.06)
    assert any(stroke.text == "outward" for stroke in made.strokes)


def test_without_toe_the_slot_template_is_the_plain_one() -> None:
    made = slots(0)
    assert made.outline.bounds == (0.0, 0.0, 110.0, 25.0)
    assert [stroke.text for stroke in made.strokes] == ["69.5 mm to centre"]  # 82 less 10 and half a slot of 5
    assert "toe" not in made.note


@pytest.mark.parametrize("thickness", [2.9, 5.0, 7.0, 12.0])
@pytest.mark.parametrize("toe", [-20, -3, 0, 3, 20])
@pytest.mark.parametrize("root", [60.0, 110.0, 240.0])
def test_two_thicknesses_of_board_stand_around_every_slot(thickness: float, toe: float, root: float) -> None:
    tabs = tab_places(root, thickness)
    made = slot_template(
        root_chord=root, tabs=tabs, thickness=thickness, slot_width=thickness, board="b", toe=math.radians(toe),
        y_root=82.0,
    )  # fmt: skip
    assert (made is None) == (not tabs)
    if made is not None:
        web = least_web(made.outline)
        assert web is not None
        assert web >= 2 * thickness - 0.02


@pytest.mark.parametrize("edge", [None, 0.0, 10.0, 33.1, 60.0])
def test_the_words_on_the_slot_template_cross_no_line_and_no_slot(edge: float | None) -> None:
    tabs = tab_places(110.0, 5.0, (edge or 0.0, 110.0))
    made = slot_template(
        root_chord=110.0, tabs=tabs, thickness=5.0, slot_width=5.0, board="b", y_root=82.0, edge=edge
    )  # fmt: skip
    assert made is not None
    words = []
    for stroke in made.strokes:
        if stroke.text:  # letters of a plain font are at most 0.9 of their height wide
            x, y = stroke.points[0]
            words.append(box(x, y, x + 0.9 * stroke.height_mm * len(stroke.text), y + stroke.height_mm))
    lines = [LineString(stroke.points) for stroke in made.strokes if not stroke.text]
    for number, area in enumerate(words):
        assert made.outline.covers(area)
        assert not any(line.intersects(area) for line in lines)
        assert not any(other.intersects(area) for other in words[number + 1 :])


def test_a_fin_on_the_centre_line_gets_the_line_on_its_template() -> None:
    made = slot_template(root_chord=110.0, tabs=tab_places(110.0, 5.0), thickness=5.0, slot_width=5.0, board="b")
    assert made is not None
    (line, text) = made.strokes
    assert [y for _, y in line.points] == [12.5, 12.5]  # through the middle of the slots
    assert text.text == "centre line"


@pytest.mark.parametrize("toe", [-20, -2, 2, 20])
def test_a_toe_template_lies_between_centre_line_and_fin(toe: float) -> None:
    made = jigs.toe_template(toe=math.radians(toe), root_chord=110.0, y_root=82.0, lean=0.0, stuff=BOARD)
    (_, _), (aft, straight), (x2, y2), (x1, y1) = list(made.outline.exterior.coords)[:4]
    assert straight == 0.0
    assert math.hypot(x2 - x1, y2 - y1) == pytest.approx(110.0)
    assert math.degrees(math.atan2(y2 - y1, x2 - x1)) == pytest.approx(toe)
    assert aft == pytest.approx(x2)
    inner = float(made.note.split("centre line and ")[1].split(" mm")[0])
    assert inner + y1 == pytest.approx(82.0 - 2.5, abs=0.06)  # the board's inner face


# --- in a design -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cant", "mirrored"), [(0, 0), (20, 1), (-60, 1)])
def test_a_pair_of_fins_has_two_blocks_of_two_hands_where_they_lean(make: Make, cant: float, mirrored: int) -> None:
    made = part(make(cant=cant), "fin jig")
    assert made is not None
    assert (made.count, made.mirrored, made.group, made.x_mm, made.z_mm) == (2, mirrored, "fin bench", None, None)
    assert made.mass_g > 0


def test_a_single_fin_needs_a_block_only_when_it_leans(make: Make) -> None:
    assert part(make(count=1), "fin jig") is None
    leaning = part(make(count=1, cant=10), "fin jig")
    assert leaning is not None
    assert (leaning.count, leaning.mirrored) == (2, 0)


@pytest.mark.parametrize(
    ("mount", "toe", "names"),
    [("tab", 0, {"slot template"}), ("tab", 2, {"slot template"}), ("glue", 0, set()), ("glue", 2, {"toe template"})],
)
def test_the_toe_is_told_once(make: Make, mount: str, toe: float, names: set[str]) -> None:
    case = make(mount=mount, toe=toe)
    assert {made.name for made in case.parts.boards if "template" in made.name} == names


def test_dihedral_of_the_tailplane_counts_with_the_cant(small_file: Callable[..., Path]) -> None:
    tailplane = "stations = [{x=720, y=0, z=30, chord=90}, {x=720, y=180, z=62, chord=90}]"
    case = kept.check(small_file({"airframe.tailplane": tailplane}))
    made = part(case, "fin jig")
    assert made is not None
    assert edges(made.outline)[0] == pytest.approx(90 - math.degrees(math.atan2(32, 180)))


def test_bench_parts_are_in_no_state_of_the_balance(make: Make) -> None:
    balance = make(cant=20, toe=2, mount="glue").study.balance
    assert balance is not None
    aboard = {load.name for row in balance.rows for load in row.loads}
    assert not aboard & {"fin jig", "toe template", "slot template"}


def test_tabs_lie_over_the_tailplane_and_clear_of_its_edge_and_hinge(small_file: Callable[..., Path]) -> None:
    """The fin's root begins ahead of the tailplane: no tab may hang in the air there, nor reach the elevator."""
    root = {"fins": 'root = { x = 690, y = 120, z = 32 }\nshape = { aspect_ratio = 1.2, taper = 0.6 }\nboard = "board"'}
    case = kept.check(small_file(root))
    each = case.design.fins.each if case.design.fins else None
    assert each is not None
    start, end = root_stand(case.design) or (math.nan, math.nan)
    assert start == pytest.approx(30.0)  # the tailplane's edge at 720, the root at 690
    assert end == pytest.approx(720 + 0.7 * 90 - 690)
    fin = next(part for part in case.parts.boards if part.name == "fin")
    tabs = [y for x, y in fin.outline.exterior.coords if x < -1]
    assert tabs
    assert min(tabs) >= start + 10 - 1e-6
    assert max(tabs) <= min(end, 1000 * each.root_chord) - 10 + 1e-6
    marks = [stroke.text for part in case.parts.boards if part.name == "slot template" for stroke in part.strokes]
    assert "tailplane's edge" in marks


def test_a_root_that_stands_on_no_tailplane_for_a_tab_fails(small_file: Callable[..., Path]) -> None:
    """720 to 783 mm is board for tabs; a root that reaches only 12 mm into it has no room for one."""
    root = {"fins": "root = { x = 610, y = 120, z = 32 }\neach = { root_chord = 122, tip_chord = 70, height = 120 }"}
    case = kept.check(small_file({**root}))
    row = next(finding for finding in case.findings if finding.check == "slot-fit")
    assert row.verdict == "fail"
    assert "12 mm stand on the tailplane" in row.why
    assert row.measure == " = 12.0 mm (at least 35.0 mm is wanted)"  # a tab of three boards of 5 mm, edges of two


def test_the_glue_counts_only_what_stands_on_the_tailplane() -> None:
    """Of the files as they were tried: 22.0 mm of tab and 67.1 mm of root, 4.9 mm board, make 0.85 N m by hand."""
    hand = 0.25 * 4.9 * 22.0 * 8 / 1000 + 0.40 * 7.9 * 67.1 * 3 / 1000
    assert hand == pytest.approx(0.85, abs=0.005)
    assert glue_moment(root=67.1e-3, thickness=4.9e-3, tabs=22.0e-3, fillet=3e-3) == pytest.approx(hand, rel=1e-3)
