"""The flight ladder: which rungs, what is aboard, what each prediction rests on, and flown against predicted."""

from collections.abc import Callable
from pathlib import Path

import pytest

import kept
from foamworks.changes.plain import sentence
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.ladder import State, rung_of, rungs
from foamworks.errors import DesignError
from foamworks.study.flight.ladder import Step, study_ladder
from foamworks.study.flight.rungs import on_stock_pack
from foamworks.units import said

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
D = (
    'plugged = true\nname = "D"\ndiameter = 24\nlength = 70\nmass = 44\npropellant = 21\n'
    "impulse = 17\nburn = 1.7\npeak = 29"
)
E_THEN_D = D.replace('"D"', '"E"').replace("impulse = 17", "impulse = 28") + f"\n[[motors]]\n{D}"
CAMERA = "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}"
NOSE_CAMERA = "body = {length=50, width=20, height=30}\nmass = 150\nat = {x=60, y=0, z=-10}\nfairing = false"
STOCK = 'name = "stock"\nspeed = 100'
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    return lambda tables=None: kept.check(small_file({"airframe.fan": FAN, "camera": CAMERA} | (tables or {})))


def climb(case: Case) -> dict[str, Step]:
    study = case.study
    steps = study_ladder(case.design, study.flying, study.balance, study.burn)
    return {step.rung.name: step for step in steps}


def test_the_rungs_change_one_thing_at_a_time_motors_from_the_smallest(check: Check) -> None:
    names = [rung.name for rung in rungs(check({"[motors]": E_THEN_D}).design)]
    assert names == ["stock", "twin fins", "battery", "D, dead mass", "D", "E, dead mass", "E", "camera"]


@pytest.mark.parametrize(("table", "gone"), [
    ({"fins": None}, "twin fins"),
    ({"airframe.battery": None}, "battery"),
    ({"camera": None}, "camera"),
    ({"[motors]": D.replace("true", "false")}, "D"),
])  # fmt: skip
def test_a_rung_that_changes_nothing_is_left_out(check: Check, table: dict[str, str | None], gone: str) -> None:
    assert gone not in [rung.name for rung in rungs(check(table).design)]


@pytest.mark.parametrize(("table", "mass"), [
    ({"[changes]": 'name = "tank"\nmass = 150\nx = 700\ny = 0\nz = 0', "ballast": None}, 0.850),
    ({"ballast": "x = 20\nz = 0\nmass = 60"}, 0.760),
])  # fmt: skip
def test_what_goes_with_no_other_flight_has_its_own(check: Check, table: dict[str, str | None], mass: float) -> None:
    bare = {"fins": None, "pod": None, "[motors]": None, "camera": None, "airframe.battery": None}
    steps = climb(check(bare | table))
    assert list(steps) == ["stock", "changed model"]
    assert steps["changed model"].mass == pytest.approx(mass)


def test_lead_beside_new_fins_alone_has_its_own_flight(check: Check) -> None:
    bare = {"pod": None, "[motors]": None, "camera": None, "airframe.battery": None}
    steps = climb(check(bare | {"ballast": "x = 20\nz = 0\nmass = 60"}))
    assert list(steps) == ["stock", "twin fins", "changed model"]
    assert steps["changed model"].mass - steps["twin fins"].mass == pytest.approx(0.060)
    assert list(climb(check(bare | {"ballast": None}))) == ["stock", "twin fins"]


def test_the_stock_rung_is_the_model_as_weighed(check: Check) -> None:
    step = climb(check())["stock"]
    assert step.mass == pytest.approx(0.700)
    assert (step.cg_x, step.cg_z) == pytest.approx((0.305, 0.005))


