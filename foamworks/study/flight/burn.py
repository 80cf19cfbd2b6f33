"""The burn as a whole: drag, power, each motor's run and the answer in pitch, the gyro's table. SI."""

from dataclasses import dataclass

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.thrust_line import ThrustLine
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.boost import MotorBoost, study_boost
from foamworks.study.flight.drag import study_drag
from foamworks.study.flight.gyro import GyroTable, study_gyro
from foamworks.study.flight.power import Power, study_power
from foamworks.study.flight.response import Response, study_response


@dataclass(frozen=True)
class Burn:
    """What the fan and the motors do; None or empty where the design does not ask for it."""

    power: Power | None
    boosts: tuple[MotorBoost, ...]
    response: Response | None
    gyro: GyroTable | None


def study_burn(
    design: Design,
    parts: Parts,
    *,
    aero: Aero | None,
    wing: ReferenceWing | None,
    balance: Balance | None,
    line: ThrustLine | None,
) -> Burn:
    """Study fan, motors, pitch and gyro of a solved design."""
    drag = study_drag(design, parts, aero, wing, balance)
    power = study_power(design, drag, balance, wing)
    boosts = study_boost(design, balance, aero, wing, power)
    response = study_response(design, line, balance, aero, wing, power, boosts)
    peaks = {row.motor: row.run.peak if row.run else None for row in boosts}
    gyro = study_gyro(design, level=power.level if power else None, peaks=peaks)
    return Burn(power, boosts, response, gyro)
