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

from drawn import read_trace
from foamworks.design.drawing.trace import load_trace
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
    assert trace.unit.guessed
    assert trace.unit.why == "the drawing names no unit: taken as mm"


def test_a_drawing_without_header_is_not_taken_as_metres(tmp_path: Path) -> None:
    path = tmp_path / "bare.dxf"
    circle = "0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n10\n"
    path.write_text(f"0\nSECTION\n2\nENTITIES\n{circle}0\nENDSEC\n0\nEOF\n")
    assert read_trace(path, key=KEY).area == pytest.approx(math.pi * 100, rel=1e-3)


def test_a_gap_of_exactly_a_tenth_is_closed(tmp_path: Path) -> None:
    document = drawing()
    lines((0, 0), (50, 0), (50, 30), (0.1, 0.0))(document.modelspace())
    assert len(read_trace(saved(document, tmp_path), key=KEY).exterior.coords) == 4


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


def with_a_stray_tick(space: Any) -> None:
    in_lines_and_arc(space)
    space.add_line((10, -10), (10, -20))


def far_gap(space: Any) -> None:
    for start, end in [((0, 0), (50, 0)), ((50, 0.5), (50, 30)), ((50, 30), (0, 30)), ((0, 30), (0, 0))]:
        space.add_line(start, end)


def two_gaps(space: Any) -> None:
    for start, end in [((0, 0), (50, 0)), ((50, 0.5), (50, 30)), ((50, 30), (0, 30)), ((0, 30), (0, 0.7))]:
        space.add_line(start, end)


FAULTS = [
    (
        with_a_stray_tick,
        r"a stray line from \(10\.00, -10\.00\) to \(10\.00, -20\.00\) mm, 10\.0 mm long, belongs to no",
    ),
    (far_gap, r"open: its ends are at \(50\.00, 0\.00\) and \(50\.00, 0\.50\) mm, 0\.50 mm apart; close"),
    (two_gaps, r"0\.50 mm apart; 1 more gap; close"),
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
