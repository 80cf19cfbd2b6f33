"""Where does a text fit inside a part? The largest place for it, level if it can be, clear of the marks; in mm."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import shapely
from shapely import LineString, Polygon, box
from shapely.affinity import rotate, scale
from shapely.geometry.base import BaseGeometry

from foamworks.parts.base import LETTER, Point, Stroke
from foamworks.parts.board.sheet import PlacedPart
from foamworks.units import degrees

AIR = 0.8  # of the place that a text fills at most
Anchor = Literal["start", "middle", "end"]  # of a text's base line
TALLEST, LEAST, SMALLEST = 6.0, 1.5, 1.0  # mm, a label's letters: at most, what a name needs, what is ever written
CLEAR = 1.0  # mm a label keeps from a part's own marks
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


def label(piece: PlacedPart) -> tuple[str, Fit]:
    """Give number and name, and where they fit on the part, clear of its marks; without room for them its number.

    Where even that has no room between the marks it stands on them: the list names every part by its number.
    """
    marks = shapely.union_all([_area(stroke) for stroke in piece.strokes]).buffer(CLEAR)
    between = largest(piece.cut.difference(marks))
    tries = [(between, piece.label)] if between else []
    tries += [(piece.cut, piece.label), (piece.cut, str(piece.number))]
    for room, text in tries:
        place = fit(room, length=LETTER * len(text), tallest=TALLEST)
        if place.height >= LEAST:
            break
    return text, replace(place, height=max(SMALLEST, place.height))


def line(stroke: Stroke) -> BaseGeometry:
    """Give a stroke's line, or its one point."""
    return LineString(stroke.path) if len(stroke.path) > 1 else shapely.Point(stroke.points[0])


def largest(shape: BaseGeometry) -> Polygon:
    """Give the largest polygon of whatever an intersection or a difference left; an empty one under 1 mm2."""
    polygons = [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon) and part.area > 1.0]
    return max(polygons, key=lambda polygon: polygon.area, default=Polygon())


def _area(stroke: Stroke) -> BaseGeometry:
    """Give what a stroke takes up on the board."""
    if not stroke.text:
        return line(stroke)
    x, y = stroke.points[0]
    turn = degrees(math.atan2(stroke.ahead[1] - y, stroke.ahead[0] - x))
    level = box(x, y, x + LETTER * len(stroke.text) * stroke.height_mm, y + stroke.height_mm)
    turned: Polygon = rotate(level, turn, origin=(x, y))
    return turned


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
    angle = degrees(math.atan2(dy, dx))
    return round((angle + 90) % 180 - 90, 6)


@dataclass(frozen=True)
class Line:
    """A line of text that is never on its head: which point of its base line lies `at`, its turn [deg]."""

    at: Point
    angle: float
    anchor: Anchor


def upright(stroke: Stroke) -> Line:
    """Give where a stroke's text is written so that it can be read: on a turned part it would stand on its head."""
    x, y = stroke.points[0]
    turn = math.atan2(stroke.ahead[1] - y, stroke.ahead[0] - x)
    angle = degrees(turn)
    if -90.0 + 1e-6 < angle <= 90.0 + 1e-6:
        return Line((x, y), angle, anchor="start")
    rise = stroke.height_mm  # its base line runs where its top would have been, and ends where it would have begun
    return Line((x - rise * math.sin(turn), y + rise * math.cos(turn)), (angle + 360.0) % 360.0 - 180.0, anchor="end")
