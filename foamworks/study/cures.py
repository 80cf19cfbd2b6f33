"""What would bring every state inside the window when battery and ballast cannot? Each cure is tried, not guessed. SI.

Every cure is searched with the aerodynamics and the downthrust as they stand, one change at a time, by settling battery
and ballast again; the least change that works is given, rounded up to what one measures (5 mm, whole grams).
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Window, settle, trimming, window
from foamworks.aircraft.masses import Laden, states
from foamworks.design.additions import Ballast, Pod
from foamworks.design.airframe import Battery
from foamworks.design.edit import Edit, entry_key, moved
from foamworks.design.ladder import NO_POD, Phase, has_pod
from foamworks.design.model import Design
from foamworks.design.quantity import AUTO, OPEN, is_open
from foamworks.errors import given, where_given
from foamworks.parts.base import Parts
from foamworks.parts.make import make
from foamworks.physics.balance import Settled
from foamworks.units import degrees, first_measured, grams, mm

POD_STEP, POD_REACH = 0.005, 0.400  # m
SLIDE_STEP, SLIDE_REACH = 0.005, 0.300  # m
BALLAST_STEP, BALLAST_REACH = 0.005, 0.300  # kg
BALLAST_PLACE_STEP = 0.010  # m
NOSE_ROOM = 0.020  # m behind the nose tip: as far forward as lead can be glued (ours)
GRAM = 0.001  # kg
ELEVATOR_STEP, MOST_ELEVATOR = math.radians(1), math.radians(30)  # more travel stalls the tailplane (from memory)
ALIKE = 1e-9  # m
SPARE = 0.0005  # m a cure keeps from the limits, so that an automatic downthrust may settle anew

UNBURNT: Phase = "unburnt landing"

Kind = Literal["pod", "motor", "ballast", "ballast place", "slide", "elevator", "retainer"]


@dataclass(frozen=True)
class Cure:
    """One change that works: `value` is the new number in SI, `change` how far from the old, `edits` what is typed.

    "pod": nozzle x; "motor": the mass of the motor `name`, its propellant in proportion; "ballast": the most of it;
    "ballast place": its x; "slide": the end of the battery's slide that moves; "elevator": its travel up; "retainer":
    a hook instead of a cap, without a number.
    """

    kind: Kind
    name: str
    value: float
    change: float
    edits: tuple[Edit, ...]


@dataclass(frozen=True)
class Fight:
    """How the states lie that share battery and ballast, and the two that are furthest over, or nearest to, a limit."""

    settled: Settled
    forward_state: str
    aft_state: str
    forward_miss: float  # m ahead of the forward limit; negative inside
    aft_miss: float  # m behind the aft limit; negative inside


def shared_states(design: Design, parts: Parts) -> tuple[Laden, ...]:
    """Give the states that share one battery place and one ballast."""
    rows = states(design, parts)
    return tuple(row for row in rows if row.state != NO_POD) if has_pod(design) else rows


@where_given
def fight(design: Design, limits: Window) -> Fight:
    """Settle once more and name the two states that fight; `design` has battery and ballast open."""
    rows = shared_states(design, make(design))
    found = given(settle(design, rows, limits))
    ahead, behind = float(found.cg[found.forward_state]), float(found.cg[found.aft_state])
    # of states that lie alike, the landing with an unburnt motor is the one that gets forgotten
    far = max(np.flatnonzero(found.cg >= behind - ALIKE), key=lambda i: (rows[i].state.phase == UNBURNT, -i))
    first, last = rows[found.forward_state].state.name, rows[far].state.name
    return Fight(found, first, last, limits.forward - ahead, behind - limits.aft)


def cures(design: Design, flying: Flying, *, bare: bool = False) -> list[Cure]:
    """Give the least of each change that brings all states inside; `design` has battery and ballast open.

    bare: for `no pod` alone, which has battery and ballast of its own; pod and motors are not aboard there.
    """
    flown, parts = trimming(design, flying), make(design)

    def works(cure: Cure) -> bool:
        changed = applied(design, cure)
        limits = window(changed, flying, flown)

        now = make(changed) if cure.kind in {"pod", "retainer"} else parts  # nothing else changes a part
        rows = tuple(row for row in states(changed, now) if row.state == NO_POD)
        if not bare:
            rows = shared_states(changed, now)
        found = settle(changed, rows, Window(limits.forward + SPARE, limits.aft - SPARE))
        return bool(found and found.feasible)

    tries = (_ballast, _ballast_place, _slide, _elevator) if bare else CHANGES
    return [cure for search in tries if (cure := _first(search, design, works))]


def applied(design: Design, cure: Cure) -> Design:
    """Give the design with one cure applied, with ballast at the nose where it has none."""
    return moved(design.model_copy(update={"ballast": design.ballast or NO_BALLAST}), cure.edits)


NO_BALLAST = Ballast.model_construct(x=NOSE_ROOM, z=0.0, mass=OPEN, most=0.0)
Works = Callable[[Cure], bool]
Typed = Callable[[float], tuple[Edit, ...]]
Search = Callable[[Design, Works], Iterator[Cure]]


@where_given
def _first(search: Search, design: Design, works: Works) -> Cure:
    """Give the first cure that a search comes upon; None where there is nothing to search."""
    return given(next(search(design, works), None))


def _steps(start: float, step: float, reach: float) -> list[float]:
    """Values from one step beyond `start` to `reach` beyond it; a negative step goes the other way."""
    return [start + step * (i + 1) for i in range(round(abs(reach / step)))]


def _least(kind: Kind, name: str, start: float, values: list[float], typed: Typed, works: Works) -> Iterator[Cure]:
    """Come upon the least that works: by halving when the last one does, else one by one through the nearer half."""

    def cure(value: float) -> Cure:
        return Cure(kind, name, value, value - start, typed(value))

    if not values:
        return
    if not works(cure(values[-1])):
        yield from filter(works, map(cure, values[: len(values) // 2]))
        return
    low, high = -1, len(values) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(cure(values[middle])) else (middle, high)
    yield cure(values[high])


def length(key: str, metres: float) -> tuple[Edit, ...]:
    """Give the edit that types a length in mm, to a tenth."""
    return (Edit(key, round(mm(metres), 1), "mm"),)


def _pod(design: Design, works: Works) -> Iterator[Cure]:
    x, key = given(_standing(design).nozzle).x, "pod.nozzle.x"
    for way in (-1, 1):
        yield from _least("pod", key, x, _steps(x, way * POD_STEP, POD_REACH), partial(length, key), works)


def _standing(design: Design) -> Pod:
    """Ask for a pod on the aircraft."""
    return given(design.pod if has_pod(design) else None)


def _motor(design: Design, works: Works) -> Iterator[Cure]:
    """Lighten the heaviest motor."""
    _standing(design)
    heaviest = given(max(design.motors, key=lambda motor: motor.mass, default=None))
    key = entry_key("motors", heaviest.name)

    def typed(mass: float) -> tuple[Edit, ...]:
        propellant = heaviest.propellant * mass / heaviest.mass
        return Edit(f"{key}.mass", grams(mass), "g"), Edit(f"{key}.propellant", grams(propellant), "g")

    start = grams.si(math.floor(grams(heaviest.mass)))
    return _least("motor", heaviest.name, heaviest.mass, _steps(start, -GRAM, 0.9 * start), typed, works)


def _ballast(design: Design, works: Works) -> Iterator[Cure]:
    """Allow more ballast where it is, or some at the nose when there is none."""
    ballast = design.ballast or NO_BALLAST
    start = given(ballast.most if is_open(ballast.mass) else ballast.mass)
    new = () if design.ballast else (*length("ballast.x", NOSE_ROOM), Edit("ballast.z", 0.0, "mm"))
    freed = () if design.ballast and is_open(ballast.mass) else (Edit("ballast.mass", AUTO),)

    def typed(most: float) -> tuple[Edit, ...]:
        return *new, *freed, Edit("ballast.most", round(grams(most), 1), "g")

    return _least("ballast", "ballast.most", start, _steps(start, BALLAST_STEP, BALLAST_REACH), typed, works)


def _ballast_place(design: Design, works: Works) -> Iterator[Cure]:
    x, key = given(design.ballast).x, "ballast.x"
    values = _steps(x, -BALLAST_PLACE_STEP, max(x - NOSE_ROOM, 0.0))
    return _least("ballast place", key, x, values, partial(length, key), works)


def _slide_ends(battery: Battery) -> tuple[float, float]:
    """Give the ends of the battery's slide; its place twice when it is fixed."""
    if is_open(battery.x):
        return given(battery.slide)
    place = given(first_measured(battery.x, battery.x_stock))
    return place, place


