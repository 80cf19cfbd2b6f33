"""How far a fin, a strip or a spar bends and what stress that is; SI: lengths m, forces N, moduli and stresses Pa.

Euler's beam, small deflections. Also the way back: from two tests of a strip at home (a weight in its middle, a
weight that twists it) to the board's own bending and shear modulus.
"""

import math

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import not_negative, positive
from foamworks.units import STANDARD_GRAVITY

LARGE_DEFLECTION = 0.10  # of the length: beyond it the linear theory is wrong by about 1 % and grows fast
TORSION_TERMS = 9  # odd terms of the series; the first one left out is below 1e-6 of the sum


def bending_stress(*, moment: float, inertia: float, distance: float) -> float:
    """Stress [Pa] in a section at `distance` [m] from its neutral axis, M c/I; the sign is the moment's.

    moment [N m], inertia [m4]. Source: Euler beam.
    """
    positive(inertia=inertia, distance=distance)
    return moment * distance / inertia


def rectangle_inertia(*, width: float, height: float) -> float:
    """Second moment of area [m4] of a solid rectangle that bends across its height [m], b h^3/12."""
    positive(width=width, height=height)
    return width * height**3 / 12


def sandwich_face_stress(*, moment: float, width: float, thickness: float, face: float) -> float:
    """Stress [Pa] in the faces of a sandwich, M/(b t_f (t - t_f)); moment [N m], lengths [m].

    Source: thin-face sandwich theory, the couple is carried by the faces alone.
    """
    _check_face(width=width, thickness=thickness, face=face)
    return moment / (width * face * (thickness - face))


def torsion_constant(*, width: float, thickness: float) -> float:
    """Torsion constant J [m4] of a solid rectangle; the order of the two sides [m] does not matter.

    J = w t^3/3 [1 - 192 t/(pi^5 w) sum tanh(n pi w/2t)/n^5, n odd].
    Source: Saint-Venant's series as in Timoshenko & Goodier, *Theory of Elasticity*, section on rectangular bars.

    >>> round(torsion_constant(width=1, thickness=1), 4)
    0.1406
    """
    positive(width=width, thickness=thickness)
    short, long = sorted((width, thickness))
    odd = range(1, 2 * TORSION_TERMS, 2)
    series = math.fsum(math.tanh(n * math.pi * long / (2 * short)) / n**5 for n in odd)
    return long * short**3 / 3 * (1 - 192 * short / (math.pi**5 * long) * series)


def modulus_from_bending(*, force: float, sag: float, span: float, width: float, thickness: float) -> float:
    """Bending modulus [Pa] of a strip on two supports with a force [N] in the middle, F L^3/(4 b t^3 d).

    sag d [m] where the force acts, at most 10 % of the span [m]; the strip's width and thickness [m].
    For a sandwich this is the modulus of the solid strip that would bend alike. Source: Euler beam.

    >>> round(modulus_from_bending(force=1, sag=0.003, span=0.3, width=0.05, thickness=0.005) / 1e6)
    360
    """
    positive(force=force, sag=sag, span=span, width=width, thickness=thickness)
    if sag > LARGE_DEFLECTION * span:
        raise PhysicsError(
            f"sag = {sag:g} m: must be at most {LARGE_DEFLECTION:.0%} of the span {span:g} m; less weight"
        )
    return force * span**3 / (48 * rectangle_inertia(width=width, height=thickness) * sag)


def shear_modulus_from_twist(*, moment: float, twist: float, length: float, width: float, thickness: float) -> float:
    """Shear modulus [Pa] of a strip clamped at one end and twisted at the other, T L/(J theta).

    moment T [N m]; twist theta [rad] above 0, at most 0.5 (beyond, the strip's edges stretch and stiffen it: from
    memory); length between the clamps, width, thickness [m]. Source: Saint-Venant torsion.
    """
    positive(moment=moment, twist=twist, length=length)
    if twist > 0.5:
        raise PhysicsError(
            f"twist = {twist:g} rad: must be at most 0.5 rad (29 degrees); less weight or a longer strip"
        )
    return moment * length / (torsion_constant(width=width, thickness=thickness) * twist)


def side_load(*, speed: float, density: float, area: float, coefficient: float) -> float:
    """Side load [N] on one fin, q S C_N; speed [m/s], density [kg/m3], area of one fin [m2], C_N by area.

    The sign is the coefficient's. Source: definition of the coefficient.
    """
    positive(density=density, area=area)
    return 0.5 * density * speed**2 * area * coefficient


def load_centre(*, height: float, taper: float) -> float:
    """Distance [as height] of a fin's area centre from its root, h/3 (1 + 2 taper)/(1 + taper); taper 0 or more.

    Where the side load is taken to act; an elliptic load would sit at 0.42 h. Source: centroid of a trapezoid.

    >>> load_centre(height=0.3, taper=1)
    0.15
    """
    positive(height=height)
    not_negative(taper=taper)
    return height / 3 * (1 + 2 * taper) / (1 + taper)


def glue_shear_stress(*, force: float, diameter: float, length: float) -> float:
    """Shear stress [Pa] in the glue round a tube, F/(pi d L); force [N], diameter and glued length [m].

    An even stress; the ends of a real joint carry more, which is what a factor of 4 is for (custom of the trade).
    """
    positive(diameter=diameter, length=length)
    return force / (math.pi * diameter * length)


def ring_on_two_supports(*, force: float, radius: float) -> tuple[float, float]:
    """Bending moments [N m] of a flat ring held at two opposite points under a force [N] spread evenly round it.

    Midway between the points and at the points: w r^2 (pi/2 - 1) and w r^2, w = F/(2 pi r), r its mean radius [m]; no
    torsion acts at either. Source: statics of a quarter of the ring; it is the circular girder on two columns.

    >>> [round(m, 4) for m in ring_on_two_supports(force=1.0, radius=1.0)]
    [0.0908, 0.1592]
    """
    positive(radius=radius)
    load = force / (2 * math.pi * radius)
    return load * radius**2 * (math.pi / 2 - 1), load * radius**2


def load_factor(*, speed: float, density: float, area: float, lift: float, mass: float) -> float:
    """Lift over weight, q S C_L/(m g); speed [m/s], density [kg/m3], area [m2], mass [kg]. Source: definition."""
    positive(density=density, area=area, mass=mass)
    return 0.5 * density * speed**2 * area * lift / (mass * STANDARD_GRAVITY)


def load_factor_of_spar(*, spar_moment: float, mass: float, arm: float) -> float:
    """Load factor at which a wing's root sees the moment [N m] that it stands, 2 M/(m g y).

    mass of the aircraft [kg]; arm y [m] of the half wing's lift from the root. The wing's own weight would relieve
    the root and is left out, which is on the safe side. Source: statics.
    """
    positive(spar_moment=spar_moment, mass=mass, arm=arm)
    return 2 * spar_moment / (mass * STANDARD_GRAVITY * arm)


def tip_rise(*, load: float, stiffness: float) -> float:
    """How far [m] the tip of an even half wing rises under an even load [N], 3 F/(8 k).

    stiffness k [N/m]: a force at the tip over its rise there, 3 E I/L^3. Source: Euler beam, F L^3/(8 E I).

    >>> tip_rise(load=80.0, stiffness=300.0)
    0.1
    """
    positive(stiffness=stiffness)
    return 3 * load / (8 * stiffness)


def _check_face(*, width: float, thickness: float, face: float) -> None:
    positive(width=width, thickness=thickness, face=face)
    if face >= thickness / 2:
        raise PhysicsError(f"face = {face:g} m: must be below half the board's thickness {thickness:g} m")
