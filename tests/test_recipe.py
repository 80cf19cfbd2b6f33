"""The recipe of DEVELOPERS.md followed to the letter: a skid is added, and nobody has to be told of it but once."""

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import create_model

import foamworks.checks
import foamworks.parts.fitted
import kept
from foamworks.changes.flights import flights
from foamworks.changes.trial import tried
from foamworks.checks import records
from foamworks.checks.case import Case
from foamworks.design import additions, ladder, load, model
from foamworks.output.cards.deck import cards
from foamworks.output.prints.assembly import sets
from foamworks.output.report.page import scene
from foamworks.output.summaries import write_summaries
from foamworks.output.summary import as_dict
from foamworks.output.tables import parts as parts_table
from foamworks.output.views.bodies import bodies
from foamworks.output.views.outlines import outlines
from foamworks.output.views.overview import overview_svg
from foamworks.pipeline import check

PAGE = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
PLATE = 120 * 16 * 2 * 1.27e-3  # g: so thin that it is solid, of the filament taken where none is given
SKID = "length = 120\nwidth = 16\nthickness = 2\nat = { x = 200, z = -41 }"
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
FIXED = {"airframe.battery": None, "ballast": None}
FAIRED = {"camera": "body = {length=50, width=20, height=30}\nmass = 30\nat = {x=300, y=100, z=-20}"}
Make = Callable[..., Case]


def block(first: str, language: str = "python") -> str:
    """Give the block of the page that begins so."""
    found = re.search(rf"```{language}\n({re.escape(first)}.*?)```", PAGE, re.DOTALL)
    assert found, first
    return found.group(1)


