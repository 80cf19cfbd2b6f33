"""The command line, called in the tests' own process, without a start each time; a script in a process of its own."""

import contextlib
import io
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from foamworks import cli

ROOT = Path(__file__).parents[1]


@dataclass(frozen=True)
class Call:
    """What a call left behind."""

    returncode: int
    stdout: str
    stderr: str


def called(*arguments: str, cwd: Path = ROOT) -> Call:
    """Call `foamworks` with these arguments from a folder."""
    out, errors = io.StringIO(), io.StringIO()
    with (
        contextlib.chdir(cwd),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(errors),
        pytest.raises(SystemExit) as ended,
    ):
        cli.app(list(arguments), prog_name="foamworks")
    return Call(int(ended.value.code or 0), out.getvalue(), errors.getvalue())


def printed(script: str, *arguments: str, seed: str) -> str:
    """Give what a script prints in a process of its own, with its own seed of Python's hashes."""
    call = [sys.executable, "-c", script, *arguments]
    env = {**os.environ, "PYTHONHASHSEED": seed}
    return subprocess.run(call, check=True, capture_output=True, text=True, env=env).stdout
