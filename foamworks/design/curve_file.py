"""Read a thrust curve from a file: time [s] and thrust [N], a CSV beside the design.

The first line reads `time_s,thrust_N`; blank lines and lines that start with # are passed over; a byte order mark and
CRLF are taken. Every fault is one line: file, line, column, value, the design's key, and what would do.
"""

import math
import re
from pathlib import Path

from foamworks.errors import DesignError

COLUMNS = ("time_s", "thrust_N")
MAX_BYTES = 1 << 20  # 1 MiB, as for the design file
LEAST_SAMPLES = 2  # a trapezoid has two ends
LONGEST = 1000.0  # s; more is a curve in milliseconds
STRONGEST = 1e5  # N; no motor of the classes A to O comes near
SHOWN = 40  # characters of a wrong value that a message repeats
# plain decimals only: float() would also take underscores, other scripts' digits and words
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_NOT_FINITE = re.compile(r"[+-]?(nan|inf|infinity)", re.IGNORECASE)


def read_curve(path: Path, *, key: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Read times [s] and thrusts [N]; `key` is the design's key that names the file, for messages.

    Raises DesignError.
    """
    name = path.name
    lines = _lines(path, name, key)
    if not lines:
        raise DesignError(
            f"{name}: is empty ({key}); its first line must be {','.join(COLUMNS)}, then one sample a line"
        )
    _check_header(name, key, *lines[0])
    times: list[float] = []
    thrusts: list[float] = []
    for line, text in lines[1:]:
        time, thrust = _sample(name, key, line, text)
        if times and time <= times[-1]:
            what = "repeats the time before it" if time == times[-1] else f"goes back behind {times[-1]:g}"
            raise _fault(name, key, line, COLUMNS[0], f"{time:g}", f"{what}; times must rise from line to line")
        times.append(time)
        thrusts.append(thrust)
    last = lines[-1][0]
    if len(times) < LEAST_SAMPLES:
        raise DesignError(
            f"{name}:{last}: {len(times)} samples ({key}): at least {LEAST_SAMPLES} are needed, 20 are good"
        )
    if max(thrusts) == 0:
        raise DesignError(
            f"{name}:{last}: {COLUMNS[1]} is 0 in every line ({key}): no motor; give its thrust in newtons"
        )
    return tuple(times), tuple(thrusts)


def _lines(path: Path, name: str, key: str) -> list[tuple[int, str]]:
    """Give number and text of each line that says something."""
    try:
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as fault:
        raise DesignError(
            f"{name}: cannot be read ({fault.strerror}; {key}); put the curve beside the design"
        ) from None
    if len(raw) > MAX_BYTES:
        raise DesignError(f"{name}: is over 1 MiB ({key}); a thrust curve is a few hundred lines, thin it out")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        raise DesignError(f"{name}:{line}: is not UTF-8 text ({key}); save it as CSV, UTF-8") from None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return [(i, line) for i, line in enumerate(lines, start=1) if line.strip() and not line.lstrip().startswith("#")]


def _check_header(name: str, key: str, line: int, text: str) -> None:
    cells = [cell.strip() for cell in text.split(",")]
    if cells == list(COLUMNS):
        return
    missing = [column for column in COLUMNS if column not in cells]
    extra = [cell for cell in cells if cell not in COLUMNS]
    what = "stands out of order or twice"
    if len(missing) == 1 and not extra:
        what = f"lacks the column {missing[0]}"
    elif extra and not missing:
        what = f"has a column too many, {_shown(extra[0])}"
    elif missing:
        what = "is not the header"
    raise DesignError(f"{name}:{line}: {_shown(text)} {what} ({key}): it must read exactly {','.join(COLUMNS)}")


def _sample(name: str, key: str, line: int, text: str) -> tuple[float, float]:
    cells = [cell.strip() for cell in text.split(",")]
    if len(cells) < len(COLUMNS):
        raise _fault(
            name, key, line, COLUMNS[1], text, "is missing; a line holds a time and a thrust, with a comma between"
        )
    if len(cells) > len(COLUMNS):
        raise DesignError(
            f"{name}:{line}: {_shown(text)} has {len(cells)} columns ({key}): two are needed, {' and '.join(COLUMNS)}, "
            "with a point for decimals"
        )
    time = _number(name, key, line, COLUMNS[0], cells[0], LONGEST, "s")
    return time, _number(name, key, line, COLUMNS[1], cells[1], STRONGEST, "N")


def _number(name: str, key: str, line: int, column: str, cell: str, most: float, unit: str) -> float:
    if not cell:
        raise _fault(name, key, line, column, cell, f"is missing; a number in {unit} is needed")
    if _NOT_FINITE.fullmatch(cell):
        raise _fault(name, key, line, column, cell, "must be a finite number")
    if not _NUMBER.fullmatch(cell):
        raise _fault(name, key, line, column, cell, f"is not a number; give it bare, in {unit}, such as 12.5")
    number = float(cell)
    if number < 0:
        raise _fault(name, key, line, column, cell, f"is negative; it must lie within 0 and {most:g} {unit}")
    if not math.isfinite(number) or number > most:
        raise _fault(name, key, line, column, cell, f"is too large; it must lie within 0 and {most:g} {unit}")
    return number


def _fault(name: str, key: str, line: int, column: str, value: str, what: str) -> DesignError:
    return DesignError(f"{name}:{line}: {column} = {_shown(value)} ({key}): {what}")


def _shown(value: str) -> str:
    """Give a value as a message may show it: one line, printable, not endless."""
    text = value.strip()
    text = text if len(text) <= SHOWN else text[: SHOWN - 3] + "..."
    return text if text and text.isprintable() else ascii(text)
