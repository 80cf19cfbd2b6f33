"""Settle what is automatic: the fins from geometry, then battery, ballast and downthrust in a few rounds.

The one place that goes round. It hands on a design in which nothing is open any more, and the notes on what was
solved, so that the summary can mark it.
"""

import math
from dataclasses import dataclass, replace
from typing import Literal

from foamworks.aircraft import balance, fins, thrust_line
from foamworks.aircraft.aero import Flying, plane, size_by_stiffness, study_aero
from foamworks.aircraft.balance import Put, Window
from foamworks.aircraft.errors import sample
from foamworks.aircraft.masses import Laden, pack_slide, states
from foamworks.design.additions import FinAsBuilt, Fins
from foamworks.design.ladder import NO_POD, has_pod
from foamworks.design.model import Design
from foamworks.design.quantity import is_open
from foamworks.errors import given, where_given
from foamworks.parts.base import Parts
from foamworks.parts.make import bought_anew, make
from foamworks.parts.mounted_pod import MountedPod, mounted_pod, over_back
from foamworks.physics.balance import Settled
from foamworks.physics.planform import ReferenceWing
from foamworks.units import first_measured

ROUNDS = 8  # two or three do; more means that it swings, and the last is kept
SAME_ANGLE = math.radians(0.001)
AIMS = 4  # times the balance is settled in one round; what it needs hardly moves after the second
SAME_PLACE = 2e-4  # m, between two aims: finer than a balance stand
LeftOpen = Literal["fins", "downthrust", "battery", "ignition pack", "ballast"]
FIRST_TILT = math.radians(5)  # where the rounds start; the answer does not depend on it


@dataclass(frozen=True)
class Aircraft:
    """A design with nothing left open, what flies (None without a wing), its pod (None where it is not measured).

    `apart`: battery and ballast of `no pod` when they were automatic; `settled`: of the other states, None where that
    cannot be known; `limited_by`: what held an automatic downthrust; `marks`: what was settled.
    """

    design: Design
    flying: Flying | None
    pod: MountedPod | None
    apart: Put | None
    settled: Settled | None
    limited_by: str | None
    marks: tuple[LeftOpen, ...]

    @property
    def over_back(self) -> MountedPod | None:
        """The pod over a fuselage that was measured; None when either is not known."""
        return self.pod if self.pod and self.pod.sections else None

    @property
    def fit(self) -> float:
        """The greatest downthrust [rad] that clears the back; NaN where none does or the back is not known."""
        return self.over_back.fit_limit if self.over_back else math.nan

    @property
    def opened(self) -> bool:
        """Tell whether anything was left open to balance with."""
        return bool({"battery", "ignition pack", "ballast"} & set(self.marks))


def opened(solved: Design, asked: Design) -> Design:
    """Give the solved design with battery, ignition pack and ballast as open as they were asked."""
    open_ = {"airframe": asked.airframe, "ballast": asked.ballast, "ignition": asked.ignition}
    return solved.model_copy(update=open_)


def to_balance_with(asked: Design) -> list[LeftOpen]:
    """Say what a design leaves open to balance with."""
    battery, ballast = asked.airframe.battery, asked.ballast
    open_: dict[LeftOpen, bool] = {
        "battery": battery is not None and is_open(battery.x),
        "ignition pack": pack_slide(asked) is not None,
        "ballast": ballast is not None and is_open(ballast.mass),
    }
    return [what for what, left in open_.items() if left]


def solve(design: Design) -> Aircraft:
    """Settle everything that the design leaves automatic."""
    wing = fins.reference(design)
    sized = _with_fins(design, wing)
    shape = sized.airframe.wing
    flying = Flying(shape, wing, study_aero(sized, wing)) if shape and wing else None
    state = _Rounds(sized, flying)
    state.run()
    marks: list[LeftOpen] = ["fins"] if sized is not design else []
    marks += [*state.tilted, *state.open]
    pod = mounted_pod(state.design)
    return Aircraft(state.design, flying, pod, state.apart, state.settled, state.limited_by, tuple(marks))


def _with_fins(design: Design, wing: ReferenceWing | None) -> Design:
    """Size the fins; the same design when they are given as built or cannot be sized."""
    if not design.fins or design.fins.each or not wing:
        return design
    each = _sized(design, design.fins, wing)
    return design.model_copy(update={"fins": design.fins.model_copy(update={"each": each})}) if each else design


@where_given
def _sized(design: Design, asked: Fins, wing: ReferenceWing) -> FinAsBuilt:
    old = given(fins.old_fin(design))
    shape = given(fins.wanted_shape(asked, old))
    each = given(fins.size_by_volume(asked, shape, old.volume_coefficient(wing), wing))
    if asked.match != "stiffness":
        return each
    wanted = plane(design, wing, old).yaw_stiffness(wing.quarter_mac_x, 0.0)
    return fins.shaped(shape, given(size_by_stiffness(design, wing, fins.as_built(asked, each), wanted)))


