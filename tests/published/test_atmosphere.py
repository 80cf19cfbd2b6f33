"""Printed digits of the standard atmosphere, ISO 2533:1975 / ICAO Doc 7488 (constants read, table from memory)."""

import pytest

from foamworks.physics import atmosphere

# geopotential H m: T K, p Pa, rho kg/m3, a m/s, mu Pa s, nu m2/s
TABLE = [
    (0, 288.15, 101325, 1.2250, 340.294, 1.7894e-5, 1.4607e-5),
    (500, 284.90, 95460.8, 1.16727, 338.369, 1.7737e-5, 1.5195e-5),
    (1000, 281.65, 89874.6, 1.11164, 336.434, 1.7578e-5, 1.5813e-5),
    (2000, 275.15, 79495.2, 1.00649, 332.529, 1.7260e-5, 1.7148e-5),
]
EXTREMES = [(-500, 107478, 1.28489), (3000, 70108.5, 0.909122), (11000, 22632.0, 0.363918)]


@pytest.mark.parametrize(("altitude", "temperature", "pressure", "density", "sound", "mu", "nu"), TABLE)
def test_air_agrees_with_the_printed_table(
    altitude: float, temperature: float, pressure: float, density: float, sound: float, mu: float, nu: float
) -> None:
    air = atmosphere.air(altitude=altitude)
    assert air.temperature == pytest.approx(temperature, abs=5e-3)
    assert air.pressure == pytest.approx(pressure, rel=2e-6)
    assert air.density == pytest.approx(density, rel=5e-6)
    assert air.speed_of_sound == pytest.approx(sound, abs=1e-3)
    assert air.viscosity == pytest.approx(mu, rel=1e-4)
    assert air.kinematic_viscosity == pytest.approx(nu, rel=1e-4)


@pytest.mark.parametrize(("altitude", "pressure", "density"), EXTREMES)
def test_air_agrees_with_the_printed_extremes(altitude: float, pressure: float, density: float) -> None:
    air = atmosphere.air(altitude=altitude)
    assert air.pressure == pytest.approx(pressure, rel=1e-5)
    assert air.density == pytest.approx(density, rel=1e-5)
