"""Outlines from drawings: one fin, drawn in every way, against its closed form; and every fault said at its place.

The fin: a trapezoid, 100 mm at the root, 40 mm at 60 mm height, under a half disc of radius 20 mm.
Its area is (100 + 40)/2 x 60 + pi 20^2/2 mm2, its height 80 mm.
"""

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf.math
import pytest
from ezdxf.filemanagement import new
from shapely import Polygon

from foamworks.design.trace import load_trace, read_trace
from foamworks.design.trace_curves import bezier_points, bulge_points, ellipse_points
from foamworks.design.trace_path import Pen
from foamworks.errors import DesignError

AREA = 4200 + math.pi * 200  # mm2
HEIGHT = 80.0  # mm
SIDES = [((40, 60), (0, 0)), ((0, 0), (100, 0)), ((100, 0), (80, 60))]
KEY = "airframe.fin.trace"


def drawing(units: int = 4, version: str = "R2010") -> Any:
    document = new(version)
    document.units = units
    return document


def saved(document: Any, tmp_path: Path, name: str = "fin.dxf") -> Path:
    path = tmp_path / name
    document.saveas(path)
    return path


def sides(space: Any, scale: float = 1.0, gap: float = 0.0) -> None:
    for (x1, y1), (x2, y2) in SIDES:
        space.add_line((x1 * scale, y1 * scale), (x2 * scale, (y2 - gap) * scale))


def in_lines_and_arc(space: Any) -> None:
    sides(space)
    space.add_arc((60, 60), 20, 0, 180)


def in_short_lines(space: Any) -> None:
    sides(space)
    turns = [math.pi * k / 90 for k in range(91)]
    corners = [(60 + 20 * math.cos(t), 60 + 20 * math.sin(t)) for t in turns]
    for start, end in pairwise(corners):
        space.add_line(end, start)  # drawn backwards: direction must not matter


def in_bulged_polyline(space: Any) -> None:
    space.add_lwpolyline([(0, 0, 0), (100, 0, 0), (80, 60, 1), (40, 60, 0)], format="xyb", close=True)


def in_old_polyline(space: Any) -> None:
    space.add_polyline2d([(0, 0, 0), (100, 0, 0), (80, 60, 1), (40, 60, 0)], format="xyb", close=True)


def in_two_arcs(space: Any) -> None:
    sides(space)
    space.add_arc((60, 60), 20, 0, 75)
    space.add_arc((60, 60), 20, 75, 180)


def in_spline(space: Any) -> None:
    sides(space)
    arc = ezdxf.math.ConstructionArc((60, 60), 20, 0, 180)
    space.add_spline().apply_construction_tool(ezdxf.math.rational_bspline_from_arc((60, 60), arc.radius, 0, 180))


def in_fitted_spline(space: Any) -> None:
    sides(space)
    turns = [math.pi * k / 24 for k in range(25)]
    space.add_spline([(60 + 20 * math.cos(t), 60 + 20 * math.sin(t), 0) for t in turns])


def in_ellipse(space: Any) -> None:
    sides(space)
    space.add_ellipse((60, 60), (20, 0), 1.0, 0, math.pi)


def in_mirrored_arc(space: Any) -> None:
    sides(space)
    space.add_arc((-60, 60), 20, 0, 180, dxfattribs={"extrusion": (0, 0, -1)})


def in_a_block(space: Any) -> None:
    block = space.doc.blocks.new("fin")
    for (x1, y1), (x2, y2) in SIDES:
        block.add_line((x1 / 2, y1 / 2), (x2 / 2, y2 / 2))
    block.add_arc((30, 30), 10, 0, 180)
    space.add_blockref("fin", (0, 0), dxfattribs={"xscale": 2, "yscale": 2})


def with_a_gap(space: Any) -> None:
    sides(space, gap=0.05)
    space.add_arc((60, 60.05), 20, 0, 180)


def drawn_twice(space: Any) -> None:
    in_lines_and_arc(space)
    sides(space)


WAYS: list[Callable[[Any], None]] = [
    in_lines_and_arc, in_short_lines, in_bulged_polyline, in_old_polyline, in_two_arcs, in_spline, in_fitted_spline,
    in_ellipse, in_mirrored_arc, in_a_block, with_a_gap, drawn_twice,
]  # fmt: skip

OLD_WAYS = [way for way in WAYS if way not in (in_spline, in_fitted_spline, in_ellipse, in_bulged_polyline)]  # R12


@pytest.mark.parametrize("draw", WAYS, ids=lambda way: way.__name__)
def test_the_fin_has_the_same_area_however_it_is_drawn(draw: Callable[[Any], None], tmp_path: Path) -> None:
    document = drawing()
    draw(document.modelspace())
    outline = read_trace(saved(document, tmp_path), key=KEY)
    assert outline.area == pytest.approx(AREA, rel=1e-3)
    assert outline.bounds == pytest.approx((0, 0, 100, HEIGHT), abs=0.06)


