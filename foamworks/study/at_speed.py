"""What do servo and wing have to hold at the fastest speed: the elevator's hinge, the wing's twist? SI: N m, m/s."""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.fins import half_of, tail_stations
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.surfaces import WING
from foamworks.design.airframe import Wing
from foamworks.design.model import Design
from foamworks.physics import divergence, hinge


@dataclass(frozen=True)
class ServoLoad:
    """The elevator at full travel up [rad]: moment at its hinge, and what the servo has to hold of it [N m].

    gives: the servo's torque [N m], None where it was not given.
    """

    travel: float
    hinge: float
    torque: float
    gives: float | None


def servo_load(design: Design, speed: float, *, lit: bool) -> ServoLoad | None:
    """Give what full up elevator asks of its servo at a speed [m/s]; None without a tailplane and its elevator.

    The whole of the free stream's pressure, no horn balance. By virtual work arm over horn is elevator over servo.
    """
    elevator, half = design.airframe.elevator, tail_stations(design.airframe)
    if elevator is None or half is None:
        return None
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
    return load.travel * (load.gives or 0.0) / (factor * load.torque)


def divergence_speed(design: Design, flying: Flying) -> float | None:
    """Speed [m/s] at which the wing would twist itself off; infinite where it never does.

    None where its stiffness in twist was not measured, or that in bending of a wing swept forward; without the latter
    the relief by sweep is left out. How stiffness is spread along the span is not known: the lower of an even one and
    that of a solid section counts.
    """
    wing, half = flying.shape, half_of(flying.shape.stations)
    sweep = _sweep(wing)
    if wing.torsion_stiffness is None or (sweep < 0 and wing.bending_stiffness is None):
        return None
    pressure = min(
        divergence.divergence_pressure(
            y=half.s,
            chord=half.chord,
            stiffness=wing.torsion_stiffness,
            axis=wing.twist_axis,
            slope=flying.aero.modified.solution.share(WING).lift_slope,
            power=power,
            sweep=sweep,
            bending=wing.bending_stiffness or math.inf,
        )
        for power in (divergence.EVEN, divergence.SOLID)
    )
    air = air_of(design)
    speed = math.sqrt(2 * pressure / air.density)
    return speed if speed < air.speed_of_sound else math.inf


def _sweep(wing: Wing) -> float:
    root, tip = wing.stations[0], wing.stations[-1]
    aft = tip.x + tip.chord / 4 - root.x - root.chord / 4
    return math.atan2(aft, tip.y - root.y)
