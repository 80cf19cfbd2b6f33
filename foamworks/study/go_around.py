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
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.response import fan_moment


@dataclass(frozen=True)
class GoAround:
    """One state at landing speed [m/s] and full throttle: static margin, and the elevator [rad] that it takes.

    measured: where the intake stands was measured; else it is taken one chord ahead of the neutral point. moment: of
    the fan [N m], nose up positive; elevator: the approach's and the moment's. Both None where the fan's height, the
    elevator or the trim is not known.
    """

    state: str
    speed: float
    margin: float
    measured: bool
    moment: float | None
    elevator: float | None


def study_go_around(design: Design, flying: Flying, balance: Balance, unit: Drive | None) -> tuple[GoAround, ...]:
    """Study every state that may come in to land; empty without the fan's static thrust and size."""
    if unit is None or unit.thrust is None or unit.exit_area is None:
        return ()
    found = (_state(design, flying, unit, row) for row in balance.rows)
    return tuple(state for state in found if state is not None)


def _state(design: Design, flying: Flying, unit: Drive, row: StateRow) -> GoAround | None:
    plane, wing, density = flying.aero.modified, flying.wing, air_of(design).density
    speed = row.landing_speed
    if speed is None or row.static_margin is None or unit.thrust is None or unit.exit_area is None:
        return None
    table = thrust_table(static_thrust=unit.thrust, exit_area=unit.exit_area, density=density)
    pull = losses.intake_slope(
        thrust=float(np.interp(speed, *table)),
        exit_area=unit.exit_area,
        density=density,
        speed=speed,
        area=wing.area,
    )
    point = float(plane.neutral_point_with(intake=pull))
    measured = plane.intake is not None and plane.intake.x is not None
    moment = fan_moment(design, unit, cg=(row.cg_x, row.cg_z), speed=speed)
    elevator = None
    if moment is not None and row.elevator is not None and plane.elevator_power is not None:
        elevator = row.elevator + trim.elevator_for_moment(
            moment=moment, speed=speed, density=density, area=wing.area, chord=wing.mac, power=plane.elevator_power
        )
    return GoAround(row.name, speed, (point - row.cg_x) / wing.mac, measured, moment, elevator)


def rearmost(states: tuple[GoAround, ...]) -> GoAround:
    """Give the state with the least margin."""
    return min(states, key=lambda state: state.margin)


def hardest(states: tuple[GoAround, ...]) -> GoAround | None:
    """Give the state that takes the most elevator; None where it is not known."""
    known = [state for state in states if state.elevator is not None]
    return max(known, key=lambda state: math.fabs(state.elevator or 0.0), default=None)
