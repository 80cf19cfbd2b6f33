"""Each state's masses and places, summed by hand: who is aboard when, and where the motor sits."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from shapely import box

from foamworks.aircraft import masses
from foamworks.aircraft.solve import solve
from foamworks.design.ladder import rungs
from foamworks.design.model import Design
from foamworks.parts.base import ABOARD, Extrude, Part, Parts, Placement
from foamworks.parts.make import make
from foamworks.parts.solidmath import Filament, print_part

Small = Callable[..., Design]
FIXED = {"airframe.battery": None, "ballast": None}
TWO_MOTORS = (
    'plugged = true\nname = "D"\ndiameter = 24\nlength = 70\nmass = 44\npropellant = 21\nimpulse = 17\nburn = 1.7\n'
    'peak = 29\n[[motors]]\nplugged = true\nname = "A"\ndiameter = 18\nlength = 60\nmass = 20\npropellant = 5\n'
    "impulse = 8\nburn = 1\npeak = 12"
)


def states(design: Design) -> dict[str, masses.Laden]:
    solved = solve(design).design
    return {row.state.name: row for row in masses.states(solved, make(solved))}


def load_of(state: masses.Laden, name: str) -> masses.Load:
    return next(load for load in state.loads if load.name == name)


def test_the_states_are_named_and_ordered_as_promised(small: Small) -> None:
    names = list(states(small({"[motors]": TWO_MOTORS})))
    each = ("dead mass", "ignition", "burnout", "unburnt landing", "lost")
    assert names == ["no pod", "no motor", *(f"D: {s}" for s in each), *(f"A: {s}" for s in each)]


def test_a_design_without_a_pod_has_the_two_states_without_a_motor(small: Small) -> None:
    assert list(states(small({"pod": None, "[motors]": None}))) == ["no pod", "no motor"]


def test_a_model_that_was_not_weighed_has_no_states(small: Small) -> None:
    assert states(small({"airframe": None})) == {}


@pytest.mark.parametrize("name", ["no pod", "no motor", "D: ignition", "D: lost"])
def test_the_old_fin_is_off_in_every_state_at_its_centroid(small: Small, name: str) -> None:
    off = load_of(states(small(FIXED))[name], "old fin off")
    # trapezoid 150/70 by 140: centroid up h/3 (a + 2b)/(a + b); middle of the chord there, behind the leading edge
    up = 140 / 3 * (150 + 140) / 220
    middle = (150**2 + 150 * 70 + 70**2) / (3 * 220) + 100 * (150 + 2 * 70) / (3 * 220)
    assert off.mass == pytest.approx(-0.015)
    assert off.z == pytest.approx(0.001 * (40 + up), rel=1e-9)
    assert off.x == pytest.approx(0.001 * (680 + middle), rel=1e-9)


def test_a_fin_that_stays_is_not_taken_off(small: Small) -> None:
    found = states(small({"fins": None}))["no motor"]
    assert all(load.name != "old fin off" for load in found.loads)


@pytest.mark.parametrize(
    ("state", "grams"),
    [("dead mass", 44), ("ignition", 44), ("burnout", 23), ("unburnt landing", 44), ("lost", 0)],
)
def test_each_state_carries_its_share_of_the_motor(small: Small, state: str, grams: float) -> None:
    found = states(small())
    motor = [load for load in found[f"D: {state}"].loads if load.name == "D"]
    assert sum(load.mass for load in motor) == pytest.approx(grams / 1000)


@pytest.mark.parametrize("state", ["ignition", "burnout"])
@pytest.mark.parametrize("angle", [0, 6, 12])
def test_the_motor_sits_at_mid_length_along_the_tilted_axis(small: Small, angle: int, state: str) -> None:
    pod = (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 110 }\n"
        f'downthrust = {angle}\nretainer = "cap"'
    )
    motor = load_of(states(small({"pod": pod}))[f"D: {state}"], "D")
    # contract: nozzle - L/2 (cos d, sin d)
    assert motor.x == pytest.approx(0.690 - 0.035 * math.cos(math.radians(angle)), abs=1e-12)
    assert motor.z == pytest.approx(0.110 - 0.035 * math.sin(math.radians(angle)), abs=1e-12)


def test_a_part_that_flies_with_one_motor_is_in_that_motors_states_lost_included(small: Small) -> None:
    solved = solve(small({"[motors]": TWO_MOTORS})).design
    parts = make(solved)
    adapters = {part.name: part.motor for part in parts.all() if part.motor is not None}
    assert "A" in adapters.values()
    for state in masses.states(solved, parts):
        aboard = {load.name for load in state.loads} & set(adapters)
        assert aboard == {name for name, motor in adapters.items() if motor == state.state.motor}


def test_pod_parts_are_aboard_in_every_state_but_no_pod(small: Small) -> None:
    found = states(small())
    assert "nose cone" not in {load.name for load in found["no pod"].loads}
    for name, state in found.items():
        if name != "no pod":
            assert "nose cone" in {load.name for load in state.loads}


def test_camera_flies_always_and_the_ignition_pack_with_the_pod(small: Small) -> None:
    tables = {
        "camera": "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}",
        "ignition": "pack = {cells=2, mass=24, x=250, z=18}",
    }
    found = states(small(tables))
    for name, state in found.items():
        aboard = {load.name for load in state.loads}
        assert "camera" in aboard
        assert ("ignition pack" in aboard) == (name != "no pod")


def test_what_was_weighed_replaces_the_estimate(small: Small) -> None:
    plain, weighed = states(small()), states(small({"[weighed]": 'part = "nose cone"\nmass = 31.5'}))
    estimate = load_of(plain["no motor"], "nose cone").mass
    assert load_of(weighed["no motor"], "nose cone").mass == pytest.approx(0.0315)
    assert weighed["no motor"].sum.mass - plain["no motor"].sum.mass == pytest.approx(0.0315 - estimate)


def test_a_fin_was_weighed_as_one_piece(small: Small) -> None:
    found = states(small({"[weighed]": 'part = "fin"\nmass = 6'}))
    assert load_of(found["no pod"], "fin").mass == pytest.approx(0.012)


def test_a_moved_item_leaves_its_old_place(small: Small) -> None:
    item = {"[airframe.items]": 'name = "receiver"\nmass = 20\nx = 300\nz = 0\nto = {x = 200, z = 10}'}
    before, after = states(small())["no pod"], states(small(item))["no pod"]
    assert after.sum.mass == pytest.approx(before.sum.mass)
    # FAA-H-8083-1B: the moment changes by weight times the distance moved
    assert after.sum.x - before.sum.x == pytest.approx(-0.020 * 0.100)


def test_two_supports_find_the_cg_by_the_lever(small: Small) -> None:
    cg = "mass = 700\ncg = { front_support = 200, rear_support = 600, rear_load = 175, z = 5 }"
    # 200 + 400 x 175/700 = 300 mm
    assert load_of(states(small({"airframe": cg}))["no pod"], "stock model").x == pytest.approx(0.300)


def test_another_pack_comes_in_where_the_old_one_went_out(small: Small) -> None:
    battery = "mass = 250\nx = 180\nz = -10\nstock = { mass = 200, x = 200, z = -8 }"
    found = states(small({"airframe.battery": battery, "ballast": None}))["no pod"]
    out = load_of(found, "battery out")
    assert (out.mass, out.x, out.z) == pytest.approx((-0.200, 0.200, -0.008))


@pytest.mark.parametrize("z", ["", "z = -10\n"])
def test_a_pack_that_only_slides_leaves_the_height_of_the_cg_known(small: Small, z: str) -> None:
    battery = f'mass = 200\nx = "auto"\nx_stock = 200\n{z}slide = [140, 240]'
    design = solve(small({"airframe.battery": battery})).design
    before, after = masses.battery_heights(design.airframe)
    assert before == after
    assert math.isfinite(before)


def test_a_pack_of_unknown_height_that_replaces_another_leaves_it_unknown(small: Small) -> None:
    battery = "mass = 250\nx = 180\nstock = { mass = 200, x = 200 }"
    design = small({"airframe.battery": battery})
    assert math.isnan(masses.battery_heights(design.airframe)[0])


def test_twin_pods_carry_two_motors(small: Small) -> None:
    pod = (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = 0\n"
        'retainer = "cap"\ncount = 2\ny = 60'
    )
    motor = load_of(states(small({"pod": pod}))["D: ignition"], "D")
    assert motor.mass == pytest.approx(0.088)
    assert motor.y == pytest.approx(0.060)


FITTED = print_part(
    "skid", Extrude(box(0, -8, 120, 8), 2), filament=Filament(1.27), places=(Placement(200.0, 30.0, -48.0),)
)


def with_part(design: Design, part: Part) -> tuple[Design, Parts]:
    solved = solve(design).design
    parts = make(solved)
    return solved, replace(parts, prints=(*parts.prints, part))


@pytest.mark.parametrize("tables", [{}, {"pod": None, "[motors]": None}, {"fins": None}, {"[motors]": TWO_MOTORS}])
def test_a_part_that_says_nothing_is_aboard_in_every_state(small: Small, tables: dict[str, str | None]) -> None:
    found = masses.states(*with_part(small(tables), FITTED))
    assert found
    for state in found:
        skid = load_of(state, "skid")
        # a plate of 120 x 16 x 2 mm, solid, of 1.27 g/cm3
        assert skid.mass == pytest.approx(120 * 16 * 2 * 1.27e-6)
        assert (skid.x, skid.y, skid.z) == pytest.approx((0.26, 0.03, -0.047))


def test_what_is_fitted_is_aboard_on_every_flight_but_the_stock_models(small: Small) -> None:
    design = small({"camera": "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}"})
    assert [FITTED.aboard.on_flight(rung) for rung in rungs(design)] == [False, *[True] * (len(rungs(design)) - 1)]


def test_all_but_the_stock_model_says_with_what_it_is_fitted(small: Small) -> None:
    solved = solve(small({"[motors]": TWO_MOTORS})).design
    states = masses.states(solved, make(solved))
    assert {load.kind for state in states for load in state.loads if not load.aboard.needs} == {"stock"}
    assert all(ABOARD[kind].needs for kind in ABOARD)


@pytest.mark.parametrize(
    ("tables", "of"),
    [
        ({"pod": None, "[motors]": None}, {"group": "pod"}),
        ({}, {"group": "pod", "motor": "none of these"}),
        ({}, {"group": "bench"}),
        ({}, {"group": "cuts"}),
    ],
)
def test_no_part_with_a_place_is_left_out_of_the_states_without_a_word(
    small: Small, tables: dict[str, str | None], of: dict[str, Any]
) -> None:
    with pytest.raises(ValueError, match="skid has a place on the aircraft, but"):
        masses.states(*with_part(small(tables), replace(FITTED, **of)))


def test_the_states_together_hold_every_part_with_a_place(small: Small) -> None:
    tables = {
        "[motors]": TWO_MOTORS,
        "camera": "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}",
        "ignition": "pack = {cells=2, mass=24, x=250, z=18}",
    }
    solved = solve(small(tables)).design
    parts = make(solved)
    aboard = {load.name for state in masses.states(solved, parts) for load in state.loads}
    placed = {part.name for part in parts.all() if part.x_mm is not None and part.group != "ballast"}
    assert placed <= aboard
