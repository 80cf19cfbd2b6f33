"""The flights one change at a time: which rungs there are, what is on the model on each, and what it then weighs. SI.

Stock, twin fins, battery, pod with dead mass, each motor from the smallest, camera; a rung that changes nothing is
left out. A flight belongs to the rung that it names, by `rung` or by its own name; one that names none is the stock
model's.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.masses import NO_MOTOR, NO_POD, Load, battery_moves, has_pod
from foamworks.aircraft.thrust_line import usable_curve
from foamworks.design.additions import Motor
from foamworks.design.airframe import Flight
from foamworks.design.model import Design
from foamworks.parts.fairing import NAME as FAIRING
from foamworks.physics import trim
from foamworks.physics.motor import total_impulse
from foamworks.physics.planform import ReferenceWing
from foamworks.study.inertia import STOCK as STOCK_LOAD

STOCK, TWIN_FINS, BATTERY, POD, CAMERA = "stock", "twin fins", "battery", "pod with dead mass", "camera"
CAMERA_LOADS = ("camera", FAIRING)


@dataclass(frozen=True)
class Rung:
    """One flight: what it is called, what is fitted by then (names of the rungs before it), the motor that is lit."""

    name: str
    fitted: frozenset[str]
    motor: Motor | None = None


def motors_by_size(design: Design) -> list[Motor]:
    """Give the motors that may be lit, the smallest impulse first."""
    sized = [(curve, motor) for motor in design.motors if motor.plugged and (curve := usable_curve(motor)) is not None]
    return [motor for _, motor in sorted(sized, key=lambda row: total_impulse(time=row[0][0], thrust=row[0][1]))]


def rungs(design: Design) -> tuple[Rung, ...]:
    """Give the ladder from the bottom."""
    airframe = design.airframe
    if airframe is None:
        return ()
    found, fitted = [Rung(STOCK, frozenset())], frozenset[str]()
    moved = battery_moves(airframe.battery) or any(item.to is not None for item in airframe.items)
    steps = (
        (TWIN_FINS, design.fins is not None and design.fins.each is not None),
        (BATTERY, moved),
        (POD, has_pod(design)),
    )
    for name, there in steps:
        if there:
            fitted |= {name}
            found.append(Rung(name, fitted))
    motors = motors_by_size(design) if has_pod(design) else []
    found += [Rung(motor.name, fitted, motor) for motor in motors]
    if design.camera is not None:
        found.append(Rung(CAMERA, fitted | {CAMERA}, motors[-1] if motors else None))
    return tuple(found)


def rung_of(design: Design, flight: Flight) -> Rung | None:
    """Give the rung a flight belongs to; None when it names one that the ladder does not have."""
    ladder = {rung.name.casefold(): rung for rung in rungs(design)}
    if flight.rung is not None:
        return ladder.get(flight.rung.strip().casefold())
    return ladder.get(flight.name.strip().casefold(), ladder.get(STOCK))


def on_stock_pack(design: Design, flight: Flight) -> bool:
    """Tell whether a flight was flown on the pack the model was measured with."""
    if flight.battery is not None:
        return STOCK in flight.battery.casefold()
    rung = rung_of(design, flight)
    return rung is None or BATTERY not in rung.fitted


def rung_loads(design: Design, balance: Balance, rung: Rung) -> tuple[Load, ...]:
    """Give what is aboard on a rung; its last state before the flight, a motor unlit."""
    if POD in rung.fitted:
        motor = rung.motor.name if rung.motor is not None else _dead_mass(design)
        row = balance.row(NO_MOTOR if motor is None else f"{motor}: dead mass")
    else:
        row = balance.row(NO_POD)
    return tuple(load for load in row.loads if _aboard(design, rung, load))


@dataclass(frozen=True)
class RungBalance:
    """A rung as it leaves the ground: mass [kg], CG [m], static margin (None without a CG)."""

    mass: float
    cg_x: float
    cg_z: float
    static_margin: float | None


def rung_balance(design: Design, balance: Balance, aero: Aero, wing: ReferenceWing, rung: Rung) -> RungBalance:
    """Balance what is aboard on a rung, about the neutral point with the fins it has by then."""
    loads = rung_loads(design, balance, rung)
    mass = sum(load.mass for load in loads)
    if not mass > 0:
        return RungBalance(mass, math.nan, math.nan, None)
    x, z = (sum(load.mass * place for load, place in zip(loads, places, strict=True)) / mass
            for places in ([load.x for load in loads], [load.z for load in loads]))  # fmt: skip
    margin = None
    if math.isfinite(x):
        plane = aero.modified if TWIN_FINS in rung.fitted or design.fins is None else aero.stock
        margin = trim.static_margin(cg=x, neutral_point=plane.neutral_point, chord=wing.mac)
    return RungBalance(mass, x, z, margin)


def _dead_mass(design: Design) -> str | None:
    """Name the motor whose mass the first flights of the pod carry: the smallest."""
    motors = motors_by_size(design)
    return motors[0].name if motors else None


def _aboard(design: Design, rung: Rung, load: Load) -> bool:
    if load.name == STOCK_LOAD:
        return True
    if load.name in CAMERA_LOADS:
        return CAMERA in rung.fitted
    items = {f"{item.name} {word}" for item in (design.airframe.items if design.airframe else ()) for word in MOVES}
    if load.name in {"battery", "battery out"} | items:
        return BATTERY in rung.fitted
    if load.name == "ballast":  # it is set for the pod, or for the new fins and battery together
        return bool(rung.fitted & {BATTERY, POD})
    return bool(rung.fitted)  # fins, and the pod in a row that has one


MOVES = ("out", "moved")  # how the balance names an item's old and new place
