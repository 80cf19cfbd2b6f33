"""The booster pod as it is mounted: made whole where tube, nozzle and downthrust are known. Millimetres and radians.

`moved` and `tilted` give another. What its fit over the back is worked out with are tube and nose as circles about the
axis, and the fuselage's sections; without sections, `over_back` gives none.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Literal

from foamworks.design.additions import Motor, Nose, Pod
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.parts import mount, nose, rings
from foamworks.parts.base import BackSection, Point, PrintPart, Revolve
from foamworks.parts.density import bed, filament
from foamworks.parts.pod import PROUD, WASHER, MotorSize, PodLayout, PodPlace, lower_side, pod_layout
from foamworks.parts.solidmath import Filament
from foamworks.physics.profiles import Profile
from foamworks.units import measured, mm

# why: solving makes the parts several times, and a nose stays the same while the pod tilts
_nose_shape = lru_cache(maxsize=32)(nose.nose_cone)
_greatest_tilt = lru_cache(maxsize=32)(mount.greatest_tilt)
_mount = lru_cache(maxsize=32)(mount.mount)
BARELY = 1e-3  # mm: a gap so little under the one wanted is kept


@dataclass(frozen=True)
class MountedPod:
    """One pod or two: where it stands, how it is laid out, its lower side, the back under it, what it is printed on."""

    place: PodPlace
    layout: PodLayout
    tube_inner: float
    tube_outer: float
    lower: tuple[Point, ...]
    sections: tuple[BackSection, ...]
    air_gap: float
    filament: Filament
    bed: tuple[float, float, float] | None
    retained_by: Literal["", "cap", "hook"]
    plate: float
    material: str

    @cached_property
    def capped(self) -> bool:
        """Tell that a cap is glued on behind a motor that it holds."""
        return self.retained_by == "cap" and any(fit.fits for fit in self.layout.motors)

    @property
    def retainer(self) -> tuple[float, float]:
        """The retainer's stations, from its plate's aft face to its collar's front."""
        return (-WASHER - self.plate, PROUD + rings.COLLAR_LENGTH)

    @property
    def under(self) -> tuple[Point, ...]:
        """What must clear the back, as `lower`: the retainer too, whose ears lie above its collar's underside."""
        if not self.capped:
            return self.lower
        radius, (aft, front) = self.tube_outer / 2 + rings.COLLAR_WALL, self.retainer
        return ((aft, radius), (front, radius), (front, self.tube_outer / 2), *self.lower[1:])

    @property
    def nozzle(self) -> Point:
        """The pivot (x, z)."""
        return (self.place.x, self.place.z)

    @property
    def plane(self) -> float:
        """The plane y of the pod, or of the starboard one of two."""
        return self.place.ys[0]

    @property
    def _over_back(self) -> tuple[tuple[tuple[Point, ...], float], ...]:
        """What must clear the back and in which plane: the pod, and of one beside the middle the inner ears too.

        Over the middle the ears stand above the collar's underside where the back falls away.
        """
        if not self.capped or self.plane == 0:
            return ((self.under, self.plane),)
        ears = tuple((s, rings.EAR_RADIUS) for s in self.retainer)
        return (self.under, self.plane), (ears, self.plane - rings.screw_offset(self.tube_outer))

    @cached_property
    def clearance(self) -> float:
        """Least distance between pod and back; negative where it bites."""
        return min(
            mount.clearance(
                sections=self.sections, lower=lower, nozzle=self.nozzle, downthrust=self.place.downthrust, y=y
            )
            for lower, y in self._over_back
        )

    def held(self, motors: Iterable[Motor]) -> list[Motor]:
        """Choose the motors that the pod holds."""
        fitting = {fit.motor.name for fit in self.layout.motors if fit.fits and not self.layout.reason}
        return [motor for motor in motors if motor.name in fitting]

    @property
    def clears(self) -> bool:
        """Tell whether the air gap over the back is kept, as far as the back is known."""
        return not self.sections or self.clearance >= self.air_gap - BARELY

    def clears_at(self, tilt: float) -> bool:
        """Tell whether the pod, tipped by so much, keeps all of its air gap."""
        return self.tilted(tilt).clearance >= self.air_gap

    @cached_property
    def fit_limit(self) -> float:
        """The greatest downthrust that keeps the air gap; NaN where none does."""
        limits = [
            _greatest_tilt(sections=self.sections, lower=lower, nozzle=self.nozzle, air_gap=self.air_gap, y=y)
            for lower, y in self._over_back
        ]
        return math.nan if None in limits else min(map(measured, limits))

    @cached_property
    def mount(self) -> mount.Mount:
        """The mount of each pod, or why there is none."""
        ys = self.place.ys
        names = {0.0: "pod mount"} if len(ys) == 1 else {y: f"pod mount {'L' if y < 0 else 'R'}" for y in ys}
        prints: list[PrintPart] = []
        for y, name in names.items():
            made = _mount(
                sections=self.sections,
                nozzle=self.nozzle,
                downthrust=self.place.downthrust,
                tube_outer=self.tube_outer,
                span=self.layout.mount,
                y=y,
                name=name,
                bed=self.bed,
                filament=self.filament,
            )
            if made.reason:
                return made
            prints += made.prints
        return mount.Mount(prints=tuple(prints))

    def tilted(self, angle: float) -> "MountedPod":
        """The same pod at another downthrust."""
        return replace(self, place=replace(self.place, downthrust=angle))

    def moved(self, *, aft: float = 0.0, lift: float = 0.0) -> "MountedPod":
        """The same pod with its nozzle elsewhere."""
        return replace(self, place=replace(self.place, x=self.place.x + aft, z=self.place.z + lift))


