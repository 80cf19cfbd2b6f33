"""What would explain a flight that does not fit the others? Each likely cause with the number that would do it. SI.

In the order of how often they are met (common practice, no source). A cause that cannot explain it at any sensible
number is left out.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from foamworks.design.curve import usable_curve
from foamworks.design.model import Design
from foamworks.physics.flight.motor import burn_time
from foamworks.study.flight.drag import POWER, Drag
from foamworks.study.flight.estimate import peaks_at
from foamworks.study.flight.flown import FlownRun, weight
from foamworks.study.flight.learnt import Row

Name = Literal["pack", "wind", "throttle", "climb", "thrown", "lit late", "motor"]
STEEP = math.radians(60)  # beyond that nobody calls it a level run
HALVINGS = 12
SLOWEST_ENTRY = 0.5  # of the level speed: slower a jet does not fly


@dataclass(frozen=True)
class Reason:
    """One cause and the number that would explain the flight, SI.

    pack: thrust over the expected; wind: along the flight [m/s], behind it positive; throttle: share of full; climb
    [rad]; thrown: seconds after ignition; lit late: speed at ignition [m/s]; motor: thrust over the expected.
    """

    name: Name
    number: float


def reasons(design: Design, drag: Drag, row: Row) -> list[Reason]:
    """Give what would explain a flight that the others do not let expect."""
    if not math.isfinite(row.expected):
        return []
    if not row.run.lit:
        return list(_level(row.run, row.expected))
    return list(_lit(design, drag, row.run, row.expected))


def _level(run: FlownRun, expected: float) -> Iterator[Reason]:
    # thrust over the expected that gives this speed: drag there over the thrust there
    ratio = run.drag_area(POWER, speed=expected) / run.drag_area(POWER)
    yield Reason("pack", ratio)
    yield Reason("wind", run.speed - expected)
    if ratio < 1:
        yield Reason("throttle", math.sqrt(ratio))
    spare = run.pressure * (run.drag_area(POWER) - run.drag_area(POWER, speed=expected))
    slope = spare / weight(run) if weight(run) > 0 else 1.0
    if abs(slope) < math.sin(STEEP):
        yield Reason("climb", math.asin(slope))


def _lit(design: Design, drag: Drag, run: FlownRun, expected: float) -> Iterator[Reason]:
    area, now = np.array([drag.zero_lift(run.rung.fitted)]), drag.fits[POWER]
    curve = usable_curve(run.rung.lit) if run.rung.lit is not None else None
    full = peaks_at(design, run, POWER, now, area, induced=drag.induced)
    if curve is None or full is None:
        return
    target = float(full[0]) * run.speed / expected  # the same share below what is expected

    def peak(*, until: float = math.inf, climb: float = 0.0, entered: float = 1.0) -> float:
        found = peaks_at(design, run, POWER, now, area, induced=drag.induced, until=until, climb=climb, entered=entered)
        return 0.0 if found is None else float(found[0])

    if target < float(full[0]):
        burn = burn_time(time=curve[0], thrust=curve[1])
        at = _where(lambda t: peak(until=t) - target, 0.0, burn)
        if at is not None:
            yield Reason("thrown", at)
        yield Reason("wind", run.speed - expected)
        entry = _where(lambda share: peak(entered=share) - target, SLOWEST_ENTRY, 1.0)
        if entry is not None:
            yield Reason("lit late", entry)
    else:
        yield Reason("wind", run.speed - expected)
    slope = _where(lambda angle: target - peak(climb=angle), -STEEP, STEEP)
    if slope is not None:
        yield Reason("climb", slope)
    yield Reason("motor", (run.speed / expected) ** 2)  # near its end speed thrust goes with its square


def _where(rising: Callable[[float], float], low: float, high: float) -> float | None:
    """Find where a rising function passes 0; None when it does not in between."""
    if rising(high) < 0 or rising(low) > 0:
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2
