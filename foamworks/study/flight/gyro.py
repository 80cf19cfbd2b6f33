"""What gyro gain may be flown at what speed? From one clean observation, by 1/V^2. SI; gain in percent.

A surface's moment grows with V^2, so the gain that just does not wag falls with 1/V^2: 60 % at 70 km/h is 15 % at 140.
Source: the trade's rule (worked out from the above); the gyro's delay makes it a little less at high speed.
"""

from dataclasses import dataclass
from functools import partial

from foamworks.design.additions import CleanGain
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.physics.ranges import positive, where_known
from foamworks.units import km_h

FULL_GAIN = 100.0  # percent, the end of the slider
FIRST, LAST, STEP = 40, 300, 10  # km/h, the table's speeds


@dataclass(frozen=True)
class GainRow:
    """One speed [m/s] and the gain that just does not wag [percent]; `boosted`: only a motor takes the model there."""

    speed: float
    gain: float
    boosted: bool


@dataclass(frozen=True)
class Mark:
    """The speed a motor takes the model to, and the gain there."""

    motor: str
    speed: float
    gain: float


@dataclass(frozen=True)
class GyroTable:
    """The table, the gain at full-throttle level speed (NaN where that is not known), and a mark for each motor."""

    rows: tuple[GainRow, ...]
    level: float
    marks: tuple[Mark, ...]


def gain_at(*, speed: float, clean_speed: float, clean_gain: float) -> float:
    """Gain [percent] at a speed from one clean observation: g0 (V0/V)^2, at most 100.

    >>> gain_at(speed=140, clean_speed=70, clean_gain=60)
    15.0
    """
    positive(speed=speed, clean_speed=clean_speed, clean_gain=clean_gain)
    return min(FULL_GAIN, clean_gain * (clean_speed / speed) ** 2)


def clean_gain(clean: CleanGain, speed: float) -> float:
    """Gain [percent] at a speed from what was seen; NaN where the speed is not known."""
    return where_known(gain_at, speed=speed, clean_speed=clean.speed, clean_gain=clean.gain)


@where_given
def study_gyro(design: Design, *, level: float, peaks: dict[str, float]) -> GyroTable:
    """Make the table; `level`: full-throttle level speed, `peaks`: each motor's greatest speed [m/s]."""
    gain = partial(clean_gain, given(design.gyro).clean)
    top = max(peaks.values(), default=0.0)
    speeds = [km_h.si(value) for value in range(FIRST, LAST + 1, STEP)]
    rows = tuple(GainRow(v, gain(v), level < v <= top) for v in speeds)
    marks = tuple(Mark(name, peak, gain(peak)) for name, peak in peaks.items())
    return GyroTable(rows, gain(level), marks)
