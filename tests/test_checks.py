"""A check is a record: every one of them stands on a page, and every stamp names a reason that the page tells."""

import ast
import importlib
import math
import pkgutil
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest

import foamworks.checks
import kept
from foamworks.checks.base import (
    Cause,
    Check,
    Finding,
    Kind,
    Proposal,
    Thing,
    Verdict,
    When,
    Words,
    collected,
    given,
    judged,
)
from foamworks.checks.case import Case
from foamworks.checks.records import WORDS, rows
from foamworks.checks.records import records as table
from foamworks.checks.stamp import PAGES, STAMP, concerned, pages_of, stamp

DESIGNS = Path(__file__).parents[1] / "designs"
SAID = {"": Words("nobody knows", (("measure", "take a {tool}"),))}
LENGTH = Check("length", "mm", 1, "a ruler", frozenset({"fins"}), "fins", "bench", words=SAID)


@cache
def records() -> list[Check]:
    """Give every record that is declared in the modules of checks."""
    found = []
    for module in pkgutil.walk_packages(foamworks.checks.__path__, "foamworks.checks."):
        content = vars(importlib.import_module(module.name)).values()
        found += [value for value in content if isinstance(value, Check)]
    return list({id(record): record for record in found}.values())


def test_every_check_stands_on_a_page() -> None:
    for record in records():
        assert pages_of(record), record.name
        assert pages_of(record) <= set(PAGES), record.name


def test_every_record_keeps_to_the_words_there_are() -> None:
    for record in records():
        assert record.concerns, record.name
        assert record.concerns <= set(get_args(Thing)), record.name
        assert record.cause in get_args(Cause), record.name
        assert record.when in get_args(When), record.name


def test_every_row_of_the_table_is_a_check_of_some_module() -> None:
    declared = [(record.name, record.unit, record.concerns) for record in records()]
    assert sorted(declared, key=str) == sorted(((r.name, r.unit, r.concerns) for r in table().values()), key=str)
    assert not any("{" in record.source for record in records())


def asked() -> Iterator[tuple[Check, str, set[str]]]:
    """Give each record with a case that a module has it speak of by name, and the facts that it gives."""
    at = {"need": 2, "unknown": 1}  # by place; elsewhere `of` says it
    for module in pkgutil.walk_packages(foamworks.checks.__path__, "foamworks.checks."):
        known = importlib.import_module(module.name)
        calls = [
            n for n in ast.walk(ast.parse(Path(str(known.__file__)).read_text("utf-8"))) if isinstance(n, ast.Call)
        ]
        for call in calls:
            if not (isinstance(call.func, ast.Attribute) and isinstance(call.func.value, ast.Name)):
                continue
            record, place = vars(known).get(call.func.value.id), at.get(call.func.attr, len(call.args))
            facts = {fact.arg or "": fact.value for fact in call.keywords}
            of = call.args[place] if len(call.args) > place else facts.get("of", ast.Constant(""))
            if isinstance(record, Check) and "why" not in facts and isinstance(of, ast.Constant):
                yield (
                    record,
                    str(of.value),
                    {"value", "limit", *facts, *(["wanted"] if call.func.attr == "judge" else [])},
                )


def test_each_case_that_is_spoken_of_has_its_words_and_these_their_facts() -> None:
    found = list(asked())
    assert len(found) > 80
    for record, of, facts in found:
        words = record.words[of]
        for text in (words.why, *(cure for _, cure in words.cures)):
            wanted = {name.split(".")[0].split("[")[0] for _, name, _, _ in Formatter().parse(text) if name}
            assert wanted <= facts, (record.name, of)


def test_every_row_of_words_is_of_a_check_and_says_something() -> None:
    seen: set[tuple[str, str]] = set()
    for row in rows(WORDS):
        case = (row["name"], row["of"])
        assert row["why"] or (case in seen and row["cure"]), case
        assert not (row["why"] and case in seen), case
        assert bool(row["cure"]) == (row["kind"] in get_args(Kind)), case
        seen.add(case)
    assert {name for name, _ in seen} <= {record.name for record in table().values()}


