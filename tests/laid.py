"""A piece on a sheet without a layout, as the tests of sheets want it."""

from typing import Any

from foamworks.parts.base import BoardPart
from foamworks.parts.board import sheet
from foamworks.parts.board.tool import Tool


def place_part(part: BoardPart, *, tool: Tool, mirrored: bool, **at: Any) -> sheet.PlacedPart:
    """Put one piece of a part where it is wanted, its path cut for this tool."""
    path = sheet.cut_path(part.outline, tool.kerf, relief=tool.relief)
    hand = sheet.place(path, x=0.0, y=0.0, angle=0.0, mirrored=mirrored)
    return sheet.place_part(part, hand, tool=tool, mirrored=mirrored, **at)
