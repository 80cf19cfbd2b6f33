"""Does the pod hold its motors, does it clear the back, can its angle be built? Lengths in mm, angles in degrees."""

import math
from collections.abc import Iterator

from foamworks.findings.base import CUSTOM, OURS, Finding, unknown
from foamworks.findings.case import Case
from foamworks.parts.make import fit_limit, layout_of, nose_profile, pod_clearance, pod_mount, pod_shape
from foamworks.parts.mount import clearance
from foamworks.parts.nose import SHOULDER_LEAST
from foamworks.parts.pod import PROUD, WASHER
from foamworks.parts.rings import RING_LENGTH

HAACK_OVERSHOOT = 2 / 3  # above this C the Haack profile grows wider than its base before it gets there (closed form)
LIFT_STEP = 1.0  # mm: how finely a cure "raise the nozzle" is worked out
LIFT_MOST = 60.0  # mm


def findings(case: Case) -> list[Finding]:
    """Judge the pod; a nose that is printed alone is only asked for its profile."""
    return [
        *_nose(case), *_motor_fit(case), *_front_stop(case), *_retainer(case), *_pod_fit(case), *_downthrust(case),
        *_mount(case),
    ]  # fmt: skip


def _nose(case: Case) -> Iterator[Finding]:
    pod, nose = case.design.pod, case.study.nose
    if pod is None or nose is None or nose_profile(pod)[0] != "haack" or pod.nose is None:
        return
    over = 2000 * nose.greatest_radius - 1000 * nose.diameter
    wide = pod.nose.haack_c > HAACK_OVERSHOOT
    yield Finding(
        "nose-profile",
        "nose cone",
        "caution" if wide else "pass",
        pod.nose.haack_c,
        HAACK_OVERSHOOT,
        "",
        f"with C = {pod.nose.haack_c:g} the nose grows {over:.1f} mm wider than the tube before its base"
        if wide
        else "the profile is widest at the tube",
        "take haack_c at most 0.666, or von_karman (C = 0)" if wide else "",
        "Haack's closed form",
    )


