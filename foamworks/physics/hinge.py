"""What moment a plain flap asks of its servo. SI; slopes per radian.

Thin-aerofoil theory of the section: no gap, no rounded nose, no tip. Sections measured in tunnels give 0.7 to 0.95 of
it, and a tail of finite span less still (DATCOM 6.1.6, from memory), so that it lies on the safe side.
"""

import math

import numpy as np

from foamworks.errors import PhysicsError
from foamworks.physics.grid import distinct
from foamworks.physics.planform import Stations
from foamworks.physics.ranges import positive


def flap_slopes(chord_fraction: float) -> tuple[float, float]:
    """Hinge moment coefficient per radian of incidence and of flap [-], on the flap's own chord squared; negative.

    chord_fraction: the flap's share of the chord, above 0, at most 1. Negative: the air turns the flap back.
    Source: Theodorsen, NACA TR 496 (1935), the steady part: -(T12)/(2 E^2) and -(T5 - T4 T10 + T12 T10)/(2 pi E^2).

    >>> [round(slope, 4) for slope in flap_slopes(1.0)]  # hinged at its leading edge: a quarter chord of 2 pi
    [-1.5708, -1.5708]
    """
    if not 0 < chord_fraction <= 1:
        raise PhysicsError(f"chord_fraction = {chord_fraction:g}: must be above 0 and at most 1")
    c = 1 - 2 * chord_fraction
    root, turn = math.sqrt(1 - c * c), math.acos(c)
    t4, t5 = c * root - turn, -(root**2) - turn**2 + 2 * c * root * turn
    t10, t12 = root + turn, root * (2 + c) - turn * (2 * c + 1)
    scale = 2 * chord_fraction**2
    return -t12 / scale, -(t5 - t4 * t10 + t12 * t10) / (math.pi * scale)


def flap_size(half: Stations, *, chord_fraction: float, span: tuple[float, float]) -> float:
    """Flap chord squared, summed along both halves [m3]: exact for straight edges. span: parts of the half [-]."""
    s = np.asarray(half.s)
    ends = s[0] + (s[-1] - s[0]) * np.asarray(span)
    y = distinct(np.clip(np.concatenate([s, ends]), *ends))
    c = chord_fraction * np.interp(y, s, half.chord)
    return 2 * float(np.sum(np.diff(y) * (c[:-1] ** 2 + c[:-1] * c[1:] + c[1:] ** 2)) / 3)


def hinge_moment(*, pressure: float, size: float, chord_fraction: float, deflection: float) -> float:
    """Moment at the hinge [N m] that holds a deflection [rad], at no incidence of the fixed part.

    pressure: dynamic [Pa]; size of `flap_size` [m3]. Source: definition of the coefficient.
    """
    positive(pressure=pressure, size=size)
    return pressure * size * -flap_slopes(chord_fraction)[1] * abs(deflection)
