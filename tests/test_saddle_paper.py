"""The paper wrapped round the back: its rims by closed form, its lines and bars read back from the file."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from scipy.special import ellipeinc
from shapely import LineString

import kept
from foamworks.output.gluing import gluing
from foamworks.output.pen import MM, SMALLEST, text_width
from foamworks.output.sheets.saddle import write_saddles
from foamworks.output.views.bodies import bodies, drawn
from foamworks.parts.base import BackSection, Saddle
from foamworks.parts.mesh import mesh
from foamworks.parts.wrap import Wrapped, girth, wrapped
from test_paper import read, straight

ROOT = Path(__file__).parents[1]
CASE = kept.check(ROOT / "designs" / "skerry-boost.toml")
WHERE = gluing(CASE)["gluing"]


def saddle(*sections: tuple[float, float, float, float], offset: float = 0.0) -> Saddle:
    rows = tuple(BackSection(x=x, width=width, height=height, z=z) for x, width, height, z in sections)
    return Saddle(length=rows[-1].x, width=24.0, bore=16.0, axis_z=80.0, tilt=0.1, sections=rows, body_offset_y=offset)


@pytest.mark.parametrize("y", [-20.0, -5.0, 0.0, 12.0, 30.0])
@pytest.mark.parametrize(("width", "height"), [(60.0, 60.0), (60.0, 90.0), (80.0, 40.0)])
def test_the_way_round_an_ellipse_is_the_elliptic_integral(width: float, height: float, y: float) -> None:
    """Arc from the top: a E(phi, 1 - b^2/a^2), a abeam, b up, sin phi = y/a (textbook, Abramowitz and Stegun 17.3)."""
    a, b = width / 2, height / 2
    assert girth(width=width, height=height, y=y) == pytest.approx(
        a * ellipeinc(math.asin(y / a), 1 - b**2 / a**2), abs=2e-3
    )


def test_on_a_cylinder_the_foot_is_a_rectangle() -> None:
    foot = wrapped(saddle((0, 60, 60, 0), (100, 60, 60, 0)))
    around = 30 * math.asin(12 / 30)
    assert foot.length == pytest.approx(100)
    assert np.array(foot.starboard)[:, 1] == pytest.approx(around, abs=1e-3)
    assert np.array(foot.port)[:, 1] == pytest.approx(-around, abs=1e-3)


def test_on_a_back_that_falls_the_length_is_the_slopes() -> None:
    assert wrapped(saddle((0, 60, 60, 0), (100, 60, 60, -20))).length == pytest.approx(math.hypot(100, 20))


def test_a_mount_beside_the_middle_is_measured_from_the_middle() -> None:
    foot = wrapped(saddle((0, 80, 80, 0), (50, 80, 80, 0), offset=-20.0))  # the body's middle lies 20 mm to port
    assert foot.port[0][1] == pytest.approx(40 * math.asin(8 / 40), abs=1e-3)
    assert foot.starboard[0][1] == pytest.approx(40 * math.asin(32 / 40), abs=1e-3)


def test_the_foot_is_as_long_and_wide_as_the_solids() -> None:
    """The solid's lower rim, chord by chord in space, against the paper's edge."""
    (part,) = [p for p in CASE.parts.prints if isinstance(p.shape, Saddle)]
    assert isinstance(part.shape, Saddle)
    foot, made = wrapped(part.shape), mesh(part.shape).vertices
    for side, edge in ((-1, foot.port), (1, foot.starboard)):
        rim = made[np.isclose(made[:, 1], side * part.shape.width / 2)]
        low = [rim[np.isclose(rim[:, 0], x)][:, 2].min() for x in np.unique(rim[:, 0].round(6))]
        way = np.hypot(np.diff(np.unique(rim[:, 0].round(6))), np.diff(low)).sum()
        flat = np.linalg.norm(np.diff(np.array(edge), axis=0), axis=1).sum()
        assert flat == pytest.approx(way, rel=2e-3)


def test_the_page_is_at_full_size_and_names_the_edges(tmp_path: Path) -> None:
    path = tmp_path / "prints" / "pod-saddle.pdf"
    write_saddles(CASE.parts.prints, WHERE, path, title="Skerry")
    (page,) = read(path)
    assert len(straight(page, 100, 0)) == len(straight(page, 100, 1)) == 1
    assert page.width <= 210.01  # A4
    assert page.height <= 279.41  # Letter
    (part,) = [p for p in CASE.parts.prints if isinstance(p.shape, Saddle)]
    assert isinstance(part.shape, Saddle)
    foot = wrapped(part.shape)
    (front,) = (p.x for p in part.places)
    text = PdfReader(path).pages[0].extract_text()
    assert f"front edge: x = {front:.1f} mm" in text
    assert f"aft edge: x = {front + part.shape.length:.1f} mm" in text
    lines = [line for rows in page.steps.values() for line in rows]
    across = foot.starboard[0][1] - foot.port[0][1]
    assert any(abs(line.length - across) < 0.02 and abs(line.bounds[1] - line.bounds[3]) < 0.01 for line in lines)


def test_without_a_mount_there_is_no_page(tmp_path: Path) -> None:
    write_saddles([p for p in CASE.parts.prints if not isinstance(p.shape, Saddle)], {}, tmp_path / "a.pdf", title="x")
    assert list(tmp_path.iterdir()) == []


def test_a_line_shows_over_which_place_the_tubes_aft_end_stands(tmp_path: Path) -> None:
    """Measured on the solids along x, from the mount's aft face to the underside's end; then by the back's slope."""
    path = tmp_path / "pod-saddle.pdf"
    write_saddles(CASE.parts.prints, WHERE, path, title="Skerry")
    (page,) = read(path)
    there = {body.name: drawn(body).vertices for body in bodies(CASE) if body.name in ("pod mount", "pod tube")}
    tube, mount = there["pod tube"], there["pod mount"]
    end = tube[tube[:, 0] > tube[:, 0].max() - 10]
    lowest = end[np.argmin(end[:, 2] - end[:, 0] * math.tan(math.radians(WHERE["downthrust_deg"])))]
    away = lowest[0] - mount[:, 0].max()
    foot = next(wrapped(p.shape) for p in CASE.parts.prints if isinstance(p.shape, Saddle))
    level = sorted(
        {round(line.bounds[1], 3) for rows in page.steps.values() for line in rows if level_and_long(line, foot)},
        reverse=True,
    )
    front, aft, over = level[1:4]  # the paper's own upper edge stands first
    slope = foot.length / (WHERE["mounts"][0]["aft_x_mm"] - WHERE["mounts"][0]["front_x_mm"])
    assert front - aft == pytest.approx(foot.length, abs=0.01)
    assert aft - over == pytest.approx(away * slope, abs=0.1)
    along = away / math.cos(math.radians(WHERE["downthrust_deg"]))
    assert f"{along:.1f} mm behind the mount" in PdfReader(path).pages[0].extract_text()


