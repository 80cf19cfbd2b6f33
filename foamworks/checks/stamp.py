"""Does what is about to be written pass? A failed finding stamps the pages and files that its check concerns."""

from foamworks.checks.base import Check, Finding, Thing
from foamworks.checks.case import Case

STAMP = "DOES NOT PASS"
WHOLE = "balance"  # the page that speaks of the aircraft as a whole
PAGES: dict[str, frozenset[Thing]] = {
    "fins": frozenset({"fins"}),
    "pod": frozenset({"pod", "prints", "ignition"}),
    "sheets": frozenset({"sheets"}),
    "camera": frozenset({"camera"}),
    "fitted": frozenset({"fitted"}),
    WHOLE: frozenset({"balance", "power"}),
}


def pages_of(check: Check) -> set[str]:
    """Give the pages on which a check stands; what concerns the flight alone concerns the whole."""
    return {page for page, things in PAGES.items() if things & check.concerns} or {WHOLE}


def concerned(case: Case, page: str) -> list[Finding]:
    """Give the findings that concern a page and its files."""
    return [finding for finding in case.findings if page in pages_of(finding.record)]


def stamp(case: Case, pages: set[str]) -> str:
    """Give the stamp for these pages' files: empty when nothing that concerns them fails."""
    return STAMP if any(f.verdict == "fail" for page in pages for f in concerned(case, page)) else ""
