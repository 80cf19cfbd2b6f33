"""The printed parts as solids: STEP, STL and 3MF of each, and the assembly in place. The only module with a CAD kernel.

Millimetres. The kernel is loaded when the first solid is made, never on import. Every part passes a gate before its
file counts as written: valid, one solid, volume and box as on paper, and the same again when the STEP file is read
back, since what is right in memory may be wrong in the file.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from shapely import LinearRing

from foamworks.errors import GateError, KernelMissing
from foamworks.output.folder import unique_names
from foamworks.output.prints.assembly import grouped
from foamworks.output.prints.glb import glb
from foamworks.output.prints.plates import Bed, plates
from foamworks.output.prints.step import Piece, write_step
from foamworks.output.prints.stl import stl
from foamworks.output.prints.threemf import threemf
from foamworks.output.sheets.arcs import circle
from foamworks.output.views.bodies import Body, standing
from foamworks.parts import pose
from foamworks.parts.base import Arch, Extrude, Point, PrintPart, Revolve, Saddle
from foamworks.parts.mesh import Loft, Mesh, Solid, mesh_part

VOLUME_BAND = 1e-3  # of the volume on paper; a meridian's chords stand within 1e-4, a 256-sided circle within 1e-4
BOX_BAND = 0.5  # mm
REREAD_BAND = 1e-4  # of the volume in memory (seen: 1e-7 and better; a broken file is off by tens of percent)
OVERSHOOT = 2.0  # mm that a cutter reaches beyond what it cuts
BACK_POINTS = 41  # on the body's elliptic back
SEAM = 1e-4  # mm: what lies so near the plane between a hood's roof and its legs is inside the solid
ROUND = 1e-6  # mm within which the corners of an outline stand on one circle
ARC_LEAST = 16  # chords at least that are taken for an arc: a rectangle's corners stand on one circle too
LONGEST_NAME = 60  # characters of a file name
INSTALL = "on Debian and Ubuntu: apt-get install --no-install-recommends libgl1"


def write_prints(
    parts: Sequence[PrintPart], folder: Path, bed: Bed | None = None, there: Sequence[Body] | None = None
) -> None:
    """Write prints/<part>.step, .stl and .3mf, the bed's plates, assembly.step and .glb under `folder`.

    `there`: what the assembly shows, the parts alone without it.

    STL and 3MF stand as they are printed, STEP files in the aircraft's axes. Raises GateError naming part and check,
    KernelMissing when the CAD kernel does not load.
    """
    if not parts:
        return
    _kernel()
    prints = folder / "prints"
    prints.mkdir(parents=True, exist_ok=True)
    solids = []
    names = safe_names([part.name for part in parts])
    posed = [pose.posed(mesh_part(part), pose.pose_of(part).up) for part in parts]
    for part, made, name in zip(parts, posed, names, strict=True):
        solids.append(gated(part))
        step = prints / f"{name}.step"
        write_step(step, part.name, [Piece(part.name, solids[-1])], {})
        _reread(step, part, solids[-1].Volume())
        (prints / f"{name}.stl").write_bytes(stl(made, part.name))
        (prints / f"{name}.3mf").write_bytes(threemf([(part.name, made)]))
    if bed is not None:
        _write_plates(parts, posed, bed, prints)
    known: dict[Solid, Any] = dict(zip([part.shape for part in parts], solids, strict=True))
    _write_assembly(standing(parts) if there is None else there, known, folder)


def _write_assembly(there: Sequence[Body], known: Mapping[Solid, Any], folder: Path) -> None:
    """Write assembly.step and .glb; `known`: solids that are made already."""
    made = {shape: known.get(shape) or solid(shape) for body in there for shape in body.shapes}
    write_step(folder / "assembly.step", "assembly", [], grouped(there, made))
    (folder / "assembly.glb").write_bytes(glb(there))


def _write_plates(parts: Sequence[PrintPart], posed: Sequence[Mesh], bed: Bed, prints: Path) -> None:
    """Write plate-1.3mf and on: what is on each plate, by name, where it lies."""
    for number, items in enumerate(plates(parts, posed, bed), start=1):
        which = sorted({item.which for item in items})
        here = [replace(item, which=which.index(item.which)) for item in items]
        (prints / f"plate-{number}.3mf").write_bytes(threemf([(parts[i].name, posed[i]) for i in which], here))


def safe_names(names: Sequence[str]) -> list[str]:
    """File names for parts: letters, digits and hyphens alone, since the kernel writes the files.

    >>> safe_names(["nose cone", "stop for 24/70", "Nose Cone"])
    ['nose-cone', 'stop-for-24-70', 'Nose-Cone-2']
    """
    return unique_names(re.sub(r"[^A-Za-z0-9]+", "-", name)[:LONGEST_NAME] for name in names)


def solid(shape: Solid) -> Any:
    """Make the kernel's solid of a shape in its own frame."""
    if isinstance(shape, Loft):
        return _loft(shape)
    if isinstance(shape, Revolve):
        return _revolve(shape)
    if isinstance(shape, Extrude):
        return _extrude(shape)
    if isinstance(shape, Arch):
        return _arch(shape)
    return _saddle(shape)


