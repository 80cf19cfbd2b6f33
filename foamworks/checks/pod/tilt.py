"""Can the downthrust with the least moment be built? What is proposed gives angle and nozzle together."""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.aircraft.masses import stock_cg
from foamworks.aircraft.thrust_line import best_tilt, powered_states
from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, given, heard, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.parts.mount import GREATEST_TILT
from foamworks.parts.mounted_pod import MountedPod
from foamworks.units import degrees, first_measured

DOWNTHRUST = record("downthrust")

LIFT_MOST = 60  # mm: how far a higher nozzle is looked for
AFT_MOST = 200  # mm: and one further aft
SETTLES = degrees.si(0.3)  # by so much the best angle may move when pod and balance have settled anew (ours)
ALIKE = degrees.si(1e-6)


def findings(case: Case) -> Iterator[Finding]:
    """Judge an automatic downthrust; nothing where the angle is given."""
    yield from heard(_downthrust(case))


def _downthrust(case: Case) -> Iterator[Finding]:
    pod, line, asked = given(case.design.pod), given(case.study.thrust_line), given(case.asked.pod)
    if not is_open(asked.downthrust):
        return
    held_by = DOWNTHRUST.need(line.limited_by, "pod", what=" and ".join(_lacks(case)))
    most, limit, fit = degrees(pod.downthrust_limit), pod.downthrust_limit, case.aircraft.fit
    if held_by == "fit":
        limit = first_measured(fit, 0.0)
    why = {
        "nothing": "the least worst moment over all powered states lies at this angle",
        "fit": "the back of the fuselage allows no more; the line still passes above the centre of gravity",
        "limit": f"more would be better, but {most:g} deg is the most you would build (downthrust_limit under [pod])",
    }[held_by]
    yield DOWNTHRUST.finding(
        "pass" if held_by == "nothing" else "caution",
        "pod",
        value=line.downthrust,
        limit=limit,
        why=why,
        cure=lambda: tuple(_cures(case, pod.downthrust_limit, first_measured(fit, 0.0) if held_by == "fit" else fit)),
    )


def _wanted(case: Case, design: Design) -> float:
    """Find the angle [rad] with the least worst moment from this nozzle, whatever back and builder allow; NaN if none.

    A nozzle that has no such angle is no cure.
    """
    at, balance = given(given(design.pod).nozzle), given(case.study.balance)
    powered = powered_states(case.design, balance.rows)
    found = best_tilt(powered, (at.x, at.z), limit=GREATEST_TILT)
    return math.nan if found is None else found.downthrust


def _cures(case: Case, limit: float, fit: float) -> Iterator[Proposal]:
    """Propose the builder's limit alone where the back allows it, else with a nozzle that makes room to tilt."""
    free, design = _wanted(case, case.design), case.design
    if math.isfinite(free) and not fit < free + SETTLES:
        yield from _typed("", (), free, limit)
        return
    found = []
    if math.isfinite(fit) and round_down(degrees(fit), 1) > degrees(limit + ALIKE):
        most = round_down(degrees(fit), 1)
        edit = Edit("pod.downthrust_limit", most, "deg")
        found.append(Proposal(f"allow {most:.1f} deg, the most that clears the back from here", "set", (edit,)))
    ways: tuple[tuple[str, int, moves.Move], ...] = (
        ("raise the nozzle by {} mm", LIFT_MOST, lambda by: moves.nozzle(design, lift=by)),
        ("move the nozzle aft by {} mm", AFT_MOST, lambda by: moves.nozzle(design, aft=by)),
    )
    for words, far, move in ways:
        step = moves.least(design, far, move, moves.pod_that(partial(_free_to_tilt, case)))
        if step is not None:  # from there the pod is free to tilt, so that there is an angle
            best = _wanted(case, moves.applied(design, move(step)))
            found += _typed(words.format(step), move(step), best, limit)
    yield from found or [Proposal("place the nozzle anew, further aft, or take a shorter pod, to make room to tilt")]


def _typed(words: str, edits: moves.Edits, best: float, limit: float) -> Iterator[Proposal]:
    """Say both numbers at once: where the nozzle goes, and the limit that the angle then needs."""
    wanted = round_up(degrees(best + SETTLES), 1)
    if best + SETTLES <= limit:
        yield Proposal(f"{words}, which makes room to tilt", "set", edits)
    else:
        edit = Edit("pod.downthrust_limit", wanted, "deg")
        yield Proposal(f"{words}{' and ' if words else ''}allow {wanted:.1f} deg", "set", (*edits, edit))


def _free_to_tilt(case: Case, design: Design, pod: MountedPod) -> bool:
    """Tell whether the best angle from a nozzle clears the back there."""
    free = _wanted(case, design)
    return math.isfinite(free) and pod.clears_at(min(free + SETTLES, GREATEST_TILT))


def _lacks(case: Case) -> list[str]:
    """Name what an automatic downthrust still needs."""
    airframe = case.design.airframe
    told = {
        "the wing ([airframe.wing])": airframe.wing is not None,
        "mass under [airframe]": math.isfinite(airframe.mass),
        "cg with its z under [airframe]": math.isfinite(stock_cg(airframe)[1]),
        "a motor ([[motors]])": bool(case.design.motors),
        "plugged = true for a motor that is": not case.design.motors or any(m.plugged for m in case.design.motors),
    }
    return [key for key, known in told.items() if not known] or ["the masses and heights that are named above"]
