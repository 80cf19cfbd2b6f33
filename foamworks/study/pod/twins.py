"""What does one pod alone do when the other stays dark? Sideslip and the speed below which two must not be lit. SI."""

import math

from foamworks.physics.ranges import positive

MOST_SIDESLIP = math.radians(10)  # common practice, no source: beyond it one pod is better


def one_out_moment(*, thrust: float, offset: float) -> float:
    """Yawing moment [N m] of one motor's thrust [N] at a distance [m] from the plane of symmetry; by size."""
    positive(thrust=thrust)
    return thrust * abs(offset)


def one_out_sideslip(
    *, moment: float, speed: float, density: float, area: float, span: float, yaw_stiffness: float
) -> float:
    """Steady sideslip [rad] under a yawing moment [N m]: M/(q S b Cnb), linear in the sideslip.

    speed [m/s], density [kg/m3], wing area [m2] and span [m], yaw stiffness per radian, above 0. Source: trade's rule
    (one motor's yaw over the restoring moment); no rudder is used; the swing beyond it is `overshoot`.

    >>> sideslip = one_out_sideslip(moment=1.0, speed=30, density=1.2, area=0.15, span=0.9, yaw_stiffness=0.08)
    >>> round(math.degrees(sideslip), 2)
    9.82
    """
    positive(speed=speed, density=density, area=area, span=span, yaw_stiffness=yaw_stiffness)
    return moment / (density / 2 * speed**2 * area * span * yaw_stiffness)


def overshoot(damping: float) -> float:
    """How far a motion swings after a step, over the value it settles at: 1 + exp(-pi z/sqrt(1 - z^2)).

    damping ratio z; 2 without damping, 1 from z = 1 on. Source: second-order step response, closed form.

    >>> round(overshoot(0.17), 2)
    1.58
    """
    z = min(max(damping, 0.0), 1.0)
    return 1 + (math.exp(-math.pi * z / math.sqrt(1 - z * z)) if z < 1 else 0.0)


def least_speed(
    *, moment: float, density: float, area: float, span: float, yaw_stiffness: float, sideslip: float = MOST_SIDESLIP
) -> float:
    """Speed [m/s] below which one motor out gives more than so much sideslip [rad]; inverse of `one_out_sideslip`."""
    positive(sideslip=sideslip)
    at_one = one_out_sideslip(
        moment=moment, speed=1.0, density=density, area=area, span=span, yaw_stiffness=yaw_stiffness
    )
    return math.sqrt(at_one / sideslip)
