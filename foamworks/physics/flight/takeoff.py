"""How far does a model roll before it lifts off, and how steeply does it then climb? SI.

On its wheels the wing carries little until the nose is lifted, so lift is left out of the roll (which lengthens it a
little); the fan's thrust falls with speed as given. Source: the textbook ground roll, integral of V dV over the
acceleration (Anderson, *Aircraft Performance and Design*, ch. 6, from memory).
"""

import math

import numpy as np
from numpy.typing import NDArray

from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Floats = NDArray[np.float64]
LIFT_OFF = 1.2  # times the stall speed (the textbook's figure, from memory)
ROLLING = {"grass": 0.10, "tarmac": 0.03}  # rolling friction of small wheels, mown grass and hard ground (from memory)
STEPS = 200


def ground_roll(
    *, fan: tuple[Floats, Floats], mass: float, drag_area: float, density: float, friction: float, speed: float
) -> float:
    """Roll [m] to lift-off `speed` [m/s]; infinite where friction or drag stops the model before it.

    fan: thrust [N] over speed [m/s] as two rows; mass [kg]; drag_area [m2]; density [kg/m3]; friction [-].

    >>> still = (np.array([0.0, 100.0]), np.array([5.0, 5.0]))
    >>> round(ground_roll(fan=still, mass=1.0, drag_area=1e-9, density=1.2, friction=0.1, speed=10.0), 2)  # V2/(2 a)
    12.44
    """
    positive(mass=mass, density=density, speed=speed)
    v = np.linspace(0.0, speed, STEPS + 1)
    pull = np.interp(v, *fan) - density / 2 * v**2 * drag_area
    acceleration = pull / mass - friction * STANDARD_GRAVITY
    if acceleration.min() <= 0:
        return math.inf
    return float(np.trapezoid(v / acceleration, v))


def climb_angle(*, thrust: float, drag: float, weight: float) -> float:
    """Angle [rad] of a steady climb: sin = (T - D)/W, at most straight up; below 0 it sinks. All in N."""
    positive(weight=weight)
    return math.asin(min(max((thrust - drag) / weight, -1.0), 1.0))
