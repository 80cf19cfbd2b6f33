"""The contract's sentence: a number that cannot be worked out is null with a finding that says why.

The JSON of many designs is walked: the samples, and the same with one table or one key left out. Each null must have a
finding of verdict unknown or fail that may explain it, by the table below.
"""

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from foamworks.errors import FoamworksError
from foamworks.output.summary import as_dict
from foamworks.pipeline import check

ROOT = Path(__file__).parents[1]
DESIGNS = sorted((ROOT / "designs").glob("*.toml"))
FULL = ROOT / "designs" / "skerry-boost.toml"

NO_NUMBER = re.compile(r"\b(nan|inf)\b")

# why: these are null by what they mean, not for want of a number
EXEMPT = {
    "parts[].motor",  # flies with every motor
    "balance.states[].motor",  # no motor aboard
    "parts[].x_mm", "parts[].z_mm",  # stays on the bench
    "lateral[].dutch_roll", "lateral[].spiral",  # no such motion of its own
    "lateral[].dutch_roll.damping_ratio", "lateral[].dutch_roll.period_s",  # turns away without a swing
    "lateral[].dutch_roll.halves_in_s", "lateral[].dutch_roll.doubles_in_s",  # grows, or dies out: never both
    "lateral[].spiral.damping_ratio", "lateral[].spiral.period_s",  # creeps
    "lateral[].spiral.halves_in_s", "lateral[].spiral.doubles_in_s",
    "boost[].coast_end_s", "boost[].coast_end_m",  # not slow again within the run
}  # fmt: skip
CG = {"static-margin", "cg-height", "unweighed"}
SPEED = {"drag-area", "lift-off-mass"}
PITCH = {"pitch-change", "thrust-moment"}
EXPLAIN: dict[str, set[str]] = {
    "aero.yaw_stiffness_per_rad": CG, "aero.pitch_damping": CG, "aero.yaw_damping": CG,
    "fins.same_area_yaw_stiffness_ratio": {"same-area"},
    "balance.window_x_mm[]": {"forward-limit", "static-margin"},
    "balance.battery_x_mm": {"unweighed"}, "balance.states[].battery_x_mm": {"unweighed"},
    "balance.manoeuvre_point_x_mm": CG,
    "balance.states[].mass_g": {"unweighed"}, "balance.states[].cg_x_mm": CG, "balance.states[].cg_z_mm": CG,
    "balance.states[].static_margin": CG, "balance.states[].landing_speed_km_h": {"unweighed"},
    "balance.states[].elevator_deg": {"forward-limit", *CG},
    "thrust_line.limited_by": {"downthrust"},
    "thrust_line.states[].pitch_damping": {"static-margin", "unweighed"},
    "thrust_line.states[].lift_lag": {"static-margin", "unweighed"},
    "thrust_line.states[].arm_mm": CG, "thrust_line.states[].moment_N_m": CG,
    "thrust_line.states[].fan_moment_N_m": {"fan-moment", *SPEED, *CG},
    "aero.tail_factor": {"tailplane"}, "aero.elevator_factor": {"tailplane", "forward-limit"},
    "thrust_line.states[].elevator_deg": PITCH, "thrust_line.states[].elevator_with_errors_deg": PITCH,
    "thrust_line.states[].pitch_change_deg": PITCH, "thrust_line.states[].pitch_change_gyro_deg": PITCH,
    "thrust_line.states[].peak_load_factor": PITCH, "thrust_line.states[].least_load_factor": PITCH,
    "thrust_line.states[].height_lost_m[]": PITCH, "thrust_line.states[].entry_height_m": PITCH,
    "take_off[].run_m.grass": {"take-off"}, "take_off[].run_m.tarmac": {"take-off"},
    "take_off[].run_m": {"drag-area"},
    "estimate.flights[].fitted": {"drag-area", *CG}, "estimate.flights[].residual": {"drag-area", *CG},
    "thrust_line.motors[].gyro_gain_s": PITCH,
    "boost[].thrust_to_weight": {"thrust-to-weight"},
    **{
        f"boost[].{key}": SPEED
        for key in (
            "entry_km_h", "peak_km_h", "peak_band_km_h[]", "distance_m", "peak_constant_efflux_km_h", "peak_at_s",
            "burnout_km_h", "coast_end_s", "coast_end_m", "acceleration_g",
        )
    },
    **{
        f"power.{key}": {"drag-area", "unweighed"}
        for key in (
            "drag_area_mm2", "drag_area_modified_mm2", "level_speed_km_h", "level_speed_band_km_h[]",
            "level_speed_stock_km_h", "static_thrust_N", "fairing_saves_km_h", "new_pack_gains_km_h",
            "new_pack_landing_km_h",
        )
    },
    "power.current_A": {"battery-current"}, "power.flight_time_s": {"battery-current"},
    "power.current_limit_A": {"battery-current"},
    "power.volts_V": {"fan-voltage", "drag-area"},
    "power.throttle_for_controller": {"controller-margin", "drag-area"},
    "gyro.level_gain": {"gyro-gain"},
    "strength.flutter_speed_km_h": {"flutter"}, "strength.fin_root_stress_MPa": {"fin-strength"},
    "strength.wing_load_factor": {"wing-load"},
    "ignition.current_A": {"firing-current"}, "ignition.all_fire_margin": {"firing-current"},
    "ignition.continuity_A": {"continuity"},
    "parts[].mass_g": {"unweighed", "board-mass"},
}  # fmt: skip


