"""The report: one file without a network, verdicts first, readable tables, and a 3-D view whose solids are solid."""

import collections
import html
import json
import re
import shutil
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import kept
from browser import dom_of, needs_browser
from foamworks.changes.answer import Answer
from foamworks.checks.base import Check, Finding
from foamworks.checks.case import Case
from foamworks.checks.flight.burn import LOAD
from foamworks.cli import _print_findings
from foamworks.output.report.glossary import TERMS
from foamworks.output.report.page import report_html, scene, speed_runs
from foamworks.output.report.top import tiles
from foamworks.output.summary import as_dict
from foamworks.output.tables import listing
from foamworks.output.texts import BOOSTER
from foamworks.output.views.charts import margin_chart, speed_chart
from foamworks.output.views.overview import overview_svg
from kept import check

DESIGNS = Path(__file__).parents[1] / "designs"
VOID = {"meta", "link", "br", "input", "img", "hr"}

checked = cache(check)


def case_of(name: str) -> Case:
    return checked(DESIGNS / f"{name}.toml")


def page_of(case: Case, **options: Any) -> str:
    return report_html(case, as_dict(case), kept.answer(case), overview=overview_svg(case), **options)


@pytest.fixture(scope="module")
def boost() -> str:
    return page_of(case_of("skerry-boost"))


