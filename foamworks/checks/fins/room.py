"""What lets a fin's root stand on the tailplane and clear the elevator, where moving it forth or back cures but one?

x [m] aft from the nose tip; y [m] to starboard.
"""

import math
from collections.abc import Iterator

from foamworks.aircraft.aero import size_by_stiffness
from foamworks.aircraft.fins import FinSet, WantedShape, as_built, size_by_volume
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks.base import Proposal, given, round_down, round_up
from foamworks.checks.case import Case
from foamworks.design.additions import Fins, FinShape
from foamworks.design.airframe import Airframe
from foamworks.design.edit import Edit
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
SETTLING = 6  # rounds in which place and size of the root settle


@where_given
def hinge_at(airframe: Airframe, y: float) -> float:
    """Give the elevator's hinge x [m] at y; None where no elevator is, or none is given."""
    tail, plane, elevator = given(tail_half(airframe)), given(airframe.tailplane), given(airframe.elevator)
    root, tip = plane.stations[0].y, plane.stations[-1].y
    inside = tail.s[0] <= y <= tail.s[-1] and elevator.span[0] <= (y - root) / (tip - root) <= elevator.span[1]
    x, chord, _ = given(tail.at(y) if inside else None)
    return float(x + chord * (1 - elevator.chord_fraction))


def before_hinge(airframe: Airframe, new: FinSet, root: float) -> float | None:
    """Give where a longer root [m] is to begin, to the millimetre, to end ahead of the elevator; None where it does."""
    hinge, x = hinge_at(airframe, new.y), float(new.stations.x[0])
    if hinge is None or root <= new.stations.chord[0] or x + root <= hinge - HINGE_ROOM:
        return None
    return mm.si(round_down(mm(hinge - HINGE_ROOM - root)))


def cramped(case: Case, new: FinSet) -> bool:
    """Tell whether a root of this length, ahead of the hinge, leaves too little of itself on the tailplane."""
    ground = _ground(case, new.y)
    return ground is not None and ground[1] - ground[0] < STANDS_WANTED * new.stations.chord[0] - SLIGHT


@where_given
def _ground(case: Case, y: float) -> tuple[float, float]:
    """Where the tailplane begins at y, and where a root must end [m]."""
    airframe = case.design.airframe
    hinge = given(hinge_at(airframe, y))
    return float(given(tail_half(airframe)).at(y)[0]), hinge - HINGE_ROOM


def cure(case: Case, new: FinSet) -> list[Proposal]:
    """Say what satisfies tailplane and hinge at once, each number tried; a doubler carries any root."""
    return [*_inward(case, new), *_shorter(case, new), _doubler(case, new)]


def _inward(case: Case, new: FinSet) -> Iterator[Proposal]:
    airframe = case.design.airframe
    tail = tail_half(airframe)
    for step in range(0, INWARD + 1, STRIDE):
        y = mm.si(round_down(mm(new.y) - step, 1))
        if tail is None or y < max(tail.s[0], new.y / 2) or new.count != 2 or abs(new.z - tail.at(y)[2]) > NEAR_TAIL:
            return
        found = _placed(case, new, new.stations.aspect_ratio, y)
        if found is not None:
            inward, edits = ("inward, ", at("y", round(mm(y), 1))) if step else ("", ())
            yield _with_place(f"move the roots {inward}where there is room", edits, found[0])
            return


def at(axis: str, millimetres: float) -> tuple[Edit, ...]:
    """Give the edit that puts the roots elsewhere."""
    return (Edit(f"fins.root.{axis}", millimetres, "mm"),)


def _with_place(words: str, edits: tuple[Edit, ...], x: float) -> Proposal:
    return Proposal(words, "set", (*edits, *at("x", round(mm(x)))))


