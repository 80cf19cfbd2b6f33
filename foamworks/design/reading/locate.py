"""In which line of a TOML text does a key stand? The standard reader does not say; a fault must.

The text has been accepted by `tomllib` before, so this walk needs no faults of its own: it follows keys, tables,
arrays and inline tables and notes the line of each. A path is a tuple of keys and indices: ("motors", 1, "mass").
"""

import bisect
import re

from foamworks.design.wording import key_text

Path = tuple[str | int, ...]
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SCALAR = re.compile(r"[^,\]\}\n#]+")


class _Walk:
    """One pass over the text; `lines` maps each path to the line it is first named in (from 1)."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self.ends = [match.start() for match in re.finditer("\n", text)]

    def line(self) -> int:
        return bisect.bisect_left(self.ends, self.at) + 1

    def skip(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def peek(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)

    def string(self) -> str:
        for quote in ('"""', "'''", '"', "'"):
            if self.peek(quote):
                break
        start = self.at = self.at + len(quote)
        while not self.peek(quote):
            self.at += 2 if quote[0] == '"' and self.peek("\\") else 1
        body = self.text[start : self.at]
        self.at += len(quote)
        while len(quote) == 3 and self.peek(quote[0]):  # a multi-line string may end in up to two more quotes
            self.at += 1
        return body

    def key(self) -> Path:
        parts: list[str | int] = []
        while True:
            self.skip_blank()
            match = _BARE.match(self.text, self.at)
            if match:
                parts.append(match.group())
                self.at = match.end()
            else:
                parts.append(self.string())
            self.skip_blank()
            if not self.peek("."):
                return tuple(parts)
            self.at += 1

    def skip_blank(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in " \t":
            self.at += 1

    def resolve(self, path: Path) -> Path:
        """Put the index of the latest entry after every array of tables on the way."""
        full: Path = ()
        for part in path:
            full = (*full, part)
            if full in self.counts:
                full = (*full, self.counts[full] - 1)
        return full

    def note(self, path: Path) -> None:
        for size in range(1, len(path) + 1):
            self.lines.setdefault(path[:size], self.line())

    def pair(self, base: Path) -> None:
        start = self.at
        path = (*base, *self.key())
        end, self.at = self.at, start
        self.note(path)
        self.at = end + 1  # the equals sign
        self.skip_blank()
        self.value(path)

    def value(self, path: Path) -> None:
        if self.peek("["):
            self.array(path)
        elif self.peek("{"):
            self.table(path)
        elif self.peek('"') or self.peek("'"):
            self.string()
        else:
            match = _SCALAR.match(self.text, self.at)
            self.at = match.end() if match else self.at + 1

    def array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while True:
            self.skip()
            if self.peek("]"):
                self.at += 1
                return
            if self.peek(","):
                self.at += 1
                continue
            self.note((*path, index))
            self.value((*path, index))
            index += 1

    def table(self, path: Path) -> None:
        self.at += 1
        while True:
            self.skip()
            if self.peek("}"):
                self.at += 1
                return
            if self.peek(","):
                self.at += 1
                continue
            self.pair(path)

    def header(self) -> Path:
        many = self.peek("[[")
        self.at += 2 if many else 1
        path = self.key()
        self.at += 2 if many else 1
        if not many:
            full = self.resolve(path)
        else:
            array = (*self.resolve(path[:-1]), path[-1])
            self.counts[array] = self.counts.get(array, 0) + 1
            full = (*array, self.counts[array] - 1)
        self.note(full)
        return full

    def run(self) -> dict[Path, int]:
        base: Path = ()
        self.skip()
        while self.at < len(self.text):
            if self.peek("["):
                base = self.header()
            else:
                self.pair(base)
            self.skip()
        return self.lines


def locate(text: str) -> dict[Path, int]:
    r"""Map each key's path to its line (from 1) in a valid TOML text.

    >>> locate("a = 1\n[b]\nc = {d = 2}\n")[("b", "c", "d")]
    3
    """
    return _Walk(text).run()


def line_of(lines: dict[Path, int], path: Path) -> int:
    """Give the line of the longest known beginning of a path; 1 when nothing of it is known."""
    for size in range(len(path), 0, -1):
        if path[:size] in lines:
            return lines[path[:size]]
    return 1


def spell(path: Path) -> str:
    """Write a path as a reader would: ("motors", 1, "mass") -> "motors[2].mass" (entries are counted from 1).

    >>> spell(("motors", 1, "mass"))
    'motors[2].mass'
    """
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{key_text(part)}"
    return text.lstrip(".")
