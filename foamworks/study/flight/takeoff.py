"""Does the heavier model leave the ground, and how? Stall, lift-off, fan against weight, roll. SI."""

import math
from dataclasses import dataclass

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.hands_off import air_of
from foamworks.design.ladder import Phase
from foamworks.design.model import Design
from foamworks.physics.flight import takeoff
from foamworks.physics.flight.fan import thrust_table
from foamworks.physics.trim import speed_at_lift
from foamworks.study.flight.drag import final_outfit
from foamworks.study.flight.power import Power
from foamworks.units import STANDARD_GRAVITY

BEGINNING: tuple[Phase, ...] = ("no pod", "no motor", "dead mass")  # what a flight begins with


@dataclass(frozen=True)
class TakeOff:
    """One state on the ground: speeds [m/s], fan's thrust over weight, roll [m] by surface, climb after it [rad].

    A roll is infinite where the fan does not bring it to lift-off; without a known drag there are no rolls, no climb.
    """

    state: str
    mass: float
    stall: float
    lift_off: float
    thrust_to_weight: float
    run: dict[str, float]
    climb: float


def study_take_off(design: Design, balance: Balance, flying: Flying, power: Power) -> tuple[TakeOff, ...]:
    """Study the states that a flight begins with; empty without the fan's static thrust."""
    rows = [row for row in balance.rows if row.state.phase in BEGINNING]
    known = [row for row in rows if math.isfinite(row.mass * power.drive.thrust)]
    return tuple(_state(design, row, flying, power) for row in known)


def _state(design: Design, row: StateRow, flying: Flying, power: Power) -> TakeOff:
    unit, density = power.drive, air_of(design).density
    stall = speed_at_lift(mass=row.mass, lift=flying.shape.max_lift, density=density, area=flying.wing.area)
    weight, leaves = row.mass * STANDARD_GRAVITY, takeoff.LIFT_OFF * stall
    run, climb = dict[str, float](), math.nan
    if power.drag and unit.pushes:
        fan = thrust_table(static_thrust=unit.thrust, exit_area=unit.exit_area, density=density)
        area = power.drag.zero_lift(final_outfit(design))
        run = {
            surface: takeoff.ground_roll(
                fan=fan, mass=row.mass, drag_area=area, density=density, friction=friction, speed=leaves
            )
            for surface, friction in takeoff.ROLLING.items()
        }
        pressure = density / 2 * leaves**2
        drag = pressure * area + power.drag.induced * weight**2 / pressure
        climb = takeoff.climb_angle(thrust=float(np.interp(leaves, *fan)), drag=drag, weight=weight)
    return TakeOff(row.name, row.mass, stall, leaves, unit.thrust / weight, run, climb)
