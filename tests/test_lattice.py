import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics.vortex.derivatives import Solution
from foamworks.physics.vortex.lattice import solve
from foamworks.physics.vortex.panels import Flap, Surface

AREA, SPAN, CHORD = 0.152, 0.92, 0.17  # the reference of all complete aircraft here

DERIVATIVES = (
    "lift_slope",
    "pitch_stiffness",
    "neutral_point_x",
    "pitch_damping",
    "elevator_lift",
    "elevator_moment",
    "side_slope",
    "dihedral_effect",
    "yaw_stiffness",
    "side_by_roll_rate",
    "roll_damping",
    "yaw_by_roll_rate",
    "side_by_yaw_rate",
    "roll_by_yaw_rate",
    "yaw_damping",
)

WING = Surface("wing", x=(0.24, 0.322), y=(0, 0.46), z=(0, 0.022), chord=(0.223, 0.116))
TAIL = Surface("tail", x=(0.712, 0.752), y=(0, 0.178), z=(0.034, 0.034), chord=(0.118, 0.072), flap=Flap(0.3))
FIN = Surface("fin", x=(0.676, 0.778), y=(0, 0), z=(0.034, 0.186), chord=(0.162, 0.076), mirrored=False)


def twins(*, height: float = 0.1, out: float = 0.0, x: float = 0.72, chord: float = 0.08, up: float = 0.0) -> Surface:
    return Surface(
        "fins",
        x=(x, x + height / 2),
        y=(0.14, 0.14 + out),
        z=(0.034 + up, 0.034 + up + height),
        chord=(chord, 0.6 * chord),
    )


AIRCRAFT = {
    "single fin": [WING, TAIL, FIN],
    "twin fins": [WING, TAIL, twins()],
    "twin fins, 2 mm above the tailplane": [WING, TAIL, twins(up=0.002)],
    "low twin fins": [WING, TAIL, twins(height=0.04)],
    "twin fins canted 39 degrees": [WING, TAIL, twins(out=0.08)],
    "twin fins canted 60 degrees": [WING, TAIL, twins(out=0.1 * math.tan(math.radians(60)))],
    "twin fins ahead": [WING, TAIL, twins(x=0.65)],
    "twin fins behind": [WING, TAIL, twins(x=0.77)],
    "T tail": [
        Surface("wing", x=(0.2, 0.35), y=(0, 0.5), z=(0.05, 0.08), chord=(0.2, 0.1)),
        Surface("fin", x=(0.68, 0.75), y=(0, 0), z=(0.03, 0.18), chord=(0.14, 0.1), mirrored=False),
        Surface("tail", x=(0.75, 0.79), y=(0, 0.18), z=(0.18, 0.18), chord=(0.1, 0.06), flap=Flap(0.3)),
    ],
    "high wing with dihedral, tail in its wake": [
        Surface("wing", x=(0.25, 0.25), y=(0, 0.46), z=(0.05, 0.1), chord=(0.18, 0.15)),
        Surface("tail", x=(0.7, 0.72), y=(0.02, 0.17), z=(0.05, 0.05), chord=(0.11, 0.08), flap=Flap(0.25, (0.1, 0.9))),
        Surface("fin", x=(0.68, 0.72), y=(0, 0), z=(0.02, 0.14), chord=(0.12, 0.07), mirrored=False),
    ],
    "swept wing with fins on it": [
        Surface("wing", x=(0.2, 0.55), y=(0, 0.45), z=(0, 0), chord=(0.25, 0.1), flap=Flap(0.2, (0.2, 0.8))),
        Surface("fins", x=(0.5, 0.6), y=(0.3, 0.35), z=(0, 0.12), chord=(0.12, 0.06)),
    ],
}


def fly(surfaces: Sequence[Surface], at: tuple[float, float] = (0.33, 0.01), **settings: float) -> Solution:
    return solve(surfaces, reference_area=AREA, reference_span=SPAN, reference_chord=CHORD, at=at, **settings)  # type: ignore[arg-type]


