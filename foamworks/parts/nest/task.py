"""A nesting job made ready: the forms of every piece, the sheets' free boxes, the lattice they are searched on [mm]."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
import shapely
from shapely import Polygon, affinity

from foamworks.parts.nest.model import Piece, Stock, turned
from foamworks.parts.nest.shapes import Array, Form, forms, inner, obstacles

Box = tuple[float, float, float, float]

STEPS_ACROSS = 42  # lattice steps across the middling part: 2 mm on 84 mm
FINE = 2.0  # mm: large parts are not laid more coarsely than that where the sheet's size allows it
STEPS = (0.2, 0.5, 1.0, 2.0, 4.0, 10.0)  # mm, round ones: parts with round measures then meet exactly
MOST_CELLS = 320_000  # lattice points on the largest sheet; sets the step for small parts on large sheets
HOLLOW = 0.4  # of a step: how deep hollows of an outline may be filled in to save convex parts


@dataclass(frozen=True)
class Sheet:
    """A stock's free box inside the margin, and the convex parts in it that are no sheet; the margin ends at `left`.

    `area` is what is free, `most` a bound to the area of all parts on it, each grown by half the gap.
    """

    box: Box
    solid: tuple[Array, ...]
    area: float
    left: float
    most: float


@dataclass(frozen=True)
class Task:
    """What the searches work on. `kind[p]` is the shape of piece p: equal outlines with equal turns are one shape.

    `forms[kind]` in the order of `turns[kind]`, which leaves out turns that look like an earlier one. `need[kind]` is
    the area of the shape grown by half the gap. `fine` is the same job with outlines that are not simplified.
    """

    step: float
    sheets: tuple[Sheet, ...]
    kind: tuple[int, ...]
    turns: tuple[tuple[int, ...], ...]
    forms: tuple[tuple[Form, ...], ...]
    need: tuple[float, ...]
    gap: float
    remake: "Callable[[], Task]"

    @cached_property
    def fine(self) -> "Task":
        """The same job with exact outlines."""
        return self.remake()


def make_task(
    pieces: Sequence[Piece], stocks: Sequence[Stock], *, gap: float, margin: float, exact: bool = False
) -> Task:
    """Make pieces and sheets ready. Inputs must have passed model.check_input."""
    step = _step(pieces, stocks)
    odd = []
    for stock in stocks:
        inside = inner(stock.outline, margin)
        box, solid = obstacles(inside, tolerance=step * HOLLOW, exact=exact)
        most = inside.area + inside.length * gap / 2 + gap**2
        odd.append(Sheet(box, tuple(solid), inside.area, stock.outline.bounds[0] + margin, most))
    keys: dict[tuple[bytes, tuple[int, ...]], int] = {}
    kind = [keys.setdefault((piece.outline.wkb, piece.turns), len(keys)) for piece in pieces]
    firsts = [pieces[kind.index(number)] for number in range(len(keys))]
    least = min((min(_sides(piece)) for piece in pieces), default=0.0) + gap
    bare = any(sheet.solid for sheet in odd)
    turns = tuple(distinct_turns(piece.outline, piece.turns) for piece in firsts)
    made = tuple(
        tuple(forms(piece.outline, row, gap=gap, least_hole=least, tolerance=step * HOLLOW, bare=bare, exact=exact))
        for piece, row in zip(firsts, turns, strict=True)
    )
    need = tuple(float(piece.outline.buffer(gap / 2).area) for piece in firsts)
    remake = partial(make_task, pieces, stocks, gap=gap, margin=margin, exact=True)
    return Task(step, tuple(odd), tuple(kind), turns, made, need, gap, remake)


def distinct_turns(outline: Polygon, turns: Sequence[int]) -> tuple[int, ...]:
    """Leave out the turns in which a shape looks as in an earlier one.

    >>> distinct_turns(shapely.box(0, 0, 4, 1), (0, 90, 180, 270))
    (0, 90)
    """
    seen: dict[int, Polygon] = {}
    for turn in turns:
        shape = _centred(outline, turn)
        if not any(_alike(shape, other) for other in seen.values()):
            seen[int(turn)] = shape
    return tuple(seen)


def same_turn(outline: Polygon, turns: Sequence[int], angle: int) -> int:
    """Give the place in `turns` of the first turn in which a shape looks as it does turned by `angle`."""
    shape = _centred(outline, angle)
    return next(place for place, turn in enumerate(turns) if _alike(shape, _centred(outline, turn)))


def _centred(outline: Polygon, turn: int) -> Polygon:
    shape = turned(outline, turn)
    return affinity.translate(shape, -sum(shape.bounds[::2]) / 2, -sum(shape.bounds[1::2]) / 2)


def _alike(one: Polygon, other: Polygon) -> bool:
    a, b = (np.round(shapely.get_coordinates(shape), 6) + 0.0 for shape in (one, other))
    if np.array_equal(np.unique(a, axis=0), np.unique(b, axis=0)):
        return bool(one.symmetric_difference(other).area <= 1e-9 * one.area)
    return False


def _sides(piece: Piece) -> tuple[float, float]:
    left, low, right, high = piece.outline.bounds
    return right - left, high - low


def _step(pieces: Sequence[Piece], stocks: Sequence[Stock]) -> float:
    sizes = [float(np.sqrt(np.prod(_sides(piece)))) for piece in pieces for _ in range(min(piece.count, 100))]
    middle = float(np.median(sizes)) if sizes else 84.0
    widest = max((float(np.prod(_box_sides(stock))) for stock in stocks), default=1.0)
    step = max(min(middle / STEPS_ACROSS, FINE), float(np.sqrt(widest / MOST_CELLS)))
    return min(STEPS, key=lambda size: abs(math.log(size / step)))


def _box_sides(stock: Stock) -> tuple[float, float]:
    left, low, right, high = stock.outline.bounds
    return right - left, high - low