class _Rounds:
    """Battery, ballast and downthrust, round by round."""

    def __init__(self, design: Design, flying: Flying | None) -> None:
        self.asked, self.design, self.flying = design, design, flying
        self.parts = Parts()  # as made in the last round; battery and ballast are no part of what they are
        self.settled: Settled | None = None
        self.apart: Put | None = None
        self.put = Put(math.nan, 0.0)
        self.spare = 0.0  # how far ahead of the aft limit what is automatic aims [m], by the last balance
        self.limited_by: str | None = None
        self.open = to_balance_with(design)
        self.tilted: list[LeftOpen] = []

    def run(self) -> None:
        pod = self.asked.pod
        auto_tilt = pod is not None and is_open(pod.downthrust)
        if auto_tilt:
            self._tilt(FIRST_TILT)
        mounted = over_back(self.design)
        bound = first_measured(mounted.fit_limit, 0.0) if mounted else math.inf
        if pod is not None and not auto_tilt:
            self.limited_by = "nothing"
        tilt = min(FIRST_TILT, bound) if auto_tilt else 0.0
        for _ in range(ROUNDS):
            if auto_tilt:
                self._tilt(tilt)
            if not self.flying:
                break
            self._balance(self.flying)
            found = self._best(self.flying, bound) if auto_tilt else None
            if found is None or abs(found.downthrust - tilt) < SAME_ANGLE:
                break
            tilt = found.downthrust
        if auto_tilt and self.limited_by is not None:
            self.tilted.append("downthrust")
        elif auto_tilt:  # it could not be settled: it is 0, and the finding says what is missing
            self._tilt(0.0)

    def _tilt(self, tilt: float) -> None:
        pod = self.asked.pod
        if pod is not None:
            self.design = self.design.model_copy(update={"pod": pod.model_copy(update={"downthrust": tilt})})

    def _balance(self, flying: Flying) -> None:
        """Settle battery and ballast of all states, and of `no pod` apart."""
        asked = opened(self.design, self.asked)
        self.parts = make(self.design)
        rows = states(asked, self.parts)
        limits = balance.window(asked, flying, balance.trimming(asked, flying))
        for _ in range(AIMS):
            aimed = self._settle(asked, flying, rows, limits)
            if not self.open or abs(aimed - self.spare) < SAME_PLACE:
                break
            self.spare = aimed
        self._take(self.put)

    def _settle(self, asked: Design, flying: Flying, rows: tuple[Laden, ...], limits: Window) -> float:
        """Settle once, aiming ahead by the spare of the last time; give the spare that this balance needs."""
        limits = replace(limits, spare=self.spare)
        bare = tuple(row for row in rows if row.state == NO_POD)
        common = tuple(row for row in rows if row.state != NO_POD) if has_pod(asked) else rows
        self.settled = balance.settle(asked, common, limits)
        alone = balance.settle(asked, bare, limits)
        self.apart = None if alone is None else balance.put_of(asked, alone, bare)
        self.put = balance.put_of(asked, self.settled, common)
        if not (self.settled and self.apart):
            return 0.0
        loads = [(*row.loads, *self.put.loads(asked)) for row in common]
        loads += [(*row.loads, *self.apart.loads(asked)) for row in bare]
        samples = sample(asked, flying.aero.modified, flying.wing, loads)
        return samples.needs(asked.limits.sure) * flying.wing.mac

    def _take(self, put: Put) -> None:
        airframe, ballast = self.asked.airframe, self.asked.ballast
        if airframe.battery and "battery" in self.open:
            x = put.battery_x if airframe.battery.moves else airframe.battery.x_stock
            battery = airframe.battery.model_copy(update={"x": x})
            self.design = self.design.model_copy(update={"airframe": airframe.model_copy(update={"battery": battery})})
        if ballast and "ballast" in self.open:
            update = {"ballast": ballast.model_copy(update={"mass": put.ballast})}
            self.design = self.design.model_copy(update=update)
        ignition = self.asked.ignition
        if ignition and ignition.pack and math.isfinite(put.pack_x):
            pack = ignition.pack.model_copy(update={"x": put.pack_x})
            self.design = self.design.model_copy(update={"ignition": ignition.model_copy(update={"pack": pack})})
            self.parts = bought_anew(self.design, self.parts)

    @where_given
    def _best(self, flying: Flying, bound: float) -> thrust_line.BestTilt:
        stand = given(self.design.standing)
        rows = given(balance.study_balance(self.design, self.parts, flying, apart=None)).rows
        powered, nozzle = thrust_line.powered_states(self.design, rows), (stand.x, stand.z)
        found = given(thrust_line.best_tilt(powered, nozzle, fit=bound, limit=stand.pod.downthrust_limit))
        self.limited_by = found.limited_by
        return found
