"""Nose shapes: radius, volume, wetted area and centroid of a body of revolution from its tip to its base.

x runs aft from the tip (0) to the base (`length`); every length in one unit, metres or millimetres alike, and the
answers follow (V in its cube, A in its square). `parameter` is the one number that some profiles take: K of a
parabola (0 a cone, 1 tangent at the base; default 1), n of a power series (default 0.5), C of a Haack series (0 von
Karman, 1/3 least drag for length and volume; default 0). Shapes from Crowell, *The Descriptive Geometry of Nose
Cones*, 1996, and Haack, 1941 (both from memory; the closed forms re-derived).
"""

import functools
import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError

Profile = Literal["cone", "tangent_ogive", "ellipse", "parabola", "power", "haack", "von_karman", "lv_haack"]
Floats = NDArray[np.float64]

PROFILES: tuple[Profile, ...] = (
    "cone", "tangent_ogive", "ellipse", "parabola", "power", "haack", "von_karman", "lv_haack",
)  # fmt: skip
# default and range of the parameter; the Haack body has no real radius at the tip for C < -2/3
PARAMETERS: dict[Profile, tuple[float, float, float]] = {
    "parabola": (1.0, 0.0, 1.0),
    "power": (0.5, 0.1, 1.0),
    "haack": (0.0, -0.6, 3.0),
    "von_karman": (0.0, 0.0, 0.0),
    "lv_haack": (1 / 3, 1 / 3, 1 / 3),
}
HAACK_OVERSHOOT = 2 / 3  # C above which the greatest radius lies ahead of the base: f' = sin^2 (2 + 3 C cos)
NODES = 64  # Gauss-Legendre nodes; with the substitutions below every integral stands at 1e-9 or better
GRADING = 4  # power of the grading that takes the root at the tip of a power series out of the integrand


def radius(
    *, profile: Profile, x: ArrayLike, length: float, base_radius: float, parameter: float | None = None
) -> Floats:
    """Radius at `x` (any shape of array, 0 to `length`); 0 at the tip, `base_radius` at the base.

    >>> radius(profile="von_karman", x=[0.0, 30.0, 60.0], length=60.0, base_radius=15.0)
    array([ 0.        , 10.60660172, 15.        ])
    """
    value = _checked(profile, length, base_radius, parameter)
    u = np.asarray(x, dtype=np.float64) / length
    if not np.all((u >= -1e-12) & (u <= 1 + 1e-12)):
        raise PhysicsError(f"nose station x must lie within 0 and the length {length:g}")
    u = np.clip(u, 0.0, 1.0)
    if profile == "power":
        return np.asarray(base_radius * u**value)
    theta = np.arccos(np.clip(1 - 2 * u, -1.0, 1.0))
    return _by_angle(profile, theta, length, base_radius, value)[1]


def volume(*, profile: Profile, length: float, base_radius: float, parameter: float | None = None) -> float:
    """Volume enclosed from tip to base, in closed form.

    >>> round(volume(profile="lv_haack", length=60.0, base_radius=15.0), 2)
    23856.47
    """
    value = _checked(profile, length, base_radius, parameter)
    cylinder = math.pi * base_radius**2 * length
    if profile == "cone":
        return cylinder / 3
    if profile == "ellipse":
        return cylinder * 2 / 3
    if profile == "power":
        return cylinder / (2 * value + 1)
    if profile == "parabola":
        return cylinder * (4 / 3 - value + value**2 / 5) / (2 - value) ** 2
    if profile == "tangent_ogive":
        rho = _ogive_radius(length, base_radius)
        swept = length * rho**2 - length**3 / 3 - (rho - base_radius) * rho**2 * math.asin(length / rho)
        return math.pi * swept
    return cylinder * (0.5 + 3 * value / 16)


def wetted_area(*, profile: Profile, length: float, base_radius: float, parameter: float | None = None) -> float:
    """Lateral area from tip to base, without the base disc; by quadrature of 2 pi r ds.

    >>> round(wetted_area(profile="cone", length=60.0, base_radius=15.0), 3)
    2914.452
    """
    _, r, dx, dr, weight = _quadrature(profile, length, base_radius, parameter)
    return float(2 * math.pi * np.sum(weight * r * np.hypot(dx, dr)))


def centroid(*, profile: Profile, length: float, base_radius: float, parameter: float | None = None) -> float:
    """Distance of the enclosed volume's centroid aft of the tip; by quadrature.

    >>> round(centroid(profile="ellipse", length=60.0, base_radius=15.0) / 60.0, 6)
    0.625
    """
    x, r, dx, _, weight = _quadrature(profile, length, base_radius, parameter)
    return float(np.sum(weight * x * r**2 * dx) / np.sum(weight * r**2 * dx))


