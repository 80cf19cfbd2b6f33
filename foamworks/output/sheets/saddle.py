"""The paper that says where the pod's mount is glued: wrapped round the back it shows its foot at full size [mm]."""

from collections.abc import Sequence
from pathlib import Path

from foamworks.output.pen import SMALLEST, Pen, shortened
from foamworks.output.sheets.paper_page import draw_bars
from foamworks.output.sheets.paper_tiles import PAGE_EDGE, PRINTABLE
from foamworks.parts.base import Placement, Point, PrintPart, Saddle
from foamworks.parts.wrap import Wrapped, wrapped

INSET = 14.0  # mm from the printable area's edge: clear of the bars
HEAD = 16.0  # mm on top of a page
AROUND = 25.0  # mm of paper beyond the foot abeam, to hold it by
ENDS = 12.0  # mm of paper before and behind the foot
HOW = (
    "Print at 100 %, measure the bars, cut the outer line out. Wrap it round the back: the middle line on the body's",
    "middle, the front edge at its place. Prick the inner line's corners through: within them the mount is glued.",
)


def write_saddles(prints: Sequence[PrintPart], path: Path, *, title: str) -> None:
    """Write a page for each mount; no file where there is none."""
    mounts = [(part.name, part.shape, at) for part in prints if isinstance(part.shape, Saddle) for at in part.places]
    if not mounts:
        return
    pen = Pen(f"{title} - saddle of the pod's mount")
    for name, shape, place in mounts:
        _page(pen, title, name, wrapped(shape), place, shape.length)
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(pen.finish())


def _page(pen: Pen, title: str, name: str, foot: Wrapped, place: Placement, length: float) -> None:
    """Draw one mount's foot, front end up, port to the left."""
    left = min(0.0, *(v for _, v in foot.port)) - AROUND
    right = max(0.0, *(v for _, v in foot.starboard)) + AROUND
    wide = max(PRINTABLE[0], right - left + 2 * INSET)
    high = max(PRINTABLE[1], foot.length + 2 * (ENDS + INSET) + HEAD)
    pen.page(wide + 2 * PAGE_EDGE, high + 2 * PAGE_EDGE, name)
    draw_bars(pen, (PAGE_EDGE, PAGE_EDGE), wide, high)
    top, edge = PAGE_EDGE + high - INSET, PAGE_EDGE + INSET
    pen.text((edge, top - 5), shortened(f"{title}: {name}", 11, wide - 2 * INSET), 11, bold=True)
    for row, words in enumerate(HOW):
        pen.text((edge, top - 9.5 - 3.5 * row), shortened(words, SMALLEST, wide - 2 * INSET))
    middle, start = PAGE_EDGE + (wide - left - right) / 2, top - HEAD - ENDS

    def at(point: Point) -> Point:
        return (middle + point[1], start - point[0])

    ends = (-ENDS, foot.length + ENDS)
    pen.style("cut")
    pen.polyline([at((u, v)) for u, v in ((ends[0], left), (ends[0], right), (ends[1], right), (ends[1], left))],
                 closed=True)  # fmt: skip
    pen.style("bar")
    pen.polyline([at(point) for point in (*foot.port, *reversed(foot.starboard))], closed=True)
    pen.style("fold")
    pen.line(at((ends[0], 0.0)), at((ends[1], 0.0)))
    for u, x, words in ((0.0, place.x, "front edge"), (foot.length, place.x + length, "aft edge")):
        pen.line(at((u, left)), at((u, right)))
        says = f"{words}: x = {x:.1f} mm"
        pen.text(at((u + (-1.5 if u == 0 else 4.0), left + 1.0)), shortened(says, SMALLEST, AROUND + 30))
    pen.text(at((ends[0] + 4.0, 1.5)), "nose this way")
    pen.text(at((ends[1] - 1.5, 1.5)), "the body's middle")
