"""A nesting job made ready: the forms of every piece, the sheets' free boxes, the lattice they are searched on [mm]."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from foamworks.parts.nest.model import LATTICE, Piece, Stock
from foamworks.parts.nest.shapes import Array, Form, forms, obstacles

Box = tuple[float, float, float, float]

STEPS_ACROSS = 42  # lattice steps across the middling part: 2 mm on 84 mm
STEPS = (0.2, 0.5, 1.0, 2.0, 4.0, 10.0)  # mm, round ones: parts with round measures then meet exactly
MOST_CELLS = 320_000  # lattice points on the largest sheet; sets the step for small parts on large sheets
HOLLOW = 0.4  # of a step: how deep hollows of an outline may be filled in to save convex parts


@dataclass(frozen=True)
class Sheet:
    """A stock's free box inside the margin, and the convex parts in it that are no sheet; the margin ends at `left`."""

    box: Box
    solid: tuple[Array, ...]
    area: float
    left: float


@dataclass(frozen=True)
class Task:
    """What the searches work on. `kind[p]` is the shape of piece p: equal outlines are one shape.

    `forms[kind]` in the order of `turns[kind]`; a form's number is its place in `flat`.
    """

    step: float
    sheets: tuple[Sheet, ...]
    kind: tuple[int, ...]
    turns: tuple[tuple[int, ...], ...]
    forms: tuple[tuple[Form, ...], ...]

    def number(self, kind: int, turn: int) -> int:
        """Number the forms through, for use as keys."""
        return sum(len(row) for row in self.forms[:kind]) + turn


def make_task(pieces: Sequence[Piece], stocks: Sequence[Stock], *, gap: float, margin: float) -> Task:
    """Make pieces and sheets ready. Inputs must have passed model.check_input."""
    step = _step(pieces, stocks)
    odd = []
    for stock in stocks:
        box, solid = obstacles(stock.outline, margin=margin, tolerance=step * HOLLOW)
        odd.append(Sheet(_on_lattice(box), tuple(solid), _free_area(box, solid), stock.outline.bounds[0] + margin))
    keys: dict[tuple[bytes, tuple[int, ...]], int] = {}
    kind = [keys.setdefault((piece.outline.wkb, _turns(piece)), len(keys)) for piece in pieces]
    firsts = [pieces[kind.index(number)] for number in range(len(keys))]
    least = min((min(_sides(piece)) for piece in pieces), default=0.0) + gap
    bare = any(sheet.solid for sheet in odd)
    made = tuple(
        tuple(forms(piece.outline, _turns(piece), gap=gap, least_hole=least, tolerance=step * HOLLOW, bare=bare))
        for piece in firsts
    )
    return Task(step, tuple(odd), tuple(kind), tuple(_turns(piece) for piece in firsts), made)


def _turns(piece: Piece) -> tuple[int, ...]:
    return tuple(dict.fromkeys(int(turn) % 360 for turn in piece.turns))


def _sides(piece: Piece) -> tuple[float, float]:
    left, low, right, high = piece.outline.bounds
    return right - left, high - low


def _step(pieces: Sequence[Piece], stocks: Sequence[Stock]) -> float:
    sizes = [float(np.sqrt(np.prod(_sides(piece)))) for piece in pieces for _ in range(min(piece.count, 100))]
    middle = float(np.median(sizes)) if sizes else 84.0
    widest = max((float(np.prod(_box_sides(stock))) for stock in stocks), default=1.0)
    step = max(middle / STEPS_ACROSS, float(np.sqrt(widest / MOST_CELLS)))
    return min(STEPS, key=lambda size: abs(math.log(size / step)))


def _box_sides(stock: Stock) -> tuple[float, float]:
    left, low, right, high = stock.outline.bounds
    return right - left, high - low


def _on_lattice(box: Box) -> Box:
    """Draw a box in onto the lattice that placed corners lie on, so that rounding cannot leave it."""
    per = round(1 / LATTICE)
    low = [float(np.ceil(side * per - 1e-4) / per) for side in box[:2]]
    return low[0], low[1], box[2], box[3]


def _free_area(box: Box, solid: Sequence[Array]) -> float:
    whole = max(0.0, box[2] - box[0]) * max(0.0, box[3] - box[1])
    for part in solid:
        x, y = part[:, 0], part[:, 1]
        whole -= float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    return whole