def test_each_rung_adds_its_own_mass(check: Check) -> None:
    case = check()
    found = climb(case)
    parts = {part.name: part for part in case.parts.all()}

    def mass(*names: str) -> float:
        return sum(parts[name].count * parts[name].mass_g for name in names) / 1000

    assert found["twin fins"].mass == pytest.approx(0.700 - 0.015 + mass("fin", "fin glue"))
    assert found["battery"].mass == pytest.approx(found["twin fins"].mass)  # the same pack in another place, no ballast
    assert found["D"].mass == pytest.approx(found["D, dead mass"].mass)
    assert found["camera"].mass == pytest.approx(found["D"].mass + mass("camera", "camera fairing"))
    assert mass("camera") == pytest.approx(0.030)
    assert case.study.balance is not None
    assert found["camera"].mass == pytest.approx(case.study.balance.row(State("ignition", "D")).mass)


def test_landing_and_margin_are_those_of_the_finished_model_on_the_last_rung(check: Check) -> None:
    case = check()
    step = climb(case)["camera"]
    assert case.study.balance is not None
    row = case.study.balance.row(State("ignition", "D"))
    assert step.static_margin == pytest.approx(row.static_margin)
    assert step.landing == pytest.approx(row.landing_speed)
    assert step.elevator == pytest.approx(row.elevator)


def test_the_last_rung_agrees_with_the_study_of_the_whole(check: Check) -> None:
    case = check()
    step, burn = climb(case)["camera"], case.study.burn
    assert burn is not None
    run = burn.boosts[0].run
    assert run is not None
    assert step.now.speed(lit=True) == pytest.approx(run.peak, rel=1e-6)
    assert step.now.level == pytest.approx(run.entry, rel=1e-6)


def test_a_camera_and_a_pod_cost_speed_and_a_motor_gives_it(check: Check) -> None:
    found = climb(check())
    level = {name: step.now.level or 0 for name, step in found.items()}
    assert level["D, dead mass"] < level["battery"]
    assert level["camera"] < level["D"]
    assert (found["D"].now.speed(lit=True) or 0) > level["D"] * 1.2


def test_bands_hold_their_predictions(check: Check) -> None:
    for step in climb(check()).values():
        band, level = step.now.level_band, step.now.level
        assert band is not None
        assert level is not None
        assert band[0] < level < band[1]


def test_a_flown_rung_replaces_the_prediction_and_says_by_how_much(check: Check) -> None:
    flights = f'{STOCK}\n[[flights]]\nname = "with pod"\nspeed = 93\nrung = "Pod with dead mass"'
    step = climb(check({"[flights]": flights}))["D, dead mass"]
    assert step.flight is not None
    assert step.flight.label == "with pod"
    assert step.flown == pytest.approx(93 / 3.6)
    assert step.speed == step.flown
    assert step.predicted is not None
    assert step.difference == pytest.approx(93 / 3.6 - step.predicted)


def test_what_lies_above_a_flown_rung_rests_on_it(check: Check) -> None:
    flights = f'{STOCK}\n[[flights]]\nname = "pod with dead mass"\nspeed = 90'
    slower, as_planned = climb(check({"[flights]": flights})), climb(check())
    both = 'flights "stock", "pod with dead mass"'
    assert slower["D, dead mass"].before.basis == 'flight "stock"'
    assert slower["D, dead mass"].predicted == pytest.approx(as_planned["D, dead mass"].predicted, rel=1e-9)
    assert {step.now.basis for step in slower.values()} == {both}
    assert (slower["D"].now.level or 0) < (as_planned["D"].now.level or 0)
    assert (slower["D"].predicted or 0) < (as_planned["D"].predicted or 0)


def test_the_stock_models_own_prediction_is_the_build_up(check: Check) -> None:
    step = climb(check())["stock"]
    assert step.before.basis == "build-up"
    assert step.flown == pytest.approx(100 / 3.6)
    assert step.predicted != pytest.approx(100 / 3.6, rel=1e-3)


def test_a_motors_flight_measures_the_peak(check: Check) -> None:
    step = climb(check({"[flights]": f'{STOCK}\n[[flights]]\nname = "D"\nspeed = 140'}))["D"]
    assert step.before.run is not None
    assert step.predicted == step.before.run.peak
    assert step.flown == pytest.approx(140 / 3.6)


