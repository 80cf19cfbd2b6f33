"""Every part a design asks for, in a fixed order: board, then print, then bought. Millimetres and grams.

Needs a design in which nothing is "auto" any more; what cannot be made for want of a measure is left out, and a finding
says so. A weighed part carries its weighed mass.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import TypeVar

import numpy as np

from foamworks.design.additions import Fins, Pod
from foamworks.design.model import Design
from foamworks.parts import coupons, fairing, fins, jigs, mount, nose
from foamworks.parts.base import IGNITION_PACK, BackSection, BoardPart, BoughtPart, Parts, Point, PrintPart
from foamworks.parts.cuts import cut_part
from foamworks.parts.density import board_named, stuff
from foamworks.parts.fins import Span
from foamworks.parts.pod import MotorSize, PodLayout, PodPlace, gauge, lower_side, pod_layout, pod_prints
from foamworks.parts.pod_bought import pod_bought
from foamworks.parts.solidmath import Filament
from foamworks.physics.profiles import Profile
from foamworks.units import degrees, grams, grams_per_cm3, mm

ON_IT = 0.02  # m: a root so near to the tailplane's height stands on it (ours; a foam tail is 5 to 15 mm thick)
FIN_GLUE = 1.0  # g for one fin: a fillet of foam-safe glue each side (common practice, no source)
DEFAULT_FILAMENT = Filament(density=1.27)  # PETG, the least that stands near a motor (trade's table)
# why: solving makes the parts several times, and a nose stays the same while the pod tilts
nose_shape = lru_cache(maxsize=32)(nose.nose_cone)
AnyPart = TypeVar("AnyPart", BoardPart, PrintPart, BoughtPart)


@dataclass(frozen=True)
class PodShape:
    """What the pod's fit is worked out with: layout, lower side of tube and nose, the back's sections."""

    layout: PodLayout
    lower: tuple[Point, ...]
    sections: tuple[BackSection, ...]


def make(design: Design) -> Parts:
    """Make all parts of a solved design."""
    cuts, boards = _cuts(design), _fins(design)
    prints, bought = _pod(design)
    prints += fairing.camera_fairing(design, filament(design))
    bought = [*_fin_glue(design), *bought, *_camera(design), *_ignition(design), *_ballast(design)]
    others = {part.name for part in boards} | {part.name for part in prints} | {part.name for part in bought}
    twice = others & {part.name for part in cuts}  # a finding names them
    weighed = {entry.part: grams(entry.mass) for entry in design.weighed if entry.part not in twice}
    return Parts(
        boards=tuple(_weighed(part, weighed) for part in (*boards, *cuts)),
        prints=tuple(_weighed(part, weighed) for part in prints),
        bought=tuple(_weighed(part, weighed) for part in bought),
    )


def _weighed(part: AnyPart, weighed: dict[str, float]) -> AnyPart:
    return replace(part, mass_g=weighed[part.name]) if part.name in weighed else part


def _fins(design: Design) -> list[BoardPart]:
    if design.fins is None or design.fins.each is None:
        return []
    asked, each = design.fins, design.fins.each
    board = stuff(board_named(design, asked.board))
    tip = mm(each.tip_chord)
    rounding = fins.default_rounding(tip) if asked.rounding is None else mm(asked.rounding)
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
        return [fin, *jigs.fin_jigs(design, lean=lean, stuff=board, marked=False)]
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
    comb = coupons.slot_comb(board=board.name, thickness=board.thickness)
    density = board.areal_density
    bench = [replace(part, mass_g=part.outline.area * density) for part in (template, comb) if part is not None]
    blocks = jigs.fin_jigs(design, lean=lean, stuff=board, marked=template is not None)
    return [fin, *bench, *blocks]


def root_lean(design: Design) -> float:
    """Give how far a fin leans outward from square on what it stands on [rad]: cant, and the tailplane's dihedral."""
    asked, airframe = design.fins, design.airframe
    if asked is None:
        return 0.0
    stations = airframe.tailplane.stations if airframe is not None and airframe.tailplane is not None else ()
    for inner, outer in pairwise(stations):
        if inner.y <= abs(asked.root.y) <= outer.y and outer.y > inner.y:
            return asked.cant + math.atan2(outer.z - inner.z, outer.y - inner.y)
    return asked.cant


def root_stand(design: Design) -> Span | None:
    """Give the stretch of a fin's root that stands on the tailplane ahead of the hinge, from its front end [mm].

    None where it does not stand on one: a fin in the middle, no tailplane, or a root that is not at its height.
    """
    asked, airframe = design.fins, design.airframe
    if asked is None or asked.count != 2 or airframe is None or airframe.tailplane is None:
        return None
    tail, y = airframe.tailplane, abs(asked.root.y)
    rows = [(row.y, row.x, row.chord, row.z) for row in tail.stations]
    span, *given = zip(*rows, strict=True)
    lead, chord, height = (float(np.interp(y, span, values)) for values in given)
    if not span[0] <= y <= span[-1] or abs(asked.root.z - height) > ON_IT:
        return None
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
        density = board.areal_density if board.measured else None
        found.append(cut_part(cut, board=board.name, thickness=board.thickness, areal_density=density))
    return found


