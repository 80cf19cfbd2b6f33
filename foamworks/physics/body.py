"""What a fuselage is and does: volume, areas, and how it unsettles the aircraft in pitch and in yaw.

SI; x aft, z up. A body is a row of elliptic sections (x, width, height, z of the centre), joined by straight lines.
Moments are slopes per radian (never per degree): pitch positive nose-up per incidence, yaw nose-right per sideslip;
a body alone destabilises both: a positive pitch slope, a negative yaw slope.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError

Floats = NDArray[np.float64]

SLICES = 400  # for integrals along the body that have no closed form: the strips' sum moves by less than 1e-4


@dataclass(frozen=True)
class Body:
    """Elliptic sections of a fuselage [m], nose to tail: `x` rising, `width`, `height`, `z` of the centre."""

    x: tuple[float, ...]
    width: tuple[float, ...]
    height: tuple[float, ...]
    z: tuple[float, ...]

    def __post_init__(self) -> None:
        rows = (self.x, self.width, self.height, self.z)
        if len(self.x) < 2 or len({len(row) for row in rows}) != 1:
            raise PhysicsError("fuselage: at least two sections, with x, width, height and z alike in number")
        if not all(math.isfinite(v) for row in rows for v in row):
            raise PhysicsError("fuselage: every number must be finite")
        if not np.all(np.diff(self.x) > 0):
            raise PhysicsError("fuselage: x must rise from section to section")
        if min(*self.width, *self.height) < 0 or max(self.width) <= 0 or max(self.height) <= 0:
            raise PhysicsError("fuselage: widths and heights must not be negative and not all 0")

    @property
    def length(self) -> float:
        """First section to last [m]."""
        return self.x[-1] - self.x[0]

    @property
    def volume(self) -> float:
        """Volume [m3]: exact for ellipses whose axes change straight from section to section."""
        return math.pi / 4 * _product(self.x, self.width, self.height)

    @property
    def volume_of_side_view(self) -> float:
        """Volume of the body of revolution with this body's side view [m3]: what counts in yaw."""
        return math.pi / 4 * _product(self.x, self.height, self.height)

    @property
    def wetted_area(self) -> float:
        """Area of the skin [m2], without a blunt first or last section: midpoint sum over a fine mesh of it."""
        return _skin(self)

    def width_at(self, x: float) -> float:
        """Width at x [m], 0 ahead of the nose and behind the tail."""
        return float(np.interp(x, self.x, self.width, left=0.0, right=0.0))

    def height_at(self, x: float) -> float:
        """Height at x [m], 0 ahead of the nose and behind the tail."""
        return float(np.interp(x, self.x, self.height, left=0.0, right=0.0))

    def centre_at(self, x: float) -> float:
        """The height z of the section's centre at x [m]; that of the end section beyond the ends."""
        return float(np.interp(x, self.x, self.z))


def _product(x: Sequence[float], f: Sequence[float], g: Sequence[float]) -> float:
    """Integral over x of the product of two piecewise linear rows."""
    dx, a, b = np.diff(x), np.asarray(f), np.asarray(g)
    return float(np.sum(dx * (2 * a[:-1] * b[:-1] + a[:-1] * b[1:] + a[1:] * b[:-1] + 2 * a[1:] * b[1:])) / 6)


def _skin(body: Body) -> float:
    """Skin area of the joined ellipses: |r_x x r_angle| over a quarter of the turn and its mirror, midpoint rule."""
    rows = np.array([body.x, np.divide(body.width, 2), np.divide(body.height, 2), body.z])
    t = ((np.arange(32) + 0.5) / 32)[None, :, None]
    angle = ((np.arange(128) + 0.5) / 128 * 2 * np.pi)[None, None, :]
    first, step = rows[:, :-1, None, None], np.diff(rows, axis=1)[:, :, None, None]
    a, b = first[1] + step[1] * t, first[2] + step[2] * t
    sin, cos = np.sin(angle), np.cos(angle)
    # the point is (x, a cos, z + b sin); its two tangents crossed
    along_y, along_z = step[1] * cos, step[3] + step[2] * sin
    round_y, round_z = -a * sin, b * cos
    skin = np.sqrt((along_y * round_z - along_z * round_y) ** 2 + step[0] ** 2 * (round_y**2 + round_z**2))
    return float(np.sum(skin) * (2 * np.pi / 128 / 32))


def inertia_coefficients(fineness: float) -> tuple[float, float]:
    """Lamb's inertia coefficients of a prolate spheroid (k1 along its axis, k2 across it) [-].

    fineness = length over diameter, at least 1 (a sphere: both 1/2); towards infinity k1 goes to 0 and k2 to 1.
    Source: Lamb, *Hydrodynamics*, 6th ed., article 114 (from memory); Munk, NACA TR 184, tabulates them.

    >>> tuple(round(k, 3) for k in inertia_coefficients(2.0))
    (0.21, 0.704)
    """
    if not fineness >= 1:
        raise PhysicsError(f"fineness ratio {fineness:g}: must be at least 1, the body longer than it is thick")
    if fineness < 1 + 1e-4:  # the closed form loses its digits close to the sphere
        return 0.5, 0.5
    e2 = 1 - fineness**-2
    e = math.sqrt(e2)
    half = math.atanh(e)
    alpha = 2 * (1 - e2) / e**3 * (half - e)
    beta = 1 / e2 - (1 - e2) / e**3 * half
    return alpha / (2 - alpha), beta / (2 - beta)


