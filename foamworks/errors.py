"""The one error tree.

FoamworksError
├── DesignError   the design file, or a file it names, cannot be read as asked (exit 2)
├── PhysicsError  a formula was given numbers it does not hold for
└── OutputError   a file could not be made as promised
    ├── KernelMissing  the CAD kernel does not load on this machine
    └── GateError      a written part failed its own check
"""

_SHORT = {"\n": "\\n", "\t": "\\t", "\r": "\\r"}


def printable(text: str) -> str:
    r"""Spell out what a terminal would obey or hide (escapes, line ends, marks of direction), as TOML does.

    >>> printable("a\x1b[31m b\n")
    'a\\u001b[31m b\\n'
    """
    return "".join(c if c.isprintable() else _SHORT.get(c) or _escaped(ord(c)) for c in text)


def _escaped(code: int) -> str:
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


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