def _fin_glue(design: Design) -> list[BoughtPart]:
    asked = design.fins
    if asked is None or asked.each is None:
        return []
    x, z = mm(asked.root.x + asked.each.root_chord / 2), mm(asked.root.z)
    note = "foam-safe glue with air, a fillet on both sides"
    return [BoughtPart("fin glue", asked.count, FIN_GLUE, x, z, note=note, group="fins")]


def filament(design: Design) -> Filament:
    """Give what is printed with; without a printer table the trade's default."""
    if design.printer is None:
        return DEFAULT_FILAMENT
    f = design.printer.filament
    return Filament(density=grams_per_cm3(f.density), walls=f.walls, nozzle=mm(f.nozzle), infill=f.infill)


def bed(design: Design) -> tuple[float, float, float] | None:
    """Give the printer's bed [mm]."""
    if design.printer is None or design.printer.bed is None:
        return None
    x, y, z = (mm(side) for side in design.printer.bed)
    return (x, y, z)


def nose_profile(pod: Pod) -> tuple[Profile, float | None]:
    """Give the nose's profile and its parameter."""
    if pod.nose is None:
        return "cone", None
    name: Profile = "tangent_ogive" if pod.nose.profile == "ogive" else pod.nose.profile
    parameter = {"power": pod.nose.exponent, "haack": pod.nose.haack_c}.get(name)
    return name, parameter


def nose_fit(design: Design) -> float:
    """Give the clearance of the nose in its tube [mm on the diameter]: as asked, else by the printer."""
    asked = design.pod.nose.fit if design.pod is not None and design.pod.nose is not None else None
    return nose.default_fit(filament(design).nozzle) if asked is None else mm(asked)


def nose_part(design: Design, place: PodPlace | None, layout: PodLayout | None) -> PrintPart | None:
    """Make the nose cone; it needs nothing but the tube."""
    pod = design.pod
    if pod is None or pod.nose is None:
        return None
    profile, parameter = nose_profile(pod)
    shoulder = mm(pod.nose.shoulder)
    if shoulder is None and layout is not None:
        shoulder = layout.shoulder[1] - layout.shoulder[0]
    shape = nose_shape(
        profile=profile,
        length=mm(pod.nose.length),
        tube_outer=mm(pod.tube.outer),
        tube_inner=mm(pod.tube.inner),
        wall=mm(pod.nose.wall),
        shoulder=shoulder,
        parameter=parameter,
        nozzle=filament(design).nozzle,
        clearance=nose_fit(design),
    )
    places = place.revolved(layout.nose[1]) if place is not None and layout is not None else ()
    return nose.nose_print(shape, filament=filament(design), places=places, count=pod.count)


def layout_of(design: Design) -> PodLayout | None:
    """Set out the pod along its axis; None when the tube is not wholly measured."""
    pod = design.pod
    if pod is None or pod.tube.inner is None or pod.tube.length is None:
        return None
    shoulder = None if pod.nose is None or pod.nose.shoulder is None else mm(pod.nose.shoulder)
    return pod_layout(
        tube_inner=mm(pod.tube.inner),
        tube_outer=mm(pod.tube.outer),
        tube_length=mm(pod.tube.length),
        nose_length=mm(pod.nose.length) if pod.nose else 0.0,
        shoulder=shoulder,
        motors=[MotorSize(m.name, mm(m.diameter), mm(m.length)) for m in design.motors],
    )


def pod_place(design: Design) -> PodPlace | None:
    """Give where the pod stands; None before its downthrust is settled or without a nozzle."""
    pod = design.pod
    if pod is None or pod.nozzle is None or isinstance(pod.downthrust, str) or design.airframe is None:
        return None
    y = mm(abs(pod.y or 0.0))
    return PodPlace(mm(pod.nozzle.x), mm(pod.nozzle.z), pod.downthrust, (y, -y) if pod.count == 2 else (0.0,))


def pod_shape(design: Design) -> PodShape | None:
    """Give what the fit over the back is worked out with; None when tube or fuselage is not measured."""
    layout, airframe = layout_of(design), design.airframe
    if layout is None or design.pod is None or airframe is None or airframe.fuselage is None:
        return None
    cone = nose_part(design, None, layout)
    shape = cone.shape if cone is not None else None
    lower = lower_side(layout, tube_outer=mm(design.pod.tube.outer), nose=shape)  # type: ignore[arg-type]
    sections = tuple(BackSection(mm(s.x), mm(s.width), mm(s.height), mm(s.z)) for s in airframe.fuselage.sections)
    return PodShape(layout, tuple(lower), sections)


