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
from foamworks.design.ladder import Fitted
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
    """One run of one motor. Distances [m] and times [s] from ignition.

    entry, burnout [m/s]; band: least and greatest peak by both fan laws (by constant power alone where `bounds`
    were not asked for); other_model: peak with the fan at constant efflux;
    end: where the speed is back within 2 % of entry, None when it is not within 40 s; acceleration: greatest, over g.
    """

    entry: float
    band: tuple[float, float]
    other_model: float | None
    burnout: float
    burnout_distance: float
    end_time: float | None
    end_distance: float | None
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
    mass: float | None
    thrust_to_weight: float | None
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
    entry: dict[FanModel, float | None]
    error: float = 0.0


def flown(design: Design, item: Motor, *, mass: float, drag: Drag, outfit: Fitted, unit: Drive | None) -> Flown | None:
    """Set a run up: the model of this mass and outfit, on this pack; None when fan, drag or mass are not known."""
    pod = design.pod
    if unit is None or unit.thrust is None or pod is None or isinstance(pod.downthrust, str) or not math.isfinite(mass):
        return None
    areas = {model: drag.zero_lift(outfit, model) for model in (POWER, EFFLUX)}
    units = {model: drag.drive(unit, model) for model in areas}
    entry = {
        model: level_speed(design, units[model], drag_area=area, mass=mass, induced=drag.induced, model=model)
        for model, area in areas.items()
    }
    return Flown(
        mass=mass,
        propellant=pod.count * item.propellant,
        drag_area=areas,
        induced=drag.induced,
        density=air_of(design).density,
        downthrust=pod.downthrust,
        unit=units,
        entry=entry,
        error=max(fit.drag_spread(drag.fitted(outfit)) for fit in drag.fits.values()),
    )


def fly(
    start: Flown, curve: tuple[Floats, Floats], *, climb: float = 0.0, dive: float | None = None
) -> BoostRun | None:
    """Fly a run on this thrust curve (of all motors); `climb` [rad]; None when the model does not get through it.

    dive: the mean slope down [rad] that the burn itself may turn the run to; without it the band has no slopes in it.
    """
    entry = start.entry[POWER]
    if entry is None:
        return None
    run = _run(start, POWER, entry, climb)
    try:
        result = _band_of(run, *map(tuple, curve), STEP)
    except PhysicsError:  # the climb is too steep for the fan after burnout: a level run always gets through
        return None
    other = _other_peaks(start, curve, climb) if dive is not None else None
    peaks = [result.peak_speed] if other is None else [result.peak_speed, other]
    if dive is not None:
        peaks += [_sloped(start, curve, max(climb, CLIMB)), _sloped(start, curve, climb - dive)[:1]]
    end_time, end_distance = float(result.end_time[0]), float(result.end_distance[0])
    return BoostRun(
        entry=entry,
        band=_band(float(result.peak_speed[0]), np.concatenate(peaks), start.error),
        other_model=None if other is None else float(other[0]),
        burnout=float(result.burnout_speed[0]),
        burnout_distance=float(result.burnout_distance[0]),
        end_time=end_time if math.isfinite(end_time) else None,
        end_distance=end_distance if math.isfinite(end_distance) else None,
        acceleration=float(np.max(curve[1])) / (start.mass * STANDARD_GRAVITY),
        path=_path(result),
    )


@lru_cache(maxsize=64)  # the ladder's last rungs fly what the motors' own runs are
def _band_of(run: boost.Run, time: tuple[float, ...], thrust: tuple[float, ...], step: float) -> boost.Boost:
    return boost.boost_band(run, time=time, thrust=thrust, step=step, peak_only=step == COARSE)


def _band(peak: float, peaks: Floats, error: float) -> tuple[float, float]:
    """Give least and greatest peak that a flight may show, the drag sure to a relative standard `error`.

    Near its end speed a model's goes with one over the root of the drag.
    """
    by_drag = SURE * error / 2 * peak
    least, most = float(peaks.min()) - HEAD_WIND, float(peaks.max())
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


