"""The booster pod: where tube, rings, stop, motor, retainer and nose stand along the axis, and every part of it.

Millimetres, grams, radians. A station s is the distance ahead of the nozzle (the motor's aft end, the pod's pivot)
along the pod's axis; on the aircraft it is nozzle - s (cos d, sin d) in (x, z), d the downthrust.
The motor pushes on a washer, a stop when it is short, and a thrust ring glued into the tube; behind it a washer and
a screwed plate, or a wire hook, hold it: friction alone does not.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from foamworks.parts import rings
from foamworks.parts.base import Extrude, Placement, Point, PrintPart, Revolve
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
HOOK_WIRE = 1.5  # mm steel wire
HOOK_REACH = 3.0  # mm of the hook over the motor's edge
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
    ply: bool = False,
    filament: Filament | None = None,
) -> tuple[PrintPart, ...]:
    """Thrust ring, stops, centring rings, retainer and the bench's ring gauge; nose and mount are made apart.

    ply: the retainer's ring and plate are cut from plywood.
    """
    held = [fit for fit in layout.motors if fit.fits]
    widest = max((fit.motor.diameter for fit in held), default=tube_inner)
    least = min((fit.motor.diameter for fit in held), default=tube_inner)
    prints = []
    if not layout.reason:
        prints.append(_thrust_ring(layout, place, tube_inner, least, retainer, filament))
    for fit in held:
        prints += _adapter(fit, layout, place, tube_inner, filament)
    if retainer == "cap" and held:
        pieces = cap_pieces(tube_outer, widest)
        prints += [
            print_part(
                piece.name,
                piece.shape,
                filament=filament,
                places=place.extruded(piece.front),
                note=piece.note,
                group="pod",
            )
            for piece in (pieces[:1] if ply else pieces)
        ]
    return (*prints, gauge(tube_inner, rings.GAUGE_STEPS, filament))


def gauge(tube_inner: float, steps: tuple[float, ...], filament: Filament | None) -> PrintPart:
    """Give the bench's stepped plug for a tube, one step for each clearance [mm]."""
    note = (
        "Print it first. Push it into the tube, thin end ahead: the last step that slides gives the clearance on the "
        f"diameter, from the thin end {', '.join(f'{step:g}' for step in steps)} mm: type it as pod.nose.fit."
    )
    shape = rings.ring_gauge(tube_inner=tube_inner, steps=steps)
    return print_part("ring gauge", shape, filament=filament, note=note, group="pod bench")


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
    note = (
        f"Glued into the tube with a fillet on both faces; a motor's washer bears on it, {PLAY:g} mm of play between, "
        "which rings of paper take up"
    )
    shape: Revolve | Extrude = rings.thrust_ring(tube_inner=tube_inner, motor=motor)
    places = place.revolved(layout.thrust_ring[1])
    if retainer == "hook":
        shape = rings.notched_thrust_ring(tube_inner=tube_inner, motor=motor, wire=HOOK_WIRE, reach=HOOK_REACH)
        places = place.extruded(layout.thrust_ring[1])
        note = f"{note}; the notch on top, under the hole in the tube for the hook's front end"
    return print_part("thrust ring", shape, filament=filament, places=places, note=f"{note}.", group="pod")


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
        prints.append(
            print_part(f"stop for {name}", shape, filament=filament, places=at, motor=name, note=note, group="pod")
        )
    ring = rings.centring_ring(tube_inner=tube_inner, motor=fit.motor.diameter) if fit.centred else None
    if ring is not None:
        at = (*place.revolved(PROUD + rings.CENTRING_LENGTH + 1), *place.revolved(fit.motor.length - 1))
        note = "Glued on the card sleeve that the motor slides in, one at each end."
        named = f"centring ring for {name}"
        prints.append(print_part(named, ring, filament=filament, places=at, motor=name, note=note, group="pod"))
    return prints


class CapPiece(NamedTuple):
    """A piece of the retainer: its shape, its front's station [mm], and where it goes."""

    name: str
    shape: Extrude
    front: float
    note: str


def cap_pieces(tube_outer: float, widest: float, plate: float = rings.PLATE_THICKNESS) -> tuple[CapPiece, ...]:
    """Give the retainer: a collar glued on the tube, a ring round the motor's end, a plate behind it [mm]."""
    return (
        CapPiece(
            "retainer collar",
            rings.collar(tube_outer=tube_outer),
            PROUD + rings.COLLAR_LENGTH,
            "Glued on the tube flush with its aft end, ears abeam.",
        ),
        CapPiece(
            "retainer ring",
            rings.cap_ring(tube_outer=tube_outer, motor=widest, length=PROUD + WASHER),
            PROUD,
            "Round the motor's end; off with the plate, so that the motor can be gripped.",
        ),
        CapPiece(
            "retainer plate",
            rings.cap_plate(tube_outer=tube_outer, motor=widest, length=plate),
            -WASHER,
            "Behind the motor's washer; two M3 screws through plate and ring into the collar hold the motor.",
        ),
    )
