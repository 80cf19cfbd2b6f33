"""Do the parts fit the board that is there? What the area tells before they are laid out, and what the layout says."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from foamworks.checks.base import Finding, Proposal, given, heard, judged
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit, entry_key
from foamworks.design.workshop import Board, Cutting
from foamworks.parts.base import BoardPart
from foamworks.parts.board.sheet import cut_path
from foamworks.parts.board.stock import DEFAULT_SHEET, StockSheet, stock_of
from foamworks.parts.density import board_named
from foamworks.units import mm

if TYPE_CHECKING:  # the layout brings the nester, which a check does not need
    from foamworks.parts.board.layout import LaidOut

FIT = record("sheet-fit")
USE = record("utilisation")
TILES = record("tile-split")

POOR_USE = 0.40  # of the board used, on a sheet that is more than half full (ours)
TILE = (190.0, 259.0)  # mm: what fits both A4 and Letter (trade's table)
ROOMY = 1e-6  # mm
CM2 = 100.0  # mm2
MOST_NAMED = 4  # parts in one text


@dataclass(frozen=True)
class _Need:
    """What one board is asked for: the area of its pieces, and of each sheet, with the count of these, perhaps endless.

    Areas in mm2. Half a gap is counted around each piece, and around the room inside a sheet's margin.
    """

    area: float
    rooms: tuple[tuple[float, float], ...]

    @property
    def endless(self) -> float:
        """Give the largest sheet of which there are as many as it takes; 0 when there is none."""
        return max((room for room, count in self.rooms if math.isinf(count)), default=0.0)

    @property
    def given(self) -> float:
        """Give the area of all sheets that are there, without end when one is."""
        return sum(room * count for room, count in self.rooms if room > 0)

    @property
    def least(self) -> int:
        """Give the least number of sheets whose area would do, the largest first."""
        counted = (room for room, count in self.rooms if room > self.endless for _ in range(int(count)))
        left, number = self.area, 0
        for room in sorted(counted, reverse=True):
            if left <= 0:
                return number
            left, number = left - room, number + 1
        return number + (math.ceil(max(0.0, left) / self.endless) if self.endless else 0)


def findings(case: Case) -> list[Finding]:
    """Judge by size and by area, before anything is laid out."""
    sized = list(_by_size(case))
    return [*sized, *_by_area(case, {finding.subject for finding in sized})]


def _boards(case: Case) -> Iterator[tuple[str, list[BoardPart]]]:
    """Give the name of each board that something is cut from, and its parts."""
    for name in dict.fromkeys(part.board for part in case.parts.boards):
        yield name, [part for part in case.parts.boards if part.board == name]


def _measured(case: Case, name: str) -> Board | None:
    """Give a board whose sheets are known."""
    board = board_named(case.design, name)
    return board if board and board.sheet else None


def _by_size(case: Case) -> Iterator[Finding]:
    """Name the boards whose sheets are not known, and the parts that are larger than any sheet."""
    for name, parts in _boards(case):
        yield from heard(_larger(case, name, parts))


def _larger(case: Case, name: str, parts: list[BoardPart]) -> Iterator[Finding]:
    margin, kerf = mm(case.design.cutting.margin), mm(case.design.cutting.kerf)
    board = FIT.need(_measured(case, name), name, board=name)
    rooms = [_inside(sheet, margin) for sheet in stock_of(board)]
    large = [part for part in parts if not _has_room(part, board, kerf, rooms)]
    yield from (_too_large(part, board, kerf, margin, max(rooms)) for part in large)


def _by_area(case: Case, named: set[str]) -> Iterator[Finding]:
    """Say of each board, none of whose parts was named, how many sheets the area asks for and whether it has them."""
    for name, parts in _boards(case):
        if not named & {part.name for part in parts}:
            yield from heard(_whole(case, name, parts))


def _whole(case: Case, name: str, parts: list[BoardPart]) -> Iterator[Finding]:
    board, cutting = given(_measured(case, name)), case.design.cutting
    margin, kerf = mm(cutting.margin), mm(cutting.kerf)
    endless = [_inside(sheet, margin) for sheet in stock_of(board) if not sheet.count]
    safe = all(_has_room(part, board, kerf, endless) for part in parts)
    yield _area_finding(name, _need(board, parts, cutting), sum(part.count for part in parts), margin, safe=safe)


def _inside(sheet: StockSheet, margin: float) -> tuple[float, ...]:
    return tuple(side - 2 * margin for side in sheet.size)


def _need(board: Board, parts: Sequence[BoardPart], cutting: Cutting) -> _Need:
    """Work out the areas. Two paths a gap apart do not overlap when each grows by half of it, so the sums must fit.

    A part grown with round corners and a sheet grown with square ones keep the bound on the safe side.
    """
    kerf, half, margin = mm(cutting.kerf), mm(cutting.gap) / 2, mm(cutting.margin)
    area = sum(part.count * cut_path(part.outline, kerf).buffer(half).area for part in parts)
    sheets = stock_of(board)
    rooms = tuple(float(sheet.outline.buffer(-margin).buffer(half, join_style="mitre").area) for sheet in sheets)
    return _Need(float(area), tuple((room, sheet.count or math.inf) for room, sheet in zip(rooms, sheets, strict=True)))


def _area_finding(name: str, need: _Need, pieces: int, margin: float, *, safe: bool) -> Finding:
    """Judge the whole by area; `safe`: each part fits a sheet of which there are as many as it takes."""
    if need.area > need.given:
        return FIT.finding(
            "fail",
            name,
            value=need.area / CM2,
            limit=need.given / CM2,
            unit="cm2",
            why=f"its {pieces} pieces take at least {need.area / CM2:.0f} cm2 with the gap about them, all its sheets "
            f"have {need.given / CM2:.0f} cm2 within their margin",
            cure=(
                Proposal(
                    "take whole sheets instead of the offcuts, as large as they are sold; this one is an example",
                    "set",
                    _sheet(name, *map(mm, DEFAULT_SHEET)),
                ),
                Proposal("give more or larger sheets"),
            ),
        )
    why = (
        f"each of its {pieces} pieces fits a sheet, margin of {margin:g} mm kept; by area they ask for at least "
        f"{need.least} sheet{'s' if need.least > 1 else ''}; build lays them out"
    )
    return FIT.finding(
        "pass" if safe else "unknown",
        name,
        value=float(need.least),
        unit="sheets",
        why=why if safe else f"{why}: only then it shows whether all find room",
        cure=lambda: "run foamworks build with this design",
    )


def _has_room(part: BoardPart, board: Board, kerf: float, rooms: list[tuple[float, ...]]) -> bool:
    width, height = _cut_size(part, kerf)
    sizes = [(width, height)] if _along(part, board) else [(width, height), (height, width)]
    return any(w <= long + ROOMY and h <= short + ROOMY for w, h in sizes for long, short in rooms)


def _cut_size(part: BoardPart, kerf: float) -> tuple[float, float]:
    """Give width and height of a part's cut path [mm]."""
    x0, y0, x1, y1 = cut_path(part.outline, kerf).bounds
    return x1 - x0, y1 - y0


