"""Pitching through a burn: against linear theory, published modes, conserved energy, signs and limits."""

import math
import time
from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm, logm

from foamworks.errors import PhysicsError
from foamworks.physics.flight import fan, motor, pitch, thrust_line
from foamworks.units import POUND, STANDARD_GRAVITY
from one_burn import respond

FOOT = 0.3048  # m
SLUG = POUND * STANDARD_GRAVITY / FOOT  # kg
JET = pitch.Model(
    speed=34.0, density=1.2, area=0.155, chord=0.172, mass=0.93, inertia=0.03, drag_area=0.0085, induced=0.07,
    lift_slope=4.4, max_lift=1.05, stiffness=-0.5, damping=-9.0, lag=-3.0, elevator_lift=0.4, elevator_moment=-1.0,
    elevator_up=0.35, elevator_down=0.24, fan=fan.thrust_table(static_thrust=11.5, exit_area=0.0027, density=1.2),
)  # fmt: skip
D_TIME, D_THRUST = motor.plain_curve(impulse=17.0, burn=1.7, peak=29.0)
F_TIME, F_THRUST = motor.plain_curve(impulse=68.0, burn=2.2, peak=48.0)
D_POD = pitch.Booster(
    time=D_TIME, thrust=D_THRUST, propellant=0.021, length=0.07, aft=0.36, above=0.085, downthrust=math.radians(10)
)
F_POD = replace(D_POD, time=F_TIME, thrust=F_THRUST, propellant=0.038, length=0.098)


class TestNavion:
    """Nelson, Flight Stability and Automatic Control, 2nd ed., Ex. 4.3 and Table B.1 (from memory).

    W 2750 lb, S 184 ft2, c 5.7 ft, Iy 3000 slug ft2, 176 ft/s, rho 0.002377, C_L 0.41 C_D 0.05 C_La 4.44 C_Da 0.33
    C_ma -0.683 C_madot -4.36 C_mq -9.96: phugoid -0.0171 +- 0.213i, short period -2.5 +- 2.59i per second.
    A steady moment of 10 N m from a small thrust high below the axis is the step; it turns the model by a milliradian.
    """

    SPEED, DENSITY = 176 * FOOT, 0.002377 * SLUG / FOOT**3
    AREA, CHORD, MASS, INERTIA = 184 * FOOT**2, 5.7 * FOOT, 2750 * POUND, 3000 * SLUG * FOOT**2
    DRAG, SLOPE, DRAG_SLOPE, STIFF, LAG, DAMP = 0.05, 4.44, 0.33, -0.683, -4.36, -9.96
    PRESSURE = DENSITY * SPEED**2 / 2
    LIFT = MASS * STANDARD_GRAVITY / (PRESSURE * AREA)  # 0.406; the book rounds to 0.41
    STEP = 0.05

    def _flown(self, seconds):
        induced = self.DRAG_SLOPE / (2 * self.LIFT * self.SLOPE)
        model = pitch.Model(
            speed=self.SPEED, density=self.DENSITY, area=self.AREA, chord=self.CHORD, mass=self.MASS,
            inertia=self.INERTIA, drag_area=self.AREA * (self.DRAG - induced * self.LIFT**2), induced=induced,
            lift_slope=self.SLOPE, max_lift=1.5, stiffness=self.STIFF, damping=self.DAMP, lag=self.LAG,
        )  # fmt: skip
        booster = pitch.Booster(
            time=[0.0, seconds], thrust=[1.0, 1.0], propellant=0.0, length=0.0, aft=0.0, above=-10.0, downthrust=0.0
        )
        flown = respond(model, booster, step=self.STEP, after=0.0)
        return np.stack([flown.forward - self.SPEED, flown.down, flown.rate, flown.attitude], axis=1)[:, :, 0]

    def _linear(self):
        """Nelson's dimensional derivatives and matrix, and the step's column."""
        force = self.PRESSURE * self.AREA / (self.MASS * self.SPEED)
        turn = self.PRESSURE * self.AREA * self.CHORD / self.INERTIA
        x_u, x_w = -2 * self.DRAG * force, (self.LIFT - self.DRAG_SLOPE) * force
        z_u, z_w = -2 * self.LIFT * force, -(self.SLOPE + self.DRAG) * force
        m_w, half = self.STIFF * turn / self.SPEED, self.CHORD / (2 * self.SPEED)
        m_lag, m_q = self.LAG * half * turn / self.SPEED, self.DAMP * half * turn
        matrix = np.array(
            [
                [x_u, x_w, 0.0, -STANDARD_GRAVITY],
                [z_u, z_w, self.SPEED, 0.0],
                [m_lag * z_u, m_w + m_lag * z_w, m_q + m_lag * self.SPEED, 0.0],
                [0.0, 0.0, 1.0, 0.0],
            ]
        )
        return matrix, np.array([1.0 / self.MASS, 0.0, 10.0 / self.INERTIA, 0.0])

    def _modes(self, rows):
        """Eigenvalues per second of the map from one row to the next, by least squares."""
        before = np.column_stack([rows[:-1], np.ones(len(rows) - 1)])
        scale = np.abs(before).max(axis=0)
        step = np.linalg.lstsq(before / scale, rows[1:] / scale[:4], rcond=None)[0][:4].T
        values = np.linalg.eigvals(logm(step)) / self.STEP
        return sorted(values[values.imag > 0], key=abs)

    @pytest.mark.parametrize("seconds", [4.0, 60.0])
    def test_a_small_step_follows_linear_theory(self, seconds):
        rows = self._flown(seconds)
        matrix, column = self._linear()
        whole = np.zeros((5, 5))
        whole[:4, :4], whole[:4, 4] = matrix, column
        for row in range(0, len(rows), 20):
            expected = (expm(whole * row * self.STEP) @ [0, 0, 0, 0, 1])[:4]
            assert (np.abs(rows[row] - expected) <= 0.02 * np.abs(rows).max(axis=0)).all()

    def test_the_modes_are_those_of_the_linear_matrix(self):
        phugoid, short = self._modes(self._flown(30.0))
        expected = sorted((v for v in np.linalg.eigvals(self._linear()[0]) if v.imag > 0), key=abs)
        assert phugoid == pytest.approx(expected[0], rel=0.005)
        assert short == pytest.approx(expected[1], rel=0.005)

    def test_the_modes_are_the_published_ones(self):
        phugoid, short = self._modes(self._flown(30.0))
        assert (short.real, short.imag) == pytest.approx((-2.5, 2.59), rel=0.02)
        assert (phugoid.real, phugoid.imag) == pytest.approx((-0.0171, 0.213), rel=0.02)


