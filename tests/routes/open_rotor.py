"""The open rotor and the ducted one by momentum theory as printed, beside the program's jet; SI."""

import math

import numpy as np
from numpy.typing import ArrayLike

from foamworks.physics.flight.fan import NEWTON_STEPS, Floats, _speeds, exit_speed
from foamworks.physics.ranges import positive


def jet_power(*, static_thrust: float, exit_area: float, density: float) -> float:
    """Power put into the air at rest [W], rho A Ve^3/2; over volts x amperes it is the drive's static efficiency."""
    return static_thrust * exit_speed(static_thrust=static_thrust, exit_area=exit_area, density=density) / 2


def hover_speed(*, thrust: float, area: float, density: float) -> float:
    """Speed of the air through an open rotor at rest [m/s]: sqrt(T/(2 rho A))."""
    positive(thrust=thrust, area=area, density=density)
    return math.sqrt(thrust / (2 * density * area))


def open_disk_power(*, thrust: float, area: float, density: float, figure_of_merit: float = 1.0) -> float:
    """Power [W] of an open rotor at rest: T^1.5/sqrt(2 rho A), over its figure of merit (0 to 1]."""
    positive(figure_of_merit=figure_of_merit)
    return thrust * hover_speed(thrust=thrust, area=area, density=density) / figure_of_merit


def duct_power(*, thrust: float, area: float, density: float, expansion: float = 1.0) -> float:
    """Ideal power [W] of a ducted rotor at rest: T^1.5/sqrt(4 s rho A), `expansion` s = exit area over rotor area."""
    positive(thrust=thrust, area=area, density=density, expansion=expansion)
    return math.sqrt(thrust**3 / (4 * expansion * density * area))


def duct_gain(*, expansion: float = 1.0) -> float:
    """Static thrust of a duct over that of an open rotor of the same area and ideal power: (2 s)^(1/3).

    >>> round(duct_gain(), 4)
    1.2599
    """
    positive(expansion=expansion)
    return float((2 * expansion) ** (1 / 3))


def open_disk_thrust(*, speed: ArrayLike, power: float, area: float, density: float) -> Floats:
    """Thrust [N] of an open rotor at speeds [m/s] and constant ideal power [W].

    P = T (V/2 + sqrt(V^2/4 + T/(2 rho A))). With u the air's speed through the disk this is
    u^2 (u - V) = P/(2 rho A), and T = P/u.
    """
    positive(power=power, area=area, density=density)
    unit = (power / (2 * density * area)) ** (1 / 3)
    v = _speeds(speed) / unit
    x = v + 1 / (1 + v**2)
    for _ in range(NEWTON_STEPS):
        x = x - (x * x * (x - v) - 1) / (x * (3 * x - 2 * v))
    return np.asarray(power / (unit * x))
