"""The printed fairing that goes over a camera on the wing: a hood on a flat foot, open ahead of the lens. Millimetres.

Seen from ahead it is a half circle over two straight legs, no wider than lets the camera's box in. From above: an
opening between lips, each a flat land, a slant of 45 deg and a rounding, so that it prints standing on them without
supports; then a straight part over the box, a tail that tapers to an edge. The box stands on the foot's
plane. Stations run aft from the opening.
"""

import math
from dataclasses import dataclass

import numpy as np

from foamworks.design.additions import Box
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.parts.base import Arch, Placement, Point, PrintPart
from foamworks.parts.cuts import weighed_apart
from foamworks.parts.solidmath import Filament, print_part
from foamworks.units import first_measured, grams, mm

NAME = "camera fairing"
CLEARANCE = 0.5  # mm between box and shell on every side: a print over a measured box (common practice, no source)
LIP = 0.4  # of the half width inside: what the rounded lips leave of the front is the opening (ours)
TAIL = 4.0  # lengths of the tail in half widths: 14 deg a side on the mean, less parts the flow (common practice)
EDGE = 0.5  # of the wall: half thickness of the tail's end (ours)
FLAT = 0.4  # mm, half a nozzle's line: the hollow ends on a small flat, a point on the axis breaks solids and meshes
LEAST_WALL = 0.2  # mm, as for a nose: nothing thinner is printed
LEAST_LEGS = 0.2  # mm, a printed layer: shorter legs are left out
STATIONS = 400  # tried widths, and places where the hollow's end is looked for
OUTER_POINTS, INNER_POINTS, TAIL_POINTS = 25, 49, 61  # on each curve: their chords stand within some 0.003 mm


@dataclass(frozen=True)
class Hood:
    """A fairing as it is drawn [mm]: half width inside, height of its legs, wall, lip and tail, for a box's length."""

    half: float
    legs: float
    wall: float
    box_length: float

    @property
    def outer(self) -> float:
        """Half width outside."""
        return self.half + self.wall

    @property
    def lip(self) -> float:
        """Radius of the lips outside, which is the length of the front's rounding too."""
        return LIP * self.half + self.wall

    @property
    def opening(self) -> tuple[float, float]:
        """Width and height of the opening ahead of the lens."""
        half = self.half * (1 - LIP)
        return 2 * half, self.legs + half

    @property
    def box_at(self) -> float:
        """Station of the box's front face."""
        return self.lip + CLEARANCE

    @property
    def length(self) -> float:
        """From the opening to the tail's end."""
        return self.lip + self.box_length + 2 * CLEARANCE + TAIL * self.outer

    @property
    def frontal_area(self) -> float:
        """Area seen from ahead, its opening counted as closed [mm2]: the camera's face stands behind it."""
        return 2 * self.outer * self.legs + math.pi / 2 * self.outer**2


def hood(*, length: float, width: float, height: float, wall: float) -> Hood:
    """Give the hood of least frontal area over a camera's box [mm] with this wall.

    A wide arch is low but broad, a narrow one tall: the half width is the best of `STATIONS` between the box's own and
    the circle around its upper corners.
    """
    if not min(length, width, height, wall) > 0:
        raise PhysicsError("a fairing needs a box and a wall greater than 0")
    side, top = width / 2 + CLEARANCE, height + CLEARANCE
    half = np.linspace(side, math.hypot(side, top), STATIONS)
    legs = np.maximum(top - np.sqrt(half**2 - side**2), 0.0)
    area = 2 * (half + wall) * legs + math.pi / 2 * (half + wall) ** 2
    best = int(np.argmin(area))
    if legs[best] < LEAST_LEGS:
        return Hood(float(half[-1]), 0.0, wall, length)
    return Hood(float(half[best]), float(legs[best]), wall, length)


def shape(made: Hood, *, forward: bool = False) -> Arch:
    """Give the hood's solid, stations along x; `forward`: along -x, for a hood that is turned over."""
    outside, inside = _outside(made), _inside(made)
    path = [(inside[-1][0], 0.0), *reversed(inside), *outside, (outside[-1][0], 0.0)]
    hollow, front = len(inside), len(inside) + 1
    slant = front + 2  # the land's two corners stand before it
    smooth = (
        (1, hollow - INNER_POINTS),
        (hollow - INNER_POINTS + 1, hollow),
        (slant, slant + OUTER_POINTS - 1),
        (slant + OUTER_POINTS, len(path) - 2),
    )
    sign = -1.0 if forward else 1.0
    return Arch(tuple((sign * x, r) for x, r in path), made.legs, smooth)


