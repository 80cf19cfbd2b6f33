"""What `mend` found, as lines for the terminal and as JSON."""

import textwrap
from collections.abc import Sequence
from pathlib import Path

from foamworks.changes.answer import change_dict
from foamworks.changes.mend import Package, wrong
from foamworks.changes.plain import whole
from foamworks.checks.case import Case
from foamworks.output.keys import Row

WIDTH = 100


def lines(case: Case, found: Sequence[Package], written: Path | None) -> list[str]:
    """Give the packages in the order a builder would take them."""
    if not found and not wrong(case):
        return [f"{case.name}: nothing to mend."]
    if not found:
        return [
            f"{case.name}: no package of up to three changes leaves less wrong. What stays belongs to a motor, the "
            "field, or work at the bench: foamworks check --all says which."
        ]
    shown = [
        f"{case.name}: {len(found)} {'way' if len(found) == 1 else 'ways'}, the first that a builder would take first."
    ]
    for number, package in enumerate(found, start=1):
        (fails, fails_after), (cautions, cautions_after) = package.fails, package.cautions
        shown.append(f"{number}  fails {fails} -> {fails_after}, cautions {cautions} -> {cautions_after}")
        for proposal in package.told:
            shown += _wrapped(whole(proposal.told), "   - ")
    if written is not None:
        shown.append(f"wrote {written} with the first of them; check it: foamworks check {written}")
    return shown


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead))


def as_dict(found: Sequence[Package]) -> Row:
    """Give the packages as the JSON tells them."""
    return {
        "packages": [
            {
                "changes": [change_dict(change) for change in package.alone],
                "fails_before": package.fails[0],
                "fails_after": package.fails[1],
                "cautions_before": package.cautions[0],
                "cautions_after": package.cautions[1],
            }
            for package in found
        ]
    }
