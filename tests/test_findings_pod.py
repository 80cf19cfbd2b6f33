"""Every verdict on the pod made to pass, warn, fail and stay open once; cures that carry a number are tried."""

import re
from pathlib import Path

import pytest

from foamworks.checks.base import Finding
from kept import check

# a straight back 30 mm above the axis: what the pod stands on
BODY = """
[airframe.fuselage]
sections = [{ x = 0, width = 60, height = 60, z = 0 }, { x = 800, width = 60, height = 60, z = 0 }]
"""
TUBE = "[pod]\ntube = { inner = 29.5, outer = 31.5, length = 120 }\n"
ON = "nozzle = { x = 700, z = 60 }\ndownthrust = 0\n"
CAP, HOOK = 'retainer = "cap"\n', 'retainer = "hook"\n'
NOSE = '[pod.nose]\nprofile = "von_karman"\nlength = 60\n'
ALONE = '[pod]\ntube = { inner = 29.5, outer = 31.5 }\nnose = { profile = "von_karman", length = 60 }\n'
PRINTER = '[printer]\nbed = [200, 200, 200]\nfilament = { name = "PETG" }\n'
WING = """
[airframe.wing]
stations = [{ x = 300, y = 0, z = 0, chord = 200 }, { x = 300, y = 400, z = 0, chord = 200 }]
[airframe.tailplane]
stations = [{ x = 700, y = 0, z = 0, chord = 100 }, { x = 700, y = 150, z = 0, chord = 100 }]
"""


def motor(name: str = "motor", *, diameter: float = 29, length: float = 98) -> str:
    return (
        f'[[motors]]\nname = "{name}"\ndiameter = {diameter}\nlength = {length}\nmass = 80\npropellant = 38\n'
        "plugged = true\nimpulse = 60\nburn = 2\npeak = 48\n"
    )


def judged(folder: Path, *text: str) -> dict[tuple[str, str], Finding]:
    path = folder / "design.toml"
    path.write_text("\n".join(text))
    found = check(path).findings
    assert len({(f.check, f.subject) for f in found}) == len(found)  # one finding for a check and subject
    return {(finding.check, finding.subject): finding for finding in found}


# --- the motor in the tube ---


@pytest.mark.parametrize(
    ("diameter", "verdict", "limit"),
    # the trade cuts a ring 0.05 mm under its tube: a motor with less than that binds
    [
        (29, "pass", 29.45),
        (29.45, "pass", 29.45),
        (29.46, "caution", 29.45),
        (29.5, "caution", 29.45),
        (29.6, "fail", 29.5),
    ],
)
def test_a_motor_must_slide_into_its_tube(tmp_path: Path, diameter: float, verdict: str, limit: float) -> None:
    found = judged(tmp_path, TUBE, CAP, motor(diameter=diameter))["motor-fit", "motor"]
    assert (found.verdict, found.value) == (verdict, pytest.approx(diameter))
    assert found.limit == pytest.approx(limit)


@pytest.mark.parametrize("diameter", [29.48, 29.6])
def test_the_tube_of_the_motor_fits_cure_takes_the_motor(tmp_path: Path, diameter: float) -> None:
    cure = judged(tmp_path, TUBE, CAP, motor(diameter=diameter))["motor-fit", "motor"].cure
    inner = re.search(r"a tube of at least ([\d.]+) mm inside", cure)
    assert inner is not None
    wider = TUBE.replace("29.5", inner[1])
    assert judged(tmp_path, wider, CAP, motor(diameter=diameter))["motor-fit", "motor"].verdict == "pass"


def test_a_motor_without_a_pod_is_unknown(tmp_path: Path) -> None:
    found = judged(tmp_path, motor())["motor-fit", "motor"]
    assert (found.verdict, "[pod]" in found.cure) == ("unknown", True)


def test_a_tube_without_its_inner_diameter_is_unknown(tmp_path: Path) -> None:
    found = judged(tmp_path, "[pod]\ntube = { outer = 31.5, length = 120 }\n", CAP, motor())
    assert found["motor-fit", "motor"].verdict == "unknown"
    assert (found["front-stop", "pod"].verdict, found["front-stop", "pod"].cure) == (
        "unknown",
        "measure the tube, and type tube = { inner, outer, length } under [pod]",
    )


def test_a_motor_with_a_ring_ahead_of_it_passes(tmp_path: Path) -> None:
    found = judged(tmp_path, TUBE, CAP, motor())["front-stop", "motor"]
    # 98 of motor, 1.5 of washer, 0.4 of play and 6 of ring, less the 8 that stand proud; no nose, no shoulder
    assert (found.verdict, found.value, found.limit) == ("pass", 120, pytest.approx(98 + 1.5 + 0.4 + 6 - 8))


