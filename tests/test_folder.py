"""The output folder: what killed builds left behind is put right, and nothing of the user's is touched."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from foamworks.errors import OutputError
from foamworks.output.folder import listing, whole_folder

ONE = 1  # the first process of the machine: it runs as long as the machine does


@pytest.fixture
def ended() -> int:
    """The number of a process that is gone."""
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def folder(place: Path) -> Path:
    place.mkdir(parents=True)
    (place / "summary.json").write_text('{"files": []}')
    return place


def build(out: Path, files: dict[str, str] | None = None) -> int:
    """Write these files as a build does; give how many of the last build's went."""
    with whole_folder(out, "jet") as place:
        for name, content in (files or {}).items():
            (place.work / name).parent.mkdir(parents=True, exist_ok=True)
            (place.work / name).write_text(content)
        (place.work / "summary.json").write_text(json.dumps({"files": listing(place.work)}))
    return place.removed


def texts(place: Path) -> dict[str, str]:
    """Every file under a folder but the summary."""
    found = {p.relative_to(place).as_posix(): p.read_text() for p in place.rglob("*") if p.is_file()}
    found.pop("summary.json")
    return found


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
    (folder(tmp_path / f".jet.{ended}.old") / "cards.pdf").write_text("last")
    with pytest.raises(KeyboardInterrupt), whole_folder(tmp_path, "jet"):
        raise KeyboardInterrupt
    assert texts(tmp_path / "jet") == {"cards.pdf": "last"}
    assert [place.name for place in tmp_path.iterdir()] == ["jet"]


def test_a_stop_between_the_two_moves_leaves_the_last_build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build(tmp_path, {"cards.pdf": "last"})
    (tmp_path / "jet" / "notes.txt").write_text("mine")
    real = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.suffix == ".new":
            raise KeyboardInterrupt
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(KeyboardInterrupt):
        build(tmp_path, {"cards.pdf": "new"})
    assert texts(tmp_path / "jet") == {"cards.pdf": "last", "notes.txt": "mine"}
    assert [place.name for place in tmp_path.iterdir()] == ["jet"]


def test_the_users_files_are_in_the_next_build_and_the_builds_own_are_not(tmp_path: Path) -> None:
    build(tmp_path, {"report.html": "1", "sheets/a.dxf": "1", "cards.pdf": "1"})
    jet = tmp_path / "jet"
    (jet / "photos").mkdir()
    (jet / "photos" / "a.jpg").write_text("mine")
    (jet / "sheets" / "notes.txt").write_text("mine")
    (jet / "empty").mkdir()
    (jet / "link").symlink_to("nowhere")
    assert build(tmp_path, {"report.html": "2"}) == 2
    assert texts(jet) == {"report.html": "2", "photos/a.jpg": "mine", "sheets/notes.txt": "mine"}
    assert (jet / "empty").is_dir()
    assert os.readlink(jet / "link") == "nowhere"


def test_a_file_of_the_users_under_a_new_builds_name_is_kept_beside_it(tmp_path: Path) -> None:
    build(tmp_path)
    (tmp_path / "jet" / "cards.pdf").write_text("mine")
    (tmp_path / "jet" / "cards-yours.pdf").write_text("mine too")
    build(tmp_path, {"cards.pdf": "1"})
    assert texts(tmp_path / "jet").pop("cards.pdf") == "1"
    assert sorted(texts(tmp_path / "jet").values()) == ["1", "mine", "mine too"]


@pytest.mark.parametrize("files", [{"cards.pdf": "2"}, {}])
def test_a_file_of_the_build_that_was_changed_by_hand_is_the_users(tmp_path: Path, files: dict[str, str]) -> None:
    build(tmp_path, {"cards.pdf": "1"})
    (tmp_path / "jet" / "cards.pdf").write_text("1, and my notes")
    assert build(tmp_path, files) == 0
    assert texts(tmp_path / "jet") == {**files, "cards-yours.pdf": "1, and my notes"}


def test_a_build_that_stops_leaves_the_users_files_where_they_were(tmp_path: Path) -> None:
    build(tmp_path, {"cards.pdf": "1"})
    (tmp_path / "jet" / "notes.txt").write_text("mine")
    with pytest.raises(KeyboardInterrupt), whole_folder(tmp_path, "jet"):
        raise KeyboardInterrupt
    assert texts(tmp_path / "jet") == {"cards.pdf": "1", "notes.txt": "mine"}


def test_where_links_cannot_be_made_the_users_files_are_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError("no links here")

    build(tmp_path)
    (tmp_path / "jet" / "notes.txt").write_text("mine")
    monkeypatch.setattr(os, "link", refuse)
    build(tmp_path)
    assert texts(tmp_path / "jet") == {"notes.txt": "mine"}


def test_a_summary_that_names_no_files_is_refused_and_the_folder_stays(tmp_path: Path) -> None:
    jet = folder(tmp_path / "jet")
    (jet / "summary.json").write_text("{}")
    with pytest.raises(OutputError, match="move the folder away"):
        build(tmp_path)
    assert (jet / "summary.json").read_text() == "{}"
