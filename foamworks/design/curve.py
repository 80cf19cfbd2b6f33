"""What is a motor's thrust over time? As its file has it, or a plain shape by its data: time [s] and thrust [N]."""

import numpy as np
from numpy.typing import NDArray

from foamworks.design.additions import Motor
from foamworks.errors import PhysicsError
from foamworks.physics.flight.motor import plain_curve

Curve = tuple[NDArray[np.float64], NDArray[np.float64]]


def curve_of(motor: Motor) -> Curve:
    """Give a motor's thrust curve: as read, or the plain shape of its data. PhysicsError when these contradict."""
    if motor.curve is not None:
        return np.asarray(motor.curve.time), np.asarray(motor.curve.thrust)
    return plain_curve(impulse=motor.impulse or 0.0, burn=motor.burn or 0.0, peak=motor.peak or 0.0)


def usable_curve(motor: Motor) -> Curve | None:
    """Give a motor's thrust curve; None when impulse, burn and peak contradict each other (a finding says so)."""
    try:
        return curve_of(motor)
    except PhysicsError:
        return None
