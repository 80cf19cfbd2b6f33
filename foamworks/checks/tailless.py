"""What is said of a model whose tailplane is not given: it is judged as the flying wing that its measures describe."""

from collections.abc import Iterator

from foamworks.checks.base import Finding, unknown
from foamworks.checks.case import Case


def is_tailless(case: Case) -> bool:
    """Tell whether the design has an airframe and no tailplane on it."""
    return case.design.airframe is not None and case.design.airframe.tailplane is None


def findings(case: Case) -> Iterator[Finding]:
    """Say that the neutral point is the wing's, and which measure would change that."""
    aero = case.study.aero
    if aero is None or not is_tailless(case):
        return
    yield unknown(
        "tailplane", "model",
        "no tailplane is given, so it is judged as a flying wing with its neutral point at "
        f"{1e3 * aero.modified.neutral_point:.1f} mm; a tailplane behind the wing moves that aft and makes every "
        "margin larger", "if it has a tailplane, measure it: airframe.tailplane stations and elevator", "mm",
    )  # fmt: skip


def without_forward_limit(case: Case) -> Finding:
    """Say why the forward limit is not known, and what would tell it."""
    airframe = case.design.airframe
    tail = airframe.tailplane if airframe is not None else None
    cure = "measure airframe.tailplane.elevator: chord_fraction, up, down"
    if tail is None:
        lacks = "no tailplane is given, and elevons are not worked out here"
        cure = (
            f"with a tailplane, {cure}; a flying wing tells in flight: the battery forward step by step, until two "
            "thirds of the up travel just round it out"
        )
    else:
        lacks = "the elevator is not given" if tail.elevator is None else "the elevator has no up travel or no effect"
    why = f"{lacks}, so nobody can say whether it still rounds out for landing"
    return unknown("forward-limit", "every state", why, cure, "mm")
