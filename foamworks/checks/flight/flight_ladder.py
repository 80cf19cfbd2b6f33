"""Is the model stable on every flight that the cards ask for, while not everything is aboard yet? In mm and grams."""

import math
from collections.abc import Iterator

from foamworks.checks.base import OURS, Finding, Proposal, collected, given, judged
from foamworks.checks.case import Case
from foamworks.checks.forward import further
from foamworks.checks.records import record
from foamworks.design.ladder import Rung, rungs
from foamworks.study.flight.rungs import RungBalance, bare_balance, rung_balance
from foamworks.units import mm, said

LADDER = record("flight-ladder")


def findings(case: Case) -> list[Finding]:
    """Judge each flight below the finished model; the finished states are judged by the balance."""
    return collected(case, _ladder)


def _ladder(case: Case) -> Iterator[Finding]:
    balance, flying = given(case.study.balance), given(case.study.flying)
    least = case.design.limits.least
    flights = [rung for rung in rungs(case.design) if rung.kind not in {"stock", "camera"}]
    states = [(rung, bare_balance(case.design, balance, flying, rung)) for rung in flights]
    known = [(rung, state, state.static_margin) for rung, state in states if math.isfinite(state.static_margin)]
    low = [row for row in known if row[2] < least]
    for rung, state, margin in low:
        # the camera's weight, or the dead mass that stands for it, may hold the balance on this flight
        held = rung_balance(case.design, balance, flying, rung)
        yield (
            LADDER.finding("caution", rung.name, of="held", value=margin, limit=least, rung=rung, state=held)
            if held.stand_in
            else _low(case, rung, state, margin, flying.wing.mac * (least - margin))
        )
    if known and not low:
        rung, _, margin = min(known, key=lambda row: row[2])
        yield LADDER.passes(rung.name, value=margin, limit=least, flights=len(known), source=OURS)


def _low(case: Case, rung: Rung, state: RungBalance, margin: float, short: float) -> Finding:
    """Say how far [m] the centre of gravity lies behind what is wanted on a flight, and what brings it forward."""
    return LADDER.finding(
        "fail" if margin <= 0 else judged(margin, caution_below=case.design.limits.least),
        rung.name,
        value=margin,
        limit=case.design.limits.least,
        of="low",
        rung=rung,
        state=state,
        cure=lambda: _cure(case, state, short),
    )


def _cure(case: Case, state: RungBalance, short: float) -> list[Proposal]:
    """Ask for the lead that brings the margin.

    What can be typed follows: a margin that battery and ballast settle for, another place for a fixed battery.
    """
    words = f"bring the centre of gravity {said(short, 'mm', 1)} forward for this flight"
    typed = [way for way in further(case, state.mass, state.cg_x, short, words=words) if way.edits]
    ballast = case.design.ballast
    if ballast and state.cg_x - short > ballast.x:
        lead = state.mass * short / (state.cg_x - short - ballast.x)
        more = f"carry {said(lead, 'g', 0)} more lead at x = {mm(ballast.x):.0f} mm on this flight"
        return [*typed, Proposal(more, "fly")]
    return typed or [Proposal(words, "fly")]
