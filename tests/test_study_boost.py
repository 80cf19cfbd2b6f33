"""Runs of whole designs on their motors: what the contract says of them, and what known flights say."""

import itertools
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import kept
from foamworks.checks.case import Case
from foamworks.design.ladder import State
from foamworks.physics.flight import boost as march
from foamworks.physics.flight.fan import annulus_area
from foamworks.physics.flight.motor import plain_curve
from foamworks.study.flight.boost import CLIMB, BoostRun, MotorBoost, flown, fly, leaves_after, motor_curve
from foamworks.study.flight.boost import Path as Run
from foamworks.study.flight.drag import final_outfit

RHO = 1.2250  # kg/m3 at sea level and 15 C, as the International Standard Atmosphere prints it
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
MOTOR = 'plugged = true\nname = "{}"\ndiameter = 24\nlength = 70\nmass = 44\npropellant = 21\n'
D = MOTOR.format("D") + "impulse = 17\nburn = 1.7\npeak = 29"
Check = Callable[..., Case]


@pytest.fixture(scope="module")
def check(small_file: Callable[..., Path]) -> Check:
    return lambda tables=None: kept.check(small_file({"airframe.fan": FAN} | (tables or {})))


def rows(case: Case) -> tuple[MotorBoost, ...]:
    assert case.study.burn is not None
    return case.study.burn.boosts


def run_of(case: Case) -> BoostRun:
    found = rows(case)[0].run
    assert found is not None
    return found


def test_impulse_burn_and_mean_are_the_curves(check: Check) -> None:
    row = rows(check())[0]
    assert (row.impulse, row.burn, row.peak_thrust) == pytest.approx((17, 1.7, 29))
    assert row.mean_thrust == pytest.approx(10)


def test_thrust_to_weight_is_the_mean_over_the_weight_at_ignition(check: Check) -> None:
    case = check()
    assert case.study.balance is not None
    mass = case.study.balance.row(State("ignition", "D")).mass
    assert rows(case)[0].thrust_to_weight == pytest.approx(10 / (mass * 9.80665))


def test_the_impulse_of_a_read_curve_is_the_trapezoid_sum(small_file: Callable[..., Path]) -> None:
    samples = [(0, 0), (0.1, 22), (0.3, 29), (0.6, 11), (1.2, 9.5), (1.6, 8), (1.7, 0)]
    path = small_file({"airframe.fan": FAN, "[motors]": MOTOR.format("D") + 'curve = "d.csv"'})
    text = "time_s,thrust_N\n" + "\n".join(f"{t},{f}" for t, f in samples)
    (path.parent / "d.csv").write_text(text)
    row = rows(kept.check(path))[0]
    total = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in itertools.pairwise(samples))
    assert row.impulse == pytest.approx(total, rel=1e-3)
    assert row.peak_thrust == 29


def test_the_run_starts_at_level_speed_with_the_motor_on(check: Check) -> None:
    """The motor's weight adds drag due to lift, nothing else: entry lies a little under the speed without it."""
    case = check()
    power = case.study.burn.power if case.study.burn else None
    assert power is not None
    entry = run_of(case).entry
    assert 0.99 * power.level < entry < power.level


def test_the_peak_lies_in_its_band_and_above_the_entry(check: Check) -> None:
    run = run_of(check())
    assert run.entry < run.band[0] < run.peak < run.band[1]
    assert run.burnout <= run.peak


def test_the_band_is_that_of_thrust_and_impulse_by_themselves(check: Check) -> None:
    """Ten percent of impulse is about ten percent of the gain; the band must be wider than that, not twice as wide."""
    case = check()
    run, burn = run_of(case), case.study.burn
    assert burn is not None
    gain, falling = run.peak - run.entry, 9.80665 * math.sin(burn.dives["D"]) * 1.7
    assert 0.10 * gain < run.band[1] - run.peak < 0.35 * gain + falling
    # below stand 3 m/s of head wind too, and a climb of 30 degrees, which without drag takes g sin 30 over the burn
    wind, climb = 3.0, 9.80665 * math.sin(math.radians(30)) * 1.7
    assert wind + 0.10 * gain < run.peak - run.band[0] < wind + climb + 0.35 * gain


