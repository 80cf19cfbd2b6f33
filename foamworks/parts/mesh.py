"""The triangle mesh of a solid [mm], made from its shape on paper: one for files, pose, 3-D view and overview alike.

A second route beside the CAD kernel: closed by construction, the same in every process, and held against volume and
box on paper before a byte is written.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from foamworks.errors import GateError
from foamworks.parts.base import Arch, Extrude, PrintPart, Revolve, Saddle, Shape
from foamworks.parts.solidmath import back_height, trough_height

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIDES = 128  # of a full turn: the volume of a round part comes out 0.04 % small
CHORD = 0.003  # mm, a meridian's points within this of a straight line are left out of the mesh
DRAWN = (40, 0.1)  # sides of a turn and mm that a mesh for pictures is made with
ACROSS, ALONG = 0.38, 0.07  # of the sides: a saddle's stations abeam, and along between two of its sections
VOLUME_BAND = 5e-3  # of the volume on paper
BOX_BAND = 0.1  # mm
FLAT = 1e-9  # mm2: twice the area of a triangle that is seen edge on
NEAR = 1e-3  # mm: corners of a silhouette this near to a straight line are left out


@dataclass(frozen=True)
class Loft:
    """A body that is drawn and not printed: closed rings of as many (x, y, z) points each, joined by straight rules."""

    rings: tuple[tuple[tuple[float, float, float], ...], ...]


Solid = Shape | Loft


@dataclass(frozen=True)
class Mesh:
    """Vertices (n, 3) [mm] and triangles (m, 3), counter-clockwise seen from outside."""

    vertices: Floats
    triangles: Ints

    @property
    def volume(self) -> float:
        """Enclosed volume [mm3], positive when the triangles look outward."""
        a, b, c = (self.vertices[self.triangles[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6

    @property
    def closed(self) -> bool:
        """Whether every edge is run through exactly once each way, and no triangle has two equal corners."""
        start = self.triangles.ravel()
        end = np.roll(self.triangles, -1, axis=1).ravel()
        count = len(self.vertices)
        forward = np.sort(start * count + end)
        there_and_back = np.array_equal(forward, np.sort(end * count + start))
        return bool(there_and_back and np.all(start != end) and np.all(np.diff(forward) > 0))


def mesh_part(part: PrintPart) -> Mesh:
    """Mesh a part and hold the mesh against its volume and box on paper; raises GateError with part and check."""
    made = mesh(part.shape)
    if not made.closed:
        raise GateError(f"{part.name}: mesh: not closed")
    if not abs(made.volume - part.volume_mm3) <= VOLUME_BAND * part.volume_mm3:
        raise GateError(f"{part.name}: mesh volume {made.volume:.1f} mm3, on paper {part.volume_mm3:.1f}")
    box = np.ptp(made.vertices, axis=0)
    if np.any(np.abs(box - part.box_mm) > BOX_BAND):
        raise GateError(f"{part.name}: mesh box {np.round(box, 2).tolist()} mm, on paper {part.box_mm}")
    return made


@lru_cache(maxsize=256)  # the views ask for a part's mesh one after the other
def mesh(shape: Solid, sides: int = SIDES, near: float = CHORD) -> Mesh:
    """Mesh a shape in its own frame: `sides` of a full turn, curves within `near` [mm]."""
    if isinstance(shape, Loft):
        return _loft(shape.rings)
    if isinstance(shape, Revolve):
        return _revolve(shape, sides, near)
    if isinstance(shape, Extrude):
        return _extrude(shape, near)
    if isinstance(shape, Arch):
        return _arch(shape, sides, near)
    return _saddle(shape, sides)


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(each.vertices) for each in meshes)])
    return Mesh(
        np.concatenate([each.vertices for each in meshes]),
        np.concatenate([each.triangles + start for each, start in zip(meshes, starts[:-1], strict=True)]),
    )


def silhouette(made: Mesh, right: Floats, up: Floats) -> list[Polygon]:
    """What a mesh covers, seen so that the unit vectors `right` and `up` lie in the picture: its outlines [mm]."""
    flat = made.vertices @ np.column_stack([right, up])
    corners = flat[made.triangles]
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    towards = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] > FLAT  # those that look at the viewer cover the others
    seen = shapely.union_all(shapely.polygons(corners[towards])).simplify(NEAR)
    return list(seen.geoms) if isinstance(seen, MultiPolygon) else [seen]


def _revolve(shape: Revolve, sides: int, near: float) -> Mesh:
    """Turn the meridian; a point on the axis is one vertex."""
    points = np.asarray(_thinned(shape, near), dtype=np.float64)
    if _signed_area(points) > 0:
        points = points[::-1]
    angle = np.linspace(0, 2 * math.pi, sides, endpoint=False)
    vertices: list[Floats] = []
    rows: list[Ints] = []
    count = 0
    for x, r in points:
        turn = angle if r > 0 else angle[:1]
        vertices.append(np.column_stack([np.full_like(turn, x), r * np.cos(turn), r * np.sin(turn)]))
        rows.append(count + np.arange(sides) % len(turn))
        count += len(turn)
    faces = [_band(a, b) for a, b in zip(rows, [*rows[1:], rows[0]], strict=True)]
    return Mesh(np.concatenate(vertices), _proper(np.concatenate(faces)))


def _thinned(shape: Revolve | Arch, near: float) -> list[tuple[float, float]]:
    """The meridian without the points that its smooth stretches can spare."""
    points, kept, i = shape.meridian, [], 0
    runs = dict(shape.smooth)
    while i < len(points):
        if i not in runs:
            kept.append(points[i])
            i += 1
            continue
        last = runs[i]
        kept += list(LineString(points[i : last + 1]).simplify(near).coords)[:-1]
        i = last
    return kept


def _signed_area(points: Floats) -> float:
    x, r = points.T
    return float(np.sum(x * np.roll(r, -1) - np.roll(x, -1) * r)) / 2


def _band(a: Ints, b: Ints) -> Ints:
    """Triangles between two closed rows of vertices."""
    an, bn = np.roll(a, -1), np.roll(b, -1)
    return np.concatenate([np.column_stack([a, an, b]), np.column_stack([an, bn, b])])


def _proper(triangles: Ints) -> Ints:
    """Leave out triangles that have shrunk to a line."""
    a, b, c = triangles.T
    return np.asarray(triangles[(a != b) & (b != c) & (c != a)])


def _extrude(shape: Extrude, near: float) -> Mesh:
    """Two caps of the outline's own vertices and a wall along every ring."""
    outline = orient(shape.outline.simplify(near))
    rings = [np.asarray(ring.coords)[:-1] for ring in (outline.exterior, *outline.interiors)]
    flat = np.concatenate(rings)
    place = {tuple(point): i for i, point in enumerate(flat.tolist())}
    corners = [
        [place[tuple(point)] for point in list(orient(piece).exterior.coords)[:3]]
        for piece in shapely.constrained_delaunay_triangles(outline).geoms
    ]
    top = np.asarray(corners, dtype=np.int64) + len(flat)
    walls, start = [], 0
    for ring in rings:
        low = start + np.arange(len(ring))
        walls.append(_band(low, low + len(flat)))
        start += len(ring)
    low_cap = top[:, ::-1] - len(flat)
    vertices = np.concatenate(
        [np.column_stack([flat, np.zeros(len(flat))]), np.column_stack([flat, np.full(len(flat), shape.height)])]
    )
    return Mesh(vertices, np.concatenate([top, low_cap, *walls]))


