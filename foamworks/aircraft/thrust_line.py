"""Where the booster's line passes the centre of gravity, and what that does: moment and elevator, state by state. SI.

The axis is tipped down by the downthrust: it passes the nozzle and rises aft. The arm is the line's distance above the
centre of gravity; the moment is the booster's alone, nose-up positive. Three moments of each burn are looked at: at
ignition (mean thrust, all propellant aboard), at peak thrust (what has burnt by then is gone), and at burnout (mean
thrust, no propellant left): the mean at both ends bounds the shift that the burning propellant makes.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.masses import moments
from foamworks.design.curve import usable_curve
from foamworks.design.ladder import State
from foamworks.design.model import Design
from foamworks.physics.flight import motor as physics

Floats = NDArray[np.float64]
SCAN_STEP = math.radians(0.02)  # downthrust is built to a fraction of a degree; the scan is finer than that
IGNITION, PEAK, BURNOUT = "ignition", "peak thrust", "burnout"


@dataclass(frozen=True)
class Powered:
    """One moment of a burn: thrust [N], the CG of everything but the motor as mass and place, the motor's mass."""

    motor: str
    state: str
    thrust: float
    rest_mass: float
    rest_x: float
    rest_z: float
    motor_mass: float
    motor_length: float

    def cg(self, nozzle: tuple[float, float], downthrust: Floats) -> tuple[Floats, Floats]:
        """Centre of gravity (x, z) with the motor tilted by each downthrust."""
        total = self.rest_mass + self.motor_mass
        half = self.motor_length / 2
        x = np.asarray(
            (self.rest_mass * self.rest_x + self.motor_mass * (nozzle[0] - half * np.cos(downthrust))) / total
        )
        z = np.asarray(
            (self.rest_mass * self.rest_z + self.motor_mass * (nozzle[1] - half * np.sin(downthrust))) / total
        )
        return x, z

    def arm(self, nozzle: tuple[float, float], downthrust: Floats) -> Floats:
        """Distance of the thrust line above the centre of gravity [m]."""
        x, z = self.cg(nozzle, downthrust)
        return np.asarray((nozzle[1] - z) * np.cos(downthrust) - (nozzle[0] - x) * np.sin(downthrust))


def powered_states(design: Design, rows: tuple[StateRow, ...]) -> list[Powered]:
    """Give the three moments of each motor's burn, from its ignition state; all pods together."""
    found = []
    pods = design.pod.count if design.pod else 1
    for motor in design.motors:
        row = next((r for r in rows if r.state == State("ignition", motor.name)), None)
        curve = usable_curve(motor)
        if row is None or not motor.plugged or curve is None:
            continue
        time, thrust = curve
        rest = moments(load for load in row.loads if load.kind != "motor")
        x, z = rest.cg
        peak_time = float(time[int(np.argmax(thrust))])
        left = float(physics.propellant_left(time=time, thrust=thrust, propellant=motor.propellant, at=peak_time))
        mean = physics.mean_thrust(time=time, thrust=thrust)
        empty = motor.mass - motor.propellant
        for state, force, weight in (
            (IGNITION, mean, motor.mass),
            (PEAK, float(np.max(thrust)), empty + left),
            (BURNOUT, mean, empty),
        ):
            found.append(Powered(motor.name, state, pods * force, rest.mass, x, z, pods * weight, motor.length))
    return found


@dataclass(frozen=True)
class BestTilt:
    """The downthrust [rad] with the least worst moment within the bounds, and what bounded it."""

    downthrust: float
    limited_by: str


def best_tilt(
    powered: list[Powered], nozzle: tuple[float, float], *, fit: float = math.inf, limit: float
) -> BestTilt | None:
    """Find the angle with the least worst moment over all powered states; None when a place is not known."""
    if not powered or not all(math.isfinite(p.rest_x) and math.isfinite(p.rest_z) for p in powered):
        return None
    most = math.radians(45)
    free = _least_worst(powered, nozzle, most)
    bound, name = (limit, "limit") if limit <= fit else (max(fit, 0.0), "fit")
    if free <= bound:
        return BestTilt(free, "nothing")
    return BestTilt(bound, name)


def _least_worst(powered: list[Powered], nozzle: tuple[float, float], most: float) -> float:
    tilts = np.linspace(0, most, math.ceil(most / SCAN_STEP) + 1)
    best = int(np.argmin(_worst(powered, nozzle, tilts)))
    low, high = tilts[max(best - 1, 0)], tilts[min(best + 1, len(tilts) - 1)]
    fine = np.linspace(low, high, 401)
    return float(fine[int(np.argmin(_worst(powered, nozzle, fine)))])


def _worst(powered: list[Powered], nozzle: tuple[float, float], tilts: Floats) -> Floats:
    return np.asarray(np.max([np.abs(p.thrust * p.arm(nozzle, tilts)) for p in powered], axis=0))


@dataclass(frozen=True)
class PoweredRow:
    """One moment of a burn at the downthrust as built: CG, arm of the line above it [m], moment nose up [N m]."""

    motor: str
    state: str
    thrust: float
    cg_x: float
    cg_z: float
    arm: float
    moment: float


@dataclass(frozen=True)
class ThrustLine:
    """The booster's line: downthrust [rad], what limited it, and its moments."""

    downthrust: float
    limited_by: str | None
    rows: tuple[PoweredRow, ...]


def study_thrust_line(design: Design, balance: Balance | None, limited_by: str | None) -> ThrustLine | None:
    """Study the line of a pod whose downthrust is settled; None without a pod on the aircraft."""
    stand = design.standing
    if stand is None:
        return None
    nozzle, tilt = (stand.x, stand.z), np.asarray(stand.downthrust)
    rows = []
    for p in powered_states(design, balance.rows if balance else ()):
        x, z = p.cg(nozzle, tilt)
        arm = float(p.arm(nozzle, tilt))
        rows.append(PoweredRow(p.motor, p.state, p.thrust, float(x), float(z), arm, -p.thrust * arm))
    return ThrustLine(stand.downthrust, limited_by, tuple(rows))
