"""What a boost costs and asks for: height, battery, proof pull, speed beyond the flown, take-off."""

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import kept
from foamworks import pipeline
from foamworks.aircraft.hands_off import air_of
from foamworks.checks.base import Finding
from foamworks.checks.case import Case
from foamworks.design.ladder import State
from foamworks.output.cards.deck import cards
from foamworks.output.summaries import write_summaries
from foamworks.output.summary import as_dict
from foamworks.physics.flight import takeoff
from foamworks.study.flight.drag import final_outfit
from foamworks.study.pod.glue import GlueLine, PodGlue
from foamworks.study.pod.hold import study_proof
from foamworks.study.strength import tail_moment

SKERRY = Path(__file__).parents[1] / "designs" / "skerry-boost.toml"
G = 9.80665


@pytest.fixture(scope="module")
def check(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Case]:
    text = SKERRY.read_text()

    def run(*changes: tuple[str, str]) -> Case:
        changed = text
        for old, new in changes:
            assert old in changed
            changed = changed.replace(old, new, 1)
        path = tmp_path_factory.mktemp("worst") / "worst.toml"
        path.write_text(changed)
        return pipeline.check(path)

    return run


@pytest.fixture(scope="module")
def demo(check: Callable[..., Case]) -> Case:
    return check()


def finding(case: Case, name: str, subject: str | None = None) -> Finding:
    return next(f for f in case.findings if f.check == name and subject in (None, f.subject))


def test_the_battery_is_pushed_by_its_share_of_the_peak_thrust(demo: Case) -> None:
    """F = m_battery x peak / mass at ignition: 226 g of the whole model under 48 N."""
    row = demo.study.balance.row(State("ignition", "29 mm F class")) if demo.study.balance else None
    assert row is not None
    found = finding(demo, "battery-held")
    assert found.value == pytest.approx(0.226 * 48 / row.mass, rel=1e-6)


def test_pack_and_lead_are_pushed_alike_and_the_ground_card_pulls_at_all_with_twice_that(demo: Case) -> None:
    row = demo.study.balance.row(State("ignition", "29 mm F class")) if demo.study.balance else None
    assert row is not None
    loads = {load.name: load.mass for load in row.loads}
    card = next(c for c in cards(demo, as_dict(demo), kept.answer(demo)) if c.title == "Ground test")
    told = " ".join(block.words for block in card.blocks)
    for name, mass in (("battery", 0.226), ("ignition pack", 0.024), ("ballast", loads["ballast"])):
        push = mass * 48 / row.mass
        pull = float(re.findall(rf"pull the {name} aft with (\d+) N", told)[0])
        assert 2 * push <= pull < 2 * push + 1
        assert f"{push:.1f} N" in finding(demo, "battery-held").why


def test_the_climb_after_lift_off_is_excess_thrust_over_weight(demo: Case) -> None:
    """sin of its angle = (T - D)/W at 1.2 x stall, drag of the flown aircraft, the fan's thrust by momentum."""
    power = demo.study.burn.power if demo.study.burn else None
    assert power is not None
    assert power.drag is not None
    area, annulus = power.drag.zero_lift(final_outfit(demo.design)), math.pi / 4 * (0.064**2 - 0.026**2)
    air = air_of(demo.design).density
    at_rest = (11.5 / (air * annulus)) ** 0.5  # the exit speed, of one shaft power
    for state in demo.study.take_off:
        weight, q = state.mass * G, air / 2 * state.lift_off**2
        out = brentq(lambda v, s=state: v * (v**2 - s.lift_off**2) - at_rest**3, state.lift_off, 3 * at_rest)
        thrust = air * annulus * out * (out - state.lift_off)
        sine = (thrust - q * area - power.drag.induced * weight**2 / q) / weight
        assert state.climb == pytest.approx(math.asin(min(sine, 1.0)), rel=0.02)


