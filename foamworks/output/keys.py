"""A key of the JSON says what its number is shown in: `peak_km_h` is a speed, in SI inside, in km/h for people.

`told` turns quantities in SI into a row of the JSON by the ends of their keys; `words_of`, `cell` and `text_of` write
such a row for people. Table, page, card and JSON thus ask one place for unit and decimals.
"""

import math
from collections.abc import Callable, Sequence
from operator import attrgetter
from typing import Any, TypeVar

from foamworks.units import Unit, number, said, with_unit

T = TypeVar("T")
Row = dict[str, Any]  # a row of the JSON: texts, numbers in the unit of their key, lists, rows
DIGITS = 10  # significant digits printed: beyond them stands only the noise of unit conversion

# ending of a key -> (unit as written, decimals); the longest ending that fits counts
UNITS: dict[str, tuple[str, int]] = {
    "_mm": ("mm", 1),
    "_mm2": ("mm²", 0),
    "_mm3": ("mm³", 0),
    "_m": ("m", 0),
    "_g": ("g", 1),
    "_s": ("s", 2),
    "_A": ("A", 2),
    "_kg_m2": ("kg m²", 4),
    "_V": ("V", 1),
    "_N": ("N", 1),
    "_N_s": ("N s", 1),
    "_N_m": ("N m", 3),
    "_MPa": ("MPa", 2),
    "_deg": ("deg", 1),
    "_km_h": ("km/h", 0),
    "_percent": ("%", 1),
    "_per_rad": ("per rad", 3),
}
# the endings whose number is not the one in SI
SHOWN = {
    "_mm": Unit("mm"),
    "_mm2": Unit("mm2"),
    "_mm3": Unit("mm3"),
    "_g": Unit("g"),
    "_MPa": Unit("MPa"),
    "_deg": Unit("deg"),
    "_km_h": Unit("km/h"),
    "_percent": Unit("%"),
}
MULTIPLES = {"acceleration_g"}  # of the weight, no gram

# key -> words, where the key's own words would not do
WORDS = {
    "fit_mm": "clearance on the diameter, fit",
    "aft_end_higher_mm": "the aft end stands higher by",
    "mac_mm": "mean chord",
    "mac_le_x_mm": "leading edge of the mean chord, x",
    "quarter_mac_x_mm": "quarter point of the mean chord, x",
    "lift_slope_per_rad": "lift slope",
    "neutral_point_x_mm": "neutral point of the bare lattice, x",
    "neutral_point_flown_x_mm": "neutral point as flown, x",
    "tail_factor": "tail factor",
    "elevator_factor": "elevator factor",
    "lift_lag": "pitch damping by the rate of incidence",
    "product_kg_m2": "roll against yaw",
    "manoeuvre_point_x_mm": "manoeuvre point, x",
    "arm_mm": "arm",
    "peak_band_km_h": "band of the peak",
    "thrust_to_weight": "thrust to weight",
    "battery_x_mm": "battery, x",
    "ballast_g": "ballast",
    "window_x_mm": "window, x",
    "cg_x_mm": "CG x",
    "cg_z_mm": "CG z",
    "static_margin": "static margin",
    "landing_speed_km_h": "landing speed",
    "elevator_deg": "elevator",
    "moment_N_m": "moment",
    "fan_moment_N_m": "moment of the fan",
    "pitch_change_deg": "pitch change",
    "pitch_change_gyro_deg": "pitch change with the gyro",
    "box_mm": "box",
    "x_mm": "x",
    "z_mm": "z",
    "mass_g": "mass",
    "current_A": "current",
    "elevator_with_errors_deg": "elevator with building errors",
    "boosted": "in the burn",
    "least_load_factor": "least load factor",
    "peak_load_factor": "greatest load factor",
    "acceleration_g": "acceleration [g]",
    "coast_end_m": "coast ends, way flown",
    "coast_end_s": "coast ends, after ignition",
    "peak_at_s": "peak at",
    "motors_lit": "motors lit",
    "used_length_mm": "used length",
    "utilisation": "used share",
    "cut_length_mm": "cut length",
    "cut_time_s": "time to cut",
    "parts_mass_g": "parts",
    "waste_mass_g": "waste",
    "rest_length_mm": "length left over",
    "of_all": "of all",
    "here": "on this sheet",
    "run_m_grass": "run on grass [m]",
    "run_m_tarmac": "run on tarmac [m]",
    "same_area_yaw_stiffness_ratio": 'yaw stiffness that "the same area" would have given',
}
FRACTIONS = {"static_margin", "utilisation", "same_area_yaw_stiffness_ratio", "share"}
DECIMALS = {
    "fit_mm": 2,
    "shoulder_diameter_mm": 2,
    "yaw_stiffness_per_rad": 4,
    "arm_mm": 1,
    "elevator_deg": 1,
    "least_load_factor": 2,
    "peak_load_factor": 2,
    "worst_least_load_factor": 2,
    "wing_load_factor": 2,
    "entry_km_h": 0,
    "battery_x_mm": 0,
    "ballast_g": 0,
    "distance_m": 0,
    "gain": 0,
    "cut_time_s": 0,
    "panels": 0,
    "run_m_grass": 0,
    "run_m_tarmac": 0,
    "flight_time_s": 0,
    "motors_lit": 0,
}


