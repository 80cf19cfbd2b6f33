"""The README's commands are the ones the continuous check runs, and what it shows is what the program prints."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [block.strip() for block in re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)]


@pytest.mark.parametrize("start", ["python -m pip install . &&", 'python -m pip install ".[test]" &&'])
def test_the_continuous_check_runs_the_command_as_printed(start: str) -> None:
    command = next(block for block in COMMANDS if block.startswith(start))
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_it_opens_with_the_job_in_one_paragraph() -> None:
    paragraph = README.split("\n\n")[1]
    assert paragraph.startswith("You own an off-the-shelf foam")


def test_the_shown_output_is_the_programs_own() -> None:
    shown = re.search(r"```text\n(.*?)```", README, flags=re.DOTALL)
    assert shown is not None
    done = subprocess.run(
        [sys.executable, "-m", "foamworks", "check", "designs/skerry-boost.toml"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    lines = done.stdout.splitlines()
    for line in shown.group(1).splitlines():
        assert line == "..." or line in lines, line


def test_every_file_it_names_is_there() -> None:
    for name in re.findall(r"`((?:designs|foamworks)/[\w./-]+)`", README):
        assert (ROOT / name).exists(), name


def test_every_command_it_names_is_known() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "foamworks", "--help"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    for command in set(re.findall(r"foamworks (new|check|build|compare|schema|watch)\b", README)):
        assert command in done.stdout
