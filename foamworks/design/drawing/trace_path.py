"""Which points does the path text of an SVG drawing pass through? "M 0,0 h 10 v 5 z" as chains of points.

The path's own coordinates go through a matrix first, so the points, and the 0.01 mm that a step may leave its curve,
are in millimetres. Source: the path grammar and the arc conversion of SVG 1.1 (W3C), chapter 8 and appendix F.6.
"""

import math
import re
from collections.abc import Callable

from foamworks.design.drawing.trace_curves import Matrix, Point, apply, bezier_points, ellipse_points

Chain = tuple[list[Point], bool]

_NUMBER = re.compile(r"[\s,]*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)")
_FLAG = re.compile(r"[\s,]*([01])")
_COMMAND = re.compile(r"[\s,]*([MmZzLlHhVvCcSsQqTtAa])")
_REST = re.compile(r"[\s,]*")


class Pen:
    """Follows one path text; what it has drawn stands in `chains`."""

    def __init__(self, text: str, matrix: Matrix) -> None:
        self.text = text
        self.at = 0
        self.matrix = matrix
        self.chains: list[Chain] = []
        self.points: list[Point] = []
        self.here: Point = (0.0, 0.0)
        self.begin: Point = (0.0, 0.0)
        self.handle: Point | None = None  # last control point, for the smooth curves
        self.handle_kind = ""

    def draw(self) -> list[Chain]:
        """Follow the whole text. Raises ValueError with the place where it cannot be followed."""
        command = ""
        while _REST.match(self.text, self.at).end() < len(self.text):  # type: ignore[union-attr]  # always matches
            found = _COMMAND.match(self.text, self.at)
            if found:
                command, self.at = found.group(1), found.end()
            elif command in ("", "Z", "z"):
                raise ValueError(f'a command letter is missing at "{self.text[self.at : self.at + 12].strip()}"')
            if not self.chains and not self.points and command not in "Mm":
                raise ValueError("a path begins with M")
            self._step(command)
            command = {"M": "L", "m": "l"}.get(command, command)
        self._lift(closed=False)
        return self.chains

    def _step(self, command: str) -> None:
        relative = command.islower()
        steps: dict[str, Callable[[Point], None]] = {
            "M": self._move, "L": self._line, "H": self._level, "V": self._upright, "C": self._cubic,
            "S": self._smooth_cubic, "Q": self._quadratic, "T": self._smooth_quadratic, "A": self._arc,
        }  # fmt: skip
        if command in "Zz":
            self._lift(closed=True)
            self.here = self.begin
            self.handle = None
            return
        if not self.points and command not in "Mm":  # drawing on after Z starts where the loop began
            self.points = [apply(self.matrix, self.here)]
        steps[command.upper()](self.here if relative else (0.0, 0.0))
        if command.upper() not in "CSQT":
            self.handle = None
        self.handle_kind = command.upper()

    def _lift(self, *, closed: bool) -> None:
        if len(self.points) > 1:
            self.chains.append((self.points, closed))
        self.points = []

    def _number(self) -> float:
        found = _NUMBER.match(self.text, self.at)
        if not found:
            raise ValueError(f'a number is missing at "{self.text[self.at : self.at + 12].strip()}"')
        self.at = found.end()
        return float(found.group(1))

    def _flag(self) -> bool:
        found = _FLAG.match(self.text, self.at)
        if not found:
            raise ValueError(f'an arc needs a flag 0 or 1 at "{self.text[self.at : self.at + 12].strip()}"')
        self.at = found.end()
        return found.group(1) == "1"

    def _point(self, origin: Point) -> Point:
        x = self._number()
        return (origin[0] + x, origin[1] + self._number())

    def _to(self, point: Point) -> None:
        self.points.append(apply(self.matrix, point))
        self.here = point

    def _move(self, origin: Point) -> None:
        self._lift(closed=False)
        self.begin = self._point(origin)
        self._to(self.begin)

    def _line(self, origin: Point) -> None:
        self._to(self._point(origin))

    def _level(self, origin: Point) -> None:
        self._to((origin[0] + self._number(), self.here[1]))

    def _upright(self, origin: Point) -> None:
        self._to((self.here[0], origin[1] + self._number()))

    def _mirrored(self, kinds: str) -> Point:
        """Give the reflected handle of the curve before, or the place itself when there was none."""
        if self.handle is None or self.handle_kind not in kinds:
            return self.here
        return (2 * self.here[0] - self.handle[0], 2 * self.here[1] - self.handle[1])

    def _curve(self, control: list[Point]) -> None:
        self.points.extend(bezier_points([apply(self.matrix, p) for p in (self.here, *control)])[1:])
        self.handle, self.here = control[-2], control[-1]

    def _cubic(self, origin: Point) -> None:
        self._curve([self._point(origin), self._point(origin), self._point(origin)])

    def _smooth_cubic(self, origin: Point) -> None:
        first = self._mirrored("CS")
        self._curve([first, self._point(origin), self._point(origin)])

    def _quadratic(self, origin: Point) -> None:
        self._curve([self._point(origin), self._point(origin)])

    def _smooth_quadratic(self, origin: Point) -> None:
        first = self._mirrored("QT")
        self._curve([first, self._point(origin)])

    def _arc(self, origin: Point) -> None:
        rx, ry, turn = abs(self._number()), abs(self._number()), math.radians(self._number())
        large, positive = self._flag(), self._flag()
        end = self._point(origin)
        if rx == 0 or ry == 0 or end == self.here:
            self._to(end)
            return
        centre, u, v, start, sweep = arc_centre(self.here, end, (rx, ry), turn, large=large, positive=positive)
        walked = ellipse_points(
            centre=apply(self.matrix, centre),
            u=apply((*self.matrix[:4], 0.0, 0.0), u),
            v=apply((*self.matrix[:4], 0.0, 0.0), v),
            start=start,
            sweep=sweep,
        )
        self.points.extend(walked[1:-1])
        self._to(end)


def arc_centre(
    start: Point, end: Point, radii: Point, turn: float, *, large: bool, positive: bool
) -> tuple[Point, Point, Point, float, float]:
    """Give centre, half axes u and v, start and sweep [rad] of an SVG arc; radii too small are scaled up.

    Source: SVG 1.1 (W3C) appendix F.6.5 and F.6.6.

    >>> centre, *_ = arc_centre((0, 0), (2, 0), (1, 1), 0, large=False, positive=True)
    >>> centre
    (1.0, 0.0)
    """
    rx, ry = radii
    cos, sin = math.cos(turn), math.sin(turn)
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    x, y = (cos * half[0] + sin * half[1]) / rx, (cos * half[1] - sin * half[0]) / ry
    reach = math.hypot(x, y)
    if reach > 1:
        rx, ry, x, y, reach = rx * reach, ry * reach, x / reach, y / reach, 1.0
    side = math.sqrt(max(0.0, 1 / reach**2 - 1)) * (-1 if large == positive else 1)
    cx, cy = side * y, -side * x  # on the unit circle's own scale
    first = math.atan2(y - cy, x - cx)
    sweep = math.atan2(-y - cy, -x - cx) - first
    sweep %= 2 * math.pi
    if not positive:
        sweep -= 2 * math.pi
    u, v = (cos * rx, sin * rx), (-sin * ry, cos * ry)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    centre = (middle[0] + u[0] * cx + v[0] * cy, middle[1] + u[1] * cx + v[1] * cy)
    return centre, u, v, first, sweep
