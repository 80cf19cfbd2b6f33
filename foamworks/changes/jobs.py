"""The answer of a small job: fins, a nose cone, cuts; nothing of flying."""

import math
from itertools import pairwise

from foamworks.checks.case import Case
from foamworks.design.edit import blank
from foamworks.parts.base import PrintPart
from foamworks.parts.board.tool import Tool, tool_of
from foamworks.units import first_measured, number, said

MINUTE = 60.0  # s
LAYS_OUT = "The command build lays them out and says what becomes waste."

NOTHING = "Nothing can be said yet: see what is to be measured."


def job_sentence(case: Case) -> str:
    """Say what will be made, with its size and where it stands."""
    words = [text for text in (_fins(case), _nose(case), _cuts(case)) if text]
    return " ".join(words) or NOTHING


def _fins(case: Case) -> str:
    fins = case.design.fins
    if fins is None or fins.each is None:
        return ""
    each, root = fins.each, fins.root
    count = "Two fins" if fins.count == 2 else "One fin"
    return (
        f"{count}, each with a root of {said(each.root_chord, 'mm', 1)}, a tip of {said(each.tip_chord, 'mm', 1)} and "
        f"{said(each.height, 'mm', 1)} high. The root's front end stands at x = {said(root.x, 'mm', 0)}, "
        f"{said(root.y, 'mm', 0)} from the middle."
    )


def _nose(case: Case) -> str:
    nose = case.study.nose
    made = next((part for part in case.parts.prints if part.name == "nose cone"), None)
    if nose is None or not isinstance(made, PrintPart):
        return ""
    fit = f" It has no shoulder and is glued on butt: for one measure the tube, and {blank('pod.tube.inner')}."
    if nose.shoulder is not None:
        fit = (
            f" Its shoulder is {said(nose.shoulder.diameter, 'mm', 2)} wide and {said(nose.shoulder.length, 'mm', 1)} "
            f"long, {said(nose.shoulder.fit, 'mm', 2)} less than the tube's inside."
        )
    return (
        f"A nose cone {said(nose.length, 'mm', 1)} long over a tube of {said(nose.diameter, 'mm', 2)}, its wall "
        f"{said(nose.wall, 'mm', 1)}, about {number(first_measured(made.mass_g, 0.0), 0)} g to print.{fit}"
    )


def _cuts(case: Case) -> str:
    if case.study.wing is not None or not case.design.cuts:
        return ""
    laid = any(finding.check == "utilisation" for finding in case.findings)  # which only a layout has
    asks, then = ("takes", "") if laid else ("asks for at least", f" {LAYS_OUT}")
    known = [f for f in case.findings if f.check == "sheet-fit" and f.value is not None and f.verdict != "fail"]
    sheets = "".join(f' The board "{f.subject}" {asks} {f.value:.0f} {_plural("sheet", f.value or 0)}.' for f in known)
    pieces = sum(part.count for part in case.parts.boards)
    tool, seconds = _cutting_time(case)
    by = tool.name if tool.named else f"{tool.name}, as no tool is named"
    minutes = max(1, round(seconds / MINUTE))
    return (
        f"{pieces} {_plural('piece', pieces)} to cut, about {minutes} {_plural('minute', minutes)} with a {by}."
        f"{sheets}{then}"
    )


def _plural(word: str, count: float) -> str:
    return word if count == 1 else f"{word}s"


def _cutting_time(case: Case) -> tuple[Tool, float]:
    """Estimate the time to cut all pieces [s], once round each outline and hole, before anything is laid out."""
    tool, cut, score, loops = tool_of(case.design.cutting), 0.0, 0.0, 0
    for part in case.parts.boards:
        scored = [stroke for stroke in part.strokes if stroke.layer == "score"]
        cut += part.count * part.outline.length  # of a polygon: its holes' edges are counted
        score += part.count * sum(math.dist(a, b) for stroke in scored for a, b in pairwise(stroke.points))
        loops += part.count * (1 + len(part.outline.interiors) + len(scored))
    return tool, tool.seconds(cut=cut, score=score, loops=loops)
