"""What the report's 3-D view shows, as plain lists: the aircraft and its printed parts as triangles. Millimetres.

Coarser than what is printed: round parts have 40 sides, curves are within 0.1 mm. The numbers are whole tenths of a
millimetre, so that the page stays small.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from foamworks.checks.case import Case
from foamworks.output.outlines import TAIL_THICKNESS, airfoil, sections_mm
from foamworks.output.prints import mesh
from foamworks.parts.base import Arch, Extrude, Placement, PrintPart, Revolve, Saddle
from foamworks.parts.make import layout_of, pod_place
from foamworks.parts.solidmath import back_height, on_aircraft, trough_height

Floats = NDArray[np.float64]
Vertices = list[tuple[float, float, float]]
Faces = list[tuple[int, int, int]]
Mesh = tuple[Vertices, Faces]
Carry = Callable[[float, float, float], tuple[float, float, float]]

SIDES = 40  # of a full turn
NEAR = 0.1  # mm: how far a drawn curve may stray
GROUPS = {"airframe": 0, "old": 1, "board": 2, "print": 3, "bought": 4}  # the view has a colour for each


def scene(case: Case) -> dict[str, Any] | None:
    """Give the parts of the view, each with name, group, whether it shows at first, vertices and triangles; None
    when there is nothing to show.
    """  # fmt: skip
    rows = [*_airframe(case), *_fins(case), *_prints(case), *_bought(case)]
    parts = [_part(name, group, mesh, shown) for name, group, mesh, shown in rows if mesh[1]]
    return {"parts": parts} if parts else None


def _part(name: str, group: str, mesh: Mesh, shown: bool) -> dict[str, Any]:
    tenths = [round(10 * value) for vertex in mesh[0] for value in vertex]
    return {
        "name": name,
        "group": GROUPS[group],
        "shown": shown,
        "v": tenths,
        "f": [i for face in mesh[1] for i in face],
    }


Row = tuple[str, str, Mesh, bool]


def _airframe(case: Case) -> list[Row]:
    airframe = case.design.airframe
    if airframe is None:
        return []
    found: list[Row] = []
    rings = [
        [
            (s.x, s.width / 2 * math.cos(t), s.z + s.height / 2 * math.sin(t))
            for t in np.linspace(0, 2 * math.pi, SIDES, endpoint=False)
        ]
        for s in sections_mm(airframe)
    ]
    if rings:
        found.append(("fuselage", "airframe", lofted(rings), True))
    for name, surface, thickness in (
        ("wing", airframe.wing, airframe.wing.thickness if airframe.wing else 0.0),
        ("tailplane", airframe.tailplane, TAIL_THICKNESS),
    ):
        if surface is not None:
            rows = [(1000 * s.x, 1000 * s.y, 1000 * s.z, 1000 * max(s.chord, 1e-4)) for s in surface.stations]
            found.append((name, "airframe", _joined([_half(rows, thickness, sign) for sign in (1, -1)]), True))
    return found


def _half(rows: Sequence[tuple[float, float, float, float]], thickness: float, sign: int) -> Mesh:
    return lofted([[(a, sign * y, b) for a, b in airfoil(x, z, chord, thickness)] for x, y, z, chord in rows])


def lofted(rings: Sequence[Vertices]) -> Mesh:
    """Join closed rings of as many points each by straight rules, and close both ends."""
    count = len(rings[0])
    vertices = [point for ring in rings for point in ring]
    faces: Faces = []
    for low, high in itertools.pairwise(range(0, len(vertices), count)):
        faces += _band([low + i for i in range(count)], [high + i for i in range(count)])
    for start, ring in ((0, rings[0]), (len(vertices) - count, rings[-1])):
        middle = tuple(sum(p[i] for p in ring) / count for i in range(3))
        vertices.append((middle[0], middle[1], middle[2]))
        faces += [(len(vertices) - 1, start + i, start + (i + 1) % count) for i in range(count)]
    return vertices, faces


def _band(a: Sequence[int], b: Sequence[int]) -> Faces:
    """Triangles between two closed rows; neighbours that are one vertex give none."""
    found: Faces = []
    for i in range(len(a)):
        j = (i + 1) % len(a)
        found += [face for face in ((a[i], a[j], b[i]), (a[j], b[j], b[i])) if len(set(face)) == 3]
    return found


def _joined(meshes: Sequence[Mesh]) -> Mesh:
    vertices: Vertices = []
    faces: Faces = []
    for more, triangles in meshes:
        start = len(vertices)
        vertices += more
        faces += [(a + start, b + start, c + start) for a, b, c in triangles]
    return vertices, faces


def extruded(outline: Polygon, low: float, high: float, carry: Carry) -> Mesh:
    """Stand an outline up between two heights and carry every point (x, y, height) to where it belongs."""
    shape = orient(outline.simplify(NEAR))
    loops = [list(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
    flat = [(float(x), float(y)) for loop in loops for x, y in loop]
    index = {point: i for i, point in enumerate(flat)}
    caps = [
        [index[(float(x), float(y))] for x, y in list(piece.exterior.coords)[:3]]
        for piece in shapely.constrained_delaunay_triangles(shape).geoms
    ]
    many = len(flat)
    faces: Faces = [(a, b, c) for a, b, c in caps] + [(a + many, b + many, c + many) for a, b, c in caps]
    start = 0
    for loop in loops:
        ring = range(start, start + len(loop))
        faces += _band(list(ring), [i + many for i in ring])
        start += len(loop)
    return [carry(x, y, low) for x, y in flat] + [carry(x, y, high) for x, y in flat], faces


def revolved(meridian: Sequence[tuple[float, float]], carry: Carry) -> Mesh:
    """Turn a closed meridian of (axial, radius) points about its axis."""
    points = list(LineString([*meridian, meridian[0]]).simplify(NEAR).coords)[:-1]
    vertices: Vertices = []
    rows: list[list[int]] = []
    for x, r in points:
        start = len(vertices)
        turns = np.linspace(0, 2 * math.pi, SIDES, endpoint=False) if r > 0 else [0.0]
        vertices += [carry(float(x), float(r * math.cos(t)), float(r * math.sin(t))) for t in turns]
        rows.append([start + i % len(turns) for i in range(SIDES)])
    faces: Faces = []
    for a, b in itertools.pairwise([*rows, rows[0]]):
        faces += _band(a, b)
    return vertices, faces


def _fins(case: Case) -> list[Row]:
    found: list[Row] = []
    old, new = case.study.old_fin, case.study.new_fins
    if old is not None:
        s = old.stations
        edge = list(zip(s.x, s.s, strict=True)) + [
            (x + c, h) for x, h, c in zip(s.x[::-1], s.s[::-1], s.chord[::-1], strict=True)
        ]
        sides = (1000 * old.y, -1000 * old.y) if old.count == 2 else (0.0,)
        shape = Polygon([(1000 * x, 1000 * h) for x, h in edge])
        meshes = [extruded(shape, -2.0, 2.0, _standing(y)) for y in sides]
        found.append(("old fin" if new else "fin", "old" if new else "airframe", _joined(meshes), new is None))
    board = next((part for part in case.parts.boards if part.name == "fin"), None)
    if new is not None and board is not None:
        x, y, z = 1000 * new.stations.x[0], 1000 * new.y, 1000 * new.z
        half = board.thickness_mm / 2
        signs = (1, -1) if new.count == 2 else (1,)
        meshes = [extruded(board.outline, -half, half, _leaning(x, y, z, new.cant, sign)) for sign in signs]
        found.append(("new fins" if new.count == 2 else "new fin", "board", _joined(meshes), True))
    return found


def _standing(y: float) -> Carry:
    return lambda x, h, across: (x, y + across, h)


def _leaning(x: float, y: float, z: float, cant: float, sign: int) -> Carry:
    """Carry a fin's own frame (up along the fin, aft, across) onto the aircraft."""
    sin, cos = math.sin(cant), math.cos(cant)
    return lambda up, aft, across: (x + aft, sign * (y + up * sin + across * cos), z + up * cos - across * sin)