def _shorter(case: Case, new: FinSet) -> Iterator[Proposal]:
    """Name the least higher aspect ratio, or of fins as built the longest root, that finds room."""
    asked, ground = case.asked.fins, _ground(case, new.y)
    if asked is None or ground is None:
        return
    if asked.each is not None:
        root = round_down(mm((ground[1] - ground[0] - DRAWN) / STANDS_WANTED))
        if root > 0:
            place = mm.si(round_down(mm(ground[1]) - root))
            yield _with_place("make the root shorter", (Edit("fins.each.root_chord", root, "mm"),), place)
        return
    ratio = new.stations.aspect_ratio
    for tenths in range(math.floor(10 * ratio + SLIGHT) + 1, math.floor(10 * TALLEST * ratio) + 1):
        found = _placed(case, new, tenths / 10, new.y)
        if found is not None:
            words = f"make the fins taller, with a root of {said(found[1], 'mm', 0)}"
            yield _with_place(words, (Edit("fins.shape.aspect_ratio", tenths / 10),), found[0])
            return


def _doubler(case: Case, new: FinSet) -> Proposal:
    """Say how long a doubler carries the root's front, the root moved forward first where it is over the hinge."""
    ground, x = _ground(case, new.y), new.stations.x[0]
    if ground is None:
        return Proposal("let a doubler carry the root's front")
    root, step = new.stations.chord[0], 0
    while x - mm.si(step) + root > ground[1] + SLIGHT and step < mm(new.stations.chord[0]):
        step += 1
        root = _root(case, new, new.stations.aspect_ratio, x - mm.si(step), new.y) or root
    if x - mm.si(step) + root > ground[1] + SLIGHT:
        return Proposal("take a shape with a shorter root, by a higher fins.shape.aspect_ratio")
    first = f"move the fins {step} mm forward and " if step else ""
    return Proposal(f"{first}glue a doubler of {round_up(mm(ground[0] - x) + step):.0f} mm under the root's front")


@where_given
def _placed(case: Case, new: FinSet, ratio: float, y: float) -> tuple[float, float]:
    """Find root.x in whole millimetres, and the root chord, that end ahead of the hinge and stand; None if none do."""
    ground = given(_ground(case, y))
    x, root, before = new.stations.x[0], new.stations.chord[0], math.nan
    for _ in range(SETTLING):
        root = given(_root(case, new, ratio, x, y))
        x, before = mm.si(round_down(mm(ground[1] - root))), x
        if x == before:
            break
    given(root if x + root - ground[0] >= STANDS_WANTED * root else None)
    exact = given(_root(case, new, ratio, x, y, exact=True))
    stands = x + exact <= ground[1] and x + exact - ground[0] >= STANDS_WANTED * exact
    return given((x, exact) if stands else None)


def _moved(fins: Fins, x: float, y: float) -> Fins:
    return fins.model_copy(update={"root": fins.root.model_copy(update={"x": x, "y": y})})


@where_given
def _root(case: Case, new: FinSet, ratio: float, x: float, y: float, *, exact: bool = False) -> float:
    """Root chord [m] of the fins at another place and aspect ratio: as built, or sized for the volume they have here.

    Exact, fins that are to be sized by stiffness are.
    """
    asked, wing, shape = given(case.asked.fins), given(case.study.wing), new.stations
    if asked.each is not None:
        return shape.chord[0]
    moved, wanted = _moved(asked, x, y), WantedShape(ratio, shape.taper, shape.sweep)
    found = given(size_by_volume(moved, wanted, new.volume_coefficient(wing), wing))
    if not exact or asked.match != "stiffness":
        return found.root_chord
    fins = moved.model_copy(
        update={"shape": FinShape.model_construct(aspect_ratio=ratio, taper=shape.taper, sweep=shape.sweep)}
    )
    start = as_built(fins, found)
    stiffness = given(case.study.aero).stock.solution.about(wing.quarter_mac_x, 0.0).yaw_stiffness
    area = given(size_by_stiffness(case.asked.model_copy(update={"fins": fins}), wing, start, stiffness))
    return found.root_chord * math.sqrt(area / start.area_each)
