"""The map of nozzle places: at the design's own place it is the study; elsewhere geometry and signs hold."""

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.checks.case import Case
from foamworks.design.airframe import NoAirframe
from foamworks.parts.mount import greatest_tilt
from foamworks.parts.mounted_pod import over_back
from foamworks.study import placement
from foamworks.study.placement import PlacementMap, placement_map, promising
from foamworks.study.placement_room import fit_limits, plume_angles

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
POD = (
    'tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = "auto"\n'
    'nose = { profile = "cone", length = 50 }\nretainer = "cap"'
)


@pytest.fixture(scope="module")
def case(small_file: Callable[..., Path]) -> Case:
    return kept.check(small_file({"airframe.fan": FAN, "pod": POD}))


def entry(case: Case) -> float:
    assert case.study.burn is not None
    run = case.study.burn.boosts[0].run
    assert run is not None
    return run.entry


def map_of(case: Case, count: int = 8) -> PlacementMap:
    study = case.study
    found = placement_map(
        case.design, case.asked, flying=study.flying, balance=study.balance,
        entry=entry(case), count=count, spare=study.tolerance.spare if study.tolerance else 0.0,
    )  # fmt: skip
    assert found is not None
    return found


def one_place(case: Case, monkeypatch: pytest.MonkeyPatch, x: float, z: float) -> PlacementMap:
    monkeypatch.setattr(placement, "_grid", lambda *_: (np.array([x]), np.array([z])))
    return map_of(case)


