"""The outline of a drawing, as most tests of drawings want it."""

from pathlib import Path

from shapely import Polygon

from foamworks.design.drawing.trace import load_trace


def read_trace(path: Path | str, *, key: str) -> Polygon:
    """Give the outline of a DXF or SVG file in millimetres; `key` is the design's key that names the file.

    Raises DesignError with file, key, place and what would do.
    """
    return load_trace(path, key=key).outline
