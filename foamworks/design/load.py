"""Read a design file into a `Design`; every fault names the file, the line, the key, the value and what would do."""

import re
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
from foamworks.design.reading.syntax import Slip, parsed
from foamworks.design.reading.template import untouched
from foamworks.design.reading.typed import customary
from foamworks.errors import DesignError, printable

# more digits than Python reads; cut to 400, the number is still beyond any range, and its key gets the blame
_LONG_NUMBER = re.compile(r"(?<![\d_])(\d(?:_?\d){399})[\d_]{3600,}")
MOST_FAULTS = 5  # told in one run: more are not read


def load(path: Path) -> Design:
    """Read the design file at `path`.

    Raises DesignError: up to five faults, one a line.
    """
    text = text_of(path)
    slips, kept, data = _parsed(path, text)
    if slips:
        raise DesignError(_with_slips(path, slips, kept, data))
    return design_of(path, text, data)


def design_of(path: Path, text: str, data: dict[str, Any]) -> Design:
    """Read the tables of a design, those of `text` or edited ones; its files stand beside `path`. Raises as `load`."""
    try:
        design = Design.model_validate(data, context={"folder": path.parent})
    except ValidationError as fault:
        raise DesignError(_told(path, text, data, explained(data, fault))) from None
    found = list(islice(faults(design), MOST_FAULTS))
    if found:
        raise DesignError(_told(path, text, data, (Told(key, message) for key, message in found)))
    return design.made_from(untouched(text, data), typed_in=customary(data))


def _told(path: Path, text: str, data: dict[str, Any], found: Iterable[Told], slips: Iterable[Slip] = ()) -> str:
    """Write each fault on a line of its own, in the order of the file, up to five."""
    lines = locate.locate(text)
    placed = [(locate.line_of(lines, one.key), one.words(data, text)) for one in found]
    placed += [(slip.line, slip.words()) for slip in slips]
    told = (f"{path}:{line}: {words}" for line, words in sorted(placed, key=lambda one: one[0]))
    return "\n".join(islice(dict.fromkeys(told), MOST_FAULTS))


def _with_slips(path: Path, slips: list[Slip], kept: str, data: dict[str, Any]) -> str:
    """Tell the lines that are no TOML, and of the rest what is wrong whatever they were to say."""
    try:
        Design.model_validate(data, context={"folder": path.parent})
        found = []
    except ValidationError as fault:
        unread = {slip.shown.partition("=")[0].strip() for slip in slips}
        told = (one for one in explained(data, fault) if one.stands(data))
        found = [one for one in told if unread.isdisjoint(re.findall(r"[\w-]+", one.message))]
    return _told(path, kept, data, found, slips)


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
    slips, kept, data = _parsed(path, text)
    if slips:
        raise DesignError(_told(path, kept, data, [], slips))
    return data


def _parsed(path: Path, text: str) -> tuple[list[Slip], str, dict[str, Any]]:
    """Read TOML, line by line where it is none: the slips, the text without their lines, and its tables."""
    try:
        return parsed(text, MOST_FAULTS)
    except ValueError as fault:
        cut = _LONG_NUMBER.sub(r"\1", text)
        if cut == text:
            raise DesignError(f"{path}:1: is not TOML: {printable(str(fault))}") from None
        return _parsed(path, cut)
    except RecursionError:
        raise DesignError(f"{path}:1: tables or lists are nested too deeply to be read") from None


def text_of(path: Path) -> str:
    """Read the text of a design file, its lines ended as here."""
    try:
        if path.is_dir():
            raise DesignError(f"{path}: is a folder; name the design file in it")
        if path.suffix.lower() in (".dxf", ".svg"):
            raise DesignError(f'{path}: is a drawing; name it in a design beside it: trace = "{path.name}"')
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except OSError as fault:
        whole = path.with_name(f"{path.name}.toml")
        cure = f"did you mean {whole}?" if whole.is_file() else "name a design file, or make one: foamworks new NAME"
        raise DesignError(f"{path}: cannot be read ({fault.strerror}); {cure}") from None
    if len(raw) > MAX_BYTES:
        raise DesignError(f"{path}: is over 1 MiB; a design file is a few KiB of TOML text")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        raise DesignError(f"{path}:{line}: is not UTF-8 text (byte {fault.start}); save it as UTF-8") from None
