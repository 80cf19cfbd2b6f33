"""What cuts the board: its kerf, whether it is round, whether its cuts run on past corners, how fast it is; in mm.

The table of tools stands in design/tables/cutting_tools.csv with a source for every row; what the design gives wins.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from foamworks.design.workshop import Cutting
from foamworks.units import mm

BY_HAND = "knife"  # what is taken for the estimate of the time when the design names no tool


@dataclass(frozen=True)
class Kind:
    """A kind of tool: `round` ones leave inside corners rounded by half their kerf; feed [mm/s], lift [s] a loop."""

    round: bool
    feed: float
    passes: int
    lift: float
    source: str


@dataclass(frozen=True)
class Tool:
    """The tool as the sheets need it: `kerf` and `overcut` [mm], `relief` of inside corners, and what its time is.

    `named` is False when the design names no tool: then the estimate is a hand knife's and says so.
    """

    name: str = BY_HAND
    named: bool = False
    kerf: float = 0.0
    relief: bool = False
    overcut: float = 0.0
    feed: float = 15.0
    passes: int = 2
    lift: float = 5.0

    def seconds(self, *, cut: float, score: float, loops: int) -> float:
        """Estimate the time [s] for lengths cut and scored [mm] and a number of lines begun; scores take one pass.

        >>> Tool(feed=10.0, passes=2, lift=5.0).seconds(cut=1000.0, score=100.0, loops=3)
        225.0
        """
        return (self.passes * cut + score) / self.feed + self.lift * loops


@cache
def kinds() -> dict[str, Kind]:
    """Read the table."""
    text = files("foamworks.design").joinpath("tables", "cutting_tools.csv").read_text(encoding="utf-8")
    return {
        row["tool"]: Kind(
            round=row["round"] == "yes",
            feed=float(row["feed_mm_s"]),
            passes=int(row["passes"]),
            lift=float(row["lift_s"]),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def tool_of(cutting: Cutting) -> Tool:
    """Give the tool a design cuts with."""
    name = cutting.tool or BY_HAND
    kind = kinds()[name]
    kerf = mm(cutting.kerf)
    relief = cutting.relief if cutting.relief is not None else kind.round
    return Tool(
        name=name,
        named=cutting.tool is not None,
        kerf=kerf,
        relief=relief and kerf > 0,
        overcut=mm(cutting.overcut),
        feed=kind.feed if cutting.feed is None else mm(cutting.feed),
        passes=cutting.passes or kind.passes,
        lift=kind.lift,
    )
