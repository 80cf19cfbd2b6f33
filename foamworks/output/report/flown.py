"""What each flight was predicted, what it flew, what it taught and what is expected next; level logs as charts."""

import math
from collections.abc import Sequence

from foamworks.output.tables import Table
from foamworks.output.views.charts import speed_chart
from foamworks.study.flight.ladder import Step
from foamworks.study.flight.power import Band
from foamworks.units import if_known, km_h, number, said

UNIT = "km/h"
HEADS = ("flight", f"predicted [{UNIT}]", f"flown [{UNIT}]", "learnt", f"expected now [{UNIT}]")
Series = tuple[str, list[float], list[float]]


def flown_table(steps: Sequence[Step]) -> Table:
    """Give the table of all flights; without a row before the first is flown."""
    rows = tuple(
        (
            step.rung.name,
            _speed(step.predicted, step.predicted_band),
            if_known(km_h(step.flown), otherwise="-"),
            _learnt(step),
            _speed(step.now.speed(lit=step.lit), step.now.band(lit=step.lit)),
        )
        for step in (steps if any(step.is_flown for step in steps) else ())
    )
    caption = "Predicted: by the flights below it alone, nine times in ten between; expected now: by all flights"
    return Table(caption, HEADS, rows, (False, True, True, False, True))


def _speed(speed: float, band: Band) -> str:
    between = f" ({' to '.join(number(km_h(edge), 0) for edge in band)})" if math.isfinite(speed) else ""
    return f"{if_known(km_h(speed), otherwise='-')}{between}"


def _learnt(step: Step) -> str:
    """Say what a flight taught: how it lies to its band, and whether what is predicted rests on it."""
    flight, band, speed = step.flight, step.predicted_band, step.flown
    if flight is None:
        return "not flown yet"
    if flight.ended is not None:
        return "it did not go as planned: not held against the drag"
    if not math.isfinite(band[0]):
        return "nothing was predicted for it"
    if band[0] <= speed <= band[1]:
        return "inside its band: all predictions rest on it too"
    off = f"{said(max(band[0] - speed, speed - band[1]), 'km/h', 0)} {'below' if speed < band[0] else 'above'} its band"
    return f"{off}: {'accepted as it is' if flight.accepted else 'what is above it waits for the reason'}"


def level_logs(steps: Sequence[Step]) -> list[tuple[str, str]]:
    """Draw each logged level flight beside its prediction, as (words, SVG)."""
    return [
        (f"The log of {step.rung.name}, speed over the ground, beside the level speed predicted before it.", chart)
        for step in steps
        if (chart := speed_chart(log_runs(step), along="s", title="Speed of a level flight"))
    ]


def log_runs(step: Step) -> list[Series]:
    """Give a level flight's log and its prediction as (name, times [s], speeds [km/h]); empty without a log."""
    log = step.flight.log if step.flight and not step.lit else None
    if not log:
        return []
    ends, names = [log.time[0], log.time[-1]], ("predicted", "least of its band", "most of its band")
    told = zip(names, (step.predicted, *step.predicted_band), strict=True)
    lines = [(name, ends, [km_h(speed)] * 2) for name, speed in told if math.isfinite(speed)]
    return [(f"{step.rung.name}, as flown", list(log.time), [km_h(speed) for speed in log.speed]), *lines]