def _outside(made: Hood) -> list[Point]:
    """Give the outer curve from the land's inner edge to the tail's end."""
    tail = made.length - TAIL * made.outer
    share = np.linspace(0, 1, TAIL_POINTS)
    drop = made.outer - EDGE * made.wall
    aft = [(float(tail + t * TAIL * made.outer), float(made.outer - drop * t * t)) for t in share]
    inner = made.half * (1 - LIP)
    land = (math.sqrt(2) - 1) * made.lip  # so wide that a slant of 45 deg from its edge meets the rounding's own
    return [(0.0, inner), (0.0, inner + land), *_rounding(made, made.lip, math.pi / 4, OUTER_POINTS), *aft]


def _inside(made: Hood) -> list[Point]:
    """Give the inner curve from the lip's front to the hollow's end: one wall within the outer curve."""
    start, length = made.length - TAIL * made.outer, TAIL * made.outer
    drop = made.outer - EDGE * made.wall
    share = np.linspace(0, 1, STATIONS)
    thick = made.wall * np.sqrt(1 + (2 * drop / length * share) ** 2)  # across the axis, for a wall square to the skin
    radius = made.outer - drop * share**2 - thick
    end = float(np.interp(-FLAT, -radius, share))
    at = np.linspace(0, end, TAIL_POINTS)
    curve = np.append(np.interp(at[:-1], share, radius), FLAT)
    aft = [(float(start + t * length), float(r)) for t, r in zip(at, curve, strict=True)]
    return [*_rounding(made, made.lip - made.wall, 0.0, INNER_POINTS), *aft]


def _rounding(made: Hood, radius: float, start: float, points: int) -> list[Point]:
    """Give a lip's rounding from the angle `start` [rad] off its front to where the straight part begins."""
    centre = made.half * (1 - LIP)
    angle = np.linspace(start, math.pi / 2, points)
    return [(float(made.lip - radius * math.cos(a)), float(centre + radius * math.sin(a))) for a in angle]


def hood_over(body: Box, filament: Filament) -> Hood:
    """Give the hood over a camera's box, its wall as printed."""
    wall = max(filament.walls * filament.nozzle, LEAST_WALL)
    return hood(length=mm(body.length), width=mm(body.width), height=mm(body.height), wall=wall)


def hood_mass(design: Design, filament: Filament) -> float:
    """Give the mass of the fairing that the camera has or would have [g]: weighed, or estimated as printed."""
    weighed = weighed_apart(design, NAME)
    if math.isfinite(weighed):
        return grams(weighed)
    if not design.camera:
        return 0.0
    made = print_part(NAME, shape(hood_over(design.camera.body, filament)), filament=filament)
    return first_measured(made.mass_g, 0.0)


def hangs(design: Design) -> bool:
    """Tell whether the camera sits under the wing: its middle lies below the wing's chord line there."""
    at = design.camera.at if design.camera is not None else None
    wing = design.airframe.wing
    return at is not None and at.z < (float(wing.half.along(abs(at.y))[2]) if wing is not None else 0.0)


def made(design: Design, filament: Filament) -> list[PrintPart]:
    """Make the fairing where one is wanted; without the camera's place it stays on the bench."""
    camera = design.camera
    if camera is None or not camera.fairing:
        return []
    over, under = hood_over(camera.body, filament), hangs(design)
    places: tuple[Placement, ...] = ()
    if camera.at is not None:
        front = mm(camera.at.x - camera.body.length / 2) - over.box_at
        foot = mm(camera.at.z + (camera.body.height / 2 if under else -camera.body.height / 2))
        places = (Placement(front, mm(camera.at.y), foot, math.pi if under else 0.0),)  # turned over about y
    wide, high = over.opening
    note = (
        f"over the camera, {'under' if under else 'on'} the wing: an opening of {wide:.0f} x {high:.0f} mm, the box "
        f"{over.box_at:.1f} mm behind it. Sand the foot to the skin, then tape or foam-safe glue "
        "all round"
    )
    solid = shape(over, forward=under)
    return [print_part(NAME, solid, filament=filament, places=places, note=note, group="camera")]
