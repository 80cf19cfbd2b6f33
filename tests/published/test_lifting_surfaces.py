"""The lattice against values that somebody else printed, against closed forms, and against a reference library."""

import math
from typing import Any

import numpy as np
import pytest

from foamworks.physics.vortex.derivatives import Solution
from foamworks.physics.vortex.lattice import solve
from foamworks.physics.vortex.panels import Surface


def rectangle(aspect_ratio: float, **how: Any) -> Solution:
    wing = Surface("wing", x=(0, 0), y=(0, aspect_ratio / 2), z=(0, 0), chord=(1, 1))
    return solve([wing], reference_area=aspect_ratio, reference_span=aspect_ratio, reference_chord=1, **how)


def swept_wing() -> Solution:
    """Bertin & Smith's example: aspect ratio 5, 45 degrees of sweep, four even strips a side, one panel deep."""
    wing = Surface("wing", x=(0, 0.5), y=(0, 0.5), z=(0, 0), chord=(0.2, 0.2))
    return solve(
        [wing], reference_area=0.2, reference_span=1, reference_chord=0.2, strips=4, chordwise=1, spacing="even"
    )


def test_bertin_and_smith_s_lift_slope() -> None:
    # Bertin & Smith / Cummings, Aerodynamics for Engineers, VLM example: 3.443 per rad (memory), 0.0601 per deg (read)
    assert swept_wing().lift_slope == pytest.approx(3.443, rel=2e-3)
    assert math.radians(1) * swept_wing().lift_slope == pytest.approx(0.0601, abs=5e-5)


def test_bertin_and_smith_s_circulations() -> None:
    # same example, Gamma/(4 pi b U alpha), root to tip (as listed in the course material read)
    found = swept_wing().circulation / (4 * math.pi)
    assert found == pytest.approx([0.0273, 0.0287, 0.0286, 0.0250], abs=1e-4)


@pytest.mark.parametrize(
    ("aspect_ratio", "slope", "centre"),
    # own values by a second lattice, 40 x 8 panels with tip inset (not published)
    [(2, 2.4735, 0.2102), (4, 3.6111, 0.2323), (6, 4.2137, 0.2390), (8, 4.5851, 0.2422), (10, 4.8374, 0.2439)],
)
def test_rectangular_wings_agree_with_a_second_lattice(aspect_ratio: float, slope: float, centre: float) -> None:
    wing = rectangle(aspect_ratio)
    assert wing.lift_slope == pytest.approx(slope, rel=0.01)
    assert wing.neutral_point_x == pytest.approx(centre, abs=0.003)


@pytest.mark.parametrize("aspect_ratio", [4, 6, 8, 10])
def test_a_lifting_surface_lifts_less_than_the_formulas_of_the_lifting_line(aspect_ratio: float) -> None:
    # Helmbold 2 pi A/(2 + sqrt(4 + A^2)) and Prandtl 2 pi A/(A + 2) (memory); the printed values are V5 of the list
    helmbold = 2 * math.pi * aspect_ratio / (2 + math.sqrt(4 + aspect_ratio**2))
    prandtl = 2 * math.pi * aspect_ratio / (aspect_ratio + 2)
    printed = {4: (3.8832, 4.1888), 6: (4.5287, 4.7124), 8: (4.9058, 5.0265), 10: (5.1510, 5.2360)}
    assert (helmbold, prandtl) == pytest.approx(printed[int(aspect_ratio)], abs=1e-4)
    assert 0.92 * helmbold < rectangle(aspect_ratio).lift_slope < helmbold


def test_a_slender_wing_tends_to_jones_s_slope() -> None:
    # R. T. Jones, NACA TR 835: pi A/2 as the aspect ratio goes to 0
    assert rectangle(0.05, strips=20, chordwise=30).lift_slope == pytest.approx(math.pi * 0.05 / 2, rel=0.02)


def test_tuck_s_square_wing() -> None:
    # Tuck, J. Austral. Math. Soc. B 35 (1993): square flat wing, 1.4602 per rad (memory)
    assert rectangle(1, strips=40, chordwise=16).lift_slope == pytest.approx(1.4602, rel=2e-3)


def test_an_elliptic_wing_has_the_span_efficiency_of_one() -> None:
    # Trefftz-plane theory: no planar wing is better than e = 1, an elliptic one reaches it
    t = np.linspace(0, np.pi / 2, 60)[:-1]
    chord = np.cos(t) * 4 / math.pi
    wing = Surface("wing", x=tuple(-chord / 4), y=tuple(3 * np.sin(t)), z=(0.0,) * len(t), chord=tuple(chord))
    answer = solve([wing], reference_area=6, reference_span=6, reference_chord=1, strips=40)
    assert answer.span_efficiency == pytest.approx(1.0, abs=0.01)


def test_wing_and_tail_have_the_neutral_point_of_two_other_codes() -> None:
    # own, two codes (not published): wing 1.2 x 0.2, tail 0.4 x 0.1 at x 0.7, z 0.05; slope 4.604, x_np 0.512 c,
    # tail efficiency 0.617
    wing = Surface("wing", x=(0, 0), y=(0, 0.6), z=(0, 0), chord=(0.2, 0.2))
    tail = Surface("tail", x=(0.7, 0.7), y=(0, 0.2), z=(0.05, 0.05), chord=(0.1, 0.1))
    both = solve([wing, tail], reference_area=0.24, reference_span=1.2, reference_chord=0.2)
    assert both.neutral_point_x / 0.2 == pytest.approx(0.512, abs=0.01)
    assert both.lift_slope == pytest.approx(4.604, rel=0.03)