def _prints(case: Case) -> list[Row]:
    """Give the printed parts in place; where no part has a place, as with a nose alone, all of them in a row."""
    found: list[Row] = []
    ahead = 0.0
    placed = any(part.places for part in case.parts.prints) or case.design.airframe is not None
    for part in case.parts.prints:
        if part.places:
            meshes = [_printed(part, _placed(place)) for place in part.places]
            found.append((part.name, "print", _joined(meshes), True))
        elif not placed:
            y = ahead + part.box_mm[1] / 2
            found.append((part.name, "print", _printed(part, _beside(y)), True))
            ahead += part.box_mm[1] + 10
    return found


def _placed(place: Placement) -> Carry:
    return lambda x, y, z: on_aircraft((x, y, z), place)


def _beside(aside: float) -> Carry:
    return lambda x, y, z: (x, y + aside, z)


def _printed(part: PrintPart, carry: Carry) -> Mesh:
    shape = part.shape
    if isinstance(shape, Revolve):
        return revolved(shape.meridian, carry)
    if isinstance(shape, Extrude):
        return extruded(shape.outline, 0.0, shape.height, carry)
    if isinstance(shape, Arch):
        made = mesh.arch(shape, sides=SIDES, near=NEAR)
        return [carry(*vertex) for vertex in made.vertices.tolist()], [(a, b, c) for a, b, c in made.triangles.tolist()]
    return _saddle(shape, carry)


