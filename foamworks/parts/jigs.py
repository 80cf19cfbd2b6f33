"""Bench parts that hold a new fin while its glue sets: a block at the fin's lean, a template for its toe.

Millimetres. The slot comb, cut first, tells which slot width fits this board and this tool.

The jig's own frame: x along the tailplane away from the fin, y up; its corner is where the fin's face meets the skin.
The template's: x aft from the root's leading edge, y outward from an edge that lies parallel to the centre line.
"""

import math

from shapely import Polygon
from shapely.geometry.polygon import orient

from foamworks.design.additions import FinAsBuilt, Fins
from foamworks.design.airframe import Tailplane
from foamworks.design.model import Design
from foamworks.parts.base import BoardPart, Point, Stroke
from foamworks.parts.density import Stuff
from foamworks.units import degrees, mm, said

ARM = 0.6  # of the fin's height: high enough to aim by, low enough to get glue in below (ours)
LONGEST = 80.0  # mm of each edge: more is only board
LEAST_EDGE = 25.0  # mm of tailplane that a jig needs to stand on (ours)
LEAST_ANGLE = math.radians(18)  # of a block: a sharper one has no board left beside its relief
RELIEF = 6.0  # mm radius at the root: the fillet of glue stays clear of the jig (common practice, no source)
BLUNT = 5.0  # mm across the blocks' tips: a point of board is crushed
ARC = 24  # chords of the relief: within 0.02 mm of its circle
UPRIGHT = math.radians(0.05)  # a lean below this is none
TEMPLATE = 14.0  # mm, least width of the toe template
LETTERS = 0.8  # of its height: how wide a letter of a plain font is at most, words on the mean
TEXT, ABOVE = 3.0, 2.0  # mm: height of the marks, and above the foot's edge
COMB = "slot comb"
COMB_STEPS = (-0.4, -0.2, 0.0, 0.2, 0.4)  # mm about the measured thickness (common practice, no source)
COMB_PITCH, COMB_DEPTH, COMB_BODY = 14.0, 14.0, 20.0  # mm; the body carries the widths and, above them, the label
SHARES = (1.0, 0.7, 0.45, 0.25)  # of the arm, tried in turn on a fin so swept that it leaves its own root


def jig_side(lean: float, outboard: float, inboard: float) -> tuple[bool, float] | None:
    """Choose the side of the fin: whether outboard, and the angle between tailplane and fin there [rad].

    The side it leans to carries it; where that has too little tailplane (`outboard`, `inboard` [mm]) or too sharp an
    angle, the other one; None where neither does.

    >>> jig_side(math.radians(10), 90.0, 60.0) == (True, math.radians(80))
    True
    """
    sides = [(True, math.pi / 2 - lean, outboard), (False, math.pi / 2 + lean, inboard)]
    for is_out, angle, room in sides if lean >= 0 else reversed(sides):
        if room >= LEAST_EDGE and LEAST_ANGLE <= angle <= math.pi - LEAST_ANGLE:
            return is_out, angle
    return None


def block(*, angle: float, base: float, arm: float) -> Polygon:
    """Give the jig's outline: an edge on the tailplane, one along the fin at this angle [rad], the root relieved."""
    cos, sin = math.cos(angle), math.sin(angle)
    arm = min(arm, base / cos) if cos > 0 else arm  # a block that overhangs its foot falls over
    blunt, relief = min(BLUNT, base / 3, arm / 3), min(RELIEF, base / 3, arm / 3)
    tip = (arm * cos, arm * sin)
    hull = Polygon([(0.0, 0.0), (base, 0.0), (base, blunt), (tip[0] + blunt * sin, tip[1] - blunt * cos), tip])
    ring = list(orient(hull.convex_hull).exterior.coords)[:-1]
    root = ring.index((0.0, 0.0))
    turns = [angle * (1 - k / ARC) for k in range(ARC + 1)]
    notch = [(relief * math.cos(t), relief * math.sin(t)) for t in turns]
    return Polygon([*notch, *ring[root + 1 :], *ring[:root]])


def fin_jig(
    *,
    lean: float,
    outboard: float,
    inboard: float,
    root_chord: float,
    tip_chord: float,
    height: float,
    sweep: float,
    count: int,
    stuff: Stuff,
) -> BoardPart | None:
    """Make the blocks for the fins, two pieces; None where the fin has nowhere to lean on.

    `lean` [rad] outward from square on the tailplane; `outboard`, `inboard`: tailplane beside the root on either side.
    Blocks of a leaning pair are of two hands.
    """
    side = jig_side(lean, outboard, inboard)
    if side is None:
        return None
    is_out, angle = side
    arm, at = _arm(root_chord, tip_chord, height, sweep)
    base = min(max(arm, LEAST_EDGE), outboard if is_out else inboard)
    outline = block(angle=angle, base=base, arm=arm)
    leans = abs(lean) > UPRIGHT
    where = f"{'outboard' if is_out else 'inboard'} of" if leans else "beside"
    note = (
        f"{said(angle, 'deg', 1)} between tailplane and fin: its relieved corner to the root, its edge of "
        f"{base:.0f} mm on the tailplane, {where} the fin, square to the root, {at:.0f} mm behind its leading edge; "
        "take it away when the glue has set"
    )
    return BoardPart(
        name="fin jig",
        group="fin bench",
        board=stuff.name,
        thickness_mm=stuff.thickness,
        outline=outline,
        count=2,
        mirrored=1 if leans and count == 2 else 0,
        strokes=_marks(angle, base, outward=is_out if leans else None),
        mass_g=outline.area * stuff.areal_density,
        note=note,
    )