def test_a_shorter_motor_bears_on_a_stop_besides(tmp_path: Path) -> None:
    found = judged(tmp_path, TUBE, CAP, motor("long"), motor("short", length=70))
    assert "a washer, a stop and a glued thrust ring" in found["front-stop", "short"].why
    assert "a stop" not in found["front-stop", "long"].why


def test_the_tube_that_the_cure_asks_for_takes_the_motor(tmp_path: Path) -> None:
    short = TUBE.replace("length = 120", "length = 90")
    found = judged(tmp_path, short, CAP, NOSE, motor())["front-stop", "motor"]
    assert found.verdict == "fail"
    wanted = re.search(r"a tube of (\d+) mm", found.cure)
    assert wanted is not None
    cured, almost = (
        judged(tmp_path, TUBE.replace("length = 120", f"length = {length}"), CAP, NOSE, motor())["front-stop", "motor"]
        for length in (int(wanted.group(1)), int(wanted.group(1)) - 1)
    )
    assert (cured.verdict, almost.verdict) == ("pass", "fail")


def test_a_motor_too_short_to_be_gripped_is_not_told_to_take_a_longer_tube(tmp_path: Path) -> None:
    found = judged(tmp_path, TUBE, CAP, motor(length=20))["front-stop", "motor"]
    assert (found.verdict, found.value, found.limit) == ("fail", 20, 23)
    assert "a motor of at least 23 mm" in found.cure


@pytest.mark.parametrize(("retainer", "verdict"), [(CAP, "pass"), ('retainer = "hook"\n', "pass"), ("", "fail")])
def test_something_holds_the_motor_from_behind(tmp_path: Path, retainer: str, verdict: str) -> None:
    found = judged(tmp_path, TUBE, retainer, motor())["retainer", "pod"]
    assert found.verdict == verdict
    assert ('retainer = "cap"' in found.cure) == (verdict == "fail")


# --- over the back ---


@pytest.mark.parametrize(
    ("height", "gap", "verdict"),
    [(60, 60 - 30 - 15.75, "pass"), (49, 49 - 45.75, "fail"), (40, 40 - 45.75, "fail")],
)
def test_tube_and_back_keep_their_air(tmp_path: Path, height: float, gap: float, verdict: str) -> None:
    found = judged(tmp_path, BODY, TUBE, ON.replace("60", str(height)), HOOK, motor())["pod-fit", "pod"]
    assert (found.verdict, found.value, found.limit) == (verdict, pytest.approx(gap), 4)
    assert ("bite into" in found.why) == (gap < 0)


@pytest.mark.parametrize(("height", "gap", "verdict"), [(60, 60 - 30 - 18.15, "pass"), (50, 50 - 48.15, "fail")])
def test_the_retainer_keeps_its_air_from_the_back_too(tmp_path: Path, height: int, gap: float, verdict: str) -> None:
    """A collar of 2.4 mm round the tube of 31.5: on a level back it is nearer by as much, where 4 mm are asked."""
    found = judged(tmp_path, BODY, TUBE, ON.replace("60", str(height)), CAP, motor())["pod-fit", "pod"]
    assert (found.verdict, found.value) == (verdict, pytest.approx(gap))


def test_the_retainer_limits_how_far_a_pod_may_tilt(tmp_path: Path) -> None:
    """Over a level back the collar under the nozzle leaves 51 - 30 - 18.15 = 2.85 mm at any angle, the tube 5.25."""
    asked = ON.replace("z = 60", "z = 51")
    fine, low = (judged(tmp_path, BODY, TUBE, asked, kind, motor())["pod-fit", "pod"] for kind in (HOOK, CAP))
    assert (fine.verdict, low.verdict) == ("pass", "fail")
    assert "deg at most" not in low.cure  # no angle keeps the gap


def test_raising_the_nozzle_by_what_the_cure_says_makes_the_gap(tmp_path: Path) -> None:
    low = ON.replace("z = 60", "z = 42")
    cure = judged(tmp_path, BODY, TUBE, low, HOOK, motor())["pod-fit", "pod"].cure
    raised = re.search(r"raise the nozzle by (\d+) mm", cure)
    assert raised is not None
    assert int(raised.group(1)) == 8  # 42 + 8 - 45.75 = 4.25, the first whole millimetre over 4


