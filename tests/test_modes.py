"""Modes: limits in closed form, pairs that must stay together, and the words of each mode for any matrix."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics import modes
from routes import dynamics

JET = {"mass": 0.9, "inertia": 0.04, "speed": 30.0, "density": 1.2, "area": 0.14, "chord": 0.17}
SIDE = {
    "mass": 0.9,
    "inertia_roll": 0.015,
    "inertia_yaw": 0.05,
    "speed": 30.0,
    "density": 1.2,
    "area": 0.14,
    "span": 0.9,
}


def pitch(**change: float) -> modes.Matrix:
    usual = {
        "lift": 0.12,
        "drag": 0.03,
        "lift_slope": 4.3,
        "drag_slope": 0.1,
        "moment_slope": -0.4,
        "pitch_damping": -9.0,
    }
    return dynamics.pitch_matrix(derivatives=dynamics.PitchDerivatives(**{**usual, **change}), **JET)


def side(product: float = 0.0, **change: float) -> modes.Matrix:
    usual = {"side_beta": -0.4, "roll_beta": -0.06, "yaw_beta": 0.08, "roll_p": -0.4, "yaw_p": -0.03,
             "roll_r": 0.08, "yaw_r": -0.1}  # fmt: skip
    derivatives = modes.SideDerivatives(**{**usual, **change})
    return modes.side_matrix(derivatives=derivatives, inertia_product=product, **SIDE)


def block(*pairs: tuple[float, float]) -> modes.Matrix:
    """A matrix with known roots: each (real, imaginary) is one 2 by 2 block, turned about to hide them."""
    matrix = np.zeros((4, 4))
    for i, (real, imaginary) in enumerate(pairs):
        matrix[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] = [[real, imaginary], [-imaginary, real]]
    turn = np.linalg.qr(np.arange(16.0).reshape(4, 4) ** 1.5 + np.eye(4))[0]
    turned: modes.Matrix = turn @ matrix @ turn.T
    return turned


def test_the_phugoid_without_drag_is_lanchester_s() -> None:
    # Lanchester (1908): w = sqrt(2) g/V when drag is nothing and the incidence is held, in level flight
    lift = 2 * JET["mass"] * 9.80665 / (JET["density"] * JET["speed"] ** 2 * JET["area"])
    frequency, damping = dynamics.phugoid_approximation(pitch(lift=lift, drag=0.0))
    assert frequency == pytest.approx(math.sqrt(2) * 9.80665 / 30.0, rel=1e-12)
    assert damping == 0.0


def test_the_phugoid_s_damping_is_drag_over_lift_over_root_two() -> None:
    lift = 2 * JET["mass"] * 9.80665 / (JET["density"] * JET["speed"] ** 2 * JET["area"])
    _, damping = dynamics.phugoid_approximation(pitch(lift=lift, drag=0.03))
    assert damping == pytest.approx(0.03 / lift / math.sqrt(2), rel=1e-12)


def test_a_thrust_that_falls_with_speed_damps_the_phugoid() -> None:
    falling, steady = (dynamics.phugoid_approximation(pitch(thrust_slope=slope))[1] for slope in (-0.1, 0.0))
    assert falling > steady


def test_the_formulas_lie_near_the_roots_of_an_ordinary_aircraft() -> None:
    short, phugoid = dynamics.pitch_modes(pitch())
    assert short.frequency == pytest.approx(dynamics.short_period_approximation(pitch())[0], rel=0.02)
    assert phugoid.frequency == pytest.approx(dynamics.phugoid_approximation(pitch())[0], rel=0.25)


def test_an_unstable_aircraft_doubles_instead_of_swinging() -> None:
    short, _ = dynamics.pitch_modes(pitch(moment_slope=0.6, pitch_damping=-2.0))
    assert math.isnan(short.frequency)
    assert math.isfinite(short.time_to_double)
    assert short.time_to_halve == math.inf


def test_a_matrix_that_diverges_has_no_short_period_formula() -> None:
    with pytest.raises(PhysicsError, match="short period"):
        dynamics.short_period_approximation(pitch(moment_slope=2.0))


@pytest.mark.parametrize(("creeping", "pair", "swinging"), [((-9.0, -4.0), (-0.1, 0.4), "phugoid"),
                                                            ((-0.3, 0.1), (-2.0, 5.0), "short period"),
                                                            ((-9.0, -0.01), (-0.1, 0.2), "phugoid")])  # fmt: skip
def test_a_swinging_pair_is_never_split(
    creeping: tuple[float, float], pair: tuple[float, float], swinging: modes.ModeName
) -> None:
    matrix = block(pair, (0.0, 0.0))
    turn = np.linalg.qr(np.arange(16.0).reshape(4, 4) ** 1.5 + np.eye(4))[0]
    matrix = matrix + turn @ np.diag([0.0, 0.0, *creeping]) @ turn.T
    found = {mode.name: mode for mode in dynamics.pitch_modes(matrix)}
    assert found[swinging].swings
    assert found[swinging].roots[0] == pytest.approx(complex(*pair), rel=1e-9)


@given(real=st.floats(-5, 5), imaginary=st.floats(0.1, 9), slow=st.floats(0.001, 0.05))
def test_damping_frequency_and_times_belong_to_the_root(real: float, imaginary: float, slow: float) -> None:
    short, _ = dynamics.pitch_modes(block((real, imaginary), (-slow / 2, slow)))
    assert short.damping_ratio == pytest.approx(-real / math.hypot(real, imaginary), abs=1e-6)
    assert short.frequency == pytest.approx(math.hypot(real, imaginary), rel=1e-6)
    assert short.period == pytest.approx(2 * math.pi / imaginary, rel=1e-6)
    if real > 1e-3:
        assert math.exp(real * short.time_to_double) == pytest.approx(2.0, rel=1e-3)
    if real < -1e-3:
        assert math.exp(real * short.time_to_halve) == pytest.approx(0.5, rel=1e-3)


def test_roll_and_spiral_that_joined_are_called_so() -> None:
    names = [mode.name for mode in modes.side_modes(block((-0.1, 0.5), (-0.8, 7.0)))]
    assert names == ["roll and spiral", "Dutch roll"]


def test_without_weathercock_stability_the_dutch_roll_diverges() -> None:
    *_, dutch = modes.side_modes(side(yaw_beta=-0.2, yaw_r=-0.02))
    assert dutch.name == "Dutch roll"
    assert not dutch.swings
    assert math.isfinite(dutch.time_to_double)


def test_more_fin_stiffens_the_dutch_roll_and_tightens_the_spiral() -> None:
    small, large = modes.side_modes(side(yaw_beta=0.06)), modes.side_modes(side(yaw_beta=0.16))
    assert large[2].frequency > small[2].frequency
    assert large[1].growth > small[1].growth


def test_roll_damping_alone_gives_the_roll_s_root() -> None:
    matrix = side(roll_beta=-1e-9, roll_r=0.0, yaw_p=0.0)
    assert modes.side_modes(matrix)[0].roots[0].real == pytest.approx(dynamics.roll_approximation(matrix), rel=1e-6)


def test_a_product_of_inertia_couples_roll_and_yaw_as_euler_s_equations_say() -> None:
    product = 0.004
    free, coupled = side(), side(product)
    inertia = np.array([[0.015, -product], [-product, 0.05]])
    assert inertia @ coupled[1:3, :3] == pytest.approx(np.diag([0.015, 0.05]) @ free[1:3, :3], rel=1e-12)


def test_an_impossible_product_of_inertia_is_refused() -> None:
    with pytest.raises(PhysicsError, match=r"inertia_product = 0\.03"):
        side(0.03)


@pytest.mark.parametrize("name", ["mass", "inertia", "speed", "density", "area", "chord"])
def test_numbers_that_must_be_positive_are_refused_by_name(name: str) -> None:
    derivatives = dynamics.PitchDerivatives(0.1, 0.03, 4.3, 0.1, -0.4, -9.0)
    with pytest.raises(PhysicsError, match=f"{name} = 0: must be above 0"):
        dynamics.pitch_matrix(derivatives=derivatives, **{**JET, name: 0.0})


def test_a_matrix_with_nan_is_refused() -> None:
    with pytest.raises(PhysicsError, match="4 by 4 and finite"):
        dynamics.pitch_modes(np.full((4, 4), math.nan))


def test_no_dihedral_effect_has_no_spiral_formula() -> None:
    with pytest.raises(PhysicsError, match="roll_beta = 0"):
        dynamics.spiral_approximation(side(roll_beta=0.0))
