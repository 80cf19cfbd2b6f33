"""What does a speed log say? A CSV with a time and a speed (or places), or a GPX 1.1 track, beside the design.

CSV: the first line names the columns, `time_s` and `speed_km_h` or `speed_m_s`, or `latitude` and `longitude`;
`altitude_m` may stand beside them, and other columns are passed over. GPX is the open standard of 2004
(topografix.com/GPX/1/1, from memory): `trkpt` with `lat`, `lon`, a `time` each. Every fault is one line.
"""

import math
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from foamworks.design.files import SpeedLog
from foamworks.errors import DesignError
from foamworks.physics.flight.level_runs import boost_in, course_and_speed, level_runs, out_and_back, plane
from foamworks.units import km_h

Floats = NDArray[np.float64]
MAX_BYTES = 8 << 20  # 8 MiB: an hour at 10 Hz with places is three
MOST_ROWS = 100_000
LEAST_ROWS = 20
FINEST = 0.1  # s between rows; finer logs are thinned to it
FASTEST = 420.0  # m/s; no foam jet comes near
GPX = "{http://www.topografix.com/GPX/1/1}"
WANTED = "time_s and speed_km_h (or speed_m_s, or latitude and longitude)"


def read_log(path: Path) -> SpeedLog:
    """Read a log; raises DesignError, one line."""
    with path.open("rb") as file:
        raw = file.read(MAX_BYTES + 1)
    if len(raw) > MAX_BYTES:
        raise DesignError(f"{path.name}: is over 8 MiB; cut the log to the minutes of the flight")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DesignError(f"{path.name}: is not UTF-8 text; save the log as CSV or GPX") from None
    rows = _gpx(path.name, text) if text.lstrip().startswith("<") else _csv(path.name, text)
    return _settled(path.name, rows)


WILD = 0.2  # of the fastest: how far half of all rows may be off the mean of the two beside them (ours)
Row = tuple[float, float, float, float]  # time [s], speed [m/s] or NaN, latitude and longitude [deg] or NaN


def _csv(name: str, text: str) -> list[Row]:
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip() and line[0] != "#"]
    if not lines:
        raise DesignError(f"{name}: is empty; its first line names the columns: {WANTED}")
    heads = [cell.strip() for cell in lines[0][1].split(",")]
    speed = next((head for head in ("speed_km_h", "speed_m_s") if head in heads), None)
    placed = "latitude" in heads and "longitude" in heads
    if "time_s" not in heads or (speed is None and not placed):
        raise DesignError(f"{name}:{lines[0][0]}: lacks the columns {WANTED}")
    if len(lines) > MOST_ROWS:
        raise DesignError(f"{name}: has {len(lines)} lines; cut the log to the minutes of the flight")
    scale = km_h.si(1.0) if speed == "speed_km_h" else 1.0
    rows: list[Row] = []
    for number, line in lines[1:]:
        cells = dict(zip(heads, line.split(","), strict=False))
        read = [_number(name, number, head, cells) for head in ("time_s", speed or "", "latitude", "longitude")]
        if not math.isfinite(read[0]):
            raise DesignError(f"{name}:{number}: time_s is missing; each line has its time in seconds")
        rows.append((read[0], scale * read[1], read[2], read[3]))
    return rows


def _number(name: str, line: int, head: str, cells: dict[str, str]) -> float:
    cell = cells.get(head, "").strip()
    if not cell:
        return math.nan
    try:
        value = float(cell)
    except ValueError:
        value = math.inf
    if not math.isfinite(value):
        raise DesignError(f"{name}:{line}: {head} = {cell[:30]!a}: is not a number")
    return value


def _gpx(name: str, text: str) -> list[Row]:
    from xml.etree import ElementTree

    if "<!DOCTYPE" in text or "<!ENTITY" in text:  # why: entities may stand for gigabytes; a track has none
        raise DesignError(f"{name}: declares a document type or entities, which no GPX track needs; save it again")
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as fault:
        line = fault.position[0]
        raise DesignError(f"{name}:{line}: is not whole XML; export the track again as GPX 1.1") from None
    if root.tag != f"{GPX}gpx":
        raise DesignError(f"{name}: is no GPX 1.1 track; export it as GPX 1.1, or as CSV with {WANTED}")
    return list(_points(name, root.iter(f"{GPX}trkpt")))


def _points(name: str, points: Iterator[object]) -> Iterator[Row]:
    first = None
    for number, point in enumerate(points, start=1):
        if number > MOST_ROWS:
            raise DesignError(f"{name}: has over {MOST_ROWS} points; cut the track to the minutes of the flight")
        stamp = point.findtext(f"{GPX}time")  # type: ignore[attr-defined]
        try:
            when = datetime.fromisoformat((stamp or "").strip().replace("Z", "+00:00"))
            lat, lon = float(point.get("lat")), float(point.get("lon"))  # type: ignore[attr-defined]
        except (ValueError, TypeError):
            raise DesignError(f"{name}: point {number} lacks lat, lon or a time; a track needs all three") from None
        first = first or when
        if (when.tzinfo is None) != (first.tzinfo is None):
            raise DesignError(f"{name}: point {number} tells its time in another way than the first")
        yield (when - first).total_seconds(), math.nan, lat, lon


def _settled(name: str, rows: list[Row]) -> SpeedLog:
    """Hold the rows to be a log: enough of them, times that rise, speeds that can be; places give what lacks."""
    if len(rows) < LEAST_ROWS:
        raise DesignError(f"{name}: has {len(rows)} rows; at least {LEAST_ROWS} are needed, ten a second are good")
    time, speed, lat, lon = (np.array(column) for column in zip(*rows, strict=True))
    if not (np.diff(time) > 0).all():
        row = int(np.argmin(np.diff(time) > 0)) + 2
        raise DesignError(f"{name}: row {row}: the time does not rise; each row is later than the one before")
    course = np.full(len(time), np.nan)
    if np.isfinite(lat).all() and np.isfinite(lon).all():
        course, ground = course_and_speed(time, *plane(lat, lon))
        speed = np.where(np.isfinite(speed), speed, ground)
    if not np.isfinite(speed).all():
        raise DesignError(f"{name}: row {int(np.argmin(np.isfinite(speed))) + 1} has no speed and no place")
    if float(speed.min()) < 0 or float(speed.max()) > FASTEST:
        row = int(np.argmax((speed < 0) | (speed > FASTEST))) + 1
        raise DesignError(f"{name}: row {row}: {km_h(float(speed[row - 1])):.0f} km/h cannot be; 0 to 1500 can")
    if _jumps(time, speed):
        raise DesignError(f"{name}: the speed jumps about from row to row, as no model flies; is it the right column?")
    every = max(round(FINEST / float(np.median(np.diff(time)))), 1)
    time, speed, course = (column[::every] for column in (time - time[0], speed, course))
    level = out_and_back(level_runs(time, speed, course))
    rows_of = [tuple(map(float, column)) for column in (time, speed, course)]
    return SpeedLog(name, rows_of[0], rows_of[1], rows_of[2], level, boost_in(time, speed))


def _jumps(time: NDArray[np.float64], speed: NDArray[np.float64]) -> bool:
    """Tell whether half of all rows stand wildly off the rows beside them; a log of rare rows says nothing of that."""
    if float(np.median(np.diff(time))) > 1.0:
        return False
    off = np.abs(speed[1:-1] - (speed[:-2] + speed[2:]) / 2)
    return bool(np.median(off) > WILD * np.percentile(speed, 95))