def _run(start: Flown, model: FanModel, entry: float, climb: float) -> boost.Run:
    return boost.Run(
        mass=start.mass,
        propellant=start.propellant,
        drag_area=start.drag_area[model],
        density=start.density,
        entry_speed=entry,
        induced_factor=start.induced,
        climb=climb,
        downthrust=start.downthrust,
        static_thrust=start.unit[model].thrust or 0.0,
        exit_area=start.unit[model].exit_area or 1.0,
        fan_model=model,
    )


def _other_peaks(start: Flown, curve: tuple[Floats, Floats], climb: float) -> Floats | None:
    """Give the peaks of the band's cases with the fan at constant efflux, the first as the curve is given."""
    entry = start.entry[EFFLUX]
    if entry is None:
        return None
    try:
        return _band_of(_run(start, EFFLUX, entry, climb), *map(tuple, curve), COARSE).peak_speed
    except PhysicsError:  # as in `fly`
        return None


def _sloped(start: Flown, curve: tuple[Floats, Floats], climb: float) -> Floats:
    """Give the peaks of the band's cases along a slope [rad] by constant power; entry speed where it is too steep."""
    entry = start.entry[POWER] or 0.0
    try:
        return _band_of(_run(start, POWER, entry, climb), *map(tuple, curve), COARSE).peak_speed
    except PhysicsError:
        return np.array([entry])


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
    found = []
    for item in design.motors:
        if not item.plugged or usable_curve(item) is None:
            continue
        dive = None if dives is None else dives.get(item.name, DIVE)
        found.append(_motor_boost(design, item, balance, flying, power, dive))
    return tuple(found)


def _motor_boost(
    design: Design,
    item: Motor,
    balance: Balance | None,
    flying: Flying | None,
    power: Power | None,
    dive: float | None,
) -> MotorBoost:
    curve = motor_curve(design, item)
    mean = motor.mean_thrust(time=curve[0], thrust=curve[1])
    mass = _ignition_mass(item, balance)
    run = None
    if mass is not None and power is not None and power.drag is not None:
        start = flown(design, item, mass=mass, drag=power.drag, outfit=final_outfit(design), unit=power.drive)
        run = fly(start, curve, dive=dive) if start is not None else None
    return MotorBoost(
        motor=item.name,
        impulse=motor.total_impulse(time=curve[0], thrust=curve[1]),
        mean_thrust=mean,
        peak_thrust=float(np.max(curve[1])),
        burn=motor.burn_time(time=curve[0], thrust=curve[1]),
        mass=mass,
        thrust_to_weight=None if mass is None else mean / (mass * STANDARD_GRAVITY),
        run=run,
        one_out=_one_out(design, item, balance, flying, run),
    )


def _ignition_mass(item: Motor, balance: Balance | None) -> float | None:
    row = next((r for r in balance.rows if r.name == f"{item.name}: ignition"), None) if balance else None
    return row.mass if row is not None and math.isfinite(row.mass) else None


def _one_out(
    design: Design,
    item: Motor,
    balance: Balance | None,
    flying: Flying | None,
    run: BoostRun | None,
) -> OneOut | None:
    """Look at one of two motors alone, at its peak thrust; None for one pod, or without a stable yaw stiffness."""
    pod = design.pod
    if pod is None or pod.count != 2 or pod.y is None or balance is None or flying is None or run is None:
        return None
    row = balance.row(f"{item.name}: ignition")
    stiffness = flying.aero.modified.yaw_stiffness(row.cg_x, row.cg_z if math.isfinite(row.cg_z) else 0.0)
    if not stiffness > 0:
        return None
    moment = one_out_moment(thrust=float(np.max(curve_of(item)[1])) * math.cos(_tilt(design)), offset=pod.y)
    where = {
        "moment": moment,
        "density": air_of(design).density,
        "area": flying.wing.area,
        "span": flying.wing.span,
        "yaw_stiffness": stiffness,
    }
    return OneOut(moment, one_out_sideslip(speed=run.entry, **where), least_speed(**where))


def _tilt(design: Design) -> float:
    return design.pod.downthrust if design.pod is not None and isinstance(design.pod.downthrust, float) else 0.0


def leaves_after(path: Path, length: float) -> float | None:
    """Time [s] at which the run has used up a field's length [m]; None when it ends before that."""
    if float(path.distance[-1]) < length:
        return None
    return float(np.interp(length, path.distance, path.time))
