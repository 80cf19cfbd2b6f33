"""Beams and shear as textbooks print them, beside the program's plates and joints; SI."""

import math

from foamworks.errors import PhysicsError
from foamworks.physics.beam import LARGE_DEFLECTION, _check_face
from foamworks.physics.ranges import positive


def tip_deflection(
    *, force: float, length: float, modulus: float, inertia: float, limit: float = LARGE_DEFLECTION
) -> float:
    """Deflection [m] of a cantilever's tip under a force [N] there, F L^3/(3 E I).

    length [m], modulus [Pa], inertia of the section [m4], all above 0. Raises PhysicsError when the tip moves more
    than `limit` of the length, where the theory no longer holds; math.inf turns that off. Source: Euler beam.

    >>> round(tip_deflection(force=5, length=0.3, modulus=120e9, inertia=tube_inertia(outer=0.006, inner=0.004)), 7)
    0.0073456
    """
    positive(length=length, modulus=modulus, inertia=inertia)
    tip = force * length**3 / (3 * modulus * inertia)
    if abs(tip) > limit * length:
        raise PhysicsError(
            f"tip deflection = {abs(tip):.4g} m on a length of {length:g} m: the formula holds up to {limit:.0%} of it"
        )
    return tip


def tube_inertia(*, outer: float, inner: float = 0.0) -> float:
    """Second moment of area [m4] of a round tube, pi (D^4 - d^4)/64; diameters [m], inner 0 for a rod."""
    positive(outer=outer)
    if not 0 <= inner < outer:
        raise PhysicsError(f"inner = {inner:g} m: must lie within 0 and the outer diameter {outer:g} m")
    return math.pi * (outer**4 - inner**4) / 64


def sandwich_stiffness(*, width: float, thickness: float, face: float, face_modulus: float) -> float:
    """Bending stiffness E I [N m2] of a board with two paper faces, b E_f t_f (t - t_f)^2/2.

    width, whole thickness t and one face's thickness t_f [m], t_f below t/2; face_modulus [Pa], paper 2 to 4 GPa
    (from memory). The core's own stiffness and its shear are left out. Source: thin-face sandwich theory.
    """
    _check_face(width=width, thickness=thickness, face=face)
    positive(face_modulus=face_modulus)
    return width * face_modulus * face * (thickness - face) ** 2 / 2


def isotropic_shear_modulus(*, modulus: float, poisson: float) -> float:
    """Shear modulus [Pa] of an *isotropic* solid, E/2(1+nu); poisson -1 to 0.5. Source: elasticity, closed form.

    Never for wood, ply or paper-faced board: their true G/E is 0.05 to 0.07, this gives 0.37 (unsafely high).

    >>> round(isotropic_shear_modulus(modulus=400000, poisson=0.33))  # polystyrene, psi
    150376
    """
    positive(modulus=modulus)
    if not -1 < poisson <= 0.5:
        raise PhysicsError(f"poisson = {poisson:g}: must lie within -1 and 0.5")
    return modulus / (2 * (1 + poisson))
