"""Fan and rotor against printed examples of momentum theory."""

import math

import pytest

from foamworks.units import POUND
from routes import open_rotor

FOOT = 0.3048  # m
SLUG_PER_CUBIC_FOOT = 515.378819  # kg/m3
HORSEPOWER = 550 * FOOT * POUND * 9.80665  # W


# Leishman, Principles of Helicopter Aerodynamics, ch. 2 (from memory): 45,000 lb on two rotors of 38 ft, figure of
# merit 0.75, rho 0.002378 slug/ft3: v_h 64.6 ft/s, 2642 hp ideal and 3523 hp per rotor, 7046 hp both
ROTOR = {
    "thrust": 22500 * POUND * 9.80665,
    "area": math.pi / 4 * (38 * FOOT) ** 2,
    "density": 0.002378 * SLUG_PER_CUBIC_FOOT,
}
# McCormick; Leishman; Pereira 2008 (equations from memory), numbers worked out: 10 N, 70 mm, 1.225 kg/m3
CASE = {"thrust": 10.0, "area": math.pi / 4 * 0.07**2, "density": 1.225}


class TestTiltrotorInHover:
    def test_speed_through_the_rotor(self):
        assert open_rotor.hover_speed(**ROTOR) / FOOT == pytest.approx(64.6, rel=0.005)

    @pytest.mark.parametrize(("merit", "horsepower"), [(1.0, 2642), (0.75, 3523)])
    def test_power_per_rotor(self, merit, horsepower):
        power = open_rotor.open_disk_power(**ROTOR, figure_of_merit=merit)
        assert power / HORSEPOWER == pytest.approx(horsepower, rel=0.005)


class TestTenNewtons:
    def test_power_of_the_open_disk(self):
        assert open_rotor.open_disk_power(**CASE) == pytest.approx(325.67, rel=1e-4)

    def test_power_of_the_duct(self):
        assert open_rotor.duct_power(**CASE) == pytest.approx(230.28, rel=1e-4)

    def test_thrust_gained_by_the_duct(self):
        assert open_rotor.duct_gain() == pytest.approx(1.2599, rel=1e-4)

    @pytest.mark.parametrize(("speed", "thrust"), [(0, 10.000), (10, 8.9804), (20, 7.9870), (40, 6.2007)])
    def test_thrust_left_at_speed(self, speed, thrust):
        power = open_rotor.open_disk_power(**CASE)
        left = open_rotor.open_disk_thrust(speed=speed, power=power, area=CASE["area"], density=1.225)
        assert float(left) == pytest.approx(thrust, rel=1e-3)

    def test_duct_power_is_the_power_of_the_jet(self):
        jet = open_rotor.jet_power(static_thrust=10.0, exit_area=CASE["area"], density=1.225)
        assert jet == pytest.approx(open_rotor.duct_power(**CASE))
