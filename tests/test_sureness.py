"""What is automatic in the balance aims at the margin that most builds need, and the ignition pack helps the lead."""

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from foamworks.checks.case import Case
from foamworks.design.load import load
from foamworks.errors import DesignError
from foamworks.output.summary import as_dict
from kept import check

SmallFile = Callable[..., Path]
LEAD = 'x = 20\nz = 0\nmass = "auto"\nmost = 300'
PACK = "cells = 2\nmass = 30"


def kept(case: Case) -> float:
    assert case.study.tolerance is not None
    share = case.study.tolerance.share("static-margin", "every state")
    assert share is not None
    return share


def with_pack(where: str) -> dict[str, str | None]:
    return {"ballast": LEAD, "ignition.pack": f"{PACK}\n{where}\nz = 10"}


@pytest.mark.parametrize("sure", [0.7, 0.9, 0.97])
def test_so_many_builds_as_wanted_keep_the_least_margin(small_file: SmallFile, sure: float) -> None:
    case = check(small_file({"ballast": LEAD, "limits": f"sure = {sure}"}))
    assert kept(case) == pytest.approx(sure, abs=0.015)
    assert not [f for f in case.findings if f.check in {"balance-solved", "static-margin"} and f.verdict == "fail"]


def test_an_even_chance_aims_at_the_aft_limit_itself(small_file: SmallFile) -> None:
    data = as_dict(check(small_file({"ballast": LEAD, "limits": "sure = 0.5"})))["balance"]
    assert data["aft_aim_x_mm"] == data["window_x_mm"][1]
    assert min(row["static_margin"] for row in data["states"]) == pytest.approx(0.05, abs=0.001)


def test_the_worst_state_lies_on_the_aim(small_file: SmallFile) -> None:
    data = as_dict(check(small_file({"ballast": LEAD})))["balance"]
    assert data["aft_aim_x_mm"] < data["window_x_mm"][1] - 2
    worst = max(row["cg_x_mm"] for row in data["states"])
    assert worst == pytest.approx(data["aft_aim_x_mm"], abs=0.5)


def test_where_there_is_room_for_less_it_goes_as_far_as_it_can_and_says_so(small_file: SmallFile) -> None:
    free = as_dict(check(small_file({"ballast": LEAD, "limits": "sure = 0.5"})))["balance"]["ballast_g"]
    case = check(small_file({"ballast": LEAD.replace("300", f"{free + 5:.0f}")}))
    assert as_dict(case)["balance"]["ballast_g"] == pytest.approx(free + 5, abs=1)
    said = next(f for f in case.findings if f.check == "balance-solved")
    assert said.verdict == "pass"
    assert "there is room for" in said.why


def test_sureness_is_a_list_of_shares(small_file: SmallFile) -> None:
    rows = as_dict(check(small_file({"ballast": LEAD})))["sureness"]
    assert all(0 <= row["share"] <= 1 for row in rows)
    assert [word for word in ("margin", "stable") if any(word in row["what"] for row in rows)] == ["margin", "stable"]


def test_a_pack_that_may_slide_does_the_leads_work(small_file: SmallFile) -> None:
    fixed = as_dict(check(small_file(with_pack("x = 250"))))["balance"]
    case = check(small_file(with_pack('x = "auto"\nslide = [60, 250]')))
    free = as_dict(case)["balance"]
    assert case.design.ignition is not None
    assert case.design.ignition.pack is not None
    assert case.design.ignition.pack.x == pytest.approx(0.060)
    saved = fixed["ballast_g"] - free["ballast_g"]
    # statics: 30 g moved 190 mm forward are worth as much lead as has that moment about the worst state's CG
    worst = max(row["cg_x_mm"] for row in free["states"])
    assert saved == pytest.approx(30 * 190 / (worst - 20), abs=2.5)


def test_the_battery_moves_before_the_pack(small_file: SmallFile) -> None:
    """With little to do the battery leaves the end of its slide and the pack stays in the middle of its own."""
    tables = with_pack('x = "auto"\nslide = [60, 250]') | {
        "airframe.battery": 'mass = 200\nx = "auto"\nx_stock = 200\nz = -10\nslide = [20, 300]'
    }
    case = check(small_file(tables))
    assert case.design.ignition is not None
    assert case.design.ignition.pack is not None
    assert case.design.ignition.pack.x == pytest.approx(0.155)
    assert case.study.balance is not None
    assert case.study.balance.ballast == 0
    x = case.study.balance.battery_x
    assert x is not None
    assert 0.020 < x < 0.300


def test_the_masses_of_a_solved_pack_are_those_of_one_typed_in(small_file: SmallFile) -> None:
    free = as_dict(check(small_file(with_pack('x = "auto"\nslide = [60, 250]'))))
    typed = as_dict(check(small_file(with_pack("x = 60"))))
    for a, b in zip(free["balance"]["states"], typed["balance"]["states"], strict=True):
        assert a["mass_g"] == pytest.approx(b["mass_g"])
        assert math.isclose(a["cg_x_mm"], b["cg_x_mm"], abs_tol=0.01)


@pytest.mark.parametrize(
    ("pack", "needs"),
    [('cells = 2\nmass = 60\nx = "auto"', "needs slide"), ('cells = 2\nx = "auto"\nslide = [60, 250]', "needs mass")],
)
def test_an_open_place_needs_a_slide_and_a_mass(small_file: SmallFile, pack: str, needs: str) -> None:
    with pytest.raises(DesignError, match=needs):
        load(small_file({"ignition.pack": pack}))
