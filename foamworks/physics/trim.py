"""What elevator holds a speed, how far forward the balance may go, how slowly it flies. SI; x aft; nose up positive.

Everything rests on one equation, the moment about the centre of gravity at a lift coefficient CL:
    Cm = Cm0 + (x_cg - x_np)/c CL + Cm_e e
with Cm0 the moment at zero lift and elevator 0, e the elevator [rad] positive trailing edge down, and Cm_e its moment
*about the neutral point* per radian (at constant lift), negative. Coefficients on wing area and mean chord.

A tolerance study calls these with thousands of samples: give either plain numbers throughout or arrays throughout
(numbers that do not vary as 0-d arrays, `np.asarray`); they broadcast.
"""

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import require_positive
from foamworks.units import STANDARD_GRAVITY

Number = TypeVar("Number", float, NDArray[np.float64])

APPROACH_RATIO = 1.3  # approach and landing speed over stall speed; custom of certification and of the trade
ELEVATOR_SHARE = 2 / 3  # of the up elevator that may be used to hold the approach; the rest is left for the flare


def lift_coefficient(*, mass: Number, speed: Number, density: Number, area: Number) -> Number:
    """Lift coefficient in level flight, 2 m g/(rho V^2 S); mass [kg], speed [m/s], density [kg/m3], area [m2].

    Source: definition.
    """
    require_positive(mass=mass, speed=speed, density=density, area=area)
    return 2 * mass * STANDARD_GRAVITY / (density * speed**2 * area)


def speed_at_lift(*, mass: Number, lift: Number, density: Number, area: Number) -> Number:
    """Level speed [m/s] at a lift coefficient, sqrt(2 m g/(rho S CL)). At the greatest lift it is the stall speed.

    mass [kg], density [kg/m3], area [m2], all above 0. Source: definition.

    >>> round(speed_at_lift(mass=0.92, lift=1.05, density=1.225, area=0.14), 2)
    10.01
    """
    require_positive(mass=mass, lift=lift, density=density, area=area)
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
    require_positive(max_lift=max_lift)
    return max_lift / APPROACH_RATIO**2


def static_margin(*, cg: Number, neutral_point: Number, chord: Number) -> Number:
    """Static margin as a fraction of the chord, (x_np - x_cg)/c; positive is stable; x aft [m]."""
    require_positive(chord=chord)
    return (neutral_point - cg) / chord


def aft_limit(*, neutral_point: Number, chord: Number, margin: Number) -> Number:
    """Aft limit of the CG [m], x_np - margin c; margin a fraction of the mean chord."""
    require_positive(chord=chord)
    return neutral_point - margin * chord


def elevator_power_about_neutral_point(
    *, moment_elevator: Number, moment_slope: Number, lift_slope: Number, lift_elevator: Number
) -> Number:
    """Moment of the elevator about the neutral point per radian, Cm_e - Cm_a CL_e/CL_a; negative.

    moment_elevator Cm_e and moment_slope Cm_a about one and the same point, whichever; lift_slope CL_a above 0,
    lift_elevator CL_e; all per radian. Source: the denominator of `elevator_from_derivatives`, lift held constant.
    """
    require_positive(lift_slope=lift_slope)
    return moment_elevator - moment_slope * lift_elevator / lift_slope


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
    >>> round(math.degrees(elevator_to_trim(zero_lift=0.02, lift=0.5, **point)), 2)  # nose heavy: up
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
    require_positive(speed=speed, density=density, area=area, chord=chord)
    _require_power(power)
    return -moment / (0.5 * density * speed**2 * area * chord * power)


def forward_limit(
    *, neutral_point: Number, chord: Number, lift: Number, zero_lift: Number, power: Number, up: Number
) -> Number:
    """Forward limit of the CG [m aft]: where two thirds of up elevator still hold a lift coefficient.

    x_f = x_np - c/CL (Cm0 + |Cm_e| 2/3 up). lift: `approach_lift`; power Cm_e about the neutral point per radian,
    negative; up [rad] positive. Source: the equation above with Cm = 0.
    """
    require_positive(chord=chord, lift=lift, up=up)
    _require_power(power)
    return neutral_point - chord / lift * (zero_lift - power * ELEVATOR_SHARE * up)