def test_a_check_of_one_name_has_one_cause() -> None:
    causes: dict[str, set[str]] = {}
    for record in records():
        causes.setdefault(record.name, set()).add(record.cause)
    assert {name for name, found in causes.items() if len(found) > 1} <= {"plausible"}  # of a tube, or of a board


@pytest.fixture(scope="module")
def nose() -> Case:
    return kept.check(DESIGNS / "pod-nose.toml")


@pytest.mark.parametrize("page", PAGES)
def test_every_stamp_has_a_reason_on_its_page(nose: Case, page: str) -> None:
    for record in records():
        failed = replace(nose, findings=(record.finding("fail", "it", why="it fails"),))
        stamped = stamp(failed, {page}) == STAMP
        assert stamped == bool(concerned(failed, page)), record.name
        assert stamped == (page in pages_of(record)), record.name


def test_a_finding_is_told_in_the_unit_of_its_check() -> None:
    finding = LENGTH.finding("fail", "it", value=0.0123, limit=0.01, why="too long", cure="shorten it")
    assert (finding.value, finding.limit, finding.unit) == (pytest.approx(12.3), pytest.approx(10.0), "mm")
    assert finding.figures == ("12.3 mm", "10.0 mm")
    assert finding.as_dict() == {
        "check": "length",
        "subject": "it",
        "verdict": "fail",
        "value": finding.value,
        "limit": finding.limit,
        "unit": "mm",
        "why": "too long",
        "cure": "shorten it",
        "source": "a ruler",
        "concerns": ["fins"],
        "cause": "fins",
        "when": "bench",
        "inherent": False,
    }


@pytest.mark.parametrize("verdict", ["pass", "caution", "fail"])
def test_nothing_is_decided_on_a_number_that_was_not_measured(verdict: Verdict) -> None:
    with pytest.raises(ValueError, match="length of it"):
        LENGTH.finding(verdict, "it", value=math.nan, limit=0.01, why="nobody measured it")


def test_a_number_that_was_not_measured_may_be_told_to_be_unknown() -> None:
    assert LENGTH.finding("unknown", "it", value=math.nan, limit=0.01, why="nobody measured it").value is None


def test_proposals_are_told_as_one_cure() -> None:
    ways = [Proposal("cut it", "bench"), Proposal("set it", "set")]
    finding = LENGTH.finding("caution", "it", why="long", cure=ways)
    assert finding.cure == "cut it; or set it"
    assert finding.proposals == tuple(ways)


def test_a_late_cure_is_not_worked_out_for_a_pass() -> None:
    def never() -> str:
        raise AssertionError

    assert LENGTH.finding("pass", "it", why="short", cure=never).cure == ""


def test_what_is_missing_ends_a_check_with_what_to_measure() -> None:
    def says(value: float | None) -> list[Finding]:
        def first(length: float | None):  # type: ignore[no-untyped-def]
            yield LENGTH.passes("before", why="known without it")
            known = LENGTH.need(length, "it", tool="ruler")
            yield LENGTH.passes("it", value=known, why="known")

        def second(length: float | None):  # type: ignore[no-untyped-def]
            yield LENGTH.passes("also", value=given(length), why="asked only where it is")

        return collected(value, first, second)

    assert [f.subject for f in says(0.01)] == ["before", "it", "also"]
    lacking = says(None)
    assert [(f.subject, f.verdict, f.cure) for f in lacking] == [
        ("before", "pass", ""),
        ("it", "unknown", "take a ruler"),
    ]
    assert lacking[1].proposals == (Proposal("take a ruler", "measure"),)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(0.9, "fail"), (1.0, "caution"), (1.9, "caution"), (2.0, "pass"), (3.0, "pass"), (3.1, "caution"), (4.1, "fail")],
)
def test_a_value_on_a_limit_still_holds(value: float, verdict: str) -> None:
    limits = {"fail_below": 1.0, "caution_below": 2.0, "caution_above": 3.0, "fail_above": 4.0}
    assert judged(value, **limits) == verdict