def test_the_band_spans_both_fan_laws(check: Check) -> None:
    """Flown again by hand with the fan at constant efflux and the smaller drag that the flown speed then means."""
    case = check()
    assert case.study.burn is not None
    assert case.study.balance is not None
    power = case.study.burn.power
    assert power is not None
    assert power.drag is not None
    item = case.design.motors[0]
    start = flown(
        case.design, item, mass=case.study.balance.row(State("ignition", "D")).mass, drag=power.drag,
        outfit=final_outfit(case.design), unit=power.drive,
    )  # fmt: skip
    assert start is not None
    time, thrust = motor_curve(case.design, item)
    peaks: list[float] = []
    for law in ("constant power", "constant efflux"):
        entry = start.entry[law]  # type: ignore[index]
        assert entry is not None
        run = march.Run(
            mass=start.mass, propellant=start.propellant, drag_area=start.drag_area[law],  # type: ignore[index]
            density=start.density, entry_speed=entry, induced_factor=start.induced, downthrust=start.downthrust,
            static_thrust=start.unit[law].thrust, exit_area=annulus_area(diameter=0.064, hub=0.026),  # type: ignore[index]
            fan_model=law,  # type: ignore[arg-type]
        )  # fmt: skip
        for factor in (0.8, 1.2):
            for impulse in (0.9, 1.1):
                one = march.boost(run, time=time, thrust=thrust, thrust_factor=factor, impulse_factor=impulse)
                peaks.append(float(one.peak_speed[0]))
    least, most = run_of(case).band
    assert most > max(peaks)
    assert least < 0.86 * min(peaks)  # flown peaks fall short: climb, head wind, a fair motor


def test_distances_follow_from_the_path(check: Check) -> None:
    run = run_of(check())
    by_hand = np.trapezoid(run.path.speed, run.path.time)
    assert run.path.distance[-1] == pytest.approx(by_hand, rel=2e-3)
    assert run.burnout_distance == pytest.approx(run.path.distance[run.path.burnout])
    assert run.end_distance > run.burnout_distance


def test_the_speed_gained_is_less_than_impulse_over_mass(check: Check) -> None:
    """In still air and level, drag only takes away; with the propellant gone the rocket equation bounds the gain."""
    case = check()
    row, run = rows(case)[0], run_of(case)
    assert row.mass is not None
    bound = 17 / 0.021 * math.log(row.mass / (row.mass - 0.021))
    assert 0.5 * bound < run.peak - run.entry < bound


def test_halving_the_step_changes_nothing_in_the_fourth_digit() -> None:
    """The study's step against half of it, on a run like the study's."""
    time, thrust = plain_curve(impulse=68, burn=2.2, peak=48)
    fan = {"drag_area": 0.009, "density": RHO, "static_thrust": 11.5, "exit_area": 0.0027, "induced_factor": 0.4}
    entry = march.level_speed(weight=0.95 * 9.80665, **fan)
    run = march.Run(mass=0.95, propellant=0.038, entry_speed=entry, downthrust=0.2, **fan)
    coarse, fine = (march.boost_band(run, time=time, thrust=thrust, step=step) for step in (0.2, 0.1))
    for name in ("peak_speed", "burnout_distance", "end_distance"):
        assert getattr(coarse, name) == pytest.approx(getattr(fine, name), rel=5e-5)


def test_a_motor_that_is_not_plugged_gets_no_row(check: Check) -> None:
    assert rows(check({"[motors]": D.replace("plugged = true", "plugged = false")})) == ()


def test_a_motor_whose_numbers_contradict_gets_no_row(check: Check) -> None:
    assert rows(check({"[motors]": D.replace("impulse = 17", "impulse = 170")})) == ()


