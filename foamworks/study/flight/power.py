"""How fast level, on what current, for how long; what the new battery brings and costs? SI.

Level speed: fan thrust at speed = drag, full throttle, at the field's air. The current is the one at rest: at speed the
fan unloads a little, so the flight time is on the safe side.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.design.airframe import Fan, Pack
from foamworks.design.ladder import NO_MOTOR, NO_POD, Fitted, Fitting, has_pod
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.parts.density import filament
from foamworks.parts.fitted.fairing import hood_mass
from foamworks.physics import circuit, trim
from foamworks.physics.flight import boost
from foamworks.physics.flight.fan import FanModel
from foamworks.physics.ranges import where_known
from foamworks.study.flight.drag import POWER, Drag, camera_drag, final_outfit, pieces_on
from foamworks.study.flight.drive import Drive, drive, stock_pack
from foamworks.study.flight.flown import SPEED_ERROR, SURE
from foamworks.units import STANDARD_GRAVITY, grams

ESC_MARGIN = 1.3  # controller over measured current (common practice, no source)
NO_WORD = 0.5  # error of a level speed, as a logarithm, from which on its band says nothing (ours)
EFFLUX: FanModel = "constant efflux"
Band = tuple[float, float]  # least and greatest; NaN where they are not known


@dataclass(frozen=True)
class NewPack:
    """What the pack to be flown changes on the finished model: level speed gained, landing speed paid [m/s]."""

    gained: float = math.nan
    paid: float = math.nan
    mass: float = math.nan


@dataclass(frozen=True)
class Power:
    """The fan on its packs and what it makes of the model; speeds [m/s], NaN where something was not measured.

    level_stock: the model as weighed, on the stock pack; level: finished, without a motor, on the pack to be flown;
    band: over the flight's error and both fan models; parts: drag area [m2] of each part that is on it;
    fairing_saves: level speed with the fairing, its mass aboard, over the bare box's. current_limit [A]: half the
    printed C rating; throttle: the share of full that keeps the controller's margin.
    """

    drive: Drive
    drive_stock: Drive
    drag: Drag | None
    modified: float
    parts: dict[str, float]
    level_stock: float
    level: float
    band: Band
    fairing_saves: float
    flight_time: float
    current_limit: float
    throttle: float
    new_pack: NewPack


def level_speed(
    design: Design,
    unit: Drive,
    *,
    drag_area: float,
    mass: float,
    induced: float,
    model: FanModel = POWER,
) -> float:
    """Fastest level speed [m/s] with a zero-lift drag area [m2] and a mass [kg]; NaN when fan or drag are not known.

    A mass that is not known leaves the drag due to lift out.
    """
    known = math.isfinite(mass) and mass > 0
    try:
        return boost.level_speed(
            drag_area=drag_area,
            weight=mass * STANDARD_GRAVITY if known else STANDARD_GRAVITY,
            density=air_of(design).density,
            static_thrust=unit.thrust,
            exit_area=unit.exit_area,
            induced_factor=induced if known else 0.0,
            fan_model=model,
        )
    except PhysicsError:  # the fan does not hold it level, or the flown drag is less than its parts': a finding says so
        return math.nan


def study_power(design: Design, drag: Drag | None, balance: Balance | None, flying: Flying | None) -> Power | None:
    """Study fan, battery and level speed; None without a fan, a battery or a flight to study."""
    airframe = design.airframe
    if not airframe.given or (airframe.fan is None and not design.flights):
        return None
    unit, before = drive(design, stock=False), drive(design, stock=True)
    mass = _final_mass(design, balance)
    level = stock = saves = modified = math.nan
    band: Band = (math.nan, math.nan)
    parts: dict[str, float] = {}
    if drag:
        outfit, flown = final_outfit(design), drag.flown.rung.fitted if drag.flown else frozenset[Fitting]()
        modified = drag.modified(flown, outfit)
        pieces = pieces_on(outfit, drag.pieces)
        parts = {f"change {one + 1}" if isinstance(one, int) else one: drag.part(one) for one in pieces}
        stock = level_flown(design, before, drag, outfit=frozenset(), mass=airframe.mass)
        level = level_flown(design, unit, drag, outfit=outfit, mass=mass)
        band = level_band(design, unit, drag, outfit=outfit, mass=mass, level=level)
        saves = _fairing_saves(design, unit, drag, outfit, mass)
    battery, fan = airframe.battery or Pack(), airframe.fan or Fan()
    capacity = battery.capacity
    return Power(
        drive=unit,
        drive_stock=before,
        drag=drag,
        modified=modified,
        parts=parts,
        level_stock=stock,
        level=level,
        band=band,
        fairing_saves=saves,
        flight_time=where_known(circuit.flight_time, capacity=capacity, current=unit.current),
        current_limit=where_known(circuit.current_limit, capacity=capacity, c_rating=battery.c_rating),
        throttle=min(math.sqrt(fan.esc / ESC_MARGIN / unit.current), 1.0),  # the current goes with its square
        new_pack=_new_pack(design, before, drag, balance, flying, level),
    )


def level_band(design: Design, unit: Drive, drag: Drag, *, outfit: Fitted, mass: float, level: float) -> Band:
    """Give least and greatest level speed [m/s] that a flight may show: by both fan models, nine times in ten.

    The estimate's own error and the stop watch's; NaN where that error says no more than the order of the speed.
    """
    speeds = {
        law: level if law == POWER else level_flown(design, unit, drag, outfit=outfit, mass=mass, model=law)
        for law in (POWER, EFFLUX)
    }
    errors = {law: math.hypot(drag.level_error(unit, outfit, law), SPEED_ERROR) for law in speeds}
    bands = [
        [speed * math.exp(way * SURE * errors[law]) for way in (-1, 1)]
        for law, speed in speeds.items()
        if errors[law] < NO_WORD and (math.isfinite(speed) or law == POWER)
    ]
    if not bands:
        return math.nan, math.nan
    return min(band[0] for band in bands), max(band[1] for band in bands)


def level_flown(
    design: Design, unit: Drive, drag: Drag, *, outfit: Fitted, mass: float, model: FanModel = POWER
) -> float:
    """Fastest level speed [m/s] of an outfit by the estimate, the fan with the thrust that was flown."""
    area = drag.zero_lift(outfit, model)
    return level_speed(design, drag.drive(unit, model), drag_area=area, mass=mass, induced=drag.induced, model=model)


def _final_mass(design: Design, balance: Balance | None) -> float:
    return balance.row(NO_MOTOR if has_pod(design) else NO_POD).mass if balance else math.nan


def _fairing_saves(design: Design, unit: Drive, drag: Drag, outfit: Fitted, mass: float) -> float:
    if design.camera is None:
        return math.nan
    scale, flown = drag.fits[POWER].pieces, drag.drive(unit)
    without = drag.zero_lift(outfit) - scale * drag.pieces["camera"]
    aboard = grams.si(hood_mass(design, filament(design))) if design.camera.at else 0.0
    bare = mass - aboard if design.camera.fairing else mass
    box, faired = (
        level_speed(
            design, flown, drag_area=without + scale * camera_drag(design, faired=on), mass=heavy, induced=drag.induced
        )
        for on, heavy in ((False, bare), (True, bare + aboard))
    )
    return faired - box


def _new_pack(
    design: Design,
    before: Drive,
    drag: Drag | None,
    balance: Balance | None,
    flying: Flying | None,
    level: float,
) -> NewPack:
    """Compare the finished model on the pack to be flown with the same on the stock pack."""
    battery, old = design.airframe.battery, stock_pack(design)
    if not (battery and battery.stock and old):
        return NewPack()
    mass, change = _final_mass(design, balance), battery.mass - old.mass
    gained = paid = math.nan
    if drag and math.isfinite(change):
        gained = level - level_flown(design, before, drag, outfit=final_outfit(design), mass=mass - change)
    if flying and mass > change and math.isfinite(mass):
        density, top, area = air_of(design).density, flying.shape.max_lift, flying.wing.area
        now, then = (
            trim.landing_speed(mass=m, max_lift=top, density=density, area=area) for m in (mass, mass - change)
        )
        paid = now - then
    return NewPack(gained, paid, change)
