"""What does lighting the motor do in pitch: elevator to hold it, pitch change hands off and with a gyro, load factors?

SI; nose up and elevator trailing edge down positive. From level full-throttle flight, as trimmed, at ignition. The
elevator cancels the booster's moment at entry speed, lift unchanged. The gyro is stated: it adds as much pitch damping
again as the model has at entry speed. Every motor is flown as designed, with the building errors (1 and 2 degrees,
5 mm of CG height), and with the nozzle 10 mm lower and 10 mm further aft.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Aero, Plane
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import POD_LOADS
from foamworks.aircraft.surfaces import TAIL, WING
from foamworks.aircraft.thrust_line import Powered, PoweredRow, ThrustLine, powered_states
from foamworks.design.additions import Motor
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.physics import pitch, trim
from foamworks.physics.fan import thrust_table
from foamworks.physics.losses import TAIL_FACTOR
from foamworks.physics.motor import mean_thrust
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.boost import MotorBoost, motor_curve
from foamworks.study.flight.drag import Drag, final_outfit
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.power import Power
from foamworks.study.inertia import state_inertia

Floats = NDArray[np.float64]
GYRO_SHARE = 1.0  # of the model's own pitch damping that the stated gyro adds at entry speed (ours)
PULL_OUT = 4.0  # g, of the pull-out after the burn: what a foam wing is asked for without thought (ours)
LEAST_PULL = 1.5  # g: a wing that lifts less at the end of a burn is past its stall speed all along
STEP = 0.05  # s; the march shortens it where the pitching is faster
AFTER = 0.1  # s flown on after the burn
NEARBY = 0.010  # m, the step that "lower" and "further aft" mean


@dataclass(frozen=True)
class Held:
    """What it takes to hold one moment of a burn: elevator [rad], fan's own moment [N m]; None when not known.

    worst_elevator: greatest size of the elevator [rad] with 2 degrees and 5 mm of error, with its sign.
    """

    motor: str
    state: str
    elevator: float | None
    worst_elevator: float | None
    fan_moment: float | None


@dataclass(frozen=True)
class Swing:
    """How one case answers a burn: pitch change [rad] at its end, least and greatest load factor.

    At the end of the thrust curve: height lost [m], downward positive; path against the horizon [rad]; speed [m/s].
    """

    pitch_change: float
    least_load: float
    greatest_load: float
    height_lost: float
    path: float
    speed: float

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
    def entry_height(self) -> float:
        """The height to light the motor at [m], whichever building error was made."""
        return max(swing.entry_height(self.pull_out) for *_, swing in self.errors)


@dataclass(frozen=True)
class Response:
    """All moments and all motors; `up`, `down`: the elevator's travel [rad]."""

    held: tuple[Held, ...]
    motors: tuple[MotorResponse, ...]
    up: float | None
    down: float | None
    gyro_share: float = GYRO_SHARE

    def of(self, motor: str) -> MotorResponse | None:
        """Give one motor's answer."""
        return next((row for row in self.motors if row.motor == motor), None)

    def at(self, motor: str, state: str) -> Held | None:
        """Give what it takes to hold one moment."""
        return next((row for row in self.held if (row.motor, row.state) == (motor, state)), None)


def study_response(
    design: Design,
    line: ThrustLine | None,
    balance: Balance | None,
    aero: Aero | None,
    wing: ReferenceWing | None,
    power: Power | None,
    boosts: tuple[MotorBoost, ...],
) -> Response | None:
    """Study the answer to every motor; None without a thrust line."""
    if line is None or balance is None or aero is None or wing is None or design.airframe is None:
        return None
    tail = design.airframe.tailplane
    elevator = tail.elevator if tail else None
    entries = {row.motor: row.run.entry for row in boosts if row.run is not None}
    powered = {(p.motor, p.state): p for p in powered_states(design, balance.rows)}
    held = tuple(
        _held(design, row, powered[row.motor, row.state], aero.modified, wing, entries.get(row.motor), power)
        for row in line.rows
    )
    found = []
    for motor in design.motors:
        entry = entries.get(motor.name)
        if entry is None or power is None or power.drag is None or power.drive is None:
            continue
        case = _Case(design, motor, balance, aero.modified, wing, power.drag, power.drag.drive(power.drive), entry)
        answer = case.fly()
        found += [] if answer is None else [answer]
    return Response(held, tuple(found), elevator.up if elevator else None, elevator.down if elevator else None)


def fan_moment(design: Design, unit: Drive | None, *, cg: tuple[float, float], speed: float | None) -> float | None:
    """Moment of the fan's own thrust about the centre of gravity at a speed [N m]; None when its line is not known."""
    fan = design.airframe.fan if design.airframe else None
    if fan is None or fan.z is None or unit is None or speed is None or not all(map(math.isfinite, cg)):
        return None
    if unit.thrust is None or unit.exit_area is None or (fan.tilt and fan.x is None):
        return None
    table = thrust_table(static_thrust=unit.thrust, exit_area=unit.exit_area, density=air_of(design).density)
    thrust = float(np.interp(speed, *table))
    aft = 0.0 if fan.x is None else fan.x - cg[0]
    return float(pitch.pitching_moment(thrust=thrust, aft=aft, above=fan.z - cg[1], downthrust=fan.tilt))


