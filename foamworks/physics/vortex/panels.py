"""Where the lattice's vortices and control points lie: lifting surfaces cut into strips and panels.

SI; x aft, y to starboard, z up. A surface is flat between its stations, its chords lie along x (no twist, no camber).
Only the starboard half and what stands on the centre line is cut; the plane of symmetry does the rest.

Spacing "cosine": between two breaks (stations with a corner, flap ends, places where another surface stands or ends
close by) strips get a full cosine spacing with control lines at the middle angle, and along the chord vortices at
(1 - cos((2k-1) pi/2n))/2, control points at (1 - cos(k pi/n))/2. Source: Lan, "A quasi-vortex-lattice method in thin
wing theory", J. Aircraft 11 (1974) 518 (from memory). It is exact for the flat plate and converges far faster than
even panels: a break loses nothing, so a corner, a junction and a tip are all treated alike.
Spacing "even": equal strips, vortex at a quarter and control point at three quarters of each panel (the textbook).
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Spacing = Literal["cosine", "even"]

# panels at density 1: with these doubling both moves no result of a complete aircraft by 1 %; a lone wing needs half as
# many, a fin that stands on another surface wants the six along the chord
STRIPS = 12  # on a surface of one piece
CHORDWISE = 6  # along the chord
LEAST_STRIPS = 3  # on the shortest piece between two breaks
CORNER = math.radians(12)  # a turn of either edge that makes a break; a traced curve turns less at each point
CLOSEST = 0.002  # of a surface's length: breaks are not set closer than this (a step in chord always is one)
NEAR = 0.1  # of the longer surface: how near another surface's station must be to make a break


@dataclass(frozen=True)
class Flap:
    """Elevator: hinged at `1 - chord_fraction` of the chord, on the part `span` of the surface's length."""

    chord_fraction: float
    span: tuple[float, float] = (0.0, 1.0)

    def __post_init__(self) -> None:
        if not 0 < self.chord_fraction <= 1:
            raise PhysicsError(f"flap: chord fraction {self.chord_fraction:g}: must lie above 0 and at most at 1")
        if not 0 <= self.span[0] < self.span[1] <= 1:
            raise PhysicsError(f"flap: span {self.span}: two rising numbers within 0 and 1")


@dataclass(frozen=True)
class Surface:
    """One lifting surface [m], root to tip: leading edges `x`, `y`, `z` and `chord`.

    `mirrored`: it also stands at -y (then y >= 0); otherwise it stands on the centre line (then y = 0).
    A flap turns on both sides alike.
    """

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    z: tuple[float, ...]
    chord: tuple[float, ...]
    mirrored: bool = True
    flap: Flap | None = None

    def __post_init__(self) -> None:
        rows = (self.x, self.y, self.z, self.chord)
        if len(self.x) < 2 or len({len(row) for row in rows}) != 1:
            raise PhysicsError(f"{self.name}: at least two stations, with x, y, z and chord alike in number")
        if not all(math.isfinite(v) for row in rows for v in row):
            raise PhysicsError(f"{self.name}: every number must be finite")
        if min(self.chord) < 0 or self.area <= 0:
            raise PhysicsError(f"{self.name}: chords must not be negative, and its area must be more than 0")
        if self.mirrored and (min(self.y) < 0 or max(self.y) <= 0):
            raise PhysicsError(f"{self.name}: a mirrored surface lies at y >= 0, not all of it at 0")
        if not self.mirrored and any(self.y):
            raise PhysicsError(f"{self.name}: a surface that is not mirrored stands at y = 0")
        if self.flap is not None and not self.mirrored:
            raise PhysicsError(f"{self.name}: a flap turns on both sides alike; this surface has one side")

    @cached_property
    def lengths(self) -> Floats:
        """Length along the surface from the root to each station, seen along x [m]."""
        steps = np.hypot(np.diff(self.y), np.diff(self.z))
        return np.concatenate([[0.0], np.cumsum(steps)])

    @property
    def area(self) -> float:
        """Area of this one side, measured along the surface [m2]."""
        chord = np.asarray(self.chord)
        return float(np.sum(np.diff(self.lengths) * (chord[:-1] + chord[1:])) / 2)

    @property
    def count(self) -> int:
        """How often it stands on the aircraft: 2 when mirrored, otherwise 1."""
        return 2 if self.mirrored else 1


@dataclass(frozen=True, eq=False)
class Vortices:
    """Horseshoe vortices: `nodes` [m] (n, 3), the ends of their bound legs, and which two each has, right tipwards."""

    nodes: Floats
    left: Ints
    right: Ints


