"""Fins on paper: areas, arms, volumes by hand; new fins keep the volume whatever the old one was drawn as."""

import json
import math
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

from foamworks.aircraft import fins
from foamworks.aircraft.solve import Aircraft, solve
from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.errors import DesignError

Small = Callable[..., Design]
ALONE: dict[str, str | None] = dict.fromkeys(("pod", "[motors]", "ballast", "airframe.battery", "airframe"))
STATIONS = "stations = [{x=680, z=40, chord=150}, {x=780, z=180, chord=70}]"
CORNERS = [(680, 40), (780, 180), (850, 180), (830, 40)]


def trapezoid_volume(each: fins.FinAsBuilt, root_x: float, count: int, cant: float = 0.0) -> float:
    """Volume coefficient by the textbook's closed forms for a trapezoid; the small wing is 180 000 mm2, 900 mm."""
    a, b, h = each.root_chord, each.tip_chord, each.height
    area = h * (a + b) / 2
    taper = b / a
    mac = 2 / 3 * a * (1 + taper + taper**2) / (1 + taper)
    up = h / 3 * (1 + 2 * taper) / (1 + taper)
    arm = root_x + up * math.tan(each.sweep) + mac / 4 - 0.300
    return count * area * arm * math.cos(cant) ** 2 / (0.180 * 0.900)


# the old fin by hand: area 140 x (150 + 70)/2 = 15 400 mm2; its closed-form arm to the wing's quarter chord at 300
OLD_AREA = 0.0154
OLD = trapezoid_volume(
    fins.FinAsBuilt(root_chord=150, tip_chord=70, height=140, sweep=math.degrees(math.atan2(100, 140))), 0.680, 1
)


def each_of(solved: Aircraft) -> fins.FinAsBuilt:
    assert solved.design.fins is not None
    assert solved.design.fins.each is not None
    return solved.design.fins.each


def test_the_old_fin_has_the_area_and_volume_of_its_trapezoid(small: Small) -> None:
    design = small()
    old, wing = fins.old_fin(design), fins.reference(design)
    assert old is not None
    assert wing is not None
    assert old.area == pytest.approx(OLD_AREA, rel=1e-12)
    assert old.volume_coefficient(wing) == pytest.approx(OLD, rel=1e-12)


def test_the_reference_wing_is_the_given_rectangle(small: Small) -> None:
    wing = fins.reference(small())
    assert wing is not None
    assert (wing.area, wing.span, wing.mac) == pytest.approx((0.18, 0.9, 0.2))
    assert wing.quarter_mac_x == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("change", "cant"),
    [
        ("", 0.0),
        ("cant = 20", math.radians(20)),
        ("cant = -10", math.radians(-10)),
        ('match = "volume"', 0.0),
    ],
)
def test_twin_fins_keep_the_volume_of_the_old_one(small: Small, change: str, cant: float) -> None:
    table = "root = { x = 682, y = 120, z = 32 }\nshape = { aspect_ratio = 1.5, taper = 0.6, sweep = 25 }\n" + change
    each = each_of(solve(small({**ALONE, "fins": table})))
    assert trapezoid_volume(each, 0.682, 2, cant) == pytest.approx(OLD, rel=1e-6)


def test_a_single_new_fin_keeps_the_volume(small: Small) -> None:
    table = "count = 1\nroot = { x = 690, y = 0, z = 35 }\nshape = { aspect_ratio = 1.2, taper = 0.5, sweep = 30 }"
    each = each_of(solve(small({**ALONE, "fins": table})))
    assert trapezoid_volume(each, 0.690, 1) == pytest.approx(OLD, rel=1e-6)


def test_an_old_pair_counts_twice(small: Small) -> None:
    pair = STATIONS + "\ncount = 2\ny = 60"
    each = each_of(solve(small({**ALONE, "airframe.fin": pair})))
    assert trapezoid_volume(each, 0.682, 2) == pytest.approx(2 * OLD, rel=1e-6)


def test_an_old_fin_of_two_panels_keeps_the_sum_of_both(small: Small) -> None:
    # lower panel 100 x (160 + 100)/2 = 13 000 mm2, upper 60 x (100 + 40)/2 = 4 200 mm2
    table = "stations = [{x=680, z=40, chord=160}, {x=740, z=140, chord=100}, {x=800, z=200, chord=40}]"
    design = small({**ALONE, "airframe.fin": table})
    old, wing = fins.old_fin(design), fins.reference(design)
    assert old is not None
    assert wing is not None
    assert old.area == pytest.approx(0.0172, rel=1e-12)
    each = each_of(solve(design))
    assert trapezoid_volume(each, 0.682, 2) == pytest.approx(old.volume_coefficient(wing), rel=1e-6)


def trace_of(folder: Path) -> Path:
    drawing = ezdxf.new("R2010")
    drawing.units = ezdxf.units.MM
    drawing.modelspace().add_lwpolyline(CORNERS, close=True)
    path = folder / "fin.dxf"
    drawing.saveas(path)
    return path


