"""Which lines of a design are no TOML, and what would do? Each is told and left out, so that the rest is read too."""

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, get_origin

from foamworks.design.model import Design
from foamworks.design.reading.under import belongs, belongs_to_entry
from foamworks.errors import printable
from foamworks.units import FACTORS

_FEET = "'′’"
SHOWN = 80  # characters of a line that a message repeats
_UNITS = sorted({unit for row in FACTORS.values() for unit in row if unit}, key=len, reverse=True)
_UNIT = "|".join(map(re.escape, _UNITS))
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")
_WORD = re.compile(r"[\w.+-]+|[\"{[]")
_STRING = re.compile(r"""\"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|#.*""")
_TRUTHS = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false", "false": "false"}
# flights[6].accepted = true, boards["foam board 5"].mass = 100: an entry as the findings name it
_INDEXED = re.compile(r"""([A-Za-z][\w.-]*)\[(?:(\d+)|["']([^"']*)["'])\]\.(.*)""")
_DOTTED = re.compile(r"([\w-]+)\.([\w.-]+)\s*=\s*(.*)")
_HEAD = re.compile(r"\[([\w.-]+)\]")
_LISTS = {
    "airframe.items",
    *(key for key, field in Design.model_fields.items() if get_origin(field.annotation) is tuple),
}
_FORM = 'a line reads: key = 12, key = "text", or [table]'


@dataclass(frozen=True)
class Slip:
    """A line (from 1) that is no TOML, as it stands, and what would do."""

    line: int
    shown: str
    message: str

    def words(self) -> str:
        """Write line and message."""
        return f"{printable(self.shown)}: {printable(self.message)}"


# What is wrong with a line, by the slips that are made most: the pattern, and what it should read.
_CURES: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...] = (
    (
        re.compile(r"^(\[+[\w.-]+\]+)\s*([\w-]+\s*=.*)$"),
        lambda m: f"{m[1]} stands on a line by itself, and below it, each on its own line, what it holds: {m[2]}",
    ),
    (
        re.compile(r'"(?:[^"]*\\)+([^"\\]*)"'),
        lambda m: f'no backslash in quotes: put the file beside the design, and name it alone: "{m[1]}"',
    ),
    (
        re.compile(r"[=\[,]\s*([+-]?\d[\d./ -]*?)\s*(\"|''|[″”'′’])(?=\s*(?:[,\]}#]|$))"),
        lambda m: f'a number with its unit stands in quotes: "{m[1]} {"ft" if m[2] in _FEET else "in"}"',
    ),
    (re.compile(r"[“”„‟«»‘’‚]+([^“”„‟«»‘’‚]*)"), lambda m: f'quotes are straight ones: "{m[1]}"'),
    (
        re.compile(r"=\s*([+-]?\d+),(\d+)(?=\s*(?:[#a-zA-Z},]|$))"),
        lambda m: f"the decimal sign is a point: {m[1]}.{m[2]}",
    ),
    (
        re.compile(rf"[=\[,]\s*([+-]?\d[\d.]*)\s*({_UNIT})(?=\s*(?:[,\]}}#]|$))"),
        lambda m: f'a number with its unit stands in quotes: "{m[1]} {m[2]}"',
    ),
    (re.compile(r"[=\[,]\s*[\u2010-\u2015\u2212]\s*(\d[\d.]*)"), lambda m: f"the minus is a hyphen: -{m[1]}"),
    (
        re.compile(r"[\u00a0\u2000-\u200d\u202f]"),
        lambda _: "holds a blank that is not the keyboard's: type the line anew",
    ),
    (re.compile(r"=\s*([+-]?)0+(\d[\d.]*)\s*(?:#.*)?$"), lambda m: f"no 0 stands before a number: {m[1]}{m[2]}"),
    (re.compile(r",\s*\}"), lambda _: "no comma stands before }"),
    (re.compile(r"=\s*[({]([^(){}=:]*)[)}]"), lambda m: f"a list stands in square brackets: [{m[1]}]"),
    (re.compile(r"=\s*\[\s*([\w.-]+\s*=[^\[\]]*?)\s*\]"), lambda m: f"a table stands in braces: {{ {m[1]} }}"),
    (
        re.compile(r"(?:^|[{,]\s*)([A-Za-z][\w.-]*)\s*:\s*([^\s,}][^,}]*?)\s*(?=[,}]|$)"),
        lambda m: f"key and value are parted by =: {m[1]} = {m[2]}",
    ),
    (re.compile(r"^(?:;|//|--|/\*|%)"), lambda _: "a remark begins with #"),
    (re.compile(r"^([\w-]+(?:\s+[\w-]+)+)\s*="), lambda m: f"a key is one word: {'_'.join(m[1].split())}"),
    (
        re.compile(r"=\s*(?:null|none|nil|n/a|todo|tbd|[?.-]+)?\s*(?:#.*)?$", re.IGNORECASE),
        lambda _: "has no value; give one, or take the line out",
    ),
    (
        re.compile(r"^[\w.-]+\s*=\s*[^\w\"'\[{+.-]*\s*([+-]?\d+(?:\.\d+)?)[^\"'\[\]{}=#]*(?:#.*)?$"),
        lambda m: f"a number stands alone: {m[1]}; words go behind a #",
    ),
    (
        re.compile(r"=\s*([^\W\d]\w*)\s*(?:#.*)?$"),
        lambda m: (
            f"must be true or false, in small letters: {_TRUTHS[m[1].lower()]}"
            if m[1].lower() in _TRUTHS
            else f'a text stands in quotes: "{m[1]}"'
        ),
    ),
    (re.compile(r"=\s*([^\W\d\[][^\"'\[\]{}=#]*?)\s*(?:#.*)?$"), lambda m: f'a text stands in quotes: "{m[1]}"'),
)


