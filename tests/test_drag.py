"""Drag areas: closed forms, limits and order."""

import itertools
import math

import pytest

from foamworks.errors import PhysicsError
from foamworks.physics.flight import drag
from routes import level_flight

AIR = {"speed": 40.0, "viscosity": 1.46e-5}


@pytest.mark.parametrize("reynolds", [1e3, 1e4, 5e4, 1e5, 2e5, 2.5e5, 4e5, 5e5])
def test_friction_below_transition_is_laminar_never_negative(reynolds):
    # turbulent - 1700/Re alone is -0.0098 at 1e5
    assert drag.friction(reynolds=reynolds) == drag.laminar_friction(reynolds=reynolds) > 0


@pytest.mark.parametrize("reynolds", [7e5, 1e6, 3e6, 1e7])
def test_friction_above_transition_lies_between_laminar_and_turbulent(reynolds):
    laminar, turbulent = drag.laminar_friction(reynolds=reynolds), drag.turbulent_friction(reynolds=reynolds)
    assert laminar < drag.friction(reynolds=reynolds) < turbulent


def test_friction_has_no_jump():
    values = [drag.friction(reynolds=10 ** (5 + i / 2000)) for i in range(4000)]
    assert max(abs(b / a - 1) for a, b in itertools.pairwise(values)) < 0.01


def test_a_thin_plate_drags_its_friction_on_both_sides():
    area = drag.surface_drag_area(area=0.02, chord=0.1, thickness=0.0, **AIR)
    assert area == pytest.approx(2 * 0.02 * 1.328 / math.sqrt(40 * 0.1 / 1.46e-5))


def test_a_pod_is_its_body_and_its_base():
    pod = {"wetted_area": 0.015, "length": 0.18, "diameter": 0.0315, **AIR}
    body = drag.body_drag_area(**pod)
    base = drag.base_drag_area(base_area=math.pi / 4 * 0.0315**2, forebody=body)
    assert drag.pod_drag_area(**pod) == pytest.approx(body + base)


def test_more_drag_ahead_of_a_base_relieves_the_base():
    assert drag.base_drag_area(base_area=1e-3, forebody=4e-4) == pytest.approx(
        drag.base_drag_area(base_area=1e-3, forebody=1e-4) / 2
    )


def test_hoerners_base_drag_of_a_smooth_bullet():
    # 0.029/sqrt(0.1) = 0.0917 on the base when the forebody has 0.1 on it
    assert drag.base_drag_area(base_area=1.0, forebody=0.1) == pytest.approx(0.0917, abs=5e-5)


def test_drag_of_lift_is_the_lifting_lines():
    # C_Di = C_L^2/(pi A e), by hand: span 1 m, area 0.2 m2, A 5, e 0.9, C_L 0.5 at 100 Pa
    factor = drag.induced_factor(span=1.0, efficiency=0.9)
    assert factor * (0.5 * 100 * 0.2) ** 2 / 100.0 == pytest.approx(0.5**2 / (math.pi * 5 * 0.9) * 100 * 0.2)


def test_a_level_flight_gives_the_drag_area_that_balances_its_thrust():
    area = level_flight.drag_area_from_level_flight(thrust=6.0, speed=33.0, density=1.2)
    assert area * drag.dynamic_pressure(speed=33.0, density=1.2) == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: drag.friction(reynolds=0.0), "reynolds"),
        (lambda: drag.wing_form_factor(thickness=-0.1), "thickness"),
        (lambda: drag.body_form_factor(fineness=0.0), "fineness"),
        (lambda: drag.camera_drag_area(frontal_area=0.0, faired=True), "frontal area"),
    ],
)
def test_numbers_out_of_range_are_named(call, match):
    with pytest.raises(PhysicsError, match=match):
        call()
