"""What lets a fin's root stand on the tailplane and clear the elevator, where moving it forth or back cures but one?

x [m] aft from the nose tip; y [m] to starboard.
"""

import math
from collections.abc import Iterator
from dataclasses import asdict, replace
from itertools import takewhile

from foamworks.aircraft.aero import size_by_stiffness
from foamworks.aircraft.fins import FinSet, as_built, size_by_volume
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks.base import Proposal, given, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.moves import that_does
from foamworks.design.additions import FinAsBuilt, Fins, FinShape
from foamworks.design.airframe import Airframe
from foamworks.design.edit import Edit, told
from foamworks.errors import where_given
from foamworks.units import mm, said

STANDS_WANTED = 2 / 3  # of the root chord on the tailplane (ours)
NEAR_TAIL = 0.03  # m: a fin's root within this height of the tailplane stands on it
HINGE_ROOM = 0.003  # m between the root's end and the elevator's hinge (ours)
SLIGHT = 1e-6  # m
DRAWN = 1e-3  # m: roots are drawn to the millimetre
TALLEST = 1.6  # times the aspect ratio asked for: taller fins are another design (ours)
INWARD = 60  # mm: how far inward a root is looked for
STRIDE = 5  # mm of it at a time
SHORTER = "take a shape with a shorter root: a higher shape.aspect_ratio under [fins]"
SETTLING = 6  # rounds in which place and size of the root settle


def hinge_at(airframe: Airframe, y: float) -> float:
    """Give the elevator's hinge x [m] at y; NaN where no elevator is, or none is given."""
    tail, plane, elevator = tail_half(airframe), airframe.tailplane, airframe.elevator
    if not (tail and plane and elevator):
        return math.nan
    root, tip = plane.stations[0].y, plane.stations[-1].y
    inside = tail.s[0] <= y <= tail.s[-1] and elevator.span[0] <= (y - root) / (tip - root) <= elevator.span[1]
    x, chord, _ = tail.at(y) if inside else (math.nan, math.nan, math.nan)
    return float(x + chord * (1 - elevator.chord_fraction))


def before_hinge(airframe: Airframe, new: FinSet, root: float) -> float:
    """Give where a longer root [m] is to begin to end ahead of the elevator, to the millimetre; else where it is."""
    end, x = hinge_at(airframe, new.y) - HINGE_ROOM, float(new.stations.x[0])
    return mm.si(round_down(mm(end - root))) if root > new.stations.chord[0] and x + root > end else x


def cramped(case: Case, new: FinSet) -> bool:
    """Tell whether a root of this length, ahead of the hinge, leaves too little of itself on the tailplane."""
    front, end = _ground(case, new.y)
    return end - front < STANDS_WANTED * new.stations.chord[0] - SLIGHT


def _ground(case: Case, y: float) -> tuple[float, float]:
    """Where the tailplane begins at y, and where a root must end [m]; NaN where no elevator is known there."""
    airframe, end = case.design.airframe, hinge_at(case.design.airframe, y) - HINGE_ROOM
    return (float(given(tail_half(airframe)).at(y)[0]), end) if math.isfinite(end) else (math.nan, math.nan)


def cure(case: Case, new: FinSet) -> list[Proposal]:
    """Say what satisfies tailplane and hinge at once, each number tried; a doubler carries any root.

    It is asked of cramped fins alone, whose tailplane and elevator are there.
    """
    return [*_inward(case, new), *_shorter(case, new), _doubler(case, new)]


def _inward(case: Case, new: FinSet) -> Iterator[Proposal]:
    tail, ratio = given(tail_half(case.design.airframe)), new.stations.aspect_ratio
    steps = ((step, mm.si(round_down(mm(new.y) - step, 1))) for step in range(0, INWARD + 1, STRIDE))

    def stands(place: tuple[int, float]) -> bool:
        y = place[1]
        return y >= max(tail.s[0], new.y / 2) and new.count == 2 and abs(new.z - tail.at(y)[2]) <= NEAR_TAIL

    for (step, y), (x, _) in that_does(takewhile(stands, steps), lambda place: _placed(case, new, ratio, place[1])):
        inward, edits = ("inward, ", at("y", round(mm(y), 1))) if step else ("", ())
        yield _with_place(f"move the roots {inward}where there is room", edits, x)


