"""What to expect of each flight, one change at a time, and how the flown ones compare? SI.

What is said of every flight rests on all that was flown. Beside it stands, of a flown one, what was predicted before:
by the flights below it alone (the stock model's by the build-up). One that was flown outside that band, and is neither
explained nor accepted, holds the ladder: none above it is cleared.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.design.airframe import Flight
from foamworks.design.ladder import Rung, rungs
from foamworks.design.model import Design
from foamworks.parts.base import ABOARD
from foamworks.physics import trim
from foamworks.physics.ranges import where_known
from foamworks.study.flight.boost import CLIMB, DIVE, BoostRun, Flown, flown, fly, motor_curve
from foamworks.study.flight.burn import Burn
from foamworks.study.flight.drag import Drag
from foamworks.study.flight.drive import Drive, drive
from foamworks.study.flight.gyro import clean_gain
from foamworks.study.flight.power import Band, level_band, level_flown
from foamworks.study.flight.rungs import RungBalance, plane_on, rung_balance, state_before


@dataclass(frozen=True)
class Expected:
    """What a flight is expected to measure: level and peak [m/s] with their bands, NaN unknown; what that rests on."""

    level: float
    level_band: Band
    run: BoostRun | None
    climbing: BoostRun | None
    basis: str

    def speed(self, *, lit: bool) -> float:
        """The speed that the flight measures."""
        if not lit:
            return self.level
        return self.run.peak if self.run else math.nan

    def band(self, *, lit: bool) -> Band:
        """Its band."""
        if not lit:
            return self.level_band
        return self.run.band if self.run and self.run.band[0] > 0 else (math.nan, math.nan)


@dataclass(frozen=True, kw_only=True)
class Step(RungBalance):
    """One rung: how it leaves the ground, what is aboard, speeds [m/s]; NaN where it was not measured.

    now: by all flights; before: by those below it, what a flown one is held to. elevator [rad] at landing, battery_x
    [m], ballast [kg], gyro gain [percent] for its speed. flight, flown: the last on this rung and its speed through the
    air. cleared: nothing below holds it.
    """

    rung: Rung
    landing: float
    elevator: float
    battery_x: float
    ballast: float
    gyro_gain: float
    now: Expected
    before: Expected
    flight: Flight | None
    flown: float
    cleared: bool

    @property
    def lit(self) -> bool:
        """Tell whether a motor is lit, and the speed a peak."""
        return self.rung.is_lit

    @property
    def is_flown(self) -> bool:
        """Tell whether it was flown."""
        return self.flight is not None

    @property
    def predicted(self) -> float:
        """The speed that was predicted before it was flown; of one still to fly, what is expected now."""
        return self.before.speed(lit=self.lit)

    @property
    def predicted_band(self) -> Band:
        """Its band."""
        return self.before.band(lit=self.lit)

    @property
    def speed(self) -> float:
        """The best that is known of that speed: flown, else predicted."""
        return self.flown if self.is_flown else self.predicted

    @property
    def difference(self) -> float:
        """Flown less predicted."""
        return self.flown - self.predicted

    @property
    def holds(self) -> bool:
        """Tell whether it was flown outside its band, neither explained nor accepted."""
        (low, high), flight = self.predicted_band, self.flight
        explained = flight is None or flight.accepted or flight.ended is not None
        return not explained and (self.flown < low or self.flown > high)


def study_ladder(
    design: Design, flying: Flying | None, balance: Balance | None, burn: Burn, *, only_flown: bool = False
) -> tuple[Step, ...]:
    """Climb the ladder, with the drag by all flights; empty when the model was not weighed or has no wing.

    only_flown: no more than the rungs that were flown.
    """
    drag = burn.drag
    if not (flying and balance and drag):
        return ()
    runs, ladder, battery = drag.runs, rungs(design), design.airframe.battery
    stock_place = battery.weighed_at if battery else math.nan

    found: list[Step] = []
    for number, rung in enumerate(ladder):
        own = [run for run in runs if run.rung == rung]
        if only_flown and not own:
            continue
        state = rung_balance(design, balance, flying, rung)
        now = before = _expected(design, rung, state.mass, drag, burn.dives)
        if own:
            below = tuple(run for run in runs if ladder.index(run.rung) < number)
            before = _expected(design, rung, state.mass, drag.again(below), burn.dives)
        place = state_before(balance, rung)
        settled = bool(rung.fitted & ABOARD["ballast"].needs)
        flown_at = own[-1].speed if own else math.nan
        speed = flown_at if own else now.speed(lit=rung.is_lit)
        found.append(
            Step(
                **vars(state),
                rung=rung,
                landing=_landing(design, flying, state.mass),
                elevator=_elevator(design, balance, flying, rung, state.cg_x),
                battery_x=place.battery_x if "battery" in rung.fitted else stock_place,
                ballast=place.ballast if settled else 0.0,
                gyro_gain=clean_gain(design.gyro.clean, speed) if design.gyro else math.nan,
                now=now,
                before=before,
                flight=own[-1].flight if own else None,
                flown=flown_at,
                cleared=not any(step.holds for step in found),
            )
        )
    return tuple(found)


def _elevator(design: Design, balance: Balance, flying: Flying, rung: Rung, cg_x: float) -> float:
    """Give the elevator [rad] that holds the landing approach; NaN without an elevator or a flown trim."""
    lift = trim.approach_lift(max_lift=flying.shape.max_lift)
    return balance.trimming.elevator_at(plane_on(design, flying.aero, rung), lift=lift, cg=cg_x)


def _expected(design: Design, rung: Rung, mass: float, drag: Drag, dives: Mapping[str, float]) -> Expected:
    unit = drive(design, stock="battery" not in rung.fitted)
    level = level_flown(design, unit, drag, outfit=rung.fitted, mass=mass)
    band = level_band(design, unit, drag, outfit=rung.fitted, mass=mass, level=level)
    run, climbing = _runs(design, rung, mass, drag, unit, dives)
    return Expected(level, band, run, climbing, drag.basis)


def _runs(
    design: Design, rung: Rung, mass: float, drag: Drag, unit: Drive, dives: Mapping[str, float]
) -> tuple[BoostRun | None, BoostRun | None]:
    """Fly the rung's motor level and up a slope."""
    if rung.lit is None:
        return None, None
    start: Flown | None = flown(design, rung.lit, mass=mass, drag=drag, outfit=rung.fitted, unit=unit)
    if start is None:
        return None, None
    curve = motor_curve(design, rung.lit)
    dive = dives.get(rung.lit.name, DIVE)
    return fly(start, curve, dive=dive), fly(start, curve, climb=CLIMB)


def _landing(design: Design, flying: Flying, mass: float) -> float:
    density, top = air_of(design).density, flying.shape.max_lift
    return where_known(trim.landing_speed, mass=mass, max_lift=top, density=density, area=flying.wing.area)
