"""Is a number one that a formula holds for? The one check of signs and finiteness, for numbers and arrays alike."""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from foamworks.errors import PhysicsError


def _first_wrong(value: ArrayLike, *, zero: bool) -> float | None:
    """Give the first number that is not finite, or below 0, or 0 where that is not allowed."""
    if isinstance(value, float):  # why: most are, and many thousands of them are asked
        return None if math.isfinite(value) and (value >= 0 if zero else value > 0) else value
    numbers = np.atleast_1d(np.asarray(value, dtype=float))
    wrong = numbers[~(np.isfinite(numbers) & ((numbers >= 0) if zero else (numbers > 0)))]
    return float(wrong[0]) if wrong.size else None


def positive(**quantities: ArrayLike) -> None:
    """Raise PhysicsError unless every quantity is finite and above 0; named in words.

    >>> positive(wing_area=0.0)
    Traceback (most recent call last):
    foamworks.errors.PhysicsError: wing area = 0: must be above 0 and finite
    """
    _refuse(quantities, "above 0", zero=False)


def not_negative(**quantities: ArrayLike) -> None:
    """Raise PhysicsError unless every quantity is finite and 0 or more; named in words."""
    _refuse(quantities, "0 or more", zero=True)


def _refuse(quantities: dict[str, ArrayLike], needed: str, *, zero: bool) -> None:
    for name, value in quantities.items():
        wrong = _first_wrong(value, zero=zero)
        if wrong is not None:
            raise PhysicsError(f"{name.replace('_', ' ')} = {wrong:g}: must be {needed} and finite")


def where_known(formula: Callable[..., float], **numbers: float) -> float:
    """Give what a formula gives; NaN where a number that it rests on was not measured, and is NaN itself.

    >>> where_known(max, default=math.nan)
    nan
    """
    return formula(**numbers) if all(map(math.isfinite, numbers.values())) else math.nan
