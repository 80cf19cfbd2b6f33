"""Beams, strips and fin flutter against closed forms and printed tables."""

import math

import pytest

from foamworks.errors import PhysicsError
from foamworks.physics import beam, flutter
from routes import beams

PSI = 6894.757293168  # Pa


def test_a_soft_foam_strip_bends_beyond_the_theory() -> None:
    # B4: F 1 N, L 0.3, b 0.03, h 0.006 m, E 2.9 MPa: the formula says 5.747 m, root stress 1.667 MPa
    inertia = beam.rectangle_inertia(width=0.03, height=0.006)
    strip = {"force": 1.0, "length": 0.3, "modulus": 2.9e6, "inertia": inertia}
    with pytest.raises(PhysicsError, match=r"tip deflection = 5\.747 m"):
        beams.tip_deflection(**strip)
    assert beams.tip_deflection(**strip, limit=math.inf) == pytest.approx(5.747126, rel=1e-6)
    assert beam.bending_stress(moment=0.3, inertia=inertia, distance=0.003) == pytest.approx(1.6666667e6, rel=1e-6)


# B5: inertia, half height m, E Pa, F N, L m, tip m, root stress Pa
BEAMS = [
    (beams.tube_inertia(outer=0.006, inner=0.004), 0.003, 120e9, 5.0, 0.3, 7.3456e-3, 88.147e6),
    (beam.rectangle_inertia(width=0.1, height=0.006), 0.003, 13.79e6, 0.05, 0.2, 5.3716e-3, 16.667e3),
]


@pytest.mark.parametrize(("inertia", "half", "modulus", "force", "length", "tip", "stress"), BEAMS)
def test_cantilevers_as_in_the_check_values(
    inertia: float, half: float, modulus: float, force: float, length: float, tip: float, stress: float
) -> None:
    found = beams.tip_deflection(force=force, length=length, modulus=modulus, inertia=inertia)
    assert found == pytest.approx(tip, rel=1e-4)
    root = beam.bending_stress(moment=force * length, inertia=inertia, distance=half)
    assert root == pytest.approx(stress, rel=1e-4)


# P1: bending moduli of foams along the sheet, MPa (a university course table of 2003, read), and the stiffest there
FOAMS = [16.0, 13.8, 19.2, 34.0, 35.3, 68.6, 1103.0]


@pytest.mark.parametrize("modulus", FOAMS)
def test_a_strip_of_a_published_foam_gives_its_modulus_back(modulus: float) -> None:
    # A simply supported beam sags F L^3/(48 E I) (Euler; second route: two cantilevers of L/2 under F/2 each)
    width, thickness, span, force = 0.05, 0.02, 0.4, 0.1
    inertia = beam.rectangle_inertia(width=width, height=thickness)
    sag = beams.tip_deflection(force=force / 2, length=span / 2, modulus=modulus * 1e6, inertia=inertia)
    found = beam.modulus_from_bending(force=force, sag=sag, span=span, width=width, thickness=thickness)
    assert found == pytest.approx(modulus * 1e6, rel=1e-12)


# Timoshenko & Goodier, *Theory of Elasticity*, table of rectangular bars, from memory: w/t, J/(w t^3)
TORSION = [(1.0, 0.1406), (1.2, 0.166), (1.5, 0.196), (2.0, 0.229), (2.5, 0.249), (3.0, 0.263), (4.0, 0.281),
           (5.0, 0.291), (10.0, 0.312)]  # fmt: skip


@pytest.mark.parametrize(("ratio", "printed"), TORSION)
def test_torsion_constant_of_a_rectangle_as_printed(ratio: float, printed: float) -> None:
    digit = 10.0 ** -len(str(printed).split(".")[1])
    found = beam.torsion_constant(width=ratio, thickness=1.0)
    assert found / ratio == pytest.approx(printed, abs=0.51 * digit)


# P2: a hobby flutter sheet's table (read): E psi, nu, G psi. Exact arithmetic, though wrong for wood and ply.
SHEAR = [
    ("row label lost; its density says balsa", 415_000, 0.35, 153_704),
    ("basswood", 1.46e6, 0.35, 540_741),
    ("spruce", 1.6e6, 0.35, 592_593),
    ("birch aircraft ply", 2.02e6, 0.35, 748_148),
    ("G10", 3.2e6, 0.35, 1_185_185),
    ("polystyrene", 400_000, 0.33, 150_376),
]


@pytest.mark.parametrize(("material", "modulus", "poisson", "shear"), SHEAR)
def test_isotropic_shear_modulus_as_tabled(material: str, modulus: float, poisson: float, shear: float) -> None:
    found = beams.isotropic_shear_modulus(modulus=modulus, poisson=poisson)
    assert found == pytest.approx(shear, abs=0.5), material


def test_the_isotropic_rule_is_several_times_too_stiff_for_wood() -> None:
    # P2's trap: the true G/E of wood and ply is 0.05 to 0.07
    assert beams.isotropic_shear_modulus(modulus=1.0, poisson=0.35) > 5 * 0.07


def test_the_constant_of_tn_4197_is_39_3_psi_by_its_own_definition() -> None:
    scale = flutter.STIFFNESS_SCALE / PSI
    assert scale == pytest.approx(39.3, abs=0.05)
    assert scale == pytest.approx(24 / math.pi * 0.25 * 1.4 * 14.696, rel=1e-5)


# One fin worked out on paper, in psi: A 2, t/c 0.05, taper 0.5, G 380,000 psi, sea level.
# A^3/((t/c)^3 (A+2)) = 8/(1.25e-4 x 4) = 16,000; x (0.5+1)/2 = 12,000; x 39.3 = 471,600 psi
# (V/a)^2 = 380,000/471,600 = 0.80577; V/a = 0.89765
HAND = 0.89765
FIN = {"aspect_ratio": 2.0, "taper": 0.5, "thickness_ratio": 0.05}


def test_flutter_speed_of_a_fin_worked_out_by_hand() -> None:
    found = flutter.flutter_speed(shear_modulus=380_000 * PSI, pressure=14.696 * PSI, speed_of_sound=1.0, **FIN)
    assert found == pytest.approx(HAND, rel=5e-4)  # 39.3 is printed to three digits


def test_the_form_of_the_hobby_pages_is_rejected_as_root_two_too_high() -> None:
    # V/a = sqrt(G/(1.337 A^3 P (lambda+1)/(2 (A+2) (t/c)^3))), P in psi: half the true denominator
    shape = 2.0**3 / (2 * (2.0 + 2) * 0.05**3)
    hobby = math.sqrt(380_000 / (1.337 * shape * 14.696 * (0.5 + 1)))
    ours = flutter.flutter_speed(shear_modulus=380_000 * PSI, pressure=14.696 * PSI, speed_of_sound=1.0, **FIN)
    assert hobby / ours == pytest.approx(math.sqrt(2), rel=1e-3)
