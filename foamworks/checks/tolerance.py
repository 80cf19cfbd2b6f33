"""How sure is the balance, and which measurement is worth taking again? Shares of samples in %."""

from collections.abc import Iterator

from foamworks.aircraft.balance import Window, settle
from foamworks.checks.base import OURS, Finding, round_up
from foamworks.checks.case import Case
from foamworks.study.cures import opened, shared_states
from foamworks.study.tolerance import CG_FINGERS, STABLE, SURE, Tolerance


def findings(case: Case) -> list[Finding]:
    """Judge how sure the balance is; nothing where it cannot be known."""
    tolerance = case.study.tolerance
    return [] if tolerance is None else list(_sureness(case, tolerance))


def _sureness(case: Case, tolerance: Tolerance) -> Iterator[Finding]:
    stable = tolerance.share("static-margin", STABLE)
    wanted = tolerance.share("static-margin", "every state")
    if stable is None or wanted is None:
        return
    sure = stable >= SURE
    first = tolerance.margin_by[0].measurement if tolerance.margin_by else "nothing"
    least = 100 * case.design.limits.least
    placed = case.study.balance is not None and case.study.balance.ballast > 0 and "ballast" in case.solved.marks
    just = " (least ballast puts the worst state just on that limit)" if placed else ""
    yield Finding(
        "sureness", "static margin", "pass" if sure else "caution", 100 * stable, 100 * SURE, "%",
        f"within the usual errors of measuring, every state stays stable in {100 * stable:.0f} % of "
        f"{tolerance.samples} samples and keeps its {least:g} % in {100 * wanted:.0f} %{just}; what matters most: "
        f"{first}",
        "" if sure else f"{_again(first)}; or {_more_margin(case, tolerance)}", OURS,
    )  # fmt: skip


def _again(first: str) -> str:
    """Say how the measurement that matters most is made surer."""
    if first == CG_FINGERS:
        return "measure again: the centre of gravity, on two supports and a scale instead of two fingers"
    return f"measure again: {first}"


def _more_margin(case: Case, tolerance: Tolerance) -> str:
    """Say how far forward makes it sure with the measurements as they are; the margin that is wanted does it."""
    wing, least = case.study.wing, case.design.limits.least
    move = round_up(1e3 * -tolerance.low_margin * (wing.mac if wing else 0.0), 1)
    wanted = round_up(least - tolerance.low_margin, 3)
    if not _follows(case, wanted):
        return f"bring the centre of gravity {move:.1f} mm forward: more than battery and ballast have room for now"
    return (
        f"bring the centre of gravity {move:.1f} mm forward: limits.least = {wanted:.3f} makes battery and ballast do "
        "it"
    )


def _follows(case: Case, least: float) -> bool:
    """Tell whether what is automatic in battery and ballast can keep so much margin in every state."""
    wing, balance = case.study.wing, case.study.balance
    if wing is None or balance is None or balance.window is None:
        return False
    shift = (least - case.design.limits.least) * wing.mac
    limits = Window(balance.window.forward, balance.window.aft - shift)
    design = opened(case.design, case.asked)
    found = settle(design, shared_states(design, case.parts), limits)
    return found is not None and found.feasible