def _along(part: BoardPart, board: Board) -> bool:
    """Tell whether a part must lie along the board's grain."""
    return part.grain == "length" and board.grain == "length"


def _too_large(part: BoardPart, board: Board, kerf: float, margin: float, room: tuple[float, ...]) -> Finding:
    """Say by which side a part is too large for the largest sheet."""
    width, height = _cut_size(part, kerf)
    along = _along(part, board)
    long, short = (width, height) if along else (max(width, height), min(width, height))
    side, space = (long, room[0]) if long > room[0] + ROOMY else (short, room[1])
    grain = ", its x along the grain" if along else ""
    with_kerf = f" with its kerf of {kerf:g} mm" if kerf else ""
    have = [length + 2 * margin for length in room]  # what lies on the sheet that is there must still find room
    least = [
        float(math.ceil(round(max(part + 2 * margin, sheet), 6)))
        for part, sheet in zip((long, short), have, strict=True)
    ]
    return FIT.finding(
        "fail",
        part.name,
        value=side,
        limit=space,
        why=f"{part.name} is {width:.1f} x {height:.1f} mm{with_kerf}{grain}, and a sheet of {board.name} has room for "
        f"{room[0]:g} x {room[1]:g} mm inside its margin of {margin:g} mm",
        cure=[
            Proposal(f"take a sheet of at least {least[0]:.0f} x {least[1]:.0f} mm", "set", _sheet(board.name, *least)),
            Proposal("split the part and join it over a doubler"),
        ],
    )