def greatest_radius(*, profile: Profile, length: float, base_radius: float, parameter: float | None = None) -> float:
    """Greatest radius between tip and base: the base's own, but more for a Haack series with C > 2/3.

    >>> greatest_radius(profile="haack", length=60.0, base_radius=15.0, parameter=1.0)
    15.166...
    """
    value = _checked(profile, length, base_radius, parameter)
    if profile != "haack" or value <= HAACK_OVERSHOOT:
        return base_radius
    crest = math.acos(-2 / (3 * value))
    return base_radius * math.sqrt(float(_haack(np.asarray(crest), value)) / math.pi)


def _checked(profile: Profile, length: float, base_radius: float, parameter: float | None) -> float:
    """Give the parameter's value after the ranges have been held against what was given."""
    if profile not in PROFILES:
        raise PhysicsError(f'unknown nose profile "{profile}"; one of: {", ".join(PROFILES)}')
    for name, number in (("length", length), ("base radius", base_radius)):
        if not (math.isfinite(number) and number > 0):
            raise PhysicsError(f"nose {name} = {number:g}: must be finite and greater than 0")
    if profile == "tangent_ogive" and length < base_radius:
        raise PhysicsError(
            f"nose length = {length:g}: a tangent ogive must be at least as long as its base radius {base_radius:g}"
        )
    default, least, most = PARAMETERS.get(profile, (0.0, -math.inf, math.inf))
    if parameter is None or profile in {"von_karman", "lv_haack"}:
        return default
    if not least <= parameter <= most:
        raise PhysicsError(f"parameter of the {profile} nose = {parameter:g}: must lie within {least:g} and {most:g}")
    return parameter


def _ogive_radius(length: float, base_radius: float) -> float:
    """Radius of the arc through the tip that meets the base along the axis."""
    return (base_radius**2 + length**2) / (2 * base_radius)


def _haack(theta: Floats, c: float) -> Floats:
    """Give pi (r/R)^2 of the Haack series at its angle; 0 at the tip without 0/0."""
    return np.asarray(np.maximum(theta - np.sin(2 * theta) / 2 + c * np.sin(theta) ** 3, 0.0))


def _by_angle(profile: Profile, theta: Floats, length: float, base_radius: float, value: float) -> tuple[Floats, ...]:
    """x, r, dx/dtheta, dr/dtheta with x = L (1 - cos theta)/2, which takes the roots at tip and base away."""
    u, du = (1 - np.cos(theta)) / 2, np.sin(theta) / 2
    if profile == "cone":
        y, dy = u, du
    elif profile == "ellipse":
        half, root = np.sin(theta / 2), np.sqrt(2 - u)
        y, dy = half * root, np.cos(theta / 2) * root / 2 - half * du / (2 * root)
    elif profile == "parabola":
        y, dy = (2 * u - value * u**2) / (2 - value), (2 - 2 * value * u) / (2 - value) * du
    elif profile == "tangent_ogive":
        rho, left = _ogive_radius(length, base_radius), length * (1 - u)
        # sqrt(rho^2 - left^2) and its rise from the tip, both without the difference of near numbers
        arc = np.sqrt((rho - length + length * u) * (rho + left))
        rise, low = length * u * (length + left), arc + rho - base_radius
        y = np.divide(rise, low, out=np.zeros_like(u), where=low > 0) / base_radius
        # a half ball stands square to its axis at the tip: no slope there
        dy = np.divide(left, arc, out=np.zeros_like(u), where=arc > 0) * du * length / base_radius
    else:
        f, slope = _haack(theta, value), np.sin(theta) ** 2 * (2 + 3 * value * np.cos(theta))
        y = np.sqrt(f / math.pi)
        dy = slope / (2 * np.sqrt(math.pi * np.where(f > 0, f, 1.0)))
    return length * u, base_radius * y, length * du, base_radius * dy


def _quadrature(profile: Profile, length: float, base_radius: float, parameter: float | None) -> tuple[Floats, ...]:
    """x, r, dx, dr by the integration variable, and its weights."""
    value = _checked(profile, length, base_radius, parameter)
    node, weight = _gauss_legendre()
    if profile == "power":
        inner = GRADING / value  # r = R s^GRADING, x = L s^(GRADING / n)
        x, dx = length * node**inner, length * inner * node ** (inner - 1)
        r, dr = base_radius * node**GRADING, base_radius * GRADING * node ** (GRADING - 1)
        return x, r, dx, dr, weight
    return (*_by_angle(profile, math.pi * node, length, base_radius, value), math.pi * weight)


@functools.cache
def _gauss_legendre() -> tuple[Floats, Floats]:
    """Nodes and weights on 0 to 1."""
    node, weight = np.polynomial.legendre.leggauss(NODES)
    return (node + 1) / 2, weight / 2
