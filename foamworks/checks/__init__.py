"""Study to verdicts: each finding says the number, its limit, why, what would cure it, and where the limit is from."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from foamworks.aircraft.solve import solve
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.model import Design
from foamworks.errors import printable
from foamworks.parts.make import make
from foamworks.study.whole import study

if TYPE_CHECKING:  # the layout brings the nester, which a check does not need
    from foamworks.parts.board.layout import LaidOut


def judged(asked: Design, path: Path) -> Case:
    """Solve a design that was read from `path`, make it on paper, study and judge it: the whole case of it."""
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
    case = Case(asked.name or printable(path.stem), path, asked, solved, parts, whole)
    return replace(case, findings=judge(case))


def judge(case: Case) -> tuple[Finding, ...]:
    """Judge a case: one module for each subject, in the order in which a builder decides."""
    from foamworks.checks import balance, camera, changed, masses, pod, strength, tolerance
    from foamworks.checks.bench import cutting, plausible, sheets, traces, workshop
    from foamworks.checks.fins import fit, volume
    from foamworks.checks.flight import burn, flight_ladder, flights, heat, ignition, lateral, motors, power, worst

    modules = (
        traces,
        plausible,
        volume,
        fit,
        balance,
        flight_ladder,
        masses,
        changed,
        camera,
        lateral,
        tolerance,
        pod,
        motors,
        burn,
        worst,
        heat,
        strength,
        power,
        flights,
        ignition,
        sheets,
        workshop,
        cutting,
    )
    return tuple(finding for module in modules for finding in module.findings(case))


def judge_layout(case: Case, laid: "LaidOut") -> tuple[Finding, ...]:
    """Judge again what only a laid-out build can know: what found no place, how well the board is used."""
    from foamworks.checks.bench import sheets

    return sheets.judge_layout(case, laid)
