"""The study as the one JSON object that `--json` prints and summary.json holds: keys carry their unit, mm and degrees.

A part of the study that the design does not ask for is absent; a number that could not be worked out is null.
"""

import math
from typing import Any

from foamworks.aircraft.aero import Aero, Plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.fins import FinSet
from foamworks.changes.answer import Answer, change_dict
from foamworks.changes.answer import as_dict as answer_dict
from foamworks.checks.bench.traces import OLD_FIN, Traced, traced
from foamworks.checks.case import Case
from foamworks.output import summary_burn, summary_stability
from foamworks.output.gluing import gluing
from foamworks.output.keys import Row, plain, told, told_of
from foamworks.parts.base import BoardPart, PrintPart
from foamworks.parts.pose import Pose, pose_of
from foamworks.physics import losses
from foamworks.physics.planform import ReferenceWing
from foamworks.study.nose import NoseStudy


def as_dict(case: Case, answer: Answer | None = None) -> Row:
    """Give the whole object, but `sheets` and `files`, which only a build has; the answer where it was worked out."""
    study = case.study
    data: Row = {"design": {"name": case.name, "file": case.file}}
    if study.wing is not None and study.aero is not None:
        data["reference"] = told(wing_area_mm2=study.wing.area, wing_span_mm=study.wing.span)
        data["reference"] |= told_of(study.wing, "mac_mm", "mac_le_x_mm", "quarter_mac_x_mm")
        data["aero"] = _aero(case, study.aero)
        if study.old_fin is not None or study.new_fins is not None:
            data["fins"] = _fins(case, study.aero, study.wing)
    if study.balance is not None:
        data["balance"] = _balance(study.balance, study.tolerance.spare if study.tolerance else 0.0)
    if study.thrust_line is not None:
        data["thrust_line"] = _thrust_line(case)
    if study.nose is not None:
        data["nose"] = _nose(study.nose)
    data |= gluing(case) | summary_burn.section(case)
    data |= summary_stability.section(case)
    cuts = [{"name": one.subject, **_traced(one)} for one in traced(case) if one.key.startswith("cuts")]
    if cuts:
        data["cuts"] = {"traced": cuts}
    if study.take_off:
        data["take_off"] = [
            told(state=row.state, stall_km_h=row.stall, lift_off_km_h=row.lift_off)
            | told(thrust_to_weight=row.thrust_to_weight, run_m=row.run or None)
            for row in study.take_off
        ]
    data["parts"] = [_part(part) for part in case.parts.all()]
    data["findings"] = [finding.as_dict() for finding in case.findings]
    if answer is not None:
        for row, finding in zip(data["findings"], case.findings, strict=True):
            row["cause"] = answer.gathered.get((finding.check, finding.subject), row["cause"])
            row["changes"] = [change_dict(change) for change in answer.changes_of(finding)]
        data["answer"] = answer_dict(answer)
    tidy: Row = plain(data)
    return tidy


def _aero(case: Case, aero: Aero) -> Row:
    plane, row = aero.modified, None
    if case.study.balance is not None:
        row = case.study.balance.row("no motor")
    known = row is not None and math.isfinite(row.cg_x)
    x = row.cg_x if row is not None and known else math.nan
    z = row.cg_z if row is not None and math.isfinite(row.cg_z) else 0.0
    about = plane.solution.about(x, z) if known else None
    data = told(
        lift_slope_per_rad=plane.solution.lift_slope,
        neutral_point_x_mm=plane.neutral_point,
        neutral_point_flown_x_mm=plane.neutral_point_flown,
        tail_factor=losses.TAIL_FACTOR if plane.tail is not None else None,
        elevator_factor=losses.ELEVATOR_FACTOR if plane.has_elevator else None,
        yaw_stiffness_per_rad=plane.yaw_stiffness(x, z) if known else None,
        pitch_damping=about.pitch_damping if about else None,
        yaw_damping=about.yaw_damping if about else None,
        panels=plane.solution.panel_count,
    )
    if plane.body is not None:
        data["body_moment_slope_per_rad"] = plane.body.pitch
        data["body_moment_slope_with_wing_per_rad"] = plane.body.pitch_with_wing
    return data


