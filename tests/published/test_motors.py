"""Motors against what codes, certification sheets and makers print."""

import csv
import itertools
from pathlib import Path

import pytest

import foamworks.design
from foamworks.physics import circuit
from foamworks.physics.flight import motor
from routes import motors

# NAR, Standard Motor Codes (page read): upper limit of each class, N s, inclusive; the next class begins 0.01 above
LIMITS = [
    ("1/8A", 0.3125), ("1/4A", 0.625), ("1/2A", 1.25), ("A", 2.5), ("B", 5.0), ("C", 10.0), ("D", 20.0), ("E", 40.0),
    ("F", 80.0), ("G", 160.0), ("H", 320.0), ("I", 640.0), ("J", 1280.0), ("K", 2560.0), ("L", 5120.0), ("M", 10240.0),
    ("N", 20480.0), ("O", 40960.0),
]  # fmt: skip

# NAR certification sheets (from memory): impulse N s, peak N, burn s, propellant kg; printed mean N and Isp s
SHEETS = {
    "A8": (2.32, 9.73, 0.73, 0.00312, 3.18, 75.8),
    "B6": (4.33, 12.14, 0.86, 0.0056, 5.03, 78.8),
    "C6": (8.82, 14.09, 1.86, 0.0108, 4.74, 83.3),
    "D12": (16.84, 29.73, 1.65, 0.0211, 10.2, 81.4),
    "E9": (28.45, 19.47, 3.09, 0.0358, 9.2, 81.0),
}
TABLE = Path(foamworks.design.__path__[0]) / "tables" / "motor_classes.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize(("letter", "limit"), LIMITS)
def test_a_class_includes_its_upper_limit(letter, limit):
    assert motor.class_limit(letter) == limit
    assert motor.impulse_class(impulse=limit) == letter


@pytest.mark.parametrize(("below", "above"), list(itertools.pairwise(LIMITS)))
def test_the_next_class_begins_a_hundredth_above(below, above):
    assert motor.impulse_class(impulse=below[1] + 0.01) == above[0]


def test_a_designation_gives_class_mean_thrust_and_delay():
    # same page: "C6-3": class C, mean 6 N, 3 s from burnout to ejection, at most 10/6 = 1.67 s of burn ("about 1.7")
    read = motors.read_designation("C6-3")
    assert read == ("C", 6.0, 3.0, False)
    assert motors.longest_burn(read) == pytest.approx(1.67, abs=0.005)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C6-0", ("C", 6.0, 0.0, False)),  # a booster without delay
        ("D12-P", ("D", 12.0, None, True)),  # plugged
        ("1/2A3-2T", ("1/2A", 3.0, 2.0, False)),  # T: 13 mm, the trailing letter
        ("E9", ("E", 9.0, None, False)),
    ],
)
def test_delay_zero_is_a_booster_and_p_is_plugged(text, expected):
    assert motors.read_designation(text) == expected


@pytest.mark.parametrize(("burn", "mean"), [(1.36, 58.8), (1.4, 57.1), (1.24, 64.5), (1.2, 66.7)])
def test_mean_thrust_is_impulse_over_burn_time(burn, mean):
    # NFPA 1125 as a maker's page explains it (read): 80 N s with these burn times gives "57, 59, 65, 67 N"
    time, thrust = motor.plain_curve(impulse=80.0, burn=burn, peak=100.0)
    assert motor.mean_thrust(time=time, thrust=thrust) == pytest.approx(mean, abs=0.05)


@pytest.mark.parametrize(("name", "row"), SHEETS.items())
def test_certification_sheets_give_their_printed_mean_and_specific_impulse(name, row):
    impulse, peak, burn, propellant, mean, specific = row
    time, thrust = motor.plain_curve(impulse=impulse, burn=burn, peak=peak)
    assert motor.total_impulse(time=time, thrust=thrust) == pytest.approx(impulse, rel=1e-9)
    assert motor.mean_thrust(time=time, thrust=thrust) == pytest.approx(mean, abs=0.05 if mean > 9 else 0.006)
    assert motor.specific_impulse(impulse=impulse, propellant=propellant) == pytest.approx(specific, abs=0.06)
    assert motor.impulse_class(impulse=impulse) == name[0]


