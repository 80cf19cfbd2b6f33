"""The window and the states of whole designs: the contract's sentences, and laws that hold for any aircraft."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foamworks.aircraft import balance
from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.solve import Aircraft, solve
from foamworks.design.additions import Ballast
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.parts.make import make
from foamworks.physics.planform import ReferenceWing

Small = Callable[..., Design]
QUICK = settings(max_examples=8, deadline=None)
# sea level, 15 C, as the International Standard Atmosphere prints it
DENSITY = 1.2250
FIXED_BATTERY = "mass = 200\nx = 200\nx_stock = 200\nz = -10"
BARE = {"airframe.battery": None, "ballast": None, "pod": None, "[motors]": None}


def study(solved: Aircraft) -> tuple[Balance, Aero, ReferenceWing]:
    assert solved.flying is not None
    found = balance.study_balance(solved.design, make(solved.design), solved.flying, apart=solved.apart)
    assert found is not None
    return found, solved.flying.aero, solved.flying.wing


def test_landing_speed_is_1_3_times_stall_at_the_greatest_lift(small: Small) -> None:
    found, _, _ = study(solve(small()))
    for row in found.rows:
        stall = math.sqrt(2 * row.mass * 9.80665 / (DENSITY * 0.18 * 1.0))
        assert row.landing_speed == pytest.approx(1.3 * stall, rel=1e-4)


def test_the_aft_limit_is_the_least_margin_ahead_of_the_neutral_point(small: Small) -> None:
    found, aero, wing = study(solve(small({"limits": "least = 0.08"})))
    assert found.window is not None
    assert found.window.aft == pytest.approx(aero.modified.neutral_point_flown - 0.08 * 0.2, abs=1e-12)
    assert wing.mac == pytest.approx(0.2)


def test_the_static_margin_is_the_distance_to_the_neutral_point_over_the_chord(small: Small) -> None:
    found, aero, _ = study(solve(small()))
    for row in found.rows:
        assert row.static_margin == pytest.approx((aero.modified.neutral_point_flown - row.cg_x) / 0.2, abs=1e-12)


def test_at_the_forward_limit_the_landing_takes_two_thirds_of_the_up_elevator(small: Small) -> None:
    found, _, _ = study(solve(small()))
    assert found.window is not None
    limit = found.window.forward
    assert limit is not None
    # the elevator to trim at one lift is straight in the CG: two states fix the line, the limit lies on it
    a, b = (next(r for r in found.rows if r.name == name) for name in ("no motor", "D: ignition"))
    there = a.elevator + (b.elevator - a.elevator) * (limit - a.cg_x) / (b.cg_x - a.cg_x)
    assert math.degrees(there) == pytest.approx(-2 / 3 * 20, abs=1e-9)


def test_the_stock_model_trims_at_its_flown_speed_with_the_elevator_it_was_flown_with(small: Small) -> None:
    # unchanged aircraft: no new fins, no pod; at its own CG and flown lift the elevator must be the flown one
    tables: dict[str, str | None] = {**BARE, "fins": None, "airframe.trim": "speed = 90\nelevator = -2"}
    found, aero, _ = study(solve(small(tables)))
    flown = found.trimming
    assert flown is not None
    lift = 2 * 0.700 * 9.80665 / (DENSITY * 25**2 * 0.18)
    margin = (aero.stock.neutral_point_flown - 0.305) / 0.2
    power = aero.stock.elevator_power
    assert power is not None
    assert (margin * lift - flown.zero_lift) / power == pytest.approx(math.radians(-2), rel=1e-4)


@pytest.mark.parametrize(
    ("tables", "speed", "origin"),
    [
        ({"airframe.trim": "speed = 90\nelevator = 1"}, 25.0, "airframe.trim"),
        ({}, 100 / 3.6, 'flight "stock", elevator 0'),
        ({"[flights]": 'name = "stock"\nspeed = 126\nwind = 18'}, 30.0, 'flight "stock", elevator 0'),
        ({"[flights]": None}, 1.8 * math.sqrt(2 * 0.7 * 9.80665 / (DENSITY * 0.18)), "1.8 x"),
    ],
)
def test_the_trim_speed_is_flown_or_the_first_flights_or_1_8_times_stall(
    small: Small, tables: dict[str, str | None], speed: float, origin: str
) -> None:
    found, _, _ = study(solve(small(tables)))
    assert found.trimming is not None
    assert found.trimming.speed == pytest.approx(speed, rel=1e-4)
    assert found.trimming.origin.startswith(origin)


def test_the_manoeuvre_point_lies_aft_of_the_neutral_point(small: Small) -> None:
    found, aero, _ = study(solve(small()))
    assert found.manoeuvre_point > aero.modified.neutral_point


def test_an_elevator_that_is_not_given_leaves_the_forward_limit_open(small: Small) -> None:
    table = "stations = [{x=720, y=0, z=30, chord=90}, {x=720, y=180, z=30, chord=90}]"
    found, _, _ = study(solve(small({"airframe.tailplane": table})))
    assert found.window is not None
    assert math.isinf(found.window.forward)
    assert all(math.isnan(row.elevator) for row in found.rows)


def test_without_a_cg_no_margin_is_given_but_every_mass_is(small: Small) -> None:
    found, _, _ = study(solve(small({"airframe": "mass = 700"})))
    assert all(math.isnan(row.static_margin) and math.isnan(row.cg_x) for row in found.rows)
    assert all(math.isfinite(row.mass) for row in found.rows)


def scaled(folder: Path, k: float) -> Design:
    """A bare aircraft k times as large: lengths by k, masses by k^3, speeds by the root of k (equal lift)."""
    text = f"""
