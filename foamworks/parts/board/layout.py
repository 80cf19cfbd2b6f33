"""Board parts onto sheets: which pieces, on which stock, and the sheets that come of it. Millimetres.

The nester sees cut paths, kerf included; a mirrored copy is a piece of its own. Offcuts are used before whole sheets.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from foamworks.design.model import Design
from foamworks.parts.base import BoardPart, Parts
from foamworks.parts.board.sheet import PlacedPart, Sheet, cut_path, make_sheet, place, place_part
from foamworks.parts.board.stock import stock_of
from foamworks.parts.board.tool import tool_of
from foamworks.parts.density import board_named, stuff
from foamworks.parts.nest import Layout, Piece, Stock, nest, verify
from foamworks.units import mm

ALONG, ANY = (0, 180), (0, 90, 180, 270)
Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class LeftOver:
    """Copies of a part that found no place, and why."""

    board: str
    part: str
    count: int
    why: str


@dataclass(frozen=True)
class LaidOut:
    """All sheets of a design, board by board, what found no place, and what a longer search gained on each board."""

    sheets: tuple[Sheet, ...] = ()
    left_over: tuple[LeftOver, ...] = ()
    gained: tuple[str, ...] = ()

    def stamped(self, text: str) -> "LaidOut":
        """Give the sheets with a stamp: what is printed large on a sheet that does not pass."""
        return replace(self, sheets=tuple(replace(sheet, stamp=text) for sheet in self.sheets))


@dataclass(frozen=True)
class BoardJob:
    """What is nested for one board: pieces, the part and hand of each, the stock."""

    board: str
    thickness: float
    pieces: tuple[Piece, ...]
    parts: tuple[tuple[BoardPart, int, bool], ...]
    stocks: tuple[Stock, ...]


def board_jobs(design: Design, parts: Parts) -> tuple[BoardJob, ...]:
    """Give what is nested for each board, in the order in which the boards first appear."""
    tool = tool_of(design.cutting)
    jobs = []
    for name in dict.fromkeys(part.board for part in parts.boards):
        board = board_named(design, name)
        pieces, sources = [], []
        for number, part in enumerate(parts.boards, start=1):
            if part.board != name:
                continue
            grained = part.grain == "length" and (board is None or board.grain == "length")
            for mirrored, count in ((False, part.count - part.mirrored), (True, part.mirrored)):
                if count:
                    path = cut_path(part.outline, tool.kerf, relief=tool.relief)
                    outline = place(path, x=0, y=0, angle=0, mirrored=True) if mirrored else path
                    pieces.append(Piece(part.name, outline, count, ALONG if grained else ANY))
                    sources.append((part, number, mirrored))
        stocks = tuple(Stock(sheet.name, sheet.outline, sheet.count) for sheet in stock_of(board))
        thickness = next(part.thickness_mm for part in parts.boards if part.board == name)
        jobs.append(BoardJob(name, thickness, tuple(pieces), tuple(sources), stocks))
    return tuple(jobs)


def lay_out(
    design: Design,
    parts: Parts,
    *,
    title: str,
    kept: Mapping[str, Layout] | None = None,
    improve: float = 0.0,
    progress: Progress | None = None,
) -> tuple[LaidOut, dict[str, Layout] | None]:
    """Nest every board's parts and make the sheets; with `improve` [s] also give the layouts worth keeping, by board.

    A kept layout is used while it still fits its parts and stock.
    """
    sheets: list[Sheet] = []
    left: list[LeftOver] = []
    better: dict[str, Layout] = {}
    gap, margin = mm(design.cutting.gap), mm(design.cutting.margin)
    gains: list[str] = []
    for job in board_jobs(design, parts):
        layout = (kept or {}).get(job.board)
        if layout is None or verify(layout, job.pieces, job.stocks, gap=gap, margin=margin):
            layout = nest(job.pieces, job.stocks, gap=gap, margin=margin, progress=progress)
        if improve > 0:
            from foamworks.parts.nest.improve import gained, search_longer

            start = layout
            layout = better[job.board] = search_longer(
                job.pieces, job.stocks, gap=gap, margin=margin, seconds=improve, start=start, progress=progress
            )
            gains.append(f"{job.board}: {gained(start, layout)}")
        sheets += sheets_of(job, layout, design, title=title)
        left += _left_over(job, layout)
    return LaidOut(tuple(sheets), tuple(left), tuple(gains)), better or None


def sheets_of(job: BoardJob, layout: Layout, design: Design, *, title: str) -> list[Sheet]:
    """Make one board's sheets from its layout."""
    tool, board = tool_of(design.cutting), stuff(board_named(design, job.board))
    copies: dict[int, int] = {}
    placed: dict[int, list[PlacedPart]] = {number: [] for number in range(len(layout.sheets))}
    for spot in sorted(layout.placements, key=lambda p: (p.sheet, p.piece, p.copy)):
        part, number, mirrored = job.parts[spot.piece]
        copies[number] = copies.get(number, 0) + 1
        placed[spot.sheet].append(
            place_part(
                part,
                job.pieces[spot.piece].outline,
                number=number,
                copy=copies[number],
                x=spot.x,
                y=spot.y,
                angle=float(spot.angle),
                mirrored=mirrored,
                tool=tool,
            )
        )
    made = []
    for index, stock in enumerate(layout.sheets):
        width, height = job.stocks[stock].outline.bounds[2:]
        made.append(
            make_sheet(
                board=job.board,
                number=index + 1,
                of=len(layout.sheets),
                width=width,
                height=height,
                thickness=job.thickness,
                placed=placed[index],
                margin=mm(design.cutting.margin),
                tool=tool,
                areal_density=board.areal_density if board.measured else math.nan,
                offcut=None if job.stocks[stock].count is None else job.stocks[stock].outline,
                title=title,
            )
        )
    return made


def _left_over(job: BoardJob, layout: Layout) -> list[LeftOver]:
    found: dict[tuple[str, str], int] = {}
    for piece, why in layout.unplaced:
        key = (job.pieces[piece].key, why)
        found[key] = found.get(key, 0) + 1
    return [LeftOver(job.board, name, count, why) for (name, why), count in found.items()]
