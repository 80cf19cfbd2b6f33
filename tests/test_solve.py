"""What is automatic: least ballast after the battery, `no pod` apart, fins for equal stiffness, nothing left open."""

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from foamworks.aircraft import balance
from foamworks.aircraft.aero import plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.fins import new_fins, old_fin
from foamworks.aircraft.solve import Aircraft, solve
from foamworks.design.ladder import NO_POD
from foamworks.design.model import Design
from foamworks.parts.make import make
from kept import check

Small = Callable[..., Design]
NO_BATTERY = {"airframe.battery": None}


def rows_of(solved: Aircraft) -> Balance:
    assert solved.flying is not None
    found = balance.study_balance(solved.design, make(solved.design), solved.flying, apart=solved.apart)
    assert found is not None
    return found


def inside(found: Balance, row: StateRow) -> bool:
    assert found.window is not None
    ahead = found.window.forward
    return ahead - 1e-8 <= row.cg_x <= found.window.aft + 1e-8


def with_ballast(design: Design, grams: float) -> Design:
    assert design.ballast is not None
    return design.model_copy(update={"ballast": design.ballast.model_copy(update={"mass": grams / 1000})})


@pytest.mark.parametrize("tables", [{}, NO_BATTERY])
def test_with_automatic_ballast_every_state_lies_inside_and_a_gram_less_does_not_do(
    small: Small, tables: dict[str, str | None]
) -> None:
    design = small({**tables, "limits": "sure = 0.5"})
    found = rows_of(solve(design))
    grams = 1000 * found.ballast
    assert grams == pytest.approx(round(grams), abs=1e-9)
    assert grams > 0
    assert all(inside(found, row) for row in found.rows)
    short = rows_of(solve(with_ballast(design, grams - 1)))
    assert not all(inside(short, row) for row in short.rows if row.name != "no pod")


def test_the_automatic_battery_stands_at_the_slides_end_before_ballast_is_added(small: Small) -> None:
    found = rows_of(solve(small()))
    assert found.ballast > 0
    assert found.battery_x == pytest.approx(0.140, abs=1e-12)


def test_no_ballast_is_added_when_the_battery_alone_does_it(small: Small) -> None:
    battery = 'mass = 200\nx = "auto"\nx_stock = 200\nz = -10\nslide = [60, 240]'
    found = rows_of(solve(small({"airframe.battery": battery})))
    assert found.ballast == 0
    assert 0.060 <= found.battery_x <= 0.240
    assert all(inside(found, row) for row in found.rows)


def test_ballast_is_never_negative_when_the_model_is_nose_heavy(small: Small) -> None:
    found = rows_of(solve(small({"airframe": "mass = 700\ncg = { x = 262, z = 5 }"})))
    assert found.ballast == 0


def test_no_pod_carries_a_battery_place_and_a_ballast_of_its_own(small: Small) -> None:
    found = rows_of(solve(small()))
    bare, rest = found.row(NO_POD), [row for row in found.rows if row.name != "no pod"]
    assert bare.ballast == 0
    assert bare.battery_x != found.battery_x
    assert {row.ballast for row in rest} == {found.ballast}
    assert {row.battery_x for row in rest} == {found.battery_x}


def test_a_fixed_ballast_flies_in_no_pod_too(small: Small) -> None:
    found = rows_of(solve(small({"ballast": "x = 20\nmass = 30"})))
    assert [row.ballast for row in found.rows] == pytest.approx([0.030] * len(found.rows))


def test_a_weighed_ballast_is_the_ballast(small: Small) -> None:
    found = rows_of(solve(small({"[weighed]": 'part = "ballast"\nmass = 41'})))
    assert found.ballast == pytest.approx(0.041)


def test_nothing_is_automatic_any_more(small: Small) -> None:
    pod = (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\n"
        'nose = { profile = "cone", length = 50 }\nretainer = "cap"'
    )
    solved = solve(small({"pod": pod}))
    design = solved.design
    assert design.pod is not None
    assert isinstance(design.pod.downthrust, float)
    assert design.airframe.battery is not None
    assert isinstance(design.airframe.battery.x, float)
    assert design.ballast is not None
    assert isinstance(design.ballast.mass, float)
    assert set(solved.marks) == {"fins", "battery", "ballast", "downthrust"}


def test_a_solved_design_solves_to_itself(small: Small) -> None:
    once = solve(small())
    twice = solve(once.design)
    assert twice.design == once.design
    assert twice.marks == ()


UNWEIGHED: dict[str, str | None] = dict.fromkeys(("pod", "[motors]", "ballast", "airframe.battery", "airframe"))
STIFF = (
    'match = "stiffness"\nroot = { x = 682, y = 120, z = 32 }\nshape = { aspect_ratio = 1.5, taper = 0.6, sweep = 25 }'
)


@pytest.mark.parametrize(
    "fins",
    [
        STIFF + "\ncant = 15",
        'match = "stiffness"\ncount = 1\nroot = { x = 690, y = 0, z = 40 }\n'
        "shape = { aspect_ratio = 1.2, taper = 0.5, sweep = 30 }",
    ],
)
def test_match_stiffness_keeps_the_whole_aircrafts_yaw_stiffness(small: Small, fins: str) -> None:
    solved = solve(small({**UNWEIGHED, "fins": fins}))
    assert solved.flying is not None
    design, wing = solved.design, solved.flying.wing
    wanted = plane(design, wing, old_fin(design)).yaw_stiffness(wing.quarter_mac_x, 0.0)
    got = plane(design, wing, new_fins(design)).yaw_stiffness(wing.quarter_mac_x, 0.0)
    assert got == pytest.approx(wanted, rel=1e-5)


def test_the_two_matches_differ(small: Small) -> None:
    volume = new_fins(solve(small(UNWEIGHED)).design)
    stiff = new_fins(solve(small({**UNWEIGHED, "fins": STIFF})).design)
    assert volume is not None
    assert stiff is not None
    assert stiff.area != pytest.approx(volume.area, rel=1e-3)


def test_fins_as_built_are_not_resized(small: Small) -> None:
    table = "root = { x = 690, y = 120, z = 30 }\neach = { root_chord = 80, tip_chord = 50, height = 90, sweep = 20 }"
    solved = solve(small({"fins": table}))
    each = solved.design.fins.each if solved.design.fins else None
    assert each is not None
    assert (each.root_chord, each.tip_chord, each.height) == pytest.approx((0.080, 0.050, 0.090))
    assert "fins" not in solved.marks


def test_a_design_without_a_cg_keeps_its_battery_open_and_says_nothing_of_balance(
    small_file: Callable[..., Path],
) -> None:
    case = check(small_file({"airframe": "mass = 700"}))
    assert case.aircraft.settled is None
    assert case.study.balance is not None
    assert all(math.isnan(row.static_margin) for row in case.study.balance.rows)