def test_at_the_designs_own_place_it_is_the_study(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    found = one_place(case, monkeypatch, 0.690, 0.095)
    assert case.study.balance is not None
    assert case.study.thrust_line is not None
    margins = [row.static_margin or 0 for row in case.study.balance.rows if row.name != "no pod"]
    assert found.margin[0, 0] == pytest.approx(min(margins), abs=2e-3)  # settled anew, to a gram of lead
    assert found.downthrust[0, 0] == pytest.approx(case.study.thrust_line.downthrust, abs=math.radians(0.3))
    moments = [abs(row.moment) for row in case.study.thrust_line.rows]
    assert found.moment[0, 0] == pytest.approx(max(moments), abs=29 * 0.37 * math.radians(0.3))
    assert case.study.burn is not None
    assert case.study.burn.response is not None
    worst = max(abs(held.worst_elevator or 0) for held in case.study.burn.response.held)
    assert found.share[0, 0] >= worst / math.radians(20) * 0.9  # at least what the exact errors ask for


def test_further_aft_the_motor_takes_margin(case: Case) -> None:
    margin = map_of(case).margin
    assert (np.diff(margin, axis=1) <= 2e-3).all()  # a gram of ballast more may be worth a little more than it needs
    assert (margin[:, -1] < margin[:, 0] - 0.05).all()


def test_higher_the_booster_pitches_harder_once_the_tilt_is_used_up(case: Case) -> None:
    found = map_of(case)
    high = found.downthrust[:, -1] >= math.radians(12) - 1e-9
    assert high.any()
    assert (np.diff(found.moment[high, -1]) > 0).all()


def test_inside_the_fuselage_nothing_fits(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    found = one_place(case, monkeypatch, 0.600, 0.030)
    assert not found.fits[0, 0]
    assert not found.good[0, 0]


def test_behind_the_fuselage_no_mount_stands(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    assert one_place(case, monkeypatch, 0.700, 0.1).fits[0, 0]
    assert not one_place(case, monkeypatch, 0.990, 0.1).fits[0, 0]


@pytest.mark.parametrize("place", [(0.690, 0.062), (0.600, 0.068), (0.690, 0.070), (0.760, 0.072)])
def test_the_tilt_that_fits_agrees_with_the_exact_search(case: Case, place: tuple[float, float]) -> None:
    shape = over_back(case.design)
    assert shape is not None
    quick = fit_limits(shape, np.array([place]), most=math.radians(12))[0]
    exact = greatest_tilt(
        sections=shape.sections, lower=shape.under, nozzle=(1e3 * place[0], 1e3 * place[1]), air_gap=4.0
    )
    if exact is None:
        assert math.isnan(quick)
    else:
        assert quick == pytest.approx(min(exact, math.radians(12)), abs=math.radians(0.15))


@pytest.mark.parametrize(("y", "place"), [(20, (0.690, 0.066)), (30, (0.690, 0.058)), (45, (0.640, 0.04))])
def test_a_twin_pod_fits_as_the_exact_search_all_round_says(case: Case, y: float, place: tuple[float, float]) -> None:
    assert case.design.pod is not None
    twin = case.design.model_copy(update={"pod": case.design.pod.model_copy(update={"count": 2, "y": y / 1e3})})
    shape = over_back(twin)
    assert shape is not None
    quick = fit_limits(shape, np.array([place]), most=math.radians(12))[0]
    exact = greatest_tilt(
        sections=shape.sections, lower=shape.under, nozzle=(1e3 * place[0], 1e3 * place[1]), air_gap=4.0, y=y
    )
    assert exact is not None
    assert exact < math.radians(12)
    assert quick == pytest.approx(exact, abs=math.radians(0.6))  # takes the nose for as wide as the tube


def test_the_plumes_angle_is_that_of_the_nearest_point(case: Case) -> None:
    """A fin's tip 100 mm aft and 60 mm beside a 24 mm case: atan((60 - 12)/100) at most."""
    bare = case.design.model_copy(update={"airframe": NoAirframe()})
    fins = case.design.fins
    assert fins is not None
    assert fins.each is not None
    nozzle = np.array([[fins.root.x - 0.100, fins.root.z]])
    found = plume_angles(bare, (0.0,), nozzle, np.zeros(1))[0]
    # the root's leading edge stands 120 mm abeam, 100 mm behind the nozzle, at its height
    # and the fin's points further aft are seen at smaller angles
    along = 0.100 + fins.each.root_chord
    assert math.atan2(0.120 - 0.012, along) - 0.02 < found < math.atan2(0.120 - 0.012, 0.100) + 1e-9


def test_ahead_of_the_nozzle_nothing_is_in_the_plume(case: Case) -> None:
    bare = case.design.model_copy(update={"airframe": NoAirframe()})
    assert plume_angles(bare, (0.0,), np.array([[2.0, 0.1]]), np.zeros(1))[0] == math.inf


def test_what_is_tried_first_is_good_where_there_is_one_and_stands_apart(case: Case) -> None:
    found = map_of(case, 16)
    chosen = promising(found, 4)
    assert found.good.any()
    assert found.good[chosen[0]]
    assert all(found.fits[place] for place in chosen)
    for (row, column), (other, beside) in itertools.combinations(chosen, 2):
        assert max(abs(row - other), abs(column - beside)) >= 3


def test_where_nothing_fits_nothing_is_tried(case: Case) -> None:
    found = map_of(case)
    assert promising(replace(found, fits=np.zeros_like(found.fits)), 4) == []


def test_good_places_keep_every_wish(case: Case) -> None:
    found = map_of(case, 16)
    assert (found.margin[found.good] >= 0.05 - 1e-9).all()
    assert (found.share[found.good] <= 1 / 3).all()
    assert (found.plume[found.good] >= math.radians(15)).all()


@pytest.mark.parametrize("gone", ["pod", "motors", "airframe"])
def test_without_what_it_rests_on_there_is_no_map(case: Case, gone: str) -> None:
    none = {"pod": None, "motors": (), "airframe": NoAirframe()}
    design = case.design.model_copy(update={gone: none[gone]})
    study = case.study
    found = placement_map(design, case.asked, flying=study.flying, balance=study.balance, entry=math.nan)
    assert found is None


def test_without_an_entry_speed_the_elevators_share_is_not_known(case: Case) -> None:
    study = case.study
    found = placement_map(
        case.design,
        case.asked,
        flying=study.flying,
        balance=study.balance,
        entry=math.nan,
        count=3,
    )
    assert found is not None
    assert np.isnan(found.share).all()
