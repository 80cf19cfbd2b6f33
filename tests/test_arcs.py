"""Arcs found again: against the true curves they were chords of, and never where straight pieces are meant."""

import math

import pytest
from ezdxf.entities import Arc, Line
from ezdxf.filemanagement import new
from shapely import LineString, Point, Polygon, box, hausdorff_distance

from foamworks.output.sheets.arcs import true_circle, with_arcs
from foamworks.parts.board.sheet import cut_path
from foamworks.parts.fins import fin, tab_places


def redrawn(ring: list[tuple[float, float]]) -> tuple[Polygon, int]:
    """Give what a reader of the bulges gets, lines and true arcs cut fine by ezdxf, and the number of corners."""
    corners = with_arcs(ring)
    entity = new().modelspace().add_lwpolyline(corners, format="xyb", close=True)
    points: list[tuple[float, float]] = []
    for piece in entity.virtual_entities():
        assert isinstance(piece, Line | Arc)
        ends = [piece.dxf.start, piece.dxf.end] if isinstance(piece, Line) else piece.flattening(0.0002)
        run = [(p.x, p.y) for p in ends]
        if (
            math.dist(points[-1] if points else corners[0][:2], run[0]) > 1e-6
        ):  # an arc is always given counter-clockwise
            run.reverse()
        points += run
    return Polygon(points), len(corners)


def slot(chords: int) -> list[tuple[float, float]]:
    """Give a slot of 40 x 20 mm with half-circle ends of radius 10, in chords."""
    return [(cx + 10 * math.cos(a0 + math.pi * k / chords), 10 * math.sin(a0 + math.pi * k / chords))
            for cx, a0 in ((20, -math.pi / 2), (-20, math.pi / 2)) for k in range(chords + 1)]  # fmt: skip


def test_a_slots_ends_are_half_circles_again() -> None:
    """Its area is 40 x 20 + pi 10^2, which the chords fall short of."""
    found, corners = redrawn(slot(60))
    assert corners == 4
    assert found.area == pytest.approx(800 + math.pi * 100, abs=0.02)


@pytest.mark.parametrize("start", [0, 7, 61, 100])
def test_it_does_not_matter_where_the_path_begins(start: int) -> None:
    ring = slot(60)
    found, corners = redrawn([*ring[start:], *ring[:start]])
    assert corners <= 6  # an arc may be cut in two where nothing turns sharper than another
    assert found.area == pytest.approx(800 + math.pi * 100, abs=0.02)


@pytest.mark.parametrize("clockwise", [False, True])
def test_the_bulge_turns_with_the_path(clockwise: bool) -> None:
    ring = slot(60)
    found, _ = redrawn(ring[::-1] if clockwise else ring)
    assert found.symmetric_difference(Polygon(slot(4000))).area < 0.05


@pytest.mark.parametrize("sides", [5, 8, 12, 24])
def test_a_polygon_that_is_meant_stays_one(sides: int) -> None:
    ring = [(30 * math.cos(2 * math.pi * k / sides), 30 * math.sin(2 * math.pi * k / sides)) for k in range(sides)]
    assert all(bulge == 0 for *_, bulge in with_arcs(ring))


def test_a_straight_edge_in_pieces_stays_straight() -> None:
    ring = [(float(x), 0.0) for x in range(20)] + [(19.0, 10.0), (0.0, 10.0)]
    assert all(bulge == 0 for *_, bulge in with_arcs(ring))


@pytest.mark.parametrize("kerf", [0.0, 0.8])
def test_a_fins_rounded_tip_is_drawn_in_few_pieces_within_the_promised_distance(kerf: float) -> None:
    made = fin(
        root_chord=110, tip_chord=60, height=90, sweep=0.5, rounding=12, tabs=tab_places(110, 5.0),
        board="board", thickness=5.0,
        areal_density=math.nan, count=2, x_root=0, z_root=0, cant=0,
    )  # fmt: skip
    path = cut_path(made.outline, kerf)
    found, corners = redrawn([(x, y) for x, y in path.exterior.coords[:-1]])
    assert corners < len(path.exterior.coords) / 2
    assert hausdorff_distance(found.exterior, path.exterior, densify=0.01) < 0.02


def test_a_free_curve_stays_within_the_promised_distance_of_itself() -> None:
    """An ellipse of 60 x 20 mm in 400 chords: no arc at all, and yet smooth."""
    ring = [(30 * math.cos(2 * math.pi * k / 400), 10 * math.sin(2 * math.pi * k / 400)) for k in range(400)]
    true = LineString([(30 * math.cos(k / 1000), 10 * math.sin(k / 1000)) for k in range(6284)])
    found, _ = redrawn(ring)
    assert max(true.distance(Point(corner)) for corner in found.exterior.coords) < 0.02


def test_a_quarter_of_a_disc_joins_its_straight_sides() -> None:
    arc = [(42 * math.cos(math.pi / 2 * k / 40), 42 * math.sin(math.pi / 2 * k / 40)) for k in range(41)]
    found, corners = redrawn([(0.0, 0.0), *arc])
    assert corners == 3
    assert found.area == pytest.approx(math.pi * 42**2 / 4, rel=1e-5)


def test_three_quarters_of_a_circle_are_one_arc() -> None:
    """A disc of 20 mm radius without one quarter: two straight sides and one bulge, 3/4 pi 20^2 of area."""
    turns = [math.pi / 2 + 1.5 * math.pi * k / 150 for k in range(151)]
    ring = [(20 * math.cos(t), 20 * math.sin(t)) for t in turns] + [(0.0, 0.0)]
    found, corners = redrawn(ring)
    assert corners == 3
    assert found.area == pytest.approx(0.75 * math.pi * 400, abs=0.05)


@pytest.mark.parametrize("kerf", [-1.0, -0.7, 0.0, 0.7, 1.5])
@pytest.mark.parametrize("radius", [0.75, 1.5, 2.0, 10.0, 44.0, 150.0])
def test_a_disc_is_one_circle_at_any_kerf(radius: float, kerf: float) -> None:
    ring = Polygon(Point(0, 0).buffer(radius, quad_segs=round(math.pi / 4 / math.acos(1 - 0.01 / radius)) + 1))
    found = true_circle(cut_path(ring, kerf).exterior) if kerf >= 0 else true_circle(ring.buffer(kerf / 2).exterior)
    assert found is not None
    assert found[1] == pytest.approx(radius + kerf / 2, abs=0.015)


@pytest.mark.parametrize("kerf", [0.0, 0.7])
def test_a_keyhole_is_one_arc_and_a_round_ended_slot(kerf: float) -> None:
    """A hole of radius 10 with a slot of 8 below it: two lines, an arc of 360 - 2 asin(4/10), and a half circle."""
    hole = Point(0, 0).buffer(10, quad_segs=24).union(LineString([(0, 0), (0, -25)]).buffer(4, quad_segs=24))
    path = cut_path(box(-40, -40, 40, 40).difference(hole), kerf).interiors[0]
    corners = with_arcs([(x, y) for x, y in path.coords[:-1]])
    turns = sorted(4 * math.degrees(math.atan(abs(bulge))) for *_, bulge in corners)
    less = kerf / 2
    assert len(corners) == 4
    assert turns[:2] == [0, 0]
    assert turns[2:] == pytest.approx([180, 360 - 2 * math.degrees(math.asin((4 - less) / (10 - less)))], abs=0.7)
