"""The live page: new after each save, the last good page under a fault, for this machine only, nothing written."""

import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from http.client import HTTPConnection
from pathlib import Path

import pytest

import kept
from browser import dom_of, needs_browser
from foamworks.errors import DesignError, OutputError
from foamworks.output.report.live import live_page
from foamworks.watch import Shown, Watch, serving

ROOT = Path(__file__).parents[1]
SHEETS = """name = "Plates"
[[boards]]
name = "board"
thickness = 5
sheet = [500, 700]
mass = 140
[[cuts]]
name = "plate"
board = "board"
rectangle = [LONG, 80]
"""
SQUARE = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{0}mm" viewBox="0 0 {0} {0}">{1}</svg>'
OUTLINE = '<path d="M0 0H{0}V{0}H0Z" fill="none" stroke="#000"/>'


def plates(path: Path, length: float | str) -> None:
    path.write_text(SHEETS.replace("LONG", str(length)))


def square(side: int) -> str:
    return SQUARE.format(side, OUTLINE.format(side))


@dataclass
class Live:
    """A design under watch and its address."""

    design: Path
    watch: Watch
    address: str

    def get(self, path: str = "") -> str:
        with urllib.request.urlopen(self.address + path, timeout=10) as answer:
            return str(answer.read().decode())

    @property
    def revision(self) -> int:
        return int(json.loads(self.get("state"))["revision"])

    def saved(self) -> Shown | None:
        """Look twice, as a save asks for."""
        self.watch.look()
        return self.watch.look()


@pytest.fixture
def live(tmp_path: Path) -> Iterator[Live]:
    design = tmp_path / "plates.toml"
    plates(design, 120)
    watch = Watch(design)
    with serving(watch) as address:
        yield Live(design, watch, address)


def status(address: str, path: str, *, method: str = "GET", hosts: tuple[str, ...] | None = None) -> int:
    """Ask by hand, with any Host lines."""
    link = HTTPConnection(address.removeprefix("http://").rstrip("/"), timeout=10)
    own = (address.removeprefix("http://").rstrip("/"),) if hosts is None else hosts
    link.putrequest(method, path, skip_host=True)
    for host in own:
        link.putheader("Host", host)
    link.endheaders()
    answer = link.getresponse()
    answer.read()
    link.close()
    return answer.status


def test_the_page_is_the_report_under_a_strip(live: Live) -> None:
    page = live.get()
    assert "<h1>Plates</h1>" in page
    assert "plates.toml is read again at every save" in page
    assert page.count('id="live"') == 1
    assert page.index('id="live"') < page.index("<h1>")
    assert f'data-revision="{live.revision}"' in page


def test_the_strip_is_the_only_thing_that_sets_it_apart_from_the_report_of_a_build(live: Live) -> None:
    from foamworks.output import summary
    from foamworks.output.report.page import full_report

    case = kept.check(live.design)
    answer = kept.answer(case)
    report = full_report(case, summary.as_dict(case, answer), answer).page
    head, _, rest = live.get().partition("<body>")
    assert report.startswith(head + "<body>")
    assert rest.endswith(report.partition("<body>")[2])


def test_a_save_moves_the_revision_and_the_page_shows_the_new_numbers(live: Live) -> None:
    before = live.revision
    assert live.saved() is None
    assert live.revision == before
    plates(live.design, 133)
    assert live.saved() is not None
    assert live.revision == before + 1
    assert re.search(r"\b133\b", live.get())


def test_a_save_that_makes_a_finding_fail_shows_the_failure(live: Live) -> None:
    plates(live.design, 900)  # longer than the sheet
    shown = live.saved()
    assert shown is not None
    assert shown.fault == ""
    assert "sheet-fit: plate" in live.get()


@pytest.mark.parametrize("again", ["same content", "touched only"])
def test_a_save_without_a_change_is_no_news(live: Live, again: str) -> None:
    if again == "same content":
        plates(live.design, 120)
    os.utime(live.design, (1, 1))
    assert live.saved() is None


