"""One estimate of the aircraft from all that was flown: drag and the fan's thrust, and how sure they are. SI.

Four numbers, each expected to be as built up, printed or measured, within a stated spread: the bare model's drag, the
drag of the parts that come and go, the static thrust, and the new pack's thrust over what its volts say. All flights
are fitted to these by weighted least squares, by each of the two fan laws. A level flight tells drag over thrust at its
speed; a lit motor's peak tells drag alone, less surely.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from foamworks.design.curve import Curve, usable_curve
from foamworks.design.ladder import Fitted
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.physics.flight import boost
from foamworks.physics.flight.fan import FanModel
from foamworks.physics.flight.fit import Fit, least_squares
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.flown import FlownRun, weight

Floats = NDArray[np.float64]
# standard deviations of the logarithms
BARE = 0.5  # a build-up is good to a factor of 1.65; two flown models had 1.6 to 2 times theirs (ours)
PIECES = 0.25  # printed coefficients of pods, fins, a camera (their sources say 15 to 30 %)
THRUST = 0.05  # a pull on a kitchen scale (common practice, no source)
PACK = 0.08  # thrust with the square of the volts under load, carried to another pack (ours)
MOTOR = 0.08  # of a peak: the motor's impulse and thrust, and how level it was flown (common practice, no source)
COARSE = 0.3  # s of the march to a peak
SPREAD = np.array([0.75, 1.0, 1.33])  # of the drag, between which a peak is taken on a parabola
LEAST = 1e-7  # m2: a drag area that no measurement may fall under


class Carried(NamedTuple):
    """Drag areas [m2] of what an outfit carries: parts by their printed coefficients, and plates, known by their size.

    What is flown scales the parts' coefficients; a plate square to the stream is one wherever it stands.
    """

    parts: float
    plates: float


@dataclass(frozen=True)
class Estimate:
    """The four numbers by one fan law: bare drag area [m2], and factors on parts, static thrust and the new pack.

    `fit` has them in standard deviations from what was expected, with their covariance and each flight's residual.
    """

    bare: float
    pieces: float
    thrust: float
    pack: float
    fit: Fit

    def drag(self, fitted: Carried) -> float:
        """Zero-lift drag area [m2] with this on the model."""
        return self.bare + self.pieces * fitted.parts + fitted.plates

    def factor(self, *, stock: bool) -> float:
        """Static thrust over the measured, on the stock pack or the new one."""
        return self.thrust * (1.0 if stock else self.pack)

    def spread(self, fitted: Carried, *, stock: bool) -> float:
        """Standard deviation of the logarithm of drag over thrust, for parts of so much and a pack."""
        return _deviation(self._shares(fitted) - np.array([0.0, 0.0, THRUST, 0.0 if stock else PACK]), self.fit)

    def drag_spread(self, fitted: Carried) -> float:
        """Standard deviation of the logarithm of the drag alone."""
        return _deviation(self._shares(fitted), self.fit)

    def thrust_spread(self, *, stock: bool) -> float:
        """Standard deviation of the logarithm of the static thrust on a pack."""
        return _deviation(np.array([0.0, 0.0, THRUST, 0.0 if stock else PACK]), self.fit)

    def _shares(self, fitted: Carried) -> Floats:
        whole = max(self.drag(fitted), LEAST)
        return np.array([BARE * self.bare / whole, PIECES * self.pieces * fitted.parts / whole, 0.0, 0.0])


def _deviation(slopes: Floats, fit: Fit) -> float:
    """Give a standard deviation; where the flights contradict each other, by as much more as they do.

    The errors are then larger than stated, whatever the reason: scaled by sqrt(misfit / number of flights), the usual
    way with measurements that do not agree (Review of Particle Physics, introduction, from memory).
    """
    used = np.isfinite(fit.residual)
    misfit = float(np.nansum(fit.residual**2) + fit.point @ fit.point)
    scale = max(1.0, misfit / used.sum()) if used.any() else 1.0
    return math.sqrt(scale * float(slopes @ fit.covariance @ slopes))


def estimate(
    design: Design,
    runs: Sequence[FlownRun],
    law: FanModel,
    *,
    bare: float,
    fitted: Callable[[Fitted], Carried],
    induced: float,
) -> Estimate:
    """Fit the flights; `bare` [m2] by the build-up, `fitted`: what an outfit carries.

    Flights that did not go as planned are left out; their residuals are nan.
    """
    level = tuple(run for run in runs if not run.lit and not run.ended)
    lit = [run for run in runs if run.lit and not run.ended]
    told = (level, law, bare, tuple(fitted(run.rung.fitted) for run in level), induced)
    first = _by_levels(*told)
    if not lit:
        return _of(bare, first.point, _spread_out(first, runs, level))
    start = _of(bare, first.point, first)
    peaks = [_Peak(design, run, law, start, fitted(run.rung.fitted), induced) for run in lit]
    levels = _levels(*told)

    def everything(point: Floats) -> Floats:
        now = _of(bare, point, NOTHING)
        return np.concatenate([levels(point), [peak.residual(now.drag(peak.fitted)) for peak in peaks]])

    whole = least_squares(everything, 4)
    return _of(bare, whole.point, _spread_out(whole, runs, [*level, *lit]))


NOTHING = Fit(np.zeros(4), np.eye(4), np.zeros(0), np.zeros(0))


def _of(bare: float, point: Floats, fit: Fit) -> Estimate:
    a, p, t, k = np.exp(point * (BARE, PIECES, THRUST, PACK))
    return Estimate(bare * float(a), float(p), float(t), float(k), fit)


@lru_cache(maxsize=64)  # a change that is tried seldom touches what was flown
def _by_levels(
    level: tuple[FlownRun, ...], law: FanModel, bare: float, carried: tuple[Carried, ...], induced: float
) -> Fit:
    """Fit the level flights alone."""
    return least_squares(_levels(level, law, bare, carried, induced), 4)


def _levels(
    level: tuple[FlownRun, ...], law: FanModel, bare: float, carried: tuple[Carried, ...], induced: float
) -> Callable[[Floats], Floats]:
    """Give what the level flights miss at a point, in their standard errors."""
    scales = [law_error(run, law) for run in level]

    def missed(point: Floats) -> Floats:
        now = _of(bare, point, NOTHING)
        return np.array([
            math.log(now.drag(area) / _flown_drag(run, now, law, induced)) / scale
            for run, area, scale in zip(level, carried, scales, strict=True)
        ])  # fmt: skip

    return missed


def law_error(run: FlownRun, law: FanModel) -> float:
    """Standard error of the logarithm of the drag area that a level speed tells."""
    return max(run.steepness(law), 1.0) * run.error / run.speed


def _spread_out(fit: Fit, runs: Sequence[FlownRun], used: Sequence[FlownRun]) -> Fit:
    """Put the residuals in the order of all flights, nan for those left out."""
    residual, leverage = np.full(len(runs), np.nan), np.full(len(runs), np.nan)
    for number, run in enumerate(runs):
        at = next((n for n, other in enumerate(used) if other is run), None)
        if at is not None:
            residual[number], leverage[number] = fit.residual[at], fit.leverage[at]
    return fit._replace(residual=residual, leverage=leverage)


def _flown_drag(run: FlownRun, now: Estimate, law: FanModel, induced: float) -> float:
    """Zero-lift drag area [m2] that a level flight means with these factors on the fan's thrust."""
    whole = run.drag_area(law, thrust=now.factor(stock=run.unit.stock))
    return max(whole - induced * (weight(run) / run.pressure) ** 2, LEAST)


