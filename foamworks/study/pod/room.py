"""Does the pod stand clear of fins, tailplane, wing and the other pod? In three dimensions; SI, mm within.

Looked at are tube and nose, the motor's end and the retainer's collar and ears, as circles about their axes, against
both skins of the wing, the tailplane, its elevator fully up and down, and the fins that are on (the old one where no
new ones are given). What of a surface lies inside the fuselage is not looked at. Sections of wing and tailplane are
taken as ellipses of the wing's thickness, fins of board as thick as the board. The mount may touch a surface beside it,
but not stand in one.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.fins import FinSet, fins_on, wing_stations
from foamworks.aircraft.surfaces import tail_half
from foamworks.design.airframe import Airframe
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.parts import rings
from foamworks.parts.base import BackSection, Parts, Placement, Saddle
from foamworks.parts.clear import Hidden, Measure, Pair, Patch, Pod, all_clear, back_height, near, sizes_at
from foamworks.parts.density import board_named
from foamworks.parts.mounted_pod import MountedPod
from foamworks.parts.pod import PROUD
from foamworks.physics.planform import Stations
from foamworks.study.flight.drag import surface_thickness
from foamworks.units import mm

Floats = NDArray[np.float64]
EXACT = 1e-3  # mm
MOUNT_BITE = 2.0  # mm that a mount may stand in a surface and be filed to it (ours)
NOSE_STEP = 3  # every third point of the nose's profile: within 0.05 mm of the whole
GRID = 61  # points each way on a surface, where a mount that stands in it is looked for


@dataclass(frozen=True)
class Near:
    """A surface, or the other pod, and the least distance [m] of the pod from it, negative where they meet.

    `piece`: what of the pod; where on the surface, or midway between the pods [m].
    """

    thing: str
    piece: str
    gap: float
    x: float
    y: float
    z: float


@dataclass(frozen=True)
class PodRoom:
    """The nearest thing and every other within the air gap, nearest first; the surfaces that the mount stands in."""

    near: tuple[Near, ...]
    mount_in: tuple[str, ...]


@dataclass(frozen=True)
class _Sheet:
    """A surface: its name and its two skins, panel by panel."""

    name: str
    patches: tuple[Patch, ...]


@where_given
def study_pod_room(design: Design, pod: MountedPod | None, parts: Parts) -> PodRoom:
    """Study a pod on the aircraft; None without one, without a measured tube or without anything to meet."""
    mounted = given(pod)
    near = tuple(sorted((*_near(design, mounted), *other_pod(mounted)), key=lambda row: row.gap))
    given(near or None)
    mounts = [(part.places[0], part.shape) for part in parts.prints if isinstance(part.shape, Saddle) and part.places]
    stands = [
        sheet.name
        for sheet in _sheets(design)
        if any(_bites(sheet, place, shape, mounted.sections) for place, shape in mounts)
    ]
    return PodRoom(near, tuple(dict.fromkeys(stands)))


def stands_clear(design: Design, pod: MountedPod) -> bool:
    """Tell whether the pod keeps its air gap from every surface and from the other pod."""
    pairs = [pair for *_, pair in _pairs(design, pod)]
    return pods_apart(pod) and all_clear(pairs, gap=pod.air_gap - EXACT, hidden=_hidden_in(pod.sections))


def pods_apart(pod: MountedPod) -> bool:
    """Tell whether two pods keep the air gap from each other; one pod does."""
    return all(mm(row.gap) >= pod.air_gap - EXACT for row in other_pod(pod))


def other_pod(pod: MountedPod) -> Iterator[Near]:
    """Give the pieces of two pods and their distance from the other's alike; nothing of one pod.

    The pods are each other's mirror image on parallel axes: what reaches furthest inboard meets its own like, and the
    gap is twice its distance from the middle plane (geometry).
    """
    if len(pod.place.ys) < 2:
        return
    inboard: dict[str, tuple[float, float]] = {}
    solids = list(_solids(pod))
    for piece, solid in solids[: len(solids) // 2]:  # of the starboard one, which comes first
        s, radius = max(solid.profile, key=lambda point: point[1])
        inboard[piece] = min(inboard.get(piece, (math.inf, 0.0)), (2 * (solid.y - radius), s))
    for piece, (gap, s) in inboard.items():
        x, z = pod.place.point(s)
        yield Near("other pod", piece, mm.si(gap), mm.si(x), 0.0, mm.si(z))


def _sheets(design: Design) -> list[_Sheet]:
    return [*_wing(design.airframe), *_tail(design.airframe), *_fins(design)]


def _pairs(design: Design, pod: MountedPod) -> list[tuple[str, str, Pair]]:
    """Give every skin of every surface with every solid of the pod: the surface's name, the solid's, and the two."""
    patches = [(sheet.name, patch) for sheet in _sheets(design) for patch in sheet.patches]
    return [(name, piece, (patch, _measure(solid))) for piece, solid in _solids(pod) for name, patch in patches]


def _near(design: Design, pod: MountedPod) -> tuple[Near, ...]:
    """Find the nearest of all, and every surface that the pod's air gap does not reach past."""
    pairs = _pairs(design, pod)
    found: dict[str, Near] = {}
    rows = near(tuple(pair for *_, pair in pairs), within=pod.air_gap, hidden=_hidden_in(pod.sections))
    for gap, i, (x, y, z) in rows:
        name, piece, _ = pairs[i]
        found.setdefault(name, Near(name, piece, mm.si(gap), mm.si(x), mm.si(y), mm.si(z)))
    return tuple(found.values())


