"""What do servo and wing have to hold at the fastest speed: the elevator's hinge, the wing's twist? SI: N m, m/s."""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.fins import tail_stations
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.surfaces import WING
from foamworks.design.model import Design
from foamworks.errors import given, not_measured, where_given
from foamworks.physics import divergence, hinge
from foamworks.physics.atmosphere import Air
from foamworks.units import first_measured


@dataclass(frozen=True)
class ServoLoad:
    """The elevator at full travel up [rad]: moment at its hinge, and what the servo has to hold of it [N m].

    gives: the servo's torque [N m], NaN where it was not given.
    """

    travel: float
    hinge: float
    torque: float
    gives: float


@where_given
def servo_load(design: Design, speed: float, *, lit: bool) -> ServoLoad:
    """Give what full up elevator asks of its servo at a speed [m/s]; None without a tailplane and its elevator.

    The whole of the free stream's pressure, no horn balance. By virtual work arm over horn is elevator over servo.
    """
    elevator, half = given(design.airframe.elevator), given(tail_stations(design.airframe))
    travel = elevator.up_lit if lit else elevator.up
    moment = hinge.hinge_moment(
        pressure=air_of(design).density / 2 * speed**2,
        size=hinge.flap_size(half, chord_fraction=elevator.chord_fraction, span=elevator.span),
        chord_fraction=elevator.chord_fraction,
        deflection=travel,
    )
    return ServoLoad(travel, moment, moment * elevator.arm_over_horn, elevator.servo_torque)


def travel_held(load: ServoLoad, factor: float) -> float:
    """Travel up [rad] at which the servo gives `factor` times what it has to hold."""
    return load.travel * load.gives / (factor * load.torque)


def divergence_speed(flying: Flying, air: Air) -> float:
    """Speed [m/s] at which the wing would twist itself off; infinite where it never does.

    NaN where its stiffness in twist was not measured, or that in bending of a wing swept forward; without the latter
    the relief by sweep is left out. How stiffness is spread along the span is not known: the lower of an even one and
    that of a solid section counts.
    """
    wing, half = flying.shape, flying.shape.half
    bends = wing.bending_stiffness
    if not_measured(wing.torsion_stiffness) or (half.quarter_sweep < 0 and not_measured(bends)):
        return math.nan
    pressure = min(
        divergence.divergence_pressure(
            y=half.s,
            chord=half.chord,
            stiffness=wing.torsion_stiffness,
            axis=wing.twist_axis,
            slope=flying.aero.modified.solution.share(WING).lift_slope,
            power=power,
            sweep=half.quarter_sweep,
            bending=first_measured(bends, math.inf),
        )
        for power in (divergence.EVEN, divergence.SOLID)
    )
    speed = math.sqrt(2 * pressure / air.density)
    return speed if speed < air.speed_of_sound else math.inf