def nulls(value: Any, key: str = "") -> Iterator[str]:
    """Give the key of each null; what a finding holds is its own affair."""
    if value is None:
        yield key
    elif isinstance(value, dict):
        for name, entry in value.items():
            if name != "findings":
                yield from nulls(entry, f"{key}.{name}" if key else name)
    elif isinstance(value, list):
        for entry in value:
            yield from nulls(entry, f"{key}[]")


def texts(value: Any) -> Iterator[str]:
    """Give every text there is."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for entry in value.values() if isinstance(value, dict) else value:
            yield from texts(entry)


def unexplained(path: Path) -> list[str]:
    """Give the nulls of a design that no finding explains; no text may hold what is no number."""
    data = as_dict(check(path))
    assert not [text for text in texts(data) if NO_NUMBER.search(text)]
    said = {row["check"] for row in data["findings"] if row["verdict"] in {"unknown", "fail"}}
    battery = (data_of(path).get("airframe") or {}).get("battery")
    asked = set(nulls(data)) - EXEMPT
    if battery is None:  # a place for a battery that is not there is not asked for
        asked -= {"balance.battery_x_mm", "balance.states[].battery_x_mm"}
    return sorted(key for key in asked if not EXPLAIN.get(key, set()) & said)


def data_of(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def written(data: dict[str, Any]) -> str:
    """Write a design again, tables in one line each."""

    def value(entry: Any) -> str:
        if isinstance(entry, dict):
            return "{" + ", ".join(f"{json.dumps(key)} = {value(inner)}" for key, inner in entry.items()) + "}"
        if isinstance(entry, list):
            return "[" + ", ".join(value(inner) for inner in entry) + "]"
        return json.dumps(entry)

    return "\n".join(f"{json.dumps(key)} = {value(entry)}" for key, entry in data.items())


Place = tuple[str | int, ...]


def places(value: Any, at: Place = ()) -> Iterator[Place]:
    """Give every table and key; of a list of tables the first and what is in it."""
    if isinstance(value, dict):
        for key, entry in value.items():
            yield (*at, key)
            yield from places(entry, (*at, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        if len(value) > 1:
            yield (*at, 0)
        yield from places(value[0], (*at, 0))


def without(data: Any, place: Place) -> Any:
    """Give a copy with one key, or one entry of a list, left out."""
    first, *rest = place
    if isinstance(data, list):
        copy = list(data)
        if rest:
            copy[int(first)] = without(data[int(first)], tuple(rest))
        else:
            del copy[int(first)]
        return copy
    if not rest:
        return {key: entry for key, entry in data.items() if key != first}
    return {**data, str(first): without(data[str(first)], tuple(rest))}


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_each_null_of_a_sample_design_has_a_finding_that_says_why(path: Path) -> None:
    assert unexplained(path) == []


TABLES = [("airframe", key) for key in data_of(FULL)["airframe"]] + [
    (key,) for key in data_of(FULL) if key not in {"name", "notes"}
]


@pytest.mark.slow
@pytest.mark.parametrize(
    "place", sorted({*TABLES, *places(data_of(FULL))}, key=str), ids=lambda p: ".".join(map(str, p))
)
def test_a_key_left_out_leaves_no_null_without_a_word(tmp_path: Path, place: Place) -> None:
    path = tmp_path / "less.toml"
    path.write_text(written(without(data_of(FULL), place)), encoding="utf-8")
    try:
        assert unexplained(path) == []
    except FoamworksError:  # the key is needed: the reader says so
        return


SMALL: list[tuple[str, dict[str, str | None]]] = [
    *((table, {table: None}) for table in ("airframe", "airframe.fuselage", "airframe.tailplane", "airframe.fin")),
    *((table, {table: None}) for table in ("airframe.battery", "fins", "pod", "[motors]", "ballast")),
    ("no cg", {"airframe": "mass = 700"}),
    ("no height", {"airframe": "mass = 700\ncg = { x = 305 }"}),
    ("no flights, no fan, a gyro", {"[flights]": None, "gyro": "clean = { gain = 60, speed = 70 }"}),
    ("a fan that was not weighed", {"airframe.fan": "diameter = 64\nhub = 26"}),
    ("a fan of unknown size", {"airframe.fan": "thrust = 9\ncurrent = 35"}),
    ("a tilted fan", {"airframe.fan": "diameter = 64\nhub = 26\nthrust = 9\nz = 4\ntilt = 2"}),
    ("fan and no battery", {"airframe.fan": "diameter = 64\nhub = 26\nthrust = 9", "airframe.battery": None}),
    ("a pack like none", {"airframe.battery": "mass = 220\nx = 190\n[airframe.battery.stock]\ncells = 3"}),
    ("a board that was not weighed", {"[boards]": 'name = "board"\nthickness = 5'}),
    ("a tube of bamboo", {
        "pod": 'tube = { inner = 25, outer = 26.5, length = 120, material = "bamboo" }\n'
        "nozzle = { x = 690, z = 95 }\ndownthrust = 6"
    }),
    ("a downthrust to be found without motors", {
        "pod": 'tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = "auto"',
        "[motors]": None,
    }),
]  # fmt: skip


@pytest.mark.parametrize(("what", "tables"), SMALL, ids=[what for what, _ in SMALL])
def test_a_table_left_out_leaves_no_null_without_a_word(
    small_file: Any, what: str, tables: dict[str, str | None]
) -> None:
    assert unexplained(small_file(tables)) == [], what
