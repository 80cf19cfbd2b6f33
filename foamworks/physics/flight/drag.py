"""How much drag do the model and the parts added to it make? Drag areas (drag over dynamic pressure) [m2], in SI.

Friction of a flat plate with form factors for surfaces and bodies, the base drag of a blunt end, printed coefficients
of bluff bodies, the drag due to lift, and the drag area that a measured flight speed or its decay gives away.
"""

import math

import numpy as np

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive

TRANSITION_LOSS = 1700.0  # turbulent friction less this over Re, for transition at Re 5e5 (Schlichting, from memory)
BASE_FACTOR = 0.029  # Hoerner, Fluid-Dynamic Drag, ch. 3, base of a body of revolution (from memory)
CUBE = 1.05  # face-on, on the frontal area (Hoerner, White; from memory, within 15 %)
FAIRED = 0.25  # faired camera, on the frontal area; 0.2 to 0.3 is common practice, no source

# Cylinders by length over diameter, on the frontal area. Matthews, Aeronautical Engineer's Data Book, p. 95, Fig. 5.13
AXIAL_CYLINDER = ((1.0, 0.91), (2.0, 0.85), (4.0, 0.87), (7.0, 0.99))
CROSSWISE_CYLINDER = ((1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98), (math.inf, 1.20))


def laminar_friction(*, reynolds: float) -> float:
    """Friction coefficient of one side of a plate, laminar: 1.328/sqrt(Re) (Blasius). Range 1e3 to 5e5.

    >>> round(laminar_friction(reynolds=1e5), 6)
    0.0042
    """
    positive(reynolds=reynolds)
    return 1.328 / math.sqrt(reynolds)


def turbulent_friction(*, reynolds: float) -> float:
    """Friction coefficient of one side of a plate, turbulent from its edge: 0.455/(log10 Re)^2.58.

    Prandtl and Schlichting, *Boundary-Layer Theory* (from memory). Range 1e5 to 1e9.
    """
    _reynolds_above_one(reynolds)
    return float(0.455 / math.log10(reynolds) ** 2.58)


def friction(*, reynolds: float) -> float:
    """Friction coefficient of one side of a smooth plate, laminar at first, turbulent from Re 5e5.

    Turbulent less 1700/Re where that lies above Blasius, else Blasius: the transition form alone goes negative below
    Re 2.5e5. Rough foam, paint edges and tape are turbulent from the start: use `turbulent_friction` for the bound.

    >>> friction(reynolds=1e5) == laminar_friction(reynolds=1e5)
    True
    """
    mixed = turbulent_friction(reynolds=reynolds) - TRANSITION_LOSS / reynolds
    return max(laminar_friction(reynolds=reynolds), mixed)


def wing_form_factor(*, thickness: float) -> float:
    """Drag of a surface over its friction, 1 + 2 t/c + 60 (t/c)^4; `thickness` over chord, 0 to 0.2.

    Hoerner, *Fluid-Dynamic Drag*, ch. 6 (from memory), for the greatest thickness near 30 % of the chord.
    """
    if not 0 <= thickness < 1:
        raise PhysicsError(f"thickness over chord = {thickness:g}: must be 0 or more and less than 1")
    return 1 + 2 * thickness + 60 * thickness**4


def body_form_factor(*, fineness: float) -> float:
    """Drag of a streamlined body over its friction, 1 + 1.5 f^-1.5 + 7 f^-3; `fineness` f length over diameter.

    Range 2 and up. Hoerner, *Fluid-Dynamic Drag*, ch. 6 (from memory).
    """
    positive(fineness=fineness)
    return float(1 + 1.5 * fineness**-1.5 + 7 * fineness**-3)


def surface_drag_area(*, area: float, chord: float, thickness: float, speed: float, viscosity: float) -> float:
    """Profile drag area [m2] of a fin or wing: plan area [m2], both sides wet, mean chord [m], thickness over chord.

    speed [m/s], kinematic viscosity [m2/s]. Friction with form factor; no interference at the root (up to 10 % more,
    common practice, no source).
    """
    positive(area=area, chord=chord, speed=speed, viscosity=viscosity)
    skin = friction(reynolds=speed * chord / viscosity)
    return 2 * area * skin * wing_form_factor(thickness=thickness)


def body_drag_area(*, wetted_area: float, length: float, diameter: float, speed: float, viscosity: float) -> float:
    """Drag area [m2] of a streamlined body without its base: wetted area [m2], length and diameter [m].

    speed [m/s], kinematic viscosity [m2/s].
    """
    positive(wetted_area=wetted_area, length=length, diameter=diameter, speed=speed, viscosity=viscosity)
    skin = friction(reynolds=speed * length / viscosity)
    return wetted_area * skin * body_form_factor(fineness=length / diameter)


def base_drag_area(*, base_area: float, forebody: float) -> float:
    """Drag area [m2] of a blunt end [m2] behind a body of drag area `forebody` [m2]: 0.029 A sqrt(A/forebody).

    Hoerner, *Fluid-Dynamic Drag*, ch. 3 (from memory): a thick boundary layer insulates the base. Without a jet; a
    burning motor fills part of its base, so this is the drag before and after the burn.
    """
    positive(base_area=base_area, forebody=forebody)
    return BASE_FACTOR * base_area * math.sqrt(base_area / forebody)


def pod_drag_area(*, wetted_area: float, length: float, diameter: float, speed: float, viscosity: float) -> float:
    """Drag area [m2] of a pod with a blunt end of its full diameter: body and base. Units as `body_drag_area`."""
    body = body_drag_area(wetted_area=wetted_area, length=length, diameter=diameter, speed=speed, viscosity=viscosity)
    return body + base_drag_area(base_area=math.pi / 4 * diameter**2, forebody=body)


def camera_drag_area(*, frontal_area: float, faired: bool) -> float:
    """Drag area [m2] of a camera by what it shows the stream [m2]: a bare box (cube, 1.05), or its fairing (0.25)."""
    positive(frontal_area=frontal_area)
    return (FAIRED if faired else CUBE) * frontal_area


def cylinder_drag(*, ratio: float, crosswise: bool) -> float:
    """Drag coefficient of a cylinder on its frontal area, by length over diameter, along or across the stream.

    Between the printed rows of `AXIAL_CYLINDER` and `CROSSWISE_CYLINDER` straight in diameter over length (so that
    the endless cylinder has its place); beyond them the nearest row.

    >>> round(cylinder_drag(ratio=20.0, crosswise=True), 3)
    0.927
    """
    positive(ratio=ratio)
    rows = sorted((1 / r, drag) for r, drag in (CROSSWISE_CYLINDER if crosswise else AXIAL_CYLINDER))
    return float(np.interp(1 / ratio, [row[0] for row in rows], [row[1] for row in rows]))


def induced_factor(*, span: float, efficiency: float = 1.0) -> float:
    """Factor k [1/m2] of the drag due to lift, D = k L^2/q: 1/(pi b^2 e).

    Span b [m], span efficiency e above 0 and about 1 at most.
    """
    positive(span=span, efficiency=efficiency)
    return 1 / (math.pi * span**2 * efficiency)


def dynamic_pressure(*, speed: float, density: float) -> float:
    """Dynamic pressure [Pa], rho V^2/2, of speed [m/s] and density [kg/m3]."""
    positive(speed=speed, density=density)
    return density * speed**2 / 2


def _reynolds_above_one(reynolds: float) -> None:
    if not reynolds > 1:
        raise PhysicsError(f"reynolds = {reynolds:g}: must be more than 1 (plate formulas are meant for 1e5 and up)")