def rectangle(aspect_ratio: float, **fields: object) -> Surface:
    return Surface("wing", x=(0, 0), y=(0, aspect_ratio / 2), z=(0, 0), chord=(1, 1), **fields)  # type: ignore[arg-type]


def alone(wing: Surface, **settings: object) -> Solution:
    """A wing on its own area, span and a chord of 1, about its leading edge."""
    return solve([wing], reference_area=2 * wing.area, reference_span=2 * wing.y[-1], reference_chord=1, **settings)  # type: ignore[arg-type]


def values(answer: Solution) -> dict[str, float]:
    return {name: getattr(answer, name) for name in DERIVATIVES}


@pytest.mark.slow
@pytest.mark.parametrize("name", AIRCRAFT)
def test_doubling_the_panels_moves_no_result_by_a_hundredth(name):
    coarse, fine = fly(AIRCRAFT[name]), fly(AIRCRAFT[name], density=2)
    assert coarse.neutral_point_x == pytest.approx(fine.neutral_point_x, abs=0.01 * CHORD)
    for key in ("lift_slope", "side_slope", "yaw_stiffness", "pitch_damping", "yaw_damping", "roll_damping"):
        assert getattr(coarse, key) == pytest.approx(getattr(fine, key), rel=0.01), key
    for surface in coarse.surfaces:
        if surface.name.startswith("fin"):
            assert coarse.side_force_slope(surface.name) == pytest.approx(fine.side_force_slope(surface.name), rel=0.01)


@pytest.mark.parametrize("name", AIRCRAFT)
def test_moving_the_point_equals_solving_again(name):
    moved, fresh = fly(AIRCRAFT[name]).about(0.41, -0.02), fly(AIRCRAFT[name], at=(0.41, -0.02))
    assert values(moved) == pytest.approx(values(fresh), rel=1e-9, abs=1e-9)


@given(k=st.floats(0.05, 20))
@settings(max_examples=15, deadline=None)
def test_scaling_the_aircraft_leaves_its_coefficients(k):
    grown = [
        replace(
            s,
            x=tuple(k * v for v in s.x),
            y=tuple(k * v for v in s.y),
            z=tuple(k * v for v in s.z),
            chord=tuple(k * v for v in s.chord),
        )
        for s in AIRCRAFT["twin fins"]
    ]
    small = fly(AIRCRAFT["twin fins"])
    large = solve(
        grown,
        reference_area=k * k * AREA,
        reference_span=k * SPAN,
        reference_chord=k * CHORD,
        at=(k * 0.33, k * 0.01),
    )
    expected = values(small) | {"neutral_point_x": k * small.neutral_point_x}
    assert values(large) == pytest.approx(expected, rel=1e-7, abs=1e-9)


@given(
    fore=st.floats(-0.5, 0.5),
    up=st.floats(-0.2, 0.2),
)
@settings(max_examples=10, deadline=None)
def test_moving_the_aircraft_and_the_point_together_changes_nothing(fore, up):
    name = "twin fins canted 39 degrees"
    moved = [replace(s, x=tuple(v + fore for v in s.x), z=tuple(v + up for v in s.z)) for s in AIRCRAFT[name]]
    there, here = fly(moved, at=(0.33 + fore, 0.01 + up)), fly(AIRCRAFT[name])
    expected = values(here) | {"neutral_point_x": here.neutral_point_x + fore}
    assert values(there) == pytest.approx(expected, rel=1e-6, abs=1e-8)


@given(out=st.floats(0, 0.15), height=st.floats(0.03, 0.15))
@settings(max_examples=10, deadline=None)
def test_turning_the_aircraft_upside_down_changes_the_signs_it_should(out, height):
    """Mirrored in z: what couples roll with yaw and sideslip changes sign, all else stays."""
    craft = [WING, TAIL, twins(out=out, height=height)]
    upright = fly(craft, at=(0.33, 0.0))
    over = fly([replace(s, z=tuple(-v for v in s.z)) for s in craft], at=(0.33, 0.0))
    turned = {"dihedral_effect", "side_by_roll_rate", "yaw_by_roll_rate", "roll_by_yaw_rate"}
    expected = {key: -v if key in turned else v for key, v in values(upright).items()}
    assert values(over) == pytest.approx(expected, rel=1e-8, abs=1e-9)


