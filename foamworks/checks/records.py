"""The checks' records, a table read once: `records.csv`, one row each.

A check of several things (`of`) has a row for each; a number in braces in a source is the caller's constant.
"""

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import cast, get_args

from foamworks.checks.base import Cause, Check, Thing, When

TABLE = Path(__file__).with_name("records.csv")
Key = tuple[str, str]  # a check's name, and of what it is


@cache
def records() -> dict[Key, Check]:
    """Read every record; raises ValueError for a word that is none of the words there are, or a row twice."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    found = {(row["name"], row["of"]): _record(row) for row in rows}
    if len(found) != len(rows):
        raise ValueError(f"{TABLE.name}: a row stands there twice")
    return found


def record(name: str, *, of: str = "", **constants: float) -> Check:
    """Give a check's record, its source with these constants written in."""
    found = records()[name, of]
    return replace(found, source=found.source.format(**constants)) if constants else found


def _record(row: dict[str, str]) -> Check:
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
    )
