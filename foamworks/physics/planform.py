"""What shape a wing or a fin has: area, mean aerodynamic chord and its place, from leading edges and chords.

SI; x aft, the span coordinate s is y for a wing, the length along the fin (z when it stands upright) for a fin.
Between stations leading edge and chord run straight, so every integral here is exact.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.grid import distinct

Point = tuple[float, float]
Floats = NDArray[np.float64]

EDGE = 0.05  # of a fin's height: the least stretch of edge that tells a direction
NOISE = 1e-6  # of an outline's height: two vertices closer than this in height are one (rounding of traced files)


@dataclass(frozen=True)
class Stations:
    """One half wing or one fin, root to tip [m]: leading edge `x`, span coordinate `s` rising, `chord`.

    `across` is the third coordinate (z of a wing, y of a fin), 0 when left out. Two stations may share one `s`: a step.
    """

    x: tuple[float, ...]
    s: tuple[float, ...]
    chord: tuple[float, ...]
    across: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not self.across:
            object.__setattr__(self, "across", (0.0,) * len(self.s))
        count = len(self.s)
        if count < 2 or any(len(row) != count for row in (self.x, self.chord, self.across)):
            raise PhysicsError(f"stations: at least two, with x, s, chord and across alike in number, not {count}")
        if not all(math.isfinite(v) for row in (self.x, self.s, self.chord, self.across) for v in row):
            raise PhysicsError("stations: every number must be finite")
        if any(b < a for a, b in itertools.pairwise(self.s)) or self.s[-1] <= self.s[0]:
            raise PhysicsError("stations: the span coordinate must rise from root to tip")
        if min(self.chord) < 0 or max(self.chord) <= 0:
            raise PhysicsError("stations: chords must not be negative and not all 0")

    @property
    def area(self) -> float:
        """Area of this half or fin [m2]."""
        return self._integral(self.chord)

    @property
    def height(self) -> float:
        """Root to tip along s [m]; a wing's half span when its root is at the centre line."""
        return self.s[-1] - self.s[0]

    @property
    def aspect_ratio(self) -> float:
        """Height squared over area, one fin or one half wing [-]."""
        return self.height**2 / self.area

    @property
    def taper(self) -> float:
        """Tip chord over root chord [-]."""
        if self.chord[0] <= 0:
            raise PhysicsError("taper: the root chord must be more than 0")
        return self.chord[-1] / self.chord[0]

    @property
    def sweep(self) -> float:
        """Sweep of the straight line between the leading edges of root and tip [rad], aft positive."""
        return math.atan2(self.x[-1] - self.x[0], self.height)

    @property
    def quarter_sweep(self) -> float:
        """Sweep of the line from the root's to the tip's quarter-chord point [rad]."""
        root, tip = (self.x[i] + self.chord[i] / 4 for i in (0, -1))
        return math.atan2(tip - root, self.height)

    @property
    def mac(self) -> float:
        """Mean aerodynamic chord [m], integral of chord squared over area."""
        return self._integral(self.chord, self.chord) / self.area

    @property
    def mac_le_x(self) -> float:
        """Leading edge of the mean aerodynamic chord [m], the area's mean of the leading edge."""
        return self._integral(self.chord, self.x) / self.area

    @property
    def quarter_mac_x(self) -> float:
        """The quarter point of the mean aerodynamic chord [m]."""
        return self.mac_le_x + self.mac / 4

    @property
    def mac_s(self) -> float:
        """Where the mean aerodynamic chord lies along the span [m], the area's mean of s; also the centroid's s."""
        return self._integral(self.chord, self.s) / self.area

    @property
    def centroid_x(self) -> float:
        """The area's centroid along x [m]."""
        return self.mac_le_x + self.mac / 2

    def at(self, s: float) -> tuple[float, float, float]:
        """Leading edge x, chord and across at span coordinate `s` [m], within root and tip.

        >>> Stations(x=(0.0, 0.1), s=(0.0, 1.0), chord=(0.2, 0.1)).at(0.5)
        (0.05, 0.15..., 0.0)
        """
        if not self.s[0] <= s <= self.s[-1]:
            raise PhysicsError(f"s = {s:g} m: must lie between root and tip, {self.s[0]:g} and {self.s[-1]:g} m")
        x, chord, across = map(float, self.along(s))
        return x, chord, across

    def along(self, s: Floats | float) -> tuple[Floats, Floats, Floats]:
        """Leading edge x, chord and across at span coordinates [m]; beyond root and tip, theirs."""
        x, chord, across = (np.interp(np.asarray(s), self.s, row) for row in (self.x, self.chord, self.across))
        return x, chord, across

    def scaled(self, k: float) -> "Stations":
        """The same shape `k` times as large about its root's leading edge, which stays; `across` is not changed."""
        x0, s0 = self.x[0], self.s[0]
        return Stations(
            x=tuple(x0 + k * (x - x0) for x in self.x),
            s=tuple(s0 + k * (s - s0) for s in self.s),
            chord=tuple(k * c for c in self.chord),
            across=self.across,
        )

    def _integral(self, *factors: Sequence[float]) -> float:
        """Integral over s of the product of one or two piecewise linear rows."""
        steps = [b - a for a, b in itertools.pairwise(self.s)]  # why: arrays of a few numbers are slower than a loop
        f = itertools.pairwise(factors[0])
        if len(factors) == 1:
            return sum(ds * (f0 + f1) for ds, (f0, f1) in zip(steps, f, strict=True)) / 2
        both = zip(steps, f, itertools.pairwise(factors[1]), strict=True)
        return sum(ds * (2 * f0 * g0 + f0 * g1 + f1 * g0 + 2 * f1 * g1) for ds, (f0, f1), (g0, g1) in both) / 6


