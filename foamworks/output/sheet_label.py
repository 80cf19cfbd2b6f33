"""Where does a text fit inside a part? The largest place for it, level if it can be, in millimetres."""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import shapely
from shapely import Polygon
from shapely.affinity import rotate, scale

from foamworks.parts.base import Point, Stroke

AIR = 0.8  # of the place that a text fills at most
Anchor = Literal["start", "middle", "end"]  # of a text's base line
LEVEL_BONUS = 1.6  # a turned text must come out this much larger than a level one


@dataclass(frozen=True)
class Fit:
    """Middle of a text [mm], its turn [deg, counter-clockwise] and its height [mm]."""

    middle: Point
    angle: float
    height: float


def fit(shape: Polygon, *, length: float, tallest: float, turned: bool = True) -> Fit:
    """Place a text of `length` times its own height inside a shape, at most `tallest` [mm] high.

    The shape is pressed together along the text until the text would be square; the middle of the largest circle in
    it is the middle of the text, and the square in that circle its size. Not `turned`: level only.

    >>> fit(Polygon([(0, 0), (100, 0), (100, 10), (0, 10)]), length=5, tallest=4).angle
    0.0
    """
    level = _at(shape, length, tallest, 0.0)
    if not turned or level.height >= tallest:
        return level
    others = [_at(shape, length, tallest, angle) for angle in (90.0, _main_direction(shape))]
    best = max(others, key=lambda place: place.height)
    return level if level.height * LEVEL_BONUS >= best.height else best


def _at(shape: Polygon, length: float, tallest: float, angle: float) -> Fit:
    level = rotate(shape, -angle, origin=(0, 0))
    pressed = scale(level, xfact=1 / length, yfact=1, origin=(0, 0))
    radius = shapely.maximum_inscribed_circle(pressed, tolerance=0.05)
    (x, y), _ = radius.coords
    turn = math.radians(angle)
    middle = (x * length * math.cos(turn) - y * math.sin(turn), x * length * math.sin(turn) + y * math.cos(turn))
    return Fit(middle, angle, min(tallest, AIR * math.sqrt(2) * radius.length))


def _main_direction(shape: Polygon) -> float:
    """Give the direction of the long side of the least box about the shape, between -90 and 90 [deg]."""
    box = shapely.minimum_rotated_rectangle(shape)
    corners = list(box.exterior.coords)
    sides = [(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(corners)]
    dx, dy = max(sides, key=lambda side: math.hypot(*side))
    angle = math.degrees(math.atan2(dy, dx))
    return round((angle + 90) % 180 - 90, 6)


@dataclass(frozen=True)
class Line:
    """A line of text that is never on its head: which point of its base line lies `at`, its turn [deg]."""

    at: Point
    angle: float
    anchor: Anchor


def upright(stroke: Stroke) -> Line:
    """Give where a stroke's text is written so that it can be read: on a turned part it would stand on its head."""
    (x, y), *rest = stroke.points
    ahead = rest[0] if rest else (x + 1.0, y)
    turn = math.atan2(ahead[1] - y, ahead[0] - x)
    angle = math.degrees(turn)
    if -90.0 + 1e-6 < angle <= 90.0 + 1e-6:
        return Line((x, y), angle, anchor="start")
    rise = stroke.height_mm  # its base line runs where its top would have been, and ends where it would have begun
    return Line((x - rise * math.sin(turn), y + rise * math.cos(turn)), (angle + 360.0) % 360.0 - 180.0, anchor="end")
