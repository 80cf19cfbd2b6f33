"""The report as a browser shows it, on a wide screen, on a phone and on paper: its place, its colours, its keys.

All pages stand in frames of one page, so that the browser starts once: a frame of 390 px is laid out as on a phone.
"""

import html
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from browser import dom_of, needs_browser
from foamworks.output.report.page import full_report
from foamworks.output.summary import as_dict
from kept import answer, check

DESIGNS = Path(__file__).parents[1] / "designs"
NAMES = ("skerry-boost", "too-far-aft", "skerry-fins", "pod-nose", "board-cuts")
SCREENS = {1280: 900, 390: 2 * 844}  # px: a window, and two screens of a phone
# what paper takes: CSS pixels of the height between Chromium's margins of 0.4 in, A4 and Letter, at their width
PAPERS = {717: 1045, 739: 979}
SEEN = (Path(__file__).parent / "page_seen.js").read_text(encoding="utf-8")

pytestmark = [pytest.mark.slow, needs_browser]


@cache
def page(name: str) -> str:
    case = check(DESIGNS / f"{name}.toml")
    return full_report(case, as_dict(case, answer(case)), answer(case)).page


def printed(text: str) -> str:
    """Let the rules for paper hold on a screen."""
    return text.replace("@media print", "@media screen").replace("@media screen and (prefers", "@media not all and (p")


def seen(folder: Path, frames: dict[str, tuple[str, int]], *options: str) -> dict[str, Any]:
    """Lay pages out in frames of a width, and give what the script finds in each, by name."""
    laid = "".join(
        f'<iframe name="{name}" style="width:{width}px;height:900px;border:0" srcdoc="{html.escape(text)}"></iframe>'
        for name, (text, width) in frames.items()
    )
    path = folder / "frames.html"
    path.write_text(f"<!DOCTYPE html><body>{laid}<script>{SEEN}</script></body>", encoding="utf-8")
    dom = dom_of(path.as_uri(), folder, "--hide-scrollbars", *options)
    found = re.search(r'<pre id="seen">(.*?)</pre>', dom, re.DOTALL)
    assert found is not None
    told: dict[str, Any] = json.loads(html.unescape(found.group(1)))
    return told


@pytest.fixture(scope="module")
def light(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    frames = {f"{name} {width}": (page(name), width) for name in NAMES for width in SCREENS}
    frames |= {f"{name} paper {width}": (printed(page(name)), width) for name in NAMES for width in PAPERS}
    return seen(tmp_path_factory.mktemp("light"), frames)


@pytest.fixture(scope="module")
def dark(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    page_name = "skerry-boost"
    frames = {page_name: (page(page_name), 1280)}
    return seen(tmp_path_factory.mktemp("dark"), frames, "--blink-settings=preferredColorScheme=0")


@pytest.mark.parametrize("name", NAMES)
def test_answer_and_side_view_stand_on_the_first_screens_and_nothing_runs_off(name: str, light: dict[str, Any]) -> None:
    for width, most in SCREENS.items():
        told = light[f"{name} {width}"]
        assert told["answer"] <= most
        assert told["wide"] <= width
        assert told["clipped"] == []
    assert light["skerry-boost 1280"]["side"] > 0


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_is_one_page_on_paper(name: str, light: dict[str, Any]) -> None:
    for width, most in PAPERS.items():
        assert light[f"{name} paper {width}"]["answer"] <= most


def test_every_text_stands_out_from_its_background(light: dict[str, Any], dark: dict[str, Any]) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1, 3 to 1 for 24 px, or 18.66 px and bold."""
    assert dark["skerry-boost"]["paper"] != light["skerry-boost 1280"]["paper"]
    for told in (*light.values(), *dark.values()):
        assert told["texts"] > 10
        assert told["faint"] == []


def test_every_line_of_a_picture_stands_out(light: dict[str, Any], dark: dict[str, Any]) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what is needed to read a picture; grids and leads are not."""
    assert light["skerry-boost 1280"]["strokes"] > 50
    assert light["skerry-boost 1280"]["pale"] == []
    assert dark["skerry-boost"]["pale"] == []


def test_what_takes_keys_is_reached_in_order_and_shows_it(light: dict[str, Any]) -> None:
    told = light["skerry-boost 1280"]
    assert told["stops"] > 5
    assert told["unordered"] == []
    assert told["unseen"] == []
    assert told["levels"] == []
