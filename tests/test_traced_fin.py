"""A fin traced in every way against the same fin by stations; and what is said about each drawing.

The fin: root 162 mm, tip 76 mm, 142 mm high, its tip's leading edge 102 mm aft; drawn at 0,0. Its old place in the
aircraft is x 676, z 44.
"""

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from shapely import Polygon, box

from foamworks.checks import judged
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.edit import edited
from foamworks.design.load import load
from foamworks.errors import DesignError
from foamworks.output.summary import as_dict
from foamworks.output.views.trace_picture import trace_pictures

CORNERS = [(0.0, 0.0), (162.0, 0.0), (178.0, 142.0), (102.0, 142.0)]
TILTED = [(0.0, 0.0), (162.0, 0.0), (178.0, 142.25), (102.0, 141.75)]  # 0.5 mm over the tip
AT = "at = { x = 676, z = 44 }"
STATIONS = "stations = [ { x = 676, z = 44, chord = 162 }, { x = 778, z = 186, chord = 76 } ]"
PLANE = """
[airframe.wing]
stations = [ { x = 248, y = 40, chord = 214 }, { x = 322, y = 460, chord = 116 } ]
[airframe.tailplane]
stations = [ { x = 712, y = 24, z = 34, chord = 118 }, { x = 752, y = 178, z = 34, chord = 72 } ]
[fins]
root = { x = 699, y = 140, z = 36 }
[airframe.fin]
"""


def rounded(radius: float) -> list[tuple[float, float]]:
    """The fin with both corners of its tip on arcs that touch its edges."""
    fin = Polygon(CORNERS)
    round_all = fin.buffer(-radius, quad_segs=32).buffer(radius, quad_segs=32)
    return list(round_all.union(fin.intersection(box(0, 0, 200, 71))).simplify(1e-4).exterior.coords)[:-1]


def dxf(folder: Path, points: Sequence[tuple[float, float]], units: int = 4, scale: float = 1.0) -> Any:
    document = ezdxf.new("R2010")
    document.units = units
    layer = {"layer": "OUTLINE"}
    scaled = [(x * scale, y * scale) for x, y in points]
    document.modelspace().add_lwpolyline(scaled, close=True, dxfattribs=layer)
    document.saveas(folder / "fin.dxf")
    return document


def framed(folder: Path, layer: str = "FRAME") -> None:
    document = dxf(folder, CORNERS)
    frame = [(-20, -20), (277, -20), (277, 190), (-20, 190)]
    document.modelspace().add_lwpolyline(frame, close=True, dxfattribs={"layer": layer})
    document.saveas(folder / "fin.dxf")


def case_of(folder: Path, fin: str, rest: str = "") -> Case:
    path = folder / "jet.toml"
    path.write_text(PLANE + fin + "\n" + rest)
    return judged(load(path), path)


def found(case: Case, check: str, subject: str = "old fin") -> Finding:
    [one] = [finding for finding in case.findings if (finding.check, finding.subject) == (check, subject)]
    return one


def measures(case: Case) -> tuple[float, ...]:
    new = case.study.new_fins
    assert new is not None
    stations = new.stations
    return (*stations.chord, stations.height, stations.x[1] - stations.x[0])


DRAWN = {
    "in millimetres": (CORNERS, 4, 1.0, ""),
    "in inches": (CORNERS, 1, 1 / 25.4, ""),
    "in inches, as the design says": (CORNERS, 0, 1 / 25.4, 'drawn_in = "in"'),
    "with a rounded tip": (rounded(8), 4, 1.0, ""),
    "with a tilted tip": (TILTED, 4, 1.0, ""),
    "upside down": ([(-x, -y) for x, y in CORNERS], 4, 1.0, "turn = 180"),
    "on its side": ([(-y, x) for x, y in CORNERS], 4, 1.0, "turn = -90"),
}


@pytest.mark.parametrize("way", DRAWN)
def test_a_fin_traced_in_its_own_frame_is_sized_as_by_stations(way: str, tmp_path: Path) -> None:
    points, units, scale, keys = DRAWN[way]
    dxf(tmp_path, points, units, scale)
    got = measures(case_of(tmp_path, f'{keys}\ntrace = "fin.dxf"\n{AT}'))
    assert got == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=0.01)


def test_a_fin_in_a_page_frame_is_sized_as_by_stations_and_the_frame_is_said(tmp_path: Path) -> None:
    framed(tmp_path)
    case = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
    assert measures(case) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=0.01)
    said = found(case, "trace-frame")
    assert said.verdict == "caution"
    assert "297 x 210 mm" in said.why
    assert said.cure.endswith('under [airframe.fin] type layer = "OUTLINE"')
    told = case_of(tmp_path, f'trace = "fin.dxf"\nlayer = "outline"\n{AT}')
    assert measures(told) == measures(case)
    assert not [finding for finding in told.findings if finding.check == "trace-frame"]


@pytest.mark.parametrize("way", ["sweep = 35.69", "tip_offset = 102"])
def test_three_measures_are_the_fin_by_stations(way: str, tmp_path: Path) -> None:
    case = case_of(tmp_path, f"root_chord = 162\ntip_chord = 76\nheight = 142\n{way}\n{AT}")
    assert measures(case) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=1e-4)


