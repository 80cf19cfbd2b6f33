"""The words that go with a sheet: what it is, how much it takes, which part is which, what may cut it."""

from foamworks.parts.sheet import PlacedPart, Sheet

CAUTION = "knife or needle; a laser only where the workshop's written rules allow this very foam"


def sheet_words(sheet: Sheet) -> list[str]:
    """Give the words of a sheet: title, sizes, the parts by number, and what the tool may be."""
    rows = [
        f"{sheet.title}: {sheet.heading}" if sheet.title else sheet.heading,
        f"board {sheet.width:g} x {sheet.height:g} x {sheet.thickness:g} mm, scale 1:1, kerf {sheet.kerf:g} mm",
        f"cut length {sheet.cut_length_mm / 1000:.2f} m, used length {sheet.used_length_mm:.0f} mm, "
        f"used share {100 * sheet.utilisation:.0f} %",
        *([sheet.stamp] if sheet.stamp else []),
    ]
    here: dict[int, list[PlacedPart]] = {}
    for piece in sheet.placed:
        here.setdefault(piece.number, []).append(piece)
    for number, pieces in sorted(here.items()):
        rows.append(_part_words(number, pieces))
    return [*rows, CAUTION, *sheet.cautions]


def _part_words(number: int, pieces: list[PlacedPart]) -> str:
    part = pieces[0].part
    hands = [piece.hand for piece in pieces if piece.hand]
    words = [f"{number} {part.name}: {len(pieces)} of {part.count} here"]
    if hands:
        words.append(" and ".join(f"{hands.count(hand)} {hand}" for hand in sorted(set(hands))))
    if part.mass_g is not None:
        words.append(f"{part.mass_g:.1f} g each")
    if part.grain == "length":
        words.append("grain along the sheet")
    depths = sorted({s.depth_mm for s in part.strokes if s.layer == "score" and s.depth_mm is not None})
    words += [f"score {depth:g} mm deep" for depth in depths]
    return ", ".join(words + ([part.note] if part.note else []))
