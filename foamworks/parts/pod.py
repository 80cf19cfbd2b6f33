"""The booster pod: where tube, rings, stop, motor, retainer and nose stand along the axis, and every part of it.

Millimetres, grams, radians. A station s is the distance ahead of the nozzle (the motor's aft end, the pod's pivot)
along the pod's axis; on the aircraft it is nozzle - s (cos d, sin d) in (x, z), d the downthrust.
The motor pushes on a washer, a stop when it is short, and a thrust ring glued into the tube; behind it a washer and
a screwed plate, or a wire hook, hold it: friction alone does not.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from shapely import Polygon

from foamworks.parts import rings
from foamworks.parts.base import BoughtPart, Extrude, Placement, Point, PrintPart, Revolve, Shape
from foamworks.parts.nose import SHOULDER_LEAST, default_shoulder
from foamworks.parts.solidmath import Filament, print_part

PROUD = 8.0  # mm of the motor aft of the tube, to pull it out by (6 to 10, common practice)
WASHER = 1.5  # mm, the ply washers ahead of and behind a motor
PLAY = 0.4  # mm along the tube between washer and thrust ring: a case is seldom just as long as its sheet says (ours)
LEAST_GRIP = 15.0  # mm of a motor inside the tube
FIT = 0.1  # mm: a case of nominal diameter still slides into a tube this much narrower, cases are made under size
SNUG = 1.0  # mm of play on the diameter above which a motor is centred
LEAST_STOP = 1.0  # mm; a smaller difference in length is left to the washers
SCREW = (25.0, 1.6)  # M3 pan head: length [mm], mass [g] from memory
SCREW_ACROSS, SCREW_HEAD = (3.0, 5.6), 2.4  # mm across shank and head, and the head's height (ISO 7045, from memory)
HOOK_WIRE = 1.5  # mm steel wire
HOOK_REACH = 3.0  # mm of the hook over the motor's edge
GLUE_MASS = 4.0  # g of epoxy for one pod; common practice, no source
STEEL, PLY, CARD = 7.85e-3, 0.68e-3, 0.70e-3  # g/mm3, handbook values from memory
# g/cm3 by the word found in the tube's material, from memory; a weighed tube replaces it
TUBE_DENSITY = {"paper": 0.75, "card": 0.70, "phenolic": 1.25, "glass": 1.85, "carbon": 1.55}
MOUNT_SHARE = (0.25, 0.75)  # of the tube, from its aft end: the stretch that the mount holds


@dataclass(frozen=True)
class MotorSize:
    """A motor's name, diameter and length [mm]."""

    name: str
    diameter: float
    length: float


@dataclass(frozen=True)
class MotorFit:
    """Whether a motor is held ahead; `stop` [mm] is the distance piece between it and the thrust ring."""

    motor: MotorSize
    fits: bool
    stop: float = 0.0
    centred: bool = False
    reason: str = ""


@dataclass(frozen=True)
class PodLayout:
    """Stations [mm] ahead of the nozzle, each (aft, front)."""

    tube: tuple[float, float]
    thrust_ring: tuple[float, float]
    shoulder: tuple[float, float]
    nose: tuple[float, float]
    mount: tuple[float, float]
    motors: tuple[MotorFit, ...]
    reason: str = ""


@dataclass(frozen=True)
class PodPlace:
    """Where a pod stands: nozzle (x, z) and downthrust [rad]; `ys`: the planes of one pod or two."""

    x: float
    z: float
    downthrust: float
    ys: tuple[float, ...] = (0.0,)

    def revolved(self, s: float) -> tuple[Placement, ...]:
        """Place a revolved part whose front end is at station s."""
        return tuple(Placement(*self._at(s, y), pitch=self.downthrust) for y in self.ys)

    def extruded(self, s: float) -> tuple[Placement, ...]:
        """Place an extruded part whose front face is at station s; its own z runs aft along the axis."""
        return tuple(Placement(*self._at(s, y), pitch=self.downthrust - math.pi / 2) for y in self.ys)

    def _at(self, s: float, y: float) -> tuple[float, float, float]:
        x, z = self.point(s)
        return (x, y, z)

    def point(self, s: float) -> Point:
        """The axis at station s, (x, z)."""
        return (self.x - s * math.cos(self.downthrust), self.z - s * math.sin(self.downthrust))


