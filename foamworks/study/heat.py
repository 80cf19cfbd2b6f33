"""How near does the model come to the motor's plume, and where? SI; x aft, y to starboard, z up; angles in rad.

The plume is a cone that opens from the case's edge, along the tilted axis, to ten case diameters behind the nozzle. A
point's clearance is its angle off that axis, seen from the case's edge; negative inside the case's own width. Looked at
are the skin of the fuselage, the wing, the tailplane at rest and with its elevator fully up and down, and the fins, as
thin sheets with the stations given. The largest motor counts: its cone holds those of all others.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.fins import FinSet, new_fins, old_fin, wing_stations
from foamworks.aircraft.surfaces import tail_half
from foamworks.design.airframe import Airframe, Elevator, Fuselage
from foamworks.design.model import Design
from foamworks.physics.grid import distinct
from foamworks.physics.planform import Stations

Floats = NDArray[np.float64]
Thing = Literal["fuselage", "wing", "tailplane", "fins"]
CONE_REACH = 10.0  # case diameters behind the nozzle (common practice, no source)
GRID = 41  # points each way on a sheet: a step of 2 to 4 mm, under 0.5 degrees of angle at a hand's width
AROUND = 48  # points round the fuselage


@dataclass(frozen=True)
class Nearest:
    """The point of a thing that comes nearest to the plume: its angle [rad], what it is, and where [m].

    `behind`: distance behind the nozzle along the plume's axis.
    """

    thing: Thing
    name: str
    angle: float
    x: float
    y: float
    z: float
    behind: float


@dataclass(frozen=True)
class Heat:
    """Least clearance of each thing within the cone's reach; things further away are not in it. Case diameter [m]."""

    case: float
    nearest: tuple[Nearest, ...]


def plume_angles(
    *, points: Floats, nozzle: tuple[float, float, float], downthrust: float, radius: float, reach: float
) -> tuple[Floats, Floats]:
    """Angle [rad] of each point off the plume's axis seen from the case's edge, and its distance [m] behind the nozzle.

    points (n, 3); nozzle: the case's middle there; downthrust [rad]: the plume rises aft by it; radius of the case and
    reach of the cone [m]. Infinite ahead of the nozzle and beyond the reach. Source: geometry.

    >>> spot = np.array([[0.1, 0.0, 0.05]])
    >>> angle, _ = plume_angles(points=spot, nozzle=(0.0, 0.0, 0.0), downthrust=0.0, radius=0.01, reach=0.2)
    >>> round(math.degrees(angle[0]), 2)  # 40 mm outward on 100 mm aft
    21.8
    """
    x, y, z = (points - np.asarray(nozzle)).T
    cos, sin = math.cos(downthrust), math.sin(downthrust)
    along, up = x * cos + z * sin, z * cos - x * sin
    angle = np.arctan2(np.hypot(y, up) - radius, along)
    return np.where((along > 0) & (along <= reach), angle, np.inf), along


def study_heat(design: Design) -> Heat | None:
    """Study the plume against everything measured; None without a pod on the aircraft or without a motor."""
    if design.standing is None or not design.motors:
        return None
    rows = (nearest(design, thing) for thing in ("fuselage", "wing", "tailplane", "fins"))
    return Heat(case_width(design), tuple(row for row in rows if row is not None))


def case_width(design: Design) -> float:
    """Diameter of the largest motor [m]."""
    return max(motor.diameter for motor in design.motors)


def nearest(
    design: Design, thing: Thing, *, lift: float = 0.0, aft: float = 0.0, outward: float = 0.0
) -> Nearest | None:
    """Find the point of a thing that comes nearest to the plume; None when it is out of reach or not given.

    `lift` and `aft` move the nozzle, `outward` the fins [m]: what a cure would bring.
    """
    stand, width = design.standing, case_width(design)
    if stand is None:
        return None
    best: Nearest | None = None
    for name, points in _sheets(design, thing, outward):
        for y in stand.planes:
            angles, along = plume_angles(
                points=points,
                nozzle=(stand.x + aft, y, stand.z + lift),
                downthrust=stand.downthrust,
                radius=width / 2,
                reach=CONE_REACH * width,
            )
            least = int(np.argmin(angles))
            angle = float(angles[least])
            if math.isfinite(angle) and (best is None or angle < best.angle - 1e-12):
                x, across, z = (float(place) for place in points[least])
                best = Nearest(thing, name, angle, x, across, z, float(along[least]))
    return best


