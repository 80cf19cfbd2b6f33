"""What would bring every state inside the window when battery and ballast cannot? Each cure is tried, not guessed. SI.

Every cure is searched with the aerodynamics and the downthrust as they stand, one change at a time, by settling battery
and ballast again; the least change that works is given, rounded up to what one measures (5 mm, whole grams).
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

from foamworks.design.additions import Ballast
from foamworks.design.model import Design
from foamworks.parts.make import make
from foamworks.physics.balance import Settled
from foamworks.study.balance import Window, settle
from foamworks.study.masses import NO_POD, State, battery_moves, has_pod, states

POD_STEP, POD_REACH = 0.005, 0.400  # m
SLIDE_STEP, SLIDE_REACH = 0.005, 0.300  # m
BALLAST_STEP, BALLAST_REACH = 0.005, 0.300  # kg
BALLAST_PLACE_STEP = 0.010  # m
NOSE_ROOM = 0.020  # m behind the nose tip: as far forward as lead can be glued (ours)
SHARE_STEP = 0.02  # of a motor's mass
SPARE = 0.0005  # m a cure keeps from the limits, so that an automatic downthrust may settle anew

Kind = Literal["pod", "motor", "ballast", "ballast place", "slide"]


@dataclass(frozen=True)
class Cure:
    """One change that works: `value` is the new number in SI, `change` how far from the old, `name` what is changed.

    "pod": nozzle x; "motor": a motor's mass; "ballast": the most of it; "ballast place": its x; "slide": the end of
    the battery's slide that moves.
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


def shared_states(design: Design) -> tuple[State, ...]:
    """Give the states that share one battery place and one ballast."""
    rows = states(design, make(design))
    return tuple(row for row in rows if row.name != NO_POD) if has_pod(design) else rows


def opened(solved: Design, asked: Design) -> Design:
    """Give the solved design with battery and ballast as open as they were asked."""
    return solved.model_copy(update={"airframe": asked.airframe, "ballast": asked.ballast})


def fight(design: Design, limits: Window) -> Fight | None:
    """Settle once more and name the two states that fight; `design` has battery and ballast open."""
    rows = shared_states(design)
    found = settle(design, rows, limits)
    if found is None:
        return None
    forward = -math.inf if limits.forward is None else limits.forward
    ahead, behind = float(found.cg[found.forward_state]), float(found.cg[found.aft_state])
    return Fight(
        found, rows[found.forward_state].name, rows[found.aft_state].name, forward - ahead, behind - limits.aft
    )


def cures(design: Design, limits: Window) -> list[Cure]:
    """Give the least of each change that brings all states inside; `design` has battery and ballast open."""
    near = replace(limits, aft=limits.aft - SPARE, forward=None if limits.forward is None else limits.forward + SPARE)

    def works(changed: Design) -> bool:
        found = settle(changed, shared_states(changed), near)
        return found is not None and found.feasible

    tries = (_pod, _motor, _ballast, _ballast_place, _slide)
    return [cure for search in tries if (cure := search(design, works)) is not None]


Works = Callable[[Design], bool]


def _steps(step: float, reach: float) -> list[float]:
    return [step * (i + 1) for i in range(round(reach / step))]


def _first(candidates: Iterable[float], works: Callable[[float], bool], *, monotonic: bool = True) -> float | None:
    """Give the first candidate that works; by halving when more is always better, else one by one."""
    rows = list(candidates)
    if not monotonic:
        return next((value for value in rows if works(value)), None)
    if not rows or not works(rows[-1]):
        return _first(rows[: len(rows) // 2], works, monotonic=False) if rows else None
    low, high = -1, len(rows) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(rows[middle]) else (middle, high)
    return rows[high]


def _pod(design: Design, works: Works) -> Cure | None:
    pod = design.pod
    if pod is None or pod.nozzle is None or not has_pod(design):
        return None
    start = pod.nozzle

    def moved(x: float) -> bool:
        return works(
            design.model_copy(update={"pod": pod.model_copy(update={"nozzle": start.model_copy(update={"x": x})})})
        )

    for sign in (-1, 1):
        found = _first([start.x + sign * d for d in _steps(POD_STEP, POD_REACH)], moved)
        if found is not None:
            return Cure("pod", "pod.nozzle.x", found, found - start.x)
    return None


def _motor(design: Design, works: Works) -> Cure | None:
    """Lighten the heaviest motor, its propellant in proportion."""
    if not design.motors or not has_pod(design):
        return None
    heaviest = max(design.motors, key=lambda motor: motor.mass)

    def lighter(share: float) -> bool:
        motor = heaviest.model_copy(update={"mass": share * heaviest.mass, "propellant": share * heaviest.propellant})
        motors = tuple(motor if row.name == heaviest.name else row for row in design.motors)
        return works(design.model_copy(update={"motors": motors}))

    found = _first([1 - s for s in _steps(SHARE_STEP, 0.9)], lighter)
    if found is None:
        return None
    mass = math.floor(1000 * found * heaviest.mass) / 1000
    return Cure("motor", heaviest.name, mass, mass - heaviest.mass)


def _ballast(design: Design, works: Works) -> Cure | None:
    """Allow more ballast where it is, or some at the nose when there is none."""
    if design.airframe is None:
        return None
    ballast = design.ballast or Ballast.model_construct(x=NOSE_ROOM, z=0.0, mass="auto", most=0.0)
    start = ballast.most if ballast.mass == "auto" and ballast.most is not None else ballast.mass
    if isinstance(start, str):
        return None

    def more(most: float) -> bool:
        changed = ballast.model_copy(update={"mass": "auto", "most": most})
        return works(design.model_copy(update={"ballast": changed}))

    found = _first([start + w for w in _steps(BALLAST_STEP, BALLAST_REACH)], more)
    return None if found is None else Cure("ballast", "ballast.most", found, found - start)


def _ballast_place(design: Design, works: Works) -> Cure | None:
    ballast = design.ballast
    if ballast is None:
        return None

    def at(x: float) -> bool:
        return works(design.model_copy(update={"ballast": ballast.model_copy(update={"x": x})}))

    room = ballast.x - NOSE_ROOM
    found = _first([ballast.x - d for d in _steps(BALLAST_PLACE_STEP, max(room, 0.0))], at)
    return None if found is None else Cure("ballast place", "ballast.x", found, found - ballast.x)


def _slide(design: Design, works: Works) -> Cure | None:
    """Lengthen the battery's slide, ahead first; a battery at a fixed place is moved."""
    airframe = design.airframe
    battery = airframe.battery if airframe else None
    if airframe is None or battery is None or not battery_moves(battery):
        return None
    place = battery.x if battery.x is not None else battery.x_stock
    slide = battery.slide if battery.x == "auto" else (place, place)
    if slide is None or not all(isinstance(end, float) for end in slide):
        return None
    ends = (float(slide[0] or 0.0), float(slide[1] or 0.0))

    def longer(end: float) -> bool:
        wider = (min(end, ends[0]), max(end, ends[1]))
        changed = battery.model_copy(update={"x": "auto", "slide": wider})
        return works(design.model_copy(update={"airframe": airframe.model_copy(update={"battery": changed})}))

    for start, sign in ((ends[0], -1), (ends[1], 1)):
        found = _first([start + sign * d for d in _steps(SLIDE_STEP, SLIDE_REACH) if start + sign * d > 0], longer)
        if found is not None:
            return Cure("slide", "airframe.battery.slide", found, found - start)
    return None
