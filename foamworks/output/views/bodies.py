"""The aircraft as solids: what 3-D view, overview and assembly show, each body once with its shape and places [mm].

Parts bring their own shapes, printed and bought; the airframe is lofted from what was measured. Nobody measures how
large a battery is: it is drawn by its mass.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely import Polygon, affinity, box

from foamworks.aircraft.fins import FinSet
from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe, Section, Station
from foamworks.parts.base import Extrude, Group, Placement, PrintPart, Revolve
from foamworks.parts.mesh import DRAWN, Loft, Mesh, Solid, joined, mesh
from foamworks.parts.solidmath import turn
from foamworks.physics.planform import section_half_thickness
from foamworks.units import first_measured, grams, mm

Kind = Literal["airframe", "old", "board", "print", "bought", "motor"]
Point3 = tuple[float, float, float]
TAIL_THICKNESS = 0.06  # over chord, drawn only: nobody measures a tailplane's thickness
LEAST_CHORD = 0.1  # mm: a pointed tip is drawn this blunt
SIDES = DRAWN[0]
OLD_BOARD = 4.0  # mm, thickness that the old fin is drawn with
PACK_DENSITY = 1.9e-3  # g/mm3, a lithium pack with its leads (from memory)
PACK_SHAPE = (3.2, 1.0, 1.0)  # length, width, height of a lithium pack over its width (from memory)
ASIDE = 10.0  # mm between parts that stand in a row
HERE = (Placement(0.0, 0.0, 0.0),)
# groups; each motor has one
MODEL, FINS, POD = "airframe", "fins", "pod"
FAIRING, FITTED, BOUGHT = "fairing", "fitted parts", "bought parts"
PRINTED: dict[Group, str] = {"camera": FAIRING, "fitted": FITTED}  # the rest is the pod's


@dataclass(frozen=True)
class Body:
    """Solids, and where they are; `group`, `motor` (empty: all): its set; `shown`: at first, in the view."""

    name: str
    kind: Kind
    shapes: tuple[Solid, ...]
    places: tuple[Placement, ...] = HERE
    group: str = MODEL
    motor: str = ""
    shown: bool = True


def drawn(body: Body) -> Mesh:
    """Mesh a body in all its places, as fine as a picture needs."""
    made = [mesh(shape, *DRAWN) for shape in body.shapes]
    return joined([carried(each, place) for each in made for place in body.places])


def carried(made: Mesh, place: Placement) -> Mesh:
    """Carry a mesh from its own frame onto the aircraft."""
    return Mesh(made.vertices @ turn(place).T + (place.x, place.y, place.z), made.triangles)


def bodies(case: Case) -> list[Body]:
    """Give every body of a design, the airframe first; the prints of one without an aircraft stand in a row."""
    airframe = case.design.airframe
    if not airframe.given and not any(part.places for part in case.parts.prints):
        return standing(case.parts.prints)
    found = [*_airframe(airframe), *_fins(case)] if airframe.given else []
    found += standing([part for part in case.parts.prints if part.places])
    for item in case.parts.bought:
        if item.shape:
            found.append(Body(item.name, "bought", (item.shape,), item.places, BOUGHT, item.motor or ""))
    return [*found, *_motors(case), *_boxes(case)]


def standing(parts: Sequence[PrintPart]) -> list[Body]:
    """Give printed parts where they belong; where none has a place, all of them in a row."""
    found, ahead = [], 0.0
    placed = any(part.places for part in parts)
    for part in parts:
        group = PRINTED.get(part.group, POD)
        if part.places:
            found.append(Body(part.name, "print", (part.shape,), part.places, group, part.motor or ""))
        elif not placed:
            row = (Placement(0.0, ahead + part.box_mm[1] / 2, 0.0),)
            found.append(Body(part.name, "print", (part.shape,), row, group))
            ahead += part.box_mm[1] + ASIDE
    return found


def airfoil(x: float, z: float, chord: float, thickness: float, steps: int = 12) -> list[tuple[float, float]]:
    """Give a plain symmetrical section, upper side from the leading edge and back below, closed at its trailing edge.

    The four-digit thickness law (NACA Report 460); `thickness` over chord.
    """
    share = (1 - np.cos(np.linspace(0, math.pi, steps + 1))) / 2
    half = section_half_thickness(share=share, thickness=thickness)
    upper = [(x + chord * float(a), z + chord * float(b)) for a, b in zip(share, half, strict=True)]
    return upper + [
        (x + chord * float(a), z - chord * float(b)) for a, b in zip(share[-2:0:-1], half[-2:0:-1], strict=True)
    ]


def _airframe(airframe: Airframe) -> Iterator[Body]:
    if airframe.sections:
        turns = np.linspace(0, 2 * math.pi, SIDES, endpoint=False).tolist()
        rows = tuple(tuple(_around(section, turn) for turn in turns) for section in airframe.sections)
        yield Body("fuselage", "airframe", (Loft(rows),))
    for name, stations, thickness in surfaces(airframe):
        yield _halves(name, stations, thickness)


def surfaces(airframe: Airframe) -> Iterator[tuple[str, Sequence[Station], float]]:
    """Give wing and tailplane, as far as they are given: stations of the starboard half, thickness over chord."""
    if airframe.wing is not None:
        yield "wing", airframe.wing.stations, airframe.wing.thickness
    if airframe.tailplane is not None:
        yield "tailplane", airframe.tailplane.stations, TAIL_THICKNESS


def _halves(name: str, stations: Sequence[Station], thickness: float) -> Body:
    def ring(s: Station, sign: int) -> tuple[Point3, ...]:
        section = airfoil(mm(s.x), mm(s.z), max(mm(s.chord), LEAST_CHORD), thickness)
        return tuple((a, sign * mm(s.y), b) for a, b in section)

    return Body(name, "airframe", tuple(Loft(tuple(ring(s, sign) for s in stations)) for sign in (1, -1)))


def _around(section: Section, angle: float) -> Point3:
    across, up = mm(section.width) / 2 * math.cos(angle), mm(section.height) / 2 * math.sin(angle)
    return (mm(section.x), across, mm(section.z) + up)


def _fins(case: Case) -> Iterator[Body]:
    old, new = case.study.old_fin, case.study.new_fins
    if old is not None:
        s = old.stations
        edge = [*zip(s.x, s.s, strict=True)]
        edge += [(x + c, h) for x, h, c in zip(s.x[::-1], s.s[::-1], s.chord[::-1], strict=True)]
        shape = Extrude(Polygon([(mm(x), mm(h)) for x, h in edge]), OLD_BOARD)
        places = tuple(Placement(0.0, y + OLD_BOARD / 2, 0.0, roll=math.pi / 2) for y in _sides(old))
        if new is None:
            yield Body("fin", "airframe", (shape,), places)
        else:
            yield Body("old fin", "old", (shape,), places, shown=False)
    board = case.parts.fin
    if new is not None and board is not None:
        outline = affinity.affine_transform(board.outline, [0, 1, 1, 0, 0, 0])  # its own x runs up the fin
        places = tuple(_leaning(new, y, board.thickness_mm) for y in _sides(new))
        name = "new fins" if new.count == 2 else "new fin"
        yield Body(name, "board", (Extrude(outline, board.thickness_mm),), places, FINS)


def _sides(fins: FinSet) -> tuple[float, ...]:
    return (mm(fins.y), -mm(fins.y)) if fins.count == 2 else (mm(fins.y),)


def _leaning(fins: FinSet, y: float, thickness: float) -> Placement:
    """Stand a fin up, its top leaning outward by the cant, the middle of its board over the root line."""
    roll = math.pi / 2 - math.copysign(fins.cant, y if fins.count == 2 else 1.0)
    y, z = y + thickness / 2 * math.sin(roll), mm(fins.z) - thickness / 2 * math.cos(roll)
    return Placement(mm(fins.stations.x[0]), y, z, roll=roll)


def _motors(case: Case) -> list[Body]:
    mounted = case.pod
    if mounted is None:
        return []
    held = [fit.motor for fit in mounted.layout.motors if fit.fits]
    found = []
    for motor in held:
        radius, length, places = motor.diameter / 2, motor.length, mounted.place.revolved(motor.length)
        rod = Revolve(((0.0, 0.0), (0.0, radius), (length, radius), (length, 0.0)))
        found.append(Body(motor.name, "motor", (rod,), places, BOUGHT, motor.name, shown=motor is held[-1]))
    return found


def _boxes(case: Case) -> Iterator[Body]:
    """Give camera, flight battery and ignition pack."""
    camera, airframe, ignition = case.design.camera, case.design.airframe, case.design.ignition
    if camera is not None and camera.at is not None:
        size = (mm(camera.body.length), mm(camera.body.width), mm(camera.body.height))
        yield _box("camera", size, (mm(camera.at.x), mm(camera.at.y), mm(camera.at.z)))
    battery = airframe.battery
    packs = (("battery", battery), ("ignition pack", ignition.pack if ignition else None))
    for name, pack in packs:
        if pack and math.isfinite(pack.mass + pack.x):
            yield _box(name, pack_size(grams(pack.mass)), (mm(pack.x), 0.0, mm(first_measured(pack.z, 0.0))))


def pack_size(mass: float) -> Point3:
    """Give the box of a lithium pack of this mass [g].

    >>> [round(side) for side in pack_size(226.0)]
    [107, 33, 33]
    """
    unit = (mass / PACK_DENSITY / math.prod(PACK_SHAPE)) ** (1 / 3)
    return (unit * PACK_SHAPE[0], unit * PACK_SHAPE[1], unit * PACK_SHAPE[2])


def _box(name: str, size: Sequence[float], middle: Point3) -> Body:
    length, width, height = size
    shape = Extrude(box(-length / 2, -width / 2, length / 2, width / 2), height)
    return Body(name, "bought", (shape,), (Placement(middle[0], middle[1], middle[2] - height / 2),), BOUGHT)