def _saddle(shape: Saddle, carry: Carry) -> Mesh:
    along = np.unique(np.concatenate([np.linspace(0, shape.length, 7), [s.x for s in shape.sections]]))
    across = np.linspace(-shape.width / 2, shape.width / 2, 13)
    rings = []
    for x in along:
        at = np.full_like(across, x)
        top, bottom = trough_height(shape, at, across), back_height(shape, at, across)
        ring = [(x, y, z) for y, z in zip(across, top, strict=True)]
        ring += [(x, y, z) for y, z in zip(across[::-1], bottom[::-1], strict=True)]
        rings.append([carry(float(a), float(b), float(c)) for a, b, c in ring])
    return lofted(rings)


def _bought(case: Case) -> list[Row]:
    """Give tube, the longest motor, battery mark and camera."""
    found: list[Row] = []
    pod, place, layout = case.design.pod, pod_place(case.design), layout_of(case.design)
    if pod is not None and place is not None and layout is not None and pod.tube.inner is not None:
        inner, outer = 500 * pod.tube.inner, 500 * pod.tube.outer
        length = layout.tube[1] - layout.tube[0]
        meridian = [(0.0, inner), (0.0, outer), (length, outer), (length, inner)]
        tubes = [revolved(meridian, _placed(p)) for p in place.revolved(layout.tube[1])]
        found.append(("pod tube", "bought", _joined(tubes), True))
        held = [fit.motor for fit in layout.motors if fit.fits]
        for motor in held:
            case_line = [(0.0, 0.0), (0.0, motor.diameter / 2), (motor.length, motor.diameter / 2), (motor.length, 0.0)]
            cases = [revolved(case_line, _placed(p)) for p in place.revolved(motor.length)]
            found.append((motor.name, "bought", _joined(cases), motor is held[-1]))
    camera = case.design.camera
    if camera is not None and camera.at is not None:
        x, y, z = (1000 * v for v in (camera.at.x, camera.at.y, camera.at.z))
        dx, dy, dz = (500 * v for v in (camera.body.length, camera.body.width, camera.body.height))
        box = Polygon([(x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)])
        found.append(("camera", "bought", extruded(box, z - dz, z + dz, lambda a, b, c: (a, b, c)), True))
    return found
