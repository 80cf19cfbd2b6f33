"""One tile of a sheet on its page: the lines it holds, its parts' labels, and what joins it to its neighbours.

The drawing area is the sheet moved, never scaled: page coordinates [mm] are sheet coordinates plus one offset.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from foamworks.output.pen import CAPITAL, MM, SMALLEST, Pen, shortened, text_width, wrapped
from foamworks.output.sheets.paper_labels import Label, Placer
from foamworks.output.sheets.paper_tiles import BAR, PAGE_EDGE, STRIP, Box, Plan, Tile
from foamworks.parts.base import Point, Stroke
from foamworks.parts.board.sheet import PlacedPart, Sheet, rings
from foamworks.units import degrees

INCHES = 4 * 25.4  # mm, the second scale bar
BAR_START = 12.0  # mm from the printed area's corner to a bar
CROSS = 4.0  # mm, arm of a corner cross
MAP_WIDEST = 24.0  # mm, the small map of pages
STAMP_WIDEST = 32.0  # mm


@dataclass(frozen=True)
class View:
    """Where the sheet lies on a page: add (`dx`, `dy`) [mm] to its coordinates; `window` [mm, sheet] is printed."""

    pen: Pen
    dx: float
    dy: float
    window: Polygon

    def on_page(self, point: Point) -> Point:
        """Carry a point from the sheet to the page."""
        return (point[0] + self.dx, point[1] + self.dy)

    def draw(self, shape: BaseGeometry) -> None:
        """Draw what the window shows of a line or a ring, in the pen's style."""
        seen = shape.intersection(self.window)
        if seen.geom_type == "MultiLineString":
            seen = shapely.line_merge(seen)
        for part in getattr(seen, "geoms", [seen]):
            if part.geom_type in ("LineString", "LinearRing") and not part.is_empty:
                points = [self.on_page((x, y)) for x, y in part.coords]
                closed = len(points) > 3 and points[0] == points[-1]
                self.pen.polyline(points[:-1] if closed else points, closed=closed)


def draw_tile(pen: Pen, sheet: Sheet, plan: Plan, tile: Tile) -> None:
    """Draw a tile on a page of its own."""
    wide, high = tile.width + 2 * STRIP, tile.height + 2 * STRIP
    pen.page(wide + 2 * PAGE_EDGE, high + 2 * PAGE_EDGE, f"{'page' if tile.alone else 'tile'} {tile.name}")
    reach = PAGE_EDGE + STRIP
    view = View(pen, reach - tile.x, reach - tile.y, tile.printed)
    large = frozenset() if tile.alone else plan.large
    here = [
        piece
        for i, piece in enumerate(sheet.placed)
        if i in tile.parts or (i in large and tile.printed.intersects(piece.cut))
    ]
    draw_lines(view, sheet, here)
    placer = Placer(tile.kept.buffer(-1.0, join_style="mitre"), here, sheet.edge.exterior)
    draw_strokes_text(view, here, placer)
    _draw_map(view, sheet, plan, tile, placer)
    draw_labels(view, here, placer, lambda piece: tile.kept.covers(piece.cut) or main_tile(plan, piece) == tile)
    _draw_frame(pen, sheet, plan, tile)


def main_tile(plan: Plan, piece: PlacedPart) -> Tile:
    """Give the tile that shows the most of a part that is joined."""
    return max(plan.joined, key=lambda tile: round(float(piece.cut.intersection(tile.kept).area), 3))


def draw_lines(view: View, sheet: Sheet, pieces: list[PlacedPart]) -> None:
    """Draw the board's edge, the cut paths, and what is scored and marked."""
    view.pen.style("sheet")
    view.draw(sheet.edge.exterior)
    view.pen.style("cut")
    for piece in pieces:
        for line in (*rings(piece), *(LineString(segment) for segment in piece.overcuts)):
            view.draw(line)
    for layer in ("score", "mark"):
        view.pen.style(layer)
        for stroke in (stroke for piece in pieces for stroke in piece.strokes):
            if stroke.layer == layer and not stroke.text and len(stroke.points) > 1:
                view.draw(LineString(stroke.path))


