"""Other lines of turbulent friction on a plate than the program's, as printed."""

import math

from foamworks.physics.flight.drag import _reynolds_above_one
from foamworks.physics.ranges import positive


def power_law_friction(*, reynolds: float) -> float:
    """Friction coefficient of one side of a plate, turbulent, by the 1/7-power profile: 0.074/Re^0.2, 1e5 to 1e7."""
    positive(reynolds=reynolds)
    return float(0.074 / reynolds**0.2)


def schoenherr_friction(*, reynolds: float) -> float:
    """Friction coefficient of one side of a plate, turbulent: 0.242/sqrt(Cf) = log10(Re Cf).

    Schoenherr's line (from memory). Range 1e5 to 1e9.
    """
    _reynolds_above_one(reynolds)
    root = 0.06  # sqrt(Cf) of ordinary plates lies between 0.03 and 0.1; Newton's method needs no closer start
    for _ in range(8):
        fault = 0.242 / root - math.log10(reynolds) - 2 * math.log10(root)
        root += fault / (0.242 / root**2 + 2 / (root * math.log(10)))
    return root**2
