"""How near does the model come to the motor's plume, and where? SI; x aft, y to starboard, z up; angles in rad.

The plume is a cone that opens from the case's edge, along the tilted axis, to ten case diameters behind the nozzle. A
point's clearance is its angle off that axis, seen from the case's edge; negative inside the case's own width. Looked at
are the skin of the fuselage, the wing, the tailplane at rest and with its elevator fully up and down, and the fins, as
thin sheets with the stations given. The largest motor counts: its cone holds those of all others.
"""

import math
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.aircraft.fins import FinSet, fins_on
from foamworks.aircraft.surfaces import tail_half
from foamworks.design.airframe import Airframe, Elevator, Fuselage
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.parts.clear import sizes_at
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
    *, points: Floats, nozzle: ArrayLike, downthrust: ArrayLike, radius: float, reach: float
) -> tuple[Floats, Floats]:
    """Angle [rad] of each point off the plume's axis seen from the case's edge, and its distance [m] behind the nozzle.

    points (..., 3); nozzle (..., 3): the case's middle there; downthrust (...) [rad]: the plume rises aft by it, both
    broadcast over the points; radius of the case and reach of the cone [m]. Infinite ahead of the nozzle and beyond the
    reach. Source: geometry.

    >>> spot = np.array([[0.1, 0.0, 0.05]])
    >>> angle, _ = plume_angles(points=spot, nozzle=(0.0, 0.0, 0.0), downthrust=0.0, radius=0.01, reach=0.2)
    >>> round(math.degrees(angle[0]), 2)  # 40 mm outward on 100 mm aft
    21.8
    """
    x, y, z = np.moveaxis(points - np.asarray(nozzle), -1, 0)
    cos, sin = np.cos(downthrust), np.sin(downthrust)
    along, up = x * cos + z * sin, z * cos - x * sin
    angle = np.arctan2(np.hypot(y, up) - radius, along)
    return np.where((along > 0) & (along <= reach), angle, np.inf), along


@where_given
def study_heat(design: Design) -> Heat:
    """Study the plume against everything measured; None without a pod on the aircraft or without a motor."""
    given(design.standing)
    given(design.motors or None)
    rows = [nearest(design, thing) for thing in get_args(Thing)]
    return Heat(case_width(design), tuple(row for row in rows if row))


def case_width(design: Design) -> float:
    """Diameter of the largest motor [m]."""
    return max(motor.diameter for motor in design.motors)


@where_given
def nearest(design: Design, thing: Thing) -> Nearest:
    """Find the point of a thing that comes nearest to the plume; None when it is out of reach or not given."""
    stand, width = given(design.standing), case_width(design)
    found = []
    for name, points in _sheets(design, thing):
        for y in stand.planes:
            angles, along = plume_angles(
                points=points,
                nozzle=(stand.x, y, stand.z),
                downthrust=stand.downthrust,
                radius=width / 2,
                reach=CONE_REACH * width,
            )
            least = int(np.argmin(angles))
            x, across, z = map(float, points[least])
            found.append(Nearest(thing, name, float(angles[least]), x, across, z, float(along[least])))
    # why: rounded, so that of two that are equally near the first counts
    best = min(found, key=lambda row: round(row.angle, 12), default=None)
    return given(best if best and math.isfinite(best.angle) else None)


def _sheets(design: Design, thing: Thing) -> list[tuple[str, Floats]]:
    """Give a thing's points (n, 3), starboard side; the tailplane once for each place of its elevator."""
    airframe = design.airframe
    if thing == "tailplane":
        return _tail(airframe)
    if thing == "fins":
        return [
            ("fins" if fins.count == 2 else "fin", upright(fins, _sheet(fins.stations))) for fins in fins_on(design)
        ]
    if thing == "fuselage":
        return [("fuselage", _skin(airframe.fuselage))] if airframe.fuselage else []
    return [("wing", _sheet(airframe.wing.half))] if airframe.wing else []


def _skin(fuselage: Fuselage) -> Floats:
    rows = fuselage.sections
    x = distinct([*(row.x for row in rows), *np.linspace(rows[0].x, rows[-1].x, 4 * GRID)])
    width, height, centre = sizes_at(rows, x)
    turn = np.linspace(0, 2 * math.pi, AROUND, endpoint=False)
    y = width[:, None] / 2 * np.sin(turn)
    z = centre[:, None] + height[:, None] / 2 * np.cos(turn)
    return np.stack([np.repeat(x, AROUND), y.ravel(), z.ravel()], axis=1)


def _sheet(stations: Stations) -> Floats:
    """Give the points of a flat half."""
    return sheet(
        stations, distinct(np.concatenate([stations.s, np.linspace(stations.s[0], stations.s[-1], GRID)])), GRID
    )


def sheet(stations: Stations, s: Floats, count: int) -> Floats:
    """Give points of a flat half (n, 3): so many along the chord at each place of its span."""
    lead, length, z = stations.along(s)
    x = lead[:, None] + length[:, None] * np.linspace(0, 1, count)
    return np.stack([x.ravel(), np.repeat(s, count), np.repeat(z, count)], axis=1)


def _tail(airframe: Airframe) -> list[tuple[str, Floats]]:
    stations, tail = tail_half(airframe), airframe.tailplane
    if not (stations and tail):
        return []
    found = [("tailplane", _sheet(stations))]
    if tail.elevator:
        s = np.linspace(*tail.across(tail.elevator.span), GRID)
        found += [(name, _elevator(stations, tail.elevator, turn, s)) for name, turn in tail.elevator.turned]
    return found


def _elevator(stations: Stations, elevator: Elevator, turn: float, s: Floats) -> Floats:
    """Give the elevator's points, turned about its hinge [rad], trailing edge up positive."""
    lead, length, z = stations.along(s)
    hinge = lead + (1 - elevator.chord_fraction) * length
    back = elevator.chord_fraction * length[:, None] * np.linspace(0, 1, GRID)
    x, up = hinge[:, None] + back * math.cos(turn), z[:, None] + back * math.sin(turn)
    return np.stack([x.ravel(), np.repeat(s, GRID), up.ravel()], axis=1)


def upright(fins: FinSet, flat: Floats) -> Floats:
    """Stand the points of a fin up, canted."""
    along = flat[:, 1] - fins.stations.s[0]
    y = fins.y + along * math.sin(fins.cant)
    return np.stack([flat[:, 0], y, fins.z + along * math.cos(fins.cant)], axis=1)
