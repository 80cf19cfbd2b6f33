"""What a printed shape measures and weighs, on paper: volume, surface, centroid and box, without a CAD kernel.

Millimetres and grams, in the shape's own frame; `on_aircraft` carries a point through a placement. The solids that
the kernel makes are held against these numbers.
"""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from foamworks.errors import PhysicsError
from foamworks.parts.base import Arch, Extrude, Group, Placement, PrintPart, Revolve, Saddle, Shape
from foamworks.parts.clear import sizes_at

Floats = NDArray[np.float64]
Point3 = tuple[float, float, float]

NODES = 32  # Gauss-Legendre nodes each way of a saddle: volume stands at 1e-8 up to 0.95 of the body's half width
GRID = 61  # stations each way where a saddle's least wall and lowest point are looked for
MM3_PER_CM3 = 1000.0


@dataclass(frozen=True)
class Measures:
    """Volume [mm3], whole surface [mm2], centroid and the two corners of the box [mm] of a shape in its own frame."""

    volume: float
    area: float
    centroid: Point3
    low: Point3
    high: Point3

    @property
    def box(self) -> Point3:
        """The lengths of the box along x, y, z [mm]."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])


@dataclass(frozen=True)
class Filament:
    """What is printed with: density [g/cm3], number of walls, nozzle width [mm], infill as a fraction."""

    density: float
    walls: int = 3
    nozzle: float = 0.4
    infill: float = 0.15


@lru_cache(maxsize=128)  # a part is measured anew each time the solver makes it
def measures(shape: Shape) -> Measures:
    """Measure a shape."""
    if isinstance(shape, Revolve):
        return _revolve(shape)
    if isinstance(shape, Extrude):
        return _extrude(shape)
    if isinstance(shape, Arch):
        return _arch(shape)
    return _saddle(shape)


def print_mass(*, volume: float, area: float, density: float, walls: int, nozzle: float, infill: float) -> float:
    """Mass of a print [g]: skin of walls x nozzle under the whole surface, the rest at the infill.

    volume [mm3]; area [mm2]; density [g/cm3] of the filament; nozzle [mm]; infill 0 to 1. A part thinner than its
    two skins is solid. Common practice, no source: within some 10 % of a slicer's figure; the scale decides.

    >>> round(print_mass(volume=1000.0, area=600.0, density=1.27, walls=3, nozzle=0.4, infill=0.15), 3)
    0.968
    """
    if not (density > 0 and walls >= 1 and nozzle > 0 and 0 <= infill <= 1):
        raise PhysicsError("a print needs density > 0, walls >= 1, nozzle > 0 and infill within 0 and 1")
    skin = min(area * walls * nozzle, volume)
    return density * (skin + (volume - skin) * infill) / MM3_PER_CM3


def print_part(
    name: str,
    shape: Shape,
    *,
    filament: Filament | None = None,
    places: tuple[Placement, ...] = (),
    count: int = 1,
    motor: str | None = None,
    note: str = "",
    group: Group = "fitted",
) -> PrintPart:
    """Make a printed part: its measures, its mass (NaN without a filament), the common centroid of its places."""
    size = measures(shape)
    mass = math.nan
    if filament is not None:
        mass = print_mass(volume=size.volume, area=size.area, **vars(filament))
    there = [on_aircraft(size.centroid, place) for place in places]
    return PrintPart(
        name=name,
        shape=shape,
        count=len(places) or count,
        volume_mm3=size.volume,
        box_mm=size.box,
        mass_g=mass,
        x_mm=sum(x for x, _, _ in there) / len(there) if there else None,
        z_mm=sum(z for _, _, z in there) / len(there) if there else None,
        motor=motor,
        places=places,
        note=note,
        group=group,
        y_mm=sum(abs(y) for _, y, _ in there) / len(there) if there else 0.0,
        min_wall_mm=least_wall(shape) if isinstance(shape, Saddle) else None,
    )


def on_aircraft(point: Point3, place: Placement) -> Point3:
    """Carry a point of a part's own frame onto the aircraft [mm]: turned by roll and pitch, then moved.

    >>> on_aircraft((10.0, 0.0, 0.0), Placement(x=100.0, y=0.0, z=50.0, pitch=math.pi / 2))
    (100.0, 0.0, 60.0)
    """
    x, y, z = turn(place) @ np.array(point)
    return (place.x + float(x), place.y + float(y), place.z + float(z))


def turn(place: Placement) -> Floats:
    """The matrix (3, 3) that turns a column of a part's own frame as it stands on the aircraft."""
    cos, sin = math.cos(place.pitch), math.sin(place.pitch)
    across, up = math.cos(place.roll), math.sin(place.roll)
    return np.array([[cos, -sin * up, -sin * across], [0.0, across, -up], [sin, cos * up, cos * across]])


def least_wall(saddle: Saddle) -> float:
    """Least height of material between the body's back and the tube [mm]; negative where they meet."""
    x, y = np.meshgrid(np.linspace(0, saddle.length, GRID), np.linspace(-0.5, 0.5, GRID) * saddle.width)
    return float(np.min(trough_height(saddle, x, y) - back_height(saddle, x, y)))


def trough_height(saddle: Saddle, x: Floats, y: Floats) -> Floats:
    """Height of the trough under the tube [mm] in the saddle's frame; needs |y| < bore."""
    axis = saddle.axis_z + x * math.tan(saddle.tilt)
    return np.asarray(axis - np.sqrt(saddle.bore**2 - y**2) / math.cos(saddle.tilt))


