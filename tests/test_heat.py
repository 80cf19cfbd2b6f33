"""The plume against the model in three dimensions: angles by hand, every thing found, cures that cure, filaments."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

from foamworks.checks.base import Finding
from foamworks.checks.flight.heat import working_temperature
from foamworks.design.load import load
from foamworks.study.heat import Nearest, nearest, plume_angles, study_heat
from kept import check

# a straight back 20 mm above the axis from x = 0 to 600, and a motor of 30 mm whose plume reaches to x = 500 + 300
BODY = """
[airframe.fuselage]
sections = [{ x = 0, width = 40, height = 40, z = 0 }, { x = 600, width = 40, height = 40, z = 0 }]
"""
# flat, its trailing edge at x = 650, elevator of a quarter chord (hinge at 625)
TAIL = """
[airframe.tailplane]
stations = [{ x = 550, y = 0, z = 0, chord = 100 }, { x = 550, y = 150, z = 0, chord = 100 }]
elevator = { chord_fraction = 0.25, up = 30, down = 20 }
"""
FINS = """
[fins]
each = { root_chord = 100, tip_chord = 100, height = 100 }
root = { x = 550, y = %g, z = 0 }
board = "board"
[[boards]]
name = "board"
thickness = 5
"""
MOTOR = """
[[motors]]
name = "motor"
diameter = 30
length = 70
mass = 40
propellant = 20
plugged = true
impulse = 20
burn = 2
peak = 20
"""


def pod(z: float, *, x: float = 500, tilt: float = 0, more: str = "") -> str:
    tube = "tube = { inner = 30, outer = 32, length = 120 }"
    return f'[pod]\n{tube}\nnozzle = {{ x = {x}, z = {z} }}\ndownthrust = {tilt}\nretainer = "cap"\n{more}\n'


def heat_of(folder: Path, text: str) -> dict[str, Nearest]:
    path = folder / "design.toml"
    path.write_text(text)
    heat = study_heat(load(path))
    assert heat is not None
    return {row.thing: row for row in heat.nearest}


def judged(folder: Path, text: str) -> dict[tuple[str, str], Finding]:
    path = folder / "design.toml"
    path.write_text(text)
    return {(finding.check, finding.subject): finding for finding in check(path).findings}


def test_a_point_on_the_cone_is_at_the_cones_angle() -> None:
    points = np.array([[100, 0, 15 + 100 * math.tan(math.radians(15))], [100, -(15 + 100), 0]])
    angles, along = plume_angles(points=points, nozzle=(0, 0, 0), downthrust=0, radius=15, reach=300)
    assert np.degrees(angles) == pytest.approx([15, 45])
    assert along == pytest.approx([100, 100])


def test_the_plume_turns_with_the_motor() -> None:
    tilt = math.radians(12)  # the aft end is the high end: the plume rises aft
    level = np.array([[80.0, 10.0, -40.0], [150.0, 0.0, 30.0]])
    turn = np.array(
        [[math.cos(tilt), 0, -math.sin(tilt)], [0, 1, 0], [math.sin(tilt), 0, math.cos(tilt)]]
    )  # lifts the aft end
    same, _ = plume_angles(points=level, nozzle=(0, 0, 0), downthrust=0, radius=15, reach=300)
    turned, _ = plume_angles(points=level @ turn.T + [5, 0, 7], nozzle=(5, 0, 7), downthrust=tilt, radius=15, reach=300)
    assert turned == pytest.approx(same)


def test_ahead_of_the_nozzle_and_beyond_ten_diameters_nothing_counts() -> None:
    points = np.array([[-1.0, 0, 0], [301.0, 0, 0], [150.0, 0, 0]])
    angles, _ = plume_angles(points=points, nozzle=(0, 0, 0), downthrust=0, radius=15, reach=300)
    assert list(np.isfinite(angles)) == [False, False, True]
    assert angles[2] < 0  # in the jet itself


def test_a_straight_back_is_nearest_where_it_ends(tmp_path: Path) -> None:
    found = heat_of(tmp_path, BODY + pod(60) + MOTOR)["fuselage"]
    # 60 - 20 - 15 mm below the case's edge, 100 mm behind the nozzle
    assert math.degrees(found.angle) == pytest.approx(math.degrees(math.atan2(25, 100)))
    assert (found.x, found.y, found.z) == pytest.approx((0.6, 0, 0.02), abs=1e-9)
    assert found.behind == pytest.approx(0.1)


def test_tilting_the_pod_lifts_the_plume_off_the_back(tmp_path: Path) -> None:
    level = heat_of(tmp_path, BODY + pod(60) + MOTOR)["fuselage"]
    tilted = heat_of(tmp_path, BODY + pod(60, tilt=10) + MOTOR)["fuselage"]
    assert math.degrees(tilted.angle - level.angle) > 9  # 10 degrees, less what the case's width makes of it


def test_the_elevator_fully_up_comes_nearer_than_the_tailplane(tmp_path: Path) -> None:
    found = heat_of(tmp_path, TAIL + pod(60) + MOTOR)["tailplane"]
    # its trailing edge: 25 mm behind the hinge, turned up by 30 degrees
    x, z = 625 + 25 * math.cos(math.radians(30)), 25 * math.sin(math.radians(30))
    assert found.name == "elevator fully up"
    assert math.degrees(found.angle) == pytest.approx(math.degrees(math.atan2(60 - z - 15, x - 500)))


def test_the_elevator_fully_down_counts_under_a_pod_that_stands_below(tmp_path: Path) -> None:
    found = heat_of(tmp_path, TAIL + pod(-60) + MOTOR)["tailplane"]
    assert found.name == "elevator fully down"


def test_upright_fins_are_nearest_at_their_inner_face(tmp_path: Path) -> None:
    found = heat_of(tmp_path, FINS % 80 + "[airframe]\n" + pod(50) + MOTOR)["fins"]
    # 80 - 15 mm abeam at the nozzle's height, at the trailing edge x = 650; the grid has a point at that height
    assert math.degrees(found.angle) == pytest.approx(math.degrees(math.atan2(65, 150)), abs=0.01)


def test_of_two_pods_the_nearer_counts_on_both_sides(tmp_path: Path) -> None:
    twin = pod(50, more="count = 2\ny = 60")
    found = heat_of(tmp_path, FINS % 80 + "[airframe]\n" + twin + MOTOR)["fins"]
    assert math.degrees(found.angle) == pytest.approx(math.degrees(math.atan2(20 - 15, 150)), abs=0.01)


def test_the_old_fin_counts_while_it_stays_on(tmp_path: Path) -> None:
    fin = "[airframe.fin]\nstations = [{ x = 560, z = 20, chord = 90 }, { x = 580, z = 120, chord = 60 }]\n"
    assert heat_of(tmp_path, fin + pod(60) + MOTOR)["fins"].angle < 0
    with_new = fin + FINS % 80 + pod(60) + MOTOR
    assert heat_of(tmp_path, with_new)["fins"].angle > 0


@pytest.mark.parametrize(
    ("above", "verdict"),
    # back 100 mm behind at z = 20, edge at z - 15: tan 15 deg x 100 = 26.8, tan 20 deg x 100 = 36.4
    [(35 + 26, "fail"), (35 + 27.5, "caution"), (35 + 35.5, "caution"), (35 + 37, "pass")],
)
def test_structure_keeps_out_of_15_degrees_and_bare_foam_of_20(tmp_path: Path, above: float, verdict: str) -> None:
    found = judged(tmp_path, BODY + TAIL.replace("550", "5500") + pod(above) + MOTOR)
    assert found["plume", "fuselage"].verdict == verdict


@pytest.mark.parametrize("thing", ["fuselage", "tailplane", "fins"])
def test_each_thing_in_the_cone_fails_by_its_own_name(tmp_path: Path, thing: str) -> None:
    text = {"fuselage": BODY, "tailplane": TAIL, "fins": "[airframe]\n" + FINS % 30}[thing]
    assert judged(tmp_path, text + pod(40) + MOTOR)["plume", thing].verdict == "fail"


def test_raising_the_nozzle_by_what_the_cure_says_clears_the_foam(tmp_path: Path) -> None:
    cure = judged(tmp_path, BODY + TAIL + pod(50) + MOTOR)["plume", "tailplane"].cure
    raised = re.search(r"raise the nozzle by (\d+) mm", cure)
    assert raised is not None
    enough, short = (
        heat_of(tmp_path, TAIL + pod(50 + int(raised.group(1)) + more) + MOTOR)["tailplane"].angle for more in (0, -1)
    )
    assert math.degrees(short) < 20 <= math.degrees(enough)


def test_moving_the_nozzle_aft_by_what_the_cure_says_clears_the_foam(tmp_path: Path) -> None:
    cure = judged(tmp_path, BODY + TAIL + pod(60) + MOTOR)["plume", "fuselage"].cure
    moved = re.search(r"move the nozzle aft by (\d+) mm", cure)
    assert moved is not None
    angle = heat_of(tmp_path, BODY + pod(60, x=500 + int(moved.group(1))) + MOTOR)["fuselage"].angle
    assert math.degrees(angle) >= 20


def test_setting_the_fins_apart_by_what_the_cure_says_clears_them(tmp_path: Path) -> None:
    cure = judged(tmp_path, "[airframe]\n" + FINS % 40 + pod(50) + MOTOR)["plume", "fins"].cure
    apart = re.search(r"the fins (\d+) mm further out", cure)
    assert apart is not None
    angle = heat_of(tmp_path, "[airframe]\n" + FINS % (40 + int(apart.group(1))) + pod(50) + MOTOR)["fins"].angle
    assert math.degrees(angle) >= 20


def test_between_the_cones_covering_the_foam_is_a_cure(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY + pod(35 + 30) + MOTOR)["plume", "fuselage"]
    assert "aluminium tape" in found.cure
    deeper = judged(tmp_path, BODY + pod(35 + 20) + MOTOR)["plume", "fuselage"]
    assert "aluminium tape" not in deeper.cure


def test_what_was_not_measured_behind_the_nozzle_is_asked_for(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY + pod(200) + MOTOR)["plume", "tail"]
    assert (found.verdict, "the tailplane" in found.cure) == ("unknown", True)


def test_a_nozzle_behind_everything_passes(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY + TAIL + pod(60, x=700) + MOTOR)
    assert found["plume", "aircraft"].verdict == "pass"


def test_without_a_motor_there_is_no_plume(tmp_path: Path) -> None:
    assert not any(name == "plume" for name, _ in judged(tmp_path, BODY + TAIL + pod(60)))


def test_a_thing_that_is_not_given_has_no_nearest_point(tmp_path: Path) -> None:
    path = tmp_path / "design.toml"
    path.write_text(BODY + pod(60) + MOTOR)
    assert nearest(load(path), "wing") is None


PRINTER = '[printer]\nbed = [220, 220, 250]\nfilament = {{ name = "{}" }}\n'


@pytest.mark.parametrize(
    ("filament", "verdict"),
    # working temperatures: trade's table, PLA 50, PETG 65, ABS and ASA 85 C
    [
        ("PLA", "fail"),
        ("PLA+ matte", "fail"),
        ("PETG", "caution"),
        ("ASA", "caution"),
        ("abs", "caution"),
        ("moon dust", "unknown"),
    ],
)
def test_what_is_printed_near_a_motor_is_petg_at_least(tmp_path: Path, filament: str, verdict: str) -> None:
    found = judged(tmp_path, BODY + pod(60) + MOTOR + PRINTER.format(filament))
    assert found["heat-materials", "prints"].verdict == verdict


@pytest.mark.parametrize(
    ("filament", "hottest", "verdict"),
    [("PETG", 60, "pass"), ("PETG", 80, "fail"), ("ASA", 80, "pass"), ("PLA", 45, "pass"), ("PC", 150, "fail")],
)
def test_a_measured_case_decides_what_may_be_printed(
    tmp_path: Path, filament: str, hottest: float, verdict: str
) -> None:
    text = BODY + pod(60) + MOTOR + f"case_temperature = {hottest}\n" + PRINTER.format(filament)
    found = judged(tmp_path, text)["heat-materials", "prints"]
    assert (found.verdict, found.limit) == (verdict, pytest.approx(hottest))


def test_a_retainer_of_plywood_is_no_print_against_the_case(tmp_path: Path) -> None:
    text = BODY + pod(60) + MOTOR + PRINTER.format("PETG")
    all_printed = judged(tmp_path, text)["heat-materials", "prints"].why
    with_ply = judged(tmp_path, text + "[build]\nply_retainer = 3\n")["heat-materials", "prints"].why
    assert "retainer plate stand against" in all_printed
    assert "retainer" not in with_ply
    assert "thrust ring stands against" in with_ply


def test_a_filament_without_a_name_is_unknown(tmp_path: Path) -> None:
    assert judged(tmp_path, BODY + pod(60) + MOTOR)["heat-materials", "prints"].verdict == "unknown"


@pytest.mark.parametrize(
    ("name", "stands"), [("PA12-CF", 80), ("Nylon", 80), ("PC blend", 100), ("PETG-CF", 65), ("TPU", math.nan)]
)
def test_a_filament_is_known_by_the_word_in_its_name(name: str, stands: float) -> None:
    assert working_temperature(name) == pytest.approx(stands, nan_ok=True)
