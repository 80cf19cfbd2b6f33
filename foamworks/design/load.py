"""Read a design file into a `Design`; every fault names the file, the line, the key, the value and what would do."""

import difflib
import re
import tomllib
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from foamworks.design import locate
from foamworks.design.consistent import first_fault
from foamworks.design.files import FILE_KEYS, MAX_BYTES, may_be_beside
from foamworks.design.model import Design
from foamworks.design.wording import Misfit, value_text
from foamworks.errors import DesignError, printable
from foamworks.units import FACTORS

# more digits than Python reads; cut to 400, the number is still beyond any range, and its key gets the blame
_LONG_NUMBER = re.compile(r"(?<![\d_])(\d(?:_?\d){399})[\d_]{3600,}")
_UNITS = sorted({unit for row in FACTORS.values() for unit in row if unit}, key=len, reverse=True)
_BARE_UNIT = re.compile(rf"[=\[,]\s*([+-]?\d[\d.]*)\s*({'|'.join(map(re.escape, _UNITS))})(?=\s*(?:[,\]}}#]|$))")
_DECIMAL_COMMA = re.compile(r"=\s*([+-]?\d+),(\d+)(?=\s*(?:[#a-zA-Z}]|$))")
_WORDS = {
    "string_type": "a text in quotes is needed",
    "bool_type": "true or false is needed",
    "model_type": "a table is needed",
    "tuple_type": "a list is needed",
    "dict_type": "a table is needed",
    "dataclass_type": "a file's name is needed, in quotes",
}


def load(path: Path) -> Design:
    """Read the design file at `path`.

    Raises DesignError, one message of at most five lines.
    """
    text = _read(path)
    data = _parse(path, text)
    try:
        design = Design.model_validate(data, context={"folder": path.parent})
    except ValidationError as fault:
        raise DesignError(_explain(path, text, data, fault)) from None
    found = first_fault(design)
    if found is not None:
        key, message = found
        raise DesignError(_message(path, text, data, key, message))
    return design


def named_files(path: Path) -> list[Path]:
    """Give the files that the design at `path` names, there or not; none while it is not TOML.

    A name that would not be looked for (`files.beside`) is left out.
    """
    try:
        waiting: list[Any] = [_parse(path, _read(path))]
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


def _parse(path: Path, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise DesignError(_toml_fault(path, text, str(fault))) from None
    except ValueError as fault:
        cut = _LONG_NUMBER.sub(r"\1", text)
        if cut == text:
            raise DesignError(f"{path}:1: is not TOML: {printable(str(fault))}") from None
        return _parse(path, cut)
    except RecursionError:
        raise DesignError(f"{path}:1: tables or lists are nested too deeply to be read") from None


def _read(path: Path) -> str:
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
    return (
        f"{path}:{line}: is not TOML: {printable(what)}\n  {printable(shown)}\n  {printable(_toml_cure(shown, what))}"
    )


def _toml_cure(shown: str, what: str) -> str:
    """Say what the line should read, by the slips that are made most."""
    if what.startswith(("Cannot overwrite", "Cannot declare", "Duplicate")):
        inside = re.search(r"inline table key '(.*)'", what)
        named = "=" in shown or shown.startswith("[")
        key = inside.group(1) if inside else shown.partition("=")[0].strip() if named else "a key"
        return f"{key} is given twice; keep one"
    comma, unit = _DECIMAL_COMMA.search(shown), _BARE_UNIT.search(shown)
    if comma is not None:
        return f"the decimal sign is a point: {comma.group(1)}.{comma.group(2)}"
    if unit is not None:
        return f'a number with its unit stands in quotes: "{unit.group(1)} {unit.group(2)}"'
    return 'a line reads: key = 12, key = "text", or [table]'


def _explain(path: Path, text: str, data: dict[str, Any], fault: ValidationError) -> str:
    # an error in one arm of a union comes with errors of the other arms: the deepest one says most
    details = fault.errors(include_url=False)
    spots = [_spot(data, detail) for detail in details]
    lines = locate.locate(text)
    best = min(range(len(details)), key=lambda i: (locate.line_of(lines, spots[i]), -len(spots[i]), i))
    first, key = details[best], spots[best]
    if first["type"] == "missing" and isinstance(first["loc"][-1], int):
        return _message(path, text, data, key, f"at least {first['loc'][-1] + 1} entries are needed")
    if first["type"] == "missing":
        key = (*key, str(first["loc"][-1]))
        return _message(path, text, data, key, "is missing and is needed here")
    if first["type"] == "extra_forbidden":
        return _message(path, text, data, key, _unknown_key(key), tables=False)
    return _message(path, text, data, key, _wording(first))


def _spot(data: dict[str, Any], detail: ErrorDetails) -> locate.Path:
    """Give the path of the key to blame: where pydantic stands, and from there to the misfit."""
    spot = _existing(data, detail["loc"])
    error = detail.get("ctx", {}).get("error")
    return (*spot, *error.key) if isinstance(error, Misfit) else spot


def _existing(data: Any, loc: tuple[int | str, ...]) -> locate.Path:
    """Keep of a fault's path what the file has; the rest are pydantic's own branch names."""
    spot: list[str | int] = []
    for part in loc:
        if _holds(data, part):
            data = data[part]
            spot.append(part)
    return tuple(spot)


def _holds(data: Any, part: int | str) -> bool:
    if isinstance(data, list):
        return isinstance(part, int) and part < len(data)
    return isinstance(data, dict) and part in data


def _wording(detail: ErrorDetails) -> str:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "value_error":
        return str(context["error"])
    if kind == "literal_error":
        value, choices = detail["input"], str(context["expected"])
        known = re.findall(r"'([^']*)'", choices)
        near = difflib.get_close_matches(value, known, n=1) if isinstance(value, str) else []
        return f"must be {choices}" + (f' (did you mean "{near[0]}"?)' if near else "")
    if kind in _WORDS:
        return _WORDS[kind]
    if kind in {"too_short", "too_long"}:
        word, bound = ("least", "min_length") if kind == "too_short" else ("most", "max_length")
        return f"has {context.get('actual_length')} entries; at {word} {context.get(bound)} are needed"
    if kind in {"greater_than_equal", "less_than_equal"}:
        return f"must be {'at least' if 'greater' in kind else 'at most'} {context.get('ge', context.get('le'))}"
    return detail["msg"]


def _unknown_key(key: locate.Path) -> str:
    known = sorted(_fields(Design, key[:-1]))
    near = difflib.get_close_matches(str(key[-1]), known, n=1, cutoff=0.5)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    return f"unknown key{hint}; here stand: {', '.join(known)}"


def _fields(model: Any, key: locate.Path) -> set[str]:
    """Name the keys known at a path of the model."""
    for part in key:
        if isinstance(part, int):
            continue
        model = _table_in(model.model_fields[part].annotation)
    return set(model.model_fields)


def _table_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_table_in(inner) for inner in get_args(annotation))
    return next((model for model in found if model is not None), None)


def _message(
    path: Path, text: str, data: dict[str, Any], key: locate.Path, message: str, *, tables: bool = True
) -> str:
    """Write a fault on one line; `tables`: also the value of a key that holds a table."""
    line = locate.line_of(locate.locate(text), key)
    value: Any = data
    for part in key:
        value = value[part] if _holds(value, part) else None
    shown = f" = {value_text(value)}" if value is not None and (tables or not isinstance(value, dict)) else ""
    return f"{path}:{line}: {f'{locate.spell(key)}{shown}: ' if key else ''}{printable(message)}"
