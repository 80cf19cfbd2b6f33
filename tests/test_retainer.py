"""What pushes a motor aft, and what holds it there: statics by a second route, signs, and cures that cure."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.checks.base import Finding
from foamworks.parts import rings
from foamworks.physics import beam
from foamworks.study.pod.retainer import (
    PLATE,
    PLY_BENDING,
    TAIL_FIRST,
    WIRE_BENDING,
    Retainer,
    bend_stands,
    hook_links,
    plate_stands,
)
from kept import check

POD = """
[airframe.fuselage]
sections = [{{ x = 0, width = 60, height = 60, z = 0 }}, {{ x = 800, width = 60, height = 60, z = 0 }}]
[pod]
tube = {{ inner = 29.5, outer = 31.5, length = 130 }}
nozzle = {{ x = 700, z = 80 }}
downthrust = 0
{}
"""
MOTOR = """
[[motors]]
name = "{}"
diameter = {}
length = 98
mass = {}
propellant = 38
plugged = true
impulse = {}
burn = 2
peak = {}
"""


def judged(folder: Path, *motors: str, retainer: str = 'retainer = "cap"') -> tuple[Retainer | None, Finding | None]:
    path = folder / "design.toml"
    path.write_text(POD.format(retainer) + "".join(motors))
    case = check(path)
    found = next((f for f in case.findings if f.check == "retainer-strength"), None)
    return case.study.strength.retainer if case.study.strength else None, found


def motor(name: str = "m", *, diameter: float = 29, mass: float = 80, peak: float = 40) -> str:
    return MOTOR.format(name, diameter, mass, peak, peak)


def test_a_ring_on_two_points_is_in_balance_quarter_by_quarter() -> None:
    """Sum the moments of small pieces of a quarter ring about both axes of its plane."""
    force, radius = 3.0, 0.02
    turn = (np.arange(200_000) + 0.5) * math.pi / 2 / 200_000  # from the middle to the point that holds it
    piece = force / 4 / len(turn)
    between, at = beam.ring_on_two_supports(force=force, radius=radius)
    assert at == pytest.approx(float(np.sum(piece * radius * np.cos(turn))))
    reaction = force / 4 * radius
    assert between == pytest.approx(reaction - float(np.sum(piece * radius * np.sin(turn))))


def test_the_greater_of_peak_thrust_and_a_tail_first_arrival_pushes_aft(tmp_path: Path) -> None:
    thrust, _ = judged(tmp_path, motor(peak=45))
    heavy, _ = judged(tmp_path, motor(mass=160, peak=45))
    assert thrust is not None
    assert heavy is not None
    assert thrust.force == pytest.approx(45, rel=1e-3)
    assert "chuff" in thrust.cause
    assert heavy.force == pytest.approx(TAIL_FIRST * 0.160 * 9.80665)
    assert "on the tail" in heavy.cause


def test_the_hooks_bend_stands_what_its_section_does() -> None:
    bend = hook_links(0.0315, 0.029, 0.098)[0]
    # 1.5 mm wire: section modulus pi d^3/32; the motor's edge lies 1.25 mm inside the tube's outside, 3 mm of reach
    arm = 0.75e-3 + 1.25e-3 + 1.5e-3
    assert bend.stands == pytest.approx(WIRE_BENDING * math.pi * 1.5e-3**3 / 32 / arm)


def test_a_hook_reaching_in_to_a_thin_motor_stands_less() -> None:
    wide, thin = (hook_links(0.0315, diameter, 0.098)[0].stands for diameter in (0.029, 0.018))
    assert thin < wide / 2


def test_a_plate_stands_with_the_square_of_its_thickness() -> None:
    once, twice = (plate_stands(outer=0.0315, opening=0.025, thickness=t) for t in (0.003, 0.006))
    assert twice == pytest.approx(4 * once)


def test_a_wide_opening_weakens_the_plate() -> None:
    assert plate_stands(outer=0.0315, opening=0.027, thickness=PLATE) < plate_stands(
        outer=0.0315, opening=0.020, thickness=PLATE
    )


def test_the_motor_that_uses_most_of_its_links_is_named(tmp_path: Path) -> None:
    hook = 'retainer = "hook"'
    found, _ = judged(tmp_path, motor("wide", peak=30), motor("thin", diameter=18, peak=29), retainer=hook)
    assert found is not None
    assert found.motor == "thin"  # nearly the same thrust on a far longer bend


@pytest.mark.parametrize(
    ("peak", "verdict"), [(20, "pass"), (70, "caution"), (150, "fail")]
)  # the plate gives way near 98 N
def test_the_plate_is_judged_by_its_factor(tmp_path: Path, peak: float, verdict: str) -> None:
    found, finding = judged(tmp_path, motor(mass=39, peak=peak))
    assert found is not None
    assert finding is not None
    assert found.links[0].name == "retainer plate"
    assert (finding.verdict, finding.value) == (verdict, pytest.approx(found.links[0].stands / peak, rel=1e-3))
    assert "the retainer plate gives way first" in finding.why


def test_the_plate_of_the_cure_has_the_factor_that_is_wanted(tmp_path: Path) -> None:
    _, finding = judged(tmp_path, motor(peak=120))
    assert finding is not None
    thick = re.search(r"the plate ([\d.]+) mm thick", finding.cure)
    assert thick is not None
    stands = [
        plate_stands(outer=0.0315, opening=0.029 - 2e-3 * rings.LIP, thickness=1e-3 * t, bends=PLY_BENDING)
        for t in (float(thick[1]), float(thick[1]) - 0.5)  # plywood comes in half millimetres
    ]
    assert stands[0] >= 2 * 120 > stands[1]


def test_a_retainer_of_plywood_that_was_typed_in_clears_its_finding(tmp_path: Path) -> None:
    _, finding = judged(tmp_path, motor(peak=120))
    assert finding is not None
    (edit,) = finding.proposals[0].edits
    _, after = judged(tmp_path, motor(peak=120), f"[build]\nply_retainer = {edit.typed}\n")
    assert after is not None
    assert (finding.verdict, edit.key, after.verdict) == ("fail", "build.ply_retainer", "pass")


def test_the_wire_of_the_cure_has_the_factor_that_is_wanted(tmp_path: Path) -> None:
    _, finding = judged(tmp_path, motor(peak=100), retainer='retainer = "hook"')
    assert finding is not None
    assert finding.verdict == "caution"
    wire = re.search(r"hook from ([\d.]+) mm spring steel wire", finding.cure)
    assert wire is not None
    d = 1e-3 * float(wire[1])
    assert bend_stands(d, 2.75e-3) >= 2 * 100 > bend_stands(d - 1e-4, 2.75e-3)  # 1.25 mm inside and half of 3 mm


@pytest.mark.parametrize("text", ["", 'retainer = "cap"'])
def test_nothing_is_said_without_a_retainer_or_without_a_motor(tmp_path: Path, text: str) -> None:
    motors = () if text else (motor(),)
    assert judged(tmp_path, *motors, retainer=text) == (None, None)


def test_a_retainer_of_plywood_is_cut_and_not_printed(tmp_path: Path) -> None:
    """Its plate: a disc with two ears less its holes, at 0.68 g/cm3 of birch plywood (from memory)."""
    demo = (Path(__file__).parents[1] / "designs" / "skerry-boost.toml").read_text()
    path = tmp_path / "ply.toml"
    path.write_text(demo.replace("[build]", "[build]\nply_retainer = 4", 1))
    parts = kept.check(path).parts
    assert not {"retainer ring", "retainer plate"} & {part.name for part in parts.prints}
    plate = next(part for part in parts.bought if part.name == "retainer plate")
    across, off = np.meshgrid(np.linspace(-20, 20, 1601), np.linspace(-26, 26, 2081))
    far, ear = np.hypot(across, off), np.hypot(across, np.abs(off) - (31.5 / 2 + 2.4 + 1.7))
    solid = ((far < 31.5 / 2 + 2.4) | (ear < 4)) & (far > (29 - 4) / 2) & (ear > 1.7)
    assert plate.mass_g == pytest.approx(4 * 0.025**2 * solid.sum() * 0.68e-3, rel=0.01)
    assert plate.shape is not None
    assert plate.places
    front = plate.places[0]  # the plate's; 25 mm of screw reach 21 mm ahead of it, when the heads bear on its 4 mm
    for screw in next(part for part in parts.bought if part.name == "retainer screw").places:
        assert math.hypot(screw.x - front.x, screw.z - front.z) == pytest.approx(25 - 4)
    assert "4 mm thick" in plate.note