@dataclass(frozen=True)
class ReferenceWing:
    """The gross wing: area of both halves [m2], span, mean aerodynamic chord and its place [m]."""

    area: float
    span: float
    mac: float
    mac_le_x: float
    quarter_mac_x: float
    mac_y: float
    aspect_ratio: float


def _continued(stations: Stations, s_new: float, low: int, high: int) -> Stations:
    """Put a new root at `s_new` on the straight edges through two stations, in place of all that lies below."""
    s = stations.s
    t = (s_new - s[low]) / (s[high] - s[low])
    rows = (stations.x, stations.chord, stations.across)
    x, chord, across = (row[low] + t * (row[high] - row[low]) for row in rows)
    if chord <= 0:
        raise PhysicsError(f"s = {s_new:g} m: the edges meet before they get there; there is no chord left")
    return Stations(
        x=(x, *stations.x[low:]),
        s=(s_new, *s[low:]),
        chord=(chord, *stations.chord[low:]),
        across=(across, *stations.across[low:]),
    )


def gross_wing(stations: Stations) -> Stations:
    """Half wing with the first panel's edges continued straight to y = 0 when its root lies outboard of it.

    >>> gross_wing(Stations(x=(0.1, 0.2), s=(0.1, 0.2), chord=(0.2, 0.1))).chord
    (0.3..., 0.2, 0.1)
    """
    if stations.s[0] < 0:
        raise PhysicsError("wing: stations are given for the starboard side, y at least 0")
    if stations.s[0] == 0:
        return stations
    return _continued(stations, 0.0, 0, next(i for i, s in enumerate(stations.s) if s > stations.s[0]))


def reference_wing(stations: Stations) -> ReferenceWing:
    """Area, span and mean aerodynamic chord of the gross wing (both halves), from the half wing as given."""
    half = gross_wing(stations)
    span, area = 2 * half.s[-1], 2 * half.area
    return ReferenceWing(
        area=area,
        span=span,
        mac=half.mac,
        mac_le_x=half.mac_le_x,
        quarter_mac_x=half.quarter_mac_x,
        mac_y=half.mac_s,
        aspect_ratio=span**2 / area,
    )


