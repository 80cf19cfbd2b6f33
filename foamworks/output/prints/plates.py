"""Whole plates for the printer: every piece of every part in its pose, laid out on the bed by the nester [mm].

What is larger than the bed in its pose is on none.
"""

from collections.abc import Sequence

from shapely import MultiPoint, Polygon, box

from foamworks.output.prints.threemf import Item
from foamworks.parts.base import PrintPart
from foamworks.parts.mesh import Mesh
from foamworks.parts.nest import Piece, Stock, nest

GAP = 4.0  # mm between two pieces: room for a brim on each (common practice, no source)
EDGE = 5.0  # mm to the bed's edge: clips and skirt (common practice, no source)
Bed = tuple[float, float, float]


def footprint(posed: Mesh) -> Polygon:
    """What a part in its pose covers of the bed, its hollows filled."""
    return MultiPoint(posed.vertices[:, :2]).convex_hull.simplify(GAP / 40).buffer(GAP / 20, join_style="mitre")


def plates(parts: Sequence[PrintPart], posed: Sequence[Mesh], bed: Bed) -> list[list[Item]]:
    """Lay all pieces out; a plate is a list of what lies on it."""
    low = [i for i, made in enumerate(posed) if made.vertices[:, 2].max() <= bed[2]]
    pieces = [Piece(parts[i].name, footprint(posed[i]), parts[i].count, (0, 90, 180, 270)) for i in low]
    layout = nest(pieces, [Stock("bed", box(0, 0, *bed[:2]), None)], gap=GAP, margin=EDGE, effort=0)
    found: list[list[Item]] = [[] for _ in layout.sheets]
    for place in layout.placements:
        found[place.sheet].append(Item(low[place.piece], place.angle, place.x, place.y))
    return found
