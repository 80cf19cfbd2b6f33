"""The schema speaks as the file does: a default that an editor fills in is the default."""

import json
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.design.reading.schema import key_meanings, schema, tables

SCHEMA = schema()


def named(table: type[BaseModel]) -> list[str]:
    return [field.alias or name for name, field in table.model_fields.items()]


KEYS = [(table.__name__, key) for table in tables(Design) for key in named(table)]


def place(table: str, key: str) -> dict[str, Any]:
    properties: dict[str, Any] = (SCHEMA if table == "Design" else SCHEMA["$defs"][table])["properties"]
    entry: dict[str, Any] = properties[key]
    return entry


def test_each_key_says_what_it_means() -> None:
    for table, key in KEYS:
        assert len(place(table, key)["description"]) > 5, f"{table}.{key}"


def test_no_key_is_described_that_there_is_not() -> None:
    described = {(table, key) for table, keys in key_meanings().items() for key in keys}
    assert described == set(KEYS)


@pytest.mark.parametrize(
    ("table", "key", "default"),  # as the design file's page promises them
    [
        ("Nose", "wall", 1.2), ("Cutting", "gap", 2), ("Cutting", "margin", 6), ("Pod", "downthrust_limit", 12),
        ("Pod", "air_gap", 4), ("Flying", "temperature", 15), ("Filament", "nozzle", 0.4),
        ("Filament", "density", 1.27), ("Wing", "thickness", 0.10), ("Build", "angle_error", 1), ("Fins", "cant", 0),
    ],
)  # fmt: skip
def test_a_default_is_what_would_be_typed(table: str, key: str, default: float) -> None:
    assert place(table, key)["default"] == default


def test_a_file_filled_with_all_defaults_is_the_design_without_them(tmp_path: Path) -> None:
    plain = '[[cuts]]\nname = "x"\nrectangle = [5, 5]\n[pod]\ntube = { outer = 30 }\n'
    filled = plain + f"downthrust_limit = {place('Pod', 'downthrust_limit')['default']}\n"
    filled += f"air_gap = {place('Pod', 'air_gap')['default']}\n"
    for name, table in (("cutting", "Cutting"), ("field", "Flying"), ("limits", "Limits"), ("build", "Build")):
        filled += f"[{name}]\n"
        for key, entry in SCHEMA["$defs"][table]["properties"].items():
            if isinstance(entry.get("default"), int | float) and not isinstance(entry["default"], bool):
                filled += f"{key} = {entry['default']}\n"
    one, two = tmp_path / "one.toml", tmp_path / "two.toml"
    one.write_text(plain)
    two.write_text(filled)
    given, wanted = load(two), load(one)
    assert (given.cutting, given.limits, given.pod) == (wanted.cutting, wanted.limits, wanted.pod)
    assert given.field.temperature == pytest.approx(wanted.field.temperature, abs=1e-9)
    assert given.build.angle_error == pytest.approx(wanted.build.angle_error, rel=1e-12)


def test_the_signs_of_cant_and_toe_are_pictured() -> None:
    assert "like a V" in place("Fins", "cant")["description"]
    assert "inward" in place("Fins", "toe")["description"]


def test_a_limit_is_in_the_unit_of_a_bare_number() -> None:
    number = place("Nose", "wall")["anyOf"][0]
    assert (number["minimum"], number["maximum"], number["description"]) == (0.2, 50, "in mm")


def test_a_count_has_limits_that_an_editor_knows() -> None:
    count = place("Cut", "count")
    assert (count["minimum"], count["maximum"]) == (1, 1000)
    assert '"ge"' not in json.dumps(SCHEMA)
