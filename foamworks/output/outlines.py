"""What the overview draws: the outline of each thing on the aircraft in side, top and front view. Millimetres.

Side view: (x aft, z up), seen from port. Top view: (x aft, y to starboard), seen from above, starboard up. Front
view: (-y, z), seen from ahead, so starboard is on the left.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import MultiPoint, Polygon, unary_union

from foamworks.aircraft.fins import FinSet
from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe, Section
from foamworks.output.drawing import Pt
from foamworks.parts.base import Arch, PrintPart, Revolve, Saddle
from foamworks.parts.density import board_named, stuff
from foamworks.parts.make import layout_of, pod_place
from foamworks.parts.pod import PodLayout, PodPlace, lower_side
from foamworks.parts.solidmath import back_height, on_aircraft, trough_height
from foamworks.physics.planform import section_half_thickness

Ring = tuple[Pt, ...]
TAIL_THICKNESS = 0.06  # over chord, drawn only: nobody measures a tailplane's thickness
AROUND = 48  # points of an ellipse


@dataclass(frozen=True)
class Outline:
    """One thing: its name, how it is drawn, and its closed rings in each view [mm]."""

    name: str
    style: str
    side: tuple[Ring, ...] = ()
    top: tuple[Ring, ...] = ()
    front: tuple[Ring, ...] = ()


def outlines(case: Case) -> list[Outline]:
    """Give everything that is drawn, in the order it is drawn in."""
    airframe = case.design.airframe
    if airframe is None:
        return []
    found = [_fuselage(airframe), *_wing(airframe), _fan(airframe)]
    if case.study.old_fin is not None:
        gone = case.study.new_fins is not None
        found.append(_fin("old fin" if gone else "fin", "ow-old" if gone else "ow-fin", case.study.old_fin, 2.0))
    if case.study.new_fins is not None:
        found.append(_new_fins(case, case.study.new_fins))
    found += _pod(case)
    found += [_camera(case), *(_hood(part) for part in case.parts.prints if isinstance(part.shape, Arch))]
    return [outline for outline in found if outline is not None]


def ellipse(centre: Pt, across: float, up: float) -> Ring:
    """Give an ellipse by its two half axes."""
    turn = np.linspace(0, 2 * math.pi, AROUND, endpoint=False)
    return tuple(
        (float(x), float(y))
        for x, y in zip(centre[0] + across * np.cos(turn), centre[1] + up * np.sin(turn), strict=True)
    )


def _hull(rings: Iterable[Ring]) -> Ring:
    points = MultiPoint([point for ring in rings for point in ring])
    return _ring(points.convex_hull)


def _ring(shape: object) -> Ring:
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords[:-1]) if isinstance(shape, Polygon) else ()


def sections_mm(airframe: Airframe) -> list[Section]:
    """Give the fuselage's sections [mm]; none when it was not measured."""
    if airframe.fuselage is None:
        return []
    keys = ("x", "width", "height", "z")
    return [Section.model_construct(**{k: 1000 * getattr(s, k) for k in keys}) for s in airframe.fuselage.sections]


def _fuselage(airframe: Airframe) -> Outline | None:
    rows = sections_mm(airframe)
    if not rows:
        return None
    side = [(s.x, s.z + s.height / 2) for s in rows] + [(s.x, s.z - s.height / 2) for s in reversed(rows)]
    top = [(s.x, s.width / 2) for s in rows] + [(s.x, -s.width / 2) for s in reversed(rows)]
    seen = unary_union([Polygon(ellipse((0, s.z), s.width / 2, s.height / 2)) for s in rows if s.width * s.height > 0])
    pieces = getattr(seen, "geoms", [seen])
    return Outline("fuselage", "ow-body", (tuple(side),), (tuple(top),), tuple(_ring(piece) for piece in pieces))


def airfoil(x: float, z: float, chord: float, thickness: float, steps: int = 12) -> list[Pt]:
    """Give a plain symmetrical section, upper side from the leading edge and back below; the four-digit thickness
    law (NACA Report 460), closed at the trailing edge. `thickness` over chord.
    """  # fmt: skip
    share = (1 - np.cos(np.linspace(0, math.pi, steps + 1))) / 2
    half = section_half_thickness(share=share, thickness=thickness)
    upper = [(x + chord * float(a), z + chord * float(b)) for a, b in zip(share, half, strict=True)]
    return upper + [
        (x + chord * float(a), z - chord * float(b)) for a, b in zip(share[-2:0:-1], half[-2:0:-1], strict=True)
    ]


