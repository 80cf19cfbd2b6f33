"""Which share of the models built to this plan keeps its nose and its load factor through a burn? SI.

What matters of all errors is where the thrust line passes the centre of gravity, the static margin there, and the
thrust. The burn is flown over a grid of the three, hands off, and read between its points for every sample of the
tolerance study. An entry speed that was missed counts as thrust: the path bends by thrust over speed.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft import instruments as by
from foamworks.aircraft.errors import ANGLE, HEIGHT, MOTOR_THRUST, SPEED, Samples
from foamworks.physics.flight import pitch, thrust_line
from foamworks.physics.grid import quantile, read_between
from foamworks.study.flight.burn_case import AFTER, BurnCase

Floats = NDArray[np.float64]
WITHIN = (math.radians(10), math.radians(45))  # of the nose at the end of the burn
KEPT = 0.95  # of the builds; where fewer keep a limit the burn fails (ours)
LEAST_LOAD = -2.0  # g (ours)
ARMS, MARGINS, THRUSTS = 7, 4, 2  # grid points; twice as many move a share by less than half a point
ROUGH_STEP = 0.1  # s; half of it moves a share by less than a tenth of a point
REACH = 0.002  # of the samples at each end that lie beyond the grid and are taken at its edge


@dataclass(frozen=True)
class Scatter:
    """Shares of the builds whose nose stays within 10 and 45 degrees, and whose load factor stays above the least.

    most: the size of the pitch change [rad], and least_load: the load factor, that all but one build in twenty keep.
    """

    motor: str
    within: tuple[float, float]
    load: float
    most: float
    least_load: float


@dataclass(frozen=True)
class Grid:
    """One motor's burn over a grid of arms, margins and thrusts, and what every build has of the three."""

    motor: str
    flight: pitch.Flight
    axes: tuple[Floats, ...]
    drawn: tuple[Floats, ...]

    def told(self, result: pitch.Response) -> Scatter:
        """Read the answer between the grid's points, build by build."""
        shape = tuple(len(axis) for axis in self.axes)
        values = (result.pitch_change, result.least_load)
        nose, load = (read_between(self.axes, value.reshape(shape), self.drawn) for value in values)
        first, second = (float(np.mean(np.abs(nose) <= limit)) for limit in WITHIN)
        most, least = quantile(np.abs(nose), KEPT), quantile(load, 1 - KEPT)
        return Scatter(self.motor, (first, second), float(np.mean(load >= LEAST_LOAD)), most, least)


def grid(case: BurnCase, samples: Samples) -> Grid | None:
    """Plan the sampled burns of one motor; None when a number is missing."""
    model, booster = case.model, case.booster
    if model is None:
        return None
    nominal = float(thrust_line.line_above(aft=booster.aft, above=booster.above, downthrust=booster.downthrust))
    drawn = _drawn(case, samples, booster, nominal)
    axes = tuple(_axis(values, count) for values, count in zip(drawn, (ARMS, MARGINS, THRUSTS), strict=True))
    arms, margins, thrusts = (points.ravel() for points in np.meshgrid(*axes, indexing="ij"))
    sampled = replace(
        booster,
        aft=np.full(arms.size, booster.aft),
        above=booster.above + (arms - nominal) / math.cos(float(booster.downthrust)),
        downthrust=np.full(arms.size, booster.downthrust),
        push=thrusts,
    )
    model = replace(model, stiffness=-margins * model.lift_slope)
    return Grid(case.motor.name, pitch.Flight(model, sampled, 0.0, ROUGH_STEP, AFTER), axes, drawn)


BUILDS = 4000  # of the samples, which give a share to half a point


def _drawn(case: BurnCase, samples: Samples, booster: pitch.Booster, arm: float) -> tuple[Floats, Floats, Floats]:
    """Give arm of the line above the CG [m], static margin there, and thrust over the nominal, sample by sample."""
    row, tilt = case.row, float(booster.downthrust)
    at = samples.states.index(row.loads)
    lever = float(booster.aft) * math.cos(tilt) + float(booster.above) * math.sin(tilt)
    raised = sum(load.mass for load in row.loads if load.kind == "stock") / row.mass * by.CG_HEIGHT
    arms = (
        arm
        - raised * math.cos(tilt) * samples.error(HEIGHT)
        - lever * case.design.build.angle_error * samples.error(ANGLE)
        + math.sin(tilt) * (samples.cg[at] - row.cg_x)
    )
    thrust = (1 + by.THRUST * samples.error(MOTOR_THRUST)) / (1 + by.FLOWN_SPEED * samples.error(SPEED))
    return arms[:BUILDS], samples.margins[at, :BUILDS], np.maximum(thrust, by.THRUST)[:BUILDS]


def _axis(values: Floats, count: int) -> Floats:
    low, high = quantile(values, REACH), quantile(values, 1 - REACH)
    return np.linspace(low, max(high, low + 1e-9), count)
