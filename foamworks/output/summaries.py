"""One page for each thing that is made: what it is for, its numbers, where they come from, its cautions, what to
measure afterwards. Plain text with tables that line up; the words stand in `pages/`, one template a page.
"""  # fmt: skip

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from foamworks.checks.base import VERDICTS
from foamworks.checks.case import Case
from foamworks.checks.stamp import concerned, stamp
from foamworks.design.ladder import NO_POD
from foamworks.output.tables import Table, escaped
from foamworks.output.templates import templates
from foamworks.parts.base import Group
from foamworks.physics.flight.drag import CUBE, FAIRED

HERE = Path(__file__).parent / "pages"
# page -> the parts of a build that it goes with, and whether a design has what it is about
PAGES: dict[str, tuple[set[str], Callable[[Case], bool]]] = {
    "fins": ({"fins", "report"}, lambda case: case.design.fins is not None and case.design.fins.each is not None),
    "pod": ({"pod", "prints", "report"}, lambda case: case.design.pod is not None),
    "sheets": ({"sheets", "report"}, lambda case: bool(case.parts.boards)),
    "balance": ({"report"}, lambda case: case.study.balance is not None),
    "camera": ({"prints", "report"}, lambda case: any(part.group == "camera" for part in case.parts.prints)),
    "fitted": ({"prints", "report"}, lambda case: any(part.group == "fitted" for part in case.parts.all())),
}
EVERYTHING = frozenset({"fins", "pod", "sheets", "prints", "report"})
# page -> whose parts stand in its table
MADE: dict[str, tuple[Group, ...]] = {
    "fins": ("fins", "fin bench"),
    "pod": ("pod", "mount", "ignition pack", "pod bench"),
    "camera": ("camera",),
    "fitted": ("fitted",),
}
# page -> what may be left to be worked out on it, as `solve` marks it and in words
SOLVED = {
    "fins": {"fins": "the size of the fins"},
    "pod": {"downthrust": "the downthrust"},
    "balance": {"battery": "the battery's place", "ballast": "the ballast"},
}


def write_summaries(
    case: Case,
    data: Mapping[str, Any],
    folder: Path,
    *,
    wanted: frozenset[str] = EVERYTHING,
) -> list[Path]:
    """Write the pages that apply to the design and to what the build was asked for; give their paths."""
    pages = templates(HERE, finalize=_shown)
    pages.globals |= {"NO_POD": NO_POD.name, "CUBE": CUBE, "FAIRED": FAIRED}
    written = []
    for name, (goes_with, applies) in PAGES.items():
        if not (goes_with & wanted and applies(case)):
            continue
        folder.mkdir(parents=True, exist_ok=True)
        findings = sorted(concerned(case, name), key=lambda f: (VERDICTS.index(f.verdict), f.check, f.subject))
        text = pages.get_template(f"{name}.md").render(
            case=case,
            design=case.design,
            data=data,
            proof=case.study.proof,
            mark=stamp(case, {name}),
            findings=findings,
            reasons=dict.fromkeys(f"{f.check}: {f.why}" for f in findings if f.verdict == "fail"),
            made=_made(case, name),
            solved=[words for mark, words in SOLVED.get(name, {}).items() if mark in case.aircraft.marks],
        )
        path = folder / f"{name}.md"
        path.write_text(_joined(text), encoding="utf-8", newline="\n")
        written.append(path)
    return written


def _shown(value: Any) -> Any:
    """Write what a template puts in: a table as a table, and a text so that it neither ends a cell nor opens a tag."""
    if isinstance(value, Table):
        return value.markdown()
    return escaped(value) if isinstance(value, str) else value


def _joined(text: str) -> str:
    """Make one line of each paragraph and of each point of a list, with one empty line between paragraphs."""
    lines = re.sub(r"(?<=\S)[ \t]*\n[ \t]*(?=[^\s|#-])", " ", text)
    return re.sub(r"\s*\n(?:[ \t]*\n)+", "\n\n", lines).strip() + "\n"


def _made(case: Case, name: str) -> set[str]:
    """Name the parts whose table stands on a page."""
    if name == "sheets":
        return {part.name for part in case.parts.boards}
    return {part.name for part in case.parts.all() if part.group in MADE.get(name, ())}
