"""What every table of the design file rests on: frozen, unknown keys refused; counts, outlines, files."""

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from foamworks.design import quantity as q
from foamworks.design.files import (
    Curve,
    Drawing,
    SpeedLog,
    read_curve_file,
    read_drawing_file,
    read_fin_file,
    read_log_file,
)
from foamworks.design.wording import Misfit, comma_hint

LEAST_ASIDE = 1e-3  # m from the centre line: what stands nearer than that on both sides is one thing, not two
ASIDE = "at least 1 mm"


class Table(BaseModel):
    """A table of the design file: frozen, unknown keys refused; its hash is worked out once."""

    __slots__ = ("_hash",)
    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)

    def __hash__(self) -> int:
        """Hash what it holds: a whole design is looked up for every flight."""
        known: int | None = getattr(self, "_hash", None)
        if known is not None:
            return known
        found = hash(tuple(self.__dict__.values()))
        object.__setattr__(self, "_hash", found)
        return found


def whole(value: object) -> object:
    """Let whole numbers pass, and nothing that only looks like one."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("a whole number is needed")
    return value


def _truth(value: object) -> object:
    if not isinstance(value, bool):
        raise ValueError("true or false is needed")
    return value


Truth = Annotated[bool, BeforeValidator(_truth)]


def exactly_one(table: Table, *names: str) -> None:
    """Hold that exactly one of a table's keys is given."""
    given = [name for name in names if name in table.model_fields_set]
    needs = f"needs exactly one of {', '.join(names[:-1])} and {names[-1]}"
    if not given:
        raise ValueError(f"{needs}; none is given")
    if len(given) > 1:
        raise Misfit(f"stands beside {given[0]}; the table {needs}", given[1])


_COORDINATE = q.Quantity("length", -20_000, 20_000)


def numbers(values: list[object], *fields: q.Quantity) -> list[float]:
    """Read the numbers of a list into SI; a fault is laid at its own entry."""
    found = []
    for number, (value, field) in enumerate(zip(values, fields, strict=True)):
        try:
            found.append(float(field.read(value)))
        except ValueError as fault:
            raise Misfit(str(fault), number) from None
    return found


def points(value: object, *, of: str, least: int) -> list[tuple[float, float]]:
    """Read [[x, z], ...] in mm into metres; `of` says what they make, with its article."""
    if not isinstance(value, list) or len(value) < least:
        raise ValueError(f"{of} is a list of at least {least} points, [[x, y], ...]")
    found = []
    for number, point in enumerate(value):
        if not isinstance(point, list) or len(point) != 2:
            hint = comma_hint(point, 2)
            raise Misfit(f"point {number + 1} must be two numbers, as in [120, 36]{hint}", number)
        try:
            x, y = numbers(point, _COORDINATE, _COORDINATE)
        except Misfit as fault:
            raise Misfit(str(fault), number, *fault.key) from None
        found.append((x, y))
    return found


Count = Annotated[int, Field(ge=1, le=1000), BeforeValidator(whole)]
Pair = Annotated[int, Field(ge=1, le=2), BeforeValidator(whole)]
Fraction = Annotated[float, q.Quantity("ratio", 0, 1)]


def simple_outline(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Drop a repeated last point and hold the rest to be simple (no crossing) and of some area.

    Raise ValueError with the place of the crossing in mm for points in metres.
    """
    from shapely import Polygon
    from shapely.validation import explain_validity

    ring = points[:-1] if points[0] == points[-1] else points
    ring = [point for point, before in zip(ring, ring[-1:] + ring[:-1], strict=True) if point != before]
    if len(ring) < 3:
        raise ValueError("an outline needs at least three different points")
    polygon = Polygon(ring)
    if not polygon.is_valid:
        text = explain_validity(polygon)
        if "[" in text:
            x, z = (float(number) * 1000 for number in text.split("[")[1].rstrip("]").split())
            place = f"[{x:.2f}, {z:.2f}] mm"
            raise ValueError(f"the outline crosses or touches itself near {place}; give its points in order round it")
        raise ValueError(f"the outline is not simple ({text}); give its points in order round the edge")
    if polygon.area <= 0:
        raise ValueError("the outline has no area")
    return tuple(ring)


def _outline(value: object) -> tuple[tuple[float, float], ...]:
    """Read the points of an outline, at least three; it must be simple and closed."""
    return simple_outline(points(value, of="an outline", least=3))


_POINTS_SCHEMA = {"type": "array", "minItems": 3, "items": {"type": "array", "minItems": 2, "maxItems": 2}}
Outline = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_outline), WithJsonSchema(_POINTS_SCHEMA)]
_FILE_SCHEMA = {"type": "string", "description": "a file beside the design file"}
FinFile = Annotated[Drawing, BeforeValidator(read_fin_file), WithJsonSchema(_FILE_SCHEMA)]
TraceFile = Annotated[Drawing, BeforeValidator(read_drawing_file), WithJsonSchema(_FILE_SCHEMA)]
LogFile = Annotated[SpeedLog, BeforeValidator(read_log_file), WithJsonSchema(_FILE_SCHEMA)]
CurveFile = Annotated[Curve, BeforeValidator(read_curve_file), WithJsonSchema(_FILE_SCHEMA)]


# what one unit of a drawing is: "pt" 72 to the inch, "px" 96 to the inch
DrawnIn = Literal["mm", "cm", "m", "in", "ft", "pt", "px"]


def only_with_trace(table: Table) -> None:
    """Hold that the keys which say how a drawing is read stand beside one."""
    for key in ("layer", "drawn_in"):
        if key in table.model_fields_set and "trace" not in table.model_fields_set:
            raise Misfit('belongs to a drawing: it stands beside trace = "file.dxf"', key)


class PointXZ(Table):
    """A place in the plane of symmetry."""

    x: q.Place
    z: q.Place


class PointXYZ(Table):
    """A place on the aircraft."""

    x: q.Place
    y: q.Place = 0.0
    z: q.Place