def _solids(pod: MountedPod) -> Iterator[tuple[str, Pod]]:
    """Give what of the pod stands in the air, each as circles about an axis."""
    outer, side = pod.tube_outer, pod.lower
    widest = max((fit.motor.diameter for fit in pod.layout.motors if fit.fits), default=0.0)
    at, tilt = pod.nozzle, pod.place.downthrust
    for y in pod.place.ys:
        yield "tube and nose", Pod((*side[:2], *side[2::NOSE_STEP], side[-1]), at, tilt, y)
        if pod.capped:
            yield "retainer", Pod(_rod(*pod.retainer, outer / 2 + rings.COLLAR_WALL), at, tilt, y)
            for ear in (rings.screw_offset(outer), -rings.screw_offset(outer)):
                yield "retainer", Pod(_rod(*pod.retainer, rings.EAR_RADIUS), at, tilt, y + ear)
        elif widest:
            yield "motor's end", Pod(_rod(0.0, PROUD, widest / 2), at, tilt, y)


def _rod(aft: float, front: float, radius: float) -> tuple[tuple[float, float], ...]:
    return ((aft, radius), (front, radius))


# why: what is the same surface or body stays one thing, so that `clear` knows it again


@lru_cache(maxsize=64)
def _measure(solid: Pod) -> Measure:
    return solid.distance


@lru_cache(maxsize=8)
def _hidden_in(sections: tuple[BackSection, ...]) -> Hidden:
    """Give what tells which points lie inside the fuselage, where nobody looks; none where it was not measured."""
    if not sections:
        return lambda points: np.zeros(len(points), dtype=bool)
    return lambda points: _in_body(points, sections)


def _in_body(points: Floats, sections: tuple[BackSection, ...]) -> NDArray[np.bool_]:
    x, y, z = points.T
    _, _, centre = sizes_at(sections, x)
    return np.asarray(np.abs(z - centre) < back_height(sections, x, y) - centre)


def _wing(airframe: Airframe) -> Iterator[_Sheet]:
    stations = wing_stations(airframe)
    if stations is not None:
        yield _Sheet("wing", tuple(_flat(stations, surface_thickness(airframe))))


def _tail(airframe: Airframe) -> Iterator[_Sheet]:
    stations, tail = tail_half(airframe), airframe.tailplane
    if stations is None or tail is None:
        return
    yield _Sheet("tailplane", tuple(_flat(stations, surface_thickness(airframe))))
    if tail.elevator is None:
        return
    ends = tail.across(tail.elevator.span)
    for name, turn in tail.elevator.turned:
        yield _Sheet(name, (_elevator(stations, tail.elevator.chord_fraction, turn, ends),))