def test_a_change_is_seen_even_when_size_and_time_stay(live: Live) -> None:
    before = live.design.stat()
    plates(live.design, 121)
    os.utime(live.design, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert live.design.stat().st_size == before.st_size
    assert live.saved() is not None


def test_a_file_still_being_written_is_waited_for(live: Live) -> None:
    for length in (130, 131, 132):
        plates(live.design, length)
        assert live.watch.look() is None
    assert live.watch.look() is not None


def test_a_faulty_file_shows_its_message_above_the_last_good_page_and_recovers(live: Live) -> None:
    plates(live.design, 133)
    live.saved()
    plates(live.design, '"12 parsecs"')
    shown = live.saved()
    assert shown is not None
    page = live.get()
    key = "plates.toml:10: cuts[1].rectangle"
    assert key in shown.fault
    assert "12 parsecs" in shown.fault
    assert key in page
    assert page.index(key) < page.index("<h1>Plates</h1>")
    assert re.search(r"\b133\b", page)
    plates(live.design, 133)
    assert live.saved() is not None
    assert key not in live.get()


def test_a_file_that_is_gone_for_a_while_is_a_fault_and_comes_back(live: Live) -> None:
    live.design.unlink()
    shown = live.saved()
    assert shown is not None
    assert "cannot be read" in shown.fault
    plates(live.design, 120)
    shown = live.saved()
    assert shown is not None
    assert shown.fault == ""


def test_the_words_of_a_message_stay_words(live: Live) -> None:
    live.design.write_text('name = "x"\n"<script>alert(1)</script>" = 1\n')
    shown = live.saved()
    assert shown is not None
    assert "<script>alert(1)" in shown.fault
    assert "<script>alert(1)" not in live.get()
    assert "&lt;script&gt;alert(1)" in live.get()


def test_a_name_that_reads_like_the_page_does_not_catch_the_strip() -> None:
    page = live_page("<title>&lt;body&gt;</title><body>\n<p>&lt;body&gt;</p>", file="a<b>", revision=7, fault="")
    assert page.startswith("<title>&lt;body&gt;</title><body>\n<style>")
    assert "a&lt;b&gt; is read again" in page


def test_the_files_a_design_names_are_looked_at_too_also_before_they_are_there(tmp_path: Path) -> None:
    design, trace = tmp_path / "traced.toml", tmp_path / "plate.svg"
    design.write_text(SHEETS.replace("rectangle = [LONG, 80]", 'trace = "plate.svg"'))
    trace.write_text(square(100))
    watch = Watch(design)

    def area() -> float:
        return float(next(part["area_mm2"] for part in watch.shown.data["parts"] if part["name"] == "plate"))

    assert area() == pytest.approx(100**2, rel=1e-4)
    trace.write_text(square(110))
    assert (watch.look(), watch.look() is not None) == (None, True)
    assert area() == pytest.approx(110**2, rel=1e-4)
    trace.unlink()
    assert (watch.look(), watch.look() is not None) == (None, True)
    assert "plate.svg" in watch.shown.fault
    trace.write_text(square(120))
    assert (watch.look(), watch.look() is not None) == (None, True)
    assert watch.shown.fault == ""
    assert area() == pytest.approx(120**2, rel=1e-4)


def test_a_design_that_cannot_be_used_at_the_start_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="cannot be read"):
        Watch(tmp_path / "none.toml")


def test_a_later_watch_does_not_take_up_the_revision_of_an_earlier_one(tmp_path: Path) -> None:
    plates(tmp_path / "plates.toml", 120)
    first = Watch(tmp_path / "plates.toml").shown.revision
    time.sleep(0.002)
    assert Watch(tmp_path / "plates.toml").shown.revision > first


@pytest.mark.parametrize(
    "hosts",
    [
        ("elsewhere.example",),
        ("127.0.0.1",),
        ("127.0.0.1:1",),
        ("localhost.elsewhere.example:{port}",),
        ("elsewhere.example:{port}",),
        ("127.0.0.1:{port}", "elsewhere.example"),
        (),
    ],
)
def test_another_host_name_is_refused(live: Live, hosts: tuple[str, ...]) -> None:
    port = live.address.rstrip("/").rpartition(":")[2]
    for path in ("/", "/state"):
        assert status(live.address, path, hosts=tuple(host.format(port=port) for host in hosts)) == 403