@dataclass(frozen=True, eq=False)
class Panels:
    """The cut surfaces. Strips follow each other, `chordwise` panels each, leading edge first.

    vortices: one for each panel; control [m] (m, 3); normal (m, 2): y and z of the unit normal; owner (m): index of
    the surface; mirrored (m); tilt (m): x of the normal for 1 rad of the flap.
    """

    vortices: Vortices
    control: Floats
    normal: Floats
    owner: Ints
    mirrored: NDArray[np.bool_]
    tilt: Floats
    chordwise: int

    @property
    def strip(self) -> slice:
        """The first panel of each strip."""
        return slice(None, None, self.chordwise)

    @property
    def count(self) -> int:
        """Panels on the whole aircraft, both sides."""
        return int(np.sum(np.where(self.mirrored, 2, 1)))


@dataclass(frozen=True, eq=False)
class _Piece:
    """The part of a surface between two breaks, lengths along it [m]."""

    owner: int
    start: float
    end: float
    strips: int


def cut(surfaces: Sequence[Surface], *, strips: int, chordwise: int, spacing: Spacing) -> Panels:
    """Cut surfaces into panels: about `strips` strips each (more where it has breaks) and `chordwise` panels deep."""
    if not surfaces:
        raise PhysicsError("lattice: at least one surface is needed")
    if strips < 1 or chordwise < 1:
        raise PhysicsError("lattice: strips and chordwise panels must be at least 1")
    breaks = _all_breaks(surfaces) if spacing == "cosine" else [_own_breaks(surface) for surface in surfaces]
    pieces = _pieces(surfaces, breaks, strips, spacing)
    cuts = [_cut_piece(surfaces[piece.owner], piece, chordwise, spacing) for piece in pieces]
    owner = np.concatenate([np.full(piece.strips * chordwise, piece.owner) for piece in pieces])
    control, normal, tilt = (np.concatenate(rows) for rows in zip(*cuts, strict=True))
    return Panels(
        vortices=_vortices(surfaces, pieces, chordwise, spacing),
        control=control,
        normal=normal,
        owner=owner,
        mirrored=np.array([surface.mirrored for surface in surfaces])[owner],
        tilt=tilt,
        chordwise=chordwise,
    )


def _vortices(surfaces: Sequence[Surface], pieces: Sequence[_Piece], chordwise: int, spacing: Spacing) -> Vortices:
    """Vortices of all strips of the pieces, `chordwise` on each."""
    fractions, _ = _chord_places(chordwise, spacing)
    nodes = [_grid(surfaces[p.owner], p, _strip_places(p, spacing)[0], fractions) for p in pieces]
    offsets = np.cumsum([0, *(len(rows) for rows in nodes)])
    left = [np.arange(p.strips * chordwise, dtype=np.intp) + offset for p, offset in zip(pieces, offsets, strict=False)]
    leftmost = np.concatenate(left)
    return Vortices(nodes=np.concatenate(nodes), left=leftmost, right=leftmost + chordwise)


def _own_breaks(surface: Surface) -> list[float]:
    """Lengths at which a surface has a corner, a step or a flap's end, root and tip included."""
    t = surface.lengths
    total = float(t[-1])
    rows = np.array([surface.x, np.add(surface.x, surface.chord), surface.y, surface.z])
    kept = [i for i in range(len(t)) if i == 0 or t[i] - t[i - 1] > 0]
    step = [float(t[i]) for i in range(1, len(t)) if t[i] == t[i - 1]]
    corner = [
        float(t[b])
        for a, b, c in zip(kept, kept[1:], kept[2:], strict=False)
        if _turns(rows[:, b] - rows[:, a], rows[:, c] - rows[:, b])
    ]
    flap = [] if surface.flap is None else [part * total for part in surface.flap.span]
    return _merged([0.0, total, *step], [*flap, *corner], total)


def _turns(before: Floats, after: Floats) -> bool:
    """Whether leading edge, trailing edge or the surface itself turns by a corner between two panels."""
    length = [math.hypot(*step[2:]) for step in (before, after)]
    edges = [abs(math.atan2(before[i], length[0]) - math.atan2(after[i], length[1])) for i in (0, 1)]
    fold = abs(math.remainder(math.atan2(before[3], before[2]) - math.atan2(after[3], after[2]), math.tau))
    return max(*edges, fold) > CORNER


