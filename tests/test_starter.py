"""What a new design file offers in comments is right: uncommented, it is read and changes what it says it changes."""

import re
from pathlib import Path

import pytest

from foamworks.changes.answer import answered
from foamworks.checks import judged
from foamworks.checks.base import Finding
from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.design.reading.template import JOBS
from foamworks.output.starter import starter

OFFERED = re.compile(r"# (\[+[\w.]+\]+ *(?:#.*)?|\w+ *= .*)")
KEY = re.compile(r"(\w+) *=")


def all_taken(job: str) -> str:
    """Give a starter with every key that it offers in a comment; one that stands before in its table gives way."""
    lines: list[str] = []
    for line in starter("x", job, "x.toml").splitlines():
        offered = OFFERED.fullmatch(line)
        key = KEY.match(offered.group(1)) if offered else None
        if key is not None:
            table = max((n for n, old in enumerate(lines) if old.startswith("[")), default=0)
            lines = [old for n, old in enumerate(lines) if n < table or not re.match(rf"{key.group(1)} *=", old)]
        lines.append(offered.group(1) if offered else line)
    return "\n".join(lines)


def taken(job: str, folder: Path) -> Design:
    path = folder / "x.toml"
    path.write_text(all_taken(job), encoding="utf-8")
    return load(path)


@pytest.mark.parametrize("job", JOBS)
def test_all_that_a_starter_offers_in_comments_is_read(job: str, tmp_path: Path) -> None:
    taken(job, tmp_path)


def test_the_booster_is_offered_what_findings_ask_for(tmp_path: Path) -> None:
    design = taken("boost", tmp_path)
    airframe = design.airframe
    assert airframe.wing is not None
    assert airframe.wing.spar_moment == 20
    assert airframe.fan is not None
    assert airframe.fan.z == pytest.approx(0.008)
    assert design.field.length == pytest.approx(180)
    assert design.field.altitude == pytest.approx(60)
    assert design.boards[0].shear_modulus == pytest.approx(110e6)
    assert design.boards[0].bending_modulus == pytest.approx(620e6)
    assert [entry.part for entry in design.weighed] == ["no motor"]
    assert design.gyro is not None
    assert design.camera is not None


def test_the_sheets_are_offered_an_offcut(tmp_path: Path) -> None:
    sheets = taken("sheets", tmp_path).boards[0].sheet
    assert sheets is not None
    assert len(sheets) == 2


def found(folder: Path, text: str, check: str) -> list[Finding]:
    path = folder / "x.toml"
    path.write_text(text, encoding="utf-8")
    return [finding for finding in judged(load(path), path).findings if finding.check == check]


@pytest.mark.parametrize(("job", "numbers"), [("nose", 4), ("sheets", 15), ("fins", 33)])  # counted by hand: all but 0
def test_an_untouched_template_is_told_by_its_numbers(job: str, numbers: int, tmp_path: Path) -> None:
    [one] = found(tmp_path, starter("x", job, "x.toml"), "untouched-template")
    assert (one.verdict, one.value, one.unit) == ("caution", numbers, "numbers")


def test_each_number_that_is_measured_counts_no_more(tmp_path: Path) -> None:
    text = starter("x", "nose", "x.toml").replace("inner = 29.5, outer = 31.5", "inner = 29.4, outer = 31.6")
    [one] = found(tmp_path, text, "untouched-template")
    assert one.value == 2
    assert "pod.nose.length" in one.why
    whole = text.replace("length = 62, wall = 1.2", "length = 70, wall = 1.6")
    assert found(tmp_path, whole, "untouched-template") == []


def test_a_template_of_the_first_release_is_known(tmp_path: Path) -> None:
    text = (
        "# my nose: the printed nose cone of a motor pod. Replace the numbers by your own, then: foamworks build n\n"
        '[pod]\ntube = { inner = 29.5, outer = 31.5 }\nnose = { profile = "von_karman", length = 62, wall = 1.2 }\n'
    )
    [one] = found(tmp_path, text, "untouched-template")
    assert one.value == 4


def test_who_takes_the_line_out_says_that_all_is_measured(tmp_path: Path) -> None:
    text = starter("x", "nose", "x.toml").partition("\n")[2]
    assert found(tmp_path, text, "untouched-template") == []


@pytest.mark.parametrize(
    "word", ["cant", "toe", "mount", "elevator", "{ outline", "trace = ", "at = {", "root_chord", "layer"]
)
def test_the_fins_starter_shows(word: str) -> None:
    assert word in starter("x", "fins", "x.toml")


@pytest.mark.parametrize("job", JOBS)
def test_no_line_of_a_starter_is_longer_than_a_screen(job: str) -> None:
    assert max(map(len, starter("x", job, "x.toml").splitlines())) <= 126


def test_nobody_may_fly_by_a_templates_numbers(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text(starter("x", "boost", "x.toml"), encoding="utf-8")
    answer = answered(judged(load(path), path))
    assert answer.verdict == "cannot say"
    assert {flight.verdict for flight in answer.flights} == {"cannot say"}
    assert answer.sentence.endswith("numbers are still the template's; type your own first.")
    assert answer.next[0].startswith("Measure your own model")