def test_thrust_through_the_centre_of_gravity_turns_nothing():
    angle = thrust_line.downthrust_through(aft=0.36, above=0.085)
    assert abs(float(thrust_line.pitching_moment(thrust=50.0, aft=0.36, above=0.085, downthrust=angle))) < 1e-9
    flown = respond(JET, replace(F_POD, propellant=0.0, downthrust=angle))
    assert np.abs(flown.booster_moment).max() < 1e-9


@pytest.mark.parametrize(
    ("aft", "above", "downthrust", "moment"),
    [
        (0.3, 0.06, 0.0, -1.8),  # 30 N at 60 mm is 1.8 N m; a line above pushes the nose down
        (0.3, -0.06, 0.0, 1.8),
        (0.3, 0.0, math.pi / 6, 4.5),  # thrust down, behind: nose up
        (-0.3, 0.0, math.pi / 6, -4.5),
    ],
)
def test_the_moment_has_the_sign_of_statics(aft, above, downthrust, moment):
    assert float(
        thrust_line.pitching_moment(thrust=30.0, aft=aft, above=above, downthrust=downthrust)
    ) == pytest.approx(moment)


def test_the_moment_is_the_cross_product():
    rng = np.random.default_rng(3)
    for thrust, aft, above, tilt in rng.uniform(-1, 1, (20, 4)):
        force = thrust * np.array([-math.cos(tilt), 0.0, -math.sin(tilt)])  # x aft, y starboard, z up
        turned = np.cross([aft, 0.0, above], force)[1]  # about +y: z into x, nose up
        assert float(
            thrust_line.pitching_moment(thrust=thrust, aft=aft, above=above, downthrust=tilt)
        ) == pytest.approx(turned)


@pytest.mark.parametrize(("above", "sign"), [(0.12, -1), (-0.12, 1)])
def test_a_line_above_pitches_down_and_one_below_pitches_up(above, sign):
    flown = respond(JET, replace(D_POD, above=above, downthrust=0.0))
    assert flown.pitch_change[0] * sign > math.radians(10)


def test_level_flight_without_a_motor_stays_level():
    flown = respond(JET, replace(D_POD, thrust=D_THRUST * 1e-12))
    still = replace(D_POD, thrust=D_THRUST * 1e-12, propellant=0.0)
    assert np.abs(respond(JET, still).attitude).max() < 1e-9
    assert np.abs(flown.pitch_change).max() < math.radians(3)  # the propellant's place alone


