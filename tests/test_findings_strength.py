"""Every verdict on strength made to pass, warn, fail and stay open once; cures that carry a number are tried."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from foamworks.checks import strength
from foamworks.checks.base import Check, Finding
from foamworks.checks.case import Case
from foamworks.checks.flight import heat, ignition
from foamworks.checks.pod import strength as pod_strength
from foamworks.checks.stamp import STAMP, stamp
from foamworks.output.summary import as_dict
from foamworks.study.pod.glue import GlueLine
from foamworks.study.strength import UNKNOWN, Fast, FinLoad, Strength, WingLoad
from kept import check

DESIGN = """
[airframe]
mass = 800
cg = { x = 330, z = 10 }
[airframe.fuselage]
sections = [{ x = 0, width = 60, height = 60, z = 0 }, { x = 800, width = 60, height = 60, z = 0 }]
[airframe.wing]
stations = [{ x = 300, y = 0, z = 0, chord = 200 }, { x = 300, y = 400, z = 0, chord = 200 }]
spar_moment = 12
[airframe.tailplane]
stations = [{ x = 700, y = 0, z = 20, chord = 110 }, { x = 700, y = 150, z = 20, chord = 110 }]
elevator = { chord_fraction = 0.25, up = 20, down = 14 }
[fins]
each = { root_chord = 100, tip_chord = 60, height = 110 }
root = { x = 690, y = 120, z = 20 }
board = "board"
[[boards]]
name = "board"
thickness = 5
sheet = [500, 1000]
mass = 225
shear_modulus = 110
bending_modulus = 620
[pod]
tube = { inner = 29.5, outer = 31.5, length = 120 }
nozzle = { x = 680, z = 70 }
downthrust = 4
retainer = "cap"
[[motors]]
name = "motor"
diameter = 29
length = 90
mass = 60
propellant = 20
plugged = true
impulse = 30
burn = 2
peak = 25
"""

FINS_ALONE = """
[fins]
each = { root_chord = 100, tip_chord = 60, height = 110 }
root = { x = 690, y = 120, z = 20 }
board = "board"
[[boards]]
name = "board"
thickness = 5
"""
FIN = FinLoad(1.0, 10.0, 0.05, 0.5, "paper-faced", 0.0002, 5e6, 0.001, 2.0, 0.003, 0.1, 1.5)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    path = tmp_path_factory.mktemp("design") / "design.toml"
    path.write_text(DESIGN)
    return check(path)


def study_of(case: Case) -> Strength:
    assert case.study.strength is not None
    return case.study.strength


def judged(case: Case, **changes: Any) -> dict[tuple[str, str], Finding]:
    """Judge the case with parts of its strength replaced; the speed by hand, as nobody measured it."""
    fast = {"fastest": Fast(30.0, "by hand", True)}
    study = replace(case.study, strength=replace(study_of(case), **{**fast, **changes}))
    changed = replace(case, study=study)
    return {(f.check, f.subject): f for f in (*strength.findings(changed), *pod_strength.findings(changed))}


def from_text(folder: Path, text: str) -> dict[tuple[str, str], Finding]:
    path = folder / "design.toml"
    path.write_text(text)
    return {(finding.check, finding.subject): finding for finding in check(path).findings}


def flown(speed: float) -> str:
    return DESIGN.replace("[[motors]]", "[[unused]]").split("[[unused]]")[0] + (
        f'[[flights]]\nflight = "stock"\nspeed = {speed}\n'
    )


# --- flutter ---


@pytest.mark.parametrize(
    ("speed", "verdict"), [(1.6, "pass"), (1.51, "pass"), (1.49, "caution"), (1.21, "caution"), (1.19, "fail")]
)
def test_flutter_keeps_half_as_much_again_over_the_fastest(case: Case, speed: float, verdict: str) -> None:
    found = judged(case, flutter=30.0 * speed)["flutter", "fins"]
    assert found.verdict == verdict
    assert found.value == pytest.approx(3.6 * 30 * speed)


def test_flutter_says_for_what_its_formula_is_made(case: Case) -> None:
    why = judged(case)["flutter", "fins"].why
    assert "solid plate of one material" in why
    assert "twisted strip" in why


def test_a_pass_is_withheld_while_a_burns_peak_is_not_known(case: Case) -> None:
    short = Fast(30.0, "as flown", False)
    assert judged(case, flutter=60.0, fastest=short)["flutter", "fins"].verdict == "unknown"
    assert judged(case, flutter=30.0, fastest=short)["flutter", "fins"].verdict == "fail"


def test_without_a_speed_the_flutter_speed_is_still_told(case: Case) -> None:
    found = judged(case, flutter=60.0, fastest=UNKNOWN)["flutter", "fins"]
    assert found.verdict == "unknown"
    assert "216 km/h" in found.why  # 60 m/s


def test_an_unmeasured_shear_modulus_asks_for_the_twist(tmp_path: Path) -> None:
    found = from_text(tmp_path, flown(120).replace("shear_modulus = 110\n", ""))["flutter", "fins"]
    assert (found.verdict, "shear_modulus" in found.cure) == ("unknown", True)


def test_a_tip_longer_than_the_root_is_outside_the_formula(tmp_path: Path) -> None:
    found = from_text(tmp_path, flown(120).replace("tip_chord = 60", "tip_chord = 130"))["flutter", "fins"]
    assert (found.verdict, "taper of 1.30" in found.why) == ("unknown", True)


def test_the_board_that_the_flutter_cure_asks_for_is_enough(tmp_path: Path) -> None:
    weak = from_text(tmp_path, flown(240))["flutter", "fins"]
    assert weak.verdict in {"caution", "fail"}
    thick = re.search(r"a board of ([\d.]+) mm", weak.cure)
    stiff = re.search(r"is ([\d.]+) x as stiff", weak.cure)
    assert thick is not None
    assert stiff is not None
    thicker = flown(240).replace("thickness = 5\n", f"thickness = {float(thick.group(1)) + 0.05}\n")
    stiffer = flown(240).replace("shear_modulus = 110", f"shear_modulus = {110 * (float(stiff.group(1)) + 0.05)}")
    assert from_text(tmp_path, thicker)["flutter", "fins"].verdict == "pass"
    assert from_text(tmp_path, stiffer)["flutter", "fins"].verdict == "pass"


# --- fins ---


@pytest.mark.parametrize(("stress", "verdict"), [(7e6, "pass"), (8e6, "caution"), (14e6, "caution"), (16e6, "fail")])
def test_paper_faces_give_way_at_their_strength(case: Case, stress: float, verdict: str) -> None:
    assert judged(case, fin=replace(FIN, stress=stress, tip=0.001))["fin-strength", "fins"].verdict == verdict


def test_a_fin_that_bends_a_tenth_of_its_height_is_a_caution(case: Case) -> None:
    found = judged(case, fin=replace(FIN, tip=0.012))["fin-strength", "fins"]
    assert (found.verdict, "12.0 mm" in found.why) == ("caution", True)


def test_a_solid_board_has_no_strength_here(case: Case) -> None:
    found = judged(case, fin=replace(FIN, kind="solid", face=None))["fin-strength", "fins"]
    assert (found.verdict, found.limit) == ("unknown", None)
    assert "until it breaks" in found.cure


def test_bare_foam_breaks_far_earlier_than_paper(case: Case) -> None:
    found = judged(case, fin=replace(FIN, kind="foam", face=None))["fin-strength", "fins"]
    assert found.verdict == "fail"  # 5 MPa, which paper takes


def test_a_board_without_a_bending_modulus_says_so(tmp_path: Path) -> None:
    found = from_text(tmp_path, flown(120).replace("bending_modulus = 620\n", ""))["fin-strength", "fins"]
    assert "bending_modulus" in found.why


def test_without_a_speed_nobody_knows_the_load_on_the_fins(case: Case) -> None:
    found = judged(case, fin=None, fastest=UNKNOWN)
    assert {found[check, "fins"].verdict for check in ("fin-strength", "tab-glue")} == {"unknown"}


@pytest.mark.parametrize(("moment", "verdict"), [(0.9, "pass"), (1.1, "caution"), (1.9, "caution"), (2.1, "fail")])
def test_the_roots_glue_stands_twice_the_moment(case: Case, moment: float, verdict: str) -> None:
    fin = replace(FIN, moment=moment, glue=2.0)
    assert judged(case, fin=fin)["tab-glue", "fins"].verdict == verdict


def test_a_root_that_stands_is_asked_for_the_speed_alone_while_a_peak_is_not_known(case: Case) -> None:
    short = Fast(30.0, "as flown", False)
    found = judged(case, fin=replace(FIN, moment=0.01, glue=2.0), fastest=short)["tab-glue", "fins"]
    assert (found.verdict, "fillets" in found.cure) == ("unknown", False)


def test_the_fillet_of_the_cure_typed_in_brings_the_root_to_its_factor(tmp_path: Path) -> None:
    found = from_text(tmp_path, flown(240))["tab-glue", "fins"]
    wide = re.search(r"under \[build\] type fillet = (\d+)", found.cure)
    assert wide is not None
    verdicts = [
        from_text(tmp_path, f"{flown(240)}\n[build]\nfillet = {int(wide.group(1)) - less}\n")[
            "tab-glue", "fins"
        ].verdict
        for less in (0, 1)
    ]
    assert verdicts == ["pass", "caution"]


# --- the number shown beside the value ---


@pytest.mark.parametrize(
    ("check_name", "subject", "changes", "limit"),
    [
        ("flutter", "fins", {"flutter": 30.0 * 1.3}, 3.6 * 30 * 1.5),
        ("fin-strength", "fins", {"fin": replace(FIN, stress=8e6)}, 15 / 2),
        ("fin-strength", "fins", {"fin": replace(FIN, tip=0.012)}, 11),  # mm, of a fin 110 mm high
        ("tab-glue", "fins", {"fin": replace(FIN, moment=1.5, glue=2.0)}, 1),
        ("wing-load", "wing", {"wing": WingLoad(0.8, 20.0, 25.0)}, 25),
    ],
)
def test_a_caution_shows_the_limit_that_was_missed(
    case: Case, check_name: str, subject: str, changes: dict[str, Any], limit: float
) -> None:
    found = judged(case, **changes)[check_name, subject]
    assert (found.verdict, found.limit) == ("caution", pytest.approx(limit))


def test_a_mount_that_is_a_caution_shows_the_factor_that_is_wanted(case: Case) -> None:
    pod = study_of(case).pod
    assert pod is not None
    found = judged(case, pod=replace(pod, lines=(line("mount on the back", 3.9),)))["glue-line", "mount on the back"]
    assert (found.verdict, found.limit) == ("caution", 4)


# --- wing ---


@pytest.mark.parametrize(
    ("stands", "pulls", "verdict"),
    [
        (30.0, 25.0, "pass"),
        (20.0, 25.0, "caution"),
        (5.9, 25.0, "fail"),
        (5.9, 3.0, "fail"),
        (30.0, math.nan, "unknown"),
    ],
)
def test_the_wing_stands_what_the_elevator_pulls(case: Case, stands: float, pulls: float, verdict: str) -> None:
    assert judged(case, wing=WingLoad(0.8, stands, pulls))["wing-load", "wing"].verdict == verdict


def test_a_spar_that_was_not_measured_is_unknown_and_says_what_will_be_pulled(case: Case) -> None:
    found = judged(case, wing=WingLoad(0.8, math.nan, 25.0))["wing-load", "wing"]
    assert (found.verdict, found.value) == ("unknown", None)
    assert "pulls 25 times its weight" in found.why
    assert "spar_moment" in found.cure


def test_the_elevator_travel_of_the_cure_pulls_just_what_the_spar_stands(tmp_path: Path) -> None:
    strong = flown(330).replace("spar_moment = 12", "spar_moment = 20")
    weak = from_text(tmp_path, strong)["wing-load", "wing"]
    assert weak.verdict == "caution"
    travel = re.search(r"([\d.]+) deg of up elevator at most", weak.cure)
    assert travel is not None
    less = strong.replace("up = 20", f"up = {float(travel.group(1)) - 0.05}")
    more = strong.replace("up = 20", f"up = {float(travel.group(1)) + 0.06}")
    assert from_text(tmp_path, less)["wing-load", "wing"].verdict == "pass"
    assert from_text(tmp_path, more)["wing-load", "wing"].verdict == "caution"


def test_no_rate_is_asked_for_that_cannot_be_set(case: Case) -> None:
    found = judged(case, wing=WingLoad(0.8, 20.0, 25.0, math.radians(0.3)))["wing-load", "wing"]
    assert not any(edit for proposal in found.proposals for edit in proposal.edits)
    assert "too little to set a rate to" in found.cure


def test_a_spar_across_the_root_that_was_typed_in_clears_the_fins(tmp_path: Path) -> None:
    weak = from_text(tmp_path, flown(330))["fin-strength", "fins"]
    (edit,) = next(proposal.edits for proposal in weak.proposals if proposal.edits)
    text = f"{flown(330)}\n[build]\nroot_spar = {edit.typed}\n".replace(
        "bending_modulus = 620", "bending_modulus = 6200"
    )
    assert (weak.verdict, edit.key) == ("fail", "build.root_spar")
    assert from_text(tmp_path, text)["fin-strength", "fins"].verdict == "pass"


# --- pod ---


def line(name: str, factor: float) -> GlueLine:
    return GlueLine(name, 0.001, 30000.0, 10000.0, factor, 0.04)


@pytest.mark.parametrize(
    ("name", "factor", "verdict"),
    [
        ("thrust ring", 4.1, "pass"),
        ("thrust ring", 3.9, "fail"),
        ("mount on the tube", 3.9, "fail"),
        ("mount on the back", 3.9, "caution"),  # its factor counts the greatest stress, not the mean
        ("mount on the back", 1.9, "fail"),
    ],
)
def test_a_glue_line_stands_four_times_the_peak_thrust(case: Case, name: str, factor: float, verdict: str) -> None:
    pod = study_of(case).pod
    assert pod is not None
    found = judged(case, pod=replace(pod, lines=(line(name, factor),)))
    assert found["glue-line", name].verdict == verdict


def test_all_weak_glue_lines_are_named_else_the_weakest(case: Case) -> None:
    pod = study_of(case).pod
    assert pod is not None

    def named(*factors: float) -> Iterator[str]:
        names = ("thrust ring", "mount on the tube", "mount on the back")
        lines = tuple(line(name, factor) for name, factor in zip(names, factors, strict=True))
        return (subject for check, subject in judged(case, pod=replace(pod, lines=lines)) if check == "glue-line")

    assert list(named(3, 9, 1)) == ["thrust ring", "mount on the back"]
    assert list(named(30, 9, 10)) == ["mount on the tube"]


@pytest.mark.parametrize(("force", "verdict"), [(99.0, "pass"), (101.0, "fail")])
def test_the_ring_stops_an_unburnt_motor_in_a_hard_landing(case: Case, force: float, verdict: str) -> None:
    pod = study_of(case).pod
    assert pod is not None
    found = judged(case, pod=replace(pod, landing_force=force, ring_stands=200.0))["thrust-ring", "thrust ring"]
    assert found.verdict == verdict
    assert "100 times its weight" in found.why  # what was assumed is said


# --- as a whole ---


def test_a_pod_without_new_fins_says_that_nobody_knows_the_old_one(tmp_path: Path) -> None:
    stock, rest = DESIGN.split("[fins]")
    text = stock + "[pod]" + rest.split("[pod]")[1]
    found = from_text(tmp_path, text)
    assert {found[check, "fins"].verdict for check in ("flutter", "fin-strength")} == {"unknown"}


def test_no_check_speaks_twice_of_one_thing(case: Case) -> None:
    found = [*strength.findings(case), *pod_strength.findings(case)]
    assert len({(f.check, f.subject) for f in found}) == len(found)


@pytest.mark.parametrize(
    ("record", "files"),
    [
        (strength.TAB_GLUE, "fins"),
        (pod_strength.RING, "pod"),
        (heat.PLUME, "pod"),
        (heat.MATERIALS, "pod"),
        (ignition.FIRING, "pod"),
    ],
)
def test_a_failed_check_stamps_what_it_concerns(case: Case, record: Check, files: str) -> None:
    failed = replace(case, findings=(record.finding("fail", "x", why="it fails"),))
    assert stamp(failed, {files}) == STAMP
    assert stamp(failed, {"sheets"}) == ""


def test_a_check_that_names_no_files_stamps_the_aircraft_as_a_whole(case: Case) -> None:
    failed = replace(case, findings=(strength.WING.finding("fail", "wing", why="it fails"),))
    assert stamp(failed, {"balance"}) == STAMP
    assert stamp(failed, {"fins", "pod", "sheets"}) == ""


@pytest.mark.parametrize(
    ("text", "key", "check_name"),
    [
        (FINS_ALONE, "flutter_speed_km_h", "flutter"),
        (FINS_ALONE, "fin_root_stress_MPa", "fin-strength"),
        (FINS_ALONE, "wing_load_factor", "wing-load"),
        (FINS_ALONE.replace("each =", "# each ="), "fin_root_stress_MPa", "fin-strength"),
        (FINS_ALONE.replace('board = "board"', ""), "flutter_speed_km_h", "flutter"),
    ],
)
def test_a_number_that_is_null_is_explained(tmp_path: Path, text: str, key: str, check_name: str) -> None:
    path = tmp_path / "design.toml"
    path.write_text(text)
    case = check(path)
    assert as_dict(case)["strength"][key] is None
    assert [f.verdict for f in case.findings if f.check == check_name] == ["unknown"]
