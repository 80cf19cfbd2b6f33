"""The layout that a longer search found, kept beside the design as <design>.layout.json while it still fits."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from foamworks.errors import OutputError
from foamworks.output.keys import Row
from foamworks.parts.nest import Layout, Placement

FORMAT = "foamworks layout 1"


def path_of(design: Path) -> Path:
    """Give where a design's layout is kept.

    >>> path_of(Path("designs/fins.toml")).name
    'fins.layout.json'
    """
    return design.with_name(f"{design.stem}.layout.json")


def read(design: Path) -> dict[str, Layout]:
    """Read the kept layouts by board; none when there is no file.

    Raises OutputError when there is one that cannot be read: it is never passed over in silence.
    """
    path = path_of(design)
    if not path.exists():
        return {}
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data["format"] != FORMAT:
            raise KeyError("format")
        return {board: _layout(entry) for board, entry in data["boards"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as fault:
        raise OutputError(
            f"{path}: is not a kept layout ({fault}); delete it, or search again with --improve"
        ) from None


def write(design: Path, layouts: Mapping[str, Layout]) -> None:
    """Keep layouts beside the design, whole or not at all."""
    path = path_of(design)
    data = {"format": FORMAT, "boards": {board: _plain(layout) for board, layout in layouts.items()}}
    work = path.with_name(f".{path.name}.new")
    try:
        work.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8", newline="\n")
        work.replace(path)
    except OSError as fault:
        work.unlink(missing_ok=True)
        raise OutputError(f"{path}: cannot be written ({fault.strerror}); the better layout was not kept") from None


def _plain(layout: Layout) -> Row:
    return {
        "sheets": list(layout.sheets),
        "used_length_mm": list(layout.used_length),
        "unplaced": [list(row) for row in layout.unplaced],
        "placements": [[p.piece, p.copy, p.sheet, p.x, p.y, p.angle] for p in layout.placements],
    }


def _layout(data: Mapping[str, Any]) -> Layout:
    return Layout(
        placements=tuple(
            Placement(int(piece), int(copy), int(sheet), float(x), float(y), int(angle))
            for piece, copy, sheet, x, y, angle in data["placements"]
        ),
        sheets=tuple(int(stock) for stock in data["sheets"]),
        unplaced=tuple((int(piece), str(why)) for piece, why in data["unplaced"]),
        used_length=tuple(float(length) for length in data["used_length_mm"]),
    )