@pytest.mark.slow
@given(sweep=st.floats(-0.8, 0.8), taper=st.floats(0.3, 1.0))
@settings(max_examples=10, deadline=None)
def test_a_wing_flown_backwards_lifts_the_same(sweep, taper):
    """Reverse-flow theorem (Munk; Ursell & Ward 1950): the lift slope of a flat wing is that of the reversed wing."""
    wing = Surface("wing", x=(0, 2 * sweep), y=(0, 2), z=(0, 0), chord=(1, taper))
    back = Surface("wing", x=(-1, -2 * sweep - taper), y=(0, 2), z=(0, 0), chord=(1, taper))
    # at 40 degrees of sweep a wing with a kink at its root converges slowly: twice the default density
    assert alone(wing, density=2).lift_slope == pytest.approx(alone(back, density=2).lift_slope, rel=0.005)


@pytest.mark.parametrize("fraction", [0.1, 0.25, 0.3, 0.5, 0.8])
def test_a_flap_on_a_very_long_wing_has_glauert_s_effect(fraction):
    """Thin aerofoil: cl_delta = 2(pi - h + sin h), quarter-chord moment -(sin h)(1 - cos h)/2, cos h = 2E - 1."""
    wing = rectangle(4000.0, flap=Flap(fraction))
    answer = solve([wing], reference_area=4000, reference_span=4000, reference_chord=1, at=(0.25, 0.0), strips=30)
    h = math.acos(2 * fraction - 1)
    assert answer.lift_slope == pytest.approx(2 * math.pi, rel=2e-3)
    assert answer.elevator_lift == pytest.approx(2 * (math.pi - h + math.sin(h)), rel=2e-3)
    assert answer.elevator_moment == pytest.approx(-math.sin(h) * (1 - math.cos(h)) / 2, rel=4e-3)


def test_an_all_moving_tailplane_is_a_flap_of_the_whole_chord():
    tail = replace(TAIL, x=(0.7, 0.7), chord=(0.1, 0.1), flap=Flap(1.0))
    answer = fly([WING, tail])
    assert answer.elevator_lift > 0 > answer.elevator_moment
    alone_slope = fly([tail]).lift_slope
    assert fly([tail]).elevator_lift == pytest.approx(alone_slope, rel=1e-9)


def test_a_hinge_s_sweep_turns_the_flap_less_into_the_wind():
    straight, swept = rectangle(2000.0, flap=Flap(0.3)), replace(rectangle(2000.0, flap=Flap(0.3)), x=(0, 1000))
    ratio = [alone(w, strips=20).elevator_lift / alone(w, strips=20).lift_slope for w in (straight, swept)]
    assert ratio[1] / ratio[0] == pytest.approx(math.cos(math.radians(45)), rel=0.01)


def test_two_half_flaps_do_what_one_whole_flap_does():
    inner, outer, both = (alone(rectangle(6.0, flap=Flap(0.3, span))) for span in ((0, 0.5), (0.5, 1), (0, 1)))
    assert inner.elevator_lift + outer.elevator_lift == pytest.approx(both.elevator_lift, rel=3e-3)


def test_signs_of_a_stable_aircraft_with_a_fin():
    answer = fly([WING, TAIL, FIN])
    assert answer.lift_slope > 0 > answer.pitch_stiffness
    assert answer.yaw_stiffness > 0 > answer.side_slope
    assert max(answer.pitch_damping, answer.yaw_damping, answer.roll_damping, answer.dihedral_effect) < 0
    assert answer.elevator_lift > 0 > answer.elevator_moment


def test_a_flap_on_a_fin_is_refused():
    with pytest.raises(PhysicsError, match="fin: a flap turns on both sides alike"):
        replace(FIN, flap=Flap(0.4))


