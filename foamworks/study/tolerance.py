"""How sure is each verdict, and which measurement would make it surer? Errors of the measurements, sampled. SI.

What errs, and by how much, is `aircraft.errors`; here are the margins that it eats.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft import instruments as by
from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.errors import (
    ANGLE,
    EVEN,
    FIN_CUT,
    HEIGHT,
    LIFT,
    MASS_STOCK,
    MOTOR_THRUST,
    OLD_FIN,
    POINT,
    SAMPLES,
    SPEED,
    THROW,
    Samples,
    sample,
)
from foamworks.aircraft.fins import FinSet
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import stock_cg
from foamworks.aircraft.thrust_line import ThrustLine
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.model import Design
from foamworks.physics import trim
from foamworks.physics.grid import quantile

Floats = NDArray[np.float64]

SHOWN = 5  # measurements listed
SURE = 0.95  # of the samples in which every state must stay stable (ours)

FIN_BAND = 0.05  # of the original's volume coefficient, within which new fins pass (ours)
LANDING_GROWTH = 1.15  # landing speed over the stock model's that still passes (ours)
ELEVATOR_PART = 1 / 3  # of the elevator's travel that the booster may ask for (common practice, no source)


@dataclass(frozen=True)
class Held:
    """In which share of the samples a finding holds."""

    check: str
    subject: str
    share: float


@dataclass(frozen=True)
class Matter:
    """A measurement and its share of the variance of the margins, those most in doubt counting most."""

    measurement: str
    share: float


@dataclass(frozen=True)
class Tolerance:
    """How sure the verdicts are, and which measurements matter most, in order.

    low_margin: the static margin that the worst state keeps in `SURE` of the samples; margin_by: the measurements that
    matter most to it alone. spare: how far ahead of the aft limit [m] the worst state must lie for `limits.sure` of the
    builds to keep the least margin.
    """

    samples: int
    holds: tuple[Held, ...]
    matters: tuple[Matter, ...]
    low_margin: float
    margin_by: tuple[Matter, ...]
    spare: float
    sampled: Samples = field(compare=False, repr=False)

    def share(self, check: str, subject: str | None = None) -> float | None:
        """Give the share in which a check holds."""
        found = [held for held in self.holds if held.check == check and subject in (None, held.subject)]
        return found[0].share if found else None


@dataclass(frozen=True)
class _World:
    """What is sampled, with its nominal numbers, and the samples."""

    design: Design
    flying: Flying
    balance: Balance
    thrust_line: ThrustLine | None
    old_fin: FinSet | None
    new_fins: FinSet | None
    samples: Samples


def study_tolerance(
    design: Design,
    flying: Flying,
    balance: Balance,
    thrust_line: ThrustLine | None,
    *,
    old_fin: FinSet | None,
    new_fins: FinSet | None,
) -> Tolerance | None:
    """Sample all margins that the design has; None when it has none."""
    if not all(math.isfinite(row.cg_x) for row in balance.rows):
        return None
    samples = sample(design, flying.aero.modified, flying.wing, (row.loads for row in balance.rows))
    names, drawn = samples.errors.names, samples.drawn
    margins = _margins(_World(design, flying, balance, thrust_line, old_fin, new_fins, samples))
    holds = tuple(Held(check, what, float(np.mean(value >= 0))) for check, what, value in margins)
    at = next(i for i, (_, what, _) in enumerate(margins) if what == STABLE)
    stable = margins[at][2]
    return Tolerance(
        samples=SAMPLES,
        holds=holds,
        matters=_matters(names, drawn, [value for *_, value in margins], holds),
        low_margin=quantile(stable, 1 - SURE),
        margin_by=_matters(names, drawn, [stable], holds[at : at + 1]),
        spare=samples.needs(design.limits.sure) * flying.wing.mac,
        sampled=samples,
    )


STABLE = "every state stable at all"


Margin = tuple[str, str, Floats]  # check, subject, value that holds when it is at least 0


def _margins(world: _World) -> list[Margin]:
    margin = world.samples.margins.min(axis=0)
    least = world.design.limits.least
    found: list[Margin] = [("static-margin", "every state", margin - least), ("static-margin", STABLE, margin)]
    return [*found, *_manoeuvre(world), *_forward(world), *_landing(world), *_fin_volume(world), *_thrust(world)]


def _manoeuvre(world: _World) -> list[Margin]:
    balance = world.balance
    if not math.isfinite(balance.manoeuvre_point):
        return []
    behind = balance.manoeuvre_point - world.flying.aero.modified.neutral_point_flown  # without motor
    chord = world.flying.wing.mac
    damped = behind * balance.row(NO_MOTOR).mass / world.samples.mass * world.samples.slope / chord
    value = np.min(world.samples.margins + damped, axis=0) - world.design.limits.least
    return [("manoeuvre-margin", "every state", value)]


def _forward(world: _World) -> list[Margin]:
    design, flying, flown = world.design, world.flying, world.balance
    aero, wing = flying.aero, flying.wing
    airframe, window, trimming = design.airframe, flown.window, flown.trimming
    elevator = airframe.elevator
    power, stock_power = aero.modified.elevator_power, aero.stock.elevator_power
    if elevator is None or not math.isfinite(window.forward * stock_power):
        return []
    speed = trimming.speed * (1 + by.FLOWN_SPEED * world.samples.error(SPEED))
    lift = 2 * airframe.mass * 9.80665 / (air_of(design).density * speed**2 * wing.area)
    point = world.samples.neutral_point
    missed = point - aero.modified.neutral_point_flown
    stock_margin = (aero.stock.neutral_point_flown - stock_cg(airframe)[0] + missed) / world.samples.chord
    zero_lift = stock_margin * lift - stock_power * world.samples.elevator * trimming.elevator
    approach = trim.approach_lift(max_lift=flying.shape.max_lift) * (
        1 + by.MAX_LIFT * np.clip(world.samples.error(LIFT), -4, 4)
    )
    up = elevator.up + by.ELEVATOR_THROW * world.samples.error(THROW)
    limit = point - world.samples.chord / approach * (
        zero_lift - power * world.samples.elevator * trim.ELEVATOR_SHARE * up
    )
    return [("forward-limit", "every state", np.asarray(np.min(world.samples.cg, axis=0) - limit))]


def _landing(world: _World) -> list[Margin]:
    airframe = world.design.airframe
    stock = airframe.mass + by.SCALE * world.samples.error(MASS_STOCK)
    return [("landing-speed", "every state", LANDING_GROWTH - np.sqrt(np.max(world.samples.mass, axis=0) / stock))]


def _fin_volume(world: _World) -> list[Margin]:
    old, new, wing = world.old_fin, world.new_fins, world.flying.wing
    if old is None or new is None or old.volume_coefficient(wing) <= 0:
        return []

    def area_error(fins: FinSet, step: float) -> float:
        chords = fins.stations.chord[0] + fins.stations.chord[-1]
        return step * math.hypot(1 / fins.stations.height, math.sqrt(2) / max(chords, step))

    ratio = new.volume_coefficient(wing) / old.volume_coefficient(wing)
    before = 1 + area_error(old, by.RULER) * world.samples.error(OLD_FIN)
    after = ratio * (1 + area_error(new, by.CUT) * world.samples.error(FIN_CUT))
    return [("fin-volume", "fins", np.asarray(FIN_BAND - np.abs(after / before - 1)))]


def _thrust(world: _World) -> list[Margin]:
    design, line, flying = world.design, world.thrust_line, world.flying
    flown, wing, power = world.balance.trimming, flying.wing, flying.aero.modified.elevator_power
    elevator = design.airframe.elevator
    rows = [row for row in line.rows if math.isfinite(row.arm)] if line else []
    stand = design.standing
    if not (rows and elevator and stand and flown.speed > 0 and math.isfinite(power)):
        return []
    travel = min(elevator.up, elevator.down) * ELEVATOR_PART
    pressure = 0.5 * air_of(design).density * flown.speed**2 * wing.area * wing.mac
    worst = np.zeros(SAMPLES)
    for row in rows:
        lever = stand.x - row.cg_x
        turned = design.build.angle_error * world.samples.error(ANGLE)
        arm = row.arm - by.CG_HEIGHT * world.samples.error(HEIGHT) - lever * turned
        moment = row.thrust * (1 + by.THRUST * world.samples.error(MOTOR_THRUST)) * np.abs(arm)
        worst = np.maximum(worst, moment / (pressure * -power * world.samples.elevator))
    return [("thrust-moment", "every state", np.asarray(travel - worst))]


def _matters(names: list[str], drawn: Floats, values: list[Floats], holds: tuple[Held, ...]) -> tuple[Matter, ...]:
    """Rank measurements by squared correlation with each margin, margins in doubt counting most.

    What no ruler can better (the methods' own error) takes its share but is not listed.
    """
    shares = np.zeros(len(names))
    for value, held in zip(values, holds, strict=True):
        centred = value - value.mean()
        spread = float(centred.std())
        if spread <= 0:
            continue
        squared = (drawn @ centred / (SAMPLES * spread)) ** 2
        doubt = held.share * (1 - held.share) + SURE_COUNTS
        shares += doubt * squared / max(float(squared.sum()), 1e-12)
    total = float(shares.sum())
    if total <= 0:
        return ()
    order = [i for i in np.argsort(-shares, kind="stable") if names[i] not in (POINT, *EVEN)]
    return tuple(Matter(names[i], float(shares[i]) / total) for i in order[:SHOWN])


SURE_COUNTS = 0.01  # what a margin that always holds counts beside one in doubt (at most 0.25)
