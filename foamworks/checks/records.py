"""The checks' records, two tables read once: `records.csv`, one row each, and what they may lack, `lacks.csv`.

The rows stand in the order of what hurts most; those without a sentence (`said`) come last, all alike. A check of
several things (`of`) has a row for each; a number in braces in a source is the caller's constant. A word after a $ in
what is said of a lack is a fact that the check fills in.
"""

import csv
import math
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import cast, get_args

from foamworks.checks.base import Cause, Check, Thing, When

TABLE = Path(__file__).with_name("records.csv")
LACKS = TABLE.with_name("lacks.csv")
Key = tuple[str, str]  # a check's name, and of what it is


@cache
def records() -> dict[Key, Check]:
    """Read every record; raises ValueError for a word that is none of the words there are, or a row twice."""
    checks, lacks = rows(TABLE), rows(LACKS)
    found = {(row["name"], row["of"]): _record(row, lacks, place) for place, row in enumerate(checks)}
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


def _record(row: dict[str, str], lacks: list[dict[str, str]], place: int) -> Check:
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
        lacks={lack["lack"]: (lack["why"], lack["measure"]) for lack in lacks if lack["name"] == row["name"]},
        said=tuple(said for said in (row["said"], row["too much"]) if said),
        place=place if row["said"] else math.inf,
        blind=row["blind"] or "",
    )
