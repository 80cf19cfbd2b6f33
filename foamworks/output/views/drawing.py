"""Elements of a hand-written SVG, the width of a text, and labels spread so that none covers another.

Everything is in the drawing's own units, y down; the numbers are rounded so that the same picture is the same text.
"""

from collections.abc import Iterable, Sequence
from html import escape
from itertools import pairwise
from pathlib import Path

Pt = tuple[float, float]
Box = tuple[float, float, float, float]  # left, lower, right, upper edge; on the page the upper one first
# width of a letter over the font's size: an upper bound for the plain fonts of the usual systems (from memory)
NARROW, USUAL, BROAD, FULL = 0.36, 0.61, 0.86, 1.0
NARROW_LETTERS, BROAD_LETTERS = frozenset("iljtfrI.,:;'|!()[]/- "), frozenset("mwMW%@")
FULL_FROM = 0x2E80  # first of the scripts whose letters are as wide as they are high


def num(value: float, decimals: int = 2) -> str:
    """Write a coordinate without an exponent, a trailing nought or a negative zero.

    >>> num(12.50), num(-0.001)
    ('12.5', '0')
    """
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(tag: str, *inside: str, **attributes: str | float | None) -> str:
    """Write an element; `class_` is class, other underscores become dashes, None is left out. `inside` is markup."""
    words = [tag]
    for name, value in attributes.items():
        if value is not None:
            text = value if isinstance(value, str) else num(value)
            words.append(f'{name.rstrip("_").replace("_", "-")}="{escape(text)}"')
    body = "".join(inside)
    return f"<{' '.join(words)}>{body}</{tag}>" if body else f"<{' '.join(words)}/>"


def picture(*pieces: str, box: Sequence[float], style: str, title: str, class_: str, scaled: bool = False) -> str:
    """Make a picture of its pieces; `box`: left, upper edge, width, height; `scaled`: shown as large."""
    width, height = box[2:] if scaled else (None, None)
    return element(
        "svg",
        element("title", escape(title, quote=False)),
        element("style", style),
        *pieces,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(map(num, box)),
        width=width,
        height=height,
        class_=class_,
        role="img",
    )


def css(name: str) -> str:
    """Give a picture's style, as it stands in this folder."""
    return Path(__file__).with_name(f"{name}.css").read_text(encoding="utf-8").replace("\n", "")


def bounds(points: Iterable[Pt]) -> Box:
    """Give the box round points."""
    us, vs = zip(*points, strict=True)
    return min(us), min(vs), max(us), max(vs)


def dot(middle: Pt, radius: float, style: str) -> str:
    """Draw a circle."""
    return element("circle", cx=middle[0], cy=middle[1], r=radius, class_=style)


def line(start: Pt, end: Pt, style: str) -> str:
    """Draw a straight line."""
    return element("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], class_=style)


def rings(shapes: Iterable[Sequence[Pt]], style: str, title: str = "") -> str:
    """Draw closed rings as one path; the title is what a pointer over it shows."""
    moves = ["M" + "L".join(f"{num(x)},{num(y)}" for x, y in ring) + "Z" for ring in shapes]
    inside = (element("title", escape(title)),) if title else ()
    return element("path", *inside, d="".join(moves), class_=style) if moves else ""


def text(at: Pt, words: str, size: float, *, anchor: str = "start", style: str = "ow-text") -> str:
    """Write a text on its base line."""
    return element("text", escape(words), x=at[0], y=at[1], font_size=size, text_anchor=anchor, class_=style)


def text_width(words: str, size: float) -> float:
    """Give the room that a text takes at most.

    >>> text_width("mm", 10.0)
    17.2
    """
    return round(size * sum(_letter(letter) for letter in words), 6)


def _letter(letter: str) -> float:
    if ord(letter) >= FULL_FROM:
        return FULL
    if letter in NARROW_LETTERS:
        return NARROW
    return BROAD if letter in BROAD_LETTERS else USUAL if letter.islower() or letter.isdigit() else 0.78


def spread(wanted: Sequence[float], widths: Sequence[float], gap: float) -> list[float]:
    """Move the middles of labels in a row, given in rising order, as little as it takes that none touches the next.

    Neighbours that would touch are joined in a block that sits where its labels would like it best (least squares).

    >>> spread([0.0, 1.0, 50.0], [10.0, 10.0, 10.0], 2.0)
    [-5.5, 6.5, 50.0]
    """
    offsets = [0.0]
    for before, after in pairwise(widths):
        offsets.append(offsets[-1] + (before + after) / 2 + gap)
    blocks: list[tuple[float, int]] = []  # (mean of wanted - offset, how many)
    for place, offset in zip(wanted, offsets, strict=False):
        mean, count = place - offset, 1
        while blocks and blocks[-1][0] > mean:
            other, many = blocks.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        blocks.append((mean, count))
    starts = [mean for mean, count in blocks for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=False)]
