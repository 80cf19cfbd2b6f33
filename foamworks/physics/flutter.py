"""At what speed a thin fin flutters, by NACA TN 4197; SI: pressures and moduli in Pa, speeds in m/s.

The bare formula, no factor: whoever judges applies one. It holds for a solid isotropic plate whose centre of gravity
lies at half chord. For paper-faced board put in the shear modulus that a twisted strip gave
(`beam.shear_modulus_from_twist`), never one worked out from a bending test: wood and board shear far more easily than
E/2(1+nu) says, and the speed would come out unsafely high.

Trap: a form copied from one hobby page to the next writes 1.337 p and keeps a further 2 in the denominator. It reads
sqrt(2) too high. Here the constant is built from its own parts.
"""

import math

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive

STANDARD_PRESSURE = 101325.0  # Pa, one standard atmosphere, 14.696 psi
CENTRE_OFFSET = 0.25  # chords from the quarter-chord line back to the plate's centre of gravity at half chord
HEAT_RATIO = 1.4  # cp/cv of air
STIFFNESS_SCALE = 24 / math.pi * CENTRE_OFFSET * HEAT_RATIO * STANDARD_PRESSURE  # Pa; 39.3 psi as printed


def flutter_speed(
    *,
    shear_modulus: float,
    aspect_ratio: float,
    taper: float,
    thickness_ratio: float,
    pressure: float,
    speed_of_sound: float,
) -> float:
    """Flutter speed [m/s] of one fin clamped at its root.

    shear_modulus G [Pa]; aspect_ratio height^2/area of one fin; taper tip over root chord, 0 to 1; thickness_ratio
    thickness over *root* chord, below 0.5; pressure [Pa]; speed_of_sound [m/s].
    (V/a)^2 = G / [39.3 psi A^3/((t/c)^3 (A+2)) (lambda+1)/2 p/p0].
    Source: D. J. Martin, NACA TN 4197 (1958), second-hand; for subsonic and low supersonic speeds, thin plates.

    >>> air = {"pressure": 101325.0, "speed_of_sound": 340.3}
    >>> fin = {"aspect_ratio": 1.5, "taper": 0.51, "thickness_ratio": 0.04}
    >>> round(flutter_speed(shear_modulus=110e6, **fin, **air), 1)
    64.3
    """
    need = _modulus_at_sound_speed(
        aspect_ratio=aspect_ratio, taper=taper, thickness_ratio=thickness_ratio, pressure=pressure
    )
    positive(shear_modulus=shear_modulus, speed_of_sound=speed_of_sound)
    return speed_of_sound * math.sqrt(shear_modulus / need)


def _modulus_at_sound_speed(*, aspect_ratio: float, taper: float, thickness_ratio: float, pressure: float) -> float:
    """Shear modulus [Pa] at which the fin would flutter at the speed of sound: the formula's denominator."""
    positive(aspect_ratio=aspect_ratio, thickness_ratio=thickness_ratio, pressure=pressure)
    if not 0 <= taper <= 1:
        raise PhysicsError(f"taper = {taper:g}: must lie within 0 and 1")
    if thickness_ratio >= 0.5:
        raise PhysicsError(f"thickness_ratio = {thickness_ratio:g}: must be below 0.5, the fin is a plate")
    shape = aspect_ratio**3 / (thickness_ratio**3 * (aspect_ratio + 2))
    return STIFFNESS_SCALE * shape * (taper + 1) / 2 * pressure / STANDARD_PRESSURE
