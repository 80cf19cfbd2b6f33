"""What weighs how much, and where, in each state of the flight? Masses in kg, places in m.

A place that was not measured is NaN and makes what rests on it NaN: an unknown, never a guess.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

from foamworks.aircraft.fins import old_fin
from foamworks.design.airframe import Airframe, Battery
from foamworks.design.ladder import NO_MOTOR, NO_POD, WITH_MOTOR, Aboard, State, has_pod, rungs
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.errors import not_measured
from foamworks.parts.base import ABOARD, IGNITION_PACK, WITH_POD, Group, Known, Part, Parts, PrintPart
from foamworks.parts.cuts import weighed_apart
from foamworks.physics import balance
from foamworks.physics.ranges import where_known
from foamworks.units import first_measured, measured, mm

LoadKind = Group | Literal["stock", "old fin", "battery out", "battery", "item", "change", "motor"]
POD_LOADS: tuple[LoadKind, ...] = ("pod", "mount", "motor")  # what moves when the pod is moved
ALWAYS, MOVED = Aboard(), Aboard(frozenset({"battery"}))


@dataclass(frozen=True)
class Load:
    """A mass at a place; a negative mass takes something away. `kind` says what it is, `name` is for people.

    aboard: in which states and on which flights; known: how its mass is.
    """

    name: str
    mass: float
    x: float
    z: float
    y: float = 0.0
    kind: LoadKind = field(kw_only=True)
    aboard: Aboard = field(kw_only=True)
    known: Known = "given"


class Moments(NamedTuple):
    """Mass of some loads [kg], and the sums of mass times place along x and z [kg m]."""

    mass: float
    x: float
    z: float

    @property
    def cg(self) -> tuple[float, float]:
        """Their centre of gravity (x, z) [m]."""
        return self.x / self.mass, self.z / self.mass


def moments(loads: Iterable[Load], about: tuple[float, float] = (0.0, 0.0)) -> Moments:
    """Sum loads about a place (x, z) [m]."""
    rows = tuple(loads)
    return Moments(
        sum(load.mass for load in rows),
        sum(load.mass * (load.x - about[0]) for load in rows),
        sum(load.mass * (load.z - about[1]) for load in rows),
    )


@dataclass(frozen=True)
class Laden:
    """A state with everything that is aboard in it but battery and ballast."""

    state: State
    loads: tuple[Load, ...]

    @cached_property
    def sum(self) -> Moments:
        """Mass and moments of it all."""
        return moments(self.loads)


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
    loads = [Load("stock model", airframe.mass, x, z, kind="stock", aboard=ALWAYS)]
    fin = old_fin(design) if design.fins is not None else None
    if fin and airframe.fin and airframe.fin.mass > 0:
        x, z = fin.stations.centroid_x, fin.stations.mac_s
        loads.append(Load("old fin off", -airframe.fin.mass, x, z, kind="old fin", aboard=ABOARD["fins"]))
    battery = airframe.moving_battery
    if battery:
        mass, height = battery.weighed_with.mass, battery_heights(airframe)[0]
        loads.append(Load("battery out", -mass, battery.weighed_at, height, kind="battery out", aboard=MOVED))
    for item in airframe.items:
        if item.to is not None:
            loads.append(Load(f"{item.name} out", -item.mass, item.x, item.z, kind="item", aboard=MOVED))
            loads.append(Load(f"{item.name} moved", item.mass, item.to.x, item.to.z, kind="item", aboard=MOVED))
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
    z = pack.z if pack else math.nan
    return Load(IGNITION_PACK, pack_mass(design), x, z, kind="ignition pack", aboard=WITH_POD)


def part_load(design: Design, part: Part, x_mm: float) -> Load:
    """Give a part that sits on the aircraft, its centroid at x [mm]."""
    return Load(
        part.name,
        part.count * part.mass_g / 1000,
        x_mm / 1000,
        measured(part.z_mm) / 1000,
        _off_centre(design, part),
        kind=part.group,
        aboard=part.aboard,
        known=part.known,
    )


def _off_centre(design: Design, part: Part) -> float:
    """How far from the plane of symmetry a part sits [m]; a pair counts by its one side."""
    if part.group == "fins" and design.fins is not None:
        return design.fins.root.y
    if part.group == "camera" and design.camera is not None and design.camera.at is not None:
        return design.camera.at.y
    if part.group == "fitted" and isinstance(part, PrintPart):
        return mm.si(part.y_mm)
    return design.pod.planes[0] if design.pod and part.group == "pod" and part.count > 1 else 0.0


def motor_load(design: Design, number: int, mass: float) -> list[Load]:
    """Give one motor in each pod, at mid-length along the tilted axis [kg]."""
    stand, motor = design.standing, design.motors[number]
    if stand is None:
        return []
    x = stand.x - motor.length / 2 * math.cos(stand.downthrust)
    z = stand.z - motor.length / 2 * math.sin(stand.downthrust)
    y, mass = stand.planes[0], len(stand.planes) * mass
    aboard = Aboard(WITH_POD.needs, with_pod=True, motor=motor.name)
    return [Load(motor.name, mass, x, z, y, kind="motor", aboard=aboard, known="data sheet")]


def states(design: Design, parts: Parts) -> tuple[Laden, ...]:
    """Give every state of the flight, battery and ballast left out; empty when the stock model was not weighed."""
    base = base_loads(design)
    if not base:
        return ()
    later = {"ballast", "ignition pack"} if pack_slide(design) is not None else {"ballast"}  # when it is balanced
    placed = [part_load(design, p, p.x_mm) for p in parts.all() if p.x_mm is not None and p.group not in later]
    loads = [*base, *sorted(placed, key=lambda load: load.aboard.with_pod), *change_loads(design)]
    loads.sort(key=lambda load: load.aboard.motor is not None)
    found: list[tuple[State, list[Load]]] = [(NO_POD, []), (NO_MOTOR, [])]
    if has_pod(design):
        for number, motor in enumerate(design.motors):
            full = motor_load(design, number, motor.mass)
            spent = motor_load(design, number, motor.mass - motor.propellant)
            burning = zip(WITH_MOTOR, (full, full, spent, full, []), strict=True)
            found += [(State(phase, motor.name), charge) for phase, charge in burning]
    for load in loads:
        if (load.aboard.with_pod and not has_pod(design)) or not any(load.aboard.in_state(state) for state, _ in found):
            raise ValueError(f"{load.name} has a place on the aircraft, but its pod or motor is in no state")
    return tuple(
        Laden(state, (*(load for load in loads if load.aboard.in_state(state)), *charge)) for state, charge in found
    )


def change_loads(design: Design) -> list[Load]:
    """Give what was put on or taken off besides; what comes with the pod or later is in no state without it."""
    early = set().union(*(rung.fitted for rung in rungs(design) if "pod" not in rung.fitted or not has_pod(design)))
    return [
        Load(
            change.name,
            change.mass,
            measured(change.x),
            change.z,
            change.y,
            kind="change",
            aboard=Aboard(frozenset({number}), with_pod=has_pod(design) and number not in early),
        )
        for number, change in enumerate(design.changes)
        if change.mass
    ]
