"""How the aircraft swings by itself: short period, phugoid, roll, spiral, Dutch roll. SI, angles in radians.

Small motions about steady level flight at `speed`, in the textbook's stability axes: u forward, w down, q nose up,
theta nose up; beta with the wind from the right, p right wing down, r nose right, phi right wing down. Signs of the
derivatives are therefore the textbook's: moment slope negative and weathercock stiffness positive are stable.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Matrix = NDArray[np.float64]
ModeName = Literal["short period", "phugoid", "roll", "spiral", "Dutch roll", "roll and spiral"]
REAL_BELOW = 1e-9  # imaginary part over magnitude: smaller is rounding, the root is real


@dataclass(frozen=True)
class Mode:
    """One mode: a pair of roots or one real root [1/s]; a negative real part dies out. Without roots there is none."""

    name: ModeName
    roots: tuple[complex, ...]

    @property
    def swings(self) -> bool:
        """Whether it swings (a complex pair) instead of creeping."""
        return any(abs(root.imag) > REAL_BELOW * abs(root) for root in self.roots)

    @property
    def frequency(self) -> float:
        """Undamped frequency [rad/s]; NaN for a mode that does not swing."""
        return abs(self.roots[0]) if self.swings else math.nan

    @property
    def damping_ratio(self) -> float:
        """Damping ratio, 1 is critical, negative grows; NaN for a mode that does not swing."""
        return -self.roots[0].real / self.frequency if self.swings else math.nan

    @property
    def period(self) -> float:
        """Time of one swing [s]; NaN for a mode that does not swing."""
        return 2 * math.pi / abs(self.roots[0].imag) if self.swings else math.nan

    @property
    def growth(self) -> float:
        """Real part of the root that is least stable [1/s]; negative dies out, NaN without roots."""
        return max((root.real for root in self.roots), default=math.nan)

    @property
    def time_to_double(self) -> float:
        """Time in which it doubles [s]; without end when it does not grow."""
        return math.log(2) / self.growth if self.growth > 0 else math.inf

    @property
    def time_to_halve(self) -> float:
        """Time in which its slowest part halves [s]; without end when it does not die out."""
        return -math.log(2) / self.growth if self.growth < 0 else math.inf


@dataclass(frozen=True)
class SideDerivatives:
    """Coefficients of the lateral motion about the CG, on wing area and span, per radian; rates p b/(2V), r b/(2V)."""

    side_beta: float
    roll_beta: float
    yaw_beta: float
    roll_p: float
    yaw_p: float
    roll_r: float
    yaw_r: float
    side_p: float = 0.0
    side_r: float = 0.0


def side_matrix(
    *,
    derivatives: SideDerivatives,
    mass: float,
    inertia_roll: float,
    inertia_yaw: float,
    inertia_product: float = 0.0,
    speed: float,
    density: float,
    area: float,
    span: float,
) -> Matrix:
    """State matrix of (beta [rad], p [rad/s], r [rad/s], phi [rad]) in level flight, 4 by 4.

    mass [kg]; inertia_roll Ixx, inertia_yaw Izz, inertia_product Ixz = sum m x z [kg m2] in stability axes; speed
    [m/s], density [kg/m3], area [m2], span [m].
    Source: Nelson, 2nd ed., eq. 5.35 and table 5.1 (from memory); the product of inertia by solving both moments.
    """
    positive(mass=mass, inertia_roll=inertia_roll, inertia_yaw=inertia_yaw, speed=speed)
    positive(density=density, area=area, span=span)
    if inertia_product**2 >= inertia_roll * inertia_yaw:
        raise PhysicsError(f"inertia_product = {inertia_product:g} kg m2: no body has that beside these Ixx and Izz")
    d = derivatives
    load = 0.5 * density * speed**2 * area
    rate = span / (2 * speed)
    side = load / (mass * speed) * np.array([d.side_beta, d.side_p * rate, d.side_r * rate])
    moments = (
        load
        * span
        * np.array([[d.roll_beta, d.roll_p * rate, d.roll_r * rate], [d.yaw_beta, d.yaw_p * rate, d.yaw_r * rate]])
    )
    inertia = np.array([[inertia_roll, -inertia_product], [-inertia_product, inertia_yaw]])
    matrix = np.zeros((4, 4))
    matrix[0, :3] = side + np.array([0.0, 0.0, -1.0])
    matrix[0, 3] = STANDARD_GRAVITY / speed
    matrix[1:3, :3] = np.linalg.solve(inertia, moments)
    matrix[3, 1] = 1.0
    return matrix


def side_modes(matrix: Matrix) -> tuple[Mode, ...]:
    """Modes of a lateral state matrix: usually roll, spiral, Dutch roll.

    With a second pair, roll and spiral have joined into one slow swing. Without a pair (no weathercock stability) the
    fastest-dying root is the roll, the smallest the spiral, and the two others stand as a Dutch roll that diverges.
    """
    pairs, creeping = _sorted_roots(matrix)
    if len(pairs) == 2:
        slow, fast = sorted(pairs, key=lambda roots: abs(roots[0]))
        return Mode("roll and spiral", slow), Mode("Dutch roll", fast)
    spiral, *between = creeping
    roll = min(between, key=lambda root: root.real)
    between.remove(roll)
    dutch = pairs[0] if pairs else tuple(between)
    return Mode("roll", (roll,)), Mode("spiral", (spiral,)), Mode("Dutch roll", dutch)


def _sorted_roots(matrix: Matrix) -> tuple[list[tuple[complex, complex]], list[complex]]:
    """Complex pairs (positive imaginary part first) and real roots by rising size."""
    if matrix.shape != (4, 4) or not np.all(np.isfinite(matrix)):
        raise PhysicsError("state matrix: must be 4 by 4 and finite")
    roots: Sequence[complex] = [complex(root) for root in np.linalg.eigvals(matrix)]
    pairs = [(root, root.conjugate()) for root in roots if root.imag > REAL_BELOW * abs(root)]
    creeping = [complex(root.real) for root in roots if abs(root.imag) <= REAL_BELOW * abs(root)]
    return pairs, sorted(creeping, key=abs)
