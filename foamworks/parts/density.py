"""Which board a part is cut from and what it weighs; what is printed with, and on which bed. Millimetres and grams."""

import math
from dataclasses import dataclass

from foamworks.design.model import Design
from foamworks.design.workshop import Board
from foamworks.parts.solidmath import Filament
from foamworks.units import grams, grams_per_cm3, mm, mm2

# Presets for a board nobody has measured: the trade's two common kinds (read in public texts; the board's mass varies
# from 290 to 605 g/m2 under one label, so a finding asks for the scale)
CRAFT_THICKNESS = 5.0  # mm
CRAFT_DENSITY = 450e-6  # g/mm2
THIN_PAPER_DENSITY = 300e-6  # g/mm2
THIN_PAPER_BELOW = 4.9  # mm: thinner boards of this family are usually the thin-paper kind
DEFAULT_FILAMENT = Filament(density=1.27)  # PETG, the least that stands near a motor (trade's table)


@dataclass(frozen=True)
class Stuff:
    """A board as the parts need it: name, thickness [mm], areal density [g/mm2], and whether both were measured."""

    name: str
    thickness: float
    areal_density: float
    measured: bool

    @property
    def per_square_metre(self) -> float:
        """What a square metre of it weighs [g]."""
        return mm2(1.0) * self.areal_density


def first_sheet(board: Board) -> tuple[float, float] | None:
    """Give a board's first whole sheet [m]."""
    for sheet in board.sheet or ():
        if isinstance(sheet, tuple):
            return sheet
    return None


def stuff(board: Board | None) -> Stuff:
    """Give what parts need of a board; what was not weighed is taken from the trade's presets and says so."""
    if board is None:
        return Stuff("foam board", CRAFT_THICKNESS, CRAFT_DENSITY, measured=False)
    thickness, size = mm(board.thickness), first_sheet(board)
    if math.isfinite(board.mass) and size is not None:
        return Stuff(board.name, thickness, grams(board.mass) / mm2(size[0] * size[1]), measured=True)
    preset = THIN_PAPER_DENSITY if thickness < THIN_PAPER_BELOW else CRAFT_DENSITY
    return Stuff(board.name, thickness, preset, measured=False)


def board_named(design: Design, name: str | None) -> Board | None:
    """Give the board of this name; without a name the only one."""
    if name is None:
        return design.boards[0] if len(design.boards) == 1 else None
    return next((board for board in design.boards if board.name == name), None)


def filament(design: Design) -> Filament:
    """Give what is printed with; without a printer table the trade's default."""
    if design.printer is None:
        return DEFAULT_FILAMENT
    f = design.printer.filament
    return Filament(density=grams_per_cm3(f.density), walls=f.walls, nozzle=mm(f.nozzle), infill=f.infill)


def bed(design: Design) -> tuple[float, float, float] | None:
    """Give the printer's bed [mm]."""
    if design.printer is None or design.printer.bed is None:
        return None
    x, y, z = (mm(side) for side in design.printer.bed)
    return (x, y, z)
