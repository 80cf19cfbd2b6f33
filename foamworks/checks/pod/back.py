"""Does the pod clear the fuselage's back? Each move that is proposed was tried."""

from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding, Proposal, given, heard, judged, round_down
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.parts.mount import back_line
from foamworks.parts.mounted_pod import layout_of
from foamworks.units import degrees, mm

POD_FIT = record("pod-fit")

LIFT_MOST = 60  # mm: how far a cure "raise the nozzle" is looked for
ROUNDING = 1e-6  # m


def findings(case: Case) -> Iterator[Finding]:
    """Judge the pod over the back; nothing without a pod or without an aircraft."""
    yield from heard(_pod_fit(case))


def _pod_fit(case: Case) -> Iterator[Finding]:
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
        cure=lambda: tuple(_cures(case)),
    )


def _cures(case: Case) -> Iterator[Proposal]:
    """Propose less tilt, or a higher nozzle."""
    stand = given(case.design.standing)
    limit, tilt = case.aircraft.fit, stand.downthrust
    found = []
    if limit < tilt:
        most = round_down(degrees(limit), 1)
        found.append(Proposal(f"tilt it by {most:.1f} deg at most", "set", (Edit("pod.downthrust", most, "deg"),)))

    clears = moves.pod_that(lambda _, pod: pod.clears_at(tilt))
    lift = "raise the nozzle by {} mm"
    found += moves.proposed(lift, case.design, LIFT_MOST, lambda by: moves.nozzle(case.design, lift=by), clears)
    yield from found or [Proposal(f"place the pod anew: even {LIFT_MOST} mm higher it does not clear the back")]
