"""How sure is the balance, and which measurement is worth taking again? Shares of samples in %."""

from collections.abc import Iterator

from foamworks.aircraft.errors import CG_FINGERS, EVEN_CHANCE
from foamworks.checks.base import Finding, Proposal, collected, given, judged, round_up
from foamworks.checks.case import Case
from foamworks.checks.forward import follows, wanted_margin
from foamworks.checks.records import record
from foamworks.study.tolerance import STABLE, SURE, Tolerance
from foamworks.units import mm, percent, said

SURENESS = record("sureness")


def findings(case: Case) -> list[Finding]:
    """Judge how sure the balance is; nothing where it cannot be known."""
    return collected(case, _sureness)


def _sureness(case: Case) -> Iterator[Finding]:
    tolerance, balance = given(case.study.tolerance), given(case.study.balance)
    stable = given(tolerance.share("static-margin", STABLE))
    wanted = given(tolerance.share("static-margin", "every state"))
    first = tolerance.margin_by[0].measurement if tolerance.margin_by else "nothing"
    again = f"measure again the {first}"
    if first == CG_FINGERS:
        again = "measure the centre of gravity again, on two supports and a scale instead of two fingers"
    even = case.design.limits.sure <= EVEN_CHANCE
    placed = even and balance.ballast > 0 and "ballast" in case.aircraft.marks
    just = " (least ballast puts the worst state just on that limit)" if placed else ""
    yield SURENESS.finding(
        judged(stable, caution_below=SURE),
        "static margin",
        value=stable,
        limit=SURE,
        why=f"within the usual errors of measuring, every state stays stable in {said(stable, '%', 0)} of "
        f"{tolerance.samples} samples and keeps its {percent(case.design.limits.least):g} % in "
        f"{said(wanted, '%', 0)}{just}; what matters most: {first}",
        cure=lambda: [Proposal(again, "measure"), _more_margin(case, tolerance)],
    )


def _more_margin(case: Case, tolerance: Tolerance) -> Proposal:
    """Say how far forward makes it sure with the measurements as they are; the margin that is wanted does it."""
    chord, least = given(case.study.wing).mac, case.design.limits.least
    move = round_up(mm(-tolerance.low_margin * chord), 1)
    words = f"bring the centre of gravity {move:.1f} mm forward"
    wanted = round_up(least - tolerance.low_margin, 3)
    if not follows(case, (wanted - least) * chord):
        return Proposal(f"{words}, which is more than battery and lead have room for now")
    settled = wanted_margin(wanted)
    return Proposal(f"{words} ({settled.words})", "set", settled.edits)