def test_a_fin_s_yaw_damping_is_its_stiffness_on_its_arm():
    """A small fin on a long arm: Cnr = 2 CYb (arm/b)^2 (statics: the yaw rate is a sideslip of r arm/V)."""
    fin = replace(FIN, x=(10.0, 10.01), chord=(0.02, 0.02), z=(0, 0.05))
    answer = fly([fin], at=(0.0, 0.0))
    arm = answer.yaw_stiffness / -answer.side_slope * SPAN
    assert answer.yaw_damping == pytest.approx(2 * answer.side_slope * (arm / SPAN) ** 2, rel=2e-3)


def test_the_shares_of_the_surfaces_add_to_the_whole():
    answer = fly(AIRCRAFT["twin fins"])
    parts = [answer.share(s.name) for s in answer.surfaces]
    for key in set(DERIVATIVES) - {"neutral_point_x"}:
        assert sum(getattr(p, key) for p in parts) == pytest.approx(getattr(answer, key), abs=1e-12), key


def test_side_force_slope_is_the_fin_s_share_over_its_own_area():
    answer = fly(AIRCRAFT["twin fins"])
    fins = answer.surfaces[2]
    assert answer.side_force_slope("fins") == pytest.approx(-answer.share("fins").side_slope * AREA / (2 * fins.area))


def test_a_flat_wing_has_no_side_force():
    answer = alone(rectangle(6.0))
    assert max(abs(v) for v in (answer.side_slope, answer.yaw_stiffness, answer.dihedral_effect)) < 1e-12


def test_downwash_far_behind_a_wing_is_twice_that_at_it():
    """Elliptic loading: downwash slope in the far wake 2 CLa/(pi A) on the plane of symmetry (Prandtl)."""
    t = np.linspace(0, np.pi / 2, 60)
    wing = Surface(
        "wing", x=tuple(-np.cos(t) / 4), y=tuple(5 * np.sin(t)), z=(0,) * 60, chord=tuple(np.maximum(np.cos(t), 0))
    )
    answer = alone(wing, strips=60)  # the wake is looked at on the centre line, between single vortices
    aspect_ratio = 100 / (2 * wing.area)
    down = -answer.upwash(np.array([[1000.0, 0.0, 0.0]]), "wing")[0]
    assert down == pytest.approx(2 * answer.lift_slope / (math.pi * aspect_ratio), rel=0.02)


def test_ahead_of_a_very_long_wing_the_upwash_is_that_of_a_flat_plate():
    """Flat plate: 1 + upwash = sqrt((x - c)/x) with x from the leading edge, ahead negative (thin aerofoil theory)."""
    answer = alone(rectangle(2000.0), strips=30)
    for x in (-0.2, -0.5, -2.0):
        up = answer.upwash(np.array([[x, 0.0, 0.0]]))[0]
        assert 1 + up == pytest.approx(math.sqrt((x - 1) / x), rel=0.01)


def test_at_the_trailing_edge_the_wing_turns_the_flow_along_itself():
    answer = alone(rectangle(6.0))
    up = answer.upwash(np.array([[1.0, 0.02, 0.0]]))[0]
    assert up == pytest.approx(-1, abs=0.02)


def test_a_break_in_a_straight_wing_changes_nothing():
    """The same wing described with a third station; a flap's end cuts it there."""
    whole = alone(rectangle(6.0))
    cut = alone(rectangle(6.0, flap=Flap(0.3, (0.0, 0.37))))
    assert cut.lift_slope == pytest.approx(whole.lift_slope, rel=1e-3)
    assert cut.neutral_point_x == pytest.approx(whole.neutral_point_x, abs=1e-3)


@pytest.mark.parametrize("height", [0.0, 1e-6, 0.004, 0.02])
def test_a_tailplane_in_the_wing_s_wake_is_converged_at_any_height(height):
    """Trailing vortices of the wing pass at or just above the tailplane's control points."""
    wing = Surface("wing", x=(0.25, 0.25, 0.28), y=(0, 0.207, 0.46), z=(0, 0, 0), chord=(0.18, 0.18, 0.15))
    tail = Surface("tail", x=(0.7, 0.72), y=(0.02, 0.203), z=(height, height), chord=(0.11, 0.08))
    coarse, fine = fly([wing, tail]), fly([wing, tail], density=2)
    assert coarse.neutral_point_x == pytest.approx(fine.neutral_point_x, abs=0.002 * CHORD)
    assert coarse.lift_slope == pytest.approx(fine.lift_slope, rel=0.002)


