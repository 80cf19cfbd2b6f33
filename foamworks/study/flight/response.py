"""What does lighting the motor do in pitch: elevator to hold it, pitch change hands off and with a gyro, load factors?

SI; nose up and elevator trailing edge down positive. From level full-throttle flight, as trimmed, at ignition. The
elevator cancels the booster's moment at entry speed, lift unchanged. The gyro is stated: it adds as much pitch damping
again as the model has at entry speed. Every motor is flown as designed, with the building errors (1 and 2 degrees,
5 mm of CG height), and with the nozzle 10 mm lower and 10 mm further aft.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Flying, Plane
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.errors import Samples
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import POD_LOADS
from foamworks.aircraft.thrust_line import Powered, PoweredRow, ThrustLine, powered_states
from foamworks.design.model import Design
from foamworks.physics import trim
from foamworks.physics.flight import pitch, thrust_line
from foamworks.physics.flight.fan import thrust_table
from foamworks.physics.flight.motor import mean_thrust
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.boost import MotorBoost, motor_curve
from foamworks.study.flight.burn_case import AFTER, STEP, BurnCase, burn_cases, downwash_lag, fan_above, flown
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.power import Power
from foamworks.study.flight.scatter import Scatter, grid

Floats = NDArray[np.float64]
GYRO_SHARE = 1.0  # of the model's own pitch damping that the stated gyro adds at entry speed (ours)
PULL_OUT = 4.0  # g, of the pull-out after the burn: what a foam wing is asked for without thought (ours)
LEAST_PULL = 1.5  # g: a wing that lifts less at the end of a burn is past its stall speed all along
NEARBY = 0.010  # m, the step that "lower" and "further aft" mean


@dataclass(frozen=True)
class Held:
    """What it takes to hold one moment of a burn: elevator [rad], fan's own moment [N m]; NaN where not known.

    worst_elevator: greatest size of the elevator [rad] with 2 degrees and 5 mm of error, with its sign. damping, lag:
    moment with q c/2V and with the rate of incidence c/2V about the centre of gravity there, per radian, as flown.
    """

    motor: str
    state: str
    elevator: float
    worst_elevator: float
    fan_moment: float
    damping: float
    lag: float


@dataclass(frozen=True)
class Swing:
    """How one case answers a burn: pitch change [rad] at its end, least and greatest load factor.

    At the end of the thrust curve: height lost [m], downward positive; path against the horizon [rad]; speed [m/s].
    fastest: the greatest speed on the way [m/s].
    """

    pitch_change: float
    least_load: float
    greatest_load: float
    height_lost: float
    path: float
    speed: float
    fastest: float

    def entry_height(self, load: float) -> float:
        """Height to light the motor at [m] for this case, pulled out at a load factor after one second."""
        return pitch.entry_height(lost=self.height_lost, speed=self.speed, path=self.path, load=load)


@dataclass(frozen=True)
class Nearby:
    """The nozzle moved by 10 mm: arm [m] and moment [N m] at ignition, static margin there, pitch change [rad]."""

    arm: float
    moment: float
    static_margin: float
    pitch_change: float


@dataclass(frozen=True)
class MotorResponse:
    """One motor's burn: hands off, with the gyro, with building errors (angle [rad], height [m], answer), nearby.

    pull_out: the load factor that the pull-out after the burn is reckoned with.
    """

    motor: str
    hands_off: Swing
    gyro: Swing | None
    gyro_gain: float | None
    errors: tuple[tuple[float, float, Swing], ...]
    lower: Nearby
    aft: Nearby
    pull_out: float

    @property
    def worst(self) -> tuple[float, float, Swing]:
        """The building error with the greatest pitch change."""
        return max(self.errors, key=lambda row: abs(row[2].pitch_change))

    @property
    def one_off(self) -> tuple[Swing, Swing]:
        """The angle built one error short, and one too great, the height as designed."""
        return self.errors[4][2], self.errors[10][2]

    @property
    def height_lost(self) -> tuple[float, float, float]:
        """Height lost in the burn [m]: as designed, one error of the angle off, and the most of all errors."""
        one = max(swing.height_lost for swing in self.one_off)
        return self.hands_off.height_lost, one, max(swing.height_lost for *_, swing in self.errors)

    @property
    def fastest(self) -> float:
        """The greatest speed [m/s] as designed or with the angle one error off, whichever dives faster."""
        return max(swing.fastest for swing in (self.hands_off, *self.one_off))

    def dive(self, distance: float) -> float:
        """Mean slope down [rad] of a burn this long [m], as designed or one error off, whichever is steeper."""
        return math.asin(min(max(*self.height_lost[:2], 0.0) / distance, 1.0))

    @property
    def entry_height(self) -> float:
        """The height to light the motor at [m], whichever building error was made."""
        return max(swing.entry_height(self.pull_out) for *_, swing in self.errors)


@dataclass(frozen=True)
class Response:
    """All moments, all motors, their sampled builds; `up`, `down`: the elevator's travel [rad], NaN without one."""

    held: tuple[Held, ...] = ()
    motors: tuple[MotorResponse, ...] = ()
    up: float = math.nan
    down: float = math.nan
    scattered: tuple[Scatter, ...] = ()

    def of(self, motor: str) -> MotorResponse | None:
        """Give one motor's answer."""
        return next((row for row in self.motors if row.motor == motor), None)

    def dives(self, boosts: tuple[MotorBoost, ...]) -> dict[str, float]:
        """Give by motor how steeply its burn may turn its run down [rad]."""
        runs = {row.motor: row.run for row in boosts}
        return {row.motor: row.dive(run.burnout_distance) for row in self.motors if (run := runs[row.motor])}

    def at(self, motor: str, state: str) -> Held | None:
        """Give what it takes to hold one moment."""
        return next((row for row in self.held if (row.motor, row.state) == (motor, state)), None)