def test_a_flight_belongs_to_the_rung_it_names(check: Check) -> None:
    flights = (
        'name = "Twin Fins"\nspeed = 99\n[[flights]]\nname = "x"\nspeed = 98\nrung = "stock"\n'
        '[[flights]]\nflight = "d"\nspeed = 140\n[[flights]]\nflight = "D"\nspeed = 141'
    )
    design = check({"[flights]": flights}).design
    found = [rung_of(design, flight) for flight in design.flights]
    assert [rung.name if rung else None for rung in found] == ["twin fins", "stock", "D", "D"]


@pytest.mark.parametrize("typed", ['flight = "4 cells"', 'name = "4 cells"', 'name = "stock"\nrung = "four cells"'])
def test_a_flight_that_the_ladder_does_not_have_is_refused_with_the_list(
    small_file: Callable[..., Path], typed: str
) -> None:
    path = small_file({"[flights]": f"{typed}\nspeed = 99"})
    with pytest.raises(DesignError, match=r'cells": .*"stock", "twin fins", "battery", "D, dead mass", "D"$'):
        kept.check(path)


def test_a_flight_without_a_name_is_asked_for_one(small_file: Callable[..., Path]) -> None:
    with pytest.raises(DesignError, match=r"flights\[1\]\.flight: is missing; .*check --flights"):
        kept.check(small_file({"[flights]": "speed = 99"}))


def test_a_motor_called_like_another_flight_is_refused_where_a_flight_names_it(small_file: Callable[..., Path]) -> None:
    tables = {"[motors]": D.replace('"D"', '"stock"'), "[flights]": 'flight = "stock"\nspeed = 99'}
    with pytest.raises(DesignError, match="is the name of 2 flights"):
        kept.check(small_file(tables))


NAMES = ("camera", "battery", "ballast", "fin", "stock", "stock model", "ignition pack", "pod tube")


@pytest.mark.parametrize("name", NAMES)
def test_a_motors_name_changes_no_number(check: Check, name: str) -> None:
    """What is aboard is known by what it is: renamed, the motor weighs, pulls and pitches the model as before."""
    plain, renamed = check({"[flights]": None}), check({"[flights]": None, "[motors]": D.replace('"D"', f'"{name}"')})
    assert [step.mass for step in climb_all(plain)] == [step.mass for step in climb_all(renamed)]
    responses = [case.study.burn.response for case in (plain, renamed) if case.study.burn is not None]
    before, after = [answer.motors[0] for answer in responses if answer is not None]
    assert after.hands_off == before.hands_off
    assert (after.lower, after.aft) == (before.lower, before.aft)


def climb_all(case: Case) -> tuple[Step, ...]:
    study = case.study
    return study_ladder(case.design, study.flying, study.balance, study.burn)


def test_the_flown_rungs_alone_are_those_of_the_whole_ladder(check: Check) -> None:
    case = check()
    alone = study_ladder(case.design, case.study.flying, case.study.balance, case.study.burn, only_flown=True)
    assert alone
    assert list(map(repr, alone)) == [repr(step) for step in climb_all(case) if step.is_flown]


def test_each_motor_has_its_dead_mass_before_it_is_lit(check: Check) -> None:
    heavy = D.replace('"D"', '"E"').replace("mass = 44", "mass = 90").replace("impulse = 17", "impulse = 28")
    found = climb(check({"[motors]": f"{D}\n[[motors]]\n{heavy}"}))
    assert found["E, dead mass"].mass == pytest.approx(found["E"].mass)
    assert found["E, dead mass"].mass - found["D, dead mass"].mass > 0.046 - 0.010  # less what adapts the smaller one
    assert found["E, dead mass"].now.run is None


def test_from_the_battery_on_the_new_pack_is_flown_unless_the_flight_says_otherwise(check: Check) -> None:
    flights = (
        'name = "stock"\nspeed = 99\n[[flights]]\nname = "battery"\nspeed = 98\n'
        '[[flights]]\nname = "z"\nspeed = 97\nrung = "battery"\nbattery = "the stock pack"\n'
        '[[flights]]\nname = "w"\nspeed = 97\nrung = "stock"\nbattery = "4S"'
    )
    design = check({"[flights]": flights}).design
    assert [on_stock_pack(design, flight) for flight in design.flights] == [True, False, True, False]