def test_tilting_less_is_a_cure_where_the_tilt_is_the_fault(tmp_path: Path) -> None:
    tilted = ON.replace("downthrust = 0", "downthrust = 12")
    cure = judged(tmp_path, BODY, TUBE, tilted, CAP, motor())["pod-fit", "pod"].cure
    most = re.search(r"tilt it by ([\d.]+) deg at most", cure)
    assert most is not None
    cured = tilted.replace("= 12", f"= {most.group(1)}")
    assert judged(tmp_path, BODY, TUBE, cured, CAP, motor())["pod-fit", "pod"].verdict == "pass"


def test_no_cure_is_made_up_where_none_is_near(tmp_path: Path) -> None:
    deep = ON.replace("z = 60", "z = -20")
    cure = judged(tmp_path, BODY, TUBE, deep, CAP, motor())["pod-fit", "pod"].cure
    assert "even 60 mm higher" in cure


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ((BODY, TUBE, CAP), "nozzle = { x, z } under [pod]"),
        (("[airframe]\nmass = 700\n", TUBE, ON, CAP), "the fuselage's sections"),
        ((BODY, "[pod]\ntube = { inner = 29.5, outer = 31.5 }\n", ON, CAP), "the tube's inner diameter and length"),
        ((BODY, TUBE, ON, CAP, "count = 2\ny = 200\n"), "y and nozzle under [pod]"),
    ],
)
def test_a_gap_that_cannot_be_known_says_what_to_measure(tmp_path: Path, text: tuple[str, ...], asks: str) -> None:
    found = judged(tmp_path, *text, motor())["pod-fit", "pod"]
    assert (found.verdict, found.value) == ("unknown", None)
    assert asks in found.cure


# --- its angle ---

WEIGHED = "[airframe]\nmass = 800\ncg = { x = 330, z = %s }\n"
AUTO = 'nozzle = { x = 700, z = %s }\ndownthrust = "auto"\n'


def downthrust(folder: Path, *, height: float = 90, cg_z: float = 5, more: str = "", mass: str = WEIGHED) -> Finding:
    airframe = mass % cg_z if "%s" in mass else mass
    text = (airframe, BODY, WING, TUBE, AUTO % height, CAP, more, motor())
    return judged(folder, *text)["downthrust", "pod"]


def test_an_angle_with_the_least_moment_passes(tmp_path: Path) -> None:
    found = downthrust(tmp_path, cg_z=70)  # the line needs only a little tilt to pass there
    assert (found.verdict, found.cure) == ("pass", "")


def test_the_back_may_be_the_limit(tmp_path: Path) -> None:
    found = downthrust(tmp_path, height=52)
    assert found.verdict == "caution"
    assert found.value == pytest.approx(found.limit, abs=1e-6)
    assert re.search(r"raise the nozzle|the nozzle \d+ mm higher", found.cure)


@pytest.mark.parametrize("height", [52, 60])
def test_the_lift_of_the_cure_frees_the_angle(tmp_path: Path, height: int) -> None:
    free = "downthrust_limit = 40\n"
    found = downthrust(tmp_path, height=height, more=free)
    assert (found.verdict, "the back of the fuselage" in found.why) == ("caution", True)
    lift = re.search(r"raise the nozzle by (\d+) mm", found.cure)
    assert lift is not None
    cured = downthrust(tmp_path, height=height + int(lift[1]), more=free)
    assert cured.verdict == "pass"


def test_where_the_back_is_the_limit_the_cure_says_both_numbers_at_once(tmp_path: Path) -> None:
    """A higher nozzle wants a greater angle: to type the height alone only moves the caution to the builder's limit."""
    found = downthrust(tmp_path, height=60, more="downthrust_limit = 8\n")
    both = next(proposal for proposal in found.proposals if "raise" in proposal.words)
    typed = {edit.key: edit.typed for edit in both.edits}
    assert set(typed) == {"pod.nozzle.z", "pod.downthrust_limit"}
    limit = f"downthrust_limit = {typed['pod.downthrust_limit']}\n"
    assert downthrust(tmp_path, height=typed["pod.nozzle.z"], more=limit).verdict == "pass"


def test_the_limit_of_the_cure_frees_the_angle(tmp_path: Path) -> None:
    found = downthrust(tmp_path, height=110, more="downthrust_limit = 3\n")
    typed = {edit.key: edit.typed for edit in found.proposals[0].edits}
    limit = f"downthrust_limit = {typed['pod.downthrust_limit']}\n"
    cured = downthrust(tmp_path, height=typed.get("pod.nozzle.z", 110), more=limit)
    assert cured.verdict == "pass"


