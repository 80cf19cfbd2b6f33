"""What a new design file offers in comments is right: uncommented, it is read and changes what it says it changes."""

import re
from pathlib import Path

import pytest

from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.output.starter import JOBS, starter

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
    assert airframe is not None
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
