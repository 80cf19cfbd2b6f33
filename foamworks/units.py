"""Units at both doors: "36.2 in" -> 0.91948 m on the way in, 0.91948 m -> "919.5 mm" on the way to people.

In: `to_si`. A bare number is taken in the kind's own unit (the first of its row); a string names its unit.
Out: `mm(x)`, `grams(x)`, `km_h(x)` ... turn SI into the number shown, `mm.si(x)` turns it back, and `said(x, "mm", 1)`
writes it with its unit. What is in its unit already is written by `number` and `with_unit`: every text uses these.
Sources: SI Brochure (BIPM) 9th ed.; the inch, pound and ounce by the international agreement of 1959 (exact);
standard gravity 9.80665 m/s2 (exact, CGPM 1901).
"""

import difflib
import math
import re
import unicodedata
from fractions import Fraction
from typing import Any, Literal, Protocol, TypeVar, overload

STANDARD_GRAVITY = 9.80665  # m/s2, exact by definition
INCH = 0.0254  # m, exact
POUND = 0.45359237  # kg, exact

Kind = Literal[
    "length",
    "altitude",
    "mass",
    "angle",
    "force",
    "time",
    "speed",
    "voltage",
    "current",
    "stress",
    "temperature",
    "impulse",
    "area",
    "moment",
    "twist stiffness",
    "spring",
    "resistance",
    "charge",
    "density",
    "ratio",
    "feed",
]

# Each row: unit -> factor to SI; the first unit is the one a bare number is in. Temperature is shifted apart.
FACTORS: dict[str, dict[str, float]] = {
    "length": {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": INCH, '"': INCH, "'": 12 * INCH, "ft": 12 * INCH},
    "altitude": {"m": 1.0, "ft": 12 * INCH, "km": 1000.0},
    "mass": {"g": 1e-3, "kg": 1.0, "oz": POUND / 16, "lb": POUND},
    "angle": {"deg": math.pi / 180, "°": math.pi / 180, "rad": 1.0},
    "force": {
        "N": 1.0,
        "mN": 1e-3,
        "gf": 1e-3 * STANDARD_GRAVITY,
        "kgf": STANDARD_GRAVITY,
        "ozf": POUND / 16 * STANDARD_GRAVITY,
        "lbf": POUND * STANDARD_GRAVITY,
    },
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0},
    "speed": {"km/h": 1 / 3.6, "m/s": 1.0, "mph": 5280 * 12 * INCH / 3600, "kn": 1852 / 3600, "ft/s": 12 * INCH},
    "voltage": {"V": 1.0, "mV": 1e-3},
    "current": {"A": 1.0, "mA": 1e-3},
    "stress": {"MPa": 1e6, "GPa": 1e9, "kPa": 1e3, "Pa": 1.0, "psi": POUND * STANDARD_GRAVITY / INCH**2},
    "temperature": {"C": 1.0, "°C": 1.0, "K": 1.0, "F": 5 / 9, "°F": 5 / 9},
    "impulse": {"N s": 1.0, "Ns": 1.0, "lbf s": POUND * STANDARD_GRAVITY},
    "area": {"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": INCH**2},
    "moment": {
        "N m": 1.0,
        "Nm": 1.0,
        "N mm": 1e-3,
        "N cm": 1e-2,
        "kg cm": 1e-2 * STANDARD_GRAVITY,  # as a servo's label says it: a kilogram-force
        "oz in": POUND / 16 * STANDARD_GRAVITY * INCH,
    },
    "twist stiffness": {"N m/deg": 180 / math.pi, "N m/rad": 1.0},
    "spring": {"N/mm": 1e3, "N/m": 1.0},
    "resistance": {"ohm": 1.0, "mohm": 1e-3},
    "charge": {"mAh": 3.6, "Ah": 3600.0},
    "density": {"g/cm3": 1000.0, "kg/m3": 1.0},
    "ratio": {"": 1.0, "%": 0.01},
    "feed": {"mm/s": 1e-3, "mm/min": 1e-3 / 60, "m/min": 1 / 60, "in/min": INCH / 60},
}
_EXACT = {kind: {unit: Fraction(repr(factor)) for unit, factor in row.items()} for kind, row in FACTORS.items()}
_OFFSETS = {"C": 273.15, "°C": 273.15, "K": 0.0, "F": 459.67 * 5 / 9, "°F": 459.67 * 5 / 9}  # K
_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")
# "6 3/8 in", "6-3/8 in", "5/64 in": as a ruler in inches is read
_RULER = re.compile(r"\s*([+-]?)(?:(\d{1,9})[ -]\s*)?(\d{1,9})\s*/\s*(\d{1,9})\s*(\D.*?)?\s*$")
_PRINTED = re.compile("[\u00bc-\u00be\u2150-\u215e]")  # fractions that are one sign: a half, three eighths
_AFTER_COMMA = re.compile(r",\d{1,9}\s*\D{0,9}")  # what is left of "1,95 kgf" behind the 1