def _fins(design: Design) -> Iterator[_Sheet]:
    board = board_named(design, design.fins.board) if design.fins is not None else None
    for fins in fins_on(design):
        name = "fins" if fins.count == 2 else "fin" if design.fins is not None else "old fin"
        thick = board.thickness if board else None
        yield _Sheet(name, tuple(_upright(fins, thick, surface_thickness(design.airframe))))


@dataclass(frozen=True)
class _Panel:
    """A straight-edged piece of a surface: leading edge, span coordinate, third coordinate, chord at both ends [mm]."""

    rows: tuple[tuple[float, float], ...]

    def at(self, u: Floats, v: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Give x, span coordinate, third coordinate and chord at shares u of the chord and v of the span."""
        lead, s, across, chord = (a + v * (b - a) for a, b in self.rows)
        return lead + u * chord, s, across, chord


def _panels(stations: Stations) -> list[_Panel]:
    rows = (stations.x, stations.s, stations.across, stations.chord)
    count = len(stations.s)
    return [_Panel(tuple((mm(row[i]), mm(row[i + 1])) for row in rows)) for i in range(count - 1)]


def _ellipse(u: Floats, chord: Floats, thickness: float) -> Floats:
    """Half the thickness [mm] of an elliptic section at a share of the chord."""
    return np.asarray(thickness * chord * np.sqrt(np.maximum(u * (1 - u), 0.0)))


@lru_cache(maxsize=16)
def _flat(stations: Stations, thickness: float) -> list[Patch]:
    """Give both skins of a starboard half, an ellipse in section."""

    def skin(panel: _Panel, side: float) -> Patch:
        def points(u: Floats, v: Floats) -> Floats:
            x, s, z, chord = panel.at(u, v)
            return np.stack([x, s, z + side * _ellipse(u, chord, thickness)], axis=1)

        return points

    return [skin(panel, side) for panel in _panels(stations) for side in (1.0, -1.0)]


@lru_cache(maxsize=16)
def _upright(fins: FinSet, board: float | None, thickness: float) -> list[Patch]:
    """Give both skins of one fin, canted: as thick as its board [m], else an ellipse in section."""
    first, cos, sin = mm(fins.stations.s[0]), math.cos(fins.cant), math.sin(fins.cant)

    def skin(panel: _Panel, side: float) -> Patch:
        def points(u: Floats, v: Floats) -> Floats:
            x, s, _, chord = panel.at(u, v)
            half = side * (_ellipse(u, chord, thickness) if board is None else np.full_like(u, 500 * board))
            y = mm(fins.y) + (s - first) * sin + half * cos
            return np.stack([x, y, mm(fins.z) + (s - first) * cos - half * sin], axis=1)

        return points

    return [skin(panel, side) for panel in _panels(fins.stations) for side in (1.0, -1.0)]


@lru_cache(maxsize=16)
def _elevator(stations: Stations, share: float, turn: float, ends: tuple[float, ...]) -> Patch:
    """Give the elevator turned about its hinge [rad], trailing edge up positive, thin."""

    def points(u: Floats, v: Floats) -> Floats:
        s = ends[0] + v * (ends[1] - ends[0])
        lead, chord, z = stations.along(s)
        back = share * chord * u
        x = lead + (1 - share) * chord + back * math.cos(turn)
        return mm(np.stack([x, s, z + back * math.sin(turn)], axis=1))

    return points


def _bites(sheet: _Sheet, place: Placement, shape: Saddle, sections: tuple[BackSection, ...]) -> bool:
    """Tell whether a mount's block stands in a surface by more than can be filed away."""
    u, v = (row.ravel() for row in np.meshgrid(np.linspace(0, 1, GRID), np.linspace(0, 1, GRID)))
    points = np.concatenate([patch(u, v) for patch in sheet.patches])
    x, y, z = points.T
    low = back_height(sections, x, np.full_like(x, place.y)) + MOUNT_BITE
    high = place.z + shape.axis_z + (x - place.x) * math.tan(shape.tilt)
    inside = (x > place.x + MOUNT_BITE) & (x < place.x + shape.length - MOUNT_BITE) & (z > low) & (z < high)
    inside &= np.abs(y - place.y) < shape.width / 2 - MOUNT_BITE
    return bool((inside & ~_in_body(points, sections)).any())
