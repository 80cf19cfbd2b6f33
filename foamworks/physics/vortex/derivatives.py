"""What the solved lattice says: stability derivatives of the aircraft and each surface's share.

Axes: x aft, y to starboard, z up; force coefficients positive up and to starboard, pitching moment nose-up, yawing
moment nose-right, rolling moment starboard wing down positive. Sideslip positive with the wind from the right. Per
radian; rates as p b/2V, q c/2V, r b/2V. Linear about zero incidence: derivatives that need lift on the wing before
the motion starts (most of Cnp and Clr of a flat wing) are not in it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.vortex.horseshoe import own_and_image, wake_normal_velocity
from foamworks.physics.vortex.panels import Panels, Surface

Floats = NDArray[np.float64]

# columns of the two half problems
ALPHA, Q, ELEVATOR = 0, 1, 2
BETA, P, R = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Solution:
    """Loads of a lattice for unit motions, about the point `at` = (x, z) on the plane of symmetry [m].

    symmetric (surfaces, 2, 3): lift and pitching moment over dynamic pressure [m2, m3] for 1 rad of incidence,
    for a pitch rate of 1 rad a metre flown, for 1 rad of elevator. antisymmetric (surfaces, 3, 3): side force, rolling
    and yawing moment for 1 rad of sideslip, roll rate, yaw rate (1 rad a metre).
    circulation (panels): over speed [m], for 1 rad of incidence. Use the properties; `about` moves the point.
    """

    surfaces: tuple[Surface, ...]
    area: float
    span: float
    chord: float
    at: tuple[float, float]
    symmetric: Floats
    antisymmetric: Floats
    circulation: Floats
    panels: Panels

    def about(self, x: float, z: float) -> "Solution":
        """The same aircraft about another point (x, z) [m]: exact, nothing is solved again.

        The moments move with the forces; a rate about the new point is the same rate about the old one and a drift:
        pitching about a point further aft lowers every incidence, yawing about it adds sideslip.
        """
        aft, up = x - self.at[0], z - self.at[1]
        sym, anti = self.symmetric.copy(), self.antisymmetric.copy()
        sym[:, 1] += aft * sym[:, 0]
        anti[:, 1] -= up * anti[:, 0]
        anti[:, 2] += aft * anti[:, 0]
        sym[:, :, Q] -= aft * sym[:, :, ALPHA]
        anti[:, :, P] -= up * anti[:, :, BETA]
        anti[:, :, R] += aft * anti[:, :, BETA]
        return replace(self, at=(x, z), symmetric=sym, antisymmetric=anti)

    @property
    def panel_count(self) -> int:
        """Panels on the whole aircraft, both sides."""
        return self.panels.count

    @property
    def lift_slope(self) -> float:
        """CL per radian of incidence."""
        return self._sym(0, ALPHA)

    @property
    def pitch_stiffness(self) -> float:
        """Cm per radian of incidence about `at`, negative when stable."""
        return self._sym(1, ALPHA)

    @property
    def neutral_point_x(self) -> float:
        """Where the lift of a change of incidence acts [m], for the whole aircraft."""
        return self.at[0] - self.pitch_stiffness / self.lift_slope * self.chord

    @property
    def pitch_damping(self) -> float:
        """Cmq: pitching moment per q c/2V, negative."""
        return self._sym(1, Q)

    @property
    def elevator_lift(self) -> float:
        """CL_de: lift per radian of elevator, trailing edge down positive."""
        return self._sym(0, ELEVATOR)

    @property
    def elevator_moment(self) -> float:
        """Cm_de: pitching moment per radian of elevator, trailing edge down positive; negative for a tail behind."""
        return self._sym(1, ELEVATOR)

    @property
    def side_slope(self) -> float:
        """CYb: side force to starboard per radian of sideslip, negative."""
        return self._anti(0, BETA)

    @property
    def dihedral_effect(self) -> float:
        """Clb: rolling moment per radian of sideslip (dihedral effect), negative when it rolls away from the wind."""
        return self._anti(1, BETA)

    @property
    def yaw_stiffness(self) -> float:
        """Cnb: yawing moment per radian of sideslip, positive when it turns into the wind."""
        return self._anti(2, BETA)

    @property
    def side_by_roll_rate(self) -> float:
        """CYp: side force per p b/2V."""
        return self._anti(0, P)

    @property
    def roll_damping(self) -> float:
        """Clp: rolling moment per p b/2V, negative."""
        return self._anti(1, P)

    @property
    def yaw_by_roll_rate(self) -> float:
        """Cnp: yawing moment per p b/2V, at zero lift."""
        return self._anti(2, P)

    @property
    def side_by_yaw_rate(self) -> float:
        """CYr: side force per r b/2V."""
        return self._anti(0, R)

    @property
    def roll_by_yaw_rate(self) -> float:
        """Clr: rolling moment per r b/2V, at zero lift."""
        return self._anti(1, R)

    @property
    def yaw_damping(self) -> float:
        """Cnr: yawing moment per r b/2V, negative."""
        return self._anti(2, R)

    def share(self, *names: str) -> "Solution":
        """The loads on the named surfaces only, as they stand on the whole aircraft; same reference."""
        chosen = {self._index(name) for name in names}
        rows = np.array([1.0 if i in chosen else 0.0 for i in range(len(self.surfaces))])[:, None, None]
        owned = np.isin(self.panels.owner, list(chosen))
        return replace(
            self,
            symmetric=self.symmetric * rows,
            antisymmetric=self.antisymmetric * rows,
            circulation=np.where(owned, self.circulation, 0.0),
        )

    def side_force_slope(self, name: str) -> float:
        """Side force of one surface (both of a pair) per radian of sideslip over its own area, positive [1/rad].

        On the aircraft: end plates and sidewash are in it. The area is measured along the surface.
        """
        i = self._index(name)
        surface = self.surfaces[i]
        return -float(self.antisymmetric[i, 0, BETA]) / (surface.count * surface.area)

    def upwash(self, points: Floats, *names: str) -> Floats:
        """Upwash per radian of incidence at points (n, 3) [m], from the named surfaces, all when none is named.

        1 + this is the local change of incidence: above 1 ahead of a wing, 1 less the downwash slope behind it.
        Close to a surface (nearer than a strip is wide) single vortices show.
        """
        source = self.share(*names) if names else self
        up = np.broadcast_to([0.0, 1.0], (len(points), 2))
        own, image = own_and_image(self.panels.vortices, np.asarray(points, dtype=float), up)
        return np.asarray((own + image) @ (source.circulation * self.panels.mirrored))

    @property
    def span_efficiency(self) -> float:
        """Span efficiency e of the loading by incidence, drag from the wake far behind: CDi = CL^2/(pi A e)."""
        return self.lift_slope**2 / (math.pi * self.span**2 / self.area * self._induced_drag_per_alpha_squared)

    @property
    def _induced_drag_per_alpha_squared(self) -> float:
        panels = self.panels
        strips, vortices = panels.strip, panels.vortices
        circulation = self.circulation.reshape(-1, panels.chordwise).sum(axis=1)
        width = np.hypot(*(vortices.nodes[vortices.right[strips]] - vortices.nodes[vortices.left[strips]])[:, 1:].T)
        wash = wake_normal_velocity(panels) @ circulation
        # drag over dynamic pressure = -(sum of circulation x normal velocity x width) over both sides
        return float(-2 * np.sum(np.where(panels.mirrored[strips], circulation * wash * width, 0.0))) / self.area

    def _sym(self, row: int, column: int) -> float:
        length = (1.0, self.chord)[row]
        rate = 2 / self.chord if column == Q else 1.0
        return float(self.symmetric[:, row, column].sum()) * rate / (self.area * length)

    def _anti(self, row: int, column: int) -> float:
        length = (1.0, self.span, self.span)[row]
        rate = 2 / self.span if column in (P, R) else 1.0
        return float(self.antisymmetric[:, row, column].sum()) * rate / (self.area * length)

    def _index(self, name: str) -> int:
        names = [surface.name for surface in self.surfaces]
        if name not in names:
            raise PhysicsError(f"{name}: no such surface; there are {', '.join(names)}")
        return names.index(name)
