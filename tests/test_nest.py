"""Nesting: layouts are checked by exact distances between the polygons, apart from the program's own check."""

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, box

from called import ROOT, printed
from foamworks.errors import PhysicsError
from foamworks.parts.nest import Layout, Piece, Placement, Stock, nest, placed, turned, verify
from foamworks.parts.nest.compact import HalfPlanes, half_planes
from foamworks.parts.nest.core import to_layout
from foamworks.parts.nest.improve import read_layout, search_longer
from foamworks.parts.nest.shapes import bundle, convex_parts, enclosing, grow
from foamworks.parts.nest.task import make_task

SHEET = Stock("board", box(0, 0, 762, 508), None)
LESS = 1e-6  # mm, allowed shortfall of gap and margin


def laid(piece: Piece, place: Placement) -> Polygon:
    return affinity.translate(affinity.rotate(piece.outline, place.angle, origin=(0, 0)), place.x, place.y)


def shortest(layout: Layout, pieces: list[Piece]) -> float:
    """Least distance between two parts on one sheet; 0 when they touch or overlap."""
    by_sheet = itertools.groupby(sorted(layout.placements, key=lambda place: place.sheet), key=lambda p: p.sheet)
    pairs = (pair for _, here in by_sheet for pair in itertools.combinations(list(here), 2))
    return min((laid(pieces[a.piece], a).distance(laid(pieces[b.piece], b)) for a, b in pairs), default=np.inf)


def least_margin(layout: Layout, pieces: list[Piece], stocks: list[Stock]) -> float:
    """Least distance of a part to its sheet's edge, negative when it lies outside."""
    least = np.inf
    for place in layout.placements:
        sheet = stocks[layout.sheets[place.sheet]].outline
        part = laid(pieces[place.piece], place)
        inside = sheet.buffer(1e-7).covers(part)
        least = min(least, part.distance(sheet.exterior) if inside else -1.0)
    return least


def assert_sound(layout: Layout, pieces: list[Piece], stocks: list[Stock], gap: float, margin: float) -> None:
    assert shortest(layout, pieces) >= gap - LESS
    assert least_margin(layout, pieces, stocks) >= margin - LESS
    for index, piece in enumerate(pieces):
        copies = sorted(place.copy for place in layout.placements if place.piece == index)
        assert len(set(copies)) == len(copies)
        assert len(copies) + [row[0] for row in layout.unplaced].count(index) == piece.count
    assert all(place.angle in pieces[place.piece].turns for place in layout.placements)
    assert verify(layout, pieces, stocks, gap=gap, margin=margin) == []


def comb(teeth: int, pitch: float, height: float) -> Polygon:
    back = box(0, 0, teeth * pitch, pitch)
    return shapely.union_all([back, *(box(i * pitch, 0, i * pitch + pitch / 2, height) for i in range(teeth))])


def star(radii: list[float]) -> Polygon:
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return Polygon(np.c_[np.cos(angles), np.sin(angles)] * np.asarray(radii)[:, None])


def ring(outer: float, inner: float) -> Polygon:
    return Point(0, 0).buffer(outer).difference(Point(0, 0).buffer(inner))


SIDE = st.floats(5, 120).map(lambda side: round(side, 3))
SHAPES = st.one_of(
    st.tuples(SIDE, SIDE).map(lambda s: box(-3.3, 1.1, s[0] - 3.3, s[1] + 1.1)),
    st.lists(st.floats(10, 70), min_size=3, max_size=12).map(star),
    st.tuples(st.floats(20, 60), st.floats(0.2, 0.8)).map(lambda r: ring(r[0], r[0] * r[1])),
    st.builds(comb, st.integers(2, 6), st.floats(6, 25), st.floats(30, 110)),
    st.tuples(SIDE, SIDE, SIDE).map(lambda s: Polygon([(0, 0), (s[0], 0), (s[1], s[2])])),
)
TURNS = st.sampled_from([(0,), (0, 180), (0, 90, 180, 270), (90,), (0, 45, 135)])
PIECES = st.lists(st.tuples(SHAPES, st.integers(0, 4), TURNS), min_size=1, max_size=9).map(
    lambda rows: [Piece(f"part {i}", shape, count, turns) for i, (shape, count, turns) in enumerate(rows)]
)
OFFCUT = Polygon([(0, 0), (500, 0), (500, 180), (260, 190), (200, 380), (0, 400)])
STOCKS = st.sampled_from([
    [SHEET],
    [Stock("offcut", OFFCUT, 1), SHEET],
    [Stock("offcut", OFFCUT, 2), Stock("half", box(0, 0, 381, 508), 1)],
    [Stock("disc", Point(160, 160).buffer(160), 3), Stock("strip", box(0, 0, 900, 130), None)],
])  # fmt: skip


