"""What the knife does besides cutting out: bevels, scores, corners. Millimetres and degrees."""

import math
from collections.abc import Iterator

from shapely import LineString

from foamworks.checks.base import MEMORY, OURS, Finding, Verdict
from foamworks.checks.case import Case
from foamworks.parts.base import Bevel, BoardPart
from foamworks.parts.board.bevels import ON_EDGE, on_outline, set_back
from foamworks.parts.board.corners import inside_corners, uncut
from foamworks.parts.board.sheet import cut_path
from foamworks.parts.board.tool import kinds, tool_of

STEEPEST = 60.0  # deg: beyond this a knife wanders along the board instead of through it (from memory)
LEFT_UNCUT = 1.0  # mm of board that should stay under a score, the lower paper among it (ours)
OVERCUT = 0.5  # mm: what frees a corner of a trailing blade in thin board (from memory)
UNRELIEVED = 0.1  # mm of round left in a corner before a square tab feels it (ours)


def findings(case: Case) -> list[Finding]:
    """Judge bevels, scores and corners."""
    return [*_bevels(case), *_scores(case), *_overcut(case), *_relief(case)]


def _bevels(case: Case) -> Iterator[Finding]:
    for part in case.parts.boards:
        slants = [bevel for bevel in part.bevels if bevel.angle]
        if slants:
            yield min(
                (_bevel(part, bevel) for bevel in slants), key=lambda f: ("fail", "caution", "pass").index(f.verdict)
            )


def _bevel(part: BoardPart, bevel: Bevel) -> Finding:
    """Judge one bevel: it lies on a straight edge, the part is wide enough for it, a knife can follow it."""
    on, depth, slope = on_outline(bevel, part.outline), set_back(bevel, part.thickness_mm), abs(bevel.angle)
    (ax, ay), (bx, by) = bevel.edge
    edge = f"the {bevel.what} from [{ax:.1f}, {ay:.1f}] to [{bx:.1f}, {by:.1f}]"
    tabs = part.group == "fins"  # a root with tabs is an edge with gaps
    if on < (ON_EDGE if tabs else 1 - ON_EDGE):
        why = f"only {100 * on:.0f} % of {edge} lies on the part's outline"
        cure = "give both ends of a straight edge of the outline, in the part's own frame"
        return Finding("bevel", part.name, "fail", 100 * on, 100.0, "%", why, cure, "geometry")
    x0, y0, x1, y1 = part.outline.bounds
    if depth >= min(x1 - x0, y1 - y0):
        why = f"{slope:.3g} deg set {edge} back by {depth:.1f} mm, which is the whole part"
        cure = "take a smaller angle, or a thinner board"
        return Finding("bevel", part.name, "fail", depth, min(x1 - x0, y1 - y0), "mm", why, cure, "geometry")
    steep = slope > STEEPEST
    why = f"{edge} is cut {slope:.3g} deg from square: one face is set back by {depth:.2f} mm"
    return Finding(
        "bevel", part.name, "caution" if steep else "pass", slope, STEEPEST, "deg", why,
        "glue a wedge of foam to a square edge instead, and sand it to the angle" if steep else "", MEMORY,
    )  # fmt: skip


def _scores(case: Case) -> Iterator[Finding]:
    """Judge each part's deepest score against its board, and whether its scores lie on it."""
    for part in case.parts.boards:
        scores = [s for s in part.strokes if s.layer == "score" and s.text is None and s.depth_mm is not None]
        if not scores:
            continue
        outside = max(LineString(s.points).difference(part.outline.buffer(ON_EDGE)).length for s in scores)
        if outside > 0:
            x0, y0, x1, y1 = part.outline.bounds
            yield Finding(
                "score", part.name, "fail", outside, 0.0, "mm", f"{outside:.1f} mm of a score lie outside the part",
                f"give its points within the outline, in the part's own frame: x from {x0:.4g} to {x1:.4g}, "
                f"y from {y0:.4g} to {y1:.4g} mm", "geometry",
            )  # fmt: skip
            continue
        deepest, most = max(s.depth_mm or 0.0 for s in scores), part.thickness_mm - LEFT_UNCUT
        through = deepest >= part.thickness_mm
        verdict: Verdict = "fail" if through else "caution" if deepest > most else "pass"
        yield Finding(
            "score", part.name, verdict, deepest, most, "mm",
            f"a score of {deepest:g} mm in a board of {part.thickness_mm:g} mm "
            + ("goes through" if through else f"leaves {part.thickness_mm - deepest:.1f} mm"),
            "" if verdict == "pass" else f"score at most {max(0.0, most):.1f} mm deep", OURS,
        )  # fmt: skip


def _overcut(case: Case) -> Iterator[Finding]:
    cutting, tool = case.design.cutting, tool_of(case.design.cutting)
    gap = 1000 * min(cutting.gap, cutting.margin)
    if not case.parts.boards or (tool.overcut == 0 and tool.name != "drag-knife"):
        return
    if tool.overcut == 0:
        yield Finding(
            "overcut", tool.name, "caution", 0.0, OVERCUT, "mm",
            "a trailing blade turns about its tip and leaves the lower end of each corner hanging",
            f"cut past the corners: cutting.overcut = {OVERCUT:g}, then by what the first corner shows", MEMORY,
        )  # fmt: skip
        return
    wide = tool.overcut > gap
    yield Finding(
        "overcut", tool.name, "fail" if wide else "pass", tool.overcut, gap, "mm",
        f"cuts run {tool.overcut:g} mm past outside corners; the neighbour, or the sheet's edge, is {gap:g} mm away",
        f"take cutting.gap and cutting.margin of at least {tool.overcut:g} mm, or a shorter overcut" if wide else "",
        "geometry",
    )  # fmt: skip


def _relief(case: Case) -> Iterator[Finding]:
    """Say what a round tool leaves in inside corners, and whether the relief takes it out."""
    tool = tool_of(case.design.cutting)
    left = uncut(tool.kerf, math.pi / 4)
    cornered = [part for part in case.parts.boards if inside_corners(part.outline)]
    if not cornered or left < UNRELIEVED or not (tool.relief or kinds()[tool.name].round):
        return
    if not tool.relief:
        yield Finding(
            "relief", tool.name, "caution", left, UNRELIEVED, "mm",
            f"a round tool of {tool.kerf:g} mm leaves {left:.2f} mm in square inside corners; a square tab stands off",
            "leave out cutting.relief = false, or trim the corners by knife", "geometry",
        )  # fmt: skip
        return
    narrow = [part.name for part in cornered if _unrelieved(part, tool.kerf)]
    yield Finding(
        "relief", tool.name, "caution" if narrow else "pass", left, None, "mm",
        f"inside corners are cut {left:.2f} mm deeper, so that a tool of {tool.kerf:g} mm reaches into a square one"
        + (f"; not so on {', '.join(narrow)}, too narrow there" if narrow else ""),
        "trim those corners by knife" if narrow else "", "geometry",
    )  # fmt: skip


def _unrelieved(part: BoardPart, kerf: float) -> bool:
    return bool(cut_path(part.outline, kerf, relief=True).equals(cut_path(part.outline, kerf)))
