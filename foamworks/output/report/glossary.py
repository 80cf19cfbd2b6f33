"""The trade's words, each explained in one plain sentence, four of them with a small drawing.

`explained` puts a word's sentence where the word stands, for whoever points at it or has the page read aloud.
"""

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup, escape


@dataclass(frozen=True)
class Term:
    """A word, what it means, and a drawing in a frame of 200 by 80; empty without one."""

    word: str
    meaning: str
    drawing: str = ""


with Path(__file__).with_name("glossary.toml").open("rb") as _file:
    TERMS = tuple(Term(**row) for row in tomllib.load(_file)["terms"])
_PATTERN = re.compile("|".join(rf"\b{re.escape(term.word)}" for term in TERMS), re.IGNORECASE)
_MEANING = {term.word.lower(): term.meaning for term in TERMS}
DRAWN = {term.word: term for term in TERMS if term.drawing}
_UNSEEN = re.compile(r"<(script|style|svg)\b.*?</\1>|<[^>]*>", re.DOTALL)  # of a page: all but its words


def used(page: str) -> list[Term]:
    """Give the terms whose word stands on a page, in their order."""
    found = {word.lower() for word in _PATTERN.findall(_UNSEEN.sub(" ", page))}
    return [term for term in TERMS if term.word.lower() in found]


def explained(text: str) -> Markup:
    """Mark the first of the trade's words in a text with its meaning, for a pointer, a finger or the keyboard.

    >>> explained("tail <b>")
    Markup('tail &lt;b&gt;')
    """
    found = _PATTERN.search(text)
    if found is None:
        return escape(text)
    word = found.group(0)
    marked = Markup('<abbr tabindex="0" title="{}">{}</abbr>').format(_MEANING[word.lower()], word)
    return escape(text[: found.start()]) + marked + escape(text[found.end() :])


def drawing(term: Term) -> Markup:
    """Give a term's drawing as SVG."""
    head = Markup('<svg class="g" viewBox="0 0 200 80" role="img"><title>{}, drawn</title>').format(term.word)
    return head + Markup(term.drawing.replace("\n", "")) + Markup("</svg>")
