"""Worked weight-and-balance problems of manuals, examinations and load sheets; units are each source's own."""

import pytest

from foamworks.physics import balance, trim
from routes import weight_and_balance

# name, masses, places, total, centroid, tolerance of the centroid, source
SHEETS = [
    ("W1", [100, 100, 200], [50, 90, 150], 400, 110.0, 1e-12, "FAA-H-8083-1B ch. 2, memory"),
    ("W10 empty", [579.0, 150, 45.4], [2068.0, 2536.0, 3288.8], 774.40, 2230.22, 0.01, "light-aircraft sheet, read"),
    ("W10", [579.0, 150, 45.4, 135.36], [2068.0, 2536.0, 3288.8, 2082.0], 909.76, 2208.17, 0.01, "same, read"),
    ("W13", [2100, 340, 350, 450, 80], [78.3, 85.0, 121.0, 75.0, 150.0], 3320, 84.8, 0.05, "PHAK; arms memory"),
    ("W14", [100, 200, 200], [0, 80, 100], 500, 72.0, 1e-12, "FAA-H-8083-1B Fig. 2-11; arms memory"),
    ("W14 moved", [100, 200, 200], [0, 25, 100], 500, 50.0, 1e-12, "same"),
    ("W16", [1150, 190, 135, 15, 156], [13.0, 12.6, 12.6, 42.1, 13.6], 1646, 13.24, 0.005, "training page, read"),
    ("W16 +35", [1150, 190, 135, 15, 156, 35], [13.0, 12.6, 12.6, 42.1, 13.6, 42.1], 1681, 13.84, 0.005, "same"),
    ("W17", [475, 1046, 1040], [55, 121, 121], 2561, 108.76, 0.01, "exam item; answer own arithmetic"),
]


@pytest.mark.parametrize(("name", "masses", "places", "total", "cg", "tolerance", "source"), SHEETS)
def test_centroid_of_a_published_load_sheet(
    name: str, masses: list[float], places: list[float], total: float, cg: float, tolerance: float, source: str
) -> None:
    mass, x = balance.centroid(masses=masses, places=places)
    assert float(mass) == pytest.approx(total, rel=1e-12), f"{name}, {source}"
    assert float(x) == pytest.approx(cg, abs=tolerance), f"{name}, {source}"


# id, mass, cg, moved, start, end, new cg, tolerance
MOVES = [
    ("W3 PHAK, read", 8000, 77.0, 100, 30, 150, 78.5, 1e-12),
    ("W9 hobby-pilot page, read: 2.04 in", 2450, 0.0, 100, 0, 50, 2.04, 0.005),
    ("TRAP: a page prints 94.77, having added the load it moved", 4700, 97.0, 80, 142, 44, 95.33, 0.005),
]


@pytest.mark.parametrize(("source", "mass", "cg", "moved", "start", "end", "new", "tolerance"), MOVES)
def test_moving_a_weight_as_published(
    source: str, mass: float, cg: float, moved: float, start: float, end: float, new: float, tolerance: float
) -> None:
    shifted = weight_and_balance.after_moving(mass=mass, cg=cg, moved=moved, start=start, end=end)
    assert shifted == pytest.approx(new, abs=tolerance), source


def test_adding_a_weight_as_in_the_pilots_handbook() -> None:
    # W4, PHAK (from memory): 6,860 lb at 80.0, 140 lb added at station 150: 81.4
    assert weight_and_balance.after_adding(mass=6860.0, cg=80.0, added=140.0, place=150.0) == pytest.approx(
        81.4, abs=1e-9
    )


# id, mass, cg, target, place, ballast, tolerance
BALLAST = [
    ("W5 FAA written-test item, read: 35.9 / 36.0", 5000, 80.0, 80.5, 150, 35.97, 0.05),
    ("W15 FAA written-test item, read", 2900, 115.0, 116.0, 130, 207.1, 0.05),
]


@pytest.mark.parametrize(("source", "mass", "cg", "target", "place", "ballast", "tolerance"), BALLAST)
def test_ballast_for_a_limit_as_published(
    source: str, mass: float, cg: float, target: float, place: float, ballast: float, tolerance: float
) -> None:
    added = weight_and_balance.ballast_for(mass=mass, cg=cg, target=target, place=place)
    assert added == pytest.approx(ballast, abs=tolerance), source


# id, mass, cg, limit, start, end, moved, tolerance
SHIFTS = [
    ("W6 EASA question, read", 7500, 80.5, 79.5, 150, 30, 62.5, 1e-9),
    ("W7 EASA question, read", 3240, 81.0, 83.0, 25, 142, 55.38, 0.01),
    ("W8 EASA question, read", 9000, 2.0, 2.1, 0.8, 3.8, 300.0, 1e-9),
]


@pytest.mark.parametrize(("source", "mass", "cg", "limit", "start", "end", "moved", "tolerance"), SHIFTS)
def test_weight_to_shift_as_published(
    source: str, mass: float, cg: float, limit: float, start: float, end: float, moved: float, tolerance: float
) -> None:
    shift = weight_and_balance.shift_for(mass=mass, cg=cg, target=limit, start=start, end=end)
    assert shift == pytest.approx(moved, abs=tolerance), source


def test_percent_of_the_mean_chord_as_in_an_exam_item() -> None:
    # W17: CG 724, MAC from 517 to 1,706 in: 17.41 %
    assert weight_and_balance.percent_mac(cg=724.0, mac_le=517.0, mac=1706.0 - 517.0) == pytest.approx(17.41, abs=0.005)


def test_percent_of_a_trapezoid_s_mean_chord() -> None:
    # W11: root 1, tip 0.5, mean chord 7/9; a CG 0.3 aft of its leading edge is 0.3/(7/9) = 27/70 of it
    assert weight_and_balance.percent_mac(cg=1.3, mac_le=1.0, mac=7 / 9) == pytest.approx(100 * 27 / 70, rel=1e-12)


def test_hand_rule_of_the_trade_as_worked_out_on_paper() -> None:
    # c/6 + 3 St lt/(8 Sw), read: 0.2/6 = 0.03333; 3 x 0.048 x 0.55/(8 x 0.24) = 0.04125; together 0.07458 m
    cg = trim.balance_by_hand(chord=0.2, wing_area=0.24, tail_area=0.048, tail_arm=0.55)
    assert cg == pytest.approx(0.07458, abs=5e-6)