def pod_layout(
    *,
    tube_inner: float,
    tube_outer: float,
    tube_length: float,
    nose_length: float = 0.0,
    shoulder: float | None = None,
    motors: Sequence[MotorSize] = (),
) -> PodLayout:
    """Set the stations of a pod; the thrust ring stands ahead of the longest motor that fits.

    Without a given shoulder it is the customary one, shortened to what the longest motor leaves, down to 12 mm.
    """
    tube = (PROUD, PROUD + tube_length)
    ahead = WASHER + PLAY + rings.RING_LENGTH
    plug = 0.0 if nose_length == 0 else SHOULDER_LEAST if shoulder is None else shoulder
    fits = [_fit(motor, tube_inner, tube[1] - plug - ahead) for motor in motors]
    longest = max((fit.motor.length for fit in fits if fit.fits), default=tube[1] - plug - ahead)
    ring = (longest + WASHER + PLAY, longest + ahead)
    if shoulder is None and nose_length > 0:
        plug = min(default_shoulder(tube_outer), max(tube[1] - ring[1], SHOULDER_LEAST))
    reason = "" if ring[0] > tube[0] else f"the tube of {tube_length:g} mm has no room for a thrust ring and a shoulder"
    return PodLayout(
        tube=tube,
        thrust_ring=ring,
        shoulder=(tube[1] - plug, tube[1]),
        nose=(tube[1], tube[1] + nose_length),
        mount=(tube[0] + MOUNT_SHARE[0] * tube_length, tube[0] + MOUNT_SHARE[1] * tube_length),
        motors=tuple(_with_stop(fit, longest, tube_inner) for fit in fits),
        reason=reason,
    )


def lower_side(layout: PodLayout, *, tube_outer: float, nose: Revolve | None = None) -> list[Point]:
    """Tube and nose as (s, radius) from the tube's aft end to the tip [mm]: what must clear the back."""
    points = [(layout.tube[0], tube_outer / 2), (layout.tube[1], tube_outer / 2)]
    if nose is None:
        return points
    length = layout.nose[1] - layout.nose[0]
    base = next(i for i, (x, _) in enumerate(nose.meridian) if x >= length)
    return [*points, *((layout.nose[1] - x, r) for x, r in reversed(nose.meridian[1:base]))]


def pod_prints(
    layout: PodLayout,
    place: PodPlace,
    *,
    tube_inner: float,
    tube_outer: float,
    retainer: Literal["cap", "hook"] | None = "cap",
    filament: Filament | None = None,
) -> tuple[PrintPart, ...]:
    """Thrust ring, stops, centring rings, retainer and the bench's ring gauge; nose and mount are made apart."""
    held = [fit for fit in layout.motors if fit.fits]
    widest = max((fit.motor.diameter for fit in held), default=tube_inner)
    least = min((fit.motor.diameter for fit in held), default=tube_inner)
    prints = []
    if not layout.reason:
        prints.append(_thrust_ring(layout, place, tube_inner, least, retainer, filament))
    for fit in held:
        prints += _adapter(fit, layout, place, tube_inner, filament)
    if retainer == "cap" and held:
        prints += _cap(place, tube_outer, widest, filament)
    gauge = rings.ring_gauge(tube_inner=tube_inner)
    note = (
        "Print it first. Push it into the tube, thin end ahead: the last step that slides gives the clearance on the "
        f"diameter, from the thin end {', '.join(f'{step:g}' for step in rings.GAUGE_STEPS)} mm."
    )
    return (*prints, print_part("ring gauge", gauge, filament=filament, note=note, group="bench"))


