"""The assembly as binary glTF 2.0, for a viewer on a phone: the same bodies in the same groups as assembly.step.

Metres, y up, as the format asks: x stays aft, z becomes up, y to starboard becomes towards the viewer.
Written after the specification of glTF 2.0 (Khronos Group), chapters 4 (GLB) and 5.
"""

import itertools
import json
import struct
from collections.abc import Sequence
from typing import Any

import numpy as np

from foamworks.output.keys import Row
from foamworks.output.prints.assembly import COLOURS, named, sets
from foamworks.output.views.bodies import Body, drawn

FLOAT, UINT = 5126, 5125
ARRAY, ELEMENT = 34962, 34963
AXES = 1e-3 * np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # mm aft, starboard, up to metres, y up


def glb(there: Sequence[Body]) -> bytes:
    """Write the bodies, each a mesh with its colour and name, under a node for each group."""
    kinds = sorted({body.kind for body in there if body.kind in COLOURS})
    blob = bytearray()
    views: list[Row] = []
    accessors: list[Row] = []
    meshes: list[Row] = []
    groups = sets(there)
    for body in (body for held in groups.values() for body in held):
        made = drawn(body)
        vertices = (made.vertices @ AXES.T).astype("<f4")
        _add(views, accessors, blob, vertices, "VEC3", ARRAY)
        accessors[-1] |= {"min": vertices.min(axis=0).tolist(), "max": vertices.max(axis=0).tolist()}
        _add(views, accessors, blob, made.triangles.astype("<u4").ravel(), "SCALAR", ELEMENT)
        primitive = {
            "attributes": {"POSITION": len(accessors) - 2},
            "indices": len(accessors) - 1,
            "material": kinds.index(body.kind),
        }
        meshes.append({"name": named(body), "primitives": [primitive]})
    nodes: list[Row] = [{"name": mesh["name"], "mesh": number} for number, mesh in enumerate(meshes)]
    number = itertools.count()
    nodes += [{"name": name, "children": [next(number) for _ in held]} for name, held in groups.items()]
    document = {
        "asset": {"version": "2.0", "generator": "foamworks"},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(meshes), len(nodes)))}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(kind) for kind in kinds],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(blob)}],
    }
    return _container(json.dumps(document, separators=(",", ":")).encode("utf-8"), bytes(blob))


def _add(views: list[Row], accessors: list[Row], blob: bytearray, data: Any, kind: str, target: int) -> None:
    """Put numbers at the end of the buffer, with the view and the accessor that find them again."""
    views.append({"buffer": 0, "byteOffset": len(blob), "byteLength": data.nbytes, "target": target})
    component = FLOAT if target == ARRAY else UINT
    accessors.append({"bufferView": len(views) - 1, "componentType": component, "count": len(data), "type": kind})
    blob += data.tobytes()


def _material(kind: str) -> Row:
    linear = [round(value**2.2, 4) for value in COLOURS[kind]]  # the format takes colours in linear light
    rough = {"baseColorFactor": [*linear, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.8}
    return {"name": kind, "pbrMetallicRoughness": rough, "doubleSided": True}


def _container(text: bytes, blob: bytes) -> bytes:
    """Header and two chunks, each padded to four bytes: spaces after JSON, noughts after numbers."""
    text += b" " * (-len(text) % 4)
    blob += b"\0" * (-len(blob) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(blob), 0x004E4942) + blob
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks
