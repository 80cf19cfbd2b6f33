"""A sheet as laid out: which part lies where, what the tool follows, how much board it takes. Plain data, millimetres.

Origin at the sheet's lower left corner, x along its long side (and its grain), y up. A placed part's own frame is
first mirrored (y changes sign) if it is the other hand, then turned about its own origin, then moved.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from shapely import LinearRing, LineString, Polygon, box
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from foamworks.parts.base import BoardPart, Point, Stroke
from foamworks.parts.board.corners import Segment, overcuts, relieved
from foamworks.parts.board.tool import Tool

MITRE_LIMIT = 10.0  # a corner's cut path runs out to at most this many half kerfs: a point of 11.5 degrees stays sharp

Shape = TypeVar("Shape", bound=BaseGeometry)


@dataclass(frozen=True)
class PlacedPart:
    """One piece on a sheet. `number` is the part's number in the whole design, `copy` counts its pieces from 1.

    `cut` is the path the tool's middle follows, placed: outline and holes, half a kerf clear of the part; `overcuts`
    are the short cuts past its outside corners, where they are asked for.
    """

    part: BoardPart
    number: int
    copy: int
    x: float
    y: float
    angle: float
    mirrored: bool
    cut: Polygon
    strokes: tuple[Stroke, ...] = ()
    overcuts: tuple[Segment, ...] = ()

    @property
    def label(self) -> str:
        """Give number and name, and the hand where the part has two: "3 fin L"."""
        return f"{self.number} {self.part.name}{self.hand and ' ' + self.hand}"

    @property
    def hand(self) -> str:
        """Give L or R for a part made in both hands, else nothing; as drawn is R, mirrored L."""
        if not self.part.mirrored:
            return ""
        return "L" if self.mirrored else "R"


@dataclass(frozen=True)
class Sheet:
    """One sheet of board with its pieces; lengths in mm, `utilisation` 0 to 1.

    `used_length_mm` counts from the margin; `cut_length_mm` is outlines and holes, once round; `title` names the
    design; `stamp` is printed large when it is not empty (a design that does not pass); `cautions` are printed with
    the legend. Masses are NaN for a board nobody weighed.
    """

    board: str
    number: int
    of: int
    width: float
    height: float
    thickness: float
    placed: tuple[PlacedPart, ...]
    used_length_mm: float
    utilisation: float
    cut_length_mm: float
    tool: Tool = field(default_factory=Tool)
    score_length_mm: float = 0.0
    overcut_length_mm: float = 0.0
    parts_mass_g: float = math.nan
    waste_mass_g: float = math.nan
    title: str = ""
    stamp: str = ""
    cautions: tuple[str, ...] = ()
    offcut: Polygon | None = None

    @property
    def edge(self) -> Polygon:
        """Give the board's own outline: an offcut's as it is, else the whole sheet's."""
        return box(0, 0, self.width, self.height) if self.offcut is None else self.offcut

    @property
    def weighed(self) -> bool:
        """Tell whether somebody weighed the board."""
        return math.isfinite(self.parts_mass_g)

    @property
    def is_offcut(self) -> bool:
        """Tell whether this is an offcut and no whole sheet."""
        return self.offcut is not None

    @property
    def by_number(self) -> dict[int, list[PlacedPart]]:
        """Give the pieces of each part, by the parts' numbers in rising order."""
        found: dict[int, list[PlacedPart]] = {}
        for piece in sorted(self.placed, key=lambda piece: piece.number):
            found.setdefault(piece.number, []).append(piece)
        return found

    @property
    def kerf(self) -> float:
        """Give the width the tool takes away [mm]."""
        return self.tool.kerf

    @property
    def rest_length_mm(self) -> float:
        """Give how much of the sheet's length is left over beyond the last cut, for the next job [mm]."""
        right = max((piece.cut.bounds[2] for piece in self.placed), default=0.0)
        return max(0.0, self.width - right - self.kerf / 2)

    @property
    def cut_seconds(self) -> float:
        """Give the estimated time at the cutter [s], scores and overcuts included."""
        loops = sum(len(rings(piece)) + len(piece.overcuts) for piece in self.placed)
        scores = sum(stroke.layer == "score" for piece in self.placed for stroke in piece.strokes)
        return self.tool.seconds(
            cut=self.cut_length_mm + self.overcut_length_mm, score=self.score_length_mm, loops=loops + scores
        )

    @property
    def heading(self) -> str:
        """Give board and place in the set: "foam board 5, sheet 1 of 2, an offcut"."""
        return f"{self.board}, sheet {self.number} of {self.of}{', an offcut' if self.is_offcut else ''}"


def cut_path(outline: Polygon, kerf: float, *, relief: bool = False) -> Polygon:
    """Give the path of the tool's middle: half the kerf outside the outline and inside its holes, corners mitred.

    kerf [mm] >= 0. A hole narrower than the kerf cannot be cut and has no path (`lost_holes` counts them). With
    `relief` the path runs into sharp inside corners, as deep as the tool is round.

    >>> cut_path(Polygon([(0, 0), (10, 0), (10, 5), (0, 5)]), 0.5).bounds
    (-0.25, -0.25, 10.25, 5.25)
    """
    if kerf == 0:
        return orient(outline)
    grown = outline.buffer(kerf / 2, join_style="mitre", mitre_limit=MITRE_LIMIT)
    return relieved(grown, kerf) if relief else orient(grown)


