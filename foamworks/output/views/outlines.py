"""What the overview draws: the outline of each thing on the aircraft in side, top and front view. Millimetres.

Side view: (x aft, z up), seen from port. Top view: (x aft, y to starboard), seen from above, starboard up. Front
view: (-y, z), seen from ahead, so starboard is on the left.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon, unary_union

from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe
from foamworks.errors import not_measured
from foamworks.output.views.bodies import MODEL, Body, airfoil, bodies, drawn, surfaces
from foamworks.output.views.drawing import Pt
from foamworks.parts.mesh import silhouette
from foamworks.units import first_measured, mm

Ring = tuple[Pt, ...]
AROUND = 48  # points of a circle
STANDS_OUT = 1.0  # mm2 of a thing that must show for it to be drawn
AHEAD, ASIDE, UP = np.eye(3)
VIEWS = ((AHEAD, UP), (AHEAD, ASIDE), (-ASIDE, UP))  # what lies to the right and up in each view
STYLES = {  # by kind and name; without a name, whatever else is of the kind
    ("airframe", "fuselage"): "ow-body",
    ("airframe", "fin"): "ow-fin",
    ("old", ""): "ow-old",
    ("board", ""): "ow-new",
    ("print", ""): "ow-new",
    ("bought", "pod tube"): "ow-tube",
    ("bought", "camera"): "ow-box",
    ("motor", ""): "ow-motor",
}
SURFACES = {"wing": "ow-wing", "tailplane": "ow-tail"}
HIDES = ("ow-body", "ow-tube")  # what lies inside of these is not drawn


@dataclass(frozen=True)
class Outline:
    """One thing: its name, how it is drawn, its closed rings in each view [mm], and whose set it belongs to."""

    name: str
    style: str
    side: tuple[Ring, ...] = ()
    top: tuple[Ring, ...] = ()
    front: tuple[Ring, ...] = ()
    group: str = MODEL


def outlines(case: Case) -> list[Outline]:
    """Give everything that is drawn, in the order it is drawn in."""
    airframe = case.design.airframe
    if not airframe.given:
        return []
    styled = [(body, STYLES.get((body.kind, body.name)) or STYLES.get((body.kind, ""))) for body in bodies(case)]
    seen = [_seen(body, style) for body, style in styled if style]
    hides = [outline for outline in seen if outline.style in HIDES]
    flat = [*_wing(airframe), *_fan(airframe)]
    first = [outline for outline in seen if outline.style == "ow-body"]
    rest = [outline for outline in seen if outline not in first]
    return [*first, *flat, *(outline for outline in rest if outline in hides or not _hidden(outline, hides))]


def _seen(body: Body, style: str) -> Outline:
    """Draw a body's silhouette in the three views."""
    made = drawn(body)
    side, top, front = (tuple(_ring(piece) for piece in silhouette(made, *axes)) for axes in VIEWS)
    return Outline(body.name, style, side, top, front, body.group)


def _hidden(outline: Outline, hides: Sequence[Outline]) -> bool:
    """Tell whether a thing lies inside of what hides it, seen from the side and from above."""
    for view in ("side", "top"):
        over = unary_union([Polygon(ring) for other in hides for ring in getattr(other, view)])
        own = unary_union([Polygon(ring) for ring in getattr(outline, view)])
        if own.difference(over).area > STANDS_OUT:
            return False
    return True


def _circle(up: float, radius: float) -> Ring:
    turn = np.linspace(0, 2 * math.pi, AROUND, endpoint=False)
    return tuple(zip((radius * np.cos(turn)).tolist(), (up + radius * np.sin(turn)).tolist(), strict=True))


def _ring(shape: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1])


def _wing(airframe: Airframe) -> Iterator[Outline]:
    for name, stations, thickness in surfaces(airframe):
        rows = [(mm(s.x), mm(s.y), mm(s.z), mm(s.chord)) for s in stations]
        yield _flat(name, SURFACES[name], rows, thickness)
        if name == "tailplane" and (elevator := airframe.elevator):
            yield _elevator(rows, elevator.chord_fraction, elevator.span)


def _flat(name: str, style: str, rows: Sequence[tuple[float, float, float, float]], thickness: float) -> Outline:
    side = [tuple(airfoil(x, z, chord, thickness)) for x, _, z, chord in (rows[-1], rows[0]) if chord > 0]
    half = [(x, y) for x, y, _, _ in rows] + [(x + chord, y) for x, y, _, chord in reversed(rows)]
    spar = [(y, z + thickness * chord / 2) for _, y, z, chord in rows]
    spar += [(y, z - thickness * chord / 2) for _, y, z, chord in reversed(rows)]
    return Outline(
        name, style, tuple(side), _both(half), tuple(tuple((sign * u, v) for u, v in spar) for sign in (-1, 1))
    )


def _both(half: Sequence[Pt]) -> tuple[Ring, ...]:
    """Give a starboard ring and its port image (top view)."""
    return tuple(half), tuple((x, -y) for x, y in half)


def _elevator(rows: Sequence[tuple[float, float, float, float]], share: float, span: tuple[float, float]) -> Outline:
    ends = [rows[0][1] + part * (rows[-1][1] - rows[0][1]) for part in span]
    table = [[row[i] for row in rows] for i in range(4)]
    edge = sorted({*ends, *(y for y in table[1] if ends[0] < y < ends[1])})
    trailing = [(float(np.interp(y, table[1], [x + c for x, _, _, c in rows])), y) for y in edge]
    hinge = [(x - share * float(np.interp(y, table[1], table[3])), y) for x, y in trailing]
    return Outline("elevator", "ow-hinge", (), _both([*trailing, *reversed(hinge)]), ())


def _fan(airframe: Airframe) -> list[Outline]:
    fan = airframe.fan
    if not fan or not_measured(fan.diameter + fan.x):
        return []
    r, x, z = 500 * fan.diameter, mm(fan.x), mm(first_measured(fan.z, 0.0))
    half = 0.12 * r  # the disc's drawn half thickness
    side = ((x - half, z - r), (x + half, z - r), (x + half, z + r), (x - half, z + r))
    top = tuple((u, v - z) for u, v in side)
    circles = tuple(_circle(z, radius) for radius in (r, 500 * fan.hub) if radius)
    return [Outline("fan", "ow-fan", (side,), (top,), circles)]
