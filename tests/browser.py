"""A browser, where there is one: what it makes of a page."""

import shutil
import subprocess
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium")
needs_browser = pytest.mark.skipif(CHROMIUM is None, reason="no chromium here")


def dom_of(address: str, folder: Path, *more: str) -> str:
    """Give the page at `address` as the browser has it after its scripts ran; its own files go into `folder`."""
    quiet = ("gpu", "quic", "background-networking", "component-update", "sync")
    flags = ["--headless", "--no-sandbox", "--no-first-run", *(f"--disable-{name}" for name in quiet), *more]
    call = [str(CHROMIUM), *flags, f"--user-data-dir={folder / 'profile'}", "--dump-dom", address]
    return subprocess.run(call, capture_output=True, text=True, timeout=120, check=True).stdout
