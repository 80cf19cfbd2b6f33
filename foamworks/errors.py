"""The one error tree.

FoamworksError
├── DesignError   the design file, or a file it names, cannot be read as asked (exit 2)
├── PhysicsError  a formula was given numbers it does not hold for
└── OutputError   a file could not be made as promised
    ├── KernelMissing  the CAD kernel does not load on this machine
    └── GateError      a written part failed its own check
"""

import math
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

_SHORT = {"\n": "\\n", "\t": "\\t", "\r": "\\r"}


def printable(text: str) -> str:
    r"""Spell out what a terminal would obey or hide (escapes, line ends, marks of direction), as TOML does.

    >>> printable("a\x1b[31m b\n")
    'a\\u001b[31m b\\n'
    """
    return "".join(c if c.isprintable() else _SHORT.get(c) or _escaped(ord(c)) for c in text)


def _escaped(code: int) -> str:
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


class NotGiven(Exception):
    """What is asked for is not there: a study has nothing to study, a check ends without a word."""


def given(value: T | None) -> T:
    """Take what makes a question one at all: a record that is there, a number that was measured (not NaN)."""
    if value is None or not_measured(value):
        raise NotGiven
    return value


def not_measured(value: object) -> bool:
    """Tell a number that was not measured."""
    return isinstance(value, float) and math.isnan(value)


def where_given(function: Callable[P, T]) -> Callable[P, T | None]:
    """Let a function ask for what it needs at its door, by `given`; where one is missing there is None as a whole.

    >>> @where_given
    ... def area(width, height):
    ...     return given(width) * given(height)
    >>> area(2.0, 3.0), area(2.0, None), area(float("nan"), 3.0)
    (6.0, None, None)
    """

    @wraps(function)
    def asked(*args: P.args, **kwargs: P.kwargs) -> T | None:
        try:
            return function(*args, **kwargs)
        except NotGiven:
            return None

    return asked


class FoamworksError(Exception):
    """Anything foamworks can explain to its user."""


class DesignError(FoamworksError, ValueError):
    """The design cannot be read as asked; the text names file, line, key, value and what would do."""


class PhysicsError(FoamworksError, ValueError):
    """A formula was given numbers outside its range; the text names the quantity and the range."""


class OutputError(FoamworksError, OSError):
    """A file could not be made as promised; the text names the file and why."""


class KernelMissing(OutputError):
    """The CAD kernel does not load; the text says how to install what it lacks."""


class GateError(OutputError):
    """A written part failed its check after writing; the text names part and check."""