class _Peak:
    """What a lit motor's peak says of the drag: the run flown at three drags, a parabola between them."""

    def __init__(
        self, design: Design, run: FlownRun, law: FanModel, start: Estimate, fitted: Carried, induced: float
    ) -> None:
        self.run, self.fitted = run, fitted
        self.logs = np.log(start.drag(fitted) * SPREAD)
        self.peaks = peaks_at(design, run, law, start, start.drag(fitted) * SPREAD, induced=induced)
        self.error = math.hypot(run.error, MOTOR * run.speed)

    def residual(self, drag: float) -> float:
        """Fitted less measured, in standard errors; 0 where the run cannot be flown on paper."""
        if self.peaks is None:
            return 0.0
        fitted = float(np.polyval(np.polyfit(self.logs, self.peaks, 2), math.log(drag)))
        return (fitted - self.run.speed) / self.error


def peaks_at(
    design: Design,
    run: FlownRun,
    law: FanModel,
    now: Estimate,
    drags: Floats,
    *,
    induced: float,
    until: float = math.inf,
    climb: float = 0.0,
    entered: float = 1.0,
) -> Floats | None:
    """Peak [m/s] of a flight's motor at zero-lift drag areas [m2], thrown out `until` seconds after ignition.

    climb [rad] of the path; `entered`: speed at ignition over the level one.
    """
    motor, stand = run.rung.lit, design.standing
    curve = usable_curve(motor) if motor else None
    if not (motor and stand and curve):
        return None
    unit, count = driven(run.unit, now), len(stand.planes)
    time, thrust = cut(curve, until)
    try:
        entry = np.array([
            boost.level_speed(drag_area=float(area), weight=weight(run) or 1.0, density=run.density,
                              static_thrust=unit.thrust, exit_area=unit.exit_area,
                              induced_factor=induced, fan_model=law)
            for area in drags
        ])  # fmt: skip
        path = boost.Run(
            mass=run.mass,
            propellant=count * motor.propellant,
            drag_area=drags,
            density=run.density,
            entry_speed=entered * entry,
            induced_factor=induced,
            climb=climb,
            downthrust=stand.downthrust,
            static_thrust=unit.thrust,
            exit_area=unit.exit_area,
            fan_model=law,
        )
        return boost.boost(path, time=time, thrust=count * thrust, step=COARSE, peak_only=True).peak_speed
    except PhysicsError:  # the fan does not hold this drag level: the flight says nothing then
        return None


def driven(unit: Drive, now: Estimate) -> Drive:
    """Give the fan on its pack with the thrust that was flown."""
    return replace(unit, thrust=unit.thrust * now.factor(stock=unit.stock))


def cut(curve: Curve, until: float) -> Curve:
    """Give a thrust curve that ends after so many seconds: the motor was thrown out, its thrust gone at once."""
    time, thrust = curve
    if until >= time[-1]:
        return curve
    at = max(until, 1e-3)
    early = time < at
    last = float(np.interp(at, time, thrust))
    return (
        np.concatenate([time[early], [at, at + 1e-3]]),
        np.concatenate([thrust[early], [last, 0.0]]),
    )
