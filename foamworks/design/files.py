"""Files a design names: looked for beside it, never outside its folder; thrust curves and traced outlines."""

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationInfo

from foamworks.errors import DesignError
from foamworks.physics.flight.level_runs import Boost, Level

if TYPE_CHECKING:  # a design without a drawing needs no drawing library
    from foamworks.design.drawing.trace import Trace

MAX_BYTES = 1 << 20  # 1 MiB, as for the design file
FILE_KEYS = ("curve", "trace", "log")  # the keys of a design file whose value names a file


@dataclass(frozen=True)
class SpeedLog:
    """A flight's log: time [s] from its first row, speed over the ground [m/s], course [rad] or NaN, and what it says.

    level: speed out and back and the wind between, None without a level run; boost: the fastest rise in it.
    """

    file: str
    time: tuple[float, ...]
    speed: tuple[float, ...]
    course: tuple[float, ...]
    level: Level | None
    boost: Boost


@dataclass(frozen=True)
class Curve:
    """A thrust curve read from a CSV file: time [s] and thrust [N]."""

    file: str
    time: tuple[float, ...]
    thrust: tuple[float, ...]


@dataclass(frozen=True)
class Drawing:
    """A traced outline with its holes [m], the unit it was taken in and why.

    `unit` [m] by its name; `guessed`: nobody said it. `frame` [width, height, m]: a page's frame that was left out.
    `framed`: layers of a rectangle that is or may be a page's frame, and of what it holds. `hidden`: layers left out.
    """

    file: str
    outline: tuple[tuple[float, float], ...]
    holes: tuple[tuple[tuple[float, float], ...], ...] = ()
    unit: str = "mm"
    why: str = ""
    guessed: bool = False
    frame: tuple[float, float] | None = None
    framed: tuple[str, str] | None = None
    hidden: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the outline's box as drawn [m]."""
        x, y = zip(*self.outline, strict=True)
        return max(x) - min(x), max(y) - min(y)


def may_be_beside(name: str) -> bool:
    """Tell whether a name stays below the design's folder as it is written; links are looked at in `beside`.

    >>> may_be_beside("fins/old.dxf"), may_be_beside("../old.dxf"), may_be_beside("/old.dxf")
    (True, False, False)
    """
    return not _leads_away(name)


def _leads_away(name: str) -> str:
    """Say what is wrong with a file's name as it is written; nothing when it stays below the design's folder."""
    if re.match(r"[A-Za-z]:", name) or name.startswith(("/", "\\")):
        last = re.split(r"[/\\]", name)[-1]
        return f'a whole path is not taken: put the file beside the design, and name it alone: "{last}"'
    if "\\" in name:
        return f'folders are parted by a forward slash: "{name.replace(chr(92), "/")}"'
    if ".." in Path(name).parts:
        return f'.. leads out of the design\'s folder: put the file beside the design, and name it: "{Path(name).name}"'
    return ""


def read_log_file(value: object, info: ValidationInfo) -> SpeedLog:
    """Read the speed log that a flight names."""
    from foamworks.design.logs import MAX_BYTES as LONGEST_LOG
    from foamworks.design.logs import read_log

    return read_log(beside(value, info, most=LONGEST_LOG))


def beside(name: object, info: ValidationInfo, *, most: int = MAX_BYTES) -> Path:
    """Give the path of a file that stands in the design's folder; refuse what leads out of it."""
    if not isinstance(name, str) or not name.strip() or not name.isprintable():
        raise ValueError("a file's name is needed, in quotes")
    folder = Path((info.context or {}).get("folder", ".")).resolve()
    wrong = _leads_away(name)
    if wrong:
        raise ValueError(wrong)
    path = folder / name
    if not path.is_file():
        raise ValueError(f"there is no such file beside the design; put {Path(name).name} into its folder")
    if not path.resolve().is_relative_to(folder):
        raise ValueError("the link leads out of the design's folder; copy the file beside the design")
    if path.stat().st_size > most:
        raise ValueError(f"the file is over {most >> 20} MiB; a plain outline, curve or log is far smaller")
    return path


def read_curve_file(value: object, info: ValidationInfo) -> Curve:
    """Read the thrust curve that a motor names."""
    from foamworks.design.curve_file import read_curve

    time, thrust = read_curve(beside(value, info), key="curve")
    return Curve(file=str(value), time=tuple(map(float, time)), thrust=tuple(map(float, thrust)))


def read_drawing_file(value: object, info: ValidationInfo) -> Drawing:
    """Read the outline that a cut or an offcut names, from mm into metres."""
    return _drawing(value, info, whole=False)


def read_fin_file(value: object, info: ValidationInfo) -> Drawing:
    """Read the outline that a fin names: a rectangle round it is a page's frame."""
    return _drawing(value, info, whole=True)


@lru_cache(maxsize=32)
def _traced(path: Path, _: bytes, layer: str | None, drawn_in: str | None, whole: bool) -> "Trace":
    """Read a drawing once for what it holds: a design is read again for each change that is tried."""
    from foamworks.design.drawing.trace import load_trace

    return load_trace(path, key="trace", layer=layer, drawn_in=drawn_in, whole=whole)


def _drawing(value: object, info: ValidationInfo, *, whole: bool) -> Drawing:
    path = beside(value, info)
    layer, drawn_in = (info.data.get(key) for key in ("layer", "drawn_in"))  # they stand before `trace` in its table
    try:
        read = _traced(path, path.read_bytes(), layer, drawn_in, whole)
    except DesignError as fault:
        raise ValueError(str(fault).removeprefix(f"{path}: trace: ")) from None  # the file stands in the message
    shape = read.outline
    rings = [
        tuple((x / 1000, y / 1000) for x, y in list(ring.coords)[:-1]) for ring in (shape.exterior, *shape.interiors)
    ]
    return Drawing(
        file=str(value),
        outline=rings[0],
        holes=tuple(rings[1:]),
        unit=read.unit.name,
        why=read.unit.why,
        guessed=read.unit.guessed,
        frame=None if read.frame is None else (read.frame[0] / 1000, read.frame[1] / 1000),
        framed=read.framed,
        hidden=read.hidden,
    )
