"""Does the plume stay clear of foam and board, and does the print near the motor stand its heat? Degrees, mm, deg C."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace

from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, collected, given, judged, lacking, missed
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit, blank, entry_key
from foamworks.design.model import Design
from foamworks.study.heat import CONE_REACH, Nearest, nearest
from foamworks.study.pod.retainer import PLATE
from foamworks.units import celsius, degrees, mm, said

PLUME = record("plume")
MATERIALS = record("heat-materials")

HARD_CONE, FOAM_CONE = math.radians(15), math.radians(20)  # from the case's edge (common practice, no source)
HIGHER = replace(moves.RAISE, most=100)
FURTHER_OUT = replace(moves.FINS_OUT, words="put the fins {} mm further out")
LEAST_NEAR_MOTOR = 65.0  # deg C, PETG (common practice, no source)
# deg C at which a print still holds its shape (common practice, no source; PC, PA and PP from memory)
WORKING = {"PLA": 50.0, "PETG": 65.0, "PCTG": 65.0, "PET": 65.0, "ABS": 85.0, "ASA": 85.0, "PC": 100.0, "PA": 80.0}
OTHER_NAMES = {"NYLON": "PA", "HTPLA": "PLA", "TOUGHPLA": "PLA", "POLYCARBONATE": "PC"}
NEAR_MOTOR = {"thrust ring", "retainer ring", "retainer plate"}
BETTER = ("PETG", "ASA", "PC")  # in the order in which a printer is likely to manage them (ours)
WANTS = "PETG is the least that stands near a motor, ASA or ABS are better"


def findings(case: Case) -> list[Finding]:
    """Judge the plume and what is printed near the motor; nothing without a motor in a pod on the aircraft."""
    return collected(case, _plume, _materials)


def _plume(case: Case) -> Iterator[Finding]:
    heat, airframe = given(case.study.heat), given(case.design.stock)
    behind = airframe.tailplane or airframe.wing  # without a tailplane it is taken for a flying wing
    lacks = lacking({"the fuselage's sections": airframe.fuselage, "the tailplane": behind})
    near = [row for row in heat.nearest if row.angle < FOAM_CONE]
    if near:
        yield from (_plume_finding(case, row, heat.case) for row in near)
    elif lacks:
        yield PLUME.unknown("tail", lacks=lacks)
    elif heat.nearest:
        yield _plume_finding(case, min(heat.nearest, key=lambda row: row.angle), heat.case)
    else:
        why = "nothing of the model lies behind the nozzle within ten case diameters"
        yield PLUME.passes("aircraft", limit=HARD_CONE, why=f"{why} ({said(CONE_REACH * heat.case, 'mm', 0)})")


def _plume_finding(case: Case, row: Nearest, width: float) -> Finding:
    many = row.name == "fins"
    inside = (
        f"{'come' if many else 'comes'} to {said(row.angle, 'deg', 1)} off the plume's axis, seen from the case's edge"
    )
    if row.angle <= 0:
        inside = f"{'lie' if many else 'lies'} in the jet itself, within the case's own width"
    verdict = judged(row.angle, fail_below=HARD_CONE, caution_below=FOAM_CONE)
    return PLUME.finding(
        verdict,
        row.thing,
        value=row.angle,
        limit=missed(verdict, HARD_CONE, FOAM_CONE),
        why=f"the {row.name} {inside}, {said(row.behind, 'mm', 0)} behind the nozzle at x = {mm(row.x):.0f}, "
        f"y = {mm(row.y):.0f}, z = {said(row.z, 'mm', 0)}; {said(HARD_CONE, 'deg', 0)} are kept clear for structure, "
        f"{degrees(FOAM_CONE):.0f} for bare foam, to ten case diameters ({said(CONE_REACH * width, 'mm', 0)})",
        cure=lambda: _plume_cures(case, row),
    )


def _plume_cures(case: Case, row: Nearest) -> Iterator[Proposal]:
    """Propose each single move that clears the wider cone, and what else helps."""

    def clear(design: Design) -> bool:
        near = nearest(design, row.thing)  # None: nothing within the plume's reach
        return near is None or near.angle >= FOAM_CONE

    ways = [HIGHER, moves.AFT]
    if row.thing == "fins" and given(case.design.fins).count == 2:
        ways.append(FURTHER_OUT)
    found = moves.proposed(case.design, clear, *ways)
    nowhere = (
        f"place the pod anew: no move of the nozzle up to {HIGHER.most} mm up or {moves.AFT.most} mm aft clears it"
    )
    yield from found or [Proposal(nowhere)]
    if row.angle >= HARD_CONE:
        yield Proposal("cover the foam there with aluminium tape or thin ply")
    yield Proposal("fire the motor ahead of a dummy tail, standing still, and look for brown", "fly")


def _materials(case: Case) -> Iterator[Finding]:
    hot = [part.name for part in case.parts.prints if part.name in NEAR_MOTOR]
    if not hot or not case.design.motors:
        return
    printer = case.design.printer
    filament = MATERIALS.need(
        printer if printer and "name" in printer.filament.model_fields_set else None, "prints", "name", wants=WANTS
    ).filament.name
    stands = MATERIALS.need(
        working_temperature(filament),
        "prints",
        "heat",
        filament=filament,
        wants=WANTS,
        known=", ".join(WORKING),
        least=f"{LEAST_NEAR_MOTOR:g}",
    )
    names = " and ".join(hot) if len(hot) < 3 else f"{', '.join(hot[:-1])} and {hot[-1]}"
    touch = "stands" if len(hot) == 1 else "stand"
    near = f"{filament} holds its shape up to about {stands:g} C; {names} {touch} against the case, "
    cases = {motor.name: motor.case_temperature for motor in case.design.motors}
    measured = {name: celsius(value) for name, value in cases.items() if value is not None}
    name = max(measured, key=lambda motor: measured[motor], default="")
    limit = measured.get(name, LEAST_NEAR_MOTOR)
    unmeasured = [motor for motor in cases if motor not in measured]
    verdict = judged(stands, fail_below=limit, caution_below=math.inf if unmeasured else limit)
    hottest = f"{name} came to {limit:.0f} C" if name else WANTS
    yield MATERIALS.finding(
        verdict,
        "prints",
        value=stands,
        limit=limit,
        why=f"{near}which is hottest after burnout: {hottest}"
        + (f"; the heat of {' and '.join(unmeasured)} was not measured" if unmeasured else ""),
        cure=lambda: _cooler(case, limit, stands, unmeasured),
    )


def _cooler(case: Case, limit: float, stands: float, unmeasured: list[str]) -> Iterator[Proposal]:
    """Ask for the case's temperature first, then for a better filament, then for something that is not printed."""
    for motor in unmeasured:
        yield Proposal(
            f"measure how hot the {motor} gets: stick a temperature strip on its case in a static firing, then "
            f"{blank(entry_key('motors', motor) + '.case_temperature')}, the hottest that it shows",
            "measure",
        )
    better = [name for name in BETTER if WORKING[name] >= limit and WORKING[name] > stands]
    if better:
        edit = Edit("printer.filament.name", better[0])
        yield Proposal(f"print them in {' or '.join(better)}", "set", (edit,))
    if given(case.design.pod).retainer == "cap" and not case.design.build.ply_retainer:
        yield Proposal(
            f"cut the retainer's ring and plate from {said(PLATE, 'mm', 1)} plywood, and glue a metal washer under the "
            "thrust ring",
            "bench",
            (Edit("build.ply_retainer", mm(PLATE), "mm"),),
        )


def working_temperature(name: str) -> float:
    """Give the temperature [deg C] up to which a filament of this name holds its shape; NaN for a name not known.

    >>> working_temperature("PLA+ matte"), working_temperature("petg-cf"), working_temperature("resin")
    (50.0, 65.0, nan)
    """
    words = (OTHER_NAMES.get(word, word) for word in re.findall(r"[A-Z]+", name.upper()))
    return next((WORKING[word] for word in words if word in WORKING), math.nan)
