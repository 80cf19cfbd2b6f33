"""Where does a burn take the model: sideways with one of two motors out, and out of the field?"""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.checks.base import Finding, Proposal, Verdict, collected, given, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.pod.place import one_pod
from foamworks.checks.proposals import left_out, smaller
from foamworks.checks.records import record
from foamworks.design.edit import Edit, moved
from foamworks.parts.mounted_pod import mounted_pod
from foamworks.study.flight.boost import BoostRun, leaves_after
from foamworks.study.pod.room import pods_apart
from foamworks.study.pod.twins import MOST_SIDESLIP, overshoot
from foamworks.units import degrees, km_h, mm, said

ONE_OUT = record("one-out-yaw")
FIELD = record("leaves-the-field")


def findings(case: Case) -> list[Finding]:
    """Judge each motor's run; nothing without a motor that may be lit."""
    return collected(case, _one_out, _field)


def _overshoot(case: Case) -> tuple[float, str]:
    """Give how far the sideslip swings over where it settles, and in words by which damping."""
    lateral = case.study.lateral
    damping = lateral.row("modified", "flown speed").dutch_roll.damping_ratio if lateral else math.nan
    if math.isnan(damping):
        return overshoot(0.0), "its damping is not known, so none is counted"
    return overshoot(damping), f"Dutch roll damping {damping:.2f}"


def _one_out(case: Case) -> Iterator[Finding]:
    if given(case.design.pod).count != 2:
        return
    limit = MOST_SIDESLIP
    for row in case.study.burn.boosts:
        out = row.one_out
        if not (out and row.run):
            yield ONE_OUT.unknown(row.motor)
            continue
        over, damped = _overshoot(case)
        value = over * out.sideslip
        least = math.sqrt(over) * out.least_speed  # the sideslip goes with 1/V^2
        why = (
            f"one motor alone yaws with {out.moment:.2f} N m at its peak: it settles at "
            f"{degrees(out.sideslip):.0f} deg of sideslip at {said(row.run.entry, 'km/h', 0)} and swings to "
            f"{degrees(value):.0f} on the way ({damped}); below "
            f"{said(least, 'km/h', 0)} it passes 10 deg"
        )
        cure = partial(_one_out_cures, case, limit / value, least)
        yield ONE_OUT.judge(row.motor, value, fail_above=limit, why=why, cure=cure)


def _one_out_cures(case: Case, share: float, least: float) -> Iterator[Proposal]:
    """Propose one pod, or two nearer to the middle, where they keep apart from each other."""
    yield one_pod()
    pod = given(case.design.pod)
    edit = Edit("pod.y", round_down(mm(abs(pod.y or 0.0)) * share), "mm")
    nearer = mounted_pod(moved(case.design, (edit,)))
    if nearer is None or pods_apart(nearer):
        yield Proposal(f"put the pods {edit.typed} mm from the middle", "set", (edit,))
    yield Proposal(f"light two motors above {round_up(km_h(least)):.0f} km/h only", "fly")


def _field(case: Case) -> Iterator[Finding]:
    given(case.design.pod)
    runs = [(row.motor, row.run) for row in case.study.burn.judged if row.run]
    if not runs:
        return
    longest = max(run.burnout_distance for _, run in runs)
    length = FIELD.need(case.design.field.length, "field", burn=f"{longest:.0f}")
    for name, run in runs:
        yield _field_finding(case, name, run, length)


def _field_finding(case: Case, name: str, run: BoostRun, length: float) -> Finding:
    coast = run.end_distance if math.isfinite(run.end_distance) else float(run.path.distance[-1])
    verdict: Verdict = "fail" if run.burnout_distance > length else "caution" if coast > length else "pass"
    when = leaves_after(run.path, length)
    why = f"{run.burnout_distance:.0f} m in the burn, {coast:.0f} m until it is slow again, straight and level"
    if math.isfinite(when):
        why = f"lit at one end of the field it is past the other after {when:.1f} s; {why}"
    value = run.burnout_distance if verdict == "fail" else coast
    return FIELD.finding(
        verdict,
        name,
        value=value,
        limit=length,
        why=why,
        cure=lambda: (
            Proposal(f"go to a field of {round_up(coast):.0f} m", "fly"),
            Proposal("light it upwind and pull up into a climb before the edge", "fly"),
            *left_out(case.asked, name),
            Proposal(f"fly {smaller(case.asked, name)}", "fly"),
        ),
    )
