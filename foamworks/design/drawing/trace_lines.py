"""What does a drawing hand on to be joined? Chains of points in millimetres, each on its layer, and the unit taken."""

from dataclasses import dataclass

from foamworks.design.drawing.trace_curves import Point
from foamworks.errors import DesignError

# what one unit of a drawing may be [mm]; a point is 1/72 in, a pixel by CSS 1/96 in
DRAWN_IN = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "pt": 25.4 / 72, "px": 25.4 / 96}


@dataclass(frozen=True)
class Chain:
    """A line as a chain of points [mm], whether it closes on itself, and its layer: groups, the outermost first."""

    points: list[Point]
    closed: bool
    layer: tuple[str, ...] = ()
    hidden: bool = False  # not shown in the drawing: switched off, frozen


@dataclass(frozen=True)
class Unit:
    """One unit of a drawing [mm] by its name, why it was taken so, and whether nobody said it."""

    millimetres: float
    name: str
    why: str
    guessed: bool = False


def told(drawn_in: str | None) -> Unit | None:
    """Give the unit that the design names; None when it leaves it to the drawing."""
    return None if drawn_in is None else Unit(DRAWN_IN[drawn_in], drawn_in, f'drawn_in = "{drawn_in}" says so')


def on_layer(chains: list[Chain], layer: str | None, where: str) -> list[Chain]:
    """Keep what lies on the layer asked for; without one, of what is shown, a layer named cut; else everything.

    Raises DesignError when nothing lies on the layer asked for, or nothing is shown.
    """
    if layer is None and chains and all(chain.hidden for chain in chains):
        raise DesignError(
            f'{where}: all that is drawn is hidden; show it, or name its layer: layer = "..."{layers_text(chains)}'
        )
    chains = [chain for chain in chains if layer is not None or not chain.hidden]
    name = (layer or "cut").strip().lower()
    kept = [chain for chain in chains if name in (one.strip().lower() for one in chain.layer)]
    if layer is not None and not kept:
        raise DesignError(f'{where}: nothing is drawn on a layer "{layer}"{layers_text(chains)}')
    return kept or chains


def hidden_layers(chains: list[Chain]) -> tuple[str, ...]:
    """Name the layers on which something is hidden."""
    return tuple(sorted({chain.layer[0] for chain in chains if chain.hidden and chain.layer}))


def layers_text(chains: list[Chain]) -> str:
    """Name the layers there are, for the end of a sentence; nothing when no line has one."""
    names = sorted({chain.layer[0] for chain in chains if chain.layer})
    listed = ", ".join(f'"{name}"' for name in names[:8]) + (", ..." if len(names) > 8 else "")
    return f"; lines are on {listed}" if names else ""
