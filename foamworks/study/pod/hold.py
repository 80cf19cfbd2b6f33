"""What must hold when the motor is lit: the battery on its slide, and the pod against a proof pull. SI: N, m."""

import math
from dataclasses import dataclass

from foamworks.aircraft.balance import Balance
from foamworks.aircraft.masses import LoadKind
from foamworks.aircraft.thrust_line import PEAK, Powered, powered_states
from foamworks.design.airframe import Battery
from foamworks.design.ladder import State
from foamworks.design.model import Design
from foamworks.physics.planform import ReferenceWing
from foamworks.study.pod.glue import PodGlue

PROOF = 1.5  # times the peak thrust: what a builder pulls a finished pod with (common practice, no source)
LOOSE: tuple[LoadKind, ...] = (
    "ignition pack",
    "ballast",
)  # what is pushed aft beside the battery
SPARED = 0.5  # of what is computed to break: a proof pull stays under it (ours)


@dataclass(frozen=True)
class Slip:
    """The battery when a motor is lit: how hard it is pushed aft [N], how far it can go [m], the margin at that end.

    `travel` is NaN where the slide is not given; `others`: what else is loose aboard, by name, with its force [N].
    """

    motor: str
    force: float
    travel: float
    margin: float
    others: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Proof:
    """The pull that proves the pod [N], and the glue line that would give way first at `breaks` [N]."""

    pull: float
    breaks: float
    weakest: str

    @property
    def told(self) -> str:
        """The pull as every page writes it."""
        return f"{round(self.pull, 1):g} N"

    @property
    def safe(self) -> bool:
        """Whether the pull stays under the spared share of what breaks."""
        return self.pull <= SPARED * self.breaks


def study_slip(design: Design, balance: Balance, wing: ReferenceWing) -> Slip | None:
    """Study the battery under the motor that leaves least margin when it has slipped; None without motor or battery."""
    battery = design.airframe.moving_battery
    if battery is None:
        return None
    peaks = [moment for moment in powered_states(design, balance.rows) if moment.state == PEAK]
    slips = [_slip(battery, balance, wing, peak) for peak in peaks]
    return min((slip for slip in slips if math.isfinite(slip.margin)), key=lambda slip: slip.margin, default=None)


def _slip(battery: Battery, balance: Balance, wing: ReferenceWing, peak: Powered) -> Slip:
    row = balance.row(State("ignition", peak.motor))
    mass, acceleration = battery.mass, peak.thrust / row.mass
    end = battery.slide[1] if battery.slide else math.nan
    travel = max(end - row.battery_x, 0.0)
    slid = 0.0 if math.isnan(end) else travel
    margin = row.static_margin - mass * slid / (row.mass * wing.mac)
    others = tuple((load.name, load.mass * acceleration) for load in row.loads if load.kind in LOOSE)
    return Slip(peak.motor, mass * acceleration, travel, margin, others)


def study_proof(glue: PodGlue) -> Proof:
    """Study the pull that proves a pod before it flies: so many times the peak, by the weakest of its glue lines."""
    weak = min(glue.lines, key=lambda line: line.factor)
    return Proof(PROOF * glue.peak, weak.factor * glue.peak, weak.name)