def _held(
    design: Design,
    row: PoweredRow,
    powered: Powered,
    plane: Plane,
    wing: ReferenceWing,
    entry: float | None,
    power: Power | None,
) -> Held:
    moment = fan_moment(design, power.drive if power else None, cg=(row.cg_x, row.cg_z), speed=entry)
    if plane.elevator_power is None or entry is None or not math.isfinite(row.moment):
        return Held(row.motor, row.state, None, None, moment)
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
    return Held(row.motor, row.state, per_moment * row.moment, worst, moment)


def moments_with_errors(design: Design, powered: Powered) -> Floats:
    """Moment [N m] of one moment of a burn over the fifteen building errors."""
    pod = design.pod
    if pod is None or pod.nozzle is None or isinstance(pod.downthrust, str):
        return np.array([])
    angles, heights = pitch.building_errors(design.build.angle_error)
    tilts = pod.downthrust + angles
    x, z = powered.cg((pod.nozzle.x, pod.nozzle.z), tilts)
    return pitch.pitching_moment(
        thrust=powered.thrust, aft=pod.nozzle.x - x, above=pod.nozzle.z - z + heights, downthrust=tilts
    )


def downwash_lag(plane: Plane, cg: tuple[float, float]) -> float:
    """Moment with the rate of incidence c/2V [1/rad]: the tailplane's damping times its factor and the downwash slope.

    Source: Nelson, *Flight Stability and Automatic Control*, 2nd ed., ch. 3 (from memory): the downwash comes late.
    """
    solution = plane.solution
    tail = next((s for s in solution.surfaces if s.name == TAIL), None)
    if tail is None or not any(s.name == WING for s in solution.surfaces):
        return 0.0
    middle = np.array([[(tail.x[0] + tail.chord[0] / 4), (tail.y[0] + tail.y[-1]) / 2, tail.z[0]]])
    slope = -float(solution.upwash(middle, WING)[0])
    return TAIL_FACTOR * solution.about(*cg).share(TAIL).pitch_damping * min(max(slope, 0.0), 1.0)


