"""The study as the one JSON object that `--json` prints and summary.json holds: keys carry their unit, mm and degrees.

A part of the study that the design does not ask for is absent; a number that could not be worked out is null.
"""

import math
from typing import Any

from foamworks.aircraft.aero import Flying, Plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.fins import FinSet
from foamworks.aircraft.thrust_line import ThrustLine
from foamworks.changes.answer import Answer, change_dict
from foamworks.changes.answer import as_dict as answer_dict
from foamworks.checks.bench.traces import OLD_FIN, Traced, traced
from foamworks.checks.case import Case
from foamworks.design.ladder import NO_MOTOR, NO_POD
from foamworks.output import summary_burn, summary_stability
from foamworks.output.gluing import gluing
from foamworks.output.keys import Row, part, plain, row_of, told, told_of
from foamworks.parts.base import BoardPart, PrintPart
from foamworks.parts.pose import pose_of
from foamworks.physics import losses
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.response import Response
from foamworks.study.nose import NoseStudy
from foamworks.units import first_measured


def as_dict(case: Case, answer: Answer | None = None) -> Row:
    """Give the whole object, but `sheets` and `files`, which only a build has; the answer where it was worked out."""
    study = case.study
    spare = study.tolerance.spare if study.tolerance else 0.0
    data: Row = {"design": {"name": case.name, "file": case.file}}
    data |= _flying(case, study.flying) if study.flying else {}
    data |= part("balance", study.balance, lambda balance: _balance(balance, spare))
    data |= part("thrust_line", study.thrust_line, lambda line: _thrust_line(line, study.burn.response))
    data |= part("nose", study.nose, _nose) | gluing(case) | summary_burn.section(case)
    data |= summary_stability.section(case)
    cuts = [{"name": one.subject, **_traced(one)} for one in traced(case) if one.key.startswith("cuts")]
    if cuts:
        data["cuts"] = {"traced": cuts}
    if study.take_off:
        data["take_off"] = [
            told_of(row, "state", stall_km_h="stall", lift_off_km_h="lift_off")
            | told(thrust_to_weight=row.thrust_to_weight, run_m=row.run or None)
            for row in study.take_off
        ]
    data["parts"] = [_made(made) for made in case.parts.all()]
    data["findings"] = [finding.as_dict() for finding in case.findings]
    if answer:
        for row, finding in zip(data["findings"], case.findings, strict=True):
            row["cause"] = answer.gathered.get((finding.check, finding.subject), row["cause"])
            row["changes"] = [change_dict(change) for change in answer.changes_of(finding)]
        data["answer"] = answer_dict(answer)
    tidy: Row = plain(data)
    return tidy


def _flying(case: Case, flying: Flying) -> Row:
    """Give the reference wing, the aerodynamics, and the fins where there are any, old or new."""
    wing, study = flying.wing, case.study
    reference = told(wing_area_mm2=wing.area, wing_span_mm=wing.span)
    reference |= told_of(wing, "mac_mm", "mac_le_x_mm", "quarter_mac_x_mm")
    fins = {"fins": _fins(case, flying)} if study.old_fin or study.new_fins else {}
    return {"reference": reference, "aero": _aero(flying.aero.modified, *_cg_without_motor(study.balance))} | fins


def _cg_without_motor(balance: Balance | None) -> tuple[float, float]:
    """Give the centre of gravity (x, z) [m] without a motor: x NaN where not known, z 0 where it was not measured."""
    row = balance.row(NO_MOTOR) if balance else None
    return (row.cg_x, first_measured(row.cg_z, 0.0)) if row else (math.nan, 0.0)


def _aero(plane: Plane, x: float, z: float) -> Row:
    """Give what the lattice found of the aircraft as modified, and its moments about (x, z) [m]."""
    about = plane.solution.about(x, z)
    data = told(
        lift_slope_per_rad=plane.solution.lift_slope,
        neutral_point_x_mm=plane.neutral_point,
        neutral_point_flown_x_mm=plane.neutral_point_flown,
        tail_factor=losses.TAIL_FACTOR if plane.tail else None,
        elevator_factor=losses.ELEVATOR_FACTOR if plane.has_elevator else None,
        yaw_stiffness_per_rad=plane.yaw_stiffness(x, z),
        pitch_damping=about.pitch_damping,
        yaw_damping=about.yaw_damping,
        panels=plane.solution.panel_count,
    )
    body = told_of(plane.body, body_moment_slope_per_rad="pitch", body_moment_slope_with_wing_per_rad="pitch_with_wing")
    return data | (body if plane.body else {})


def _fins(case: Case, flying: Flying) -> Row:
    old, new, wing, aero = case.study.old_fin, case.study.new_fins, flying.wing, flying.aero
    data = part("match", case.design.fins, lambda fins: fins.match)
    if old and new:
        data["scale"] = math.sqrt(new.area / old.area)
    data |= part("original", old, lambda fins: _fin_set(fins, aero.stock, wing))
    data |= part("twin", new, lambda fins: _fin_set(fins, aero.modified, wing) | {"each": _each(case, fins)})
    if old and new:
        data["same_area_yaw_stiffness_ratio"] = aero.same_area_ratio(wing)
    for one in traced(case):
        if old and one.subject == OLD_FIN:
            data["traced"] = _traced(one) | told(misfit_percent=old.misfit)
    return data


def _each(case: Case, fins: FinSet) -> Row:
    """Give one new fin; its mass where it is made."""
    (root, tip), height = fins.stations.chord, fins.stations.height
    return told(area_mm2=fins.area_each, root_chord_mm=root, tip_chord_mm=tip, height_mm=height) | {
        "mass_g": case.parts.fin.mass_g if case.parts.fin else None
    }


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
        states=[_state(row, apart=row.state == NO_POD) for row in balance.rows],
    )


def _state(row: StateRow, *, apart: bool) -> Row:
    keys = ("name", "motor", "mass_g", "cg_x_mm", "cg_z_mm", "static_margin", "landing_speed_km_h", "elevator_deg")
    return told_of(row, *keys, *(("battery_x_mm", "ballast_g") if apart else ()))


def _thrust_line(line: ThrustLine, response: Response) -> Row:
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


def _made(part: Any) -> Row:
    kind = "board" if isinstance(part, BoardPart) else "print" if isinstance(part, PrintPart) else "bought"
    data = {"name": part.name, "kind": kind} | row_of(part, "count", "motor", "mass_g")
    if isinstance(part, BoardPart):
        x0, y0, x1, y1 = part.outline.bounds
        data |= {"area_mm2": part.outline.area, "box_mm": [x1 - x0, y1 - y0, part.thickness_mm]}
    elif isinstance(part, PrintPart):
        pose = row_of(pose_of(part), "up", "words", "supports", "brim", foot_mm2="foot")
        pose |= row_of(pose_of(part), overhang_share="hangs", height_mm="height")
        data |= row_of(part, "volume_mm3", "box_mm") | {"printing_pose": pose}
    return data | row_of(part, "x_mm", "z_mm")


def _nose(nose: NoseStudy) -> Row:
    """Give the nose, and the shoulder that the tube is glued over where it has one."""
    keys = ("profile", "length_mm", "diameter_mm", "volume_mm3", "wetted_area_mm2")
    data = told_of(nose, *keys, centroid_from_tip_mm="centroid", wall_mm="wall")
    rim = told_of(nose.shoulder, shoulder_diameter_mm="diameter", shoulder_length_mm="length", fit_mm="fit")
    return data | (rim if nose.shoulder else {})
