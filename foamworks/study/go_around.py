"""What happens when the throttle is opened at landing speed? The intake's pull and the fan's moment. SI."""

import math
from dataclasses import dataclass

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.hands_off import air_of
from foamworks.design.model import Design
from foamworks.physics import losses, trim
from foamworks.physics.flight.fan import thrust_table
from foamworks.physics.ranges import where_known
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.response import fan_moment


@dataclass(frozen=True)
class GoAround:
    """One state at landing speed [m/s] and full throttle: static margin, and the elevator [rad] that it takes.

    measured: where the intake stands was measured; else it is taken one chord ahead of the neutral point. moment: of
    the fan [N m], nose up positive; elevator: the approach's and the moment's. Both NaN where the fan's height, the
    elevator or the trim is not known.
    """

    state: str
    speed: float
    margin: float
    measured: bool
    moment: float
    elevator: float


def study_go_around(design: Design, flying: Flying, balance: Balance, unit: Drive) -> tuple[GoAround, ...]:
    """Study every state that may come in to land; empty without the fan's static thrust and size."""
    known = (row for row in balance.rows if math.isfinite(row.landing_speed + row.static_margin) and unit.pushes)
    return tuple(_state(design, flying, unit, row) for row in known)


def _state(design: Design, flying: Flying, unit: Drive, row: StateRow) -> GoAround:
    plane, wing, density = flying.aero.modified, flying.wing, air_of(design).density
    speed = row.landing_speed
    table = thrust_table(static_thrust=unit.thrust, exit_area=unit.exit_area, density=density)
    pull = losses.intake_slope(
        thrust=float(np.interp(speed, *table)),
        exit_area=unit.exit_area,
        density=density,
        speed=speed,
        area=wing.area,
    )
    point = float(plane.neutral_point_with(intake=pull))
    measured = plane.intake is not None and plane.intake.measured
    moment = fan_moment(design, unit, cg=(row.cg_x, row.cg_z), speed=speed)
    takes = where_known(
        trim.elevator_for_moment,
        moment=moment,
        speed=speed,
        density=density,
        area=wing.area,
        chord=wing.mac,
        power=plane.elevator_power,
    )
    return GoAround(row.name, speed, (point - row.cg_x) / wing.mac, measured, moment, row.elevator + takes)


def rearmost(states: tuple[GoAround, ...]) -> GoAround:
    """Give the state with the least margin."""
    return min(states, key=lambda state: state.margin)


def hardest(states: tuple[GoAround, ...]) -> GoAround | None:
    """Give the state that takes the most elevator; None where it is not known."""
    known = [state for state in states if math.isfinite(state.elevator)]
    return max(known, key=lambda state: math.fabs(state.elevator), default=None)
