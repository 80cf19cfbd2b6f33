"""What is said of a model whose tailplane is not given: it is judged as the flying wing that its measures describe."""

from collections.abc import Iterator

from foamworks.checks.base import Check, Finding, given
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.units import said

TAILPLANE = record("tailplane")


def is_tailless(case: Case) -> bool:
    """Tell whether the design has an airframe and no tailplane on it."""
    return case.design.airframe.given and case.design.airframe.tailplane is None


def tailplane(case: Case) -> Iterator[Finding]:
    """Say that the neutral point is the wing's, and which measure would change that."""
    point = given(case.study.aero).modified.neutral_point_flown
    if is_tailless(case):
        yield TAILPLANE.unknown("model", point=said(point, "mm", 1))


def without_forward_limit(case: Case, check: Check) -> Finding:
    """Say why the forward limit is not known, and what would tell it."""
    tail = given(case.design.stock).tailplane
    lack = "tailplane" if tail is None else "elevator" if tail.elevator is None else "travel"
    return check.unknown("every state", lack)
