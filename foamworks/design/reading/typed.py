"""In which units does the builder measure? As most quantities of the design file are typed."""

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any, Literal

Customary = Literal["in", "oz"]
LEAST = 3  # quantities in a unit that make it the builder's own: fewer are a label's (ours)
# what may end a quantity: the unit that it is told in -> as it is typed
_OWN: dict[Customary, str] = {"in": r"in|ft|\"|'", "oz": r"oz|lb"}
_OTHER: dict[Customary, str] = {"in": r"mm|cm|m", "oz": r"g|kg"}


def customary(data: dict[str, Any]) -> frozenset[Customary]:
    """Give the units, inch and ounce, in which the tables of a design are typed.

    >>> sorted(customary({"wing": {"chord": "8 1/4 in", "y": '2"', "x": ["3 in", 120]}, "mass": "26 oz"}))
    ['in']
    """
    typed = [text for text in _texts(data) if text[:1].isnumeric() or text[:1] in "+-."]
    own, other = (
        Counter(unit for text in typed for unit in _OWN if re.search(rf"\d\s*(?:{ends[unit]})\s*$", text))
        for ends in (_OWN, _OTHER)
    )
    return frozenset(unit for unit in _OWN if own[unit] >= LEAST and own[unit] > other[unit])


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)
