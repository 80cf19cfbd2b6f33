"""The 3MF file of a printed part: one mesh in millimetres, the same bytes on any day.

Written after the core specification of the 3D Manufacturing Format, version 1.x: a zip archive of three members.
"""

import io
import zipfile
from xml.sax.saxutils import quoteattr

from foamworks.output.prints.mesh import Mesh

DIGITS = 5  # decimals of a millimetre
STAMP = (1980, 1, 1, 0, 0, 0)  # the earliest time a zip archive can hold: no file carries the day it was made
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
MODEL_RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def threemf(made: Mesh, name: str) -> bytes:
    """The mesh as a 3MF file of one object that carries the part's name."""
    types = (
        f'{HEAD}<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="model" ContentType="{MODEL_TYPE}"/></Types>'
    )
    relations = (
        f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">'
        f'<Relationship Target="/3D/3dmodel.model" Id="model" Type="{MODEL_RELATION}"/></Relationships>'
    )
    members = {"[Content_Types].xml": types, "_rels/.rels": relations, "3D/3dmodel.model": _model(made, name)}
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, text in members.items():
            info = zipfile.ZipInfo(path, STAMP)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0  # the same archive whichever system wrote it
            archive.writestr(info, text.encode("utf-8"))
    return file.getvalue()


def _model(made: Mesh, name: str) -> str:
    vertices = "".join(f'<vertex x="{_text(x)}" y="{_text(y)}" z="{_text(z)}"/>' for x, y, z in made.vertices.tolist())
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in made.triangles.tolist())
    return (
        f'{HEAD}<model unit="millimeter" xml:lang="en" xmlns="{CORE}"><resources>'
        f'<object id="1" type="model" name={quoteattr(name)}><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object></resources>"
        '<build><item objectid="1"/></build></model>'
    )


def _text(number: float) -> str:
    """A number without an exponent, a trailing nought or a negative zero."""
    text = f"{number:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