def test_a_drawing_at_the_origin_fails_and_names_the_key(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS)
    case = case_of(tmp_path, 'trace = "fin.dxf"')
    place = found(case, "fin-place")
    assert place.verdict == "fail"
    assert "at = { x, z } under [airframe.fin]" in place.cure
    assert "tail-volume: fins" not in {f"{finding.check}: {finding.subject}" for finding in case.findings}
    assert "not sized yet" in found(case, "flutter", "fins").why
    placed = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
    assert "fin-place" not in {finding.check for finding in placed.findings}


def test_at_is_the_corner_of_the_turned_box(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS)
    case = case_of(tmp_path, f'trace = "fin.dxf"\nturn = 30\n{AT}')
    assert case.asked.airframe.fin is not None
    drawn = case.asked.airframe.fin.drawn
    assert min(x for x, _ in drawn) == pytest.approx(0.676)
    assert min(z for _, z in drawn) == pytest.approx(0.044)
    (x0, z0), (x1, z1) = drawn[:2]  # the root, 162 mm along x as drawn
    assert math.degrees(math.atan2(z1 - z0, x1 - x0)) == pytest.approx(30)
    assert math.hypot(x1 - x0, z1 - z0) == pytest.approx(0.162)


def test_a_drawing_without_unit_says_its_size_and_which_units_would_fit(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS, 0)
    guess = found(case_of(tmp_path, f'trace = "fin.dxf"\n{AT}'), "trace")
    assert guess.verdict == "caution"
    assert guess.why == "fin.dxf: the drawing names no unit: taken as mm; 178 x 142 mm"
    assert 'is 178 x 142 mm, then under [airframe.fin] type drawn_in = "mm"' in guess.cure
    sure = found(case_of(tmp_path, f'trace = "fin.dxf"\ndrawn_in = "mm"\n{AT}'), "trace")
    assert sure.verdict == "pass"


def test_a_fin_of_seven_millimetres_fails_and_is_offered_inches(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS, 0, 1 / 25.4)
    small = found(case_of(tmp_path, f'trace = "fin.dxf"\n{AT}'), "trace")
    assert small.verdict == "fail"
    assert "7.0 x 5.6 mm: no fin of this model is so small" in small.why
    assert 'is 178 x 142 mm, then under [airframe.fin] type drawn_in = "in"' in small.cure


def test_a_page_at_72_to_the_inch_is_asked_about(tmp_path: Path) -> None:
    points = " ".join(f"{x * 72 / 25.4},{(142 - y) * 72 / 25.4}" for x, y in CORNERS)
    (tmp_path / "fin.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="600" height="500" viewBox="0 0 600 500">'
        f'<polygon points="{points}"/></svg>'
    )
    asked = found(case_of(tmp_path, f'trace = "fin.svg"\n{AT}'), "trace")
    assert asked.verdict == "caution"
    assert "96 units taken for an inch; 134 x 107 mm" in asked.why
    assert 'is 178 x 142 mm, then under [airframe.fin] type drawn_in = "pt"' in asked.cure
    told = case_of(tmp_path, f'trace = "fin.svg"\ndrawn_in = "pt"\n{AT}')
    assert measures(told) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=1e-6)


def test_a_loose_trapezoid_is_said_with_its_misfit(tmp_path: Path) -> None:
    turns = [math.pi * k / 60 for k in range(61)]
    dxf(tmp_path, [(80 + 80 * math.cos(t), 140 * math.sin(t)) for t in turns])  # half an ellipse
    case = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
    edges = found(case, "trace", "old fin's edges")
    assert edges.verdict == "caution", edges.why
    assert edges.value is not None
    assert edges.value > 3
    given = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}', "[fins.shape]\ntaper = 0.5\nsweep = 20")
    assert found(given, "trace", "old fin's edges").verdict == "pass"


def test_the_json_tells_what_was_traced(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS)
    cut = '[[cuts]]\nname = "spare fin"\ntrace = "fin.dxf"'
    data = json.loads(json.dumps(as_dict(case_of(tmp_path, f'trace = "fin.dxf"\n{AT}', cut))))
    size = {"width_mm": 178.0, "height_mm": 142.0, "unit": "mm", "why": "the drawing names mm"}
    assert data["fins"]["traced"] == {**size, "misfit_percent": pytest.approx(0, abs=1e-6)}
    assert data["cuts"] == {"traced": [{"name": "spare fin", **size}]}


def test_a_cut_in_a_rectangle_on_another_layer_is_asked_about(tmp_path: Path) -> None:
    framed(tmp_path)
    cut = '[[cuts]]\nname = "spare"\ntrace = "fin.dxf"\n'
    asked = found(case_of(tmp_path, STATIONS, cut), "trace-frame", "spare")
    assert asked.verdict == "caution"
    assert 'under [[cuts]] number 1 type layer = "OUTLINE"' in asked.cure
    told = case_of(tmp_path, STATIONS, cut + 'layer = "OUTLINE"')
    assert "trace-frame" not in {finding.check for finding in told.findings}
    [part] = [part for part in told.parts.boards if part.name == "spare"]
    assert part.outline.area == pytest.approx((162 + 76) / 2 * 142)


