"""Edges cut slanting: how far a face is set back, what that takes off the part, the line to cut along. Millimetres.

A bevel's angle [deg] is from square. The part is first cut square along its outline; above 0 the marked face is then
set back by thickness x tan(angle), the other face keeps the outline; below 0 the other way round.
"""

import math
from collections.abc import Sequence

from shapely import LineString, Polygon

from foamworks.parts.base import LETTER, Bevel, BoardPart, Point, Stroke

ON_EDGE = 0.05  # mm: how far a bevel's ends may lie off the outline and still mean it (a traced curve strays by 0.02)
LONG = 2.0  # thicknesses: how much of the board a section shows
TEXT, AWAY = 3.0, 1.0  # mm, the words along the line: their height where there is room, their distance from it


def set_back(bevel: Bevel, thickness: float) -> float:
    """Give how far the smaller face stands behind the larger one [mm].

    >>> round(set_back(Bevel(((0, 0), (100, 0)), 45.0), 5.0), 9)
    5.0
    """
    return thickness * math.tan(math.radians(abs(bevel.angle)))


def on_outline(bevel: Bevel, outline: Polygon) -> float:
    """Give how much of the edge lies on the part's outline, 0 to 1: the rest is gaps, tabs, or a mistake."""
    edge = LineString(bevel.edge)
    return float(outline.boundary.buffer(ON_EDGE).intersection(edge).length / edge.length)


def taken_off(outline: Polygon, bevels: Sequence[Bevel], thickness: float) -> float:
    """Give the area of board [mm2], as thick as the board, that weighs as much as what the bevels take off.

    A wedge over the edge's own length (tabs stay square): half of set-back x length. Source: a triangle's area.
    """
    return sum(
        0.5 * set_back(bevel, thickness) * on_outline(bevel, outline) * math.dist(*bevel.edge) for bevel in bevels
    )


def _inward(bevel: Bevel, outline: Polygon) -> Point:
    """Give the unit vector from the edge into the part."""
    (ax, ay), (bx, by) = bevel.edge
    length = math.dist(*bevel.edge)
    nx, ny = -(by - ay) / length, (bx - ax) / length
    left, right = (
        outline.intersection(LineString([(ax + k * nx, ay + k * ny), (bx + k * nx, by + k * ny)])).length
        for k in (0.5, -0.5)
    )
    return (nx, ny) if left >= right else (-nx, -ny)


def marks(outline: Polygon, bevels: Sequence[Bevel], thickness: float) -> tuple[Stroke, ...]:
    """Give the line on the marked face from which each bevel slopes down to the outline, and its words.

    A bevel that sets the other face back has no line on this face: the words say so.
    """
    found: list[Stroke] = []
    for bevel in bevels:
        depth = set_back(bevel, thickness)
        if depth == 0:
            continue
        nx, ny = _inward(bevel, outline)
        line = LineString([(x + depth * nx, y + depth * ny) for x, y in bevel.edge]).intersection(outline)
        runs = [run for run in getattr(line, "geoms", [line]) if run.geom_type == "LineString" and run.length > 0]
        if bevel.angle > 0:
            found += [Stroke("mark", tuple((float(x), float(y)) for x, y in run.coords)) for run in runs]
        if runs:
            found.append(_words(bevel, max(runs, key=lambda run: run.length), (nx, ny)))
    return tuple(found)


def _words(bevel: Bevel, line: LineString, inward: Point) -> Stroke:
    """Write the angle along the middle of the line, on its inner side, the right way up in the part's own frame."""
    text = f"bevel {abs(bevel.angle):g} deg" + (", from the back" if bevel.angle < 0 else "")
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    if (bx - ax, by - ay) < (0.0, 0.0):
        (ax, ay), (bx, by) = (bx, by), (ax, ay)
    ux, uy = (bx - ax) / line.length, (by - ay) / line.length
    high = min(TEXT, line.length / (LETTER * len(text)))
    above = -uy * inward[0] + ux * inward[1] > 0  # whether the part lies on the text's upper side
    off = AWAY if above else AWAY + high
    start = (line.length - LETTER * high * len(text)) / 2
    at = (ax + start * ux + off * inward[0], ay + start * uy + off * inward[1])
    return Stroke("mark", (at, (at[0] + ux, at[1] + uy)), text=text, height_mm=high)


def section(part: BoardPart, bevel: Bevel) -> tuple[Point, ...]:
    """Give the board's end at the bevel as seen along the edge: x towards the edge, y up to the marked face [mm].

    Five corners of a piece LONG thicknesses long, the outline at x = 0; for the sketch on the sheet.
    """
    t, depth = part.thickness_mm, set_back(bevel, part.thickness_mm)
    top, bottom = (-depth, 0.0) if bevel.angle > 0 else (0.0, -depth)
    back = -LONG * t - depth
    return ((back, 0.0), (bottom, 0.0), (top, t), (back, t), (back, 0.0))
