"""Does the circuit fire the igniter for sure, and does the test current never? Currents in A, resistances in ohm."""

import math
from collections.abc import Iterator

from foamworks.checks.base import CUSTOM, Finding, at_least, unknown
from foamworks.checks.case import Case
from foamworks.physics.circuit import CONTINUITY_CUSTOM, NOMINAL_CELL, wire_resistance
from foamworks.study.ignition import IgnitionStudy, igniters

WANTED_MARGIN = 2.0  # firing current over all-fire, at least (common practice, no source)
TIRED_CELL = 3.3  # V of a lithium cell that is nearly empty or cold, at rest (from memory)
LOOSE_ENDS = 0.5  # ohm: more than any wire, plug and small pack add that a builder would use (ours)
CONTINUITY_WANTED = 0.010  # A, the lower end of "under 10 to 20 mA" (common practice, no source)
THIN_WIRE = wire_resistance(length=1.0, area=0.5e-6)  # ohm a metre of the usual 0.5 mm2


def findings(case: Case) -> list[Finding]:
    """Judge the firing circuit; nothing without an [ignition] table."""
    study = case.study.ignition
    if study is None:
        return []
    return [*_firing(case, study), *_continuity(case, study)]


def _firing(case: Case, study: IgnitionStudy) -> Iterator[Finding]:
    igniter = case.design.ignition.igniter if case.design.ignition else None
    if study.each is None or study.volts is None or study.igniter is None or igniter is None:
        lacks = "ignition.pack (cells)" if study.igniter else "ignition.igniter (resistance above 0, no_fire, all_fire)"
        why = f"the firing current cannot be worked out without {lacks}"
        yield unknown("firing-current", "igniter", why, f"give {lacks} from its data sheet", "A")
        return
    limit, both = WANTED_MARGIN * igniter.all_fire, igniters(case.design) > 1
    verdict = at_least(study.each, limit, limit * NOMINAL_CELL / TIRED_CELL)
    room = (study.volts / limit - study.igniter) / igniters(case.design) - study.wire - study.pack
    if study.missing and verdict != "fail" and room < LOOSE_ENDS:
        verdict = "unknown"
    left_out = f"; {' and '.join(study.missing)} not given and left out" if study.missing else ""
    yield Finding(
        "firing-current", "igniters" if both else "igniter", verdict, study.each, limit, "A",
        f"{study.cells} cells at their nominal {NOMINAL_CELL:g} V drive {study.each:.2f} A through "
        f"{'each of two igniters side by side, ' if both else ''}{study.igniter:g} ohm, with {study.wire:.3f} of wire "
        f"and {study.pack:g} of pack{left_out}: {study.each / igniter.all_fire:.1f} x the all-fire current of "
        f"{igniter.all_fire:g} A; {WANTED_MARGIN:g} x is the least",
        "" if verdict == "pass" else _firing_cure(study, limit, room, igniters(case.design)), CUSTOM,
    )  # fmt: skip


def _firing_cure(study: IgnitionStudy, limit: float, room: float, count: int) -> str:
    """Say how many cells, or how few ohms, bring the current to its limit."""
    if room >= 0:
        measure = f"measure {' and '.join(study.missing)}; " if study.missing else ""
        return (
            f"{measure}wire and pack have room for {room:.2f} ohm more ({room / THIN_WIRE:.0f} m of 0.5 mm2 wire); "
            "charge the pack before every boost, and prove the circuit with a bulb"
        )
    own = study.igniter or 0.0
    cells = math.ceil(limit * (own + count * (study.wire + study.pack)) / NOMINAL_CELL)
    spare = ((study.volts or 0.0) / limit - own) / count
    lean = f", or bring wire and pack under {spare:.2f} ohm together" if spare > 0 else ""
    why = "a misfire sends somebody to a motor that may yet light"
    return f"take {cells} cells{lean}, or an igniter that needs less: {why}"


def _continuity(case: Case, study: IgnitionStudy) -> Iterator[Finding]:
    igniter = case.design.ignition.igniter if case.design.ignition else None
    current = study.continuity
    if current is None:
        why = "the current of the continuity test is not known: a lamp can pass enough to fire a motor"
        yield unknown("continuity", "igniter", why, "measure it with a meter in the loop: ignition.continuity", "A")
        return
    no_fire = igniter.no_fire if igniter is not None else None
    limit = CONTINUITY_CUSTOM if no_fire is None else min(no_fire, CONTINUITY_CUSTOM)
    wanted = min(CONTINUITY_WANTED, limit)
    beside = (
        "the igniter's no-fire current is not given" if no_fire is None else f"the igniter's no-fire is {no_fire:g} A"
    )
    series = (study.volts or 0.0) / wanted
    yield Finding(
        "continuity", "igniter", "fail" if current >= limit else "caution" if current > wanted else "pass",
        current, limit, "A",
        f"the test passes {1e3 * current:g} mA; {beside}, and the custom is under "
        f"{1e3 * CONTINUITY_WANTED:g} to {1e3 * CONTINUITY_CUSTOM:g} mA",
        "" if current <= wanted and current < limit else
        f"bring it under {1e3 * wanted:g} mA"
        + (f": at least {series:.0f} ohm in series, on {study.volts:g} V" if study.volts else ""),
        CUSTOM if no_fire is None or no_fire > CONTINUITY_CUSTOM else "the igniter's data sheet",
    )  # fmt: skip
