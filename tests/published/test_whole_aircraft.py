"""Whole aircraft against their printed derivatives: two light aircraft, at one tenth of their size.

All from memory, nothing was opened. Derivatives: the Navion of Nelson, *Flight Stability and Automatic Control*, 2nd
ed., table B.1; the Cessna 172 class (cruise) of Roskam, *Airplane Flight Dynamics*, part I, appendix B. Geometry from
their three-views; fin, tail and body are within about 10 %. Flaps, slipstream and the propeller are not in it.
"""

import math
from dataclasses import dataclass

import pytest

from foamworks.aircraft import fins
from foamworks.aircraft.aero import Plane, study_aero
from foamworks.design.model import Design
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.burn_case import downwash_lag
from foamworks.study.lateral import side_derivatives

FOOT = 30.48  # mm, at one tenth
Rows = list[tuple[float, ...]]


@dataclass(frozen=True)
class Printed:
    """An aircraft in feet, x aft of its nose, z above the wing's root chord, and what is printed of it."""

    wing: Rows
    tail: Rows
    fin: Rows
    body: Rows
    elevator: float
    cg: tuple[float, float]
    cg_chord: float
    area: float
    chord: float
    values: dict[str, float]


NAVION = Printed(
    wing=[(6.9, 0, 0, 7.2), (7.7, 16.7, 2.2, 3.8)],
    tail=[(22.3, 0, 2.6, 4.0), (23.0, 6.6, 2.6, 2.5)],
    fin=[(21.2, 2.7, 5.3), (23.8, 7.4, 2.7)],
    body=[
        (0, 0.8, 0.8, 1.6), (1.5, 3.2, 3.2, 1.6), (5, 3.8, 4.2, 1.8), (9, 3.9, 4.6, 1.8), (13, 3.8, 4.6, 1.8),
        (18, 2.2, 3.2, 2.0), (27, 0.4, 0.8, 2.4),
    ],
    elevator=0.33,
    cg=(8.9, 0.8),
    cg_chord=0.295,
    area=184.0,
    chord=5.7,
    values={
        "lift": 4.44, "point": 0.295 + 0.683 / 4.44, "damping": -9.96, "lag": -4.36, "elevator": -0.923,
        "weathercock": 0.071, "dihedral": -0.074, "roll": -0.41, "body": -0.049,
    },
)  # fmt: skip
CESSNA = Printed(
    wing=[(6.9, 0, 0, 5.33), (6.9, 8.5, 0.26, 5.33), (7.45, 17.9, 0.54, 3.67)],
    tail=[(21.2, 0, -2.5, 4.2), (22.0, 5.65, -2.5, 2.7)],
    fin=[(20.2, -1.8, 4.5), (22.9, 2.5, 2.4)],
    body=[
        (0, 1.0, 1.2, -2.6), (1.5, 3.0, 3.0, -2.6), (5, 3.4, 4.0, -2.4), (8, 3.6, 4.8, -2.2), (12, 3.4, 4.4, -2.2),
        (16, 2.0, 2.8, -2.3), (26, 0.3, 1.0, -2.2),
    ],
    elevator=0.38,
    cg=(8.35, -1.5),
    cg_chord=0.25,
    area=174.0,
    chord=4.9,
    values={
        "lift": 4.6, "point": 0.25 + 0.89 / 4.6, "damping": -12.4, "lag": -5.2, "elevator": -1.28,
        "weathercock": 0.065, "dihedral": -0.089, "roll": -0.47, "body": -0.035,
    },
)  # fmt: skip
AIRCRAFT = pytest.mark.parametrize("printed", [NAVION, CESSNA], ids=["navion", "cessna 172"])


def design(printed: Printed) -> Design:
    def table(keys: str, rows: Rows) -> list[dict[str, float]]:
        return [dict(zip(keys.split(), (FOOT * v for v in row), strict=True)) for row in rows]

    return Design.model_validate(
        {
            "airframe": {
                "mass": 1000,
                "cg": {"x": FOOT * printed.cg[0], "z": FOOT * printed.cg[1]},
                "fuselage": {"sections": table("x width height z", printed.body)},
                "wing": {"stations": table("x y z chord", printed.wing)},
                "tailplane": {
                    "stations": table("x y z chord", printed.tail),
                    "elevator": {"chord_fraction": printed.elevator, "up": 20, "down": 15},
                },
                "fin": {"stations": table("x z chord", printed.fin), "mass": 10},
            }
        }
    )


