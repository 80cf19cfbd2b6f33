"""Does every state of the flight lie inside the window, and how fast does each land? SI; x aft."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Flying, Plane
from foamworks.aircraft.hands_off import HandsOff, air_of, hands_off
from foamworks.aircraft.masses import MOVED, Laden, Load, battery_heights, battery_place, moments, pack_load, states
from foamworks.aircraft.movers import Movers, movers_of
from foamworks.design.ladder import NO_MOTOR, NO_POD, State
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.parts.base import ABOARD, Parts
from foamworks.parts.cuts import weighed_apart
from foamworks.physics import balance, trim
from foamworks.physics.balance import Loads, Settled
from foamworks.physics.ranges import where_known
from foamworks.units import first_measured

Floats = NDArray[np.float64]
FAR = 1e3  # m: a limit that is not known does not bind


@dataclass(frozen=True)
class Trimming(HandsOff):
    """The stock model flown hands off, and the moment coefficient at zero lift that it betrays; NaN where not known."""

    zero_lift: float = math.nan

    def elevator_at(self, plane: Plane, *, lift: float, cg: float) -> float:
        """Elevator [rad] that holds a lift coefficient with the centre of gravity there [m]; NaN where not known."""
        return where_known(
            trim.elevator_to_trim,
            zero_lift=self.zero_lift,
            lift=lift,
            cg=cg,
            neutral_point=plane.neutral_point_flown,
            chord=plane.chord,
            power=plane.elevator_power,
        )


@dataclass(frozen=True)
class Window:
    """Where the centre of gravity may lie [m]; `forward` is minus infinity, no limit, when the elevator is not known.

    spare: how far ahead of the aft limit what is automatic shall bring it where it can, so that enough builds keep it.
    """

    forward: float
    aft: float
    spare: float = 0.0

    def ahead(self, aft: float) -> float:
        """Give the forward limit to settle by [m]; where no place lies inside the aft one decides: it is dangerous."""
        return min(max(self.forward, -FAR), aft)


@dataclass(frozen=True)
class StateRow:
    """One state with battery and ballast aboard: what `--json` prints of it, in SI; NaN where it is not known."""

    state: State
    mass: float
    cg_x: float
    cg_z: float
    static_margin: float
    landing_speed: float
    elevator: float
    battery_x: float
    ballast: float
    loads: tuple[Load, ...]

    @property
    def name(self) -> str:
        """The state's name."""
        return self.state.name

    @property
    def motor(self) -> str | None:
        """The state's motor."""
        return self.state.motor


@dataclass(frozen=True)
class Balance:
    """All states, the window, and how battery and ballast were settled; NaN where it is not known."""

    window: Window
    trimming: Trimming
    battery_x: float
    ballast: float
    manoeuvre_point: float
    rows: tuple[StateRow, ...]

    def row(self, state: State) -> StateRow:
        """Give this state; it must be one of the flight's."""
        return next(row for row in self.rows if row.state == state)


def trimming(design: Design, flying: Flying) -> Trimming:
    """Find at which speed and elevator the stock model flies hands off, and its moment at zero lift from that."""
    stock, flown = flying.aero.stock, hands_off(design, flying.wing)
    lift = math.nan
    if flown.speed > 0:
        lift = trim.lift_coefficient(
            mass=design.airframe.mass,
            speed=flown.speed,
            density=air_of(design).density,
            area=flying.wing.area,
        )
    zero_lift = where_known(
        trim.zero_lift_moment,
        lift=lift,
        cg=flying.aero.stock_cg_x,
        neutral_point=stock.neutral_point_flown,
        chord=flying.wing.mac,
        power=stock.elevator_power,
        elevator=flown.elevator,
    )
    return Trimming(flown.speed, flown.elevator, flown.origin, zero_lift)


def window(design: Design, flying: Flying, flown: Trimming) -> Window:
    """Give forward and aft limit of the modified model; without a tailplane it is a flying wing."""
    wing, plane, elevator = flying.wing, flying.aero.modified, design.airframe.elevator
    aft = trim.aft_limit(neutral_point=plane.neutral_point_flown, chord=wing.mac, margin=design.limits.least)
    if elevator is None or elevator.up <= 0:
        return Window(-math.inf, aft)
    forward = where_known(
        trim.forward_limit,
        neutral_point=plane.neutral_point_flown,
        chord=wing.mac,
        lift=trim.approach_lift(max_lift=flying.shape.max_lift),
        zero_lift=flown.zero_lift,
        power=plane.elevator_power,
        up=elevator.up,
    )
    return Window(-math.inf if math.isnan(forward) else forward, aft)


def settle(design: Design, rows: tuple[Laden, ...], limits: Window) -> Settled | None:
    """Place battery, ignition pack and ballast for these states; None when the states' places are not known.

    They aim ahead of the aft limit by the window's spare, or by as much of it as there is room for.
    """
    if not rows or not all(math.isfinite(row.sum.mass + row.sum.x) for row in rows):
        return None
    masses, turns, _ = np.array([row.sum for row in rows]).T
    return settle_ahead(masses, turns, limits, shifts_of(design, rows))


@dataclass(frozen=True)
class Shifts:
    """What may be moved, and how much ballast may be added [kg] where [m]."""

    movers: Movers
    ballast: tuple[float, float]
    ballast_x: float


def shifts_of(design: Design, rows: Sequence["Laden | StateRow"]) -> Shifts:
    """Give what may be moved and added in these states."""
    x = design.ballast.x if design.ballast else 0.0
    return Shifts(movers_of(design, [row.state for row in rows]), ballast_range(design), x)


