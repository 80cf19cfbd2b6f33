"""The one error tree.

FoamworksError
├── DesignError   the design file, or a file it names, cannot be read as asked (exit 2)
├── PhysicsError  a formula was given numbers it does not hold for
└── OutputError   a file could not be made as promised
    ├── KernelMissing  the CAD kernel does not load on this machine
    └── GateError      a written part failed its own check
"""


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
