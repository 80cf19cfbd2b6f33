"""What would bring every state inside the window when battery and ballast cannot? Each cure is tried, not guessed. SI.

Every cure is searched with the aerodynamics and the downthrust as they stand, one change at a time, by settling battery
and ballast again; the least change that works is given, rounded up to what one measures (5 mm, whole grams).
"""

import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Window, settle, trimming, window
from foamworks.aircraft.masses import NO_POD, Laden, Phase, states
from foamworks.design.additions import Ballast
from foamworks.design.airframe import Battery
from foamworks.design.edit import Edit, moved
from foamworks.design.ladder import has_pod
from foamworks.design.model import Design
from foamworks.design.quantity import AUTO, OPEN, is_open
from foamworks.errors import not_measured
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


def opened(solved: Design, asked: Design) -> Design:
    """Give the solved design with battery, ignition pack and ballast as open as they were asked."""
    open_ = {"airframe": asked.airframe, "ballast": asked.ballast, "ignition": asked.ignition}
    return solved.model_copy(update=open_)


def fight(design: Design, limits: Window) -> Fight | None:
    """Settle once more and name the two states that fight; `design` has battery and ballast open."""
    rows = shared_states(design, make(design))
    found = settle(design, rows, limits)
    if found is None:
        return None
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
        return found is not None and found.feasible

    tries = (_ballast, _ballast_place, _slide, _elevator) if bare else CHANGES
    return [cure for search in tries if (cure := search(design, works)) is not None]


def applied(design: Design, cure: Cure) -> Design:
    """Give the design with one cure applied, with ballast at the nose where it has none."""
    return moved(design.model_copy(update={"ballast": design.ballast or NO_BALLAST}), cure.edits)


NO_BALLAST = Ballast.model_construct(x=NOSE_ROOM, z=0.0, mass=OPEN, most=0.0)
Works = Callable[[Cure], bool]
Typed = Callable[[float], tuple[Edit, ...]]


def _steps(start: float, step: float, reach: float) -> list[float]:
    """Values from one step beyond `start` to `reach` beyond it; a negative step goes the other way."""
    return [start + step * (i + 1) for i in range(round(abs(reach / step)))]


def _least(kind: Kind, name: str, start: float, values: list[float], typed: Typed, works: Works) -> Cure | None:
    """Give the first value that works: by halving when the last one does, else one by one through the nearer half."""

    def cure(value: float) -> Cure:
        return Cure(kind, name, value, value - start, typed(value))

    if not values:
        return None
    if not works(cure(values[-1])):
        return next((cure(value) for value in values[: len(values) // 2] if works(cure(value))), None)
    low, high = -1, len(values) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(cure(values[middle])) else (middle, high)
    return cure(values[high])


def length(key: str, metres: float) -> tuple[Edit, ...]:
    """Give the edit that types a length in mm, to a tenth."""
    return (Edit(key, round(mm(metres), 1), "mm"),)


def _pod(design: Design, works: Works) -> Cure | None:
    if design.pod is None or design.pod.nozzle is None or not has_pod(design):
        return None
    x, key = design.pod.nozzle.x, "pod.nozzle.x"
    ways = (_least("pod", key, x, _steps(x, way * POD_STEP, POD_REACH), partial(length, key), works) for way in (-1, 1))
    return next((cure for cure in ways if cure is not None), None)


def _motor(design: Design, works: Works) -> Cure | None:
    """Lighten the heaviest motor."""
    if not design.motors or not has_pod(design):
        return None
    heaviest = max(design.motors, key=lambda motor: motor.mass)
    key = f"motors[{json.dumps(heaviest.name, ensure_ascii=False)}]"

    def typed(mass: float) -> tuple[Edit, ...]:
        propellant = heaviest.propellant * mass / heaviest.mass
        return Edit(f"{key}.mass", grams(mass), "g"), Edit(f"{key}.propellant", grams(propellant), "g")

    start = grams.si(math.floor(grams(heaviest.mass)))
    return _least("motor", heaviest.name, heaviest.mass, _steps(start, -GRAM, 0.9 * start), typed, works)


def _ballast(design: Design, works: Works) -> Cure | None:
    """Allow more ballast where it is, or some at the nose when there is none."""
    ballast = design.ballast or NO_BALLAST
    start = ballast.most if is_open(ballast.mass) else ballast.mass
    if not_measured(start):
        return None
    new = () if design.ballast else (*length("ballast.x", NOSE_ROOM), Edit("ballast.z", 0.0, "mm"))
    freed = () if design.ballast and is_open(ballast.mass) else (Edit("ballast.mass", AUTO),)

    def typed(most: float) -> tuple[Edit, ...]:
        return *new, *freed, Edit("ballast.most", round(grams(most), 1), "g")

    return _least("ballast", "ballast.most", start, _steps(start, BALLAST_STEP, BALLAST_REACH), typed, works)


def _ballast_place(design: Design, works: Works) -> Cure | None:
    if design.ballast is None:
        return None
    x, key = design.ballast.x, "ballast.x"
    values = _steps(x, -BALLAST_PLACE_STEP, max(x - NOSE_ROOM, 0.0))
    return _least("ballast place", key, x, values, partial(length, key), works)


def _slide_ends(battery: Battery) -> tuple[float, float] | None:
    """Give the ends of the battery's slide; its place twice when it is fixed."""
    if is_open(battery.x):
        return battery.slide
    place = first_measured(battery.x, battery.x_stock)
    return None if not_measured(place) else (place, place)


def _slide(design: Design, works: Works) -> Cure | None:
    """Lengthen the battery's slide, ahead first; a battery at a fixed place may then move."""
    battery = design.airframe.moving_battery
    if battery is None:
        return None
    key, ends = "airframe.battery", _slide_ends(battery)
    if ends is None:
        return None
    freed = () if is_open(battery.x) else (Edit(f"{key}.x", AUTO),)

    def typed(end: float) -> tuple[Edit, ...]:
        wider = tuple(round(mm(place), 1) for place in (min(end, ends[0]), max(end, ends[1])))
        return *freed, Edit(f"{key}.slide", wider, "mm")

    for end, way in zip(ends, (-1, 1), strict=True):
        values = [x for x in _steps(end, way * SLIDE_STEP, SLIDE_REACH) if x > 0]
        cure = _least("slide", f"{key}.slide", end, values, typed, works)
        if cure is not None:
            return cure
    return None


def _elevator(design: Design, works: Works) -> Cure | None:
    """Give the elevator more travel up: it moves the forward limit forward."""
    elevator = design.airframe.elevator
    if elevator is None:
        return None
    up, key = elevator.up, "airframe.tailplane.elevator.up"
    values = _steps(up, ELEVATOR_STEP, max(MOST_ELEVATOR - up, 0.0))
    return _least("elevator", key, up, values, lambda angle: (Edit(key, round(degrees(angle), 1), "deg"),), works)


def _retainer(design: Design, works: Works) -> Cure | None:
    """Hold the motor by a hook of wire instead of a cap: it weighs less, and far aft."""
    if design.pod is None or design.pod.retainer != "cap" or not has_pod(design):
        return None
    cure = Cure("retainer", "pod.retainer", 0.0, 0.0, (Edit("pod.retainer", "hook"),))
    return cure if works(cure) else None


# in the order in which a builder would try them
CHANGES = (_pod, _motor, _ballast, _ballast_place, _slide, _elevator, _retainer)
