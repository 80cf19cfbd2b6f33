"""What the knife does besides cutting out: bevels, scores, corners. Millimetres and degrees."""

import math
from collections.abc import Iterator

from shapely import LineString

from foamworks.checks.base import GEOMETRY, MEMORY, VERDICTS, Finding, Proposal, collected, judged
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.design.workshop import Cutting
from foamworks.parts.base import Bevel, BoardPart
from foamworks.parts.board.bevels import ON_EDGE, on_outline, set_back
from foamworks.parts.board.corners import inside_corners, uncut
from foamworks.parts.board.sheet import cut_path
from foamworks.parts.board.tool import kinds, tool_of
from foamworks.units import mm

BEVEL = record("bevel")
SCORE = record("score")
PAST_CORNERS = record("overcut")
RELIEF = record("relief")

STEEPEST = 60.0  # deg: beyond this a knife wanders along the board instead of through it (from memory)
LEFT_UNCUT = 1.0  # mm of board that should stay under a score, the lower paper among it (ours)
OVERCUT = 0.5  # mm: what frees a corner of a trailing blade in thin board (from memory)
UNRELIEVED = 0.1  # mm of round left in a corner before a square tab feels it (ours)


def findings(case: Case) -> list[Finding]:
    """Judge bevels, scores and corners."""
    return collected(case, _bevels, _scores, _overcut, _relief)


def _bevels(case: Case) -> Iterator[Finding]:
    for part in case.parts.boards:
        found = [_bevel(part, bevel) for bevel in part.bevels if bevel.angle]
        if found:
            yield min(found, key=lambda f: VERDICTS.index(f.verdict))


def _bevel(part: BoardPart, bevel: Bevel) -> Finding:
    """Judge one bevel: it lies on a straight edge, the part is wide enough for it, a knife can follow it."""
    on, depth, slope = on_outline(bevel, part.outline), set_back(bevel, part.thickness_mm), abs(bevel.angle)
    (ax, ay), (bx, by) = bevel.edge
    edge = f"the {bevel.what} from [{ax:.1f}, {ay:.1f}] to [{bx:.1f}, {by:.1f}]"
    tabs = part.group == "fins"  # a root with tabs is an edge with gaps
    if on < (ON_EDGE if tabs else 1 - ON_EDGE):
        return BEVEL.finding(
            "fail", part.name, of="outline", value=100 * on, limit=100.0, unit="%", edge=edge, source=GEOMETRY
        )
    x0, y0, x1, y1 = part.outline.bounds
    if depth >= min(x1 - x0, y1 - y0):
        return BEVEL.finding(
            "fail",
            part.name,
            of="whole",
            value=depth,
            limit=min(x1 - x0, y1 - y0),
            unit="mm",
            slope=slope,
            edge=edge,
            source=GEOMETRY,
        )
    return BEVEL.judge(part.name, slope, caution_above=STEEPEST, edge=edge, depth=depth)


def _scores(case: Case) -> Iterator[Finding]:
    """Judge each part's deepest score against its board, and whether its scores lie on it."""
    for part in case.parts.boards:
        scores = [s for s in part.strokes if s.layer == "score" and not s.text and s.depth_mm]
        if not scores:
            continue
        outside = max(LineString(s.points).difference(part.outline.buffer(ON_EDGE)).length for s in scores)
        deepest = max(s.depth_mm for s in scores)
        ends = part.outline.bounds
        yield (
            SCORE.finding("fail", part.name, of="outside", value=outside, limit=0.0, ends=ends, source=GEOMETRY)
            if outside > 0
            else _score(part, deepest)
        )


def _score(part: BoardPart, deepest: float) -> Finding:
    thick = part.thickness_mm
    most, through = thick - LEFT_UNCUT, deepest >= thick
    left = "goes through" if through else f"leaves {thick - deepest:.1f} mm"
    return SCORE.finding(
        "fail" if through else judged(deepest, caution_above=most),
        part.name,
        value=deepest,
        limit=most,
        why=f"a score of {deepest:g} mm in a board of {thick:g} mm {left}",
        cure=Proposal(f"score at most {max(0.0, most):.1f} mm deep"),
    )


def _overcut(case: Case) -> Iterator[Finding]:
    cutting, tool = case.design.cutting, tool_of(case.design.cutting)
    gap = mm(min(cutting.gap, cutting.margin))
    if not case.parts.boards or (tool.overcut == 0 and tool.name != "drag-knife"):
        return
    if tool.overcut == 0:
        yield PAST_CORNERS.finding(
            "caution",
            tool.name,
            value=0.0,
            limit=OVERCUT,
            why="a trailing blade turns about its tip and leaves the lower end of each corner hanging",
            cure=Proposal(
                "cut past the corners, then by what the first corner shows",
                "set",
                (Edit("cutting.overcut", OVERCUT, "mm"),),
            ),
            source=MEMORY,
        )
        return
    yield PAST_CORNERS.finding(
        judged(tool.overcut, fail_above=gap),
        tool.name,
        value=tool.overcut,
        limit=gap,
        why=f"cuts run {tool.overcut:g} mm past outside corners; the neighbour, or the sheet's edge, is {gap:g} mm "
        "away",
        cure=lambda: _room_for(tool.overcut, cutting),
    )


def _room_for(overcut: float, cutting: Cutting) -> Proposal:
    """Propose gap and margin [mm] that the cuts past the corners stay within."""
    short = (key for key in ("gap", "margin") if mm(getattr(cutting, key)) < overcut)
    return Proposal(
        f"keep {overcut:g} mm between the parts and from the sheet's edge, or cut less past the corners",
        "set",
        tuple(Edit(f"cutting.{key}", overcut, "mm") for key in short),
    )


def _relief(case: Case) -> Iterator[Finding]:
    """Say what a round tool leaves in inside corners, and whether the relief takes it out."""
    tool = tool_of(case.design.cutting)
    left = uncut(tool.kerf, math.pi / 4)
    cornered = [part for part in case.parts.boards if inside_corners(part.outline)]
    if not cornered or left < UNRELIEVED or not (tool.relief or kinds()[tool.name].round):
        return
    if not tool.relief:
        yield RELIEF.finding(
            "caution",
            tool.name,
            value=left,
            limit=UNRELIEVED,
            why=f"a round tool of {tool.kerf:g} mm leaves {left:.2f} mm in square inside corners; a square tab stands "
            "off",
            cure=[
                Proposal("let the corners be cut deeper", "set", (Edit("cutting.relief", None),)),
                Proposal("trim the corners by knife"),
            ],
        )
        return
    paths = ((part, cut_path(part.outline, tool.kerf)) for part in cornered)
    narrow = ", ".join(
        part.name for part, plain in paths if cut_path(part.outline, tool.kerf, relief=True).equals(plain)
    )
    yield RELIEF.finding(
        "caution" if narrow else "pass",
        tool.name,
        value=left,
        why=f"inside corners are cut {left:.2f} mm deeper, so that a tool of {tool.kerf:g} mm reaches into a square one"
        + (f"; not so on {narrow}, too narrow there" if narrow else ""),
        cure=Proposal("trim those corners by knife"),
    )
