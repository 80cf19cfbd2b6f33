"""A speed log instead of a number: runs made by the test's own sums, with noise; broken logs say one thing each."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from foamworks.checks.case import Case
from foamworks.design.logs import read_log
from foamworks.errors import DesignError
from foamworks.output.report.page import speed_runs
from foamworks.study.flight.flown import airspeed
from kept import check

AIR, WIND, RATE = 33.0, 4.0, 10.0  # m/s, m/s, Hz
RADIUS = 6_371_008.8  # m, the Earth's mean (IUGG)
FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"


def flown() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Fly a circuit: out north with the wind, a turn at half throttle, back south against it; time, north, east [m]."""
    legs = [(8.0, AIR + WIND, 0.0), (6.0, 22.0, math.pi), (9.0, AIR - WIND, 0.0), (6.0, 22.0, math.pi)]
    time, north, east, course = [0.0], [0.0], [0.0], 0.0
    for _ in range(2):
        for duration, speed, turn in legs:
            for _ in range(round(duration * RATE)):
                course += turn / (duration * RATE)
                time.append(time[-1] + 1 / RATE)
                north.append(north[-1] + speed / RATE * math.cos(course))
                east.append(east[-1] + speed / RATE * math.sin(course))
    return np.array(time), np.array(north), np.array(east)


