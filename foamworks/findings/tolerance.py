"""How sure is the balance, and which measurement is worth taking again? Shares of samples in %."""

from collections.abc import Iterator

from foamworks.findings.base import OURS, Finding
from foamworks.findings.case import Case
from foamworks.study.tolerance import Tolerance

SURE = 0.95  # of the samples in which every state stays stable (ours)


def findings(case: Case) -> list[Finding]:
    """Judge how sure the balance is; nothing where it cannot be known."""
    tolerance = case.study.tolerance
    return [] if tolerance is None else list(_sureness(case, tolerance))


def _sureness(case: Case, tolerance: Tolerance) -> Iterator[Finding]:
    stable = tolerance.share("static-margin", "every state stable at all")
    wanted = tolerance.share("static-margin", "every state")
    if stable is None or wanted is None:
        return
    sure = stable >= SURE
    first = tolerance.matters[0].measurement if tolerance.matters else "nothing"
    least = 100 * case.design.limits.least
    yield Finding(
        "sureness", "static margin", "pass" if sure else "caution", 100 * stable, 100 * SURE, "%",
        f"within the usual errors of measuring, every state stays stable in {100 * stable:.0f} % of "
        f"{tolerance.samples} samples and keeps its {least:g} % in {100 * wanted:.0f} % (least ballast puts the worst "
        f"state just on that limit); what matters most: {first}",
        "" if sure else f"measure again: {first}; or want a larger margin, limits.least", OURS,
    )  # fmt: skip
