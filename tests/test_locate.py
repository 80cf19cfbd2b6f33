"""The line of every key of a TOML text."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.design.reading.locate import line_of, locate, spell

TEXT = '''# comment
title = "a # no comment"
a.b = 1
[table] # here
"quoted key" = 'x'
list = [
  { x = 1, y = 2 },
  # between
  { x = 3, y = 4 },
]
long = """
[not a table]
k = 1
"""
[[many]]
n = 1
[many.sub]
v = 1
[[many]]
n = 2
sub.v = 3
[[many.deep]]
w = 1
[[many.deep]]
w = 2
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("a", "b"), 3),
        (("table", "quoted key"), 5),
        (("table", "list"), 6),
        (("table", "list", 0, "y"), 7),
        (("table", "list", 1, "y"), 9),
        (("table", "long"), 11),
        (("many", 0, "n"), 16),
        (("many", 0, "sub", "v"), 18),
        (("many", 1, "n"), 20),
        (("many", 1, "sub", "v"), 21),
        (("many", 1, "deep", 1, "w"), 25),
    ],
)
def test_a_key_is_found_in_its_line(path: tuple[str | int, ...], line: int) -> None:
    tomllib.loads(TEXT)
    assert locate(TEXT)[path] == line


def test_an_unknown_path_falls_back_to_what_is_known_of_it() -> None:
    assert line_of(locate(TEXT), ("table", "missing")) == 4


def test_entries_are_counted_from_one_for_the_reader() -> None:
    assert spell(("airframe", "items", 0, "mass")) == "airframe.items[1].mass"


def _paths(data: Any, start: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    rows = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    found = {start} if start else set()
    for key, value in rows:
        found |= _paths(value, (*start, key))
    return found


_SCALARS = st.one_of(st.integers(-99, 99), st.booleans(), st.sampled_from(["a", "b # c", "d ] }", "e, f", 'q " q']))
_VALUES = st.recursive(
    _SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["x", "y-1", "z z"]), inner, max_size=3)
    ),
    max_leaves=6,
)


def _write(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + value.replace('"', '\\"') + '"'
    if isinstance(value, list):
        return "[" + ",\n ".join(_write(entry) for entry in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}" = {_write(entry).replace(chr(10), "")}' for key, entry in value.items()) + "}"
    return str(value)


@given(st.dictionaries(st.sampled_from(["a", "b", "c d", "e.f"]), _VALUES, min_size=1, max_size=4))
def test_every_key_of_any_text_gets_a_line(data: dict[str, Any]) -> None:
    text = "\n\n".join(f'"{key}" = {_write(value)}' for key, value in data.items())
    assert tomllib.loads(text) == data
    lines = locate(text)
    assert _paths(data) <= set(lines)
    assert all(f'"{path[0]}"' in text.split("\n")[line - 1] for path, line in lines.items() if len(path) == 1)
