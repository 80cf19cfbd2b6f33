"""Neutral point and elevator by the books' tail formulas, beside the program's lattice; SI."""

import math

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.physics.trim import Number


def elevator_power_about_neutral_point(
    *, moment_elevator: Number, moment_slope: Number, lift_slope: Number, lift_elevator: Number
) -> Number:
    """Moment of the elevator about the neutral point per radian, Cm_e - Cm_a CL_e/CL_a; negative.

    moment_elevator Cm_e and moment_slope Cm_a about one and the same point, whichever; lift_slope CL_a above 0,
    lift_elevator CL_e; all per radian. Source: the denominator of `elevator_from_derivatives`, lift held constant.
    """
    positive(lift_slope=lift_slope)
    return moment_elevator - moment_slope * lift_elevator / lift_slope


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


def elliptic_downwash_slope(*, lift_slope: float, aspect_ratio: float) -> float:
    """Downwash per incidence far behind an elliptic wing, 2 CL_a/(pi A). Source: lifting line; Nelson, ch. 2.

    >>> round(elliptic_downwash_slope(lift_slope=4.3, aspect_ratio=6.06), 2)
    0.45
    """
    positive(aspect_ratio=aspect_ratio)
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
    positive(wing_slope=wing_slope)
    return wing_centre - (body_moment_slope + tail_moment_slope) / wing_slope
