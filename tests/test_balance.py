"""Balance: statics that must hold for any numbers, and battery and ballast against a linear program and brute force."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from foamworks.errors import PhysicsError
from foamworks.physics import balance
from foamworks.physics.balance import Inertia, Loads
from routes import weight_and_balance

MASS = st.floats(0.05, 5.0)
PLACE = st.floats(-1.0, 2.0)


def loads(masses: list[float], cgs: list[float], forward: float = 0.30, aft: float = 0.33) -> Loads:
    """States by their mass and CG without battery, all with one window."""
    m = np.array(masses)
    return Loads(m, m * np.array(cgs), np.full(m.shape, forward), np.full(m.shape, aft))


@given(mass=MASS, cg=PLACE, added=st.floats(0.001, 2.0), ahead=st.floats(0.001, 1.0))
def test_mass_added_ahead_of_the_cg_moves_it_forward_but_not_past_that_place(
    mass: float, cg: float, added: float, ahead: float
) -> None:
    moved = weight_and_balance.after_adding(mass=mass, cg=cg, added=added, place=cg - ahead)
    assert cg - ahead < moved < cg


@given(mass=MASS, cg=PLACE, added=st.floats(0.001, 2.0), place=PLACE)
def test_taking_off_what_was_added_brings_the_cg_back(mass: float, cg: float, added: float, place: float) -> None:
    there = weight_and_balance.after_adding(mass=mass, cg=cg, added=added, place=place)
    back = weight_and_balance.after_adding(mass=mass + added, cg=there, added=-added, place=place)
    assert back == pytest.approx(cg, abs=1e-9)


@given(mass=MASS, cg=PLACE, target=PLACE, place=PLACE)
def test_the_ballast_formula_reaches_its_target(mass: float, cg: float, target: float, place: float) -> None:
    if abs(place - target) < 0.01 or abs(place - cg) < 0.01:
        return
    added = weight_and_balance.ballast_for(mass=mass, cg=cg, target=target, place=place)
    if mass + added > 0.01:
        assert weight_and_balance.after_adding(mass=mass, cg=cg, added=added, place=place) == pytest.approx(
            target, abs=1e-6
        )


def test_centroid_takes_samples_in_its_leading_axes() -> None:
    total, x = balance.centroid(masses=np.ones((10_000, 3)), places=[0.0, 0.3, 0.6])
    assert total.shape == x.shape == (10_000,)
    assert np.allclose(x, 0.3)


def test_centroid_of_less_than_nothing_is_refused() -> None:
    with pytest.raises(PhysicsError, match=r"total mass = -1 kg"):
        balance.centroid(masses=[1.0, -2.0], places=[0.0, 1.0])


@pytest.mark.parametrize(("load", "cg"), [(0.0, 0.2), (0.8, 0.6), (0.4, 0.4)])
def test_two_supports_give_the_supports_themselves_and_their_middle(load: float, cg: float) -> None:
    found = balance.from_two_supports(front=0.2, rear=0.6, rear_load=load, mass=0.8)
    assert found == pytest.approx(cg, abs=1e-12)


def test_a_gram_on_the_rear_scale_moves_the_cg_half_a_millimetre() -> None:
    # trade.md: with supports 0.4 m apart under 0.8 kg "1 g is 0.5 mm"
    one = {"front": 0.0, "rear": 0.4, "mass": 0.8}
    step = balance.from_two_supports(rear_load=0.301, **one) - balance.from_two_supports(rear_load=0.300, **one)
    assert step == pytest.approx(0.5e-3, rel=1e-9)


def test_a_rear_load_above_the_mass_is_refused() -> None:
    with pytest.raises(PhysicsError, match=r"rear_load = 0\.9 kg"):
        balance.from_two_supports(front=0.2, rear=0.6, rear_load=0.9, mass=0.8)


def test_the_supports_in_one_place_are_refused() -> None:
    with pytest.raises(PhysicsError, match="front and rear: must be two different places"):
        balance.from_two_supports(front=0.2, rear=0.2, rear_load=0.1, mass=0.8)


def test_a_bifilar_swing_of_a_slender_rod_gives_m_l2_over_12() -> None:
    # Closed form: a rod m, l on strings L, gap d swings with T = 2 pi sqrt(4 I L/(m g d^2)), I = m l^2/12.
    mass, rod, gap, length = 0.3, 1.2, 0.8, 1.5
    inertia = mass * rod**2 / 12
    period = 2 * math.pi * math.sqrt(inertia * length / (mass * 9.80665 * (gap / 2) ** 2))
    found = balance.bifilar_inertia(mass=mass, gap=gap, length=length, period=period)
    assert found == pytest.approx(inertia, rel=1e-12)


def test_points_on_a_rod_approach_its_closed_form() -> None:
    x = (np.arange(2000) + 0.5) / 2000 - 0.5
    rod = balance.inertia_of_points(
        masses=np.full(2000, 1 / 2000), x=x, y=np.zeros(2000), z=np.zeros(2000), about_x=0.0, about_z=0.0
    )
    assert rod.yy == pytest.approx(1 / 12, rel=1e-6)
    assert rod.zz == pytest.approx(1 / 12, rel=1e-6)
    assert rod.xx == rod.xz == 0.0


def test_parallel_axes_agree_with_adding_up_the_points_again() -> None:
    m, x, z = np.array([0.2, 0.5, 0.3]), np.array([0.0, 0.4, 0.9]), np.array([0.1, 0.0, -0.2])
    y = np.zeros(3)
    own = balance.inertia_of_points(masses=m, x=x, y=y, z=z, about_x=float(m @ x), about_z=float(m @ z))
    moved = balance.inertia_moved(own=own, mass=1.0, dx=float(m @ x) - 0.1, dz=float(m @ z) - 0.05)
    direct = balance.inertia_of_points(masses=m, x=x, y=y, z=z, about_x=0.1, about_z=0.05)
    for axis in ("xx", "yy", "zz", "xz"):
        assert getattr(moved, axis) == pytest.approx(getattr(direct, axis), rel=1e-12)


def test_masses_high_aft_and_low_ahead_have_a_positive_product_of_inertia() -> None:
    # two halves at +-(0.3, 0.1): sum m x z = 2 x 0.5 x 0.03
    found = balance.inertia_of_points(
        masses=[0.5, 0.5], x=[0.3, -0.3], y=[0.0, 0.0], z=[0.1, -0.1], about_x=0.0, about_z=0.0
    )
    assert found.xz == pytest.approx(0.03, rel=1e-12)


def test_inertia_about_the_own_cg_is_the_least() -> None:
    own = Inertia(0.01, 0.02, 0.03)
    moved = balance.inertia_moved(own=own, mass=0.7, dx=0.02, dz=-0.01)
    assert moved.xx > own.xx
    assert moved.yy > own.yy
    assert moved.zz > own.zz


def test_gyration_of_a_rod_is_one_over_root_three_of_its_half_length() -> None:
    rod = balance.Gyration(roll=1 / math.sqrt(3), pitch=1 / math.sqrt(3), yaw=1 / math.sqrt(3))
    found = balance.inertia_by_gyration(mass=1.0, span=1.2, length=0.9, gyration=rod)
    assert found.xx == pytest.approx(1.2**2 / 12, rel=1e-12)
    assert found.yy == pytest.approx(0.9**2 / 12, rel=1e-12)
    assert found.zz == pytest.approx(1.05**2 / 12, rel=1e-12)  # of their mean


def test_a_jet_by_the_textbook_s_radii_yaws_harder_than_it_pitches_and_pitches_harder_than_it_rolls() -> None:
    jet = balance.inertia_by_gyration(mass=0.9, span=0.92, length=0.81)
    assert jet.xx < jet.yy < jet.zz < jet.xx + jet.yy + 1.5 * jet.yy


def test_a_battery_alone_goes_to_the_middle_of_the_places_that_work() -> None:
    # 0.8 kg at 0.34 and 0.2 kg battery: CG = 0.272 + 0.2 x; window 0.30..0.33 asks x in 0.14..0.29, the slide cuts 0.24
    answer = balance.settle(loads=loads([0.8], [0.34]), battery=0.2, slide=(0.10, 0.24), ballast=(0.0, 0.07))
    assert answer.feasible
    assert answer.ballast == 0.0
    assert answer.battery_x == pytest.approx(0.19, abs=1e-6)


def test_ballast_comes_when_the_battery_stands_at_the_end_of_its_slide() -> None:
    # 0.8 kg at 0.36, battery to 0.15 at least: CG 0.318, limit 0.31, lead at 0.02: W5 formula asks 1 x 0.008/0.29
    need = weight_and_balance.ballast_for(mass=1.0, cg=0.318, target=0.31, place=0.02)
    assert need == pytest.approx(0.027586, abs=1e-6)
    answer = balance.settle(
        loads=loads([0.8], [0.36], forward=0.28, aft=0.31),
        battery=0.2, slide=(0.15, 0.24), ballast_x=0.02, ballast=(0.0, 0.07),
    )  # fmt: skip
    assert answer.feasible
    assert answer.ballast == pytest.approx(0.028, abs=1e-12)
    assert answer.battery_x == pytest.approx(0.15, abs=0.001)


def test_a_need_of_whole_grams_is_not_rounded_up_once_more() -> None:
    # lead at 0 m, 1 kg at 0.33 wants 0.30: 0.1 kg exactly
    answer = balance.settle(
        loads=loads([1.0], [0.33], forward=0.1, aft=0.30), battery=0.0, slide=(0.0, 0.0), ballast=(0.0, 0.5)
    )
    assert answer.ballast == pytest.approx(0.100, abs=1e-12)


def test_a_fixed_battery_and_fixed_ballast_are_left_alone() -> None:
    answer = balance.settle(
        loads=loads([0.8], [0.34]), battery=0.2, slide=(0.40, 0.40), ballast_x=0.02, ballast=(0.0123, 0.0123)
    )
    assert answer.battery_x == pytest.approx(0.40, abs=1e-12)
    assert answer.ballast == 0.0123
    assert not answer.feasible
    assert answer.worst == pytest.approx((0.8 * 0.34 + 0.2 * 0.40 + 0.0123 * 0.02) / 1.0123 - 0.33, rel=1e-9)


@pytest.mark.parametrize(("cg", "ballast_x", "end"), [(0.38, 0.02, 0.15), (0.25, 0.80, 0.24)])
def test_beside_added_ballast_the_battery_stands_at_the_end_of_its_slide_that_helps(
    cg: float, ballast_x: float, end: float
) -> None:
    # one heavy state, a wide window: whole grams leave the battery some room, which it must not use
    answer = balance.settle(
        loads=loads([0.8], [cg]), battery=0.2, slide=(0.15, 0.24), ballast_x=ballast_x, ballast=(0.0, 0.3)
    )
    assert answer.feasible
    assert answer.ballast > 0
    assert answer.battery_x == pytest.approx(end, abs=1e-12)


def test_the_two_states_that_fight_are_named() -> None:
    # Three states 60 mm apart in a window of 30 mm: the first is nose-heavy, the last tail-heavy; no place helps.
    answer = balance.settle(loads=loads([1.0, 1.0, 1.0], [0.30, 0.33, 0.36]), battery=0.2, slide=(0.0, 0.9))
    assert not answer.feasible
    assert (answer.forward_state, answer.aft_state) == (0, 2)
    assert answer.worst == pytest.approx((0.06 / 1.2 - 0.03) / 2, abs=1e-6)


def test_at_the_best_place_both_fighting_states_are_equally_far_out() -> None:
    answer = balance.settle(loads=loads([0.7, 1.1], [0.30, 0.37]), battery=0.2, slide=(0.0, 0.9))
    ahead = 0.30 - answer.cg[answer.forward_state]
    behind = answer.cg[answer.aft_state] - 0.33
    assert not answer.feasible
    assert ahead == pytest.approx(behind, abs=1e-6)


def test_a_window_whose_limits_crossed_over_is_out_by_half_their_distance() -> None:
    answer = balance.settle(loads=loads([0.8], [0.33], forward=0.34, aft=0.32), battery=0.2, slide=(0.1, 0.6))
    assert not answer.feasible
    assert answer.worst == pytest.approx(0.01, abs=1e-8)
    assert float(answer.cg[0]) == pytest.approx(0.33, abs=1e-8)


@given(
    cg=st.floats(0.2, 0.5),
    battery=st.floats(0.1, 0.4),
    place=st.floats(0.1, 0.3),
    masses=st.tuples(st.floats(0, 0.1), st.floats(0.001, 0.1)),
)
def test_more_nose_ballast_never_makes_the_aftmost_state_worse(
    cg: float, battery: float, place: float, masses: tuple[float, float]
) -> None:
    less, more = masses[0], masses[0] + masses[1]
    found = [
        balance.settle(
            loads=loads([0.7, 0.8], [cg, cg + 0.02]), battery=battery, slide=(place, place), ballast=(mass, mass)
        )
        for mass in (less, more)
    ]
    assert float(np.max(found[1].cg)) < float(np.max(found[0].cg))


CASES = st.lists(st.tuples(st.floats(0.6, 1.2), st.floats(0.28, 0.40), st.floats(0.26, 0.31), st.floats(0.005, 0.05)),
                 min_size=1, max_size=5)  # fmt: skip


def _case(rows: list[tuple[float, float, float, float]]) -> Loads:
    mass, cg, forward, width = np.array(rows).T
    return Loads(mass, mass * cg, forward, forward + width)


def _least_by_linear_program(
    states: Loads, battery: float, slide: tuple[float, float], at: float, most: float
) -> float:
    """Least ballast [kg], not rounded, by a solver that knows nothing of ours; NaN when there is none."""
    total = states.masses + battery
    one = np.ones_like(total)
    rows = np.vstack([np.column_stack([states.forward - at, -one]), np.column_stack([at - states.aft, one])])
    right = np.concatenate([states.moments - states.forward * total, states.aft * total - states.moments])
    bounds = [(0.0, most), (slide[0] * battery, slide[1] * battery)]
    answer = linprog([1.0, 0.0], A_ub=rows, b_ub=right, bounds=bounds)
    return float(answer.x[0]) if answer.success else math.nan


@settings(max_examples=60, deadline=None)
@given(rows=CASES, battery=st.floats(0.05, 0.4), start=st.floats(0.1, 0.25), travel=st.floats(0.0, 0.12))
def test_least_ballast_agrees_with_a_linear_program(
    rows: list[tuple[float, float, float, float]], battery: float, start: float, travel: float
) -> None:
    states, slide, at, most = _case(rows), (start, start + travel), 0.02, 0.2
    answer = balance.settle(loads=states, battery=battery, slide=slide, ballast_x=at, ballast=(0.0, most))
    least = _least_by_linear_program(states, battery, slide, at, most)
    if answer.feasible:
        assert not math.isnan(least)
        assert -1e-6 <= answer.ballast - least < 0.001 + 1e-6
        assert np.all(answer.cg >= states.forward - 1e-8)
        assert np.all(answer.cg <= states.aft + 1e-8)
    elif not math.isnan(least):  # a range of ballast narrower than a gram holds no whole gram
        assert answer.worst < 0.001


@settings(max_examples=40, deadline=None)
@given(rows=CASES, battery=st.floats(0.05, 0.4), start=st.floats(0.1, 0.25), travel=st.floats(0.0, 0.12))
def test_no_place_on_a_fine_grid_beats_the_answer_when_nothing_works(
    rows: list[tuple[float, float, float, float]], battery: float, start: float, travel: float
) -> None:
    states, at = _case(rows), 0.02
    answer = balance.settle(
        loads=states, battery=battery, slide=(start, start + travel), ballast_x=at, ballast=(0.0, 0.06)
    )
    if answer.feasible:
        return
    w = np.arange(61)[:, None, None] * 1e-3
    x = np.linspace(start, start + travel, 41)[None, :, None]
    cg = (states.moments + battery * x + w * at) / (states.masses + battery + w)
    grid = np.maximum(states.forward - cg, cg - states.aft).max(axis=-1)
    assert answer.worst <= grid.min() + 2e-9
    assert start - 1e-9 <= answer.battery_x <= start + travel + 1e-9
    assert 0 <= answer.ballast <= 0.06


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"battery": -0.1}, "battery = -0.1 kg"),
        ({"slide": (0.2, 0.1)}, "slide = 0.2 to 0.1 m"),
        ({"ballast": (0.0, math.inf)}, "ballast = 0 to inf kg"),
        ({"ballast": (-0.1, 0.1)}, "ballast = -0.1 to 0.1 kg"),
        ({"loads": Loads(*[np.empty(0)] * 4)}, "at least one state"),
        ({"loads": loads([0.8], [math.nan])}, "loads: every number must be finite"),
    ],
)
def test_what_cannot_be_settled_is_refused(change: dict[str, Any], message: str) -> None:
    usual: dict[str, Any] = {"loads": loads([0.8], [0.34]), "battery": 0.2, "slide": (0.1, 0.2)}
    with pytest.raises(PhysicsError, match=message):
        balance.settle(**{**usual, **change})
