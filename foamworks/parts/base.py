"""What is made, as plain frozen data in millimetres and grams: outlines and profiles, never a CAD object.

A board part has a flat outline in its own frame; a print part has one of four solid shapes in its own frame and a
`Placement` that carries that frame onto the aircraft (x aft, y starboard, z up); a bought part is a mass at a place.
`x_mm`, `z_mm` are the common centroid of all `count` pieces on the aircraft, None for what stays on the bench; `y_mm`
is how far the pieces sit from the plane of symmetry. `group` says with which change a part comes aboard, and so in
which states and on which flights it is: "fitted" is for good, in every state and on every flight but the stock model's.
"""

import math
from dataclasses import dataclass, field, replace
from typing import Literal

from shapely import Polygon

from foamworks.design.ladder import ANY, Aboard

Point = tuple[float, float]
LETTER = 0.9  # of its height: how wide a letter of a plain font is at most
Group = Literal[
    "fitted", "fins", "fin bench", "pod", "mount", "ignition pack", "pod bench", "camera", "ballast", "bench", "cuts"
]  # fmt: skip
Known = Literal["given", "weighed", "board", "print", "bought", "data sheet"]
WITH_POD = Aboard(frozenset({"pod"}), with_pod=True)
ABOARD: dict[Group, Aboard] = {
    "fitted": Aboard(ANY),
    "fins": Aboard(frozenset({"twin fins"})),
    "camera": Aboard(frozenset({"camera"})),
    "pod": WITH_POD,
    "mount": WITH_POD,
    "ignition pack": WITH_POD,
    # lead is set for the pod, or for the new fins and battery together; without these it has its own flight
    "ballast": Aboard(frozenset({"battery", "changed", "pod"})),
}


@dataclass(frozen=True)
class Stroke:
    """A line or a text on a board part, in the part's own frame; nothing here is cut through.

    `points` [mm]; `depth_mm` of a score, else 0; `text`, empty for a line, is written at the first, `height_mm` tall.
    """

    layer: Literal["score", "mark"]
    points: tuple[Point, ...]
    depth_mm: float = 0.0
    text: str = ""
    height_mm: float = 4.0
    closed: bool = False

    @property
    def path(self) -> tuple[Point, ...]:
        """Give the points a pen goes through: a closed line's first one again at its end."""
        return (*self.points, *self.points[: int(self.closed)])

    @property
    def ahead(self) -> Point:
        """Give a point that a text runs towards from its first: its second, else one to the right."""
        return self.points[1] if len(self.points) > 1 else (self.points[0][0] + 1.0, self.points[0][1])


@dataclass(frozen=True)
class Bevel:
    """A straight edge that is cut slanting, in the part's own frame [mm].

    `angle` [deg] from square; above 0 the marked face is set back and the other one keeps the outline, below 0 the
    other way round. `what` names the edge.
    """

    edge: tuple[Point, Point]
    angle: float
    what: str = "edge"


@dataclass(frozen=True, kw_only=True)
class Part:
    """What every part has: `mass_g` is one piece, NaN when it cannot be known; `known` says how it is.

    motor: the one that it goes with, None for all.
    """

    name: str = field(kw_only=False)
    count: int = 1
    mass_g: float = math.nan
    x_mm: float | None = None
    z_mm: float | None = None
    motor: str | None = None
    note: str = ""
    group: Group
    known: Known

    @property
    def aboard(self) -> Aboard:
        """When it is aboard; a part with a place that is aboard in no state would weigh nothing anywhere."""
        if self.group not in ABOARD:
            raise ValueError(f"{self.name} has a place on the aircraft, but {self.group} is aboard in no state")
        return replace(ABOARD[self.group], motor=self.motor)


@dataclass(frozen=True, kw_only=True)
class BoardPart(Part):
    """A flat part cut from board. `outline` holds its holes.

    `grain` "length": the part's x lies along the board's grain. `mirrored`: how many of the `count` pieces are
    mirrored (y changes sign in the part's own frame before it is turned).
    """

    board: str = field(kw_only=False)
    thickness_mm: float = field(kw_only=False)
    outline: Polygon = field(kw_only=False)
    mirrored: int = 0
    grain: Literal["none", "length"] = "none"
    strokes: tuple[Stroke, ...] = ()
    group: Group = "bench"
    known: Known = "board"
    bevels: tuple[Bevel, ...] = ()


IGNITION_PACK = "ignition pack"  # what it is called: it flies with the pod and stays when the pod is moved