def draw_strokes_text(view: View, pieces: list[PlacedPart], placer: Placer) -> None:
    """Write the texts that belong to the parts' marks where they begin on this tile, moved in if they would run out."""
    for stroke in (stroke for piece in pieces for stroke in piece.strokes):
        if stroke.text and placer.room.intersects(shapely.Point(stroke.points[0])):
            label = _stroke_label(stroke, placer.room)
            placer.taken.append(label.area)
            _write(view, label, bold=False)


def _stroke_label(stroke: Stroke, room: Polygon) -> Label:
    """Turn a mark's text into a label that lies inside the room."""
    x, y = stroke.points[0]
    angle = math.atan2(stroke.ahead[1] - y, stroke.ahead[0] - x)
    size = max(SMALLEST, stroke.height_mm * MM / CAPITAL)
    wide, high = text_width(stroke.text, size), size * CAPITAL / MM
    cos, sin = math.cos(angle), math.sin(angle)
    middle = (x + (wide * cos - high * sin) / 2, y + (wide * sin + high * cos) / 2)
    upright = 90 - (90 - degrees(angle)) % 180  # read from below or from the right
    label = Label((stroke.text,), middle, upright, size)
    low, high_edge = label.area.bounds[:2], label.area.bounds[2:]
    shift = [max(0.0, room.bounds[k] - low[k]) or min(0.0, room.bounds[k + 2] - high_edge[k]) for k in (0, 1)]
    return replace(label, middle=(middle[0] + shift[0], middle[1] + shift[1]))


def draw_labels(view: View, pieces: list[PlacedPart], placer: Placer, main: Callable[[PlacedPart], bool]) -> None:
    """Write each part's label; on its `main` page all of it, and an arrow along its grain."""
    for piece in sorted(pieces, key=lambda piece: -piece.cut.area):
        whole = main(piece)
        label = placer.place(piece, full=whole)
        if label is None:
            continue
        _write(view, label)
        arrow = placer.arrow(piece) if piece.part.grain == "length" and whole else None
        if arrow:
            draw_arrow(view.pen, view.on_page(arrow[0]), view.on_page(arrow[1]))


def _write(view: View, label: Label, *, bold: bool = True) -> None:
    """Write a label's lines, a text beside its part on white and with a line to it."""
    if label.lead:
        view.pen.style("lead")
        view.pen.line(view.on_page(label.lead[0]), view.on_page(label.lead[1]))
    _, high = label.extent
    turn = math.radians(label.angle)
    capital = label.size * CAPITAL / MM
    for row, text in enumerate(label.lines):
        down = high / 2 - capital / 2 - row * 1.25 * label.size / MM
        at = (label.middle[0] - down * math.sin(turn), label.middle[1] + down * math.cos(turn))
        view.pen.middle(view.on_page(at), text, label.size, angle=label.angle, bold=bold and row == 0)


def draw_arrow(pen: Pen, start: Point, end: Point) -> None:
    """Draw a level arrow with two heads: the grain."""
    (x1, y), (x2, _) = start, end
    pen.style("bar")
    pen.line((x1, y), (x2, y))
    for tip, inward in ((x1, 1.5), (x2, -1.5)):
        pen.polyline([(tip + inward, y + 0.8), (tip, y), (tip + inward, y - 0.8)])


def _draw_map(view: View, sheet: Sheet, plan: Plan, tile: Tile, placer: Placer) -> None:
    """Draw the tile's name, the sheet's and the small map of tiles where no part is, or where they hide least."""
    w, h = map_size(sheet, plan, MAP_WIDEST, MAP_WIDEST)
    words = [f"sheet {sheet.number} of {sheet.of}", *wrapped(sheet.stamp, SMALLEST, STAMP_WIDEST)]
    wide = max(w, 16.0, *(text_width(word, SMALLEST) for word in words)) + 2
    high = h + 7.5 + 3.2 * len(words)
    x, y = view.on_page(_free_corner(placer, wide, high))
    placer.taken.append(box(x - view.dx, y - view.dy, x - view.dx + wide, y - view.dy + high))
    pen = view.pen
    pen.text((x + 1, y + high - 5), tile.name, 14, bold=True)
    for row, word in enumerate(words):
        pen.text((x + 1, y + high - 8.7 - 3.2 * row), word)
    draw_map(pen, sheet, plan, (x + 1, y + 0.5), w, here=tile)


