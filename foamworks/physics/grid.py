"""Reading between the points of a grid: straight lines along each axis, taken at the edge beyond it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def read_between(axes: Sequence[Floats], values: Floats, points: Sequence[Floats]) -> Floats:
    """Give the values at points, linear between the grid's; `values` has one dimension for each rising axis.

    >>> plane = np.array([[0.0, 1.0], [2.0, 3.0]])
    >>> read_between([np.array([0.0, 1.0])] * 2, plane, [np.array([0.5]), np.array([0.25])]).tolist()
    [1.25]
    """
    cells, weights = np.zeros((1, np.size(points[0])), dtype=int), np.ones((1, np.size(points[0])))
    for axis, x in zip(axes, points, strict=True):
        low = np.clip(np.searchsorted(axis, x) - 1, 0, len(axis) - 2)
        part = np.clip((x - axis[low]) / (axis[low + 1] - axis[low]), 0.0, 1.0)
        # each corner so far has two neighbours along this axis
        cells = np.concatenate([cells * len(axis) + low, cells * len(axis) + low + 1])
        weights = np.concatenate([weights * (1 - part), weights * part])
    return np.asarray(np.einsum("cs,cs->s", weights, np.ravel(values)[cells]))
