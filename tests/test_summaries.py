"""The pages beside the files: which are written, what stands on them, that they read and line up."""

import itertools
import re
from functools import cache
from pathlib import Path

import pytest

from foamworks.checks.case import Case
from foamworks.checks.pod.held import MOTOR_FIT
from foamworks.output.keys import words_of
from foamworks.output.summaries import write_summaries
from foamworks.output.summary import as_dict
from foamworks.output.tables import Table, flat, listing, pairs, turned
from foamworks.output.texts import BOOSTER, FOAM
from foamworks.units import number, said, with_unit
from kept import check

DESIGNS = Path(__file__).parents[1] / "designs"


checked = cache(check)


def pages(design: Path, folder: Path, **options: object) -> dict[str, str]:
    case = checked(design)
    written = write_summaries(case, as_dict(case), folder, **options)  # type: ignore[arg-type]
    return {path.name: path.read_text(encoding="utf-8") for path in written}


@pytest.fixture(scope="module")
def boost(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return pages(DESIGNS / "skerry-boost.toml", tmp_path_factory.mktemp("summaries"))


@pytest.mark.parametrize(
    ("design", "expected"),
    [
        ("skerry-boost", ["fins.md", "pod.md", "sheets.md", "balance.md", "camera.md"]),
        ("skerry-fins", ["fins.md", "sheets.md"]),
        ("pod-nose", ["pod.md"]),
        ("board-cuts", ["sheets.md"]),
    ],
)
def test_a_page_is_written_for_each_thing_that_is_made(design: str, expected: list[str], tmp_path: Path) -> None:
    assert list(pages(DESIGNS / f"{design}.toml", tmp_path)) == expected


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [({"fins"}, ["fins.md"]), ({"prints"}, ["pod.md", "camera.md"]), ({"sheets"}, ["sheets.md"])],
)
def test_only_what_the_build_was_asked_for(wanted: set[str], expected: list[str], tmp_path: Path) -> None:
    assert list(pages(DESIGNS / "skerry-boost.toml", tmp_path, wanted=frozenset(wanted))) == expected


@pytest.mark.parametrize("page", ["pod.md", "sheets.md", "balance.md", "camera.md"])
def test_every_caution_stands_on_every_page_of_the_booster(boost: dict[str, str], page: str) -> None:
    assert all(caution in boost[page] for caution in BOOSTER)


def test_pages_of_board_carry_the_caution_about_lasers(boost: dict[str, str]) -> None:
    assert all(caution in boost[page] for page in ("fins.md", "sheets.md") for caution in FOAM)


def test_the_design_own_numbers_are_on_the_pages(boost: dict[str, str]) -> None:
    # from the design file: nose 62 mm on a tube of 31.5 mm; the old fin is (162 + 76)/2 x (186 - 44) = 16898 mm2
    assert re.search(r"\| length +\| +62\.0 mm \|", boost["pod.md"])
    assert re.search(r"\| diameter +\| +31\.5 mm \|", boost["pod.md"])
    assert re.search(r"\| area +\| +16898 mm²", boost["fins.md"])


def test_every_state_is_on_the_balance_page(boost: dict[str, str]) -> None:
    for state in ("no pod", "no motor", "29 mm F class: unburnt landing", "24 mm D class: lost"):
        assert f"| {state} " in boost["balance.md"]


def test_the_cameras_fairing_has_a_page_with_how_to_fit_it(boost: dict[str, str]) -> None:
    assert "| camera fairing |" in boost["camera.md"]
    assert "Sand the foot to the skin" in boost["camera.md"]
    assert "lateral-balance" in boost["camera.md"]


def test_what_was_checked_on_the_sheets_stands_on_their_page(boost: dict[str, str]) -> None:
    assert all(f"{check}, " in boost["sheets.md"] for check in ("sheet-fit", "slot-fit"))


def test_what_was_solved_is_said(boost: dict[str, str]) -> None:
    assert "Worked out, not given: the size of the fins." in boost["fins.md"]
    assert "Worked out, not given: the downthrust." in boost["pod.md"]
    assert "Your downthrust_limit allows no more." in boost["pod.md"]
    assert "the angle that the design gives" not in boost["pod.md"]
    assert "Worked out, not given: the battery's place, the ballast." in boost["balance.md"]


def test_the_columns_of_every_table_line_up(boost: dict[str, str]) -> None:
    for text in boost.values():
        for _, block in itertools.groupby(text.splitlines(), key=lambda row: row.startswith("|")):
            rows = list(block)
            if rows[0].startswith("|"):
                assert len({len(row) for row in rows}) == 1
                assert len({row.count("|") for row in rows}) == 1


def test_no_page_says_none_or_nan(boost: dict[str, str]) -> None:
    for name, text in boost.items():
        assert not re.search(r"\b(None|nan|NaN|inf)\b", text), name


def test_a_failed_finding_stamps_the_page_it_concerns_alone(tmp_path: Path) -> None:
    found = pages(DESIGNS / "too-far-aft.toml", tmp_path)
    stamped = {name for name, text in found.items() if "DOES NOT PASS" in text.splitlines()[2]}
    assert "balance.md" in stamped
    assert not {"sheets.md", "camera.md"} & stamped


def test_a_check_that_is_named_for_no_page_stamps_the_whole_and_says_why(tmp_path: Path) -> None:
    design = (DESIGNS / "skerry-boost.toml").read_text(encoding="utf-8")
    weak, count = re.subn(r"c_rating *= 45", "c_rating = 10", design)
    assert count == 1
    (tmp_path / "weak.toml").write_text(weak, encoding="utf-8")
    text = pages(tmp_path / "weak.toml", tmp_path / "out")["balance.md"]
    assert text.splitlines()[2].startswith("**DOES NOT PASS** - battery-current: 42 A at full throttle")
    assert "- fail: battery-current, battery." in text


