"""How much room has a pod whose nozzle sits at many places at once: gap over the back, mount, plume? SI, radians.

A quick look for a map: the pod's lower side by a few points, sheets by a coarse grid, the elevator at rest. The design
as built is judged by the exact gap and by the fine grid of `heat`.
"""

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.fins import fins_on
from foamworks.aircraft.surfaces import tail_half
from foamworks.design.model import Design
from foamworks.parts.clear import back_height
from foamworks.parts.mount import back_line
from foamworks.parts.mounted_pod import MountedPod
from foamworks.physics.grid import distinct
from foamworks.physics.planform import Stations
from foamworks.study import heat
from foamworks.units import mm

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

HALVINGS = 7  # of the search for the greatest tilt that fits: to a tenth of a degree
SHEET = 9  # points each way on tailplane and fin
NOSE_POINTS = 8  # of the pod's lower side kept for the fit
ALONG_BACK = 60  # points on the fuselage's back for the plume, and for a pod beside its middle
ACROSS = 41  # points of the back beside a pod's plane
FAR_BELOW = -1e4  # mm: there is no body under the pod


def fit_limits(pod: MountedPod, places: Floats, *, most: float) -> Floats:
    """Greatest tilt [rad] that keeps the air gap at each place, NaN where none does; up to `most`.

    The gap shrinks as the pod tilts: its front goes down. So the limit is found by halving.
    """
    gap, side = mm.si(pod.air_gap), mm.si(np.array(pod.under))
    rods = 2 + len(pod.under) - len(pod.lower)  # corners of tube and retainer, ahead of them the nose
    if len(side) > rods + NOSE_POINTS:
        keep = np.unique(np.linspace(rods, len(side) - 1, NOSE_POINTS).astype(int))
        side = side[[*range(rods), *keep]]
    back = mm.si(felt_back(pod))

    def fits(tilts: Floats) -> Bools:
        return np.asarray(clearances(side, back, places, tilts) >= gap - 1e-9)

    low, high = np.zeros(len(places)), np.full(len(places), most)
    never, always = ~fits(low), fits(high)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        good = fits(middle)
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return np.where(never, np.nan, np.where(always, most, low))


def felt_back(pod: MountedPod) -> Floats:
    """The back (x, z) [mm] as a tube with its air round it feels it: what rises beside the tube's plane counts.

    A tube of radius r touches a point at height z and d beside its plane when its lower side is at
    z - (r - sqrt(r^2 - d^2)); in the middle of the body that is the back itself.
    """
    sections, plane = pod.sections, pod.plane
    if plane == 0:
        return np.array(back_line(sections))
    around = max(radius for _, radius in pod.lower) + pod.air_gap
    beside = np.linspace(-around, around, ACROSS)
    x = distinct([*(s.x for s in sections), *np.linspace(sections[0].x, sections[-1].x, ALONG_BACK)])
    over, across = np.meshgrid(x, beside, indexing="ij")
    top = back_height(sections, over, plane + across) - around + np.sqrt(around**2 - across**2)
    return np.stack([x, np.maximum(top.max(axis=1), FAR_BELOW)], axis=1)


def clearances(side: Floats, back: Floats, places: Floats, tilts: Floats) -> Floats:
    """Least distance between the pod's lower side and the back at each place; negative where it dips below."""
    cos, sin = np.cos(tilts)[:, None], np.sin(tilts)[:, None]
    s, r = side.T
    x = places[:, :1] - s * cos + r * sin
    z = places[:, 1:] - s * sin - r * cos
    over = (x >= back[0, 0]) & (x <= back[-1, 0])
    dips = (over & (z < np.interp(x, *back.T))).any(axis=1)
    lower = np.stack([x, z], axis=-1)
    own = _distance(lower[:, :, None], back[:-1], back[1:]).min(axis=(1, 2))
    other = _distance(back[:, None, None], lower[:, :-1], lower[:, 1:]).min(axis=(0, 2))
    return np.where(dips, -1.0, np.minimum(own, other))


def _distance(points: Floats, start: Floats, end: Floats) -> Floats:
    """Distance of points from segments, broadcast; the last axis holds x and z."""
    along = end - start
    length = np.maximum((along**2).sum(axis=-1), 1e-18)
    share = np.clip(((points - start) * along).sum(axis=-1) / length, 0.0, 1.0)
    return np.asarray(np.sqrt(((points - start - share[..., None] * along) ** 2).sum(axis=-1)))


def plume_angles(design: Design, sides: tuple[float, ...], places: Floats, tilt: Floats) -> Floats:
    """Least angle [rad] off the plume's axis, seen from the case's edge, of anything within its reach.

    sides: the planes y of the pods [m].
    """
    width, points = heat.case_width(design), _points(design)
    least = np.full(len(places), np.inf)
    for side in sides:
        nozzle = np.insert(places, 1, side, axis=1)[:, None]
        angles, _ = heat.plume_angles(
            points=points, nozzle=nozzle, downthrust=tilt[:, None], radius=width / 2, reach=heat.CONE_REACH * width
        )
        least = np.minimum(least, angles.min(axis=1, initial=np.inf))
    return least


def _points(design: Design) -> Floats:
    """Give points of tailplane, fins and the fuselage's back, starboard side (n, 3)."""
    airframe = design.airframe
    tail = tail_half(airframe)
    found = [_sheet(tail)] if tail else []
    found += [heat.upright(fins, _sheet(fins.stations)) for fins in fins_on(design)]
    rows = airframe.sections
    if rows:
        x = np.linspace(rows[0].x, rows[-1].x, ALONG_BACK)
        top = np.interp(x, [r.x for r in rows], [r.z + r.height / 2 for r in rows])
        found.append(np.stack([x, np.zeros_like(x), top], axis=1))
    return np.concatenate(found) if found else np.zeros((0, 3))


def _sheet(stations: Stations) -> Floats:
    s = stations.s[0] + np.linspace(0, 1, SHEET) * (stations.s[-1] - stations.s[0])
    return heat.sheet(stations, s, SHEET)
