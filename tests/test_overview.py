"""The overview: read back as XML and measured against the design file's own lengths."""

import itertools
import math
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from shapely import Polygon, box

from browser import dom_of, needs_browser
from foamworks.output.views.drawing import spread, text_width
from foamworks.output.views.overview import overview_svg
from kept import check

DESIGNS = Path(__file__).parents[1] / "designs"
SVG = "{http://www.w3.org/2000/svg}"
WING = """
name = "wing <only> & 'quoted' \\"twice\\" é Ω 翼"
[airframe.wing]
stations = [{ x = 100, y = 0, z = 0, chord = 200 }, { x = 150, y = 400, z = 10, chord = 100 }]
"""


checked = cache(check)


@pytest.fixture(scope="module")
def boost() -> str:
    return overview_svg(checked(DESIGNS / "skerry-boost.toml"))


def root(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def shapes(svg: str, style: str) -> list[list[tuple[float, float]]]:
    """All rings drawn in a style, in page order: side view, then top view, then front view."""
    found = []
    for path in root(svg).iter(f"{SVG}path"):
        if path.get("class") == style:
            for ring in path.attrib["d"].split("M")[1:]:
                found.append([tuple(map(float, p.split(","))) for p in ring.rstrip("Z").split("L")])
    return found


def span(ring: list[tuple[float, float]], axis: int) -> float:
    values = [point[axis] for point in ring]
    return max(values) - min(values)


def boxes(svg: str) -> list[tuple[str, float, float, float, float]]:
    found = []
    for text in root(svg).iter(f"{SVG}text"):
        words, size = text.text or "", float(text.attrib["font-size"])
        width, x, y = text_width(words, size), float(text.attrib["x"]), float(text.attrib["y"])
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[text.attrib["text-anchor"]]
        found.append((words, left, y - 0.8 * size, left + width, y + 0.25 * size))
    return found


def test_one_unit_is_one_millimetre_of_the_fuselage(boost: str) -> None:
    side, top, _ = shapes(boost, "ow-body")
    # the design's own sections: x 0 to 812, greatest height 108, greatest width 92
    assert span(side, 0) == pytest.approx(812, abs=0.02)
    assert span(top, 0) == pytest.approx(812, abs=0.02)
    assert span(top, 1) == pytest.approx(92, abs=0.02)


def test_the_wing_is_as_wide_from_above_as_from_ahead(boost: str) -> None:
    _, _, star, port, ahead_star, ahead_port = shapes(boost, "ow-wing")
    assert span(star + port, 1) == pytest.approx(920, abs=0.02)
    assert span(ahead_star + ahead_port, 0) == pytest.approx(920, abs=0.02)


def test_the_scale_bar_is_100_mm(boost: str) -> None:
    bars = [g.find(f"{SVG}line") for g in root(boost).iter(f"{SVG}g") if g.get("class") == "ow-scale"]
    assert len(bars) == 3
    assert all(float(bar.attrib["x2"]) - float(bar.attrib["x1"]) == pytest.approx(100) for bar in bars)


def test_up_is_up_in_the_side_view(boost: str) -> None:
    body, old = shapes(boost, "ow-body")[0], shapes(boost, "ow-old")[0]
    # fin tip at z = 186, top of the body at z = 8 + 108/2 = 62
    assert min(y for _, y in body) - min(y for _, y in old) == pytest.approx(186 - 62, abs=0.02)


def test_starboard_is_up_from_above_and_left_from_ahead(boost: str) -> None:
    _, top, front = shapes(boost, "ow-box")  # the camera, at y = +150
    _, body_top, body_front = shapes(boost, "ow-body")

    def middle(ring: list[tuple[float, float]], axis: int) -> float:
        return sum(point[axis] for point in ring) / len(ring)

    assert middle(body_top, 1) - middle(top, 1) == pytest.approx(150, abs=0.5)
    assert middle(body_front, 0) - middle(front, 0) == pytest.approx(150, abs=0.5)


def test_the_thrust_line_has_the_solved_downthrust() -> None:
    case = checked(DESIGNS / "skerry-boost.toml")
    line = next(
        e for e in root(overview_svg(case)).iter(f"{SVG}line") if e.get("class") == "ow-thrust"
    )  # the key's sample comes after it
    dx, dy = (float(line.attrib[f"{a}2"]) - float(line.attrib[f"{a}1"]) for a in "xy")
    assert math.atan2(dy, -dx) == pytest.approx(case.design.pod.downthrust, abs=1e-4)


def test_every_state_has_a_row_and_a_number_at_its_dot(boost: str) -> None:
    case = checked(DESIGNS / "skerry-boost.toml")
    words = [box[0] for box in boxes(boost)]
    assert all(row.name in words for row in case.study.balance.rows)
    numbered = {n for w in words for n in w.split(",") if n.isdigit()}
    assert numbered >= {str(n + 1) for n in range(len(case.study.balance.rows))}


@pytest.mark.parametrize("name", ["skerry-boost", "skerry-fins", "too-far-aft"])
def test_no_label_covers_another(name: str) -> None:
    found = boxes(overview_svg(checked(DESIGNS / f"{name}.toml")))
    for (a, ax0, ay0, ax1, ay1), (b, bx0, by0, bx1, by1) in itertools.combinations(found, 2):
        assert ax1 <= bx0 or bx1 <= ax0 or ay1 <= by0 or by1 <= ay0, (a, b)


@pytest.mark.parametrize("tail", [320, 900])
def test_the_mean_chords_words_cover_no_surface(tail: int, tmp_path: Path) -> None:
    ends = ", ".join(f"{{ x = {tail}, y = {y}, z = 0, chord = 90 }}" for y in (0, 350))
    tailplane = f"[airframe.tailplane]\nstations = [{ends}]"
    (tmp_path / "wing.toml").write_text(f"{WING}{tailplane}\n", encoding="utf-8")
    svg = overview_svg(check(tmp_path / "wing.toml"))
    (place,) = [box(*edges) for words, *edges in boxes(svg) if words.startswith("mean chord")]
    for style in ("ow-wing", "ow-tail"):
        assert not any(Polygon(ring).intersects(place) for ring in shapes(svg, style))


def test_every_label_lies_on_the_page(boost: str) -> None:
    x, y, width, height = map(float, root(boost).attrib["viewBox"].split())
    for words, x0, y0, x1, y1 in boxes(boost):
        assert x <= x0, words
        assert x1 <= x + width, words
        assert y <= y0, words
        assert y1 <= y + height, words


def test_a_wing_alone_is_drawn_and_its_name_escaped(tmp_path: Path) -> None:
    (tmp_path / "wing.toml").write_text(WING, encoding="utf-8")
    svg = overview_svg(check(tmp_path / "wing.toml"))
    assert "wing <only> & 'quoted' \"twice\" é Ω 翼" in [box[0] for box in boxes(svg)]
    assert not shapes(svg, "ow-body")


def test_nothing_is_drawn_of_a_nose_or_of_cuts_alone() -> None:
    assert overview_svg(checked(DESIGNS / "pod-nose.toml")) == ""
    assert overview_svg(checked(DESIGNS / "board-cuts.toml")) == ""


def test_the_same_design_gives_the_same_text_without_a_number_that_is_none(boost: str) -> None:
    assert overview_svg(check(DESIGNS / "skerry-boost.toml")) == boost
    assert not any(word in boost for word in ("nan", "None", "inf,"))


def test_spread_labels_touch_nowhere_and_keep_their_order() -> None:
    wanted, widths = [0.0, 1.0, 2.0, 40.0, 41.0], [10.0, 6.0, 8.0, 4.0, 12.0]
    middles = spread(wanted, widths, 1.0)
    edges = [(m - w / 2, m + w / 2) for m, w in zip(middles, widths, strict=True)]
    assert all(b[0] - a[1] >= 1.0 - 1e-9 for a, b in itertools.pairwise(edges))
    # least squares: a block's labels are on average where they want to be
    assert sum(middles[:3]) == pytest.approx(sum(wanted[:3]))


@pytest.mark.slow
@needs_browser
def test_a_browser_draws_no_label_over_another_or_off_the_page(boost: str, tmp_path: Path) -> None:
    script = """
    const all = [...document.querySelectorAll('svg text')].map((t) => [t.textContent, t.getBBox()]);
    const v = document.querySelector('svg').viewBox.baseVal, bad = [];
    all.forEach(([w, a], i) => {
      if (a.x < v.x || a.x + a.width > v.x + v.width) bad.push('off ' + w);
      for (const [u, b] of all.slice(i + 1))
        if (a.x + a.width > b.x && b.x + b.width > a.x && a.y + a.height * 0.8 > b.y && b.y + b.height * 0.8 > a.y)
          bad.push(w + ' / ' + u);
    });
    document.title = 'bad:' + JSON.stringify(bad);"""
    page = tmp_path / "page.html"
    page.write_text(f"<meta charset=utf-8><title></title>{boost}<script>{script}</script>", encoding="utf-8")
    dom = dom_of(page.as_uri(), tmp_path)
    assert "<title>bad:[]</title>" in dom
