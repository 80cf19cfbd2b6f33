"""Spiral and Dutch roll of whole designs, and inertia: against simple formulas and the directions everybody knows."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from foamworks.aircraft.aero import study_aero
from foamworks.aircraft.fins import reference
from foamworks.aircraft.masses import ALWAYS, Load
from foamworks.aircraft.solve import solve
from foamworks.checks.case import Case
from foamworks.checks.flight import lateral as verdicts
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.physics.balance import Inertia
from foamworks.physics.modes import Mode
from foamworks.physics.planform import ReferenceWing
from foamworks.study import inertia
from foamworks.study.lateral import Lateral, LateralRow, side_derivatives, sweep_dihedral
from kept import check

Small = Callable[..., Design]
DENSITY = 1.2250


def stock_inertia(design: Design, wing: ReferenceWing) -> Inertia | None:
    """The stock model's own, about its centre of gravity."""
    own = inertia.own_inertia(design.airframe, wing) if design.airframe else None
    return None if own is None else own.inertia


@pytest.fixture(scope="module")
def case(small_file: Callable[..., Path]) -> Case:
    return check(small_file())


def rows(case: Case) -> Lateral:
    assert case.study.lateral is not None
    return case.study.lateral


def row(case: Case, model: str, flight: str = "flown speed") -> LateralRow:
    return rows(case).row(model, flight)


def test_both_aircraft_are_looked_at_at_both_speeds(case: Case) -> None:
    found = [(r.model, r.flight) for r in rows(case).rows]
    assert found == [(m, f) for m in ("stock", "modified") for f in ("flown speed", "landing speed")]


@pytest.mark.parametrize("model", ["stock", "modified"])
def test_the_dutch_rolls_frequency_is_that_of_a_weathercock(case: Case, model: str) -> None:
    # Nelson, 2nd ed., section 5.4 (from memory): w^2 = Nb to first order, Nb = q S b Cnb / Izz
    found, study = row(case, model), case.study
    assert study.aero is not None
    assert study.wing is not None
    assert study.balance is not None
    plane = study.aero.stock if model == "stock" else study.aero.modified
    x = 0.305 if model == "stock" else study.balance.row(NO_MOTOR).cg_x
    if model == "stock":
        izz = stock_inertia(case.design, study.wing)
    else:
        izz = inertia.state_inertia(case.design, study.wing, study.balance.row(NO_MOTOR).loads)
    assert izz is not None
    pressure = 0.5 * DENSITY * found.speed**2
    weathercock = math.sqrt(pressure * 0.18 * 0.9 * plane.yaw_stiffness(x, 0.0) / izz.zz)
    assert found.dutch_roll.frequency == pytest.approx(weathercock, rel=0.2)


def test_the_dutch_roll_is_faster_at_speed(case: Case) -> None:
    fast, slow = (row(case, "modified", flight).dutch_roll for flight in ("flown speed", "landing speed"))
    assert fast.frequency > slow.frequency


def test_a_spiral_is_worse_when_slow(case: Case) -> None:
    fast, slow = (row(case, "modified", flight).spiral for flight in ("flown speed", "landing speed"))
    assert slow.growth > fast.growth


def test_more_dihedral_calms_the_spiral(case: Case, small_file: Callable[..., Path]) -> None:
    table = "stations = [{x=250, y=0, z=0, chord=200}, {x=250, y=450, z=60, chord=200}]\nmax_lift = 1.0"
    bent = row(check(small_file({"airframe.wing": table})), "modified", "landing speed").spiral
    flat = row(case, "modified", "landing speed").spiral
    assert bent.growth < flat.growth


def test_swept_lift_acts_like_dihedral_and_grows_with_lift() -> None:
    one = sweep_dihedral(lift=0.5, sweep=math.radians(30), mac_y=0.2, span=0.9)
    assert one < 0
    assert sweep_dihedral(lift=1.0, sweep=math.radians(30), mac_y=0.2, span=0.9) == pytest.approx(2 * one)
    assert sweep_dihedral(lift=0.5, sweep=0.0, mac_y=0.2, span=0.9) == 0


# Inertia --------------------------------------------------------------------------------------------------------------


def test_a_bifilar_swing_gives_the_yaw_inertia_of_its_formula(small: Small) -> None:
    design = small({"airframe.swing": "period = 1.6\nlength = 1200\ngap = 400"})
    wing = reference(design)
    assert wing is not None
    own = inertia.own_inertia(design.airframe, wing)
    assert own is not None
    assert own.measured
    # I = m g d^2 T^2/(16 pi^2 L)
    assert own.inertia.zz == pytest.approx(0.7 * 9.80665 * 0.4**2 * 1.6**2 / (16 * math.pi**2 * 1.2), rel=1e-9)


