"""What a pod is put together with and nobody prints: tube, washers, card sleeves, screws or hook, glue.

Millimetres and grams; stations as in `pod`. What has a place of its own has a shape, to be drawn.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Literal

from shapely import Polygon

from foamworks.parts import rings
from foamworks.parts.base import BoughtPart, Extrude, Revolve, Shape
from foamworks.parts.pod import (
    HOOK_REACH,
    HOOK_WIRE,
    PROUD,
    SCREW,
    WASHER,
    MotorFit,
    PodLayout,
    PodPlace,
    cap_pieces,
    hook_hole,
)

TUBE, HOOK = "pod tube", "motor hook"  # the hook goes through a hole in the tube
SCREW_ACROSS, SCREW_HEAD = (3.0, 5.6), 2.4  # mm across shank and head, and the head's height (ISO 7045, from memory)
GLUE_MASS = 4.0  # g of epoxy for one pod; common practice, no source
STEEL, PLY, CARD = 7.85e-3, 0.68e-3, 0.70e-3  # g/mm3, handbook values from memory
# g/cm3 by the word found in the tube's material, from memory; a weighed tube replaces it
TUBE_DENSITY = {"paper": 0.75, "card": 0.70, "phenolic": 1.25, "glass": 1.85, "carbon": 1.55}


def pod_bought(
    layout: PodLayout,
    place: PodPlace,
    *,
    tube_inner: float,
    tube_outer: float,
    material: str = "paper tube",
    retainer: Literal["cap", "hook"] | None = "cap",
    ply: float = 0.0,
) -> tuple[BoughtPart, ...]:
    """Tube, washers, card sleeves, screws or hook, glue; ply: thickness [mm] of a retainer's plate of plywood."""
    held = [fit for fit in layout.motors if fit.fits]
    length = layout.tube[1] - layout.tube[0]
    density = next((value for word, value in TUBE_DENSITY.items() if word in material.lower()), math.nan)
    mass = _hollow(tube_outer, tube_inner, length) * density / 1000
    middle = sum(layout.tube) / 2
    tube = rings.ring(outer=tube_outer, inner=tube_inner, length=length)
    note = f"{material}, {length:g} mm long"
    bought = [_bought(TUBE, mass, place, middle, note=note, shape=tube, front=layout.tube[1])]
    for fit in held:
        bought += _washers(fit, place, tube_inner, max(f.motor.diameter for f in held), retainer)
        bought += _sleeve(fit, place, tube_inner)
    if retainer == "cap" and held:
        note = f"M3 x {SCREW[0]:g}, they cut their own thread in the collar"
        bought.append(_screws(place, tube_outer, ply or rings.PLATE_THICKNESS, note))
    if retainer == "cap" and held and ply:
        bought += _ply_cap(place, tube_outer, max(f.motor.diameter for f in held), ply)
    if retainer == "hook" and held:
        bought.append(_hook(held, layout, place, tube_outer, tube_inner))
    return (*bought, _bought("pod glue", GLUE_MASS, place, middle, note="epoxy, for tube, ring, nose and mount"))


def _washers(
    fit: MotorFit, place: PodPlace, tube_inner: float, widest: float, retainer: Literal["cap", "hook"] | None
) -> Iterable[BoughtPart]:
    motor = fit.motor
    rows = [(f"washer ahead of {motor.name}", tube_inner - 0.5, max(motor.diameter - 2 * rings.BEARING, 2.0))]
    if retainer == "cap":
        rows.append((f"washer behind {motor.name}", widest, motor.diameter - 2 * rings.LIP))
    for (name, outer, bore), front in zip(rows, (motor.length + WASHER, 0.0), strict=False):
        yield _bought(
            name,
            _hollow(outer, bore, WASHER) * PLY,
            place,
            front - WASHER / 2,
            motor=motor.name,
            note=f"ply {WASHER:g} mm, {outer:.1f} mm outside, {bore:.1f} mm inside",
            shape=rings.ring(outer=outer, inner=bore, length=WASHER),
            front=front,
            ring=(outer, bore),
        )


def _ply_cap(place: PodPlace, tube_outer: float, widest: float, ply: float) -> Iterable[BoughtPart]:
    """Give the retainer's ring and plate as they are cut from plywood, the ring of several layers."""
    apart, round_about = 2 * rings.screw_offset(tube_outer), tube_outer + 2 * rings.COLLAR_WALL
    bores = (widest + 2 * rings.MOTOR_SLIDE, widest - 2 * rings.LIP)
    for piece, bore in zip(cap_pieces(tube_outer, widest, ply)[1:], bores, strict=True):
        note = (
            f"plywood, {piece.shape.height:g} mm thick: {bore:.1f} mm inside, {round_about:.1f} mm outside, with ears "
            f"of {rings.EAR_RADIUS:g} mm round two holes of {rings.SCREW_HOLE:g} mm, {apart:.1f} mm apart. {piece.note}"
        )
        mass = piece.shape.outline.area * piece.shape.height * PLY
        made = _bought(piece.name, mass, place, piece.front - piece.shape.height / 2, note=note)
        yield replace(made, shape=piece.shape, places=place.extruded(piece.front))