def test_this_machines_own_names_are_answered(live: Live) -> None:
    port = live.address.rstrip("/").rpartition(":")[2]
    for host in (f"127.0.0.1:{port}", f"localhost:{port}", f"LOCALHOST:{port}"):
        assert status(live.address, "/", hosts=(host,)) == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE", "HEAD", "OPTIONS"])
def test_only_get_is_answered(live: Live, method: str) -> None:
    assert status(live.address, "/", method=method) == 405


@pytest.mark.parametrize(
    "path", ["/plates.toml", "/../plates.toml", "/%2e%2e/plates.toml", "/state/", "/?x", "/favicon.ico", "/report.html"]
)
def test_no_other_path_is_known(live: Live, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError, match="404") as answer:
        live.get(path.removeprefix("/"))
    answer.value.close()
    assert status(live.address, path) == 404


def test_no_other_page_may_frame_it_or_keep_it(live: Live) -> None:
    with urllib.request.urlopen(live.address, timeout=10) as answer:
        assert answer.headers["Cache-Control"] == "no-store"
        assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
        assert "Access-Control-Allow-Origin" not in answer.headers


def test_it_listens_on_the_loopback_alone(live: Live) -> None:
    port = int(live.address.rstrip("/").rpartition(":")[2])
    # the whole 127/8 is loopback on Linux: who listens on every address answers on 127.0.0.2 as well
    with pytest.raises(ConnectionRefusedError), socket.create_connection(("127.0.0.2", port), timeout=1):
        pass


