"""Does the pod hold its motors: do they slide in, does something stop them ahead and behind? Is its nose a nose?"""

import math
from collections.abc import Iterator

from foamworks.checks.base import OURS, Finding, Proposal, collected, given, heard, judged
from foamworks.checks.case import Case
from foamworks.checks.proposals import left_out
from foamworks.checks.records import record
from foamworks.design.additions import Motor, Pod, Tube
from foamworks.design.edit import Edit
from foamworks.parts.mounted_pod import layout_of, nose_profile
from foamworks.parts.nose import SHOULDER_LEAST
from foamworks.parts.pod import LEAST_GRIP, PLAY, PROUD, WASHER, MotorFit
from foamworks.parts.rings import RING_LENGTH
from foamworks.units import first_measured, measured, mm

NOSE = record("nose-profile")
MOTOR_FIT = record("motor-fit")
FRONT_STOP = record("front-stop")
RETAINER = record("retainer")

HAACK_OVERSHOOT = 2 / 3  # above this C the Haack profile grows wider than its base before it gets there (closed form)
MOTOR_CLEARANCE = 0.05e-3  # m on the diameter, least that still slides (common practice, no source)
ROUNDING = 1e-9  # m
SHORTEST = PROUD + LEAST_GRIP  # mm of motor: less is not gripped by the tube


def findings(case: Case) -> list[Finding]:
    """Judge what the pod holds; a nose that is printed alone is only asked for its profile."""
    return collected(case, _nose, _motor_fit, _front_stop, _retainer)


def _nose(case: Case) -> Iterator[Finding]:
    asked, nose = given(given(case.design.pod).nose), given(case.study.nose)
    if nose_profile(asked)[0] != "haack":
        return
    wide = asked.haack_c > HAACK_OVERSHOOT
    yield NOSE.finding(
        "caution" if wide else "pass",
        "nose cone",
        value=asked.haack_c,
        limit=HAACK_OVERSHOOT,
        of="wide" if wide else "",
        over=2 * nose.greatest_radius - nose.diameter,
        cure=lambda: Proposal("take a nose that is widest at the tube", "set", (Edit("pod.nose.haack_c", 0.666),)),
    )


def _motor_fit(case: Case) -> Iterator[Finding]:
    for motor in case.design.motors:
        yield from heard(_one_fits(case, motor))


def _one_fits(case: Case, motor: Motor) -> Iterator[Finding]:
    pod = MOTOR_FIT.need(case.design.pod, motor.name, "pod")
    inner = MOTOR_FIT.need(pod.tube.inner, motor.name, "tube")
    clearance = inner - motor.diameter
    verdict = judged(clearance, fail_below=-ROUNDING, caution_below=MOTOR_CLEARANCE - ROUNDING)
    how = {"fail": ": it does not go in", "caution": f": {mm(max(clearance, 0)):.2f} mm of clearance bind"}
    yield MOTOR_FIT.finding(
        verdict,
        motor.name,
        value=motor.diameter,
        limit=inner if verdict == "fail" else inner - MOTOR_CLEARANCE,
        why=f"the motor is {mm(motor.diameter):g} mm wide, the tube {mm(inner):g} mm inside{how.get(verdict, '')}",
        cure=lambda: _wider_tube(case, pod.tube, motor, inner),
    )


def _wider_tube(case: Case, tube: Tube, motor: Motor, inner: float) -> Iterator[Proposal]:
    """Propose a tube with the same wall that the motor slides in, or a case that was measured."""
    wide = round(mm(motor.diameter + MOTOR_CLEARANCE), 3)
    outer = round(wide + mm(tube.outer - inner), 3)
    edits = (Edit("pod.tube.inner", wide, "mm"), Edit("pod.tube.outer", outer, "mm"))
    yield Proposal(f"take a tube of at least {wide:g} mm inside", "set", edits)
    yield Proposal(
        "measure the case, as many are made under size, and never thin one: it slides from "
        f"{mm(inner - MOTOR_CLEARANCE):g} mm down",
        "measure",
    )
    yield from left_out(case.asked, motor.name)


def _front_stop(case: Case) -> Iterator[Finding]:
    pod = given(case.design.pod)
    given(case.design.motors or None)
    layout = layout_of(case.design)
    if layout is None or pod.tube.length is None:
        yield FRONT_STOP.unknown("pod")
        return
    for fit in layout.motors:
        if fit.motor.diameter <= mm(pod.tube.inner or 0.0):  # else motor-fit says it
            yield _stop_finding(case, pod, fit, layout.reason)


def _stop_finding(case: Case, pod: Pod, fit: MotorFit, reason: str) -> Finding:
    """Say what one motor bears on, or what it lacks: a longer tube, or a motor long enough to be gripped."""
    held = fit.fits and not reason
    without = tuple(left_out(case.asked, fit.motor.name))
    if fit.motor.length < SHORTEST:
        return FRONT_STOP.finding(
            "fail",
            fit.motor.name,
            value=mm.si(fit.motor.length),
            limit=mm.si(SHORTEST),
            why=f"{fit.reason}; this pod is refused",
            cure=(Proposal(f"take a motor of at least {SHORTEST:g} mm"), *without),
            source=OURS,
        )
    plug = first_measured(measured(mm(pod.nose.shoulder)), SHOULDER_LEAST) if pod.nose else 0.0
    needed = fit.motor.length + WASHER + PLAY + RING_LENGTH + plug - PROUD
    on = "a washer, a stop and a glued thrust ring" if fit.stop else "a washer and a glued thrust ring"
    shoulder = ", or a nose with a shorter shoulder" if plug > SHOULDER_LEAST else ""
    longer = Edit("pod.tube.length", math.ceil(needed), "mm")
    length = mm(pod.tube.length or 0.0)
    return FRONT_STOP.finding(
        "pass" if held else "fail",
        fit.motor.name,
        value=pod.tube.length,
        limit=mm.si(needed),
        why=f"the motor bears on {on} ahead of it; the tube is {length:g} mm long and needs {needed:.1f}"
        if held
        else f"{fit.reason or reason}: nothing would stop the motor going forward; this pod is refused",
        cure=lambda: (
            Proposal(f"take a tube of {math.ceil(needed)} mm, or a shorter motor{shoulder}", "set", (longer,)),
            *without,
        ),
    )


def _retainer(case: Case) -> Iterator[Finding]:
    pod = given(case.design.pod)
    given(case.design.motors or None)
    yield RETAINER.finding(
        "pass" if pod.retainer else "fail",
        "pod",
        of=pod.retainer or "nothing",
        cure=lambda: Proposal(
            "hold the motor from behind by a cap, or by a wire hook", "set", (Edit("pod.retainer", "cap"),)
        ),
    )
