"""What a burn costs in height, by an integration of another kind: places and speeds over the ground, another solver."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from foamworks.errors import PhysicsError
from foamworks.physics.flight import pitch
from foamworks.physics.flight.motor import plain_curve
from one_burn import respond

G = 9.80665
MODEL = pitch.Model(
    speed=33.0,
    density=1.23,
    area=0.15,
    chord=0.17,
    mass=1.0,
    inertia=0.04,
    drag_area=0.007,
    induced=0.07,
    lift_slope=4.3,
    max_lift=1.0,
    stiffness=-0.3,
    damping=-9.5,
    lag=-4.5,
)
TIME, THRUST = plain_curve(impulse=60.0, burn=2.0, peak=45.0)
POD = pitch.Booster(time=TIME, thrust=THRUST, propellant=0.04, length=0.1, aft=0.35, above=0.085, downthrust=0.19)


def over_the_ground(tilt: float) -> tuple[float, float, float]:
    """Height lost [m], path [rad] and speed [m/s] at the end of the curve: Newton's law in axes fixed to the ground."""
    m = MODEL
    half = m.density * m.area / 2
    lift_0 = m.mass * G / (half * m.speed**2)
    cruise = half * m.speed**2 * (m.drag_area / m.area + m.induced * lift_0**2)

    def motion(t: float, y: np.ndarray) -> list[float]:
        _, _, vx, vz, theta, q = y
        speed, path = math.hypot(vx, vz), math.atan2(vz, vx)
        alpha = theta - path
        thrust = float(np.interp(t, TIME, THRUST))
        left = np.interp(t, TIME, np.concatenate([[0.0], np.cumsum(np.diff(TIME) * (THRUST[1:] + THRUST[:-1]) / 2)]))
        gone = POD.propellant * float(left) / 60.0
        mass = m.mass - gone
        ahead, up = POD.aft - POD.length / 2 * math.cos(tilt), POD.above - POD.length / 2 * math.sin(tilt)
        shift = (-gone * ahead / mass, -gone * up / mass)  # of the centre of gravity, aft and up
        inertia = m.inertia - gone * (ahead**2 + up**2) - mass * (shift[0] ** 2 + shift[1] ** 2)
        lift_c = min(max(lift_0 + m.lift_slope * alpha, -m.max_lift), m.max_lift)
        pressure = half * speed**2
        lift, drag = pressure * lift_c, pressure * (m.drag_area / m.area + m.induced * lift_c**2)
        fx = cruise * math.cos(theta) - drag * math.cos(path) - lift * math.sin(path)
        fz = cruise * math.sin(theta) - drag * math.sin(path) + lift * math.cos(path)
        ax = (fx + thrust * math.cos(theta - tilt)) / mass
        az = (fz + thrust * math.sin(theta - tilt)) / mass - G
        turn = (vx * az - vz * ax) / speed**2  # of the path
        moment = pressure * m.chord * m.stiffness * math.sin(alpha)
        moment += half * m.chord**2 / 2 * speed * (m.damping * q + m.lag * (q - turn))
        moment += thrust * ((POD.aft - shift[0]) * math.sin(tilt) - (POD.above - shift[1]) * math.cos(tilt))
        across, lifted = math.cos(theta), math.sin(theta)  # the force at the old centre about the new one
        along, square = fx * across + fz * lifted, -fx * lifted + fz * across
        moment += shift[0] * square + shift[1] * along
        return [vx, vz, ax, az, q, moment / inertia]

    end = solve_ivp(motion, (0.0, float(TIME[-1])), [0, 0, m.speed, 0, 0, 0], rtol=1e-8, atol=1e-9).y[:, -1]
    return -end[1], math.atan2(end[3], end[2]), math.hypot(end[2], end[3])


@pytest.mark.parametrize("error", [-2.0, 0.0, 1.0])
def test_the_height_lost_is_that_of_another_integration(error: float) -> None:
    tilt = POD.downthrust + math.radians(error)
    lost, path, speed = over_the_ground(float(tilt))
    found = respond(MODEL, replace(POD, downthrust=tilt), step=0.025)
    assert float(found.height_lost[0]) == pytest.approx(lost, rel=0.01, abs=0.1)
    assert float(found.path[0]) == pytest.approx(path, rel=0.01, abs=0.002)
    assert float(found.speed[0]) == pytest.approx(speed, rel=0.002)


def test_a_dive_at_constant_speed_is_pulled_out_on_an_arc() -> None:
    """From 60 deg down at 50 m/s and 3 g: the arc of R = V2/(g (n - 1)) takes R (1 - cos 60) = R/2."""
    radius = 50.0**2 / (G * 2)
    asked = pitch.entry_height(lost=20.0, speed=50.0, path=math.radians(-60), load=3.0)
    assert asked == pytest.approx(20 + 50 * math.sin(math.radians(60)) + radius / 2)


def test_a_climb_asks_for_no_pull_out_and_a_wing_that_only_carries_itself_for_an_answer() -> None:
    assert pitch.entry_height(lost=-12.0, speed=50.0, path=0.3, load=4.0) == 0
    assert pitch.entry_height(lost=2.0, speed=50.0, path=0.01, load=4.0) == 2
    with pytest.raises(PhysicsError, match="pull-out"):
        pitch.entry_height(lost=2.0, speed=50.0, path=-0.1, load=1.0)