def back_height(saddle: Saddle, x: Floats, y: Floats) -> Floats:
    """Height of the body's back [mm] in the saddle's frame; needs |y - body_offset_y| < half the body's width."""
    width, height, centre = sizes_at(saddle.sections, x)
    share = 2 * (y - saddle.body_offset_y) / width
    return np.asarray(centre + height / 2 * np.sqrt(1 - share**2))


def _revolve(shape: Revolve) -> Measures:
    """Pappus on a polygon: first and product moments of the area about the axis, exact for its straight sides."""
    x, r = np.asarray(shape.meridian, dtype=np.float64).T
    nx, nr = np.roll(x, -1), np.roll(r, -1)
    cross = x * nr - nx * r
    first = float(np.sum(cross * (r + nr))) / 6
    product = float(np.sum(cross * (x * nr + 2 * x * r + 2 * nx * nr + nx * r))) / 24
    area = float(np.sum(math.pi * (r + nr) * np.hypot(nx - x, nr - r)))
    widest = float(r.max())
    return Measures(
        volume=2 * math.pi * abs(first),
        area=area,
        centroid=(product / first, 0.0, 0.0),
        low=(float(x.min()), -widest, -widest),
        high=(float(x.max()), widest, widest),
    )


def _arch(shape: Arch) -> Measures:
    """Half a turn by Pappus and two straight legs under it, by moments of the meridian: exact for straight sides."""
    x, r = np.asarray(shape.meridian, dtype=np.float64).T
    nx, nr = np.roll(x, -1), np.roll(r, -1)
    cross = x * nr - nx * r
    sign = math.copysign(1.0, float(np.sum(cross)))
    plan = sign * float(np.sum(cross)) / 2
    by_x = sign * float(np.sum(cross * (x + nx))) / 6
    by_r = sign * float(np.sum(cross * (r + nr))) / 6
    by_rr = sign * float(np.sum(cross * (r**2 + r * nr + nr**2))) / 12
    by_xr = sign * float(np.sum(cross * (x * nr + 2 * x * r + 2 * nx * nr + nx * r))) / 24
    volume = math.pi * by_r + 2 * shape.height * plan
    skin = np.where(r + nr > 0, math.pi * (r + nr) / 2 + 2 * shape.height, 0.0)  # the edge on the axis is inside
    along = (math.pi * by_xr + 2 * shape.height * by_x) / volume
    up = (math.pi * shape.height * by_r + 2 * by_rr + shape.height**2 * plan) / volume
    widest = float(r.max())
    return Measures(
        volume=volume,
        area=float(np.sum(skin * np.hypot(nx - x, nr - r))) + 2 * plan,
        centroid=(along, 0.0, up),
        low=(float(x.min()), -widest, 0.0),
        high=(float(x.max()), widest, shape.height + widest),
    )


def _extrude(shape: Extrude) -> Measures:
    outline = shape.outline
    least_x, least_y, most_x, most_y = outline.bounds
    return Measures(
        volume=float(outline.area) * shape.height,
        area=2 * float(outline.area) + float(outline.length) * shape.height,
        centroid=(float(outline.centroid.x), float(outline.centroid.y), shape.height / 2),
        low=(float(least_x), float(least_y), 0.0),
        high=(float(most_x), float(most_y), shape.height),
    )


def _saddle(shape: Saddle) -> Measures:
    volume, moments, area = 0.0, np.zeros(3), 0.0
    for x, y, weight, skin in _patches(shape):
        top, bottom = trough_height(shape, x, y), back_height(shape, x, y)
        volume += float(np.sum(weight * (top - bottom)))
        moments += [np.sum(weight * p * (top - bottom)) for p in (x, y, (top + bottom) / 2)]
        area += float(np.sum(weight * skin))
    half = shape.width / 2
    x = np.linspace(0, shape.length, GRID * len(shape.sections))
    sides = [
        (trough_height(shape, x, np.full_like(x, y)), back_height(shape, x, np.full_like(x, y))) for y in (-half, half)
    ]
    area += sum(float(np.trapezoid(top - bottom, x)) for top, bottom in sides)
    y = np.linspace(-half, half, GRID)
    for end in (0.0, shape.length):
        at = np.full_like(y, end)
        area += float(np.trapezoid(trough_height(shape, at, y) - back_height(shape, at, y), y))
    return Measures(
        volume=volume,
        area=area,
        centroid=(float(moments[0]) / volume, float(moments[1]) / volume, float(moments[2]) / volume),
        low=(0.0, -half, min(float(bottom.min()) for _, bottom in sides)),
        high=(shape.length, half, max(float(top.max()) for top, _ in sides)),
    )


def _patches(shape: Saddle) -> Iterator[tuple[Floats, Floats, Floats, Floats]]:
    """x, y, weight and surface per plan area (trough and back together), between neighbouring sections."""
    node, weight = np.polynomial.legendre.leggauss(NODES)
    for a, b in itertools.pairwise(shape.sections):
        step = b.x - a.x
        x, y = np.meshgrid(a.x + (node + 1) / 2 * step, node * shape.width / 2, indexing="ij")
        plan = np.outer(weight * step / 2, weight * shape.width / 2)
        cos = math.cos(shape.tilt)
        trough = np.sqrt((1 + (y / np.sqrt(shape.bore**2 - y**2)) ** 2) / cos**2)
        width, height, _ = sizes_at(shape.sections, x)
        share = 2 * (y - shape.body_offset_y) / width
        root = np.sqrt(1 - share**2)
        across = height / width * share / root
        along = (
            (b.z - a.z) + (b.height - a.height) / 2 * root + height / 2 * share**2 / root * (b.width - a.width) / width
        )
        yield x, y, plan, trough + np.sqrt(1 + across**2 + (along / step) ** 2)
