"""Do the pod's glue lines, its ring and its retainer stand thrust and landing? Factors, forces in N."""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, collected, given, round_up
from foamworks.checks.case import Case
from foamworks.checks.proposals import built, left_out
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.parts.mounted_pod import MountedPod
from foamworks.study.pod.glue import LANDING, GlueLine, study_pod_glue
from foamworks.study.pod.retainer import PLATE, PLY_BENDING, PRINT_BENDING, Retainer, wire_for
from foamworks.units import mm, said

GLUE = record("glue-line")
RING = record("thrust-ring", landing=LANDING)
HELD = record("retainer-strength")

GLUE_FACTOR = 4.0  # on foam and paper, over the peak thrust (common practice, no source)
FOOT_LEAST = 2.0  # of the mount's foot, where the factor counts its greatest stress, not the mean (ours)
FACTOR_WANTED = 2.0  # on ring and retainer (ours)
RESERVE = 1.02  # on what a proposal asks for (ours)
FOOT = "mount on the back"
WIDER_MOST = 4.0  # times the mount's width: beyond it another mount is wanted


def findings(case: Case) -> list[Finding]:
    """Judge what holds the pod and its motor."""
    return collected(case, _glue, _ring, _retainer)


def _glue(case: Case) -> Iterator[Finding]:
    """Name the glue lines under the wanted factor; when all hold, the weakest."""
    pod = given(given(case.study.strength).pod)
    weak = [line for line in pod.lines if line.factor < GLUE_FACTOR]
    for line in weak or [min(pod.lines, key=lambda line: line.factor)]:
        foot = line.name == FOOT
        least = FOOT_LEAST if foot else GLUE_FACTOR
        pull = f" and {said(line.pull, 'MPa', 2)} of pull at its aft end" if line.pull > 0 else ""
        yield GLUE.judge(
            line.name,
            line.factor,
            fail_below=least,
            caution_below=GLUE_FACTOR,
            pod=pod,
            line=line,
            pull=pull,
            weak="the foam" if foot else "the paper",
            cure=partial(glue_cures, case, line, pod.motor),
        )


def glue_cures(case: Case, line: GlueLine, motor: str) -> Iterator[Proposal]:
    """Propose what brings a glue line to the wanted factor."""
    more = RESERVE * GLUE_FACTOR / line.factor
    if line.name != FOOT:
        yield Proposal(f"glue {round_up(more, 1):.1f} x the area, by a second ring or a longer mount")
    elif more <= WIDER_MOST:
        wide = round_up(mm(more * line.area / line.length))
        yield built(
            f"glue the mount on a plate of 1 mm plywood, {wide:.0f} mm wide and shaped to the back, and {_pull(case)}",
            "mount_plate",
            wide,
            "mm",
        )
    else:
        yield from _lower(case)
    yield from left_out(case.asked, motor)


def _lower(case: Case) -> Iterator[Proposal]:
    """Propose a lower nozzle or a longer tube, where the foot then stands the thrust."""
    found = moves.proposed(case.design, _foot_stands, moves.LOWER, moves.LONGER_TUBE, search=moves.first)
    yield from found or [Proposal("place the pod anew and lower: it stands too high for this mount")]


def _pull(case: Case) -> str:
    proof = case.study.proof
    if not (proof and proof.safe):
        return "do not pull at it before that"
    return f"pull at it with {proof.told} before you fly"


@moves.pod_that
def _foot_stands(design: Design, pod: MountedPod) -> bool:
    """Tell whether the mount's foot stands the thrust at all (`FOOT_LEAST`) and the pod clears the back."""
    glue = study_pod_glue(design, pod, Parts(prints=pod.mount.prints)) if pod.clears else None
    return any(line.name == FOOT and line.factor >= FOOT_LEAST for line in (glue.lines if glue else ()))


def _ring(case: Case) -> Iterator[Finding]:
    pod = given(given(case.study.strength).pod)
    limit = pod.ring_stands / FACTOR_WANTED
    more = round_up(pod.landing_force / limit, 1)
    yield RING.judge(
        "thrust ring",
        pod.landing_force,
        fail_above=limit,
        pod=pod,
        times=LANDING,
        cure=lambda: (
            Proposal(f"glue {math.ceil(more)} rings one behind the other, or one {more:.1f} x as long"),
            *left_out(case.asked, pod.heaviest),
        ),
    )


def _retainer(case: Case) -> Iterator[Finding]:
    """Judge what holds the motor from behind by its weakest link."""
    held = given(given(case.study.strength).retainer)
    cure = partial(_retainer_cures, held)
    yield HELD.judge(
        "retainer", held.factor, fail_below=1.0, caution_below=FACTOR_WANTED, held=held, weak=held.links[0], cure=cure
    )


def _retainer_cures(held: Retainer) -> Iterator[Proposal]:
    more, weak = RESERVE * FACTOR_WANTED / held.factor, held.links[0].name
    if weak == "retainer plate":
        ply = math.ceil(2 * mm(PLATE) * math.sqrt(more * PRINT_BENDING / PLY_BENDING)) / 2
        yield built(
            f"cut the retainer's ring and plate from birch plywood instead of printing them, the plate {ply:g} "
            "mm thick",
            "ply_retainer",
            ply,
            "mm",
        )
    if weak == "hook's bend":
        wire = mm(wire_for(held.links[0].stands, RESERVE * FACTOR_WANTED * held.force))
        yield Proposal(f"bend the hook from {wire:.1f} mm spring steel wire, or two hooks opposite each other")
        yield Proposal("hold the motor by a cap", "set", (Edit("pod.retainer", "cap"),))
    elif held.kind == "cap":
        yield Proposal("hold the motor by a wire hook", "set", (Edit("pod.retainer", "hook"),))
    if weak not in {"retainer plate", "hook's bend"}:
        yield Proposal(f"glue {round_up(more, 1):.1f} x the length along the tube, bound over with thread and glue")
