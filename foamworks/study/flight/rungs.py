"""What is on the model on each flight of the ladder, and what does it then weigh? SI."""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.masses import NO_MOTOR, NO_POD, Load, LoadKind
from foamworks.design.airframe import Flight
from foamworks.design.ladder import Fitting, Rung, rung_of
from foamworks.design.model import Design
from foamworks.physics import trim
from foamworks.physics.planform import ReferenceWing

# what must be fitted for a load to be aboard, one of these; a change goes by its number
NEEDS: dict[LoadKind, frozenset[Fitting]] = {
    "camera": frozenset({"camera"}),
    "battery out": frozenset({"battery"}),
    "battery": frozenset({"battery"}),
    "item": frozenset({"battery"}),
    "ballast": frozenset({"battery", "pod"}),  # set for the pod, or for the new fins and battery together
    "fitted": frozenset({"twin fins", "battery", "pod", "camera"}),  # from the first flight after the stock model's
    "old fin": frozenset({"twin fins"}),
    "fins": frozenset({"twin fins"}),
    "pod": frozenset({"pod"}),
    "motor": frozenset({"pod"}),
    "ignition pack": frozenset({"pod"}),
}


def on_stock_pack(design: Design, flight: Flight) -> bool:
    """Tell whether a flight was flown on the pack the model was measured with."""
    if flight.pack is not None:
        return flight.pack == "stock"
    if flight.battery is not None:
        return "stock" in flight.battery.casefold()
    rung = rung_of(design, flight)
    return rung is None or "battery" not in rung.fitted


def state_before(balance: Balance, rung: Rung) -> StateRow:
    """Give the state that a rung's loads are taken from: its last before the flight, a motor unlit."""
    if "pod" not in rung.fitted:
        return balance.row(NO_POD)
    return balance.row(NO_MOTOR if rung.motor is None else f"{rung.motor.name}: dead mass")


def rung_loads(balance: Balance, rung: Rung) -> tuple[Load, ...]:
    """Give what is aboard on a rung, a motor unlit."""
    return tuple(load for load in state_before(balance, rung).loads if aboard_on(rung, load))


@dataclass(frozen=True)
class RungBalance:
    """A rung as it leaves the ground: mass [kg], CG [m], static margin (None without a CG)."""

    mass: float
    cg_x: float
    cg_z: float
    static_margin: float | None


def rung_balance(design: Design, balance: Balance, aero: Aero, wing: ReferenceWing, rung: Rung) -> RungBalance:
    """Balance what is aboard on a rung, about the neutral point with the fins it has by then."""
    loads = rung_loads(balance, rung)
    mass = sum(load.mass for load in loads)
    if not mass > 0:
        return RungBalance(mass, math.nan, math.nan, None)
    x, z = (sum(load.mass * place for load, place in zip(loads, places, strict=True)) / mass
            for places in ([load.x for load in loads], [load.z for load in loads]))  # fmt: skip
    margin = None
    if math.isfinite(x):
        plane = aero.modified if "twin fins" in rung.fitted or design.fins is None else aero.stock
        margin = trim.static_margin(cg=x, neutral_point=plane.neutral_point_flown, chord=wing.mac)
    return RungBalance(mass, x, z, margin)


def aboard_on(rung: Rung, load: Load) -> bool:
    """Tell whether a load is aboard on a flight of the ladder."""
    if load.kind == "stock":
        return True
    needs = {load.number} if load.kind == "change" else NEEDS[load.kind]
    return bool(rung.fitted & needs)
