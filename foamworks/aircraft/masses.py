"""What weighs how much, and where, in each state of the flight? Masses in kg, places in m.

A place that was not measured is NaN and makes what rests on it NaN: an unknown, never a guess.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from foamworks.aircraft.fins import old_fin
from foamworks.design.airframe import Airframe, Battery
from foamworks.design.ladder import has_pod, rungs
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.errors import not_measured
from foamworks.parts.base import IGNITION_PACK, Group, Part, Parts, PrintPart
from foamworks.parts.cuts import weighed_apart
from foamworks.physics import balance
from foamworks.physics.ranges import where_known
from foamworks.units import first_measured, measured, mm

Phase = Literal["no pod", "no motor", "dead mass", "ignition", "burnout", "unburnt landing", "lost"]
LoadKind = Literal[
    "stock", "old fin", "battery out", "battery", "item", "change", "fitted", "fins", "camera", "pod",
    "ignition pack", "motor", "ballast"
]  # fmt: skip
GROUP_LOADS: dict[Group, LoadKind] = {
    "fitted": "fitted",
    "fins": "fins",
    "camera": "camera",
    "pod": "pod",
    "ballast": "ballast",
}
POD_LOADS: tuple[LoadKind, ...] = ("pod", "motor")  # what moves when the pod is moved
WITH_MOTOR: tuple[Phase, ...] = ("dead mass", "ignition", "burnout", "unburnt landing", "lost")


@dataclass(frozen=True)
class Load:
    """A mass at a place; a negative mass takes something away. `kind` says what it is, `name` is for people.

    `number`: which of [[changes]] it is.
    """

    name: str
    mass: float
    x: float
    z: float
    y: float = 0.0
    kind: LoadKind = field(kw_only=True)
    number: int = 0


@dataclass(frozen=True)
class State:
    """One state of the flight: its phase, and the motor that flies it. The name is for people."""

    phase: Phase
    motor: str | None = None

    @property
    def name(self) -> str:
        """As it is printed, and as its weighing is typed."""
        return f"{self.motor}: {self.phase}" if self.motor else self.phase


NO_POD, NO_MOTOR = State("no pod"), State("no motor")


@dataclass(frozen=True)
class Laden:
    """A state with everything that is aboard in it but battery and ballast."""

    state: State
    loads: tuple[Load, ...]

    @property
    def mass(self) -> float:
        """Total [kg]."""
        return sum(load.mass for load in self.loads)

    @property
    def moment_x(self) -> float:
        """Sum of mass x place aft [kg m]."""
        return sum(load.mass * load.x for load in self.loads)


def stock_cg(airframe: Airframe) -> tuple[float, float]:
    """Give the stock model's centre of gravity (x, z) [m]."""
    cg = airframe.cg
    if cg is None:
        return math.nan, math.nan
    if cg.by_x:
        return cg.x, cg.z
    supports = {"front": cg.front_support, "rear": cg.rear_support, "rear_load": cg.rear_load}
    return where_known(balance.from_two_supports, **supports, mass=airframe.mass), cg.z


def battery_place(battery: Battery | None) -> tuple[float, float, float]:
    """Give the flight battery as (mass, x, z); one whose mass or stock place is not known stays: mass 0."""
    if not battery or not battery.moves or is_open(battery.x):
        return 0.0, 0.0, 0.0
    return battery.mass, first_measured(battery.x, battery.x_stock), battery.z


def base_loads(design: Design) -> list[Load]:
    """Give the stock model without its old fin and its battery, items moved. Empty when it was not weighed."""
    airframe = design.airframe
    if not_measured(airframe.mass):
        return []
    x, z = stock_cg(airframe)
    loads = [Load("stock model", airframe.mass, x, z, kind="stock")]
    fin = old_fin(design) if design.fins is not None else None
    if fin and airframe.fin and airframe.fin.mass > 0:
        shape = fin.stations
        loads.append(Load("old fin off", -airframe.fin.mass, shape.centroid_x, shape.mac_s, kind="old fin"))
    battery = airframe.moving_battery
    if battery:
        mass, height = battery.weighed_with.mass, battery_heights(airframe)[0]
        loads.append(Load("battery out", -mass, battery.weighed_at, height, kind="battery out"))
    for item in airframe.items:
        if item.to is not None:
            loads.append(Load(f"{item.name} out", -item.mass, item.x, item.z, kind="item"))
            loads.append(Load(f"{item.name} moved", item.mass, item.to.x, item.to.z, kind="item"))
    return loads


def battery_heights(airframe: Airframe) -> tuple[float, float]:
    """Give the height of the pack the model was weighed with, and of the one flown [m].

    A pack that only moves along x keeps its height: unmeasured, it is put at the CG's, where it cancels.
    """
    battery = airframe.battery
    if battery is None:
        return math.nan, math.nan
    before = first_measured(battery.weighed_with.z, battery.z)
    if not_measured(before) and (not battery.stock or battery.stock.mass == battery.mass):
        return (stock_cg(airframe)[1],) * 2
    return before, first_measured(battery.z, before)


