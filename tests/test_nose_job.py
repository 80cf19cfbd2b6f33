"""The nose alone as a whole job: its fit said and obeyed, a gauge for it, and no word of what it does not touch."""

from pathlib import Path

import pytest

import kept
from foamworks.output.cards.deck import cards
from foamworks.output.summaries import write_summaries
from foamworks.output.summary import as_dict
from foamworks.output.texts import FOAM
from kept import check

NOSE = """[pod]
tube = {{ {tube} }}
nose = {{ profile = "von_karman", length = 62, wall = 1.2{more} }}
[printer]
bed = [220, 220, 250]
filament = {{ name = "PETG", density = 1.27, nozzle = {nozzle} }}
"""


@pytest.fixture
def job(tmp_path: Path):
    def made(tube="inner = 29.5, outer = 31.5", more="", nozzle=0.4):
        path = tmp_path / "nose.toml"
        path.write_text(NOSE.format(tube=tube, more=more, nozzle=nozzle))
        case = check(path)
        data = as_dict(case)
        write_summaries(case, data, tmp_path / "pages")
        return case, data, (tmp_path / "pages" / "pod.md").read_text()

    return made


@pytest.mark.parametrize(("more", "nozzle", "fit"), [("", 0.4, 0.25), (", fit = 0.1", 0.4, 0.1), ("", 0.8, 0.5)])
def test_the_shoulder_is_the_tube_less_the_fit(job, more, nozzle, fit):
    case, data, page = job(more=more, nozzle=nozzle)
    assert data["nose"]["fit_mm"] == pytest.approx(fit)
    assert data["nose"]["shoulder_diameter_mm"] == pytest.approx(29.5 - fit)
    cone = next(part for part in case.parts.prints if part.name == "nose cone")
    behind = [r for x, r in cone.shape.meridian if x > 63]
    assert 2 * max(behind) == pytest.approx(29.5 - fit)
    end = max(x for x, _ in cone.shape.meridian)
    assert end - 62 == pytest.approx(data["nose"]["shoulder_length_mm"])
    assert f"{29.5 - fit:.2f} mm across" in page
    assert f"{fit:.2f} mm of clearance" in page
    assert f" {29.5 - fit:.2f} mm |" in page
    assert f" {fit:.2f} mm |" in page


def test_a_gauge_of_three_fits_comes_with_it(job):
    case, _, page = job(more=", fit = 0.3")
    gauge = next(part for part in case.parts.prints if part.name == "ring gauge")
    radii = sorted({r for x, r in gauge.shape.meridian if r > 14})
    assert [29.5 - 2 * r for r in radii] == pytest.approx([0.4, 0.3, 0.2])
    assert "0.4, 0.3, 0.2 mm" in page
    assert "strip of paper" in page


def test_without_the_tubes_inside_there_is_no_shoulder_no_gauge_and_no_word_of_one(job):
    case, data, page = job(tube="outer = 31.5")
    assert [part.name for part in case.parts.prints] == ["nose cone"]
    assert "shoulder_diameter_mm" not in data["nose"]
    assert "no shoulder" in page
    assert "slides into the tube" not in page
    assert "shoulder is glued" not in page
    assert "measure the tube, and under [pod] type tube.inner = …" in kept.answer(case).sentence


def test_nothing_of_foam_stands_on_its_page_or_cards(job):
    case, data, page = job()
    words = " ".join([page, *(caution for card in cards(case, data, kept.answer(case)) for caution in card.cautions)])
    assert all(caution not in words for caution in FOAM)
    assert any(
        "strip of paper" in block.words for card in cards(case, data, kept.answer(case)) for block in card.blocks
    )


def test_the_pages_of_a_pod_on_foam_keep_the_cautions_of_foam(tmp_path):
    case = check(Path(__file__).parents[1] / "designs" / "skerry-boost.toml")
    write_summaries(case, as_dict(case), tmp_path)
    assert all(caution in (tmp_path / "pod.md").read_text() for caution in FOAM)