def test_an_offcut_is_read_from_a_drawing(tmp_path: Path) -> None:
    dxf(tmp_path, [(50, 50), (450, 50), (450, 250), (50, 170)])
    board = '[[boards]]\nname = "b"\nthickness = 5\nsheet = { trace = "fin.dxf", layer = "OUTLINE" }'
    case = case_of(tmp_path, STATIONS, board)
    assert found(case, "trace", "offcut of b").why == "fin.dxf: the drawing names mm; 400 x 200 mm"


def test_a_layer_that_is_not_there_is_said_with_those_that_are(tmp_path: Path) -> None:
    framed(tmp_path)
    with pytest.raises(
        DesignError, match=r'trace = "fin\.dxf": nothing .* layer "fin"; lines are on "FRAME", "OUTLINE"'
    ):
        case_of(tmp_path, f'trace = "fin.dxf"\nlayer = "fin"\n{AT}')


def test_the_picture_is_to_scale(tmp_path: Path) -> None:
    dxf(tmp_path, CORNERS)
    [(words, svg)] = trace_pictures(case_of(tmp_path, f'trace = "fin.dxf"\n{AT}'))
    assert words.startswith("old fin, as fin.dxf was understood: 178 x 142 mm; squares of 10 mm")
    assert 'width="184mm" height="154mm" viewBox="-2 -2 184 154"' in svg  # 18 x 15 squares and 2 mm around
    assert "M0,150L162,150L178,8L102,8Z" in svg


def test_what_a_finding_on_a_drawing_offers_can_be_typed(tmp_path: Path) -> None:
    """Typed in, each offer leaves the fin by stations within 1 %."""
    right = measures(case_of(tmp_path, STATIONS))
    made = [
        (lambda: dxf(tmp_path, CORNERS, 0, 1 / 25.4), "trace", "old fin", "drawn_in"),
        (lambda: framed(tmp_path), "trace-frame", "old fin", "layer"),
        (lambda: dxf(tmp_path, [(-x, -y) for x, y in CORNERS]), "trace", "how the old fin stands", "turn"),
    ]
    for draw, check, subject, key in made:
        draw()
        case = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
        edits = [edit for proposal in found(case, check, subject).proposals for edit in proposal.edits]
        offers = [measures(judged(edited(case.path, [edit]), case.path)) for edit in edits]
        assert {edit.key for edit in edits} == {f"airframe.fin.{key}"}
        assert any(offer == pytest.approx(right, rel=0.01) for offer in offers)


def hidden_beside(folder: Path, how: str) -> None:
    """The fin on a layer that is shown, and a page's frame and a second outline on one that is not."""
    document = dxf(folder, CORNERS)
    layer = document.layers.add("OLD")
    getattr(layer, how)()
    for points in ([(-20, -20), (277, -20), (277, 190), (-20, 190)], [(300, 0), (400, 0), (400, 100)]):
        document.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "OLD"})
    document.saveas(folder / "fin.dxf")


@pytest.mark.parametrize("how", ["off", "freeze"])
def test_a_hidden_layer_is_left_out_and_that_is_said(how: str, tmp_path: Path) -> None:
    hidden_beside(tmp_path, how)
    case = case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
    assert measures(case) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=0.01)
    assert found(case, "trace").why.endswith(
        '178 x 142 mm; left out is what is hidden, switched off or frozen, on "OLD"'
    )
    assert "trace-frame" not in {finding.check for finding in case.findings}


def test_a_hidden_layer_is_read_when_it_is_named_and_asked_for_when_there_is_no_other(tmp_path: Path) -> None:
    document = dxf(tmp_path, CORNERS)
    document.layers.add("OUTLINE").off()
    document.saveas(tmp_path / "fin.dxf")
    with pytest.raises(
        DesignError, match=r'hidden; show it, or name its layer: layer = "\.\.\."; lines are on "OUTLINE"'
    ):
        case_of(tmp_path, f'trace = "fin.dxf"\n{AT}')
    told = case_of(tmp_path, f'trace = "fin.dxf"\nlayer = "OUTLINE"\n{AT}')
    assert measures(told) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=0.01)


@pytest.mark.parametrize("how", ['display="none"', 'style="display: none"', 'style="visibility:hidden"'])
def test_a_hidden_group_of_an_svg_is_left_out(how: str, tmp_path: Path) -> None:
    points = " ".join(f"{x},{142 - y}" for x, y in CORNERS)
    (tmp_path / "fin.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="178mm" height="142mm" viewBox="0 0 178 142">'
        f'<g id="OLD" {how}><rect x="200" y="0" width="90" height="90"/></g><polygon points="{points}"/></svg>'
    )
    case = case_of(tmp_path, f'trace = "fin.svg"\n{AT}')
    assert measures(case) == pytest.approx(measures(case_of(tmp_path, STATIONS)), rel=0.01)
    assert 'on "OLD"' in found(case, "trace").why
