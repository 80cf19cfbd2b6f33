"""The workshop: parts to cut, boards, how they are cut, the printer, what was weighed. SI."""

import csv
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from foamworks.design import quantity as q
from foamworks.design.table import (
    Count,
    DrawnIn,
    Fraction,
    Outline,
    Table,
    TraceFile,
    Truth,
    exactly_one,
    numbers,
    only_with_trace,
    points,
    whole,
)
from foamworks.design.wording import Misfit, comma_hint, list_hint, milli
from foamworks.units import to_si

_SIDE = q.Quantity("length", 0, 20_000, above=True)
_SIDE_OR_NONE = q.Quantity("length", 0, 20_000)
_LEANING = q.Quantity("angle", -85, 85)


def _trapezoid(value: object) -> tuple[float, float, float, float]:
    if not isinstance(value, list) or len(value) != 4:
        raise ValueError(f"a trapezoid is [root, tip, height, sweep], the sweep in deg{comma_hint(value, 4)}")
    root, tip, height, sweep = numbers(value, _SIDE, _SIDE_OR_NONE, _SIDE, _LEANING)
    return root, tip, height, sweep


def _disc(value: object) -> tuple[float, float]:
    if not isinstance(value, list):
        return float(_SIDE.read(value)), 0.0
    if len(value) != 2:
        raise ValueError(f"a disc is its diameter, or [outer, inner]{comma_hint(value, 2)}")
    outer, inner = numbers(value, _SIDE, _SIDE_OR_NONE)
    if inner >= outer:
        raise Misfit(f"the disc's inner diameter must be smaller than its outer one, {milli(outer)} mm", 1)
    return outer, inner


def _line(value: object) -> tuple[tuple[float, float], ...]:
    """Read [[x, y], ...] into metres; at least two points, no two the same in a row."""
    found = points(value, of="a line", least=2)
    for number, (before, point) in enumerate(pairwise(found), start=1):
        if point == before:
            raise Misfit(f"point {number + 1} of the line is the point before it again", number)
    return tuple(found)


_LINE_SCHEMA = {"type": "array", "minItems": 2, "items": {"type": "array", "minItems": 2, "maxItems": 2}}
Line = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_line), WithJsonSchema(_LINE_SCHEMA)]


class Build(Table):
    """What was done, or will be, at the bench: each key is named by the finding that asks for it."""

    angle_error: Annotated[float, q.Quantity("angle", 0.1, 10)] = to_si(1, "angle")
    battery_block: Truth = False
    mount_plate: q.LengthOrNone = 0.0
    fillet: Annotated[float, q.Quantity("length", 0, 20)] = to_si(3, "length")
    tail_doubler: q.LengthOrNone = 0.0
    root_spar: q.MomentOrNone = 0.0
    ply_retainer: q.LengthOrNone = 0.0


class Score(Table):
    """A line cut into the board but not through, in the part's own frame: a fold, a hinge."""

    line: Line
    depth: Annotated[float, q.Quantity("length", 0, 200, above=True)]


class Bevel(Table):
    """A straight edge of the part that is cut slanting; above 0 the marked face is the smaller one."""

    edge: Annotated[Line, Field(max_length=2)]
    angle: q.Bevelled


class Cut(Table):
    """A part to be cut from board, given in one of five ways, in its own frame."""

    name: q.Name
    count: Count = 1
    board: q.Name | None = None
    grain: Literal["none", "length"] = "none"
    mirror: Truth = False
    outline: Outline | None = None
    layer: q.Name | None = None
    drawn_in: DrawnIn | None = None
    trace: TraceFile | None = None
    rectangle: tuple[q.Length, q.Length] | None = None
    trapezoid: Annotated[tuple[float, float, float, float], BeforeValidator(_trapezoid)] | None = None
    disc: Annotated[tuple[float, float], BeforeValidator(_disc)] | None = None
    score: Annotated[tuple[Score, ...], Field(max_length=200)] = ()
    bevel: Annotated[tuple[Bevel, ...], Field(max_length=200)] = ()

    @model_validator(mode="after")
    def _one_shape(self) -> "Cut":
        exactly_one(self, "outline", "trace", "rectangle", "trapezoid", "disc")
        only_with_trace(self)
        return self


