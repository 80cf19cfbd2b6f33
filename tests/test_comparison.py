"""The tables of `compare`: header first, one row a rung or a number, the data beside it the same numbers."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import kept
from foamworks.changes.answer import as_dict
from foamworks.checks.case import Case
from foamworks.output.comparison import ladder, side_by_side
from foamworks.output.keys import plain

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
FLOWN = 'name = "stock"\nspeed = 100\n[[flights]]\nname = "pod with dead mass"\nspeed = 93'


@pytest.fixture(scope="module")
def case(small_file: Callable[..., Path]) -> Case:
    return kept.check(small_file({"airframe.fan": FAN, "[flights]": FLOWN}))


def test_every_row_is_as_long_as_the_header(case: Case) -> None:
    for table in (ladder(case)[0], side_by_side([case, case])[0]):
        assert len({len(row) for row in table}) == 1
        assert all(isinstance(cell, str) for row in table for cell in row)


def test_the_ladders_data_say_what_its_table_says(case: Case) -> None:
    table, data = ladder(case)
    assert [row[0] for row in table[1:]] == [row["flight"] for row in data["ladder"]]
    flown = next(row for row in data["ladder"] if row["flight"] == "D, dead mass")
    assert flown["flown_km_h"] == pytest.approx(93)
    assert flown["flown_less_predicted_km_h"] == pytest.approx(93 - flown["predicted_km_h"])
    shown = next(row for row in table if row[0] == "D, dead mass")
    assert shown[table[0].index("flown km/h")] == "93"
    assert shown[table[0].index("difference")] == f"{flown['flown_less_predicted_km_h']:+.0f}"


def test_the_data_are_json_without_nan(case: Case) -> None:
    for data in (ladder(case)[1], side_by_side([case])[1]):
        json.dumps(data, allow_nan=False)


def test_designs_stand_side_by_side_with_their_own_numbers(case: Case, small_file: Callable[..., Path]) -> None:
    fins_only = kept.check(small_file({"pod": None, "[motors]": None, "ballast": None, "airframe.fan": None}))
    table, data = side_by_side([case, fins_only])
    masses = next(row for row in table if row[0] == "heaviest g")
    assert case.study.balance is not None
    assert masses[1] == f"{1000 * max(row.mass for row in case.study.balance.rows):.0f}"
    tilt = next(row for row in table if row[0] == "downthrust deg")
    assert tilt[1:] == ["6.0", "-"]
    assert data["designs"][0]["heaviest_g"] > data["designs"][1]["heaviest_g"]
    assert data["designs"][1]["level_speed_km_h"] is None


def test_neutral_point_and_yaw_stiffness_are_those_of_balance_and_finding(case: Case) -> None:
    """The bare lattice's point lies elsewhere, the stiffness about the centre of gravity is another."""
    assert case.study.aero is not None
    (row,) = side_by_side([case])[1]["designs"]
    assert row["neutral_point_flown_x_mm"] == pytest.approx(1000 * case.study.aero.modified.neutral_point_flown)
    (told,) = [found for found in case.findings if found.check == "fin-stiffness"]
    assert row["yaw_stiffness_per_rad"] == pytest.approx(told.value)


def test_the_worst_pitch_change_is_the_one_that_check_tells(case: Case) -> None:
    _, data = side_by_side([case])
    told = [f.value for f in case.findings if f.check == "pitch-change" and f.value is not None]
    assert data["designs"][0]["worst_pitch_change_deg"] == pytest.approx(max(told, key=abs))


def test_designs_of_one_name_are_headed_by_their_files_or_paths(case: Case) -> None:
    other = replace(case, path=case.path.with_name("wider.toml"))
    far = replace(case, path=case.path.parent / "old" / case.path.name)
    named = replace(case, name="Large", path=case.path.with_name("large.toml"))
    assert side_by_side([case, named])[0][0] == ["", "Small", "Large"]
    assert side_by_side([case, other, named])[0][0] == ["", case.path.name, "wider.toml", "Large"]
    assert side_by_side([case, far])[0][0] == ["", str(case.path), str(far.path)]


def test_a_number_that_no_design_has_gets_no_row(small_file: Callable[..., Path]) -> None:
    bare = kept.check(small_file({"pod": None, "[motors]": None, "ballast": None, "airframe.fan": None}))
    assert "fastest boost km/h" not in [row[0] for row in side_by_side([bare])[0]]


HELD = {"[flights]": FLOWN.replace("speed = 93", "speed = 60")}


TAIL_HEAVY = {"limits": "least = 0.3", "ballast": "x = 20\nz = 0\nmass = 0"}


@pytest.mark.parametrize("tables", [{}, HELD, pytest.param(TAIL_HEAVY, marks=pytest.mark.slow)])
def test_a_flight_is_cleared_where_the_answer_lets_it_fly(
    small_file: Callable[..., Path], tables: dict[str, str]
) -> None:
    case = kept.check(small_file({"airframe.fan": FAN, "[flights]": FLOWN} | tables))
    told = plain(as_dict(kept.answer(case)))["flights"]
    rows = ladder(case)[1]["ladder"]
    assert [row["cleared"] for row in rows] == [flight["verdict"] != "not yet" for flight in told]
    assert [row["because"] for row in rows] == [flight["because"] for flight in told]
    for key in ("mass_g", "cg_x_mm", "battery_x_mm", "ballast_g", "static_margin", "gyro_gain", "flown_km_h"):
        assert [row[key] for row in rows] == [pytest.approx(flight[key]) for flight in told], key


def test_it_says_which_measurement_each_number_rests_on(case: Case, small_file: Callable[..., Path]) -> None:
    weighed = kept.check(small_file({
        "airframe": "mass = 700\ncg = { front_support = 250, rear_support = 650, rear_load = 96.25, z = 5 }",
        "airframe.fan": FAN,
        "[weighed]": 'part = "fin"\nmass = 9\n[[weighed]]\npart = "no pod"\nmass = 705',
    }))  # fmt: skip
    table, data = side_by_side([case, weighed])
    told = {row[0]: row[1:] for row in table}
    parts = sum(math.isfinite(part.mass_g) for part in case.parts.all())
    assert told["masses rest on"][0].startswith(f"the stock model's mass as typed; 0 of {parts} parts weighed")
    assert "; 1 of" in told["masses rest on"][1]
    assert "1 weighed whole" in told["masses rest on"][1]
    assert told["balance rests on"] == [
        "its place as typed; its height typed", "two supports and a scale; its height typed",
    ]  # fmt: skip
    assert told["fan rests on"][0] == "static thrust of 9.0 N as typed, measured at 11.1 V"
    assert told["boosts rest on"][0] == "D: data sheet"
    assert data["designs"][1]["masses_rest_on"] == told["masses rest on"][1]
