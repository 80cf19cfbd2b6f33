"""The command line as a user meets it: output and exit status; in a process of its own where that is what counts."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from called import called

ROOT = Path(__file__).parents[1]
DESIGNS = sorted((ROOT / "designs").glob("*.toml"))
PASSING = ["skerry-boost.toml", "skerry-fins.toml", "pod-nose.toml", "board-cuts.toml"]


def run(*arguments: str, cwd: Path = ROOT, timeout: float = 120) -> subprocess.CompletedProcess[str]:
    """Run it as a process, with every warning shown."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "default"}
    return subprocess.run(
        [sys.executable, "-m", "foamworks", *arguments],
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        timeout=timeout,
        check=False,
    )


@pytest.mark.parametrize("name", PASSING)
def test_the_designs_to_copy_pass(name: str) -> None:
    done = called("check", f"designs/{name}")
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stderr == ""


def test_json_is_one_object_without_nan_and_nothing_else() -> None:
    done = run("check", "designs/skerry-boost.toml", "--json")
    assert (done.returncode, done.stderr) == (0, "")

    def refuse(token: str) -> float:
        raise AssertionError(token)

    data = json.loads(done.stdout, parse_constant=refuse)
    assert data["design"] == {"name": "Skerry boost", "file": "skerry-boost.toml"}
    assert "sheets" not in data
    assert "files" not in data


def test_the_flights_names_are_one_object_too_and_none_is_no_line() -> None:
    names = called("check", "designs/skerry-fins.toml", "--flights").stdout.splitlines()
    assert json.loads(called("check", "designs/skerry-fins.toml", "--flights", "--json").stdout) == {"flights": names}
    assert names == ["stock", "twin fins"]
    assert called("check", "designs/pod-nose.toml", "--flights").stdout == ""
    assert called("compare", "designs/pod-nose.toml", "--ladder").stdout == "no flights: no [airframe] is given\n"