SPARE_STEP = 5e-5  # m: finer than any balance stand


def settle_ahead(
    masses: Floats, moments: Floats, limits: Window, shifts: Shifts, *, step: float = SPARE_STEP
) -> Settled:
    """Settle states of these masses [kg] and moments [kg m] ahead of the aft limit, by the spare or what has room.

    step [m]: how finely the room is found.
    """

    def settled(spare: float) -> Settled:
        aft, ones = limits.aft - spare, np.ones(len(masses))
        return balance.settle(
            loads=Loads(masses, moments, limits.ahead(aft) * ones, aft * ones),
            battery=shifts.movers.mass,
            slide=shifts.movers.slide,
            ballast_x=shifts.ballast_x,
            ballast=shifts.ballast,
        )

    found = settled(0.0)
    if not limits.spare > 0 or not found.feasible:
        return found
    low, high = 0.0, limits.spare
    aimed = settled(high)
    if aimed.feasible:
        return aimed
    while high - low > step:
        middle = (low + high) / 2
        aimed = settled(middle)
        low, high, found = (middle, high, aimed) if aimed.feasible else (low, middle, found)
    return found


def ballast_range(design: Design) -> tuple[float, float]:
    """Give least and most ballast [kg]; alike when it is fixed."""
    ballast = design.ballast
    if ballast is None:
        return 0.0, 0.0
    weighed = weighed_apart(design, "ballast")
    if math.isfinite(weighed):
        return weighed, weighed
    if is_open(ballast.mass):
        return 0.0, first_measured(ballast.most, MOST_BALLAST)
    return ballast.mass, ballast.mass


MOST_BALLAST = 0.5  # kg, when the design names no greatest ballast: far more than any foam jet carries (ours)


def _row(design: Design, flying: Flying, flown: Trimming, laden: Laden, put: "Put") -> StateRow:
    loads = (*laden.loads, *put.loads(design))
    mass, (cg_x, cg_z) = moments(loads).mass, moments(loads).cg
    wing, plane, top = flying.wing, flying.aero.modified, flying.shape.max_lift
    margin = trim.static_margin(cg=cg_x, neutral_point=plane.neutral_point_flown, chord=wing.mac)
    density = air_of(design).density
    speed = where_known(trim.landing_speed, mass=mass, max_lift=top, density=density, area=wing.area)
    elevator = flown.elevator_at(plane, lift=trim.approach_lift(max_lift=top), cg=cg_x)
    return StateRow(laden.state, mass, cg_x, cg_z, margin, speed, elevator, put.battery_x, put.ballast, loads)


@dataclass(frozen=True)
class Put:
    """Where the battery was put, how much ballast [kg], and where an ignition pack whose place was left open.

    A place is NaN where nothing was put.
    """

    battery_x: float
    ballast: float
    pack_x: float = math.nan

    def loads(self, design: Design) -> tuple[Load, ...]:
        """Give them as loads."""
        found = []
        if math.isfinite(self.pack_x):
            found.append(pack_load(design, self.pack_x))
        airframe = design.airframe
        battery = airframe.moving_battery
        if battery and math.isfinite(self.battery_x):
            height = battery_heights(airframe)[1]
            found.append(Load("battery", battery.mass, self.battery_x, height, kind="battery", aboard=MOVED))
        if design.ballast and self.ballast > 0:
            x, z = design.ballast.x, design.ballast.z
            found.append(Load("ballast", self.ballast, x, z, kind="ballast", aboard=ABOARD["ballast"]))
        return tuple(found)


def put_of(design: Design, settled: Settled | None, rows: tuple[Laden, ...]) -> Put:
    """Give where battery, ballast and pack ended; `rows`: the states they were settled for."""
    battery = design.airframe.moving_battery
    if settled is None:
        x = battery_place(battery)[1] if battery and not is_open(battery.x) else math.nan
        return Put(x, ballast_range(design)[0])
    movers = movers_of(design, [row.state for row in rows])
    battery_x, pack_x = movers.apart(settled.battery_x)
    return Put(battery_x if battery else math.nan, settled.ballast, pack_x if movers.pack.mass else math.nan)


def study_balance(design: Design, parts: Parts, flying: Flying, *, apart: Put | None) -> Balance | None:
    """Study all states of a solved design; `apart`: battery and ballast of `no pod`."""
    rows = states(design, parts)
    if not rows:
        return None
    flown = trimming(design, flying)
    limits = window(design, flying, flown)
    common = put_of(design, settle(design, rows, limits), rows)
    table = tuple(_row(design, flying, flown, row, apart if row.state == NO_POD and apart else common) for row in rows)
    point = _manoeuvre_point(design, flying, next(row for row in table if row.state == NO_MOTOR))
    return Balance(limits, flown, common.battery_x, common.ballast, point, table)


def _manoeuvre_point(design: Design, flying: Flying, row: StateRow) -> float:
    """Give the manoeuvre point at this state's mass and place [m aft]."""
    if not math.isfinite(row.cg_x):
        return math.nan
    wing, plane = flying.wing, flying.aero.modified
    return where_known(
        trim.manoeuvre_point,
        neutral_point=plane.neutral_point_flown,
        chord=wing.mac,
        pitch_damping=plane.pitch_damping(row.cg_x),
        density=air_of(design).density,
        area=wing.area,
        mass=row.mass,
    )
