"""The side view beside the answer: the aircraft with its booster's line, and a numbered mark where a cause lies.

The numbers are those of the answer's list of causes. One unit of the drawing is one millimetre of the model.
"""

from collections.abc import Sequence
from itertools import pairwise

from foamworks.changes.answer import Cause
from foamworks.checks.case import Case
from foamworks.output.views import overview_marks as marks
from foamworks.output.views.bodies import FAIRING, FINS
from foamworks.output.views.drawing import Pt, bounds, dot, line, picture, rings, spread, text
from foamworks.output.views.outlines import Outline, outlines
from foamworks.output.views.overview import STYLE, Frame

FLAG_SHARE = 0.021  # of the view's width: the radius of a mark
FLAGS = ".ow-flag-fail{fill:#a62a1d}.ow-flag-caution{fill:#8a5a00}.ow-number{fill:#fff;font-family:Helvetica,Arial;}"


def side_svg(case: Case, causes: Sequence[Cause]) -> str:
    """Draw the side view with the causes' marks; empty when there is no aircraft to draw."""
    shapes = [shape for shape in outlines(case) if shape.side]
    if not shapes:
        return ""
    points = [point for shape in shapes for ring in shape.side for point in ring]
    points += [end for ray in marks.thrust_rays(case) for end in (ray.nozzle, ray.end)]
    left, low, right, high = bounds(points)
    radius = FLAG_SHARE * (right - left)
    frame = Frame((0.0, 0.0), (left, low, right, high))
    pieces = [rings([frame.ring(ring) for ring in shape.side if ring], shape.style, shape.name) for shape in shapes]
    for ray in marks.thrust_rays(case):
        pieces.append(line(frame.at(ray.nozzle), frame.at(ray.end), "ow-thrust"))
        pieces += [line(frame.at(cg), frame.at(foot), "ow-arm") for cg, foot in pairwise(ray.arm)]
    for spot in marks.cg_spots(case):
        pieces.append(dot(frame.at(spot.at), 0.3 * radius, "ow-cg"))
    pieces += _flags(frame, _placed(case, shapes, causes), high + 2.2 * radius, radius)
    words = "; ".join(f"{count}: {cause.label}" for count, cause in enumerate(causes, start=1))
    top = -high - 3.6 * radius
    title = f"Side view with what is wrong marked on it. {words}" if words else "Side view"
    box = (left - radius, top, right - left + 2 * radius, -low - top + radius)
    return picture(*pieces, box=box, style=STYLE + FLAGS, title=title, class_="side")


def _flags(frame: Frame, placed: Sequence[tuple[int, Cause, Pt]], level: float, radius: float) -> list[str]:
    """Draw the marks in a row over the aircraft, each with a line to its place."""
    ordered = sorted(placed, key=lambda flag: (flag[2][0], flag[0]))
    middles = spread([at[0] for _, _, at in ordered], [2 * radius] * len(ordered), 0.4 * radius)
    found = []
    for (count, cause, at), middle in zip(ordered, middles, strict=True):
        x, y = frame.at((middle, level))
        found += [
            line(frame.at(at), (x, y), "ow-lead"),
            dot((x, y), radius, f"ow-flag-{cause.verdict}"),
            text((x, y + 0.42 * radius), str(count), 1.25 * radius, anchor="middle", style="ow-number"),
        ]
    return found


def _placed(case: Case, shapes: Sequence[Outline], causes: Sequence[Cause]) -> list[tuple[int, Cause, Pt]]:
    """Give each cause that lies somewhere its number and its place; measures and speeds lie nowhere."""
    places = _places(case, shapes)
    return [(n, cause, places[cause.cause]) for n, cause in enumerate(causes, start=1) if cause.cause in places]


def _places(case: Case, shapes: Sequence[Outline]) -> dict[str, Pt]:
    found: dict[str, Pt] = {}
    for shape in reversed(shapes):
        if shape.group == FINS:
            found["fins"] = _middle(shape)
            found["strength"] = (found["fins"][0], min(v for ring in shape.side for _, v in ring))
        elif shape.style == "ow-tube":
            found["pod"] = _middle(shape)
        elif shape.group == FAIRING or shape.style == "ow-box":
            found["camera"] = _middle(shape)
    spots = marks.cg_spots(case)
    if spots:
        found["balance"] = max(spot.at for spot in spots)
    for part in case.parts.bought:
        if part.group == "ignition pack" and part.x_mm is not None:
            found["ignition"] = (part.x_mm, part.z_mm or 0.0)
    for ray in marks.thrust_rays(case):
        found["motor"] = ray.nozzle
        found["thrust line"] = (ray.nozzle[0] + ray.end[0]) / 2, (ray.nozzle[1] + ray.end[1]) / 2
    return found


def _middle(shape: Outline) -> Pt:
    left, low, right, high = bounds(point for ring in shape.side for point in ring)
    return 0.5 * (left + right), 0.5 * (low + high)
