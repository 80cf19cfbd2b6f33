"""Templates: the pages of words, the report and the cards stand in files of their own, beside what fills them."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment


def templates(folder: Path, **options: Any) -> "Environment":
    """Give the templates of a folder; one that asks for what it was not given is an error, not an empty place."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    loader = FileSystemLoader(folder)
    return Environment(loader=loader, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, **options)
