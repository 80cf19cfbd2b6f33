"""Does the retainer hold the motor against what pushes it aft? SI: N, m, Pa.

The thrust, and every deceleration (drag after burnout, a landing on the nose), press the motor forward on its ring;
`pod_glue` looks at that. Aft, on cap or hook, it is pushed by the model's own acceleration on the fan, which is about
its weight, by an arrival tail first, and by the ring when a motor chuffs: what the thrust had pressed together springs
back, with at most the thrust that pressed it. It is held against the greater of the last two. A case that blows open is
not looked at: no retainer of plastic or wire stands that, only a certified motor, unaltered.
"""

import math
from dataclasses import dataclass

import numpy as np

from foamworks.design.additions import Motor
from foamworks.design.curve import usable_curve
from foamworks.design.model import Design
from foamworks.parts import rings
from foamworks.parts.mounted_pod import MountedPod
from foamworks.parts.pod import HOOK_REACH, HOOK_WIRE, PROUD, SCREW, WASHER
from foamworks.physics import beam
from foamworks.study.pod.glue import PAPER_SHEAR
from foamworks.units import STANDARD_GRAVITY, mm

TAIL_FIRST = 50.0  # times the weight, of a model that arrives or bounces on its tail (ours; half of one on its nose)
PRINT_BENDING = 20e6  # Pa, a plate printed flat in PETG, warm: half of what a cold one stands (from memory)
PLY_BENDING = 40e6  # Pa, birch plywood flat, twice a warm print (from memory)
PRINT_ACROSS = 10e6  # Pa, between the layers of a print, pull and shear (from memory)
WIRE_BENDING = 1.4e9  # Pa, spring steel wire of 1.5 mm, before it stays bent (from memory)
SCREW_THREAD = 2.8e-3  # m, diameter at which an M3 shears the thread it has cut (from memory)
PLATE = 1e-3 * rings.PLATE_THICKNESS  # m
THREAD_SHARE = 0.5  # of that cylinder is plastic, the rest is screw (from memory)


@dataclass(frozen=True)
class Link:
    """One link of what holds the motor from behind, and the force [N] that it stands."""

    name: str
    stands: float


@dataclass(frozen=True)
class Retainer:
    """The force [N] that pushes the motor aft, by which motor and why; the links that hold it, the weakest first."""

    kind: str
    force: float
    motor: str
    cause: str
    links: tuple[Link, ...]

    @property
    def factor(self) -> float:
        """How many times the force the weakest link stands."""
        return self.links[0].stands / self.force


def study_retainer(design: Design, pod: MountedPod) -> Retainer | None:
    """Study one pod's retainer; None without one, or without a motor that the pod holds."""
    kind, held = pod.retained_by, pod.held(design.motors)
    if not (kind and held):
        return None
    outer, ply = mm.si(pod.tube_outer), design.build.ply_retainer
    cases = [(*_aft(motor), motor.name, _links(kind, outer, motor, held, ply)) for motor in held]
    force, cause, name, links = min(cases, key=lambda case: case[3][0].stands / case[0])
    return Retainer(kind, force, name, cause, links)


def _aft(motor: Motor) -> tuple[float, str]:
    """Give the greater of the two forces [N], and which it is."""
    curve = usable_curve(motor)
    thrust = 0.0 if curve is None else float(np.max(curve[1]))
    weight = TAIL_FIRST * motor.mass * STANDARD_GRAVITY
    if weight > thrust:
        return weight, f"an arrival on the tail, assumed to stop it with {TAIL_FIRST:g} times its weight"
    return thrust, "the spring-back of a chuff, at most the peak thrust"


def _links(kind: str, outer: float, motor: Motor, held: list[Motor], ply: float) -> tuple[Link, ...]:
    widest = max(other.diameter for other in held)
    links = cap_links(outer, widest, ply) if kind == "cap" else hook_links(outer, motor.diameter, motor.length)
    return tuple(sorted(links, key=lambda link: link.stands))


def cap_links(outer: float, widest: float, ply: float = 0.0) -> list[Link]:
    """Give what each link of the cap stands: plate, threads, ears, glue; tube's outer and motor's diameter [m].

    ply: thickness [m] of plywood that the plate is cut from; 0 where it is printed.
    """
    ear, pilot = 1e-3 * rings.EAR_RADIUS, 1e-3 * rings.SCREW_PILOT
    grip = mm.si(SCREW[0] - PROUD - WASHER) - (ply or PLATE)
    opening, bends = widest - mm.si(2 * rings.LIP), PLY_BENDING if ply else PRINT_BENDING
    return [
        Link("retainer plate", plate_stands(outer=outer, opening=opening, thickness=ply or PLATE, bends=bends)),
        Link("screws' threads", 2 * math.pi * SCREW_THREAD * grip * THREAD_SHARE * PRINT_ACROSS),
        Link("collar's ears", 2 * math.pi * (ear**2 - pilot**2 / 4) * PRINT_ACROSS),
        Link("collar's glue", math.pi * outer * 1e-3 * rings.COLLAR_LENGTH * PAPER_SHEAR),
    ]


def plate_stands(*, outer: float, opening: float, thickness: float, bends: float = PRINT_BENDING) -> float:
    """Force [N] that the plate behind the motor stands: a flat ring held by its two screws, the washer left out.

    outer: the tube's diameter; opening: the plate's; thickness [m]; bends: its strength in bending [Pa]. It bends at
    the screws, where the ears are, or midway between them, where it is narrowest.
    """
    rim = outer / 2 + 1e-3 * rings.COLLAR_WALL
    at_screw = 1e-3 * (rings.screw_offset(mm(outer)) + rings.EAR_RADIUS - rings.SCREW_HOLE) - opening / 2
    between, at = beam.ring_on_two_supports(force=1.0, radius=(rim + opening / 2) / 2)
    worst = max(6 * between / (rim - opening / 2), 6 * at / at_screw) / thickness**2
    return bends / worst


def hook_links(outer: float, diameter: float, length: float) -> list[Link]:
    """Give what the hook's bend and its binding along the tube stand; tube's outer, motor's diameter and length [m]."""
    wire = 1e-3 * HOOK_WIRE
    bound = math.pi / 2 * wire * max(length - 1e-3 * PROUD, 0.0)
    reach = (outer - diameter) / 2 + 1e-3 * HOOK_REACH / 2
    return [Link("hook's bend", bend_stands(wire, reach)), Link("hook's binding", bound * PAPER_SHEAR)]


def bend_stands(wire: float, reach: float) -> float:
    """Force [N] at half of what a hook's bent end reaches over the motor's edge: a cantilever from the wire's middle.

    wire: its diameter; reach: from the tube's outside to where the force is [m]. pi d^3/32 x strength / arm.
    """
    return WIRE_BENDING * math.pi * wire**3 / 32 / (wire / 2 + reach)


def wire_for(stands: float, wanted: float) -> float:
    """Thinnest wire in tenths of a millimetre [m] that stands `wanted` [N] where the usual one stands so much [N]."""
    usual = 1e-3 * HOOK_WIRE
    reach = WIRE_BENDING * math.pi * usual**3 / 32 / stands - usual / 2
    tenths = round(10 * HOOK_WIRE)
    while bend_stands(1e-4 * tenths, reach) < wanted:
        tenths += 1
    return 1e-4 * tenths
