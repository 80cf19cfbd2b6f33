"""Drawings read: from the lines of a DXF or SVG file to one outline with its holes."""
