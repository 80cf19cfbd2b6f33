"""Does the pod hold its motors, does it clear the back, can its angle be built? Lengths in mm, angles in degrees."""

import math
from collections.abc import Iterator

from foamworks.aircraft.thrust_line import best_tilt, powered_states
from foamworks.checks import moves, pod_room
from foamworks.checks.base import OURS, Finding, Verdict, judged, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.additions import Pod
from foamworks.design.model import Design
from foamworks.parts.base import Saddle
from foamworks.parts.make import (
    clears_back,
    layout_of,
    nose_profile,
    pod_clearance,
    pod_mount,
    pod_plane,
    pod_shape,
)
from foamworks.parts.mount import GREATEST_TILT, LEAST_WALL, back_line
from foamworks.parts.nose import SHOULDER_LEAST
from foamworks.parts.pod import LEAST_GRIP, PLAY, PROUD, WASHER, MotorFit
from foamworks.parts.rings import RING_LENGTH

NOSE = record("nose-profile")
MOTOR_FIT = record("motor-fit")
FRONT_STOP = record("front-stop")
RETAINER = record("retainer")
POD_FIT = record("pod-fit")
DOWNTHRUST = record("downthrust")
MOUNT = record("mount")

HAACK_OVERSHOOT = 2 / 3  # above this C the Haack profile grows wider than its base before it gets there (closed form)
LIFT_MOST = 60  # mm: how far a cure "raise the nozzle" is looked for
MOVE_MOST = 200  # mm: and one "move the nozzle"
SETTLES = 0.3  # deg: by so much the best angle may move when pod and balance have settled anew (ours)
MOTOR_CLEARANCE = 0.05  # mm on the diameter, least that still slides (common practice, no source)
ROUNDING = 1e-6  # mm
SHORTEST = PROUD + LEAST_GRIP  # mm of motor: less is not gripped by the tube


def findings(case: Case) -> list[Finding]:
    """Judge the pod; a nose that is printed alone is only asked for its profile."""
    return [
        *_nose(case),
        *_motor_fit(case),
        *_front_stop(case),
        *_retainer(case),
        *_pod_fit(case),
        *pod_room.beside(case),
        *_downthrust(case),
        *_mount(case),
    ]


def _nose(case: Case) -> Iterator[Finding]:
    pod, nose = case.design.pod, case.study.nose
    if pod is None or nose is None or nose_profile(pod)[0] != "haack" or pod.nose is None:
        return
    over = 2000 * nose.greatest_radius - 1000 * nose.diameter
    wide = pod.nose.haack_c > HAACK_OVERSHOOT
    yield NOSE.finding(
        "caution" if wide else "pass",
        "nose cone",
        value=pod.nose.haack_c,
        limit=HAACK_OVERSHOOT,
        why=f"with C = {pod.nose.haack_c:g} the nose grows {over:.1f} mm wider than the tube before its base"
        if wide
        else "the profile is widest at the tube",
        cure="take haack_c at most 0.666, or von_karman (C = 0)" if wide else "",
    )


