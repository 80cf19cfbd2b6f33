"""What is wrong with a design that is TOML, and what would do: the model's faults in the words of its user."""

import difflib
import re
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from foamworks.design.model import Design
from foamworks.design.reading import locate
from foamworks.design.reading.under import ABOVE, belongs
from foamworks.design.wording import Misfit, comma_hint, key_text, list_hint, value_text
from foamworks.errors import printable

_WORDS = {
    "string_type": "a text in quotes is needed",
    "bool_type": "true or false is needed",
    "model_type": "a table is needed",
    "tuple_type": "a list is needed, in square brackets",
    "dict_type": "a table is needed",
    "dataclass_type": "a file's name is needed, in quotes",
}


@dataclass(frozen=True)
class Told:
    """One fault: the path of the key to blame, and what would do.

    `tables`: a table's content is repeated too; `about`: the kind of fault, where it matters to the others; `astray`:
    it is a key of the whole design, in another table's lines.
    """

    key: locate.Path
    message: str
    tables: bool = True
    about: str = ""
    astray: bool = False

    def stands(self, data: dict[str, Any]) -> bool:
        """Tell whether it is about a value of its own, not about what is missing beside it."""
        value = _at(data, self.key)
        return value is not None and (not self.tables or not isinstance(value, dict))

    def words(self, data: dict[str, Any], text: str) -> str:
        """Write key, value and message on one line; what is astray with the line of `text` under which it belongs."""
        value = _at(data, self.key)
        if self.astray:
            key, value = _dotted(str(self.key[-1]), value)
            return printable(f"{key} = {value_text(value)}: {belongs(text, key, value_text(value))}")
        known = value is not None and (self.tables or not isinstance(value, dict))
        shown = f" = {value_text(value)}" if known else ""
        return f"{f'{locate.spell(self.key)}{shown}: ' if self.key else ''}{printable(self.message)}"


def explained(data: dict[str, Any], fault: ValidationError) -> list[Told]:
    """Give all faults that a validation found, one for each key.

    An error in one arm of a union comes with errors of the other arms: the deepest one says most.
    """
    details = fault.errors(include_url=False)
    found = sorted(((_spot(data, detail), detail) for detail in details), key=lambda pair: -len(pair[0]))
    told: dict[locate.Path, Told] = {}
    for spot, detail in found:
        one = _told(spot, detail)
        lacks_entry = detail["type"] == "missing" and one.key != spot
        if one.key in told or (not lacks_entry and any(key[: len(spot)] == spot for key in told)):
            continue
        told[one.key] = one
    misspelt = _misspelt(list(told.values()))
    return [one for one in told.values() if one.key not in misspelt]


def _misspelt(found: list[Told]) -> set[locate.Path]:
    """Give the keys that are missing because they stand there misspelt: the misspelt one is told."""
    lacking, unknown = ([one.key for one in found if one.about == what] for what in ("missing", "extra_forbidden"))
    return {
        key
        for wrong in unknown
        for key in lacking
        if key[:-1] == wrong[:-1] and difflib.get_close_matches(str(wrong[-1]), [str(key[-1])], n=1, cutoff=0.5)
    }


def _dotted(key: str, value: Any) -> tuple[str, Any]:
    """Give a dotted key and its value as they were typed.

    >>> _dotted("airframe", {"fan": {"z": 3}})
    ('airframe.fan.z', 3)
    """
    while isinstance(value, dict) and len(value) == 1:
        [(inner, value)] = value.items()
        key = f"{key}.{key_text(inner)}"
    return key, value


def _told(spot: locate.Path, detail: ErrorDetails) -> Told:
    if detail["type"] == "missing":
        lacks = detail["loc"][-1]
        if isinstance(lacks, int):
            return Told(spot, f"at least {lacks + 1} entries are needed")
        return Told((*spot, lacks), "is missing and is needed here", about="missing")
    if detail["type"] == "extra_forbidden":
        own = spot[-1] in Design.model_fields and isinstance(detail["input"], dict)
        astray = len(spot) > 1 and (own or spot[-1] in ABOVE)
        return Told(spot, _unknown_key(spot), tables=False, about="extra_forbidden", astray=astray)
    if spot and isinstance(spot[-1], str) and detail["type"] in {"tuple_type", "model_type"}:
        return _other_kind(spot, detail)
    return Told(spot, _wording(detail))


def _other_kind(key: locate.Path, detail: ErrorDetails) -> Told:
    """Say how a table or a list of tables is written, where the other of the two stands, or a bare value."""
    if detail["type"] == "model_type":
        if isinstance(detail["input"], list) and all(isinstance(entry, dict) for entry in detail["input"]):
            return Told(key, f"is one table: it begins with [{locate.spell(key)}], in single brackets")
        return Told(key, f"a table is needed, with some of: {', '.join(sorted(_fields(Design, key)))}")
    return Told(key, _listed(key) if isinstance(detail["input"], dict) else _wording(detail), tables=False)


def _listed(key: locate.Path) -> str:
    """Say how a list of tables is written, where one table stands."""
    if len(key) == 1 or key[-1] == "items":
        return f"is a list: each entry begins with [[{locate.spell(key)}]], in double brackets"
    return f"is a list: {key[-1]} = [ {{ ... }}, {{ ... }} ]"


def _spot(data: dict[str, Any], detail: ErrorDetails) -> locate.Path:
    """Give the path of the key to blame: where pydantic stands, and from there to the misfit.

    One sheet may stand for a list of one: then pydantic stands one step deeper than the file.
    """
    spot = _existing(data, detail["loc"])
    if spot and _at(data, spot) != detail["input"] == _at(data, spot[:-1]):
        spot = spot[:-1]
    error = detail.get("ctx", {}).get("error")
    return (*spot, *error.key) if isinstance(error, Misfit) else spot


def _at(data: Any, key: locate.Path) -> Any:
    """Give what stands at a path of the file; None where there is nothing."""
    for part in key:
        data = data[part] if _holds(data, part) else None
    return data


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
        wanted = list_hint(detail["input"]) if kind == "tuple_type" else ""
        return _WORDS[kind] + (f": {wanted}" if wanted else "")
    if kind in {"too_short", "too_long"}:
        word, bound = ("least", "min_length") if kind == "too_short" else ("most", "max_length")
        hint = comma_hint(detail["input"], context.get("max_length"))
        many = context.get("actual_length")
        return f"has {many} {'entry' if many == 1 else 'entries'}; at {word} {context.get(bound)} are needed{hint}"
    if kind in {"greater_than_equal", "less_than_equal"}:
        return f"must be {'at least' if 'greater' in kind else 'at most'} {context.get('ge', context.get('le'))}"
    return detail["msg"]


def _unknown_key(key: locate.Path) -> str:
    known = sorted(_fields(Design, key[:-1]))
    inner = [f"airframe.{key[0]}"] if len(key) == 1 and key[0] in _fields(Design, ("airframe",)) else []
    near = inner or difflib.get_close_matches(str(key[-1]), known, n=1, cutoff=0.5)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    return f"unknown key{hint}; here stand: {', '.join(known)}"


def _fields(model: Any, key: locate.Path) -> set[str]:
    """Name the keys known at a path of the model."""
    for part in key:
        if isinstance(part, int):
            continue
        model = _table_in(model.model_fields[part].annotation)
    return {field.alias or name for name, field in model.model_fields.items()}


def _table_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_table_in(inner) for inner in get_args(annotation))
    return next((model for model in found if model is not None), None)
