"""What fins, wing and pod stand: each number by a second route, worked by hand beside it."""

import math
from dataclasses import fields, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from foamworks.aircraft.solve import solve
from foamworks.design.load import load
from foamworks.output.summary import as_dict
from foamworks.parts.density import Stuff
from foamworks.parts.make import make
from foamworks.study.flight.boost import BoostRun, MotorBoost
from foamworks.study.flight.burn import Burn
from foamworks.study.flight.power import Power
from foamworks.study.flight.response import Response
from foamworks.study.pod.glue import FOAM_SHEAR, FOAM_TENSION, LANDING, PAPER_SHEAR, PodGlue, foot_stress
from foamworks.study.strength import (
    Fast,
    Strength,
    board_build,
    fastest,
    glue_moment,
    root_stress,
    study_strength,
    tip_of,
)
from kept import check

FINS = """
[fins]
each = { root_chord = 120, tip_chord = 60, height = 100 }
root = { x = 700, y = 100, z = 30 }
board = "board"
mount = "glue"
"""
BOARD = """
[[boards]]
name = "board"
thickness = 5
sheet = [500, 1000]
mass = 225
"""
WING = """
[airframe]
mass = 800
[airframe.wing]
stations = [{ x = 300, y = 0, z = 0, chord = 200 }, { x = 300, y = 400, z = 0, chord = 200 }]
max_lift = 1.0
"""
FLIGHTS = '[[flights]]\nflight = "stock"\nspeed = 108\n'
MOTOR = """
[[motors]]
name = "{name}"
diameter = 29
length = {length}
mass = {mass}
propellant = 20
plugged = true
impulse = 20
burn = 2
peak = {peak}
"""
POD = """
[airframe.fuselage]
sections = [{ x = 0, width = 60, height = 60, z = 0 }, { x = 800, width = 60, height = 60, z = 0 }]
[pod]
tube = { inner = 29.5, outer = 31.5, length = 120 }
nozzle = { x = 700, z = 80 }
downthrust = 0
retainer = "cap"
"""
SEA_LEVEL = 1.225  # kg/m3, ISO 2533
FAST = Fast(30.0, "by hand", True)


def strength_of(folder: Path, text: str, fast: Fast = FAST) -> Strength:
    path = folder / "design.toml"
    path.write_text(text)
    aircraft = solve(load(path))
    found = study_strength(replace(aircraft, flying=None), make(aircraft.design), None, fast)
    assert found is not None
    return found


# --- fins ---


def test_the_side_load_is_q_area_and_coefficient(tmp_path: Path) -> None:
    fin = strength_of(tmp_path, FINS + BOARD).fin
    assert fin is not None
    # without a lattice the most that a thin plate gives: 1.2; area (120 + 60)/2 x 100 mm2
    assert fin.force == pytest.approx(0.5 * SEA_LEVEL * 30**2 * 0.009 * 1.2, rel=1e-4)
    assert fin.arm == pytest.approx(0.1 / 3 * (120 + 2 * 60) / (120 + 60))  # centroid of a trapezoid
    assert fin.moment == pytest.approx(fin.force * fin.arm)


def test_the_load_grows_with_the_square_of_the_speed(tmp_path: Path) -> None:
    slow, quick = (strength_of(tmp_path, FINS + BOARD, Fast(v, "", True)).fin for v in (20.0, 60.0))
    assert slow is not None
    assert quick is not None
    assert quick.stress == pytest.approx(9 * slow.stress)


def test_the_lattices_slope_gives_the_coefficient_at_20_degrees(tmp_path: Path) -> None:
    text = WING + "[airframe.tailplane]\nstations = [{ x = 700, y = 0, z = 30, chord = 100 }, "
    text += "{ x = 700, y = 150, z = 30, chord = 100 }]\n" + FINS + BOARD + FLIGHTS
    path = tmp_path / "design.toml"
    path.write_text(text)
    study = check(path).study
    assert study.strength is not None
    assert study.strength.fin is not None
    assert study.aero is not None
    slope = study.aero.modified.fin_slope
    assert slope is not None
    assert study.strength.fin.coefficient == pytest.approx(min(1.2, slope * 20 / 57.29578), rel=1e-6)


