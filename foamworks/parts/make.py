"""Every part a design asks for, in a fixed order: board, then print, then bought. Millimetres and grams.

Needs a design in which nothing is open any more; what cannot be made for want of a measure is left out, and a finding
says so. A weighed part carries its weighed mass.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

from foamworks.design.additions import Fins
from foamworks.design.model import Design
from foamworks.errors import NotGiven, given, not_measured, where_given
from foamworks.parts import fins, jigs
from foamworks.parts.base import IGNITION_PACK, BoardPart, BoughtPart, Group, Part, Parts, PrintPart
from foamworks.parts.cuts import cut_part
from foamworks.parts.density import board_named, filament, stuff
from foamworks.parts.fins import Span
from foamworks.parts.fitted import fitted_prints
from foamworks.parts.mounted_pod import MountedPod, mounted_pod, nose_fit, nose_prints
from foamworks.parts.pod import gauge, pod_prints
from foamworks.parts.pod_bought import pod_bought
from foamworks.units import degrees, grams, mm

ON_IT = 0.02  # m: a root so near to the tailplane's height stands on it (ours; a foam tail is 5 to 15 mm thick)
FIN_GLUE = 1.0  # g for one fin: a fillet of foam-safe glue each side (common practice, no source)
AnyPart = TypeVar("AnyPart", bound=Part)


def make(design: Design) -> Parts:
    """Make all parts of a solved design."""
    pod = mounted_pod(design)
    prints = [
        *(_pod_prints(design, pod) if pod else _nose_alone(design) or ()),
        *fitted_prints(design, filament(design)),
    ]
    return _with_bought(design, pod, [*(_fins(design) or ()), *_cuts(design)], prints)


def bought_anew(design: Design, parts: Parts) -> Parts:
    """Give the parts as they are made, the bought ones where they stand in this design: pack and lead have moved."""
    return _with_bought(design, mounted_pod(design), parts.boards, parts.prints)


def _with_bought(
    design: Design, pod: MountedPod | None, boards: Sequence[BoardPart], prints: Sequence[PrintPart]
) -> Parts:
    bought = [*(_fin_glue(design) or ()), *(_pod_bought(design, pod) if pod else ()), *(_camera(design) or ())]
    bought += [*_ignition(design), *_ballast(design)]
    first = len(boards) - len(design.cuts)
    others = {part.name for part in boards[:first]} | {part.name for part in prints} | {part.name for part in bought}
    twice = others & {part.name for part in boards[first:]}  # a finding names them
    weighed = {entry.part: grams(entry.mass) for entry in design.weighed if entry.part not in twice}
    return Parts(
        boards=tuple(_weighed(part, weighed) for part in boards),
        prints=tuple(_weighed(part, weighed) for part in prints),
        bought=tuple(_weighed(part, weighed) for part in bought),
    )


def _weighed(part: AnyPart, weighed: dict[str, float]) -> AnyPart:
    if part.name not in weighed:
        return part
    return replace(part, mass_g=weighed[part.name], known="given" if part.known == "given" else "weighed")


@where_given
def _fins(design: Design) -> list[BoardPart]:
    asked = given(design.fins)
    each = given(asked.each)
    board = stuff(board_named(design, asked.board))
    tip = mm(each.tip_chord)
    rounding = fins.ROUNDING_SHARE * tip if asked.rounding is None else mm(asked.rounding)
    lean, stands = root_lean(design), root_stand(design)
    tabs = fins.tab_places(mm(each.root_chord), board.thickness, stands) if asked.mount == "tab" else ()
    fin = fins.fin(
        root_chord=mm(each.root_chord),
        tip_chord=tip,
        height=mm(each.height),
        sweep=each.sweep,
        rounding=rounding,
        tabs=tabs,
        board=board.name,
        thickness=board.thickness,
        areal_density=board.areal_density,
        count=asked.count,
        x_root=mm(asked.root.x),
        z_root=mm(asked.root.z),
        cant=asked.cant,
        root_bevel=lean,
    )
    fin = replace(fin, note=f"{fin.note}{_stance(asked)}")
    if asked.mount != "tab":
        return [fin, *jigs.fin_jigs(design, asked, each, lean=lean, stuff=board, marked=False)]
    template = fins.slot_template(
        root_chord=mm(each.root_chord),
        tabs=tabs,
        thickness=board.thickness,
        slot_width=board.thickness / math.cos(lean),
        board=board.name,
        toe=asked.toe,
        y_root=mm(asked.root.y),
        edge=None if stands is None else stands[0],
    )
    comb = jigs.slot_comb(board=board.name, thickness=board.thickness)
    density = board.areal_density
    bench = [replace(part, mass_g=part.outline.area * density) for part in (template, comb) if part is not None]
    blocks = jigs.fin_jigs(design, asked, each, lean=lean, stuff=board, marked=template is not None)
    return [fin, *bench, *blocks]


def root_lean(design: Design) -> float:
    """Give how far a fin leans outward from square on what it stands on [rad]: cant, and the tailplane's dihedral."""
    asked, airframe = design.fins, design.airframe
    if asked is None:
        return 0.0
    stations = airframe.tailplane.stations if airframe.tailplane is not None else ()
    for inner, outer in pairwise(stations):
        if inner.y <= abs(asked.root.y) <= outer.y and outer.y > inner.y:
            return asked.cant + math.atan2(outer.z - inner.z, outer.y - inner.y)
    return asked.cant