def manoeuvre_point(
    *, neutral_point: Number, chord: Number, pitch_damping: Number, density: Number, area: Number, mass: Number
) -> Number:
    """Manoeuvre point [m aft], stick fixed: x_np - Cmq rho S c^2/(4 m). Aft of the neutral point, as Cmq < 0.

    pitch_damping Cmq per q c/(2 V); chord [m], density [kg/m3], area [m2], mass [kg]. Lift by pitch rate is left out.
    Source: pull-up at constant speed, own derivation; the same in Etkin & Reid, *Dynamics of Flight* (from memory).
    """
    require_positive(chord=chord, density=density, area=area, mass=mass)
    return neutral_point - chord * pitch_damping * density * area * chord / (4 * mass)


def balance_by_hand(*, chord: float, wing_area: float, tail_area: float, tail_arm: float) -> float:
    """CG [m] aft of the mean chord's leading edge by the trade's rule: c/6 + 3 S_t l_t/(8 S_w); about 10 % margin.

    chord, tail_arm [m], areas [m2]. Source: rule of thumb read in public texts; no derivation.
    """
    require_positive(chord=chord, wing_area=wing_area)
    return chord / 6 + 3 * tail_area * tail_arm / (8 * wing_area)


def elevator_from_derivatives(
    *,
    zero_lift: float,
    lift: float,
    lift_slope: float,
    moment_slope: float,
    lift_elevator: float,
    moment_elevator: float,
) -> float:
    """Elevator to trim [rad] from derivatives about the CG: -(Cm0 CL_a + Cm_a CL)/(Cm_e CL_a - Cm_a CL_e).

    All slopes per radian, about the CG. Source: Nelson, *Flight Stability and Automatic Control*, 2nd ed., ch. 2
    (from memory); equal to `elevator_to_trim` with the power taken about the neutral point.

    >>> navion = {"lift_slope": 4.44, "moment_slope": -0.683, "lift_elevator": 0.355, "moment_elevator": -0.923}
    >>> round(elevator_from_derivatives(zero_lift=0.05, lift=0.41, **navion), 6)
    -0.015051
    """
    effect = moment_elevator * lift_slope - moment_slope * lift_elevator
    if effect == 0:
        raise PhysicsError("moment_elevator: this elevator has no moment about the neutral point, nothing trims")
    return -(zero_lift * lift_slope + moment_slope * lift) / effect


def tail_volume(*, tail_area: float, tail_arm: float, wing_area: float, chord: float) -> float:
    """Horizontal tail volume coefficient S_t l_t/(S_w c); areas [m2], arm and chord [m]."""
    require_positive(wing_area=wing_area, chord=chord)
    return tail_area * tail_arm / (wing_area * chord)


def elliptic_downwash_slope(*, lift_slope: float, aspect_ratio: float) -> float:
    """Downwash per incidence far behind an elliptic wing, 2 CL_a/(pi A). Source: lifting line; Nelson, ch. 2.

    >>> round(elliptic_downwash_slope(lift_slope=4.3, aspect_ratio=6.06), 2)
    0.45
    """
    require_positive(aspect_ratio=aspect_ratio)
    return 2 * lift_slope / (math.pi * aspect_ratio)


def tail_moment_slope(*, volume: float, tail_slope: float, downwash_slope: float, pressure_ratio: float = 1.0) -> float:
    """Moment of the tailplane per radian of incidence, -eta V_H CL_at (1 - de/da). Source: Nelson, ch. 2."""
    return -pressure_ratio * volume * tail_slope * (1 - downwash_slope)


def textbook_neutral_point(
    *, wing_centre: float, wing_slope: float, body_moment_slope: float, tail_moment_slope: float
) -> float:
    """Neutral point in chords, x_ac - Cm_af/CL_aw - Cm_at/CL_aw: the second route beside the lattice.

    wing_centre in chords aft of the same point the answer is wanted from; slopes per radian; body_moment_slope
    positive, tail_moment_slope negative. The tail's own lift is neglected beside the wing's.
    Source: Nelson, 2nd ed., eq. 2.36 (from memory).
    """
    require_positive(wing_slope=wing_slope)
    return wing_centre - (body_moment_slope + tail_moment_slope) / wing_slope


def _require_power(power: float | NDArray[np.float64]) -> None:
    if not np.all(np.asarray(power) < 0):
        raise PhysicsError(f"power = {np.max(power):g}: elevator down must pitch the nose down, so it is below 0")