def test_what_is_heavier_than_foam_is_paper() -> None:
    # 0.225 kg on 0.5 m2: 450 g/m2, of which 5 mm of foam of 30 kg/m3 are 150; 300 in two faces of 800 kg/m3 take up
    # 2 x 0.19 mm, foam gone there counted
    kind, face = board_build(Stuff("craft", thickness=5.0, areal_density=450e-6, measured=True))
    assert kind == "paper-faced"
    assert face is not None
    assert 2 * face * 800 + (0.005 - 2 * face) * 30 == pytest.approx(0.450)


@pytest.mark.parametrize(
    ("thickness", "areal_density", "kind"),
    [(6.0, 200e-6, "foam"), (4.8, 300e-6, "paper-faced"), (5.0, 605e-6, "paper-faced"), (3.0, 2040e-6, "solid")],
)
def test_a_board_is_told_by_its_density(thickness: float, areal_density: float, kind: str) -> None:
    assert board_build(Stuff("", thickness, areal_density, measured=True))[0] == kind


def test_face_stress_carries_the_moment_as_a_couple() -> None:
    # two faces of 0.2 mm, 4.8 mm apart, 100 mm wide: force in each is stress x area
    stress = root_stress(moment=1.0, width=0.1, thickness=0.005, face=0.0002)
    assert stress * 0.1 * 0.0002 * 0.0048 == pytest.approx(1.0)


def test_a_load_at_the_tip_bends_as_the_printed_case_b5() -> None:
    # checks.md B5 (b): foam strip b 100, h 6 mm, L 200 mm, E 13.79 MPa, 0.05 N: tip 5.3716 mm, root 16.667 kPa
    stiffness = 13.79e6 * 0.1 * 0.006**3 / 12
    assert 1000 * tip_of(force=0.05, arm=0.2, height=0.2, stiffness=stiffness) == pytest.approx(5.3716, abs=1e-3)
    assert root_stress(moment=0.01, width=0.1, thickness=0.006, face=0.0) == pytest.approx(16667, rel=1e-4)


def test_beyond_its_load_the_fin_goes_on_straight() -> None:
    a, h, stiffness = 0.04, 0.1, 0.5
    bend, slope = 2 * a**3 / (3 * stiffness), 2 * a**2 / (2 * stiffness)
    assert tip_of(force=2, arm=a, height=h, stiffness=stiffness) == pytest.approx(bend + slope * (h - a))


def test_glue_at_the_root_is_tabs_and_fillets_together() -> None:
    fillets = FOAM_TENSION * 0.008 * 0.1 * 0.003  # pull over 100 x 3 mm, 8 mm apart
    tabs = FOAM_SHEAR * (2 * 0.020) * 0.008 * 0.005  # two tabs of 20 mm, 8 mm deep, faces 5 mm apart
    assert glue_moment(root=0.1, thickness=0.005, tabs=0.0, fillet=0.003) == pytest.approx(fillets)
    assert glue_moment(root=0.1, thickness=0.005, tabs=0.040, fillet=0.003) == pytest.approx(fillets + tabs)


def test_flutter_is_the_bare_formula_of_the_report(tmp_path: Path) -> None:
    board = BOARD + "shear_modulus = 100\n"
    # TN 4197 by hand: (V/a)^2 = G / (39.3 psi A^3/((t/c)^3 (A+2)) (lambda+1)/2), p = p0; A = h^2/area of one fin
    aspect, taper, ratio, psi = 0.1**2 / 0.009, 0.5, 5 / 120, 6894.757
    need = 39.3 * psi * aspect**3 / (ratio**3 * (aspect + 2)) * (taper + 1) / 2
    by_hand = 340.294 * math.sqrt(100e6 / need)
    assert strength_of(tmp_path, FINS + board).flutter == pytest.approx(by_hand, rel=1e-3)


