"""Does it swing or wind itself up sideways? Spiral and Dutch roll before and after the change, in words."""

import math
from collections.abc import Callable, Iterator

from foamworks.aircraft.masses import stock_cg
from foamworks.checks.base import Check, Finding, Proposal, collected, given, judged, lacking, missed
from foamworks.checks.case import Case
from foamworks.checks.proposals import fins_sized_by
from foamworks.checks.records import record
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.model import Design
from foamworks.physics.modes import Mode
from foamworks.study.lateral import Lateral, LateralRow
from foamworks.units import said

DUTCH_ROLL = record("dutch-roll")
SPIRAL = record("spiral")

DUTCH_DAMPING, DUTCH_LEAST = 0.08, 0.02  # damping ratios of level 1 and 2 for cruise and landing (from memory)
SPIRAL_DOUBLES, SPIRAL_LEAST = 12.0, 4.0  # s to double the bank; level 1 and 3 of the same specification (from memory)
WORSE = 2 / 3  # of the stock model's damping or time: what flew before is no failure of the change (ours)
NO_MOTION = "no such motion"
GUESSED = "; inertia by the size alone, a swing in [airframe.swing] betters it"


def findings(case: Case) -> list[Finding]:
    """Judge the sideways motions, when the design changes the fins."""
    return collected(case, _motions)


def _motions(case: Case) -> Iterator[Finding]:
    given(case.design.fins)
    given(case.study.wing)
    lateral = case.study.lateral
    if lateral and any(row.model == "modified" for row in lateral.rows):
        yield from _judged(DUTCH_ROLL, lateral, _dutch_roll, case.asked)
        yield from _judged(SPIRAL, lateral, _spiral, case.asked)
        return
    given(case.study.balance)  # else what is missing is said by the static margin
    what = _lacks(case)
    yield from (check.unknown("modified", what=what, unit="") for check in (SPIRAL, DUTCH_ROLL))


def _lacks(case: Case) -> str:
    """Name what the motions cannot be worked out without."""
    stands = math.isfinite(stock_cg(given(case.design.stock))[0])
    asked = {
        "where it balances (cg under [airframe])": stands,
        "a mass or a place aboard (see unweighed)": not stands or given(case.study.balance).row(NO_MOTOR).cg_x,
        "the size of the new fins (see fin-volume)": case.study.new_fins,
    }
    return lacking(asked, "masses, sizes and a flown speed that go together: no inertia comes of these")


Judge = Callable[[LateralRow, Mode, Mode, str, Design], Finding]


def _judged(check: Check, lateral: Lateral, judge: Judge, design: Design) -> Iterator[Finding]:
    """Judge the modified model's row whose mode of the check's name is the least stable, beside the stock model's."""
    rows = [row for row in lateral.rows if row.model == "modified" and _mode(row, check).roots]
    if rows:
        row = max(rows, key=lambda row: _rank(_mode(row, check)))
        before = _mode(lateral.row("stock", row.flight), check)
        yield judge(row, _mode(row, check), before, "" if lateral.inertia_measured else GUESSED, design)


def _mode(row: LateralRow, check: Check) -> Mode:
    return row.spiral if check is SPIRAL else row.dutch_roll


def _rank(mode: Mode) -> float:
    return -mode.damping_ratio if mode.swings else 1 + mode.growth


def _dutch_roll(row: LateralRow, mode: Mode, old: Mode, guess: str, design: Design) -> Finding:
    value, before = mode.damping_ratio if mode.swings else -1.0, old.damping_ratio
    least = min(WORSE * before, before)  # the latter where it grew before; none where it did not swing
    verdict = judged(value, fail_below=-math.inf if value >= least else DUTCH_LEAST, caution_below=DUTCH_DAMPING)
    return DUTCH_ROLL.finding(
        verdict,
        row.flight,
        value=value if mode.swings else None,
        limit=missed(verdict, DUTCH_LEAST, DUTCH_DAMPING),
        why=f"at {said(row.speed, 'km/h', 0)} {_swing(mode)}; before the change: {_swing(old)}{guess}",
        cure=(*fins_sized_by("stiffness", design), Proposal("put a gyro on the rudder, which damps it", "fly")),
    )


def _swing(mode: Mode) -> str:
    if not mode.swings:
        return "it does not swing but turns away from the wind: no weathercock stability" if mode.roots else NO_MOTION
    if mode.growth > 0:
        return f"it wags every {mode.period:.1f} s and grows, twice as wide after {mode.time_to_double:.1f} s"
    kind = "well damped" if mode.damping_ratio >= 2 * DUTCH_DAMPING else "lightly damped"
    return (
        f"it wags every {mode.period:.1f} s, {kind} (damping ratio {mode.damping_ratio:.2f}), half as wide after "
        f"{mode.time_to_halve:.1f} s"
    )


def _spiral(row: LateralRow, mode: Mode, old: Mode, guess: str, design: Design) -> Finding:
    doubles = mode.time_to_double
    worse = doubles < (WORSE * old.time_to_double if old.roots else math.inf)
    verdict = judged(doubles, fail_below=SPIRAL_LEAST if worse else -math.inf, caution_below=SPIRAL_DOUBLES)
    return SPIRAL.finding(
        verdict,
        row.flight,
        value=doubles if math.isfinite(doubles) else None,
        limit=missed(verdict, SPIRAL_LEAST, SPIRAL_DOUBLES),
        why=f"at {said(row.speed, 'km/h', 0)} {_bank(mode)}; before the change: {_bank(old)}{guess}",
        cure=(*fins_sized_by("volume", design), Proposal("keep an eye on every bank: it does not right itself", "fly")),
    )


def _bank(mode: Mode) -> str:
    if not mode.roots:
        return NO_MOTION
    if mode.growth > 0:
        return f"a bank left alone doubles in {mode.time_to_double:.0f} s"
    return f"a bank left alone halves in {mode.time_to_halve:.0f} s" if mode.growth < 0 else "a bank left alone stays"
