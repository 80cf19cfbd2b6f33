"""One motor's burn from level flight, as the motion in pitch wants it: the model, the motor on its pod. SI."""

import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Flying, Plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.surfaces import TAIL, WING
from foamworks.design.additions import Motor
from foamworks.design.airframe import Fan
from foamworks.design.ladder import State
from foamworks.design.model import Design, StandingPod
from foamworks.errors import PhysicsError
from foamworks.physics import trim
from foamworks.physics.flight import pitch, thrust_line
from foamworks.physics.flight.fan import thrust_table
from foamworks.physics.losses import TAIL_FACTOR
from foamworks.study.flight.boost import MotorBoost, motor_curve
from foamworks.study.flight.drag import Drag, final_outfit
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.power import Power
from foamworks.study.inertia import state_inertia

Floats = NDArray[np.float64]
STEP = 0.05  # s; the march shortens it where the pitching is faster
AFTER = 0.1  # s flown on after the burn


def downwash_lag(plane: Plane, x: float) -> float:
    """Moment about x [m] with the rate of incidence c/2V [1/rad]: it comes late to the tailplane.

    The tailplane's damping times its factor and the downwash slope.
    Source: Nelson, *Flight Stability and Automatic Control*, 2nd ed., ch. 3 (from memory): the downwash comes late.
    """
    solution = plane.solution
    tail = next((s for s in solution.surfaces if s.name == TAIL), None)
    if tail is None or not any(s.name == WING for s in solution.surfaces):
        return 0.0
    middle = np.array([[(tail.x[0] + tail.chord[0] / 4), (tail.y[0] + tail.y[-1]) / 2, tail.z[0]]])
    slope = -float(solution.upwash(middle, WING)[0])
    return TAIL_FACTOR * solution.about(x, 0.0).share(TAIL).pitch_damping * min(max(slope, 0.0), 1.0)


class BurnCase:
    """One motor's burn from level flight."""

    def __init__(
        self,
        design: Design,
        stand: StandingPod,
        motor: Motor,
        balance: Balance,
        flying: Flying,
        drag: Drag,
        unit: Drive,
        entry: float,
    ) -> None:
        self.design, self.stand, self.motor, self.flying, self.entry = design, stand, motor, flying, entry
        self.plane, self.wing = flying.aero.modified, flying.wing
        self.drag, self.unit = drag, unit
        self.balance = balance
        self.row: StateRow = balance.row(State("ignition", motor.name))
        self.density = air_of(design).density

    @cached_property
    def model(self) -> pitch.Model | None:
        """Give the aircraft at ignition; None when its inertia, margin or height is not known."""
        row, plane, wing = self.row, self.plane, self.wing
        inertia = state_inertia(self.design, wing, row.loads)
        if inertia is None or not math.isfinite(row.static_margin + row.cg_z):
            return None
        cg = (row.cg_x, row.cg_z)
        slope = float(plane.slopes_with()[0])
        up, down = self._travel()
        return pitch.Model(
            speed=self.entry,
            density=self.density,
            area=wing.area,
            chord=wing.mac,
            mass=row.mass,
            inertia=inertia.yy,
            drag_area=self.drag.zero_lift(final_outfit(self.design)),
            induced=self.drag.induced * wing.area,
            lift_slope=slope,
            max_lift=self.flying.shape.max_lift,
            stiffness=-row.static_margin * slope,
            damping=plane.pitch_damping(cg[0]),
            lag=downwash_lag(plane, cg[0]),
            elevator_lift=plane.elevator_lift,
            elevator_moment=plane.elevator_moment(row.cg_x),
            elevator_up=up,
            elevator_down=down,
            fan=thrust_table(static_thrust=self.unit.thrust, exit_area=self.unit.exit_area, density=self.density),
            fan_above=self._fan_above(cg),
        )

    def _travel(self) -> tuple[float, float]:
        """Elevator travel left up and down from where it stands in level flight at entry speed."""
        elevator, flown = self.design.airframe.elevator, self.balance.trimming
        if elevator is None or not math.isfinite(self.plane.elevator_power):
            return 0.0, 0.0
        lift = trim.lift_coefficient(mass=self.row.mass, speed=self.entry, density=self.density, area=self.wing.area)
        stands = flown.elevator_at(self.plane, lift=lift, cg=self.row.cg_x)
        stands = stands if math.isfinite(stands) else 0.0
        return max(elevator.up_lit + stands, 0.0), max(elevator.down - stands, 0.0)

    def _fan_above(self, cg: tuple[float, float]) -> float:
        fan = self.design.airframe.fan
        above = fan_above(fan, cg) if fan else math.nan
        return above if math.isfinite(above) else 0.0

    @cached_property
    def booster(self) -> pitch.Booster:
        """Give the motors on their pods as designed."""
        stand, row = self.stand, self.row
        time, thrust = motor_curve(self.design, self.motor)
        return pitch.Booster(
            time=time,
            thrust=thrust,
            propellant=len(stand.planes) * self.motor.propellant,
            length=self.motor.length,
            aft=stand.x - row.cg_x,
            above=stand.z - row.cg_z,
            downthrust=stand.downthrust,
        )


def fan_above(fan: Fan, cg: tuple[float, float]) -> float:
    """Distance of the fan's line above the centre of gravity (x, z) [m]; NaN where its line was not measured."""
    aft = fan.x - cg[0] if fan.tilt else 0.0
    return float(thrust_line.line_above(aft=aft, above=fan.z - cg[1], downthrust=fan.tilt))


def flown(flights: Sequence[pitch.Flight]) -> list[pitch.Response | None]:
    """Fly them; None where one runs away or cannot fly level at entry: margin and speed have their findings."""
    with np.errstate(over="ignore", invalid="ignore"):
        found = pitch.respond(flights)
    return [None if isinstance(one, PhysicsError) else one for one in found]


def burn_cases(
    design: Design,
    balance: Balance,
    flying: Flying,
    power: Power | None,
    boosts: tuple[MotorBoost, ...],
) -> list[BurnCase]:
    """Give every motor's burn that can be flown: its entry speed and the model's drag are known."""
    entries = {row.motor: row.run.entry for row in boosts if row.run}
    stand = design.standing
    if not (power and power.drag and stand):
        return []
    unit = power.drag.drive(power.drive)
    return [
        BurnCase(design, stand, motor, balance, flying, power.drag, unit, entries[motor.name])
        for motor in design.motors
        if motor.name in entries
    ]