def test_without_a_measured_shear_modulus_there_is_no_flutter_speed(tmp_path: Path) -> None:
    assert math.isnan(strength_of(tmp_path, FINS + BOARD).flutter)


# --- wing ---


def wing_json(folder: Path, text: str) -> float | None:
    path = folder / "design.toml"
    path.write_text(text)
    value: float | None = as_dict(check(path))["strength"]["wing_load_factor"]
    return value


def test_the_spar_stands_twice_its_moment_over_weight_and_arm(tmp_path: Path) -> None:
    text = WING.replace("max_lift = 1.0", "max_lift = 1.0\nspar_moment = 8")
    # half the weight at the middle of a half wing of 400 mm: n m g/2 x 0.2 = 8
    assert wing_json(tmp_path, text) == pytest.approx(2 * 8 / (0.8 * 9.80665 * 0.2))


def test_a_wing_that_begins_beside_the_body_carries_its_own_share(tmp_path: Path) -> None:
    text = WING.replace("y = 0,", "y = 80,").replace("max_lift = 1.0", "spar_moment = 8")
    # of the gross half wing of 400 mm the given part is 320, its middle 160 mm from the root
    assert wing_json(tmp_path, text) == pytest.approx(2 * 8 / (0.8 * 9.80665 * 0.8 * 0.16))


def test_without_an_elevator_the_wing_pulls_to_its_greatest_lift(tmp_path: Path) -> None:
    path = tmp_path / "design.toml"
    path.write_text(WING.replace("max_lift = 1.0", "max_lift = 1.0\nspar_moment = 8") + FLIGHTS)
    strength = check(path).study.strength
    assert strength is not None
    assert strength.wing is not None
    q = 0.5 * SEA_LEVEL * 30**2  # 108 km/h
    assert strength.wing.pulls == pytest.approx(q * 0.8 * 0.2 / (0.8 * 9.80665), rel=1e-4)


def test_a_short_elevator_pulls_less_than_the_greatest_lift(tmp_path: Path) -> None:
    tail = (
        "[airframe.tailplane]\nstations = [{ x = 800, y = 0, z = 0, chord = 100 }, { x = 800, y = 150, z = 0, "
        "chord = 100 }]\nelevator = { chord_fraction = 0.3, up = %g, down = 10 }\n"
    )
    pulls = []
    for up in (2, 4, 40):
        path = tmp_path / "design.toml"
        wing = WING.replace("mass = 800", "mass = 800\ncg = { x = 330, z = 0 }").replace(
            "max_", "spar_moment = 8\nmax_"
        )
        path.write_text(wing + tail % up + FLIGHTS)
        strength = check(path).study.strength
        assert strength is not None
        assert strength.wing is not None
        pulls.append(strength.wing.pulls)
    assert pulls[0] < pulls[1] < pulls[2]
    level = 1.0  # elevator 0 in the flight that set the trim: each degree adds the same on top of 1 g
    assert pulls[1] - level == pytest.approx(2 * (pulls[0] - level), rel=1e-6)


# --- pod ---


def pod_glue(folder: Path, *motors: str, pod: str = POD) -> PodGlue:
    found = strength_of(folder, pod + "".join(motors)).pod
    assert found is not None
    return found


def test_the_ring_shears_over_its_glued_surface(tmp_path: Path) -> None:
    found = pod_glue(tmp_path, MOTOR.format(name="m", length=90, mass=60, peak=40))
    ring = next(line for line in found.lines if line.name == "thrust ring")
    assert ring.shear == pytest.approx(40 / (math.pi * 0.0295 * 0.006))
    assert ring.factor == pytest.approx(PAPER_SHEAR / ring.shear)


def test_the_strongest_motor_pushes_and_the_heaviest_lands(tmp_path: Path) -> None:
    motors = [
        MOTOR.format(name="strong", length=90, mass=60, peak=50),
        MOTOR.format(name="heavy", length=80, mass=90, peak=20),
    ]
    found = pod_glue(tmp_path, *motors)
    assert (found.motor, found.peak, found.heaviest) == ("strong", 50, "heavy")
    assert found.landing_force == pytest.approx(0.09 * LANDING * 9.80665)


