"""Outlines from SVG drawings: the same fin in every way of drawing it, shapes with closed areas, pages and their units.

The fin: a trapezoid, 100 mm at the root, 40 mm at 60 mm height, under a half disc of radius 20 mm.
"""

import math
from itertools import pairwise
from pathlib import Path

import ezdxf.math
import pytest
from shapely import Polygon

from drawn import read_trace
from foamworks.design.drawing.trace import load_trace
from foamworks.design.drawing.trace_curves import bezier_points, bulge_points, ellipse_points
from foamworks.design.drawing.trace_path import Pen
from foamworks.errors import DesignError

AREA = 4200 + math.pi * 200  # mm2
HEIGHT = 80.0  # mm
KEY = "airframe.fin.trace"


def exact_fin() -> Polygon:
    turns = [math.pi * k / 2000 for k in range(2001)]
    return Polygon([(0, 0), (100, 0), *((60 + 20 * math.cos(t), 60 + 20 * math.sin(t)) for t in turns)])


PAGE = 'xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 120 90"'
KAPPA = 20 * 4 / 3 * math.tan(math.pi / 8)  # mm, the cubic's handle for a quarter circle: 0.03 % in radius


def svg(tmp_path: Path, body: str, page: str = PAGE) -> Path:
    path = tmp_path / "fin.svg"
    path.write_text(f"<svg {page}>{body}</svg>")
    return path


SVG_WAYS = {
    "arc": '<path d="M 0,90 L 100,90 L 80,30 A 20 20 0 0 0 40 30 Z"/>',
    "relative": '<path d="m0 90h100l-20-60a20 20 0 00-40 0z"/>',
    "two arcs, compact": '<path d="M0,90H100L80,30A20,20 0 0060,10 20,20 0 0040,30z"/>',
    "cubic": f'<path d="M0 90 100 90 80 30C80 {30 - KAPPA} {60 + KAPPA} 10 60 10S40 {30 - KAPPA} 40 30V30Z"/>',
    "pieces": '<line x1="0" y1="90" x2="100" y2="90"/><path d="M100 90L80 30"/><path d="M40 30A20 20 0 0 1 80 30"/>'
    '<path d="M40 30L0 90.05"/>',
    "moved": '<g transform="translate(10 5)">'
    '<path transform="translate(-10,-5)" d="M0 90H100L80 30A20 20 0 0 0 40 30Z"/></g>',
    "scaled": '<path transform="scale(2)" d="M0 45H50L40 15A10 10 0 0 0 20 15Z"/>',
    "turned": '<path transform="rotate(90 50 50)" d="M90 100V0L30 20A20 20 0 0 0 30 60Z"/>',
    "matrix": '<path transform="matrix(-1 0 0 1 100 0)" d="M100 90H0L20 30A20 20 0 0 1 60 30Z"/>',
    "stretched": '<path transform="scale(1 2)" d="M0 45H100L80 15A20 10 0 0 0 40 15Z"/>',
    "layer": '<g id="cut"><path d="M0 90H100L80 30A20 20 0 0 0 40 30Z"/></g><circle cx="3" cy="3" r="2"/>',
    "hidden": '<path d="M0 90H100L80 30A20 20 0 0 0 40 30Z"/><rect style="display: none" width="9" height="9"/>',
}


@pytest.mark.parametrize("body", SVG_WAYS.values(), ids=SVG_WAYS)
def test_the_fin_has_the_same_area_in_every_way_of_svg(body: str, tmp_path: Path) -> None:
    outline = read_trace(svg(tmp_path, body), key=KEY)
    assert outline.area == pytest.approx(AREA, rel=1e-3)
    assert outline.bounds == pytest.approx((0, 0, 100, HEIGHT), abs=0.06)


def test_up_is_up_in_a_trace_from_svg(tmp_path: Path) -> None:
    outline = read_trace(svg(tmp_path, SVG_WAYS["arc"]), key=KEY)
    assert outline.hausdorff_distance(exact_fin()) < 0.005


@pytest.mark.parametrize(
    ("page", "millimetres"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 50 50"', 2.0),
        ('width="10cm" height="10cm" viewBox="0 0 100 100"', 1.0),
        ('width="4in" height="4in" viewBox="0 0 4 4"', 25.4),
        ('width="96" height="96" viewBox="0 0 96 96"', 25.4 / 96),
        ('width="72pt" height="72pt" viewBox="0 0 72 72"', 25.4 / 72),
        ('viewBox="0 0 96 96"', 25.4 / 96),
        ('width="100mm" height="50mm"', 25.4 / 96),
        ('width="100mm" height="300mm" viewBox="0 0 50 50"', 2.0),
    ],
)  # lengths by CSS: 96 px, 72 pt to the inch
def test_the_page_gives_the_scale(page: str, millimetres: float, tmp_path: Path) -> None:
    outline = read_trace(svg(tmp_path, '<rect width="3" height="2"/>', page), key=KEY)
    assert outline.area == pytest.approx(6 * millimetres**2)