@where_given
def root_stand(design: Design) -> Span:
    """Give the stretch of a fin's root that stands on the tailplane ahead of the hinge, from its front end [mm].

    None where it does not stand on one: a fin in the middle, no tailplane, or a root that is not at its height.
    """
    asked, tail = given(design.fins), given(design.airframe.tailplane)
    y, half = abs(asked.root.y), tail.half
    lead, chord, height = map(float, half.along(y))
    if asked.count != 2 or not half.s[0] <= y <= half.s[-1] or abs(asked.root.z - height) > ON_IT:
        raise NotGiven
    fixed = chord * (1 - tail.elevator.chord_fraction) if tail.elevator is not None else chord
    return mm(lead - asked.root.x), mm(lead + fixed - asked.root.x)


def _stance(asked: Fins) -> str:
    """Say how the fins lean and point, where they do; the sizing counts the cant, the toe is for the template."""
    words = []
    if asked.cant:
        words.append(f"cant {degrees(asked.cant):g} deg, tops outward")
    if asked.toe:
        words.append(f"toe {degrees(asked.toe):g} deg, leading edges inward")
    return "".join(f"; {word}" for word in words)


def _cuts(design: Design) -> list[BoardPart]:
    found = []
    for cut in design.cuts:
        board = stuff(board_named(design, cut.board))
        density = board.areal_density if board.measured else math.nan
        found.append(cut_part(cut, board=board.name, thickness=board.thickness, areal_density=density))
    return found


@where_given
def _fin_glue(design: Design) -> list[BoughtPart]:
    asked = given(design.fins)
    x, z = mm(asked.root.x + given(asked.each).root_chord / 2), mm(asked.root.z)
    note = "foam-safe glue with air, a fillet on both sides"
    return [BoughtPart("fin glue", count=asked.count, mass_g=FIN_GLUE, x_mm=x, z_mm=z, note=note, group="fins")]


def _pod_prints(design: Design, pod: MountedPod) -> list[PrintPart]:
    prints = nose_prints(design, pod)
    size = {"tube_inner": pod.tube_inner, "tube_outer": pod.tube_outer}
    ply, plastic, holds = design.build.ply_retainer > 0, pod.filament, pod.retained_by or None
    prints += pod_prints(pod.layout, pod.place, **size, retainer=holds, ply=ply, filament=plastic)
    return [*prints, *(pod.mount.prints if pod.sections else ())]


def _pod_bought(design: Design, pod: MountedPod) -> tuple[BoughtPart, ...]:
    size = {"tube_inner": pod.tube_inner, "tube_outer": pod.tube_outer}
    ply, tube = mm(design.build.ply_retainer), pod.material
    return pod_bought(pod.layout, pod.place, **size, material=tube, retainer=pod.retained_by or None, ply=ply)


@where_given
def _nose_alone(design: Design) -> list[PrintPart]:
    """Give a nose alone, with its gauge: its fit, and one a tenth of a millimetre to either side."""
    pod = given(design.pod)
    prints, fit = nose_prints(design, None), nose_fit(design, given(pod.nose))
    steps = tuple(round(max(fit + more, 0.0), 3) for more in (0.1, 0.0, -0.1))
    return [*prints, *([gauge(mm(pod.tube.inner), steps, filament(design))] if pod.tube.inner else [])]


@where_given
def _camera(design: Design) -> list[BoughtPart]:
    camera = given(design.camera)
    at, mass = given(camera.at), given(camera.mass)
    return [_given_part("camera", mass, at.x, at.z, group="camera")]


def _ignition(design: Design) -> list[BoughtPart]:
    pack = design.ignition.pack if design.ignition else None
    if not pack or not design.pod or not design.pod.nozzle or not_measured(pack.mass + pack.x):
        return []
    note = "its own battery, with its leads"
    return [_given_part(IGNITION_PACK, pack.mass, pack.x, pack.z, group="ignition pack", note=note)]


def _ballast(design: Design) -> list[BoughtPart]:
    ballast = design.ballast
    if ballast is None or not ballast.mass > 0:
        return []
    return [_given_part("ballast", ballast.mass, ballast.x, ballast.z, group="ballast", note="lead, glued in")]


def _given_part(name: str, mass: float, x: float, z: float, *, group: Group, note: str = "") -> BoughtPart:
    """Give a part whose mass [kg] and place [m] stand in the file."""
    return BoughtPart(name, mass_g=grams(mass), x_mm=mm(x), z_mm=mm(z), note=note, group=group, known="given")
