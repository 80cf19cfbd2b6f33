"""What the answer says: whole sentences, in a builder's words, worst first; a limit with the side that it holds."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import kept
from foamworks.changes import plain
from foamworks.changes.answer import Answer
from foamworks.checks.base import Check
from foamworks.output.keys import words_of
from test_answer import DESIGNS, SKERRY, TOO_FAR, answer_of
from test_checks import records

LENGTH = Check("length", "mm", 1, "a ruler", frozenset({"fins"}), "fins", "bench")
NAMES = {record.name for record in records()}
MACHINE = re.compile(rf"\b({'|'.join(sorted(name for name in NAMES if '-' in name))})\b(?! \()")


def sentences(answer: Answer) -> Iterator[str]:
    yield answer.sentence
    yield from (cause.sentence for cause in answer.causes)
    yield from answer.next
    yield from answer.not_judged


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_answer_speaks_in_whole_sentences(path: Path) -> None:
    for text in sentences(answer_of(path)[1]):
        assert not text[0].islower(), text
        assert text.endswith("."), text
        assert "..." not in text
        assert text.count("(") == text.count(")"), text


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_no_sentence_calls_a_check_by_its_name(path: Path) -> None:
    answer = answer_of(path)[1]
    told = [answer.sentence, *(c.sentence for c in answer.causes), *answer.not_judged]
    told += [flight.because for flight in answer.flights]
    for text in told:
        assert not MACHINE.search(text), text


def test_what_costs_comfort_never_heads_what_is_dangerous() -> None:
    """A pull-out, a fin that flutters, a balance behind its limit come before the trade's rule of thumb."""
    order = [record.name for record in sorted(records(), key=lambda record: record.place)]
    for worse in ("static-margin", "pitch-change", "flutter", "glue-line"):
        for better in ("hand-rule", "lateral-balance", "spiral"):
            assert order.index(worse) < order.index(better)
    for path in (SKERRY, TOO_FAR):
        answer = answer_of(path)[1]
        assert "trade's rule" not in answer.sentence
        assert "trade's rule" not in answer.causes[0].sentence


def test_a_cause_is_told_by_the_worst_of_its_findings() -> None:
    case = kept.check(TOO_FAR)
    for cause in answer_of(TOO_FAR)[1].causes:
        worst = min(("fail", "caution").index(f.verdict) for f in cause.findings)
        assert ("fail", "caution").index(cause.findings[0].verdict) == worst
        assert cause.findings[0] in case.findings


@pytest.mark.parametrize(
    ("verdict", "value", "limit", "bound"),
    [
        ("fail", 0.0123, 0.010, "at most 10.0 mm"),
        ("pass", 0.0090, 0.010, "at most 10.0 mm"),
        ("caution", 0.0090, 0.010, "at least 10.0 mm"),
        ("pass", 0.0123, 0.010, "at least 10.0 mm"),
        ("fail", -0.0020, 0.005, "at least 5.0 mm"),
        ("pass", 0.010, 0.010, "10.0 mm"),
    ],
)
def test_a_limit_says_which_side_is_better(verdict: str, value: float, limit: float, bound: str) -> None:
    finding = LENGTH.finding(verdict, "it", value=value, limit=limit, why="measured")  # type: ignore[arg-type]
    assert finding.bound == bound


def test_a_nose_turned_down_by_twelve_degrees_has_passed_ten() -> None:
    turn = Check("turn", "deg", 0, "ours", frozenset({"flight"}), "motor", "boost", plain=True, either_way=True)
    assert turn.finding("caution", "it", value=-12.0, limit=10.0, why="measured").bound == "at most 10 deg"


def test_a_model_that_tumbles_is_not_said_to_turn_ten_times() -> None:
    (turn,) = (record for record in records() if record.name == "pitch-change")
    finding = turn.finding("fail", "D", value=-63.0, limit=0.785, why="hands off")  # rad
    assert "turn the nose down by over 180 deg; 45 deg is wanted" in plain.sentence(finding)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_what_is_wrong_stands_on_the_wrong_side_of_its_limit(path: Path) -> None:
    """A pull of the glue, a margin, a load: who reads value and limit sees what was missed."""
    more_is_better = {
        "manoeuvre-margin",
        "flutter",
        "glue-line",
        "sureness",
        "plume",
        "load-factor",
        "controller-margin",
    }
    for finding in kept.check(path).findings:
        if finding.verdict in {"fail", "caution"} and finding.check in more_is_better and finding.limit is not None:
            assert finding.value is not None
            assert (finding.value < finding.limit) or (finding.check == "load-factor" and finding.value > 4.0)


def test_no_file_says_that_an_aircraft_steers_itself_or_names_two_things_alike() -> None:
    root = Path(__file__).parents[1] / "foamworks"
    texts = [path.read_text(encoding="utf-8") for path in root.rglob("*") if path.suffix in {".py", ".md", ".html"}]
    assert not any("steers itself" in text or "up: km/h" in text for text in texts)
    coast = {words_of("coast_end_m")[0], words_of("coast_end_s")[0]}
    assert len(coast) == 2