def map_size(sheet: Sheet, plan: Plan, wide: float, high: float) -> Point:
    """Give the size of the map of pages, as large as the room allows."""
    left, low, right, top = _covered(sheet, plan)
    scale = min(wide / (right - left), high / (top - low))
    return scale * (right - left), scale * (top - low)


def draw_map(pen: Pen, sheet: Sheet, plan: Plan, corner: Point, wide: float, *, here: Tile | None = None) -> None:
    """Draw the board and which of it each page shows; one that is `here` dark; without it all and their names."""
    left, low, right, _ = _covered(sheet, plan)
    scale = wide / (right - left)

    def at(point: Point) -> Point:
        return (corner[0] + scale * (point[0] - left), corner[1] + scale * (point[1] - low))

    def frame(tile: Tile, grey: float | None) -> None:
        pen.style("bar")
        pen.box(at((tile.x, tile.y)), scale * tile.width, scale * tile.height, grey=grey)

    if here is not None:
        frame(here, 0.6)
    pen.style("lead")
    for piece in sheet.placed:
        points = [at((x, y)) for x, y in piece.cut.exterior.coords[:-1]]
        pen.polyline(points, closed=True, grey=0.85 if here is None else None)
    pen.polyline([at((x, y)) for x, y in sheet.edge.exterior.coords[:-1]], closed=True)
    for tile in plan.pages if here is None else ():
        frame(tile, None)
        x, y = at((tile.x, tile.y + tile.height))
        _on_white(pen, (x + 1.0 + text_width(tile.name, SMALLEST) / 2, y - 2.2), tile.name)


def _covered(sheet: Sheet, plan: Plan) -> Box:
    """Give the box round the board and all pages."""
    left, low, right, top = shapely.union_all([sheet.edge, *(tile.kept for tile in plan.pages)]).bounds
    return left, low, right, top


def _free_corner(placer: Placer, wide: float, high: float) -> Point:
    """Find the lower left corner of a free place, corners of the tile first; else where the fewest lines run."""
    left, low, right, top = placer.room.bounds
    xs = [left, right - wide, *(left + 6.0 * k for k in range(1, int((right - left - wide) / 6)))]
    ys = [top - high, low, *(low + 6.0 * k for k in range(1, int((top - low - high) / 6)))]
    places = [(x, y) for x in xs for y in ys]
    blocked = shapely.union_all([*(piece.cut for piece in placer.pieces), *placer.taken])
    lines = shapely.union_all([piece.cut.boundary for piece in placer.pieces])
    boxes = [box(x, y, x + wide, y + high) for x, y in places]
    shapely.prepare(blocked)
    free = shapely.intersects(blocked, boxes)
    if not free.all():
        return places[int(free.argmin())]
    hidden = shapely.length(shapely.intersection(lines, boxes))
    return places[int(hidden.argmin())]


def _draw_frame(pen: Pen, sheet: Sheet, plan: Plan, tile: Tile) -> None:
    """Draw what stands around a tile: how it joins its neighbours, the scale bars, and what it belongs to."""
    a = PAGE_EDGE
    wide, high = tile.width + 2 * STRIP, tile.height + 2 * STRIP
    if not tile.alone:
        _draw_joints(pen, tile)
    draw_bars(pen, (a, a), wide, high)
    beside = 148.0  # mm, clear of the bars
    for across, down, at, angle in (
        (0, 1, (a + beside, a + 2.3), 0.0),
        (0, -1, (a + beside, a + high - 2.3), 0.0),
        (-1, 0, (a + 2.3, a + beside), 90.0),
        (1, 0, (a + wide - 2.3, a + beside), 90.0),
    ):
        name = "" if tile.alone else plan.neighbour(tile, across, down)
        beyond = "whole parts" if tile.alone else "no page beyond"
        _on_white(pen, at, f"joins {name}" if name else beyond, angle)
    words = " - ".join(word for word in (sheet.title, sheet.heading, sheet.stamp) if word)
    if high > wide:
        _along(pen, (a + 2.3, a + beside + 14), words, high - beside - 24, 90.0)
    else:
        _along(pen, (a + beside + 14, a + 2.3), words, wide - beside - 24, 0.0)


