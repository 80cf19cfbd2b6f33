"""Does it swing or wind itself up sideways? Spiral and Dutch roll before and after the change, in words."""

import math
from collections.abc import Iterator

from foamworks.aircraft.masses import NO_MOTOR, stock_cg
from foamworks.checks.base import MEMORY, Finding, Verdict, unknown
from foamworks.checks.case import Case
from foamworks.physics.modes import Mode
from foamworks.study.lateral import Lateral, LateralRow

DUTCH_DAMPING, DUTCH_LEAST = 0.08, 0.02  # damping ratios of level 1 and 2 for cruise and landing (from memory)
SPIRAL_DOUBLES, SPIRAL_LEAST = 12.0, 4.0  # s to double the bank; level 1 and 3 of the same specification (from memory)
WORSE = 2 / 3  # of the stock model's damping or time: what flew before is no failure of the change (ours)
SOURCE = f"flying-qualities specification MIL-F-8785C, {MEMORY}; for piloted aircraft, a model is flown from outside"


def findings(case: Case) -> list[Finding]:
    """Judge the sideways motions, when the design changes the fins."""
    lateral, design = case.study.lateral, case.design
    if design.fins is None or case.study.wing is None:
        return []
    if lateral is None or not any(row.model == "modified" for row in lateral.rows):
        if case.study.balance is None:
            return []  # what is missing is said by the static margin
        what = " and ".join(_lacks(case))
        why = f"how it swings cannot be worked out without {what}"
        return [unknown(check, "modified", why, f"give {what}") for check in ("spiral", "dutch-roll")]
    return [*_dutch_roll(lateral), *_spiral(lateral)]


def _lacks(case: Case) -> list[str]:
    """Name what the motions cannot be worked out without."""
    airframe, row = case.design.airframe, case.study.balance.row(NO_MOTOR) if case.study.balance else None
    found = []
    if airframe is None or not math.isfinite(stock_cg(airframe)[0]):
        found.append("where it balances (airframe.cg)")
    elif row is None or not math.isfinite(row.cg_x):
        found.append("a mass or a place aboard (see unweighed)")
    if case.study.new_fins is None:
        found.append("the size of the new fins (see fin-volume)")
    return found or ["masses, sizes and a flown speed that go together: no inertia comes of these"]


def _worst(lateral: Lateral, name: str) -> LateralRow | None:
    """Give the modified model's row whose mode of this name is the least stable."""
    rows = [row for row in lateral.rows if row.model == "modified" and _mode(row, name) is not None]
    return max(rows, key=lambda row: _rank(_mode(row, name)), default=None)


def _mode(row: LateralRow | None, name: str) -> Mode | None:
    if row is None:
        return None
    return row.spiral if name == "spiral" else row.dutch_roll


def _rank(mode: Mode | None) -> float:
    if mode is None:
        return -math.inf
    return -mode.damping_ratio if mode.damping_ratio is not None else 1 + mode.growth


def _guess(lateral: Lateral) -> str:
    return "" if lateral.inertia_measured else "; inertia by the size alone, a swing in [airframe.swing] betters it"


def _dutch_roll(lateral: Lateral) -> Iterator[Finding]:
    row = _worst(lateral, "dutch-roll")
    mode = _mode(row, "dutch-roll")
    if row is None or mode is None:
        return
    damping = mode.damping_ratio
    value = damping if damping is not None else -1.0
    before = lateral.row("stock", row.flight)
    old = _mode(before, "dutch-roll")
    before_it = None if old is None else old.damping_ratio
    worse = before_it is None or value < min(WORSE * before_it, before_it)  # the latter where it grew before
    verdict: Verdict = "pass" if value >= DUTCH_DAMPING else "fail" if value < DUTCH_LEAST and worse else "caution"
    limit = DUTCH_DAMPING if verdict == "caution" else DUTCH_LEAST  # the one that was missed
    yield Finding(
        "dutch-roll", row.flight, verdict, damping, limit, "",
        f"at {3.6 * row.speed:.0f} km/h {_swing(mode)}; before the change: {_swing(old)}"
        f"{_guess(lateral)}",
        "" if verdict == "pass" else "5 % more fin area, or less dihedral; a gyro on the rudder damps it too", SOURCE,
    )  # fmt: skip


def _swing(mode: Mode | None) -> str:
    if mode is None:
        return "no such motion"
    if mode.period is None or mode.damping_ratio is None:
        return "it does not swing but turns away from the wind: no weathercock stability"
    if mode.time_to_halve is None:
        return f"it wags every {mode.period:.1f} s and grows, twice as wide after {mode.time_to_double or 0:.1f} s"
    kind = "well damped" if mode.damping_ratio >= 2 * DUTCH_DAMPING else "lightly damped"
    return (
        f"it wags every {mode.period:.1f} s, {kind} (damping ratio {mode.damping_ratio:.2f}), half as wide after "
        f"{mode.time_to_halve:.1f} s"
    )


def _spiral(lateral: Lateral) -> Iterator[Finding]:
    row = _worst(lateral, "spiral")
    mode = _mode(row, "spiral")
    if row is None or mode is None:
        return
    doubles = mode.time_to_double
    before = lateral.row("stock", row.flight)
    old = _mode(before, "spiral")
    worse = doubles is not None and (old is None or doubles < WORSE * (old.time_to_double or math.inf))
    verdict: Verdict = (
        "pass"
        if doubles is None or doubles >= SPIRAL_DOUBLES
        else "fail"
        if doubles < SPIRAL_LEAST and worse
        else "caution"
    )
    limit = SPIRAL_DOUBLES if verdict == "caution" else SPIRAL_LEAST  # the one that was missed
    yield Finding(
        "spiral", row.flight, verdict, doubles, limit, "s",
        f"at {3.6 * row.speed:.0f} km/h {_bank(mode)}; before the change: {_bank(old)}"
        f"{_guess(lateral)}",
        "" if verdict == "pass" else "a little less fin area or more dihedral; do not leave it in a bank unwatched",
        SOURCE,
    )  # fmt: skip


def _bank(mode: Mode | None) -> str:
    if mode is None:
        return "no such motion"
    if mode.time_to_double is not None:
        return f"a bank left alone doubles in {mode.time_to_double:.0f} s"
    if mode.time_to_halve is not None:
        return f"a bank left alone halves in {mode.time_to_halve:.0f} s"
    return "a bank left alone stays"