def test_a_browser_that_hangs_up_is_passed_over(live: Live, capfd: pytest.CaptureFixture[str]) -> None:
    port = int(live.address.rstrip("/").rpartition(":")[2])
    for _ in range(5):
        link = socket.create_connection(("127.0.0.1", port))
        link.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")  # closing resets the connection
        link.sendall(f"GET / HTTP/1.0\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
        link.close()
    assert live.revision
    assert capfd.readouterr() == ("", "")


def test_a_port_in_use_is_one_clear_message(live: Live) -> None:
    port = int(live.address.rstrip("/").rpartition(":")[2])
    with pytest.raises(OutputError, match=rf"--port {port}: cannot be used .*in use"), serving(live.watch, port):
        pass


def test_nothing_is_written(live: Live) -> None:
    plates(live.design, 133)
    live.saved()
    live.get()
    plates(live.design, "[")
    live.saved()
    live.get()
    assert [path.name for path in live.design.parent.rglob("*")] == ["plates.toml"]


@pytest.mark.parametrize("design", ["pod-nose", pytest.param("skerry-boost", marks=pytest.mark.slow)])
def test_it_loads_no_cad_kernel_no_drawing_library_and_no_nester(design: str) -> None:
    code = (
        "import sys; from pathlib import Path; from foamworks.watch import Watch;"
        f"Watch(Path('designs/{design}.toml'));"
        "slow = {'cadquery', 'OCP', 'matplotlib', 'ezdxf', 'reportlab', 'foamworks.parts.nest'};"
        "print(sorted(slow & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


Started = Callable[..., subprocess.Popen[str]]


@pytest.fixture
def started(tmp_path: Path) -> Iterator[Started]:
    """Start the command in a folder of its own, and see to it that it ends."""
    processes = []

    def start(*arguments: str) -> subprocess.Popen[str]:
        plates(tmp_path / "plates.toml", 120)
        process = subprocess.Popen(
            [sys.executable, "-m", "foamworks", "watch", *arguments],
            cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        processes.append(process)
        return process

    yield start
    for process in processes:
        process.kill()
        process.communicate()


def line(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    return process.stdout.readline()


def test_the_command_prints_its_address_and_a_line_a_reading_and_ctrl_c_ends_it(
    started: Started, tmp_path: Path
) -> None:
    process = started("plates.toml")
    first = line(process)
    found = re.fullmatch(r"plates\.toml is live at (http://127\.0\.0\.1:\d+/) \(Ctrl-C ends it\): 0 fail, .*\n", first)
    assert found is not None, first
    with urllib.request.urlopen(found.group(1), timeout=10) as answer:
        assert b"<h1>Plates</h1>" in answer.read()
    plates(tmp_path / "plates.toml", 900)
    assert re.fullmatch(r"read again: [1-9] fail, .*\n", line(process))
    plates(tmp_path / "plates.toml", "[")
    assert re.fullmatch(r"read again: plates\.toml:10: .*: is not TOML.*\n", line(process))
    process.send_signal(signal.SIGINT)
    rest, errors = process.communicate(timeout=20)
    assert (process.returncode, rest) == (130, "")
    assert errors.startswith("stopped")
    assert [path.name for path in tmp_path.iterdir()] == ["plates.toml"]


def test_told_to_terminate_it_ends_with_0(started: Started) -> None:
    process = started("plates.toml", "--port", "0")
    assert "127.0.0.1" in line(process)
    process.terminate()
    assert process.communicate(timeout=20) == ("", "")
    assert process.returncode == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["none.toml"], "none.toml: cannot be read"),
        (["plates.toml", "--port", "{port}"], "--port {port}: cannot be used"),
        (["plates.toml", "--port", "70000"], "--port"),
    ],
)
def test_what_cannot_be_used_at_the_start_is_exit_2(
    started: Started, live: Live, arguments: list[str], words: str
) -> None:
    port = live.address.rstrip("/").rpartition(":")[2]
    process = started(*(argument.format(port=port) for argument in arguments))
    out, errors = process.communicate(timeout=30)
    assert (process.returncode, out) == (2, "")
    assert words.format(port=port) in errors
    assert len(errors.splitlines()) <= 5


class Saved:
    """Shows one page to a browser, and after a few questions another, as a save does."""

    def __init__(self, *pages: Shown) -> None:
        self.pages = pages
        self.asked = 0

    @property
    def shown(self) -> Shown:
        self.asked += 1
        return self.pages[0] if self.asked <= 3 else self.pages[1]


@pytest.mark.slow
@needs_browser
def test_a_browser_shows_the_new_page_by_itself_as_far_open_and_turned_as_the_old(tmp_path: Path) -> None:
    design = tmp_path / "boost.toml"
    shutil.copy(ROOT / "designs" / "skerry-boost.toml", design)
    watch = Watch(design)
    used = """<script>window.addEventListener("load", () => {
      document.querySelector("details").open = true;
      document.querySelector("canvas").dispatchEvent(new KeyboardEvent("keydown", { key: "+" })); });</script></body>"""
    first = replace(watch.shown, page=watch.shown.page.replace("</body>", used))
    design.write_text(design.read_text().replace('name = "Skerry boost"', 'name = "Skerry, second"', 1))
    second = (watch.look(), watch.look())[1]
    assert second is not None
    with serving(Saved(first, second)) as address:
        dom = dom_of(address, tmp_path, "--virtual-time-budget=8000")
    assert "<h1>Skerry, second</h1>" in dom
    assert f'data-revision="{second.revision}"' in dom
    assert "<details open" in dom
    zoom = re.search(r'data-view="\[[^,]+,[^,]+,([\d.]+),', dom)
    assert zoom is not None
    assert float(zoom.group(1)) > 1


@pytest.mark.slow
@needs_browser
def test_a_browser_draws_the_whole_page_under_its_own_rules(tmp_path: Path) -> None:
    with serving(Watch(ROOT / "designs" / "skerry-boost.toml")) as address:
        dom = dom_of(address, tmp_path, "--virtual-time-budget=8000")
    assert 'data-ready="yes"' in dom  # the 3-D view ran
    assert '<div id="live" role="status"' in dom  # and the strip does not say that the watch has ended
