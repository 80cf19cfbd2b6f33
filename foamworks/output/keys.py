"""A key of the JSON says what its number is shown in: `peak_km_h` is a speed, in SI inside, in km/h for people.

`told` turns quantities in SI into a row of the JSON by the ends of their keys; `words_of`, `cell` and `text_of` write
such a row for people. Table, page, card and JSON thus ask one place for unit and decimals.
"""

import csv
import math
from collections.abc import Callable, Sequence
from operator import attrgetter
from pathlib import Path
from typing import Any, TypeVar

from foamworks.units import Unit, number, said, with_unit

T = TypeVar("T")
Row = dict[str, Any]  # a row of the JSON: texts, numbers in the unit of their key, lists, rows
DIGITS = 10  # significant digits printed: beyond them stands only the noise of unit conversion

# ending of a key, the longest counts -> unit as written, decimals, what turns SI into it where it must
UNITS: dict[str, tuple[str, int, Unit | None]] = {
    "_mm": ("mm", 1, Unit("mm")),
    "_mm2": ("mm²", 0, Unit("mm2")),
    "_mm3": ("mm³", 0, Unit("mm3")),
    "_m": ("m", 0, None),
    "_g": ("g", 1, Unit("g")),
    "_s": ("s", 2, None),
    "_A": ("A", 2, None),
    "_kg_m2": ("kg m²", 4, None),
    "_V": ("V", 1, None),
    "_N": ("N", 1, None),
    "_N_s": ("N s", 1, None),
    "_N_m": ("N m", 3, None),
    "_MPa": ("MPa", 2, Unit("MPa")),
    "_deg": ("deg", 1, Unit("deg")),
    "_km_h": ("km/h", 0, Unit("km/h")),
    "_percent": ("%", 1, Unit("%")),
    "_per_rad": ("per rad", 3, None),
}
MULTIPLES = {"acceleration_g"}  # of the weight, no gram
# what a key's own words and its unit's decimals would not tell
with Path(__file__).with_name("keys.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["key"]: row for row in csv.DictReader(_file)}
WORDS = {key: row["words"] for key, row in _ROWS.items() if row["words"]}
DECIMALS = {key: int(row["decimals"]) for key, row in _ROWS.items() if row["decimals"]}
FRACTIONS = {key for key, row in _ROWS.items() if row["shown_in"] == "%"}


def told(**quantities: Any) -> Row:
    """Make a row of the JSON: each number, in SI, turned into the unit in which its key ends; the rest as it is.

    >>> told(peak_km_h=65.0, window_x_mm=(0.2764, None), motor="D")
    {'peak_km_h': 234.0, 'window_x_mm': [276.4, None], 'motor': 'D'}
    """
    return {key: value if key in MULTIPLES else _turned(_unit(key)[2], value) for key, value in quantities.items()}


def told_of(record: object, *keys: str, **called: str) -> Row:
    """Make a row of the JSON of a record's own quantities: each key less its unit is what the record calls it, or else
    `called` says; all null where there is no record.

    >>> told_of(2 + 3j, "real_mm", "imag", along_mm="real"), told_of(None, "real_mm")
    ({'real_mm': 2000.0, 'imag': 3.0, 'along_mm': 2000.0}, {'real_mm': None})
    """  # fmt: skip
    return told(**row_of(record, **{key: key.removesuffix(_ending(key)) for key in keys}, **called))


def row_of(record: object, *keys: str, **called: str) -> Row:
    """Make a row of the JSON of a record in mm and g, whose quantities are called as their keys, or as `called` says.

    >>> row_of(2 + 3j, "real", along="imag")
    {'real': 2.0, 'along': 3.0}
    """
    names = {key: key for key in keys} | called
    return {key: None if record is None else attrgetter(name)(record) for key, name in names.items()}


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


def _unit(key: str) -> tuple[str, int | None, Unit | None]:
    return UNITS.get(_ending(key), ("", None, None))


def words_of(key: str) -> tuple[str, str, int | None]:
    """Give a key's words, unit and decimals.

    >>> words_of("fin_root_stress_MPa"), words_of("battery_x_mm")
    (('fin root stress', 'MPa', 2), ('battery, x', 'mm', 0))
    """
    unit, decimals, _ = _unit(key)
    own = key.removesuffix(_ending(key)).replace("_", " ")
    return WORDS.get(key, own), unit, DECIMALS.get(key, decimals)


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
    return with_unit(cell(key, value), words_of(key)[1])
