"""The flights one change at a time: which there are, what is fitted by each, and which one a typed flight was.

Stock, twin fins, battery, then for each motor from the smallest the dead mass in its place and the motor itself, at
last the camera; a flight that changes nothing is left out. What goes with none of them (lead, what is fitted for good)
has a flight of its own, the changed model's. What a flight is stands in its kind and motor; its name is for people.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, get_args

from foamworks.design.additions import Added, Change, Motor
from foamworks.design.airframe import Airframe, Flight
from foamworks.design.curve import usable_curve
from foamworks.design.model import Design
from foamworks.physics.flight.motor import total_impulse

Kind = Literal["stock", "twin fins", "battery", "changed", "dead mass", "lit", "camera"]
Fitting = Literal["twin fins", "battery", "changed", "pod", "camera"]
Fitted = frozenset[Fitting | int]  # and by its number, what [[changes]] has put on by then
ANY: Fitted = frozenset(get_args(Fitting))  # from the first flight after the stock model's
Phase = Literal["no pod", "no motor", "dead mass", "ignition", "burnout", "unburnt landing", "lost"]
WITH_MOTOR: tuple[Phase, ...] = ("dead mass", "ignition", "burnout", "unburnt landing", "lost")
# tables of what has no flight of its own, a new part's too; motors, ignition and gyro fly nowhere without a pod
ON_NO_OTHER = set(Added.model_fields) - {"fins", "pod", "motors", "ignition", "gyro", "camera"}
DEAD_MASS = "pod with dead mass"  # the first motor's, as it was called; a pod without a motor has no other name


@dataclass(frozen=True)
class Rung:
    """One flight: its kind, what is fitted by then, the motor in the pod (its mass, or lit)."""

    kind: Kind
    fitted: Fitted
    motor: Motor | None = None

    @property
    def name(self) -> str:
        """What the flight is called."""
        if self.kind == "dead mass":
            return DEAD_MASS if self.motor is None else f"{self.motor.name}, dead mass"
        if self.kind == "lit" and self.motor is not None:
            return self.motor.name
        return "changed model" if self.kind == "changed" else self.kind

    @property
    def lit(self) -> Motor | None:
        """The motor that is lit on this flight; its speed is the peak then."""
        return self.motor if self.kind in {"lit", "camera"} else None

    @property
    def is_lit(self) -> bool:
        """Tell whether a motor is lit on it."""
        return self.lit is not None


@dataclass(frozen=True)
class State:
    """One state of a flight: its phase, and the motor that flies it. The name is for people."""

    phase: Phase
    motor: str | None = None

    @property
    def name(self) -> str:
        """As it is printed, and as its weighing is typed."""
        return f"{self.motor}: {self.phase}" if self.motor else self.phase


NO_POD, NO_MOTOR = State("no pod"), State("no motor")


@dataclass(frozen=True)
class Aboard:
    """When a thing is aboard: on flights that have one of `needs` fitted (without any, on all), and in which states.

    with_pod: in no state without the pod; motor: in no state of another motor.
    """

    needs: Fitted = frozenset()
    with_pod: bool = False
    motor: str | None = None

    def on_flight(self, rung: Rung) -> bool:
        """Tell whether it is aboard on a flight of the ladder."""
        return not self.needs or bool(self.needs & rung.fitted)

    def in_state(self, state: State) -> bool:
        """Tell whether it is aboard in a state."""
        return not (self.with_pod and state == NO_POD) and self.motor in (None, state.motor)


def has_pod(design: Design) -> bool:
    """Tell whether the design puts a pod on the aircraft (a nose to be printed alone needs no nozzle)."""
    return design.pod is not None and design.pod.nozzle is not None and design.airframe.given


def motors_by_size(design: Design) -> list[Motor]:
    """Give the motors that may be lit, the smallest impulse first."""
    sized = [(curve, motor) for motor in design.motors if motor.plugged and (curve := usable_curve(motor)) is not None]
    return [motor for _, motor in sorted(sized, key=lambda row: total_impulse(time=row[0][0], thrust=row[0][1]))]


def refused(design: Design) -> list[Motor]:
    """Give the motors that may not be lit: not declared plugged, or with numbers that contradict each other."""
    lit = motors_by_size(design)
    return [motor for motor in design.motors if motor not in lit]


@lru_cache(maxsize=32)  # asked for every flight and every change of the same design
def rungs(design: Design) -> tuple[Rung, ...]:
    """Give the ladder from the bottom, each with what [[changes]] has by then; empty where there is no aircraft."""
    ladder = _plain(design)
    first = [_first(ladder, change) for change in design.changes]
    return tuple(
        replace(rung, fitted=rung.fitted | {change for change, begins in enumerate(first) if begins <= number})
        for number, rung in enumerate(ladder)
    )


def _first(ladder: tuple[Rung, ...], change: Change) -> int:
    """Give the number of the flight that a change is first aboard on; one without a flight, after the stock model's."""
    if change.start is None:
        return 1
    return next((ladder.index(rung) for rung in _called(ladder, change.start)), len(ladder))


def _plain(design: Design) -> tuple[Rung, ...]:
    airframe = design.airframe
    if not airframe.given:
        return ()
    found, fitted = [Rung("stock", frozenset())], frozenset[Fitting | int]()
    if design.fins is not None:
        fitted |= {"twin fins"}
        found.append(Rung("twin fins", fitted))
    if _moves(airframe):
        fitted |= {"battery"}
        found.append(Rung("battery", fitted))
    if _left_over(design, fitted):
        fitted |= {"changed"}
        found.append(Rung("changed", fitted))
    motors = motors_by_size(design) if has_pod(design) else []
    if has_pod(design):
        fitted |= {"pod"}
        found += [Rung("dead mass", fitted)] if not motors else []
    for motor in motors:
        found += [Rung("dead mass", fitted, motor), Rung("lit", fitted, motor)]
    if design.camera is not None:
        found.append(Rung("camera", fitted | {"camera"}, motors[-1] if motors else None))
    return tuple(found)


def _left_over(design: Design, fitted: Fitted) -> bool:
    """Tell whether something is put on the model that no other flight takes along: its lead, or all there is."""
    if has_pod(design) or "battery" in fitted:
        return False
    return design.ballast is not None or (not fitted and any(getattr(design, table) for table in ON_NO_OTHER))


def _moves(airframe: Airframe) -> bool:
    """Tell whether the battery or anything else finds a new place."""
    battery = airframe.battery
    return (battery is not None and battery.moves) or any(item.to is not None for item in airframe.items)


def named(design: Design, name: str) -> tuple[Rung, ...]:
    """Give the rungs of this name: none for an unknown one, several where a motor is called like another flight."""
    return _called(rungs(design), name)


def _called(ladder: tuple[Rung, ...], name: str) -> tuple[Rung, ...]:
    wanted = name.strip().casefold()
    if wanted == DEAD_MASS:
        return tuple(rung for rung in ladder if rung.kind == "dead mass")[:1]
    return tuple(rung for rung in ladder if rung.name.casefold() == wanted)


def rung_of(design: Design, flight: Flight) -> Rung | None:
    """Give the rung a flight was; None when the design has it no more (a motor left out for a trial)."""
    return next(iter(named(design, flight.named)), None)


def level_flights(design: Design) -> list[Flight]:
    """Give the flights on the fan alone in the ladder's order, whichever was typed first."""
    ladder = rungs(design)
    flown = [(ladder.index(rung), flight) for flight in design.flights for rung in _called(ladder, flight.named)[:1]]
    return [flight for place, flight in sorted(flown, key=lambda row: row[0]) if not ladder[place].is_lit]