class Reader(HTMLParser):
    """Collects the elements of a page, its visible text, and whether every element is closed where it was opened."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in {"script", "style"}:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def finding(verdict: str, check_name: str, why: str = "because") -> Finding:
    record = Check(check_name, "mm", None, "ours", frozenset({"pod"}), "pod", "bench", plain=True)
    return record.finding(verdict, "it", value=1.0, limit=2.0, why=why, cure="do this")  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["skerry-boost", "skerry-fins", "pod-nose", "board-cuts", "too-far-aft"])
def test_every_element_is_closed_where_it_was_opened(name: str) -> None:
    assert Reader(page_of(case_of(name))).open == []


@pytest.mark.parametrize("name", ["skerry-boost", "pod-nose", "board-cuts"])
def test_nothing_is_fetched(name: str) -> None:
    page = page_of(case_of(name))
    for tag, attributes in Reader(page).tags:
        for key in ("src", "href", "xlink:href", "data", "action", "srcset"):
            assert not (attributes.get(key) or "data:").startswith(("http", "//", "/", "file")), (tag, key)
    assert not re.search(r"url\(|@import|fetch\(|XMLHttpRequest|import\(", page)


@pytest.mark.parametrize("name", ["skerry-boost", "skerry-fins", "pod-nose", "board-cuts", "too-far-aft"])
def test_no_number_is_printed_as_none_or_nan(name: str) -> None:
    page = page_of(case_of(name))
    assert not re.search(r"\b(None|NaN|nan|Infinity|inf|undefined)\b", Reader(page).text)
    assert not re.search(r"[\"' ,](nan|inf|None)[\"' ,]", page)


def test_what_fails_comes_first_and_what_passes_last() -> None:
    mixed = tuple(finding(v, f"check-{v}") for v in ("pass", "unknown", "fail", "caution"))
    text = Reader(page_of(replace(case_of("pod-nose"), findings=mixed))).text
    places = [text.index(f"check-{v}") for v in ("fail", "caution", "unknown", "pass")]
    assert places == sorted(places)
    assert places[0] < text.index("Cautions")


def test_a_finding_says_number_limit_cure_and_source() -> None:
    text = Reader(
        page_of(replace(case_of("pod-nose"), findings=(finding("fail", "motor-fit", "It is too wide."),)))
    ).text
    for words in (
        "motor-fit: it",
        "= 1.00 mm (at least 2.00 mm is wanted)",
        "It is too wide.",
        "do this",
        "Limit: ours",
        "1 fail",
    ):
        assert words in text


def test_a_load_factor_near_zero_is_not_written_finer_than_it_is_known() -> None:
    case = case_of("pod-nose")
    low = LOAD.finding("caution", "motor", value=-0.0328, limit=-2.0, why="low", cure="less thrust")
    assert "-0.03 g (at most -2.00 g is wanted)" in page_of(replace(case, findings=(low,)))


def test_the_user_own_words_stay_words() -> None:
    bad = "</script><script>alert(1)</script><img src=x onerror=y>&amp;"
    case = replace(case_of("pod-nose"), name=bad, findings=(finding("caution", bad, bad),))
    reader = Reader(page_of(case))
    assert bad in reader.text
    assert sum(tag == "script" for tag, _ in reader.tags) == 2  # the triangles and the view, as always
    assert not any(tag == "img" for tag, _ in reader.tags)


def test_every_caution_is_on_the_page(boost: str) -> None:
    text = Reader(boost).text
    assert all(caution in text for caution in BOOSTER)


def test_every_table_has_a_caption_and_scoped_heads(boost: str) -> None:
    for table in re.findall(r"<table>.*?</table>", boost, re.S):
        assert "<caption" in table
        assert re.search(r'<thead><tr>(<th scope="col"[^>]*>.*?</th>)+</tr></thead>', table)
        assert table.count('<th scope="row"') == table.count("<tr>") - 1


def test_no_line_breaks_within_the_unit_of_a_head(boost: str) -> None:
    units = re.findall(r"<th[^>]*>[^<]*\[([^<\]]*)\]</th>", boost)
    assert "N\u00a0m" in units
    assert not any(" " in unit for unit in units)


def test_load_factors_have_two_decimals_and_zero_has_no_sign() -> None:
    rows = [{"least_load_factor": value} for value in (-0.0328, -0.0009, 1.7)]
    assert listing("Load", rows).rows == (("-0.03",), ("0.00",), ("1.70",))


def test_pictures_have_names_for_those_who_do_not_see_them(boost: str) -> None:
    for tag, attributes in Reader(boost).tags:
        if tag == "canvas":
            assert attributes["aria-label"]
    for svg in re.findall(r"<svg.*?</svg>", boost, re.S):
        assert re.match(r"<svg[^>]*role=\"img\"[^>]*><title>[^<]+</title>", svg)


def test_the_sheets_given_are_on_the_page() -> None:
    page = page_of(case_of("board-cuts"), sheet_svgs=[("foam & board, sheet 1 of 1", '<svg id="the-sheet"></svg>')])
    assert '<svg id="the-sheet"></svg>' in page
    assert "foam &amp; board, sheet 1 of 1" in page


def test_the_same_design_gives_the_same_page_in_any_folder(boost: str, tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere"
    copy.mkdir()
    shutil.copy(DESIGNS / "skerry-boost.toml", copy)
    page = page_of(check(copy / "skerry-boost.toml"))
    assert page == boost
    assert str(tmp_path) not in page


def test_the_page_stays_small(boost: str) -> None:
    assert len(boost.encode()) < 500_000  # three tenths of what a graphics library alone would take


def solids(case: Case) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    shown = scene(case)
    assert shown is not None
    json.dumps(shown, allow_nan=False)
    return {
        part["name"]: (np.reshape(part["v"], (-1, 3)) / 10, np.reshape(part["f"], (-1, 3))) for part in shown["parts"]
    }


@pytest.mark.parametrize("name", ["skerry-boost", "skerry-fins", "pod-nose"])
def test_every_solid_of_the_view_is_closed(name: str) -> None:
    for part, (_, faces) in solids(case_of(name)).items():
        edges = collections.Counter(
            tuple(sorted((int(face[i]), int(face[(i + 1) % 3])))) for face in faces for i in range(3)
        )
        assert set(edges.values()) == {2}, part


def volume(vertices: np.ndarray, faces: np.ndarray) -> float:
    """Enclosed volume; triangles are first made to look the same way round, neighbour by neighbour."""
    turned = faces.copy()
    neighbours: dict[tuple[int, int], list[int]] = collections.defaultdict(list)
    for t, face in enumerate(turned.tolist()):
        for i in range(3):
            neighbours[tuple(sorted((face[i], face[(i + 1) % 3])))].append(t)
    total, done = 0.0, np.zeros(len(turned), dtype=bool)
    for first in range(len(turned)):
        if done[first]:
            continue
        done[first], queue, shell = True, [first], []
        while queue:
            t = queue.pop()
            shell.append(t)
            a = turned[t].tolist()
            for i in range(3):
                edge = (a[i], a[(i + 1) % 3])
                for other in neighbours[tuple(sorted(edge))]:
                    if not done[other]:
                        b = turned[other].tolist()
                        if any((b[k], b[(k + 1) % 3]) == edge for k in range(3)):
                            turned[other] = b[::-1]
                        done[other] = True
                        queue.append(other)
        p, q, r = (vertices[turned[shell][:, k]] for k in range(3))
        total += abs(float(np.einsum("ij,ij->", p, np.cross(q, r))) / 6)
    return total


def test_prints_in_the_view_hold_their_volume_on_paper() -> None:
    case = case_of("skerry-boost")
    found = solids(case)
    for part in case.parts.prints:
        if part.places:
            # 40 sides for a circle take 0.4 %; chords of 0.1 mm on a skin of 1.2 mm take a little more
            assert volume(*found[part.name]) == pytest.approx(part.count * part.volume_mm3, rel=0.06), part.name


def test_the_view_is_as_large_as_the_aircraft() -> None:
    found = solids(case_of("skerry-boost"))
    assert np.ptp(found["wing"][0][:, 1]) == pytest.approx(920, abs=0.2)
    assert np.ptp(found["fuselage"][0][:, 0]) == pytest.approx(812, abs=0.2)
    assert found["old fin"][0][:, 2].max() == pytest.approx(186, abs=0.2)


def test_the_new_fins_stand_where_the_parts_list_says() -> None:
    case = case_of("skerry-boost")
    fin = next(part for part in case.parts.boards if part.name == "fin")
    vertices, faces = solids(case)["new fins"]
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    areas = np.linalg.norm(np.cross(b - a, c - a), axis=1)[:, None]
    flat = np.abs(np.cross(b - a, c - a)[:, [1]]) > 0.9 * areas  # the faces that look abeam
    centre = ((a + b + c) / 3 * areas * flat).sum(axis=0) / (areas * flat).sum()
    assert centre[[0, 2]] == pytest.approx([fin.x_mm, fin.z_mm], abs=0.3)
    assert centre[1] == pytest.approx(0, abs=0.1)


def test_there_is_no_view_where_nothing_is_solid() -> None:
    assert scene(case_of("board-cuts")) == {"parts": []}
    assert "<canvas" not in page_of(case_of("board-cuts"))


def test_a_margin_below_the_least_is_told_apart_in_the_chart() -> None:
    states = [{"name": "a <b>", "static_margin": 0.02}, {"name": "c", "static_margin": 0.12}]
    chart = margin_chart(states, least=0.05, first=0.10)
    assert chart.count('class="ch-bad"') == 1
    assert "a &lt;b&gt;" in chart
    dots = [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', chart)]
    least = float(re.search(r'<line x1="([\d.]+)"[^>]*class="ch-least"', chart).group(1))  # type: ignore[union-attr]
    first = float(re.search(r'<line x1="([\d.]+)"[^>]*class="ch-first"', chart).group(1))  # type: ignore[union-attr]
    # straight scale: 2, 5, 10 and 12 % lie in proportion
    assert (dots[1] - dots[0]) / (first - least) == pytest.approx((0.12 - 0.02) / (0.10 - 0.05), rel=1e-3)


def test_the_chart_reaches_the_peak_that_the_table_names() -> None:
    """The fastest moment lies between two steps of the march; the line drawn goes through it."""
    case = case_of("skerry-boost")
    peaks = {row["motor"]: row["peak_km_h"] for row in as_dict(case)["boost"]}
    drawn = {name: max(speeds) for name, _, speeds in speed_runs(case)}
    assert drawn == pytest.approx(peaks, rel=1e-9)


def test_terminal_and_page_write_a_number_alike(boost: str, capsys: pytest.CaptureFixture[str]) -> None:
    _print_findings(case_of("skerry-boost"), kept.answer(case_of("skerry-boost")))
    heads = re.findall(r"^\w+ +(\S+: .* = .*)$", capsys.readouterr().out, flags=re.MULTILINE)
    page = html.unescape(re.sub(r"<[^>]+>", "", boost))
    assert len(heads) > 5
    for head in heads:
        assert head in page


def test_charts_without_numbers_are_not_drawn() -> None:
    assert margin_chart([{"name": "a", "static_margin": None}], least=0.05, first=0.1) == ""
    assert speed_chart([]) == ""


def test_the_words_under_the_views_name_only_what_is_drawn(boost: str, tmp_path: Path) -> None:
    ends = "{ x = 100, y = 0, z = 0, chord = 200 }, { x = 150, y = 400, z = 0, chord = 100 }"
    (tmp_path / "wing.toml").write_text(f"[airframe.wing]\nstations = [{ends}]\n")
    assert "z up. Dashed brown comes off, blue is made. The numbers at the dots" in boost
    assert "z up.</figcaption>" in page_of(check(tmp_path / "wing.toml"))


@pytest.mark.parametrize("most", [0.012, 0.03, 0.155, 0.168, 0.4])
def test_the_margins_ticks_stand_at_equal_steps_as_written(most: float) -> None:
    chart = margin_chart([{"name": "a", "static_margin": most}], least=0.005, first=0.01)
    ticks = [(float(x), float(told)) for x, told in re.findall(r'<text x="([\d.]+)"[^>]*>([\d.]+) %<', chart)]
    assert len(ticks) > 3
    (start, zero), (end, last) = ticks[0], ticks[-1]
    assert [told for _, told in ticks] == pytest.approx(
        [last * (x - start) / (end - start) for x, _ in ticks], abs=0.01
    )
    assert zero == 0


@pytest.mark.slow
@needs_browser
@pytest.mark.parametrize("name", ["skerry-boost", "pod-nose"])
def test_a_browser_draws_the_view_without_a_graphics_card(name: str, tmp_path: Path) -> None:
    page = tmp_path / "report.html"
    probe = """<script>window.addEventListener('load', () => {
      const c = document.querySelector('canvas'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
      const seen = new Set();
      for (let i = 0; i < d.length; i += 4) if (d[i + 3]) seen.add([d[i], d[i + 1], d[i + 2]].join());
      document.body.dataset.colours = seen.size; });</script></body>"""
    page.write_text(page_of(case_of(name)).replace("</body>", probe), encoding="utf-8")
    dom = dom_of(page.as_uri(), tmp_path)
    assert 'data-ready="yes"' in dom
    colours = re.search(r'data-colours="(\d+)"', dom)
    assert colours is not None
    assert int(colours.group(1)) > 30


def test_a_job_of_cuts_speaks_of_no_nose_tip() -> None:
    page = page_of(case_of("board-cuts"))
    assert "nose tip" not in page
    assert "bench" not in page.partition("<h2>Parts</h2>")[2].partition("</section>")[0]
    assert "x aft from the nose tip" in page_of(case_of("skerry-fins"))


@pytest.fixture(scope="module")
def answered_page() -> tuple[str, Answer]:
    case = case_of("skerry-boost")
    answer = kept.answer(case)
    return page_of(case), answer


def test_the_answer_comes_first_with_the_side_view_beside_it(answered_page: tuple[str, Answer]) -> None:
    page, answer = answered_page
    places = [
        page.index(words) for words in ('id="answer"', 'class="side"', 'id="flights"', 'id="changes"', 'id="overview"')
    ]
    places += [page.index(words) for words in ('id="verdicts"', 'id="words"')]
    assert places == sorted(places)
    text = html.unescape(re.sub(r"<[^>]+>", "", page))
    assert answer.sentence in text
    for cause in answer.causes:
        assert cause.sentence in text
    for flight in answer.flights:
        assert flight.name in text


def test_a_mark_on_the_side_view_is_a_cause_of_the_list(answered_page: tuple[str, Answer]) -> None:
    page, answer = answered_page
    drawn = re.search(r'<svg[^>]*class="side".*?</svg>', page, re.S)
    assert drawn is not None
    numbers = [int(n) for n in re.findall(r'class="ow-number"[^>]*>(\d+)<', drawn.group(0))]
    assert numbers
    assert set(numbers) <= set(range(1, len(answer.causes) + 1))
    fins = next(n for n, cause in enumerate(answer.causes, start=1) if cause.cause == "strength")
    assert fins in numbers


def test_every_finding_is_folded_once_and_the_words_are_explained(answered_page: tuple[str, Answer]) -> None:
    page, _ = answered_page
    bad = [f for f in case_of("skerry-boost").findings if f.verdict != "pass"]
    assert page.count('<div class="finding') == len(bad)
    text = Reader(page.partition('id="words"')[0]).text.lower()
    for term in TERMS:
        assert (f"<dt><dfn>{term.word}</dfn>" in page) == (re.search(rf"\b{term.word.lower()}", text) is not None)
    assert page.count('<svg class="g"') == 4  # each in the section that speaks of it
    assert '<abbr tabindex="0" title="How far the balance lies' in page


@pytest.mark.parametrize("name", ["pod-nose", "board-cuts"])
def test_a_small_job_is_told_nothing_about_flying_and_its_answer_once(name: str) -> None:
    case = case_of(name)
    answer = kept.answer(case)
    page = page_of(case)
    text = Reader(page).text
    assert text.count(answer.sentence) == 1
    flying = r"\b(fly|flight|stall|static margin|neutral point|gyro|Dutch)\b"
    assert not re.search(flying, text.partition("Cautions")[0])


def test_the_tiles_say_what_to_set_and_how_fast_it_lands(answered_page: tuple[str, Answer]) -> None:
    _, answer = answered_page
    told = dict(tiles(answer, case_of("skerry-boost").design))
    flight = next(f for f in answer.flights if f.name == told["next flight"])
    assert not flight.step.is_flown
    assert told["battery"] == f"{1000 * flight.step.battery_x:.0f} mm"
    assert told["lands at"] == f"{3.6 * flight.step.landing:.0f} km/h"


def test_what_is_not_known_stands_under_the_findings_alone() -> None:
    """A job of fins without a speed knows no load: its table of strength has what is known, no row without a number."""
    page = page_of(case_of("skerry-fins"))
    tables = " ".join(re.findall(r"<table>.*?</table>", page, re.S))
    assert "flutter</abbr> speed" in tables
    assert "not known" not in tables
