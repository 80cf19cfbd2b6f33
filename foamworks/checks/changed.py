"""What is on the model besides: the sum of [[changes]] in grams, km/h and to one side."""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.checks.base import Finding, collected, given
from foamworks.checks.case import Case
from foamworks.checks.proposals import tip_lead
from foamworks.checks.records import record
from foamworks.errors import not_measured
from foamworks.study.flight.drag import PLATE, final_outfit
from foamworks.study.flight.power import level_flown
from foamworks.units import grams, km_h, said

CHANGES = record("changes", plate=PLATE)
ASIDE = record("changes-aside")
SIDE = 0.01  # of the half span: a centre of gravity so far to one side is trimmed out unnoticed (ours)


def findings(case: Case) -> list[Finding]:
    """Judge what was put on and taken off; nothing where nothing was."""
    return collected(case, _changes, _aside)


def _changes(case: Case) -> Iterator[Finding]:
    changes = case.design.changes
    if not changes:
        return
    listed = "; ".join(
        f"{change.name} {grams(change.mass):+g} g" + (f" from {change.start} on" if change.start else "")
        for change in changes
    )
    apart = ", all but the stock model where none is named" if any(not change.start for change in changes) else ""
    yield CHANGES.passes(
        "model",
        value=math.fsum(change.mass for change in changes),
        why=f"{listed}{_drag(case)}{_no_drag(case)}; counted on the flights they are aboard on{apart}",
    )


def _drag(case: Case) -> str:
    """Say what the plates cost in level speed."""
    power, balance = case.study.burn.power, case.study.balance
    plates = [n for n, change in enumerate(case.design.changes) if math.isfinite(change.plate_area)]
    if not (plates and balance and power and power.drag and math.isfinite(power.level)):
        return ""
    outfit = final_outfit(case.design)
    mass = balance.rows[min(1, len(balance.rows) - 1)].mass
    without = level_flown(case.design, power.drive, power.drag, outfit=outfit - set(plates), mass=mass)
    area = sum(power.drag.part(n) for n in plates)
    cost = f" and cost {km_h(without - power.level):.1f} km/h level" if math.isfinite(without) else ""
    return f"; their plates drag like {said(area, 'mm2', 0)}{cost}"


def _no_drag(case: Case) -> str:
    """Name what has no drag of its own, and how to give it one."""
    names = ", ".join(change.name for change in case.design.changes if not_measured(change.plate_area))
    asks = "plate_area (a flat plate square to the stream, for an open cockpit about its mouth seen from ahead)"
    return f"; no drag is counted for {names}: {asks} counts it" if names else ""


def _aside(case: Case) -> Iterator[Finding]:
    """Hold the masses off the centre line, the camera's too, against what trims out unnoticed."""
    wing, balance = given(case.study.wing), given(case.study.balance)
    row = balance.rows[-1]
    off = [load for load in row.loads if load.kind == "change" and load.y]
    if not off or not math.isfinite(row.mass):
        return
    lone = [load for load in row.loads if load.kind in {"change", "camera"}]
    moment, limit = math.fsum(load.mass * load.y for load in lone), SIDE * wing.span / 2 * row.mass
    side = "starboard" if moment > 0 else "port"
    lies = abs(moment) / row.mass
    cure = partial(tip_lead, case.asked, moment, wing.span / 2, row.cg_x, _start(case))
    yield ASIDE.judge("model", abs(moment), caution_above=limit, side=side, lies=lies, cure=cure)


def _start(case: Case) -> str | None:
    """Give the flight from which on all that stands to one side is aboard; None where it is from the first."""
    starts = {change.start for change in case.design.changes if change.y}
    return "camera" if case.design.camera else starts.pop() if len(starts) == 1 else None
