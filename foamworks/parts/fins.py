"""The new fins as board parts, and the template that marks their slots on the tailplane. Millimetres and grams.

A fin's own frame: x up along the fin from its root, y aft along the root chord from the leading edge. So the board's
grain, which follows a part's x, runs along the span.
"""

import math

from shapely import Polygon

from foamworks.parts.base import LETTER, Bevel, BoardPart, Point, Stroke
from foamworks.parts.board import bevels
from foamworks.physics.beam import load_centre
from foamworks.units import degrees

TAB_THICKNESSES = 3.0  # least tab length in board thicknesses (common practice, no source)
EDGE_THICKNESSES = 2.0  # least distance of a tab from an edge, in board thicknesses (common practice, no source)
LEAST_BORDER = 10.0  # mm of template beside its slots: what a hand holds down (ours)
MARK_START, MARK_HIGH = 3.0, 2.5  # mm, the template's words: from its front, and how high
TAB_DEPTH = 8.0  # mm, through the tailplane's foam; trimmed flush below (common practice, no source)
CHORD_ERROR = 0.01  # mm, arcs as straight pieces
Span = tuple[float, float]  # start and end [mm]
ROUNDING_SHARE = 0.18  # of the tip chord: rounds the corners and takes well under 1 % of the area (ours)


def tab_places(root_chord: float, thickness: float, stands: Span | None = None) -> tuple[Span, ...]:
    """Give the tabs along a root chord as (start, end) [mm]: two where they fit, else one, else none.

    `stands`: the stretch of the root that stands on the tailplane, ahead of the hinge; None for all of it. A tab keeps
    two board thicknesses from both its ends.

    >>> tab_places(110.0, 5.0)
    ((16.5, 38.5), (71.5, 93.5))
    >>> tab_places(110.0, 5.0, (40.0, 110.0))
    ((50.0, 67.5), (82.5, 100.0))
    """
    least, edge = TAB_THICKNESSES * thickness, EDGE_THICKNESSES * thickness
    ahead, behind = (0.0, root_chord) if stands is None else stands
    low, high = max(ahead, 0.0) + edge, min(behind, root_chord) - edge
    wanted = max(low, 0.15 * root_chord), min(high, 0.85 * root_chord)  # where there is room, a tab keeps further in
    if wanted[1] - wanted[0] >= 3 * least:
        low, high = wanted
    length = min(max(least, 0.2 * root_chord), (high - low - least) / 2)
    if length >= least:
        return (low, low + length), (high - length, high)
    middle = (low + high) / 2
    return ((middle - least / 2, middle + least / 2),) if high - low >= least else ()


