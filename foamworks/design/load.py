"""Read a design file into a `Design`; every fault names the file, the line, the key, the value and what would do."""

import re
import tomllib
from collections.abc import Iterable
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from foamworks.design.files import FILE_KEYS, MAX_BYTES, may_be_beside
from foamworks.design.model import Design
from foamworks.design.reading import locate
from foamworks.design.reading.consistent import faults
from foamworks.design.reading.explain import Told, explained
from foamworks.design.reading.template import untouched
from foamworks.errors import DesignError, printable
from foamworks.units import FACTORS

# more digits than Python reads; cut to 400, the number is still beyond any range, and its key gets the blame
_LONG_NUMBER = re.compile(r"(?<![\d_])(\d(?:_?\d){399})[\d_]{3600,}")
_UNITS = sorted({unit for row in FACTORS.values() for unit in row if unit}, key=len, reverse=True)
_BARE_UNIT = re.compile(rf"[=\[,]\s*([+-]?\d[\d.]*)\s*({'|'.join(map(re.escape, _UNITS))})(?=\s*(?:[,\]}}#]|$))")
_DECIMAL_COMMA = re.compile(r"=\s*([+-]?\d+),(\d+)(?=\s*(?:[#a-zA-Z},]|$))")
_BACKSLASH = re.compile(r'"([^"]*\\[^"]*)"')
MOST_FAULTS = 5  # told in one run: more are not read


def load(path: Path) -> Design:
    """Read the design file at `path`.

    Raises DesignError: up to five faults, one a line.
    """
    text = text_of(path)
    return design_of(path, text, tables_of(path, text))


def design_of(path: Path, text: str, data: dict[str, Any]) -> Design:
    """Read the tables of a design, those of `text` or edited ones; its files stand beside `path`. Raises as `load`."""
    try:
        design = Design.model_validate(data, context={"folder": path.parent})
    except ValidationError as fault:
        raise DesignError(_told(path, text, data, explained(data, fault))) from None
    found = list(islice(faults(design), MOST_FAULTS))
    if found:
        raise DesignError(_told(path, text, data, (Told(key, message) for key, message in found)))
    return design.made_from(untouched(text, data))


def _told(path: Path, text: str, data: dict[str, Any], found: Iterable[Told]) -> str:
    """Write each fault on a line of its own, in the order of the file, up to five."""
    lines = locate.locate(text)
    placed = sorted(found, key=lambda one: locate.line_of(lines, one.key))
    told = (f"{path}:{locate.line_of(lines, one.key)}: {one.words(data)}" for one in placed)
    return "\n".join(islice(dict.fromkeys(told), MOST_FAULTS))


def named_files(path: Path) -> list[Path]:
    """Give the files that the design at `path` names, there or not; none while it is not TOML.

    A name that would not be looked for (`files.beside`) is left out.
    """
    try:
        waiting: list[Any] = [tables_of(path, text_of(path))]
    except DesignError:
        return []
    found = set()
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            names = [value[key] for key in FILE_KEYS if isinstance(value.get(key), str)]
            found |= {path.parent / name for name in names if may_be_beside(name)}
            waiting += value.values()
        elif isinstance(value, list):
            waiting += value
    return sorted(found)


def tables_of(path: Path, text: str) -> dict[str, Any]:
    """Read TOML; a fault of `text` is told as one of the file at `path`."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise DesignError(_toml_fault(path, text, str(fault))) from None
    except ValueError as fault:
        cut = _LONG_NUMBER.sub(r"\1", text)
        if cut == text:
            raise DesignError(f"{path}:1: is not TOML: {printable(str(fault))}") from None
        return tables_of(path, cut)
    except RecursionError:
        raise DesignError(f"{path}:1: tables or lists are nested too deeply to be read") from None


def text_of(path: Path) -> str:
    """Read the text of a design file, its lines ended as here."""
    try:
        if path.is_dir():
            raise DesignError(f"{path}: is a folder; name the design file in it")
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as fault:
        raise DesignError(
            f"{path}: cannot be read ({fault.strerror}); name a design file, or make one: foamworks new NAME"
        ) from None
    if len(raw) > MAX_BYTES:
        raise DesignError(f"{path}: is over 1 MiB; a design file is a few KiB of TOML text")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        raise DesignError(f"{path}:{line}: is not UTF-8 text (byte {fault.start}); save it as UTF-8") from None


def _toml_fault(path: Path, text: str, fault: str) -> str:
    match = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", fault)
    line = int(match.group(1)) if match and match.group(1) else text.count("\n") + 1
    lines = text.splitlines()
    shown = lines[line - 1].strip()[:80] if line <= len(lines) else "end of the file"
    what = re.sub(r"\s*\(at .*\)", "", fault)
    cure = _toml_cure(shown, what)
    if cure:
        return f"{path}:{line}: {printable(shown)}: {printable(cure)}"
    form = 'a line reads: key = 12, key = "text", or [table]'
    return f"{path}:{line}: is not TOML: {printable(what)}\n  {printable(shown)}\n  {form}"


def _toml_cure(shown: str, what: str) -> str:
    """Say what the line should read, by the slips that are made most; nothing for any other."""
    if what.startswith(("Cannot overwrite", "Cannot declare", "Duplicate")):
        inside = re.search(r"inline table key '(.*)'", what)
        named = "=" in shown or shown.startswith("[")
        key = inside.group(1) if inside else shown.partition("=")[0].strip() if named else "a key"
        return f"{key} is given twice; keep one"
    comma, unit, path = (pattern.search(shown) for pattern in (_DECIMAL_COMMA, _BARE_UNIT, _BACKSLASH))
    if path is not None:
        last = path.group(1).split("\\")[-1]
        return f'no backslash in quotes: put the file beside the design, and name it alone: "{last}"'
    if comma is not None:
        return f"the decimal sign is a point: {comma.group(1)}.{comma.group(2)}"
    if unit is not None:
        return f'a number with its unit stands in quotes: "{unit.group(1)} {unit.group(2)}"'
    return ""
