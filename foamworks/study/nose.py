"""The nose cone's outer shape: volume, wetted area, centroid, by the closed forms of its profile. SI."""

from dataclasses import dataclass

from foamworks.design.additions import Nose, Pod
from foamworks.design.model import Design
from foamworks.parts.mounted_pod import layout_of, nose_fit, nose_profile
from foamworks.parts.nose import default_shoulder
from foamworks.physics import profiles
from foamworks.units import mm


@dataclass(frozen=True)
class Shoulder:
    """What the tube is glued over: its diameter, the clearance on the diameter, its length."""

    diameter: float
    fit: float
    length: float


@dataclass(frozen=True)
class NoseStudy:
    """The profile on the tube's outer diameter: lateral area without the base, centroid of the volume from the tip."""

    profile: str
    length: float
    diameter: float
    volume: float
    wetted_area: float
    centroid: float
    greatest_radius: float
    wall: float
    shoulder: Shoulder | None


def study_nose(design: Design) -> NoseStudy | None:
    """Study the nose cone; None when the design has none."""
    pod = design.pod
    if pod is None or pod.nose is None:
        return None
    profile, parameter = nose_profile(pod.nose)
    length, radius = pod.nose.length, pod.tube.outer / 2
    volume, area, centre, widest = (
        function(profile=profile, length=length, base_radius=radius, parameter=parameter)
        for function in (profiles.volume, profiles.wetted_area, profiles.centroid, profiles.greatest_radius)
    )
    return NoseStudy(
        profile=pod.nose.profile,
        length=length,
        diameter=pod.tube.outer,
        volume=volume,
        wetted_area=area,
        centroid=centre,
        greatest_radius=widest,
        wall=pod.nose.wall,
        shoulder=_shoulder(design, pod, pod.nose),
    )


def _shoulder(design: Design, pod: Pod, asked: Nose) -> Shoulder | None:
    """Give the shoulder; None where the tube's inside is not known: the nose is then glued on butt."""
    layout, inner = layout_of(design), pod.tube.inner
    if inner is None:
        return None
    fit = mm.si(nose_fit(design, asked))
    if layout is not None:
        length = mm.si(layout.shoulder[1] - layout.shoulder[0])
    else:
        length = mm.si(default_shoulder(mm(pod.tube.outer))) if asked.shoulder is None else asked.shoulder
    return Shoulder(diameter=inner - fit, fit=fit, length=length)
