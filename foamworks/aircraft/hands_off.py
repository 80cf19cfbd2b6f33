"""How fast does the stock model fly hands off, in which air, and what does its fan do there? SI."""

import math
from dataclasses import dataclass

from foamworks.design.airframe import Fan
from foamworks.design.ladder import level_flights
from foamworks.design.model import Design
from foamworks.errors import not_measured
from foamworks.physics import atmosphere, losses, trim
from foamworks.physics.flight import fan
from foamworks.physics.planform import ReferenceWing
from foamworks.physics.ranges import where_known
from foamworks.units import first_measured

STALL_TO_TRIM = 1.8  # times the stock stall speed, when nobody said how fast it trims (common practice, no source)


@dataclass(frozen=True)
class HandsOff:
    """The stock model flown hands off: speed [m/s], elevator [rad], and where both came from; NaN where not weighed."""

    speed: float = math.nan
    elevator: float = math.nan
    origin: str = ""


@dataclass(frozen=True)
class Intake:
    """The fan's intake at full throttle, at the speed flown hands off: normal force per radian on the wing area.

    x [m] where it stands; NaN where it was not measured: then the force is in no neutral point, but in the bands.
    """

    slope: float
    x: float

    @property
    def measured(self) -> bool:
        """Tell whether its place was measured."""
        return math.isfinite(self.x)


def air_of(design: Design) -> atmosphere.Air:
    """Give the air at the field."""
    return atmosphere.air(altitude=design.field.altitude, temperature=design.field.temperature)


def exit_area(unit: Fan) -> float:
    """Give the jet's area at the exit [m2]: measured, else the annulus that the blades sweep."""
    return first_measured(unit.exit_area, where_known(fan.annulus_area, diameter=unit.diameter, hub=unit.hub))


def hands_off(design: Design, wing: ReferenceWing) -> HandsOff:
    """Find at which speed and elevator the stock model flies hands off."""
    airframe = design.airframe
    if airframe.wing is None or not_measured(airframe.mass):
        return HandsOff()
    if airframe.trim is not None:
        return HandsOff(airframe.trim.speed, airframe.trim.elevator, "airframe.trim")
    level = level_flights(design)
    if level:
        speed = max(level[0].speed - (level[0].wind or 0.0), 0.0)
        return HandsOff(speed, 0.0, f'flight "{level[0].label}", elevator 0')
    stall = trim.speed_at_lift(
        mass=airframe.mass, lift=airframe.wing.max_lift, density=air_of(design).density, area=wing.area
    )
    return HandsOff(STALL_TO_TRIM * stall, 0.0, f"{STALL_TO_TRIM:g} x the stock stall speed, elevator 0")


def intake_of(design: Design, wing: ReferenceWing) -> Intake | None:
    """Find what the intake does; None without a fan whose thrust and size are known."""
    unit, flown = design.airframe.fan, hands_off(design, wing)
    if unit is None or not flown.speed > 0:
        return None
    static, area, density = unit.thrust, exit_area(unit), air_of(design).density
    if not math.isfinite(static + area):
        return None
    thrust = fan.thrust_at_speed(speed=flown.speed, static_thrust=static, exit_area=area, density=density)
    slope = losses.intake_slope(
        thrust=float(thrust), exit_area=area, density=density, speed=flown.speed, area=wing.area
    )
    return Intake(slope, unit.intake.x if unit.intake else math.nan)
