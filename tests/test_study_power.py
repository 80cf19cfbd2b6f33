"""Fan, battery and level speed of whole designs, against Ohm's law, the fan law and the balance of thrust and drag."""

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.checks.case import Case
from foamworks.design.ladder import NO_MOTOR
from foamworks.study.flight.drive import drive, exit_area
from foamworks.study.flight.power import Power, level_speed

RHO = 1.2250  # kg/m3 at sea level and 15 C, as the International Standard Atmosphere prints it
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
BATTERY = (
    'mass = 200\nx = "auto"\nx_stock = 200\nz = -10\nslide = [140, 240]\ncells = 3\ncapacity = 2000\nc_rating = 40'
)
BIGGER = (
    'mass = 260\nx = "auto"\nx_stock = 200\nz = -10\nslide = [140, 240]\ncells = 4\ncapacity = 2000\nc_rating = 40\n'
    "resistance = 0.005\n[airframe.battery.stock]\nmass = 200\nx_stock = 200\ncells = 3\ncapacity = 2000\n"
    "resistance = 0.005"
)
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    return lambda tables=None: kept.check(
        small_file({"airframe.fan": FAN, "airframe.battery": BATTERY} | (tables or {}))
    )


def power_of(case: Case) -> Power:
    burn = case.study.burn
    assert burn is not None
    assert burn.power is not None
    return burn.power


def test_the_model_as_flown_flies_as_fast_as_it_was_flown(check: Check) -> None:
    found = power_of(check({"fins": None, "pod": None, "[motors]": None, "ballast": None}))
    assert found.level_stock == pytest.approx(100 / 3.6, rel=0.01)  # the build-up has a small say beside one flight


def test_level_flight_is_where_thrust_meets_drag(check: Check) -> None:
    case = check()
    found = power_of(case)
    assert found.drag is not None
    mass = next(row.mass for row in case.study.balance.rows if row.name == "no motor") if case.study.balance else 0
    pressure = RHO / 2 * found.level**2
    area = math.pi / 4 * (0.064**2 - 0.026**2)
    static = found.drag.drive(found.drive).thrust
    assert static == pytest.approx(9, rel=0.05)  # as pulled on the scale, within what a scale errs
    still = math.sqrt(static / (RHO * area))
    roots = np.roots([1, 0, -(found.level**2), -(still**3)])
    out = max(root.real for root in roots if abs(root.imag) < 1e-9)
    thrust = RHO * area * out * (out - found.level)
    zero_lift = found.drag.zero_lift(frozenset({"twin fins", "pod"}))
    drag = zero_lift * pressure + found.drag.induced * (mass * 9.80665) ** 2 / pressure
    assert thrust == pytest.approx(drag, rel=1e-4)


def test_what_is_added_costs_speed_and_its_band_holds_the_speed(check: Check) -> None:
    found = power_of(check())
    assert found.band is not None
    assert found.level < found.level_stock
    assert found.band[0] < found.level < found.band[1]


def test_full_throttle_lasts_as_long_as_four_fifths_of_the_charge(check: Check) -> None:
    assert power_of(check()).flight_time == pytest.approx(0.8 * 2.0 * 3600 / 35)


def test_a_pack_gives_half_its_printed_rating_in_earnest(check: Check) -> None:
    assert power_of(check()).current_limit == pytest.approx(0.5 * 40 * 2.0)


def test_the_throttle_for_the_controller_brings_the_current_to_its_margin(check: Check) -> None:
    found = power_of(check({"airframe.fan": FAN.replace("esc = 50", "esc = 40")}))
    assert found.throttle is not None
    assert 35 * found.throttle**2 == pytest.approx(40 / 1.3)
    assert power_of(check()).throttle == 1.0


def test_the_same_pack_gives_the_measured_volts(check: Check) -> None:
    found = power_of(check())
    assert (found.drive.volts, found.drive.current, found.drive.thrust) == (11.1, 35, 9)
    assert math.isnan(found.new_pack.mass)