def test_a_battery_that_slips_takes_the_margin_with_it(demo: Case, check: Callable[..., Case]) -> None:
    """The margin at the slide's end is that of a design whose battery sits there."""
    slip = demo.study.slip
    assert slip is not None
    assert slip.travel is not None
    there = check(
        ('x         = "auto"  ', "x = 240 "), ('mass = "auto"', f"mass = {1000 * demo.study.balance.ballast}")
    )
    row = there.study.balance.row(State("ignition", slip.motor)) if there.study.balance else None
    assert row is not None
    assert slip.margin == pytest.approx(row.static_margin, abs=0.002)
    assert f"{100 * slip.margin:.1f} %" in finding(demo, "battery-held").why


def test_a_block_behind_the_battery_ends_the_caution(check: Callable[..., Case]) -> None:
    bare = check(("battery_block = true", "battery_block = false"))
    assert finding(bare, "battery-held").verdict == "caution"
    assert finding(check(), "battery-held").verdict == "pass"


def glue(*factors: float) -> PodGlue:
    lines = tuple(GlueLine(f"line {n}", 1e-3, 1e5, 0.0, factor, 0.04) for n, factor in enumerate(factors))
    return PodGlue("F", 48.0, lines, "F", 100.0, 1000.0)


@pytest.mark.parametrize(("factors", "safe"), [((4.0, 3.01), True), ((2.99, 8.0), False)])
def test_a_proof_pull_is_one_and_a_half_peaks_and_never_over_half_of_what_breaks(
    factors: tuple[float, float], safe: bool
) -> None:
    proof = study_proof(glue(*factors))
    assert proof.pull == pytest.approx(72.0)
    assert proof.breaks == pytest.approx(min(factors) * 48)
    assert proof.safe is safe


def test_page_card_and_finding_ask_for_one_pull(demo: Case, tmp_path: Path) -> None:
    ground = next(card for card in cards(demo, as_dict(demo), kept.answer(demo)) if card.title == "Ground test")
    words = " ".join(block.words for block in ground.blocks)
    assert "72 N" in words
    assert "72 N" in finding(demo, "proof-pull").why
    write_summaries(demo, as_dict(demo), tmp_path, wanted=frozenset({"pod"}))
    assert "with 72 N" in (tmp_path / "pod.md").read_text()
    assert "four times" not in words


def test_a_mount_too_weak_to_be_proved_fails_and_no_card_orders_the_pull(check: Callable[..., Case]) -> None:
    case = check(("mount_plate   = ", "mount_plate = 0 #"))
    assert finding(case, "proof-pull").verdict == "fail"
    ground = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Ground test")
    assert not any("by a spring balance" in block.words for block in ground.blocks)


def test_beyond_what_the_stock_model_has_flown_the_pressure_goes_with_the_square(demo: Case) -> None:
    found = finding(demo, "beyond-flown")
    assert demo.study.strength is not None
    fast = demo.study.strength.fastest
    assert found.value == pytest.approx((3.6 * fast.speed / 118) ** 2, rel=1e-6)
    assert found.verdict == "caution"
    assert "nobody has looked at flutter" in found.why


@pytest.mark.parametrize(("friction", "speed"), [(0.0, 12.0), (0.1, 12.0), (0.03, 15.0)])
def test_the_roll_without_drag_is_the_closed_form(friction: float, speed: float) -> None:
    """V2 / (2 a) with a = T/m - mu g."""
    fan = (np.array([0.0, 100.0]), np.array([6.0, 6.0]))
    roll = takeoff.ground_roll(fan=fan, mass=1.0, drag_area=1e-12, density=1.2, friction=friction, speed=speed)
    assert roll == pytest.approx(speed**2 / 2 / (6.0 - friction * G), rel=1e-3)


def test_the_roll_with_drag_alone_is_the_closed_form() -> None:
    """Without friction m/(rho A) ln(T/(T - rho A V2/2)): the integral of V dV over T/m - k V2."""
    k = 1.2 * 0.02 / 2
    fan = (np.array([0.0, 100.0]), np.array([6.0, 6.0]))
    roll = takeoff.ground_roll(fan=fan, mass=1.0, drag_area=0.02, density=1.2, friction=0.0, speed=15.0)
    assert roll == pytest.approx(math.log(6 / (6 - k * 225)) / (2 * k), rel=1e-3)