def _merged(fixed: Sequence[float], wanted: Sequence[float], total: float) -> list[float]:
    """All `fixed` breaks and those `wanted` that are not too close to one kept before."""
    kept = sorted(set(fixed))
    for value in wanted:
        if all(abs(value - other) > CLOSEST * total for other in kept):
            kept.append(value)
    return sorted(kept)


def _all_breaks(surfaces: Sequence[Surface]) -> list[list[float]]:
    """Own breaks, and the feet of other surfaces' breaks close by, so that no trailing vortex runs between edges.

    Twice over, because a fin on the tailplane also makes a break in the wing ahead of them.
    """
    breaks = [_own_breaks(surface) for surface in surfaces]
    for _ in range(2):
        found = [
            [foot for j, other in enumerate(surfaces) if j != i for foot in _feet(surface, other, breaks[j])]
            for i, surface in enumerate(surfaces)
        ]
        breaks = [
            _merged(own, extra, float(surface.lengths[-1]))
            for surface, own, extra in zip(surfaces, breaks, found, strict=True)
        ]
    return breaks


def _place(surface: Surface, lengths: Sequence[float] | Floats) -> Floats:
    """Points (y, z) at lengths along a surface."""
    t = surface.lengths
    return np.stack([np.interp(lengths, t, surface.y), np.interp(lengths, t, surface.z)], axis=1)


def _feet(surface: Surface, other: Surface, breaks: Sequence[float]) -> list[float]:
    """Where the other surface's breaks, and its crossings, lie on this one (lengths along it), seen along x."""
    near = NEAR * max(float(surface.lengths[-1]), float(other.lengths[-1]))
    feet, distances = _foot(surface, _place(other, breaks))
    crossings = [
        foot for a, b in itertools.pairwise(_place(other, other.lengths)) for foot in _crossings(surface, a, b)
    ]
    return [*feet[distances < near].tolist(), *crossings]


def _foot(surface: Surface, points: Floats) -> tuple[Floats, Floats]:
    """Lengths along the surface of its points nearest to `points` (n, 2: y, z), and the distances."""
    p = _place(surface, surface.lengths)
    step = np.diff(p, axis=0)
    square = np.maximum(np.sum(step**2, axis=1), 1e-300)
    t = np.clip(np.sum((points[:, None] - p[:-1]) * step, axis=2) / square, 0, 1)
    distance = np.hypot(*np.moveaxis(p[:-1] + t[:, :, None] * step - points[:, None], 2, 0))
    best, rows = np.argmin(distance, axis=1), np.arange(len(points))
    return surface.lengths[best] + t[rows, best] * np.sqrt(square[best]), distance[rows, best]


def _crossings(surface: Surface, a: Floats, b: Floats) -> list[float]:
    """Lengths along the surface at which the straight line from a to b crosses it, seen along x."""
    found = []
    p, lengths = _place(surface, surface.lengths), surface.lengths
    for k, (c, d) in enumerate(itertools.pairwise(p)):
        u, v, w = b - a, d - c, c - a
        det = u[0] * v[1] - u[1] * v[0]
        if abs(det) <= 1e-9 * math.hypot(*u) * math.hypot(*v):  # parallel
            continue
        along, across = (w[0] * v[1] - w[1] * v[0]) / det, (w[0] * u[1] - w[1] * u[0]) / det
        if 0 <= along <= 1 and 0 <= across <= 1:
            found.append(float(lengths[k] + across * (lengths[k + 1] - lengths[k])))
    return found


def _pieces(
    surfaces: Sequence[Surface], breaks: Sequence[Sequence[float]], strips: int, spacing: Spacing
) -> list[_Piece]:
    """Pieces between breaks with their strips; pieces that lie over each other seen along x get equally many."""
    pieces = []
    for i, (surface, own) in enumerate(zip(surfaces, breaks, strict=True)):
        total = float(surface.lengths[-1])
        for a, b in itertools.pairwise(own):
            share = (b - a) / total
            count = max(LEAST_STRIPS, math.ceil(strips * math.sqrt(share) - 1e-9))
            pieces.append(_Piece(i, a, b, count if spacing == "cosine" else max(1, round(strips * share))))
    if spacing == "even":
        return pieces
    ends = [_place(surfaces[piece.owner], (piece.start, piece.end)) for piece in pieces]
    return [
        _Piece(
            p.owner, p.start, p.end, max(q.strips for q, other in zip(pieces, ends, strict=True) if _over(own, other))
        )
        for p, own in zip(pieces, ends, strict=True)
    ]