def widest_low(stations: Stations) -> int:
    """Which station of a fin has the widest chord in the lower half: its root, unless a slanting root cuts it off.

    >>> widest_low(Stations(x=(0.0, 0.0, 0.1), s=(0.0, 0.01, 0.1), chord=(0.0, 0.2, 0.1)))
    1
    """
    s = stations.s
    lower = [i for i, value in enumerate(s[:-1]) if value <= s[0] + stations.height / 2]
    return max(lower, key=lambda i: (stations.chord[i], i))


def continue_down(stations: Stations, s_new: float) -> Stations:
    """Fin whose root is continued by its own straight edges down to `s_new` [m]; as it is when that is not below it.

    The edges are those above the widest chord in the lower half (below it a slanting root cuts the fin off), taken
    over at least EDGE of the height so that the small steps of a traced curve do not decide the direction.

    >>> fin = continue_down(Stations(x=(0.1, 0.2), s=(0.1, 0.2), chord=(0.2, 0.1)), 0.05)
    >>> [round(v, 9) for v in (*fin.s, *fin.chord)]
    [0.05, 0.1, 0.2, 0.25, 0.2, 0.1]
    """
    s, height = stations.s, stations.height
    if s_new >= s[0]:
        return stations
    low = widest_low(stations)
    high = next((i for i, value in enumerate(s) if value >= s[low] + EDGE * height), len(s) - 1)
    return _continued(stations, s_new, low, high)


def trapezoid(
    *,
    aspect_ratio: float,
    taper: float,
    sweep: float,
    area: float | None = None,
    height: float | None = None,
    root_x: float = 0.0,
    root_s: float = 0.0,
) -> Stations:
    """Straight-edged fin from its shape and either its `area` [m2] or its `height` [m].

    aspect_ratio = height^2/area of this one fin, > 0; taper = tip over root chord, 0 to any; sweep of the leading
    edge [rad], within a quarter turn; the root's leading edge at (root_x, root_s) [m].

    >>> fin = trapezoid(aspect_ratio=1.5, taper=0.5, sweep=0.0, area=0.006)
    >>> round(fin.area, 9), round(fin.aspect_ratio, 9), round(fin.taper, 9)
    (0.006, 1.5, 0.5)
    """
    if aspect_ratio <= 0 or taper < 0 or not -math.pi / 2 < sweep < math.pi / 2:
        raise PhysicsError("fin: aspect ratio must be more than 0, taper at least 0, sweep within a quarter turn")
    if (area is None) == (height is None):
        raise PhysicsError("fin: give its area or its height, one of them")
    h = height if height is not None else math.sqrt(aspect_ratio * (area or 0.0))
    if h <= 0:
        raise PhysicsError("fin: area or height must be more than 0")
    root = 2 * h / (aspect_ratio * (1 + taper))
    return Stations(x=(root_x, root_x + h * math.tan(sweep)), s=(root_s, root_s + h), chord=(root, root * taper))


def outline_area(outline: Iterable[Point]) -> float:
    """Area inside a closed polygon that does not cross itself [m2], either way round.

    >>> outline_area([(0, 0), (2, 0), (2, 1), (0, 1)])
    2.0
    """
    p = _vertices(outline)
    x, z = p[:, 0] - p[0, 0], p[:, 1] - p[0, 1]
    return float(abs(np.sum(x * np.roll(z, -1) - np.roll(x, -1) * z)) / 2)


