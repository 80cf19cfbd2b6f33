"""What a builder holds a ruler or a scale to, who measures in inches or ounces: their number beside mm or g."""

import math

from foamworks.design.model import Design
from foamworks.design.reading.typed import Customary
from foamworks.units import said

BESIDE: dict[str, tuple[Customary, int]] = {"mm": ("in", 2), "g": ("oz", 2)}  # unit, decimals


def beside(design: Design, si: float, unit: str) -> str:
    """Give what stands behind a number in mm or g: it in inches or ounces, where the design is typed in these."""
    own, decimals = BESIDE[unit]
    return f" ({said(si, own, decimals)})" if own in design.typed_in and math.isfinite(si) else ""


def read(design: Design, si: float, unit: str, decimals: int) -> str:
    """Write a length or a mass as `said` does, in the builder's own unit too."""
    return said(si, unit, decimals) + beside(design, si, unit)