def default_unit(kind: Kind) -> str:
    """Give the unit a bare number of this kind is in.

    >>> default_unit("speed")
    'km/h'
    """
    return next(iter(FACTORS[kind]))


def to_si(value: float | str, kind: Kind) -> float:
    """Turn a bare number or a number with its unit into SI (temperatures into kelvin).

    Raises ValueError with what would do instead: not a number, not finite, unknown unit, unit of another kind.

    >>> round(to_si("36.2 in", "length"), 6)
    0.91948
    >>> to_si(118, "speed")
    32.777...
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"a number{_example(kind)} is needed")
    number, unit = _written(value, kind) if isinstance(value, str) else (_float(value), default_unit(kind))
    if not math.isfinite(number):
        raise ValueError("must be a finite number")
    # why: exact decimals, so that "36.2 in" and 919.48 mm become the very same number
    parts = number if isinstance(number, Fraction) else Fraction(repr(number))
    exact = _float(parts * _EXACT[kind][unit])
    if not math.isfinite(exact):
        raise ValueError("must be a finite number")
    return exact + _OFFSETS[unit] if kind == "temperature" else exact


def _written(text: str, kind: Kind) -> tuple[float | Fraction, str]:
    """Read a number and its unit, as a decimal or as a ruler's fraction.

    >>> _written("1 5/64 in", "length")
    (Fraction(69, 64), 'in')
    """
    text = _PRINTED.sub(lambda sign: " " + unicodedata.normalize("NFKC", sign[0]).replace("\u2044", "/"), text)
    text = text.replace("\u2212", "-")  # a printed minus
    ruler, match = _RULER.fullmatch(text), _NUMBER.fullmatch(text)
    if ruler is not None and int(ruler.group(4)):
        sign, whole, over, under, named = ruler.groups()
        unit = named or default_unit(kind)
        _check_unit(unit, kind)
        fraction = int(whole or 0) + Fraction(int(over), int(under))
        return -fraction if sign == "-" else fraction, unit
    if match is None:
        raise ValueError(f"a number{_example(kind)} is needed")
    unit = match.group(2) or default_unit(kind)
    if _AFTER_COMMA.fullmatch(unit):
        raise ValueError(f'the decimal sign is a point: "{match.group(1)}.{unit[1:]}"')
    if re.match(r"[,']?\d{3}\b", unit):  # thousands
        whole = re.sub(r"(?<=\d)[ ,'](?=\d)", "", text.strip())
        raise ValueError(f'no blank and no comma stands in a number: "{whole}"')
    _check_unit(unit, kind)
    return float(match.group(1)), unit


def _float(number: float | Fraction) -> float:
    """Give the nearest float; infinity for what is too large for one."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _example(kind: Kind) -> str:
    unit = default_unit(kind)
    return f' (in {unit}, or a string such as "12 {list(FACTORS[kind])[-1]}")' if unit else ""


def _check_unit(unit: str, kind: Kind) -> None:
    known = FACTORS[kind]
    if unit in known:
        return
    wanted = ", ".join(name for name in known if name) or "none"
    others = [other for other, row in FACTORS.items() if unit in row and other != kind]
    article = "an" if kind[0] in "aeiou" else "a"
    if others:
        raise ValueError(f'"{unit}" is a unit of {others[0]}; {article} {kind} is needed, in one of: {wanted}')
    alike = [name for name in known if name.lower() == unit.lower()]
    near = alike or difflib.get_close_matches(unit, known, n=1, cutoff=0.5)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    raise ValueError(f'unknown unit "{unit}"{hint}; {article} {kind} takes one of: {wanted}')


_ONLY_SHOWN = {"mm3": 1e-9, "g mm": 1e-6}
_FACTOR = {unit: factor for row in FACTORS.values() for unit, factor in row.items()} | _ONLY_SHOWN
NOT_KNOWN = "not known"


