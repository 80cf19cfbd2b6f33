"""The binary STL file of a mesh [mm]."""

import struct

import numpy as np

from foamworks.parts.mesh import Mesh

STL_HEADER = 80  # bytes


def stl(made: Mesh, name: str) -> bytes:
    """The mesh as a binary STL file; the part's name stands in the header."""
    corners = made.vertices[made.triangles].astype("<f4")
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    record = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corner", "<f4", (3, 3)), ("attribute", "<u2")])
    record["normal"] = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    record["corner"] = corners
    header = f"mm {name}".encode("ascii", "replace")[:STL_HEADER].ljust(STL_HEADER)
    return header + struct.pack("<I", len(corners)) + record.tobytes()
