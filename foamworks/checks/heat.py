"""Does the plume stay clear of foam and board, and does the print near the motor stand its heat? Degrees, mm, deg C."""

import math
import re
from collections.abc import Callable, Iterator

from foamworks.checks.base import CUSTOM, Finding, at_least, unknown
from foamworks.checks.case import Case
from foamworks.study.heat import CONE_REACH, Nearest, Thing, nearest

HARD_CONE, FOAM_CONE = math.radians(15), math.radians(20)  # from the case's edge (common practice, no source)
MOST_MOVE = {"lift": 0.10, "aft": 0.20, "outward": 0.15}  # m: how far a cure is looked for
MOVES = 12  # halvings: a cure is found to a tenth of a millimetre
LEAST_NEAR_MOTOR = 65.0  # deg C, PETG (common practice, no source)
# deg C at which a print still holds its shape (common practice, no source; PC, PA and PP from memory)
WORKING = {"PLA": 50.0, "PETG": 65.0, "PCTG": 65.0, "PET": 65.0, "ABS": 85.0, "ASA": 85.0, "PC": 100.0, "PA": 80.0}
OTHER_NAMES = {"NYLON": "PA", "HTPLA": "PLA", "TOUGHPLA": "PLA", "POLYCARBONATE": "PC"}


def findings(case: Case) -> list[Finding]:
    """Judge the plume and what is printed near the motor; nothing without a motor in a pod on the aircraft."""
    return [*_plume(case), *_materials(case)]


def _plume(case: Case) -> Iterator[Finding]:
    heat, airframe = case.study.heat, case.design.airframe
    if heat is None or airframe is None:
        return
    near = [row for row in heat.nearest if row.angle < FOAM_CONE]
    for row in near:
        yield _plume_finding(case, row, heat.case)
    lacks = [
        text
        for text, given in (("the fuselage's sections", airframe.fuselage), ("the tailplane", airframe.tailplane))
        if given is None
    ]
    if near:
        return
    if lacks:
        text = " and ".join(lacks)
        why = f"nothing that was measured comes near the plume, but {text} behind the nozzle are not given"
        yield unknown("plume", "tail", why, f"measure {text}", "deg")
    elif heat.nearest:
        yield _plume_finding(case, min(heat.nearest, key=lambda row: row.angle), heat.case)
    else:
        yield Finding(
            "plume", "aircraft", "pass", None, math.degrees(HARD_CONE), "deg",
            "nothing of the model lies behind the nozzle within ten case diameters "
            f"({1e3 * CONE_REACH * heat.case:.0f} mm)", "", CUSTOM,
        )  # fmt: skip


def _plume_finding(case: Case, row: Nearest, width: float) -> Finding:
    verdict = at_least(row.angle, HARD_CONE, FOAM_CONE)
    many = row.name == "fins"
    near = f"{math.degrees(row.angle):.1f} deg off the plume's axis, seen from the case's edge"
    inside = f"{'come' if many else 'comes'} to {near}"
    if row.angle <= 0:
        inside = f"{'lie' if many else 'lies'} in the jet itself, within the case's own width"
    return Finding(
        "plume",
        row.thing,
        verdict,
        math.degrees(row.angle),
        math.degrees(HARD_CONE),
        "deg",
        f"the {row.name} {inside}, {1e3 * row.behind:.0f} mm behind the nozzle at x = {1e3 * row.x:.0f}, "
        f"y = {1e3 * row.y:.0f}, z = {1e3 * row.z:.0f} mm; {math.degrees(HARD_CONE):g} deg are kept clear for "
        f"structure, {math.degrees(FOAM_CONE):g} for bare foam, to ten case diameters "
        f"({1e3 * CONE_REACH * width:.0f} mm)",
        "" if verdict == "pass" else _plume_cure(case, row),
        CUSTOM,
    )


def _plume_cure(case: Case, row: Nearest) -> str:
    """Say which single move clears the wider cone, and what else helps."""
    cures = []
    for move, text in (
        ("lift", "raise the nozzle by"),
        ("aft", "move the nozzle aft by"),
        ("outward", "set fins.root.y"),
    ):
        if move == "outward" and (row.thing != "fins" or case.design.fins is None or case.design.fins.count != 2):
            continue
        need = _least_move(_clearance(case, row.thing, move), MOST_MOVE[move])
        if need is not None:
            cures.append(f"{text} {need:.0f} mm{' further out' if move == 'outward' else ''}")
    text = ", or ".join(cures) or "no move of the nozzle up to 100 mm up or 200 mm aft clears it: place the pod anew"
    if row.angle >= HARD_CONE:
        text += "; or cover the foam there with aluminium tape or thin ply"
    return f"{text}; then prove it: a static firing ahead of a dummy tail, look for brown"


def _clearance(case: Case, thing: Thing, move: str) -> Callable[[float], float]:
    """Give the angle [rad] as a function of one move [m]; nothing in reach is clear."""

    def angle(by: float) -> float:
        found = nearest(case.design, thing, **{move: by})
        return math.inf if found is None else found.angle

    return angle


def _least_move(angle: Callable[[float], float], most: float) -> float | None:
    """Find the least move [mm, whole] that clears the foam's cone; None when the greatest does not."""
    if angle(most) < FOAM_CONE:
        return None
    low, high = 0.0, most
    for _ in range(MOVES):
        middle = (low + high) / 2
        low, high = (low, middle) if angle(middle) >= FOAM_CONE else (middle, high)
    return math.ceil(1e3 * high)


def _materials(case: Case) -> Iterator[Finding]:
    hot = [part.name for part in case.parts.prints if part.name in {"thrust ring", "retainer ring", "retainer plate"}]
    if not hot or not case.design.motors:
        return
    printer = case.design.printer
    named = printer is not None and "name" in printer.filament.model_fields_set
    what, wants = " and ".join(hot[:2]), "PETG is the least that stands near a motor, ASA or ABS are better"
    if printer is None or not named:
        yield unknown(
            "heat-materials", "prints", f"the filament is not named; {wants}, PLA softens at 50 C",
            "give printer.filament.name", "C",
        )  # fmt: skip
        return
    name, stands = printer.filament.name, working_temperature(printer.filament.name)
    if stands is None:
        yield unknown(
            "heat-materials", "prints", f'nobody here knows how hot "{name}" may get; {wants}',
            f"take one of {', '.join(WORKING)}, or look for its softening point: {LEAST_NEAR_MOTOR:g} C at least", "C",
        )  # fmt: skip
        return
    verdict = at_least(stands, LEAST_NEAR_MOTOR)
    yield Finding(
        "heat-materials", "prints", verdict, stands, LEAST_NEAR_MOTOR, "C",
        f"{name} holds its shape up to about {stands:g} C; {what} stand against the case, which is hottest after "
        f"burnout: {wants}",
        "" if verdict == "pass" else f"print {', '.join(hot)} in PETG, better in ASA or ABS",
        CUSTOM,
    )  # fmt: skip


def working_temperature(name: str) -> float | None:
    """Give the temperature [deg C] up to which a filament of this name holds its shape; None for a name not known.

    >>> working_temperature("PLA+ matte"), working_temperature("petg-cf"), working_temperature("resin")
    (50.0, 65.0, None)
    """
    for word in re.findall(r"[A-Z]+", name.upper()):
        known = OTHER_NAMES.get(word, word)
        if known in WORKING:
            return WORKING[known]
    return None
