"""A cut path made ready for nesting: grown by half the gap, a little simplified, cut into convex pieces [mm].

All simplification only adds material, so two grown shapes that do not overlap keep the gap. Coordinates are about
the centre of the cut path's own bounding box: a half turn then maps the box onto itself.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.polygon import orient

from foamworks.parts.nest.model import turned

Array = NDArray[np.float64]

MITRE = 1.05  # a sharp corner is cut off at this multiple of the growth; a round buffer would be short between vertices
MOST_CONVEX = 16  # convex pieces in one shape; work grows with its square, beyond it the outline is filled in a little
SIZES = (2, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96)  # numbers rows are padded to, so that bundles can be joined
UPRIGHT = 1e-9  # y of a unit normal below which a side stands upright
CONVEX_SHARE = 0.1  # outer curves are followed this much closer than hollows: they touch, hollows seldom do
LEAST_CROSS = -1e-9  # mm2, a corner this little reflex still counts as convex
EXACT = 1e-8  # mm, depth of the changes to an outline that is to stay exact: corners on a straight side go
MOST_CORNERS = 400  # of the convex parts of an outline that is to stay exact; with more it is simplified all the same
HOLE_CORNERS = 2000  # the same with its holes, which only what goes into them meets
SAME = 1e-6  # mm by which a hole may be narrower than what is to enter it


@dataclass(frozen=True)
class Bundle:
    """Convex parts made ready for pairing: corners, and unit normals of the sides that look up and that look down.

    (parts, k, 2) and twice (parts, m, 2), padded by repeating; upright sides are in neither.
    """

    corners: Array
    upper: Array
    lower: Array

    @property
    def rows(self) -> tuple[Array, Array, Array]:
        """The three arrays, to be joined with others' of the same size."""
        return self.corners, self.upper, self.lower

    @property
    def size(self) -> tuple[int, int]:
        """Number of corners and of sides up and down that the parts are padded to."""
        return self.corners.shape[1], self.upper.shape[1]

    @cached_property
    def normals(self) -> Array:
        """Outward unit normals of all sides (parts, k, 2); padding repeats the closing side's."""
        normals, flat = _outward(self.corners)
        return np.where(flat[..., None], normals[:, -1:, :], normals)

    @cached_property
    def reach(self) -> Array:
        """How far the parts reach along their normals (parts, k)."""
        return np.asarray((self.normals * self.corners).sum(axis=2))


def products(normals: Array, corners: Array) -> Array:
    """Scalar products of normals (p, m, 2) with corners (q, k, 2): (p, m, q, k).

    Written out: a matrix product may round differently with the number of cores.
    """
    n, c = normals[:, :, None, None], corners[None, None]
    return np.asarray(n[..., 0] * c[..., 0] + n[..., 1] * c[..., 1])


def bundle(parts: Sequence[Array]) -> Bundle:
    """Make convex parts, counter-clockwise, ready for pairing."""
    corners = _padded(parts)
    normals, flat = _outward(corners)
    up, down = ((sign * normals[..., 1] > UPRIGHT) & ~flat for sign in (1, -1))
    sides = [[row[take] for row, take in zip(normals, chosen, strict=True)] for chosen in (up, down)]
    both = _padded([*sides[0], *sides[1]])
    return Bundle(corners, both[: len(parts)], both[len(parts) :])


def _padded(rows: Sequence[Array]) -> Array:
    most = max(len(row) for row in rows)
    most = next((size for size in SIZES if size >= most), most)
    return np.stack([np.concatenate([row, np.repeat(row[-1:], most - len(row), axis=0)]) for row in rows])


