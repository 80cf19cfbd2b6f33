"""Is the model stable on every flight that the cards ask for, while not everything is aboard yet? In mm and grams."""

from collections.abc import Iterator

from foamworks.checks.base import OURS, Finding
from foamworks.checks.case import Case
from foamworks.design.ladder import Rung, rungs
from foamworks.study.flight.rungs import RungBalance, rung_balance

ROUNDING = 1e-6  # m: ballast that is solved for puts a state just on its limit


def findings(case: Case) -> list[Finding]:
    """Judge each flight below the finished model; the finished states are judged by the balance."""
    return list(_ladder(case))


def _ladder(case: Case) -> Iterator[Finding]:
    balance, aero, wing = case.study.balance, case.study.aero, case.study.wing
    if balance is None or aero is None or wing is None:
        return
    least = case.design.limits.least
    flights = [rung for rung in rungs(case.design) if rung.kind not in {"stock", "camera"}]
    states = [(rung, rung_balance(case.design, balance, aero, wing, rung)) for rung in flights]
    known = [(rung, state, state.static_margin) for rung, state in states if state.static_margin is not None]
    low = [row for row in known if row[2] < least]
    for rung, state, margin in low:
        fails = margin <= 0
        yield Finding(
            "flight-ladder", rung.name, "fail" if fails else "caution", 100 * margin, 100 * least, "%",
            f"on this flight, {_lacks(case, rung)}, the centre of gravity lies at {1e3 * state.cg_x:.0f} mm: "
            f"{100 * margin:.1f} % of the mean chord ahead of the neutral point",
            _cure(case, rung, state, wing.mac * (least - margin)),
            f"the margin wanted in every state, on the way up too: {OURS}",
        )  # fmt: skip
    if known and not low:
        rung, _, margin = min(known, key=lambda row: row[2])
        yield Finding(
            "flight-ladder", rung.name, "pass", 100 * margin, 100 * least, "%",
            f"the least margin of the {len(known)} flights below the finished model", "", OURS,
        )  # fmt: skip


def _camera_mass(case: Case, rung: Rung) -> float:
    """Give what the camera and its fairing weigh [kg] where they are still to come, else 0."""
    if case.study.balance is None or "camera" in rung.fitted:
        return 0.0
    rows = case.study.balance.rows
    return sum(load.mass for load in rows[-1].loads if load.kind == "camera") if rows else 0.0


def _lacks(case: Case, rung: Rung) -> str:
    return "the camera not yet aboard" if _camera_mass(case, rung) > 0 else "with what is aboard by then"


def _cure(case: Case, rung: Rung, state: RungBalance, short: float) -> str:
    """Ask for the camera's dead mass where that is what lacks, else for the lead that brings the margin."""
    camera, ballast = case.design.camera, case.design.ballast
    mass = _camera_mass(case, rung)
    if camera is not None and camera.at is not None and mass > 0:
        moved = mass * (state.cg_x - camera.at.x) / (state.mass + mass)
        if moved >= short - ROUNDING:
            return f"tape {1e3 * mass:.0f} g of dead mass in the camera's place for this flight"
    if ballast is not None and state.cg_x - short > ballast.x:
        lead = state.mass * short / (state.cg_x - short - ballast.x)
        return f"carry {1e3 * lead:.0f} g more ballast at x = {1e3 * ballast.x:.0f} mm on this flight"
    return f"bring the centre of gravity {1e3 * short:.1f} mm forward for this flight"
