"""Test pieces for the bench: the slot comb, cut first, that tells which slot width fits this board and this tool."""

from shapely import Polygon

from foamworks.parts.base import BoardPart, Point, Stroke

STEPS = (-0.4, -0.2, 0.0, 0.2, 0.4)  # mm about the measured thickness (common practice, no source)
PITCH, DEPTH, BODY = 14.0, 14.0, 20.0  # mm; the body carries the widths and, above them, the label


def slot_comb(*, board: str, thickness: float) -> BoardPart:
    """Make the comb: five slots from thickness - 0.4 to + 0.4 mm, each marked with its width."""
    width = thickness + PITCH
    edge: list[Point] = [(0.0, 0.0), (len(STEPS) * width, 0.0), (len(STEPS) * width, BODY + DEPTH)]
    strokes = []
    for number in reversed(range(len(STEPS))):
        slot = thickness + STEPS[number]
        middle = (number + 0.5) * width
        left, right = middle - slot / 2, middle + slot / 2
        edge += [(right, BODY + DEPTH), (right, BODY), (left, BODY), (left, BODY + DEPTH)]
        strokes.append(Stroke("mark", ((middle - 4.0, 1.5),), text=f"{slot:.1f}", height_mm=4.0))
    edge.append((0.0, BODY + DEPTH))
    return BoardPart(
        name="slot comb",
        board=board,
        thickness_mm=thickness,
        outline=Polygon(edge),
        strokes=tuple(strokes),
        note="cut first: push the board into each slot, note the width that holds without crushing",
    )
