"""Nesting: which part lies where on which sheet. Same input, same layout, in any process [mm, degrees]."""

from foamworks.parts.nest.core import nest
from foamworks.parts.nest.model import Layout, Piece, Placement, Stock, placed, turned
from foamworks.parts.nest.proof import verify

__all__ = ["Layout", "Piece", "Placement", "Stock", "nest", "placed", "turned", "verify"]
