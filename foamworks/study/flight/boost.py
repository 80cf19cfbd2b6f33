"""What does each motor do to the speed: entry, peak, distances, with a band? SI.

One still-air level run at full throttle from level speed, with pod and motor on; both motors of two pods are lit. The
value is with the fan at constant power; the band is 20 % of thrust and 10 % of impulse either way, with the fan by
either law and the drag's own error. It is one-sided: its lower edge is flown up a slope of 30 degrees with a little
head wind, as boosts are flown; its upper edge allows for the dive of a motor that turns the nose down, as built or with
the angle one error off. The
tailplane's trim drag is left out: it is a part of the drag due to lift, which at level speed is itself a few hundredths
of the whole. A motor that is not plugged gets no row.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.hands_off import air_of
from foamworks.design.additions import Motor
from foamworks.design.curve import curve_of, usable_curve
from foamworks.design.ladder import Fitted, State
from foamworks.design.model import Design
from foamworks.errors import PhysicsError
from foamworks.physics.flight import boost, motor
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drag import POWER, Drag, final_outfit
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.flown import SURE
from foamworks.study.flight.power import EFFLUX, Power, level_speed
from foamworks.study.pod.twins import least_speed, one_out_moment, one_out_sideslip
from foamworks.units import STANDARD_GRAVITY

Floats = NDArray[np.float64]
STEP = 0.2  # s of the march; halving it moves the peak by 2e-6
CLIMB = math.radians(30)  # of the run up a slope that stands beside the level one
DIVE = math.radians(10)  # of the run down one where the answer in pitch is not known (ours)
HEAD_WIND = 3.0  # m/s that a peak read one way against the ground may lack (common practice, no source)
COARSE = 0.3  # s, for the bounds that are only compared


@dataclass(frozen=True)
class OneOut:
    """One of two motors alone, at peak thrust: moment [N m], sideslip [rad] at entry, speed [m/s] for 10 degrees."""

    moment: float
    sideslip: float
    least_speed: float


@dataclass(frozen=True)
class Path:
    """The run as given: time [s], speed [m/s], distance [m], row by row; `burnout` is the row where the motor ends.

    The fastest moment, which lies between two steps of the march, is a row of its own: who draws the path shows it.
    """

    time: Floats
    speed: Floats
    distance: Floats
    burnout: int

    @property
    def peak(self) -> float:
        """The greatest speed [m/s]."""
        return float(self.speed.max())

    @property
    def peak_time(self) -> float:
        """When it is reached [s]."""
        return float(self.time[self.speed.argmax()])


@dataclass(frozen=True)
class BoostRun:
    """One run of one motor. Distances [m] and times [s] from ignition; NaN where the run does not tell.

    entry, burnout [m/s]; band: least and greatest peak by both fan laws (by constant power alone where `bounds`
    were not asked for); other_model: peak with the fan at constant efflux;
    end: where the speed is back within 2 % of entry, NaN when it is not within 40 s; acceleration: greatest, over g.
    """

    entry: float
    band: tuple[float, float]
    other_model: float
    burnout: float
    burnout_distance: float
    end_time: float
    end_distance: float
    acceleration: float
    path: Path

    @property
    def peak(self) -> float:
        """The greatest speed [m/s], read from the path: table and chart have one source."""
        return self.path.peak


@dataclass(frozen=True)
class MotorBoost:
    """A motor (both of two pods together) and its run; `run` is None when speed cannot be known.

    impulse [N s], mean and peak thrust [N], burn between the 5 % points [s], mass at ignition [kg].
    """

    motor: str
    impulse: float
    mean_thrust: float
    peak_thrust: float
    burn: float
    mass: float
    thrust_to_weight: float
    run: BoostRun | None
    one_out: OneOut | None


@dataclass(frozen=True)
class Flown:
    """What a run starts from: mass [kg], propellant [kg], zero-lift drag area by fan model [m2], entry speeds [m/s]."""

    mass: float
    propellant: float
    drag_area: dict[FanModel, float]
    induced: float
    density: float
    downthrust: float
    unit: dict[FanModel, Drive]
    entry: dict[FanModel, float]
    error: float = 0.0


def flown(design: Design, item: Motor, *, mass: float, drag: Drag, outfit: Fitted, unit: Drive) -> Flown | None:
    """Set a run up: the model of this mass and outfit, on this pack; None when fan, pod or mass are not known."""
    stand = design.standing
    if not (stand and unit.pushes and math.isfinite(mass)):
        return None
    areas = {model: drag.zero_lift(outfit, model) for model in (POWER, EFFLUX)}
    units = {model: drag.drive(unit, model) for model in areas}
    entry = {
        model: level_speed(design, units[model], drag_area=area, mass=mass, induced=drag.induced, model=model)
        for model, area in areas.items()
    }
    return Flown(
        mass=mass,
        propellant=len(stand.planes) * item.propellant,
        drag_area=areas,
        induced=drag.induced,
        density=air_of(design).density,
        downthrust=stand.downthrust,
        unit=units,
        entry=entry,
        error=max(fit.drag_spread(drag.fitted(outfit)) for fit in drag.fits.values()),
    )


def fly(start: Flown, curve: tuple[Floats, Floats], *, climb: float = 0.0, dive: float = math.nan) -> BoostRun | None:
    """Fly a run on this thrust curve (of all motors); `climb` [rad]; None when the model does not get through it.

    dive: the mean slope down [rad] that the burn itself may turn the run to; without it the band has no slopes in it.
    """
    run, bounds = _run(start, POWER, climb), math.isfinite(dive)
    try:
        result = _band_of(run, *map(tuple, curve), STEP)
    except PhysicsError:  # no level flight to begin with, or a climb too steep for the fan after burnout
        return None
    other, peaks = _other_peaks(start, curve, climb) if bounds else UNTOLD, [result.peak_speed]
    if bounds:
        peaks += [other, _sloped(start, curve, max(climb, CLIMB)), _sloped(start, curve, climb - dive)[:1]]
    return BoostRun(
        entry=start.entry[POWER],
        band=_band(float(result.peak_speed[0]), np.concatenate(peaks), start.error),
        other_model=float(other[0]),
        burnout=float(result.burnout_speed[0]),
        burnout_distance=float(result.burnout_distance[0]),
        end_time=float(result.end_time[0]),
        end_distance=float(result.end_distance[0]),
        acceleration=float(np.max(curve[1])) / (start.mass * STANDARD_GRAVITY),
        path=_path(result),
    )


@lru_cache(maxsize=256)  # the ladder's last rungs fly what the motors' own runs are
def _band_of(run: boost.Run, time: tuple[float, ...], thrust: tuple[float, ...], step: float) -> boost.Boost:
    return boost.boost_band(run, time=time, thrust=thrust, step=step, peak_only=step == COARSE)


def _band(peak: float, peaks: Floats, error: float) -> tuple[float, float]:
    """Give least and greatest peak that a flight may show, the drag sure to a relative standard `error`.

    Near its end speed a model's goes with one over the root of the drag.
    """
    by_drag = SURE * error / 2 * peak
    least, most = float(np.nanmin(peaks)) - HEAD_WIND, float(np.nanmax(peaks))
    return peak - math.hypot(peak - least, by_drag), peak + math.hypot(most - peak, by_drag)


def _path(result: boost.Boost) -> Path:
    """Give the first case's rows, and the peak among them; its distance lies on the line between its neighbours."""
    time, speed, distance = result.time[:, 0], result.speed[:, 0], result.distance[:, 0]
    at, burnout = float(result.peak_time[0]), result.burnout_row
    row = int(np.searchsorted(time, at))
    if row < len(time) and time[row] == at:
        return Path(time, speed, distance, burnout)
    return Path(
        np.insert(time, row, at),
        np.insert(speed, row, result.peak_speed[0]),
        np.insert(distance, row, np.interp(at, time, distance)),
        burnout + (row <= burnout),
    )