def _outward(corners: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Outward unit normals of the sides from each corner to the next, and which sides have no length."""
    side = np.concatenate([corners[:, 1:], corners[:, :1]], axis=1) - corners
    length = np.hypot(side[..., 0], side[..., 1])
    flat = length < 1e-12
    return np.stack([side[..., 1], -side[..., 0]], axis=-1) / np.where(flat, 1.0, length)[..., None], flat


@dataclass(frozen=True)
class Form:
    """One shape in one turn, about the centre of its cut path's box.

    `centre` of the box in the turned own frame; `half` the box's half width and height; `convex` the grown shape's
    convex parts, each (k, 2) counter-clockwise; `bare` the same of the cut path itself, not grown. `filled` is the
    grown shape without its holes, for what does not go into the largest, `hole` wide and high [mm]; in shapes that may
    be simplified it is `convex`.
    """

    centre: tuple[float, float]
    half: tuple[float, float]
    convex: tuple[Array, ...]
    bare: tuple[Array, ...]
    filled: tuple[Array, ...]
    hole: tuple[float, float]
    area: float
    hull_area: float

    @cached_property
    def reach(self) -> tuple[float, float]:
        """Half width and height of the grown shape about the centre."""
        corners = np.abs(np.concatenate(self.convex)).max(axis=0)
        return float(corners[0]), float(corners[1])

    @cached_property
    def grown(self) -> Bundle:
        """The grown shape's parts ready for pairing."""
        return bundle(self.convex)

    @cached_property
    def outer(self) -> Bundle:
        """The same without holes."""
        return self.grown if self.filled is self.convex else bundle(self.filled)

    def takes(self, other: "Form") -> bool:
        """Tell whether another shape might go into a hole of this one, both grown."""
        return all(hole + SAME >= 2 * reach for hole, reach in zip(self.hole, other.reach, strict=True))


def facing(one: Form, other: Form) -> tuple[Bundle, Bundle]:
    """Give the parts of two shapes that can meet: without holes when neither goes into a hole of the other."""
    if one.takes(other) or other.takes(one):
        return one.grown, other.grown
    return one.outer, other.outer


def forms(
    outline: Polygon,
    turns: Sequence[int],
    *,
    gap: float,
    least_hole: float,
    tolerance: float,
    bare: bool = False,
    exact: bool = False,
) -> list[Form]:
    """Make a shape ready in each of its turns; holes narrower than `least_hole` are filled: nothing enters them."""
    cut = exact_parts if exact else convex_parts
    bare_parts = cut(outline, tolerance) if bare else []
    grown = fill_holes(grow(outline, gap / 2), least_hole - SAME)
    if exact:
        grown = _boxed(grown, outline, gap / 2)
    filled = exact_parts(Polygon(grown.exterior), tolerance) if exact and grown.interiors else None
    grown_parts = cut(grown, tolerance)
    return [
        _form(turned(outline, turn), turn, turned(grown, turn), (grown_parts, bare_parts, filled)) for turn in turns
    ]


def _form(
    outline: Polygon, turn: int, grown: Polygon, rows: tuple[list[Array], list[Array], list[Array] | None]
) -> Form:
    left, low, right, high = outline.bounds
    centre = ((left + right) / 2, (low + high) / 2)
    convex, bare, filled = (
        tuple(np.asarray(turned(Polygon(part), turn).exterior.coords)[:-1] - centre for part in row or ())
        for row in rows
    )
    boxes = np.asarray([ring.bounds for ring in grown.interiors]).reshape(-1, 4)
    wide, high_ = ((boxes[:, k + 2] - boxes[:, k]).max(initial=0.0) for k in (0, 1))
    half = ((right - left) / 2, (high - low) / 2)
    return Form(
        centre,
        half,
        convex,
        bare,
        filled or convex,
        (float(wide), float(high_)),
        outline.area,
        outline.convex_hull.area,
    )


def grow(outline: Polygon, distance: float) -> Polygon:
    """Grow an outline so that everything within `distance` of it is covered, corners mitred."""
    if distance == 0:
        return outline
    return outline.buffer(distance, join_style="mitre", mitre_limit=MITRE)


def _boxed(grown: Polygon, outline: Polygon, distance: float) -> Polygon:
    """Cut off what a mitre reaches beyond the distance along x and y, where parts most often touch."""
    left, low, right, high = outline.bounds
    cut = grown.intersection(shapely.box(left - distance, low - distance, right + distance, high + distance))
    return cut if isinstance(cut, Polygon) else grown


def fill_holes(outline: Polygon, least: float) -> Polygon:
    """Drop the holes whose box is narrower than `least`."""
    keep = []
    for ring in outline.interiors:
        left, low, right, high = ring.bounds
        if min(right - left, high - low) >= least:
            keep.append(ring)
    return Polygon(outline.exterior, keep)


def convex_parts(outline: Polygon, tolerance: float) -> list[Array]:
    """Cut an outline into convex parts that cover it, at most MOST_CONVEX if it can be had by filling it in.

    >>> [len(part) for part in convex_parts(shapely.box(0, 0, 4, 1).union(shapely.box(0, 0, 1, 4)), 0.1)]
    [4, 4]
    """
    parts = _merged(enclosing(outline, tolerance))
    while len(parts) > MOST_CONVEX and tolerance < max(outline.bounds[2:]) - min(outline.bounds[:2]):
        tolerance *= 1.5
        parts = _merged(enclosing(outline, tolerance))
    if len(parts) > MOST_CONVEX:
        parts = _merged(orient(outline.convex_hull))
    return parts


def exact_parts(outline: Polygon, tolerance: float) -> list[Array]:
    """Cut an outline into convex parts that are it, not more; as convex_parts does when that takes too many corners."""
    parts = _merged(enclosing(outline, EXACT))
    most = HOLE_CORNERS if outline.interiors else MOST_CORNERS
    return parts if sum(map(len, parts)) <= most else convex_parts(outline, tolerance)


def enclosing(outline: Polygon, tolerance: float) -> Polygon:
    """Give an outline with fewer corners that covers the given one, each change at most `tolerance` deep."""
    outline = orient(outline)
    rings = [_fewer(np.asarray(ring.coords)[:-1], tolerance) for ring in (outline.exterior, *outline.interiors)]
    simple = Polygon(rings[0], rings[1:])
    if simple.is_valid and not outline.difference(simple).area > 1e-9 * outline.area:
        return simple
    return outline


def _fewer(ring: Array, tolerance: float) -> Array:
    """Take corners from a ring (material on its left) while each step adds material no deeper than `tolerance`."""
    while len(ring) > 3:
        cost, corner = _removals(ring)
        chosen = _apart(cost, tolerance * np.where(np.isnan(corner[:, 0]), 1.0, CONVEX_SHARE), len(ring) - 3)
        if not chosen:
            break
        gone = []
        for index in chosen:
            join = not np.isnan(corner[index, 0])
            if join:
                ring[index] = corner[index]
            gone.append((index + join) % len(ring))
        ring = np.delete(ring, gone, axis=0)
    return ring


def _apart(cost: Array, limit: Array, most: int) -> list[int]:
    """Choose cheap steps, the cheapest first, that do not touch the same corners."""
    size = len(cost)
    free = np.ones(size, dtype=bool)
    chosen: list[int] = []
    for index in np.argsort(cost, kind="stable"):
        if cost[index] > limit[index] or len(chosen) == most:
            continue
        near = np.arange(index - 1, index + 3) % size
        if free[near].all():
            free[near] = False
            chosen.append(int(index))
    return chosen


def _removals(ring: Array) -> tuple[Array, Array]:
    """Cost of dropping each corner i (reflex or flat), or else of replacing the convex edge i, i+1 by one corner."""
    before, after, second = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0), np.roll(ring, -2, axis=0)
    chord = after - before
    bend = cross(ring - before, after - ring)
    length = np.hypot(chord[:, 0], chord[:, 1])
    depth = np.abs(cross(chord, ring - before)) / np.maximum(length, 1e-12)
    ahead = np.einsum("ij,ij->i", ring - before, chord)
    drop = np.where((bend <= 1e-12) & (ahead >= 0) & (ahead <= length**2), depth, np.inf)
    corner, rise = _meeting(before, ring, after, second)
    convex = (bend > 1e-12) & (np.roll(bend, -1) > 1e-12)
    join = np.where(convex, rise, np.inf)
    corner = np.where((join < drop)[:, None], corner, np.nan)
    return np.minimum(drop, join), corner


