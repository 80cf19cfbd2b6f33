"""x."""

from foamworks.findings.base import Finding
from foamworks.findings.case import Case


def findings(case: Case) -> list[Finding]:
    """x."""
    return []
