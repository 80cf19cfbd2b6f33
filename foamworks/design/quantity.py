"""Field types of the design model: a quantity read from the file's unit into SI, a safe name, a file beside the design.

A range is given in the unit a bare number is in, so that its message speaks the user's unit.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Any

from pydantic import AfterValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import core_schema

from foamworks.units import FACTORS, Kind, Unit, default_unit, to_si

AUTO = "auto"  # as the file writes it


class Open(float):
    """A number that the file leaves open, to be settled: till then as little known as one that was not measured."""


OPEN = Open(math.nan)


@dataclass(frozen=True)
class Quantity:
    """A number of one kind with its range in the kind's bare unit; `above`: the least itself is refused.

    `said_in`: the unit in which its range is told, where the bare one gives unhandy numbers.
    """

    kind: Kind
    least: float = -math.inf
    most: float = math.inf
    above: bool = False
    auto: bool = False
    said_in: str = ""

    def read(self, value: object) -> float:
        """Turn the file's value into SI; "auto" is an open number, where it is allowed."""
        if self.auto and value == AUTO:
            return OPEN
        if self.auto and isinstance(value, str) and not any(c.isdigit() for c in value):
            raise ValueError(f'a number in {default_unit(self.kind)} or "{AUTO}" is needed')
        number = to_si(value, self.kind)  # type: ignore[arg-type]  # to_si refuses what is neither number nor text
        low, high, slack = self._range
        too_low = number <= low if self.above else number < low - slack
        if too_low or number > high + slack:
            percent = self.kind == "ratio" and not isinstance(value, str) and high < 2 <= number <= 100 * high
            raise ValueError(self._range_text(value) + (f'; in percent: "{number:g} %"' if percent else ""))
        return number

    @cached_property
    def _range(self) -> tuple[float, float, float]:
        """Least and most in SI, and what a number may miss them by."""
        low, high = self._si(self.least), self._si(self.most)
        return low, high, 1e-12 * max((abs(bound) for bound in (low, high) if math.isfinite(bound)), default=0.0)

    def _si(self, bound: float) -> float:
        return to_si(bound, self.kind) if math.isfinite(bound) else bound

    def _range_text(self, value: object) -> str:
        unit = default_unit(self.kind)
        if self.said_in:
            low, high = (Unit(self.said_in)(self._si(bound)) for bound in (self.least, self.most))
            far = f"within {low:g} and {high:g} {self.said_in}"
            bare = float(value) if isinstance(value, int | float) else math.nan
            meant = bare if low <= bare <= high else low
            return f'must lie {far}; a bare number is in {unit}: write "{meant:g} {self.said_in}"'
        unit = f" {unit}" if unit else ""
        if math.isfinite(self.least) and math.isfinite(self.most):
            if self.above:
                return f"must be above {self.least:g} and at most {self.most:g}{unit}"
            return f"must lie within {self.least:g} and {self.most:g}{unit}"
        if math.isfinite(self.least):
            return f"must be {'above' if self.above else 'at least'} {self.least:g}{unit}"
        return f"must be at most {self.most:g}{unit}"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        """Read first, then let pydantic hold the type."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Describe the file's side: a bare number, or a text with a unit."""
        unit = default_unit(self.kind)
        number: dict[str, Any] = {"type": "number"}
        if unit:
            number["description"] = f"in {unit}"
        if math.isfinite(self.least):
            number["exclusiveMinimum" if self.above else "minimum"] = self.least
        if math.isfinite(self.most):
            number["maximum"] = self.most
        text = {
            "type": "string",
            "description": "a number with its unit: " + ", ".join(u for u in FACTORS[self.kind] if u),
        }
        return {"anyOf": [number, text, *([{"const": AUTO}] if self.auto else [])]}


def _name(value: str) -> str:
    if not 1 <= len(value) <= 80 or not value.isprintable() or not value.strip():
        raise ValueError("a name has 1 to 80 printable characters")
    return value


def is_open(number: float) -> bool:
    """Tell a number that is still to be settled from one that is there, or was not measured."""
    return isinstance(number, Open)


UNMEASURED = math.nan  # what a number is that the file does not give: whatever rests on it is unknown too
Name = Annotated[str, AfterValidator(_name)]

# Wide ranges: refuse what cannot be on a model aircraft; what should not be is a finding's business.
Place = Annotated[float, Quantity("length", -20_000, 20_000)]
PlaceOrAuto = Annotated[float, Quantity("length", -20_000, 20_000, auto=True)]
Length = Annotated[float, Quantity("length", 0, 20_000, above=True)]
LengthOrNone = Annotated[float, Quantity("length", 0, 20_000)]
FieldLength = Annotated[float, Quantity("length", 10_000, 1e7, said_in="m")]
Mass = Annotated[float, Quantity("mass", 0, 100_000, above=True)]
MassEitherWay = Annotated[float, Quantity("mass", -100_000, 100_000)]
MassOrNone = Annotated[float, Quantity("mass", 0, 100_000)]
MassOrAuto = Annotated[float, Quantity("mass", 0, 100_000, auto=True)]
Sweep = Annotated[float, Quantity("angle", -60, 80)]
Cant = Annotated[float, Quantity("angle", -60, 60)]
Toe = Annotated[float, Quantity("angle", -20, 20)]
Turn = Annotated[float, Quantity("angle", -360, 360)]
Tilt = Annotated[float, Quantity("angle", -45, 45)]
Travel = Annotated[float, Quantity("angle", 0, 60)]
Deflection = Annotated[float, Quantity("angle", -60, 60)]
Downthrust = Annotated[float, Quantity("angle", 0, 45)]
DownthrustOrAuto = Annotated[float, Quantity("angle", 0, 45, auto=True)]
Force = Annotated[float, Quantity("force", 0, 10_000, above=True)]
Impulse = Annotated[float, Quantity("impulse", 0, 41_000, above=True)]
Duration = Annotated[float, Quantity("time", 0, 600, above=True)]
Speed = Annotated[float, Quantity("speed", 1, 1_500)]
Wind = Annotated[float, Quantity("speed", -200, 200)]
Volts = Annotated[float, Quantity("voltage", 0, 1_000, above=True)]
Amperes = Annotated[float, Quantity("current", 0, 2_000, above=True)]
Modulus = Annotated[float, Quantity("stress", 0, 1e6, above=True)]
Moment = Annotated[float, Quantity("moment", 0, 1e5, above=True)]
TwistStiffness = Annotated[float, Quantity("twist stiffness", 0, 1e4, above=True)]
Spring = Annotated[float, Quantity("spring", 0, 1e4, above=True)]
MomentOrNone = Annotated[float, Quantity("moment", 0, 1e5)]
Ohms = Annotated[float, Quantity("resistance", 0, 1_000, above=True)]
OhmsOrNone = Annotated[float, Quantity("resistance", 0, 1_000)]
Charge = Annotated[float, Quantity("charge", 0, 1e6, above=True)]
Density = Annotated[float, Quantity("density", 0, 25, above=True)]
Area = Annotated[float, Quantity("area", 0, 1e7, above=True)]
Altitude = Annotated[float, Quantity("altitude", -500, 9_000)]
Feed = Annotated[float, Quantity("feed", 0, 10_000, above=True)]
Bevelled = Annotated[float, Quantity("angle", -75, 75)]
Temperature = Annotated[float, Quantity("temperature", -60, 60)]
CaseTemperature = Annotated[float, Quantity("temperature", 0, 600)]
