"""Cards on paper: blocks of text, boxes to tick, lines to write on and tables, flowed onto cards, two on a page that
A4 and Letter both take at 100 %.

What does not fit on a card goes on to a second one of the same title: nothing is clipped, no letter is under 7 pt.
Millimetres; a card's own origin is its lower left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foamworks.output.pen import MM, SMALLEST, Pen, shortened, text_width, wrapped

PAGE = (279.4, 210.0)  # as wide as Letter and as high as A4, both on their side: printed at 100 % on either
CARD = (139.7, 210.0)  # two cards side by side
EDGE = 8.0  # mm, kept clear round a card
INNER = CARD[0] - 2 * EDGE  # mm between a card's edges
BODY, HEAD, TITLE = 8.5, 9.5, 14.0  # pt
LEAD = 1.32  # a line's height over its letters
TICK = 3.0  # mm, side of a box to tick
WRITE = 6.2  # mm, height of a line to write on
ROW = 5.2  # mm, height of a table's row: room for handwriting
ABOVE_HEAD = 1.3  # mm of air over a head
ABOVE_FOOT = 4.0  # mm of air over the cautions
BESIDE = 1.5  # mm of a table's cell that stay free beside its words
AFTER_TABLE = 1.5  # mm of air under a table
WORTH = 40.0  # mm that a last card holds at least where another runs on to it
KEPT = 3  # rows of a table that stay together at least
Kind = Literal["text", "head", "tick", "write", "table", "sketch"]


@dataclass(frozen=True)
class Block:
    """One piece of a card: its text; for a line to write on, what goes there (`heads`); a table's heads and rows.

    `widths`: each column's share of the card's width.
    """

    kind: Kind
    words: str = ""
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    widths: tuple[float, ...] = ()


@dataclass(frozen=True)
class Card:
    """A card: title, a line under it, blocks, the cautions at its foot, which of how many it is."""

    title: str
    under: str
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...] = ()
    count: str = ""


def table(heads: tuple[str, ...], rows: Sequence[tuple[str, ...]], widths: tuple[float, ...]) -> Block:
    """Make a table: heads, rows, and how wide each column is beside the others."""
    return Block("table", heads=heads, rows=tuple(rows), widths=widths)


def line_height(size: float) -> float:
    """Give the height of a line [mm] of letters of `size` points."""
    return size * LEAD / MM


def height(block: Block) -> float:
    """Give the height that a block takes [mm]."""
    if block.kind == "table":
        return ROW * (len(block.rows) + 1) + AFTER_TABLE
    if block.kind == "write":
        return WRITE
    if block.kind == "sketch":
        return SKETCH_HEIGHT
    size = HEAD if block.kind == "head" else BODY
    room = INNER - (TICK + 2.0 if block.kind == "tick" else 0.0)
    above = ABOVE_HEAD if block.kind == "head" else 0.0
    return above + len(wrapped(block.words, size, room)) * line_height(size) + 0.9


SKETCH_HEIGHT = 34.0  # mm


def flowed(card: Card) -> list[Card]:
    """Break a card into as many as its blocks need; a head never stands alone at the end, a long table is broken."""
    room = CARD[1] - 2 * EDGE - _top_height(card) - _foot_height(card)
    parts: list[list[Block]] = [[]]
    left, queue = room, list(card.blocks)
    while queue:
        block = queue.pop(0)
        rows = int((left - AFTER_TABLE) / ROW) - 1
        if block.kind == "table" and height(block) > left and (rows >= KEPT or not parts[-1]):
            block, rest = _cut(block, max(rows, 1))
            queue[:0] = rest
        need = height(block) + (height(_cut(queue[0], KEPT)[0]) if block.kind == "head" and queue else 0.0)
        if need > left and parts[-1]:
            parts.append([])
            left = room
            queue.insert(0, block)
            continue
        parts[-1].append(block)
        left -= height(block)
    if len(parts) < 2:
        return [card]
    _even_out(parts[-2], parts[-1], room)
    count = len(parts)
    return [replace(card, blocks=tuple(part), count=f" ({n} of {count})") for n, part in enumerate(parts, start=1)]


def _even_out(before: list[Block], last: list[Block], room: float) -> None:
    """Begin a last card of few lines with the head before it; where that is too much, with so much that it is worth it.

    room: what a card holds [mm].
    """
    head = max((place for place, block in enumerate(before) if block.kind == "head"), default=0)
    if head > 2 and sum(map(height, [*before[head:], *last])) <= room:
        last[:0], before[head:] = before[head:], []
    while len(before) > 2 and sum(map(height, last)) < WORTH and before[-1].kind != "table":
        last.insert(0, before.pop())
    while len(before) > 2 and before[-1].kind == "head":
        last.insert(0, before.pop())


def _cut(block: Block, rows: int) -> tuple[Block, list[Block]]:
    """Cut a table after so many rows; the rest has the same heads. Other blocks stay whole."""
    if block.kind != "table" or len(block.rows) <= rows:
        return block, []
    return replace(block, rows=block.rows[:rows]), [replace(block, rows=block.rows[rows:])]


def _top_height(card: Card) -> float:
    under = len(wrapped(card.under, BODY, INNER)) * line_height(BODY)
    return line_height(TITLE) + under + 2.5


def _foot_height(card: Card) -> float:
    if not card.cautions:
        return 0.0
    return ABOVE_FOOT + len(wrapped(" ".join(card.cautions), SMALLEST, INNER)) * line_height(SMALLEST)


def write_pages(cards: Sequence[Card], title: str) -> bytes:
    """Draw the cards two to a page with a cutting line between; give the PDF's bytes."""
    pen = Pen(title)
    parts = [part for card in cards for part in flowed(card)]
    for start in range(0, len(parts), 2):
        pen.page(*PAGE, f"cards {start // 2 + 1}")
        pen.style("frame")
        pen.line((CARD[0], 0.0), (CARD[0], CARD[1]))
        pen.text((CARD[0] + 1.0, CARD[1] / 2), "cut here", SMALLEST, angle=90)
        for place, card in enumerate(parts[start : start + 2]):
            _draw(pen, card, place * CARD[0] + EDGE, title)
    return pen.finish()


