"""Does the pod stand clear of fins, tailplane and wing: closed forms, a cloud of points, and cures typed in."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from foamworks.checks.base import Finding
from foamworks.design.load import load
from foamworks.parts import rings
from foamworks.parts.base import Parts
from foamworks.parts.mounted_pod import mounted_pod
from foamworks.study.pod.room import study_pod_room
from kept import check

# a level tube of radius 15.75 from x = 692 forward, its axis 60 mm high; the collar is 2.4 mm wider, with ears of 4 mm
# radius abeam, from x = 678 to the plate's end at 704.5; a thin body well below
BODY = """
[airframe.fuselage]
sections = [{ x = 0, width = 40, height = 40, z = 0 }, { x = 900, width = 40, height = 40, z = 0 }]
"""
POD = """
[pod]
tube = { inner = 29.5, outer = 31.5, length = 120 }
nozzle = { x = %g, z = %g }
downthrust = %g
retainer = "%s"
[[motors]]
name = "motor"
diameter = 29
length = 98
mass = 80
propellant = 38
plugged = true
impulse = 60
burn = 2
peak = 48
"""
WING = """
[airframe.wing]
thickness = 0.1
stations = [{ x = 300, y = 0, z = 0, chord = 200 }, { x = 300, y = 400, z = 0, chord = 200 }]
"""
TAIL = """
[airframe.tailplane]
stations = [{ x = 600, y = 0, z = %g, chord = %g }, { x = 600, y = 150, z = %g, chord = %g }]
"""
FINS = """
[fins]
root = { x = %g, y = %g, z = 20 }
each = { root_chord = 100, tip_chord = 100, height = 120 }
cant = %g
board = "board"
[[boards]]
name = "board"
thickness = 5
"""
OLD_FIN = "[airframe.fin]\nstations = [{ x = 690, z = 20, chord = 150 }, { x = 690, z = 160, chord = 90 }]\n"
ROD = 15.75
COLLAR = ROD + rings.COLLAR_WALL


def pod(x: float = 700, z: float = 60, tilt: float = 0, retainer: str = "hook") -> str:
    return POD % (x, z, tilt, retainer)


def tail(z: float, chord: float = 200) -> str:
    return TAIL % (z, chord, z, chord)


def gap(folder: Path, *text: str) -> float:
    path = folder / "design.toml"
    path.write_text("\n".join(text))
    found = study_pod_room(load(path), mounted_pod(load(path)), Parts())
    assert found is not None
    return 1000 * found.near[0].gap


def judged(folder: Path, *text: str) -> Finding | None:
    path = folder / "design.toml"
    path.write_text("\n".join(text))
    return next((f for f in check(path).findings if f.check == "pod-room"), None)


def test_over_a_flat_tailplane_the_gap_is_height_less_radius_and_half_thickness(tmp_path: Path) -> None:
    # 10 % of 200 mm at half the chord, x = 700, where the tube is when its nozzle stands 20 mm further aft
    assert gap(tmp_path, BODY, pod(x=720), WING, tail(30)) == pytest.approx(60 - ROD - 30 - 10, abs=2e-3)


def test_the_collar_comes_nearer_than_the_tube(tmp_path: Path) -> None:
    found = gap(tmp_path, BODY, pod(retainer="cap"), WING, tail(30))
    assert found == pytest.approx(60 - COLLAR - 30 - 10, abs=2e-3)


def test_a_thicker_plate_of_plywood_reaches_as_much_nearer_to_what_stands_behind(tmp_path: Path) -> None:
    """A fin 14.5 mm behind the nozzle meets the plate: 8.5 mm from its 1.5 mm of washer and 4.5 of plate, 10 from 3."""
    fin = FINS % (714.5, 3, 0)
    plain, ply = (gap(tmp_path, BODY, pod(retainer="cap"), fin, build) for build in ("", "[build]\nply_retainer = 4.5"))
    assert (plain, ply) == pytest.approx((10.0, 8.5), abs=2e-3)


@pytest.mark.parametrize("y", [40, 27])
def test_beside_fins_of_board_it_is_the_ears_that_count(tmp_path: Path, y: float) -> None:
    ears = rings.screw_offset(31.5) + rings.EAR_RADIUS
    assert gap(tmp_path, BODY, pod(retainer="cap"), FINS % (640, y, 0)) == pytest.approx(y - 2.5 - ears, abs=2e-3)


def test_two_pods_stand_as_far_from_fins_on_either_side(tmp_path: Path) -> None:
    twin = pod().replace("downthrust", "count = 2\ny = 30\ndownthrust")
    assert gap(tmp_path, BODY, twin, FINS % (640, 55, 0)) == pytest.approx(55 - 2.5 - 30 - ROD, abs=2e-3)


def test_what_of_a_tailplane_lies_inside_the_fuselage_is_not_met(tmp_path: Path) -> None:
    wide = BODY.replace("width = 40, height = 40", "width = 90, height = 84")
    # the tube 3 mm over the back, the tailplane inside under it: it comes out of the flank where the body falls away
    assert gap(tmp_path, wide, pod(z=42 + 3 + ROD), WING, tail(15)) > 20


def test_a_canted_fin_beside_a_tilted_pod_is_as_far_as_two_clouds_of_points(tmp_path: Path) -> None:
    found = gap(tmp_path, BODY, pod(z=70, tilt=9), FINS % (560, 42, 20))
    d, cant = math.radians(9), math.radians(20)
    s, turn = np.meshgrid(np.linspace(0, 128, 129), np.linspace(0, math.pi, 181))
    r = np.where(s < 8, 14.5, ROD)
    side, up = r * np.sin(turn), r * np.cos(turn)
    tube = np.stack([700 - s * math.cos(d) - up * math.sin(d), side, 70 - s * math.sin(d) + up * math.cos(d)], axis=-1)
    chord, height = np.meshgrid(np.linspace(0, 100, 51), np.linspace(0, 120, 61))
    y, z = 42 + height * math.sin(cant) - 2.5 * math.cos(cant), 20 + height * math.cos(cant) + 2.5 * math.sin(cant)
    fin = np.stack([560 + chord, y, z], axis=-1)
    distance, _ = cKDTree(fin.reshape(-1, 3)).query(tube.reshape(-1, 3))
    assert found == pytest.approx(distance.min(), abs=0.05)


# --- what is said of it ---


def test_a_pod_with_air_all_round_passes(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY, pod(), FINS % (640, 40, 0))
    assert found is not None
    assert (found.verdict, found.subject, found.limit) == ("pass", "pod", 4)
    assert "between the tube and nose and the fins" in found.why


def test_nothing_to_meet_is_not_judged(tmp_path: Path) -> None:
    assert judged(tmp_path, BODY, pod()) is None


@pytest.mark.parametrize("move", ["raise the nozzle by", "move the fins aft by", "move the fins out by"])
def test_each_move_away_from_the_fins_clears_them_and_less_does_not(tmp_path: Path, move: str) -> None:
    low = FINS.replace("height = 120", "height = 60")  # their tips at z = 80
    found = judged(tmp_path, BODY, pod(retainer="cap"), low % (640, 27, 0))
    assert found is not None
    assert found.verdict == "fail"
    step = re.search(rf"{re.escape(move)} (\d+) mm", found.cure)
    assert step is not None
    verdicts = []
    for by in (int(step[1]), int(step[1]) - 1):
        lift, aft, out = (by * (word in move) for word in ("raise", "fins aft", "fins out"))
        after = judged(tmp_path, BODY, pod(z=60 + lift, retainer="cap"), low % (640 + aft, 27 + out, 0))
        verdicts.append(None if after is None else after.verdict)
    assert verdicts == ["pass", "fail"]


def test_moving_the_nozzle_forward_clears_an_old_fin(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY, pod(), OLD_FIN)
    assert found is not None
    assert found.verdict == "fail"
    assert "the old fin meet" in found.why
    assert "take the old fin off" in found.cure
    step = re.search(r"move the nozzle forward by (\d+) mm", found.cure)
    assert step is not None
    cured = judged(tmp_path, BODY, pod(x=700 - int(step[1])), OLD_FIN)
    assert cured is not None
    assert cured.verdict == "pass"


def test_a_mount_that_stands_in_a_tailplane_on_the_back_fails(tmp_path: Path) -> None:
    # a tailplane 6 mm over the back, under the tube with air between them: only the mount goes through it
    found = judged(tmp_path, BODY, pod(z=70), tail(26, 60))
    assert found is not None
    assert found.verdict == "fail"
    assert "the mount stands in the tailplane" in found.why
    assert "cut the surface out round the mount" in found.cure


def twins(folder: Path, y: float, retainer: str = "cap") -> Finding:
    text = pod(z=80, retainer=retainer).replace("[[motors]]", f"count = 2\ny = {y}\n[[motors]]")
    found = judged(folder, BODY, text)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("y", "retainer", "gap"),
    [
        (20, "hook", 2 * (20 - ROD)),  # two tubes side by side
        (12, "hook", 2 * (12 - ROD)),  # and one in the other
        (30, "cap", 2 * (30 - rings.screw_offset(31.5) - rings.EAR_RADIUS)),  # the ears stand abeam
    ],
)
def test_two_pods_are_as_far_apart_as_their_inboard_sides(tmp_path: Path, y: float, retainer: str, gap: float) -> None:
    found = twins(tmp_path, y, retainer)
    assert (found.value, found.verdict) == (pytest.approx(gap, abs=1e-6), "pass" if gap >= 4 else "fail")


def test_two_pods_that_meet_are_moved_apart_by_what_is_typed(tmp_path: Path) -> None:
    edit = twins(tmp_path, 18).proposals[0].edits[0]
    y = float(edit.typed)
    assert (edit.key, twins(tmp_path, y).verdict, twins(tmp_path, y - 1).verdict) == ("pod.y", "pass", "fail")


@pytest.mark.parametrize("y", [44, 48])
def test_of_a_pod_beside_the_back_the_inner_ear_is_nearest(tmp_path: Path, y: float) -> None:
    """A straight round body of 20 mm radius, the pod's axis as high as its own: circles beside each other."""
    text = pod(z=0, retainer="cap").replace("[[motors]]", f"count = 2\ny = {y}\n[[motors]]")
    path = tmp_path / "beside.toml"
    path.write_text(f"{BODY}\n{text}")
    found = mounted_pod(load(path))
    assert found is not None
    assert found.clearance == pytest.approx(y - rings.screw_offset(31.5) - rings.EAR_RADIUS - 20, abs=0.02)
    assert found.clears == (y == 48)