def _motor_fit(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    for motor in case.design.motors:
        size = 1000 * motor.diameter
        if pod is None:
            yield unknown(
                "motor-fit", motor.name, "there is no pod to put this motor in", "add [pod] with its tube", "mm"
            )
        elif pod.tube.inner is None:
            yield unknown(
                "motor-fit", motor.name, "the tube's inner diameter is not known", "measure it: pod.tube.inner", "mm"
            )
        else:
            inner = 1000 * pod.tube.inner
            wide = size > inner
            yield Finding(
                "motor-fit",
                motor.name,
                "fail" if wide else "pass",
                size,
                inner,
                "mm",
                f"the motor is {size:g} mm wide, the tube {inner:g} mm inside",
                f"take a tube of more than {size:g} mm inside, or a motor of at most {inner:g} mm" if wide else "",
                "geometry",
            )


def _front_stop(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not case.design.motors:
        return
    layout = layout_of(case.design)
    if layout is None or pod.tube.length is None:
        yield Finding(
            "front-stop", "pod", "fail", None, None, "mm",
            "the tube is not wholly measured, so nobody can say that a motor finds a stop ahead of it; without one a "
            "motor may fly forward through the nose",
            "measure pod.tube: inner, outer and length", "trade rule: held ahead and behind, always",
        )  # fmt: skip
        return
    plug = (
        SHOULDER_LEAST if pod.nose and pod.nose.shoulder is None else 1000 * (pod.nose.shoulder or 0) if pod.nose else 0
    )
    for fit in layout.motors:
        if fit.motor.diameter > 1000 * (pod.tube.inner or 0):
            continue  # motor-fit says it
        needed = fit.motor.length + WASHER + RING_LENGTH + plug - PROUD
        length = 1000 * pod.tube.length
        held = fit.fits and not layout.reason
        yield Finding(
            "front-stop",
            fit.motor.name,
            "pass" if held else "fail",
            length,
            needed,
            "mm",
            f"the motor bears on a washer{', a stop' if fit.stop else ''} and a glued thrust ring ahead of it; the "
            f"tube is {length:g} mm long and needs {needed:.1f}"
            if held
            else f"{fit.reason or layout.reason}: nothing would stop the motor going forward; this pod is refused",
            "" if held else f"take a tube of at least {math.ceil(needed)} mm, or a shorter motor",
            "trade rule: a thrust ring ahead and a retainer behind, always",
        )


def _retainer(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not case.design.motors:
        return
    held = pod.retainer is not None
    how = {"cap": "a screwed plate holds the motor from behind", "hook": "a wire hook holds the motor from behind"}
    yield Finding(
        "retainer", "pod", "pass" if held else "fail", None, None, "",
        how[pod.retainer] if pod.retainer else "nothing holds the motor from behind: a case blown out backward has set "
        "grass alight, and friction alone does not hold it; this pod is refused",
        "" if held else 'add retainer = "cap" or "hook" to [pod]',
        "trade rule: a thrust ring ahead and a retainer behind, always",
    )  # fmt: skip


def _on_aircraft(case: Case) -> bool:
    pod = case.design.pod
    return pod is not None and pod.nozzle is not None and case.design.airframe is not None


def _pod_fit(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not _on_aircraft(case):
        return
    shape = pod_shape(case.design)
    if shape is None:
        what = "the fuselage's sections" if layout_of(case.design) else "the tube's inner diameter and length"
        yield unknown(
            "pod-fit", "pod", f"{what} are not known, so the gap over the back is not", f"measure {what}", "mm"
        )
        return
    gap, wanted = pod_clearance(case.design, shape), 1000 * pod.air_gap
    if gap is None or math.isinf(gap):
        yield unknown(
            "pod-fit", "pod", "there is no fuselage under the pod's plane", "check pod.y and pod.nozzle", "mm"
        )
        return
    fits = gap >= wanted - 1e-3
    cure = "" if fits else _fit_cure(case)
    yield Finding(
        "pod-fit",
        "pod",
        "pass" if fits else "fail",
        gap,
        wanted,
        "mm",
        f"tube and nose {'clear the back by' if gap >= 0 else 'bite into the back by'} {abs(gap):.1f} mm; "
        f"{wanted:g} mm of air are wanted, so that a hot tube does not touch foam",
        cure,
        f"pod.air_gap ({CUSTOM}: 3 to 5 mm)",
    )


def _fit_cure(case: Case) -> str:
    """Say what would make the pod clear the back: less tilt, or a higher nozzle."""
    pod, shape = case.design.pod, pod_shape(case.design)
    if pod is None or pod.nozzle is None or shape is None or isinstance(pod.downthrust, str):
        return ""
    cures = []
    limit = fit_limit(case.design, shape)
    if limit is not None and limit < pod.downthrust:
        cures.append(f"tilt it {math.degrees(limit):.1f} deg at most")
    x, z = 1000 * pod.nozzle.x, 1000 * pod.nozzle.z
    lift = LIFT_STEP
    while lift <= LIFT_MOST:
        there = (x, z + lift)
        gap = clearance(
            sections=shape.sections, lower=shape.lower, nozzle=there, downthrust=pod.downthrust,
            y=1000 * abs(pod.y or 0.0) if pod.count == 2 else 0.0,
        )  # fmt: skip
        if gap >= 1000 * pod.air_gap:
            cures.append(f"raise the nozzle by {lift:.0f} mm")
            break
        lift += LIFT_STEP
    return ", or ".join(cures) or f"move the pod: even {LIFT_MOST:.0f} mm higher it does not clear the back"


def _downthrust(case: Case) -> Iterator[Finding]:
    pod, line = case.design.pod, case.study.thrust_line
    if (
        pod is None
        or line is None
        or case.asked.pod is None
        or case.asked.pod.downthrust != "auto"
        or not case.design.motors
    ):
        return
    if line.limited_by is None:
        yield unknown(
            "downthrust", "pod",
            "the angle cannot be worked out before masses and the height of the balance are known; it is 0 here",
            "measure airframe.mass and airframe.cg with its z, and declare the motors plugged", "deg",
        )  # fmt: skip
        return
    angle, limit = math.degrees(line.downthrust), math.degrees(pod.downthrust_limit)
    if line.limited_by == "nothing":
        why, verdict, cure = "the least worst moment over all powered states lies at this angle", "pass", ""
    elif line.limited_by == "fit":
        why, verdict = "the back of the fuselage allows no more; the line still passes above the balance", "caution"
        cure = "raise the nozzle or move it aft: both make room to tilt"
    else:
        why, verdict = f"more would be better, but {limit:g} deg is the most you would build", "caution"
        cure = "raise pod.downthrust_limit, or move the nozzle aft, where less angle does"
    yield Finding("downthrust", "pod", verdict, angle, limit, "deg", why, cure, OURS)  # type: ignore[arg-type]  # a literal of three


def _mount(case: Case) -> Iterator[Finding]:
    shape = pod_shape(case.design) if _on_aircraft(case) else None
    if shape is None:
        return
    made = pod_mount(case.design, shape)
    walls = [part.min_wall_mm for part in made.prints if part.min_wall_mm is not None]
    yield Finding(
        "mount",
        "pod mount",
        "fail" if made.reason else "pass",
        min(walls, default=None),
        None,
        "mm",
        made.reason or "the printed saddle follows the back and holds the tube at its angle; this is its thinnest wall",
        "move the nozzle, or tilt the pod less, until a mount can stand under the tube" if made.reason else "",
        "geometry",
    )
