"""The points of a grid, and reading between them: straight lines along each axis, taken at the edge beyond it."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def distinct(values: ArrayLike) -> Floats:
    """Give numbers rising, each once.

    >>> distinct([2.0, 1.0, 2.0]).tolist()
    [1.0, 2.0]
    """
    rising = np.sort(np.asarray(values, dtype=float))  # why: numpy's own first loads its masked arrays
    return np.asarray(rising[np.concatenate([[True], rising[1:] != rising[:-1]])])


def quantile(values: Floats, share: float) -> float:
    """Give what this share of the values stays below, on a straight line between the two nearest; NaN with any NaN.

    >>> quantile(np.array([3.0, 1.0, 2.0]), 0.25)
    1.5
    """
    rising = np.sort(values, axis=None)  # why not numpy's: as above
    place = (rising.size - 1) * share
    low = min(int(place), rising.size - 2)
    step, part = rising[low + 1] - rising[low], place - low
    found = rising[low] + step * part if part < 0.5 else rising[low + 1] - step * (1 - part)
    return math.nan if np.isnan(rising[-1]) else float(found)


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