def pod_plane(design: Design) -> float:
    """Give the plane y of the pod, or of the starboard one of two [mm]."""
    pod = design.pod
    return mm(abs(pod.y or 0.0)) if pod is not None and pod.count == 2 else 0.0


def pod_clearance(design: Design, shape: PodShape) -> float | None:
    """Give the least distance between pod and back [mm]."""
    place = pod_place(design)
    if place is None:
        return None
    return mount.clearance(
        sections=shape.sections,
        lower=shape.lower,
        nozzle=(place.x, place.z),
        downthrust=place.downthrust,
        y=pod_plane(design),
    )


def fit_limit(design: Design, shape: PodShape) -> float | None:
    """Give the greatest downthrust that keeps the air gap [rad]; None where none does."""
    pod = design.pod
    if pod is None or pod.nozzle is None:
        return None
    return mount.greatest_tilt(
        sections=shape.sections,
        lower=shape.lower,
        nozzle=(mm(pod.nozzle.x), mm(pod.nozzle.z)),
        air_gap=mm(pod.air_gap),
        y=pod_plane(design),
    )


def clears_back(design: Design, shape: PodShape, tilt: float) -> bool:
    """Tell whether the pod, tipped by `tilt` [rad], keeps its air gap over the back."""
    if design.pod is None:
        return False
    tipped = design.model_copy(update={"pod": design.pod.model_copy(update={"downthrust": tilt})})
    gap = pod_clearance(tipped, shape)
    return gap is not None and gap >= mm(design.pod.air_gap)


def pod_mount(design: Design, shape: PodShape) -> mount.Mount:
    """Make the mount of each pod, or say why there is none."""
    place = pod_place(design)
    if place is None or design.pod is None:
        return mount.Mount(reason="the pod's nozzle and downthrust are not known")
    names = {0.0: "pod mount"} if len(place.ys) == 1 else {y: f"pod mount {'L' if y < 0 else 'R'}" for y in place.ys}
    prints: list[PrintPart] = []
    for y, name in names.items():
        made = mount.mount(
            sections=shape.sections,
            nozzle=(place.x, place.z),
            downthrust=place.downthrust,
            tube_outer=mm(design.pod.tube.outer),
            span=shape.layout.mount,
            y=y,
            name=name,
            bed=bed(design),
            filament=filament(design),
        )
        if made.reason:
            return made
        prints += made.prints
    return mount.Mount(prints=tuple(prints))


def _pod(design: Design) -> tuple[list[PrintPart], list[BoughtPart]]:
    pod = design.pod
    if pod is None:
        return [], []
    place, layout = pod_place(design), layout_of(design)
    cone = nose_part(design, place, layout)
    prints = [] if cone is None else [cone]
    if pod.tube.inner is None or place is None or layout is None:
        return [*prints, *_nose_gauge(design, pod)], []
    size = {"tube_inner": mm(pod.tube.inner), "tube_outer": mm(pod.tube.outer)}
    prints += pod_prints(layout, place, **size, retainer=pod.retainer, filament=filament(design))
    shape = pod_shape(design)
    if shape is not None:
        prints += pod_mount(design, shape).prints
    return prints, list(pod_bought(layout, place, **size, material=pod.tube.material, retainer=pod.retainer))


def _nose_gauge(design: Design, pod: Pod) -> list[PrintPart]:
    """Give the gauge that goes with a nose alone: its fit, and one a tenth of a millimetre to either side."""
    if pod.nose is None or pod.tube.inner is None:
        return []
    fit = nose_fit(design)
    steps = tuple(round(max(fit + more, 0.0), 3) for more in (0.1, 0.0, -0.1))
    return [gauge(mm(pod.tube.inner), steps, filament(design))]


def _camera(design: Design) -> list[BoughtPart]:
    camera = design.camera
    if camera is None or camera.at is None or camera.mass is None:
        return []
    x, z = mm(camera.at.x), mm(camera.at.z)
    return [BoughtPart("camera", 1, grams(camera.mass), x, z, group="camera")]


def _ignition(design: Design) -> list[BoughtPart]:
    pack = design.ignition.pack if design.ignition else None
    if pack is None or pack.mass is None or design.pod is None or design.pod.nozzle is None:
        return []
    if pack.x is None or isinstance(pack.x, str):  # not known, or still to be settled
        return []
    z = mm(pack.z)
    return [BoughtPart(IGNITION_PACK, 1, grams(pack.mass), mm(pack.x), z, note="its own battery, with its leads")]


def _ballast(design: Design) -> list[BoughtPart]:
    ballast = design.ballast
    if ballast is None or isinstance(ballast.mass, str) or ballast.mass <= 0 or not math.isfinite(ballast.mass):
        return []
    x, z = mm(ballast.x), mm(ballast.z)
    return [BoughtPart("ballast", 1, grams(ballast.mass), x, z, note="lead, glued in", group="ballast")]
