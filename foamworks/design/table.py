"""What every table of the design file rests on: frozen, unknown keys refused; counts, outlines, files."""

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from foamworks.design import quantity as q
from foamworks.design.files import Curve, Drawing, read_curve_file, read_drawing_file
from foamworks.design.outline import simple_outline
from foamworks.units import to_si


class Table(BaseModel):
    """A table of the design file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def whole(value: object) -> object:
    """Let whole numbers pass, and nothing that only looks like one."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("a whole number is needed")
    return value


Count = Annotated[int, BeforeValidator(whole), Field(ge=1, le=1000)]
Pair = Annotated[int, BeforeValidator(whole), Field(ge=1, le=2)]
Fraction = Annotated[float, q.Quantity("ratio", 0, 1)]


def _points(value: object) -> tuple[tuple[float, float], ...]:
    """Read [[x, z], ...] in mm into metres; at least three points, a simple closed outline."""
    if not isinstance(value, list) or len(value) < 3:
        raise ValueError("an outline is a list of at least three [x, z] points")
    points = []
    for number, point in enumerate(value, start=1):
        if not isinstance(point, list) or len(point) != 2:
            raise ValueError(f"point {number} of the outline must be two numbers, as in [120, 36]")
        points.append((to_si(point[0], "length"), to_si(point[1], "length")))
    return simple_outline(points)


_POINTS_SCHEMA = {"type": "array", "minItems": 3, "items": {"type": "array", "minItems": 2, "maxItems": 2}}
Outline = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_points), WithJsonSchema(_POINTS_SCHEMA)]
_FILE_SCHEMA = {"type": "string", "description": "a file beside the design file"}
TraceFile = Annotated[Drawing, BeforeValidator(read_drawing_file), WithJsonSchema(_FILE_SCHEMA)]
CurveFile = Annotated[Curve, BeforeValidator(read_curve_file), WithJsonSchema(_FILE_SCHEMA)]


class PointXZ(Table):
    """A place in the plane of symmetry."""

    x: q.Place
    z: q.Place


class PointXYZ(Table):
    """A place on the aircraft."""

    x: q.Place
    y: q.Place = 0.0
    z: q.Place
