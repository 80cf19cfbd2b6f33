"""How fast level, on what current, for how long; what the new battery brings and costs? SI.

Level speed: fan thrust at speed = drag, full throttle, at the field's air. The current is the one at rest: at speed the
fan unloads a little, so the flight time is on the safe side.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import NO_MOTOR, NO_POD
from foamworks.design.airframe import Pack
from foamworks.design.ladder import Fitted, Fitting
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.parts.density import filament
from foamworks.parts.fitted.fairing import hood_mass
from foamworks.physics import circuit, trim
from foamworks.physics.flight import boost
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drag import CAMERA_PIECE, POWER, Drag, camera_drag, final_outfit, pieces_on
from foamworks.study.flight.drive import Drive, drive, stock_pack
from foamworks.study.flight.flown import SPEED_ERROR, SURE
from foamworks.units import STANDARD_GRAVITY, grams

ESC_MARGIN = 1.3  # controller over measured current (common practice, no source)
EFFLUX: FanModel = "constant efflux"


@dataclass(frozen=True)
class NewPack:
    """What the pack to be flown changes on the finished model: level speed gained, landing speed paid [m/s]."""

    gained: float | None
    paid: float | None
    mass: float


@dataclass(frozen=True)
class Power:
    """The fan on its packs and what it makes of the model; speeds [m/s], None where something was not measured.

    level_stock: the model as weighed, on the stock pack; level: finished, without a motor, on the pack to be flown;
    band: over the flight's error and both fan models; parts: drag area [m2] of each part that is on it;
    fairing_saves: level speed with the fairing, its mass aboard, over the bare box's. current_limit [A]: half the
    printed C rating; throttle: the share of full that keeps the controller's margin.
    """

    drive: Drive | None
    drive_stock: Drive | None
    drag: Drag | None
    modified: float | None
    parts: dict[str, float]
    level_stock: float | None
    level: float | None
    band: tuple[float, float] | None
    fairing_saves: float | None
    flight_time: float | None
    current_limit: float | None
    throttle: float | None
    new_pack: NewPack | None


def level_speed(
    design: Design,
    unit: Drive | None,
    *,
    drag_area: float,
    mass: float,
    induced: float,
    model: FanModel = POWER,
) -> float | None:
    """Fastest level speed [m/s] with a zero-lift drag area [m2] and a mass [kg]; None when fan or drag are not known.

    A mass that is not known leaves the drag due to lift out.
    """
    if unit is None or unit.thrust is None or unit.exit_area is None:
        return None
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
        return None


def study_power(design: Design, drag: Drag | None, balance: Balance | None, flying: Flying | None) -> Power | None:
    """Study fan, battery and level speed; None without a fan, a battery or a flight to study."""
    airframe = design.airframe
    if not airframe.given or (airframe.fan is None and not design.flights):
        return None
    unit, before = drive(design, stock=False), drive(design, stock=True)
    mass = _final_mass(design, balance)
    level = stock = saves = band = modified = None
    parts: dict[str, float] = {}
    if drag is not None:
        outfit, flown = final_outfit(design), drag.flown.rung.fitted if drag.flown else frozenset[Fitting]()
        modified = drag.modified(flown, outfit)
        parts = {name: drag.part(name) for name in pieces_on(outfit, drag.pieces)}
        stock_mass = airframe.mass or math.nan
        stock = level_flown(design, before, drag, outfit=frozenset(), mass=stock_mass)
        level = level_flown(design, unit, drag, outfit=outfit, mass=mass)
        band = level_band(design, unit, drag, outfit=outfit, mass=mass, level=level)
        saves = _fairing_saves(design, unit, drag, outfit, mass)
    battery = airframe.battery
    current = unit.current if unit else None
    capacity = battery.capacity if battery else None
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
        flight_time=circuit.flight_time(capacity=capacity, current=current) if capacity and current else None,
        current_limit=_current_limit(battery),
        throttle=_throttle(airframe.fan.esc if airframe.fan else None, current),
        new_pack=_new_pack(design, before, drag, balance, flying, level),
    )


def level_band(
    design: Design, unit: Drive | None, drag: Drag, *, outfit: Fitted, mass: float, level: float | None
) -> tuple[float, float] | None:
    """Give least and greatest level speed [m/s] that a flight may show: by both fan models, nine times in ten.

    The estimate's own error and the stop watch's.
    """
    if level is None or unit is None:
        return None
    speeds = {
        law: level if law == POWER else level_flown(design, unit, drag, outfit=outfit, mass=mass, model=law)
        for law in (POWER, EFFLUX)
    }
    bands = [
        [speed * math.exp(way * SURE * math.hypot(drag.level_error(unit, outfit, law), SPEED_ERROR)) for way in (-1, 1)]
        for law, speed in speeds.items()
        if speed is not None
    ]
    return min(band[0] for band in bands), max(band[1] for band in bands)


def level_flown(
    design: Design, unit: Drive | None, drag: Drag, *, outfit: Fitted, mass: float, model: FanModel = POWER
) -> float | None:
    """Fastest level speed [m/s] of an outfit by the estimate, the fan with the thrust that was flown."""
    if unit is None:
        return None
    area = drag.zero_lift(outfit, model)
    return level_speed(design, drag.drive(unit, model), drag_area=area, mass=mass, induced=drag.induced, model=model)


def _final_mass(design: Design, balance: Balance | None) -> float:
    if balance is None:
        return math.nan
    return balance.row(NO_MOTOR if design.pod is not None and design.pod.nozzle is not None else NO_POD).mass


def _fairing_saves(design: Design, unit: Drive | None, drag: Drag, outfit: Fitted, mass: float) -> float | None:
    if design.camera is None:
        return None
    if unit is None:
        return None
    scale, flown = drag.fits[POWER].pieces, drag.drive(unit)
    without = drag.zero_lift(outfit) - scale * drag.pieces[CAMERA_PIECE]
    aboard = grams.si(hood_mass(design, filament(design))) if design.camera.at is not None else 0.0
    bare = mass - aboard if design.camera.fairing else mass
    box, faired = (
        level_speed(
            design, flown, drag_area=without + scale * camera_drag(design, faired=on), mass=heavy, induced=drag.induced
        )
        for on, heavy in ((False, bare), (True, bare + aboard))
    )
    return None if box is None or faired is None else faired - box


def _current_limit(pack: Pack | None) -> float | None:
    if pack is None or pack.capacity is None or pack.c_rating is None:
        return None
    return circuit.current_limit(capacity=pack.capacity, c_rating=pack.c_rating)


def _throttle(esc: float | None, current: float | None) -> float | None:
    """Share of full throttle that keeps the controller's margin: the current goes with its square."""
    if esc is None or current is None:
        return None
    return min(1.0, math.sqrt(esc / ESC_MARGIN / current))


def _new_pack(
    design: Design,
    before: Drive | None,
    drag: Drag | None,
    balance: Balance | None,
    flying: Flying | None,
    level: float | None,
) -> NewPack | None:
    """Compare the finished model on the pack to be flown with the same on the stock pack."""
    airframe = design.airframe
    battery, old = airframe.battery, stock_pack(design)
    if battery is None or battery.stock is None or old is None:
        return None
    if battery.mass is None or old.mass is None:
        return None
    mass, change = _final_mass(design, balance), battery.mass - old.mass
    gained = paid = None
    if drag is not None and level is not None:
        slower = level_flown(design, before, drag, outfit=final_outfit(design), mass=mass - change)
        gained = None if slower is None else level - slower
    if flying and mass > change and math.isfinite(mass):
        density, top, area = air_of(design).density, flying.shape.max_lift, flying.wing.area
        now, then = (
            trim.landing_speed(mass=m, max_lift=top, density=density, area=area) for m in (mass, mass - change)
        )
        paid = now - then
    return NewPack(gained, paid, change)
