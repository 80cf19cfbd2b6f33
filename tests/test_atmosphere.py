"""Air at the field: the actual temperature thins it, the pressure stays the standard one, impossible air is refused."""

import math

import pytest

from foamworks.errors import PhysicsError
from foamworks.physics import atmosphere


def test_standard_temperature_given_by_hand_changes_nothing() -> None:
    assert atmosphere.air(altitude=1000, temperature=281.65) == atmosphere.air(altitude=1000)


def test_a_hot_day_keeps_the_pressure_and_thins_the_air_as_the_temperature_rises() -> None:
    cold, hot = atmosphere.air(altitude=600, temperature=263.15), atmosphere.air(altitude=600, temperature=313.15)
    assert hot.pressure == cold.pressure
    assert hot.density / cold.density == pytest.approx(263.15 / 313.15, rel=1e-12)
    assert hot.speed_of_sound / cold.speed_of_sound == pytest.approx(math.sqrt(313.15 / 263.15), rel=1e-12)


def test_pressure_falls_by_the_weight_of_the_air_above() -> None:
    step = 1.0
    below, above = atmosphere.air(altitude=800 - step), atmosphere.air(altitude=800 + step)
    weight = atmosphere.air(altitude=800).density * 9.80665 * 2 * step
    assert below.pressure - above.pressure == pytest.approx(weight, rel=1e-6)


@pytest.mark.parametrize("altitude", [-5001, 11001, math.nan, math.inf])
def test_altitude_outside_the_table_is_refused(altitude: float) -> None:
    with pytest.raises(PhysicsError, match=r"altitude = .* within -5000 and 11000 m"):
        atmosphere.air(altitude=altitude)


@pytest.mark.parametrize("temperature", [-20.0, 15.0, 500.0, math.nan])
def test_temperature_that_is_no_kelvin_is_refused(temperature: float) -> None:
    with pytest.raises(PhysicsError, match=r"temperature = .* K"):
        atmosphere.air(temperature=temperature)


@pytest.mark.parametrize("pressure", [0.0, -1.0, math.nan, math.inf])
def test_pressure_that_cannot_be_is_refused(pressure: float) -> None:
    with pytest.raises(PhysicsError, match=r"pressure = .* above 0"):
        atmosphere.density(pressure=pressure, temperature=288.15)
