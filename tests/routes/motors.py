"""What a motor's label says, and a curve stretched to another impulse; SI."""

import re
from typing import NamedTuple

from numpy.typing import ArrayLike

from foamworks.errors import PhysicsError
from foamworks.physics.flight.motor import Floats, class_limit, curve_arrays
from foamworks.physics.ranges import positive

_DESIGNATION = re.compile(r"(1/8A|1/4A|1/2A|[A-O])(\d+(?:\.\d+)?)([A-Z]*)(?:-(?:(\d+)|(P))([A-Z]*))?")


class Designation(NamedTuple):
    """A motor's printed name taken apart: class, labelled mean thrust [N], delay [s] (None when none is printed)."""

    letter: str
    mean_thrust: float
    delay: float | None
    plugged: bool


def read_designation(text: str) -> Designation:
    """Take a designation such as C6-3, D12-P or 1/2A3-2T apart.

    The number after the class is the labelled mean thrust [N], the one after the dash the delay [s] from burnout to
    ejection; 0 is a booster without delay, P a plugged motor. Letters after either are the maker's own.
    Source: NAR, Standard Motor Codes.

    >>> read_designation("C6-3")
    Designation(letter='C', mean_thrust=6.0, delay=3.0, plugged=False)
    """
    match = _DESIGNATION.fullmatch(text.strip())
    if match is None or float(match.group(2)) <= 0:
        raise PhysicsError(f"designation {text!r}: must read like C6-3, D12-P or 1/2A3-2T")
    letter, mean, _, delay, plugged, _ = match.groups()
    return Designation(letter, float(mean), None if delay is None else float(delay), plugged is not None)


def longest_burn(designation: Designation) -> float:
    """Burn time [s] of a motor that fills its class at its labelled mean thrust: C6 gives 10/6 = 1.67 s."""
    return class_limit(designation.letter) / designation.mean_thrust


def scaled_curve(
    *, time: ArrayLike, thrust: ArrayLike, thrust_factor: float = 1.0, impulse_factor: float = 1.0
) -> tuple[Floats, Floats]:
    """Curve of a motor with other thrust and impulse: the burn goes as impulse over thrust, the shape stays.

    A labelled mean may differ 20 % from the measured one (NAR, Standard Motor Codes; read): factors 0.8 to 1.2.
    """
    positive(thrust_factor=thrust_factor, impulse_factor=impulse_factor)
    t, force = curve_arrays(time=time, thrust=thrust)
    return t[0] + (t - t[0]) * impulse_factor / thrust_factor, force * thrust_factor
