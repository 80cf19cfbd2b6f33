"""The README's pictures lie there in their size, are named in it, and the script that makes them makes such ones."""

import struct
import subprocess
import sys
from pathlib import Path

import pytest

from browser import needs_browser

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "designs" / "pictures"
SIZES = {"overview": (1280, 1120), "report": (1280, 900)}
MOST = 300_000  # bytes: a picture is looked at before anything is installed


def size_of(path: Path) -> tuple[int, int]:
    """Read width and height of a PNG: ISO/IEC 15948, the header chunk comes first."""
    head = path.read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", head[16:24])
    return width, height


@pytest.mark.parametrize("name", SIZES)
def test_a_picture_lies_there_and_the_readme_shows_it(name: str) -> None:
    path = PICTURES / f"{name}.png"
    assert size_of(path) == SIZES[name]
    assert path.stat().st_size < MOST
    assert f"](designs/pictures/{name}.png)" in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.slow
@needs_browser
def test_the_script_makes_such_pictures(tmp_path: Path) -> None:
    subprocess.run([sys.executable, str(PICTURES / "make.py"), str(tmp_path)], cwd=ROOT, check=True, timeout=110)
    for name, size in SIZES.items():
        assert size_of(tmp_path / f"{name}.png") == size
