"""What elevator holds a speed, how far forward the balance may go, how slowly it flies. SI; x aft; nose up positive.

Everything rests on one equation, the moment about the centre of gravity at a lift coefficient CL:
    Cm = Cm0 + (x_cg - x_np)/c CL + Cm_e e
with Cm0 the moment at zero lift and elevator 0, e the elevator [rad] positive trailing edge down, and Cm_e its moment
*about the neutral point* per radian (at constant lift), negative. Coefficients on wing area and mean chord.

A tolerance study calls these with thousands of samples: give either plain numbers throughout or arrays throughout
(numbers that do not vary as 0-d arrays, `np.asarray`); they broadcast.
"""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Number = TypeVar("Number", float, NDArray[np.float64])

APPROACH_RATIO = 1.3  # approach and landing speed over stall speed; custom of certification and of the trade
ELEVATOR_SHARE = 2 / 3  # of the up elevator that may be used to hold the approach; the rest is left for the flare


def lift_coefficient(*, mass: Number, speed: Number, density: Number, area: Number) -> Number:
    """Lift coefficient in level flight, 2 m g/(rho V^2 S); mass [kg], speed [m/s], density [kg/m3], area [m2].

    Source: definition.
    """
    positive(mass=mass, speed=speed, density=density, area=area)
    return 2 * mass * STANDARD_GRAVITY / (density * speed**2 * area)


def speed_at_lift(*, mass: Number, lift: Number, density: Number, area: Number) -> Number:
    """Level speed [m/s] at a lift coefficient, sqrt(2 m g/(rho S CL)). At the greatest lift it is the stall speed.

    mass [kg], density [kg/m3], area [m2], all above 0. Source: definition.

    >>> round(speed_at_lift(mass=0.92, lift=1.05, density=1.225, area=0.14), 2)
    10.01
    """
    positive(mass=mass, lift=lift, density=density, area=area)
    speed: Number = (2 * mass * STANDARD_GRAVITY / (density * area * lift)) ** 0.5
    return speed


def landing_speed(*, mass: Number, max_lift: Number, density: Number, area: Number) -> Number:
    """Landing speed [m/s], 1.3 x stall speed. Source: custom of the trade; units as `speed_at_lift`."""
    return APPROACH_RATIO * speed_at_lift(mass=mass, lift=max_lift, density=density, area=area)


def approach_lift(*, max_lift: Number) -> Number:
    """Lift coefficient at 1.3 x stall speed, max_lift/1.69.

    >>> round(approach_lift(max_lift=0.845), 6)
    0.5
    """
    positive(max_lift=max_lift)
    return max_lift / APPROACH_RATIO**2


def static_margin(*, cg: Number, neutral_point: Number, chord: Number) -> Number:
    """Static margin as a fraction of the chord, (x_np - x_cg)/c; positive is stable; x aft [m]."""
    positive(chord=chord)
    return (neutral_point - cg) / chord


def aft_limit(*, neutral_point: Number, chord: Number, margin: Number) -> Number:
    """Aft limit of the CG [m], x_np - margin c; margin a fraction of the mean chord."""
    positive(chord=chord)
    return neutral_point - margin * chord


def zero_lift_moment(
    *, lift: Number, cg: Number, neutral_point: Number, chord: Number, power: Number, elevator: Number
) -> Number:
    """Moment coefficient at zero lift that a trimmed flight betrays, from the elevator it was flown with hands off.

    lift coefficient flown; cg, neutral_point x aft [m]; chord [m]; power Cm_e about the neutral point per radian;
    elevator [rad], trailing edge down positive. Source: the equation above with Cm = 0.
    """
    _require_power(power)
    return static_margin(cg=cg, neutral_point=neutral_point, chord=chord) * lift - power * elevator


def elevator_to_trim(
    *, zero_lift: Number, lift: Number, cg: Number, neutral_point: Number, chord: Number, power: Number
) -> Number:
    """Elevator [rad] that trims at a lift coefficient, trailing edge down positive; inverse of `zero_lift_moment`.

    >>> point = {"cg": 0.30, "neutral_point": 0.33, "chord": 0.17, "power": -1.2}
    >>> round(float(np.degrees(elevator_to_trim(zero_lift=0.02, lift=0.5, **point))), 2)  # nose heavy: up
    -3.26
    """
    _require_power(power)
    return (static_margin(cg=cg, neutral_point=neutral_point, chord=chord) * lift - zero_lift) / power


def elevator_for_moment(
    *, moment: Number, speed: Number, density: Number, area: Number, chord: Number, power: Number
) -> Number:
    """Elevator [rad] that cancels a moment [N m, nose up positive] at a speed, lift unchanged: -M/(q S c Cm_e).

    A nose-down moment asks for up elevator (negative). speed [m/s], density [kg/m3], area [m2], chord [m].
    Source: definition of the coefficient.
    """
    positive(speed=speed, density=density, area=area, chord=chord)
    _require_power(power)
    return -moment / (0.5 * density * speed**2 * area * chord * power)


def forward_limit(
    *, neutral_point: Number, chord: Number, lift: Number, zero_lift: Number, power: Number, up: Number
) -> Number:
    """Forward limit of the CG [m aft]: where two thirds of up elevator still hold a lift coefficient.

    x_f = x_np - c/CL (Cm0 + |Cm_e| 2/3 up). lift: `approach_lift`; power Cm_e about the neutral point per radian,
    negative; up [rad] positive. Source: the equation above with Cm = 0.
    """
    positive(chord=chord, lift=lift, up=up)
    _require_power(power)
    return neutral_point - chord / lift * (zero_lift - power * ELEVATOR_SHARE * up)


def manoeuvre_point(
    *, neutral_point: Number, chord: Number, pitch_damping: Number, density: Number, area: Number, mass: Number
) -> Number:
    """Manoeuvre point [m aft], stick fixed: x_np - Cmq rho S c^2/(4 m). Aft of the neutral point, as Cmq < 0.

    pitch_damping Cmq per q c/(2 V); chord [m], density [kg/m3], area [m2], mass [kg]. Lift by pitch rate is left out.
    Source: pull-up at constant speed, own derivation; the same in Etkin & Reid, *Dynamics of Flight* (from memory).
    """
    positive(chord=chord, density=density, area=area, mass=mass)
    return neutral_point - chord * pitch_damping * density * area * chord / (4 * mass)


def balance_by_hand(*, chord: float, wing_area: float, tail_area: float, tail_arm: float) -> float:
    """CG [m] aft of the mean chord's leading edge by the trade's rule: c/6 + 3 S_t l_t/(8 S_w); about 10 % margin.

    chord, tail_arm [m], areas [m2]. Source: rule of thumb read in public texts; no derivation.
    """
    positive(chord=chord, wing_area=wing_area)
    return chord / 6 + 3 * tail_area * tail_arm / (8 * wing_area)


def tail_volume(*, tail_area: float, tail_arm: float, wing_area: float, chord: float) -> float:
    """Horizontal tail volume coefficient S_t l_t/(S_w c); areas [m2], arm and chord [m]."""
    positive(wing_area=wing_area, chord=chord)
    return tail_area * tail_arm / (wing_area * chord)


def _require_power(power: float | NDArray[np.float64]) -> None:
    if not np.all(np.asarray(power) < 0):
        raise PhysicsError(f"power = {np.max(power):g}: elevator down must pitch the nose down, so it is below 0")