def test_a_label_is_not_a_mean():
    # C6 measures 4.74 N (sheet, from memory); a label may differ 20 % from the mean, this one differs by more
    impulse, peak, burn, *_ = SHEETS["C6"]
    time, thrust = motor.plain_curve(impulse=impulse, burn=burn, peak=peak)
    assert motor.mean_thrust(time=time, thrust=thrust) < 0.8 * motors.read_designation("C6-3").mean_thrust


@pytest.mark.parametrize(("specific", "grams"), [(80, 12.75), (190, 5.37)])
def test_ten_newton_seconds_need_the_printed_propellant(specific, grams):
    # a model FAQ's arithmetic (read): class limit 10 N s at 80 s and at 190 s
    assert motor.specific_impulse(impulse=10.0, propellant=grams / 1000) == pytest.approx(specific, rel=1e-3)


@pytest.mark.parametrize(
    ("impulse", "propellant", "mean", "high"),
    [
        (160.0, 0.0625, 80.0, False),  # NFPA 1122:2018 4.4-4.5 (read at second hand): beyond any of these
        (160.01, 0.0625, 80.0, True),
        (160.0, 0.0626, 80.0, True),
        (120.0, 0.06, 80.3, True),  # measured 80.3 N: high power though its name says 79
    ],
)
def test_high_power_begins_beyond_each_limit(impulse, propellant, mean, high):
    assert bool(motor.high_power_reasons(impulse=impulse, propellant=propellant, mean=mean)) is high


@pytest.mark.parametrize(
    ("mass", "propellant", "impulse", "within"),
    [(1.5, 0.125, 320, True), (1.501, 0.125, 320, False), (1.5, 0.126, 320, False), (1.5, 0.125, 321, False)],
)
def test_a_model_rocket_stays_within_all_three_limits(mass, propellant, impulse, within):
    # NFPA 1122:2018 4.4-4.5 (read at second hand): 1500 g, 125 g of propellant, 320 N s
    assert motor.within_model_limits(mass=mass, propellant=propellant, impulse=impulse) is within


@pytest.mark.parametrize(
    ("kind", "no_fire", "recommended"),
    [("black powder bridge wire", 1.0, None), ("older high-current", 1.25, None), ("pyrogen-dipped match", 0.3, 0.04)],
)
def test_a_lamp_of_120_milliamperes_is_no_safe_continuity_test(kind, no_fire, recommended):
    # makers' sheets as collected on a public wiki (read): no-fire currents; a match's test current stays under 0.04 A
    assert circuit.continuity(test_current=0.12, no_fire=no_fire) != "safe", kind
    if recommended is not None:
        assert circuit.continuity(test_current=0.12, no_fire=no_fire, custom=recommended) == "above custom"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['class']}-{row['diameter_mm']}")
class TestMotorClasses:
    # sizes read: 13x45, 18x70, 24x70, 24x95, and 29 mm by 98 to 124
    SIZES = (("13", "45"), ("18", "70"), ("24", "70"), ("24", "95"), ("29", "98"), ("29", "124"))

    def test_every_row_lies_in_its_class(self, row):
        assert motor.impulse_class(impulse=float(row["impulse_N_s"])) == row["class"]

    def test_every_row_has_a_size_on_sale(self, row):
        assert (row["diameter_mm"], row["length_mm"]) in self.SIZES

    def test_every_mean_is_impulse_over_burn(self, row):
        assert float(row["mean_thrust_N"]) == pytest.approx(float(row["impulse_N_s"]) / float(row["burn_s"]), rel=0.02)

    def test_every_motor_burns_what_its_kind_can_give(self, row):
        # 70 to 90 s for black powder with a few from memory as low as 55, composite 160 to 220 s (from memory)
        specific = motor.specific_impulse(
            impulse=float(row["impulse_N_s"]), propellant=float(row["propellant_g"]) / 1000
        )
        black_powder = row["class"] in {"1/2A", "A", "B", "C", "D", "E"}
        assert 55 < specific < 90 if black_powder else 160 < specific < 220
        assert float(row["propellant_g"]) < float(row["mass_g"])

    def test_every_row_makes_a_curve(self, row):
        impulse, burn, peak = (float(row[key]) for key in ("impulse_N_s", "burn_s", "peak_thrust_N"))
        time, thrust = motor.plain_curve(impulse=impulse, burn=burn, peak=peak)
        assert thrust.max() == pytest.approx(peak)
        assert motor.burn_time(time=time, thrust=thrust) == pytest.approx(burn)

    def test_every_row_says_where_it_is_from(self, row):
        assert "data sheet" in row["source"]
