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
from foamworks.errors import DesignError

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
    return f'{path}:{line}: is not TOML: {what}\n  {shown}\n  a line reads: key = 12, key = "text", or [table]'


def _explain(path: Path, text: str, data: dict[str, Any], fault: ValidationError) -> str:
    # an error in one arm of a union comes with errors of the other arms: the deepest one says most
    details = fault.errors(include_url=False)
    spots = [_existing(data, detail["loc"]) for detail in details]
    lines = locate.locate(text)
    best = min(range(len(details)), key=lambda i: (locate.line_of(lines, spots[i]), -len(spots[i]), i))
    first, key = details[best], spots[best]
    if first["type"] == "missing" and isinstance(first["loc"][-1], int):
        return _message(path, text, data, key, f"at least {first['loc'][-1] + 1} entries are needed")
    if first["type"] == "missing":
        key = (*key, str(first["loc"][-1]))
        return _message(path, text, data, key, "is missing and is needed here")
    if first["type"] == "extra_forbidden":
        return _message(path, text, data, key, _unknown_key(key))
    return _message(path, text, data, key, _wording(first))


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
        value = str(detail["input"])
        choices = str(context["expected"])
        near = difflib.get_close_matches(value, re.findall(r"'([^']*)'", choices), n=1)
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


def _message(path: Path, text: str, data: dict[str, Any], key: locate.Path, message: str) -> str:
    lines = locate.locate(text)
    value: Any = data
    for part in key:
        value = value[part] if _holds(value, part) else None
    shown = ""
    if value is not None and not isinstance(value, dict | list):
        shown = f" = {_toml(value)}"
    elif isinstance(value, list) and len(str(value)) <= 60 and not any(isinstance(entry, dict) for entry in value):
        shown = f" = {value}"
    return "\n".join(f"{path}:{locate.line_of(lines, key)}: {locate.spell(key)}{shown}: {message}".split("\n")[:5])


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:77] + "..."