def test_every_finding_stands_on_a_page(boost: dict[str, str]) -> None:
    told = "\n".join(boost.values())
    for finding in checked(DESIGNS / "skerry-boost.toml").findings:
        assert f": {finding.check}, {finding.subject}. " in told


def test_no_page_has_a_gap_or_a_line_broken_off(boost: dict[str, str]) -> None:
    for text in boost.values():
        assert "\n\n\n" not in text
        prose = re.sub(r"^\|.*$", "", text, flags=re.MULTILINE)
        assert not re.search(r"[ \t]$|\{[{%]|\S[ \t]{2,}", prose, re.MULTILINE)


def test_names_of_the_user_neither_break_a_table_nor_open_a_tag(tmp_path: Path) -> None:
    (tmp_path / "cuts.toml").write_text(
        'name = "<script>x"\n[[cuts]]\nname = "rib <b>|x"\nrectangle = [100, 30]\n'
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [500, 700]\n',
        encoding="utf-8",
    )
    text = pages(tmp_path / "cuts.toml", tmp_path / "out")["sheets.md"]
    assert "<script" not in text
    assert "| rib &lt;b>/x |" in text


def test_a_finding_is_listed_with_cure_and_source(tmp_path: Path) -> None:
    case = checked(DESIGNS / "pod-nose.toml")
    bad = MOTOR_FIT.finding("fail", "case", why="It is too wide.", cure="Take a wider tube.")
    failing = Case(case.name, case.path, case.asked, case.aircraft, case.parts, case.study, (bad,))
    (path,) = write_summaries(failing, as_dict(failing), tmp_path)
    text = path.read_text(encoding="utf-8")
    assert "- fail: motor-fit, case. It is too wide. Cure: Take a wider tube. (limit: 0.05 mm of clearance: " in text
    assert "**DOES NOT PASS** - motor-fit: It is too wide." in text


def test_the_cure_begins_a_sentence_of_its_own(tmp_path: Path) -> None:
    case = checked(DESIGNS / "pod-nose.toml")
    bad = MOTOR_FIT.finding("fail", "case", why="it is too wide", cure="take a wider tube")
    failing = Case(case.name, case.path, case.asked, case.aircraft, case.parts, case.study, (bad,))
    (path,) = write_summaries(failing, as_dict(failing), tmp_path)
    assert "It is too wide. Cure: take a wider tube" in path.read_text(encoding="utf-8")


def test_the_same_design_gives_the_same_pages(boost: dict[str, str], tmp_path: Path) -> None:
    checked.cache_clear()
    assert pages(DESIGNS / "skerry-boost.toml", tmp_path / "elsewhere") == boost


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("wing_area_mm2", ("wing area", "mm²", 0)),
        ("volume_mm3", ("volume", "mm³", 0)),
        ("impulse_N_s", ("impulse", "N s", 1)),
        ("moment_N_m", ("moment", "N m", 3)),
        ("lift_slope_per_rad", ("lift slope", "per rad", 3)),
        ("peak_km_h", ("peak", "km/h", 0)),
        ("name", ("name", "", None)),
    ],
)
def test_a_key_is_read_as_words_and_unit(key: str, expected: tuple[str, str, int | None]) -> None:
    assert words_of(key) == expected


@pytest.mark.parametrize(
    ("value", "decimals", "expected"),
    [
        (None, 1, "not known"),
        (float("nan"), 1, "not known"),
        (float("inf"), None, "not known"),
        (-0.04, 1, "0.0"),
        (1234567.0, None, "1234567"),
        (0.00012345, None, "0.000123"),
        (True, None, "yes"),
        (3, None, "3"),
    ],
)
def test_numbers_are_written_for_people(value: float | None, decimals: int | None, expected: str) -> None:
    assert number(value, decimals) == expected


def test_what_is_not_known_carries_no_unit() -> None:
    assert with_unit(None, "mm") == "not known"
    assert said(None, "%", 1) == "not known"


def test_a_column_of_which_nothing_is_known_is_left_out() -> None:
    table = listing("t", [{"name": "a", "arm_mm": None}, {"name": "b", "arm_mm": None}])
    assert table.heads == ("name",)


def test_few_entries_with_many_numbers_stand_beside_each_other() -> None:
    table = turned("t", [{"motor": "a", "burn_s": 1.7}, {"motor": "b", "burn_s": 2.2}], "motor")
    assert table == Table("t", ("", "a", "b"), (("burn", "1.70 s", "2.20 s"),), (False, True, True))


def test_nested_rows_are_flattened_and_nulls_in_them_left_blank() -> None:
    rows = flat([{"model": "stock", "spiral": {"halves_in_s": 16.0, "period_s": None}}])
    assert rows == [{"model": "stock", "spiral_halves_in_s": 16.0}]


def test_a_flat_part_of_the_summary_leaves_out_what_is_nested() -> None:
    assert pairs("t", {"samples": 10, "holds": [{"a": 1}]}).rows == (("samples", "10"),)


def test_an_angle_that_was_given_is_not_called_the_best(tmp_path: Path) -> None:
    text = (DESIGNS / "skerry-boost.toml").read_text(encoding="utf-8")
    design = tmp_path / "given.toml"
    design.write_text(text.replace('downthrust = "auto"', "downthrust = 3"), encoding="utf-8")
    page = pages(design, tmp_path)["pod.md"]
    assert "It is the angle that the design gives (pod.downthrust), not one that was looked for." in page
    assert "least worst moment" not in page
