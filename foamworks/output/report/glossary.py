"""The trade's words, each explained in one plain sentence, four of them with a small drawing.

`explained` puts a word's sentence where the word stands, for whoever points at it or has the page read aloud.
"""

import re
from dataclasses import dataclass

from markupsafe import Markup, escape


@dataclass(frozen=True)
class Term:
    """A word, what it means, and a drawing in a frame of 200 by 80; empty without one."""

    word: str
    meaning: str
    drawing: str = ""


_WING = '<path class="g-line" d="M20 48 Q60 28 180 48 Q60 54 20 48Z"/>'
_BALANCE = '<circle class="g-dot" cx="72" cy="44" r="5"/><text x="60" y="70">balance</text>'
_NEUTRAL = '<path class="g-mark" d="M110 24V62"/><text x="104" y="18">neutral point</text>'
TERMS = (
    Term(
        "static margin",
        "How far the balance lies ahead of the neutral point, in percent of the mean chord: more is steadier, none is "
        "unstable.",
        f'{_WING}{_BALANCE}{_NEUTRAL}<path class="g-new" d="M72 56H110"/><text x="116" y="60">margin</text>',
    ),
    Term(
        "neutral point",
        "The place on the model about which a gust neither lifts nor drops the nose; the balance has to lie ahead of "
        "it.",
        f"{_WING}{_NEUTRAL}",
    ),
    Term(
        "mean chord",
        "The wing's depth from front to back, averaged over its area.",
        '<path class="g-line" d="M20 10H180L150 70H70Z" transform="rotate(0)"/><path class="g-new" d="M88 22V58"/>'
        '<text x="94" y="46">mean chord</text>',
    ),
    Term(
        "thrust arm",
        "How far the motor's line passes above or below the balance; times the thrust it turns the nose.",
        '<path class="g-mark" d="M190 14L20 34"/><circle class="g-dot" cx="80" cy="62" r="5"/>'
        '<path class="g-new" d="M80 62L77 28"/><text x="88" y="52">arm</text><text x="120" y="14">thrust</text>',
    ),
    Term("centre of gravity", "The point at which the model balances on two fingers; balance and CG are other words."),
    Term("downthrust", "The angle by which the motor's front end points down: its push passes nearer the balance."),
    Term(
        "load factor",
        "How many times its own weight the model feels: 1 g in level flight, below 0 g it is pushed down.",
    ),
    Term("dead mass", "A weight as heavy as the motor in the motor's place: it flies first, and does not burn."),
    Term(
        "gyro gain",
        "How strongly the gyro answers; too much for the speed makes the model shake: its tail wags or its wings rock.",
    ),
    Term("tail volume", "A fin's or tailplane's area times its distance, against the wing: how strongly it steadies."),
    Term("yaw stiffness", "How strongly the fins turn the nose back into the wind."),
    Term("manoeuvre margin", "The static margin in a hard pull, where the turning itself helps to steady the model."),
    Term("flutter", "A shaking of a surface that grows by itself above a certain speed and breaks it."),
    Term("Dutch roll", "A wag of the tail that comes with a rocking of the wings."),
    Term("entry height", "The height at which a motor may be lit, so that a nose that drops can still be caught."),
    Term("plume", "The hot exhaust behind the motor."),
    Term("kerf", "The width of board that a cut takes away."),
    Term("impulse", "A motor's thrust times its burning time: what its class letter stands for."),
    Term("efflux", "The speed at which the fan blows its air out."),
    Term("chuff", "A motor's start in fits: it lights, goes out and lights again, and pulls at what holds it."),
    Term("spiral", "A bank that grows by itself when nobody steers."),
)
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
    return head + Markup(term.drawing) + Markup("</svg>")
