"""Does the pod stand clear of the back, of fins, wing and the other pod, free to tilt, and on a mount? In mm, degrees.

Each move that is proposed was tried.
"""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.aircraft.masses import stock_cg
from foamworks.aircraft.thrust_line import best_tilt, powered_states
from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, collected, given, judged, lacking, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.parts.base import Saddle
from foamworks.parts.mount import GREATEST_TILT, LEAST_WALL, back_line
from foamworks.parts.mounted_pod import MountedPod, layout_of, mounted_pod
from foamworks.study.pod.room import EXACT, Near, PodRoom, pods_apart, stands_clear
from foamworks.units import degrees, first_measured, mm, said

POD_FIT = record("pod-fit")
POD_ROOM = record("pod-room")
DOWNTHRUST = record("downthrust")
MOUNT = record("mount")

ROUNDING = 1e-6  # m
SETTLES = degrees.si(0.3)  # by so much the best angle may move when pod and balance have settled anew (ours)
ALIKE = degrees.si(1e-6)


def findings(case: Case) -> list[Finding]:
    """Judge where the pod stands; nothing without a pod, or of what it could meet."""
    return collected(case, _back, _room, _downthrust, _mount)


def _back(case: Case) -> Iterator[Finding]:
    asked = given(case.design.pod)
    if not case.design.airframe.given:
        return
    POD_FIT.need(asked.nozzle, "pod", "nozzle")
    what = "the fuselage's sections" if layout_of(case.design) else "the tube's inner diameter and length"
    pod = POD_FIT.need(case.over_back, "pod", "sizes", what=what)
    beside = len(back_line(pod.sections, y=pod.plane)) < 2
    POD_FIT.need(None if beside and pod.clearance >= pod.air_gap else pod, "pod", "plane")
    gap, wanted = mm.si(pod.clearance), asked.air_gap
    pieces = "tube, nose and retainer" if pod.capped else "tube and nose"
    yield POD_FIT.finding(
        judged(gap, fail_below=wanted - ROUNDING),
        "pod",
        value=gap,
        limit=wanted,
        why=f"{pieces} {'clear the back by' if gap >= 0 else 'bite into the back by'} {abs(pod.clearance):.1f} mm; "
        f"{mm(wanted):g} mm of air are wanted, so that what is hot does not touch foam",
        cure=lambda: _over_back(case),
    )


def _over_back(case: Case) -> Iterator[Proposal]:
    """Propose less tilt, or a higher nozzle."""
    limit, tilt = case.aircraft.fit, given(case.design.standing).downthrust
    found = moves.proposed(case.design, moves.pod_that(lambda _, pod: pod.clears_at(tilt)), moves.RAISE)
    if limit < tilt:
        most = round_down(degrees(limit), 1)
        yield Proposal(f"tilt it by {most:.1f} deg at most", "set", (Edit("pod.downthrust", most, "deg"),))
    elif not found:
        yield Proposal(f"place the pod anew: even {moves.RAISE.most} mm higher it does not clear the back")
    yield from found


def _room(case: Case) -> Iterator[Finding]:
    room, pod = given(case.study.pod_room), given(case.pod)
    wanted, first = pod.air_gap, room.near[0]
    close = [row for row in room.near if mm(row.gap) < wanted - EXACT]
    fails = bool(close or room.mount_in)
    yield POD_ROOM.finding(
        "fail" if fails else "pass",
        "pod",
        value=first.gap,
        limit=given(case.design.pod).air_gap,
        why=_why(room, close, wanted),
        cure=lambda: _clearer(case, close, room.mount_in),
    )


def _why(room: PodRoom, close: list[Near], wanted: float) -> str:
    texts = [_words(row) for row in close or room.near[:1]]
    if room.mount_in:
        texts.append(f"the mount stands in the {' and the '.join(room.mount_in)}")
    return f"{'; '.join(texts)}; {wanted:g} mm of air are wanted, so that a hot tube does not touch foam"


def _words(row: Near) -> str:
    where = f"at x = {mm(row.x):.0f}, y = {mm(row.y):.0f}, z = {said(row.z, 'mm', 0)}"
    if row.gap <= 0:
        return f"the {row.piece} and the {row.thing} meet, {-mm(row.gap):.1f} mm deep, {where}"
    return f"between the {row.piece} and the {row.thing} there are {said(row.gap, 'mm', 1)}, {where}"


def _clearer(case: Case, close: list[Near], mount_in: tuple[str, ...]) -> Iterator[Proposal]:
    """Propose each single move that clears everything, the back included."""
    if not close:
        yield Proposal("move the nozzle until the mount stands free of it, or cut the surface out round the mount")
        return
    things = {row.thing for row in close} | set(mount_in)
    found = moves.proposed(case.design, _clear, *_ways(case.design, things))
    if "old fin" in things:
        found.append(Proposal("take the old fin off: [fins] makes two that stand beside the pod"))
    if "other pod" in things:
        found.append(one_pod())
    yield from found or [Proposal("place the pod anew: no single move clears it")]
    if mount_in:
        yield Proposal("file the mount to what is left beside it")


