"""The output folder: what killed builds left behind is put right, and nothing else is touched."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from foamworks.output.folder import whole_folder

ONE = 1  # the first process of the machine: it runs as long as the machine does


@pytest.fixture
def ended() -> int:
    """The number of a process that is gone."""
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def folder(place: Path, content: str = "") -> Path:
    place.mkdir(parents=True)
    (place / "summary.json").write_text(content)
    return place


def build(out: Path, content: str = "new") -> None:
    with whole_folder(out, "jet") as (work, _):
        (work / "summary.json").write_text(content)


def test_the_next_build_removes_what_a_killed_one_left(tmp_path: Path, ended: int) -> None:
    folder(tmp_path / f".jet.{ended}.new")
    folder(tmp_path / f".jet.{os.getpid()}.new")  # the number of a killed one, come round again
    build(tmp_path)
    assert [place.name for place in tmp_path.iterdir()] == ["jet"]


@pytest.mark.parametrize("name", [".jet.{}.new.bak", ".jet.x{}.new", ".jet.2.{}.new", "jet.{}.new", ".plane.{}.new"])
def test_other_folders_stay(tmp_path: Path, ended: int, name: str) -> None:
    kept = folder(tmp_path / name.format(ended))
    build(tmp_path)
    assert (kept / "summary.json").exists()


def test_the_folder_of_a_build_that_still_runs_stays(tmp_path: Path) -> None:
    kept = folder(tmp_path / f".jet.{ONE}.new")
    build(tmp_path)
    assert kept.exists()


def test_a_file_and_a_link_of_that_name_stay(tmp_path: Path, ended: int) -> None:
    away = folder(tmp_path / "elsewhere")
    out = tmp_path / "out"
    out.mkdir()
    (out / f".jet.{ended}.new").symlink_to(away)
    (out / f".jet.{ended}.old").write_text("mine")
    build(out)
    assert (away / "summary.json").exists()
    assert (out / f".jet.{ended}.old").read_text() == "mine"


def test_a_last_build_that_was_moved_aside_comes_back_when_the_next_one_stops(tmp_path: Path, ended: int) -> None:
    folder(tmp_path / f".jet.{ended}.old", "last")
    with pytest.raises(KeyboardInterrupt), whole_folder(tmp_path, "jet"):
        raise KeyboardInterrupt
    assert (tmp_path / "jet" / "summary.json").read_text() == "last"
    assert [place.name for place in tmp_path.iterdir()] == ["jet"]


def test_a_stop_between_the_two_moves_leaves_the_last_build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build(tmp_path, "last")
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.suffix == ".new":
            raise KeyboardInterrupt
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(KeyboardInterrupt):
        build(tmp_path)
    assert (tmp_path / "jet" / "summary.json").read_text() == "last"
    assert [place.name for place in tmp_path.iterdir()] == ["jet"]