def test_a_design_that_cannot_be_read_is_exit_2_with_one_message(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text("[airframe]\nmas = 1\n")
    done = run("check", str(path), "--json")
    assert done.returncode == 2
    assert done.stdout == ""
    assert "x.toml:2: airframe.mas = 1: unknown key" in done.stderr
    assert len(done.stderr.splitlines()) <= 5


def test_a_finding_that_fails_is_exit_1(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text(
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [100, 100]\nmass = 5\n'
        '[[cuts]]\nname = "long"\nrectangle = [200, 10]\n'
    )
    done = run("check", "--all", str(path))
    assert done.returncode == 1
    assert "sheet-fit: long" in done.stdout


@pytest.mark.parametrize("arguments", [["check"], ["check", "x", "--colour"], ["fly"], ["build", "x", "--dxf", "r9"]])
def test_a_wrong_call_is_exit_2(arguments: list[str]) -> None:
    done = called(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("option", "value"),  # a comma is a folder's name like another
    [("--out", ""), ("--out", " "), ("--only", ""), ("--only", " "), ("--only", ",")],
)
def test_an_option_without_a_value_is_exit_2_and_builds_nothing(tmp_path: Path, option: str, value: str) -> None:
    done = called("build", str(ROOT / "designs" / "board-cuts.toml"), option, value, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f'{option} "{value}": ')
    assert not list(tmp_path.iterdir())


def test_only_takes_no_empty_place_between_commas() -> None:
    done = called("build", "designs/pod-nose.toml", "--only", "pod,,sheets")
    assert done.returncode == 2
    assert "takes fins, pod, sheets, prints, report" in done.stderr


@pytest.mark.parametrize("command", [["check"], ["build"], ["compare", "designs/pod-nose.toml"]])
def test_with_json_a_fault_of_the_design_leaves_stdout_empty(tmp_path: Path, command: list[str]) -> None:
    path = tmp_path / "x.toml"
    path.write_text("[airframe]\nmass = " + "9" * 5000 + "\n")
    done = called(*command, str(path), "--json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "x.toml:2: airframe.mass = 9999" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_message_sends_no_escapes_to_the_terminal() -> None:
    done = called("build", "designs/pod-nose.toml", "--only", "\x1b[31mpod")
    assert done.returncode == 2
    assert "\x1b" not in done.stderr
    assert r"\u001b[31mpod" in done.stderr


@pytest.mark.parametrize("name", [b"\xff", b"\x1b[31m"], ids=["not UTF-8", "escape"])
def test_a_design_may_have_a_file_name_that_cannot_be_printed(tmp_path: Path, name: bytes) -> None:
    try:
        path = Path(os.fsdecode(bytes(tmp_path) + b"/" + name + b".toml"))
        path.write_text('[[boards]]\nname = "b"\nthickness = 5\nsheet = [99, 99]\n[[cuts]]\nname = "c"\ndisc = 9\n')
    except OSError:
        pytest.skip("this file system takes no such name")
    done = run("build", str(path), "--only", "sheets", "--out", str(tmp_path / "out"), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    escaped = {b"\xff": r"\udcff", b"\x1b[31m": r"\u001b[31m"}[name]
    assert json.loads(done.stdout)["design"] == {"name": escaped, "file": f"{escaped}.toml"}


@pytest.mark.parametrize("version", ["r12", "r2010"])
def test_a_build_that_succeeds_says_nothing_on_stderr(tmp_path: Path, version: str) -> None:
    path = tmp_path / "plate.toml"
    path.write_text('[[boards]]\nname = "b"\nthickness = 5\nsheet = [99, 99]\n[[cuts]]\nname = "c"\ndisc = 9\n')
    done = run("build", str(path), "--only", "sheets", "--dxf", version, "--out", str(tmp_path))
    assert (done.returncode, done.stderr) == (0, "")


def test_only_takes_what_it_knows() -> None:
    done = called("build", "designs/pod-nose.toml", "--only", "wings")
    assert done.returncode == 2
    assert "takes fins, pod, sheets, prints, report" in done.stderr


@pytest.mark.parametrize(("command", "option", "value", "takes"), [
    ("build", "--improve", "-5", "takes 0 to 86400 seconds"),
    ("build", "--improve", "nan", "takes 0 to 86400 seconds"),
    ("watch", "--port", "99999999", "takes 0 to 65535"),
])  # fmt: skip
def test_a_number_that_an_option_cannot_use_is_told_with_what_it_takes(command, option, value, takes) -> None:
    done = called(command, "designs/pod-nose.toml", option, value)
    assert (done.returncode, done.stderr) == (2, f"{option} {value}: {takes}\n")


@pytest.mark.parametrize("job", ["boost", "fins", "nose", "sheets"])
def test_a_new_design_can_be_checked_at_once_and_is_never_overwritten(tmp_path: Path, job: str) -> None:
    done = called("new", "my jet", "--for", job, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert called("check", "my jet.toml", cwd=tmp_path).returncode in {0, 1}
    before = (tmp_path / "my jet.toml").read_bytes()
    again = called("new", "my jet", "--for", job, cwd=tmp_path)
    assert again.returncode == 2
    assert "not overwritten" in again.stderr
    assert (tmp_path / "my jet.toml").read_bytes() == before


@pytest.mark.parametrize("name", ["../x", "a/b", "", ".hidden", 'quo"te'])
def test_a_new_design_stays_in_its_folder(tmp_path: Path, name: str) -> None:
    done = called("new", name, cwd=tmp_path)
    assert done.returncode == 2
    assert not list(tmp_path.iterdir())


def test_an_out_that_cannot_be_used_is_exit_2(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    done = called("build", "designs/board-cuts.toml", "--out", str(tmp_path / "file"))
    assert done.returncode == 2
    assert "--out" in done.stderr


def test_a_folder_that_no_build_wrote_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "board-cuts").mkdir()
    (tmp_path / "board-cuts" / "mine.txt").write_text("mine")
    done = called("build", "designs/board-cuts.toml", "--out", str(tmp_path))
    assert done.returncode == 2
    assert (tmp_path / "board-cuts" / "mine.txt").read_text() == "mine"


def test_the_schema_is_json_and_names_the_tables() -> None:
    data = json.loads(called("schema").stdout)
    assert {"airframe", "fins", "pod", "motors", "cuts", "boards"} <= set(data["properties"])


def test_check_loads_no_cad_kernel_and_no_drawing_library() -> None:
    code = (
        "import sys; from pathlib import Path; from foamworks import pipeline; from foamworks.output import summary;"
        "summary.as_dict(pipeline.check(Path('designs/skerry-boost.toml')));"
        "slow = {'cadquery', 'OCP', 'matplotlib', 'ezdxf', 'reportlab', 'scipy.optimize', 'foamworks.parts.nest'};"
        "print(sorted(slow & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# each line runs before the command line does, in its process
STOPPING = {
    "in the study": (
        "import time, foamworks.pipeline as p;p.check = lambda path: (print('ready', flush=True), time.sleep(60))"
    ),
    "while it writes": (
        "import time, foamworks.output.writing as w;"
        "w.write_all = lambda *_: (print('ready', flush=True), time.sleep(60))"
    ),
    # the C code of the CAD kernel's modules turns an interruption into an ImportError
    "in the import of the kernel": (
        "import builtins, time; real = builtins.__import__\n"
        "def slow(name, *rest, **named):\n"
        "    if name != 'cadquery': return real(name, *rest, **named)\n"
        "    print('ready', flush=True)\n"
        "    try: time.sleep(60)\n"
        "    except KeyboardInterrupt: raise ImportError('initialization failed') from None\n"
        "builtins.__import__ = slow"
    ),
}


@pytest.mark.parametrize("signal_and_exit", [(signal.SIGINT, 130), (signal.SIGTERM, 143)], ids=["Ctrl-C", "SIGTERM"])
@pytest.mark.parametrize("where", STOPPING)
def test_a_stopped_build_says_only_that_and_leaves_nothing(
    tmp_path: Path, where: str, signal_and_exit: tuple[signal.Signals, int]
) -> None:
    call = ["foamworks", "build", "designs/pod-nose.toml", "--out", str(tmp_path)]
    code = f"{STOPPING[where]}\nimport sys; sys.argv = {call!r}\nfrom foamworks.cli import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal_and_exit[0])
    _, errors = process.communicate(timeout=30)
    assert process.returncode == signal_and_exit[1]
    assert errors == "stopped; nothing half-written is left\n"
    assert not list(tmp_path.iterdir())
