"""A design file to start from: commented, with the list of what to measure, for each of the four jobs."""

import re
import shlex
from pathlib import Path

from foamworks.design.reading.template import template
from foamworks.errors import DesignError, printable


def starter(name: str, job: str, file: str) -> str:
    """Give the text of a new design file."""
    return template(job).replace("@NAME@", name).replace("@FILE@", shlex.quote(file))


def write_starter(name: str, job: str, folder: Path) -> Path:
    """Write a new design file named for the design; an existing one is never overwritten.

    Raises DesignError for a name that cannot be a file's, or when the file exists.
    """
    title = name.removesuffix(".toml")
    if not re.fullmatch(r"[\w][\w .-]{0,79}", title) or '"' in title:
        raise DesignError(
            f'new "{printable(name)}": a name has 1 to 80 letters, digits, spaces, dots or dashes, and no folder'
        )
    path = folder / f"{title}.toml"
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(starter(title, job, path.name))
    except FileExistsError:
        raise DesignError(f"{path}: exists already and is not overwritten; choose another name") from None
    except OSError as fault:
        raise DesignError(f"{path}: cannot be written ({fault.strerror})") from None
    return path