@pytest.mark.parametrize("draw", OLD_WAYS, ids=lambda way: way.__name__)
def test_the_fin_of_an_old_drawing_is_read_alike(draw: Callable[[Any], None], tmp_path: Path) -> None:
    document = drawing(version="R12")
    draw(document.modelspace())
    assert read_trace(saved(document, tmp_path), key=KEY).area == pytest.approx(AREA, rel=1e-3)


@pytest.mark.parametrize(
    ("code", "millimetres"),  # the DXF reference, header variable $INSUNITS
    [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0)],
    ids=["in", "ft", "mm", "cm", "m"],
)
def test_the_drawing_unit_is_honoured(code: int, millimetres: float, tmp_path: Path) -> None:
    document = drawing(code)
    sides(document.modelspace(), 1 / millimetres)
    document.modelspace().add_arc((60 / millimetres, 60 / millimetres), 20 / millimetres, 0, 180)
    outline = read_trace(saved(document, tmp_path), key=KEY)
    assert outline.area == pytest.approx(AREA, rel=1e-3)
    assert outline.hausdorff_distance(exact_fin()) < 0.005


def exact_fin() -> Polygon:
    turns = [math.pi * k / 2000 for k in range(2001)]
    return Polygon([(0, 0), (100, 0), *((60 + 20 * math.cos(t), 60 + 20 * math.sin(t)) for t in turns)])


def test_a_drawing_without_unit_is_taken_as_millimetres_and_that_is_said(tmp_path: Path) -> None:
    document = drawing(0)
    in_lines_and_arc(document.modelspace())
    trace = load_trace(saved(document, tmp_path), key=KEY)
    assert trace.outline.area == pytest.approx(AREA, rel=1e-3)
    assert "taken as millimetres" in trace.said[0]


def test_a_drawing_without_header_is_not_taken_as_metres(tmp_path: Path) -> None:
    path = tmp_path / "bare.dxf"
    circle = "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n10\n"
    path.write_text(f"0\nSECTION\n2\nENTITIES\n{circle}0\nENDSEC\n0\nEOF\n")
    assert read_trace(path, key=KEY).area == pytest.approx(math.pi * 100, rel=1e-3)


def test_inner_loops_are_holes(tmp_path: Path) -> None:
    document = drawing()
    in_lines_and_arc(document.modelspace())
    document.modelspace().add_circle((50, 30), 5)
    document.modelspace().add_lwpolyline([(60, 10), (70, 10), (70, 20), (60, 20)], close=True)
    outline = read_trace(saved(document, tmp_path), key=KEY)
    assert len(outline.interiors) == 2
    assert outline.area == pytest.approx(AREA - math.pi * 25 - 100, rel=1e-3)