def lost_holes(outline: Polygon, kerf: float) -> int:
    """Count the holes, slots among them, that are too narrow for the tool."""
    return sum(Polygon(hole).buffer(-kerf / 2, join_style="mitre").is_empty for hole in outline.interiors)


def place(shape: Shape, *, x: float, y: float, angle: float, mirrored: bool = False) -> Shape:
    """Carry a shape from its own frame onto the sheet: mirror y, turn by `angle` [deg], move to (x, y) [mm]."""
    a, b, d, e = _turn(angle, mirrored)
    placed: Shape = affine_transform(shape, [a, b, d, e, x, y])
    return placed


def place_point(point: Point, *, x: float, y: float, angle: float, mirrored: bool = False) -> Point:
    """Carry one point as `place` carries shapes.

    >>> place_point((10.0, 2.0), x=100.0, y=50.0, angle=90.0, mirrored=True)
    (102.0, 60.0)
    """
    a, b, d, e = _turn(angle, mirrored)
    return (a * point[0] + b * point[1] + x, d * point[0] + e * point[1] + y)


def _turn(angle: float, mirrored: bool) -> tuple[float, float, float, float]:
    """Give the matrix of mirror and turn; quarter turns are exact."""
    quarters = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    turn = math.radians(angle)
    cos, sin = quarters.get(angle % 360, (math.cos(turn), math.sin(turn)))
    hand = -1.0 if mirrored else 1.0
    return cos, -sin * hand, sin, cos * hand


def place_stroke(stroke: Stroke, *, x: float, y: float, angle: float, mirrored: bool = False) -> Stroke:
    """Carry a stroke onto the sheet. A text keeps two points: where it begins and which way it runs; it is never
    mirrored, so on a mirrored part it begins where its upper left corner would have come to lie.
    """  # fmt: skip
    points = stroke.points
    if stroke.text:
        rise = stroke.height_mm if mirrored else 0.0
        points = tuple((x, y + rise) for x, y in (points[0], stroke.ahead))
    return replace(stroke, points=tuple(place_point(p, x=x, y=y, angle=angle, mirrored=mirrored) for p in points))


def place_part(
    part: BoardPart,
    path: Polygon,
    *,
    number: int,
    copy: int,
    x: float,
    y: float,
    angle: float,
    mirrored: bool,
    tool: Tool,
) -> PlacedPart:
    """Put one piece of a part on a sheet: its cut path, mirrored already where the piece is, and its strokes."""
    at = {"x": x, "y": y, "angle": angle}
    strokes = tuple(place_stroke(stroke, **at, mirrored=mirrored) for stroke in dict.fromkeys(part.strokes))
    cut = orient(place(path, x=x, y=y, angle=angle))
    return PlacedPart(part, number, copy, x, y, angle, mirrored, cut, strokes, overcuts(cut, tool.overcut))


def make_sheet(
    *,
    board: str,
    number: int,
    of: int,
    width: float,
    height: float,
    thickness: float,
    placed: Sequence[PlacedPart],
    margin: float,
    tool: Tool,
    areal_density: float = math.nan,
    offcut: Polygon | None = None,
    title: str = "",
    cautions: Sequence[str] = (),
) -> Sheet:
    """Make a sheet of its placed parts; used length, share, lengths to cut and masses are worked out here.

    The used length runs from the margin to the rightmost cut path; the share is the parts' own area over it times
    the sheet's width between the margins. The waste is what is left of the stock up to the last cut, kerf included:
    `areal_density` [g/mm2] of a weighed board, `offcut` its outline where it is not a whole sheet.
    """
    right = max((piece.cut.bounds[2] for piece in placed), default=margin)
    used = right - margin
    strip = used * (height - 2 * margin)
    area = sum(piece.part.outline.area for piece in placed)
    whole = box(0, 0, width, height)
    begun = float((offcut or whole).intersection(box(0, 0, right + tool.kerf / 2, height)).area)
    scores = [s for piece in placed for s in piece.strokes if s.layer == "score" and len(s.points) > 1]
    return Sheet(
        board=board,
        number=number,
        of=of,
        width=width,
        height=height,
        thickness=thickness,
        placed=tuple(placed),
        used_length_mm=used,
        utilisation=area / strip if strip > 0 else 0.0,
        cut_length_mm=sum(ring.length for piece in placed for ring in rings(piece)),
        tool=tool,
        score_length_mm=sum(LineString(stroke.path).length for stroke in scores),
        overcut_length_mm=sum(math.dist(*segment) for piece in placed for segment in piece.overcuts),
        parts_mass_g=area * areal_density,
        waste_mass_g=max(0.0, begun - area) * areal_density,
        title=title,
        cautions=tuple(cautions),
        offcut=offcut,
    )


def rings(piece: PlacedPart) -> list[LinearRing]:
    """Give a piece's cut loops: holes first, then the outline."""
    return [*piece.cut.interiors, piece.cut.exterior]


def cut_order(sheet: Sheet) -> list[LinearRing]:
    """Give all cut loops of a sheet from the inside out: the smaller encloses nothing larger, so it goes first.

    What lies inside a loop has less area than it: holes come before their part, a part in a hole before the hole,
    small parts before big ones. Equal areas go from left to right.
    """
    loops = [ring for piece in sheet.placed for ring in rings(piece)]
    return sorted(loops, key=lambda ring: (round(Polygon(ring).area, 3), *ring.bounds))