def _draw_joints(pen: Pen, tile: Tile) -> None:
    """Draw the frame of what is kept, and the crosses that meet the neighbours'."""
    left, low = PAGE_EDGE + STRIP, PAGE_EDGE + STRIP
    pen.style("frame")
    pen.box((left, low), tile.width, tile.height)
    pen.style("bar")
    for x in (left, left + tile.width):
        for y in (low, low + tile.height):
            pen.line((x - CROSS, y), (x + CROSS, y))
            pen.line((x, y - CROSS), (x, y + CROSS))


def _along(pen: Pen, start: Point, words: str, room: float, angle: float) -> None:
    text = shortened(words, SMALLEST, room)
    half = text_width(text, SMALLEST) / 2
    at = (start[0], start[1] + half) if angle else (start[0] + half, start[1])
    _on_white(pen, at, text, angle)


def _on_white(pen: Pen, middle: Point, text: str, angle: float = 0.0) -> None:
    w, h = text_width(text, SMALLEST) + 1.0, 3.2
    if angle:
        w, h = h, w
    pen.blank((middle[0] - w / 2, middle[1] - h / 2), w, h)
    pen.middle(middle, text, angle=angle)


def titled_page(pen: Pen, size: Point, inset: float, title: str, how: Sequence[str], *, name: str) -> Point:
    """Begin a page with its bars, a title and how it is used; give the upper left corner within the inset."""
    pen.page(size[0] + 2 * PAGE_EDGE, size[1] + 2 * PAGE_EDGE, name)
    draw_bars(pen, (PAGE_EDGE, PAGE_EDGE), *size)
    left, top, room = PAGE_EDGE + inset, PAGE_EDGE + size[1] - inset, size[0] - 2 * inset
    pen.text((left, top - 5), shortened(title, 11, room), 11, bold=True)
    for row, words in enumerate(how):
        pen.text((left, top - 9.5 - 3.5 * row), shortened(words, SMALLEST, room))
    return left, top


def draw_bars(pen: Pen, corner: Point, wide: float, high: float) -> None:
    """Draw the scale bars on the strips: 100 mm below and left, 4 in above and right, along both axes."""
    x, y = corner
    pen.style("bar")
    _bar(pen, (x + BAR_START, y + BAR), (1, 0), 100.0, 10.0, "100 mm")
    _bar(pen, (x + BAR_START, y + high - BAR), (1, 0), INCHES, 25.4, "4 in")
    _bar(pen, (x + BAR, y + BAR_START), (0, 1), 100.0, 10.0, "100 mm")
    _bar(pen, (x + wide - BAR, y + BAR_START), (0, 1), INCHES, 25.4, "4 in")


def _bar(pen: Pen, start: Point, way: tuple[int, int], length: float, step: float, text: str) -> None:
    """Draw a bar with ticks from `start` along x or y, its name beyond its end."""
    (x, y), (ux, uy) = start, way
    pen.line(start, (x + ux * length, y + uy * length))
    for k in range(round(length / step) + 1):
        tick = 0.9 if 0 < k * step < length - 1e-9 else 1.0
        at = (x + ux * k * step, y + uy * k * step)
        pen.line((at[0] - uy * tick, at[1] - ux * tick), (at[0] + uy * tick, at[1] + ux * tick))
    away = length + 2.0 + text_width(text, SMALLEST) / 2
    side = 1.0 if (x < 100 and uy) or (y < 100 and ux) else -1.0  # towards the page's middle
    _on_white(pen, (x + ux * away + uy * side, y + uy * away + ux * side), text, 90.0 if uy else 0.0)
