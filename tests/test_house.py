"""The house keeps its size: the script counts what it says it counts, and the bounds that are reached hold."""

import subprocess
import sys
from pathlib import Path

import pytest

import house

MOST = {
    "is None, is not None": 468,
    "inline unit factors": 40,
    "dict[str, Any]": 25,
    "most positional arguments of a finding": 2,
    "fmt: skip": 20,
    "functions only tests call": 0,
    "lines over 100 columns, %": 10,
    "median lines of a file": 166,
    "longest file": 400,
    "median lines of a body": 6,
    "longest body": 45,
    "most modules in a folder": 18,
}


@pytest.fixture(scope="module")
def now() -> dict[str, float]:
    """What the script prints, run with nothing but the standard library."""
    script = Path(house.__file__)
    done = subprocess.run([sys.executable, "-I", "-S", script], capture_output=True, text=True, check=True)
    split = (line.rsplit(maxsplit=1) for line in done.stdout.splitlines())
    return {name: float(number.replace(",", "")) for name, number in split}


@pytest.mark.parametrize("name", MOST)
def test_a_bound_that_was_reached_holds(name: str, now: dict[str, float]) -> None:
    assert now[name] <= MOST[name]


def test_docstrings_keep_their_share(now: dict[str, float]) -> None:
    assert now["docstrings, % of lines"] >= 11.5


SAMPLE = '''"""A module
of two lines."""
from foamworks.errors import printable


def known(length, speed):
    """Say it."""
    if length is None or speed is not None:
        return 1000 * length, speed * 3.6
    return length / 1e3, math.degrees(speed), length * 100, length + 1000


def mm(length):
    return 1e3 * length


def lonely(table: dict[str, Any]) -> Finding:
    return Finding("a", "b", "c", unit="mm"), RECORD.finding("pass"), lonely(table)


class Shape:
    @field_validator("x")
    def checked(cls): ...

    @property
    def on_the_page(self): ...

    def asked(self): ...


SHOWN = known(1, 2), mm
'''


def test_it_counts_what_is_written() -> None:
    module = house.Source("sample", SAMPLE)
    assert house.asked_for_none(module) == 2
    assert house.unit_factors(module) == 4  # not the one in the converter, not the 100, not the sum
    assert house.untyped_tables(module) == 1
    assert sorted(house.positional(module)) == [1, 3]
    assert house.docstring_lines(module) == 3
    assert [house.body_lines(function) for function in house.functions(module)] == [3, 1, 1, 1, 1, 1]


def test_it_names_what_nothing_reaches() -> None:
    module = house.Source("sample", SAMPLE)
    page = "{{ shape.on_the_page }}"
    assert house.unused([module], [], [page]) == ["sample: asked", "sample: lonely"]
    assert house.unused([module], ["shape.asked()"], [page]) == ["sample: lonely"]


def test_a_function_that_only_an_unused_one_calls_is_unused_too() -> None:
    text = "def first(): return second()\ndef second(): ...\n"
    module = house.Source("sample", text)
    assert house.unused([module], [], []) == ["sample: first", "sample: second"]
    assert house.unused([module], ["first()"], []) == []
