"""Beams and strips: limits in closed form, strip tests inverted, loads by statics, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics import beam
from routes import beams


def test_a_tube_without_a_bore_is_a_rod() -> None:
    assert beams.tube_inertia(outer=0.006) == pytest.approx(math.pi * 0.003**4 / 4, rel=1e-12)


def test_a_thin_tube_approaches_pi_r3_t() -> None:
    assert beams.tube_inertia(outer=0.02002, inner=0.01998) == pytest.approx(math.pi * 0.01**3 * 0.00002, rel=1e-5)


def test_a_rectangle_s_inertia_is_the_integral_of_height_squared() -> None:
    z = (np.arange(4000) + 0.5) / 4000 * 0.006 - 0.003
    assert beam.rectangle_inertia(width=0.03, height=0.006) == pytest.approx(0.03 * np.mean(z**2) * 0.006, rel=1e-6)


def test_a_sandwich_is_two_faces_by_parallel_axes_less_their_own_stiffness() -> None:
    width, thickness, face, modulus = 0.05, 0.005, 0.0002, 3e9
    own = 2 * beam.rectangle_inertia(width=width, height=face)
    solid = beam.rectangle_inertia(width=width, height=thickness)
    faces = solid - beam.rectangle_inertia(width=width, height=thickness - 2 * face)
    stiffness = beams.sandwich_stiffness(width=width, thickness=thickness, face=face, face_modulus=modulus)
    assert stiffness == pytest.approx(modulus * (faces - own), rel=1e-9)


def test_the_faces_stress_is_what_their_stiffness_says_at_mid_face() -> None:
    board = {"width": 0.05, "thickness": 0.005, "face": 0.0002}
    stiffness = beams.sandwich_stiffness(face_modulus=3e9, **board)
    stress = beam.sandwich_face_stress(moment=0.4, **board)
    assert stress == pytest.approx(0.4 * 3e9 / stiffness * (0.005 - 0.0002) / 2, rel=1e-12)


def test_faces_thicker_than_half_the_board_are_refused() -> None:
    with pytest.raises(PhysicsError, match=r"face = 0\.003 m: must be below half"):
        beams.sandwich_stiffness(width=0.05, thickness=0.005, face=0.003, face_modulus=3e9)


def test_a_thin_strip_s_torsion_constant_approaches_a_third() -> None:
    # Timoshenko: w t^3/3 (1 - 0.630 t/w) for a thin strip
    found = beam.torsion_constant(width=0.05, thickness=0.001)
    assert found == pytest.approx(0.05 * 0.001**3 / 3 * (1 - 0.6302 / 50), rel=1e-5)


@given(a=st.floats(0.001, 0.1), b=st.floats(0.001, 0.1))
def test_a_rectangle_twists_alike_whichever_side_is_named_first(a: float, b: float) -> None:
    assert beam.torsion_constant(width=a, thickness=b) == beam.torsion_constant(width=b, thickness=a)


def test_torsion_constant_of_a_square_agrees_with_a_membrane_on_a_grid() -> None:
    # Prandtl's membrane: laplacian(f) = -2 with f = 0 on the edge, J = 2 x volume under it; solved by sine series
    n = np.arange(1, 200, 2)
    series = np.add.outer(n**2, n**2) * np.multiply.outer(n**2, n**2)
    assert beam.torsion_constant(width=1, thickness=1) == pytest.approx(256 / math.pi**6 * np.sum(1 / series), rel=1e-5)


@given(modulus=st.floats(1e6, 5e9), span=st.floats(0.2, 0.5), thickness=st.floats(0.003, 0.006))
def test_the_twist_strip_gives_back_the_shear_modulus_it_was_twisted_with(
    modulus: float, span: float, thickness: float
) -> None:
    twist = 0.2
    moment = modulus * beam.torsion_constant(width=0.04, thickness=thickness) * twist / span
    found = beam.shear_modulus_from_twist(moment=moment, twist=twist, length=span, width=0.04, thickness=thickness)
    assert found == pytest.approx(modulus, rel=1e-12)


def test_a_strip_bent_too_far_asks_for_less_weight() -> None:
    with pytest.raises(PhysicsError, match=r"sag = 0\.04 m: .* less weight"):
        beam.modulus_from_bending(force=1.0, sag=0.04, span=0.3, width=0.05, thickness=0.005)


def test_a_strip_twisted_too_far_asks_for_less_weight() -> None:
    with pytest.raises(PhysicsError, match=r"twist = 0\.8 rad: .* less weight"):
        beam.shear_modulus_from_twist(moment=0.1, twist=0.8, length=0.3, width=0.05, thickness=0.005)


def test_deflection_keeps_the_force_s_sign_and_is_refused_either_way() -> None:
    bar = {"length": 0.3, "modulus": 120e9, "inertia": beams.tube_inertia(outer=0.006, inner=0.004)}
    assert beams.tip_deflection(force=-5.0, **bar) == -beams.tip_deflection(force=5.0, **bar)
    with pytest.raises(PhysicsError, match="tip deflection"):
        beams.tip_deflection(force=-50.0, **bar)


def test_side_load_is_dynamic_pressure_times_area() -> None:
    # 50 m/s in 1.2 kg/m3 is 1500 Pa; on 0.01 m2 with C_N 0.8: 12 N
    assert beam.side_load(speed=50, density=1.2, area=0.01, coefficient=0.8) == pytest.approx(12.0, rel=1e-12)


@pytest.mark.parametrize(("taper", "share"), [(1.0, 1 / 2), (0.0, 1 / 3), (0.5, 4 / 9)])
def test_load_centre_of_rectangle_triangle_and_half_taper(taper: float, share: float) -> None:
    assert beam.load_centre(height=0.12, taper=taper) == pytest.approx(0.12 * share, rel=1e-12)


def test_glue_stress_times_its_area_is_the_force() -> None:
    stress = beam.glue_shear_stress(force=120.0, diameter=0.03, length=0.02)
    assert stress * math.pi * 0.03 * 0.02 == pytest.approx(120.0, rel=1e-12)


def test_load_factor_is_one_where_lift_carries_the_weight_and_goes_with_speed_squared() -> None:
    wing = {"density": 1.2, "area": 0.14, "lift": 1.0, "mass": 0.9}
    stall = math.sqrt(2 * 0.9 * 9.80665 / (1.2 * 0.14))
    assert beam.load_factor(speed=stall, **wing) == pytest.approx(1.0, rel=1e-12)
    assert beam.load_factor(speed=3 * stall, **wing) == pytest.approx(9.0, rel=1e-12)


def test_a_spar_s_load_factor_brings_its_moment_back() -> None:
    factor = beam.load_factor_of_spar(spar_moment=6.0, mass=0.9, arm=0.18)
    assert factor * 0.9 * 9.80665 / 2 * 0.18 == pytest.approx(6.0, rel=1e-12)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_section_that_cannot_be_is_refused_by_name(bad: float) -> None:
    with pytest.raises(PhysicsError, match="height = "):
        beam.rectangle_inertia(width=0.03, height=bad)


@pytest.mark.parametrize("inner", [-0.001, 0.006, 0.007])
def test_a_bore_as_wide_as_the_tube_is_refused(inner: float) -> None:
    with pytest.raises(PhysicsError, match="inner = "):
        beams.tube_inertia(outer=0.006, inner=inner)


def test_a_taper_below_none_is_refused() -> None:
    with pytest.raises(PhysicsError, match=r"taper = -0\.2"):
        beam.load_centre(height=0.1, taper=-0.2)