def _wing(airframe: Airframe) -> list[Outline]:
    found = []
    if airframe.wing is not None:
        rows = [(1000 * s.x, 1000 * s.y, 1000 * s.z, 1000 * s.chord) for s in airframe.wing.stations]
        found.append(_flat("wing", "ow-wing", rows, airframe.wing.thickness))
    if airframe.tailplane is not None:
        rows = [(1000 * s.x, 1000 * s.y, 1000 * s.z, 1000 * s.chord) for s in airframe.tailplane.stations]
        found.append(_flat("tailplane", "ow-tail", rows, TAIL_THICKNESS))
        elevator = airframe.tailplane.elevator
        if elevator is not None:
            found.append(_elevator(rows, elevator.chord_fraction, elevator.span))
    return found


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


def _fan(airframe: Airframe) -> Outline | None:
    fan = airframe.fan
    if fan is None or fan.diameter is None or fan.x is None:
        return None
    r, x, z = 500 * fan.diameter, 1000 * fan.x, 1000 * (fan.z or 0.0)
    half = 0.12 * r  # the disc's drawn half thickness
    side = ((x - half, z - r), (x + half, z - r), (x + half, z + r), (x - half, z + r))
    top = tuple((u, v - z) for u, v in side)
    circles = [ellipse((0, z), r, r)] + ([ellipse((0, z), 500 * fan.hub, 500 * fan.hub)] if fan.hub else [])
    return Outline("fan", "ow-fan", (side,), (top,), tuple(circles))


def _fin(name: str, style: str, fin: FinSet, thickness: float) -> Outline:
    """Draw one set of fins; `thickness` [mm] is what stands across them in top and front view."""
    s = fin.stations
    side = [(1000 * x, 1000 * (fin.z + (h - s.s[0]) * math.cos(fin.cant))) for x, h in zip(s.x, s.s, strict=True)]
    aft = [(x + 1000 * c, z) for (x, z), c in zip(side, s.chord, strict=True)]
    ring = tuple(side + aft[::-1])
    y0 = 1000 * fin.y
    lean = 1000 * (s.s[-1] - s.s[0]) * math.sin(fin.cant)
    low, high = 1000 * fin.z, side[-1][1]
    half = thickness / 2
    left, right = min(u for u, _ in ring), max(u for u, _ in ring)
    root, tip = (side[0][0], aft[0][0]), (side[-1][0], aft[-1][0])
    top: list[Ring] = []
    front: list[Ring] = []
    for sign in (1, -1) if fin.count == 2 else (1,):
        y, t = sign * y0, sign * (y0 + lean)
        if abs(lean) < thickness:
            top.append(((left, y - half), (right, y - half), (right, y + half), (left, y + half)))
        else:
            top.append(((root[0], y), (root[1], y), (tip[1], t), (tip[0], t)))
        front.append(((-y - half, low), (-y + half, low), (-t + half, high), (-t - half, high)))
    return Outline(name, style, (ring,), tuple(top), tuple(front))


def _new_fins(case: Case, fin: FinSet) -> Outline:
    asked = case.design.fins
    thickness = stuff(board_named(case.design, asked.board if asked else None)).thickness
    return _fin("new fins" if fin.count == 2 else "new fin", "ow-new", fin, thickness)


def _pod(case: Case) -> list[Outline]:
    pod, place, layout = case.design.pod, pod_place(case.design), layout_of(case.design)
    if pod is None or place is None or layout is None:
        return []
    prints = {part.name: part for part in case.parts.prints}
    found = [_saddle(part) for part in case.parts.prints if isinstance(part.shape, Saddle)]
    r = 500 * pod.tube.outer
    found.append(_turned("pod tube", "ow-tube", place, [(layout.tube[0], r), (layout.tube[1], r)]))
    cone = prints.get("nose cone")
    if cone is not None and isinstance(cone.shape, Revolve):
        found.append(_turned("nose cone", "ow-new", place, lower_side(layout, tube_outer=2 * r, nose=cone.shape)[1:]))
    return found + _motors(place, layout)


