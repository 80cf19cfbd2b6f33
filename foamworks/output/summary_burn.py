"""Thrust line, boost, power and gyro as the JSON object has them: mm, degrees, km/h, newtons; null where not known."""

import math
from collections.abc import Iterator

from foamworks.aircraft.thrust_line import IGNITION
from foamworks.checks.case import Case
from foamworks.design.model import Design
from foamworks.output.keys import Row, row_of, told, told_of
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.boost import MotorBoost
from foamworks.study.flight.drag import Drag
from foamworks.study.flight.flown import SURE, airspeed
from foamworks.study.flight.gyro import GyroTable
from foamworks.study.flight.learnt import Learnt
from foamworks.study.flight.power import Power
from foamworks.study.flight.response import MotorResponse, Response
from foamworks.units import km_h

MODELS: dict[FanModel, str] = {"constant power": "constant_power", "constant efflux": "constant_efflux"}
NEARBY = ("arm_mm", "moment_N_m", "static_margin", "pitch_change_deg")


def section(case: Case) -> Row:
    """Give `boost`, `power`, `drag` and `gyro`, each only where the design asks for it."""
    burn = case.study.burn
    data: Row = {}
    if case.design.motors:
        lit = case.design.pod.count if case.design.pod else 1
        data["boost"] = [_boost(row, lit) for row in burn.boosts]
    if burn.power:
        data["power"] = _power(burn.power, case.design)
    if burn.power and burn.drag:
        data["drag"] = _drag(burn.power, burn.drag)
    if burn.learnt and burn.drag:
        data["estimate"] = _estimate(case.design, burn.drag, burn.learnt)
    if burn.gyro:
        data["gyro"] = _gyro(burn.gyro)
    return data


def thrust_row(response: Response, motor: str, state: str) -> Row:
    """Give what a row of `thrust_line.states` has beside the line itself; the answer in pitch is the whole burn's."""
    held, answer = response.at(motor, state), response.of(motor)
    hands_off, gyro = (answer.hands_off, answer.gyro) if answer else (None, None)
    # what the whole burn costs in height stands on the row of the ignition that begins it
    lost, entry = (answer.height_lost, answer.entry_height) if answer else ([None] * 3, None)
    height = {"height_lost_m": list(lost), "entry_height_m": entry}
    data = told_of(held, "fan_moment_N_m", pitch_damping="damping", lift_lag="lag")
    data |= told_of(held, "elevator_deg", elevator_with_errors_deg="worst_elevator")
    data |= told_of(hands_off, "pitch_change_deg") | told_of(gyro, pitch_change_gyro_deg="pitch_change")
    data |= told_of(hands_off, peak_load_factor="greatest_load", least_load_factor="least_load")
    return data | (height if state == IGNITION else {})


def answer_row(row: MotorResponse) -> Row:
    """Give a motor's answer in pitch: building errors and the nozzle moved, for `thrust_line.motors`."""
    angle, height, swing = row.worst
    return told(
        motor=row.motor,
        gyro_gain_s=row.gyro_gain,
        worst_error_deg=angle,
        worst_error_cg_height_mm=height,
        worst_pitch_change_deg=swing.pitch_change,
        worst_least_load_factor=swing.least_load,
        errors=[
            told(
                downthrust_deg=angle,
                cg_height_mm=height,
                pitch_change_deg=swing.pitch_change,
                least_load_factor=swing.least_load,
            )
            for angle, height, swing in row.errors
        ],
        lower_10_mm=told_of(row.lower, *NEARBY),
        aft_10_mm=told_of(row.aft, *NEARBY),
    )