def _sheet(board: str, long: float, short: float) -> tuple[Edit, ...]:
    """Type another sheet for a board [mm], of which there are as many as it takes."""
    return (Edit(f"{entry_key('boards', board)}.sheet", (long, short), "mm"),)


def judge_layout(case: Case, laid: "LaidOut") -> tuple[Finding, ...]:
    """Give all findings of a case that is laid out: what the layout says stands in the place of what the area told."""
    kept = [finding for finding in case.findings if finding.record is not FIT]
    sized = list(_by_size(case))
    return (*kept, *sized, *_placed({finding.subject for finding in sized}, laid), *_use(laid), *_tiles(case, laid))


def _placed(named: set[str], laid: "LaidOut") -> Iterator[Finding]:
    """Judge each board by its layout: name the parts that found no place, or count the sheets that hold them all."""
    for name in dict.fromkeys(row.part for row in laid.left_over if row.part not in named):
        rows = [row for row in laid.left_over if row.part == name]
        count, why = sum(row.count for row in rows), "; ".join(dict.fromkeys(row.why for row in rows))
        yield FIT.finding("fail", name, of="no place", value=float(count), limit=0.0, unit="pieces", found=why)
    short = {row.board for row in laid.left_over}
    for board in dict.fromkeys(sheet.board for sheet in laid.sheets):
        if board in short or board in named:
            continue
        sheets = [sheet for sheet in laid.sheets if sheet.board == board]
        pieces = sum(len(sheet.placed) for sheet in sheets)
        yield FIT.passes(
            board,
            value=float(len(sheets)),
            unit="sheets",
            why=f"its {pieces} pieces lie on {len(sheets)} sheet{'s' if len(sheets) > 1 else ''}, margin and gap kept",
        )


def _use(laid: "LaidOut") -> Iterator[Finding]:
    for sheet in laid.sheets:
        full = sheet.used_length_mm > 0.5 * sheet.width
        yield USE.finding(
            judged(sheet.utilisation, caution_below=POOR_USE if full else 0.0),
            sheet.heading,
            value=sheet.utilisation,
            limit=POOR_USE,
            used=sheet.used_length_mm,
        )


def _tiles(case: Case, laid: "LaidOut") -> Iterator[Finding]:
    """Name the parts that no paper tile holds whole: their template is joined from several pages."""
    kerf = mm(case.design.cutting.kerf)
    split = []
    placed = {piece.number for sheet in laid.sheets for piece in sheet.placed}
    for number, part in enumerate(case.parts.boards, start=1):
        if number not in placed:
            continue
        size = _cut_size(part, kerf)
        if not (max(size) <= max(TILE) and min(size) <= min(TILE)):
            split.append(part.name)
    if split:
        others = f" and {len(split) - MOST_NAMED} more" if len(split) > MOST_NAMED else ""
        yield TILES.finding(
            "caution",
            "paper templates",
            value=float(len(split)),
            limit=0.0,
            named=", ".join(split[:MOST_NAMED]) + others,
        )