def gated(part: PrintPart) -> Any:
    """Make a part's solid and hold it against the part on paper."""
    made = solid(part.shape)
    _check(part, made.isValid(), "the solid is not valid")
    _check(part, len(made.Solids()) == 1, f"{len(made.Solids())} solids, one is wanted")
    one = made.Solids()[0]
    volume, paper = one.Volume(), part.volume_mm3
    _check(part, abs(volume - paper) <= VOLUME_BAND * paper, f"volume {volume:.2f} mm3, on paper {paper:.2f}")
    box = one.BoundingBox()
    found = (box.xlen, box.ylen, box.zlen)
    near = all(abs(a - b) <= BOX_BAND for a, b in zip(found, part.box_mm, strict=True))
    _check(part, near, f"box {[round(each, 2) for each in found]} mm, on paper {part.box_mm}")
    return one


def _check(part: PrintPart, passed: bool, fault: str) -> None:
    if not passed:
        raise GateError(f"{part.name}: {fault}")


def _reread(path: Path, part: PrintPart, volume: float) -> None:
    """Read a STEP file back and hold it against the solid it was written from."""
    back = _kernel().importers.importStep(str(path)).val()
    _check(part, back.isValid() and len(back.Solids()) == 1, "the STEP file does not read back as one valid solid")
    near = abs(back.Volume() - volume) <= REREAD_BAND * volume
    _check(part, near, f"the STEP file reads back with {back.Volume():.2f} mm3 for {volume:.2f}")


def _kernel() -> Any:
    try:
        import cadquery
    except ImportError as error:
        _pass_interruption_on(error)
        if "libGL" in str(error):
            raise KernelMissing(
                f"the CAD kernel needs the system library {error.name or 'libGL'}; {INSTALL}"
            ) from error
        raise KernelMissing(f"the CAD kernel does not load ({error}); install it with: pip install cadquery") from error
    return cadquery


def _pass_interruption_on(error: BaseException | None) -> None:
    """Raise KeyboardInterrupt when an error is what the kernel's C code made of one: no kernel is missing then."""
    first = error
    while error is not None:
        if isinstance(error, KeyboardInterrupt):
            raise KeyboardInterrupt from first
        error = error.__cause__ or error.__context__


def _revolve(shape: Revolve) -> Any:
    """One closed meridian, one turn: booleans of cones have left loose solids."""
    return _turned(shape, _path(shape.meridian, shape.smooth), 360.0)


def _turned(shape: Revolve | Arch, edges: Sequence[Any], angle: float) -> Any:
    """Close a meridian along the axis and turn it about it [deg]."""
    cq = _kernel()
    first, last = (cq.Vector(*shape.meridian[i], 0) for i in (0, -1))
    wire = cq.Wire.assembleEdges([*edges, cq.Edge.makeLine(last, first)])
    return cq.Solid.revolve(wire, [], angle, cq.Vector(0, 0, 0), cq.Vector(1, 0, 0))


def _path(points: Sequence[Point], smooth: Sequence[tuple[int, int]]) -> list[Any]:
    """The edges along a meridian, from its first to its last point: splines where it is smooth, lines elsewhere."""
    cq = _kernel()
    at = [cq.Vector(x, r, 0) for x, r in points]
    runs, edges, i = dict(smooth), [], 0
    while i < len(at) - 1:
        end = runs.get(i, i + 1)
        # no tangents: given ones have bent the curve by millimetres
        edges.append(cq.Edge.makeSpline(at[i : end + 1]) if i in runs else cq.Edge.makeLine(at[i], at[end]))
        i = end
    return edges


def _arch(shape: Arch) -> Any:
    """Half a turn of the meridian over its legs, sewn along their common edges: a boolean takes 30 times as long."""
    cq = _kernel()
    edges = _path(shape.meridian, shape.smooth)
    made = _turned(shape, edges, 180.0)
    if shape.height > 0:
        plan = cq.Wire.assembleEdges([*edges, *(edge.mirror("XZ") for edge in reversed(edges))])
        legs = cq.Solid.extrudeLinear(plan, [], cq.Vector(0, 0, -shape.height))
        skin = [face for face in (*made.Faces(), *legs.Faces()) if abs(face.Center().z) > SEAM]
        made = cq.Solid.makeSolid(_in_order(cq.Shell.makeShell(skin)))
    return made.translate(cq.Vector(0, 0, shape.height))