def test_a_page_in_pixels_is_said(tmp_path: Path) -> None:
    path = svg(tmp_path, '<rect width="90" height="60"/>', 'width="100" height="100"')
    assert load_trace(path, key=KEY).unit.guessed
    assert "96 units taken for an inch" in load_trace(path, key=KEY).unit.why
    named = load_trace(svg(tmp_path, '<rect width="9" height="6"/>'), key=KEY).unit
    assert (named.guessed, named.why) == (False, "the page's size is given in mm")


@pytest.mark.parametrize(
    ("body", "area"),
    [
        ('<rect x="10" y="10" width="40" height="30"/>', 1200),
        ('<rect x="10" y="10" width="40" height="30" rx="5"/>', 1200 - (4 - math.pi) * 25),
        ('<rect x="10" y="10" width="40" height="30" rx="4" ry="6"/>', 1200 - (4 - math.pi) * 24),
        ('<circle cx="50" cy="40" r="30"/>', math.pi * 900),
        ('<ellipse cx="50" cy="40" rx="40" ry="20"/>', math.pi * 800),
        ('<ellipse cx="50" cy="40" rx="40" ry="20" transform="rotate(30 50 40)"/>', math.pi * 800),
        ('<polygon points="10,10 50,10 10,40"/>', 600),
        ('<polyline points="10,10 50,10 10,40"/>', 600),
        ('<path d="M0 0H60V60H0Z M20 20h10v10h-10z"/>', 3500),
        ('<path d="M0 40Q30 0 60 40Z"/>', 60 * 40 / 3),
        ('<path d="M0 40Q15 0 30 40T60 40V80H0Z"/>', 60 * 40),
    ],
)  # closed forms; a parabola's segment over a chord is 2/3 of half the control triangle's box
def test_basic_shapes_have_their_closed_areas(body: str, area: float, tmp_path: Path) -> None:
    assert read_trace(svg(tmp_path, body), key=KEY).area == pytest.approx(area, rel=1e-3)


def test_a_plain_document_type_line_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "old.svg"
    kind = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    path.write_text(f'<?xml version="1.0"?>{kind}<svg {PAGE}><rect width="9" height="9"/></svg>')
    assert read_trace(path, key=KEY).area == pytest.approx(81)


def test_an_open_path_is_said_with_its_ends(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"open: its ends are at \(0\.00, 90\.00\) and \(50\.00, 40\.00\) mm"):
        read_trace(svg(tmp_path, '<path d="M0 0H50V50"/>'), key=KEY)


# --- curves -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [0.5, 5.0, 50.0, 5000.0])
def test_no_step_leaves_a_circle_by_more_than_the_tolerance(radius: float) -> None:
    points = ellipse_points(centre=(0, 0), u=(radius, 0), v=(0, radius), start=0, sweep=2 * math.pi)
    middles = [((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in pairwise(points)]
    assert max(radius - math.hypot(*m) for m in middles) <= 0.01 + 1e-9


def test_no_step_leaves_a_cubic_by_more_than_the_tolerance() -> None:
    control = [(0.0, 0.0), (200.0, 300.0), (-100.0, 300.0), (100.0, 0.0)]
    coarse = Polygon(bezier_points(control)).exterior
    fine = Polygon(bezier_points(control, 1e-6)).exterior
    assert coarse.hausdorff_distance(fine) <= 0.01


@pytest.mark.parametrize("bulge", [0.2, -0.2, 1.0, -1.0, 3.0])
def test_a_bulge_is_the_arc_that_ezdxf_makes_of_it(bulge: float) -> None:
    centre, _, _, radius = ezdxf.math.bulge_to_arc((1, 2), (7, 5), bulge)
    distances = [math.dist(p, (centre.x, centre.y)) for p in bulge_points((1, 2), (7, 5), bulge)]
    assert distances == pytest.approx([radius] * len(distances))


@pytest.mark.parametrize(("large", "positive"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_the_four_svg_arcs_turn_as_the_standard_says(large: int, positive: int) -> None:
    """Area swept about the chord: small and large circular segment, sign by the sweep flag (SVG 1.1, 8.3.8)."""
    [(points, _)] = Pen(f"M0 0A10 10 0 {large} {positive} 10 0", (1, 0, 0, 1, 0, 0)).draw()
    ring = Polygon(points).exterior
    segment = 100 * (math.pi / 3 - math.sin(math.pi / 3)) / 2
    expected = math.pi * 100 - segment if large else segment
    assert Polygon(ring).area == pytest.approx(expected, abs=0.15)
    assert ring.is_ccw == bool(positive)
