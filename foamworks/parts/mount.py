"""How the pod stands on the fuselage's back: the printed saddle, the gap under tube and nose, the tilt that it allows.

Millimetres and radians on the aircraft: x aft, y starboard, z up. The pod pivots at its nozzle: the point of its axis
at distance s ahead of it is nozzle - s (cos d, sin d) in (x, z), d the downthrust.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from foamworks.errors import PhysicsError
from foamworks.parts.base import BackSection, Placement, Point, PrintPart, Saddle
from foamworks.parts.clear import Pod, body_patches, dip, least, sizes_at
from foamworks.parts.solidmath import Filament, back_height, least_wall, print_part
from foamworks.physics.grid import distinct

Floats = NDArray[np.float64]

GREATEST_TILT = math.radians(45)  # the design file's own limit
TILT_STEP = math.radians(0.5)  # a fit is looked for at this step from the greatest tilt down, then halved
TILT_EXACT = 1e-7  # rad
BACK_STEP = 2.0  # mm between stations of the back where it is not straight (beside the body's centre line)
TOUCH = 1e-6  # mm, the least bite of a pod that meets the body anywhere
LEAST_WALL = 2.0  # mm of print under the tube, five nozzle widths
LEAST_MOUNT = 20.0  # mm; a shorter mount does not hold the angle
WIDTH_SHARE = 0.75  # mount's width over the tube's outer diameter: the trough holds 97 degrees of the tube
BODY_SHARE = 0.9  # how far abeam the back is used, over the body's half width: beyond it the back falls away


@dataclass(frozen=True)
class Mount:
    """The printed mount, or why there is none."""

    prints: tuple[PrintPart, ...] = ()
    reason: str = ""


def back_line(sections: Sequence[BackSection], *, y: float = 0.0) -> list[Point]:
    """The top of the body in the plane `y`: (x, z) from nose to tail; only where the body is as wide as that."""
    return [(x, z + rise) for x, z, rise in _slices(sections, y)]


def clearance(
    *,
    sections: Sequence[BackSection],
    lower: Sequence[Point],
    nozzle: Point,
    downthrust: float,
    y: float = 0.0,
) -> float:
    """Least distance [mm] between tube or nose and the body, all round; negative: how deep it bites, by height.

    `lower`: (s, radius) points of tube and nose, s ahead of the nozzle; `nozzle`: (x, z); `downthrust` [rad]; `y`: the
    pod's plane. On the centre line the plane's section tells it all: carried into that plane, a point of the body stays
    in the body and comes no further from the pod's axis. Beside it the body may be nearer than in the plane.
    """
    body = _cut_body(sections, y)
    in_plane = math.inf if body is None else _apart(body, lower, nozzle, downthrust)
    if y == 0:
        return in_plane
    pod = Pod(tuple(lower), nozzle, downthrust, y)
    gap, _ = least(body_patches(sections), pod.distance)
    return gap if min(gap, in_plane) > 0 else -max(dip(pod, sections), TOUCH)


@dataclass(frozen=True)
class _CutBody:
    """The body as a plane along it cuts it: its outline, and the top edge (n, 2) of it."""

    outline: Polygon
    top: Floats


def _cut_body(sections: Sequence[BackSection], y: float) -> _CutBody | None:
    """Cut the body by the plane `y`; None where it does not reach it."""
    slices = np.array(_slices(sections, y))
    if len(slices) < 2:
        return None
    x, z, rise = slices.T
    top, bottom = np.stack([x, z + rise], axis=1), np.stack([x, z - rise], axis=1)
    outline = shapely.polygons(np.concatenate([top, bottom[::-1]]))
    shapely.prepare(outline)
    return _CutBody(outline, top)


def _apart(body: _CutBody, lower: Sequence[Point], nozzle: Point, downthrust: float) -> float:
    """Give the distance of the pod's outline, pivoted at the nozzle, from the body in one plane."""
    cos, sin = math.cos(downthrust), math.sin(downthrust)
    s, r = np.array(lower).T
    side = np.stack([nozzle[0] - s * cos + r * sin, nozzle[1] - s * sin - r * cos], axis=1)
    upper = np.stack([nozzle[0] - s * cos - r * sin, nozzle[1] - s * sin + r * cos], axis=1)
    pod = shapely.polygons(np.concatenate([side, upper[::-1]]))
    if pod.is_valid and body.outline.is_valid and body.outline.intersects(pod):
        return -max(_depth(side, body.top), TOUCH)
    return float(body.outline.distance(pod))


def greatest_tilt(
    *, sections: Sequence[BackSection], lower: Sequence[Point], nozzle: Point, air_gap: float, y: float = 0.0
) -> float | None:
    """The greatest downthrust [rad] within 0 and 45 degrees that keeps the air gap [mm]; None where none does."""
    flat, body = _cut_body(sections, y), body_patches(sections) if y else []

    def fits(tilt: float) -> bool:
        # the quick look in the plane: the whole is never further
        if flat is not None and _apart(flat, lower, nozzle, tilt) < air_gap:
            return False
        return y == 0 or least(body, Pod(tuple(lower), nozzle, tilt, y).distance, enough=air_gap)[0] >= air_gap

    if fits(GREATEST_TILT):
        return GREATEST_TILT
    steps = np.arange(GREATEST_TILT - TILT_STEP, -TILT_STEP / 2, -TILT_STEP)
    good = next((max(float(tilt), 0.0) for tilt in steps if fits(max(float(tilt), 0.0))), None)
    if good is None:
        return None
    bad = good + TILT_STEP
    while bad - good > TILT_EXACT:
        middle = (good + bad) / 2
        good, bad = (middle, bad) if fits(middle) else (good, middle)
    return good


