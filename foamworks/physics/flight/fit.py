"""Least squares of a few parameters: the best point, how sure it is, and how much each measurement says. Plain numbers.

Gauss and Newton's steps with the slopes by small differences. Residuals are in standard deviations, so that the inverse
of the normal matrix is the parameters' covariance (Bevington & Robinson, *Data Reduction*, ch. 8, from memory).
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
DIFFERENCE = 1e-4  # of a standard deviation of the parameter, for the slopes
STEPS = 8  # the residuals are nearly straight: three or four are enough
SMALL = 1e-8  # a step that moves nothing any more


class Fit(NamedTuple):
    """The best point, its covariance, and of each residual the value there and the leverage (0 to 1)."""

    point: Floats
    covariance: Floats
    residual: Floats
    leverage: Floats


def least_squares(residuals: Callable[[Floats], Floats], count: int) -> Fit:
    """Fit `count` parameters, each in its own standard deviations from what was expected of it.

    `residuals` gives the measurements' only; the expectation, one residual a parameter, is added here.

    >>> fit = least_squares(lambda p: np.array([p[0] - 2.0]), 1)  # expected 0, measured 2, equally sure
    >>> float(fit.point[0]), float(fit.covariance[0, 0])
    (1.0, 0.5...)
    """
    point = np.zeros(count)
    own, unit = residuals(point), np.eye(count)
    slopes = np.empty((own.size, count))
    inverse: Floats = unit
    for _ in range(STEPS):
        slopes = np.array([(residuals(point + DIFFERENCE * axis) - own) / DIFFERENCE for axis in unit]).T
        slopes = slopes.reshape(own.size, count)
        inverse = np.asarray(np.linalg.inv(unit + slopes.T @ slopes), dtype=np.float64)
        step = -inverse @ (point + slopes.T @ own)
        point = point + step
        own = residuals(point)
        if float(np.abs(step).max()) < SMALL:
            break
    leverage = np.einsum("ij,jk,ik->i", slopes, inverse, slopes)
    return Fit(point, inverse, own, leverage)
