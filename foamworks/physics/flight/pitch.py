"""How does the model pitch through a burn? Longitudinal motion in three degrees of freedom, in SI.

From level, trimmed flight: forward speed u, downward speed w, pitch rate q and attitude theta, exact in the kinematics,
linear in the derivatives, lift limited. Body axes are those of the trimmed flight (x forward along it). Nose-up and
elevator trailing edge down positive; places `aft` of and `above` the centre of gravity at ignition; moments about the
centre of gravity where it then is. Hands off, or with an ideal rate gyro on the elevator; many burns of many cases are
marched side by side, each by its own steps, for one step of one case costs as much as one of a hundred.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from foamworks.errors import PhysicsError
from foamworks.physics.flight.motor import MOST_SAMPLES, BurnSteps, burn_steps, burn_window
from foamworks.physics.flight.pitch_march import Air, Burn, Floats, Ready, Table, Vectors, march
from foamworks.physics.flight.thrust_line import pitching_moment
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

STEP = 0.025  # s; the short period of a small model lasts about 0.5 s and is well damped
AFTER = 0.3  # s flown on after the burn: the load factor may peak as the motor's moment ends
STABLE = 2.0  # step times the fastest mode; the march is stable up to 2.6 at any damping
FINEST = 0.001  # s, the shortest step worth marching
ROUGH_STEP = 0.1  # s, of the estimate of the speed
DIVE = 1.15  # margin over it
T = TypeVar("T")
STEADY: Table = (np.array([0.0, 1.0]), np.zeros(2))  # of a fan whose thrust stays what it is in the trimmed flight


@dataclass(frozen=True)
class Model:
    """The aircraft at ignition, in level flight with its controls trimmed.

    speed [m/s]; density [kg/m3]; area [m2]; chord [m]; mass [kg] and pitch inertia [kg m2] with the full motor.
    Drag coefficient = drag_area/area + induced x lift coefficient^2. Derivatives per radian on area and chord:
    lift_slope, stiffness (pitching moment with incidence, about the centre of gravity at ignition), damping and lag
    (with q c/2V and with the rate of incidence c/2V; lag 0 if unknown), elevator_lift, elevator_moment. max_lift is the
    lift coefficient beyond which lift stays what it is, up or down. Elevator travel [rad] up (positive number) and
    down from where it stands, for the gyro. Fan: thrust at speed as two rows [m/s], [N], of which only the change from
    the trimmed flight counts (the trim itself says that thrust is drag); STEADY: its thrust stays constant.
    fan_above: its line above the centre of gravity [m].
    """

    speed: float
    density: float
    area: float
    chord: float
    mass: float
    inertia: float
    drag_area: float
    induced: float
    lift_slope: float
    max_lift: float
    stiffness: float | Floats
    damping: float
    lag: float = 0.0
    elevator_lift: float = 0.0
    elevator_moment: float = 0.0
    elevator_up: float = 0.0
    elevator_down: float = 0.0
    fan: Table = STEADY
    fan_above: float = 0.0


@dataclass(frozen=True)
class Booster:
    """The motor on its pod: curve [s], [N]; propellant [kg]; nozzle aft of and above the centre of gravity [m].

    length [m] of the motor: its propellant sits at mid-length along the tilted axis. downthrust [rad]. push: times the
    curve's thrust. All but the curve, propellant and length may be arrays, one entry a case.
    """

    time: ArrayLike
    thrust: ArrayLike
    propellant: float
    length: float
    aft: float | Floats
    above: float | Floats
    downthrust: float | Floats
    push: float | Floats = 1.0


class Response(NamedTuple):
    """What the cases did: one entry a case, series with one row a step, SI.

    pitch_change [rad] at the 5 % end of the burn; load factors are lift over weight, greatest and least to 0.3 s after
    the curve. Series: time [s]; forward, down [m/s]; rate [rad/s]; attitude [rad]; load_factor; booster_moment [N m].
    At the end of the thrust curve, one entry a case: height_lost since ignition [m], downward positive; path [rad], the
    way flown against the horizon, upward positive; speed [m/s].
    """

    pitch_change: Floats
    greatest_load: Floats
    least_load: Floats
    time: Floats
    forward: Floats
    down: Floats
    rate: Floats
    attitude: Floats
    load_factor: Floats
    booster_moment: Floats
    height_lost: Floats
    path: Floats
    speed: Floats


class Flight(NamedTuple):
    """One burn that is to be flown in many cases: gyro_gain K [rad per rad/s] gives elevator = K q, 0 is hands off.

    step: the longest [s], shortened where the pitching is faster; after: flown on after the burn [s].
    Nose-up rate gives down elevator: a positive gain damps. The gyro has no delay and no lag; a real one has, so read
    this as the best it could do. Lift stays at its limit beyond the stall while the moment goes on with the sine of the
    incidence; drag beyond the stall is not added, so speeds in a loop are on the high side.
    """

    model: Model
    booster: Booster
    gyro_gain: ArrayLike = 0.0
    step: float = STEP
    after: float = AFTER


def respond(flights: Sequence[Flight]) -> list[Response | PhysicsError]:
    """Fly many burns side by side; each gives its answer, or its error: it cannot fly level at entry, or runs away."""
    found = [_tried(_ready, flight) for flight in flights]
    ready = [one for one in found if isinstance(one, Ready)]
    states = iter(march(ready) if ready else ())
    return [
        _tried(_summed_up, flight, one, next(states)) if isinstance(one, Ready) else one
        for flight, one in zip(flights, found, strict=True)
    ]


def _tried(work: Callable[..., T], *given: object) -> T | PhysicsError:
    try:
        return work(*given)
    except PhysicsError as error:
        return error


def _ready(flight: Flight) -> Ready:
    model, booster, after = flight.model, flight.booster, flight.after
    _check(model, booster, flight.step)
    asked = (flight.gyro_gain, booster.aft, booster.above, booster.downthrust)
    gain, *place = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, dtype=float)) for v in asked))
    steps, last = _stable_steps(model, booster, float(np.abs(gain).max()), flight.step)
    free = int(np.ceil(after / last))
    thrust = np.concatenate([steps.thrust, np.zeros((free, 3))]).reshape(-1, 1) * np.atleast_1d(booster.push)
    used = np.concatenate([steps.used, np.ones((free, 3))]).reshape(-1, 1)
    lengths = np.concatenate([np.diff(steps.time), np.full(free, after / max(free, 1))])
    burn = _burn(model, booster, thrust, used, *place)
    return Ready(model.speed, burn, _air(model, gain), model.fan, lengths)


def gain_for_damping(*, share: float, damping: float, elevator_moment: float, chord: float, speed: float) -> float:
    """Gain [rad per rad/s] of a gyro that adds `share` times the model's own pitch damping at a speed [m/s].

    damping with q c/2V and elevator_moment with elevator, both per radian and negative; chord [m]. The moments
    elevator_moment K q and damping q c/2V are set equal; at higher speed the gyro's part grows faster (with V^2).

    >>> round(gain_for_damping(share=1.0, damping=-9.0, elevator_moment=-1.0, chord=0.17, speed=34.0), 4)
    0.0225
    """
    positive(speed=speed, chord=chord)
    if not elevator_moment < 0:
        raise PhysicsError(f"elevator moment = {elevator_moment:g} per rad: must be below 0 (down elevator, nose down)")
    return share * damping * chord / (2 * speed * elevator_moment)


def _stable_steps(model: Model, booster: Booster, gain: float, longest: float) -> tuple[BurnSteps, float]:
    """Cut the burn into steps in which the march is stable, no longer than `longest` [s]; give the last one's too.

    A model in flight turns faster the faster it flies, so the steps shorten as the speed rises. By the larger root of
    the short period, (r + heave)(r + pitch) + stiffness = 0, heave and pitch the rates at which each dies alone.
    """
    rough = burn_steps(time=booster.time, thrust=booster.thrust, longest=ROUGH_STEP)
    fast = _speeds(model, booster, rough)
    pressure = model.density * model.area / 2
    heave = pressure * fast * model.lift_slope / model.mass
    turn = pressure * fast * model.chord / model.inertia
    pitch = turn * (model.chord / 2 * abs(model.damping + model.lag) + fast * abs(model.elevator_moment * gain))
    half, product = (heave + pitch) / 2, heave * pitch - turn * fast * float(np.min(model.stiffness))
    swing = half**2 - product
    fastest = np.where(swing < 0, np.sqrt(np.abs(product)), half + np.sqrt(np.maximum(swing, 0.0)))
    if STABLE / fastest.max() < FINEST:
        raise PhysicsError(
            f"the short period is {fastest.max():.3g} per s fast, which no model is: "
            f"check inertia = {model.inertia:g} kg m2, the derivatives and the gyro's gain"
        )
    steps = np.minimum(longest, STABLE / fastest)
    if rough.time.size > MOST_SAMPLES:
        return burn_steps(time=booster.time, thrust=booster.thrust, longest=float(steps.min())), float(steps[-1])
    corners = np.append(rough.thrust[:, 0], rough.thrust[-1, 2])  # the same curve with more samples on it
    return burn_steps(time=rough.time, thrust=corners, longest=steps), float(steps[-1])


def _speeds(model: Model, booster: Booster, rough: BurnSteps) -> Floats:
    """Highest speed [m/s] up to the end of each rough step that a level run would reach, and a margin for a dive."""
    drag, push = model.density / 2 * model.drag_area, float(np.max(booster.push))
    v, speeds = model.speed, []
    for thrust, h in zip(rough.thrust[:, 1], np.diff(rough.time), strict=True):
        v += float(h * (push * thrust + drag * (model.speed**2 - v**2)) / (model.mass - booster.propellant))
        speeds.append(v)
    return DIVE * np.maximum.accumulate(np.maximum(speeds, model.speed))


def _check(model: Model, booster: Booster, step: float) -> None:
    positive(
        speed=model.speed, density=model.density, area=model.area, chord=model.chord, mass=model.mass,
        inertia=model.inertia, lift_slope=model.lift_slope, max_lift=model.max_lift, step=step,
    )  # fmt: skip
    if not 0 <= booster.propellant < model.mass:
        raise PhysicsError(f"propellant = {booster.propellant:g} kg: must be 0 or more and less than the mass")
    needed = model.mass * STANDARD_GRAVITY / (model.density * model.speed**2 / 2 * model.area)
    if needed > model.max_lift:
        raise PhysicsError(
            f"speed = {model.speed:g} m/s: level flight needs a lift coefficient of {needed:.3g}, more than max lift "
            f"{model.max_lift:g}; enter faster"
        )


def _burn(
    model: Model, booster: Booster, thrust: Floats, used: Floats, aft: Floats, above: Floats, tilt: Floats
) -> Burn:
    """Forces and moment of the motor, and mass, inertia and centre of gravity as its propellant leaves."""
    gone = used * booster.propellant + 0 * aft
    mass = model.mass - gone
    mid_aft, mid_up = aft - booster.length / 2 * np.cos(tilt), above - booster.length / 2 * np.sin(tilt)
    shift_aft, shift_up = -gone * mid_aft / mass, -gone * mid_up / mass
    inertia = model.inertia - gone * (mid_aft**2 + mid_up**2) - mass * (shift_aft**2 + shift_up**2)
    if (inertia <= 0).any():
        raise PhysicsError(f"inertia = {model.inertia:g} kg m2: less than its propellant alone has at that distance")
    moment = pitching_moment(thrust=thrust, aft=aft - shift_aft, above=above - shift_up, downthrust=tilt)
    return Burn(thrust * np.exp(-1j * tilt), moment, mass, inertia, shift_aft + 1j * shift_up)


def _air(model: Model, gain: Floats) -> Air:
    half = model.density * model.area / 2
    pressure_area = half * model.speed**2
    lift = model.mass * STANDARD_GRAVITY / pressure_area
    drag = model.drag_area / model.area
    trim_thrust = pressure_area * (drag + model.induced * lift**2)
    turns = gain.any()  # where no case has a gyro, an elevator that is not there stays out of it
    return Air(
        q=half,
        chord=model.chord,
        lift=lift,
        moment=trim_thrust * model.fan_above / (pressure_area * model.chord),
        drag=drag,
        induced=model.induced,
        slope=model.lift_slope,
        limit=model.max_lift,
        stiffness=model.stiffness,
        damping=half * model.chord**2 / 2 * model.damping,
        lag=half * model.chord**2 / 2 * model.lag,
        elevator_lift=model.elevator_lift if turns else 0.0,
        elevator_moment=model.elevator_moment if turns else 0.0,
        gain=gain,
        up=-model.elevator_up,
        down=model.elevator_down,
        fan_above=model.fan_above,
        trim_thrust=trim_thrust,
        fan_trim=float(np.interp(model.speed, *model.fan)),
    )


def _summed_up(flight: Flight, ready: Ready, states: Vectors) -> Response:
    if not np.isfinite(states).all():
        raise PhysicsError("the motion runs away: check the derivatives and their signs")
    booster, air, burn = flight.booster, ready.air, ready.burn
    velocity, attitude, rate = states[:, 0], states[:, 1].real, states[:, 1].imag
    first = float(np.asarray(booster.time, dtype=float)[0])
    time = first + np.concatenate([[0.0], np.cumsum(ready.lengths)])
    mass = np.concatenate([burn.mass[:1], burn.mass[2::3]])
    moment = np.concatenate([burn.moment[:1], burn.moment[2::3]])
    load = air.q * np.abs(velocity) ** 2 * air.lifted(velocity, rate)[0] / (mass * STANDARD_GRAVITY)
    end = burn_window(time=booster.time, thrust=booster.thrust)[1]
    way = velocity * np.exp(1j * attitude)  # forward + i up, seen from the ground
    steps = np.diff(time)[:, None]
    height = np.concatenate([np.zeros((1, way.shape[1])), np.cumsum(steps * (way[1:] + way[:-1]).imag / 2, axis=0)])
    out = float(np.asarray(booster.time, dtype=float)[-1])
    across, up = _at(out, time, way.real), _at(out, time, way.imag)
    return Response(
        pitch_change=_at(end, time, attitude),
        greatest_load=load.max(axis=0),
        least_load=load.min(axis=0),
        time=time,
        forward=velocity.real,
        down=-velocity.imag,
        rate=rate,
        attitude=attitude,
        load_factor=load,
        booster_moment=moment,
        height_lost=-_at(out, time, height),
        path=np.arctan2(up, across),
        speed=np.hypot(across, up),
    )


def _at(moment: float, time: Floats, series: Floats) -> Floats:
    """Read each case's series at one moment [s], on straight lines between the steps."""
    after = int(np.searchsorted(time, moment, side="right"))
    first, last = series[max(after - 1, 0)], series[min(after, len(time) - 1)]
    if not 0 < after < len(time):
        return np.asarray(last)
    return np.asarray(first + (last - first) / (time[after] - time[after - 1]) * (moment - time[after - 1]))


def entry_height(*, lost: float, speed: float, path: float, load: float, reaction: float = 1.0) -> float:
    """Height [m] at which to light a motor: what the burn loses, the pilot's reaction, and the pull-out's arc.

    lost [m] at the end of the burn, downward positive; there the speed [m/s] and the path [rad] against the horizon,
    upward positive; `load` [g] of the pull-out, above 1; reaction [s]. The arc of radius V^2/(g (n - 1)) takes
    R (1 - cos path) to level out (its least n, at the bottom of the arc, counted all along). Source: circular motion.
    A path that climbs asks for no pull-out; the height is never below 0.

    >>> round(entry_height(lost=30.0, speed=60.0, path=math.radians(-30), load=4.0), 1)
    76.4
    """
    positive(speed=speed)
    if not load > 1:
        raise PhysicsError(f"load = {load:g} g: a pull-out needs more than 1")
    if path >= 0:
        return max(lost, 0.0)
    radius = speed**2 / (STANDARD_GRAVITY * (load - 1))
    return max(lost + speed * math.sin(-path) * reaction + radius * (1 - math.cos(path)), 0.0)