class _Case:
    """One motor's burn from level flight."""

    def __init__(
        self,
        design: Design,
        motor: Motor,
        balance: Balance,
        plane: Plane,
        wing: ReferenceWing,
        drag: Drag,
        unit: Drive,
        entry: float,
    ) -> None:
        self.design, self.motor, self.plane, self.wing, self.entry = design, motor, plane, wing, entry
        self.drag, self.unit = drag, unit
        self.balance = balance
        self.row: StateRow = balance.row(f"{motor.name}: ignition")
        self.density = air_of(design).density

    def fly(self) -> MotorResponse | None:
        """Fly all cases at once; None when a number is missing or no motion comes of it."""
        pod, row = self.design.pod, self.row
        model = self._model()
        if model is None or pod is None or pod.nozzle is None or isinstance(pod.downthrust, str):
            return None
        angles, heights = pitch.building_errors(self.design.build.angle_error)
        gain = self._gain(model)
        lower, aft = self._moved(0.0, -NEARBY), self._moved(NEARBY, 0.0)
        time, thrust = motor_curve(self.design, self.motor)
        own = (pod.nozzle.x - row.cg_x, pod.nozzle.z - row.cg_z)
        booster = pitch.Booster(
            time=time,
            thrust=thrust,
            propellant=pod.count * self.motor.propellant,
            length=self.motor.length,
            aft=np.array([own[0]] * 16 + [lower[0], aft[0]]),
            above=np.concatenate([own[1] + heights, [own[1], lower[1], aft[1]]]),
            downthrust=pod.downthrust + np.concatenate([angles, np.zeros(3)]),
        )
        gains = np.array([0.0] * 15 + [gain or 0.0, 0.0, 0.0])
        try:
            with np.errstate(over="ignore", invalid="ignore"):
                result = pitch.respond(model, booster, gyro_gain=gains, step=STEP, after=AFTER)
        except PhysicsError:  # it runs away, or cannot fly level at entry: the findings on margin and speed say so
            return None
        swings = [
            Swing(*map(float, case))
            for case in zip(
                result.pitch_change,
                result.least_load,
                result.greatest_load,
                result.height_lost,
                result.path,
                result.speed,
                strict=True,
            )
        ]
        return MotorResponse(
            motor=self.motor.name,
            hands_off=swings[7],
            gyro=swings[15] if gain else None,
            gyro_gain=gain,
            errors=tuple(zip(map(float, angles), map(float, heights), swings[:15], strict=True)),
            lower=self._nearby(lower, swings[16]),
            aft=self._nearby(aft, swings[17]),
            pull_out=self._pull_out(swings[7].speed),
        )

    def _pull_out(self, speed: float) -> float:
        """Load factor of the pull-out: what the wing can lift at this speed, at most what one asks of foam."""
        lift = trim.lift_coefficient(mass=self.row.mass, speed=speed, density=self.density, area=self.wing.area)
        most = self.design.airframe.wing.max_lift if self.design.airframe and self.design.airframe.wing else lift
        return max(min(PULL_OUT, most / lift), LEAST_PULL)

    def _model(self) -> pitch.Model | None:
        row, plane, wing = self.row, self.plane, self.wing
        airframe = self.design.airframe
        inertia = state_inertia(self.design, wing, row.loads)
        if inertia is None or airframe is None or airframe.wing is None or row.static_margin is None:
            return None
        if not math.isfinite(row.cg_z):
            return None
        cg = (row.cg_x, row.cg_z)
        slope = float(plane.slopes_with()[0])
        up, down = self._travel()
        return pitch.Model(
            speed=self.entry,
            density=self.density,
            area=wing.area,
            chord=wing.mac,
            mass=row.mass,
            inertia=inertia.yy,
            drag_area=self.drag.zero_lift(final_outfit(self.design)),
            induced=self.drag.induced * wing.area,
            lift_slope=slope,
            max_lift=airframe.wing.max_lift,
            stiffness=-row.static_margin * slope,
            damping=plane.pitch_damping(*cg),
            lag=downwash_lag(plane, cg),
            elevator_lift=plane.elevator_lift,
            elevator_moment=plane.elevator_moment(row.cg_x),
            elevator_up=up,
            elevator_down=down,
            fan=thrust_table(
                static_thrust=self.unit.thrust or 0.0, exit_area=self.unit.exit_area or 1.0, density=self.density
            ),
            fan_above=self._fan_above(cg),
        )

    def _travel(self) -> tuple[float, float]:
        """Elevator travel left up and down from where it stands in level flight at entry speed."""
        tail = self.design.airframe.tailplane if self.design.airframe else None
        flown = self.balance.trimming
        if tail is None or tail.elevator is None or self.plane.elevator_power is None:
            return 0.0, 0.0
        stands = 0.0
        if flown is not None and flown.zero_lift is not None:
            lift = trim.lift_coefficient(
                mass=self.row.mass, speed=self.entry, density=self.density, area=self.wing.area
            )
            stands = trim.elevator_to_trim(
                zero_lift=flown.zero_lift,
                lift=lift,
                cg=self.row.cg_x,
                neutral_point=self.plane.neutral_point_flown,
                chord=self.wing.mac,
                power=self.plane.elevator_power,
            )
        return max(tail.elevator.up + stands, 0.0), max(tail.elevator.down - stands, 0.0)

    def _fan_above(self, cg: tuple[float, float]) -> float:
        fan = self.design.airframe.fan if self.design.airframe else None
        if fan is None or fan.z is None or (fan.tilt and fan.x is None):
            return 0.0
        aft = 0.0 if fan.x is None else fan.x - cg[0]
        return float(pitch.line_above(aft=aft, above=fan.z - cg[1], downthrust=fan.tilt))

    def _gain(self, model: pitch.Model) -> float | None:
        if not model.elevator_moment < 0:
            return None
        return pitch.gain_for_damping(
            share=GYRO_SHARE,
            damping=model.damping,
            elevator_moment=model.elevator_moment,
            chord=model.chord,
            speed=model.speed,
        )

    def _moved(self, x: float, z: float) -> tuple[float, float]:
        """Nozzle aft of and above the CG when the whole pod with its motor is moved by (x, z)."""
        pod, row = self.design.pod, self.row
        if pod is None or pod.nozzle is None:
            return math.nan, math.nan
        share = self._pod_mass() / row.mass
        return pod.nozzle.x + x - (row.cg_x + share * x), pod.nozzle.z + z - (row.cg_z + share * z)

    def _pod_mass(self) -> float:
        """Mass of pod and motor aboard [kg]."""
        return sum(load.mass for load in self.row.loads if load.kind in POD_LOADS)

    def _nearby(self, place: tuple[float, float], swing: Swing) -> Nearby:
        pod = self.design.pod
        tilt = pod.downthrust if pod is not None and isinstance(pod.downthrust, float) else 0.0
        own = (pod.nozzle.x - self.row.cg_x) if pod is not None and pod.nozzle is not None else 0.0
        time, thrust = motor_curve(self.design, self.motor)
        mean = mean_thrust(time=time, thrust=thrust)
        arm = float(pitch.line_above(aft=place[0], above=place[1], downthrust=tilt))
        moved = self._pod_mass() / self.row.mass * (NEARBY if place[0] > own else 0.0)
        margin = (self.row.static_margin or 0.0) - moved / self.wing.mac
        return Nearby(arm, -mean * arm, margin, swing.pitch_change)
