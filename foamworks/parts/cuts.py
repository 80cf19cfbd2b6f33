"""The parts a design asks for by `[[cuts]]`, each in the frame it was given in. Millimetres and grams."""

import math

from shapely import Polygon

from foamworks.design.model import Design
from foamworks.design.workshop import Cut
from foamworks.parts.base import Bevel, BoardPart, Point, Stroke
from foamworks.parts.board import bevels
from foamworks.units import degrees, mm

CHORD_ERROR = 0.01  # mm: half of what a drawn outline may stray from the true curve


def circle(diameter: float) -> list[Point]:
    """Give a circle about 0,0 as a polygon of the same area, within 0.01 mm of the curve.

    >>> len(circle(42.0)) > 60
    True
    """
    radius = diameter / 2
    sides = max(24, 4 * math.ceil(math.pi / math.acos(1 - min(1.0, CHORD_ERROR / radius)) / 4))
    step = 2 * math.pi / sides
    even = radius * math.sqrt(step / math.sin(step))  # the polygon has the circle's own area
    return [(even * math.cos(k * step), even * math.sin(k * step)) for k in range(sides)]


def weighed_apart(design: Design, name: str) -> float:
    """Give what was weighed under the name of something that is no cut [kg]; a name that a cut has too tells nothing.

    NaN when it was not weighed.
    """
    if any(cut.name == name for cut in design.cuts):
        return math.nan
    return next((entry.mass for entry in design.weighed if entry.part == name), math.nan)


def cut_outline(cut: Cut) -> Polygon:
    """Give a cut's outline in its own frame [mm]."""
    if cut.rectangle is not None:
        w, h = (mm(side) for side in cut.rectangle)
        return Polygon([(0, 0), (w, 0), (w, h), (0, h)])
    if cut.trapezoid is not None:
        root, tip, height = (mm(side) for side in cut.trapezoid[:3])
        aft = height * math.tan(cut.trapezoid[3])
        far = [(aft + tip, height), (aft, height)] if tip > 0 else [(aft, height)]
        return Polygon([(0, 0), (root, 0), *far])
    if cut.disc is not None:
        outer, inner = (mm(diameter) for diameter in cut.disc)
        return Polygon(circle(outer), [circle(inner)] if inner > 0 else [])
    if cut.trace is not None:
        return Polygon(_mm(cut.trace.outline), [_mm(hole) for hole in cut.trace.holes])
    return Polygon(_mm(cut.outline or ()))


def _mm(points: tuple[Point, ...]) -> list[Point]:
    return [(mm(x), mm(y)) for x, y in points]


def cut_part(cut: Cut, *, board: str, thickness: float, areal_density: float) -> BoardPart:
    """Make the part of one `[[cuts]]` entry; thickness [mm], areal density [g/mm2]."""
    outline = cut_outline(cut)
    slants = tuple(
        Bevel((first, last), degrees(bevel.angle)) for bevel in cut.bevel for first, last in (_mm(bevel.edge),)
    )
    scores = [Stroke("score", tuple(_mm(score.line)), depth_mm=mm(score.depth)) for score in cut.score]
    area = outline.area - bevels.taken_off(outline, slants, thickness)
    return BoardPart(
        name=cut.name,
        board=board,
        thickness_mm=thickness,
        outline=outline,
        count=cut.count,
        mirrored=cut.count // 2 if cut.mirror else 0,
        grain=cut.grain,
        strokes=(*scores, *bevels.marks(outline, slants, thickness)),
        mass_g=area * areal_density,
        group="cuts",
        bevels=slants,
    )
