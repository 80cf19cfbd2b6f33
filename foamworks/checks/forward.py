"""What brings a state's centre of gravity forward or aft by so much, and can be typed. SI."""

import math
from collections.abc import Iterator

from foamworks.aircraft.balance import Window, settle
from foamworks.aircraft.solve import opened
from foamworks.checks.base import Proposal, given, round_up
from foamworks.checks.case import Case
from foamworks.design.additions import Ballast
from foamworks.design.edit import Edit
from foamworks.design.quantity import is_open
from foamworks.errors import not_measured
from foamworks.study.cures import NOSE_ROOM, shared_states
from foamworks.units import grams, mm, said

SPARE = 1.05  # times what is missing: the first reading of the scale does not undo it (ours)


NO_LEAD = Ballast.model_construct(x=NOSE_ROOM, mass=0.0)


def further(case: Case, mass: float, cg_x: float, by: float, *, words: str) -> list[Proposal]:
    """Propose what moves the centre of gravity of a state of this mass by so much, aft where it is negative.

    `words` say the move; what can be typed for it follows, and the words alone where nothing can.
    """
    by *= SPARE
    found = [*_limit(case, by), *_battery(case, mass, by), *_lead(case, mass, cg_x, by)]
    if not found:
        return [Proposal(words, "bench")]
    first, *rest = found
    return [Proposal(f"{words} ({first.words})", "set", first.edits), *rest]


def follows(case: Case, shift: float) -> bool:
    """Tell whether what is automatic in battery and ballast can keep every state so much [m] further forward."""
    balance = case.study.balance
    if not (balance and case.aircraft.opened):
        return False
    limits = Window(balance.window.forward, balance.window.aft - shift)
    design = opened(case.design, case.asked)
    found = settle(design, shared_states(design, case.parts), limits)
    return bool(found and found.feasible)


def wanted_margin(least: float) -> Proposal:
    """Propose another margin to settle for."""
    return Proposal("let battery and lead settle for a larger margin", "set", (Edit("limits.least", least),))


def _limit(case: Case, by: float) -> Iterator[Proposal]:
    """Where battery or ballast are settled, a larger margin settles them further forward."""
    least, worst = case.design.limits.least, _least_margin(case)
    chord = given(case.study.wing).mac
    wanted = round_up(max(least, worst) + by / chord, 3)
    if by > 0 and follows(case, (wanted - least) * chord):
        yield wanted_margin(wanted)


def _least_margin(case: Case) -> float:
    rows = case.study.balance.rows if case.study.balance else ()
    return min((row.static_margin for row in rows if math.isfinite(row.static_margin)), default=0.0)


def _battery(case: Case, mass: float, by: float) -> Iterator[Proposal]:
    """A battery at a fixed place is put elsewhere, within its slide."""
    battery = case.asked.airframe.moving_battery
    if not battery or not_measured(battery.x):
        return
    low, high = battery.slide or (NOSE_ROOM, math.inf)
    place = battery.x - by * mass / battery.mass
    if low <= place <= high:
        x = float(math.floor(mm(place)) if by > 0 else math.ceil(mm(place)))
        yield Proposal(f"put the battery at x = {x:.0f} mm", "set", (Edit("airframe.battery.x", x, "mm"),))


def _lead(case: Case, mass: float, cg_x: float, by: float) -> Iterator[Proposal]:
    """Lead of a given mass becomes heavier, or lighter; where there is none, some is glued into the nose."""
    old = case.asked.ballast
    lead = old or NO_LEAD
    arm = cg_x - by - lead.x
    heavier = lead.mass + (mass * by / arm if arm > 0 else math.nan)
    if is_open(lead.mass) or not 0 < heavier < math.inf or (by < 0 and not old):
        return
    new = float(math.ceil(grams(heavier)) if by > 0 else math.floor(grams(heavier)))
    edits = [Edit("ballast.mass", new, "g")]
    if not old:
        edits += [Edit("ballast.x", mm(lead.x), "mm"), Edit("ballast.z", lead.z, "mm")]
    elif new > grams(lead.most):
        edits.append(Edit("ballast.most", new, "g"))
    yield Proposal(f"carry {new:.0f} g of lead at x = {said(lead.x, 'mm', 0)}", "set", tuple(edits))