[airframe]
mass = {700 * k**3!r}
cg = {{ x = {305 * k!r}, z = {5 * k!r} }}
[airframe.wing]
stations = [{{x={250 * k!r}, y=0, z=0, chord={200 * k!r}}}, {{x={270 * k!r}, y={450 * k!r}, z=0, chord={150 * k!r}}}]
[airframe.tailplane]
stations = [{{x={720 * k!r}, y=0, z={30 * k!r}, chord={90 * k!r}}},
 {{x={730 * k!r}, y={180 * k!r}, z={30 * k!r}, chord={80 * k!r}}}]
elevator = {{ chord_fraction = 0.3, up = 20, down = 14 }}
[airframe.fuselage]
sections = [{{x=0, width={10 * k!r}, height={10 * k!r}}}, {{x={300 * k!r}, width={80 * k!r}, height={90 * k!r}}},
 {{x={800 * k!r}, width={50 * k!r}, height={50 * k!r}}}]
[airframe.fin]
stations = [{{x={680 * k!r}, z={30 * k!r}, chord={150 * k!r}}}, {{x={780 * k!r}, z={180 * k!r}, chord={70 * k!r}}}]
[[flights]]
name = "stock"
speed = {100 * math.sqrt(k)!r}
"""
    path = folder / f"scaled-{k:.6f}.toml"
    path.write_text(text)
    return load(path)


@pytest.mark.parametrize("k", [0.37, 2.9])
def test_a_larger_copy_of_the_aircraft_has_the_same_coefficients(tmp_path: Path, k: float) -> None:
    (one, aero, _), (large, aero_k, _) = (study(solve(scaled(tmp_path, scale))) for scale in (1.0, k))
    a, b = one.row(NO_MOTOR), large.row(NO_MOTOR)
    assert b.static_margin == pytest.approx(a.static_margin, rel=1e-6)
    assert b.elevator == pytest.approx(a.elevator, rel=1e-6)
    assert aero_k.modified.yaw_stiffness(b.cg_x, 0) == pytest.approx(aero.modified.yaw_stiffness(a.cg_x, 0), rel=1e-6)
    assert aero_k.modified.neutral_point == pytest.approx(k * aero.modified.neutral_point, rel=1e-6)


@pytest.fixture(scope="module")
def loaded(small: Small) -> Callable[[float, float], Balance]:
    """Give the balance with some nose ballast [mm, g]; the aircraft is the same, so it is solved once."""
    solved = solve(small({"airframe.battery": FIXED_BATTERY, "ballast": "x = 20\nmass = 0"}))

    def with_ballast(x: float, grams: float) -> Balance:
        ballast = Ballast(x=x, mass=grams)
        design = solved.design.model_copy(update={"ballast": ballast})
        return study(replace(solved, design=design, apart=None))[0]

    return with_ballast


@QUICK
@given(grams=st.floats(1, 100), x=st.floats(20, 250))
def test_mass_ahead_of_the_cg_moves_every_state_forward(
    loaded: Callable[[float, float], Balance], grams: float, x: float
) -> None:
    for before, after in zip(loaded(x, 0.0).rows, loaded(x, grams).rows, strict=True):
        assert after.cg_x < before.cg_x
        assert (after.static_margin or 0) > (before.static_margin or 0)


@QUICK
@given(less=st.floats(0, 60), more=st.floats(1, 60))
def test_more_nose_ballast_never_makes_the_aftmost_state_worse(
    loaded: Callable[[float, float], Balance], less: float, more: float
) -> None:
    aft = [max(row.cg_x for row in loaded(20.0, grams).rows) for grams in (less, less + more)]
    assert aft[1] < aft[0]


def test_the_balance_needs_no_motor_curve(small: Small) -> None:
    # a motor that is not plugged is refused elsewhere; its mass flies all the same
    motor = 'name = "D"\ndiameter = 24\nlength = 70\nmass = 44\npropellant = 21\nimpulse = 17\nburn = 1.7\npeak = 29'
    found, _, _ = study(solve(small({"[motors]": motor})))
    assert len(found.rows) == 7
