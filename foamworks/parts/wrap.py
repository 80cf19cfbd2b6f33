"""What a mount covers of the fuselage's back, laid flat as a paper that is wrapped round it. Millimetres.

On the paper u runs aft along the back from the mount's front edge, v round the body from the middle of its back to
starboard. The paper is taken to bend one way: u is measured along the mount's middle, v round each station by itself.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.parts.base import Point, Saddle
from foamworks.parts.clear import sizes_at
from foamworks.parts.solidmath import back_height
from foamworks.physics.grid import distinct

Floats = NDArray[np.float64]
STATIONS = 60  # along the mount
STEPS = 200  # of a sum round the body


@dataclass(frozen=True)
class Wrapped:
    """A mount's foot on the paper: its length along the back, port and starboard edge as (u, v) from front to aft."""

    length: float
    port: tuple[Point, ...]
    starboard: tuple[Point, ...]


def girth(*, width: float, height: float, y: float) -> float:
    """Length of an ellipse's rim from its top to `y` abeam [mm], with the sign of y.

    >>> round(girth(width=40, height=40, y=20), 3)  # a quarter of a circle of radius 20
    31.416
    """
    turn = np.linspace(0.0, math.asin(min(max(2 * y / width, -1.0), 1.0)), STEPS + 1)
    middle = (turn[1:] + turn[:-1]) / 2
    steps = np.hypot(width / 2 * np.cos(middle), height / 2 * np.sin(middle)) * np.diff(turn)
    return float(steps.sum())


def wrapped(shape: Saddle) -> Wrapped:
    """Lay a mount's foot flat."""
    x = distinct([*np.linspace(0.0, shape.length, STATIONS), *(section.x for section in shape.sections)])
    rise = np.diff(back_height(shape, x, np.zeros_like(x)))
    u = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), rise))])
    widths, heights, _ = sizes_at(shape.sections, x)

    def edge(side: float) -> tuple[Point, ...]:
        y = side * shape.width / 2 - shape.body_offset_y
        rows = zip(u, widths, heights, strict=True)
        return tuple((float(at), girth(width=float(w), height=float(h), y=y)) for at, w, h in rows)

    return Wrapped(float(u[-1]), edge(-1.0), edge(1.0))