def outline_stations(outline: Iterable[Point]) -> Stations:
    """Stations of a fin drawn as a closed polygon of (x, z) [m], started anywhere and going either way round.

    At every height of a vertex: leading edge = least x, chord = greatest less least x, just below and just above it
    (two stations where a level edge makes a step). A notch inside the outline counts as filled; `outline_area` is
    the area as drawn.

    >>> outline_stations([(0.1, 0.1), (0, 0), (0.2, 0), (0.2, 0.1)])
    Stations(x=(0.0, 0.1), s=(0.0, 0.1), chord=(0.2, 0.1), across=(0.0, 0.0))
    """
    p = _vertices(outline)
    levels = _levels(p[:, 1])
    z = levels[np.argmin(np.abs(p[:, 1][:, None] - levels), axis=1)]
    rows: list[tuple[float, float, float]] = []
    for low, high in itertools.pairwise(levels):
        for height, lead, trail in _strip(p[:, 0], z, float(low), float(high)):
            row = (lead, height, trail - lead)
            if not rows or any(abs(a - b) > NOISE * np.ptp(p) for a, b in zip(row, rows[-1], strict=True)):
                rows.append(row)
    x, s, chord = zip(*rows, strict=True)
    return Stations(x=x, s=s, chord=chord)


def _vertices(outline: Iterable[Point]) -> Floats:
    p = np.asarray([tuple(point) for point in outline], dtype=float)
    if p.ndim != 2 or p.shape[1] != 2 or len(p) < 3 or not np.all(np.isfinite(p)):
        raise PhysicsError("outline: at least three points of two finite numbers each")
    return p


def _levels(z: Floats) -> Floats:
    """Distinct heights of the vertices, those within NOISE of each other taken as one; lowest and highest kept."""
    span = float(np.ptp(z))
    if span <= 0:
        raise PhysicsError("outline: it has no height")
    heights = distinct(z)
    kept = [heights[0]]
    for height in heights[1:]:
        if height - kept[-1] > NOISE * span:
            kept.append(height)
    return np.asarray(kept)


def _strip(x: Floats, z: Floats, low: float, high: float) -> list[tuple[float, float, float]]:
    """Height, least and greatest x at the bottom and top of the strip between two neighbouring heights."""
    x2, z2 = np.roll(x, -1), np.roll(z, -1)
    through = (np.minimum(z, z2) <= low) & (np.maximum(z, z2) >= high)
    xa, za, xb, zb = x[through], z[through], x2[through], z2[through]
    cut = [xa + (xb - xa) * (level - za) / (zb - za) for level in (low, (low + high) / 2, high)]
    first, last = int(np.argmin(cut[1])), int(np.argmax(cut[1]))
    return [(level, float(c[first]), float(c[last])) for level, c in ((low, cut[0]), (high, cut[2]))]


def volume_coefficient(*, fin_area: float, arm: float, wing_area: float, span: float, cant: float = 0.0) -> float:
    """Vertical tail volume coefficient [-]: fin area x arm / (wing area x span), times cos^2 of the cant.

    fin_area [m2]: all fins together, each measured along itself; arm [m] from the wing's to the fin's quarter-MAC
    point; wing_area [m2] and span [m] of the gross wing; cant [rad] from upright. Source: Raymer, *Aircraft Design*,
    section 6.4 (the definition); the cosines by Purser & Campbell, NACA TR 823 (from memory).

    >>> round(volume_coefficient(fin_area=0.0121, arm=0.36, wing_area=0.15, span=0.92), 4)
    0.0316
    """
    if min(fin_area, wing_area, span) <= 0 or not abs(cant) < math.pi / 2:
        raise PhysicsError("volume coefficient: areas and span must be more than 0, the cant within a quarter turn")
    return fin_area * arm / (wing_area * span) * math.cos(cant) ** 2


def section_half_thickness(*, share: ArrayLike, thickness: float) -> Floats:
    """Half the thickness over the chord of a plain symmetrical section; `share` of the chord from the leading edge.

    The four-digit thickness law, closed at the trailing edge: NACA Report 460 (from memory). `thickness` over chord.

    >>> round(float(section_half_thickness(share=0.3, thickness=0.10)), 4)
    0.05
    """
    s = np.asarray(share, dtype=np.float64)
    law = 0.2969 * np.sqrt(s) - s * (0.126 + s * (0.3516 - s * (0.2843 - 0.1036 * s)))
    return np.asarray(5 * thickness * law)
