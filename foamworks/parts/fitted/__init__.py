"""What is printed and fitted to the model besides fins and pod: a module in this folder is such a part by being here.

Its `made` takes a design and the filament, and gives the printed parts that the design asks for: none, one or more.
"""

from collections.abc import Callable
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from foamworks.design.model import Design
from foamworks.parts.base import PrintPart
from foamworks.parts.solidmath import Filament

Maker = Callable[[Design, Filament], list[PrintPart]]


def fitted_prints(design: Design, filament: Filament) -> list[PrintPart]:
    """Make every fitted part that a design asks for."""
    return [part for made in makers() for part in made(design, filament)]


@cache
def makers() -> tuple[Maker, ...]:
    """Give `made` of each module here, by its name."""
    return tuple(import_module(f"{__name__}.{module.name}").made for module in iter_modules(__path__))
