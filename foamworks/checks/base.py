"""A finding: what was checked, on what, the verdict, the number and its limit, why, and what would cure it."""

import math
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


def round_up(value: float, digits: int = 0) -> float:
    """Round to the next number that can be typed in and is not less: what a cure must reach.

    >>> round_up(38.18), round_up(1.203, 1), round_up(55.0)
    (39.0, 1.3, 55.0)
    """
    return math.ceil(round(value * 10.0**digits, 6)) / 10.0**digits


def round_down(value: float, digits: int = 0) -> float:
    """Round to the next number that can be typed in and is not more: what a cure must not exceed.

    >>> round_down(22.95), round_down(12.68, 1)
    (22.0, 12.6)
    """
    return math.floor(round(value * 10.0**digits, 6)) / 10.0**digits


def unknown(check: str, subject: str, why: str, measure: str, unit: str = "") -> Finding:
    """Say what one more measurement would answer."""
    return Finding(check, subject, "unknown", None, None, unit, why, measure, "not measured")
