"""What would bring every state inside the window when battery and ballast cannot? Each cure is tried, not guessed. SI.

Every cure is searched with the aerodynamics and the downthrust as they stand, one change at a time, by settling battery
and ballast again; the least change that works is given, rounded up to what one measures (5 mm, whole grams).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Window, settle, trimming, window
from foamworks.aircraft.masses import MOTOR_STATES, NO_POD, State, battery_moves, states
from foamworks.design.additions import Ballast, Motor, Pod
from foamworks.design.airframe import Airframe, Battery
from foamworks.design.ladder import has_pod
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.parts.make import make
from foamworks.physics.balance import Settled
from foamworks.physics.planform import ReferenceWing
from foamworks.units import grams

POD_STEP, POD_REACH = 0.005, 0.400  # m
SLIDE_STEP, SLIDE_REACH = 0.005, 0.300  # m
BALLAST_STEP, BALLAST_REACH = 0.005, 0.300  # kg
BALLAST_PLACE_STEP = 0.010  # m
NOSE_ROOM = 0.020  # m behind the nose tip: as far forward as lead can be glued (ours)
GRAM = 0.001  # kg
ELEVATOR_STEP, MOST_ELEVATOR = math.radians(1), math.radians(30)  # more travel stalls the tailplane (from memory)
ALIKE = 1e-9  # m
SPARE = 0.0005  # m a cure keeps from the limits, so that an automatic downthrust may settle anew

UNBURNT = MOTOR_STATES[3]

Kind = Literal["pod", "motor", "ballast", "ballast place", "slide", "elevator"]


@dataclass(frozen=True)
class Cure:
    """One change that works: `value` is the new number in SI, `change` how far from the old, `name` what is changed.

    "pod": nozzle x; "motor": a motor's mass, its propellant in proportion; "ballast": the most of it; "ballast place":
    its x; "slide": the end of the battery's slide that moves; "elevator": its travel up.
    """

    kind: Kind
    name: str
    value: float
    change: float


@dataclass(frozen=True)
class Fight:
    """How the states lie that share battery and ballast, and the two that are furthest over, or nearest to, a limit."""

    settled: Settled
    forward_state: str
    aft_state: str
    forward_miss: float  # m ahead of the forward limit; negative inside
    aft_miss: float  # m behind the aft limit; negative inside


def shared_states(design: Design, parts: Parts) -> tuple[State, ...]:
    """Give the states that share one battery place and one ballast."""
    rows = states(design, parts)
    return tuple(row for row in rows if row.name != NO_POD) if has_pod(design) else rows


def bare_state(design: Design, parts: Parts) -> tuple[State, ...]:
    """Give `no pod` alone."""
    return tuple(row for row in states(design, parts) if row.name == NO_POD)


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
    forward = -math.inf if limits.forward is None else limits.forward
    ahead, behind = float(found.cg[found.forward_state]), float(found.cg[found.aft_state])
    # of states that lie alike, the landing with an unburnt motor is the one that gets forgotten
    last = max(np.flatnonzero(found.cg >= behind - ALIKE), key=lambda i: (rows[i].name.endswith(UNBURNT), -i))
    return Fight(found, rows[found.forward_state].name, rows[last].name, forward - ahead, behind - limits.aft)


def cures(design: Design, aero: Aero, wing: ReferenceWing, *, bare: bool = False) -> list[Cure]:
    """Give the least of each change that brings all states inside; `design` has battery and ballast open.

    bare: for `no pod` alone, which has battery and ballast of its own; pod and motors are not aboard there.
    """
    flown, parts = trimming(design, aero, wing), make(design)

    def works(cure: Cure) -> bool:
        changed = applied(design, cure)
        limits = window(changed, aero, wing, flown)
        if limits is None:
            return False
        ahead = None if limits.forward is None else limits.forward + SPARE
        now = make(changed) if cure.kind == "pod" else parts  # nothing else changes a part
        rows = bare_state(changed, now) if bare else shared_states(changed, now)
        found = settle(changed, rows, Window(ahead, limits.aft - SPARE))
        return found is not None and found.feasible

    tries = (_ballast, _ballast_place, _slide, _elevator) if bare else CHANGES
    return [cure for search in tries if (cure := search(design, works)) is not None]


def applied(design: Design, cure: Cure) -> Design:
    """Give the design with one cure applied."""
    if cure.kind == "motor":
        return design.model_copy(update={"motors": tuple(_lighter(row, cure) for row in design.motors)})
    if cure.kind in ("ballast", "ballast place"):
        update = {"x": cure.value} if cure.kind == "ballast place" else {"mass": "auto", "most": cure.value}
        return design.model_copy(update={"ballast": (design.ballast or NO_BALLAST).model_copy(update=update)})
    if cure.kind == "pod":
        return design.model_copy(update={"pod": _pod_at(design.pod, cure.value)})
    return design.model_copy(update={"airframe": _airframe_with(design.airframe, cure)})


def _pod_at(pod: Pod | None, x: float) -> Pod | None:
    if pod is None or pod.nozzle is None:
        return pod
    return pod.model_copy(update={"nozzle": pod.nozzle.model_copy(update={"x": x})})


def _airframe_with(airframe: Airframe | None, cure: Cure) -> Airframe | None:
    """Give the airframe with a longer battery slide or more elevator travel up."""
    tail, battery = (airframe.tailplane, airframe.battery) if airframe else (None, None)
    if airframe is not None and battery is not None and cure.kind == "slide":
        ends = _slide_ends(battery) or (cure.value, cure.value)
        wider = (min(cure.value, ends[0]), max(cure.value, ends[1]))
        return airframe.model_copy(update={"battery": battery.model_copy(update={"x": "auto", "slide": wider})})
    if airframe is not None and tail is not None and tail.elevator is not None and cure.kind == "elevator":
        tail = tail.model_copy(update={"elevator": tail.elevator.model_copy(update={"up": cure.value})})
        return airframe.model_copy(update={"tailplane": tail})
    return airframe


def _lighter(motor: Motor, cure: Cure) -> Motor:
    if motor.name != cure.name:
        return motor
    return motor.model_copy(update={"mass": cure.value, "propellant": motor.propellant * cure.value / motor.mass})


NO_BALLAST = Ballast.model_construct(x=NOSE_ROOM, z=0.0, mass="auto", most=0.0)
Works = Callable[[Cure], bool]


def _steps(start: float, step: float, reach: float) -> list[float]:
    """Values from one step beyond `start` to `reach` beyond it; a negative step goes the other way."""
    return [start + step * (i + 1) for i in range(round(abs(reach / step)))]


def _least(kind: Kind, name: str, start: float, values: list[float], works: Works) -> Cure | None:
    """Give the first value that works: by halving when the last one does, else one by one through the nearer half."""

    def cure(value: float) -> Cure:
        return Cure(kind, name, value, value - start)

    if not values:
        return None
    if not works(cure(values[-1])):
        return next((cure(value) for value in values[: len(values) // 2] if works(cure(value))), None)
    low, high = -1, len(values) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(cure(values[middle])) else (middle, high)
    return cure(values[high])


def _pod(design: Design, works: Works) -> Cure | None:
    if design.pod is None or design.pod.nozzle is None or not has_pod(design):
        return None
    x = design.pod.nozzle.x
    ways = (_least("pod", "pod.nozzle.x", x, _steps(x, way * POD_STEP, POD_REACH), works) for way in (-1, 1))
    return next((cure for cure in ways if cure is not None), None)


def _motor(design: Design, works: Works) -> Cure | None:
    """Lighten the heaviest motor."""
    if not design.motors or not has_pod(design):
        return None
    heaviest = max(design.motors, key=lambda motor: motor.mass)
    start = grams.si(math.floor(grams(heaviest.mass)))
    values = _steps(start, -GRAM, 0.9 * start)
    return _least("motor", heaviest.name, heaviest.mass, values, works)


def _ballast(design: Design, works: Works) -> Cure | None:
    """Allow more ballast where it is, or some at the nose when there is none."""
    ballast = design.ballast or NO_BALLAST
    start = ballast.most if ballast.mass == "auto" else ballast.mass
    if design.airframe is None or start is None or isinstance(start, str):
        return None
    return _least("ballast", "ballast.most", start, _steps(start, BALLAST_STEP, BALLAST_REACH), works)


def _ballast_place(design: Design, works: Works) -> Cure | None:
    if design.ballast is None:
        return None
    x = design.ballast.x
    values = _steps(x, -BALLAST_PLACE_STEP, max(x - NOSE_ROOM, 0.0))
    return _least("ballast place", "ballast.x", x, values, works)


def _slide_ends(battery: Battery) -> tuple[float, float] | None:
    """Give the ends of the battery's slide; its place twice when it is fixed."""
    if battery.x == "auto":
        return battery.slide
    place = battery.x if battery.x is not None else battery.x_stock
    return None if place is None or isinstance(place, str) else (place, place)


def _slide(design: Design, works: Works) -> Cure | None:
    """Lengthen the battery's slide, ahead first; a battery at a fixed place may then move."""
    battery = design.airframe.battery if design.airframe else None
    if battery is None or not battery_moves(battery):
        return None
    for end, way in zip(_slide_ends(battery) or (), (-1, 1), strict=False):
        values = [x for x in _steps(end, way * SLIDE_STEP, SLIDE_REACH) if x > 0]
        cure = _least("slide", "airframe.battery.slide", end, values, works)
        if cure is not None:
            return cure
    return None


def _elevator(design: Design, works: Works) -> Cure | None:
    """Give the elevator more travel up: it moves the forward limit forward."""
    tail = design.airframe.tailplane if design.airframe else None
    if tail is None or tail.elevator is None:
        return None
    up = tail.elevator.up
    values = _steps(up, ELEVATOR_STEP, max(MOST_ELEVATOR - up, 0.0))
    return _least("elevator", "airframe.tailplane.elevator.up", up, values, works)


CHANGES = (_pod, _motor, _ballast, _ballast_place, _slide, _elevator)  # in the order in which a builder would try them
