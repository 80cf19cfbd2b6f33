"""Study to verdicts: each finding says the number, its limit, why, what would cure it, and where the limit is from."""

from foamworks.findings.base import Finding
from foamworks.findings.case import Case


def judge(case: Case) -> tuple[Finding, ...]:
    """Judge a case: one module for each subject, in the order in which a builder decides."""
    from foamworks.findings import balance, fins, pod, workshop

    return tuple(finding for module in (fins, balance, pod, workshop) for finding in module.findings(case))
