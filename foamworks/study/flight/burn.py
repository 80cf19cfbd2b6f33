"""The burn as a whole: drag, power, each motor's run and the answer in pitch, the gyro's table. SI."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.errors import Samples
from foamworks.aircraft.thrust_line import ThrustLine
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.study.flight.boost import MotorBoost, study_boost
from foamworks.study.flight.drag import Drag, study_drag
from foamworks.study.flight.gyro import GyroTable, study_gyro
from foamworks.study.flight.learnt import Learnt, Row, study_learnt
from foamworks.study.flight.power import Power, study_power
from foamworks.study.flight.response import Response, study_response


@dataclass(frozen=True)
class Burn:
    """What the fan and the motors do; None, empty or NaN where the design does not ask for it.

    judged: the boosts that strength, gyro and field are judged at: `boosts`, but where the flights disagree those by
    the faster of them alone. dives: by motor, how steeply its burn may turn the run down [rad].
    """

    drag: Drag | None
    power: Power | None
    boosts: tuple[MotorBoost, ...]
    response: Response
    gyro: GyroTable | None
    learnt: Learnt | None
    judged: tuple[MotorBoost, ...]
    dives: Mapping[str, float] = field(default_factory=dict)

    @property
    def level(self) -> float:
        """Level speed of the finished model [m/s]."""
        return self.power.level if self.power else math.nan

    @property
    def flown(self) -> tuple[Row, ...]:
        """The flights that were read."""
        return self.learnt.flights if self.learnt else ()

    @property
    def fastest_peaks(self) -> dict[str, float]:
        """Give the greatest speed [m/s] of each motor whose peak is known.

        The level run's that is judged; as flown, or as the nose goes hands off, where that is faster.
        """
        flown = {motor.name: row.run.speed for row in self.flown if (motor := row.run.rung.lit)}
        dived = {row.motor: row.fastest for row in self.response.motors}
        return {
            row.motor: max(row.run.peak, flown.get(row.motor, 0.0), dived.get(row.motor, 0.0))
            for row in self.judged
            if row.run
        }


def study_burn(
    design: Design,
    parts: Parts,
    flying: Flying | None,
    balance: Balance | None,
    line: ThrustLine | None,
    samples: Samples | None,
) -> Burn:
    """Study fan, motors, pitch and gyro of a solved design."""
    drag = study_drag(design, parts, flying, balance) if flying else None
    power = study_power(design, drag, balance, flying)
    level = study_boost(design, balance, flying, power)
    response = Response()
    if flying and balance and line:
        response = study_response(design, line, balance, flying, power, level, samples)
    dives = response.dives(level)
    boosts = study_boost(design, balance, flying, power, dives)
    learnt = study_learnt(design, drag) if drag else None
    judged = boosts
    if drag and learnt and learnt.odd and power and flying:
        fast = _faster(design, drag, flying, balance, learnt)
        if fast and fast.level > (power.level if math.isfinite(power.level) else 0.0):
            judged = study_boost(design, balance, flying, fast, dives)
    found = Burn(drag, power, boosts, response, None, learnt, judged, dives)
    return replace(found, gyro=study_gyro(design, level=found.level, peaks=found.fastest_peaks))


def _faster(design: Design, drag: Drag, flying: Flying, balance: Balance | None, learnt: Learnt) -> Power | None:
    """Give the fan and the drag by the one level flight that makes the finished model fastest."""
    alone = [(row.run,) for row in learnt.flights if row.used and not row.run.lit]
    powers = [study_power(design, drag.again(runs), balance, flying) for runs in alone]
    return max((power for power in powers if power and power.level > 0), key=lambda power: power.level, default=None)
