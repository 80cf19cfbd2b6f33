"""How much thrust does a ducted fan have left at speed? Momentum theory, in SI; thrust and speeds forward, positive.

A duct holds the exit area, so static thrust T0 = rho A Ve0^2 gives the exit speed Ve0. Two bounds at speed V: constant
shaft power (the fan unloads and speeds up; thrust falls slowly) and constant exit speed (thrust falls fast). Inlet
drag, swirl and losses that change with speed are not in it. Sources: momentum theory as in McCormick, *Aerodynamics of
V/STOL Flight*, and Leishman, *Principles of Helicopter Aerodynamics*, ch. 2 (both from memory).
"""

import math
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive

Floats = NDArray[np.float64]
FanModel = Literal["constant power", "constant efflux"]

NEWTON_STEPS = 6  # from the start used here the residual is below 1e-14 after four, at any speed
TABLE_SPEED = 250.0  # m/s, end of a thrust table; far beyond any foam model
TABLE_POINTS = 1001  # spacing 0.25 m/s: straight lines between are within 1e-5 of the thrust


def annulus_area(*, diameter: float, hub: float = 0.0) -> float:
    """Area swept by the blades [m2], between hub and rotor diameter [m].

    >>> round(annulus_area(diameter=0.064, hub=0.026), 6)
    0.002686
    """
    positive(diameter=diameter)
    if not 0 <= hub < diameter:
        raise PhysicsError(f"hub = {hub:g} m: must be 0 or more and less than the diameter, {diameter:g} m")
    return math.pi / 4 * (diameter**2 - hub**2)


def exit_speed(*, static_thrust: float, exit_area: float, density: float) -> float:
    """Speed of the jet [m/s] at rest, from static thrust [N], exit area [m2], air density [kg/m3]: T0 = rho A Ve^2."""
    positive(static_thrust=static_thrust, exit_area=exit_area, density=density)
    return math.sqrt(static_thrust / (density * exit_area))


def thrust_constant_power(*, speed: ArrayLike, static_thrust: float, exit_area: float, density: float) -> Floats:
    """Thrust [N] at flying speeds [m/s] of 0 and more, shaft power as at rest: Ve (Ve^2 - V^2) = Ve0^3.

    The upper bound. Only the largest root is a jet that pushes; it is found by Newton's method.

    >>> float(thrust_constant_power(speed=0.0, static_thrust=12, exit_area=0.0027, density=1.225))
    12.0
    """
    still = exit_speed(static_thrust=static_thrust, exit_area=exit_area, density=density)
    v = _speeds(speed) / still
    x = v + 1 / (1 + 2 * v * v)
    for _ in range(NEWTON_STEPS):
        x = x - (x * (x * x - v * v) - 1) / (3 * x * x - v * v)
    return np.asarray(static_thrust / (x + v))  # T/T0 = x (x - v)


def thrust_constant_efflux(*, speed: ArrayLike, static_thrust: float, exit_area: float, density: float) -> Floats:
    """Thrust [N] at flying speeds [m/s] of 0 and more when the jet keeps its speed: rho A Ve0 (Ve0 - V), not below 0.

    The lower bound.
    """
    still = exit_speed(static_thrust=static_thrust, exit_area=exit_area, density=density)
    return np.asarray(static_thrust * np.maximum(0.0, 1 - _speeds(speed) / still))


def thrust_at_speed(
    *, speed: ArrayLike, static_thrust: float, exit_area: float, density: float, model: FanModel = "constant power"
) -> Floats:
    """Thrust [N] at speeds [m/s] by the named bound; a static thrust of 0 is a fan that is off."""
    if static_thrust == 0:
        return np.zeros_like(_speeds(speed))
    law = thrust_constant_power if model == "constant power" else thrust_constant_efflux
    return law(speed=speed, static_thrust=static_thrust, exit_area=exit_area, density=density)


@lru_cache(maxsize=64)  # read again for every run on the same fan
def thrust_table(
    *, static_thrust: float, exit_area: float, density: float, model: FanModel = "constant power"
) -> tuple[Floats, Floats]:
    """Speeds [m/s] from 0 to 250 and thrusts [N] there, close enough together for straight lines between."""
    speeds = np.linspace(0.0, TABLE_SPEED, TABLE_POINTS)
    thrusts = thrust_at_speed(
        speed=speeds, static_thrust=static_thrust, exit_area=exit_area, density=density, model=model
    )
    for row in (speeds, thrusts):
        row.setflags(write=False)
    return speeds, thrusts


def _speeds(speed: ArrayLike) -> Floats | float:
    if isinstance(speed, float) and math.isfinite(speed) and speed >= 0:  # why: a fit asks for thousands, one by one
        return float(speed)
    speeds = np.asarray(speed, dtype=float)
    if not (np.isfinite(speeds).all() and (speeds >= 0).all()):
        raise PhysicsError(f"speed = {float(speeds.min()):g} m/s: must be finite and 0 or more")
    return speeds
