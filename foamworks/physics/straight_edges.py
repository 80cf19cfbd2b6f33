"""Which straight-edged fin does a drawn one come nearest to, and by how much does it miss? SI, as in `planform`."""

import math

import numpy as np

from foamworks.physics.planform import Floats, Stations, widest_low

SAMPLES = 61  # heights at which a drawn fin's edges are read
STRIPS = 2000  # of a fin's height, where two shapes are compared


def straight_edged(stations: Stations) -> Stations:
    """Give the trapezoid that a drawn fin comes nearest to: straight edges by its own, and its own area.

    The edges are lines through the middle of all slopes between 61 heights (Theil and Sen's estimate, from memory):
    a rounded or tilted tip, up to a quarter of the height, does not bend them. The root is at the widest chord in the
    lower half, the tip where the area above the root is the drawing's.

    >>> fin = straight_edged(Stations(x=(0.0, 0.08, 0.15), s=(0.0, 0.08, 0.1), chord=(0.2, 0.12, 0.0)))
    >>> round(fin.sweep, 6), round(fin.chord[0], 6)
    (0.785398, 0.2)
    """
    low = widest_low(stations)
    foot, top = stations.s[low], stations.s[-1]
    s = np.linspace(foot, top, SAMPLES + 2)[1:-1]
    lead = np.interp(s, stations.s, stations.x)
    x, slope = _middle_line(s - foot, lead)
    trail, back = _middle_line(s - foot, lead + np.interp(s, stations.s, stations.chord))
    root, narrows = trail - x, back - slope
    if root <= 0:  # edges that bend so much that their lines cross below the foot: the chord that is there
        x, root = stations.x[low], max(stations.chord)
    area = float(np.trapezoid(stations.chord[low:], stations.s[low:]))
    # why: root h + narrows h^2/2 = area; edges that meet before they enclose it end in a point
    inside = root**2 + 2 * narrows * area
    height = 2 * area / (root + math.sqrt(inside)) if inside > 0 else 2 * area / root
    tip = max(0.0, root + narrows * height)
    return Stations(x=(x, x + slope * height), s=(foot, foot + height), chord=(root, tip))


def _middle_line(s: Floats, x: Floats) -> tuple[float, float]:
    """Give x at s = 0 and the slope of the line through the middle of the points."""
    i, j = np.triu_indices(len(s), 1)
    slope = float(np.median((x[j] - x[i]) / (s[j] - s[i])))
    return float(np.median(x - slope * s)), slope


def misfit(stations: Stations, trapezoid: Stations) -> float:
    """Give the share of a fin's area that lies outside of its trapezoid, or is missing in it [-].

    >>> fin = Stations(x=(0.0, 0.1), s=(0.0, 0.1), chord=(0.2, 0.1))
    >>> misfit(fin, fin)
    0.0
    """
    foot, top = min(stations.s[0], trapezoid.s[0]), max(stations.s[-1], trapezoid.s[-1])
    strip = (top - foot) / STRIPS
    s: Floats = foot + strip * (np.arange(STRIPS, dtype=np.float64) + 0.5)
    (a, b), (c, d) = (_edges(one, s) for one in (stations, trapezoid))
    common = np.clip(np.minimum(b, d) - np.maximum(a, c), 0.0, None)
    return float(np.sum((b - a) + (d - c) - 2 * common)) * strip / stations.area / 2


def _edges(stations: Stations, s: Floats) -> tuple[Floats, Floats]:
    """Leading and trailing edge at heights; both 0 above and below the fin."""
    inside = (s >= stations.s[0]) & (s <= stations.s[-1])
    lead = np.interp(s, stations.s, stations.x)
    trail = lead + np.interp(s, stations.s, stations.chord)
    return np.where(inside, lead, 0.0), np.where(inside, trail, 0.0)