def test_a_fan_off_the_axis_is_in_the_trim():
    still = replace(D_POD, thrust=D_THRUST * 1e-12, propellant=0.0)
    flown = respond(replace(JET, fan_above=0.03), still)
    assert np.abs(flown.attitude).max() < 1e-9


def test_propellant_leaving_behind_the_centre_shifts_the_arm():
    # by hand: propellant at mid-length, (aft, above) - L/2 (cos d, sin d); the centre moves away from what left
    tilt, gone, mass = math.radians(10), 0.038, 0.93
    mid_aft, mid_up = 0.36 - 0.049 * math.cos(tilt), 0.085 - 0.049 * math.sin(tilt)
    centre_aft = (mass * 0 - gone * mid_aft) / (mass - gone)
    centre_up = (mass * 0 - gone * mid_up) / (mass - gone)
    arm = (0.085 - centre_up) * math.cos(tilt) - (0.36 - centre_aft) * math.sin(tilt)
    flat = replace(F_POD, time=[0.0, 1.0], thrust=[20.0, 20.0])
    flown = respond(JET, flat, after=0.0)
    assert flown.booster_moment[-1, 0] == pytest.approx(-20 * arm)


def test_without_drag_height_and_speed_trade_energy():
    # a kick, then 10 s of free flight: V^2/2 + g z stays, lift doing no work
    model = replace(JET, drag_area=0.0, induced=0.0, fan=pitch.STEADY)
    kick = replace(D_POD, time=[0.0, 0.2], thrust=[10.0, 10.0], propellant=0.0, above=-0.2, downthrust=0.0)
    flown = respond(model, kick, step=0.01, after=10.0)
    t, u, w, theta = flown.time, flown.forward[:, 0], flown.down[:, 0], flown.attitude[:, 0]
    climb = u * np.sin(theta) - w * np.cos(theta)
    free = t > 0.2
    height = np.concatenate([[0.0], np.cumsum(np.diff(t[free]) * (climb[free][1:] + climb[free][:-1]) / 2)])
    energy = (u**2 + w**2)[free] / 2 + STANDARD_GRAVITY * height
    assert np.ptp(height) > 1.0
    assert energy == pytest.approx(np.full(energy.size, energy[0]), rel=1e-4)


def test_lift_never_passes_its_limit():
    flown = respond(JET, replace(F_POD, above=0.12, downthrust=0.0))
    mass = 0.93 - 0.038 * np.ones_like(flown.forward)
    most = 1.2 / 2 * (flown.forward**2 + flown.down**2) * 0.155 * 1.05 / (mass * STANDARD_GRAVITY)
    assert (np.abs(flown.load_factor) <= most * (1 + 1e-6)).all()
    assert flown.least_load[0] < -1


def test_a_gyro_holds_the_nose_better_but_never_reaches_perfect():
    gain = pitch.gain_for_damping(share=1.0, damping=-9.0, elevator_moment=-1.0, chord=0.172, speed=34.0)
    flown = respond(JET, D_POD, gyro_gain=[0.0, gain, 3 * gain])
    off, on, strong = np.abs(flown.pitch_change)
    assert off > on > strong > 0


def test_a_gyro_moves_no_farther_than_the_elevator_can():
    stuck = replace(JET, elevator_up=0.0, elevator_down=0.0)
    flown = respond(stuck, D_POD, gyro_gain=[0.0, 0.05])
    assert flown.pitch_change[0] == flown.pitch_change[1]


def test_a_gyro_of_the_models_own_damping_acts_like_twice_the_damping():
    # at one speed K q C_md = C_mq q c/2V; a motor too weak to change the speed, no lift from the elevator
    gain = pitch.gain_for_damping(share=1.0, damping=-9.0, elevator_moment=-1.0, chord=0.172, speed=34.0)
    plain = replace(JET, elevator_lift=0.0, elevator_up=1.0, elevator_down=1.0)
    weak = replace(D_POD, thrust=D_THRUST / 100, propellant=0.0, downthrust=0.0)
    with_gyro = respond(plain, weak, gyro_gain=gain)
    damped = respond(replace(plain, damping=-18.0), weak)
    assert with_gyro.pitch_change == pytest.approx(damped.pitch_change, rel=2e-3)


