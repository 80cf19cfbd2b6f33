"""Drag areas of whole designs: what a flight gives away, what parts add, and which flight it is that counts."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.aircraft.hands_off import air_of
from foamworks.checks.case import Case
from foamworks.parts.base import BackSection, Saddle
from foamworks.study.flight.drag import (
    Drag,
    camera_drag,
    final_outfit,
    mount_drag,
    study_drag,
)
from foamworks.study.flight.flown import airspeed

RHO = 1.2250  # kg/m3 at sea level and 15 C, as the International Standard Atmosphere prints it
NU = 1.4607e-5  # m2/s, as above
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 14.8\nesc = 50"
ANNULUS = math.pi / 4 * (0.064**2 - 0.026**2)
CAMERA = "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}"
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    def run(**tables: str | None) -> Case:
        named = {"airframe.fan": FAN} | {key.replace("__", "."): body for key, body in tables.items()}
        flights = named.pop("flights", None)
        if flights is not None:
            named["[flights]"] = flights
        return kept.check(small_file(named))

    return run


def drag_of(case: Case) -> Drag:
    burn = case.study.burn
    assert burn is not None
    assert burn.power is not None
    assert burn.power.drag is not None
    return burn.power.drag


def thrust_by_power(static: float, area: float, speed: float) -> float:
    """Thrust at constant shaft power, the exit speed as the root of Ve^3 - V^2 Ve - Ve0^3 = 0."""
    still = math.sqrt(static / (RHO * area))
    roots = np.roots([1, 0, -(speed**2), -(still**3)])
    exit_speed = max(root.real for root in roots if abs(root.imag) < 1e-9)
    return RHO * area * exit_speed * (exit_speed - speed)


def test_the_flown_drag_area_is_the_fans_thrust_over_the_dynamic_pressure(check: Check) -> None:
    speed = 100 / 3.6
    wanted = thrust_by_power(9, ANNULUS, speed) / (RHO / 2 * speed**2)
    found = drag_of(check())
    assert found.flown is not None
    assert found.flown.drag_area("constant power") == pytest.approx(wanted, rel=1e-4)
    assert found.whole == pytest.approx(wanted, rel=0.03)  # the build-up has a small say beside one flight


def test_constant_efflux_bounds_it_from_below(check: Check) -> None:
    speed, still = 100 / 3.6, math.sqrt(9 / (RHO * ANNULUS))
    run = drag_of(check()).flown
    assert run is not None
    wanted = RHO * ANNULUS * still * (still - speed) / (RHO / 2 * speed**2)
    assert run.drag_area("constant efflux") == pytest.approx(wanted, rel=1e-4)
    assert run.drag_area("constant efflux") < run.drag_area("constant power")


def test_a_measured_exit_area_counts_before_the_swept_annulus(check: Check) -> None:
    speed = 100 / 3.6
    found = drag_of(check(airframe__fan=FAN + "\nexit_area = 2000"))
    assert found.flown is not None
    wanted = thrust_by_power(9, 0.002, speed) / (RHO / 2 * speed**2)
    assert found.flown.drag_area("constant power") == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize(("wind", "still"), [("wind = 12", 100.0), ("wind = -12", 124.0), ("", 112.0)])
def test_a_tail_wind_is_taken_off_and_a_head_wind_put_on(check: Check, wind: str, still: float) -> None:
    run = drag_of(check(flights=f'name = "stock"\nspeed = 112\n{wind}')).flown
    assert run is not None
    assert 3.6 * run.speed == pytest.approx(still)


def test_one_way_with_the_wind_is_less_sure_than_out_and_back(check: Check) -> None:
    both = check().design.flights[0]
    one = check(flights='name = "stock"\nspeed = 112\nwind = 12').design.flights[0]
    errors = [error for _, error in map(airspeed, (both, one))]
    assert errors[1] > 1.5 * errors[0]


def test_what_is_added_and_taken_off_is_all_the_difference(check: Check) -> None:
    case = check(camera=CAMERA)
    found, power = drag_of(case), case.study.burn.power if case.study.burn else None
    assert power is not None
    added = sum(found.pieces[name] for name in ("new fins", "pod", "pod mount", "camera"))
    scale = found.fits["constant power"].pieces
    assert power.modified - found.whole == pytest.approx(scale * (added - found.pieces["old fin"]), rel=1e-9)
    assert set(power.parts) == {"new fins", "pod", "pod mount", "camera"}


@pytest.mark.parametrize(
    ("rung", "still_to_come"),
    [
        ("stock", {"new fins", "pod", "pod mount", "camera"}),
        ("twin fins", {"pod", "pod mount", "camera"}),
        ("pod with dead mass", {"camera"}),
    ],
)
def test_a_flight_counts_with_what_was_on_the_model(check: Check, rung: str, still_to_come: set[str]) -> None:
    case = check(camera=CAMERA, flights=f'name = "one"\nspeed = 100\nrung = "{rung}"')
    found = drag_of(case)
    power = case.study.burn.power if case.study.burn else None
    assert power is not None
    scale = found.fits["constant power"].pieces
    added = sum(found.pieces[name] for name in still_to_come)
    gone = found.pieces["old fin"] if rung == "stock" else 0.0
    assert power.modified == pytest.approx(found.whole + scale * (added - gone), rel=1e-9)
    assert drag_of(check()).whole == pytest.approx(found.whole, rel=0.02)  # the model's as flown, whatever was on it


def test_what_cannot_be_read_is_left_out_and_the_last_level_flight_gives_the_outfit(check: Check) -> None:
    flights = (
        'name = "D"\nspeed = 150\n[[flights]]\nname = "windy"\nrung = "stock"\nspeed = 40\nwind = 60\n'
        '[[flights]]\nname = "first good"\nrung = "stock"\nspeed = 95\n'
        '[[flights]]\nflight = "stock"\nname = "second"\nspeed = 110'
    )
    found = drag_of(check(flights=flights))
    assert found.flown is not None
    assert found.flown.name == "second"
    assert [run.name for run in found.runs] == ["D", "first good", "second"]


def test_a_lift_that_is_known_leaves_less_for_the_rest(check: Check) -> None:
    """Flown whole = bare + old fin + k L^2/q^2, k at least that of the elliptic wing."""
    found = drag_of(check())
    pressure = RHO / 2 * (100 / 3.6) ** 2
    lift = 0.7 * 9.80665 / pressure
    by_lift = found.whole - found.zero_lift(frozenset())
    assert by_lift == pytest.approx(found.induced * lift**2, rel=1e-4)
    assert found.induced >= 1 / (math.pi * 0.9**2)


def test_fins_rub_by_blasius_and_hoerners_form_factor(check: Check) -> None:
    """The old fin: 13.2 to 16.5e3 mm2, mean chord 110 mm, Re under 2.5e5: 1.328/sqrt(Re), 1 + 2 t/c + 60 (t/c)^4."""
    found = drag_of(check())
    speed, chord, area, thick = 100 / 3.6, 0.110, 0.110 * 0.140, 0.10
    wanted = 2 * area * 1.328 / math.sqrt(speed * chord / NU) * (1 + 2 * thick + 60 * thick**4)
    assert found.pieces["old fin"] == pytest.approx(wanted, rel=1e-3)


def test_a_bare_camera_drags_by_its_boxs_front(check: Check) -> None:
    """Cube face on 1.05 (Hoerner, White; from memory)."""
    case = check(camera=f"{CAMERA}\nfairing = false")
    assert drag_of(case).pieces["camera"] == pytest.approx(1.05 * 0.020 * 0.030)


def test_a_faired_camera_drags_by_the_front_of_the_fairing_as_printed(check: Check) -> None:
    """Faired 0.2 to 0.3 (common practice): 0.25, on a half circle over two legs as its printed box shows it."""
    case = check(camera=CAMERA)
    part = next(part for part in case.parts.prints if part.name == "camera fairing")
    _, width, height = part.box_mm
    front = (width * (height - width / 2) + math.pi / 8 * width**2) / 1e6
    assert drag_of(case).pieces["camera"] == pytest.approx(0.25 * front, rel=1e-9)
    assert front > 0.020 * 0.030


def test_without_a_camera_there_is_no_drag_of_one(check: Check) -> None:
    assert camera_drag(check(camera=None).design, faired=True) == 0


def test_a_mount_drags_as_a_blunt_block_of_the_gap_under_the_tube() -> None:
    """Gap 20 mm under a tube of 24 mm: 18 x 20 mm front, 40 mm long: an axial cylinder of l/d 2 has 0.85 (Matthews)."""
    flat = tuple(BackSection(x=x, width=80, height=80, z=-40) for x in (0.0, 40.0))
    block = Saddle(length=40, width=18, bore=12, axis_z=32, tilt=0.0, sections=flat)
    assert mount_drag(block) == pytest.approx(0.85 * 18e-3 * 20e-3, rel=1e-9)


def test_a_tube_that_lies_on_the_back_has_no_mount_in_the_stream() -> None:
    flat = tuple(BackSection(x=x, width=80, height=80, z=-40) for x in (0.0, 40.0))
    assert mount_drag(Saddle(length=40, width=18, bore=12, axis_z=10, tilt=0.0, sections=flat)) == 0


def test_without_a_flight_the_geometry_is_built_up_and_marked(check: Check) -> None:
    case = check(flights=None, **{"[flights]": None})
    design = case.design.model_copy(update={"flights": ()})
    assert case.study.flying is not None
    found = study_drag(design, case.parts, case.study.flying, case.study.balance)
    assert found.flown is None
    assert found.error[0] > 0.3
    # flown foam jets lie between 0.02 and 0.12 on the wing's area (ours): a build-up must too
    assert 0.02 < found.whole / 0.18 < 0.12


def test_a_build_up_grows_with_the_wing(check: Check) -> None:
    def bare(chord: int) -> float:
        wing = f"stations = [{{x=250, y=0, z=0, chord={chord}}}, {{x=250, y=450, z=20, chord={chord}}}]"
        case = check(airframe__wing=wing)
        design = case.design.model_copy(update={"flights": ()})
        assert case.study.flying is not None
        found = study_drag(design, case.parts, case.study.flying, case.study.balance)
        return found.fits["constant power"].bare

    assert 1.2 < bare(300) / bare(200) < 1.5  # the wing's part alone grows a little less than its area


def test_without_a_fan_no_flight_says_anything(check: Check) -> None:
    case = check(airframe__fan=None)
    burn = case.study.burn
    assert burn is not None
    assert burn.power is not None
    assert burn.power.drag is None or burn.power.drag.flown is None


def test_the_fields_thin_air_gives_less_thrust_from_the_same_exit_speed(check: Check) -> None:
    high = check(field="altitude = 2000\ntemperature = 2")
    assert air_of(high.design).density == pytest.approx(1.00649, rel=2e-3)  # ICAO: 2000 m
    assert drag_of(high).whole > drag_of(check()).whole  # same static thrust, less dynamic pressure


def test_the_finished_outfit_holds_what_the_design_asks_for(check: Check) -> None:
    assert final_outfit(check(camera=CAMERA).design) == {"twin fins", "pod", "camera"}
    assert final_outfit(check(pod=None, **{"[motors]": None}).design) == {"twin fins"}
