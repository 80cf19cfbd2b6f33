"""Can the mount be printed where the pod stands? What is proposed was tried: back and the other pod too."""

from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal
from foamworks.checks.case import Case
from foamworks.checks.pod.room import one_pod
from foamworks.checks.records import record
from foamworks.design.model import Design
from foamworks.parts.base import Saddle
from foamworks.parts.mount import LEAST_WALL
from foamworks.parts.mounted_pod import MountedPod
from foamworks.study.pod.room import pods_apart
from foamworks.units import mm

MOUNT = record("mount")

LIFT_MOST = 60  # mm: how far a higher nozzle is looked for
MOVE_MOST = 200  # mm: and one further forward or aft


def findings(case: Case) -> Iterator[Finding]:
    """Judge the mount; nothing without a pod over a back that was measured."""
    pod = case.over_back
    if pod is None:
        return
    walls = [
        part.min_wall_mm
        for part in case.parts.prints
        if isinstance(part.shape, Saddle) and part.min_wall_mm is not None
    ]
    reason = "" if walls else pod.mount.reason
    yield MOUNT.finding(
        "fail" if reason else "pass",
        "pod mount",
        value=mm.si(min(walls)) if walls else None,
        limit=mm.si(LEAST_WALL),
        why=reason or "the printed saddle follows the back and holds the tube at its angle; this is its thinnest wall",
        cure=lambda: tuple(_cures(case)),
    )


def _cures(case: Case) -> Iterator[Proposal]:
    """Propose the single moves that let a mount stand under the tube, which then clears the back as well."""
    design, pod = case.design, case.design.pod
    ways: list[tuple[str, int, moves.Move]] = [
        ("raise the nozzle by {} mm", LIFT_MOST, lambda by: moves.nozzle(design, lift=by)),
        ("move the nozzle forward by {} mm", MOVE_MOST, lambda by: moves.nozzle(design, aft=-by)),
        ("move the nozzle aft by {} mm", MOVE_MOST, lambda by: moves.nozzle(design, aft=by)),
    ]
    found = [proposal for way in ways for proposal in moves.proposed(way[0], design, *way[1:], _stands)]
    if pod is not None and pod.count == 2 and pod.y is not None:
        # why: from the furthest inward that keeps the pods apart; nearer they would touch
        room = int(max((far for far in range(int(mm(abs(pod.y)))) if _apart(design, far)), default=0))
        step = moves.least(design, room, lambda by: moves.inward(design, by), _stands)
        if step is not None:
            edits = moves.inward(design, step)
            found.append(Proposal(f"put the pods {edits[0].typed:g} mm from the middle", "set", edits))
        found.append(one_pod())
    yield from found or [Proposal("place the pod elsewhere on the back, or take a tube nearer to its width")]


def _apart(design: Design, inward: int) -> bool:
    return moves.pod_that(lambda _, pod: pods_apart(pod))(moves.applied(design, moves.inward(design, inward)))


@moves.pod_that
def _stands(_: Design, pod: MountedPod) -> bool:
    return not pod.mount.reason and pod.clears and pods_apart(pod)
