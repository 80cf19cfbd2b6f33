"""How much board stands between a hole and what is next to it. Millimetres."""

import math

from shapely import Polygon


def least_web(outline: Polygon) -> float:
    """Give the least board left between a hole and the edge, or between two holes [mm]; without end where no hole is.

    >>> square = Polygon([(0, 0), (30, 0), (30, 20), (0, 20)], [[(5, 5), (10, 5), (10, 17), (5, 17)]])
    >>> least_web(square)
    3.0
    """
    holes = [Polygon(ring) for ring in outline.interiors]
    webs = [float(hole.distance(outline.exterior)) for hole in holes]
    webs += [float(a.distance(b)) for number, a in enumerate(holes) for b in holes[number + 1 :]]
    return min(webs, default=math.inf)
