"""Which points does a drawn curve pass through? Curves as chains of straight steps, in the drawing's plane.

Pure numbers, no file and no unit of its own: points and `tolerance` share one unit (millimetres where a trace is
read). x to the right, y up, angles counter-clockwise [rad]. No step leaves its curve by more than `tolerance`.
"""

import math
from itertools import pairwise

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]

TOLERANCE = (
    0.004  # mm, the most a straight step may leave its curve: 0.01 is promised, this keeps a 10 mm disc to 0.1 %
)
MOST_STEPS = 20_000  # one curve; a circle of 100 m radius needs 11 108 at 0.004 mm
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def apply(matrix: Matrix, point: Point) -> Point:
    """Carry a point through (a, b, c, d, e, f): x' = a x + c y + e, y' = b x + d y + f.

    >>> apply((0.0, 1.0, -1.0, 0.0, 5.0, 0.0), (2.0, 0.0))
    (5.0, 2.0)
    """
    a, b, c, d, e, f = matrix
    x, y = point
    return (a * x + c * y + e, b * x + d * y + f)


def compose(outer: Matrix, inner: Matrix) -> Matrix:
    """Give the one matrix that does `inner` first and `outer` after it."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f)


def ellipse_points(
    *, centre: Point, u: Point, v: Point, start: float, sweep: float, tolerance: float = TOLERANCE
) -> list[Point]:
    """Walk centre + u cos t + v sin t from t = `start` through `sweep` [rad], both ends included.

    u, v are conjugate half axes, so any affine picture of a circle is one of these. A step of dt leaves a circle of
    radius r by r (1 - cos(dt/2)); an affine picture of it by no more than that of the ellipse's longest half axis.

    >>> [(round(x, 6), round(y, 6)) for x, y in ellipse_points(
    ...     centre=(0, 0), u=(1, 0), v=(0, 1), start=0, sweep=math.pi / 2, tolerance=1)]
    [(1.0, 0.0), (0.0, 1.0)]
    """
    longest = _longest_half_axis(u, v)
    step = math.pi / 2
    if longest > tolerance:
        step = min(step, 2 * math.acos(1 - tolerance / longest))
    count = min(MOST_STEPS, max(1, math.ceil(abs(sweep) / step - 1e-9)))
    turns = [start + sweep * k / count for k in range(count + 1)]
    return [
        (centre[0] + u[0] * math.cos(t) + v[0] * math.sin(t), centre[1] + u[1] * math.cos(t) + v[1] * math.sin(t))
        for t in turns
    ]


def _longest_half_axis(u: Point, v: Point) -> float:
    """Give the larger singular value of the 2 x 2 matrix [u v] (closed form)."""
    total = u[0] ** 2 + u[1] ** 2 + v[0] ** 2 + v[1] ** 2
    area = u[0] * v[1] - u[1] * v[0]
    return math.sqrt((total + math.sqrt(max(0.0, total * total - 4 * area * area))) / 2)


def bulge_points(start: Point, end: Point, bulge: float, tolerance: float = TOLERANCE) -> list[Point]:
    """Walk the arc between two vertices of a polyline; `bulge` is tan(angle/4), positive counter-clockwise.

    Source: the DXF reference's definition of group code 42.

    >>> x, y = bulge_points((0.0, 0.0), (2.0, 0.0), 1.0, 0.4)[1]
    >>> (round(x, 9), round(y, 9))
    (1.0, -1.0)
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    if abs(bulge) < 1e-9 or (dx == 0 and dy == 0):
        return [start, end]
    rise = (1 - bulge * bulge) / (4 * bulge)  # centre's distance left of the chord's middle, in chords
    centre = ((start[0] + end[0]) / 2 - dy * rise, (start[1] + end[1]) / 2 + dx * rise)
    u = (start[0] - centre[0], start[1] - centre[1])
    inner = ellipse_points(
        centre=centre, u=u, v=(-u[1], u[0]), start=0, sweep=4 * math.atan(bulge), tolerance=tolerance
    )
    return [start, *inner[1:-1], end]


def bezier_points(control: list[Point], tolerance: float = TOLERANCE) -> list[Point]:
    """Walk a Bezier curve of any degree, both ends included.

    Equal parameter steps, their number from the largest second difference of the control points: n^2 >= d (d - 1) / 8
    times it over the tolerance. Source: the chord's error bound h^2/8 max|B''|, a closed form.

    >>> bezier_points([(0.0, 0.0), (1.0, 2.0), (2.0, 0.0)], tolerance=1.0)
    [(0.0, 0.0), (2.0, 0.0)]
    """
    degree = len(control) - 1
    bend = max(
        (
            math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1])
            for p, q, r in zip(control, control[1:], control[2:], strict=False)
        ),
        default=0.0,
    )
    wanted = math.sqrt(degree * (degree - 1) / 8 * bend / tolerance)
    count = min(MOST_STEPS, max(1, math.ceil(wanted - 1e-9)))
    return [_bezier_at(control, k / count) for k in range(count + 1)]


def _bezier_at(control: list[Point], t: float) -> Point:
    points = control
    while len(points) > 1:
        points = [((1 - t) * p[0] + t * q[0], (1 - t) * p[1] + t * q[1]) for p, q in pairwise(points)]
    return points[0]
