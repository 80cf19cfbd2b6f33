"""What to expect of each flight, one change at a time, and how the flown ones compare? SI.

The prediction of a rung rests on the last level flight that was flown below it; the stock model's on the build-up from
geometry. A flight flown on a rung replaces its prediction; on a motor's rung its speed is the peak. The design's own
study (boost, power) rests on the first flight alone.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.design.airframe import Flight
from foamworks.design.ladder import Rung, rung_of, rungs
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.physics import trim
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.boost import CLIMB, BoostRun, Flown, flown, fly, motor_curve
from foamworks.study.flight.drag import Drag, FlownRun, airspeed, flown_runs, from_run, study_drag
from foamworks.study.flight.drive import Drive, drive
from foamworks.study.flight.power import level_band, level_speed
from foamworks.study.flight.rungs import rung_balance


@dataclass(frozen=True)
class Step:
    """One rung: mass [kg], CG [m], static margin, speeds [m/s]; None where something was not measured.

    level: full throttle, a motor aboard but not lit; peak: with it lit, level, and climbing at 30 degrees; bands: least
    and greatest. basis: what the prediction rests on. flown: speed of the last flight on this rung, through the air.
    """

    rung: Rung
    mass: float
    cg_x: float
    cg_z: float
    static_margin: float | None
    landing: float | None
    level: float | None
    level_band: tuple[float, float] | None
    peak: float | None
    peak_band: tuple[float, float] | None
    peak_climbing: float | None
    basis: str
    flight: str | None
    flown: float | None

    @property
    def predicted(self) -> float | None:
        """The speed that a flight on this rung measures."""
        return self.level if self.rung.lit is None else self.peak

    @property
    def speed(self) -> float | None:
        """The best that is known of that speed: flown, else predicted."""
        return self.predicted if self.flown is None else self.flown

    @property
    def difference(self) -> float | None:
        """Flown less predicted."""
        return None if self.flown is None or self.predicted is None else self.flown - self.predicted


def study_ladder(
    design: Design, parts: Parts, *, aero: Aero | None, wing: ReferenceWing | None, balance: Balance | None
) -> tuple[Step, ...]:
    """Climb the ladder; empty when the model was not weighed or has no wing."""
    if aero is None or wing is None or balance is None:
        return ()
    # a stock model that was not flown, or not yet, is built up from its geometry
    drag = study_drag(design.model_copy(update={"flights": ()}), parts, aero, wing, balance)
    runs, measured = flown_runs(design), study_drag(design, parts, aero, wing, balance)
    basis, found = "build-up", []
    for rung in rungs(design):
        found.append(_step(design, aero, wing, balance, rung, drag, basis))
        own = [run for run in runs if run.rung == rung]
        if own and measured is not None:
            drag, basis = _after(own[-1], design, measured, balance), f'flight "{own[-1].name}"'
    return tuple(found)


def _after(run: FlownRun, design: Design, drag: Drag, balance: Balance) -> Drag:
    """Give the drag as this flight has it."""
    return from_run(run, design, pieces=drag.pieces, induced=drag.induced, balance=balance)


def _step(
    design: Design, aero: Aero, wing: ReferenceWing, balance: Balance, rung: Rung, drag: Drag | None, basis: str
) -> Step:
    state = rung_balance(design, balance, aero, wing, rung)
    mass = state.mass
    unit = drive(design, stock="battery" not in rung.fitted)
    level = band = None
    if drag is not None:
        level = level_speed(design, unit, drag_area=drag.zero_lift(rung.fitted), mass=mass, induced=drag.induced)
        band = level_band(design, unit, drag, outfit=rung.fitted, mass=mass, level=level)
    run, climbing = _runs(design, rung, mass, drag, unit)
    flight = _flight_on(design, rung)
    return Step(
        rung=rung,
        mass=mass,
        cg_x=state.cg_x,
        cg_z=state.cg_z,
        static_margin=state.static_margin,
        landing=_landing(design, wing, mass),
        level=level,
        level_band=band,
        peak=run.peak if run else None,
        peak_band=run.band if run else None,
        peak_climbing=climbing.peak if climbing else None,
        basis=basis,
        flight=flight.label if flight else None,
        flown=airspeed(flight)[0] if flight else None,
    )


def _runs(
    design: Design, rung: Rung, mass: float, drag: Drag | None, unit: Drive | None
) -> tuple[BoostRun | None, BoostRun | None]:
    """Fly the rung's motor level and up a slope."""
    if rung.lit is None or drag is None:
        return None, None
    start: Flown | None = flown(design, rung.lit, mass=mass, drag=drag, outfit=rung.fitted, unit=unit)
    if start is None:
        return None, None
    curve = motor_curve(design, rung.lit)
    return fly(start, curve), fly(start, curve, climb=CLIMB, bounds=False)


def _flight_on(design: Design, rung: Rung) -> Flight | None:
    """Give the last flight on a rung whose speed through the air is known."""
    found = None
    for flight in design.flights:
        own = rung_of(design, flight)
        if own == rung and airspeed(flight)[1][0] > 0:
            found = flight
    return found


def _landing(design: Design, wing: ReferenceWing, mass: float) -> float | None:
    shape = design.airframe.wing if design.airframe else None
    if shape is None or not math.isfinite(mass):
        return None
    return trim.landing_speed(mass=mass, max_lift=shape.max_lift, density=air_of(design).density, area=wing.area)
