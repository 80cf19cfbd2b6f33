"""What is nested, on what, and the answer: pieces, sheets and where each copy lies [mm, degrees].

Origin of a sheet at its lower left corner, x along its long side. A placement turns the piece's own frame by `angle`
about its own origin, counter-clockwise, and then moves it to (x, y).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon, affinity

from foamworks.errors import PhysicsError

LATTICE = 1e-7  # mm; every placed outline's lower left corner lies on this lattice, so that layouts can be compared;
# a tenth of what the check forgives, so that an exact fit of endless decimals or inches stays one


@dataclass(frozen=True)
class Piece:
    """A shape to cut `count` times. `outline` is the path to cut, kerf applied, its holes the polygon's interiors.

    `turns` are the angles [deg] it may be laid at, whole numbers: (0, 180) along a grain, (0, 90, 180, 270) without.
    """

    key: str
    outline: Polygon
    count: int
    turns: tuple[int, ...]


@dataclass(frozen=True)
class Stock:
    """A sheet or an offcut: its lower left corner at (0, 0), x along the long side; `count` None: as many as needed."""

    key: str
    outline: Polygon
    count: int | None


@dataclass(frozen=True)
class Placement:
    """One copy of a piece on one used sheet: turned by `angle` [deg] about its own origin, then moved to (x, y) [mm].

    `piece` counts in the list of pieces, `copy` within the piece, `sheet` in the layout's used sheets.
    """

    piece: int
    copy: int
    sheet: int
    x: float
    y: float
    angle: int


@dataclass(frozen=True)
class Layout:
    """Where everything lies.

    `sheets` gives the stock of each used sheet. `unplaced` has one row for each copy that found no place: the piece
    and why. `used_length` [mm] of each used sheet reaches from the margin's left edge to the rightmost cut path.
    """

    placements: tuple[Placement, ...]
    sheets: tuple[int, ...]
    unplaced: tuple[tuple[int, str], ...]
    used_length: tuple[float, ...]


def turned(outline: Polygon, angle: int) -> Polygon:
    """Turn an outline about its origin by whole degrees, counter-clockwise; quarter turns are exact.

    >>> turned(shapely.box(0, 0, 3, 1), 90).bounds
    (-1.0, 0.0, 0.0, 3.0)
    """
    quarters, rest = divmod(angle % 360, 90)
    cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarters]
    if rest:
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return affinity.affine_transform(outline, [cos, -sin, sin, cos, 0.0, 0.0])


def placed(piece: Piece, placement: Placement) -> Polygon:
    """Give the cut path of one copy where it lies on its sheet."""
    return affinity.translate(turned(piece.outline, placement.angle), placement.x, placement.y)


def check_input(pieces: Sequence[Piece], stocks: Sequence[Stock], *, gap: float, margin: float) -> None:
    """Raise PhysicsError for anything that cannot be nested: not finite, negative, not a simple polygon, no turn."""
    for name, value in (("gap", gap), ("margin", margin)):
        if not (math.isfinite(value) and value >= 0):
            raise PhysicsError(f"{name} = {value}: must be a finite number of mm, 0 or more")
    for piece in pieces:
        _check_outline(f'piece "{piece.key}"', piece.outline)
        if piece.count < 0:
            raise PhysicsError(f'piece "{piece.key}": count = {piece.count}: must be 0 or more')
        if not piece.turns or any(turn != int(turn) for turn in piece.turns):
            raise PhysicsError(f'piece "{piece.key}": turns = {piece.turns}: needs at least one angle in whole degrees')
    for stock in stocks:
        _check_outline(f'sheet "{stock.key}"', stock.outline)
        if stock.count is not None and stock.count < 0:
            raise PhysicsError(f'sheet "{stock.key}": count = {stock.count}: must be 0 or more, or None')


def _check_outline(name: str, outline: Polygon) -> None:
    if not isinstance(outline, Polygon) or outline.is_empty or not outline.is_valid or outline.area <= 0:
        raise PhysicsError(f"{name}: the outline must be one simple polygon with an area")
    if not np.isfinite(shapely.get_coordinates(outline)).all():
        raise PhysicsError(f"{name}: the outline's coordinates must be finite")