@pytest.mark.parametrize("narrower", [1.0, 0.5, 0.1])
def test_the_words_are_whole_on_the_paper_of_any_mount(narrower: float, tmp_path: Path) -> None:
    """The mount of a thin tube leaves little paper; no word may be left out, none may run over middle or edge."""
    (part,) = [p for p in CASE.parts.prints if isinstance(p.shape, Saddle)]
    shape = part.shape
    assert isinstance(shape, Saddle)
    thin = replace(part, shape=replace(shape, width=narrower * shape.width))
    write_saddles([thin], WHERE, tmp_path / "pod-saddle.pdf", title="Skerry")
    (page,) = PdfReader(tmp_path / "pod-saddle.pdf").pages
    starts: dict[str, float] = {}  # mm from the paper's left edge
    page.extract_text(visitor_text=lambda text, _, at, *__: starts.update({text.strip(): at[4] / MM}))
    (lines,) = read(tmp_path / "pod-saddle.pdf")
    wide = [line.bounds for rows in lines.steps.values() for line in rows if 60 < line.length < 99]  # across the paper
    port, starboard = min(bounds[0] for bounds in wide), max(bounds[2] for bounds in wide)
    front = f"front edge: x = {part.places[0].x:.1f} mm"
    behind = f"{WHERE['tube_behind_mount_mm']:.1f} mm behind the mount"
    middle = starts["nose this way"]
    for words in (front, "over here the tube ends,"):
        assert port < starts[words] < starts[words] + text_width(words, SMALLEST) < middle
    for words in (behind, "the body's middle"):
        assert middle == pytest.approx(starts[words])
        assert starts[words] + text_width(words, SMALLEST) < starboard


def level_and_long(line: LineString, foot: Wrapped) -> bool:
    """Tell whether a line runs across the whole paper."""
    across = foot.starboard[0][1] - foot.port[0][1]
    return bool(abs(line.bounds[1] - line.bounds[3]) < 0.01 and across + 20 < line.length < 90)
