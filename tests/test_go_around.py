"""The throttle opened at landing speed: the intake's pull by momentum, the fan's moment by statics, the verdicts."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import kept
from foamworks.checks.case import Case
from foamworks.checks.flight import go_around
from foamworks.study.go_around import GoAround

SKERRY = Path(__file__).parents[1] / "designs" / "skerry-boost.toml"
RHO = 101325 * (1 - 2.25577e-5 * 60) ** 5.25588 / (287.053 * (273.15 + 12))  # the field's: 60 m, 12 C


@pytest.fixture(scope="module")
def check(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Case]:
    def run(fan: str) -> Case:
        path = tmp_path_factory.mktemp("around") / "around.toml"
        path.write_text(SKERRY.read_text().replace("[airframe.fan]\n", f"[airframe.fan]\n{fan}\n"))
        return kept.check(path)

    return run


def mass_flow(speed: float) -> float:
    """Air through the fan [kg/s] at one shaft power: rho A Ve, with (Ve^2 - V^2)/2 of each kilogram as at rest."""
    area = math.pi / 4 * (0.064**2 - 0.026**2)
    at_rest = math.sqrt(11.5 / (RHO * area))
    power = RHO * area * at_rest**3 / 2
    exit_speed = brentq(lambda v: RHO * area * v * (v**2 - speed**2) / 2 - power, speed, 10 * at_rest)
    return RHO * area * exit_speed


def test_the_margin_is_less_by_the_momentum_that_the_intake_turns(check: Callable[[str], Case]) -> None:
    case = check("intake = { x = 200, z = 10 }")
    flying, balance = case.study.flying, case.study.balance
    assert flying is not None
    assert balance is not None
    lift, moment = (float(v) for v in flying.aero.modified.slopes_with(intake=0.0))
    for state in case.study.go_around:
        row = next(row for row in balance.rows if row.name == state.state)
        assert state.speed == row.landing_speed
        force = 2 * mass_flow(state.speed) / (RHO * state.speed * flying.wing.area)  # m V sin a over q S
        ahead = (flying.wing.quarter_mac_x - 0.200) / flying.wing.mac
        point = flying.wing.quarter_mac_x - (moment + force * ahead) / (lift + force) * flying.wing.mac
        assert state.margin == pytest.approx((point - row.cg_x) / flying.wing.mac, abs=0.001)
        assert row.static_margin is not None
        assert state.margin < row.static_margin


def test_the_elevator_holds_the_fan_beside_the_approach(check: Callable[[str], Case]) -> None:
    case = check("z = 20")
    flying, balance = case.study.flying, case.study.balance
    assert flying is not None
    assert balance is not None
    for state in case.study.go_around:
        row = next(row for row in balance.rows if row.name == state.state)
        flow = mass_flow(state.speed)
        area = math.pi / 4 * (0.064**2 - 0.026**2)
        thrust = flow * (flow / (RHO * area) - state.speed)
        assert state.moment == pytest.approx(-thrust * (0.020 - row.cg_z), rel=0.01)
        power = flying.aero.modified.elevator_power
        assert power is not None
        assert state.moment is not None
        held = -state.moment / (RHO / 2 * state.speed**2 * flying.wing.area * flying.wing.mac * power)
        assert state.elevator == pytest.approx(row.elevator + held, rel=1e-3)


@pytest.mark.parametrize(
    ("margin", "measured", "verdict"),
    [
        (0.03, True, "pass"),
        (0.01, True, "caution"),
        (-0.01, True, "fail"),
        (0.03, False, "pass"),
        (0.0, False, "unknown"),
    ],
)
def test_what_is_left_of_the_margin_is_judged(
    check: Callable[[str], Case], margin: float, measured: bool, verdict: str
) -> None:
    case = check("z = 20")
    state = GoAround("no pod", 12.0, margin, measured, math.nan, math.nan)
    found = go_around.findings(replace(case, study=replace(case.study, go_around=(state,))))
    assert [f.verdict for f in found] == [verdict]
    assert ("intake = { x, z } under [airframe.fan]" in found[0].cure) == (verdict == "unknown")


@pytest.mark.parametrize(
    ("elevator", "verdict"), [(-15.0, "pass"), (-17.0, "caution"), (-25.0, "fail"), (10.0, "caution"), (15.0, "fail")]
)
def test_the_elevator_keeps_a_third_of_its_travel(check: Callable[[str], Case], elevator: float, verdict: str) -> None:
    """24 deg up and 14 down."""
    case = check("z = 20")
    state = GoAround("no pod", 12.0, 0.1, False, -0.1, np.radians(elevator))
    found = go_around.findings(replace(case, study=replace(case.study, go_around=(state,))))
    assert [f.verdict for f in found if f.subject == "elevator"] == [verdict]


def test_without_the_fans_thrust_nothing_is_said(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(SKERRY.read_text().replace("thrust   = 11.5", "#"))
    assert not [f for f in kept.check(path).findings if f.check == "go-around"]