def _over(one: Floats, two: Floats) -> bool:
    """Whether two pieces (ends in y, z) have the same ends in y, so that equal strips keep their edges in line."""
    width = abs(one[1, 0] - one[0, 0])
    return one is two or (width > 0 and bool(np.all(np.abs(one[:, 0] - two[:, 0]) < 2 * CLOSEST * width)))


def _cut_piece(surface: Surface, piece: _Piece, chordwise: int, spacing: Spacing) -> tuple[Floats, Floats, Floats]:
    """Control points, normals and tilts of one piece."""
    edges, middles = _strip_places(piece, spacing)
    _, control = _chord_places(chordwise, spacing)
    # on the strip between its straight edges, not on a curved outline: there the vortex would lie at another distance
    ends = _grid(surface, piece, edges, control).reshape(len(edges), chordwise, 3)
    part = ((middles - edges[:-1]) / np.diff(edges))[:, None, None]
    points = (ends[:-1] + part * np.diff(ends, axis=0)).reshape(-1, 3)
    y, z = _place(surface, edges).T
    across = np.stack([-np.diff(z), np.diff(y)], axis=1)
    normal = np.repeat(across / np.hypot(*across.T)[:, None], chordwise, axis=0)
    return points, normal, _tilt(surface, piece, middles, chordwise, control)


def _strip_places(piece: _Piece, spacing: Spacing) -> tuple[Floats, Floats]:
    """Strip edges and control lines as lengths along the surface."""
    t = np.arange(2 * piece.strips + 1) / (2 * piece.strips)
    part = t if spacing == "even" else (1 - np.cos(np.pi * t)) / 2
    place = piece.start + (piece.end - piece.start) * part
    place[-1] = piece.end
    return place[::2], place[1::2]


def _chord_places(chordwise: int, spacing: Spacing) -> tuple[Floats, Floats]:
    """Vortices and control points as fractions of the chord."""
    k = np.arange(1, chordwise + 1)
    if spacing == "even":
        return (k - 0.75) / chordwise, (k - 0.25) / chordwise
    return (1 - np.cos((2 * k - 1) * np.pi / (2 * chordwise))) / 2, (1 - np.cos(k * np.pi / chordwise)) / 2


def _grid(surface: Surface, piece: _Piece, lengths: Floats, fractions: Floats) -> Floats:
    """Points at chord fractions on each of the lengths; at a step the piece keeps its own side's chord."""
    t = surface.lengths
    # of two stations at one length, the later one starts the piece and the earlier one ends it
    inside = [i for i, value in enumerate(t) if piece.start <= value <= piece.end]
    first = max((i for i in inside if t[i] == piece.start), default=None)
    last = min((i for i in inside if t[i] == piece.end), default=None)
    keep = [i for i in range(len(t)) if (first is None or i >= first) and (last is None or i <= last)]
    x, y, z, chord = (
        np.interp(lengths, t[keep], np.asarray(row)[keep]) for row in (surface.x, surface.y, surface.z, surface.chord)
    )
    along = x[:, None] + chord[:, None] * fractions
    shape = along.shape
    return np.stack([along, np.broadcast_to(y[:, None], shape), np.broadcast_to(z[:, None], shape)], axis=2).reshape(
        -1, 3
    )


def _tilt(surface: Surface, piece: _Piece, middles: Floats, chordwise: int, control: Floats) -> Floats:
    """Normal's x at each control point for 1 rad about the hinge line, trailing edge down.

    The step in slope at the hinge enters as its first cosine terms over the chord, as many as there are vortices:
    they carry the section's lift and moment exactly wherever the hinge lies between panels (Glauert's flap).
    """
    flap = surface.flap
    total = float(surface.lengths[-1])
    middle = (piece.start + piece.end) / 2
    if flap is None or not flap.span[0] * total < middle < flap.span[1] * total:
        return np.zeros(len(middles) * chordwise)
    hinge = math.acos(max(-1.0, 2 * flap.chord_fraction - 1))
    angle = np.arccos(1 - 2 * control)
    step = np.full(chordwise, (np.pi - hinge) / np.pi)
    for n in range(1, chordwise):
        step -= 2 * math.sin(n * hinge) / (n * np.pi) * np.cos(n * angle)
    hinge_x = _grid(surface, piece, middles, np.array([1 - flap.chord_fraction]))[:, 0]
    slope = np.gradient(hinge_x, middles) if len(middles) > 1 else np.zeros(1)
    return np.outer(1 / np.hypot(1, slope), step).ravel()
