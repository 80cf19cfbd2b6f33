"""Does the circuit fire the igniter for sure, and does the test current never? Currents in A, resistances in ohm."""

import math
from collections.abc import Iterator

from foamworks.checks.base import CUSTOM, Finding, Proposal, Verdict, collected, given, judged
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.additions import Igniter
from foamworks.design.edit import Edit
from foamworks.physics.circuit import CONTINUITY_CUSTOM, NOMINAL_CELL, wire_resistance
from foamworks.study.ignition import IgnitionStudy, igniters
from foamworks.units import milliamps

FIRING = record("firing-current")
CONTINUITY = record("continuity")

WANTED_MARGIN = 2.0  # firing current over all-fire, at least (common practice, no source)
TIRED_CELL = 3.3  # V of a lithium cell that is nearly empty or cold, at rest (from memory)
LOOSE_ENDS = 0.5  # ohm: more than any wire, plug and small pack add that a builder would use (ours)
CONTINUITY_WANTED = 0.010  # A, the lower end of "under 10 to 20 mA" (common practice, no source)
THIN_WIRE = wire_resistance(length=1.0, area=0.5e-6)  # ohm a metre of the usual 0.5 mm2


def findings(case: Case) -> list[Finding]:
    """Judge the firing circuit; nothing without an [ignition] table."""
    return collected(case, _firing, _continuity)


def _igniter(case: Case) -> Igniter | None:
    return case.design.ignition.igniter if case.design.ignition else None


def _firing(case: Case) -> Iterator[Finding]:
    study, igniter = given(case.study.ignition), _igniter(case)
    lack = "pack" if study.igniter > 0 else "igniter"
    each, volts, ohms = (FIRING.need(value, "igniter", lack) for value in (study.each, study.volts, study.igniter))
    all_fire = FIRING.need(igniter, "igniter", lack).all_fire
    count = igniters(case.design)
    limit = WANTED_MARGIN * all_fire
    verdict = judged(each, fail_below=limit, caution_below=limit * NOMINAL_CELL / TIRED_CELL)
    room = (volts / limit - ohms) / count - study.wire - study.pack
    if study.missing and verdict != "fail" and room < LOOSE_ENDS:
        verdict = "unknown"
    left_out = f"; {' and '.join(study.missing)} not given and left out" if study.missing else ""
    yield FIRING.finding(
        verdict,
        "igniters" if count > 1 else "igniter",
        value=each,
        limit=limit,
        why=f"{study.cells} cells at their nominal {NOMINAL_CELL:g} V drive {each:.2f} A through "
        f"{'each of two igniters side by side, ' if count > 1 else ''}{ohms:g} ohm, with {study.wire:.3f} of wire and "
        f"{study.pack:g} of pack{left_out}: {each / all_fire:.1f} x the all-fire current of {all_fire:g} A; "
        f"{WANTED_MARGIN:g} x is the least",
        cure=lambda: _room_left(study, room) if room >= 0 else _more_current(study, limit, ohms, count),
    )


def _room_left(study: IgnitionStudy, room: float) -> str:
    """Say how many ohms more keep the current above its limit."""
    measure = f"measure {' and '.join(study.missing)}, " if study.missing else ""
    return (
        f"{measure}charge the pack before every boost, and prove the circuit with a bulb: wire and pack have room for "
        f"{room:.2f} ohm more ({room / THIN_WIRE:.0f} m of 0.5 mm2 wire)"
    )


def _more_current(study: IgnitionStudy, limit: float, own: float, count: int) -> Iterator[Proposal]:
    """Propose as many cells, or as few ohms, as bring the current to its limit."""
    cells = math.ceil(limit * (own + count * (study.wire + study.pack)) / NOMINAL_CELL)
    spare = (study.volts / limit - own) / count
    why = "a misfire sends somebody to a motor that may yet light"
    yield Proposal(f"take {cells} cells, because {why}", "set", (Edit("ignition.pack.cells", cells),))
    lean = f"bring wire and pack under {spare:.2f} ohm together, or take " if spare > 0 else "take "
    yield Proposal(f"{lean}an igniter that needs less")


def _continuity(case: Case) -> Iterator[Finding]:
    study, igniter = given(case.study.ignition), _igniter(case)
    current = CONTINUITY.need(study.continuity, "igniter")
    no_fire = igniter.no_fire if igniter else math.inf
    limit = min(no_fire, CONTINUITY_CUSTOM)
    wanted = min(CONTINUITY_WANTED, limit)
    own = f"no-fire is {no_fire:g} A" if math.isfinite(no_fire) else "no-fire current is not given"
    series = f", by at least {study.volts / wanted:.0f} ohm in series on {study.volts:g} V" if study.volts > 0 else ""
    verdict: Verdict = "fail" if current >= limit else judged(current, caution_above=wanted)
    yield CONTINUITY.finding(
        verdict,
        "igniter",
        value=current,
        limit=limit,
        why=f"the test passes {milliamps(current):g} mA; the igniter's {own}, and the custom is under "
        f"{milliamps(CONTINUITY_WANTED):g} to {milliamps(CONTINUITY_CUSTOM):g} mA",
        cure=lambda: Proposal(
            f"bring it under {milliamps(wanted):g} mA{series}", "bench", (Edit("ignition.continuity", wanted, "A"),)
        ),
        source=CUSTOM if no_fire > CONTINUITY_CUSTOM else "the igniter's data sheet",
    )
