"""The JSON Schema of the design file: what an editor needs to offer keys, defaults and limits as they are typed."""

import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any, get_args

from pydantic import BaseModel

from foamworks.design.model import Design
from foamworks.design.quantity import Quantity
from foamworks.errors import not_measured
from foamworks.units import Unit, default_unit

DIGITS = 12  # that count: beyond them stands only the noise of unit conversion


def schema() -> dict[str, Any]:
    """Give the schema: every key described, every default in the unit of a bare number."""
    data = Design.model_json_schema()
    meanings = key_meanings()
    for table in tables(Design):
        place = data if table is Design else data["$defs"][table.__name__]
        for name, field in table.model_fields.items():
            key = field.alias or name
            entry = place["properties"][key]
            entry["description"] = meanings[table.__name__][key]
            if isinstance(field.default, BaseModel):
                entry["default"] = {}  # all of its own defaults
            kind = next((data for data in field.metadata if isinstance(data, Quantity)), None)
            if kind is not None and isinstance(field.default, float):
                entry["default"] = _typed(field.default, kind)
            if not_measured(field.default):
                del entry["default"]
    return data


def key_meanings() -> dict[str, dict[str, str]]:
    """Give what each key means, by its table's class."""
    text = files("foamworks.design").joinpath("tables", "keys.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _typed(si: float, quantity: Quantity) -> float:
    """Turn a default in SI into the bare number that a file would have."""
    unit = default_unit(quantity.kind)
    return float(f"{Unit(unit)(si) if unit else si:.{DIGITS}g}")


def tables(model: type[BaseModel], seen: set[str] | None = None) -> Iterator[type[BaseModel]]:
    """Give a table and all tables in it, each once."""
    seen = set() if seen is None else seen
    if model.__name__ in seen:
        return
    seen.add(model.__name__)
    yield model
    for field in model.model_fields.values():
        for inner in _named(field.annotation):
            yield from tables(inner, seen)


def _named(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _named(inner)
