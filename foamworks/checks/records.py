"""The checks' records, two tables read once: `records.csv`, one row each, and what they say, `words.csv`.

The rows stand in the order of what hurts most; those without a sentence (`said`) come last, all alike. A check of
several things (`of`) has a row for each; a number in braces in a source is the caller's constant. Words are said of a
case (`of`): a row without a reason adds a cure to the one above it. What stands in braces is a fact of the check's.
"""

import csv
import math
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import cast, get_args

from foamworks.checks.base import Cause, Check, Kind, Thing, When, Words

TABLE = Path(__file__).with_name("records.csv")
WORDS = TABLE.with_name("words.csv")
Key = tuple[str, str]  # a check's name, and of what it is


@cache
def records() -> dict[Key, Check]:
    """Read every record; raises ValueError for a word that is none of the words there are, or a row twice."""
    checks, words = rows(TABLE), _words()
    found = {(row["name"], row["of"]): _record(row, words, place) for place, row in enumerate(checks)}
    if len(found) != len(checks):
        raise ValueError(f"{TABLE.name}: a row stands there twice")
    return found


def record(name: str, *, of: str = "", **constants: float) -> Check:
    """Give a check's record, its source with these constants written in."""
    found = records()[name, of]
    return replace(found, source=found.source.format(**constants)) if constants else found


def rows(table: Path) -> list[dict[str, str]]:
    """Read a table of words: a row each, by its columns' names."""
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _words() -> dict[str, dict[str, Words]]:
    """Read what each check says, by the case."""
    found: dict[str, dict[str, Words]] = {}
    for row in rows(WORDS):
        of = found.setdefault(row["name"], {})
        before = of.get(row["of"], Words(row["why"], ()))
        cure = ((cast("Kind", row["kind"]), row["cure"]),) if row["cure"] else ()
        of[row["of"]] = Words(before.why, (*before.cures, *cure))
    return found


def _record(row: dict[str, str], words: dict[str, dict[str, Words]], place: int) -> Check:
    things = row["concerns"].split()
    known = {*things} <= {*get_args(Thing)} and row["cause"] in get_args(Cause) and row["when"] in get_args(When)
    if not (things and known):
        raise ValueError(f"{TABLE.name}: {row['name']}: no such thing, cause or time")
    return Check(
        name=row["name"],
        unit=row["unit"],
        decimals=int(row["decimals"]) if row["decimals"] else None,
        source=row["source"],
        concerns=frozenset(cast("list[Thing]", things)),
        cause=cast("Cause", row["cause"]),
        when=cast("When", row["when"]),
        inherent=row["inherent"] == "yes",
        plain=row["plain"] == "yes",
        either_way=row["either_way"] == "yes",
        words=words.get(row["name"], {}),
        said=tuple(said for said in (row["said"], row["too much"]) if said),
        place=place if row["said"] else math.inf,
        blind=row["blind"] or "",
    )