def _run(start: Flown, model: FanModel, climb: float) -> boost.Run:
    return boost.Run(
        mass=start.mass,
        propellant=start.propellant,
        drag_area=start.drag_area[model],
        density=start.density,
        entry_speed=start.entry[model],
        induced_factor=start.induced,
        climb=climb,
        downthrust=start.downthrust,
        static_thrust=start.unit[model].thrust,
        exit_area=start.unit[model].exit_area,
        fan_model=model,
    )


UNTOLD = np.array([math.nan])


def _other_peaks(start: Flown, curve: tuple[Floats, Floats], climb: float) -> Floats:
    """Give the peaks of the band's cases with the fan at constant efflux, the first as the curve is given."""
    try:
        return _band_of(_run(start, EFFLUX, climb), *map(tuple, curve), COARSE).peak_speed
    except PhysicsError:  # as in `fly`
        return UNTOLD


def _sloped(start: Flown, curve: tuple[Floats, Floats], climb: float) -> Floats:
    """Give the peaks of the band's cases along a slope [rad] by constant power; entry speed where it is too steep."""
    try:
        return _band_of(_run(start, POWER, climb), *map(tuple, curve), COARSE).peak_speed
    except PhysicsError:
        return np.array([start.entry[POWER]])


def motor_curve(design: Design, item: Motor) -> tuple[Floats, Floats]:
    """Thrust curve of all motors lit together: time [s], thrust [N]."""
    time, thrust = curve_of(item)
    return time, thrust * (design.pod.count if design.pod else 1)


