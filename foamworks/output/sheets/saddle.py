"""The paper that says where the pod is glued: wrapped round the back it shows the mount's foot at full size [mm].

A line besides shows over which place the tube's aft end stands.
"""

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from foamworks.output.pen import SMALLEST, Pen, text_width
from foamworks.output.sheets.paper_page import titled_page
from foamworks.output.sheets.paper_tiles import PAGE_EDGE, PRINTABLE
from foamworks.parts.base import Point, PrintPart, Saddle
from foamworks.parts.wrap import Wrapped, wrapped

INSET = 14.0  # mm from the printable area's edge: clear of the bars
HEAD = 16.0  # mm on top of a page
AROUND = 25.0  # mm of paper beyond the foot abeam, to hold it by; more where the words are wider
AIR = 1.5  # mm between words and a line along the paper
ENDS = 12.0  # mm of paper before and behind the foot
HOW = (
    "Print at 100 %, measure the bars, cut the outer line out. Wrap it round the back: the middle line on the body's",
    "middle, the front edge at its place. Prick the inner line's corners through: within them the mount is glued.",
)
SAME = 1e-6  # mm
Line = tuple[float, str, str]  # its u, what stands at it on either side of the middle


def write_saddles(prints: Sequence[PrintPart], where: Mapping[str, Any], path: Path, *, title: str) -> None:
    """Write a page for each mount, the pod glued as `where` says; no file where there is none."""
    if not where:
        return
    behind, tilt = where["tube_behind_mount_mm"], math.radians(where["downthrust_deg"])
    last = max(row["aft_x_mm"] for row in where["mounts"])
    pen = Pen(f"{title} - saddle of the pod's mount")
    mounts = [(part.name, part.shape, at) for part in prints if isinstance(part.shape, Saddle) for at in part.places]
    for name, shape, place in mounts:
        foot, front, aft = wrapped(shape), place.x, place.x + shape.length
        lines = [(0.0, f"front edge: x = {front:.1f} mm", ""), (foot.length, f"aft edge: x = {aft:.1f} mm", "")]
        if aft > last - SAME:  # no other piece stands behind it
            slope = (aft - front) / foot.length
            end = foot.length + behind * math.cos(tilt) / slope
            lines.append((end, "over here the tube ends,", f"{behind:.1f} mm behind the mount"))
        _page(pen, title, name, foot, lines)
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(pen.finish())


def _page(pen: Pen, title: str, name: str, foot: Wrapped, lines: Sequence[Line]) -> None:
    """Draw one mount's foot, front end up, port to the left."""
    left = min(*(-text_width(says, SMALLEST) - 2 * AIR for _, says, _ in lines), *(v - AROUND for _, v in foot.port))
    right = max(
        *(text_width(more, SMALLEST) + 2 * AIR for _, _, more in lines), *(v + AROUND for _, v in foot.starboard)
    )
    wide = max(PRINTABLE[0], right - left + 2 * INSET)
    ends = (-ENDS, max(u for u, _, _ in lines) + ENDS)
    high = max(PRINTABLE[1], ends[1] - ends[0] + 2 * INSET + HEAD)
    _, top = titled_page(pen, (wide, high), INSET, f"{title}: {name}", HOW, name=name)
    middle, start = PAGE_EDGE + (wide - left - right) / 2, top - HEAD - ENDS

    def at(point: Point) -> Point:
        return (middle + point[1], start - point[0])

    pen.style("cut")
    pen.polyline(
        [at((u, v)) for u, v in ((ends[0], left), (ends[0], right), (ends[1], right), (ends[1], left))], closed=True
    )
    pen.style("bar")
    pen.polyline([at(point) for point in (*foot.port, *reversed(foot.starboard))], closed=True)
    pen.style("fold")
    pen.line(at((ends[0], 0.0)), at((ends[1], 0.0)))
    for u, says, more in lines:
        pen.line(at((u, left)), at((u, right)))
        down = u + (-1.5 if u == 0 else 4.0)
        pen.text(at((down, left + AIR)), says)
        pen.text(at((down, AIR)), more)
    for row, words in enumerate(("nose this way", "the body's middle")):
        pen.text(at((ends[0] + 4.0 + 3.5 * row, AIR)), words)
