"""Where a thrust line passes the centre of gravity, and by how much a builder misses it. SI, nose up positive.

Places are `aft` of and `above` the centre of gravity; the downthrust tips the thrust forward and down.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.physics.ranges import positive

Floats = NDArray[np.float64]

ANGLE_ERROR = math.radians(1.0)  # how far a glued mount misses its angle, one standard deviation (as below)
BUILDING_ANGLES = (-2.0, -1.0, 0.0, 1.0, 2.0)  # times that error (common practice, no source)
HEIGHT_ERRORS = (-0.005, 0.0, 0.005)  # m, how far a hung model's centre of gravity is misjudged (as above)


def pitching_moment(*, thrust: ArrayLike, aft: ArrayLike, above: ArrayLike, downthrust: ArrayLike) -> Floats:
    """Moment of the thrust about the centre of gravity [N m], nose-up positive: T (aft sin d - above cos d).

    thrust [N]; nozzle `aft` of and `above` the centre of gravity [m]; downthrust d [rad]: the thrust points forward and
    down. Source: statics, M = r x F.

    >>> float(pitching_moment(thrust=30.0, aft=0.3, above=0.06, downthrust=0.0))
    -1.8
    """
    return np.asarray(np.asarray(thrust) * -line_above(aft=aft, above=above, downthrust=downthrust))


def line_above(*, aft: ArrayLike, above: ArrayLike, downthrust: ArrayLike) -> Floats:
    """Distance of the thrust line above the centre of gravity [m], square to the line; negative below. As above."""
    return np.asarray(np.asarray(above) * np.cos(downthrust) - np.asarray(aft) * np.sin(downthrust))


def downthrust_through(*, aft: float, above: float) -> float:
    """Downthrust [rad] of a line from the nozzle through the centre of gravity: tan d = above/aft, nozzle aft of it.

    >>> round(math.degrees(downthrust_through(aft=0.3, above=0.06)), 2)
    11.31
    """
    positive(aft=aft)
    return math.atan2(above, aft)


def building_errors(angle: float = ANGLE_ERROR) -> tuple[Floats, Floats]:
    """Fifteen errors of downthrust [rad] and of the nozzle's height above the centre of gravity [m].

    `angle` [rad]: one standard deviation of the built angle. Row 7 is without error; 4 and 10 are one angle off.
    """
    angles, heights = np.meshgrid(angle * np.array(BUILDING_ANGLES), HEIGHT_ERRORS, indexing="ij")
    return angles.ravel(), heights.ravel()