def test_two_pods_light_two_motors(check: Check) -> None:
    pod = check().design.pod
    assert pod is not None
    two = (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = 6\n"
        'nose = { profile = "cone", length = 50 }\nretainer = "cap"\ncount = 2\ny = 20'
    )
    case = check({"pod": two})
    row = rows(case)[0]
    assert (row.impulse, row.mean_thrust, row.burn) == pytest.approx((34, 20, 1.7))
    assert case.study.balance is not None
    assert row.mass == case.study.balance.row(State("ignition", "D")).mass
    assert row.one_out is not None
    assert row.one_out.moment == pytest.approx(29 * math.cos(math.radians(6)) * 0.020)
    assert rows(check())[0].one_out is None


def test_one_out_sideslip_is_the_moment_over_the_restoring_one(check: Check) -> None:
    two = (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = 6\n"
        'nose = { profile = "cone", length = 50 }\nretainer = "cap"\ncount = 2\ny = 20'
    )
    case = check({"pod": two})
    row, aero = rows(case)[0], case.study.aero
    assert row.one_out is not None
    assert row.run is not None
    assert aero is not None
    assert case.study.balance is not None
    state = case.study.balance.row(State("ignition", "D"))
    stiffness = aero.modified.yaw_stiffness(state.cg_x, state.cg_z)
    restoring = RHO / 2 * row.run.entry**2 * 0.18 * 0.9 * stiffness
    assert row.one_out.sideslip == pytest.approx(row.one_out.moment / restoring, rel=1e-4)
    again = RHO / 2 * row.one_out.least_speed**2 * 0.18 * 0.9 * stiffness
    assert row.one_out.moment / again == pytest.approx(math.radians(10), rel=1e-4)


def test_a_climb_costs_speed(check: Check) -> None:
    case = check()
    power = case.study.burn.power if case.study.burn else None
    mass = rows(case)[0].mass
    assert power is not None
    assert mass is not None
    assert power.drag is not None
    design, item = case.design, case.design.motors[0]
    start = flown(design, item, mass=mass, drag=power.drag, outfit=final_outfit(design), unit=power.drive)
    assert start is not None
    level, up = run_of(case), fly(start, motor_curve(design, item), climb=CLIMB)
    assert up is not None
    # over the burn gravity takes g sin 30 x 1.7 s = 8.3 m/s, less what the smaller drag gives back
    assert 4 < level.peak - up.peak < 8.4


def test_a_field_is_used_up_when_the_path_says_so() -> None:
    path = Run(np.array([0.0, 1.0, 2.0]), np.array([30.0, 40.0, 50.0]), np.array([0.0, 35.0, 80.0]), 2)
    assert leaves_after(path, 35.0) == pytest.approx(1.0)
    assert leaves_after(path, 57.5) == pytest.approx(1.5)
    assert math.isinf(leaves_after(path, 100.0))


def test_the_band_is_one_sided(check: Check) -> None:
    """Climb and head wind take more off a peak than a dive puts on it."""
    for row in rows(check()):
        assert row.run is not None
        low, high = row.run.band
        assert row.run.peak - low > high - row.run.peak > 0


def test_the_upper_edge_holds_what_the_motion_in_pitch_reaches(tmp_path: Path) -> None:
    """A thrust line far over the balance dives the model: flown as a motion, hands off, it is inside the band."""
    demo = Path(__file__).parents[1] / "designs" / "skerry-boost.toml"
    steep = tmp_path / "steep.toml"
    steep.write_text(demo.read_text().replace('downthrust = "auto"', "downthrust = 2"))
    burn = kept.check(steep).study.burn
    assert burn is not None
    for row in burn.boosts:
        answer = burn.response.of(row.motor) if burn.response else None
        assert answer is not None
        assert row.run is not None
        fallen = math.sin(burn.dives[row.motor]) * row.run.burnout_distance
        assert fallen == pytest.approx(max(answer.height_lost[:2]))
        assert max(s.speed for s in (answer.hands_off, *answer.one_off)) < row.run.band[1]
