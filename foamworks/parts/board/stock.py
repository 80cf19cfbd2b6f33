"""Which sheets of a board are there: offcuts, of which each has its number, and whole sheets, as many as are needed.

Millimetres; a sheet's lower left corner at 0,0, its long side along x, an offcut as it was given.
"""

from dataclasses import dataclass

from shapely import Polygon, box
from shapely.affinity import translate

from foamworks.design.workshop import Board, Offcut
from foamworks.units import mm

DEFAULT_SHEET = (0.508, 0.762)  # m, taken for a board whose sheet was not measured


@dataclass(frozen=True)
class StockSheet:
    """One size of sheet, or one offcut; `count` None: as many as are needed."""

    name: str
    outline: Polygon
    count: int | None

    @property
    def size(self) -> tuple[float, float]:
        """Give the box about it, along x and along y."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0


def stock_of(board: Board | None) -> tuple[StockSheet, ...]:
    """Give a board's sheets, the offcuts first: they are used up first."""
    sheets = board.sheet if board is not None and board.sheet is not None else (DEFAULT_SHEET,)
    offcuts, whole = [], []
    for sheet in sheets:
        if isinstance(sheet, Offcut):
            outline = Polygon([(mm(x), mm(y)) for x, y in sheet.edge])
            x, y = outline.bounds[:2]
            offcuts.append(StockSheet("offcut", translate(outline, -x, -y), sheet.count))
        else:
            long, short = mm(max(sheet)), mm(min(sheet))
            whole.append(StockSheet(f"{short:g} x {long:g}", box(0, 0, long, short), None))
    return (*offcuts, *whole)
