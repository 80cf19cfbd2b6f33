"""How does a message repeat what stands in the file? The key of a fault between two keys, a value on one short line."""

import re
from itertools import pairwise

from foamworks.errors import printable

DEEPEST = 4  # lists and tables in each other that a message still repeats
SHOWN = 80  # characters of a value that a message repeats
LONGEST_DECIMAL = 14_000  # bits; Python refuses to write integers of more than 4300 digits (14 284 bits) as decimals
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


class Misfit(ValueError):
    """A value that cannot stand beside another of its table; `key` leads from the table to it."""

    def __init__(self, text: str, *key: str | int) -> None:
        super().__init__(text)
        self.key = key


def milli(value: float) -> str:
    """Give a length in m or a mass in kg as the file's bare number, in mm or g.

    >>> milli(0.0315)
    '31.5'
    """
    return f"{1000 * value:.6g}"


def comma_hint(values: object, wanted: object) -> str:
    """Remind of the decimal point where a list is too long by what decimal commas make of it; else nothing.

    >>> comma_hint([100, 5, 50], 2)
    '; the decimal sign is a point: 100.5, not 100,5'
    """
    if not isinstance(values, list) or not isinstance(wanted, int):
        return ""
    pairs = [pair for pair in pairwise(values) if all(type(value) is int for value in pair) and pair[1] >= 0]
    if not wanted < len(values) <= 2 * wanted or not pairs:
        return ""
    whole, part = pairs[0]
    return f"; the decimal sign is a point: {whole}.{part}, not {whole},{part}"


def list_hint(value: object) -> str:
    """Write the numbers of a text as the list that they were meant to be; nothing where there are not two.

    >>> list_hint("210 x 297"), list_hint("A9")
    ('[210, 297]', '')
    """
    found = re.findall(r"\d+(?:\.\d+)?", value) if isinstance(value, str) else []
    return f"[{', '.join(found)}]" if len(found) > 1 else ""


def value_text(value: object) -> str:
    r"""Write a value as the file would, on one printable line of at most 80 characters.

    >>> value_text({"name": "a\nb", "sheet": [1, 2.5], "mirror": True})
    '{name = "a\\nb", sheet = [1, 2.5], mirror = true}'
    """
    text = _toml(value)
    return text if len(text) <= SHOWN else text[: SHOWN - 3] + "..."


def key_text(key: str) -> str:
    r"""Write a key as the file would: bare where that is enough.

    >>> key_text("mass"), key_text("a b")
    ('mass', '"a b"')
    """
    return key if _BARE_KEY.fullmatch(key) else _quoted(key)


def _toml(value: object, deep: int = 0) -> str:
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, list | dict) and deep == DEEPEST:
        return "..."
    if isinstance(value, list):  # an entry takes at least three characters
        return f"[{', '.join(_toml(entry, deep + 1) for entry in value[:SHOWN])}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key_text(key)} = {_toml(entry, deep + 1)}" for key, entry in value.items()) + "}"
    return _scalar(value)


def _scalar(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return hex(value) if isinstance(value, int) and value.bit_length() > LONGEST_DECIMAL else str(value)


def _quoted(text: str) -> str:
    return '"' + printable(text[: 2 * SHOWN].replace("\\", "\\\\").replace('"', '\\"')) + '"'
