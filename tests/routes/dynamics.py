"""Motions in pitch, and the books' approximations to all motions, as printed; SI."""

import math
from dataclasses import dataclass

import numpy as np

from foamworks.errors import PhysicsError
from foamworks.physics.modes import Matrix, Mode, _sorted_roots
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class PitchDerivatives:
    """Coefficients of the longitudinal motion about the CG, on wing area and mean chord, per radian.

    Rates are nondimensional: q c/(2V) and alpha-rate c/(2V). `thrust_slope` dT/dV [N s/m], negative for a fan.
    """

    lift: float
    drag: float
    lift_slope: float
    drag_slope: float
    moment_slope: float
    pitch_damping: float
    downwash_lag: float = 0.0
    lift_by_speed: float = 0.0
    drag_by_speed: float = 0.0
    moment_by_speed: float = 0.0
    thrust_slope: float = 0.0


def pitch_matrix(
    *,
    derivatives: PitchDerivatives,
    mass: float,
    inertia: float,
    speed: float,
    density: float,
    area: float,
    chord: float,
) -> Matrix:
    """State matrix of (u [m/s], w [m/s], q [rad/s], theta [rad]) in level flight, 4 by 4.

    mass [kg], inertia Iyy [kg m2], speed [m/s], density [kg/m3], area [m2], chord [m], all above 0.
    Source: Nelson, *Flight Stability and Automatic Control*, 2nd ed., eq. 4.51 and table 4.2 (from memory).
    """
    positive(mass=mass, inertia=inertia, speed=speed, density=density, area=area, chord=chord)
    d = derivatives
    force = 0.5 * density * speed * area / mass  # q S/(m V)
    turn = 0.5 * density * speed * area * chord / inertia  # q S c/(V Iyy)
    lag = chord / (2 * speed)
    x_u = -(d.drag_by_speed + 2 * d.drag) * force + d.thrust_slope / mass
    x_w = -(d.drag_slope - d.lift) * force
    z_u = -(d.lift_by_speed + 2 * d.lift) * force
    z_w = -(d.lift_slope + d.drag) * force
    m_lag = d.downwash_lag * lag * turn
    m_q = d.pitch_damping * lag * turn * speed
    return np.array(
        [
            [x_u, x_w, 0.0, -STANDARD_GRAVITY],
            [z_u, z_w, speed, 0.0],
            [d.moment_by_speed * turn + m_lag * z_u, d.moment_slope * turn + m_lag * z_w, m_q + m_lag * speed, 0.0],
            [0.0, 0.0, 1.0, 0.0],
        ]
    )


def pitch_modes(matrix: Matrix) -> tuple[Mode, Mode]:
    """Short period and phugoid of a longitudinal state matrix: the two faster roots and the two slower.

    A pair stays together; roots that do not swing are sorted by size.
    """
    pairs, creeping = _sorted_roots(matrix)
    groups = [*pairs, *(tuple(creeping[i : i + 2]) for i in range(0, len(creeping), 2))]
    slow, fast = sorted(groups, key=lambda roots: abs(roots[0] * roots[1]))
    return Mode("short period", fast), Mode("phugoid", slow)


def short_period_approximation(matrix: Matrix) -> tuple[float, float]:
    """Frequency [rad/s] and damping ratio with the speed held: sqrt(Zw Mq - V Mw). Source: Nelson, table 4.3.

    Raises PhysicsError when there is no oscillation to speak of (statically unstable).
    """
    return _pair(matrix[1:3, 1:3], "short period")


def phugoid_approximation(matrix: Matrix) -> tuple[float, float]:
    """Frequency [rad/s] and damping ratio with the incidence held: sqrt(-Zu g/V), -Xu/2w. Source: Nelson, table 4.3."""
    speed = matrix[1, 2]
    return _pair(np.array([[matrix[0, 0], matrix[0, 3]], [-matrix[1, 0] / speed, 0.0]]), "phugoid")


def dutch_roll_approximation(matrix: Matrix) -> tuple[float, float]:
    """Frequency [rad/s] and damping ratio without rolling. Source: Nelson, 2nd ed., section 5.4 (from memory)."""
    return _pair(matrix[np.ix_([0, 2], [0, 2])], "Dutch roll")


def roll_approximation(matrix: Matrix) -> float:
    """Root of the roll [1/s] with the wings the only thing that damps: Lp. Source: Nelson, section 5.4."""
    return float(matrix[1, 1])


def spiral_approximation(matrix: Matrix) -> float:
    """Root of the spiral [1/s], (Lb Nr - Lr Nb)/Lb; positive tightens. Source: Nelson, section 5.4 (from memory)."""
    if matrix[1, 0] == 0:
        raise PhysicsError("roll_beta = 0: the spiral formula needs some dihedral effect")
    return float((matrix[1, 0] * matrix[2, 2] - matrix[1, 2] * matrix[2, 0]) / matrix[1, 0])


def _pair(block: Matrix, name: str) -> tuple[float, float]:
    squared = float(np.linalg.det(block))
    if squared <= 0:
        raise PhysicsError(f"{name}: the formula gives no frequency, the motion diverges")
    frequency = math.sqrt(squared)
    return frequency, -float(np.trace(block)) / (2 * frequency)
