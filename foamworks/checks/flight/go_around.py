"""Does the model stay in hand when the throttle is opened just before landing?"""

from collections.abc import Iterator

from foamworks.checks.base import Finding, Proposal, collected, given, judged, missed
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
    verdict = judged(state.margin, fail_below=0.0, caution_below=LEAST)
    yield GO_AROUND.finding(
        verdict,
        state.state,
        value=state.margin,
        limit=missed(verdict, 0.0, LEAST),
        why=f"{at}: {said(state.margin, '%', 1)} of the mean chord are left of the margin",
        cure=[
            Proposal("open the throttle slowly, over two seconds, and only with height in hand", "fly"),
            Proposal("bring the balance further forward, by battery or lead"),
        ],
    )


def _elevator(case: Case) -> Iterator[Finding]:
    elevator, state = given(case.design.airframe.elevator), given(hardest(case.study.go_around))
    takes = state.elevator
    travel = elevator.up if takes < 0 else elevator.down
    wanted = ELEVATOR_SHARE * travel
    verdict = judged(abs(takes), fail_above=travel, caution_above=wanted)
    way = "up" if takes < 0 else "down"
    yield GO_AROUND.finding(
        verdict,
        "elevator",
        unit="deg",
        value=abs(takes),
        limit=missed(verdict, travel, wanted),
        why=f"full throttle at {said(state.speed, 'km/h', 0)} pitches the nose with "
        f"{said(state.moment, 'N m', 2)} ({state.state}); with the approach's own that takes "
        f"{said(abs(takes), 'deg', 1)} of the {said(travel, 'deg', 0)} {way}",
        cure=[
            Proposal("open the throttle slowly, over two seconds", "fly"),
            Proposal("tilt the fan's outlet towards the centre of gravity, and type tilt under [airframe.fan]"),
        ],
    )
