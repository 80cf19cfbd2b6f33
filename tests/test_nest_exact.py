"""Nesting of sets that fit their sheets exactly: the least number of sheets is known by arithmetic."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, box

from called import ROOT, printed
from foamworks.parts.nest import Layout, Piece, Stock, nest, verify
from foamworks.parts.nest.exact import no_fit
from foamworks.parts.nest.shapes import bundle

ALONG, ANY = (0, 180), (0, 90, 180, 270)
LESS = 1e-6  # mm, allowed shortfall of gap and margin
SETTINGS = [(2.0, 3.0), (2.0, 6.0), (0.0, 0.0), (3.7, 1.0), (0.5, 0.0)]  # gap, margin


def rectangle(wide: float, high: float, count: int = 1, turns: tuple[int, ...] = ALONG) -> Piece:
    return Piece(f"{wide} x {high}", box(0, 0, wide, high), count, turns)


def sheet(wide: float, high: float, margin: float, count: int | None = None) -> Stock:
    """Give a sheet whose free box inside the margin is so large."""
    return Stock("sheet", box(0, 0, wide + 2 * margin, high + 2 * margin), count)


def row(count: int, side: float, gap: float) -> float:
    return count * side + (count - 1) * gap


def assert_on(
    sheets: int, pieces: list[Piece], stocks: list[Stock], gap: float, margin: float, effort: int = 0
) -> None:
    """Nest, look that all lies on so many sheets, and measure gap and margin between the polygons themselves."""
    layout = nest(pieces, stocks, gap=gap, margin=margin, effort=effort)
    assert layout.unplaced == ()
    assert len(layout.sheets) == sheets
    assert verify(layout, pieces, stocks, gap=gap, margin=margin) == []
    for number, stock in enumerate(layout.sheets):
        here = laid(layout, pieces, number)
        apart = min((a.distance(b) for a, b in itertools.combinations(here, 2)), default=math.inf)
        assert apart >= gap - LESS
        assert all(part.distance(stocks[stock].outline.exterior) >= margin - LESS for part in here)
        assert all(stocks[stock].outline.buffer(LESS).covers(part) for part in here)


def laid(layout: Layout, pieces: list[Piece], number: int) -> list[Polygon]:
    return [
        affinity.translate(affinity.rotate(pieces[spot.piece].outline, spot.angle, origin=(0, 0)), spot.x, spot.y)
        for spot in layout.placements
        if spot.sheet == number
    ]


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize(
    ("columns", "rows", "wide", "high"),
    [(2, 2, 250, 370), (2, 1, 249, 497), (5, 1, 97.3, 96.1), (3, 4, 71.77, 53.019), (1, 5, 411.123, 33.3)],
)  # fmt: skip
@pytest.mark.parametrize("turns", [ALONG, ANY])
def test_equal_rectangles_fill_their_sheet(columns, rows, wide, high, gap, margin, turns):
    stock = sheet(row(columns, wide, gap), row(rows, high, gap), margin)
    assert_on(1, [rectangle(wide, high, columns * rows, turns)], [stock], gap, margin)


@pytest.mark.parametrize("slack", [1e-7, 0.001, 0.1, 1.0, 1.9])
def test_equal_rectangles_fit_with_less_slack_than_a_lattice_step(slack):
    stock = sheet(row(4, 61.37, 2) + slack, row(3, 83.11, 2) + slack, 6)
    assert_on(1, [rectangle(61.37, 83.11, 12)], [stock], 2, 6)


@pytest.mark.parametrize("short", [1e-5, 0.01, 1.0])
def test_what_is_too_long_by_a_hair_takes_a_second_sheet(short):
    stock = sheet(row(4, 61.37, 2) - short, 83.11, 6)
    assert_on(2, [rectangle(61.37, 83.11, 4)], [stock], 2, 6)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize("count", [3, 7, pytest.param(11, marks=pytest.mark.slow)])
def test_an_endless_decimal_share_of_a_sheet_fits(count, gap, margin):
    wide = (762 - 2 * margin - (count - 1) * gap) / count
    high = (508 - 2 * margin - 2 * gap) / 3
    assert_on(1, [rectangle(wide, high, 3 * count)], [Stock("board", box(0, 0, 762, 508), None)], gap, margin)


@pytest.mark.parametrize("sixty_fourths", [(201, 377), (91, 113), (333, 65)])
def test_inches_are_exact(sixty_fourths):
    wide, high = (25.4 * n / 64 for n in sixty_fourths)
    gap, margin = 25.4 * 3 / 64, 25.4 / 8
    inches = (4 * sixty_fourths[0] / 64 + 3 * 3 / 64 + 2 / 8, 2 * sixty_fourths[1] / 64 + 3 / 64 + 2 / 8)
    stock = Stock("board", box(0, 0, 25.4 * inches[0], 25.4 * inches[1]), None)
    assert_on(1, [rectangle(wide, high, 8)], [stock], gap, margin)


def test_two_sheets_worth_takes_two_sheets():
    stock = sheet(row(3, 87.31, 2), row(2, 121.7, 2), 6)
    assert_on(2, [rectangle(87.31, 121.7, 12)], [stock], 2, 6)


@pytest.mark.parametrize("turn", [0, 90])
def test_a_part_as_large_as_the_sheet_inside_its_margin_fits(turn):
    wide, high = (361.77, 233.3)[:: 1 if turn == 0 else -1]
    assert_on(1, [rectangle(wide, high, 1, ANY)], [sheet(361.77, 233.3, 6)], 2, 6)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
def test_different_widths_fill_one_row(gap, margin):
    sides = [61.3, 140.017, 88.88, 43.21, 97.5]
    stock = sheet(sum(sides) + 4 * gap, 300.123, margin)
    assert_on(1, [rectangle(side, 300.123) for side in sides], [stock], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize("pairs", [1, 3])
def test_two_ells_interlock(pairs, gap, margin):
    stem, foot, high = 33.3, 27.7, 141.9  # the foot is a stem and a gap longer than the stem
    wide = 2 * stem + gap
    ell = Polygon([(0, 0), (wide, 0), (wide, foot), (stem, foot), (stem, high), (0, high)])
    stock = sheet(row(pairs, wide, gap), high + gap + foot, margin)
    assert_on(1, [Piece("ell", ell, 2 * pairs, ALONG)], [stock], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize(("wide", "high", "pairs"), [(97.3, 61.1, 1), (61.7, 150.3, 3)])
def test_two_right_triangles_make_a_rectangle(wide, high, pairs, gap, margin):
    both = wide + gap * math.hypot(wide, high) / high  # slanted sides a gap apart
    triangle = Piece("triangle", Polygon([(0, 0), (wide, 0), (0, high)]), 2 * pairs, ALONG)
    assert_on(1, [triangle], [sheet(row(pairs, both, gap), high, margin)], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
def test_discs_fill_a_row(gap, margin):
    disc = Point(0, 0).buffer(33.3, quad_segs=16)
    assert_on(1, [Piece("disc", disc, 5, ALONG)], [sheet(row(5, 66.6, gap), 66.6, margin)], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize("sides", [8, 64, pytest.param(256, marks=pytest.mark.slow)])
def test_a_disc_goes_into_a_hole_that_is_a_gap_larger(sides, gap, margin):
    disc = Point(0, 0).buffer(41.7, quad_segs=sides // 4)
    hole = affinity.scale(disc, *2 * [1 + gap / (41.7 * math.cos(math.pi / sides))])  # flats a gap apart
    across = 2 * (41.7 + gap) + 40
    ring = box(-across / 2, -across / 2, across / 2, across / 2).difference(hole)
    pieces = [Piece("ring", ring, 1, ALONG), Piece("disc", disc, 1, ALONG)]
    assert_on(1, pieces, [sheet(across, across, margin)], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize("count", [1, 2])
def test_rectangles_fill_a_window(count, gap, margin):
    wide, high = 71.3, 44.9
    window = box(15, 15, 15 + row(count, wide, gap) + 2 * gap, 15 + high + 2 * gap)
    frame = box(0, 0, window.bounds[2] + 15, window.bounds[3] + 15)
    pieces = [Piece("frame", frame.difference(window), 1, ALONG), rectangle(wide, high, count)]
    assert_on(1, pieces, [sheet(frame.bounds[2], frame.bounds[3], margin)], gap, margin)


@pytest.mark.parametrize(("gap", "margin"), SETTINGS)
@pytest.mark.parametrize("pieces_each", [1, 3])
def test_an_offcut_of_ell_shape_is_filled(pieces_each, gap, margin):
    wide, high, foot, stem = 401.3, 333.9, 121.7, 99.1
    offcut = Polygon([(0, 0), (wide, 0), (wide, foot), (stem, foot), (stem, high), (0, high)])
    share = [(whole - (pieces_each - 1) * gap) / pieces_each for whole in (wide - 2 * margin, high - foot - gap)]
    pieces = [
        rectangle(share[0], foot - 2 * margin, pieces_each),
        rectangle(stem - 2 * margin, share[1], pieces_each),
    ]
    stocks = [Stock("offcut", offcut, 1), Stock("board", box(0, 0, 762, 508), None)]
    assert_on(1, pieces, stocks, gap, margin)
    assert nest(pieces, stocks, gap=gap, margin=margin, effort=0).sheets == (0,)


def test_an_offcut_that_is_just_large_enough_is_taken_before_a_board():
    stocks = [sheet(row(3, 77.7, 2), 133.3, 6, count=1), Stock("board", box(0, 0, 762, 508), None)]
    layout = nest([rectangle(77.7, 133.3, 3)], stocks, gap=2, margin=6, effort=0)
    assert layout.sheets == (0,)


def test_a_part_in_the_shape_of_its_offcut_fits():
    triangle = Polygon([(0, 0), (333.3, 0), (0, 217.9)])
    assert_on(1, [Piece("triangle", triangle, 1, (0,))], [Stock("offcut", triangle, 1)], 2, 0)


def test_the_search_finds_columns_that_fill_the_height():
    pieces = [rectangle(100.3, 247, 4), rectangle(81.1, 163.5, 2), rectangle(81.1, 330.5, 2)]
    layout = nest(pieces, [Stock("board", box(0, 0, 762, 508), None)], gap=2, margin=6)
    assert layout.used_length[0] == pytest.approx(2 * 100.3 + 2 * 81.1 + 3 * 2, abs=0.06)


def test_a_part_without_grain_that_fits_one_way_only_is_never_searched_the_other_way():
    pieces = [rectangle(203.9, 90.1, 2, ANY), rectangle(187.7, 55.3, 2, ANY), rectangle(60, 40, 3, ANY)]
    assert_on(1, pieces, [Stock("strip", box(0, 0, 900, 200), None)], 2, 6, effort=100_000_000)


CONVEX = st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=9).map(
    lambda points: Polygon(points).convex_hull if len(set(points)) > 2 else box(0, 0, 1, 1)
)


@given(a=CONVEX, b=CONVEX, x=st.floats(-120, 120), y=st.floats(-120, 120))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_a_place_is_in_the_no_fit_area_exactly_when_the_shapes_overlap_there(a, b, x, y):
    if min(a.area, b.area) < 1:
        return
    one, two = (bundle([np.asarray(shape.exterior.normalize().coords)[:-1][::-1]]) for shape in (a, b))
    inside = no_fit(one, two).contains(Point(x, y))
    overlap = a.intersection(affinity.translate(b, x, y)).area
    assert inside == (overlap > 0) or overlap < 1e-4  # less TOUCH round about


SCRIPT = """
import sys
sys.path[:0] = [sys.argv[1]]
from shapely import Point, box
from foamworks.parts.nest import Piece, Stock, nest
disc = Point(0, 0).buffer(40)
ring = box(-60, -60, 60, 60).difference(disc.buffer(2, join_style="mitre"))
pieces = [Piece("a", ring, 2, (0, 90)), Piece("b", disc, 2, (0,)), Piece("c", box(0, 0, 59, 61.5), 2, (0, 90))]
print(nest(pieces, [Stock("s", box(0, 0, 316.5, 132), None)], gap=2, margin=6, effort=20_000_000))
"""


def test_an_exact_layout_does_not_depend_on_the_hash_seed():
    texts = {printed(SCRIPT, str(ROOT), seed=seed) for seed in ("0", "777")}
    assert len(texts) == 1