def test_a_fan_that_friction_holds_never_lifts_the_model_off(check: Callable[..., Case]) -> None:
    still = (np.array([0.0, 100.0]), np.array([0.9, 0.9]))
    args = {"fan": still, "mass": 1.0, "drag_area": 0.01, "density": 1.2, "speed": 12.0}
    assert math.isinf(takeoff.ground_roll(friction=0.1, **args))  # type: ignore[arg-type]
    weak = check(("thrust   = 11.5 ", "thrust   = 0.8 "))
    assert finding(weak, "take-off").verdict == "fail"
    assert "without end on grass" in finding(weak, "take-off").why


def test_take_off_is_told_of_each_first_state_with_stall_and_lift_off(demo: Case) -> None:
    rows = as_dict(demo)["take_off"]
    states = {row["name"]: row for row in as_dict(demo)["balance"]["states"]}
    assert [row["state"] for row in rows] == [
        "no pod",
        "no motor",
        "24 mm D class: dead mass",
        "29 mm F class: dead mass",
    ]
    for row in rows:
        stall = states[row["state"]]["landing_speed_km_h"] / 1.3  # landing is 1.3 x stall
        assert row["stall_km_h"] == pytest.approx(stall, rel=1e-6)
        assert row["lift_off_km_h"] == pytest.approx(1.2 * stall, rel=1e-6)
        assert row["run_m"]["grass"] > row["run_m"]["tarmac"] > 0


@pytest.mark.parametrize(
    ("launch", "verdict", "words"),
    [
        ('launch = "hand"', "caution", "less than the stall speed"),
        ('launch = "bungee"', "unknown", "how fast the bungee lets it go"),
        ('launch = "bungee"\nbank_speed = 20', "fail", "lets it go at 20 km/h"),
        ('launch = "bungee"\nbank_speed = 60', "pass", "lets it go at 60 km/h"),
    ],
)
def test_a_throw_or_a_bungee_is_judged_by_its_speed(
    check: Callable[..., Case], launch: str, verdict: str, words: str
) -> None:
    found = finding(check(("[field]", f"[field]\n{launch}")), "take-off")
    assert found.verdict == verdict
    assert words in found.why


def test_the_height_is_on_the_row_of_the_ignition(demo: Case) -> None:
    rows = as_dict(demo)["thrust_line"]["states"]
    lit = [row for row in rows if row["state"] == "ignition"]
    assert all("height_lost_m" not in row for row in rows if row["state"] != "ignition")
    for row in lit:
        built, one, worst = row["height_lost_m"]
        assert built < one < worst < row["entry_height_m"]


def test_the_tailplane_carries_what_the_fins_turn_it_with(check: Callable[..., Case]) -> None:
    """sigma c t2/6 of foam at 0.40 MPa: 110 mm of 8 mm stand 0.47 N m, of 10 mm 0.73 (by hand)."""
    assert tail_moment(chord=0.11, thickness=0.008, doubler=0.0) == pytest.approx(0.469, abs=0.001)
    assert tail_moment(chord=0.11, thickness=0.010, doubler=0.0) == pytest.approx(0.733, abs=0.001)
    thickness, doubler = "thickness = 9 ", "tail_doubler  = "
    assert finding(check((thickness, "# thickness = 9 ")), "tailplane-strength").verdict == "unknown"
    weak = finding(check((doubler, "tail_doubler  = 0 #")), "tailplane-strength")
    assert weak.verdict == "fail"
    asked = re.search(r"under \[build\] type tail_doubler = ([\d.]+)", weak.cure)
    assert asked is not None
    # of the whole chord and a quarter of it beyond each fin; birch plywood 680 kg/m3 (handbook, from memory)
    size = re.search(r"(\d+) mm long it weighs (\d+) g", weak.cure)
    strength = check((doubler, "tail_doubler  = 0 #")).study.strength
    assert size is not None
    assert strength is not None
    assert strength.tail is not None
    plate = 0.68e-3 * float(size.group(1)) * 1000 * strength.tail.chord * float(asked.group(1))
    assert float(size.group(2)) == pytest.approx(plate, abs=0.6)
    assert finding(check((doubler, f"tail_doubler = {asked.group(1)} #")), "tailplane-strength").verdict == "pass"