def _arm(root_chord: float, tip_chord: float, height: float, sweep: float) -> tuple[float, float]:
    """Give the length of the edge along the fin, and how far behind the root's leading edge it stands inside it."""
    arm = at = 0.0
    for share in SHARES:
        arm = share * min(ARM * height, LONGEST)
        aft = arm * math.tan(sweep)
        first, last = max(0.0, aft), min(root_chord, aft + root_chord + (tip_chord - root_chord) * arm / height)
        at = (first + last) / 2
        if last > first:
            break
    return arm, min(max(at, 0.0), root_chord)


def _marks(angle: float, base: float, *, outward: bool | None) -> tuple[Stroke, ...]:
    """Write angle and outward side along the foot, with an arrow: as much as the foot has room for."""
    behind = (ABOVE + 2 * TEXT) / math.tan(angle) if angle < math.pi / 2 else 0.0
    start, turn = max(RELIEF, behind) + ABOVE, said(angle, "deg", 1)
    sayings = (turn,) if outward is None else (f"{turn} outward", f"{turn} out", f"{turn.removesuffix(' deg')} out")
    ends = {words: start + LETTERS * TEXT * len(words) for words in sayings}
    words = next((words for words, end in ends.items() if end <= base - ABOVE), None)
    if words is None:
        return ()
    text = Stroke("mark", ((start, ABOVE),), text=words, height_mm=TEXT)
    if outward is None:
        return (text,)
    heel, tip = (start, ends[words]) if outward else (ends[words], start)
    y, barb = ABOVE + 1.6 * TEXT, math.copysign(TEXT, heel - tip)
    arrow = (
        Stroke("mark", ((heel, y), (tip, y))),
        Stroke("mark", ((tip + barb, y + 1), (tip, y), (tip + barb, y - 1))),
    )
    return (text, *arrow)


def toe_template(*, toe: float, root_chord: float, y_root: float, lean: float, stuff: Stuff) -> BoardPart:
    """Make the template that gives a glued fin's line: one edge along the centre line, one along the fin [mm, rad].

    `toe` positive turns leading edges inward; `y_root`: the root's leading edge, middle of the board, from the centre
    line; `lean` as for the block. Drawn for starboard.
    """
    aft, out = root_chord * math.cos(toe), root_chord * math.sin(toe)
    front = TEMPLATE + max(0.0, -out)
    corners: list[Point] = [(0.0, 0.0), (aft, 0.0), (aft, front + out), (0.0, front)]
    outline = Polygon(corners)
    inner = y_root - stuff.thickness / 2 / math.cos(lean) - front
    note = (
        f"toe {degrees(toe):g} deg: front edge at the root's leading edge, the straight edge parallel to the "
        f"centre line and {inner:.1f} mm from it, the fin's inner face along the other; turn over for the other side"
    )
    return BoardPart(
        name="toe template",
        group="fin bench",
        board=stuff.name,
        thickness_mm=stuff.thickness,
        outline=outline,
        mass_g=outline.area * stuff.areal_density,
        note=note,
    )


def tailplane_room(tailplane: Tailplane | None, asked: Fins) -> tuple[float, float]:
    """Give the tailplane beside the fin's root, outboard and inboard [mm]; without a tailplane as much as is asked."""
    if tailplane is None:
        return LONGEST, LONGEST
    across = [mm(station.y) for station in tailplane.stations]
    y = mm(abs(asked.root.y))
    return max(0.0, across[-1] - y), max(0.0, y - across[0])


def fin_jigs(
    design: Design, asked: Fins, each: FinAsBuilt, *, lean: float, stuff: Stuff, marked: bool
) -> list[BoardPart]:
    """Make a fin's bench parts: blocks for a pair or a fin that leans, a toe template where no slots (`marked`) do."""
    found = []
    if asked.count == 2 or abs(lean) > UPRIGHT:
        outboard, inboard = tailplane_room(design.airframe.tailplane, asked)
        jig = fin_jig(
            lean=lean,
            outboard=outboard,
            inboard=inboard,
            root_chord=mm(each.root_chord),
            tip_chord=mm(each.tip_chord),
            height=mm(each.height),
            sweep=each.sweep,
            count=asked.count,
            stuff=stuff,
        )
        found += [] if jig is None else [jig]
    if asked.toe and not marked:
        root = mm(each.root_chord)
        found.append(toe_template(toe=asked.toe, root_chord=root, y_root=mm(asked.root.y), lean=lean, stuff=stuff))
    return found


def slot_comb(*, board: str, thickness: float) -> BoardPart:
    """Make the comb: five slots from thickness - 0.4 to + 0.4 mm, each marked with its width."""
    width = thickness + COMB_PITCH
    edge: list[Point] = [(0.0, 0.0), (len(COMB_STEPS) * width, 0.0), (len(COMB_STEPS) * width, COMB_BODY + COMB_DEPTH)]
    strokes = []
    for number in reversed(range(len(COMB_STEPS))):
        slot = thickness + COMB_STEPS[number]
        middle = (number + 0.5) * width
        left, right = middle - slot / 2, middle + slot / 2
        edge += [(right, COMB_BODY + COMB_DEPTH), (right, COMB_BODY), (left, COMB_BODY), (left, COMB_BODY + COMB_DEPTH)]
        strokes.append(Stroke("mark", ((middle - 4.0, 1.5),), text=f"{slot:.1f}", height_mm=4.0))
    edge.append((0.0, COMB_BODY + COMB_DEPTH))
    return BoardPart(
        name=COMB,
        group="fin bench",
        board=board,
        thickness_mm=thickness,
        outline=Polygon(edge),
        strokes=tuple(strokes),
        note="cut first: push the board into each slot, note the width that holds without crushing",
    )
