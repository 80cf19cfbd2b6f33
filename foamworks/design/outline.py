"""Is a list of points one simple closed outline? In any unit; the fault names the place."""

Point = tuple[float, float]


def simple_outline(points: list[Point]) -> tuple[Point, ...]:
    """Drop a repeated last point and hold the rest to be simple (no crossing) and of some area.

    Raise ValueError with the place of the crossing in mm for points in metres.
    """
    from shapely import Polygon
    from shapely.validation import explain_validity

    ring = points[:-1] if points[0] == points[-1] else points
    ring = [point for point, before in zip(ring, ring[-1:] + ring[:-1], strict=True) if point != before]
    if len(ring) < 3:
        raise ValueError("an outline needs at least three different points")
    polygon = Polygon(ring)
    if not polygon.is_valid:
        text = explain_validity(polygon)
        if "[" in text:
            x, z = (float(number) * 1000 for number in text.split("[")[1].rstrip("]").split())
            place = f"[{x:.2f}, {z:.2f}] mm"
            raise ValueError(f"the outline crosses or touches itself near {place}; give its points in order round it")
        raise ValueError(f"the outline is not simple ({text}); give its points in order round the edge")
    if polygon.area <= 0:
        raise ValueError("the outline has no area")
    return tuple(ring)