def _difference(volume: float, length: float) -> float:
    """Give k2 - k1 of the spheroid of this volume and length; 0 when it would be flatter than a sphere."""
    diameter = math.sqrt(6 * volume / (math.pi * length))
    k1, k2 = inertia_coefficients(max(1.0, length / diameter))
    return k2 - k1


def munk_pitch_slope(body: Body, *, reference_area: float, reference_chord: float) -> float:
    """Pitching moment of the body alone per radian of incidence [-], positive: it destabilises.

    2 Vol (k2 - k1)/(S c), the same about every point, inviscid; k of the spheroid with the body's volume and length.
    reference_area S [m2], reference_chord c [m]. Source: Munk, NACA TR 184 (1924).
    """
    _need(reference_area, reference_chord)
    return 2 * body.volume * _difference(body.volume, body.length) / (reference_area * reference_chord)


def side_slopes(body: Body, *, reference_area: float, reference_span: float, about: float) -> tuple[float, float]:
    """Side force and yawing moment about x = `about` [m] per radian of sideslip [-], both negative for a usual body.

    Slender-body cross flow, 2 (k2 - k1) dA/dx, from the nose to where the flow leaves the sides, and nothing behind:
    x0 = 0.378 L + 0.527 x1 after the nose, x1 the place where the area shrinks fastest. Areas are those of the body of
    revolution with the same side view. Munk's moment, taken over the whole length, is half as strong again as what is
    measured (the two light aircraft of the tests).
    Source: Hopkins, NACA RM A51C14 (1951), as the USAF handbook has it (section 4.2, from memory).
    """
    _need(reference_area, reference_span)
    x = np.linspace(body.x[0], body.x[-1], SLICES + 1)
    area = math.pi / 4 * np.interp(x, body.x, body.height) ** 2
    steps = np.diff(area)
    shrinks = body.length  # after the nose; a body that never shrinks keeps its flow to the end
    if steps.min() < 0:
        shrinks = float(x[int(np.argmin(steps))] + (x[1] - x[0]) / 2) - body.x[0]
    end = body.x[0] + 0.378 * body.length + 0.527 * shrinks
    places = np.append(x[x < end], end)
    areas = np.interp(places, x, area)
    inside = float(np.trapezoid(areas, places)) + (about - end) * float(areas[-1])
    factor = -2 * _difference(body.volume_of_side_view, body.length) / reference_area
    return factor * float(areas[-1]), factor * inside / reference_span


def height_dihedral(*, below: float, diameter: float, span: float, aspect_ratio: float) -> float:
    """Rolling moment per radian of sideslip [-] by the wing's height on the body: 1.2 sqrt(A) (z/b) (2 d/b).

    below: how far the wing root lies under the body's axis [m]; the flow round the body then rolls a low wing into the
    wind (positive, against dihedral) and a high one out of it (negative). diameter d of the body at the root, span b
    [m]. Source: USAF handbook, section 5.2.2.1, as Nelson and Roskam print it (from memory).

    >>> round(height_dihedral(below=1.5, diameter=4.4, span=33.4, aspect_ratio=6.06), 3)  # a low-wing light aircraft
    0.035
    """
    return 1.2 * math.sqrt(aspect_ratio) * below / span * 2 * diameter / span


def multhopp_pitch_slope(
    body: Body,
    *,
    reference_area: float,
    reference_chord: float,
    wing_start: float,
    wing_end: float,
    upwash: Callable[[Floats], Floats],
) -> float:
    """Pitching moment of the body in the wing's flow per radian of incidence [-]: the term for the neutral point.

    (pi/2) integral of width^2 (1 + upwash) dx / (S c). `upwash(x)` [m -> per radian] is the wing's upwash per
    incidence on the body's axis, above 0 ahead of the wing, between -1 and 0 behind it; strips between the wing's root
    leading edge `wing_start` and trailing edge `wing_end` [m] count nothing, the wing turns the flow along itself.
    Source: Multhopp, NACA TM 1036 (1942); the factor 1/36.5 found in print is (pi/2)/57.3 per degree.
    """
    _need(reference_area, reference_chord)
    total = 0.0
    for start, end in ((body.x[0], min(wing_start, body.x[-1])), (max(wing_end, body.x[0]), body.x[-1])):
        if end > start:
            # strips thin out towards the wing, where the upwash rises without limit (as one over a root)
            t = (np.arange(SLICES) + 0.5) / SLICES
            near = end == min(wing_start, body.x[-1])
            part = 1 - (1 - t) ** 2 if near else t**2
            x = start + (end - start) * part
            dx = (end - start) * (2 * (1 - t) if near else 2 * t) / SLICES
            total += float(np.sum(np.interp(x, body.x, body.width) ** 2 * (1 + upwash(x)) * dx))
    return math.pi / 2 * total / (reference_area * reference_chord)


def _need(*lengths: float) -> None:
    if not all(value > 0 for value in lengths):
        raise PhysicsError("body: reference lengths and areas must be more than 0")
