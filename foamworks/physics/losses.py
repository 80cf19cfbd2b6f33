"""What the bare lattice leaves out of pitch: a slower tail, a weaker elevator, the air that the intake turns. SI.

All of one sign: each makes the model less stable, or harder to rotate, than the lattice has it. They are factors with a
band, not errors that even out. x aft; lift up and moments nose up positive; slopes per radian.
"""

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from foamworks.physics.ranges import positive

Number = TypeVar("Number", float, NDArray[np.float64])
Band = tuple[float, float]

# Flap effectiveness of three printed aircraft, from elevator power over pitch damping: 0.52 to 0.62, where the lattice
# has 0.75 to 0.80 (their derivatives: Nelson, Roskam, from memory); a taped foam hinge does no better.
ELEVATOR_FACTOR, ELEVATOR_BAND = 0.7, (0.55, 0.85)

# Dynamic pressure at a tail behind a body over that of the free stream: textbooks take 0.85 to 0.95 for a tail near the
# body's wake (Nelson, ch. 2; Raymer, from memory); a small tail at a low Reynolds number loses a little more.
TAIL_FACTOR, TAIL_BAND = 0.9, (0.8, 1.0)

# An intake that was not measured lies somewhere between the neutral point and so many mean chords ahead of it (ours).
INTAKE_AHEAD = 1.0


def flown_lift_slope(*, lift_slope: Number, tail_lift: Number, tail_factor: Number, intake: Number) -> Number:
    """Lift per incidence of the aircraft as flown: the tail's share by its factor, and the intake's normal force.

    lift_slope of the whole lattice, tail_lift the tail's share of it, `intake` of `intake_slope`.
    """
    return lift_slope - (1 - tail_factor) * tail_lift + intake


def flown_moment_slope(
    *,
    moment_slope: Number,
    tail_moment: Number,
    tail_factor: Number,
    body: Number,
    intake: Number,
    intake_ahead: Number,
) -> Number:
    """Pitching moment per incidence as flown, about one and the same point, on wing area and mean chord.

    moment_slope of the whole lattice, tail_moment the tail's share; body of `body.multhopp_pitch_slope`; the intake
    lies `intake_ahead` mean chords ahead of the point. Source: statics.
    """
    return moment_slope - (1 - tail_factor) * tail_moment + body + intake * intake_ahead


def intake_slope(*, thrust: float, exit_area: float, density: float, speed: float, area: float) -> float:
    """Normal force of a ducted fan's intake per radian of incidence [-], on the wing area: 2 m/(rho V S).

    The fan turns the mass flow m from the stream into its own axis, and the force that turns it stands at the intake.
    m = thrust/(Ve - V), thrust [N] at the speed V [m/s], the exit speed Ve from Ve (Ve - V) = thrust/(rho A).
    Source: momentum; the same as a propeller's or jet's direct normal force in textbooks (Perkins & Hage, from memory).

    >>> round(intake_slope(thrust=7.6, exit_area=0.0027, density=1.22, speed=32.8, area=0.14), 3)
    0.079
    """
    positive(thrust=thrust, exit_area=exit_area, density=density, speed=speed, area=area)
    exit_speed = speed / 2 + math.sqrt(speed**2 / 4 + thrust / (density * exit_area))
    return 2 * exit_area * exit_speed / (speed * area)