@given(pieces=PIECES, stocks=STOCKS, gap=st.sampled_from([0.0, 0.5, 2.0, 3.7]), margin=st.sampled_from([0.0, 1.0, 6.0]))
@settings(max_examples=6, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_random_parts_keep_gap_margin_count_and_turns(pieces, stocks, gap, margin):
    assert_sound(nest(pieces, stocks, gap=gap, margin=margin, effort=1_000_000), pieces, stocks, gap, margin)


@pytest.mark.slow
@given(pieces=PIECES, stocks=STOCKS, gap=st.sampled_from([0.0, 0.5, 2.0, 3.7]), margin=st.sampled_from([0.0, 1.0, 6.0]))
@settings(max_examples=220, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_many_random_parts_keep_gap_margin_count_and_turns(pieces, stocks, gap, margin):
    assert_sound(nest(pieces, stocks, gap=gap, margin=margin, effort=1_000_000), pieces, stocks, gap, margin)


def test_a_part_exactly_as_large_as_the_free_box_fits():
    pieces = [Piece("panel", box(0, 0, 750, 496), 1, (0,))]
    layout = nest(pieces, [SHEET], gap=2, margin=6)
    assert (layout.placements[0].x, layout.placements[0].y) == (6.0, 6.0)
    assert layout.used_length == (750.0,)


def test_parts_that_exactly_fill_a_row_fit_on_one_sheet():
    pieces = [Piece("square", box(0, 0, 98, 98), 5, (0,))]
    stocks = [Stock("strip", box(0, 0, 510, 110), 1)]
    assert_sound(layout := nest(pieces, stocks, gap=2, margin=6), pieces, stocks, 2, 6)
    assert layout.unplaced == ()


def test_a_part_larger_than_any_sheet_is_reported_with_the_reason():
    pieces = [Piece("long", box(0, 0, 751, 50), 2, (0,)), Piece("small", box(0, 0, 10, 10), 1, (0,))]
    layout = nest(pieces, [SHEET], gap=2, margin=6)
    assert [piece for piece, _ in layout.unplaced] == [0, 0]
    assert all("larger than any sheet" in why and "751.0" in why for _, why in layout.unplaced)
    assert [place.piece for place in layout.placements] == [1]


def test_a_part_that_fits_only_turned_is_turned():
    pieces = [Piece("tall", box(0, 0, 100, 700), 1, (0, 90))]
    layout = nest(pieces, [SHEET], gap=2, margin=6)
    assert [place.angle for place in layout.placements] == [90]


@pytest.mark.parametrize("outline", [box(0, 0, 11, 400), Polygon([(0, 0), (9, 0), (0, 9)])], ids=["strip", "corner"])
def test_a_sheet_that_is_all_margin_takes_nothing(outline):
    layout = nest([Piece("small", box(0, 0, 1, 1), 1, (0,))], [Stock("bit", outline, 1)], gap=2, margin=6)
    assert len(layout.unplaced) == 1


def test_what_the_counted_sheets_do_not_hold_is_said():
    pieces = [Piece("square", box(0, 0, 100, 100), 6, (0,))]
    layout = nest(pieces, [Stock("bit", box(0, 0, 220, 220), 1)], gap=2, margin=6)
    assert len(layout.placements) == 4
    assert [why for _, why in layout.unplaced] == ["no room left on the sheets given"] * 2


def test_an_offcut_is_used_before_a_new_sheet_is_opened():
    pieces = [Piece("strip", box(0, 0, 150, 30), 3, (0, 180))]
    layout = nest(pieces, [Stock("offcut", OFFCUT, 1), SHEET], gap=2, margin=6)
    assert layout.sheets == (0,)


def test_a_small_part_goes_into_a_hole():
    pieces = [Piece("ring", ring(100, 80), 1, (0,)), Piece("disc", Point(0, 0).buffer(70), 1, (0,))]
    stocks = [Stock("just", box(0, 0, 213, 213), 1)]
    assert_sound(layout := nest(pieces, stocks, gap=2, margin=6), pieces, stocks, 2, 6)
    assert layout.unplaced == ()


def test_no_parts_and_no_copies_need_no_sheet():
    assert nest([], [SHEET], gap=2, margin=6) == Layout((), (), (), ())
    assert nest([Piece("none", box(0, 0, 1, 1), 0, (0,))], [SHEET], gap=2, margin=6) == Layout((), (), (), ())


def test_without_sheets_nothing_is_placed():
    layout = nest([Piece("a", box(0, 0, 1, 1), 1, (0,))], [], gap=2, margin=6)
    assert layout.unplaced == ((0, "there is no sheet"),)


GOOD = Piece("good", box(0, 0, 10, 10), 1, (0,))


@pytest.mark.parametrize(
    ("pieces", "gap", "margin", "names"),
    [
        ([GOOD], -1.0, 6.0, "gap"),
        ([GOOD], 2.0, float("nan"), "margin"),
        ([Piece("bow", Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), 1, (0,))], 2.0, 6.0, "bow"),
        ([Piece("minus", box(0, 0, 1, 1), -1, (0,))], 2.0, 6.0, "count"),
        ([Piece("still", box(0, 0, 1, 1), 1, ())], 2.0, 6.0, "turns"),
    ],
)
def test_what_cannot_be_nested_is_refused_by_name(pieces, gap, margin, names):
    with pytest.raises(PhysicsError, match=names):
        nest(pieces, [SHEET], gap=gap, margin=margin)


@pytest.mark.parametrize("angle", [0, 90, 180, 270, 360, -90])
def test_quarter_turns_are_exact(angle):
    assert turned(box(1, 2, 4, 9), angle).equals(affinity.rotate(box(1, 2, 4, 9), angle, origin=(0, 0)))


@given(shape=SHAPES, tolerance=st.floats(0.01, 3))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_convex_parts_cover_the_outline_and_are_convex(shape, tolerance):
    parts = [Polygon(part) for part in convex_parts(shape, tolerance)]
    assert shape.difference(shapely.union_all(parts)).area < 1e-6 * shape.area
    assert all(part.convex_hull.area - part.area < 1e-6 * shape.area for part in parts)


@given(shape=SHAPES, distance=st.floats(0.1, 5))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_grown_outline_covers_everything_within_the_distance(shape, distance):
    grown = enclosing(grow(shape, distance), 0.5)
    assert shape.distance(grown.boundary) >= distance - LESS
    assert grown.covers(shape)


@given(a=SHAPES, b=SHAPES, x=st.floats(-150, 150), y=st.floats(-150, 150))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_half_planes_say_apart_exactly_when_the_convex_parts_do_not_overlap(a, b, x, y):
    one, two = convex_parts(a, 0.01), convex_parts(b, 0.01)
    planes: HalfPlanes = half_planes(bundle(one), bundle(two))
    apart = float(planes.apart(np.asarray([x, y])).max(axis=1).min())
    here = [Polygon(part) for part in one]
    there = [affinity.translate(Polygon(part), x, y) for part in two]
    depth = max(p.intersection(q).area for p in here for q in there)
    assert (apart >= -1e-9) == (depth < 1e-9) or abs(apart) < 1e-4


MIXED = [
    Piece("fin", Polygon([(0, 0), (120, 0), (90, 70), (50, 70)]), 2, (0, 180)),
    Piece("ell", box(0, 0, 80, 25).union(box(0, 0, 25, 70)), 3, (0, 180)),
    Piece("ring", ring(40, 28), 2, (0,)),
    Piece("bar", box(0, 0, 150, 12), 3, (0, 180)),
    Piece("comb", comb(4, 20, 50), 2, (0, 180)),
]
LONG = [Stock("long", box(0, 0, 1500, 260), 1)]


def test_searching_shortens_the_first_layout():
    first = nest(MIXED, LONG, gap=2, margin=6, effort=0)
    better = nest(MIXED, LONG, gap=2, margin=6, effort=60_000_000)
    assert_sound(better, MIXED, LONG, 2, 6)
    assert better.used_length[0] < 0.97 * first.used_length[0]


def test_progress_is_told_and_never_falls():
    told: list[float] = []
    nest(MIXED, [SHEET], gap=2, margin=6, effort=10_000_000, progress=lambda _, done: told.append(done))
    assert told
    assert told == sorted(told)
    assert 0 <= told[0] <= told[-1] <= 1


def test_searching_longer_goes_on_from_a_layout_of_one_sheet_and_shortens_it():
    start = nest(MIXED, LONG, gap=2, margin=6, effort=0)
    longer = search_longer(MIXED, LONG, gap=2, margin=6, seconds=1, start=start)
    assert_sound(longer, MIXED, LONG, 2, 6)
    assert longer.used_length < start.used_length
    task = make_task(MIXED, LONG, gap=2, margin=6)
    read = to_layout(task, MIXED, [read_layout(task, MIXED, longer)], [], LONG)
    for one, two in zip(read.placements, longer.placements, strict=True):
        assert (one.x, one.y) == pytest.approx((two.x, two.y), abs=1e-6)


class TestVerify:
    pieces = (Piece("a", box(0, 0, 10, 10), 2, (0, 180)),)
    stocks = (Stock("s", box(0, 0, 100, 50), 1),)

    def faults(self, second: Placement, used: float = 22.0, unplaced: tuple = ()) -> str:
        layout = Layout((Placement(0, 0, 0, 6.0, 6.0, 0), second), (0,), unplaced, (used,))
        return "; ".join(verify(layout, self.pieces, self.stocks, gap=2, margin=6))

    def test_finds_nothing_in_a_right_layout(self):
        assert self.faults(Placement(0, 1, 0, 18.0, 6.0, 0)) == ""

    @pytest.mark.parametrize(
        ("second", "used", "says"),
        [
            (Placement(0, 1, 0, 15.0, 6.0, 0), 19.0, "overlap"),
            (Placement(0, 1, 0, 17.99999, 6.0, 0), 21.99999, "apart"),
            (Placement(0, 1, 0, 18.0, 5.99, 0), 22.0, "from the edge"),
            (Placement(0, 1, 0, 95.0, 6.0, 0), 99.0, "over the edge"),
            (Placement(0, 1, 0, 28.0, 16.0, 90), 22.0, "turned by 90"),
            (Placement(0, 0, 0, 18.0, 6.0, 0), 22.0, "placed 2 times"),
            (Placement(0, 1, 0, 18.0, 6.0, 0), 30.0, "used length"),
        ],
    )
    def test_finds_each_fault(self, second, used, says):
        assert says in self.faults(second, used)

    @pytest.mark.parametrize(
        ("second", "says"),
        [
            (Placement(1, 0, 0, 18.0, 6.0, 0), "no copy 0 of piece 1"),
            (Placement(0, 2, 0, 18.0, 6.0, 0), "no copy 2"),
            (Placement(0, 1, 3, 18.0, 6.0, 0), "no such sheet"),
            (Placement(0, 1, 0, float("nan"), 6.0, 0), "nowhere"),
        ],
    )
    def test_names_what_is_not_there(self, second, says):
        assert says in self.faults(second)

    def test_finds_a_wrong_count(self):
        assert "of 2" in self.faults(Placement(0, 1, 0, 18.0, 6.0, 0), unplaced=((0, "lost"),))


SCRIPT = """
import sys
sys.path[:0] = [sys.argv[1]]
from shapely import Polygon, box
from foamworks.parts.nest import Piece, Stock, nest
shapes = [Polygon([(0, 0), (50 + 3 * i, 0), (40, 30 + 2 * i), (10 + i, 40)]) for i in range(5)]
pieces = [Piece(str(i), shape, 2, (0, 180)) for i, shape in enumerate(shapes)]
print(nest(pieces, [Stock("s", box(0, 0, 300, 200), None)], gap=2, margin=6, effort=20_000_000))
"""


def test_the_layout_does_not_depend_on_process_or_hash_seed():
    texts = {printed(SCRIPT, str(ROOT), seed=seed) for seed in ("0", "777")}
    assert len(texts) == 1


def test_placed_agrees_with_the_contract_turn_then_move():
    place = Placement(0, 0, 0, 20.0, 5.0, 90)
    assert placed(Piece("a", box(0, 0, 4, 2), 1, (90,)), place).bounds == (18.0, 5.0, 20.0, 9.0)


@pytest.mark.parametrize("height", [180, 190, 192])
def test_two_large_parts_that_fit_one_sheet_are_not_given_two(height: int) -> None:
    two = Piece("side", shapely.box(0, 0, 580, height), 2, (0, 180))
    layout = nest([two], [Stock("sheet", shapely.box(0, 0, 600, 400), None)], gap=2, margin=6)
    assert layout.sheets == (0,)


LARGE, SMALL = Stock("large", box(0, 0, 700, 500), None), Stock("small", box(0, 0, 300, 200), None)


@pytest.mark.parametrize("stocks", [(SMALL, LARGE), (LARGE, SMALL)], ids=["small first", "large first"])
def test_of_two_sizes_of_sheet_the_cheaper_choice_is_made_whatever_their_order(stocks) -> None:
    """40 parts of 120 x 80 and one of 600 x 300 fill more than one large sheet and less than two; seven small ones
    beside a large one would take 420 000 mm2 where a second large one takes 350 000."""  # fmt: skip
    pieces = [Piece("r", box(0, 0, 120, 80), 40, (0, 90, 180, 270)), Piece("big", box(0, 0, 600, 300), 1, (0, 180))]
    layout = nest(pieces, stocks, gap=2, margin=6, effort=0)
    area = sum(stocks[stock].outline.area for stock in layout.sheets)
    assert not layout.unplaced
    assert area <= 2 * LARGE.outline.area


@pytest.mark.parametrize("stocks", [(SMALL, LARGE), (LARGE, SMALL)], ids=["small first", "large first"])
def test_what_a_small_sheet_holds_is_cut_from_a_small_sheet(stocks) -> None:
    layout = nest([Piece("r", box(0, 0, 120, 80), 3, (0, 180))], stocks, gap=2, margin=6, effort=0)
    assert [stocks[stock].key for stock in layout.sheets] == ["small"]
