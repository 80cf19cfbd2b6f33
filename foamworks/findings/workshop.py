"""x."""

from foamworks.findings.base import Finding
from foamworks.findings.case import Case
from foamworks.parts.layout import LaidOut


def findings(case: Case) -> list[Finding]:
    """x."""
    return []


def judge_layout(case: Case, laid: LaidOut) -> tuple[Finding, ...]:
    """Judge what only a laid-out build can know: what found no place."""
    del case
    return tuple(
        Finding("sheet-fit", row.part, "fail", float(row.count), 0.0, "pieces", f"{row.count} found no place: {row.why}",
                "give more or larger sheets, or split the part", "geometry")
        for row in laid.left_over
    )