def at(axis: str, millimetres: float) -> tuple[Edit, ...]:
    """Give the edit that puts the roots elsewhere."""
    return (Edit(f"fins.root.{axis}", millimetres, "mm"),)


def _with_place(words: str, edits: tuple[Edit, ...], x: float) -> Proposal:
    return Proposal(words, "set", (*edits, *at("x", round(mm(x)))))


def _shorter(case: Case, new: FinSet) -> Iterator[Proposal]:
    """Name the least higher aspect ratio, or of fins as built the longest root, that finds room."""
    if not given(case.asked.fins).sized_by:
        front, end = _ground(case, new.y)
        root = round_down(mm((end - front - DRAWN) / STANDS_WANTED))
        if root > 0:
            place = mm.si(round_down(mm(end) - root))
            yield _with_place("make the root shorter", (Edit("fins.each.root_chord", root, "mm"),), place)
        return
    ratio = new.stations.aspect_ratio
    tenths = range(math.floor(10 * ratio + SLIGHT) + 1, math.floor(10 * TALLEST * ratio) + 1)
    ratios = (tenth / 10 for tenth in tenths)
    for taller, (x, root) in that_does(ratios, lambda taller: _placed(case, new, taller, new.y)):
        words = f"make the fins taller, with a root of {said(root, 'mm', 0)}"
        yield _with_place(words, (Edit("fins.shape.aspect_ratio", taller),), x)


def _doubler(case: Case, new: FinSet) -> Proposal:
    """Say how long a doubler carries the root's front, the root moved forward first where it is over the hinge."""
    (front, end), x = _ground(case, new.y), new.stations.x[0]
    root, step = new.stations.chord[0], 0
    while x - mm.si(step) + root > end + SLIGHT and step < mm(new.stations.chord[0]):
        step += 1
        root = root_at(case, new, new.stations.aspect_ratio, x - mm.si(step), new.y) or root
    if x - mm.si(step) + root > end + SLIGHT:
        return Proposal(SHORTER)
    typed = told(at("x", round(mm(x) - step, 1)))
    first = f"move the fins {step} mm forward ({typed}) and " if step else ""
    return Proposal(f"{first}glue a doubler of {round_up(mm(front - x) + step):.0f} mm under the root's front")


@where_given
def _placed(case: Case, new: FinSet, ratio: float, y: float) -> tuple[float, float]:
    """Find root.x in whole millimetres, and the root chord, that end ahead of the hinge and stand; None if none do."""
    front, end = _ground(case, y)
    given(end)
    x, root, before = new.stations.x[0], new.stations.chord[0], math.nan
    for _ in range(SETTLING):
        root = given(root_at(case, new, ratio, x, y))
        x, before = mm.si(round_down(mm(end - root))), x
        if x == before:
            break
    given(root if x + root - front >= STANDS_WANTED * root else None)
    exact = given(root_at(case, new, ratio, x, y, exact=True))
    stands = x + exact <= end and x + exact - front >= STANDS_WANTED * exact
    return given((x, exact) if stands else None)


@where_given
def root_at(case: Case, new: FinSet, ratio: float, x: float, y: float, *, exact: bool = False) -> float:
    """Root chord [m] of the fins at another place and aspect ratio: as built, or sized for the volume they have here.

    Exact, fins that are to be sized by stiffness are.
    """
    asked, wing, shape = given(case.asked.fins), given(case.study.wing), replace(new.shape, aspect_ratio=ratio)
    if not asked.sized_by:
        return new.stations.chord[0]
    moved = asked.moved(x=x, y=y)
    found = given(size_by_volume(moved, shape, new.volume_coefficient(wing), wing))
    if not exact or asked.sized_by != "stiffness":
        return found.root_chord
    fins = moved.model_copy(update={"shape": FinShape.model_construct(**asdict(shape))})
    return found.root_chord * math.sqrt(given(stiff_area(case, fins, found)) / as_built(fins, found).area_each)


@where_given
def stiff_area(case: Case, fins: Fins, size: FinAsBuilt) -> float:
    """Area of one fin [m2] as stiff in yaw as the original, of fins of this shape and root; `size` is tried first."""
    wing = given(case.study.wing)
    stiffness = given(case.study.aero).stock.solution.about(wing.quarter_mac_x, 0.0).yaw_stiffness
    design = case.asked.model_copy(update={"fins": fins})
    return given(size_by_stiffness(design, wing, as_built(fins, size), stiffness))
