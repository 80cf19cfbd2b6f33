"""What the flights taught: each beside what the estimate makes of it, which of them does not agree, the fan's law. SI.

A flight is held to what all the others let expect of it. Two fan laws bound the truth: a flight is odd only where it is
by both.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.physics.flight import boost
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drag import MODELS, POWER, Drag
from foamworks.study.flight.drive import drive
from foamworks.study.flight.estimate import driven, law_error, peaks_at
from foamworks.study.flight.flown import SURE, FlownRun, unread, weight

ODD = 2.0  # standard errors off what the others let expect: one flight in twenty by chance
TELLS = 4.0  # of the sum of squares between the laws: the worse one is out (two standard errors)
FanLaw = Literal["constant power", "constant efflux", "either"]


@dataclass(frozen=True)
class Pack:
    """The static thrust [N] on one pack, as flown."""

    name: str
    least: float
    likely: float
    most: float


@dataclass(frozen=True)
class Row:
    """One flight: the speed the estimate gives it [m/s]; `off`: standard errors off what the others let expect.

    expected: what the others let expect [m/s]; NaN where it was not used or they say nothing.
    """

    run: FlownRun
    fitted: float
    used: bool
    off: float
    expected: float

    @property
    def residual(self) -> float:
        """Measured less fitted."""
        return self.run.speed - self.fitted

    @property
    def odd(self) -> bool:
        """Tell whether it is further off than chance takes it."""
        return self.off > ODD


@dataclass(frozen=True)
class Learnt:
    """All flights, the one that agrees least with the others when that is beyond chance, and the fan.

    unread: of each flight that says nothing, by its number as typed, why not.
    """

    flights: tuple[Row, ...]
    odd: Row | None
    law: FanLaw
    packs: tuple[Pack, ...]
    unread: dict[int, str]


def study_learnt(design: Design, drag: Drag) -> Learnt | None:
    """Look back at the flights; None without any."""
    if not design.flights:
        return None
    rows = tuple(_row(design, drag, number, run) for number, run in enumerate(drag.runs))
    # why: two flights that contradict each other are off alike; the later is then named
    odd = max((row for row in rows if row.odd), key=lambda row: (round(row.off, 6), rows.index(row)), default=None)
    return Learnt(rows, odd, _law(drag), _packs(design, drag), unread(design, drag.runs))


def _row(design: Design, drag: Drag, number: int, run: FlownRun) -> Row:
    fitted = fitted_speed(design, drag, run)
    used = math.isfinite(float(drag.fits[POWER].fit.residual[number]))
    others = sum(math.isfinite(float(value)) for value in drag.fits[POWER].fit.residual) - 1
    if not used or others < 1 or not math.isfinite(fitted):
        return Row(run, fitted, used, math.nan, math.nan)
    offs = []
    for law in MODELS:
        fit = drag.fits[law].fit
        offs.append(float(fit.residual[number]) / math.sqrt(max(1 - float(fit.leverage[number]), 1e-9)))
    off = 0.0 if min(offs) < 0 < max(offs) else min(map(abs, offs))
    return Row(run, fitted, used, off, _expected(design, drag, number, run, off))


def _expected(design: Design, drag: Drag, number: int, run: FlownRun, off: float) -> float:
    """Give the speed [m/s] that the others let expect: fitted without this flight where it is far off them."""
    if off > ODD:
        return fitted_speed(design, drag.again(tuple(other for other in drag.runs if other is not run)), run)
    fit = drag.fits[POWER].fit
    deleted = float(fit.residual[number]) / max(1 - float(fit.leverage[number]), 1e-9)
    fitted = fitted_speed(design, drag, run)
    if not run.lit or not math.isfinite(fitted):
        return run.speed * math.exp(-deleted * law_error(run, POWER) / max(run.steepness(POWER), 1.0))
    return run.speed + (fitted - run.speed) * deleted / (float(fit.residual[number]) or 1.0)


def fitted_speed(design: Design, drag: Drag, run: FlownRun) -> float:
    """Give the speed [m/s] that the estimate gives a flight, a motor thrown out when it was; NaN where none."""
    now, area = drag.fits[POWER], drag.zero_lift(run.rung.fitted)
    if run.lit:
        until = math.inf if run.flight.thrown_at is None else run.flight.thrown_at
        peaks = peaks_at(design, run, POWER, now, np.array([area]), induced=drag.induced, until=until)
        return math.nan if peaks is None else float(peaks[0])
    unit = driven(run.unit, now)
    try:
        return boost.level_speed(
            drag_area=area,
            weight=weight(run) or 1.0,
            density=run.density,
            static_thrust=unit.thrust,
            exit_area=unit.exit_area,
            induced_factor=drag.induced,
        )
    except PhysicsError:  # the fan does not hold it level
        return math.nan


def _law(drag: Drag) -> FanLaw:
    """Name the fan law that the flights fit better by, where they tell the two apart."""
    misfit: dict[FanModel, float] = {}
    for law, estimate in drag.fits.items():
        fit = estimate.fit
        misfit[law] = float(np.nansum(fit.residual**2) + fit.point @ fit.point)
    best = min(misfit, key=lambda law: misfit[law])
    return best if max(misfit.values()) - misfit[best] > TELLS else "either"


def _packs(design: Design, drag: Drag) -> tuple[Pack, ...]:
    found = []
    for stock, name in ((True, "stock"), (False, "new")):
        unit = drive(design, stock=stock)
        if not math.isfinite(unit.thrust) or unit.stock is not stock:
            continue
        likely = drag.drive(unit).thrust
        edges = [
            unit.thrust * fit.factor(stock=stock) * math.exp(way * SURE * fit.thrust_spread(stock=stock))
            for fit in drag.fits.values()
            for way in (-1, 1)
        ]
        found.append(Pack(name, min(edges), likely, max(edges)))
    return tuple(found)
