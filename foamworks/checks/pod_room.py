"""Does the pod touch fins, tailplane or wing? Distances in mm; each move that is named as a cure was tried."""

import math
from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.model import Design
from foamworks.parts.make import pod_clearance, pod_shape
from foamworks.study.pod_room import EXACT, Near, PodRoom, stands_clear
from foamworks.units import said

POD_ROOM = record("pod-room")

REACH = {"lift": 60, "aft": 200, "forward": 200, "outward": 150, "fins aft": 150}  # mm: how far a cure is looked for


def beside(case: Case) -> Iterator[Finding]:
    """Judge what stands beside the pod; nothing where there is no pod on the aircraft or nothing to meet."""
    room, pod = case.study.pod_room, case.design.pod
    if room is None or pod is None:
        return
    wanted, first = 1000 * pod.air_gap, room.near[0]
    close = [row for row in room.near if 1000 * row.gap < wanted - EXACT]
    fails = bool(close or room.mount_in)
    yield POD_ROOM.finding(
        "fail" if fails else "pass",
        "pod",
        value=1000 * first.gap,
        limit=wanted,
        why=_why(room, close, wanted),
        cure=_cure(case, close, room.mount_in) if fails else "",
    )


def _why(room: PodRoom, close: list[Near], wanted: float) -> str:
    texts = [_words(row) for row in close or room.near[:1]]
    if room.mount_in:
        texts.append(f"the mount stands in the {' and the '.join(room.mount_in)}")
    return f"{'; '.join(texts)}; {wanted:g} mm of air are wanted, so that a hot tube does not touch foam"


def _words(row: Near) -> str:
    where = f"at x = {1e3 * row.x:.0f}, y = {1e3 * row.y:.0f}, z = {said(row.z, 'mm', 0)}"
    if row.gap <= 0:
        return f"the {row.piece} and the {row.thing} meet, {-1e3 * row.gap:.1f} mm deep, {where}"
    return f"between the {row.piece} and the {row.thing} there are {said(row.gap, 'mm', 1)}, {where}"


def _cure(case: Case, close: list[Near], mount_in: tuple[str, ...]) -> str:
    """Say which single move clears everything, the back included."""
    if not close:
        return "move the nozzle until the mount stands free of it, or cut the surface out round the mount"
    things = {row.thing for row in close} | set(mount_in)
    tried = ((text, moves.least(most, move, _clear)) for text, most, move in _moves(case, things))
    cures = [f"{text} {step} mm" for text, step in tried if step is not None]
    if "old fin" in things:
        cures.append("take the old fin off: [fins] makes two that stand beside the pod")
    text = "; or ".join(cures) or "no single move clears it: place the pod anew"
    return f"{text}; then file the mount to what is left beside it" if mount_in else text


def _moves(case: Case, things: set[str]) -> Iterator[tuple[str, int, moves.Move]]:
    """Give the moves a builder has: what it is called, how far it may go [mm], and the design with it."""
    design = case.design
    yield "raise the nozzle by", REACH["lift"], lambda by: moves.nozzle(design, lift=by)
    yield "move the nozzle aft by", REACH["aft"], lambda by: moves.nozzle(design, aft=by)
    yield "move the nozzle forward by", REACH["forward"], lambda by: moves.nozzle(design, aft=-by)
    if design.fins is not None and things & {"fins", "fin"}:
        yield "move fins.root.x aft by", REACH["fins aft"], lambda by: moves.fins(design, aft=by)
        if design.fins.count == 2:
            yield "move fins.root.y out by", REACH["outward"], lambda by: moves.fins(design, outward=by)


def _clear(design: Design) -> bool:
    """Tell whether pod, surfaces and back keep the air gap from each other."""
    if design.pod is None:
        return False
    shape = pod_shape(design)
    over = pod_clearance(design, shape) if shape is not None else math.inf
    return (over is None or over >= 1000 * design.pod.air_gap - EXACT) and stands_clear(design)
