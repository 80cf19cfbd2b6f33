"""Fins that touch the tailplane, a T tail and the damping in roll, pitch and yaw, against the reference library.

The library turns its rates about the origin whatever point its moments are taken about, so both are put there. It has
its control points in the middle of wide tip strips: first order in the strips, so two densities are extrapolated.
"""

from typing import Any

import pytest

from foamworks.physics.vortex.lattice import solve
from foamworks.physics.vortex.panels import Surface

AREA, SPAN, CHORD = 0.152, 0.92, 0.17
JOINT = 0.14  # y of the twin fins: a station of the tailplane, so that the library has a strip's edge there too
WING = Surface("wing", x=(0.24, 0.322), y=(0, 0.46), z=(-0.002, 0.022), chord=(0.223, 0.116))
TAIL = Surface(
    "tail",
    x=(0.712, 0.712 + 0.04 * JOINT / 0.178, 0.752),
    y=(0, JOINT, 0.178),
    z=(0.034,) * 3,
    chord=(0.118, 0.118 - 0.046 * JOINT / 0.178, 0.072),
)
AIRCRAFT = {
    "single fin on the tailplane": [
        WING,
        TAIL,
        Surface("fin", x=(0.676, 0.778), y=(0, 0), z=(0.034, 0.186), chord=(0.162, 0.076), mirrored=False),
    ],
    "twin fins on the tailplane": [
        WING,
        TAIL,
        Surface("fins", x=(0.72, 0.77), y=(JOINT, JOINT), z=(0.034, 0.134), chord=(0.08, 0.05)),
    ],
    "T tail": [
        Surface("wing", x=(0.2, 0.35), y=(0, 0.5), z=(0.05, 0.08), chord=(0.2, 0.1)),
        Surface("fin", x=(0.68, 0.75), y=(0, 0), z=(0.03, 0.18), chord=(0.14, 0.1), mirrored=False),
        Surface("tail", x=(0.75, 0.79), y=(0, 0.18), z=(0.18, 0.18), chord=(0.1, 0.06)),
    ],
}
NAMES = {
    "lift_slope": "CLa",
    "neutral_point_x": "x_np",
    "side_slope": "CYb",
    "yaw_stiffness": "Cnb",
    "dihedral_effect": "Clb",
    "roll_damping": "Clp",
    "pitch_damping": "Cmq",
    "yaw_damping": "Cnr",
}
SIDEWAYS = {"side_slope", "yaw_stiffness", "dihedral_effect", "yaw_damping"}


def library(surfaces: list[Surface], strips: int) -> dict[str, float]:
    asb: Any = pytest.importorskip("aerosandbox")
    wings = [
        asb.Wing(
            symmetric=s.mirrored,
            xsecs=[
                asb.WingXSec(xyz_le=list(place), chord=chord, airfoil=asb.Airfoil("naca0006"))
                for *place, chord in zip(s.x, s.y, s.z, s.chord, strict=True)
            ],
        )
        for s in surfaces
    ]
    craft = asb.Airplane(wings=wings, s_ref=AREA, b_ref=SPAN, c_ref=CHORD, xyz_ref=[0, 0, 0])
    lattice = asb.VortexLatticeMethod(
        craft, asb.OperatingPoint(velocity=1), spanwise_resolution=strips, chordwise_resolution=4
    )
    data = lattice.run_with_stability_derivatives()
    return {ours: float(data[theirs].item()) for ours, theirs in NAMES.items()}


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # the library's own
@pytest.mark.parametrize("name", AIRCRAFT)
def test_touching_surfaces_and_damping_agree_with_the_reference_library_at_its_limit(name):
    answer = solve(AIRCRAFT[name], reference_area=AREA, reference_span=SPAN, reference_chord=CHORD)
    coarse, fine = library(AIRCRAFT[name], 10), library(AIRCRAFT[name], 20)
    for key in NAMES:
        limit = 2 * fine[key] - coarse[key]
        if name == "T tail" and key in SIDEWAYS:
            limit = fine[key]  # where the fin meets the tailplane the library's own values scatter by 2 %
        if key == "neutral_point_x":
            assert answer.neutral_point_x == pytest.approx(limit, abs=0.005 * CHORD)
        else:
            assert getattr(answer, key) == pytest.approx(limit, rel=0.03), key
