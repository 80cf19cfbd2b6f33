"""A finding: what was checked, on what, the verdict, the number and its limit, why, and what would cure it."""

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["pass", "caution", "fail", "unknown"]

OURS = "ours"
CUSTOM = "common practice, no source"
MEMORY = "from memory"


@dataclass(frozen=True)
class Finding:
    """One verdict. `value` and `limit` are in `unit`, None where there is no number; texts speak the user's units."""

    check: str
    subject: str
    verdict: Verdict
    value: float | None
    limit: float | None
    unit: str
    why: str
    cure: str
    source: str


def at_least(value: float, limit: float, caution: float | None = None) -> Verdict:
    """Judge a value that must not be below `limit`; below `caution` it is marginal."""
    if value < limit:
        return "fail"
    return "caution" if caution is not None and value < caution else "pass"


def at_most(value: float, limit: float, caution: float | None = None) -> Verdict:
    """Judge a value that must not be above `limit`; above `caution` it is marginal."""
    if value > limit:
        return "fail"
    return "caution" if caution is not None and value > caution else "pass"


def unknown(check: str, subject: str, why: str, measure: str, unit: str = "") -> Finding:
    """Say what one more measurement would answer."""
    return Finding(check, subject, "unknown", None, None, unit, why, measure, "not measured")
