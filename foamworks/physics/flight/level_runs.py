"""What does a speed log say: how fast out and back, what wind, and of a boost its peak and burn? Arrays in SI.

A level run is a stretch flown fast, steadily and straight. Two on opposite courses give the speed through the air, the
mean of both, and the wind along them, half their difference: the speed over the ground is the one plus or minus the
other. A boost is the fastest rise above the level speed.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SHORTEST = 3.0  # s of a run; a jet of 120 km/h flies 100 m in it (ours)
STEADY = 0.08  # of the speed that a run may vary by: noise and gusts, not a climb or a turn (ours)
DRIFT = 0.02  # of the speed that a run may gain or lose from its first third to its last (ours)
STRAIGHT = np.radians(20)  # that the course may wander in a run (ours)
OPPOSITE = np.radians(150)  # between the courses of out and back, at least (ours)
FAST = 0.6  # of the fastest sustained speed, wind and all; slower is no full throttle (ours)
TURN = 1.0  # s between two runs, at least, that are not one run with a gust in it (ours)
LONGEST_BURN = 10.0  # s; no motor of these classes burns for longer
SMOOTH = 1.0  # s of the running median that takes out wild fixes and noise of a level run (ours)
SHARP = 0.3  # s of that of a boost, whose peak is soon over (ours)


class Run(NamedTuple):
    """One level run: start and end [s], mean speed over the ground [m/s], course [rad], NaN where it is not known."""

    start: float
    end: float
    speed: float
    course: float


class Level(NamedTuple):
    """Out and back: speed through the air [m/s], wind along the runs [m/s], and the runs it rests on, at least one."""

    speed: float
    wind: float
    out: Run
    back: Run | None


class Boost(NamedTuple):
    """A boost in the log: ignition and peak [s], speed before and at the peak [m/s]."""

    ignition: float
    at: float
    before: float
    peak: float

    @property
    def burn(self) -> float:
        """How long the speed rose [s]: about the burn, or until the motor was lost."""
        return self.at - self.ignition


def smoothed(time: Floats, speed: Floats, over: float) -> Floats:
    """Give the running median over so many seconds: one wild fix in it counts for nothing."""
    step = float(np.median(np.diff(time)))
    half = max(round(over / step) // 2, 0)
    padded = np.pad(speed, half, mode="edge")
    return np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1), axis=1)


def level_runs(time: Floats, speed: Floats, course: Floats) -> list[Run]:
    """Give the level runs of a log, in time; without courses (NaN) by the steady speed alone."""
    smooth = smoothed(time, speed, SMOOTH)
    found: list[Run] = []
    start = 0
    while start < len(time):
        end = _end_of_run(time, smooth, course, start)
        if time[end] - time[start] >= SHORTEST and _holds(smooth[start : end + 1]):
            stretch = slice(start, end + 1)
            way = float(np.angle(np.mean(np.exp(1j * course[stretch]))))
            found.append(Run(float(time[start]), float(time[end]), float(np.mean(smooth[stretch])), way))
            start = end + 1
        else:
            start += 1
    fastest = max((run.speed for run in found), default=0.0)
    return [run for run in found if run.speed >= FAST * fastest]


def _holds(speed: Floats) -> bool:
    """Tell whether a stretch keeps its speed from its first third to its last: what fades after a boost does not."""
    third = max(len(speed) // 3, 1)
    return bool(abs(np.mean(speed[-third:]) - np.mean(speed[:third])) <= DRIFT * np.mean(speed))


def _end_of_run(time: Floats, speed: Floats, course: Floats, start: int) -> int:
    """Give the last row of the steady, straight stretch that begins at a row."""
    low = high = speed[start]
    end = start
    for row in range(start + 1, len(time)):
        low, high = min(low, speed[row]), max(high, speed[row])
        turned = abs(_between(course[row], course[start]))
        if high - low > STEADY * max(high, 1.0) or turned > STRAIGHT:
            break
        end = row
    return end


def out_and_back(runs: list[Run]) -> Level | None:
    """Give the speed through the air from the fastest run and the fastest against it; of one course alone, that.

    Where no course is known, the fastest run and the faster of the two flown before and after it count as out and
    back: there is a turn between them.
    """
    if not runs:
        return None
    out = max(runs, key=lambda run: run.speed)
    if np.isfinite(out.course):
        against = [run for run in runs if abs(_between(run.course, out.course)) >= OPPOSITE]
    else:
        before = [run for run in runs if run.end <= out.start - TURN][-1:]
        against = before + [run for run in runs if run.start >= out.end + TURN][:1]
    if not against:
        return Level(out.speed, 0.0, out, None)
    back = max(against, key=lambda run: run.speed)
    return Level((out.speed + back.speed) / 2, (out.speed - back.speed) / 2, out, back)


def boost_in(time: Floats, speed: Floats) -> Boost:
    """Give the boost of a log: the peak, and where the rise to it began, 5 % of the rise up."""
    smooth = smoothed(time, speed, SHARP)
    top = int(np.argmax(smooth))
    since = int(np.searchsorted(time, time[top] - LONGEST_BURN))
    before = float(np.percentile(smooth[since : top + 1], 10))
    below = np.flatnonzero(smooth[since : top + 1] <= before + 0.05 * (smooth[top] - before))
    lit = since + (int(below[-1]) if below.size else 0)
    return Boost(float(time[lit]), float(time[top]), before, float(smooth[top]))


def course_and_speed(time: Floats, north: Floats, east: Floats) -> tuple[Floats, Floats]:
    """Give course [rad from north, to the east] and speed [m/s] over the ground from places [m], row by row.

    The mean of the half second ahead less that of the half second behind: single fixes are too rough to differ.
    """
    half = max(round(SMOOTH / 2 / float(np.median(np.diff(time)))), 1)
    count = len(time)

    def moved(values: Floats) -> Floats:
        sums = np.concatenate([[0.0], np.cumsum(values)])
        rows = np.arange(count)
        low, high = np.maximum(rows - half, 0), np.minimum(rows + half + 1, count)
        ahead = (sums[high] - sums[rows]) / (high - rows)
        behind = (sums[rows + 1] - sums[low]) / (rows + 1 - low)
        return np.asarray(ahead - behind)

    span = moved(time)
    v_north, v_east = moved(north) / span, moved(east) / span
    return np.arctan2(v_east, v_north), np.hypot(v_north, v_east)


def plane(latitude: Floats, longitude: Floats) -> tuple[Floats, Floats]:
    """Give places [m] north and east of the first from degrees, on a sphere of the Earth's mean radius (IUGG).

    >>> north, east = plane(np.array([0.0, 1.0]), np.array([0.0, 0.0]))
    >>> round(float(north[1]))  # a degree of latitude
    111195
    """
    radius = 6_371_008.8
    lat, lon = np.radians(latitude), np.radians(longitude)
    return radius * (lat - lat[0]), radius * np.cos(lat[0]) * (lon - lon[0])


def _between(one: float | np.float64, other: float | np.float64) -> float:
    """Give the angle from one course to another, -pi to pi; 0 where one is not known."""
    angle = float((one - other + np.pi) % (2 * np.pi) - np.pi)
    return angle if np.isfinite(angle) else 0.0
