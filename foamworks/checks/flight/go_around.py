"""Does the model stay in hand when the throttle is opened just before landing?"""

from collections.abc import Iterator

from foamworks.checks.base import Finding, collected, given
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.physics.trim import ELEVATOR_SHARE
from foamworks.study.go_around import hardest, rearmost
from foamworks.units import said

GO_AROUND = record("go-around")
LEAST = 0.02  # of the mean chord: below it a model held by hand at landing speed wanders (ours)


def findings(case: Case) -> list[Finding]:
    """Judge the worst state in balance and the worst in elevator; nothing without a fan that was measured."""
    return collected(case, _margin, _elevator) if case.study.go_around else []


def _margin(case: Case) -> Iterator[Finding]:
    state = rearmost(case.study.go_around)
    at = f"at {said(state.speed, 'km/h', 0)} and full throttle the intake turns more air than in level flight"
    if not state.measured:
        why = f"{at}; with its mouth a chord ahead of the neutral point {said(state.margin, '%', 1)} of the mean chord "
        GO_AROUND.need(state if state.margin >= LEAST else None, state.state, left=f"{why}are left")
        yield GO_AROUND.passes(state.state, why=f"{why}are left", value=state.margin, limit=LEAST)
        return
    yield GO_AROUND.judge(state.state, state.margin, fail_below=0.0, caution_below=LEAST, of="margin", at=at)


def _elevator(case: Case) -> Iterator[Finding]:
    elevator, state = given(case.design.airframe.elevator), given(hardest(case.study.go_around))
    takes = state.elevator
    travel = elevator.up if takes < 0 else elevator.down
    yield GO_AROUND.judge(
        "elevator",
        abs(takes),
        fail_above=travel,
        caution_above=ELEVATOR_SHARE * travel,
        of="elevator",
        unit="deg",
        state=state,
        travel=travel,
        way="up" if takes < 0 else "down",
    )
