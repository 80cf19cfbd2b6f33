"""A live page of one design: read again at every save, shown to a browser on this machine only; nothing is written.

`Watch` looks at the design file and at the files it names. `serving` answers on 127.0.0.1: `/` is the report without
sheets and prints, `/state` its revision, for which the page asks. A file that cannot be used puts its message above
the last page that could be made.
"""

import json
import os
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import blake2b
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from sys import exc_info
from threading import Thread
from typing import Any, Protocol

from foamworks import pipeline
from foamworks.design.files import MAX_BYTES
from foamworks.design.load import named_files
from foamworks.errors import FoamworksError, OutputError, printable
from foamworks.output.keys import Row

EVERY = 0.15  # s between two looks; a change is taken up at the second look that finds it, so within 0.3 s
HOST = "127.0.0.1"
PATIENCE = 10.0  # s that a browser may take to ask or to listen before it is hung up on
HTTP_PORT = 80  # the one port that a browser leaves out of the Host it names
# the page needs nothing but itself and /state, whoever frames it or asks from elsewhere gets nothing
HEADERS = {
    "Allow": "GET",
    "Cache-Control": "no-store",
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; connect-src 'self'; img-src data:;"
        " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


@dataclass(frozen=True)
class Shown:
    """What the page shows: the summary of the last design that could be used, and the fault of a later one."""

    revision: int
    page: str
    data: Mapping[str, Any]
    fault: str = ""


class Showing(Protocol):
    """Whatever has something to show."""

    @property
    def shown(self) -> Shown:
        """What the page shows now."""
        ...


class Watch:
    """Looks after one design file; `shown` is replaced whole, so that a page is never half new.

    Raises FoamworksError when the design cannot be used at the start.
    """

    def __init__(self, design: Path) -> None:
        self._design = design
        self._files: tuple[Path, ...] = ()
        self._held: dict[Path, bytes] = {}  # what the files held when the design was last read
        self._seen: dict[Path, bytes] = {}  # what they held at the last look
        self._take_note()
        self._report, data = _studied(design)
        # why the clock: a page left open by an earlier watch must not take this one's first revision for its own
        self.shown = self._show(time.time_ns() // 1_000_000, data)

    def look(self) -> Shown | None:
        """Read again when a file is another than the one read and as the last look saw it; None without news."""
        before, self._seen = self._seen, _contents(self._files)
        if self._seen == self._held or self._seen != before:  # the same twice: the editor is done writing
            return None
        self._take_note()
        revision, data = self.shown.revision + 1, self.shown.data
        try:
            self._report, data = _studied(self._design)
        except FoamworksError as fault:
            self.shown = self._show(revision, data, str(fault))
        else:
            self.shown = self._show(revision, data)
        return self.shown

    def readings(self, ended: Callable[[], bool]) -> Iterator[Shown]:
        """Give what is shown after each save, until `ended`."""
        while not ended():
            time.sleep(EVERY)
            news = self.look()
            if news is not None:
                yield news

    def _take_note(self) -> None:
        """Note which files there are to look at and what they hold; before they are read, so that no save is missed."""
        self._files = (self._design, *named_files(self._design))
        self._held = self._seen = _contents(self._files)

    def _show(self, revision: int, data: Mapping[str, Any], fault: str = "") -> Shown:
        from foamworks.output.report.live import live_page

        page = live_page(self._report, file=printable(self._design.name), revision=revision, fault=fault)
        return Shown(revision, page, data, fault)


def _studied(design: Path) -> tuple[str, Row]:
    """Read, solve, study and judge a design; give its report and its summary."""
    from foamworks.changes.answer import answered
    from foamworks.output import summary
    from foamworks.output.report.page import full_report

    case = pipeline.check(design)
    answer = answered(case)
    case = replace(case, findings=answer.proved(case.findings))
    data = summary.as_dict(case, answer)
    return full_report(case, data, answer).page, data


def _contents(files: tuple[Path, ...]) -> dict[Path, bytes]:
    # why not the time of change: on some file systems it counts in steps of 2 s, and these files are small
    return {path: _digest(path) for path in files}


def _digest(path: Path) -> bytes:
    """Tell one content from another; empty for a file that cannot be read, of which reading the design will speak."""
    try:
        if not path.is_file():
            return b""
        with path.open("rb") as file:
            return blake2b(file.read(MAX_BYTES + 1)).digest()
    except OSError:
        return b""


@contextmanager
def serving(source: Showing, port: int = 0) -> Iterator[str]:
    """Serve what `source` shows, to this machine only; give the address. Port 0: a free one.

    Raises OutputError when the port cannot be had.
    """
    try:
        server = _Server(source, port)
    except OSError as fault:
        raise OutputError(
            f"--port {port}: cannot be used ({fault.strerror}); name another, or leave --port out for a free one"
        ) from None
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
    thread.start()
    try:
        yield f"http://{HOST}:{server.server_port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


class _Server(ThreadingHTTPServer):
    # why: elsewhere than on POSIX the first lets two programs share a port, and the second does so everywhere
    allow_reuse_address = os.name == "posix"
    allow_reuse_port = False

    def __init__(self, source: Showing, port: int) -> None:
        self.source = source
        super().__init__((HOST, port), _Answer)
        names = (HOST, "localhost")
        self.hosts = {f"{name}:{self.server_port}" for name in names}
        if self.server_port == HTTP_PORT:
            self.hosts |= set(names)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Pass over a browser that went away in the middle; the rest is a fault of ours and is shown."""
        if not isinstance(exc_info()[1], ConnectionError | TimeoutError):
            super().handle_error(request, client_address)


class _Answer(BaseHTTPRequestHandler):
    """Answers two addresses out of memory; no path that is asked for reaches the file system."""

    server: _Server
    timeout = PATIENCE

    def do_GET(self) -> None:
        # another site's name that was made to lead to this machine (DNS rebinding) arrives as the Host
        hosts = self.headers.get_all("Host", [])
        shown = self.server.source.shown
        if len(hosts) != 1 or hosts[0].strip().lower() not in self.server.hosts:
            self.send_error(403, explain="This page answers to 127.0.0.1 and localhost only.")
        elif self.path == "/":
            self._send("text/html; charset=utf-8", shown.page)
        elif self.path == "/state":
            self._send("application/json", json.dumps({"revision": shown.revision, "fault": shown.fault}))
        else:
            self.send_error(404, explain="There are / and /state.")

    def _refuse(self) -> None:
        self.send_error(405, explain="There is nothing to do here but to look: GET.")

    # the library looks for these names
    do_HEAD = do_POST = do_PUT = do_PATCH = do_DELETE = do_OPTIONS = _refuse  # noqa: N815

    def _send(self, kind: str, text: str) -> None:
        raw = text.encode("utf-8")
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(raw)))
        self.end_headers()
        self.wfile.write(raw)

    def end_headers(self) -> None:
        """Close the headers with those that every answer carries."""
        for name, value in HEADERS.items():
            self.send_header(name, value)
        super().end_headers()

    def version_string(self) -> str:
        """Name the program, not the library."""
        return "foamworks"

    def log_message(self, *_: object) -> None:
        """Say nothing: only the command line prints."""
