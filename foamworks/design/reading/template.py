"""The design files to start from, one for each job; and which of their numbers still stand in a builder's file."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from foamworks.design.reading.locate import Path, spell

JOBS = ("boost", "fins", "nose", "sheets")
# the line that every template begins with: a file that has it was made from one, and a builder takes it out when done
_MADE_FROM = re.compile(r"^#.*Replace (?:every number|the numbers) by your own", re.MULTILINE)
_SETTINGS = {"printer", "cutting", "field", "limits"}  # numbers that are many a builder's own, as they stand


@dataclass(frozen=True)
class Untouched:
    """The keys whose number is still the template's, of how many numbers the template has."""

    keys: tuple[str, ...] = ()
    of: int = 0

    @property
    def most(self) -> bool:
        """Tell whether it is more the template's model than the builder's: over half of the numbers (ours)."""
        return 2 * len(self.keys) > self.of


def template(job: str) -> str:
    """Give the text of the template for a job, with @NAME@ and @FILE@ to be filled in."""
    return files("foamworks.design").joinpath("starters", f"{job}.toml").read_text(encoding="utf-8")


def untouched(text: str, data: dict[str, Any]) -> Untouched:
    """Find the numbers of a design that nobody measured; none in a file that was not made from a template."""
    if _MADE_FROM.search(text) is None:
        return Untouched()
    own = dict(_numbers(data))
    templates = [dict(_numbers(tomllib.loads(template(job)))) for job in JOBS]
    same = [[path for path, number in numbers.items() if own.get(path) == number] for numbers in templates]
    best = max(range(len(JOBS)), key=lambda job: len(same[job]))
    return Untouched(tuple(map(spell, same[best])), len(templates[best]))


def _numbers(value: Any, path: Path = ()) -> Iterator[tuple[Path, float]]:
    """Walk the numbers that are measured; a 0 is often true, and settings are anybody's."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if path or key not in _SETTINGS:
                yield from _numbers(inner, (*path, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _numbers(inner, (*path, number))
    elif isinstance(value, int | float) and not isinstance(value, bool) and value:
        yield path, value