def mount(
    *,
    sections: Sequence[BackSection],
    nozzle: Point,
    downthrust: float,
    tube_outer: float,
    span: tuple[float, float],
    y: float = 0.0,
    name: str = "pod mount",
    bed: tuple[float, float, float] | None = None,
    filament: Filament | None = None,
) -> Mount:
    """The saddle between the back and the tube, from `span` (aft, front: distances ahead of the nozzle on the axis).

    `y`: the pod's plane. Split into equal pieces when longer than the printer's bed. A design in which it cannot stand
    gives the reason instead.
    """
    cos = math.cos(downthrust)
    front, aft = nozzle[0] - span[1] * cos, nozzle[0] - span[0] * cos
    front, aft = max(front, sections[0].x), min(aft, sections[-1].x)
    if aft - front < LEAST_MOUNT:
        return Mount(
            reason=f"the fuselage lies under less than {LEAST_MOUNT:g} mm of the tube: move the nozzle over it"
        )
    width = WIDTH_SHARE * tube_outer
    room = min(section.width for section in _between(sections, front, aft)) / 2
    if abs(y) + width / 2 > BODY_SHARE * room:
        return Mount(reason=f"the back is only {2 * room:.0f} mm wide under a mount of {width:.0f} mm at y = {y:g} mm")
    pieces = 1 if bed is None else max(1, math.ceil((aft - front) / max(bed)))
    cuts = [front + (aft - front) * i / pieces for i in range(pieces + 1)]
    prints = []
    for number, (start, stop) in enumerate(itertools.pairwise(cuts), start=1):
        axis_z = nozzle[1] - (nozzle[0] - start) * math.tan(downthrust)
        shape = Saddle(
            length=stop - start,
            width=width,
            bore=tube_outer / 2,
            axis_z=axis_z,
            tilt=downthrust,
            sections=tuple(replace(section, x=section.x - start) for section in _between(sections, start, stop)),
            body_offset_y=-y,
        )
        wall = least_wall(shape)
        if wall < LEAST_WALL:
            found = f"the tube bites {-wall:.1f} mm into the back" if wall < 0 else f"only {wall:.1f} mm under the tube"
            return Mount(reason=f"{found}; a mount needs {LEAST_WALL:g} mm: raise the nozzle or tilt the pod less")
        shape, place = _grounded(shape, start, y)
        label = name if pieces == 1 else f"{name} {number} of {pieces}"
        note = "The trough takes the tube; glue both faces and bind the tube on."
        prints.append(print_part(label, shape, filament=filament, places=(place,), note=note, group="mount"))
    return Mount(prints=tuple(prints))


def _slices(sections: Sequence[BackSection], y: float) -> list[tuple[float, float, float]]:
    """x, centre and half height of the body in the plane `y`, where it reaches that plane."""
    if len(sections) < 2 or any(b.x <= a.x for a, b in itertools.pairwise(sections)):
        raise PhysicsError("fuselage sections: at least two, x rising")
    x = _stations(sections, y)
    width, height, centre = sizes_at(sections, x)
    inside = np.abs(y) <= width / 2
    share = np.divide(2 * y, width, out=np.zeros_like(width), where=inside & (width > 0))
    rise = height / 2 * np.sqrt(1 - share**2)
    return [(float(a), float(b), float(c)) for a, b, c, ok in zip(x, centre, rise, inside, strict=True) if ok]


def _stations(sections: Sequence[BackSection], y: float) -> Floats:
    table = np.array([section.x for section in sections])
    if y == 0:
        return table
    return distinct(np.concatenate([table, np.arange(table[0], table[-1], BACK_STEP)]))


def _depth(side: Floats, top: Floats) -> float:
    """How far the lower side (n, 2) dips under the back (m, 2), by height [mm]."""
    line_x, line_z = side.T
    back_x, back_z = top.T
    x = distinct(np.concatenate([line_x, back_x]))
    x = x[(x >= max(line_x.min(), back_x[0])) & (x <= min(line_x.max(), back_x[-1]))]
    order = np.argsort(line_x, kind="stable")
    gap = np.interp(x, back_x, back_z) - np.interp(x, line_x[order], line_z[order])
    return max(float(gap.max(initial=0.0)), 0.0)


def _between(sections: Sequence[BackSection], start: float, stop: float) -> list[BackSection]:
    """The sections from `start` to `stop`, both ends put in by straight rules."""

    def at(x: float) -> BackSection:
        return BackSection(x, *map(float, sizes_at(sections, x)))

    return [at(start), *(section for section in sections if start + 0.1 < section.x < stop - 0.1), at(stop)]


def _grounded(shape: Saddle, start: float, y: float) -> tuple[Saddle, Placement]:
    """Lower the saddle's own frame so that its lowest point is at height 0, and say where it then stands."""
    x = np.linspace(0, shape.length, 61 * len(shape.sections))
    low = min(float(back_height(shape, x, np.full_like(x, side)).min()) for side in (-shape.width / 2, shape.width / 2))
    sections = tuple(replace(section, z=section.z - low) for section in shape.sections)
    return replace(shape, axis_z=shape.axis_z - low, sections=sections), Placement(x=start, y=y, z=low)
