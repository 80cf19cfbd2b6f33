"""The placement map as a picture and as data: its colours are what the whole check says, a better place was tried."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

import kept
from foamworks.changes.place import Placed, better, placed, worst_margin
from foamworks.changes.trial import Tip, Tried, changed
from foamworks.checks.base import Proposal
from foamworks.checks.case import Case
from foamworks.design.edit import Edit
from foamworks.output.summary import plain
from foamworks.output.views.placement_chart import REASONS, against, placement_chart, section

DESIGNS = Path(__file__).parents[1] / "designs"


@pytest.fixture(scope="module")
def case() -> Case:
    return kept.check(DESIGNS / "skerry-boost.toml")


@pytest.fixture(scope="module")
def found(case: Case) -> Placed:
    place = placed(case)
    assert place is not None
    return place


@pytest.fixture(scope="module")
def aft() -> Case:
    return kept.check(DESIGNS / "too-far-aft.toml")


@pytest.fixture(scope="module")
def moved(aft: Case) -> Placed:
    place = placed(aft)
    assert place is not None
    return place


def typed_in(case: Case, x: float, z: float) -> Case:
    after = changed(case, [Edit("pod.nozzle.x", x, "mm"), Edit("pod.nozzle.z", z, "mm")])
    assert after is not None
    return after


def reason(case: Case) -> str:
    """Name the first thing that the whole check holds against a nozzle's place, in the map's words and order."""
    bad = {
        finding.check: finding.verdict
        for finding in sorted(case.findings, key=lambda f: f.verdict == "fail")
        if finding.verdict in {"fail", "caution"}
    }
    for name, checks in (
        ("room", ("pod-fit",)),
        ("balance", ("static-margin", "balance-solved")),
        ("plume", ("plume",)),
    ):
        if any(bad.get(check) == "fail" for check in checks):
            return name
    return "moment" if "thrust-moment" in bad else "good"


@pytest.mark.parametrize("quarters", [(2,), pytest.param((1, 3), marks=pytest.mark.slow)])
def test_the_colours_are_what_the_whole_check_says(case: Case, found: Placed, quarters: tuple[int, ...]) -> None:
    """Three places of each colour, evenly spread over those that have it, typed in."""
    names, looked, margins = against(found.found), [], []
    for name, _, _ in REASONS:
        cells = [(r, c) for r, row in enumerate(names) for c, own in enumerate(row) if own == name]
        for row, column in {cells[len(cells) * k // 4] for k in quarters}:
            at = found.found.at(row, column)
            after = typed_in(case, 1e3 * at["x"], 1e3 * at["z"])
            looked.append((name, reason(after)))
            margins.append((at["margin"], worst_margin(after)))
    assert len(looked) >= 4 * len(quarters)
    assert [name for name, _ in looked] == [said for _, said in looked]
    assert [own for own, _ in margins] == pytest.approx([whole for _, whole in margins], abs=0.004)


def test_a_better_place_is_what_the_whole_check_gives_there(aft: Case, moved: Placed) -> None:
    assert moved.best is not None
    data = plain(section(moved))
    after = typed_in(aft, data["nozzle_x_mm"], data["nozzle_z_mm"])
    assert worst_margin(after) == pytest.approx(data["static_margin"], abs=1e-9)
    assert (
        f"under [pod] type nozzle.x = {data['nozzle_x_mm']:.0f} and nozzle.z = {data['nozzle_z_mm']:.0f}"
        in data["words"]
    )
    assert f"{100 * data['static_margin']:.1f} %" in data["words"]
    bad = {(finding.check, finding.subject) for finding in after.findings if finding.verdict == "fail"}
    assert bad < {(finding.check, finding.subject) for finding in aft.findings if finding.verdict == "fail"}
    assert data["change"]["clears"]


def test_a_place_that_makes_anything_fail_or_clears_no_more_than_it_tips_is_not_better(case: Case) -> None:
    def trial(clears: int, *tips: str) -> Tried:
        keys = tuple(("check", str(number)) for number in range(clears))
        return Tried(Proposal("x"), keys, tuple(Tip("other", "pod", verdict) for verdict in tips), case)  # type: ignore[arg-type]

    assert better([trial(3, "fail"), trial(1, "caution"), trial(0)]) is None
    good = trial(2, "caution")
    assert better([trial(5, "fail"), good]) is good


def test_without_a_better_place_the_words_say_so(found: Placed) -> None:
    nothing = Placed(found.found, 4, None)
    assert nothing.words.startswith("no better place")
    assert "nozzle_x_mm" not in section(nothing)


def test_a_place_is_good_exactly_when_nothing_speaks_against_it(found: Placed) -> None:
    assert [[name == "good" for name in row] for row in against(found.found)] == found.found.good.tolist()


def test_each_place_is_one_cell_coloured_by_its_reason(case: Case, found: Placed) -> None:
    root = ET.fromstring(placement_chart(case, found))
    rects = [e.attrib["class"].removeprefix("pl-") for e in root.iter() if e.tag.endswith("rect")]
    cells = rects[: found.found.margin.size]
    assert sorted(cells) == sorted(name for row in against(found.found) for name in row)
    assert set(cells) <= {name for name, _, _ in REASONS}


def test_a_cross_is_the_nozzle_and_a_ring_the_better_place(aft: Case, moved: Placed) -> None:
    root = ET.fromstring(placement_chart(aft, moved))
    (ring,) = [e.attrib for e in root.iter() if e.attrib.get("class") == "pl-best"]
    (cross,) = [e.attrib for e in root.iter() if e.attrib.get("class") == "pl-own"]
    assert moved.best is not None
    x, own = (case.design.standing.x for case in (moved.best.after, aft) if case.design.standing)  # m
    middle = float(cross["d"].split("M")[2].split()[0])
    step = (moved.found.x[1] - moved.found.x[0]) / 22.0  # a cell is 22 px
    assert float(ring["cx"]) - middle == pytest.approx((x - own) / step, abs=0.1)


def test_it_says_that_it_is_a_picture(case: Case, found: Placed) -> None:
    assert ' role="img"' in placement_chart(case, found).partition(">")[0]


def test_both_axes_say_what_they_are_and_their_unit(case: Case, found: Placed) -> None:
    words = set(ET.fromstring(placement_chart(case, found)).itertext())
    assert {"x of the nozzle, mm", "z of the nozzle, mm"} <= words


def test_the_summary_carries_every_place(found: Placed) -> None:
    data = plain(section(found))
    assert len(data["map"]["static_margin"]) == len(data["map"]["z_mm"])
    assert len(data["map"]["static_margin"][0]) == len(data["map"]["x_mm"])
    assert sum(sum(row) for row in data["map"]["good"]) == data["good_places"]


def test_a_design_without_a_pod_has_no_map() -> None:
    assert placed(kept.check(DESIGNS / "skerry-fins.toml")) is None
