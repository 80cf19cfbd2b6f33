"""STEP files: one named solid, or an assembly of named and coloured solids in groups. AP214, millimetres.

The same bytes in every process: what the kernel writes by the day, by a counter or by chance is written anew.
"""

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from foamworks.parts.base import Placement
from foamworks.parts.solidmath import turn

STEP_DATE = "1970-01-01T00:00:00"  # no file carries the day it was made
Colour = tuple[float, float, float]  # red, green, blue of 0 to 1


@dataclass(frozen=True)
class Piece:
    """A solid of the kernel, its name, its places in the assembly and its colour."""

    name: str
    solid: Any
    places: tuple[Placement, ...] = ()
    colour: Colour | None = None


def write_step(path: Path, name: str, alone: Sequence[Piece], groups: Mapping[str, Sequence[Piece]]) -> None:
    """Write named solids in their own frame, and an assembly of named groups where there are any."""
    from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorSurf, XCAFDoc_DocumentTool

    names: list[str] = []

    def call(label: Any, name: str) -> Any:
        names.append(name)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(f"FOAMWORKS-NAME-{len(names) - 1:04d}"))
        return label

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def shape(piece: Piece) -> Any:
        label = call(tool.AddShape(piece.solid.wrapped, False), piece.name)
        if piece.colour is not None:
            colours.SetColor(label, Quantity_Color(*piece.colour, Quantity_TOC_sRGB), XCAFDoc_ColorSurf)
        return label

    for piece in alone:
        shape(piece)
    whole = call(tool.NewShape(), name) if groups else None
    for group, pieces in groups.items():
        holder = call(tool.NewShape(), group)
        for piece in pieces:
            label = shape(piece)
            for number, place in enumerate(piece.places, start=1):
                component = tool.AddComponent(holder, label, location(place))
                call(component, f"{piece.name} {number}" if len(piece.places) > 1 else piece.name)
        call(tool.AddComponent(whole, holder, TopLoc_Location()), group)
    tool.UpdateAssemblies()
    _save(document, path, name, names)


def _save(document: Any, path: Path, name: str, names: list[str]) -> None:
    from OCP.STEPCAFControl import STEPCAFControl_Writer

    writer = STEPCAFControl_Writer()
    writer.Transfer(document)
    writer.Write(str(path))
    text = _normal(path.read_text(encoding="ascii"), name, names)
    path.write_text(text, encoding="ascii", newline="\n")


def location(place: Placement) -> Any:
    """A placement as the kernel's location."""
    from OCP.gp import gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    rows = turn(place).tolist()
    made = gp_Trsf()
    made.SetValues(*rows[0], place.x, *rows[1], place.y, *rows[2], place.z)
    return TopLoc_Location(made)


def _normal(text: str, name: str, names: Sequence[str]) -> str:
    """The same bytes in every process: a fixed header, the real names, running ids counted from 1 in each file.

    A piece of several solids the kernel names by how many files it wrote before: that number is left out.
    """
    header = f"FILE_NAME({_quoted(name)},'{STEP_DATE}',(''),(''),'foamworks','foamworks','');"
    text = re.sub(r"FILE_NAME\(.*?\);", lambda _: header, text, count=1, flags=re.DOTALL)
    count = itertools.count(1)

    def flat(found: re.Match[str]) -> str:
        # since where the kernel breaks the line depends on how many digits its own number has
        return re.sub(r"\n *", "", found[0])

    def use(found: re.Match[str]) -> str:
        return re.sub(r"\('\d+'", f"('{next(count)}'", flat(found), count=1)

    text = re.sub(r"PRODUCT\('Open CASCADE.*?\);", flat, text, flags=re.DOTALL)
    text = re.sub(r"(Open CASCADE STEP translator [\d.]+ )\d+\.", r"\1", text)
    text = re.sub(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\(.*?\);", use, text, flags=re.DOTALL)
    text = re.sub(r"(?<=[(,])-0\.(?=[,)])", "0.", text)  # which of two alike corners sewing keeps is a matter of chance
    return re.sub(r"'FOAMWORKS-NAME-(\d+)'", lambda found: _quoted(names[int(found[1])]), _coloured(text))


def _coloured(text: str) -> str:
    """Write the colours anew, in the order of what they colour: the kernel's follows the machine's memory."""
    found = _STYLES.search(text)
    if found is None:
        return text
    entities = dict(re.findall(r"#(\d+) = (.*?);\n", found[0], flags=re.DOTALL))
    coloured = sorted(
        (int(shape), int(item), _colour(entities, style))
        for listed, item in re.findall(r"REPRESENTATION\('',\(([^)]*)\),#(\d+)\)", found[0])
        for styled in re.findall(r"#(\d+)", listed)
        for style, shape in re.findall(r"STYLED_ITEM\('color',\(#(\d+)\),#(\d+)\)", entities[styled])
    )
    start, lines = int(found[1]), []
    for number, (shape, item, colour) in enumerate(coloured):
        ids = {f"i{k}": start + number * len(_STYLED) + k for k in range(len(_STYLED))}
        lines += [line.format(item=item, shape=shape, colour=colour, **ids) for line in _STYLED]
    return text[: found.start()] + "".join(f"{line}\n" for line in lines) + text[found.end() :]


def _colour(entities: Mapping[str, str], number: str) -> str:
    """Follow a style to the numbers of its colour."""
    while not entities[number].startswith("COLOUR_RGB"):
        number = re.findall(r"#(\d+)", entities[number])[-1]
    return entities[number]


_STYLES = re.compile(  # all that the kernel writes at the file's end to colour shapes
    r"#(\d+) = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION.*(?=ENDSEC;\nEND-ISO)", re.DOTALL
)
_STYLED = (
    "#{i0} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{i1}),#{item});",
    "#{i1} = STYLED_ITEM('color',(#{i2}),#{shape});",
    "#{i2} = PRESENTATION_STYLE_ASSIGNMENT((#{i3}));",
    "#{i3} = SURFACE_STYLE_USAGE(.BOTH.,#{i4});",
    "#{i4} = SURFACE_SIDE_STYLE('',(#{i5}));",
    "#{i5} = SURFACE_STYLE_FILL_AREA(#{i6});",
    "#{i6} = FILL_AREA_STYLE('',(#{i7}));",
    "#{i7} = FILL_AREA_STYLE_COLOUR('',#{i8});",
    "#{i8} = {colour};",
)


def _quoted(name: str) -> str:
    r"""A text in the alphabet of STEP files (ISO 10303-21, 6.3.3): beyond ASCII by its code.

    >>> print(_quoted("Grün's"))
    'Gr\X2\00FC\X0\n''s'
    """
    plain = name.replace("\\", "\\\\").replace("'", "''")
    coded = re.sub(r"[^ -~]+", lambda found: f"\\X2\\{found[0].encode('utf-16-be').hex().upper()}\\X0\\", plain)
    return f"'{coded}'"
