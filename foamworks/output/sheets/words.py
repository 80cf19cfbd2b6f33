"""The words that go with a sheet: what it is, how much it takes, which part is which, what may cut it."""

import math
import textwrap
from collections import Counter

from foamworks.output.texts import CUTTING
from foamworks.parts.base import LETTER, BoardPart
from foamworks.parts.board.sheet import PlacedPart, Sheet
from foamworks.units import mm, said

TEXT = 4.0  # mm, height of the words beside a sheet's drawing
NARROWEST = 24  # letters in a line, however narrow the sheet


def sheet_words(sheet: Sheet) -> list[str]:
    """Give the words of a sheet in lines no wider than it: title, sizes, the parts by number, what the tool may be."""
    most = max(NARROWEST, int(sheet.width / (LETTER * TEXT)))
    return [line for row in _rows(sheet) for line in textwrap.wrap(row, most, subsequent_indent="   ") or [""]]


def _rows(sheet: Sheet) -> list[str]:
    rows = [
        f"{sheet.title}: {sheet.heading}" if sheet.title else sheet.heading,
        f"{size_words(sheet)}, scale 1:1, kerf {sheet.kerf:g} mm",
        f"{lengths(sheet)}, used length {sheet.used_length_mm:.0f} mm, used share {said(sheet.utilisation, '%', 0)}",
        "; ".join([time_words(sheet), *mass_words(sheet)]),
        *([sheet.stamp] if sheet.stamp else []),
    ]
    rows += [_part_words(number, pieces) for number, pieces in sheet.by_number.items()]
    return [*rows, CUTTING, *sheet.cautions]


def _part_words(number: int, pieces: list[PlacedPart]) -> str:
    part = pieces[0].part
    words = [
        f"{number} {part.name}: {len(pieces)} of {part.count} here",
        " and ".join(hands(pieces)),
        f"{part.mass_g:.1f} g each" if math.isfinite(part.mass_g) else "",
        "grain along the sheet" if part.grain == "length" else "",
        *operations(part),
        part.note,
    ]
    return ", ".join(filter(None, words))


def hands(pieces: list[PlacedPart]) -> list[str]:
    """Count the pieces of either hand: "2 L", "1 R"; nothing of a part that has none."""
    counted = Counter(sorted(piece.hand for piece in pieces if piece.hand))
    return [f"{count} {hand}" for hand, count in counted.items()]


def operations(part: BoardPart) -> list[str]:
    """Say what is done to a part besides cutting it out: scores with their depth, bevels with their angle."""
    depths = sorted({s.depth_mm for s in part.strokes if s.layer == "score" and s.depth_mm})
    words = [f"score {depth:g} mm deep" for depth in depths]
    slants = dict.fromkeys((bevel.what, bevel.angle) for bevel in part.bevels if bevel.angle)
    return words + [bevel_words(what, angle) for what, angle in slants]


def bevel_words(what: str, angle: float) -> str:
    """Say which edge is cut slanting, how much, and which face is set back."""
    return f"{what} bevel {abs(angle):.3g} deg, {'marked' if angle > 0 else 'unmarked'} face set back"


def size_words(sheet: Sheet) -> str:
    """Say what is cut from: a whole sheet by its sides, an offcut by the box about it."""
    size = f"{sheet.width:g} x {sheet.height:g}"
    return f"{f'offcut within {size}' if sheet.is_offcut else f'board {size}'} x {sheet.thickness:g} mm"


def lengths(sheet: Sheet) -> str:
    """Say how long the cuts and the scores are."""
    words = [f"cut length {said(mm.si(sheet.cut_length_mm), 'm', 2)}"]
    if sheet.overcut_length_mm:
        words.append(f"with {said(mm.si(sheet.overcut_length_mm), 'm', 2)} past the corners")
    if sheet.score_length_mm:
        words.append(f"scored {said(mm.si(sheet.score_length_mm), 'm', 2)}")
    return ", ".join(words)


def time_words(sheet: Sheet) -> str:
    """Say how long the cutting takes, by which tool, and what the estimate rests on."""
    tool, minutes = sheet.tool, sheet.cut_seconds / 60
    passes = f", {tool.passes} passes" if tool.passes > 1 else ""
    by = f"{tool.name}" if tool.named else f"{tool.name} taken, none named"
    return f"about {max(1, round(minutes))} min to cut ({by}: {tool.feed:g} mm/s{passes}; time your own)"


def sheet_line(sheet: Sheet) -> str:
    """Say of a sheet as laid how much of it is used, what becomes waste, and how long it takes to cut."""
    used = (
        f"{sheet.used_length_mm:.0f} of {sheet.width:.0f} mm used, {100 * (1 - sheet.utilisation):.0f} % of that waste"
    )
    mass = f" ({sheet.waste_mass_g:.1f} g)" if sheet.weighed else ""
    return f"{sheet.heading}: {used}{mass}, {time_words(sheet)}"


def mass_words(sheet: Sheet) -> list[str]:
    """Say what the parts and the waste weigh; nothing for a board nobody weighed."""
    if not sheet.weighed:
        return []
    rest = f", {sheet.rest_length_mm:.0f} mm of the sheet left over" if sheet.rest_length_mm >= 1 else ""
    return [f"parts {sheet.parts_mass_g:.1f} g, waste {sheet.waste_mass_g:.1f} g{rest}"]