def pod_bought(
    layout: PodLayout,
    place: PodPlace,
    *,
    tube_inner: float,
    tube_outer: float,
    material: str = "paper tube",
    retainer: Literal["cap", "hook"] | None = "cap",
) -> tuple[BoughtPart, ...]:
    """Tube, washers, card sleeves, screws or hook, glue."""
    held = [fit for fit in layout.motors if fit.fits]
    length = layout.tube[1] - layout.tube[0]
    density = next((value for word, value in TUBE_DENSITY.items() if word in material.lower()), None)
    mass = None if density is None else _hollow(tube_outer, tube_inner, length) * density / 1000
    middle = sum(layout.tube) / 2
    tube = rings.ring(outer=tube_outer, inner=tube_inner, length=length)
    note = f"{material}, {length:g} mm long"
    bought = [_bought("pod tube", mass, place, middle, note=note, shape=tube, front=layout.tube[1])]
    for fit in held:
        bought += _washers(fit, place, tube_inner, max(f.motor.diameter for f in held), retainer)
        bought += _sleeve(fit, place, tube_inner)
    if retainer == "cap" and held:
        note = f"M3 x {SCREW[0]:g}, they cut their own thread in the collar"
        bought.append(_screws(place, tube_outer, note))
    if retainer == "hook" and held:
        bought.append(_hook(held, layout, place, tube_outer, tube_inner))
    return (*bought, _bought("pod glue", GLUE_MASS, place, middle, note="epoxy, for tube, ring, nose and mount"))


def _fit(motor: MotorSize, tube_inner: float, room: float) -> MotorFit:
    reason = ""
    if motor.diameter > tube_inner + FIT:
        reason = f"{motor.name} is {motor.diameter:g} mm wide, the tube {tube_inner:g} mm inside"
    elif motor.length > room:
        short = motor.length - room
        reason = f"{motor.name} leaves no room for a thrust ring ahead of it: the tube is {short:.1f} mm too short"
    elif motor.length < PROUD + LEAST_GRIP:
        reason = f"{motor.name} is only {motor.length:g} mm long: {PROUD + LEAST_GRIP:g} mm is the least that is held"
    return MotorFit(motor=motor, fits=not reason, reason=reason)


def _with_stop(fit: MotorFit, longest: float, tube_inner: float) -> MotorFit:
    if not fit.fits:
        return fit
    gap = longest - fit.motor.length
    return MotorFit(
        motor=fit.motor,
        fits=True,
        stop=gap if gap >= LEAST_STOP else 0.0,
        centred=tube_inner - fit.motor.diameter > SNUG,
    )


def _thrust_ring(
    layout: PodLayout,
    place: PodPlace,
    tube_inner: float,
    motor: float,
    retainer: Literal["cap", "hook"] | None,
    filament: Filament | None,
) -> PrintPart:
    """Give the ring that the motor pushes; with a hook it has a notch for the hook's front end."""
    note = f"Glued into the tube with a fillet on both faces; a motor's washer bears on it, {PLAY:g} mm of play between"
    shape: Revolve | Extrude = rings.thrust_ring(tube_inner=tube_inner, motor=motor)
    places = place.revolved(layout.thrust_ring[1])
    if retainer == "hook":
        shape = rings.notched_thrust_ring(tube_inner=tube_inner, motor=motor, wire=HOOK_WIRE, reach=HOOK_REACH)
        places = place.extruded(layout.thrust_ring[1])
        note = f"{note}; the notch on top, under the hole in the tube for the hook's front end"
    return print_part("thrust ring", shape, filament=filament, places=places, note=f"{note}.")


def hook_hole(layout: PodLayout) -> float:
    """Station of the hole in the tube's top that the hook's front end goes through: the middle of the thrust ring."""
    return sum(layout.thrust_ring) / 2


def _adapter(
    fit: MotorFit, layout: PodLayout, place: PodPlace, tube_inner: float, filament: Filament | None
) -> list[PrintPart]:
    """Give what one motor alone needs: its stop and its two centring rings."""
    name, prints = fit.motor.name, []
    if fit.stop:
        shape = rings.stop(tube_inner=tube_inner, motor=fit.motor.diameter, length=fit.stop)
        at = place.revolved(layout.thrust_ring[0] - PLAY)
        note = "Stands between the motor's washer and the thrust ring, flange aft."
        prints.append(print_part(f"stop for {name}", shape, filament=filament, places=at, motor=name, note=note))
    ring = rings.centring_ring(tube_inner=tube_inner, motor=fit.motor.diameter) if fit.centred else None
    if ring is not None:
        at = (*place.revolved(PROUD + rings.CENTRING_LENGTH + 1), *place.revolved(fit.motor.length - 1))
        note = "Glued on the card sleeve that the motor slides in, one at each end."
        prints.append(
            print_part(f"centring ring for {name}", ring, filament=filament, places=at, motor=name, note=note)
        )
    return prints