def test_a_wing_stepped_in_chord_is_solved():
    step = Surface("wing", x=(0, 0, 0, 0), y=(0, 1, 1, 3), z=(0, 0, 0, 0), chord=(1.5, 1.5, 1, 1))
    coarse, fine = alone(step), alone(step, density=2)
    assert coarse.lift_slope == pytest.approx(fine.lift_slope, rel=0.01)


def test_a_pointed_tip_is_solved():
    delta = Surface("wing", x=(0, 1), y=(0, 1), z=(0, 0), chord=(1, 0))
    coarse, fine = alone(delta), alone(delta, density=2)
    assert coarse.lift_slope == pytest.approx(fine.lift_slope, rel=0.01)


def test_a_wing_of_elliptic_outline_is_converged():
    t = np.linspace(0, np.pi / 2, 60)
    chord = np.maximum(np.cos(t), 0)
    wing = Surface("wing", x=tuple(-chord / 4), y=tuple(5 * np.sin(t)), z=(0,) * 60, chord=tuple(chord))
    coarse, fine = alone(wing), alone(wing, density=4)
    assert coarse.lift_slope == pytest.approx(fine.lift_slope, rel=0.01)
    assert coarse.neutral_point_x == pytest.approx(fine.neutral_point_x, abs=1e-3)


def test_a_fin_with_a_rounded_tip_is_converged():
    """A square of 0.1 m with both upper corners rounded by 0.03 m, traced with 40 points."""
    a = np.linspace(0, np.pi / 2, 20)
    s, lead = 0.07 + 0.03 * np.sin(a), 0.03 - 0.03 * np.cos(a)
    chord = 0.1 - 2 * lead
    fin = Surface("fin", (0, *lead), (0,) * 21, (0, *s), (0.1, *chord), mirrored=False)
    coarse, fine = fly([fin]), fly([fin], density=4)
    assert coarse.side_force_slope("fin") == pytest.approx(fine.side_force_slope("fin"), rel=2e-3)


def test_panels_of_both_sides_are_counted():
    answer = solve(
        [rectangle(6.0)],
        reference_area=6,
        reference_span=6,
        reference_chord=1,
        strips=4,
        chordwise=2,
        spacing="even",
    )
    assert answer.panel_count == 16


@pytest.mark.parametrize(
    ("surfaces", "text"),
    [
        ([], "at least one surface"),
        ([WING, replace(TAIL, name="wing")], "same name"),
        ([WING, replace(WING, name="other")], "same place|lie in each other"),
    ],
)
def test_impossible_aircraft_are_refused(surfaces, text):
    with pytest.raises(PhysicsError, match=text):
        fly(surfaces)


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({"x": (0,)}, "at least two"),
        ({"y": (0, -1)}, "y >= 0"),
        ({"y": (0, 0), "z": (0, 1)}, "y >= 0"),
        ({"mirrored": False}, "y = 0"),
        ({"chord": (1, -1)}, "negative"),
        ({"z": (0, math.nan)}, "finite"),
        ({"y": (1, 1)}, "area"),
    ],
)
def test_impossible_surfaces_are_refused(fields, text):
    with pytest.raises(PhysicsError, match=text):
        Surface(**({"name": "wing", "x": (0, 0), "y": (0, 1), "z": (0, 0), "chord": (1, 1)} | fields))


@pytest.mark.parametrize(("fraction", "span"), [(0, (0, 1)), (1.1, (0, 1)), (0.3, (0.5, 0.5)), (0.3, (0, 1.2))])
def test_impossible_flaps_are_refused(fraction, span):
    with pytest.raises(PhysicsError, match="flap"):
        Flap(fraction, span)


def test_an_unknown_surface_is_named():
    with pytest.raises(PhysicsError, match="rudder: no such surface"):
        fly([WING]).share("rudder")