def test_texts_and_dimensions_are_passed_over(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    in_lines_and_arc(space)
    space.add_text("fin").set_placement((200, 200))
    space.add_linear_dim(base=(0, -20), p1=(0, 0), p2=(100, 0)).render()
    assert read_trace(saved(document, tmp_path), key=KEY).area == pytest.approx(AREA, rel=1e-3)


def test_the_layer_cut_is_taken_alone(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    document.layers.add("CUT")
    space.add_lwpolyline([(0, 0), (10, 0), (0, 10)], close=True, dxfattribs={"layer": "CUT"})
    in_lines_and_arc(space)
    assert read_trace(saved(document, tmp_path), key=KEY).area == pytest.approx(50)


def test_ends_that_overshoot_by_less_than_the_gap_make_one_corner(tmp_path: Path) -> None:
    document = drawing()
    space = document.modelspace()
    for start, end in [
        ((-0.04, 0), (50.04, 0)), ((50, -0.04), (50, 30.04)), ((50.04, 30), (-0.04, 30)), ((0, 30.04), (0, -0.04)),
    ]:  # fmt: skip
        space.add_line(start, end)
    outline = read_trace(saved(document, tmp_path), key=KEY)
    assert outline.area == pytest.approx(1500, rel=3e-3)
    assert len(outline.exterior.coords) == 5


# --- faults -----------------------------------------------------------------------------------------------------


def lines(*corners: tuple[float, float]) -> Callable[[Any], None]:
    def draw(space: Any) -> None:
        for start, end in pairwise(corners):
            space.add_line(start, end)

    return draw


def two_squares(space: Any) -> None:
    for x in (0, 50):
        space.add_lwpolyline([(x, 0), (x + 20, 0), (x + 20, 20), (x, 20)], close=True)


def crossing_hole(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (20, 0), (20, 20), (0, 20)], close=True)
    space.add_circle((20, 10), 3)


def island(space: Any) -> None:
    for radius in (30, 20, 10):
        space.add_circle((0, 0), radius)


FAULTS = [
    (
        lines((0, 0), (50, 0), (50, 30), (0.5, 0.5)),
        r"open: its ends are at \(0\.00, 0\.00\) and \(0\.50, 0\.50\) mm, 0\.71",
    ),
    (lines((0, 0), (50, 0), (50, 30), (0, 30), (0, 0.2)), r"open.*0\.20 mm apart"),
    (lines((0, 0), (40, 40), (40, 0), (0, 40), (0, 0)), r"crosses or touches itself at \(20\.00, 20\.00\) mm"),
    (two_squares, r"two separate outlines, .*\(50\.00, 0\.00\) to \(70\.00, 20\.00\) mm"),
    (crossing_hole, r"two loops cross or touch at"),
    (island, "holes touch, cross or lie within each other"),
    (lambda space: space.add_text("nothing"), "holds no line to trace"),
    (lambda space: space.add_circle((0, 0), 0.01), "check the drawing's unit"),
    (lambda space: space.add_circle((1e9, 0), 10), "must lie within"),
    (lambda space: [space.add_line((0, 0), (9, k)) for k in range(20)], "more than 8 lines end near"),
    (lines((0, 0), (50, 0), (0, 0)), "there and back|holds no line|open"),
]


@pytest.mark.parametrize(("draw", "text"), FAULTS)
def test_a_fault_names_file_key_and_place(draw: Callable[[Any], None], text: str, tmp_path: Path) -> None:
    document = drawing()
    draw(document.modelspace())
    with pytest.raises(DesignError, match=text) as caught:
        read_trace(saved(document, tmp_path), key=KEY)
    message = str(caught.value)
    assert message.startswith(f"{tmp_path / 'fin.dxf'}: {KEY}: ")
    assert "\n" not in message


def test_a_fault_is_placed_in_millimetres_when_the_drawing_is_in_inches(tmp_path: Path) -> None:
    document = drawing(1)
    lines((0, 0), (2, 0), (2, 2), (1, 1))(document.modelspace())
    with pytest.raises(DesignError, match=r"\(0\.00, 0\.00\) and \(25\.40, 25\.40\) mm"):
        read_trace(saved(document, tmp_path), key=KEY)


def test_an_unknown_unit_is_refused(tmp_path: Path) -> None:
    document = drawing(18)  # astronomical units
    in_lines_and_arc(document.modelspace())
    with pytest.raises(DesignError, match=r"unit number 18 .* draw it in mm"):
        read_trace(saved(document, tmp_path), key=KEY)


@pytest.mark.parametrize(
    ("name", "data", "text"),
    [
        ("fin.dxf", b"", "the file is empty"),
        ("fin.dxf", b"no drawing at all\n", "cannot be read as DXF"),
        ("fin.dxf", b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n", "cannot be read as DXF|no line"),
        ("fin.dxf", bytes(range(256)) * 8, "cannot be read as DXF"),
        ("fin.dxf", b"0\n" * 600_000, "at most 1 MiB"),
        ("fin.step", b"ISO-10303-21;", "a .dxf or .svg file"),
        ("fin.svg", b"", "the file is empty"),
        ("fin.svg", b"<svg", "cannot be read as SVG"),
        ("fin.svg", b"<html/>", "is <html>, not <svg>"),
        ("fin.svg", b"<svg/>", "holds no line to trace"),
        ("fin.svg", b'<svg><path d="M 0 0 L 5 q"/></svg>', "a number is missing at"),
        ("fin.svg", b'<svg><path d="L 5 5"/></svg>', "a path begins with M"),
        ("fin.svg", b'<svg><path d="M 0 0 5 5 X"/></svg>', 'a number is missing at "X"'),
        ("fin.svg", b'<svg width="3 furlongs"/>', "a length in mm"),
        ("fin.svg", b'<svg><g transform="wring(3)"><rect width="9" height="9"/></g></svg>', "is not understood"),
        ("fin.svg", b'<svg><use href="#a"/></svg>', "a clone"),
        ("fin.svg", b'<svg><rect width="nan" height="9"/></svg>', "a length in mm"),
        ("fin.svg", b'<svg><path d="M0 0 L1e400 0 0 9z"/></svg>', "must lie within"),
        ("fin.svg", b"<svg>" + b"<g>" * 5000 + b"</g>" * 5000 + b"</svg>", "ungroup"),
        ("fin.svg", b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg>&a;</svg>', "document type with definitions"),
        ("fin.svg", b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>', "definitions"),
    ],
)
def test_an_unreadable_file_is_said_in_one_line(name: str, data: bytes, text: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(DesignError, match=text) as caught:
        read_trace(path, key=KEY)
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"gone\.dxf: cuts\[2\]\.trace: cannot be opened"):
        read_trace(tmp_path / "gone.dxf", key="cuts[2].trace")


# --- SVG --------------------------------------------------------------------------------------------------------

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
    assert "96 units or pixels were taken for an inch" in load_trace(path, key=KEY).said[0]
    assert load_trace(svg(tmp_path, '<rect width="9" height="6"/>'), key=KEY).said == ()


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
