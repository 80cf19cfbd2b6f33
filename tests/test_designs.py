"""The design files that are there to be copied do what their first lines say."""

import re
import runpy
import tomllib
from pathlib import Path

import pytest

from foamworks.checks.case import Case
from foamworks.design.load import load
from foamworks.pipeline import exit_status
from kept import check

FOLDER = Path(__file__).parents[1] / "designs"
FILES = sorted(FOLDER.glob("*.toml"))
FAILING = {"too-far-aft"}  # a bad design, kept on purpose


@pytest.fixture(scope="module")
def cases() -> dict[str, Case]:
    return {path.stem: check(path) for path in FILES}


def test_there_is_a_full_one_and_one_for_each_smaller_job() -> None:
    tables = {path.stem: set(tomllib.loads(path.read_text())) for path in FILES}
    assert {"airframe", "fins", "pod", "motors", "boards", "printer", "ignition"} <= tables["skerry-boost"]
    assert "pod" not in tables["skerry-fins"]
    assert "airframe" not in tables["pod-nose"] | tables["board-cuts"]
    assert "pod" not in tables["board-cuts"]


@pytest.mark.parametrize("name", [path.stem for path in FILES])
def test_each_passes_or_fails_as_it_is_meant_to(name: str, cases: dict[str, Case]) -> None:
    failed = [f"{f.check}: {f.subject}" for f in cases[name].findings if f.verdict == "fail"]
    assert exit_status(cases[name]) == int(name in FAILING), failed


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_file_opens_with_what_it_is_for(path: Path) -> None:
    assert path.read_text().startswith("# ")


def test_the_bad_one_names_the_states_that_fight(cases: dict[str, Case]) -> None:
    told = next(f for f in cases["too-far-aft"].findings if f.check == "balance-solved" and f.verdict == "fail")
    assert '"29 mm F class: unburnt landing"' in told.why
    assert '"no motor"' in told.why


def test_the_sweep_runs_and_gives_a_row_for_each_place(capsys: pytest.CaptureFixture[str]) -> None:
    runpy.run_path(str(FOLDER / "sweep.py"), run_name="__main__")
    head, *rows = capsys.readouterr().out.splitlines()
    assert head.startswith("nozzle x mm")
    places = [int(re.match(r" *(\d+)", row)[1]) for row in rows]  # type: ignore[index]
    assert places == list(range(620, 741, 20))


def test_the_samples_are_read_alike_wherever_they_lie(tmp_path: Path) -> None:
    for path in FILES:
        copy = tmp_path / path.name
        copy.write_bytes(path.read_bytes())
        assert load(copy) == load(path)
