"""Does the pod touch fins, tailplane or wing? Distances in mm; each move that is named as a cure was tried."""

import math
from collections.abc import Callable, Iterator

from foamworks.design.model import Design
from foamworks.findings.base import CUSTOM, Finding
from foamworks.findings.case import Case
from foamworks.parts.make import pod_clearance, pod_shape
from foamworks.study.pod_room import EXACT, Near, PodRoom, stands_clear

REACH = {"lift": 60, "aft": 200, "forward": 200, "outward": 150, "fins aft": 150}  # mm: how far a cure is looked for
Move = Callable[[Design, float], Design | None]


def findings(case: Case) -> Iterator[Finding]:
    """Judge what stands beside the pod; nothing where there is no pod on the aircraft or nothing to meet."""
    room, pod = case.study.pod_room, case.design.pod
    if room is None or pod is None:
        return
    wanted, first = 1000 * pod.air_gap, room.near[0]
    close = [row for row in room.near if 1000 * row.gap < wanted - EXACT]
    fails = bool(close or room.mount_in)
    yield Finding(
        "pod-room", "pod", "fail" if fails else "pass", 1000 * first.gap, wanted, "mm", _why(room, close, wanted),
        _cure(case, close, room.mount_in) if fails else "", f"pod.air_gap ({CUSTOM}: 3 to 5 mm)",
    )  # fmt: skip


def _why(room: PodRoom, close: list[Near], wanted: float) -> str:
    texts = [_words(row) for row in close or room.near[:1]]
    if room.mount_in:
        texts.append(f"the mount stands in the {' and the '.join(room.mount_in)}")
    return f"{'; '.join(texts)}; {wanted:g} mm of air are wanted, so that a hot tube does not touch foam"


def _words(row: Near) -> str:
    where = f"at x = {1e3 * row.x:.0f}, y = {1e3 * row.y:.0f}, z = {1e3 * row.z:.0f} mm"
    if row.gap <= 0:
        return f"the {row.piece} and the {row.thing} meet, {-1e3 * row.gap:.1f} mm deep, {where}"
    return f"between the {row.piece} and the {row.thing} there are {1e3 * row.gap:.1f} mm, {where}"


def _cure(case: Case, close: list[Near], mount_in: tuple[str, ...]) -> str:
    """Say which single move clears everything, the back included."""
    things = {row.thing for row in close} | set(mount_in)
    cures = [text for text in (_tried(case, *move) for move in _moves(case, things)) if text]
    if not close:
        return "move the nozzle until the mount stands free of it, or cut the surface out round the mount"
    if "old fin" in things:
        cures.append("take the old fin off: [fins] makes two that stand beside the pod")
    text = "; or ".join(cures) or "no single move clears it: place the pod anew"
    return f"{text}; then file the mount to what is left beside it" if mount_in else text


def _moves(case: Case, things: set[str]) -> Iterator[tuple[str, int, Move]]:
    """Give the moves a builder has: what it is called, how far it may go, and the design with it."""
    yield "raise the nozzle by {} mm", REACH["lift"], lambda design, by: _nozzle(design, 0.0, by)
    yield "move the nozzle aft by {} mm", REACH["aft"], lambda design, by: _nozzle(design, by, 0.0)
    yield "move the nozzle forward by {} mm", REACH["forward"], lambda design, by: _nozzle(design, -by, 0.0)
    fins = case.design.fins
    if fins is not None and things & {"fins", "fin"}:
        yield "move fins.root.x aft by {} mm", REACH["fins aft"], lambda design, by: _fins(design, by, 0.0)
        if fins.count == 2:
            yield "move fins.root.y out by {} mm", REACH["outward"], lambda design, by: _fins(design, 0.0, by)


def _nozzle(design: Design, aft: float, lift: float) -> Design | None:
    pod = design.pod
    if pod is None or pod.nozzle is None:
        return None
    place = {"x": pod.nozzle.x + aft / 1000, "z": pod.nozzle.z + lift / 1000}
    return design.model_copy(update={"pod": pod.model_copy(update={"nozzle": pod.nozzle.model_copy(update=place)})})


def _fins(design: Design, aft: float, outward: float) -> Design | None:
    fins = design.fins
    if fins is None:
        return None
    place = {"x": fins.root.x + aft / 1000, "y": fins.root.y + outward / 1000}
    return design.model_copy(update={"fins": fins.model_copy(update={"root": fins.root.model_copy(update=place)})})


def _tried(case: Case, text: str, most: int, move: Move) -> str:
    """Find the least whole millimetre of a move that clears; empty where the farthest does not."""
    if not _clear(move(case.design, most)):
        return ""
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _clear(move(case.design, middle)) else (middle, high)
    return text.format(high)


def _clear(design: Design | None) -> bool:
    """Tell whether pod, surfaces and back keep the air gap from each other."""
    if design is None or design.pod is None:
        return False
    wanted = 1000 * design.pod.air_gap - EXACT
    shape = pod_shape(design)
    over = pod_clearance(design, shape) if shape is not None else math.inf
    return (over is None or over >= wanted) and stands_clear(design)
