"""What was flown, read with what was aboard: outfit, pack, mass, wind, air, and how sure the speed is. SI."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.design.airframe import Flight
from foamworks.design.ladder import Rung, rung_of
from foamworks.design.model import Design
from foamworks.physics import atmosphere
from foamworks.physics.flight import drag, fan
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drive import Drive, drive
from foamworks.study.flight.rungs import on_stock_pack, rung_balance
from foamworks.units import STANDARD_GRAVITY, first_measured, km_h

SPEED_ERROR = 0.02  # of a speed timed out and back: within 3 % nine times in ten (common practice, no source)
WIND_ERROR = 0.30  # of a wind that was not measured at the model (ours)
LEAST_WIND_ERROR = km_h.si(3.0)  # one way is never surer than that (ours)
UNKNOWN_WIND = km_h.si(8.0)  # along a flight one way whose wind nobody noted: a light breeze (ours)
SURE = 1.645  # standard deviations either side that hold nine of ten


@dataclass(frozen=True)
class FlownRun:
    """A flight as it counts: speed through the air [m/s] and its standard error, mass [kg], air [kg/m3], fan and pack.

    A lit motor's flight tells its peak. `unit` is the fan at rest on the pack that was aboard, as measured.
    """

    flight: Flight
    rung: Rung
    speed: float
    error: float
    mass: float
    density: float
    unit: Drive

    @property
    def name(self) -> str:
        """What the builder calls it."""
        return self.flight.label

    @property
    def lit(self) -> bool:
        """Tell whether a motor was lit: the speed is a peak then."""
        return self.rung.is_lit

    @property
    def ended(self) -> bool:
        """Tell whether it did not go as planned: it says nothing sure of the drag then."""
        return self.flight.ended is not None

    @cached_property
    def pressure(self) -> float:
        """Dynamic pressure [Pa]."""
        return drag.dynamic_pressure(speed=self.speed, density=self.density)

    def drag_area(self, model: FanModel, *, speed: float | None = None, thrust: float = 1.0) -> float:
        """Whole drag area [m2] that a level speed means by a fan law, the static thrust times `thrust`."""
        v = self.speed if speed is None else speed
        push = fan.thrust_at_speed(
            speed=v,
            static_thrust=thrust * self.unit.thrust,
            exit_area=self.unit.exit_area,
            density=self.density,
            model=model,
        )
        return float(push) / (self.pressure if speed is None else drag.dynamic_pressure(speed=v, density=self.density))

    def steepness(self, model: FanModel) -> float:
        """Relative change of the drag area that a relative change of the speed means, positive."""
        up, down = (self.drag_area(model, speed=self.speed * (1 + step)) for step in (0.01, -0.01))
        return math.log(max(down, 1e-12) / max(up, 1e-12)) / 0.02


def airspeed(flight: Flight, *, lit: bool = False) -> tuple[float, float]:
    """Give the speed through the air and its standard error [m/s]: a tail wind is taken off a one-way speed."""
    ground = flight.peak if lit else flight.speed
    speed, wind = ground, 0.0
    if flight.wind is not None and flight.one_way is not False:
        speed, wind = ground - flight.wind, max(WIND_ERROR * abs(flight.wind), LEAST_WIND_ERROR)
    elif flight.one_sided or (lit and flight.log is not None):
        wind = UNKNOWN_WIND
    return speed, math.hypot(SPEED_ERROR * ground, wind)


def nothing_left(flight: Flight) -> bool:
    """Tell whether the wind takes all that is sure off a speed."""
    speed, error = airspeed(flight)
    return speed - SURE * error <= 0


def flown_runs(design: Design, balance: Balance | None, flying: Flying) -> tuple[FlownRun, ...]:
    """Give every flight that can be read, in the order typed: on the ladder, the fan known."""
    found = []
    for flight in design.flights:
        rung = rung_of(design, flight)
        unit = drive(design, stock=on_stock_pack(design, flight))
        if rung is None or not unit.pushes or nothing_left(flight):
            continue
        speed, error = airspeed(flight, lit=rung.is_lit)
        stock = first_measured(design.airframe.mass, 0.0)
        mass = rung_balance(design, balance, flying, rung).mass if balance else stock
        altitude = first_measured(flight.altitude, design.field.altitude)
        air = atmosphere.air(altitude=altitude, temperature=design.field.temperature)
        found.append(FlownRun(flight, rung, speed, error, mass, air.density, unit))
    return tuple(found)


def unread(design: Design, runs: Sequence[FlownRun]) -> dict[int, str]:
    """Give, of each flight that could not be read, by its number as typed, why not."""
    read = {id(run.flight) for run in runs}
    return {n: _why_not(design, flight) for n, flight in enumerate(design.flights) if id(flight) not in read}


def _why_not(design: Design, flight: Flight) -> str:
    if rung_of(design, flight) is None:
        return "the design has this flight no more"
    if nothing_left(flight):
        return "the wind takes off all that is sure of it"
    return "the fan's static thrust and its rotor are not both known"


def weight(run: FlownRun) -> float:
    """Weight as flown [N]; 0 when it is not known: the drag of lift is then left out."""
    return run.mass * STANDARD_GRAVITY if math.isfinite(run.mass) else 0.0
