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
        yield TAILPLANE.unknown(
            "model",
            why="no tailplane is given, so it is judged as a flying wing with its neutral point at "
            f"{said(point, 'mm', 1)}; a tailplane behind the wing moves that aft and makes every margin larger",
            measure="measure the tailplane, if it has one, and type its stations and its elevator into "
            "[airframe.tailplane]",
        )


def without_forward_limit(case: Case, check: Check) -> Finding:
    """Say why the forward limit is not known, and what would tell it."""
    tail = given(case.design.stock).tailplane
    cure = "measure the elevator and type elevator = { chord_fraction, up, down } under [airframe.tailplane]"
    if tail is None:
        lacks = "no tailplane is given, and elevons are not worked out here"
        cure = (
            "move the battery of a flying wing forward from flight to flight, until two thirds of the up travel just "
            f"round it out; with a tailplane, {cure}"
        )
    else:
        lacks = "the elevator is not given" if tail.elevator is None else "the elevator has no up travel or no effect"
    return check.unknown(
        "every state", why=f"{lacks}, so nobody can say whether it still rounds out for landing", measure=cure
    )