@pytest.fixture(scope="module")
def skid(small_file: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> Iterator[Make]:
    """Follow the recipe in folders beside the package's own; give what checks a design with a skid."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        added_to_the_house(tmp_path_factory.mktemp("recipe"), monkeypatch)
        known: dict[str, Case] = {}

        def made(tables: dict[str, str | None] | None = None, asked: str = SKID) -> Case:
            wanted = {**FIXED, "skid": asked, **(tables or {})}
            if repr(wanted) not in known:
                known[repr(wanted)] = check(small_file(wanted))
            return known[repr(wanted)]

        yield made
    forgotten()


def added_to_the_house(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Write the page's blocks where the house looks for them."""
    for package, name in ((foamworks.parts.fitted, "parts/fitted"), (foamworks.checks, "checks")):
        place = folder / name
        place.mkdir(parents=True)
        (place / "skid.py").write_text(block(f"# foamworks/{name}/skid.py"))
        monkeypatch.setattr(package, "__path__", [*package.__path__, str(place)])
    table = folder / "records.csv"
    table.write_text(records.TABLE.read_text() + block("skid-wear", "csv"))
    monkeypatch.setattr(records, "TABLE", table)
    names = dict(vars(additions))
    exec(block("# foamworks/design/additions.py"), names)
    assert block("# in class Added").endswith("skid: Skid | None = None\n")
    added: Any = create_model("Design", __base__=model.Design, skid=(names["Skid"] | None, None))
    monkeypatch.setattr(load, "Design", added)
    monkeypatch.setattr(ladder, "ON_NO_OTHER", {*ladder.ON_NO_OTHER, "skid"})  # as its line in Added has it
    forgotten()


def forgotten() -> None:
    """Let parts, checks and records be looked for again."""
    for known in (foamworks.parts.fitted.makers, foamworks.checks.subjects, records.records):
        known.cache_clear()
    for package in (foamworks.parts.fitted, foamworks.checks):
        sys.modules.pop(f"{package.__name__}.skid", None)
        vars(package).pop("skid", None)


@pytest.mark.parametrize("tables", [{}, {"pod": None, "[motors]": None}, {"fins": None}, FAIRED])
def test_its_mass_is_in_every_state(skid: Make, tables: dict[str, str | None]) -> None:
    with_it, without = skid(tables), skid({**tables, "skid": None})
    assert with_it.study.balance is not None
    assert without.study.balance is not None
    for row, bare in zip(with_it.study.balance.rows, without.study.balance.rows, strict=True):
        assert 1000 * (row.mass - bare.mass) == pytest.approx(PLATE)
        assert row.mass * row.cg_x - bare.mass * bare.cg_x == pytest.approx(PLATE / 1000 * 0.26)  # 200 + 120/2 mm


def test_it_stands_in_the_parts_list(skid: Make) -> None:
    data = as_dict(skid())
    table = parts_table(data)
    assert table is not None
    row = next(row for row in table.rows if "skid" in row)
    assert f"{PLATE:.1f}" in row


def test_its_outline_is_in_the_overview(skid: Make) -> None:
    case = skid()
    drawn = next(outline for outline in outlines(case) if outline.name == "skid")
    for view, box in (("side", (200, -43, 320, -41)), ("top", (200, -8, 320, 8)), ("front", (-8, -43, 8, -41))):
        points = [point for ring in getattr(drawn, view) for point in ring]
        low, high = (tuple(f(values) for values in zip(*points, strict=True)) for f in (min, max))
        assert (*low, *high) == pytest.approx(box, abs=0.01)
    assert ">skid<" in overview_svg(case)


def test_it_has_its_line_on_the_weighing_card(skid: Make) -> None:
    case = skid({"pod": None, "[motors]": None})
    card = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Weighing")
    assert ("skid", "1", f"{PLATE:.1f}", "") in [row for block in card.blocks for row in block.rows]


def test_it_has_its_page_with_what_was_checked(skid: Make, tmp_path: Path) -> None:
    case = skid()
    page = pages(case, tmp_path)["fitted.md"]
    assert "- skid: foam-safe glue along its upper face" in page
    assert "- pass: skid-wear, skid." in page
    assert "DOES NOT PASS" not in page


def test_a_check_of_it_that_fails_stamps_its_page_and_says_why(skid: Make, tmp_path: Path) -> None:
    found = pages(skid(asked=SKID.replace("thickness = 2", "thickness = 1.2")), tmp_path)
    why = "skid-wear: grass wears a thin runner through; this one is 1.2 mm thick"
    assert f"**DOES NOT PASS** - {why}" in found["fitted.md"]
    assert "skid-wear" not in found["pod.md"]


def test_what_its_check_proposes_is_tried_on_the_whole(skid: Make) -> None:
    case = skid(asked=SKID.replace("thickness = 2", "thickness = 1.2"))
    (proposal,) = next(finding for finding in case.findings if finding.check == "skid-wear").proposals
    done = tried(case, proposal)
    assert done is not None
    assert ("skid-wear", "skid") in done.clears


def test_it_is_flown_where_it_is_all_that_is_added(skid: Make) -> None:
    case = skid({"fins": None, "pod": None, "[motors]": None, "airframe.fan": FAN})
    assert [(flight.name, flight.verdict) for flight in flights(case)] == [("stock", "go"), ("changed model", "care")]


def test_it_has_no_page_where_there_is_none(skid: Make, tmp_path: Path) -> None:
    case = skid({"skid": None})
    assert "fitted.md" not in pages(case, tmp_path)
    assert all(finding.check != "skid-wear" for finding in case.findings)


def test_it_is_in_the_view_and_in_a_set_of_its_own_in_the_assembly(skid: Make) -> None:
    case = skid()
    shown = scene(case)
    assert shown is not None
    assert "skid" in {part["name"] for part in shown["parts"]}
    assert [body.name for body in sets(bodies(case))["fitted parts"]] == ["skid"]


def pages(case: Case, folder: Path) -> dict[str, str]:
    """Write the summaries; give each by its file's name."""
    written = write_summaries(case, as_dict(case), folder)
    return {path.name: path.read_text(encoding="utf-8") for path in written}