def pack_slide(design: Design) -> tuple[float, float] | None:
    """Give where an ignition pack may sit whose place is left open; None where it has one, or none is aboard."""
    pack = design.ignition.pack if design.ignition else None
    return pack.slide if pack is not None and is_open(pack.x) and has_pod(design) else None


def pack_mass(design: Design) -> float:
    """Give the ignition pack's mass [kg]: weighed, else as given."""
    pack = design.ignition.pack if design.ignition else None
    return first_measured(weighed_apart(design, IGNITION_PACK), pack.mass if pack else math.nan)


def pack_load(design: Design, x: float) -> Load:
    """Give the ignition pack at a place [m]."""
    pack = design.ignition.pack if design.ignition else None
    return Load(IGNITION_PACK, pack_mass(design), x, pack.z if pack else math.nan, kind="ignition pack")


def part_loads(design: Design, parts: Iterable[Part]) -> list[Load]:
    """Give the parts that sit on the aircraft."""
    return [
        Load(
            part.name,
            part.count * part.mass_g / 1000,
            part.x_mm / 1000,
            measured(part.z_mm) / 1000,
            _off_centre(design, part),
            kind=_kind(part),
        )
        for part in parts
        if part.x_mm is not None
    ]


def _kind(part: Part) -> LoadKind:
    """Say what a part's load is; part names are the program's own."""
    if part.name == IGNITION_PACK:
        return "ignition pack"
    if part.group not in GROUP_LOADS:
        raise ValueError(f"{part.name} has a place on the aircraft, but {part.group} is aboard in no state")
    return GROUP_LOADS[part.group]


def _off_centre(design: Design, part: Part) -> float:
    """How far from the plane of symmetry a part sits [m]; a pair counts by its one side."""
    if part.group == "fins" and design.fins is not None:
        return design.fins.root.y
    if part.group == "camera" and design.camera is not None and design.camera.at is not None:
        return design.camera.at.y
    if part.group == "fitted" and isinstance(part, PrintPart):
        return mm.si(part.y_mm)
    return pod_offset(design) if part.group == "pod" and part.count > 1 else 0.0


def pod_offset(design: Design) -> float:
    """How far from the plane of symmetry the pods stand [m]; 0 for a single one."""
    return design.pod.planes[0] if design.pod else 0.0


def motor_load(design: Design, number: int, mass: float) -> list[Load]:
    """Give one motor in each pod, at mid-length along the tilted axis [kg]."""
    stand, motor = design.standing, design.motors[number]
    if stand is None:
        return []
    x = stand.x - motor.length / 2 * math.cos(stand.downthrust)
    z = stand.z - motor.length / 2 * math.sin(stand.downthrust)
    return [Load(motor.name, len(stand.planes) * mass, x, z, stand.planes[0], kind="motor")]


def states(design: Design, parts: Parts) -> tuple[Laden, ...]:
    """Give every state of the flight, battery and ballast left out; empty when the stock model was not weighed.

    Every part with a place is aboard in all of them, but for the pod's, which go with the pod, or with their motor.
    """
    base = base_loads(design)
    if not base:
        return ()
    aboard = [p for p in parts.all() if p.x_mm is not None and p.group != "ballast"]
    if pack_slide(design) is not None:  # its place is still open: it comes with battery and ballast
        aboard = [p for p in aboard if p.name != IGNITION_PACK]
    pod = [p for p in aboard if p.group == "pod"]
    _no_part_lost(design, pod)
    always = [*base, *part_loads(design, (p for p in aboard if p.group != "pod"))]
    common = [*always, *part_loads(design, (p for p in pod if p.motor is None))]
    changes = change_loads(design)
    early = set().union(*(rung.fitted for rung in rungs(design) if "pod" not in rung.fitted or not has_pod(design)))
    common += changes
    before = [load for load in changes if load.number in early or not has_pod(design)]
    rows = [Laden(NO_POD, (*always, *before)), Laden(NO_MOTOR, tuple(common))]
    if not has_pod(design):
        return tuple(rows)
    for number, motor in enumerate(design.motors):
        own = [*common, *part_loads(design, (p for p in pod if p.motor == motor.name))]
        full, spent = motor_load(design, number, motor.mass), motor_load(design, number, motor.mass - motor.propellant)
        aboard_by_state = dict(zip(WITH_MOTOR, (full, full, spent, full, []), strict=True))
        rows += [Laden(State(phase, motor.name), (*own, *extra)) for phase, extra in aboard_by_state.items()]
    return tuple(rows)


def change_loads(design: Design) -> list[Load]:
    """Give what was put on or taken off besides."""
    return [
        Load(change.name, change.mass, measured(change.x), change.z, change.y, kind="change", number=number)
        for number, change in enumerate(design.changes)
        if change.mass
    ]


def _no_part_lost(design: Design, pod: list[Part]) -> None:
    """Hold that the pod's parts have a pod, and a motor's their motor: else they would be aboard in no state."""
    motors = {None, *(motor.name for motor in design.motors)}
    for part in pod:
        if not has_pod(design) or part.motor not in motors:
            raise ValueError(f"{part.name} has a place on the aircraft, but its pod or motor is in no state")