def test_a_climb_is_slower_than_a_level_run(check: Check) -> None:
    step = climb(check())["D"]
    assert step.now.climbing is not None
    assert step.now.run is not None
    assert step.now.climbing.peak < step.now.run.peak


# --- stable on the way up too ---


def on_the_way(case: Case) -> dict[str, Finding]:
    return {found.subject: found for found in case.findings if found.check == "flight-ladder"}


def test_a_flight_before_the_camera_whose_nose_is_too_light_asks_for_the_cameras_dead_mass(check: Check) -> None:
    """A camera of 150 g far ahead is what holds the ballasted model; without it the motor's flight falls short."""
    found = on_the_way(check({"camera": NOSE_CAMERA}))
    asked = [finding for finding in found.values() if finding.verdict != "pass"]
    assert asked
    assert all(finding.value is not None and finding.value < 5 for finding in asked)
    assert any("150 g of dead mass in the camera's place" in finding.cure for finding in asked)


def test_a_flight_that_its_card_orders_dead_mass_for_is_counted_with_it(check: Check) -> None:
    """By hand: the same mass in the same place as the camera's own flight; without a camera that much less."""
    case = check({"camera": NOSE_CAMERA})
    steps, finding = climb(case), on_the_way(case)["D"]
    step, whole = steps["D"], steps["camera"]
    assert step.stand_in == pytest.approx(0.150)
    assert whole.stand_in == 0
    assert (step.mass, step.cg_x) == pytest.approx((whole.mass, whole.cg_x))
    assert step.static_margin >= 0.05 - 1e-5
    assert finding.verdict == "caution"
    assert sentence(finding).startswith(f'on the flight "D" the margin is {said(step.static_margin, "%", 1)}')
    bare_x = (step.mass * step.cg_x - 0.150 * 0.060) / (step.mass - 0.150)
    wing, plane = case.study.wing, case.study.aero
    assert wing is not None
    assert plane is not None
    assert finding.value == pytest.approx(100 * (plane.modified.neutral_point_flown - bare_x) / wing.mac)


def test_a_flight_that_is_stable_without_the_camera_is_counted_without_it(check: Check) -> None:
    steps = climb(check())
    assert {step.stand_in for step in steps.values()} == {0.0}
    assert steps["camera"].mass > steps["D"].mass + 0.030 - 1e-9


def test_dead_mass_counts_where_the_flight_was_flown_too(check: Check) -> None:
    """What a boost taught is read with the mass that was aboard: the heavier model peaks lower."""
    flights = f'{STOCK}\n[[flights]]\nflight = "D"\nspeed = 130'
    case = check({"camera": NOSE_CAMERA, "[flights]": flights})
    assert case.study.burn is not None
    assert case.study.burn.learnt is not None
    assert case.study.burn.learnt.flights[1].run.mass == pytest.approx(climb(case)["D"].mass)


def test_where_every_flight_is_stable_one_line_says_so(check: Check) -> None:
    (found,) = on_the_way(check({"camera": None})).values()
    assert found.verdict == "pass"
    least = min(step.static_margin or 1 for name, step in climb(check({"camera": None})).items() if name != "stock")
    assert found.value == pytest.approx(100 * least)


def test_a_ballast_that_cures_a_rung_does(check: Check) -> None:
    """The lead asked for, put into the moments by hand, gives the margin wanted."""
    case = check({"camera": None, "limits": "least = 0.3", "ballast": "x = 20\nz = 0\nmass = 0"})
    finding = next(f for f in on_the_way(case).values() if f.verdict != "pass")
    step, lead = climb(case)[finding.subject], float(finding.cure.split(" g more lead")[0].split()[-1]) / 1000
    wing, plane = case.study.wing, case.study.aero
    assert wing is not None
    assert plane is not None
    moved = (step.mass * step.cg_x + lead * 0.020) / (step.mass + lead)
    assert (plane.modified.neutral_point_flown - moved) / wing.mac == pytest.approx(0.3, abs=0.003)  # to the gram