def parsed(text: str, most: int) -> tuple[list[Slip], str, dict[str, Any]]:
    """Read a text: up to `most` slips, the text without their lines, and its tables; none where it cannot be read.

    Raises ValueError or RecursionError for what is no slip of a line.
    """
    slips: list[Slip] = []
    while True:
        try:
            return slips, text, tomllib.loads(text)
        except tomllib.TOMLDecodeError as fault:
            slip = _slip(text, str(fault))
        lines = text.split("\n")
        slips.append(slip)
        blamed = lines[slip.line - 1].strip() if slip.line <= len(lines) else ""
        lost = blamed.startswith("[") or _unclosed(blamed) is not None or not re.search("[=:]", blamed)
        if len(slips) == most or lost:
            return slips, "", {}  # without a table's name or a list's end nobody knows what the rest belongs to
        lines[slip.line - 1] = ""
        text = "\n".join(lines)


def _slip(text: str, fault: str) -> Slip:
    """Find the line to blame for a fault, and what it should read."""
    lines, place = text.split("\n"), _PLACE.search(fault)
    line = int(place[1]) if place and place[1] else len(lines)
    what = _PLACE.sub("", fault)
    if what == """Expected "'\"""":  # of a text that begins with one and has no end anywhere
        line = next(n for n, one in enumerate(lines, start=1) if "'" in _STRING.sub("", one))
    astray = _astray(lines, line, what)
    if astray:
        return astray
    begun = _unclosed("\n".join(lines[:line]))
    if what.startswith("Unclosed") and begun:
        bracket = {"[": "]", "{": "}"}[begun[1]]
        return Slip(begun[0], lines[begun[0] - 1].strip()[:SHOWN], f"what begins here has no end: {bracket} is missing")
    shown = lines[line - 1].strip()[:SHOWN] if line <= len(lines) else ""
    bare = _STRING.sub("", lines[line - 1]) if line <= len(lines) else ""
    if what.startswith("Invalid initial") and bare.count("{") > bare.count("}"):
        return Slip(line, shown, "what begins here has no end: } is missing")
    cure = _cure(lines[line - 1].strip() if shown else "", what)
    if not cure and what.startswith("Unclosed") and place and place[2]:
        at = _WORD.match(lines[line - 1][int(place[2]) - 1 :])
        cure = f"a comma is missing before {at[0]}" if at else "its entries are parted by commas"
    return Slip(line, shown or "end of the file", cure or f"is not TOML: {what}; {_FORM}")


def _astray(lines: list[str], line: int, what: str) -> Slip | None:
    """Find a line that names its table or its entry itself, and say where it belongs; None where that is not it."""
    shown, text = lines[line - 1].strip() if line <= len(lines) else "", "\n".join(lines)
    indexed, head = _INDEXED.match(shown), _HEAD.match(shown)
    if indexed:
        return Slip(line, shown[:SHOWN], belongs_to_entry(text, indexed[1], indexed[2] or indexed[3], indexed[4]))
    dotted = _DOTTED.match(shown)
    if dotted and what.startswith(("Cannot mutate", "Cannot redefine")):
        table = re.compile(rf"{re.escape(dotted[1])}\s*=")
        stands = max((n for n, one in enumerate(lines[:line], start=1) if table.match(one.strip())), default=0)
        place = f"in line {stands}" if stands else "in a table of its own"
        message = f"{dotted[1]} stands {place} already: change its {dotted[2]} there to {dotted[3]}"
        return Slip(line, shown[:SHOWN], message)
    entry = re.match(r"\[+([\w.-]+)\]+", shown)
    if entry and entry[1] in _LISTS and what.startswith(("Cannot declare", "Cannot overwrite")):
        single = next(n for n, one in enumerate(lines, start=1) if one.strip().startswith(f"[{entry[1]}]"))
        return Slip(single, f"[{entry[1]}]", f"is a list: each entry begins with [[{entry[1]}]], in double brackets")
    if not head or not what.startswith("Cannot declare"):
        return None
    above = re.compile(rf"({re.escape(head[1])}\.[\w.-]+)\s*=\s*(.*)")  # typed above its table's line
    found = next(((n, key) for n, one in enumerate(lines, start=1) if (key := above.match(one.strip()))), None)
    if not found:
        return None
    return Slip(found[0], found[1][0][:SHOWN], belongs(text, found[1][1], found[1][2]))


def _cure(shown: str, what: str) -> str:
    joined = re.match(r"(\[+\w[\w-]*)[\s/\\:,]+(\w[\w-]*\]+)$", shown)
    if joined:
        return f"the words of a table's name are joined by a point: {joined[1]}.{joined[2]}"
    if what in {"Illegal character '\\n'", "Found invalid character '\\n'", """Expected "'\""""}:
        return "the text in quotes has no end: its second quote is missing"
    if what.startswith(("Cannot overwrite", "Cannot declare", "Duplicate")):
        inside = re.search(r"inline table key '(.*)'", what)
        named = "=" in shown or shown.startswith("[")
        key = inside[1] if inside else shown.partition("=")[0].strip() if named else "a key"
        return f"{key} is given twice; keep one"
    found = ((pattern.search(shown), words) for pattern, words in _CURES)
    return next((words(match) for match, words in found if match), "")


def _unclosed(text: str) -> tuple[int, str] | None:
    """Give the line and the kind of the last bracket that a text leaves open."""
    begun: list[tuple[int, str]] = []
    for number, line in enumerate(text.split("\n"), start=1):
        for mark in re.findall(r"[\[\]{}]", _STRING.sub("", line)):
            if mark in "[{":
                begun.append((number, mark))
            elif begun:
                begun.pop()
    return begun[-1] if begun else None
