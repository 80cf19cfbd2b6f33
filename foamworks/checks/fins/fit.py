"""Do the fins' roots stand on the tailplane, and leave the elevator free? Places in mm."""

from collections.abc import Callable, Iterator

import numpy as np

from foamworks.aircraft.fins import FinSet
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks.base import OURS, Finding, Proposal, collected, given, judged, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.fins import room as fin_room
from foamworks.checks.fins.room import HINGE_ROOM, NEAR_TAIL, STANDS_WANTED
from foamworks.checks.moves import that_does
from foamworks.checks.records import record
from foamworks.design.airframe import Airframe
from foamworks.errors import where_given
from foamworks.units import mm, said

FIT = record("fin-fit")
HINGE_REACH = 200  # mm: how far forward a root that clears the hinge is looked for


def findings(case: Case) -> list[Finding]:
    """Judge where the new fins stand; nothing without a [fins] table."""
    return collected(case, _stand, _hinge)


def _stand(case: Case) -> Iterator[Finding]:
    """Whether the root stands on the tailplane, and how much of it."""
    given(case.design.fins)
    new, airframe = given(case.study.new_fins), given(case.design.stock)
    tail, on_wing = tail_half(airframe), _on_wing(airframe, new)
    if on_wing and not tail:
        yield _standing(new, "wing", *on_wing)
        return
    tail = FIT.need(tail, "root", "tailplane")
    if new.y > tail.s[-1]:
        if not on_wing:
            yield _outside(new.y, tail.s[-1])
        return
    if new.y < tail.s[0] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return  # on the fuselage, or on something of the builder's own
    x, chord, _ = tail.at(new.y)
    cramped = x > new.stations.x[0] and fin_room.cramped(case, new)
    yield _standing(new, "tailplane", x, chord, cure=(lambda: fin_room.cure(case, new)) if cramped else None)


def _outside(y: float, tip: float) -> Finding:
    over = round_up(mm(y - tip))
    inside = round_down(mm(y) - over, 1)
    return FIT.finding(
        "fail",
        "root",
        value=y,
        limit=tip,
        why=f"the root stands {over:.0f} mm outside the tailplane's tip",
        cure=Proposal(f"bring the fins inward by {over:.0f} mm", "set", fin_room.at("y", inside)),
    )


def _standing(
    new: FinSet, on: str, x: float, chord: float, cure: Callable[[], list[Proposal]] | None = None
) -> Finding:
    """Say how much of the root stands on a surface that begins at x [m] and is so long there."""
    start, end = new.stations.x[0], new.stations.x[0] + new.stations.chord[0]
    part = max(0.0, min(x + chord, end) - max(x, start)) / (end - start)
    ahead = x - start
    over, way = max(ahead, end - x - chord), "aft" if ahead > 0 else "forward"
    return FIT.finding(
        judged(part, caution_below=STANDS_WANTED),
        "root",
        value=part,
        limit=STANDS_WANTED,
        unit="%",
        why=f"{said(part, '%', 0)} of the root chord stands on the {on}, which begins {said(abs(ahead), 'mm', 0)} "
        f"{'behind' if ahead > 0 else 'ahead of'} the root's leading edge",
        cure=cure or (lambda: _onto(new, x, chord, f"move the root {way} or inward", over)),
        source="two thirds: ours",
    )


def _onto(new: FinSet, x: float, chord: float, words: str, over: float) -> list[Proposal]:
    """Propose where the root stands by what is wanted of it, and a doubler that carries it where it is."""
    root = new.stations.chord[0]
    forward = round_up(mm(x - (1 - STANDS_WANTED) * root)) + 1
    place = forward if x > new.stations.x[0] else round_down(mm(x + chord - STANDS_WANTED * root)) - 1
    doubler = Proposal(f"glue a doubler under the root that carries {said(over, 'mm', 0)} of it")
    return [Proposal(words, "set", fin_room.at("x", place)), doubler]


@where_given
def _on_wing(airframe: Airframe, new: FinSet) -> tuple[float, float]:
    """Leading edge and chord of the wing [m] where the root stands on it; None where it does not."""
    stations = given(airframe.wing).stations
    places = [s.y for s in stations]
    given(places[0] <= new.y <= places[-1] + NEAR_TAIL or None)
    x, chord = (float(np.interp(new.y, places, row)) for row in zip(*((s.x, s.chord) for s in stations), strict=True))
    meets = new.stations.x[0] < x + chord and new.stations.x[0] + new.stations.chord[0] > x
    return given((x, chord) if meets else None)


def _hinge(case: Case) -> Iterator[Finding]:
    given(case.design.fins)
    new, airframe = given(case.study.new_fins), given(case.design.stock)
    tail, plane = given(tail_half(airframe)), given(airframe.tailplane)
    if not tail.s[0] <= new.y <= tail.s[-1] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return
    FIT.need(plane.elevator, "elevator", "elevator")
    hinge = given(fin_room.hinge_at(airframe, new.y))
    end = new.stations.x[0] + new.stations.chord[0]
    room = hinge - end
    verdict = judged(room, fail_below=0.0, caution_below=HINGE_ROOM)
    words = f"ends {said(room, 'mm', 1)} ahead of" if room >= 0 else f"reaches {said(-room, 'mm', 1)} past"
    words += f" the elevator's hinge at x = {said(hinge, 'mm', 1)}, and {said(HINGE_ROOM, 'mm', 0)} are to be left"
    yield FIT.finding(
        verdict,
        "elevator",
        value=end,
        limit=hinge if verdict == "fail" else hinge - HINGE_ROOM,
        why=f"the root {words}",
        cure=lambda: fin_room.cure(case, new) if fin_room.cramped(case, new) else _hinge_cure(case, new, hinge),
        source=f"geometry; 3 mm of room: {OURS}",
    )


def _hinge_cure(case: Case, new: FinSet, hinge: float) -> list[Proposal]:
    """Say how far forward the root clears the hinge; fins that are sized grow as they lose arm."""
    grows, shape = given(case.asked.fins).sized_by, new.stations

    @where_given
    def clear(step: int) -> tuple[float, float]:
        x = shape.x[0] - mm.si(step)
        root = given(fin_room.root_at(case, new, shape.aspect_ratio, x, new.y))
        return given((x, root) if x + root <= hinge - HINGE_ROOM else None)

    found = [Proposal(fin_room.SHORTER)]
    for step, (x, root) in that_does(range(1, HINGE_REACH + 1), clear):
        larger = f" (they grow as they lose arm: a root of {said(root, 'mm', 0)})" if grows else ""
        words = f"move the fins forward by {step} mm{larger}"
        found = [Proposal(words, "set", fin_room.at("x", round_down(mm(x))))]
    return [*found, Proposal("cut the root short above the elevator")]
