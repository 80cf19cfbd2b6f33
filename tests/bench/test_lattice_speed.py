"""How fast the lattice is beside the reference library's, on as many panels, all derivatives in both: a ratio."""

import time
from typing import Any

import pytest

from foamworks.physics.vortex.lattice import solve
from foamworks.physics.vortex.panels import Surface

ROWS = [
    Surface("wing", x=(0.0, 0.08), y=(0, 0.5), z=(0, 0), chord=(0.22, 0.12)),
    Surface("tail", x=(0.50, 0.53), y=(0, 0.2), z=(0.05, 0.05), chord=(0.12, 0.08)),
    Surface("fin", x=(0.46, 0.54), y=(0, 0), z=(0.06, 0.22), chord=(0.16, 0.09), mirrored=False),
]
LEAST = 10.0  # times as fast (aim: 20)


def ours() -> Any:
    return solve(
        ROWS, reference_area=0.2, reference_span=1.0, reference_chord=0.2, strips=12, chordwise=5, spacing="even"
    )


@pytest.mark.filterwarnings("ignore")  # the library's own
def test_the_lattice_is_ten_times_as_fast_as_the_reference(benchmark: Any) -> None:
    asb = pytest.importorskip("aerosandbox")
    wings = [
        asb.Wing(
            name=row.name,
            symmetric=row.mirrored,
            xsecs=[
                asb.WingXSec(xyz_le=[x, y, z], chord=c, airfoil=asb.Airfoil("naca0006"))
                for x, y, z, c in zip(row.x, row.y, row.z, row.chord, strict=True)
            ],
        )
        for row in ROWS
    ]
    plane = asb.Airplane(wings=wings, s_ref=0.2, c_ref=0.2, b_ref=1.0, xyz_ref=[0.1, 0, 0])

    def theirs() -> Any:
        return asb.VortexLatticeMethod(
            airplane=plane, op_point=asb.OperatingPoint(velocity=20), spanwise_resolution=12, chordwise_resolution=5
        ).run_with_stability_derivatives()

    theirs()
    ours()
    slow, fast = [], []
    for _ in range(3):
        start = time.perf_counter()
        theirs()
        slow.append(time.perf_counter() - start)
        start = time.perf_counter()
        answer = ours()
        fast.append(time.perf_counter() - start)
    ratio = sorted(slow)[1] / sorted(fast)[1]
    benchmark.extra_info["times as fast"] = ratio
    print(f"\nlattice of {answer.panel_count} panels: {ratio:.1f} x as fast as the reference (300 panels)")
    benchmark.pedantic(ours, rounds=3)
    assert ratio >= LEAST
