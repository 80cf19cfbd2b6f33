"""What a build writes, and how a sheet is drawn for a machine: which layers and words, and in which colours.

Without `colours` all layers are neutral and told apart by name and line type. With it each has one of four colours
that eyes with any of the common colour blindnesses tell apart, so that a machine's software can sort by colour; which
colour does what is then set there, by hand. Colours: M. Okabe, K. Ito, "Color Universal Design", 2008, from memory.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

NEUTRAL = 7  # the drawing file's index: black on white, white on black
LAYERS = ("mark", "score", "cut", "sheet")  # in the order of the work
COLOURS = {"mark": (86, 180, 233), "score": (230, 159, 0), "cut": (0, 158, 115), "sheet": (204, 121, 167)}
INDEX = {"mark": 151, "score": 30, "cut": 122, "sheet": 241}  # of the drawing file's fixed colours, the nearest


@dataclass(frozen=True)
class Look:
    """What is drawn: `words` beside the board in the SVG, the layer `cut` alone, a colour for each layer."""

    words: bool = False
    cut_only: bool = False
    colours: bool = False

    @property
    def layers(self) -> tuple[str, ...]:
        """Give the layers that are written."""
        return ("cut",) if self.cut_only else LAYERS

    def index(self, layer: str) -> int:
        """Give a layer's colour as the drawing file counts them."""
        return INDEX[layer] if self.colours else NEUTRAL

    def stroke(self, layer: str) -> str:
        """Give a layer's colour as SVG writes it.

        >>> Look(colours=True).stroke("cut"), Look().stroke("cut")
        ('#009e73', 'black')
        """
        return "#{:02x}{:02x}{:02x}".format(*COLOURS[layer]) if self.colours else "black"


PLAIN = Look()


def unwatched(text: str) -> None:
    """Take what is told of the progress where nobody watches."""


@dataclass(frozen=True)
class BuildOptions(Look):
    """What a build writes and how its sheets look: `only` empty means everything."""

    only: frozenset[str] = frozenset()
    dxf: Literal["r2010", "r12"] = "r2010"
    plotter: bool = False
    improve: float = 0.0
    progress: Callable[[str], None] = unwatched

    def wants(self, *names: str) -> bool:
        """Tell whether any of these was asked for."""
        return not self.only or bool(self.only.intersection(names))