@pytest.mark.parametrize("pod", [D_POD, F_POD], ids=["D", "F"])
@pytest.mark.parametrize("tilt", [3.0, 12.0])
def test_finer_steps_change_less_than_a_tenth_of_a_degree_or_of_a_load_factor(pod, tilt):
    pod = replace(pod, downthrust=np.radians(tilt) + thrust_line.building_errors()[0])
    coarse, fine = (respond(JET, pod, step=step) for step in (pitch.STEP, pitch.STEP / 4))
    assert coarse.pitch_change == pytest.approx(fine.pitch_change, abs=math.radians(0.05))
    assert coarse.greatest_load == pytest.approx(fine.greatest_load, abs=0.06)
    assert coarse.least_load == pytest.approx(fine.least_load, abs=0.06)


def test_a_very_strong_gyro_is_marched_in_finer_steps():
    gains = [0.1, 0.2]
    flown = respond(JET, F_POD, gyro_gain=gains)
    fine = respond(JET, F_POD, gyro_gain=gains, step=0.002)
    assert flown.pitch_change == pytest.approx(fine.pitch_change, abs=math.radians(0.05))


def test_cases_side_by_side_do_not_touch_each_other():
    tilts, heights = thrust_line.building_errors()
    together = respond(JET, replace(F_POD, downthrust=0.1 + tilts, above=0.085 + heights))
    for case in (0, 7, 14):
        alone = respond(JET, replace(F_POD, downthrust=0.1 + tilts[case], above=0.085 + heights[case]))
        assert together.pitch_change[case] == pytest.approx(alone.pitch_change[0], rel=1e-9)
        assert together.least_load[case] == pytest.approx(alone.least_load[0], rel=1e-9)


@pytest.mark.filterwarnings("ignore:overflow", "ignore:invalid")
def test_burns_side_by_side_give_what_each_gives_alone():
    weaker = replace(JET, fan=fan.thrust_table(static_thrust=9.0, exit_area=0.0027, density=1.2), drag_area=0.007)
    flights = (
        pitch.Flight(JET, D_POD, step=0.05, after=0.1),
        pitch.Flight(JET, replace(F_POD, propellant=1.0)),
        pitch.Flight(weaker, replace(F_POD, downthrust=np.array([0.15, 0.2])), gyro_gain=np.array([0.0, 0.03])),
        pitch.Flight(replace(JET, damping=40.0), D_POD),
        pitch.Flight(replace(JET, fan=pitch.STEADY), D_POD),
    )
    for flight, flown in zip(flights, pitch.respond(flights), strict=True):
        (alone,) = pitch.respond((flight,))
        if isinstance(alone, PhysicsError):
            assert str(flown) == str(alone)
        else:
            assert not isinstance(flown, PhysicsError)
            for field in pitch.Response._fields:
                assert getattr(flown, field) == pytest.approx(getattr(alone, field), rel=1e-12), field


def test_the_building_errors_hold_none_and_both_ends():
    tilts, heights = thrust_line.building_errors()
    assert (tilts.size, tilts[7], heights[7]) == (15, 0.0, 0.0)
    assert np.degrees(tilts[[0, -1]]) == pytest.approx([-2, 2])
    assert heights[[0, -1]] == pytest.approx([-0.005, 0.005])


@pytest.mark.parametrize(
    ("model", "pod", "match"),
    [
        (replace(JET, inertia=0.0), D_POD, "inertia"),
        (replace(JET, inertia=2e-3), D_POD, "propellant alone"),
        (replace(JET, speed=6.0), D_POD, "enter faster"),
        (JET, replace(D_POD, propellant=1.0), "propellant"),
        (replace(JET, stiffness=-1e8), D_POD, "which no model is"),
        (replace(JET, damping=40.0), D_POD, "runs away"),
    ],
)
@pytest.mark.filterwarnings("ignore:overflow", "ignore:invalid")
def test_numbers_out_of_range_are_named(model, pod, match):
    with pytest.raises(PhysicsError, match=match):
        respond(model, pod)


@pytest.mark.benchmark(timer=time.process_time)  # others may be using the machine
def test_thirty_cases_take_less_than_forty_milliseconds(benchmark):
    tilts, heights = (np.tile(v, 2) for v in thrust_line.building_errors())
    pod = replace(F_POD, downthrust=0.2 + tilts, above=0.085 + heights)
    gains = np.repeat([0.0, 0.02], 15)
    benchmark(respond, JET, pod, gyro_gain=gains)
    assert benchmark.stats["min"] < 0.040
