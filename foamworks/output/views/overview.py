"""The aircraft in three views, to scale: one unit of the drawing is one millimetre of the model.

On top the side view seen from port, under it the view from above (starboard up), beside that the view from ahead
(starboard on the left), under it the states' table and the key. The old fin is dashed, what is new is heavy.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely import Polygon, box, make_valid

from foamworks.checks.case import Case
from foamworks.output.views import overview_marks as marks
from foamworks.output.views.drawing import (
    Box,
    Pt,
    bounds,
    css,
    dot,
    element,
    line,
    picture,
    rings,
    spread,
    text,
    text_width,
)
from foamworks.output.views.outlines import Outline, outlines
from foamworks.units import mm, number, said

FONT_SHARE = 0.0115  # of length plus span: the height of the letters
STYLE = css("overview")


@dataclass(frozen=True)
class Frame:
    """One view on the page: where its zero lies and what it shows, `box` in its own (u, v up)."""

    zero: Pt
    box: Box

    def at(self, point: Pt) -> Pt:
        """Carry a point of the view onto the page."""
        return self.zero[0] + point[0], self.zero[1] - point[1]

    def ring(self, points: Iterable[Pt]) -> list[Pt]:
        """Carry a ring onto the page."""
        return [self.at(point) for point in points]


def overview_svg(case: Case) -> str:
    """Draw the overview; empty when neither wing nor fuselage is known."""
    airframe = case.design.airframe
    if airframe.wing is None and airframe.fuselage is None:
        return ""
    shapes = outlines(case)
    side, top, front = (
        _bounds([getattr(shape, view) for shape in shapes], view, case) for view in ("side", "top", "front")
    )
    size = FONT_SHARE * (max(side[2] - side[0], top[2] - top[0]) + (top[3] - top[1]))
    pieces, names = _Page(case, shapes, size).draw(side, top, front)
    x0, y0, x1, y1 = names
    margin = 1.5 * size
    x0, y0, x1, y1 = x0 - margin, y0 - margin, x1 + margin, y1 + margin
    paper = element("rect", x=x0, y=y0, width=x1 - x0, height=y1 - y0, class_="ow-paper")
    title, box = f"{case.name}: side, top and front view", (x0, y0, x1 - x0, y1 - y0)
    return picture(paper, *pieces, box=box, style=STYLE, title=title, class_="overview")


def _bounds(views: Sequence[Sequence[Sequence[Pt]]], view: str, case: Case) -> Box:
    points = [point for shape in views for ring in shape for point in ring]
    if view == "side":
        points += [spot.at for spot in (*marks.cg_spots(case), *marks.load_spots(case), *marks.limits(case))]
        points += [end for ray in marks.thrust_rays(case) for end in (ray.nozzle, ray.end)]
    return bounds(points or [(0.0, 0.0)])


class _Page:
    """The page as it is put together; it only collects markup and the boxes of its words."""

    def __init__(self, case: Case, shapes: Sequence[Outline], size: float) -> None:
        self.case, self.shapes, self.size = case, shapes, size
        self.pieces: list[str] = []
        self.boxes: list[Box] = []

    def draw(self, side: Box, top: Box, front: Box) -> tuple[list[str], Box]:
        size = self.size
        self.words((side[0], -7.5 * size - side[3]), self.case.name, style="ow-text ow-head", scale=1.25)
        lateral = Frame((0.0, 0.0), side)
        self._view(lateral, "side")
        self._marks(lateral)
        below = -side[1] + 8.5 * size  # page y of the captions' row
        self._caption(lateral, below, "from port", ("x aft", "z up"))
        second = below + 4.5 * size
        plan = Frame((0.0, second + top[3]), top)
        above, self.boxes = self.boxes, []
        self._view(plan, "top")
        self._plan_marks(plan)
        self._caption(plan, plan.zero[1] - top[1] + 2.5 * size, "from above, starboard up", ("x aft", "y starboard"))
        left = max(box[2] for box in self.boxes) + 4 * size
        ahead = Frame((left - front[0], second + front[3]), front)
        self._view(ahead, "front")
        under = ahead.zero[1] - front[1] + 3 * size
        self._caption(ahead, under, "from ahead, starboard on the left", ("-y port", "z up"))
        self._legend(left, under + 4 * size)
        return self.pieces, bounds(corner for box in [*above, *self.boxes] for corner in (box[:2], box[2:]))

    def words(self, at: Pt, words: str, *, anchor: str = "start", style: str = "ow-text", scale: float = 1.0) -> None:
        """Write words and keep their box."""
        size = scale * self.size
        width = text_width(words, size)
        left = at[0] - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        self.boxes.append((left, at[1] - 0.8 * size, left + width, at[1] + 0.25 * size))
        self.pieces.append(text(at, words, size, anchor=anchor, style=style))

    def _view(self, frame: Frame, view: str) -> None:
        for shape in self.shapes:
            drawn = [frame.ring(ring) for ring in getattr(shape, view) if ring]
            self.pieces.append(rings(drawn, shape.style, shape.name))
        u0, v0, u1, v1 = frame.box
        self.boxes.append((*frame.at((u0, v1)), *frame.at((u1, v0))))

    def _marks(self, frame: Frame) -> None:
        """Draw balance, thrust line and loads in the side view, their labels in a row above and a row below."""
        _, low, _, high = frame.box
        body = [v for shape in self.shapes if shape.style == "ow-body" for ring in shape.side for _, v in ring]
        band = (min(body), max(body)) if body else (-20.0, 20.0)
        self._window(frame, band)
        under = [((limit.at[0], band[0]), limit.label) for limit in marks.limits(self.case)]
        for ray in marks.thrust_rays(self.case):
            self._ray(frame, ray)
            x, z = (ray.nozzle[k] + 0.25 * (ray.end[k] - ray.nozzle[k]) for k in (0, 1))
            under.append(((x, z), ray.label))
        spots = [*marks.load_spots(self.case), *marks.cg_spots(self.case)]
        over = [(spot.at, spot.label) for spot in spots] + self._part_labels()
        self._row(frame, over, high + 2.5 * self.size, up=True)
        self._row(frame, under, low - 2.5 * self.size, up=False)
        for spot in spots:
            radius = (0.42 if spot.style == "ow-load" else 0.22) * self.size
            self.pieces.append(dot(frame.at(spot.at), radius, spot.style))

    def _part_labels(self) -> list[tuple[Pt, str]]:
        """Give the labels of what is new or goes, at the top of each in the side view; one for parts of one thing."""
        found: dict[str, tuple[Pt, str]] = {}
        names = [shape.name.split()[0] for shape in self.shapes if shape.style in LABELLED]
        for shape in self.shapes:
            points = [point for ring in shape.side for point in ring]
            if points and shape.style in LABELLED:
                high = max(v for _, v in points)
                tops = [u for u, v in points if v > high - 0.1]
                first = shape.name.split()[0]
                words = first if names.count(first) > 1 and first in THINGS else shape.name
                found.setdefault(words, ((sum(tops) / len(tops), high), words))
        return list(found.values())

    def _row(self, frame: Frame, labels: list[tuple[Pt, str]], level: float, *, up: bool) -> None:
        """Spread labels in one row from the view's left edge on, each with a line to its place."""
        if not labels:
            return
        ordered = sorted(labels, key=lambda entry: (entry[0][0], entry[1]))
        widths = [text_width(words, self.size) for _, words in ordered]
        gap = 0.8 * self.size
        starts = [frame.box[0] + sum(widths[:n]) + gap * n for n in range(len(widths))]
        wanted = [max(at[0], start + w / 2) for (at, _), start, w in zip(ordered, starts, widths, strict=True)]
        middles = spread(wanted, widths, gap)
        for (at, words), middle in zip(ordered, middles, strict=True):
            end = frame.at((middle, level - (0.4 if up else -1.0) * self.size))
            self.pieces.append(line(frame.at(at), end, "ow-lead"))
            self.words(frame.at((middle, level)), words, anchor="middle")

    def _window(self, frame: Frame, band: tuple[float, float]) -> None:
        found = marks.limits(self.case)
        edges = [limit.at[0] for limit in found if limit.style == "ow-limit"]
        if len(edges) == 2 and edges[0] < edges[1]:
            corners = [(edges[0], band[0]), (edges[1], band[0]), (edges[1], band[1]), (edges[0], band[1])]
            self.pieces.append(rings([frame.ring(corners)], "ow-window", "where the centre of gravity may lie"))
        for limit in found:
            x, _ = limit.at
            self.pieces.append(line(frame.at((x, band[0])), frame.at((x, band[1])), limit.style))

    def _ray(self, frame: Frame, ray: marks.Ray) -> None:
        self.pieces.append(line(frame.at(ray.nozzle), frame.at(ray.end), "ow-thrust"))
        dx, dz = ray.end[0] - ray.nozzle[0], ray.end[1] - ray.nozzle[1]
        length, s = math.hypot(dx, dz), self.size
        ux, uz = dx / length, dz / length
        foot = (ray.end[0] - 1.2 * s * ux, ray.end[1] - 1.2 * s * uz)
        head = [
            ray.end,
            (foot[0] - 0.4 * s * uz, foot[1] + 0.4 * s * ux),
            (foot[0] + 0.4 * s * uz, foot[1] - 0.4 * s * ux),
        ]
        self.pieces.append(rings([frame.ring(head)], "ow-arrow"))
        self.pieces += [line(frame.at(cg), frame.at(foot), "ow-arm") for cg, foot in pairwise(ray.arm)]

    def _plan_marks(self, frame: Frame) -> None:
        """Draw window, neutral point, centres of gravity and the mean chord in the view from above."""
        bodies = [v for shape in self.shapes if shape.style == "ow-body" for ring in shape.top for _, v in ring]
        half = max(bodies, default=0.04 * (frame.box[3] - frame.box[1]))
        self._window(frame, (-half, half))
        for spot in marks.cg_spots(self.case):
            self.pieces.append(dot(frame.at((spot.at[0], 0.0)), 0.22 * self.size, "ow-cg"))
        wing = self.case.study.wing
        if wing is not None:
            start, y = mm(wing.mac_le_x), -mm(wing.mac_y)
            end = start + mm(wing.mac)
            self.pieces.append(line(frame.at((start, y)), frame.at((end, y)), "ow-rule"))
            quarter = mm(wing.quarter_mac_x)
            tick = 0.4 * self.size
            self.pieces.append(line(frame.at((quarter, y - tick)), frame.at((quarter, y + tick)), "ow-rule"))
            words = f"mean chord {said(wing.mac, 'mm', 1)}, quarter point x {number(quarter, 1)}"
            behind = self._free(end + self.size, y, text_width(words, self.size))
            at, anchor = (end + self.size, "start") if behind else (start - self.size, "end")
            self.words(frame.at((at, y - 0.3 * self.size)), words, anchor=anchor)

    def _free(self, left: float, middle: float, width: float) -> bool:
        """Tell whether a line of words covers nothing that is drawn in the view from above."""
        place = box(left, middle - self.size, left + width, middle + self.size)
        return not any(make_valid(Polygon(ring)).intersects(place) for shape in self.shapes for ring in shape.top)

    def _caption(self, frame: Frame, y: float, words: str, axes: tuple[str, str]) -> None:
        """Write what the view shows, its axes and a bar of 100 mm under it."""
        s, left = self.size, frame.zero[0] + frame.box[0]
        length = 3 * s
        corner = (left, y)
        self.pieces.append(line(corner, (left + length, y), "ow-rule"))
        self.pieces.append(line(corner, (left, y - 2 * s), "ow-rule"))
        self.words((left + length + 0.4 * s, y + 0.3 * s), axes[0])
        self.words((left + 0.4 * s, y - 1.3 * s), axes[1])
        start = left + length + text_width(axes[0], s) + 2 * s
        bar = [line((start, y), (start + 100, y), "ow-rule")]
        bar += [line((x, y - 0.4 * s), (x, y + 0.4 * s), "ow-rule") for x in (start, start + 100)]
        self.pieces.append(element("g", *bar, class_="ow-scale"))
        self.words((start + 100 + 0.6 * s, y + 0.3 * s), "100 mm")
        self.words(
            (start + 100 + 0.6 * s + text_width("100 mm", s) + 2 * s, y + 0.3 * s), words, style="ow-text ow-head"
        )

    def _legend(self, left: float, y: float) -> None:
        """Write the states' table and the key of the lines."""
        s = self.size
        table = marks.legend(self.case)
        widths = [max(text_width(row[i], s) for row in table) + 1.2 * s for i in range(6)] if table else []
        for count, row in enumerate(table):
            x = left
            for column, (words, width) in enumerate(zip(row, widths, strict=True)):
                style = "ow-text ow-head" if count == 0 else "ow-text"
                right = column > 1
                self.words(
                    (x + width - 1.2 * s if right else x, y), words, anchor="end" if right else "start", style=style
                )
                x += width
            y += 1.5 * s
        y += s if table else 0.0
        used = {shape.style for shape in self.shapes} | {limit.style for limit in marks.limits(self.case)}
        used |= {"ow-thrust", "ow-arm"} if marks.thrust_rays(self.case) else set()
        for style, words in KEY:
            if style in used:
                self.pieces.append(line((left, y - 0.3 * s), (left + 4 * s, y - 0.3 * s), style))
                self.words((left + 5 * s, y), words)
                y += 1.5 * s


LABELLED = {"ow-old", "ow-new", "ow-tube", "ow-box"}
THINGS = {"camera", "pod", "retainer"}  # first words of parts that are told as one

KEY = (
    ("ow-old", "comes off"),
    ("ow-new", "is made"),
    ("ow-tube", "pod tube, bought"),
    ("ow-motor", "motor"),
    ("ow-thrust", "line of the booster's thrust"),
    ("ow-arm", "its arm about the centre of gravity"),
    ("ow-limit", "forward and aft limit of the centre of gravity"),
    ("ow-neutral", "neutral point"),
)
