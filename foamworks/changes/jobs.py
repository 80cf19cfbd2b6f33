"""The answer of a small job: fins, a nose cone, cuts; nothing of flying."""

from foamworks.checks.case import Case
from foamworks.parts.base import PrintPart
from foamworks.units import said


def job_sentence(case: Case) -> str:
    """Say what will be made, with its size and where it stands."""
    words = [text for text in (_fins(case), _nose(case), _cuts(case)) if text]
    return " ".join(words) or "Nothing can be said yet: see what is to be measured."


def _fins(case: Case) -> str:
    fins = case.design.fins
    if fins is None or fins.each is None:
        return ""
    each, root = fins.each, fins.root
    count = "Two fins" if fins.count == 2 else "One fin"
    return (
        f"{count}, each with a root of {said(each.root_chord, 'mm', 1)}, a tip of {said(each.tip_chord, 'mm', 1)} and "
        f"{said(each.height, 'mm', 1)} high; the root's front end stands at x = {said(root.x, 'mm', 0)}, "
        f"{said(root.y, 'mm', 0)} from the middle."
    )


def _nose(case: Case) -> str:
    nose = case.study.nose
    made = next((part for part in case.parts.prints if part.name == "nose cone"), None)
    if nose is None or not isinstance(made, PrintPart):
        return ""
    return (
        f"A nose cone {said(nose.length, 'mm', 1)} long over a tube of {said(nose.diameter, 'mm', 2)}, "
        f"about {made.mass_g or 0.0:.0f} g to print."
    )


def _cuts(case: Case) -> str:
    if case.study.wing is not None or not case.design.cuts:
        return ""
    pieces = sum(part.count for part in case.parts.boards)
    fit = next((finding.why for finding in case.findings if finding.check == "sheet-fit"), "")
    return f"{pieces} pieces to cut: {fit}." if fit else f"{pieces} pieces to cut; foamworks build lays them out."