@where_given
def mounted_pod(design: Design) -> MountedPod:
    """Mount the pod; None when the tube is not wholly measured, or where it stands is not known or settled."""
    stand, layout = given(design.standing), given(layout_of(design))
    tube = stand.pod.tube
    side = lower_side(layout, tube_outer=mm(tube.outer), nose=_cone(design, stand.pod, layout))
    return MountedPod(
        place=PodPlace(mm(stand.x), mm(stand.z), stand.downthrust, tuple(mm(y) for y in stand.planes)),
        layout=layout,
        tube_inner=mm(tube.inner or 0.0),
        tube_outer=mm(tube.outer),
        lower=tuple(side),
        sections=tuple(BackSection(mm(s.x), mm(s.width), mm(s.height), mm(s.z)) for s in design.airframe.sections),
        air_gap=mm(stand.pod.air_gap),
        filament=filament(design),
        bed=bed(design),
        retained_by=stand.pod.retainer or "",
        material=stand.pod.tube.material,
        plate=mm(design.build.ply_retainer) or rings.PLATE_THICKNESS,
    )


def over_back(design: Design) -> MountedPod | None:
    """Mount the pod over a measured fuselage; None when either is not known."""
    pod = mounted_pod(design)
    return pod if pod and pod.sections else None


@where_given
def layout_of(design: Design) -> PodLayout:
    """Set out the pod along its axis; None when the tube is not wholly measured."""
    pod = given(design.pod)
    return pod_layout(
        tube_inner=mm(given(pod.tube.inner)),
        tube_outer=mm(pod.tube.outer),
        tube_length=mm(given(pod.tube.length)),
        nose_length=mm(pod.nose.length) if pod.nose else 0.0,
        shoulder=mm(pod.nose.shoulder) if pod.nose else None,
        motors=[MotorSize(m.name, mm(m.diameter), mm(m.length)) for m in design.motors],
    )


def nose_profile(asked: Nose) -> tuple[Profile, float | None]:
    """Give the nose's profile and its parameter."""
    name: Profile = "tangent_ogive" if asked.profile == "ogive" else asked.profile
    return name, {"power": asked.exponent, "haack": asked.haack_c}.get(name)


def nose_fit(design: Design, asked: Nose) -> float:
    """Give the clearance of the nose in its tube [mm on the diameter]: as asked, else by the printer."""
    return nose.default_fit(filament(design).nozzle) if asked.fit is None else mm(asked.fit)


def nose_prints(design: Design, mounted: MountedPod | None) -> list[PrintPart]:
    """Make the nose cone where one is asked for; it needs nothing but the tube."""
    pod = design.pod
    layout = layout_of(design)
    shape = _cone(design, pod, layout) if pod else None
    if pod is None or shape is None:
        return []
    places = mounted.place.revolved(mounted.layout.nose[1]) if mounted else ()
    plastic = filament(design)
    return [nose.nose_print(shape, filament=plastic, places=places, count=pod.count, glued=_glued(pod, layout))]


def _glued(pod: Pod, layout: PodLayout | None) -> str:
    """Say how the nose is glued to its tube, and when."""
    if pod.tube.inner is None or (pod.nose is not None and pod.nose.shoulder == 0):
        return "It has no shoulder: it is glued on butt, to the tube's end."
    when = "" if layout is None else ", only when the thrust ring is in and has been pulled at"
    return (
        f"The shoulder is glued into the tube{when}; the groove that the flare leaves round the joint is filled with "
        "the glue and sanded flush."
    )


def _cone(design: Design, pod: Pod, layout: PodLayout | None) -> Revolve | None:
    asked = pod.nose
    if asked is None:
        return None
    profile, parameter = nose_profile(asked)
    shoulder = mm(asked.shoulder)
    if shoulder is None and layout is not None:
        shoulder = layout.shoulder[1] - layout.shoulder[0]
    return _nose_shape(
        profile=profile,
        length=mm(asked.length),
        tube_outer=mm(pod.tube.outer),
        tube_inner=mm(pod.tube.inner),
        wall=mm(asked.wall),
        shoulder=shoulder,
        parameter=parameter,
        nozzle=filament(design).nozzle,
        clearance=nose_fit(design, asked),
    )