def fin_by(angle: float) -> Solution:
    """Two fins far apart, their tops `angle` outward."""
    fin = Surface(
        "fin", x=(0, 0), y=(50.0, 50.0 + 0.2 * math.sin(angle)), z=(0, 0.2 * math.cos(angle)), chord=(0.1, 0.1)
    )
    return solve([fin], reference_area=0.02, reference_span=0.2, reference_chord=0.1, at=(-1.0, 0.0))


@pytest.mark.parametrize("degrees", [15, 30, 45, 60])
def test_cant_takes_the_square_of_the_cosine_of_the_side_force(degrees: float) -> None:
    # Purser & Campbell, NACA TR 823: side-force slope x sin^2 of the angle from horizontal, lift slope x cos^2 (memory)
    upright, canted = fin_by(0.0), fin_by(math.radians(degrees))
    share = math.cos(math.radians(degrees)) ** 2
    assert canted.side_slope / upright.side_slope == pytest.approx(share, rel=2e-3)
    assert canted.lift_slope / upright.side_slope == pytest.approx(-(1 - share), rel=2e-3)


def test_two_fins_far_apart_do_twice_what_one_does() -> None:
    # no interaction: C_nb of two is twice that of one
    alone = Surface("fin", x=(0, 0), y=(0, 0), z=(0, 0.2), chord=(0.1, 0.1), mirrored=False)
    one = solve([alone], reference_area=0.02, reference_span=0.2, reference_chord=0.1, at=(-1.0, 0.0))
    assert fin_by(0.0).yaw_stiffness == pytest.approx(2 * one.yaw_stiffness, rel=1e-3)


# Against the reference library ------------------------------------------------------------------------------------

WING = Surface("wing", x=(0.0, 0.08), y=(0, 0.5), z=(0, 0), chord=(0.22, 0.12))
STRAIGHT = Surface("wing", x=(0.0, 0.0), y=(0, 0.55), z=(0.06, 0.10), chord=(0.18, 0.18))
TAIL = Surface("tail", x=(0.50, 0.53), y=(0, 0.2), z=(0.05, 0.05), chord=(0.12, 0.08))
LOW_TAIL = Surface("tail", x=(0.55, 0.57), y=(0, 0.18), z=(-0.04, -0.04), chord=(0.10, 0.08))
FIN = Surface("fin", x=(0.46, 0.54), y=(0, 0), z=(0.06, 0.22), chord=(0.16, 0.09), mirrored=False)
TWINS = Surface("fin", x=(0.47, 0.53), y=(0.14, 0.14), z=(0.06, 0.19), chord=(0.11, 0.06))
SWEPT = Surface("wing", x=(0.0, 0.28), y=(0, 0.45), z=(0, 0.0), chord=(0.26, 0.10))
COMPLETE = {
    "single fin": [WING, TAIL, FIN],
    "twin fins": [WING, TAIL, TWINS],
    "high wing with dihedral": [STRAIGHT, TAIL, FIN],
    "swept wing, low tail": [SWEPT, LOW_TAIL, FIN],
}


def _reference(rows: list[Surface], strips: int, chordwise: int) -> tuple[float, float]:
    """Neutral point [m] and yaw stiffness by the library's lattice at one density."""
    asb = pytest.importorskip("aerosandbox")
    wings = []
    for row in rows:
        sections = [
            asb.WingXSec(xyz_le=[x, y, z], chord=c, airfoil=asb.Airfoil("naca0006"))
            for x, y, z, c in zip(row.x, row.y, row.z, row.chord, strict=True)
        ]
        wings.append(asb.Wing(name=row.name, symmetric=row.mirrored, xsecs=sections))
    plane = asb.Airplane(wings=wings, s_ref=0.2, c_ref=0.2, b_ref=1.0, xyz_ref=[0.1, 0, 0])
    flow = asb.VortexLatticeMethod(
        airplane=plane, op_point=asb.OperatingPoint(velocity=20), xyz_ref=[0.1, 0, 0],
        spanwise_resolution=strips, chordwise_resolution=chordwise, align_trailing_vortices_with_wind=False,
    )  # fmt: skip
    data = flow.run_with_stability_derivatives(alpha=True, beta=True, p=False, q=False, r=False)
    return 0.1 - 0.2 * float(data["Cma"]) / float(data["CLa"]), float(data["Cnb"])


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # the library's own
@pytest.mark.parametrize("name", COMPLETE)
def test_a_complete_aircraft_agrees_with_the_reference_library_at_its_limit(name: str) -> None:
    rows = COMPLETE[name]
    ours = solve(rows, reference_area=0.2, reference_span=1.0, reference_chord=0.2, at=(0.1, 0.0))
    coarse, fine = _reference(rows, 8, 4), _reference(rows, 16, 4)
    point, stiffness = (2 * b - a for a, b in zip(coarse, fine, strict=True))  # first order in the strips
    assert ours.neutral_point_x == pytest.approx(point, abs=0.015 * 0.2)
    assert ours.yaw_stiffness == pytest.approx(stiffness, rel=0.05)
