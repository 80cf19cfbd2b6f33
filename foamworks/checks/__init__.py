"""Study to verdicts: each finding says the number, its limit, why, what would cure it, and where the limit is from."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
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


# in which order a builder decides; a subject that is not named here comes after these
ORDER = (
    "bench.traces",
    "bench.plausible",
    "fins.volume",
    "fins.fit",
    "balance",
    "flight.flight_ladder",
    "masses",
    "changed",
    "camera",
    "flight.lateral",
    "tolerance",
    "pod.held",
    "pod.place",
    "flight.motors",
    "flight.burn",
    "flight.run",
    "flight.worst",
    "at_speed",
    "flight.go_around",
    "flight.heat",
    "strength",
    "pod.strength",
    "flight.power",
    "flight.flights",
    "flight.ignition",
    "bench.sheets",
    "bench.workshop",
    "bench.cutting",
)


def judged(asked: Design, path: Path) -> Case:
    """Solve a design that was read from `path`, make it on paper, study and judge it: the whole case of it."""
    aircraft = solve(asked)
    parts = make(aircraft.design)
    case = Case(asked.name or printable(path.stem), path, asked, aircraft, parts, study(aircraft, parts))
    return replace(case, findings=judge(case))


def judge(case: Case) -> tuple[Finding, ...]:
    """Judge a case, one subject after the other."""
    return tuple(finding for subject in subjects() for finding in subject(case))


@cache
def subjects() -> tuple[Callable[[Case], list[Finding]], ...]:
    """Give `findings` of each module in checks/ and its rooms that has it: those of `ORDER`, then by name."""
    names = [found.name for found in walk_packages(__path__, f"{__name__}.")]
    place = {f"{__name__}.{name}": number for number, name in enumerate(ORDER)}
    modules = [import_module(name) for name in sorted(names, key=lambda name: (place.get(name, len(place)), name))]
    return tuple(module.findings for module in modules if hasattr(module, "findings"))


def judge_layout(case: Case, laid: "LaidOut") -> tuple[Finding, ...]:
    """Judge again what only a laid-out build can know: what found no place, how well the board is used."""
    from foamworks.checks.bench import sheets

    return sheets.judge_layout(case, laid)