class Offcut(Table):
    """A piece of board left over, by its outline or a drawing of it, wherever that lies; and how many there are."""

    layer: q.Name | None = None
    drawn_in: DrawnIn | None = None
    trace: TraceFile | None = None
    outline: Outline | None = None
    count: Count = 1

    @model_validator(mode="after")
    def _one_shape(self) -> "Offcut":
        exactly_one(self, "outline", "trace")
        only_with_trace(self)
        if self.trace is not None and self.trace.holes:
            raise Misfit(
                "the drawing has a loop within its outline; an offcut is drawn by its outer edge alone", "trace"
            )
        return self

    @property
    def edge(self) -> tuple[tuple[float, float], ...]:
        """The offcut's outline [m], as it was given."""
        return self.trace.outline if self.trace is not None else self.outline or ()


@cache
def paper_sizes() -> dict[str, list[str]]:
    """Give the standard paper sizes by name: width and height with their unit."""
    text = files("foamworks.design").joinpath("tables", "paper_sizes.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {row["name"]: [f"{row[side]} {row['unit']}" for side in ("short", "long")] for row in rows}


def _named(value: object) -> object:
    """Give a paper size for its name in any case, "a2" or "ANSI B"; all else as it is."""
    plain = " ".join(value.upper().replace("-", " ").split()) if isinstance(value, str) else ""
    return paper_sizes().get(plain, value)


def _sheets(value: object) -> object:
    """Take [w, h], a paper size's name, an offcut, or a list of these; hand on a list of sheets."""
    if isinstance(value, dict):
        if not {"outline", "trace"} & value.keys():
            raise ValueError(
                "must be [width, height], or a list of these and of { outline = [[0, 0], ...], count = 1 }"
            )
        return [value]
    if isinstance(value, str):
        if _named(value) is value:
            names = ", ".join(paper_sizes())
            wanted = list_hint(value) or "[width, height]"
            raise ValueError(f"is no paper size; give {wanted} in mm, or one of {names}")
        return [_named(value)]
    if isinstance(value, list):
        sheets = [_named(entry) for entry in value]
        return sheets if any(isinstance(entry, list | dict) for entry in sheets) or not value else [value]
    return value


Size = tuple[q.Length, q.Length]
PaperSize = Annotated[str, Field(description='a paper size by its name: "A2", "ANSI B"')]
_AsGiven = PaperSize | Size | Offcut
Sheets = Annotated[
    tuple[Size | Offcut, ...],
    Field(min_length=1, max_length=50),
    BeforeValidator(_sheets, json_schema_input_type=_AsGiven | list[_AsGiven]),
]


class Board(Table):
    """A board, measured: thickness with the caliper, the mass of one whole sheet on the scale."""

    name: q.Name
    thickness: Annotated[float, q.Quantity("length", 0, 200, above=True)]
    sheet: Sheets | None = None
    mass: q.Mass = q.UNMEASURED
    grain: Literal["length", "none"] = "length"
    shear_modulus: q.Modulus = q.UNMEASURED
    bending_modulus: q.Modulus = q.UNMEASURED


class Cutting(Table):
    """How the board is cut. `kerf` is the width the tool takes away.

    `relief` cuts inside corners free of a round tool's radius (without it: for the round tools); `overcut` runs a
    trailing blade's cuts on past outside corners; `feed` and `passes` are for the estimate of the time.
    """

    kerf: Annotated[float, q.Quantity("length", 0, 10)] = 0.0
    gap: Annotated[float, q.Quantity("length", 0, 200)] = 0.002
    margin: Annotated[float, q.Quantity("length", 0, 200)] = 0.006
    tool: Literal["knife", "drag-knife", "needle", "laser", "wire"] | None = None
    relief: Truth | None = None
    overcut: Annotated[float, q.Quantity("length", 0, 10)] = 0.0
    feed: q.Feed | None = None
    passes: Annotated[int, Field(ge=1, le=50), BeforeValidator(whole)] | None = None


class Filament(Table):
    """What the printer prints with. Density in g/cm3."""

    name: q.Name = "PETG"
    density: q.Density = 1270.0
    walls: Annotated[int, Field(ge=1, le=50), BeforeValidator(whole)] = 3
    nozzle: Annotated[float, q.Quantity("length", 0, 5, above=True)] = 0.0004
    infill: Fraction = 0.15


class Printer(Table):
    """The printer: its bed and its filament."""

    bed: tuple[q.Length, q.Length, q.Length] | None = None
    filament: Filament = Filament()


class Weighed(Table):
    """A part, or a whole state of the model, on the scale; replaces the estimate. One piece."""

    part: q.Name
    mass: q.MassOrNone