def solved(printed: Printed) -> tuple[Plane, ReferenceWing, tuple[float, float]]:
    """Give the aircraft, its wing, and its printed centre of gravity [m]."""
    built = design(printed)
    wing = fins.reference(built)
    assert wing is not None
    cg = (wing.mac_le_x + printed.cg_chord * wing.mac, printed.cg[1] * FOOT / 1000)
    return study_aero(built, wing).stock, wing, cg


@AIRCRAFT
def test_the_geometry_has_the_printed_size(printed: Printed) -> None:
    _, wing, _ = solved(printed)
    assert wing.area * 1e6 / FOOT**2 == pytest.approx(printed.area, rel=0.02)
    assert wing.mac * 1e3 / FOOT == pytest.approx(printed.chord, rel=0.02)


@AIRCRAFT
def test_lift_slope_within_12_percent(printed: Printed) -> None:
    assert solved(printed)[0].solution.lift_slope == pytest.approx(printed.values["lift"], rel=0.12)


@AIRCRAFT
def test_neutral_point_of_the_lattice_within_2_and_a_half_percent_of_the_chord(printed: Printed) -> None:
    plane, wing, _ = solved(printed)
    found = (plane.neutral_point - wing.mac_le_x) / wing.mac
    assert found == pytest.approx(printed.values["point"], abs=0.025)


@AIRCRAFT
def test_the_flown_neutral_point_is_at_most_3_percent_ahead_and_never_aft(printed: Printed) -> None:
    """One of the two is met within 1 %; the other, whose tail the books give no loss, comes out on the safe side."""
    plane, wing, _ = solved(printed)
    behind = (plane.neutral_point_flown - wing.mac_le_x) / wing.mac - printed.values["point"]
    assert -0.03 < behind < 0


@AIRCRAFT
def test_pitch_damping_within_20_percent(printed: Printed) -> None:
    plane, _, cg = solved(printed)
    assert plane.pitch_damping(cg[0]) == pytest.approx(printed.values["damping"], rel=0.20)


@AIRCRAFT
def test_damping_by_the_rate_of_incidence_within_25_percent(printed: Printed) -> None:
    plane, _, cg = solved(printed)
    assert downwash_lag(plane, cg[0]) == pytest.approx(printed.values["lag"], rel=0.25)


@AIRCRAFT
def test_elevator_power_within_25_percent(printed: Printed) -> None:
    """The bare lattice is 33 and 79 % over it."""
    plane, _, cg = solved(printed)
    assert plane.elevator_moment(cg[0]) == pytest.approx(printed.values["elevator"], rel=0.25)


@AIRCRAFT
def test_dihedral_effect_within_30_percent(printed: Printed) -> None:
    """The low wing and the high one miss it by opposite signs without the wing's height on the body."""
    plane, wing, cg = solved(printed)
    found = side_derivatives(plane, wing, sweep=0.0, cg=cg, lift=0.4)
    assert found.roll_beta == pytest.approx(printed.values["dihedral"], rel=0.30)


@AIRCRAFT
def test_roll_damping_within_10_percent(printed: Printed) -> None:
    plane, _, cg = solved(printed)
    assert plane.solution.about(*cg).roll_damping == pytest.approx(printed.values["roll"], rel=0.10)


@AIRCRAFT
def test_the_body_in_yaw_within_20_percent(printed: Printed) -> None:
    """What is printed of the whole less the fin's part, which printed yaw damping gives."""
    plane, _, cg = solved(printed)
    assert plane.body is not None
    assert plane.body.yaw_about(cg[0]) == pytest.approx(printed.values["body"], rel=0.20)


@AIRCRAFT
def test_weathercock_stability_is_the_printed_fin_and_body(printed: Printed) -> None:
    plane, _, cg = solved(printed)
    assert math.isfinite(plane.yaw_stiffness(*cg))
    assert plane.yaw_stiffness(*cg) == pytest.approx(printed.values["weathercock"], rel=0.30)
