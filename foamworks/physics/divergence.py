"""At what dynamic pressure does a wing twist itself off, and how stiff in twist is it by a weight on a stick? SI.

Strips that know nothing of each other. A wing swept back sheds load as it bends up, a wing swept forward takes more.
"""

import math
from collections.abc import Sequence

import numpy as np

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

STRIPS = 60  # the closed form of an even wing is met within 0.1 %
REAL = 1e-9  # an eigenvalue's imaginary part that is noise
QUARTER = 0.25  # of the chord, where the lift of a change of incidence acts
EVEN, SOLID = 0, 4  # the stiffness goes with this power of the chord: a tube inside, a solid section of one shape


def divergence_pressure(
    *,
    y: Sequence[float],
    chord: Sequence[float],
    stiffness: float,
    axis: float,
    slope: float,
    power: int,
    sweep: float = 0.0,
    bending: float = math.inf,
) -> float:
    """Dynamic pressure [Pa] at which the wing diverges; infinite where it never does.

    y, chord: stations from the clamped root to the tip [m]; stiffness: a moment at the tip over the twist there
    [N m/rad], spread along the span as the chord to the `power`, as is `bending`, a force at the tip over its rise
    [N/m]; axis: of twist, in chords behind the leading edge; slope: lift slope of the wing [per rad]; sweep: of its
    quarter-chord line [rad], back positive, a moderate one. Source: Bisplinghoff, Ashley & Halfman, *Aeroelasticity*,
    ch. 8 (from memory); an even straight wing has q = (pi/2)^2 G J/(e c^2 a L^2), e in chords.
    """
    positive(stiffness=stiffness, slope=slope)
    edges = np.linspace(0.0, y[-1] - y[0], STRIPS + 1)
    middle, width = (edges[:-1] + edges[1:]) / 2, float(edges[1])
    c = np.interp(middle + y[0], y, chord)
    soft = c ** -float(power)
    twist = soft / np.sum(soft) / stiffness
    bend = soft / np.sum(soft * (edges[-1] - middle) ** 2) / bending
    # what each strip adds to the twist and to the slope of all strips further out, up to where the load is
    inner = np.tril(np.ones((STRIPS, STRIPS))) - np.eye(STRIPS) / 2
    twisted = inner @ (twist[:, None] * inner.T)
    arm = np.maximum(middle[None, :] - middle[:, None], 0.0)
    sloped = inner @ (bend[:, None] * arm)
    turned = twisted * (axis - QUARTER) * c**2 - math.tan(sweep) * sloped * c
    values = np.linalg.eigvals(turned * slope * width)
    real = values.real[np.abs(values.imag) < REAL * np.abs(values.real)]
    greatest = float(np.max(real, initial=0.0))
    return 1 / greatest if greatest > 0 else math.inf


def twist_by_weight(*, mass: float, gap: float, ahead: float, behind: float) -> tuple[float, float]:
    """Stiffness in twist [N m/rad] of a wing and how far its axis lies behind the front hook, as a part of the gap.

    A mass [kg] hangs from the front hook of a stick across the tip, then from the rear one, `gap` [m] behind;
    `ahead`, `behind`: the twist [rad] either way, above 0. Bending and where the axis is drop out of the sum.
    Source: statics.

    >>> stiff, axis = twist_by_weight(mass=0.1, gap=0.3, ahead=0.06, behind=0.12)
    >>> round(stiff, 3), round(axis, 3)
    (1.634, 0.333)
    """
    positive(mass=mass, gap=gap, ahead=ahead, behind=behind)
    if ahead + behind > 1:
        raise PhysicsError("the wing twisted by more than 1 rad in all; less weight")
    return mass * STANDARD_GRAVITY * gap / (ahead + behind), ahead / (ahead + behind)
