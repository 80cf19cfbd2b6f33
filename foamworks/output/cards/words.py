"""A card's words, from its template in this folder to its blocks.

First stands the title, then what goes under it. A block begins with its mark: `##` a head, `-` a box to tick, `_` a
line to write on (a | sets two on one line), `~` words beside the sketch, `@` the name of a table; a paragraph has none.
"""

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from foamworks.output.cards.pages import Block, Card, Kind
from foamworks.output.templates import templates

if TYPE_CHECKING:
    from jinja2 import Environment

MARKS: dict[str, Kind] = {"##": "head", "-": "tick", "_": "write", "~": "sketch"}


def worded(name: str, **known: Any) -> Card:
    """Make the card of a template; a table that it names is one of the blocks in `known`, left out without a row."""
    title, under, *rest = _pieces(_cards().get_template(f"{name}.md").render(known))
    blocks = [_block(piece, known) for piece in rest]
    return Card(
        title.removeprefix("# "), under, tuple(block for block in blocks if block.kind != "table" or block.rows)
    )


@cache
def _cards() -> "Environment":
    return templates(Path(__file__).parent)


def _pieces(text: str) -> list[str]:
    """Break a text where a line is empty or begins with a mark; any other line goes on with the one before it."""
    pieces = re.split(r"\n\s*\n|\n(?=(?:##|[-_~]) |@)", text)
    return [" ".join(piece.split()) for piece in pieces if piece.strip()]


def _block(piece: str, known: dict[str, Any]) -> Block:
    mark, _, words = piece.partition(" ")
    if piece.startswith("@"):
        table: Block = known[piece[1:]]
        return table
    if mark == "_":
        return Block("write", heads=tuple(words.split("|")))
    return Block(MARKS[mark], words) if mark in MARKS else Block("text", piece)