@dataclass(frozen=True)
class Revolve:
    """A solid of revolution: one closed meridian of (axial, radius) points [mm], radius >= 0, turned about r = 0.

    `smooth`: index ranges (first, last) of points that lie on one smooth curve; all other points are corners.
    """

    meridian: tuple[Point, ...]
    smooth: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Extrude:
    """A flat outline (with holes) in (x, y), extruded along z from 0 to `height` [mm]."""

    outline: Polygon
    height: float


@dataclass(frozen=True)
class BackSection:
    """One elliptic section of the fuselage under a saddle [mm]: at `x`, `width` by `height`, its centre at `z`."""

    x: float
    width: float
    height: float
    z: float


@dataclass(frozen=True)
class Saddle:
    """The mount between the fuselage's back and the tube [mm]; x aft, y starboard, z up, in its own frame.

    A block between x = 0 and `length`, |y| <= `width`/2 < `bore`, that stands on the body's back (elliptic `sections`
    joined by straight rules, the first at x = 0, the last at `length`, their centre line at y = `body_offset_y`) and
    reaches up to the tube: a trough of radius `bore` about an axis through (0, 0, `axis_z`) that rises aft by `tilt`
    [rad].
    """

    length: float
    width: float
    bore: float
    axis_z: float
    tilt: float
    sections: tuple[BackSection, ...]
    body_offset_y: float = 0.0


@dataclass(frozen=True)
class Arch:
    """A hood that stands on a flat foot at z = 0 [mm]: its section is a half circle over two straight legs.

    A closed meridian of (axial, radius) points is turned by half a turn about the x axis, `height` above the foot;
    below, the same meridian goes straight down on both sides. Its first and last point lie on the axis, no other one
    does. `smooth` as for `Revolve`.
    """

    meridian: tuple[Point, ...]
    height: float
    smooth: tuple[tuple[int, int], ...] = ()


Shape = Revolve | Extrude | Saddle | Arch


@dataclass(frozen=True)
class Placement:
    """Where a part's own frame sits on the aircraft: turned by `roll`, then by `pitch` [rad], then moved [mm].

    A revolved part's axis is its own x axis, aft. `roll` positive lifts the starboard side: own y goes towards z.
    `pitch` positive lifts the aft end: own (x, z) goes to (x cos p - z sin p, x sin p + z cos p).
    """

    x: float
    y: float
    z: float
    pitch: float = 0.0
    roll: float = 0.0


@dataclass(frozen=True, kw_only=True)
class PrintPart(Part):
    """A printed part: shape, estimated mass, volume [mm3] and box [mm] of one piece, all on paper."""

    shape: Shape
    volume_mm3: float
    box_mm: tuple[float, float, float]
    places: tuple[Placement, ...] = ()
    min_wall_mm: float | None = None
    group: Group = "fitted"
    known: Known = "print"
    y_mm: float = 0.0

    @property
    def box_as_printed(self) -> tuple[float, float, float]:
        """Lesser side on the bed, greater side, height [mm] in the pose it is printed in."""
        x, y, z = self.box_mm
        sides, height = ((x, y), z) if upright(self.shape) == "z" else ((y, z), x)
        return min(sides), max(sides), height


def upright(shape: Shape) -> Literal["x", "z"]:
    """Which of its own axes a print stands upright, either way up: round parts and saddles their x, plates their z."""
    return "z" if isinstance(shape, Extrude) else "x"


@dataclass(frozen=True, kw_only=True)
class BoughtPart(Part):
    """Something bought or poured: a tube, screws, glue, lead; with a shape and places where it is to be drawn.

    `ring_mm`: outer and inner diameter of a flat ring that is cut by hand from what was bought.
    """

    group: Group = "fitted"
    known: Known = "bought"
    shape: Shape | None = None
    places: tuple[Placement, ...] = ()
    ring_mm: tuple[float, float] | None = None


@dataclass(frozen=True)
class Parts:
    """Everything made or bought, in a fixed order."""

    boards: tuple[BoardPart, ...] = ()
    prints: tuple[PrintPart, ...] = ()
    bought: tuple[BoughtPart, ...] = field(default=())

    @property
    def fin(self) -> BoardPart | None:
        """The new fin; None where none is made."""
        return next((part for part in self.boards if part.group == "fins"), None)

    def all(self) -> tuple[Part, ...]:
        """Give all parts: board, then print, then bought."""
        return (*self.boards, *self.prints, *self.bought)