def one_pod() -> Proposal:
    """Propose one pod where there are two."""
    return Proposal("take one pod on the centre line", "set", (Edit("pod.count", 1), Edit("pod.y", None)))


def _ways(design: Design, things: set[str]) -> Iterator[moves.Move]:
    """Give the moves that may clear these things."""
    if things == {"other pod"}:
        yield moves.PODS_APART
        return
    yield from (moves.RAISE, moves.AFT, moves.FORWARD)
    if design.fins is not None and things & {"fins", "fin"}:
        yield moves.FINS_AFT
        if design.fins.count == 2:
            yield moves.FINS_OUT


def _clear(design: Design) -> bool:
    """Tell whether pod, surfaces and back keep the air gap from each other."""
    pod = mounted_pod(design)
    return pod is None or (pod.clears and stands_clear(design, pod))


def _downthrust(case: Case) -> Iterator[Finding]:
    """Judge an automatic downthrust; nothing where the angle is given."""
    pod, line, asked = given(case.design.pod), given(case.study.thrust_line), given(case.asked.pod)
    if not is_open(asked.downthrust):
        return
    held_by = DOWNTHRUST.need(line.limited_by, "pod", what=_lacks(case))
    limit, fit = pod.downthrust_limit, case.aircraft.fit
    if held_by == "fit":
        limit = fit = first_measured(fit, 0.0)
    yield DOWNTHRUST.finding(
        "pass" if held_by == "nothing" else "caution",
        "pod",
        of=held_by,
        value=line.downthrust,
        limit=limit,
        most=degrees(pod.downthrust_limit),
        cure=lambda: _tilted(case, pod.downthrust_limit, fit),
    )


def _wanted(case: Case, design: Design) -> float:
    """Find the angle [rad] with the least worst moment from this nozzle, whatever back and builder allow; NaN if none.

    A nozzle that has no such angle is no cure.
    """
    at, balance = given(given(design.pod).nozzle), given(case.study.balance)
    powered = powered_states(case.design, balance.rows)
    found = best_tilt(powered, (at.x, at.z), limit=GREATEST_TILT)
    return math.nan if found is None else found.downthrust


def _tilted(case: Case, limit: float, fit: float) -> Iterator[Proposal]:
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
    for move, step in moves.that_do(design, moves.pod_that(partial(_free_to_tilt, case)), moves.RAISE, moves.AFT):
        edits = move.typed(design, step)  # from there the pod is free to tilt, so that there is an angle
        found += _typed(move.words.format(step), edits, _wanted(case, moves.applied(design, edits)), limit)
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


def _lacks(case: Case) -> str:
    """Name what an automatic downthrust still needs."""
    airframe, motors = case.design.airframe, case.design.motors
    asked = {
        "the wing ([airframe.wing])": airframe.wing,
        "mass under [airframe]": airframe.mass,
        "cg with its z under [airframe]": stock_cg(airframe)[1],
        "a motor ([[motors]])": bool(motors),
        "plugged = true for a motor that is": not motors or any(motor.plugged for motor in motors),
    }
    return lacking(asked, "the masses and heights that are named above")


def _mount(case: Case) -> Iterator[Finding]:
    """Judge the mount; nothing without a pod over a back that was measured."""
    pod = given(case.over_back)
    saddles = (part for part in case.parts.prints if isinstance(part.shape, Saddle))
    walls = [part.min_wall_mm for part in saddles if part.min_wall_mm is not None]
    reason = "" if walls else pod.mount.reason
    yield MOUNT.finding(
        "fail" if reason else "pass",
        "pod mount",
        value=mm.si(min(walls)) if walls else None,
        limit=mm.si(LEAST_WALL),
        why=reason or "the printed saddle follows the back and holds the tube at its angle; this is its thinnest wall",
        cure=lambda: _mounted(case.design),
    )


def _mounted(design: Design) -> Iterator[Proposal]:
    """Propose the single moves that let a mount stand under the tube, which then clears the back as well."""
    found, pod = moves.proposed(design, _stands, moves.RAISE, moves.FORWARD, moves.AFT), design.pod
    if pod is not None and pod.count == 2 and pod.y is not None:
        # why: from the furthest inward that keeps the pods apart; nearer they would touch
        apart = moves.pod_that(lambda _, pod: pods_apart(pod))
        near = (far for far in range(int(mm(abs(pod.y)))) if apart(moves.applied(design, moves.inward(design, far))))
        inward = moves.Move("move the pods in by {} mm", max(near, default=0), moves.inward)
        step = moves.least(design, inward, _stands)
        if step is not None:
            edits = moves.inward(design, step)
            found.append(Proposal(f"put the pods {edits[0].typed:g} mm from the middle", "set", edits))
        found.append(one_pod())
    yield from found or [Proposal("place the pod elsewhere on the back, or take a tube nearer to its width")]


@moves.pod_that
def _stands(_: Design, pod: MountedPod) -> bool:
    return not pod.mount.reason and pod.clears and pods_apart(pod)
