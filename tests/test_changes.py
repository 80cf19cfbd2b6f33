"""What was put on and taken off: counted in masses, balance, drag and to one side, from its flight on."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import kept
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.errors import DesignError
from foamworks.output.comparison import ladder
from foamworks.output.summary import as_dict
from foamworks.study.flight.drag import final_outfit

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
CAMERA = "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-10}"
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    def run(changes: str | None = None, **more: str) -> Case:
        tables = {"airframe.fan": FAN, "camera": CAMERA, "[changes]": changes, "ballast": None, **more}
        return kept.check(small_file(tables))

    return run


def rows(case: Case) -> dict[str, dict[str, float]]:
    return {row["flight"]: row for row in ladder(case)[1]["ladder"]}


def told(case: Case, name: str) -> list[Finding]:
    return [finding for finding in case.findings if finding.check == name]


def test_paint_weighs_on_every_flight_but_the_stock_models(check: Check) -> None:
    plain, painted = rows(check()), rows(check('name = "paint"\nmass = 15\nx = 400'))
    assert painted["stock"]["mass_g"] == plain["stock"]["mass_g"]
    for name in list(plain)[1:]:
        assert painted[name]["mass_g"] == pytest.approx(plain[name]["mass_g"] + 15), name


def test_a_change_is_aboard_from_its_flight_on(check: Check) -> None:
    plain = rows(check())
    spar = rows(check('name = "spar"\nmass = 12\nx = 300\nfrom = "D"'))
    more = {name: spar[name]["mass_g"] - plain[name]["mass_g"] for name in plain}
    assert more == pytest.approx(dict.fromkeys(plain, 0.0) | {"D": 12, "camera": 12}, abs=1e-6)


def test_it_moves_the_balance_as_on_paper(check: Check) -> None:
    plain, off = rows(check()), rows(check('name = "canopy off"\nmass = -20\nx = 150'))
    mass, x = plain["twin fins"]["mass_g"], plain["twin fins"]["cg_x_mm"]
    assert off["twin fins"]["cg_x_mm"] == pytest.approx((mass * x - 20 * 150) / (mass - 20))


def test_a_plate_costs_speed_by_what_it_drags(check: Check) -> None:
    """A plate square to the stream drags like 1.0 to 1.3 of itself (Hoerner, from memory)."""
    case = check('name = "canopy off"\nplate_area = 600')
    burn = case.study.burn
    assert burn is not None
    assert burn.power is not None
    assert 600e-6 <= burn.power.parts["change 1"] <= 1.3 * 600e-6
    drag, outfit = burn.power.drag, final_outfit(case.design)
    assert drag is not None
    added = drag.zero_lift(outfit) - drag.zero_lift(outfit - {0})  # whatever the flights say of the other parts
    assert 600e-6 <= added <= 1.3 * 600e-6
    plain, slow = rows(check()), rows(case)
    assert slow["stock"]["level_km_h"] == pytest.approx(plain["stock"]["level_km_h"], rel=1e-6)
    lost = plain["camera"]["level_km_h"] - slow["camera"]["level_km_h"]
    assert lost > 0.5
    (finding,) = told(case, "changes")
    assert f"cost {lost:.0f}" in finding.why or "km/h level" in finding.why


def test_what_stands_to_one_side_is_told_with_what_levels_it(check: Check) -> None:
    (finding,) = told(check('name = "lead"\nmass = 60\nx = 300\ny = 400', camera=None), "changes-aside")
    assert finding.verdict == "caution"
    assert finding.value == pytest.approx(60 * 400)
    assert "53.3 g of lead into the port wing tip" in finding.cure  # 24000 g mm over 450 mm
    place = re.search(r"and x = (\d+) and y = -450", finding.cure)
    tip = check(camera=None).design.stock.wing.stations[-1]  # type: ignore[union-attr]
    assert place is not None
    assert tip.x < float(place.group(1)) / 1000 < tip.x + tip.chord


def test_tip_lead_typed_as_a_change_levels_a_camera(check: Check) -> None:
    (finding,) = told(check('name = "tip lead"\nmass = 6.7\nx = 300\ny = -450'), "changes-aside")
    assert finding.verdict == "pass"


def test_items_without_a_new_place_say_that_they_add_nothing(check: Check) -> None:
    case = check(**{"airframe.items": None, "[airframe.items]": 'name = "paint"\nmass = 15\nx = 300'})
    (finding,) = told(case, "item-stays")
    assert finding.verdict == "pass"
    assert "[[changes]]" in finding.why
    assert rows(case)["camera"]["mass_g"] == pytest.approx(rows(check())["camera"]["mass_g"])


@pytest.mark.parametrize(("typed", "says"), [
    ('name = "a"', r"changes\[1\]\.mass: is missing; a change has a mass with its place, or a plate_area"),
    ('name = "a"\nmass = 3', r"changes\[1\]\.x: is missing beside mass"),
    ('name = "a"\nmass = 3\nx = 1\nfrom = "moon"', r'changes\[1\]\.from = "moon": is none of .*"stock", "twin fins"'),
    ('name = "a"\nmass = 3\nx = 1\nform = "D"', r"did you mean .from.*here stand: from"),
])  # fmt: skip
def test_a_change_that_cannot_be_is_refused(check: Check, typed: str, says: str) -> None:
    with pytest.raises(DesignError, match=says):
        check(typed)


def test_the_summary_stays_whole_with_changes(check: Check) -> None:
    assert as_dict(check('name = "paint"\nmass = 15\nx = 400'))["balance"]["states"]


def test_the_finding_says_what_drag_is_counted_and_what_is_not(check: Check) -> None:
    typed = (
        'name = "canopy off"\nmass = -20\nx = 150\nplate_area = 600\n[[changes]]\nname = "paint"\nmass = 15\nx = 400'
    )
    (both,) = told(check(typed), "changes")
    assert "plates drag like 690 mm2" in both.why  # 1.15 of itself, whatever the flights say of other parts
    assert "no drag is counted for paint: plate_area" in both.why
    (canopy,) = told(check('name = "canopy off"\nmass = -20\nx = 150\nplate_area = 600'), "changes")
    assert "no drag" not in canopy.why