def _draw(pen: Pen, card: Card, left: float, name: str) -> None:
    y = CARD[1] - EDGE
    y -= line_height(TITLE) * 0.8
    heading = shortened(card.title, TITLE * 1.1, INNER - text_width(card.count, TITLE)) + card.count
    pen.text((left, y), heading, TITLE, bold=True)
    y -= 0.2 * line_height(TITLE)
    y = pen.paragraph((left, y), card.under, BODY, room=INNER, step=line_height(BODY)) - 1.8
    pen.style("bar")
    pen.line((left, y), (left + INNER, y))
    y -= 0.7
    for block in card.blocks:
        _DRAWN[block.kind](pen, block, left, y)
        y -= height(block)
    _foot(pen, card, left)
    pen.text((left, 3.5), shortened(name, SMALLEST, INNER), SMALLEST)


def _foot(pen: Pen, card: Card, left: float) -> None:
    if not card.cautions:
        return
    y = EDGE + _foot_height(card) - ABOVE_FOOT
    pen.style("bar")
    pen.line((left, y + 1.5), (left + INNER, y + 1.5))
    pen.paragraph((left, y + 0.8), " ".join(card.cautions), room=INNER, step=line_height(SMALLEST))


def _text(pen: Pen, block: Block, left: float, y: float) -> None:
    bold = block.kind == "head"
    size, above = (HEAD, ABOVE_HEAD) if bold else (BODY, 0.0)
    top = (left, y - above + 0.8)
    pen.paragraph(top, block.words, size, room=INNER, step=line_height(size), bold=bold)


def _tick(pen: Pen, block: Block, left: float, y: float) -> None:
    pen.style("bar")
    pen.box((left, y - line_height(BODY) + 0.2), TICK, TICK)
    beside = TICK + 2.0
    top = (left + beside, y + 0.8)
    pen.paragraph(top, block.words, BODY, room=INNER - beside, step=line_height(BODY))


def _write(pen: Pen, block: Block, left: float, y: float) -> None:
    each, base = INNER / len(block.heads), y - WRITE + 1.2
    for count, prompt in enumerate(block.heads):
        start = left + count * each
        words = shortened(prompt, BODY, 0.8 * each)
        pen.text((start, base), words, BODY)
        pen.style("lead")
        pen.line((start + text_width(words, BODY) + 2.0, base - 0.3), (start + each - 3.0, base - 0.3))


def _table(pen: Pen, block: Block, left: float, y: float) -> None:
    total = sum(block.widths)
    widths = [INNER * share / total for share in block.widths]
    for count, row in enumerate((block.heads, *block.rows)):
        x, base = left, y - ROW * (count + 1)
        for words, width in zip(row, widths, strict=True):
            fitting = shortened(words, BODY * (1.08 if count == 0 else 1.0), width - BESIDE)
            pen.text((x + 1.0, base + 1.5), fitting, BODY, bold=count == 0)
            x += width
        pen.style("bar" if count == 0 else "lead")
        pen.line((left, base), (left + INNER, base))
    pen.style("lead")
    x = left
    for width in widths[:-1]:
        x += width
        pen.line((x, y - 0.4), (x, y - ROW * (len(block.rows) + 1)))


def _sketch(pen: Pen, block: Block, left: float, y: float) -> None:
    """Draw how the mean chord is found with a ruler: each chord lengthened by the other, their ends crossed."""
    root, tip, span, sweep = 14.0, 7.0, 46.0, 5.0
    x, low = left + 16.0, y - SKETCH_HEIGHT + 6.0 + tip

    def at(out: float, aft: float) -> tuple[float, float]:
        return x + out, low + root - aft

    pen.style("cut")
    pen.polyline([at(0, 0), at(span, sweep), at(span, sweep + tip), at(0, root)], closed=True)
    pen.style("mark")
    pen.line(at(0, -tip), at(0, root))
    pen.line(at(span, sweep), at(span, sweep + tip + root))
    pen.style("lead")
    pen.line(at(0, -tip), at(span, sweep + tip + root))
    pen.line(at(0, root / 2), at(span, sweep + tip / 2))
    share = (root / 2 + tip) / (1.5 * (root + tip))
    middle = span * share
    lead = sweep * share
    chord = root + (tip - root) * share
    pen.style("bar")
    pen.line(at(middle, lead), at(middle, lead + chord))
    pen.text(at(middle + 1.5, lead - 2.5), "mean chord", SMALLEST)
    pen.text((x - 15.0, low + root / 2), "root", SMALLEST)
    pen.text(at(span + 2.0, sweep + tip / 2), "tip", SMALLEST)
    pen.paragraph((left + 82.0, y - 4.0), block.words, room=INNER - 82.0, step=line_height(SMALLEST))


_DRAWN = {"text": _text, "head": _text, "tick": _tick, "write": _write, "table": _table, "sketch": _sketch}
