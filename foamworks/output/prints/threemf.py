"""The 3MF file of one printed part, or of a whole plate of them, in millimetres: the same bytes on any day.

Written after the core specification of the 3D Manufacturing Format, version 1.x: a zip archive of three members.
"""

import io
import math
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from foamworks.output.views.drawing import num
from foamworks.parts.mesh import Mesh

DIGITS = 5  # decimals of a millimetre
STAMP = (1980, 1, 1, 0, 0, 0)  # the earliest time a zip archive can hold: no file carries the day it was made
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
MODEL_RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


@dataclass(frozen=True)
class Item:
    """One piece on the plate: which of the file's objects, turned about its origin [deg], then moved to (x, y) [mm]."""

    which: int
    angle: float = 0.0
    x: float = 0.0
    y: float = 0.0


def threemf(objects: Sequence[tuple[str, Mesh]], items: Sequence[Item] = (Item(0),)) -> bytes:
    """A file of named meshes and of the pieces to build of them; as it is, one piece of the first."""
    types = (
        f'{HEAD}<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="model" ContentType="{MODEL_TYPE}"/></Types>'
    )
    relations = (
        f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">'
        f'<Relationship Target="/3D/3dmodel.model" Id="model" Type="{MODEL_RELATION}"/></Relationships>'
    )
    members = {"[Content_Types].xml": types, "_rels/.rels": relations, "3D/3dmodel.model": _model(objects, items)}
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, text in members.items():
            info = zipfile.ZipInfo(path, STAMP)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0  # the same archive whichever system wrote it
            archive.writestr(info, text.encode("utf-8"))
    return file.getvalue()


def _model(objects: Sequence[tuple[str, Mesh]], items: Sequence[Item]) -> str:
    resources = "".join(_object(number, *each) for number, each in enumerate(objects, start=1))
    build = "".join(f'<item objectid="{item.which + 1}"{_transform(item)}/>' for item in items)
    return (
        f'{HEAD}<model unit="millimeter" xml:lang="en" xmlns="{CORE}"><resources>{resources}</resources>'
        f"<build>{build}</build></model>"
    )


def _object(number: int, name: str, made: Mesh) -> str:
    vertices = "".join(
        f'<vertex x="{num(x, DIGITS)}" y="{num(y, DIGITS)}" z="{num(z, DIGITS)}"/>'
        for x, y, z in made.vertices.tolist()
    )
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in made.triangles.tolist())
    return (
        f'<object id="{number}" type="model" name={quoteattr(name)}><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object>"
    )


def _transform(item: Item) -> str:
    """The attribute that carries a point (a row) by three rows and a move; none where nothing is moved."""
    if item == Item(item.which):
        return ""
    cos, sin = (round(turn(math.radians(item.angle)), 12) for turn in (math.cos, math.sin))
    numbers = (cos, sin, 0, -sin, cos, 0, 0, 0, 1, item.x, item.y, 0)
    return f' transform="{" ".join(num(number, DIGITS) for number in numbers)}"'
