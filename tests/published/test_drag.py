"""Friction, form factors and bluff bodies against printed values."""

import pytest

from foamworks.physics.flight import drag
from routes import plates

REYNOLDS = (1e5, 5e5, 1e6, 1e7)
# Schlichting, Boundary-Layer Theory, and Schoenherr (from memory), one side of a plate
TURBULENT = {
    drag.turbulent_friction: (0.007156, 0.005106, 0.004471, 0.003004),
    plates.power_law_friction: (0.007400, 0.005363, 0.004669, 0.002946),
    plates.schoenherr_friction: (0.007179, 0.005057, 0.004409, 0.002934),
}


@pytest.mark.parametrize(("reynolds", "expected"), [(1e5, 0.004200), (2e5, 0.002969), (5e5, 0.001878), (1e6, 0.001328)])
def test_blasius_friction(reynolds, expected):
    # Blasius, 1.328/sqrt(Re), one side
    assert drag.laminar_friction(reynolds=reynolds) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("formula", "reynolds", "expected"),
    [(formula, re, value) for formula, row in TURBULENT.items() for re, value in zip(REYNOLDS, row, strict=True)],
)
def test_turbulent_friction(formula, reynolds, expected):
    assert formula(reynolds=reynolds) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(("thickness", "expected"), [(0.06, 1.1208), (0.09, 1.1839), (0.12, 1.2524), (0.15, 1.3304)])
def test_form_factor_of_a_wing(thickness, expected):
    # Hoerner, Fluid-Dynamic Drag, ch. 6 (from memory)
    assert drag.wing_form_factor(thickness=thickness) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(("fineness", "expected"), [(3, 1.5479), (4, 1.2969), (6, 1.1345), (8, 1.0800), (10, 1.0544)])
def test_form_factor_of_a_body(fineness, expected):
    # Hoerner, Fluid-Dynamic Drag, ch. 6 (from memory)
    assert drag.body_form_factor(fineness=fineness) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("ratio", "crosswise", "expected"),
    [
        (1, False, 0.91), (2, False, 0.85), (4, False, 0.87), (7, False, 0.99),
        (1, True, 0.63), (2, True, 0.68), (5, True, 0.74), (10, True, 0.82), (40, True, 0.98), (1e9, True, 1.20),
    ],
)  # fmt: skip
def test_drag_of_cylinders(ratio, crosswise, expected):
    # Matthews, Aeronautical Engineer's Data Book, p. 95, Fig. 5.13 (read): on the frontal area
    assert drag.cylinder_drag(ratio=ratio, crosswise=crosswise) == pytest.approx(expected, rel=0.05)


def test_a_bare_camera_is_a_cube_and_a_fairing_a_round_nosed_cylinder():
    # a cylinder with a hemisphere for a nose has 0.2 to 0.3 on its frontal area (Hoerner, White; from memory)
    area = 0.022 * 0.030
    assert drag.camera_drag_area(frontal_area=area, faired=False) / area == pytest.approx(1.05, rel=0.15)
    assert 0.2 <= drag.camera_drag_area(frontal_area=area, faired=True) / area <= 0.3