def test_the_builders_own_limit_is_named(tmp_path: Path) -> None:
    found = downthrust(tmp_path, more="downthrust_limit = 3\n")
    assert (found.verdict, found.value, found.limit) == ("caution", pytest.approx(3), pytest.approx(3))
    assert "downthrust_limit" in found.why


@pytest.mark.parametrize(
    ("mass", "asks", "not_asked"),
    [
        ("[airframe]\nmass = 800\ncg = { x = 330 }\n", "cg with its z under [airframe]", "mass under"),
        ("[airframe]\n", "mass under [airframe]", "plugged"),
    ],
)
def test_an_angle_that_cannot_be_found_says_just_what_is_missing(
    tmp_path: Path, mass: str, asks: str, not_asked: str
) -> None:
    found = downthrust(tmp_path, mass=mass)
    assert found.verdict == "unknown"
    assert asks in found.cure
    assert not_asked not in found.cure


def test_a_given_angle_is_not_judged_here(tmp_path: Path) -> None:
    assert ("downthrust", "pod") not in judged(tmp_path, BODY, TUBE, ON, CAP, motor())


# --- its mount and nose ---


def test_a_mount_passes_with_its_thinnest_wall(tmp_path: Path) -> None:
    found = judged(tmp_path, BODY, TUBE, ON, CAP, motor())["mount", "pod mount"]
    # under the tube's middle: 60 - 30 less 15.75
    assert (found.verdict, found.value) == ("pass", pytest.approx(14.25, abs=0.05))


@pytest.mark.parametrize(
    ("nozzle", "why"),
    [
        ("nozzle = { x = 30, z = 60 }\ndownthrust = 0\n", "less than 20 mm"),
        (ON.replace("z = 60", "z = 47"), "a mount needs 2 mm"),
    ],
)
def test_a_mount_that_cannot_stand_says_why_and_the_move_lets_it(tmp_path: Path, nozzle: str, why: str) -> None:
    found = judged(tmp_path, BODY, TUBE, nozzle, CAP, motor())["mount", "pod mount"]
    assert (found.verdict, why in found.why) == ("fail", True)
    cured = judged(tmp_path, BODY, TUBE, moved(nozzle, found.cure), CAP, motor())
    assert (cured["mount", "pod mount"].verdict, cured["pod-fit", "pod"].verdict) == ("pass", "pass")


def moved(nozzle: str, cure: str) -> str:
    """Type the first move of a cure into the line of the nozzle."""
    lift, aft = re.search(r"raise the nozzle by (\d+)", cure), re.search(r"nozzle (aft|forward) by (\d+)", cure)
    place = re.search(r"x = (\d+), z = (\d+)", nozzle)
    assert place is not None
    x, z = int(place[1]), int(place[2])
    if lift is not None:
        z += int(lift[1])
    else:
        assert aft is not None
        x += int(aft[2]) * (1 if aft[1] == "aft" else -1)
    return nozzle.replace(place[0], f"x = {x}, z = {z}")


def test_twin_pods_too_wide_for_the_back_are_brought_in(tmp_path: Path) -> None:
    twin = "count = 2\ny = %s\n"
    found = judged(tmp_path, BODY, TUBE, ON, CAP, twin % 26, motor())["mount", "pod mount"]
    assert found.verdict == "fail"
    y = re.search(r"under \[pod\] type y = ([\d.]+)", found.cure)
    if y is None:  # where no two pods find room side by side
        assert "one pod on the centre line" in found.cure
    wide = BODY.replace("width = 60", "width = 90")
    found = judged(tmp_path, wide, TUBE, ON, CAP, twin % 40, motor())["mount", "pod mount"]
    assert found.verdict == "fail"
    y = re.search(r"under \[pod\] type y = ([\d.]+)", found.cure)
    assert y is not None
    assert judged(tmp_path, wide, TUBE, ON, CAP, twin % y[1], motor())["mount", "pod mount"].verdict == "pass"


@pytest.mark.parametrize(("c", "verdict"), [(0.0, "pass"), (0.66, "pass"), (0.7, "caution")])
def test_a_haack_nose_is_widest_at_the_tube_up_to_two_thirds(tmp_path: Path, c: float, verdict: str) -> None:
    # checks.md, nose shapes: for C > 2/3 the profile overshoots R before the base
    text = ALONE.replace('"von_karman"', f'"haack", haack_c = {c}')
    found = judged(tmp_path, text, PRINTER)["nose-profile", "nose cone"]
    assert found.verdict == verdict


def test_a_nose_alone_is_asked_only_for_what_concerns_a_nose(tmp_path: Path) -> None:
    assert set(judged(tmp_path, ALONE, PRINTER)) == {("print-fit", "prints")}
