"""Is the model stable on every flight that the cards ask for, while not everything is aboard yet? In mm and grams."""

from collections.abc import Iterator

from foamworks.checks.base import OURS, Finding, collected, given, judged
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.ladder import Rung, rungs
from foamworks.study.flight.rungs import RungBalance, rung_balance
from foamworks.units import mm, said

LADDER = record("flight-ladder")

ROUNDING = 1e-6  # m: ballast that is solved for puts a state just on its limit


def findings(case: Case) -> list[Finding]:
    """Judge each flight below the finished model; the finished states are judged by the balance."""
    return collected(case, _ladder)


def _ladder(case: Case) -> Iterator[Finding]:
    balance, aero, wing = given(case.study.balance), given(case.study.aero), given(case.study.wing)
    least = case.design.limits.least
    flights = [rung for rung in rungs(case.design) if rung.kind not in {"stock", "camera"}]
    states = [(rung, rung_balance(case.design, balance, aero, wing, rung)) for rung in flights]
    known = [(rung, state, state.static_margin) for rung, state in states if state.static_margin is not None]
    low = [row for row in known if row[2] < least]
    for rung, state, margin in low:
        yield _low(case, rung, state, margin, wing.mac * (least - margin))
    if known and not low:
        rung, _, margin = min(known, key=lambda row: row[2])
        yield LADDER.passes(
            rung.name,
            value=margin,
            limit=least,
            why=f"the least margin of the {len(known)} flights below the finished model",
            source=OURS,
        )


def _low(case: Case, rung: Rung, state: RungBalance, margin: float, short: float) -> Finding:
    """Say how far [m] the centre of gravity lies behind what is wanted on a flight, and what brings it forward."""
    camera = _camera_mass(case, rung)
    lacks = "the camera not yet aboard" if camera > 0 else "with what is aboard by then"
    return LADDER.finding(
        "fail" if margin <= 0 else judged(margin, caution_below=case.design.limits.least),
        rung.name,
        value=margin,
        limit=case.design.limits.least,
        why=f"on this flight, {lacks}, the centre of gravity lies at {said(state.cg_x, 'mm', 0)}: "
        f"{said(margin, '%', 1)} of the mean chord ahead of the neutral point",
        cure=_cure(case, state, camera, short),
    )


def _camera_mass(case: Case, rung: Rung) -> float:
    """Give what the camera and its fairing weigh [kg] where they are still to come, else 0."""
    rows = given(case.study.balance).rows
    if "camera" in rung.fitted or not rows:
        return 0.0
    return sum(load.mass for load in rows[-1].loads if load.kind == "camera")


def _cure(case: Case, state: RungBalance, mass: float, short: float) -> str:
    """Ask for the camera's dead mass where that is what lacks, else for the lead that brings the margin."""
    camera, ballast = case.design.camera, case.design.ballast
    if camera is not None and camera.at is not None and mass > 0:
        moved = mass * (state.cg_x - camera.at.x) / (state.mass + mass)
        if moved >= short - ROUNDING:
            return f"tape {said(mass, 'g', 0)} of dead mass in the camera's place for this flight"
    if ballast is not None and state.cg_x - short > ballast.x:
        lead = state.mass * short / (state.cg_x - short - ballast.x)
        return f"carry {said(lead, 'g', 0)} more ballast at x = {mm(ballast.x):.0f} mm on this flight"
    return f"bring the centre of gravity {said(short, 'mm', 1)} forward for this flight"