def _cap(place: PodPlace, tube_outer: float, widest: float, filament: Filament | None) -> list[PrintPart]:
    """Give the retainer: a collar glued on the tube, a ring round the motor's end, a plate behind it, two screws."""
    pieces: tuple[tuple[str, Extrude, float, str], ...] = (
        (
            "retainer collar",
            rings.collar(tube_outer=tube_outer),
            PROUD + rings.COLLAR_LENGTH,
            "Glued on the tube flush with its aft end, ears abeam.",
        ),
        (
            "retainer ring",
            rings.cap_ring(tube_outer=tube_outer, motor=widest, length=PROUD + WASHER),
            PROUD,
            "Round the motor's end; off with the plate, so that the motor can be gripped.",
        ),
        (
            "retainer plate",
            rings.cap_plate(tube_outer=tube_outer, motor=widest),
            -WASHER,
            "Behind the motor's washer; two M3 screws through plate and ring into the collar hold the motor.",
        ),
    )
    return [
        print_part(name, shape, filament=filament, places=place.extruded(s), note=note)
        for name, shape, s, note in pieces
    ]


def _washers(
    fit: MotorFit, place: PodPlace, tube_inner: float, widest: float, retainer: Literal["cap", "hook"] | None
) -> Iterable[BoughtPart]:
    motor = fit.motor
    bore = max(motor.diameter - 2 * rings.BEARING, 2.0)
    outer = tube_inner - 0.5
    mass = _hollow(outer, bore, WASHER) * PLY
    note = f"ply {WASHER:g} mm, {outer:.1f} mm outside, {bore:.1f} mm inside"
    shape, front = rings.ring(outer=outer, inner=bore, length=WASHER), motor.length + WASHER
    yield _bought(
        f"washer ahead of {motor.name}", mass, place, front - WASHER / 2,
        motor=motor.name, note=note, shape=shape, front=front,
    )  # fmt: skip
    if retainer == "cap":
        opening = motor.diameter - 2 * rings.LIP
        mass = _hollow(widest, opening, WASHER) * PLY
        note = f"ply {WASHER:g} mm, {widest:.1f} mm outside, {opening:.1f} mm inside"
        shape = rings.ring(outer=widest, inner=opening, length=WASHER)
        yield _bought(
            f"washer behind {motor.name}", mass, place, -WASHER / 2,
            motor=motor.name, note=note, shape=shape, front=0.0,
        )  # fmt: skip


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


def _screws(place: PodPlace, tube_outer: float, note: str) -> BoughtPart:
    """Give the two screws through plate and ring into the collar, heads aft."""
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
    off, front = rings.screw_offset(tube_outer), length - WASHER - rings.PLATE_THICKNESS
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
    return replace(_bought("motor hook", mass, place, hole / 2, note=note), shape=shape, places=places)


def _bent(*, length: float, low: float, front: float, aft: float) -> Extrude:
    """Draw the hook from the side, x aft and y outward: its back on the tube, both ends bent in."""
    high, thin = low + HOOK_WIRE, HOOK_WIRE
    ahead = [(thin, low), (thin, low - front), (0.0, low - front), (0.0, high)]
    behind = [(length, high), (length, low - aft), (length - thin, low - aft), (length - thin, low)]
    return Extrude(Polygon([*ahead, *behind]), thin)


def _bought(
    name: str,
    mass: float | None,
    place: PodPlace,
    s: float,
    *,
    each: int = 1,
    motor: str | None = None,
    note: str,
    shape: Shape | None = None,
    front: float = 0.0,
) -> BoughtPart:
    """Give a bought part, its mass at station `s`; a `shape` that turns about the pod's axis, its front at `front`."""
    x, z = place.point(s)
    places = () if shape is None else place.revolved(front)
    count = each * len(place.ys)
    return BoughtPart(name, count, mass, x, z, motor=motor, note=note, shape=shape, places=places)


def _hollow(outer: float, inner: float, length: float) -> float:
    """Volume of a tube [mm3]."""
    return math.pi / 4 * (outer**2 - inner**2) * length