def test_a_motor_that_the_pod_does_not_hold_is_not_counted(tmp_path: Path) -> None:
    motors = [
        MOTOR.format(name="fits", length=90, mass=60, peak=20),
        MOTOR.format(name="long", length=200, mass=90, peak=90),
    ]
    assert pod_glue(tmp_path, *motors).motor == "fits"


def test_the_foot_is_tipped_by_a_thrust_that_passes_over_it(tmp_path: Path) -> None:
    found = pod_glue(tmp_path, MOTOR.format(name="m", length=90, mass=60, peak=40))
    foot = next(line for line in found.lines if line.name == "mount on the back")
    length, width = 0.06, 0.75 * 0.0315  # half of the tube, three quarters of its diameter
    assert foot.area == pytest.approx(length * width)
    assert foot.shear == pytest.approx(40 / (length * width))
    # the axis at 80 mm, the back at 30: 2 N m over a joint of w l^2/6
    assert foot.pull == pytest.approx(40 * 0.05 / (width * length**2 / 6))


def test_a_tipped_pod_presses_its_foot_on() -> None:
    level, tipped = (
        foot_stress(force=40, downthrust=math.radians(d), above=0.02, width=0.024, length=0.06)[1] for d in (0, 20)
    )
    assert tipped < level


def test_a_twin_pods_mount_is_counted_once(tmp_path: Path) -> None:
    wide = POD.replace("width = 60", "width = 160")
    twin = wide.replace('retainer = "cap"', 'retainer = "cap"\ncount = 2\ny = 30')
    motor = MOTOR.format(name="m", length=90, mass=60, peak=40)
    one, two = (pod_glue(tmp_path, motor, pod=pod) for pod in (wide, twin))
    areas = [[line.area for line in found.lines] for found in (one, two)]
    assert areas[0] == pytest.approx(areas[1])


# --- how fast ---


def only(kind: type[Any], **known: Any) -> Any:
    """Give a data object of which only these fields matter."""
    return kind(**{**{field.name: None for field in fields(kind)}, **known})


def burn(*peaks: float | None, level: float | None = None) -> Burn:
    boosts = tuple(
        only(
            MotorBoost,
            motor=f"motor {n}",
            run=None if peak is None else only(BoostRun, path=SimpleNamespace(peak=peak)),
        )
        for n, peak in enumerate(peaks)
    )
    return Burn(None, None if level is None else only(Power, level=level), boosts, Response(), None, None, boosts)


@pytest.mark.parametrize(
    ("motors", "found", "flights", "speed", "whole"),
    [
        (2, burn(50, 60, level=40), FLIGHTS, 60, True),
        (2, burn(50, None, level=40), FLIGHTS, 50, False),  # the other may be faster
        (1, burn(None, level=40), FLIGHTS, 40, False),
        (0, burn(level=40), FLIGHTS, 40, True),
        (0, burn(), FLIGHTS, 30, True),
        (1, burn(None), FLIGHTS, 30, False),
        (0, burn(), FLIGHTS + '[[flights]]\nflight = "stock"\nspeed = 140\nwind = 10\n', 130 / 3.6, True),
        (0, burn(), "", math.nan, False),
    ],
)
def test_the_fastest_is_a_burns_peak_else_level_else_flown(
    tmp_path: Path, motors: int, found: Burn, flights: str, speed: float, whole: bool
) -> None:
    path = tmp_path / "design.toml"
    text = "".join(MOTOR.format(name=f"motor {n}", length=90, mass=60, peak=20) for n in range(motors))
    path.write_text(POD + text + flights)
    fast = fastest(load(path), found)
    assert fast.speed == pytest.approx(speed, nan_ok=True)
    assert fast.whole is whole


# --- what is asked for ---


def test_a_wing_alone_asks_for_no_strength(tmp_path: Path) -> None:
    path = tmp_path / "design.toml"
    path.write_text(WING)
    assert "strength" not in as_dict(check(path))