@pytest.mark.parametrize("given", ["outline", "trace"])
def test_the_same_fin_as_outline_or_trace_gives_the_same_twins(small_file: Callable[..., Path], given: str) -> None:
    shape = f"outline = {[list(p) for p in CORNERS]}" if given == "outline" else 'trace = "fin.dxf"'
    path = small_file({**ALONE, "airframe.fin": shape + "\nmass = 15"})
    trace_of(path.parent)
    each = each_of(solve(load(path)))
    same = each_of(solve(load(small_file(ALONE))))
    assert each.root_chord == pytest.approx(same.root_chord, rel=1e-3)
    assert each.height == pytest.approx(same.height, rel=1e-3)
    assert trapezoid_volume(each, 0.682, 2) == pytest.approx(OLD, rel=1e-6)


FREE = {**ALONE, "fins": "root = { x = 682, y = 120, z = 32 }\nshape = { aspect_ratio = 1.5 }"}


@pytest.mark.parametrize(
    ("foot", "chord"),
    [
        ("[680, 40], [830, 54]", 140),  # the foot rises aft: at z = 54 the leading edge has come to 690
        ("[710, 40], [730, 40], [830, 54]", 140),  # a short foot under the widest chord, as on a round back
    ],
)
def test_a_fin_cut_off_by_a_slanting_root_hands_its_own_taper_and_sweep_on(small: Small, foot: str, chord: int) -> None:
    old = f"outline = [{foot}, [850, 180], [780, 180], [690, 54]]\nmass = 15"
    each = each_of(solve(small({**FREE, "airframe.fin": old})))
    assert each.tip_chord / each.root_chord == pytest.approx(70 / chord)
    assert math.tan(each.sweep) == pytest.approx((780 - (830 - chord)) / (180 - 54))


def test_a_fin_that_stands_on_a_point_has_no_taper_to_hand_on(small: Small) -> None:
    old = "outline = [[700, 40], [830, 150], [780, 180]]\nmass = 15"
    with pytest.raises(DesignError, match=r"fins\.shape\.taper: is missing, and the fin .* stands on a point"):
        small({**FREE, "airframe.fin": old})
    taper = FREE["fins"].replace("1.5", "1.5, taper = 0.6, sweep = 25")
    each = each_of(solve(small({**FREE, "fins": taper, "airframe.fin": old})))
    assert each.tip_chord / each.root_chord == pytest.approx(0.6)


@pytest.mark.parametrize(("ratio", "taper", "sweep"), [(1.5, 0.6, 25), (2.5, 0.3, 40), (0.8, 1.0, 0)])
def test_sizing_keeps_the_shape_asked_for_and_the_root(small: Small, ratio: float, taper: float, sweep: float) -> None:
    table = (
        f"root = {{ x = 682, y = 120, z = 32 }}\nshape = {{ aspect_ratio = {ratio}, taper = {taper}, sweep = {sweep} }}"
    )
    solved = solve(small({**ALONE, "fins": table}))
    each, new = each_of(solved), fins.new_fins(solved.design)
    assert new is not None
    assert each.height**2 / new.area_each == pytest.approx(ratio, rel=1e-9)
    assert each.tip_chord / each.root_chord == pytest.approx(taper, rel=1e-9)
    assert math.degrees(each.sweep) == pytest.approx(sweep, abs=1e-9)
    assert new.stations.x[0] == pytest.approx(0.682)


def test_what_the_shape_leaves_out_comes_from_the_old_fin(small: Small) -> None:
    each = each_of(solve(small({**ALONE, "fins": "root = { x = 682, y = 120, z = 32 }"})))
    assert each.tip_chord / each.root_chord == pytest.approx(70 / 150)
    assert each.height**2 / (each.height * (each.root_chord + each.tip_chord) / 2) == pytest.approx(140**2 / 15400)
    assert math.tan(each.sweep) == pytest.approx(100 / 140)


def test_fins_further_forward_must_be_larger(small: Small) -> None:
    def area(x: int) -> float:
        table = f"root = {{ x = {x}, y = 120, z = 32 }}\nshape = {{ aspect_ratio = 1.5, taper = 0.6, sweep = 25 }}"
        new = fins.new_fins(solve(small({**ALONE, "fins": table})).design)
        assert new is not None
        return new.area

    assert area(640) > area(682) > area(720)


def test_a_root_ahead_of_the_wing_still_finds_the_size_if_one_exists(small: Small) -> None:
    table = "root = { x = 150, y = 120, z = 32 }\nshape = { aspect_ratio = 1.5, taper = 0.6, sweep = 60 }"
    solved = solve(small({**ALONE, "fins": table}))
    each = solved.design.fins.each if solved.design.fins else None
    assert each is None or trapezoid_volume(each, 0.150, 2) == pytest.approx(OLD, rel=1e-6)


def test_the_json_carries_the_same_numbers(small_file: Callable[..., Path]) -> None:
    run = subprocess.run(
        [sys.executable, "-m", "foamworks", "check", str(small_file(ALONE)), "--json"], capture_output=True, check=False
    )
    data = json.loads(run.stdout)["fins"]
    assert data["original"]["area_mm2"] == pytest.approx(15400)
    assert data["twin"]["volume_coefficient"] == pytest.approx(data["original"]["volume_coefficient"], rel=1e-6)
    assert data["twin"]["area_mm2"] == pytest.approx(2 * data["twin"]["each"]["area_mm2"])
