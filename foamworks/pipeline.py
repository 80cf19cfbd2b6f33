"""The steps in order, no formula: load, solve, make, study, judge, write."""

from dataclasses import replace
from pathlib import Path

from foamworks.design.load import load
from foamworks.findings import judge
from foamworks.findings.case import Case
from foamworks.parts.make import make
from foamworks.solve import solve
from foamworks.study.whole import study


def check(path: Path) -> Case:
    """Read, solve, make on paper, study and judge the design at `path`; nothing is written, no CAD kernel loaded."""
    asked = load(path)
    solved = solve(asked)
    parts = make(solved.design)
    whole = study(
        solved.design,
        parts,
        wing=solved.wing,
        aero=solved.aero,
        apart=solved.apart,
        limited_by=solved.limited_by,
    )
    case = Case(asked.name or path.stem, path, asked, solved, parts, whole)
    return replace(case, findings=judge(case))


def exit_status(case: Case) -> int:
    """Give the exit status: 1 when a finding fails, else 0."""
    return int(any(finding.verdict == "fail" for finding in case.findings))
