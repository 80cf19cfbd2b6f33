"""The steps in order, no formula: load, judge (which solves, makes and studies), lay out, write."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from foamworks.changes.answer import Answer, answered
from foamworks.checks import judge_layout, judged
from foamworks.checks.case import Case
from foamworks.checks.stamp import stamp
from foamworks.design.ladder import rungs
from foamworks.design.load import load
from foamworks.errors import DesignError
from foamworks.output.sheets.look import BuildOptions

if TYPE_CHECKING:  # the layout brings the nester, which a check does not need
    from foamworks.output.keys import Row
    from foamworks.parts.board.layout import LaidOut

FILES = ("fins", "pod", "sheets", "prints", "report")  # what --only may name


@dataclass(frozen=True)
class Built:
    """What a build gives: case, answer, summary, its folder, how many old files it removed, the sheets as laid."""

    case: Case
    answer: Answer
    data: "Row"
    folder: Path
    removed: int
    laid: "LaidOut"


def read_only(text: str) -> frozenset[str]:
    """Read the value of --only."""
    wanted = [name.strip() for name in text.split(",")]
    for name in wanted:
        if name not in FILES:
            shown = name or f'"{text}"'
            raise DesignError(f"--only {shown}: takes {', '.join(FILES)}, joined by commas")
    return frozenset(wanted)


def check(path: Path) -> Case:
    """Read, solve, make on paper, study and judge the design at `path`; nothing is written, no CAD kernel loaded."""
    return judged(load(path), path)


def flight_names(path: Path) -> list[str]:
    """Give the names of the flights of the design at `path`, in flying order."""
    return [rung.name for rung in rungs(load(path))]


def exit_status(case: Case) -> int:
    """Give the exit status: 1 when a finding fails, else 0."""
    return int(any(finding.verdict == "fail" for finding in case.findings))


def build(path: Path, out: Path, options: BuildOptions) -> Built:
    """Check a design and write its files into `out`/<design>; what the user put there stays."""
    from foamworks.output import writing
    from foamworks.output.folder import whole_folder
    from foamworks.parts.board.layout import LaidOut

    case = check(path)
    laid = LaidOut()
    with whole_folder(out, path.stem) as place:  # first of all: an --out that cannot be used costs no search
        if options.wants("fins", "sheets", "report") and case.parts.boards:
            laid = _lay_out(case, options)
            case = replace(case, findings=judge_layout(case, laid))
            laid = laid.stamped(stamp(case, {"fins", "sheets"}))
        answer = answered(case, every=True)
        case = replace(case, findings=answer.proved(case.findings))
        data = writing.write_all(case, answer, laid, place.work, options)
    return Built(case, answer, data, place.final, place.removed, laid)


def _lay_out(case: Case, options: BuildOptions) -> "LaidOut":
    from foamworks.output.sheets import kept_layout
    from foamworks.parts.board.layout import lay_out

    def shown(text: str, share: float) -> None:
        options.progress(f"laying out {text}: {100 * share:.0f} %")

    kept = kept_layout.read(case.path)
    laid, better = lay_out(
        case.design,
        case.parts,
        title=case.name,
        kept=kept,
        improve=options.improve,
        progress=shown,
    )
    options.progress("")
    if better is not None:
        kept_layout.write(case.path, better)
    return laid


def compare(paths: list[Path], *, ladder: bool) -> tuple[list[list[str]], "Row", int]:
    """Give the studies of several designs as a table and as JSON, or one design's flight ladder."""
    from foamworks.output import comparison

    if ladder and len(paths) != 1:
        raise DesignError("--ladder: takes one design")
    cases = [check(path) for path in paths]
    table, data = comparison.ladder(cases[0]) if ladder else comparison.side_by_side(cases)
    return table, data, max(exit_status(case) for case in cases)
