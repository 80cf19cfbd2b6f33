"""Does the pod touch fins, tailplane, wing or the other pod? Distances in mm; each move that is proposed was tried."""

from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, given, heard
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.design.model import Design
from foamworks.parts.mounted_pod import mounted_pod
from foamworks.study.pod.room import EXACT, Near, PodRoom, stands_clear
from foamworks.units import mm, said

POD_ROOM = record("pod-room")

REACH = {
    "lift": 60,
    "aft": 200,
    "forward": 200,
    "outward": 150,
    "fins aft": 150,
    "apart": 100,
}  # mm: how far a cure is looked for


def findings(case: Case) -> Iterator[Finding]:
    """Judge what stands beside the pod; nothing where there is no pod on the aircraft or nothing to meet."""
    yield from heard(_room(case))


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
        cure=lambda: tuple(_cures(case, close, room.mount_in)),
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


def _cures(case: Case, close: list[Near], mount_in: tuple[str, ...]) -> Iterator[Proposal]:
    """Propose each single move that clears everything, the back included."""
    if not close:
        yield Proposal("move the nozzle until the mount stands free of it, or cut the surface out round the mount")
        return
    things = {row.thing for row in close} | set(mount_in)
    found = [proposal for words, most, move in _moves(case, things) for proposal in _tried(case, words, most, move)]
    if "old fin" in things:
        found.append(Proposal("take the old fin off: [fins] makes two that stand beside the pod"))
    if "other pod" in things:
        found.append(one_pod())
    yield from found or [Proposal("place the pod anew: no single move clears it")]
    if mount_in:
        yield Proposal("file the mount to what is left beside it")


def _tried(case: Case, words: str, most: int, move: moves.Move) -> Iterator[Proposal]:
    return moves.proposed(words + " {} mm", case.design, most, move, _clear)


def one_pod() -> Proposal:
    """Propose one pod where there are two."""
    return Proposal("take one pod on the centre line", "set", (Edit("pod.count", 1), Edit("pod.y", None)))


def _moves(case: Case, things: set[str]) -> Iterator[tuple[str, int, moves.Move]]:
    """Give the moves a builder has: what it is called, how far it may go [mm], and what is typed for it."""
    design = case.design
    if things == {"other pod"}:
        yield "move each pod out by", REACH["apart"], lambda by: moves.inward(design, -by)
        return
    yield "raise the nozzle by", REACH["lift"], lambda by: moves.nozzle(design, lift=by)
    yield "move the nozzle aft by", REACH["aft"], lambda by: moves.nozzle(design, aft=by)
    yield "move the nozzle forward by", REACH["forward"], lambda by: moves.nozzle(design, aft=-by)
    if design.fins is not None and things & {"fins", "fin"}:
        yield "move the fins aft by", REACH["fins aft"], lambda by: moves.fins(design, aft=by)
        if design.fins.count == 2:
            yield "move the fins out by", REACH["outward"], lambda by: moves.fins(design, outward=by)


def _clear(design: Design) -> bool:
    """Tell whether pod, surfaces and back keep the air gap from each other."""
    pod = mounted_pod(design)
    return pod is None or (pod.clears and stands_clear(design, pod))