def _motor_fit(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    for motor in case.design.motors:
        size = 1000 * motor.diameter
        if pod is None:
            yield MOTOR_FIT.unknown(
                motor.name,
                why="there is no pod to put this motor in",
                measure="add [pod] with its tube",
            )
        elif pod.tube.inner is None:
            yield MOTOR_FIT.unknown(
                motor.name,
                why="the tube's inner diameter is not known",
                measure="measure it: pod.tube.inner",
            )
        else:
            yield _slides_in(motor.name, size, 1000 * pod.tube.inner)


def _slides_in(name: str, size: float, inner: float) -> Finding:
    """Judge a motor's clearance in its tube, both diameters [mm]."""
    clearance = inner - size
    verdict = judged(clearance, fail_below=-ROUNDING, caution_below=MOTOR_CLEARANCE - ROUNDING)
    why = f"the motor is {size:g} mm wide, the tube {inner:g} mm inside"
    cure = ""
    if verdict != "pass":
        why += ": it does not go in" if verdict == "fail" else f": {max(clearance, 0):.2f} mm of clearance bind"
        cure = (
            f"take a tube of at least {size + MOTOR_CLEARANCE:g} mm inside; or measure the case, they are often made "
            f"under size: it slides from {inner - MOTOR_CLEARANCE:g} mm down. Never thin a motor's case"
        )
    limit = inner if verdict == "fail" else inner - MOTOR_CLEARANCE
    return MOTOR_FIT.finding(
        verdict,
        name,
        value=size,
        limit=limit,
        why=why,
        cure=cure,
    )


def _front_stop(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not case.design.motors:
        return
    layout = layout_of(case.design)
    if layout is None or pod.tube.length is None:
        yield FRONT_STOP.unknown(
            "pod",
            why="the tube is not wholly measured, so nobody can say that a motor finds a stop ahead of it; without one "
            "it may fly forward through the nose",
            measure="measure pod.tube: inner and length",
        )
        return
    for fit in layout.motors:
        if fit.motor.diameter <= 1000 * (pod.tube.inner or 0):  # else motor-fit says it
            yield _stop_finding(pod, fit, layout.reason)


def _stop_finding(pod: Pod, fit: MotorFit, reason: str) -> Finding:
    """Say what one motor bears on, or what it lacks: a longer tube, or a motor long enough to be gripped."""
    length, held = 1000 * (pod.tube.length or 0.0), fit.fits and not reason
    if fit.motor.length < SHORTEST:
        return FRONT_STOP.finding(
            "fail",
            fit.motor.name,
            value=fit.motor.length,
            limit=SHORTEST,
            why=f"{fit.reason}; this pod is refused",
            cure=f"take a motor of at least {SHORTEST:g} mm",
            source=OURS,
        )
    plug = SHOULDER_LEAST if pod.nose is not None and pod.nose.shoulder is None else 0.0
    if pod.nose is not None and pod.nose.shoulder is not None:
        plug = 1000 * pod.nose.shoulder
    needed = fit.motor.length + WASHER + PLAY + RING_LENGTH + plug - PROUD
    on = "a washer, a stop and a glued thrust ring" if fit.stop else "a washer and a glued thrust ring"
    shoulder = " and a shorter nose.shoulder helps" if plug > SHOULDER_LEAST else ""
    return FRONT_STOP.finding(
        "pass" if held else "fail",
        fit.motor.name,
        value=length,
        limit=needed,
        why=f"the motor bears on {on} ahead of it; the tube is {length:g} mm long and needs {needed:.1f}"
        if held
        else f"{fit.reason or reason}: nothing would stop the motor going forward; this pod is refused",
        cure="" if held else f"take a tube of at least {math.ceil(needed)} mm, or a shorter motor{shoulder}",
    )


def _retainer(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not case.design.motors:
        return
    held = pod.retainer is not None
    how = {"cap": "a screwed plate holds the motor from behind", "hook": "a wire hook holds the motor from behind"}
    yield RETAINER.finding(
        "pass" if held else "fail",
        "pod",
        why=how[pod.retainer]
        if pod.retainer
        else "nothing holds the motor from behind: a case blown out backward has set "
        "grass alight, and friction alone does not hold it; this pod is refused",
        cure="" if held else 'add retainer = "cap" or "hook" to [pod]',
    )


def _on_aircraft(case: Case) -> bool:
    pod = case.design.pod
    return pod is not None and pod.nozzle is not None and case.design.airframe.given


def _pod_fit(case: Case) -> Iterator[Finding]:
    pod = case.design.pod
    if pod is None or not case.design.airframe.given:
        return
    if pod.nozzle is None:
        why = "where the pod stands is not known, so nobody can say whether it clears the back"
        yield POD_FIT.unknown(
            "pod",
            why=why,
            measure="give pod.nozzle = { x, z }: where the motor's aft end sits",
        )
        return
    shape = pod_shape(case.design)
    if shape is None:
        what = "the fuselage's sections" if layout_of(case.design) else "the tube's inner diameter and length"
        yield POD_FIT.unknown(
            "pod",
            why=f"{what} are not known, so the gap over the back is not",
            measure=f"measure {what}",
        )
        return
    gap, wanted = pod_clearance(case.design, shape), 1000 * pod.air_gap
    beside = len(back_line(shape.sections, y=pod_plane(case.design))) < 2
    if gap is None or (beside and gap >= wanted):
        yield POD_FIT.unknown(
            "pod",
            why="there is no fuselage under the pod's plane",
            measure="check pod.y and pod.nozzle",
        )
        return
    fits = gap >= wanted - 1e-3
    cure = "" if fits else _fit_cure(case)
    yield POD_FIT.finding(
        "pass" if fits else "fail",
        "pod",
        value=gap,
        limit=wanted,
        why=f"tube and nose {'clear the back by' if gap >= 0 else 'bite into the back by'} {abs(gap):.1f} mm; "
        f"{wanted:g} mm of air are wanted, so that a hot tube does not touch foam",
        cure=cure,
    )


def _fit_cure(case: Case) -> str:
    """Say what would make the pod clear the back: less tilt, or a higher nozzle."""
    pod, shape = case.design.pod, pod_shape(case.design)
    if pod is None or pod.nozzle is None or shape is None or isinstance(pod.downthrust, str):
        return ""
    cures = []
    limit, tilt = case.solved.fit, pod.downthrust
    if limit is not None and limit < tilt:
        cures.append(f"tilt it {round_down(math.degrees(limit), 1):.1f} deg at most")
    lift = moves.least(
        LIFT_MOST, lambda by: moves.nozzle(case.design, lift=by), lambda design: clears_back(design, shape, tilt)
    )
    if lift is not None:
        cures.append(f"raise the nozzle by {lift} mm")
    return ", or ".join(cures) or f"move the pod: even {LIFT_MOST} mm higher it does not clear the back"


def _downthrust(case: Case) -> Iterator[Finding]:
    pod, line = case.design.pod, case.study.thrust_line
    if pod is None or line is None or case.asked.pod is None or case.asked.pod.downthrust != "auto":
        return
    if line.limited_by is None:
        yield DOWNTHRUST.unknown(
            "pod",
            why="the angle with the least moment cannot be worked out yet; it is 0 here",
            measure=f"give {' and '.join(_lacks(case))}",
        )
        return
    angle, limit = math.degrees(line.downthrust), math.degrees(pod.downthrust_limit)
    verdict: Verdict = "caution"
    if line.limited_by == "nothing":
        why, verdict, cure = "the least worst moment over all powered states lies at this angle", "pass", ""
    elif line.limited_by == "fit":
        fit = case.solved.fit
        limit = math.degrees(fit) if fit is not None else 0.0
        why = "the back of the fuselage allows no more; the line still passes above the centre of gravity"
        cure = _fit_less_cure(case)
    else:
        why = f"more would be better, but {limit:g} deg is the most you would build (pod.downthrust_limit)"
        cure = _limit_cure(case)
    yield DOWNTHRUST.finding(
        verdict,
        "pod",
        value=angle,
        limit=limit,
        why=why,
        cure=cure,
    )


def _wanted_tilt(case: Case, design: Design) -> float | None:
    """Find the angle [rad] with the least worst moment from this nozzle, whatever back and builder allow."""
    pod, balance = design.pod, case.study.balance
    if pod is None or pod.nozzle is None or balance is None:
        return None
    powered = powered_states(case.design, balance.rows)
    found = best_tilt(powered, (pod.nozzle.x, pod.nozzle.z), fit=None, limit=GREATEST_TILT)
    return None if found is None else found.downthrust


def _limit_cure(case: Case) -> str:
    """Say how far the builder's own limit would have to go, and what the back leaves of that."""
    free, fit = _wanted_tilt(case, case.design), case.solved.fit
    aft = "move the nozzle aft, where less angle does"
    if free is None:
        return f"raise pod.downthrust_limit, or {aft}"
    if fit is None or fit >= free:
        return f"pod.downthrust_limit = {round_up(math.degrees(free) + SETTLES, 1):.1f}, or {aft}"
    step = _lift_to_tilt(case, limit=GREATEST_TILT)
    most, pod = round_down(math.degrees(fit), 1), case.design.pod
    more = pod is not None and most > math.degrees(pod.downthrust_limit) + ROUNDING
    here = f"pod.downthrust_limit = {most:.1f}, the most that clears the back from here; or " if more else ""
    if step is None:
        return f"{here}{aft}"
    lifted = moves.nozzle(case.design, lift=step)
    best = None if lifted is None else _wanted_tilt(case, lifted)
    wanted = round_up(math.degrees(best if best is not None else free) + SETTLES, 1)
    return f"{here}pod.downthrust_limit = {wanted:.1f} with the nozzle {step} mm higher; or {aft}"


def _fit_less_cure(case: Case) -> str:
    """Say how much higher the nozzle must stand for the best angle, or the builder's limit, to clear the back."""
    pod = case.design.pod
    step = _lift_to_tilt(case, limit=pod.downthrust_limit if pod is not None else GREATEST_TILT)
    if step is None or pod is None:
        return "move the nozzle aft, where less angle does, or take a shorter pod: both make room to tilt"
    lifted = moves.nozzle(case.design, lift=step)
    best = None if lifted is None else _wanted_tilt(case, lifted)
    over = best is not None and best > pod.downthrust_limit
    then = f" (then {math.degrees(pod.downthrust_limit):g} deg, pod.downthrust_limit, holds it)" if over else ""
    return f"raise the nozzle by {step} mm{then}, or move it aft: both make room to tilt"


def _lift_to_tilt(case: Case, *, limit: float) -> int | None:
    """Find how much higher [mm] the nozzle must stand for the best angle, up to a limit [rad], to clear the back."""

    def free_to_tilt(design: Design) -> bool:
        shape, free = pod_shape(design), _wanted_tilt(case, design)
        if shape is None or free is None:
            return False
        return clears_back(design, shape, min(free + math.radians(SETTLES), limit))

    return moves.least(LIFT_MOST, lambda by: moves.nozzle(case.design, lift=by), free_to_tilt)


def _lacks(case: Case) -> list[str]:
    """Name what an automatic downthrust still needs."""
    airframe = case.design.airframe
    cg = airframe.cg
    given = {
        "airframe.wing": airframe.wing is not None,
        "airframe.mass": airframe.mass is not None,
        "airframe.cg with its z": cg is not None and cg.z is not None,
        "a motor ([[motors]])": bool(case.design.motors),
        "plugged = true for a motor that is": not case.design.motors or any(m.plugged for m in case.design.motors),
    }
    return [key for key, known in given.items() if not known] or ["the masses and heights that are named above"]


def _mount(case: Case) -> Iterator[Finding]:
    shape = pod_shape(case.design) if _on_aircraft(case) else None
    if shape is None:
        return
    walls = [
        part.min_wall_mm
        for part in case.parts.prints
        if isinstance(part.shape, Saddle) and part.min_wall_mm is not None
    ]
    reason = "" if walls else pod_mount(case.design, shape).reason
    yield MOUNT.finding(
        "fail" if reason else "pass",
        "pod mount",
        value=min(walls, default=None),
        limit=LEAST_WALL,
        why=reason or "the printed saddle follows the back and holds the tube at its angle; this is its thinnest wall",
        cure=_mount_cure(case) if reason else "",
    )


def _mount_cure(case: Case) -> str:
    """Say which single move lets a mount stand under the tube, which then clears the back as well."""
    design, pod = case.design, case.design.pod
    ways: list[tuple[str, int, moves.Move]] = [
        ("raise the nozzle by", LIFT_MOST, lambda by: moves.nozzle(design, lift=by)),
        ("move the nozzle forward by", MOVE_MOST, lambda by: moves.nozzle(design, aft=-by)),
        ("move the nozzle aft by", MOVE_MOST, lambda by: moves.nozzle(design, aft=by)),
    ]
    tried = [(text, moves.least(most, move, _mount_stands)) for text, most, move in ways]
    cures = [f"{text} {step} mm" for text, step in tried if step is not None]
    if pod is not None and pod.count == 2 and pod.y is not None:
        room = int(1000 * (abs(pod.y) - pod.tube.outer / 2))
        step = moves.least(room, lambda by: moves.inward(design, by), _mount_stands) if room > 0 else None
        found = "" if step is None else f"pods at pod.y = {round_down(1000 * abs(pod.y) - step, 1):g}, or "
        cures.append(f"{found}one pod on the centre line")
    return "; or ".join(cures) or "no single move does it: another place on the back, or a tube nearer to its width"


def _mount_stands(design: Design) -> bool:
    shape = pod_shape(design)
    if shape is None or design.pod is None or pod_mount(design, shape).reason:
        return False
    gap = pod_clearance(design, shape)
    return gap is None or gap >= 1000 * design.pod.air_gap - 1e-3