def _meeting(before: Array, start: Array, end: Array, after: Array) -> tuple[Array, Array]:
    """Where the edges on both sides of start-end meet beyond it, and how far from it; infinite where they do not."""
    first, last, edge = start - before, after - end, end - start
    turn = cross(first, last)
    safe = np.where(np.abs(turn) < 1e-12, 1.0, turn)
    along = cross(edge, last) / safe
    back = cross(first, edge) / safe
    corner = start + along[:, None] * first
    rise = np.abs(cross(edge, corner - start)) / np.maximum(np.hypot(edge[:, 0], edge[:, 1]), 1e-12)
    good = (np.abs(turn) >= 1e-12) & (along >= 0) & (back >= 0) & np.isfinite(rise)
    return corner, np.where(good, rise, np.inf)


def cross(a: Array, b: Array) -> Array:
    """The z of the cross product of rows of plane vectors."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _merged(outline: Polygon) -> list[Array]:
    """Triangulate, then take away inner edges, the longest first, while what it joins stays convex."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(outline))
    rings = sorted(tuple(map(tuple, orient(part).exterior.coords[:-1])) for part in triangles)
    points: list[tuple[float, float]] = sorted({point for ring in rings for point in ring})
    number = {point: index for index, point in enumerate(points)}
    cells: dict[int, list[int]] = {i: [number[p] for p in ring] for i, ring in enumerate(rings)}
    place = np.asarray(points)
    owner = {edge: i for i, cell in cells.items() for edge in zip(cell, cell[1:] + cell[:1], strict=True)}
    inner = [(a, b) for a, b in owner if a < b and (b, a) in owner]
    inner.sort(key=lambda edge: (-round(float(np.hypot(*(place[edge[0]] - place[edge[1]]))), 6), edge))
    for a, b in inner:
        _merge(cells, owner, place, a, b)
    return [place[cell] for cell in cells.values()]