def _in_order(shell: Any) -> Any:
    """Give a sewn shell its faces in an order of place: sewing leaves them as they lie in the machine's memory."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Shell

    def place(face: Any) -> tuple[float, ...]:
        middle = face.Center()
        return tuple(round(value, 6) + 0.0 for value in (middle.x, middle.y, middle.z, face.Area()))

    builder, made = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(made)
    for face in sorted(shell.Faces(), key=place):
        builder.Add(made, face.wrapped)
    made.Closed(True)
    return type(shell)(made)


def _extrude(shape: Extrude) -> Any:
    cq = _kernel()
    outer, *inner = (_wire(ring) for ring in (shape.outline.exterior, *shape.outline.interiors))
    return cq.Solid.extrudeLinear(outer, inner, cq.Vector(0, 0, shape.height))


def _wire(ring: LinearRing) -> Any:
    """A ring of an outline, its runs of corners on one circle made arcs again."""
    cq = _kernel()
    corners = [(float(x), float(y)) for x, y in ring.coords]
    centre, radius = circle(*(corners[len(corners) * i // 3] for i in range(3)))
    if len(corners) > ARC_LEAST and all(abs(math.dist(corner, centre) - radius) < ROUND for corner in corners):
        return cq.Wire.makeCircle(radius, cq.Vector(*centre, 0), cq.Vector(0, 0, 1))
    edges, i = [], 0
    while i < len(corners) - 1:
        end = _arc_end(corners, i)
        a, middle, b = (cq.Vector(*corners[k], 0) for k in (i, (i + end) // 2, end))
        edges.append(cq.Edge.makeThreePointArc(a, middle, b) if end > i + 1 else cq.Edge.makeLine(a, b))
        i = end
    return cq.Wire.assembleEdges(edges)


def _arc_end(corners: list[Point], start: int) -> int:
    """The last corner that stands on one circle with all from `start`; the next one when they are too few."""
    if start + ARC_LEAST >= len(corners):
        return start + 1
    centre, radius = circle(*(corners[start + k] for k in (0, ARC_LEAST // 2, ARC_LEAST)))
    end = start
    while end + 1 < len(corners) and abs(math.dist(corners[end + 1], centre) - radius) < ROUND:
        end += 1
    return end if end - start >= ARC_LEAST else start + 1


def _loft(shape: Loft) -> Any:
    """Straight rules between closed rings, each of two splines that meet at its first point and half way round."""
    cq = _kernel()
    wires = []
    for ring in shape.rings:
        half, at = len(ring) // 2, [cq.Vector(*point) for point in (*ring, ring[0])]
        # the number of a point is the parameter: equal numbers are joined
        halves = [
            cq.Edge.makeSpline(run, parameters=[float(i) for i in range(len(run))])
            for run in (at[: half + 1], at[half:])
        ]
        wires.append(cq.Wire.assembleEdges(halves))
    return cq.Solid.makeLoft(wires, True)


def _saddle(shape: Saddle) -> Any:
    """A block, less the body's back (lofted by straight rules), less the tube's bore; both cutters reach beyond it."""
    cq = _kernel()
    low = min(section.z - section.height for section in shape.sections) - OVERSHOOT
    # up to the tube's axis and no higher: what stood above the tube would be left over as a second solid
    rise = shape.length * math.tan(shape.tilt)
    side = [
        (0, low + OVERSHOOT),
        (shape.length, low + OVERSHOOT),
        (shape.length, shape.axis_z + rise),
        (0, shape.axis_z),
    ]
    wire = cq.Wire.makePolygon([cq.Vector(x, -shape.width / 2, z) for x, z in side], close=True)
    block = cq.Solid.extrudeLinear(wire, [], cq.Vector(0, shape.width, 0))
    body = cq.Solid.makeLoft([_back_wire(shape, *row, low) for row in _back_rows(shape)], True)
    along = cq.Vector(math.cos(shape.tilt), 0, math.sin(shape.tilt))
    reach = shape.bore + OVERSHOOT
    start = cq.Vector(0, 0, shape.axis_z) - along * reach
    bore = cq.Solid.makeCylinder(shape.bore, shape.length / math.cos(shape.tilt) + 2 * reach, start, along)
    return block.cut(body, bore)


def _back_rows(shape: Saddle) -> list[tuple[float, float, float, float]]:
    """x, width, height, z of the sections, the first and last moved out by the overshoot along their rules."""
    rows = np.array([(s.x, s.width, s.height, s.z) for s in shape.sections])
    first = rows[0] - (rows[1] - rows[0]) * OVERSHOOT / (rows[1, 0] - rows[0, 0])
    last = rows[-1] + (rows[-1] - rows[-2]) * OVERSHOOT / (rows[-1, 0] - rows[-2, 0])
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in [first, *rows[1:-1], last]]


def _back_wire(shape: Saddle, x: float, width: float, height: float, z: float, low: float) -> Any:
    """One section of the body's cutter: the ellipse's upper arc, closed far below; the same rules in every section."""
    cq = _kernel()
    half = (shape.width / 2 + abs(shape.body_offset_y) + OVERSHOOT) / (min(s.width for s in shape.sections) / 2)
    angle = np.linspace(-1, 1, BACK_POINTS) * math.asin(min(half, 0.995))
    arc = [cq.Vector(x, shape.body_offset_y + width / 2 * math.sin(a), z + height / 2 * math.cos(a)) for a in angle]
    left, right = cq.Vector(x, arc[0].y, low), cq.Vector(x, arc[-1].y, low)
    lines = [cq.Edge.makeLine(*pair) for pair in ((arc[-1], right), (right, left), (left, arc[0]))]
    # the angle is the parameter: equal angles are joined, which keeps every section between two ellipses an ellipse
    return cq.Wire.assembleEdges([cq.Edge.makeSpline(arc, parameters=[float(a) for a in angle]), *lines])