class Numbers(Protocol):
    """An array of numbers, known by its number of axes: this module loads no library."""

    @property
    def ndim(self) -> int:
        """How many axes it has."""


Floats = TypeVar("Floats", bound=Numbers)


class Unit:
    """A unit in which people read a quantity: called with SI it gives the number shown; None passes through.

    >>> mm(0.3185), grams(None), round(km_h(65.0), 3), mm.si(318.5)
    (318.5, None, 234.0, 0.3185)
    """

    def __init__(self, symbol: str) -> None:
        self.symbol = symbol
        # why: 16 digits, so that 1 m/s is 3.6 km/h and not 3.5999999999999996
        self._per_si = float(f"{1 / _FACTOR[symbol]:.16g}")
        self._offset = _OFFSETS.get(symbol, 0.0)

    @overload
    def __call__(self, si: float) -> float: ...
    @overload
    def __call__(self, si: None) -> None: ...
    @overload
    def __call__(self, si: float | None) -> float | None: ...
    @overload
    def __call__(self, si: Floats) -> Floats: ...
    def __call__(self, si: Any) -> Any:
        """Turn a number in SI, or an array of them, into this unit."""
        return None if si is None else (si - self._offset) * self._per_si

    @overload
    def si(self, shown: float) -> float: ...
    @overload
    def si(self, shown: Floats) -> Floats: ...
    def si(self, shown: Any) -> Any:
        """Turn a number in this unit, or an array of them, into SI."""
        return shown / self._per_si + self._offset


mm, mm2, mm3 = Unit("mm"), Unit("mm2"), Unit("mm3")
grams, gram_mm = Unit("g"), Unit("g mm")
grams_per_cm3 = Unit("g/cm3")
degrees, percent = Unit("deg"), Unit("%")
km_h, megapascals, celsius = Unit("km/h"), Unit("MPa"), Unit("C")
milliamps, milliamp_hours = Unit("mA"), Unit("mAh")


def measured(number: float | None) -> float:
    """Give a number as it was measured; where it was not, NaN, which leaves unknown whatever rests on it.

    >>> measured(0.3), measured(None)
    (0.3, nan)
    """
    return math.nan if number is None else number


def first_measured(*numbers: float) -> float:
    """Give the first number that was measured; NaN where none was.

    >>> first_measured(math.nan, 0.0, 0.3), first_measured(math.nan)
    (0.0, nan)
    """
    return next((number for number in numbers if not math.isnan(number)), math.nan)


def said(si: float | None, unit: str, decimals: int | None = None) -> str:
    """Write a quantity, given in SI, in a unit that people read. "g" is the gram: a load factor takes `with_unit`.

    >>> said(0.31849, "mm", 1), said(0.2196, "%", 1), said(None, "g"), said(65.0, "km/h", 0)
    ('318.5 mm', '22.0 %', 'not known', '234 km/h')
    """
    return with_unit(Unit(unit)(si), unit, decimals)


def with_unit(value: Any, unit: str, decimals: int | None = None) -> str:
    """Write a number that is in its unit already, and the unit.

    >>> with_unit(-0.04, "g", 1), with_unit(21.964, "%"), with_unit(3, ""), with_unit(None, "mm")
    ('0.0 g', '22.0 %', '3', 'not known')
    """
    text = number(value, decimals)
    return text if text == NOT_KNOWN or not unit else f"{text} {unit}"


def if_known(value: float, decimals: int = 0, *, otherwise: str = "") -> str:
    """Write a number for a table in which what is not known has a sign of its own, or none.

    >>> if_known(12.34, 1), if_known(math.nan, otherwise="-")
    ('12.3', '-')
    """
    return number(value, decimals) if math.isfinite(value) else otherwise


def number(value: Any, decimals: int | None = None) -> str:
    """Write a number without its unit; without `decimals` three digits that count, and no fewer than the whole ones.

    None and what is not finite are said to be not known; no zero has a sign.

    >>> number(None), number(12.0, 1), number(0.05069983), number(10505.86), number(-0.0001, 1)
    ('not known', '12.0', '0.0507', '10506', '0.0')
    """
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if decimals is None:
        return f"{value:d}" if isinstance(value, int) else _significant(value)
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text


def _significant(value: float) -> str:
    if value == 0:
        return "0"
    places = 2 - math.floor(math.log10(abs(value)))
    return number(value, min(max(places, 0), 8))
