"""The fin that comes off: by stations, by three measures, by an outline or by a drawing. Lengths in m, angles in rad.

Axes: x aft from the nose tip, z up from the model's reference line.
"""

import math
from itertools import pairwise

from pydantic import Field, field_validator, model_validator

from foamworks.design import quantity as q
from foamworks.design.table import (
    ASIDE,
    LEAST_ASIDE,
    DrawnIn,
    FinFile,
    Outline,
    Pair,
    PointXZ,
    Table,
    exactly_one,
    only_with_trace,
)
from foamworks.design.wording import Misfit, milli
from foamworks.errors import not_measured
from foamworks.units import first_measured

LEAST_STEP = 1e-4  # m from station to station: a ruler tells no less, and the lattice has no use for a slit

Point = tuple[float, float]


def after(station: int, place: float) -> str:
    """Say where the station before stands, and what is needed of the next."""
    return f"station {station} stands at {milli(place)} mm, at least {milli(place + LEAST_STEP)} mm are needed here"


class FinStation(Table):
    """The leading-edge point and the chord at one height of a fin."""

    x: q.Place
    z: q.Place
    chord: q.LengthOrNone


class OldFin(Table):
    """The fin that comes off, given in one of four ways."""

    stations: tuple[FinStation, ...] = Field(default=(), min_length=2, max_length=50)
    root_chord: q.Length = q.UNMEASURED
    tip_chord: q.LengthOrNone = q.UNMEASURED
    height: q.Length = q.UNMEASURED
    sweep: q.Sweep = 0.0
    tip_offset: q.Place = q.UNMEASURED
    outline: Outline | None = None
    layer: q.Name | None = None
    drawn_in: DrawnIn | None = None
    trace: FinFile | None = None
    at: PointXZ | None = None
    turn: q.Turn = 0.0
    mass: q.MassOrNone = q.UNMEASURED
    count: Pair = 1
    y: q.Place = 0.0

    @field_validator("stations")
    @classmethod
    def _upward(cls, stations: tuple[FinStation, ...]) -> tuple[FinStation, ...]:
        for number, (lower, upper) in enumerate(pairwise(stations), start=2):
            if upper.z < lower.z + LEAST_STEP:
                raise Misfit(f"z must rise from root to tip: {after(number - 1, lower.z)}", number - 1, "z")
        if all(station.chord == 0 for station in stations):
            raise Misfit("the surface has no area: a chord above 0 is needed", 0, "chord")
        return stations

    @model_validator(mode="after")
    def _one_shape(self) -> "OldFin":
        self._measures_whole()
        exactly_one(self, "stations", "root_chord", "outline", "trace")
        only_with_trace(self)
        if self.stations and self.at:
            raise Misfit("stations stand in the aircraft's axes already; leave at away", "at")
        if self.turn and not (self.outline or self.trace):
            raise Misfit("turns a drawing: it stands beside outline or trace", "turn")
        if self.count == 2 and abs(self.y) < LEAST_ASIDE:
            key = "y" if "y" in self.model_fields_set else "count"
            raise Misfit(f"with count = 2 the fins' y is needed, {ASIDE}", key)
        return self

    def _measures_whole(self) -> None:
        """Hold the three measures to be all there, with their place and one way to say the sweep."""
        needed = ("root_chord", "tip_chord", "height", "at")
        given = [key for key in (*needed[:3], "sweep", "tip_offset") if key in self.model_fields_set]
        lacking = [key for key in needed if key not in self.model_fields_set]
        if given and lacking:
            what = (
                "a fin by its measures needs root_chord, tip_chord, height and at = { x, z }, its root's leading edge"
            )
            raise Misfit(f"is missing beside {given[0]}; {what}", lacking[0])
        if {"sweep", "tip_offset"} <= self.model_fields_set:
            raise Misfit("says again how far the tip lies aft; give sweep or tip_offset", "tip_offset")

    @property
    def rows(self) -> tuple[FinStation, ...]:
        """The stations, given or made from the measures; none of a fin that is drawn."""
        if not_measured(self.root_chord) or not self.at:
            return self.stations
        aft = first_measured(self.tip_offset, self.height * math.tan(self.sweep))
        x, z = self.at.x, self.at.z
        return (
            FinStation.model_construct(x=x, z=z, chord=self.root_chord),
            FinStation.model_construct(x=x + aft, z=z + self.height, chord=self.tip_chord),
        )

    @property
    def drawn(self) -> tuple[Point, ...]:
        """The drawing's outline (x, z), turned and in its place; no points of a fin by stations or measures."""
        points = self.trace.outline if self.trace else self.outline or ()
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        if self.turn:
            points = tuple((x * cos - z * sin, x * sin + z * cos) for x, z in points)
        if not (self.at and points):
            return points
        dx, dz = self.at.x - min(x for x, _ in points), self.at.z - min(z for _, z in points)
        return tuple((x + dx, z + dz) for x, z in points)
