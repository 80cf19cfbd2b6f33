"""Templates: the pages of words, the report and the cards stand in files of their own, beside what fills them."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from foamworks.changes.plain import whole
from foamworks.design.quantity import is_open
from foamworks.output import tables, texts
from foamworks.output.keys import text_of
from foamworks.output.ruler import beside, read
from foamworks.units import grams, mm, number, said, with_unit

if TYPE_CHECKING:
    from jinja2 import Environment

# what every template may call by its name
KNOWN = {known.__name__: known for known in (beside, is_open, number, read, said, text_of, whole, with_unit)}
UNITS = {"mm": mm, "grams": grams}


def templates(folder: Path, **options: Any) -> "Environment":
    """Give the templates of a folder; one that asks for what it was not given is an error, not an empty place."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    loader = FileSystemLoader(folder)
    made = Environment(loader=loader, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, **options)
    made.globals |= KNOWN | UNITS | {"tables": tables, "texts": texts}
    return made