def told(**quantities: Any) -> Row:
    """Make a row of the JSON: each number, in SI, turned into the unit in which its key ends; the rest as it is.

    >>> told(peak_km_h=65.0, window_x_mm=(0.2764, None), motor="D")
    {'peak_km_h': 234.0, 'window_x_mm': [276.4, None], 'motor': 'D'}
    """
    return {
        key: value if key in MULTIPLES else _turned(SHOWN.get(_ending(key)), value) for key, value in quantities.items()
    }


def told_of(record: object, *keys: str, **called: str) -> Row:
    """Make a row of the JSON of a record's own quantities: each key less its unit is what the record calls it, or else
    `called` says; all null where there is no record.

    >>> told_of(2 + 3j, "real_mm", "imag", along_mm="real"), told_of(None, "real_mm")
    ({'real_mm': 2000.0, 'imag': 3.0, 'along_mm': 2000.0}, {'real_mm': None})
    """  # fmt: skip
    names = {key: key.removesuffix(_ending(key)) for key in keys} | called
    return told(**{key: None if record is None else attrgetter(name)(record) for key, name in names.items()})


def part(key: str, record: T | None, write: Callable[[T], Any]) -> Row:
    """Give a part of the JSON under its key; nothing where the study has no such record.

    >>> part("size", "abc", len), part("size", None, len)
    ({'size': 3}, {})
    """
    return {} if record is None else {key: write(record)}


def _turned(unit: Unit | None, value: Any) -> Any:
    if isinstance(value, tuple | list):
        return [_turned(unit, entry) for entry in value]
    if unit is None or value is None or not isinstance(value, float | int):
        return value
    return unit(float(value))


def plain(value: Any) -> Any:
    """Make every number finite or null, and round away the noise of unit conversion."""
    if isinstance(value, dict):
        return {key: plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [plain(entry) for entry in value]
    if isinstance(value, float):
        if not math.isfinite(value):
            return None
        rounded = float(f"{value:.{DIGITS}g}")
        return 0.0 if rounded == 0 else rounded
    return value


def _ending(key: str) -> str:
    return max((end for end in UNITS if key.endswith(end)), key=len, default="")


def unit_of(key: str) -> tuple[str, str, int | None]:
    """Split a JSON key into its words, its unit and the decimals that unit is written with.

    >>> unit_of("fin_root_stress_MPa")
    ('fin root stress', 'MPa', 2)
    """
    ending = _ending(key)
    unit, decimals = UNITS.get(ending, ("", None))
    return key[: len(key) - len(ending)].replace("_", " "), unit, decimals


def words_of(key: str) -> tuple[str, str, int | None]:
    """Give a key's words, unit and decimals."""
    words, unit, decimals = unit_of(key)
    return WORDS.get(key, words), unit, DECIMALS.get(key, decimals)


def cell(key: str, value: Any) -> str:
    """Write one value, without its unit."""
    if key in FRACTIONS and not isinstance(value, str):
        return said(value, "%", 1)
    if isinstance(value, Sequence) and not isinstance(value, str):
        joint = " x " if key == "box_mm" else " to "
        return joint.join(number(entry, words_of(key)[2]) for entry in value)
    if isinstance(value, str):
        return value.replace("_", " ") if key == "profile" else value
    return number(value, words_of(key)[2])


def text_of(key: str, value: Any) -> str:
    """Write one value with its unit.

    >>> text_of("entry_km_h", 113.4), text_of("cg_x_mm", None)
    ('113 km/h', 'not known')
    """
    return with_unit(cell(key, value), unit_of(key)[1])