def _boost(row: MotorBoost, lit: int) -> Row:
    """Give one motor's run; with two pods every number is of both motors together, as `motors_lit` says."""
    run, out = row.run, row.one_out
    data = told(motor=row.motor, motors_lit=lit)
    data |= told_of(row, "impulse_N_s", "mean_thrust_N", "peak_thrust_N", "burn_s", "thrust_to_weight")
    data |= told_of(run, "entry_km_h", "peak_km_h") | told(peak_band_km_h=run.band if run else (math.nan, math.nan))
    data |= told_of(run, distance_m="burnout_distance", peak_constant_efflux_km_h="other_model")
    data |= told_of(run, peak_at_s="path.peak_time", burnout_km_h="burnout")
    data |= told_of(run, coast_end_s="end_time", coast_end_m="end_distance", acceleration_g="acceleration")
    keys = {"yaw_moment_N_m": "moment", "sideslip_deg": "sideslip", "least_speed_km_h": "least_speed"}
    return data | (told_of(out, **{f"one_out_{key}": name for key, name in keys.items()}) if out else {})


def _power(power: Power, design: Design) -> Row:
    data = told_of(power.drag, drag_area_mm2="whole")
    data |= told_of(power, drag_area_modified_mm2="modified", level_speed_km_h="level", current_A="drive.current")
    data |= told_of(power, "flight_time_s", level_speed_band_km_h="band", level_speed_stock_km_h="level_stock")
    data |= told_of(power.drive, "volts_V", static_thrust_N="thrust")
    data |= told_of(power, "current_limit_A", throttle_for_controller="throttle")
    if design.camera:
        data |= told_of(power, "fairing_saves_km_h")
    if design.airframe.battery and design.airframe.battery.stock:
        data |= told_of(power.new_pack, new_pack_gains_km_h="gained", new_pack_landing_km_h="paid")
    return data


def _drag(power: Power, drag: Drag) -> Row:
    whole = power.modified
    return told(
        source=drag.basis if drag.flown else "build-up from the geometry",
        bounds_mm2=[drag.whole * (1 - drag.error[0]), drag.whole * (1 + drag.error[1])],
        parts=[
            told(part=name, drag_area_mm2=area, share=area / whole if whole else None)
            for name, area in power.parts.items()
        ],
        flights=[
            told(
                name=run.name,
                rung=run.rung.name,
                airspeed_km_h=run.speed,
                airspeed_band_km_h=[run.speed + way * SURE * run.error for way in (-1, 1)],
                **{f"drag_area_{name}_mm2": run.drag_area(law) for law, name in MODELS.items()},
            )
            for run in drag.runs
            if not run.lit
        ],
    )


def _estimate(design: Design, drag: Drag, learnt: Learnt) -> Row:
    """Give the one estimate that every speed rests on: least, likely and most at nine of ten."""
    least, most = drag.whole * (1 - drag.error[0]), drag.whole * (1 + drag.error[1])
    return told(drag_area_mm2=[least, drag.whole, most]) | {
        "fan": {
            "law": learnt.law,
            "static_thrust_N": [{"pack": pack.name} | row_of(pack, "least", "likely", "most") for pack in learnt.packs],
        },
        "flights": list(_flights(design, learnt)),
        "agrees": learnt.odd is None,
    }


def _flights(design: Design, learnt: Learnt) -> Iterator[Row]:
    """Give each flight as typed, what the estimate makes of it, and why where it is not used."""
    read = iter(learnt.flights)
    for number, flight in enumerate(design.flights):
        row = None if number in learnt.unread else next(read)
        unplanned = row and row.run.ended
        why = "it did not go as planned: not held against the drag" if unplanned else learnt.unread.get(number, "")
        yield told(
            flight=flight.label,
            measured=km_h(row.run.speed if row else airspeed(flight)[0]),
            fitted=km_h(row.fitted) if row else None,
            residual=km_h(row.residual) if row else None,
            used=bool(row and row.used),
            why=why,
        )


def _gyro(gyro: GyroTable) -> Row:
    return {
        "table": [
            {"speed_km_h": round(km_h(row.speed)), "gain": row.gain, "boosted": row.boosted} for row in gyro.rows
        ],
        "level_gain": gyro.level,
        "boosted": [told(motor=m.motor, speed_km_h=m.speed, gain=m.gain) for m in gyro.marks],
    }
