"""Files a design names: looked for beside it, never outside its folder; thrust curves and traced outlines."""

from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationInfo

MAX_BYTES = 1 << 20  # 1 MiB, as for the design file
FILE_KEYS = ("curve", "trace")  # the keys of a design file whose value names a file


@dataclass(frozen=True)
class Curve:
    """A thrust curve read from a CSV file: time [s] and thrust [N]."""

    file: str
    time: tuple[float, ...]
    thrust: tuple[float, ...]


@dataclass(frozen=True)
class Drawing:
    """A traced outline with its holes, in metres."""

    file: str
    outline: tuple[tuple[float, float], ...]
    holes: tuple[tuple[tuple[float, float], ...], ...] = ()


def may_be_beside(name: str) -> bool:
    """Tell whether a name stays below the design's folder as it is written; links are looked at in `beside`.

    >>> may_be_beside("fins/old.dxf"), may_be_beside("../old.dxf"), may_be_beside("/old.dxf")
    (True, False, False)
    """
    return not (Path(name).is_absolute() or ".." in Path(name).parts or "\\" in name)


def beside(name: object, info: ValidationInfo) -> Path:
    """Give the path of a file that stands in the design's folder; refuse what leads out of it."""
    if not isinstance(name, str) or not name.strip() or not name.isprintable():
        raise ValueError("a file's name is needed, in quotes")
    folder = Path((info.context or {}).get("folder", ".")).resolve()
    if not may_be_beside(name):
        raise ValueError("files are looked for beside the design: give a name without .. and without a leading /")
    path = folder / name
    if not path.is_file():
        raise ValueError(f"there is no such file beside the design; put {Path(name).name} into its folder")
    if not path.resolve().is_relative_to(folder):
        raise ValueError("the link leads out of the design's folder; copy the file beside the design")
    if path.stat().st_size > MAX_BYTES:
        raise ValueError("the file is over 1 MiB; a plain outline or curve is far smaller")
    return path


def read_curve_file(value: object, info: ValidationInfo) -> Curve:
    """Read the thrust curve that a motor names."""
    from foamworks.design.curve import read_curve

    time, thrust = read_curve(beside(value, info), key="curve")
    return Curve(file=str(value), time=tuple(map(float, time)), thrust=tuple(map(float, thrust)))


def read_drawing_file(value: object, info: ValidationInfo) -> Drawing:
    """Read the outline that a fin or a cut names, from mm into metres."""
    from foamworks.design.trace import read_trace

    shape = read_trace(beside(value, info), key="trace")
    rings = [
        tuple((x / 1000, y / 1000) for x, y in list(ring.coords)[:-1]) for ring in (shape.exterior, *shape.interiors)
    ]
    return Drawing(file=str(value), outline=rings[0], holes=tuple(rings[1:]))
