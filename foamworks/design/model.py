"""The design: what the user measured and asked for, frozen, in SI (angles in radians, temperatures in kelvin).

One class for each table of the design file, with the file's own key names: the stock model in `airframe`, what is added
in `additions`, what is cut and printed in `workshop`. A field's type reads the file's unit into SI (see `quantity`).
Axes: x aft from the nose tip, y to starboard, z up from the model's reference line.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, PrivateAttr

from foamworks.design import quantity as q
from foamworks.design.additions import Added, Pod
from foamworks.design.airframe import Airframe, Flight, NoAirframe
from foamworks.design.reading.template import Untouched
from foamworks.design.reading.typed import Customary
from foamworks.design.table import Table
from foamworks.design.workshop import Board, Build, Cut, Cutting, Printer, Weighed
from foamworks.errors import not_measured


class Flying(Table):
    """The field: altitude, temperature, how long it is, and how the model leaves it."""

    altitude: q.Altitude = 0.0
    temperature: q.Temperature = 288.15
    length: q.FieldLength | None = None
    surface: Literal["grass", "tarmac"] = "grass"
    launch: Literal["ground", "hand", "bungee"] = "ground"
    bank_speed: q.Speed | None = None


class Limits(Table):
    """The static margins wanted: on the first flight, and in any state; `sure`: by which share of the builds."""

    first: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.10
    least: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.05
    sure: Annotated[float, q.Quantity("ratio", 0.5, 0.99)] = 0.9


@dataclass(frozen=True)
class StandingPod:
    """A pod that stands on the aircraft: nozzle x and z, downthrust, and the plane y of each [m, rad]."""

    pod: Pod
    x: float
    z: float
    downthrust: float
    planes: tuple[float, ...]


class Design(Added):
    """The whole design file: what is added to the model, and the rest."""

    name: q.Name | None = None
    notes: str | None = Field(default=None, max_length=20_000)
    airframe: Airframe = Field(default_factory=NoAirframe)
    flights: tuple[Flight, ...] = Field(default=(), max_length=200)
    cuts: tuple[Cut, ...] = Field(default=(), max_length=2000)
    boards: tuple[Board, ...] = Field(default=(), max_length=50)
    cutting: Cutting = Cutting()
    printer: Printer | None = None
    build: Build = Build()
    field: Flying = Flying()
    limits: Limits = Limits()
    weighed: tuple[Weighed, ...] = Field(default=(), max_length=500)
    _untouched: Untouched = PrivateAttr(default_factory=Untouched)
    _typed_in: frozenset[Customary] = PrivateAttr(default=frozenset())

    @property
    def stock(self) -> Airframe | None:
        """The airframe, for whom nothing is to be asked without one."""
        return self.airframe if self.airframe.given else None

    @property
    def standing(self) -> StandingPod | None:
        """The pod where it stands; None without one, without a nozzle, or before its downthrust is settled."""
        pod = self.pod
        if pod is None or pod.nozzle is None or not_measured(pod.downthrust) or not self.airframe.given:
            return None
        return StandingPod(pod, pod.nozzle.x, pod.nozzle.z, pod.downthrust, pod.planes)

    @property
    def untouched(self) -> Untouched:
        """The numbers that are still those of the template that the file was made from."""
        return self._untouched

    @property
    def typed_in(self) -> frozenset[Customary]:
        """The units, inch and ounce, in which the builder measures; empty for millimetres and grams."""
        return self._typed_in

    def made_from(self, untouched: Untouched, *, typed_in: frozenset[Customary]) -> "Design":
        """Give the design with what is known of the template it was made from and of the builder's units."""
        design = self.model_copy()
        design._untouched, design._typed_in = untouched, typed_in
        return design
