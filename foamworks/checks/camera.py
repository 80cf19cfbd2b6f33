"""What does a camera off the centre line do to the trim, and does its box stand where its place says? Places in mm."""

import math
from collections.abc import Iterator

import numpy as np

from foamworks.aircraft.masses import NO_POD
from foamworks.checks.base import OURS, Finding, unknown
from foamworks.checks.case import Case
from foamworks.design.airframe import Wing
from foamworks.parts.fairing import hangs
from foamworks.physics.planform import section_half_thickness
from foamworks.study.flight.drag import CAMERA_PIECE

ASIDE = 0.01  # of the half span: a centre of gravity so far to one side is trimmed out unnoticed (ours)
ON_AXIS = 1e-3  # m, nearer than a ruler puts it
STANDS_OFF = 3.0  # mm between the box's foot and the skin that sanding or a pad makes good (ours)


def findings(case: Case) -> list[Finding]:
    """Judge the camera's place."""
    return [*_lateral_balance(case), *_foot(case)]


def _lateral_balance(case: Case) -> Iterator[Finding]:
    """Say what the camera and its fairing weigh times their distance from the centre line, and what cures it."""
    camera, balance, wing = case.design.camera, case.study.balance, case.study.wing
    if camera is None or camera.at is None or balance is None or wing is None or abs(camera.at.y) < ON_AXIS:
        return
    aboard = [part for part in case.parts.all() if part.group == "camera" and part.x_mm is not None]
    if not aboard or any(part.mass_g is None for part in aboard):
        return
    grams, y, tip = sum(part.mass_g or 0.0 for part in aboard), camera.at.y, wing.span / 2
    moment, model = 1e3 * grams * abs(y), 1e3 * balance.row(NO_POD).mass
    if not math.isfinite(model):
        return
    limit, here, there = 1e3 * ASIDE * tip * model, _side(y), _side(-y)
    yield Finding(
        "lateral-balance", "camera", "caution" if moment > limit else "pass", moment, limit, "g mm",
        f"{grams:.1f} g at {1e3 * abs(y):.0f} mm to {here} pull the model to that side: its centre of gravity stands "
        f"{moment / model:.1f} mm off the middle{_yaw(case, here)}",
        f"{moment / (1e3 * tip):.1f} g of lead in the {there} wing tip ({1e3 * tip:.0f} mm out), at the camera's x, "
        "levels it; it counts in no state here until the model is weighed again",
        f"1 % of the half span: {OURS}",
    )  # fmt: skip


def _side(y: float) -> str:
    return "starboard" if y > 0 else "port"


def _yaw(case: Case, side: str) -> str:
    """Say how far the camera's drag turns the nose: drag area x arm over S b Cn_beta, the same at every speed."""
    camera, wing, aero, burn = case.design.camera, case.study.wing, case.study.aero, case.study.burn
    drag = burn.power.drag if burn is not None and burn.power is not None else None
    if camera is None or camera.at is None or wing is None or aero is None or drag is None:
        return ""
    stiffness = aero.modified.yaw_stiffness(wing.quarter_mac_x, 0.0)
    if not stiffness > 0 or CAMERA_PIECE not in drag.pieces:
        return ""
    turned = drag.pieces[CAMERA_PIECE] * abs(camera.at.y) / (wing.area * wing.span * stiffness)
    return f"; its drag turns the nose {math.degrees(turned):.1f} deg to {side}"


def _foot(case: Case) -> Iterator[Finding]:
    """Hold the box's foot against the wing's skin there, taken for a plain symmetrical section."""
    camera, airframe = case.design.camera, case.design.airframe
    wing = airframe.wing if airframe is not None else None
    if camera is None or wing is None or not camera.fairing:
        return
    if camera.at is None:
        yield unknown(
            "camera-foot",
            "camera",
            "its place is not known, so its fairing stands in no picture",
            "give camera.at",
            "mm",
        )
        return
    skin = _skin(wing, camera.at.x, abs(camera.at.y))
    if skin is None:
        return
    side = -1.0 if hangs(case.design) else 1.0
    line, half = skin
    off = 1e3 * (side * (camera.at.z - line) - camera.body.height / 2 - half)
    good = 1e3 * (line + side * (half + camera.body.height / 2))
    where = "on" if side > 0 else "under"
    stands = f"{abs(off):.1f} mm {'off' if off > 0 else 'inside'} the skin"
    yield Finding(
        "camera-foot", "camera", "caution" if abs(off) > STANDS_OFF else "pass", off, STANDS_OFF, "mm",
        f"its box, {where} the wing, has its foot {stands}, and the fairing's foot stands beside it",
        f"camera.at z = {good:.0f} puts it on the skin; a box let into the wing counts with the height that stands out",
        f"3 mm, skin of a plain symmetrical section: {OURS}",
    )  # fmt: skip


def _skin(wing: Wing, x: float, y: float) -> tuple[float, float] | None:
    """Give chord line's height and half thickness [m] at a place; None where there is no wing."""
    spans = [station.y for station in wing.stations]
    if not spans[0] <= y <= spans[-1]:
        return None
    edge, z, chord = (float(np.interp(y, spans, [getattr(s, k) for s in wing.stations])) for k in ("x", "z", "chord"))
    if not (chord > 0 and edge <= x <= edge + chord):
        return None
    return z, chord * float(section_half_thickness(share=(x - edge) / chord, thickness=wing.thickness))
