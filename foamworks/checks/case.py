"""One design taken through: asked, solved, made, studied and found. What the output is written from."""

from dataclasses import dataclass
from pathlib import Path

from foamworks.aircraft.solve import Aircraft
from foamworks.checks.base import Finding
from foamworks.design.model import Design
from foamworks.errors import printable
from foamworks.parts.base import Parts
from foamworks.parts.mounted_pod import MountedPod
from foamworks.study.whole import Study


@dataclass(frozen=True)
class Case:
    """A design's whole case. `asked` is as the file gives it, the aircraft's has nothing left open."""

    name: str
    path: Path
    asked: Design
    aircraft: Aircraft
    parts: Parts
    study: Study
    findings: tuple[Finding, ...] = ()

    @property
    def file(self) -> str:
        """The design file's name, as it can be written."""
        return printable(self.path.name)

    @property
    def design(self) -> Design:
        """The solved design."""
        return self.aircraft.design

    @property
    def pod(self) -> MountedPod | None:
        """The pod as it is mounted; None where tube, place or nozzle is not known."""
        return self.aircraft.pod

    @property
    def over_back(self) -> MountedPod | None:
        """The pod over a fuselage that was measured; None when either is not known."""
        return self.aircraft.over_back