def _motors(place: PodPlace, layout: PodLayout) -> list[Outline]:
    return [
        _turned(
            fit.motor.name,
            "ow-motor",
            place,
            [(0.0, fit.motor.diameter / 2), (fit.motor.length, fit.motor.diameter / 2)],
        )
        for fit in layout.motors
        if fit.fits
    ]


def _turned(name: str, style: str, place: PodPlace, profile: Sequence[tuple[float, float]]) -> Outline:
    """Draw a body of revolution on the pod's axis from its (station, radius) points."""
    cos, sin = math.cos(place.downthrust), math.sin(place.downthrust)
    axis = [(*place.point(s), r) for s, r in profile]
    side = [(x - r * sin, z + r * cos) for x, z, r in axis] + [(x + r * sin, z - r * cos) for x, z, r in reversed(axis)]
    top: list[Ring] = []
    front: list[Ring] = []
    for y in place.ys:
        top.append(_hull([ellipse((x, y), r * abs(sin) + 1e-6, r) for x, _, r in axis if r > 0]))
        front.append(_hull([ellipse((-y, z), r, r * cos) for _, z, r in axis if r > 0]))
    return Outline(name, style, (tuple(side),), tuple(top), tuple(front))


def _saddle(part: PrintPart) -> Outline:
    shape = part.shape
    if not isinstance(shape, Saddle):
        return Outline(part.name, "ow-new")
    x = np.linspace(0, shape.length, 25)
    edge = np.full_like(x, shape.width / 2)
    high, low = trough_height(shape, x, edge), np.minimum(back_height(shape, x, edge), back_height(shape, x, -edge))
    y = np.linspace(-shape.width / 2, shape.width / 2, 25)
    end = np.zeros_like(y)
    over, under = trough_height(shape, end, y), back_height(shape, end, y)
    side, top, front = [], [], []
    for p in part.places:
        points = [(p.x + float(a), p.z + float(b)) for a, b in zip(x, high, strict=True)]
        side.append(tuple(points + [(p.x + float(a), p.z + float(b)) for a, b in zip(x[::-1], low[::-1], strict=True)]))
        half = shape.width / 2
        top.append(
            ((p.x, p.y - half), (p.x + shape.length, p.y - half), (p.x + shape.length, p.y + half), (p.x, p.y + half))
        )
        points = [(-p.y - float(a), p.z + float(b)) for a, b in zip(y, over, strict=True)]
        front.append(
            tuple(points + [(-p.y - float(a), p.z + float(b)) for a, b in zip(y[::-1], under[::-1], strict=True)])
        )
    return Outline("mount", "ow-new", tuple(side), tuple(top), tuple(front))


def _camera(case: Case) -> Outline | None:
    camera = case.design.camera
    if camera is None or camera.at is None:
        return None
    x, y, z = 1000 * camera.at.x, 1000 * camera.at.y, 1000 * camera.at.z
    dx, dy, dz = 500 * camera.body.length, 500 * camera.body.width, 500 * camera.body.height
    return Outline("camera", "ow-box", (_box(x, z, dx, dz),), (_box(x, y, dx, dy),), (_box(-y, z, dy, dz),))


def _box(u: float, v: float, du: float, dv: float) -> Ring:
    return ((u - du, v - dv), (u + du, v - dv), (u + du, v + dv), (u - du, v + dv))


def _hood(part: PrintPart) -> Outline:
    """Draw a camera's fairing, convex whichever way one looks at it."""
    shape = part.shape
    if not isinstance(shape, Arch):
        return Outline(part.name, "ow-new")
    turn = np.linspace(0, math.pi, AROUND // 2 + 1)
    own = [(x, r * math.cos(t), shape.height + r * math.sin(t)) for x, r in shape.meridian for t in turn]
    own += [(x, side * r, 0.0) for x, r in shape.meridian for side in (-1, 1)]
    there = [on_aircraft(point, place) for place in part.places for point in own]
    views = ([(x, z) for x, _, z in there], [(x, y) for x, y, _ in there], [(-y, z) for _, y, z in there])
    side, top, front = (((_hull([tuple(view)]),) if there else ()) for view in views)
    return Outline(part.name, "ow-new", side, top, front)