@pytest.mark.parametrize(
    "swing", [None, "period = 1.6\nlength = 1200\ngap = 400", "period = 0.5\nlength = 900\ngap = 100"]
)
def test_no_inertia_is_greater_than_the_two_others_together(small: Small, swing: str | None) -> None:
    design = small({"airframe.swing": swing})
    wing = reference(design)
    assert wing is not None
    found = stock_inertia(design, wing)
    assert found is not None
    assert found.zz <= found.xx + found.yy + 1e-12
    assert found.xx <= found.yy + found.zz + 1e-12


def test_what_is_added_counts_by_parallel_axes(small: Small) -> None:
    # two equal lumps, model and lead, 200 mm apart: each 100 mm from the common CG
    design = small({"airframe": "mass = 100\ncg = { x = 300, z = 0 }", "airframe.battery": None})
    wing = reference(design)
    assert wing is not None
    own = stock_inertia(design, wing)
    loads = (
        Load("stock model", 0.1, 0.3, 0.0, kind="stock", aboard=ALWAYS),
        Load("lead", 0.1, 0.1, 0.0, kind="item", aboard=ALWAYS),
    )
    found = inertia.state_inertia(design, wing, loads)
    assert own is not None
    assert found is not None
    assert found.yy - own.yy == pytest.approx(2 * 0.1 * 0.1**2, rel=1e-9)
    assert found.xx == pytest.approx(own.xx, rel=1e-9)


def test_a_mass_off_the_centre_line_resists_rolling(small: Small) -> None:
    design = small()
    wing = reference(design)
    assert wing is not None
    stock = Load("stock model", 0.7, 0.305, 0.005, kind="stock", aboard=ALWAYS)
    inner = inertia.state_inertia(
        design, wing, (stock, Load("camera", 0.03, 0.305, 0.005, kind="camera", aboard=ALWAYS))
    )
    outer = inertia.state_inertia(
        design, wing, (stock, Load("camera", 0.03, 0.305, 0.005, 0.150, kind="camera", aboard=ALWAYS))
    )
    assert inner is not None
    assert outer is not None
    assert outer.xx - inner.xx == pytest.approx(0.03 * 0.15**2, rel=1e-9)
    assert outer.yy == pytest.approx(inner.yy, rel=1e-9)


def test_an_unweighed_model_has_no_inertia(small: Small) -> None:
    design = solve(small({"airframe": None})).design
    wing = reference(design)
    assert wing is not None
    assert stock_inertia(design, wing) is None


@pytest.mark.parametrize(
    ("doubles", "damping", "verdict", "limits"),
    [(8.0, 0.05, "caution", [0.08, 12]), (3.0, 0.01, "fail", [0.02, 4])],  # levels 1, 2 and 3 of MIL-F-8785C
)
def test_the_limit_shown_is_the_one_that_was_missed(
    small_file: Callable[..., Path], doubles: float, damping: float, verdict: str, limits: list[float]
) -> None:
    case = check(small_file())
    spiral = Mode("spiral", (complex(math.log(2) / doubles),))
    wag = complex(-10 * damping, 10 * math.sqrt(1 - damping**2))
    one = replace(row(case, "modified"), spiral=spiral, dutch_roll=Mode("Dutch roll", (wag, wag.conjugate())))
    alone = replace(case, study=replace(case.study, lateral=replace(rows(case), rows=(one,))))
    assert [(f.verdict, f.limit) for f in verdicts.findings(alone)] == [(verdict, limit) for limit in limits]


def test_a_wing_lower_on_the_body_winds_up_sooner_and_rolls_less_out_of_the_wind() -> None:
    """Lowered by 35 mm the wing of the example was passed unchanged before its height on the body counted."""
    asked = load(Path(__file__).parents[1] / "designs" / "skerry-boost.toml")
    assert asked.airframe.fuselage is not None
    rows = tuple(row.model_copy(update={"z": row.z + 0.035}) for row in asked.airframe.fuselage.sections)
    body = asked.airframe.fuselage.model_copy(update={"sections": rows})
    lowered = asked.model_copy(update={"airframe": asked.airframe.model_copy(update={"fuselage": body})})
    rolls = []
    for design in (asked, lowered):
        wing = reference(design)
        assert wing is not None
        plane = study_aero(design, wing).stock
        rolls.append(side_derivatives(plane, wing, sweep=0.0, cg=(0.327, 0.006), lift=0.3).roll_beta)
    assert rolls[0] < rolls[1] < 0
