"""What the lattice is given: surfaces through the fuselage where there is one, as drawn where there is none."""

from collections.abc import Callable

import pytest

from foamworks.aircraft import fins, surfaces
from foamworks.aircraft.solve import solve
from foamworks.design.model import Design

Small = Callable[..., Design]
# the old fin's edges, continued: leading edge 100 mm aft in 140 mm of height, chord 80 mm less
OLD = "stations = [{x=680, z=%g, chord=150}, {x=780, z=%g, chord=70}]"


def old_fin_surface(design: Design) -> surfaces.Surface:
    old = fins.old_fin(design)
    assert old is not None
    return next(s for s in surfaces.surfaces(design, old) if s.name == surfaces.FINS)


def test_the_wing_reaches_the_centre_line_by_its_own_edges(small: Small) -> None:
    table = "stations = [{x=250, y=50, z=0, chord=200}, {x=300, y=450, z=20, chord=120}]"
    wing = surfaces.surfaces(small({"airframe.wing": table}), None)[0]
    # 50 mm inboard at 80 mm of chord in 400 mm of span: 10 mm more chord, leading edge 6.25 mm further forward
    assert wing.y[0] == 0
    assert wing.chord[0] == pytest.approx(0.210)
    assert wing.x[0] == pytest.approx(0.24375)


def test_a_fin_over_the_tailplane_is_continued_down_to_it(small: Small) -> None:
    surface = old_fin_surface(small({"airframe.fin": OLD % (40, 180)}))
    # the tailplane lies at z = 30 under the fin, 10 mm below its root
    assert surface.z[0] == pytest.approx(0.030)
    assert surface.chord[0] == pytest.approx(0.150 + 0.080 * 10 / 140)
    assert surface.x[0] == pytest.approx(0.680 - 0.100 * 10 / 140)


def test_a_fin_ahead_of_the_tailplane_is_continued_to_the_bodys_axis(small: Small) -> None:
    table = "stations = [{x=520, z=40, chord=150}, {x=620, z=180, chord=70}]"
    surface = old_fin_surface(small({"airframe.fin": table}))
    # the body's centre at the root chord's middle, x = 595: 6 + 4 (595 - 500)/300 mm
    assert surface.z[0] == pytest.approx(0.001 * (6 + 4 * 95 / 300))


def test_the_same_rule_holds_for_new_fins(small: Small) -> None:
    solved = solve(small()).design
    new = fins.new_fins(solved)
    assert new is not None
    surface = next(s for s in surfaces.surfaces(solved, new) if s.name == surfaces.FINS)
    assert surface.z[0] == pytest.approx(0.030)  # given at 32, on a tailplane at 30
    assert new.stations.s[0] == 0.0


def test_without_a_fuselage_surfaces_stand_as_given(small: Small) -> None:
    design = small({"airframe.fuselage": None})
    surface = old_fin_surface(design)
    assert surface.z[0] == pytest.approx(0.040)
    assert surface.chord[0] == pytest.approx(0.150)


def test_the_tailplane_goes_through_a_fuselage_only(small: Small) -> None:
    table = "stations = [{x=720, y=25, z=30, chord=90}, {x=720, y=180, z=30, chord=90}]"
    through = surfaces.tail_surface(_airframe(small({"airframe.tailplane": table})))
    given = surfaces.tail_surface(_airframe(small({"airframe.tailplane": table, "airframe.fuselage": None})))
    assert through is not None
    assert given is not None
    assert through.y[0] == 0
    assert given.y[0] == pytest.approx(0.025)


def test_the_elevator_keeps_its_place_on_a_tailplane_continued_inward(small: Small) -> None:
    table = (
        "stations = [{x=720, y=30, z=30, chord=90}, {x=720, y=180, z=30, chord=90}]\n"
        "elevator = { chord_fraction = 0.3, up = 20, down = 14, span = [0, 0.8] }"
    )
    surface = surfaces.tail_surface(_airframe(small({"airframe.tailplane": table})))
    assert surface is not None
    assert surface.flap is not None
    # from y = 30 to 150 of a half that now reaches from 0 to 180
    assert surface.flap.span == pytest.approx((30 / 180, 150 / 180))


@pytest.mark.parametrize(("cant", "side"), [(0, 0.120), (20, 0.120 + 0.05 * 0.342020)])
def test_cant_tips_the_tops_outward(small: Small, cant: int, side: float) -> None:
    table = (
        f"root = {{ x = 690, y = 120, z = 30 }}\ncant = {cant}\n"
        "each = { root_chord = 80, tip_chord = 80, height = 50 }"
    )
    design = small({"fins": table})
    new = fins.new_fins(design)
    assert new is not None
    surface = next(s for s in surfaces.surfaces(design, new) if s.name == surfaces.FINS)
    assert surface.y[-1] == pytest.approx(side, rel=1e-6)
    assert surface.mirrored


def _airframe(design: Design) -> surfaces.Airframe:
    return design.airframe


def test_a_fin_on_a_point_is_not_continued(small: Small) -> None:
    fin = "stations = [{x=520, z=50, chord=1e-6}, {x=520, z=190, chord=170}]"
    assert old_fin_surface(small({"airframe.fin": fin})).z[0] == pytest.approx(0.050)


def test_a_fin_that_narrows_to_its_root_is_continued_only_until_its_edges_meet(small: Small) -> None:
    # 30 mm of chord at the root, 170 at the tip 140 mm higher: the edges meet 30 mm below, above the body's axis
    table = "stations = [{x=520, z=50, chord=30}, {x=520, z=190, chord=170}]"
    surface = old_fin_surface(small({"airframe.fin": table}))
    assert surface.z[0] == pytest.approx(0.020, abs=2e-4)
    assert surface.chord[0] == pytest.approx(1e-4, rel=1e-3)
