"""What does a camera off the centre line do to the trim, and does its box stand where its place says? Places in mm."""

import math
from collections.abc import Iterator

import numpy as np

from foamworks.checks.base import Finding, Proposal, collected, given, judged, round_down
from foamworks.checks.case import Case
from foamworks.checks.proposals import tip_lead
from foamworks.checks.records import record
from foamworks.design.airframe import Wing
from foamworks.design.edit import Edit, blank
from foamworks.design.ladder import NO_POD
from foamworks.parts.fitted.fairing import hangs
from foamworks.physics.planform import section_half_thickness
from foamworks.units import grams, mm, said

LATERAL = record("lateral-balance")
FOOT = record("camera-foot")

ASIDE = 0.01  # of the half span: a centre of gravity so far to one side is trimmed out unnoticed (ours)
KEPT = 0.95  # of the limit that a cure uses (ours)
ON_AXIS = 1e-3  # m, nearer than a ruler puts it
STANDS_OFF = 3e-3  # m between the box's foot and the skin that sanding or a pad makes good (ours)


def findings(case: Case) -> list[Finding]:
    """Judge the camera's place."""
    return collected(case, _lateral_balance, _foot)


def _lateral_balance(case: Case) -> Iterator[Finding]:
    """Say what the camera and its fairing weigh times their distance from the centre line, and what cures it."""
    at, balance, wing = given(given(case.design.camera).at), given(case.study.balance), given(case.study.wing)
    aboard = [part for part in case.parts.all() if part.group == "camera" and part.x_mm is not None]
    masses = [given(part.mass_g) for part in aboard]
    model = balance.row(NO_POD).mass
    if abs(at.y) < ON_AXIS or not aboard or not math.isfinite(model):
        return
    mass, tip = grams.si(sum(masses)), wing.span / 2
    others = math.fsum(change.mass * change.y for change in case.design.changes)
    moment, limit = mass * at.y + others, ASIDE * tip * model
    where = _side(at.y)
    beside = ", with what [[changes]] put off the middle," if others else ""
    yield LATERAL.finding(
        judged(abs(moment), caution_above=limit),
        "camera",
        value=abs(moment),
        limit=limit,
        why=f"{said(mass, 'g', 1)} at {said(abs(at.y), 'mm', 0)} to {where}{beside} pull the model to {_side(moment)}: "
        f"its centre of gravity stands {said(abs(moment) / model, 'mm', 1)} off the middle"
        + _yaw(case, abs(at.y), where),
        cure=lambda: [*_nearer(case, mass, others, limit), tip_lead(case.asked, moment, tip, at.x, "camera")],
    )


def _nearer(case: Case, mass: float, others: float, limit: float) -> Iterator[Proposal]:
    """Propose how near to the middle the camera is to stand, at the same height over the skin."""
    camera, wing = given(case.design.camera), given(given(case.design.airframe).wing)
    at = given(camera.at)
    side = math.copysign(1.0, at.y)
    y = side * mm.si(round_down(mm((KEPT * limit - side * others) / mass)))
    old, new = _skin(wing, at.x, abs(at.y)), _skin(wing, at.x, abs(y))
    if not 0 < side * y < abs(at.y) or old is None or new is None:
        return
    over = -1.0 if hangs(case.design) else 1.0
    z = at.z + (new[0] + over * new[1]) - (old[0] + over * old[1])
    edits = Edit("camera.at.y", round(mm(y)), "mm"), Edit("camera.at.z", round(mm(z), 1), "mm")
    yield Proposal(
        "put the camera nearer to the middle, on the wing's skin",
        "set",
        edits,
    )


def _side(y: float) -> str:
    return "starboard" if y > 0 else "port"


def _yaw(case: Case, aside: float, side: str) -> str:
    """Say how far the camera's drag turns the nose: drag area x arm over S b Cn_beta, the same at every speed."""
    wing, aero, power = case.study.wing, case.study.aero, case.study.burn.power
    drag = power.drag if power else None
    if not (wing and aero and drag):
        return ""
    stiffness = aero.modified.yaw_stiffness(wing.quarter_mac_x, 0.0)
    if not stiffness > 0 or "camera" not in drag.pieces:
        return ""
    turned = drag.pieces["camera"] * aside / (wing.area * wing.span * stiffness)
    return f"; its drag turns the nose {said(turned, 'deg', 1)} to {side}"


def _foot(case: Case) -> Iterator[Finding]:
    """Hold the box's foot against the wing's skin there, taken for a plain symmetrical section."""
    camera, wing = given(case.design.camera), given(case.design.airframe.wing)
    if not camera.fairing:
        return
    at = FOOT.need(camera.at, "camera")
    line, half = given(_skin(wing, at.x, abs(at.y)))
    side = -1.0 if hangs(case.design) else 1.0
    off = side * (at.z - line) - camera.body.height / 2 - half
    good = line + side * (half + camera.body.height / 2)
    foot = round(mm(good))
    yield FOOT.finding(
        judged(abs(off), caution_above=STANDS_OFF),
        "camera",
        value=abs(off),
        limit=STANDS_OFF,
        why=f"its box, {'on' if side > 0 else 'under'} the wing, has its foot {said(abs(off), 'mm', 1)} "
        f"{'off' if off > 0 else 'inside'} the skin, and the fairing's foot stands beside it",
        cure=[
            Proposal("put its foot on the skin", "set", (Edit("camera.at.z", foot, "mm"),)),
            Proposal(f"let it into the wing, then {blank('camera.body.height')}, the height that stands out"),
        ],
    )


def _skin(wing: Wing, x: float, y: float) -> tuple[float, float] | None:
    """Give chord line's height and half thickness [m] at a place; None where there is no wing."""
    spans = [station.y for station in wing.stations]
    if not spans[0] <= y <= spans[-1]:
        return None
    edge, z, chord = (float(np.interp(y, spans, [getattr(s, k) for s in wing.stations])) for k in ("x", "z", "chord"))
    if not (chord > 0 and edge <= x <= edge + chord):
        return None
    return z, chord * float(section_half_thickness(share=(x - edge) / chord, thickness=wing.thickness))