def _arch(shape: Arch, sides: int, near: float) -> Mesh:
    """A hood: one path over the roof for each point of the meridian, bands between them, and the foot."""
    points = np.asarray(_thinned(shape, near), dtype=np.float64)
    if _signed_area(points) > 0:
        points = points[::-1]
    angle = np.linspace(0, math.pi, sides // 2 + 1)
    across, up = np.cos(angle), np.sin(angle)
    across[-1] = -across[0]
    vertices: list[Floats] = []
    rows: list[Ints] = []
    count = 0
    for x, r in points:
        path = np.column_stack([np.full_like(angle, x), r * across, shape.height + r * up])
        path[[0, -1], 2] = shape.height  # the sine of half a turn is not quite nothing
        foot = [path[0] * (1, 1, 0), path[-1] * (1, 1, 0)]
        whole = np.vstack([foot[0], path, foot[1]]) if shape.height > 0 else path
        there, first = np.unique(np.round(whole, 9), axis=0, return_inverse=True)
        vertices.append(there)
        rows.append(count + first.reshape(-1))
        count += len(there)
    bands = [_strip(a, b) for a, b in itertools.pairwise(rows)]
    all_vertices = np.concatenate(vertices)
    faces = _proper(np.concatenate([*bands, _foot(all_vertices, rows)]))
    return Mesh(all_vertices, faces)


def _strip(a: Ints, b: Ints) -> Ints:
    """Triangles between two open rows of vertices."""
    return np.concatenate([np.column_stack([a[:-1], a[1:], b[:-1]]), np.column_stack([a[1:], b[1:], b[:-1]])])


def _foot(vertices: Floats, rows: list[Ints]) -> Ints:
    """Triangles of the flat foot, seen from below: out along the rows' first ends, back along their last."""
    ring = [row[0] for row in rows] + [row[-1] for row in rows[-2:0:-1]]
    place = {(float(vertices[i, 0]), float(vertices[i, 1])): int(i) for i in ring}
    pieces = shapely.constrained_delaunay_triangles(shapely.Polygon(list(place))).geoms
    corners = [
        [place[(float(x), float(y))] for x, y in list(orient(piece, -1.0).exterior.coords)[:3]] for piece in pieces
    ]
    return np.asarray(corners, dtype=np.int64)


def _saddle(shape: Saddle, sides: int) -> Mesh:
    """Two grids, trough and back, and the walls between their borders."""
    across, along_each = 1 + 2 * round(ACROSS * sides / 2), max(round(ALONG * sides), 2)
    at = [section.x for section in shape.sections]
    pieces = [np.linspace(a, b, along_each)[:-1] for a, b in itertools.pairwise(at)]
    along = np.concatenate([*pieces, at[-1:]])
    x, y = np.meshgrid(along, np.linspace(-shape.width / 2, shape.width / 2, across), indexing="ij")
    surfaces = [
        np.stack([x, y, height(shape, x, y)], axis=-1).reshape(-1, 3) for height in (trough_height, back_height)
    ]
    grid = np.arange(x.size).reshape(x.shape)
    a, b, c, d = (part.ravel() for part in (grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]))
    top = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    border = np.concatenate([grid[:, 0], grid[-1, 1:], grid[-2::-1, -1], grid[0, -2:0:-1]])
    wall = _band(border, border + x.size)
    return Mesh(np.concatenate(surfaces), np.concatenate([top, top[:, ::-1] + x.size, wall[:, ::-1]]))


def _loft(rings: Sequence[Sequence[tuple[float, float, float]]]) -> Mesh:
    """Bands between neighbouring rings and a fan over each end."""
    points = np.asarray(rings, dtype=np.float64)
    count, many = points.shape[:2]
    rows = np.arange(count * many).reshape(count, many)
    low, high = count * many, count * many + 1
    vertices = np.concatenate([points.reshape(-1, 3), points[[0, -1]].mean(axis=1)])
    fans = [
        np.column_stack([np.full(many, middle), ring, np.roll(ring, -1)])
        for middle, ring in ((low, rows[0][::-1]), (high, rows[-1]))
    ]
    faces = np.concatenate([*(_band(a, b) for a, b in itertools.pairwise(rows)), *fans])
    made = Mesh(vertices, faces)
    return made if made.volume > 0 else Mesh(vertices, faces[:, ::-1])