def _fins(case: Case, aero: Aero, wing: ReferenceWing) -> Row:
    study, asked = case.study, case.design.fins
    data: Row = {}
    if asked is not None:
        data["match"] = asked.match
    if study.old_fin is not None and study.new_fins is not None:
        data["scale"] = math.sqrt(study.new_fins.area / study.old_fin.area)
    if study.old_fin is not None:
        data["original"] = _fin_set(study.old_fin, aero.stock, wing)
    if study.new_fins is not None and asked is not None and asked.each is not None:
        fin = next((part for part in case.parts.boards if part.name == "fin"), None)
        data["twin"] = _fin_set(study.new_fins, aero.modified, wing)
        data["twin"]["each"] = (
            told(area_mm2=study.new_fins.area_each)
            | told_of(asked.each, "root_chord_mm", "tip_chord_mm", "height_mm")
            | {"mass_g": fin.mass_g if fin is not None else None}
        )
        if study.old_fin is not None:
            data["same_area_yaw_stiffness_ratio"] = aero.same_area_ratio(wing)
    for one in traced(case):
        if one.subject == OLD_FIN and study.old_fin is not None:
            data["traced"] = _traced(one) | told(misfit_percent=study.old_fin.misfit)
    return data


def _traced(one: Traced) -> Row:
    """Say what was understood of a drawing."""
    width, height = one.drawing.size
    return told(width_mm=width, height_mm=height, unit=one.drawing.unit, why=one.drawing.why)


def _fin_set(fins: FinSet, plane: Plane, wing: ReferenceWing) -> Row:
    return told(
        area_mm2=fins.area,
        arm_mm=fins.arm(wing),
        volume_coefficient=fins.volume_coefficient(wing),
        lift_slope_per_rad=plane.fin_slope,
        yaw_stiffness_per_rad=plane.yaw_stiffness(wing.quarter_mac_x, 0.0),
    )


def _balance(balance: Balance, spare: float) -> Row:
    window = balance.window
    return told(
        window_x_mm=[window.forward, window.aft],
        aft_aim_x_mm=window.aft - spare,
        battery_x_mm=balance.battery_x,
        ballast_g=balance.ballast,
        manoeuvre_point_x_mm=balance.manoeuvre_point,
        states=[_state(row, apart=row.name == "no pod") for row in balance.rows],
    )


def _state(row: StateRow, *, apart: bool) -> Row:
    keys = ("name", "motor", "mass_g", "cg_x_mm", "cg_z_mm", "static_margin", "landing_speed_km_h", "elevator_deg")
    return told_of(row, *keys, *(("battery_x_mm", "ballast_g") if apart else ()))


def _thrust_line(case: Case) -> Row:
    line = case.study.thrust_line
    if line is None:
        return {}
    response = case.study.burn.response
    return told(
        downthrust_deg=line.downthrust,
        limited_by=line.limited_by,
        states=[
            told_of(row, "motor", "state", "thrust_N", "arm_mm", "moment_N_m")
            | summary_burn.thrust_row(response, row.motor, row.state)
            for row in line.rows
        ],
        motors=[summary_burn.answer_row(row) for row in response.motors],
    )


def _part(part: Any) -> Row:
    kind = "board" if isinstance(part, BoardPart) else "print" if isinstance(part, PrintPart) else "bought"
    data: Row = {
        "name": part.name,
        "kind": kind,
        "count": part.count,
        "motor": part.motor,
        "mass_g": part.mass_g,
    }
    if isinstance(part, BoardPart):
        x0, y0, x1, y1 = part.outline.bounds
        data["area_mm2"] = part.outline.area
        data["box_mm"] = [x1 - x0, y1 - y0, part.thickness_mm]
    elif isinstance(part, PrintPart):
        data["volume_mm3"] = part.volume_mm3
        data["box_mm"] = list(part.box_mm)
        data["printing_pose"] = _pose(pose_of(part))
    return {**data, "x_mm": part.x_mm, "z_mm": part.z_mm}


def _nose(nose: NoseStudy) -> Row:
    """Give the nose, and the shoulder that the tube is glued over where it has one."""
    keys = ("profile", "length_mm", "diameter_mm", "volume_mm3", "wetted_area_mm2")
    data = told_of(nose, *keys) | told(centroid_from_tip_mm=nose.centroid, wall_mm=nose.wall)
    rim = nose.shoulder
    if rim is not None:
        data |= told(shoulder_diameter_mm=rim.diameter, shoulder_length_mm=rim.length, fit_mm=rim.fit)
    return data


def _pose(pose: Pose) -> Row:
    """Give how a print stands: the own axis that points up, in words, and what it wants."""
    return {
        "up": pose.up,
        "words": pose.words,
        "supports": pose.supports,
        "brim": pose.brim,
        "foot_mm2": pose.foot,
        "overhang_share": pose.hangs,
        "height_mm": pose.height,
    }
