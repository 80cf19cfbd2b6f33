"""An independent check of a layout, by exact distances between the polygons themselves [mm]."""

import math
from collections import Counter
from collections.abc import Sequence

import shapely

from foamworks.parts.nest.model import Layout, Piece, Stock, placed

TOLERANCE = 1e-6  # mm


def verify(layout: Layout, pieces: Sequence[Piece], stocks: Sequence[Stock], *, gap: float, margin: float) -> list[str]:
    """List what is wrong with a layout: overlap, gap, margin, counts, turns, used lengths; empty when it is right."""
    unknown = _unknown(layout, pieces, stocks)
    if unknown:
        return unknown
    faults = _counts(layout, pieces, stocks)
    for number, stock in enumerate(layout.sheets):
        here = [place for place in layout.placements if place.sheet == number]
        shapes = [placed(pieces[place.piece], place) for place in here]
        names = [f'"{pieces[place.piece].key}" copy {place.copy}' for place in here]
        faults += [f"sheet {number}: {fault}" for fault in _on_sheet(shapes, names, stocks[stock], margin)]
        faults += [f"sheet {number}: {fault}" for fault in _between(shapes, names, gap)]
        if shapes:
            right = max(shape.bounds[2] for shape in shapes) - stocks[stock].outline.bounds[0] - margin
            if abs(right - layout.used_length[number]) > TOLERANCE:
                faults.append(f"sheet {number}: used length {layout.used_length[number]} but parts reach {right}")
    return faults


def _unknown(layout: Layout, pieces: Sequence[Piece], stocks: Sequence[Stock]) -> list[str]:
    """Find what a layout of other parts or sheets names; with it nothing else can be checked."""
    faults = [f"there is no stock {stock}" for stock in layout.sheets if not 0 <= stock < len(stocks)]
    faults += [f"there is no piece {piece}" for piece, _ in layout.unplaced if not 0 <= piece < len(pieces)]
    for place in layout.placements:
        if not 0 <= place.piece < len(pieces) or not 0 <= place.copy < pieces[place.piece].count:
            faults.append(f"there is no copy {place.copy} of piece {place.piece}")
        elif not 0 <= place.sheet < len(layout.sheets):
            faults.append(f'"{pieces[place.piece].key}" copy {place.copy} is on sheet {place.sheet}: no such sheet')
        elif not (math.isfinite(place.x) and math.isfinite(place.y)):
            faults.append(f'"{pieces[place.piece].key}" copy {place.copy} is nowhere')
    if len(layout.used_length) != len(layout.sheets):
        faults.append("each used sheet needs its used length")
    return faults


def _counts(layout: Layout, pieces: Sequence[Piece], stocks: Sequence[Stock]) -> list[str]:
    faults = []
    seen = Counter((place.piece, place.copy) for place in layout.placements)
    faults += [f'"{pieces[piece].key}" copy {copy} is placed {n} times' for (piece, copy), n in seen.items() if n > 1]
    laid = Counter(place.piece for place in layout.placements)
    left = Counter(piece for piece, _ in layout.unplaced)
    for index, piece in enumerate(pieces):
        if laid[index] + left[index] != piece.count:
            faults.append(f'"{piece.key}": {laid[index]} placed and {left[index]} not, of {piece.count}')
    for place in layout.placements:
        piece = pieces[place.piece]
        if place.angle % 360 not in {turn % 360 for turn in piece.turns}:
            faults.append(f'"{piece.key}" copy {place.copy} is turned by {place.angle} degrees')
    for stock, used in Counter(layout.sheets).items():
        count = stocks[stock].count
        if count is not None and used > count:
            faults.append(f'{used} sheets of "{stocks[stock].key}" used, of {count}')
    return faults


def _on_sheet(shapes: Sequence[shapely.Polygon], names: Sequence[str], stock: Stock, margin: float) -> list[str]:
    faults = []
    edge = stock.outline.boundary
    for shape, name in zip(shapes, names, strict=True):
        if not stock.outline.buffer(TOLERANCE).covers(shape):
            faults.append(f"{name} reaches over the edge")
        elif shape.distance(edge) < margin - TOLERANCE:
            faults.append(f"{name} is {shape.distance(edge):.6f} mm from the edge, not {margin}")
    return faults


def _between(shapes: Sequence[shapely.Polygon], names: Sequence[str], gap: float) -> list[str]:
    faults = []
    tree = shapely.STRtree(shapes)
    first, second = tree.query(shapes, predicate="dwithin", distance=gap) if shapes else ((), ())
    for i, j in sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j):
        overlap = shapes[i].intersection(shapes[j]).area
        distance = shapes[i].distance(shapes[j])
        if overlap > TOLERANCE * max(shapes[i].length, shapes[j].length):
            faults.append(f"{names[i]} and {names[j]} overlap by {overlap:.6f} mm2")
        elif distance < gap - TOLERANCE:
            faults.append(f"{names[i]} and {names[j]} are {distance:.6f} mm apart, not {gap}")
    return faults
