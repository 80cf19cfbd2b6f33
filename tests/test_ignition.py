"""The firing circuit: current by Ohm's law, the margins of published igniters, the test current, what is not known."""

import json
from pathlib import Path

import pytest

from foamworks.checks.base import Finding
from foamworks.output.summary import as_dict
from kept import check

PACK = "pack = {{ cells = {cells}, resistance = {inner} }}\n"
WIRE = "wire = { length = 600, gauge_mm2 = 0.5 }\n"
POD = "[pod]\ntube = { outer = 31 }\ncount = 2\ny = 40\n"

# ohm, no-fire and all-fire in A: makers' sheets as collected on a public wiki (checks.md, row M9)
OLD_TYPE = "igniter = { resistance = 1.6, no_fire = 1.25, all_fire = 3.8 }\n"
DIPPED = "igniter = { resistance = 1.0, no_fire = 0.3, all_fire = 0.7 }\n"


def ignition(
    *, igniter: str = DIPPED, cells: int = 2, inner: float = 0.05, wire: str = WIRE, test: str = "continuity = 0.01\n"
) -> str:
    return "[ignition]\n" + igniter + PACK.format(cells=cells, inner=inner) + wire + test


def judged(folder: Path, text: str) -> tuple[dict[str, Finding], dict[str, float | None]]:
    path = folder / "design.toml"
    path.write_text(text)
    case = check(path)
    return {finding.check: finding for finding in case.findings}, as_dict(case)["ignition"]


def test_current_is_volts_over_the_loop(tmp_path: Path) -> None:
    _, data = judged(tmp_path, ignition())
    # 2 x 3.7 V over 1 + 0.05 + 1.72e-8 x 0.6 / 0.5e-6 ohm (copper by the handbook)
    assert data["current_A"] == pytest.approx(7.4 / (1.0 + 0.05 + 1.72e-8 * 0.6 / 0.5e-6))
    assert data["all_fire_margin"] == pytest.approx(data["current_A"] / 0.7)
    assert data["continuity_A"] == 0.01


def test_ignition_alone_is_a_design_and_gets_only_its_own_findings(tmp_path: Path) -> None:
    found, _ = judged(tmp_path, ignition())
    assert set(found) == {"firing-current", "continuity"}


@pytest.mark.parametrize(
    ("igniter", "cells", "inner", "verdict"),
    [
        (DIPPED, 2, 0.05, "pass"),
        (DIPPED, 1, 0.05, "pass"),  # 3.5 A where 1.4 are wanted
        (OLD_TYPE, 2, 0.05, "fail"),  # 4.4 A where 7.6 are wanted: it fires today and not tomorrow
        (OLD_TYPE, 4, 0.16, "caution"),  # 8.3 A; a tired pack of 3.3 V a cell gives 7.4
        (OLD_TYPE, 6, 0.16, "pass"),
    ],
)
def test_at_least_twice_the_all_fire_current(
    tmp_path: Path, igniter: str, cells: int, inner: float, verdict: str
) -> None:
    found, _ = judged(tmp_path, ignition(igniter=igniter, cells=cells, inner=inner))
    assert found["firing-current"].verdict == verdict


def test_the_cells_that_the_cure_asks_for_are_enough(tmp_path: Path) -> None:
    weak, _ = judged(tmp_path, ignition(igniter=OLD_TYPE, cells=2, inner=0.1))
    cells = int(weak["firing-current"].cure.split()[1])
    cured, _ = judged(tmp_path, ignition(igniter=OLD_TYPE, cells=cells, inner=0.1))
    almost, _ = judged(tmp_path, ignition(igniter=OLD_TYPE, cells=cells - 1, inner=0.1))
    assert (almost["firing-current"].verdict, cured["firing-current"].verdict != "fail") == ("fail", True)


def test_two_igniters_side_by_side_share_wire_and_pack(tmp_path: Path) -> None:
    found, data = judged(tmp_path, ignition() + POD)
    # each sees the common resistance twice
    assert found["firing-current"].value == pytest.approx(7.4 / (1.0 + 2 * (0.05 + 0.02064)))
    assert data["current_A"] == pytest.approx(7.4 / 1.07064)


def test_what_was_left_out_of_the_loop_is_said(tmp_path: Path) -> None:
    found, _ = judged(tmp_path, ignition(wire=""))
    assert found["firing-current"].verdict == "pass"  # room for more ohms than any wire has
    assert "the wire not given and left out" in found["firing-current"].why


def test_a_loop_with_little_room_and_no_wire_measured_is_unknown(tmp_path: Path) -> None:
    found, _ = judged(tmp_path, ignition(igniter=OLD_TYPE, cells=4, wire=""))
    assert found["firing-current"].verdict == "unknown"
    assert "measure the wire" in found["firing-current"].cure


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("[ignition]\n" + DIPPED + WIRE, "type pack = { cells } under [ignition]"),
        (
            "[ignition]\n" + PACK.format(cells=2, inner=0.1),
            "type igniter = { resistance, no_fire",
        ),
    ],
)
def test_without_pack_or_igniter_the_current_is_unknown_and_null(tmp_path: Path, text: str, asks: str) -> None:
    found, data = judged(tmp_path, text)
    assert found["firing-current"].verdict == "unknown"
    assert asks in found["firing-current"].cure
    assert json.loads(json.dumps(data))["current_A"] is None


@pytest.mark.parametrize(
    ("current", "igniter", "verdict"),
    [
        (0.010, DIPPED, "pass"),
        (0.015, DIPPED, "caution"),  # between the custom's 10 and 20 mA
        (0.020, DIPPED, "fail"),  # not under 20 mA
        (0.12, DIPPED, "fail"),  # the handbook's lamp circuit of row M9: under the no-fire, far over the custom
        (0.30, DIPPED, "fail"),
        (0.005, "igniter = { resistance = 1, no_fire = 0.005, all_fire = 0.02 }\n", "fail"),  # at the no-fire itself
        (0.004, "igniter = { resistance = 1, no_fire = 0.005, all_fire = 0.02 }\n", "pass"),
        (0.30, "", "fail"),  # by the custom alone
    ],
)
def test_the_test_current_stays_under_custom_and_no_fire(
    tmp_path: Path, current: float, igniter: str, verdict: str
) -> None:
    found, _ = judged(tmp_path, ignition(igniter=igniter, test=f"continuity = {current}\n"))
    assert found["continuity"].verdict == verdict


def test_the_series_resistor_of_the_cure_brings_the_current_down(tmp_path: Path) -> None:
    found, _ = judged(tmp_path, ignition(test="continuity = 0.12\n"))
    assert "at least 740 ohm" in found["continuity"].cure  # 7.4 V / 10 mA


def test_a_test_current_that_was_not_measured_is_unknown(tmp_path: Path) -> None:
    found, data = judged(tmp_path, ignition(test=""))
    assert found["continuity"].verdict == "unknown"
    assert data["continuity_A"] is None
