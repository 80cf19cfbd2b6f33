"""The nose cone's outer shape: volume, wetted area, centroid, by the closed forms of its profile. SI."""

from dataclasses import dataclass

from foamworks.design.model import Design
from foamworks.parts.make import nose_profile
from foamworks.physics import profiles


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


def study_nose(design: Design) -> NoseStudy | None:
    """Study the nose cone; None when the design has none."""
    pod = design.pod
    if pod is None or pod.nose is None:
        return None
    profile, parameter = nose_profile(pod)
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
    )