def _sleeve(fit: MotorFit, place: PodPlace, tube_inner: float) -> list[BoughtPart]:
    """Give the rolled card round a smaller motor: thin under its rings, or filling the tube where no ring fits."""
    motor = fit.motor
    if not fit.centred:
        return []
    ringed = rings.centring_ring(tube_inner=tube_inner, motor=motor.diameter) is not None
    outer = motor.diameter + 2 * rings.CARD if ringed else tube_inner - rings.SLIDE
    length = motor.length - PROUD
    note = f"card rolled round the motor to {outer:.1f} mm outside, {length:g} mm long"
    mass = _hollow(outer, motor.diameter, length) * CARD
    made = _bought(
        f"card sleeve for {motor.name}",
        mass,
        place,
        (PROUD + motor.length) / 2,
        motor=motor.name,
        note=note,
        shape=rings.ring(outer=outer, inner=motor.diameter, length=length),
        front=motor.length,
    )
    return [made]


def _screws(place: PodPlace, tube_outer: float, plate: float, note: str) -> BoughtPart:
    """Give the two screws through a plate this thick and its ring into the collar, heads aft [mm]."""
    shank, head, (length, mass) = SCREW_ACROSS[0] / 2, SCREW_ACROSS[1] / 2, SCREW
    shape = Revolve(
        (
            (0.0, 0.0),
            (0.0, shank),
            (length, shank),
            (length, head),
            (length + SCREW_HEAD, head),
            (length + SCREW_HEAD, 0.0),
        )
    )
    off, front = rings.screw_offset(tube_outer), length - WASHER - plate
    places = tuple(replace(p, y=p.y + side * off) for p in place.revolved(front) for side in (1, -1))
    made = _bought("retainer screw", mass, place, PROUD, each=2, note=note)
    return replace(made, shape=shape, places=places)


def _hook(
    held: Sequence[MotorFit], layout: PodLayout, place: PodPlace, tube_outer: float, tube_inner: float
) -> BoughtPart:
    aft = tube_outer / 2 - min(fit.motor.diameter for fit in held) / 2 + HOOK_REACH
    front = (tube_outer - tube_inner) / 2 + HOOK_REACH
    hole = hook_hole(layout)
    wire = hole + aft + front
    note = (
        f"{HOOK_WIRE:g} mm spring steel wire, {wire:.0f} mm: bound along the top of the tube, its front end "
        f"{front:.0f} mm in through a hole of {HOOK_WIRE + rings.NOTCH_ROOM:g} mm, "
        f"{hole - layout.tube[0]:.1f} mm from the tube's aft end, into the thrust ring's notch; its aft end "
        f"{aft:.0f} mm over the motor's edge"
    )
    mass = math.pi / 4 * HOOK_WIRE**2 * wire * STEEL
    places = tuple(replace(p, y=p.y + HOOK_WIRE / 2, roll=math.pi / 2) for p in place.revolved(hole + HOOK_WIRE / 2))
    shape = _bent(length=hole + 1.5 * HOOK_WIRE, low=tube_outer / 2, front=front, aft=aft)
    return replace(_bought(HOOK, mass, place, hole / 2, note=note), shape=shape, places=places)


def _bent(*, length: float, low: float, front: float, aft: float) -> Extrude:
    """Draw the hook from the side, x aft and y outward: its back on the tube, both ends bent in."""
    high, thin = low + HOOK_WIRE, HOOK_WIRE
    ahead = [(thin, low), (thin, low - front), (0.0, low - front), (0.0, high)]
    behind = [(length, high), (length, low - aft), (length - thin, low - aft), (length - thin, low)]
    return Extrude(Polygon([*ahead, *behind]), thin)


def _bought(
    name: str,
    mass: float,
    place: PodPlace,
    s: float,
    *,
    each: int = 1,
    motor: str | None = None,
    note: str,
    shape: Shape | None = None,
    front: float = 0.0,
    ring: tuple[float, float] | None = None,
) -> BoughtPart:
    """Give a bought part, its mass at station `s`; a `shape` that turns about the pod's axis, its front at `front`.

    `ring`: outer and inner diameter where it is a flat ring cut by hand [mm].
    """
    x, z = place.point(s)
    places = () if shape is None else place.revolved(front)
    return BoughtPart(
        name,
        count=each * len(place.ys),
        mass_g=mass,
        x_mm=x,
        z_mm=z,
        motor=motor,
        note=note,
        group="pod",
        shape=shape,
        places=places,
        ring_mm=ring,
    )


def _hollow(outer: float, inner: float, length: float) -> float:
    """Volume of a tube [mm3]."""
    return math.pi / 4 * (outer**2 - inner**2) * length