def study_response(
    design: Design,
    line: ThrustLine,
    balance: Balance,
    flying: Flying,
    power: Power | None,
    boosts: tuple[MotorBoost, ...],
    samples: Samples | None,
) -> Response:
    """Study the answer to every motor, as drawn and over the builds that were sampled."""
    elevator, aero, wing = design.airframe.elevator, flying.aero, flying.wing
    entries = {row.motor: row.run.entry for row in boosts if row.run}
    unit = power.drive if power else Drive()
    powered = {(p.motor, p.state): p for p in powered_states(design, balance.rows)}
    held = tuple(
        _held(design, row, powered[row.motor, row.state], aero.modified, wing, entries.get(row.motor, math.nan), unit)
        for row in line.rows
    )
    motors, scattered = _flown(burn_cases(design, balance, flying, power, boosts), samples)
    up, down = (elevator.up_lit, elevator.down) if elevator else (math.nan, math.nan)
    return Response(held, motors, up, down, scattered)


def _flown(cases: list[BurnCase], samples: Samples | None) -> tuple[tuple[MotorResponse, ...], tuple[Scatter, ...]]:
    """Fly every burn, planned and sampled, all at once."""
    planned = [plan for plan in map(hands_off, cases) if plan]
    sampled = [plan for case in cases if samples and (plan := grid(case, samples))]
    answers = flown([*(plan.flight for plan in planned), *(plan.flight for plan in sampled)])
    first, last = answers[: len(planned)], answers[len(planned) :]
    return (
        tuple(plan.told(answer) for plan, answer in zip(planned, first, strict=True) if answer),
        tuple(plan.told(answer) for plan, answer in zip(sampled, last, strict=True) if answer),
    )


def fan_moment(design: Design, unit: Drive, *, cg: tuple[float, float], speed: float) -> float:
    """Moment of the fan's own thrust about the centre of gravity at a speed [N m]; NaN where its line is not known."""
    fan = design.airframe.fan
    if not (fan and unit.pushes and math.isfinite(speed)):
        return math.nan
    table = thrust_table(static_thrust=unit.thrust, exit_area=unit.exit_area, density=air_of(design).density)
    return -float(np.interp(speed, *table)) * fan_above(fan, cg)


def _held(
    design: Design,
    row: PoweredRow,
    powered: Powered,
    plane: Plane,
    wing: ReferenceWing,
    entry: float,
    unit: Drive,
) -> Held:
    moment = fan_moment(design, unit, cg=(row.cg_x, row.cg_z), speed=entry)
    damping = lag = math.nan
    if math.isfinite(row.cg_x):
        damping, lag = plane.pitch_damping(row.cg_x), downwash_lag(plane, row.cg_x)
    if not math.isfinite(plane.elevator_power * row.moment * entry):
        return Held(row.motor, row.state, math.nan, math.nan, moment, damping, lag)
    per_moment = trim.elevator_for_moment(
        moment=1.0,
        speed=entry,
        density=air_of(design).density,
        area=wing.area,
        chord=wing.mac,
        power=plane.elevator_power,
    )
    every = per_moment * moments_with_errors(design, powered)
    worst = float(every[int(np.argmax(np.abs(every)))])
    return Held(row.motor, row.state, per_moment * row.moment, worst, moment, damping, lag)