def fillet(before: Point, corner: Point, after: Point, radius: float) -> list[Point]:
    """Give the points of an arc of `radius` that rounds a corner; limited to half of the shorter side."""
    ux, uy = before[0] - corner[0], before[1] - corner[1]
    vx, vy = after[0] - corner[0], after[1] - corner[1]
    u, v = math.hypot(ux, uy), math.hypot(vx, vy)
    half = math.acos(max(-1.0, min(1.0, (ux * vx + uy * vy) / (u * v)))) / 2
    reach = min(radius / math.tan(half), 0.5 * min(u, v))
    radius = reach * math.tan(half)
    start = (corner[0] + ux / u * reach, corner[1] + uy / u * reach)
    end = (corner[0] + vx / v * reach, corner[1] + vy / v * reach)
    bx, by = ux / u + vx / v, uy / u + vy / v
    to_centre = radius / math.sin(half) / math.hypot(bx, by)
    centre = (corner[0] + bx * to_centre, corner[1] + by * to_centre)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    turn = math.remainder(math.atan2(end[1] - centre[1], end[0] - centre[0]) - first, 2 * math.pi)
    step = 2 * math.acos(max(0.0, 1 - CHORD_ERROR / radius))
    pieces = max(2, math.ceil(abs(turn) / step))
    angles = [first + turn * k / pieces for k in range(1, pieces)]
    return [start, *((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles), end]


def straight_outline(*, root_chord: float, tip_chord: float, height: float, sweep: float) -> tuple[Point, ...]:
    """Give the straight-edged fin's corners from the root's leading edge, by the tip, to the root's trailing edge."""
    aft = height * math.tan(sweep)
    corners = [(0.0, 0.0), (height, aft), (height, aft + tip_chord), (0.0, root_chord)]
    return tuple(corners if tip_chord > 0 else [*corners[:2], corners[3]])


def fin(
    *,
    root_chord: float,
    tip_chord: float,
    height: float,
    sweep: float,
    rounding: float,
    tabs: tuple[Span, ...],
    board: str,
    thickness: float,
    areal_density: float,
    count: int,
    x_root: float,
    z_root: float,
    cant: float,
    root_bevel: float = 0.0,
) -> BoardPart:
    """Make one fin [mm, rad]; its mass from the area as cut, tabs included, and the board's areal density [g/mm2].

    `x_root`, `z_root`: the root's leading edge on the aircraft; `cant` tips the tops outward. `root_bevel` [rad] is the
    angle by which the fin leans outward from square on what it stands on: its root edge is cut to that, half of the
    bevel below the root line, so that the middle of the board keeps the height.
    """
    corners = list(straight_outline(root_chord=root_chord, tip_chord=tip_chord, height=height, sweep=sweep))
    low = thickness / 2 * math.tan(abs(root_bevel))
    taper_aft = (corners[-2][1] - root_chord) / height  # how far the trailing edge runs aft for a mm of height
    corners[0], corners[-1] = (-low, -low * math.tan(sweep)), (-low, root_chord - low * taper_aft)
    edge: list[Point] = [corners[0]]
    if tip_chord > 0 and rounding > 0:
        edge += fillet(corners[0], corners[1], corners[2], rounding)
        edge += fillet(corners[1], corners[2], corners[3], rounding)
    else:
        edge += corners[1:-1]
    edge.append(corners[-1])
    for start, end in reversed(tabs):
        edge += [(-low, end), (-low - TAB_DEPTH, end), (-low - TAB_DEPTH, start), (-low, start)]
    outline = Polygon(edge)
    slants = (Bevel((corners[0], corners[-1]), degrees(root_bevel), "root"),) if root_bevel else ()
    area = outline.area - bevels.taken_off(outline, slants, thickness)
    cx, cy = outline.centroid.x, outline.centroid.y
    return BoardPart(
        name="fin",
        board=board,
        thickness_mm=thickness,
        outline=outline,
        count=count,
        mirrored=count // 2,
        grain="length",
        strokes=(*_marks(root_chord, tip_chord, height, sweep), *bevels.marks(outline, slants, thickness)),
        mass_g=area * areal_density,
        x_mm=x_root + cy,
        z_mm=z_root + cx * math.cos(cant),
        note="the marked face looks outward",
        group="fins",
        bevels=slants,
    )


def _marks(root_chord: float, tip_chord: float, height: float, sweep: float) -> tuple[Stroke, ...]:
    taper = tip_chord / root_chord
    mac = 2 / 3 * root_chord * (1 + taper + taper**2) / (1 + taper)
    up = load_centre(height=height, taper=taper)
    start = up * math.tan(sweep)
    return (
        Stroke("mark", ((up, start + 0.02 * mac), (up, start + 0.98 * mac))),
        Stroke("mark", ((up - 3, start + mac / 4), (up + 3, start + mac / 4))),
    )


def slot_template(
    *,
    root_chord: float,
    tabs: tuple[Span, ...],
    thickness: float,
    slot_width: float,
    board: str,
    toe: float = 0.0,
    y_root: float = 0.0,
    edge: float | None = None,
) -> BoardPart | None:
    """Make the template that marks a fin's slots on the tailplane; None when the fin has no tabs. Drawn for starboard.

    Its front edge goes to the root's leading edge, its long edges along the centre line, `toe` [rad] from the slots.
    Two thicknesses of board stand around every slot; where a turned slot comes nearer to the root's leading edge, the
    template reaches ahead of it and a line across marks the leading edge. `y_root`: the root's leading edge from the
    centre line; `edge`: how far behind it the tailplane's own leading edge lies, where that is under the root [mm]. It
    stays on the bench.
    """
    if not tabs:
        return None
    border = max(LEAST_BORDER, EDGE_THICKNESSES * thickness)
    cos, sin = math.cos(toe), math.sin(toe)
    half, out = slot_width / 2, root_chord * sin
    line = border + half + max(0.0, -out)  # where the slots' middle line meets the root's leading edge

    def at(along: float, across: float) -> Point:
        return (along * cos - across * sin, line + along * sin + across * cos)

    holes = [[at(start, -half), at(end, -half), at(end, half), at(start, half)] for start, end in tabs]
    width, web = 2 * border + slot_width + abs(out), EDGE_THICKNESSES * thickness
    along = [x for hole in holes for x, _ in hole]
    front, aft = min(0.0, min(along) - web), max(root_chord, max(along) + web)
    outer = [(front, 0.0), (aft, 0.0), (aft, width), (front, width)]
    lead = "front edge" if front == 0 else "line across its front"
    note = f"{lead} at the root's leading edge, slots along the fin; mark, turn over for the other side"
    if toe:
        note = (
            f"toe {degrees(toe):g} deg: {lead} at the root's leading edge, long edges parallel to the centre "
            f"line, the inner one {y_root - line:.1f} mm from it; mark, turn over for the other side"
        )
    if edge is not None and 0 < edge < root_chord:
        note += f"; the line across it lies over the tailplane's leading edge, {edge:.1f} mm behind the root's"
    outward = Stroke("mark", ((3.0, width - 6.0),), text="outward", height_mm=3.0)
    root = Stroke("mark", ((0.0, 1.0), (0.0, width - 1.0)))
    return BoardPart(
        name="slot template",
        group="fin bench",
        board=board,
        thickness_mm=thickness,
        outline=Polygon(outer, holes),
        strokes=(
            *((outward,) if toe else ()),
            *((root,) if front < 0 else ()),
            *_centre_marks(y_root - line, aft, edge if edge is not None and 0 < edge < root_chord else 0.0),
            *_edge_line(edge, root_chord, width),
        ),
        note=note,
    )


def _centre_marks(inner: float, length: float, edge: float) -> tuple[Stroke, ...]:
    """Say on the template where the centre line is: how far from its inner edge, or a line where it lies under it.

    The words begin behind the tailplane's edge (`edge`, 0 without), as far as the template's length leaves them room.
    """
    text = f"{inner:.1f} mm to centre" if inner > 0 else "centre line"
    start = max(MARK_START, min(edge + 1.0, length - MARK_START - LETTER * MARK_HIGH * len(text)))
    if inner > 0:
        return (Stroke("mark", ((start, 5.0),), text=text, height_mm=MARK_HIGH),)
    line = Stroke("mark", ((1.0, -inner), (length - 1.0, -inner)))
    return (line, Stroke("mark", ((start, 1.0 - inner),), text=text, height_mm=MARK_HIGH))


def _edge_line(edge: float | None, length: float, width: float) -> tuple[Stroke, ...]:
    """Draw the tailplane's leading edge across the template, where it lies under it."""
    if edge is None or not 0 < edge < length:
        return ()
    return (
        Stroke("mark", ((edge, 1.0), (edge, width - 1.0))),
        Stroke("mark", ((edge + 1.0, 1.0),), text="tailplane's edge", height_mm=2.5),
    )
