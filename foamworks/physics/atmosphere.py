"""What the air is like at the field: pressure, density, speed of sound and viscosity. SI; altitude is geopotential.

The standard atmosphere up to the tropopause, with one liberty: the *pressure* is the standard one at the altitude, the
*temperature* may be the one read at the field. Density then is that of the actual air (a hot day thins it).
Weather moves the pressure by about 3 % either way and moisture the density by less than 1 %; neither is modelled.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from foamworks.errors import PhysicsError

# ISO 2533:1975 / ICAO Doc 7488, section 2; the same digits in both.
STANDARD_PRESSURE = 101325.0  # Pa at altitude 0
STANDARD_TEMPERATURE = 288.15  # K at altitude 0
LAPSE = -0.0065  # K/m below the tropopause
GRAVITY = 9.80665  # m/s2
GAS_CONSTANT = 287.05287  # J/(kg K), dry air
HEAT_RATIO = 1.4  # cp/cv
SUTHERLAND_FACTOR = 1.458e-6  # kg/(m s sqrt(K))
SUTHERLAND_TEMPERATURE = 110.4  # K

LOWEST_ALTITUDE = -5000.0  # m, where the printed tables begin
TROPOPAUSE = 11000.0  # m, where the constant lapse ends
COLDEST, HOTTEST = 150.0, 400.0  # K, wider than any air a model flies in; Sutherland's law holds well beyond


@dataclass(frozen=True)
class Air:
    """Air at one place: pressure [Pa], temperature [K], density [kg/m3], speed of sound [m/s], viscosity [Pa s]."""

    pressure: float
    temperature: float
    density: float
    speed_of_sound: float
    viscosity: float

    @property
    def kinematic_viscosity(self) -> float:
        """Viscosity over density [m2/s]."""
        return self.viscosity / self.density


@lru_cache(maxsize=64)  # asked for again by every formula
def air(*, altitude: float = 0.0, temperature: float | None = None) -> Air:
    """Air at a geopotential altitude [m], -5000 to 11000, and an actual temperature [K], 150 to 400.

    Without a temperature it is the standard one. Source: ISO 2533:1975; density by the gas law at the actual
    temperature.

    >>> round(air(altitude=1000).density, 5)
    1.11164
    >>> round(air(temperature=303.15).density, 4)
    1.1644
    """
    pressure = standard_pressure(altitude=altitude)
    actual = standard_temperature(altitude=altitude) if temperature is None else temperature
    return Air(
        pressure=pressure,
        temperature=actual,
        density=density(pressure=pressure, temperature=actual),
        speed_of_sound=speed_of_sound(temperature=actual),
        viscosity=viscosity(temperature=actual),
    )


def standard_temperature(*, altitude: float) -> float:
    """Standard temperature [K] at a geopotential altitude [m], -5000 to 11000. Source: ISO 2533:1975.

    >>> round(standard_temperature(altitude=2000), 2)
    275.15
    """
    if not LOWEST_ALTITUDE <= altitude <= TROPOPAUSE:
        raise PhysicsError(f"altitude = {altitude:g} m: must lie within {LOWEST_ALTITUDE:g} and {TROPOPAUSE:g} m")
    return STANDARD_TEMPERATURE + LAPSE * altitude


def standard_pressure(*, altitude: float) -> float:
    """Standard pressure [Pa] at a geopotential altitude [m], -5000 to 11000. Source: ISO 2533:1975.

    >>> round(standard_pressure(altitude=11000))
    22632
    """
    ratio = standard_temperature(altitude=altitude) / STANDARD_TEMPERATURE
    return STANDARD_PRESSURE * math.pow(ratio, -GRAVITY / (LAPSE * GAS_CONSTANT))


def density(*, pressure: float, temperature: float) -> float:
    """Density of dry air [kg/m3] at a pressure [Pa] above 0 and a temperature [K]. Source: ideal gas law."""
    if not 0 < pressure < math.inf:
        raise PhysicsError(f"pressure = {pressure:g} Pa: must be above 0")
    return pressure / (GAS_CONSTANT * _checked(temperature))


def speed_of_sound(*, temperature: float) -> float:
    """Speed of sound [m/s] at a temperature [K]. Source: ISO 2533:1975, a = sqrt(gamma R T)."""
    return math.sqrt(HEAT_RATIO * GAS_CONSTANT * _checked(temperature))


def viscosity(*, temperature: float) -> float:
    """Dynamic viscosity [Pa s] at a temperature [K]. Source: Sutherland's law as in ISO 2533:1975."""
    return SUTHERLAND_FACTOR * math.pow(_checked(temperature), 1.5) / (temperature + SUTHERLAND_TEMPERATURE)


def _checked(temperature: float) -> float:
    if not COLDEST <= temperature <= HOTTEST:
        raise PhysicsError(f"temperature = {temperature:g} K: must lie within {COLDEST:g} and {HOTTEST:g} K")
    return temperature