def _sheets(design: Design, thing: Thing, outward: float) -> list[tuple[str, Floats]]:
    """Give a thing's points (n, 3), starboard side; the tailplane once for each place of its elevator."""
    airframe = design.airframe
    if thing == "fuselage":
        return [] if airframe.fuselage is None else [("fuselage", _skin(airframe.fuselage))]
    if thing == "wing":
        wing = wing_stations(airframe)
        return [] if wing is None else [("wing", _sheet(wing))]
    if thing == "tailplane":
        return _tail(airframe)
    fins = new_fins(design) if design.fins is not None else old_fin(design)
    return [] if fins is None else [("fins" if fins.count == 2 else "fin", _fin(fins, outward))]


def _skin(fuselage: Fuselage) -> Floats:
    rows = fuselage.sections
    table = [row.x for row in rows]
    x = distinct(np.concatenate([table, np.linspace(table[0], table[-1], 4 * GRID)]))
    width, height, centre = (
        np.interp(x, table, values)
        for values in ([r.width for r in rows], [r.height for r in rows], [r.z for r in rows])
    )
    turn = np.linspace(0, 2 * math.pi, AROUND, endpoint=False)
    y = width[:, None] / 2 * np.sin(turn)
    z = centre[:, None] + height[:, None] / 2 * np.cos(turn)
    return np.stack([np.repeat(x, AROUND), y.ravel(), z.ravel()], axis=1)


def _sheet(stations: Stations, chord: tuple[float, float] = (0.0, 1.0)) -> Floats:
    """Give the points of a flat half between two shares of its chord."""
    s = distinct(np.concatenate([stations.s, np.linspace(stations.s[0], stations.s[-1], GRID)]))
    lead, length, z = (np.interp(s, stations.s, row) for row in (stations.x, stations.chord, stations.across))
    share = np.linspace(*chord, GRID)
    x = lead[:, None] + length[:, None] * share
    return np.stack([x.ravel(), np.repeat(s, GRID), np.repeat(z, GRID)], axis=1)


def _tail(airframe: Airframe) -> list[tuple[str, Floats]]:
    stations, tail = tail_half(airframe), airframe.tailplane
    if stations is None or tail is None:
        return []
    found = [("tailplane", _sheet(stations))]
    if tail.elevator is not None:
        root, tip = tail.stations[0].y, tail.stations[-1].y
        for name, turn in (("elevator fully up", tail.elevator.up), ("elevator fully down", -tail.elevator.down)):
            found.append((name, _elevator(stations, tail.elevator, turn, (root, tip))))
    return found


def _elevator(stations: Stations, elevator: Elevator, turn: float, ends: tuple[float, float]) -> Floats:
    """Give the elevator's points, turned about its hinge [rad], trailing edge up positive."""
    inner, outer = (ends[0] + part * (ends[1] - ends[0]) for part in elevator.span)
    s = np.linspace(inner, outer, GRID)
    lead, length, z = (np.interp(s, stations.s, row) for row in (stations.x, stations.chord, stations.across))
    hinge = lead + (1 - elevator.chord_fraction) * length
    back = elevator.chord_fraction * length[:, None] * np.linspace(0, 1, GRID)
    x, up = hinge[:, None] + back * math.cos(turn), z[:, None] + back * math.sin(turn)
    return np.stack([x.ravel(), np.repeat(s, GRID), up.ravel()], axis=1)


def _fin(fins: FinSet, outward: float) -> Floats:
    """Give one fin's points, canted; `outward` moves it away from the plane of symmetry [m]."""
    flat = _sheet(fins.stations)
    along = flat[:, 1] - fins.stations.s[0]
    y = fins.y + outward + along * math.sin(fins.cant)
    return np.stack([flat[:, 0], y, fins.z + along * math.cos(fins.cant)], axis=1)