def test_one_more_cell_meets_the_fan_where_ohms_law_and_the_fan_law_agree(check: Check) -> None:
    """A cell rests at 11.1/3 + 35 x 5 mohm = 3.875 V; then 15.5 V = V + 20 mohm I with I = 35 (V/11.1)^2."""
    found = power_of(check({"airframe.battery": BIGGER})).drive
    assert found is not None
    assert found.current == pytest.approx(35 * (found.volts / 11.1) ** 2, rel=1e-9)
    assert found.volts + 4 * 0.005 * found.current == pytest.approx(4 * 3.875, rel=1e-9)
    assert found.thrust == pytest.approx(9 * (found.volts / 11.1) ** 2, rel=1e-9)
    assert found.assumed == ""


def test_volts_that_only_the_new_pack_can_give_were_measured_on_it(check: Check) -> None:
    """14.4 V is 4.8 V a cell on three and 3.6 on four."""
    case = check({"airframe.fan": FAN.replace("11.1", "14.4"), "airframe.battery": BIGGER})
    found = power_of(case)
    assert found.drive.volts == 14.4
    assert found.drive_stock.volts < 11.5


def test_the_controllers_current_is_told_with_its_pack(check: Check) -> None:
    for battery, told in ((BATTERY, r"35 A of fan$"), (BIGGER, r"\d\d A of fan on the new pack; 35 A on the old one$")):
        case = check({"airframe.battery": battery})
        (found,) = [finding for finding in case.findings if finding.check == "controller-margin"]
        assert re.search(told, found.why)
        assert f"for {power_of(case).drive.current:.0f} A of fan" in found.why


def test_a_pack_of_less_resistance_pushes_harder(check: Check) -> None:
    same = BIGGER.replace("cells = 4", "cells = 3").replace("resistance = 0.005\n[", "resistance = 0.002\n[")
    found = power_of(check({"airframe.battery": same})).drive
    assert found is not None
    assert 9 < found.thrust < 10


def test_what_was_not_measured_on_the_packs_is_said(check: Check) -> None:
    bare = BIGGER.replace("resistance = 0.005\n[", "[").replace("\nresistance = 0.005", "")
    found = power_of(check({"airframe.battery": bare})).drive
    assert found is not None
    assert "resistance" in found.assumed


def test_a_bigger_pack_is_paid_for_at_landing(check: Check) -> None:
    """60 g more: landing speed goes with the root of the mass."""
    case = check({"airframe.battery": BIGGER})
    found = power_of(case).new_pack
    assert found is not None
    assert found.gained is not None
    assert found.paid is not None
    assert case.study.balance is not None
    row = case.study.balance.row(NO_MOTOR)
    assert found.paid == pytest.approx(row.landing_speed * (1 - math.sqrt((row.mass - 0.060) / row.mass)), rel=1e-9)
    assert found.gained > 2


def test_the_fairing_saves_speed_against_the_box(check: Check) -> None:
    camera = "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}\nfairing = "
    faired, box = (power_of(check({"camera": camera + word})) for word in ("true", "false"))
    assert faired.fairing_saves == pytest.approx(faired.level - box.level, abs=1e-6)
    assert faired.fairing_saves > 0.1


def test_the_swept_annulus_stands_in_for_an_exit_area(check: Check) -> None:
    fan = check().design.airframe.fan if check().design.airframe else None
    assert fan is not None
    assert exit_area(fan) == pytest.approx(math.pi / 4 * (0.064**2 - 0.026**2))


def test_a_fan_that_cannot_hold_the_model_gives_no_speed(check: Check) -> None:
    design = check({"airframe.fan": FAN.replace("thrust = 9", "thrust = 0.3")}).design
    unit = drive(design, stock=False)
    assert math.isnan(level_speed(design, unit, drag_area=0.01, mass=0.8, induced=0.5))


def test_without_a_current_there_is_no_flight_time(check: Check) -> None:
    found = power_of(check({"airframe.fan": FAN.replace("current = 35\n", "")}))
    assert math.isnan(found.flight_time)
