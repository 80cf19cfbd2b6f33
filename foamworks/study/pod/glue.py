"""Do the glue lines that carry the pod stand its thrust, and the motor's own weight in a hard landing? SI: N, m, Pa.

Three lines in a row carry the thrust: the ring in the tube, the mount's trough on the tube, the mount's foot on the
back. The foot is also tipped, as the thrust passes high over it. Strengths from memory, the glue stronger than what it
is glued to.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from foamworks.design.additions import Motor
from foamworks.design.curve import usable_curve
from foamworks.design.model import Design
from foamworks.parts.base import Parts, PrintPart, Saddle
from foamworks.parts.clear import sizes_at
from foamworks.parts.mounted_pod import MountedPod
from foamworks.parts.rings import RING_LENGTH
from foamworks.physics import beam
from foamworks.units import STANDARD_GRAVITY, mm, mm2

PAPER_SHEAR = 1.0e6  # Pa, between the plies of a paper tube (from memory)
FOAM_SHEAR, FOAM_TENSION = 0.25e6, 0.40e6  # Pa, moulded foam of 30 kg/m3 (from memory)
LANDING = 100.0  # times the weight, of a model that arrives on its nose (ours)


@dataclass(frozen=True)
class GlueLine:
    """One glued joint at the peak thrust [N]: glued area [m2], stress [Pa], how many times the thrust it stands.

    `length`: of the joint along the pod [m].
    """

    name: str
    area: float
    shear: float
    pull: float
    factor: float
    length: float


@dataclass(frozen=True)
class PodGlue:
    """The pod's glue lines under the motor of greatest peak thrust; the heaviest motor against its ring when landing.

    landing_force [N] at `LANDING` times its weight; ring_stands [N]: what the ring's glue line stands.
    """

    motor: str
    peak: float
    lines: tuple[GlueLine, ...]
    heaviest: str
    landing_force: float
    ring_stands: float


def study_pod_glue(design: Design, pod: MountedPod, parts: Parts) -> PodGlue | None:
    """Study one pod's glue lines; None without a motor that it holds."""
    inner, held = mm.si(pod.tube_inner), pod.held(design.motors)
    peaks = [(peak, motor.name) for motor in held if (peak := _peak(motor)) is not None]
    if not peaks:
        return None
    peak, name = max(peaks)
    ring = math.pi * inner * mm.si(RING_LENGTH)
    shear = beam.glue_shear_stress(force=peak, diameter=inner, length=mm.si(RING_LENGTH))
    lines = [GlueLine("thrust ring", ring, shear, 0.0, PAPER_SHEAR / shear, mm.si(RING_LENGTH))]
    mounts = _mounts(parts, mm.si(pod.plane))
    if mounts:
        lines += [_trough(mounts, peak), _foot(design, pod, mounts, peak)]
    heaviest = max(held, key=lambda motor: motor.mass)
    force = heaviest.mass * LANDING * STANDARD_GRAVITY
    return PodGlue(name, peak, tuple(lines), heaviest.name, force, PAPER_SHEAR * ring)


def _peak(motor: Motor) -> float | None:
    curve = usable_curve(motor)
    return None if curve is None else float(np.max(curve[1]))


def _mounts(parts: Parts, side: float) -> list[tuple[PrintPart, Saddle]]:
    """Give the pieces of the mount of the pod in a plane [m], front to aft."""
    found = [
        (part, part.shape)
        for part in parts.prints
        if isinstance(part.shape, Saddle) and part.places and part.places[0].y >= side - 1e-9
    ]
    return sorted(found, key=lambda piece: piece[0].places[0].x)


def _trough(mounts: Sequence[tuple[PrintPart, Saddle]], force: float) -> GlueLine:
    """The tube in the mount's trough: an arc as wide as the mount."""
    area = mm2.si(sum(2 * s.bore * math.asin(s.width / 2 / s.bore) * s.length / math.cos(s.tilt) for _, s in mounts))
    along = mm.si(sum(s.length / math.cos(s.tilt) for _, s in mounts))
    return GlueLine("mount on the tube", area, force / area, 0.0, PAPER_SHEAR * area / force, along)


def _foot(design: Design, pod: MountedPod, mounts: Sequence[tuple[PrintPart, Saddle]], force: float) -> GlueLine:
    """The mount's foot on the foam of the back, or the plate of ply that it stands on."""
    width = max(mm.si(mounts[0][1].width), design.build.mount_plate)
    length = mm.si(sum(shape.length for _, shape in mounts))
    tilt, middle = mounts[0][1].tilt, mm.si(mounts[0][0].places[0].x) + length / 2
    axis = mm.si(pod.place.z) - (mm.si(pod.place.x) - middle) * math.tan(tilt)
    over = axis - _back(design, middle, mm.si(mounts[0][0].places[0].y))
    shear, pull = foot_stress(force=force, downthrust=tilt, above=over, width=width, length=length)
    used = math.hypot(shear / FOAM_SHEAR, pull / FOAM_TENSION)
    return GlueLine("mount on the back", width * length, shear, pull, 1 / used, length)


def foot_stress(*, force: float, downthrust: float, above: float, width: float, length: float) -> tuple[float, float]:
    """Shear and greatest pull [Pa] under a mount's foot; the pull is at its aft end, 0 where all of it is pressed on.

    The thrust [N] passes `above` the foot's middle [m], tipped down by `downthrust` [rad]; foot's width and length [m].
    F cos/(w l); 6 F cos h/(w l^2) - F sin/(w l). Source: statics, Euler beam on the joint.

    >>> foot_stress(force=10, downthrust=0, above=0.02, width=0.025, length=0.04)
    (10000.0, 30000.0)
    """
    area, along = width * length, force * math.cos(downthrust)
    pull = 6 * along * above / (width * length**2) - force * math.sin(downthrust) / area
    return along / area, max(pull, 0.0)


def _back(design: Design, x: float, y: float) -> float:
    """Height of the fuselage's back [m]."""
    rows = design.airframe.sections
    if not rows:
        return 0.0
    width, height, z = map(float, sizes_at(rows, x))
    return z + height / 2 * math.sqrt(max(0.0, 1 - (2 * y / width) ** 2))
