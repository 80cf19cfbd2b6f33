"""How the whole aircraft answers incidence, sideslip, rotation and its flaps: a vortex lattice, solved once.

SI; axes and signs as in `derivatives`. Thin surfaces without twist or camber, linear about zero incidence, the
stream along +x, incompressible, no body, no viscosity, no slope factor: the bare lattice. Horseshoe vortices on the
panels of `panels`, trailing legs to +x. The plane of symmetry splits the problem into a symmetric half (incidence,
pitch rate, elevator) and an antisymmetric half (sideslip, roll and yaw rate), each factorised once. One
solution at the default density is converged to well under 1 %, so nothing is extrapolated.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.vortex.derivatives import Solution
from foamworks.physics.vortex.horseshoe import influence
from foamworks.physics.vortex.panels import CHORDWISE, STRIPS, Panels, Spacing, Surface, cut

Floats = NDArray[np.float64]


def solve(
    surfaces: Sequence[Surface],
    *,
    reference_area: float,
    reference_span: float,
    reference_chord: float,
    at: tuple[float, float] = (0.0, 0.0),
    density: float = 1.0,
    strips: int | None = None,
    chordwise: int | None = None,
    spacing: Spacing = "cosine",
) -> Solution:
    """Solve the lattice of an aircraft; derivatives about `at` = (x, z) [m] on its plane of symmetry.

    reference_area [m2], reference_span, reference_chord [m]: what the coefficients are made with, > 0. `density`
    multiplies the panels in both directions; `strips` and `chordwise` set them outright.

    >>> wing = Surface("wing", x=(0, 0), y=(0, 3), z=(0, 0), chord=(1, 1))
    >>> answer = solve([wing], reference_area=6, reference_span=6, reference_chord=1)
    >>> round(answer.lift_slope, 2), round(answer.neutral_point_x, 3)
    (4.21, 0.239)
    """
    if min(reference_area, reference_span, reference_chord, density) <= 0:
        raise PhysicsError("lattice: reference area, span, chord and density must be more than 0")
    if len({surface.name for surface in surfaces}) != len(surfaces):
        raise PhysicsError("lattice: two surfaces have the same name")
    panels = cut(
        surfaces,
        strips=strips or max(2, round(STRIPS * density)),
        chordwise=chordwise or max(2, round(CHORDWISE * density)),
        spacing=spacing,
    )
    symmetric, antisymmetric = _circulations(panels, at)
    return Solution(
        surfaces=tuple(surfaces),
        area=reference_area,
        span=reference_span,
        chord=reference_chord,
        at=at,
        symmetric=_symmetric_loads(panels, symmetric, at, len(surfaces)),
        antisymmetric=_antisymmetric_loads(panels, antisymmetric, at, len(surfaces)),
        circulation=symmetric[:, 0],
        panels=panels,
    )


def _circulations(panels: Panels, at: tuple[float, float]) -> tuple[Floats, Floats]:
    """Circulation over speed [m] of each panel: (m, 3) for incidence, pitch rate, elevator, and the others."""
    with np.errstate(divide="ignore", invalid="ignore"):
        symmetric, antisymmetric = influence(panels)
    if not np.all(np.isfinite(antisymmetric)):
        raise PhysicsError("lattice: two surfaces lie in each other; a control point meets a vortex")
    x, y, z = (panels.control - np.array([at[0], 0.0, at[1]])).T
    ny, nz = panels.normal.T
    pair = panels.mirrored
    # normal part of the air's velocity past each control point, over speed: translation, rotation, turned flap
    up = np.stack([nz, x * nz, panels.tilt], axis=1)
    side = np.stack([-ny, y * nz - z * ny, x * ny], axis=1)
    try:
        solved = np.zeros_like(up)
        if np.any(pair):
            solved[pair] = np.linalg.solve(symmetric[np.ix_(pair, pair)], -up[pair])
        return solved, np.asarray(np.linalg.solve(antisymmetric, -side))
    except np.linalg.LinAlgError as error:
        raise PhysicsError("lattice: two surfaces lie in the same place") from error


def _arms(panels: Panels, at: tuple[float, float]) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Middle of each bound leg from the point `at` (x, y, z), and the leg's y and z [m]."""
    vortices = panels.vortices
    left, right = vortices.nodes[vortices.left], vortices.nodes[vortices.right]
    middle = (left + right) / 2 - np.array([at[0], 0.0, at[1]])
    leg = right - left
    return middle[:, 0], middle[:, 1], middle[:, 2], leg[:, 1], leg[:, 2]


def _summed(panels: Panels, rows: Sequence[Floats], count: int) -> Floats:
    """Sum loads of panels into surfaces, both sides counted: (surfaces, rows, columns)."""
    sides = np.where(panels.mirrored, 2.0, 1.0)
    owns = (panels.owner == np.arange(count)[:, None]) * sides
    return np.stack([owns @ row for row in rows], axis=1)


def _symmetric_loads(panels: Panels, circulation: Floats, at: tuple[float, float], count: int) -> Floats:
    """Lift and nose-up moment over dynamic pressure; force = density x speed x circulation x (ex x leg)."""
    x, _, _, ly, _ = _arms(panels, at)
    lift = 2 * circulation * ly[:, None]
    return _summed(panels, [lift, -x[:, None] * lift], count)


def _antisymmetric_loads(panels: Panels, circulation: Floats, at: tuple[float, float], count: int) -> Floats:
    """Side force to starboard, roll to starboard and nose-right moment over dynamic pressure."""
    x, y, z, ly, lz = _arms(panels, at)
    lift = 2 * circulation * ly[:, None]
    side = -2 * circulation * lz[:, None]
    return _summed(panels, [side, z[:, None] * side - y[:, None] * lift, -x[:, None] * side], count)