def moments_with_errors(design: Design, powered: Powered) -> Floats:
    """Moment [N m] of one moment of a burn over the fifteen building errors."""
    stand = design.standing
    if stand is None:
        return np.array([])
    angles, heights = thrust_line.building_errors(design.build.angle_error)
    tilts = stand.downthrust + angles
    x, z = powered.cg((stand.x, stand.z), tilts)
    return thrust_line.pitching_moment(
        thrust=powered.thrust, aft=stand.x - x, above=stand.z - z + heights, downthrust=tilts
    )


@dataclass(frozen=True)
class HandsOff:
    """One motor's burn with every building error, with the gyro, and with the nozzle nearby."""

    case: BurnCase
    flight: pitch.Flight

    def told(self, result: pitch.Response) -> MotorResponse:
        """Read the answer."""
        case, booster, gain = self.case, self.flight.booster, float(np.asarray(self.flight.gyro_gain)[15])
        angles, heights = thrust_line.building_errors(case.design.build.angle_error)
        series = (
            result.pitch_change,
            result.least_load,
            result.greatest_load,
            result.height_lost,
            result.path,
            result.speed,
            np.hypot(result.forward, result.down).max(axis=0),
        )
        swings = [Swing(*map(float, row)) for row in zip(*series, strict=True)]
        lower, aft = (
            _nearby(case, (float(x), float(z)), swing)
            for x, z, swing in zip(
                np.asarray(booster.aft)[16:], np.asarray(booster.above)[16:], swings[16:], strict=True
            )
        )
        return MotorResponse(
            motor=case.motor.name,
            hands_off=swings[7],
            gyro=swings[15] if gain else None,
            gyro_gain=gain or None,
            errors=tuple(zip(map(float, angles), map(float, heights), swings[:15], strict=True)),
            lower=lower,
            aft=aft,
            pull_out=_pull_out(case, swings[7].speed),
        )


def hands_off(case: BurnCase) -> HandsOff | None:
    """Plan a burn; None when a number is missing."""
    model, own = case.model, case.booster
    if model is None:
        return None
    angles, heights = thrust_line.building_errors(case.design.build.angle_error)
    lower, aft = _moved(case, 0.0, -NEARBY), _moved(case, NEARBY, 0.0)
    booster = replace(
        own,
        aft=np.array([own.aft] * 16 + [lower[0], aft[0]]),
        above=np.concatenate([np.asarray(own.above) + heights, [own.above, lower[1], aft[1]]]),
        downthrust=np.asarray(own.downthrust) + np.concatenate([angles, np.zeros(3)]),
    )
    gains = np.array([0.0] * 15 + [_gain(model) or 0.0, 0.0, 0.0])
    return HandsOff(case, pitch.Flight(model, booster, gains, STEP, AFTER))


def _pull_out(case: BurnCase, speed: float) -> float:
    """Load factor of the pull-out: what the wing can lift at this speed, at most what one asks of foam."""
    lift = trim.lift_coefficient(mass=case.row.mass, speed=speed, density=case.density, area=case.wing.area)
    most = case.flying.shape.max_lift
    return max(min(PULL_OUT, most / lift), LEAST_PULL)


def _gain(model: pitch.Model) -> float | None:
    if not model.elevator_moment < 0:
        return None
    return pitch.gain_for_damping(
        share=GYRO_SHARE,
        damping=model.damping,
        elevator_moment=model.elevator_moment,
        chord=model.chord,
        speed=model.speed,
    )


def _moved(case: BurnCase, x: float, z: float) -> tuple[float, float]:
    """Nozzle aft of and above the CG when the whole pod with its motor is moved by (x, z)."""
    stand, row = case.stand, case.row
    share = _pod_mass(case) / row.mass
    return stand.x + x - (row.cg_x + share * x), stand.z + z - (row.cg_z + share * z)


def _pod_mass(case: BurnCase) -> float:
    """Mass of pod and motor aboard [kg]."""
    return sum(load.mass for load in case.row.loads if load.kind in POD_LOADS)


def _nearby(case: BurnCase, place: tuple[float, float], swing: Swing) -> Nearby:
    tilt, own = case.stand.downthrust, case.stand.x - case.row.cg_x
    time, thrust = motor_curve(case.design, case.motor)
    mean = mean_thrust(time=time, thrust=thrust)
    arm = float(thrust_line.line_above(aft=place[0], above=place[1], downthrust=tilt))
    moved = _pod_mass(case) / case.row.mass * (NEARBY if place[0] > own else 0.0)
    margin = case.row.static_margin - moved / case.wing.mac
    return Nearby(arm, -mean * arm, margin, swing.pitch_change)
