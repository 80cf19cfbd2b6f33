"""The placement map as a picture and as data: one cell a place, the colour is the reason, the words name the best."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

import kept
from foamworks.checks.case import Case
from foamworks.output.placement_chart import REASONS, against, found_map, placement_chart, section
from foamworks.output.summary import plain
from foamworks.study.placement import PlacementMap

DESIGNS = Path(__file__).parents[1] / "designs"


@pytest.fixture(scope="module")
def case() -> Case:
    return kept.check(DESIGNS / "skerry-boost.toml")


@pytest.fixture(scope="module")
def found(case: Case) -> PlacementMap:
    place = found_map(case)
    assert place is not None
    return place


def test_a_place_is_good_exactly_when_nothing_speaks_against_it(found: PlacementMap) -> None:
    assert [[name == "good" for name in row] for row in against(found)] == found.good.tolist()


def test_each_place_is_one_cell_coloured_by_its_reason(case: Case, found: PlacementMap) -> None:
    root = ET.fromstring(placement_chart(case, found))
    cells = [e.attrib["class"].removeprefix("pl-") for e in root.iter() if e.tag.endswith("rect")][: found.margin.size]
    assert sorted(cells) == sorted(name for row in against(found) for name in row)
    assert set(cells) <= {name for name, _, _ in REASONS}


def test_both_axes_say_what_they_are_and_their_unit(case: Case, found: PlacementMap) -> None:
    words = set(ET.fromstring(placement_chart(case, found)).itertext())
    assert {"x of the nozzle, mm", "z of the nozzle, mm"} <= words


def test_the_summary_carries_every_place_and_the_best_in_words(found: PlacementMap) -> None:
    data = plain(section(found))
    assert len(data["map"]["static_margin"]) == len(data["map"]["z_mm"])
    assert len(data["map"]["static_margin"][0]) == len(data["map"]["x_mm"])
    assert f"x = {data['nozzle_x_mm']:.0f}" in data["words"]
    assert sum(sum(row) for row in data["map"]["good"]) == data["good_places"]


def test_a_design_without_a_pod_has_no_map() -> None:
    assert found_map(kept.check(DESIGNS / "skerry-fins.toml")) is None