def degrees(north: np.ndarray, east: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    lat = 50 + np.degrees(north / RADIUS)
    return lat, 8 + np.degrees(east / RADIUS / math.cos(math.radians(50)))


def gpx(time: np.ndarray, lat: np.ndarray, lon: np.ndarray) -> str:
    points = "".join(
        f'<trkpt lat="{a:.8f}" lon="{o:.8f}"><time>2026-05-01T10:{int(t) // 60:02d}:{t % 60:06.3f}Z</time></trkpt>'
        for t, a, o in zip(time, lat, lon, strict=True)
    )
    return (
        '<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><trkseg>{points}</trkseg></trk></gpx>"
    )


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("kind", ["gpx", "csv"])
def test_the_level_speed_of_a_noisy_log_is_within_two_percent(tmp_path: Path, kind: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    time, north, east = flown()
    lat, lon = degrees(north + 0.3 * rng.normal(size=time.size), east + 0.3 * rng.normal(size=time.size))
    path = tmp_path / f"log.{kind}"
    if kind == "gpx":
        path.write_text(gpx(time, lat, lon))
    else:
        rows = [f"{t:.3f},{a:.8f},{o:.8f}" for t, a, o in zip(time, lat, lon, strict=True)]
        path.write_text("time_s,latitude,longitude\n" + "\n".join(rows))
    level = read_log(path).level
    assert level is not None
    assert level.back is not None
    assert level.speed == pytest.approx(AIR, rel=0.02)
    assert level.wind == pytest.approx(WIND, abs=1.0)


def test_without_courses_the_run_before_or_after_the_fastest_is_the_way_back(tmp_path: Path) -> None:
    """Two circuits: both ways out are faster than any way back."""
    time, north, east = flown()
    speed = np.hypot(np.gradient(north, time), np.gradient(east, time))
    path = tmp_path / "log.csv"
    path.write_text("time_s,speed_m_s\n" + "\n".join(f"{t:.1f},{v:.2f}" for t, v in zip(time, speed, strict=True)))
    level = read_log(path).level
    assert level is not None
    assert level.speed == pytest.approx(AIR, rel=0.02)
    assert level.wind == pytest.approx(WIND, abs=1.0)


def boosted(path: Path, *, peak: float = 60.0, burn: float = 1.7) -> Path:
    """A log of 40 s: level at 30 m/s, a boost from 20 s on, and the slow way back, with noise and one wild fix."""
    rng = np.random.default_rng(3)
    time = np.arange(0, 40, 0.1)
    rise, fall = np.clip((time - 20) / burn, 0, 1), np.exp(-np.maximum(time - 20 - burn, 0) / 3)
    speed = 30 + (peak - 30) * rise * fall + 0.3 * rng.normal(size=time.size)
    speed[55] = 150.0
    path.write_text(
        "time_s,speed_m_s,altitude_m\n" + "\n".join(f"{t:.1f},{v:.2f},80" for t, v in zip(time, speed, strict=True))
    )
    return path


def test_a_boosts_peak_and_burn_are_found_and_a_wild_fix_is_not(tmp_path: Path) -> None:
    log = read_log(boosted(tmp_path / "boost.csv"))
    assert log.boost.peak == pytest.approx(60, rel=0.03)
    assert log.boost.ignition == pytest.approx(20, abs=0.4)
    assert log.boost.burn == pytest.approx(1.7, abs=0.5)
    assert log.level is not None
    assert log.level.speed == pytest.approx(30, rel=0.02)


def test_a_flight_with_a_log_counts_as_one_with_its_number(small_file: Callable[..., Path]) -> None:
    path = small_file({
        "airframe.fan": FAN,
        "[flights]": 'flight = "stock"\nspeed = 100\n[[flights]]\nflight = "D"\nlog = "boost.csv"',
    })  # fmt: skip
    boosted(path.parent / "boost.csv", peak=42.0)
    case: Case = check(path)
    burn = case.study.burn
    assert burn is not None
    assert burn.learnt is not None
    row = burn.learnt.flights[1]
    assert row.used
    assert row.run.speed == pytest.approx(42, rel=0.03)
    assert airspeed(row.run.flight, lit=True)[1] > 0.02 * 42  # one way, the wind not known
    drawn = {name: speeds for name, _, speeds in speed_runs(case)}
    assert max(drawn["D, as flown"]) == pytest.approx(42 * 3.6, rel=0.03)


HEAD = "time_s,speed_m_s\n"
WILD = "".join(f"{t / 10:.1f},{v:.1f}\n" for t, v in enumerate(np.random.default_rng(1).uniform(0, 40, 200)))
STEADY = "".join(f"{t / 10:.1f},30\n" for t in range(50))


@pytest.mark.parametrize(("text", "says"), [
    ("", "is empty; its first line names the columns"),
    ("t,v\n1,2\n", "lacks the columns time_s and speed_km_h"),
    (HEAD + "0,30\n0.1,fast\n", r"log:3: speed_m_s = 'fast': is not a number"),
    (HEAD + STEADY + "2,30\n", "row 51: the time does not rise"),
    (HEAD + "0,30\n1,30\n", "has 2 rows; at least 20"),
    (HEAD + STEADY + "9,900\n", "row 51: 3240 km/h cannot be"),
    (HEAD + STEADY + "9,\n", "row 51 has no speed and no place"),
    (HEAD + WILD, "jumps about from row to row"),
    ("<gpx>", "is not whole XML"),
    ("<kml></kml>", "is no GPX 1.1 track"),
    ('<!DOCTYPE a [<!ENTITY b "bb">]><gpx>&b;</gpx>', "declares a document type or entities"),
    (gpx(np.array([0.0]), np.array([1.0]), np.array([1.0])).replace('lat="1.00000000"', ""), "point 1 lacks lat"),
])  # fmt: skip
def test_a_broken_log_says_one_thing(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "log"
    path.write_text(text)
    with pytest.raises(DesignError, match=says) as told:
        read_log(path)
    assert "\n" not in str(told.value)


def test_a_log_of_two_hundred_megabytes_is_refused_unread(small_file: Callable[..., Path]) -> None:
    path = small_file({"[flights]": 'flight = "stock"\nlog = "log.csv"'})
    with (path.parent / "log.csv").open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(DesignError, match=r"flights\[1\]\.log = \"log.csv\": the file is over 8 MiB"):
        check(path)


@pytest.mark.parametrize(("typed", "says"), [
    ('flight = "stock"', r"flights\[1\]\.speed: is missing; a flight has a speed, or a log"),
    ('flight = "stock"\nlog = "log.csv"', r'flights\[1\]\.log = "log.csv": there is no such file'),
])  # fmt: skip
def test_a_flight_says_how_fast_it_was(small_file: Callable[..., Path], typed: str, says: str) -> None:
    with pytest.raises(DesignError, match=says):
        check(small_file({"[flights]": typed}))