def _slide(design: Design, works: Works) -> Iterator[Cure]:
    """Lengthen the battery's slide, ahead first; a battery at a fixed place may then move."""
    battery, key = given(design.airframe.moving_battery), "airframe.battery"
    ends = _slide_ends(battery)
    freed = () if is_open(battery.x) else (Edit(f"{key}.x", AUTO),)

    def typed(end: float) -> tuple[Edit, ...]:
        wider = tuple(round(mm(place), 1) for place in (min(end, ends[0]), max(end, ends[1])))
        return *freed, Edit(f"{key}.slide", wider, "mm")

    for end, way in zip(ends, (-1, 1), strict=True):
        values = [x for x in _steps(end, way * SLIDE_STEP, SLIDE_REACH) if x > 0]
        yield from _least("slide", f"{key}.slide", end, values, typed, works)


def _elevator(design: Design, works: Works) -> Iterator[Cure]:
    """Give the elevator more travel up: it moves the forward limit forward."""
    up, key = given(design.airframe.elevator).up, "airframe.tailplane.elevator.up"
    values = _steps(up, ELEVATOR_STEP, max(MOST_ELEVATOR - up, 0.0))
    return _least("elevator", key, up, values, lambda angle: (Edit(key, round(degrees(angle), 1), "deg"),), works)


def _retainer(design: Design, works: Works) -> Iterator[Cure]:
    """Hold the motor by a hook of wire instead of a cap: it weighs less, and far aft."""
    capped = _standing(design).retainer == "cap"
    cure = Cure("retainer", "pod.retainer", 0.0, 0.0, (Edit("pod.retainer", "hook"),))
    yield from [cure] if capped and works(cure) else []


# in the order in which a builder would try them
CHANGES = (_pod, _motor, _ballast, _ballast_place, _slide, _elevator, _retainer)
