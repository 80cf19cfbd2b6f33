"""A cure with a number works when it is typed in: the verdict it belongs to is better afterwards."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from foamworks.checks.base import Finding
from kept import check

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = {}\nvolts = 11.1\nesc = {}"
BATTERY = 'mass = 200\nx = "auto"\nx_stock = 200\nz = -10\nslide = [140, 240]\ncells = 3\ncapacity = {}\nc_rating = {}'
POD = (
    "tube = {{ inner = 25, outer = 26.5, length = 120 }}\nnozzle = {{ x = 690, z = {} }}\ndownthrust = {}\n"
    'nose = {{ profile = "cone", length = 50 }}\nretainer = "cap"{}'
)
MOTOR = (
    'plugged = true\nname = "D"\ndiameter = 24\nlength = 70\nmass = {}\npropellant = {}\n'
    "impulse = {}\nburn = 1.7\npeak = {}"
)
BOARD = 'name = "board"\nthickness = {}\nsheet = [500, 700]\nmass = 140\nshear_modulus = {}'
WING = (
    "stations = [{{x=250, y=0, z=0, chord=200}}, {{x=250, y=450, z=20, chord=200}}]\nmax_lift = 1.0\nspar_moment = {}"
)
RANK = {"pass": 0, "caution": 1, "fail": 2}
Tables = dict[str, str | None]
Found = Callable[[Tables, str, str], Finding]
BASE: Tables = {
    "airframe.fan": FAN.format(35, 60),
    "airframe.battery": BATTERY.format(2200, 45),
    "pod": POD.format(95, 6, ""),
    "[motors]": MOTOR.format(44, 21, 17, 29),
    "[boards]": BOARD.format(5, 110),
}


@pytest.fixture(scope="module")
def found(small_file: Callable[..., Path]) -> Found:
    def one(tables: Tables, name: str, subject: str) -> Finding:
        findings = check(small_file({**BASE, **tables})).findings
        return next(f for f in findings if (f.check, f.subject) == (name, subject))

    return one


def number(pattern: str, cure: str) -> tuple[str, ...]:
    match = re.search(pattern, cure)
    assert match is not None, cure
    return match.groups()


def fan(current: float, esc: float | str) -> Tables:
    return {"airframe.fan": FAN.format(current, esc)}


# check, subject, the fault, what the cure says, and what is typed in for it
CURES: list[tuple[str, str, Tables, str, Callable[..., Tables]]] = [
    (
        "battery-current", "battery", {"airframe.battery": BATTERY.format(2200, 20)}, r"at least (\d+) C",
        lambda c: {"airframe.battery": BATTERY.format(2200, c)},
    ),
    (
        "battery-current", "battery", {"airframe.battery": BATTERY.format(2200, 23)}, r"a pack of (\d+) mAh",
        lambda mah: {"airframe.battery": BATTERY.format(mah, 23)},
    ),
    (
        "controller-margin", "speed controller", fan(34.1, 40), r"a controller of (\d+) A",
        lambda esc: fan(34.1, esc),
    ),
    (
        "flutter", "fins", {"[boards]": BOARD.format(3, 110)}, r"a board of ([\d.]+) mm",
        lambda t: {"[boards]": BOARD.format(t, 110)},
    ),
    (
        "flutter", "fins", {"[boards]": BOARD.format(5, 20)}, r"is ([\d.]+) x as stiff in twist",
        lambda more: {"[boards]": BOARD.format(5, 20 * float(more))},
    ),
    (
        "wing-load", "wing", {"airframe.wing": WING.format(4)}, r"a spar at least ([\d.]+) x",
        lambda more: {"airframe.wing": WING.format(4 * float(more))},
    ),
    (
        "motor-curve", "D", {"[motors]": MOTOR.format(44, 5, 17, 29)}, r"weighs between (\d+) and",
        lambda grams: {"[motors]": MOTOR.format(44, grams, 17, 29)},
    ),
    (
        "one-out-yaw", "D", {"pod": POD.format(95, 6, "\ncount = 2\ny = 47")}, r"\[pod\] type y = (\d+)",
        lambda y: {"pod": POD.format(95, 6, f"\ncount = 2\ny = {y}")},
    ),
    (
        "leaves-the-field", "D", {"field": 'length = "60 m"'}, r"a field of (\d+) m",
        lambda metres: {"field": f'length = "{metres} m"'},
    ),
    (
        "pitch-change", "D", {"pod": POD.format(95, 0, ""), "[motors]": MOTOR.format(44, 21, 40, 40)},
        r"type downthrust = ([\d.]+)",
        lambda angle: {"pod": POD.format(95, angle, ""), "[motors]": MOTOR.format(44, 21, 40, 40)},
    ),
    (
        "load-factor", "D", {"pod": POD.format(84, 0, ""), "[motors]": MOTOR.format(44, 21, 40, 40)},
        r"nozzle.z = (\d+) and downthrust = ([\d.]+)",
        lambda z, angle: {"pod": POD.format(z, angle, ""), "[motors]": MOTOR.format(44, 21, 40, 40)},
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "subject", "fault", "says", "typed"), CURES, ids=[f"{row[0]} {row[3][:18]}" for row in CURES]
)
def test_what_the_cure_says_cures(
    found: Found, name: str, subject: str, fault: Tables, says: str, typed: Callable[..., Tables]
) -> None:
    before = found(fault, name, subject)
    assert before.verdict in ("caution", "fail")
    try:
        after = found({**fault, **typed(*number(says, before.cure))}, name, subject).verdict
    except StopIteration:  # several motors that pass are named together
        after = "pass"
    assert RANK[after] < RANK[before.verdict]


def test_the_angle_that_clears_from_higher_up_clears_indeed(found: Found) -> None:
    low: Tables = {"pod": POD.format(84, 0, ""), "[motors]": MOTOR.format(44, 21, 40, 40)}
    z, angle = number(r"nozzle.z = (\d+) and downthrust = ([\d.]+)", found(low, "load-factor", "D").cure)
    high = {**low, "pod": POD.format(z, angle, "")}
    assert found(high, "pod-fit", "pod").verdict == "pass"
    assert "tilt the pod" not in found(high, "pitch-change", "D").cure


def test_a_nozzle_that_would_sink_into_the_back_is_not_recommended(found: Found) -> None:
    low: Tables = {"pod": POD.format(66, 0, ""), "[motors]": MOTOR.format(44, 21, 40, 40)}
    assert "mm lower" not in found(low, "pitch-change", "D").cure
    high: Tables = {"pod": POD.format(95, 0, ""), "[motors]": MOTOR.format(44, 21, 40, 40)}
    assert "mm lower" in found(high, "pitch-change", "D").cure


def test_an_unstable_model_is_told_to_balance_first(found: Found) -> None:
    aft: Tables = {
        "airframe": "mass = 700\ncg = { x = 345, z = 5 }", "pod": POD.format(95, 0, ""),
        "[motors]": MOTOR.format(44, 21, 40, 40),
    }  # fmt: skip
    assert found(aft, "pitch-change", "D").cure.startswith("mend the balance first")


TALL = (
    "tube = {{ inner = 25, outer = 26.5, length = {} }}\nnozzle = {{ x = 690, z = {} }}\ndownthrust = 8\n"
    'nose = {{ profile = "cone", length = 50 }}\nretainer = "cap"'
)


@pytest.mark.parametrize("what", ["nozzle", "tube"])
def test_a_pod_too_high_for_its_mount_is_lowered_or_lengthened_by_enough(found: Found, what: str) -> None:
    strong: Tables = {"[motors]": MOTOR.format(44, 21, 40, 60)}
    high = found({**strong, "pod": TALL.format(120, 190)}, "glue-line", "mount on the back")
    assert high.verdict == "fail"
    step = int(number(r"the nozzle (\d+) mm lower" if what == "nozzle" else r"a tube (\d+) mm longer", high.cure)[0])
    pods = [TALL.format(120 + by * (what == "tube"), 190 - by * (what == "nozzle")) for by in (step, step - 1)]
    verdicts = [found({**strong, "pod": pod}, "glue-line", "mount on the back").verdict for pod in pods]
    assert verdicts == ["caution", "fail"]


def test_the_landing_speed_passes_with_so_much_less_mass(found: Found) -> None:
    heavy: Tables = {"ballast": "x = 300\nz = 0\nmass = 250", "airframe": "mass = 700\ncg = { x = 300, z = 5 }"}
    before = found(heavy, "landing-speed", "D: dead mass")
    assert before.verdict == "caution"
    less = int(number(r"take (\d+) g off", before.cure)[0])
    after = found({**heavy, "ballast": f"x = 300\nz = 0\nmass = {250 - less}"}, "landing-speed", "D: dead mass")
    assert after.verdict == "pass"


def test_a_nozzle_whose_line_meets_the_cg_is_not_told_to_sink(found: Found) -> None:
    asks = found({"pod": POD.format(95, 0, "")}, "pitch-change", "D").cure
    meets = number(r"type downthrust = ([\d.]+)", asks)[0]
    cure = found({"pod": POD.format(95, meets, "")}, "pitch-change", "D").cure
    assert "tilt the pod" not in cure
    assert "mm lower" not in cure


def test_the_most_that_clears_the_back_brings_no_complaint_of_the_back(found: Found) -> None:
    def limited(most: str) -> Tables:
        return {"pod": POD.format(84, '"auto"', f"\ndownthrust_limit = {most}")}

    before = found(limited("2"), "downthrust", "pod")
    most = number(r"allow ([\d.]+) deg, the most that clears", before.cure)[0]
    after = found(limited(most), "downthrust", "pod")
    assert after.value == pytest.approx(float(most))
    assert "the back of the fuselage allows no more" not in after.why
    assert "the most that clears" not in after.cure