def _merge(cells: dict[int, list[int]], owner: dict[tuple[int, int], int], place: Array, a: int, b: int) -> None:
    one, two = owner[(a, b)], owner[(b, a)]
    if one == two:
        return
    p, q = cells[one], cells[two]
    p = p[p.index(b) :] + p[: p.index(b)]  # b ... a, then back over the edge
    q = q[q.index(a) :] + q[: q.index(a)]  # a ... b
    at_a = cross(place[a] - place[p[-2]], place[q[1]] - place[a])
    at_b = cross(place[b] - place[q[-2]], place[p[1]] - place[b])
    if min(float(at_a), float(at_b)) < LEAST_CROSS:
        return
    cells[one] = p[:-1] + q[:-1]
    del cells[two]
    for edge in itertools.pairwise(q):
        owner[edge] = one


def inner(outline: Polygon, margin: float) -> Polygon:
    """What of a sheet lies inside its margin; a box stays one, though it be as thin as a line."""
    left, low, right, high = outline.bounds
    nothing = Polygon([(left, low)] * 3)
    if min(right - left, high - low) < 2 * margin:
        return nothing
    if abs(outline.area - (right - left) * (high - low)) <= 1e-9 * outline.area:
        return shapely.box(left + margin, low + margin, right - margin, high - margin)
    inside = outline.buffer(-margin, join_style="mitre", mitre_limit=MITRE) if margin else outline
    return nothing if inside.is_empty else inside


def obstacles(
    inside: Polygon, *, tolerance: float, exact: bool = False
) -> tuple[tuple[float, float, float, float], list[Array]]:
    """Give the box of what lies inside a sheet's margin, and the convex parts of the box that are no sheet."""
    outside = shapely.get_parts(shapely.box(*inside.bounds).difference(inside))
    solid = [part for part in outside if isinstance(part, Polygon) and part.area > 1e-9]
    cut = exact_parts if exact else convex_parts
    return inside.bounds, [convex for part in solid for convex in cut(part, tolerance)]
