"""What is on the model on each flight of the ladder, and what does it then weigh? SI."""

import math
from dataclasses import dataclass, replace

from foamworks.aircraft.aero import Aero, Flying, Plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.masses import Load, moments
from foamworks.design.airframe import Flight
from foamworks.design.ladder import NO_MOTOR, NO_POD, Rung, State, rung_of
from foamworks.design.model import Design
from foamworks.physics import trim

ROUNDING = 1e-5  # of a chord: ballast that is solved for puts a state just on its limit


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
    return balance.row(NO_MOTOR if rung.motor is None else State("dead mass", rung.motor.name))


def rung_loads(balance: Balance, rung: Rung) -> tuple[Load, ...]:
    """Give what is aboard on a rung, a motor unlit."""
    return tuple(load for load in state_before(balance, rung).loads if load.aboard.on_flight(rung))


@dataclass(frozen=True)
class RungBalance:
    """A rung as it leaves the ground: mass [kg], CG [m], static margin (NaN without a CG).

    stand_in: the dead mass in the camera's place [kg] that is counted in them; 0 where none is asked for.
    """

    mass: float
    cg_x: float
    cg_z: float
    static_margin: float
    stand_in: float = 0.0


def plane_on(design: Design, aero: Aero, rung: Rung) -> Plane:
    """Give the aircraft with the fins that it has on a rung."""
    return aero.modified if "twin fins" in rung.fitted or design.fins is None else aero.stock


def rung_balance(design: Design, balance: Balance, flying: Flying, rung: Rung) -> RungBalance:
    """Balance a rung as its card orders: with dead mass in the camera's place where it is not stable enough without."""
    bare = bare_balance(design, balance, flying, rung)
    least, camera = design.limits.least, camera_loads(balance, rung)
    if not bare.static_margin < least or not camera:
        return bare
    held = _balanced(design, flying, rung, (*rung_loads(balance, rung), *camera))
    if not held.static_margin >= least - ROUNDING:
        return bare
    return replace(held, stand_in=math.fsum(load.mass for load in camera))


def bare_balance(design: Design, balance: Balance, flying: Flying, rung: Rung) -> RungBalance:
    """Balance a rung with nothing in the place of what is not aboard yet."""
    return _balanced(design, flying, rung, rung_loads(balance, rung))


def camera_loads(balance: Balance, rung: Rung) -> tuple[Load, ...]:
    """Give the camera with its fairing where it is still to come; empty once it is aboard, or without one."""
    if "camera" in rung.fitted:
        return ()
    return tuple(load for load in balance.rows[-1].loads if load.kind == "camera")


def _balanced(design: Design, flying: Flying, rung: Rung, loads: tuple[Load, ...]) -> RungBalance:
    """Balance loads about the neutral point with the fins that a rung has by then."""
    whole = moments(loads)
    if not whole.mass > 0:
        return RungBalance(whole.mass, math.nan, math.nan, math.nan)
    x, z = whole.cg
    plane = plane_on(design, flying.aero, rung)
    margin = trim.static_margin(cg=x, neutral_point=plane.neutral_point_flown, chord=flying.wing.mac)
    return RungBalance(whole.mass, x, z, margin)