def study_boost(
    design: Design,
    balance: Balance | None,
    flying: Flying | None,
    power: Power | None,
    dives: Mapping[str, float] | None = None,
) -> tuple[MotorBoost, ...]:
    """Study every plugged motor, in the design's order; `dives` by motor as in `fly`, None before they are known."""
    lit = (item for item in design.motors if item.plugged and usable_curve(item))
    slopes = [(item, math.nan if dives is None else dives.get(item.name, DIVE)) for item in lit]
    return tuple(_motor_boost(design, item, balance, flying, power, dive) for item, dive in slopes)


def _motor_boost(
    design: Design,
    item: Motor,
    balance: Balance | None,
    flying: Flying | None,
    power: Power | None,
    dive: float,
) -> MotorBoost:
    curve = motor_curve(design, item)
    mean = motor.mean_thrust(time=curve[0], thrust=curve[1])
    lit = State("ignition", item.name)
    mass = next((row.mass for row in (balance.rows if balance else ()) if row.state == lit), math.nan)
    run = start = None
    if power and power.drag:
        start = flown(design, item, mass=mass, drag=power.drag, outfit=final_outfit(design), unit=power.drive)
    if start:
        run = fly(start, curve, dive=dive)
    return MotorBoost(
        motor=item.name,
        impulse=motor.total_impulse(time=curve[0], thrust=curve[1]),
        mean_thrust=mean,
        peak_thrust=float(np.max(curve[1])),
        burn=motor.burn_time(time=curve[0], thrust=curve[1]),
        mass=mass,
        thrust_to_weight=mean / (mass * STANDARD_GRAVITY),
        run=run,
        one_out=_one_out(design, item, balance, flying, run),
    )


def _one_out(
    design: Design,
    item: Motor,
    balance: Balance | None,
    flying: Flying | None,
    run: BoostRun | None,
) -> OneOut | None:
    """Look at one of two motors alone, at its peak thrust; None for one pod, or without a stable yaw stiffness."""
    stand = design.standing
    if not (stand and balance and flying and run) or len(stand.planes) < 2:
        return None
    row = balance.row(State("ignition", item.name))
    stiffness = flying.aero.modified.yaw_stiffness(row.cg_x, row.cg_z if math.isfinite(row.cg_z) else 0.0)
    if not stiffness > 0:
        return None
    thrust = float(np.max(curve_of(item)[1])) * math.cos(stand.downthrust)
    moment = one_out_moment(thrust=thrust, offset=stand.planes[0])
    where = {
        "moment": moment,
        "density": air_of(design).density,
        "area": flying.wing.area,
        "span": flying.wing.span,
        "yaw_stiffness": stiffness,
    }
    return OneOut(moment, one_out_sideslip(speed=run.entry, **where), least_speed(**where))


def leaves_after(path: Path, length: float) -> float:
    """Time [s] at which the run has used up a field's length [m]; infinite when it ends before that."""
    return float(np.interp(length, path.distance, path.time, right=math.inf))
