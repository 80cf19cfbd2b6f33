"""How fast and how far does a boost carry the model? A run on a straight path, level or climbing, in SI.

Motor by its thrust curve, fan by momentum theory at speed, drag from a constant drag area and from lift, propellant
leaving with the impulse; classical Runge-Kutta steps of our own, all cases of a run side by side. Still air, and the
lift always holds the path; what the path costs in elevator and pitch is the question of `pitch`.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.flight.fan import FanModel, thrust_at_speed, thrust_table
from foamworks.physics.flight.motor import BurnSteps, burn_steps
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Floats = NDArray[np.float64]

STEP = 0.1  # s during the burn; halving it moves speeds and distances by less than 1e-5
COAST_STEPS = 2.5  # steps of the burn make one after it, where nothing changes fast
HALVINGS = 40  # of a coast step: far below a nanosecond
LONGEST_COAST = 40.0  # s; a model that is not back at its entry speed by then never will be
BACK_AT_ENTRY = 1.02  # of the entry speed: the boost counts as over
THRUST_BAND = 0.20  # a labelled mean may differ so much from the measured (NAR, Standard Motor Codes; read)
IMPULSE_BAND = 0.10  # common practice, no source


@dataclass(frozen=True)
class Run:
    """The model at ignition; each number may be an array, one entry a case.

    mass [kg] with motor, of which propellant [kg]; drag_area [m2]; density [kg/m3]; entry_speed [m/s];
    induced_factor [1/m2] of `drag.induced_factor`; climb [rad], up positive; downthrust [rad]: only its cosine pushes,
    its sine is carried by the wing. Fan: static_thrust [N] (0: off), exit_area [m2], one model for all cases.
    """

    mass: float | Floats
    propellant: float | Floats
    drag_area: float | Floats
    density: float
    entry_speed: float | Floats
    induced_factor: float | Floats = 0.0
    climb: float | Floats = 0.0
    downthrust: float | Floats = 0.0
    static_thrust: float = 0.0
    exit_area: float = 1.0
    fan_model: FanModel = "constant power"


class Boost(NamedTuple):
    """What the runs came to, SI; arrays of one entry a case, series of one row a step.

    Distances count from ignition. `end_*` is where the speed is back within 2 % of entry, nan when it is not within
    40 s of burnout or the run was for its peak alone. Series: time [s], speed [m/s], distance [m], mass [kg]; row
    `burnout_row` is the last of the curve.
    """

    peak_speed: Floats
    peak_time: Floats
    burnout_speed: Floats
    burnout_distance: Floats
    end_time: Floats
    end_distance: Floats
    time: Floats
    speed: Floats
    distance: Floats
    mass: Floats
    burnout_row: int


class _March(NamedTuple):
    """Rows of a stage: time, speed, distance, and the acceleration at start and end of each step."""

    time: Floats
    speed: Floats
    distance: Floats
    before: Floats
    after: Floats


class _Forces:
    """Acceleration along the path from speed, all cases at once."""

    def __init__(self, run: Run) -> None:
        self.table = None
        if run.static_thrust:
            self.table = thrust_table(
                static_thrust=run.static_thrust, exit_area=run.exit_area, density=run.density, model=run.fan_model
            )
        self.drag = run.density * np.asarray(run.drag_area) / 2
        self.slope = STANDARD_GRAVITY * np.sin(run.climb)

    def acceleration(self, v: Floats, push: Floats, lift_drag: Floats, mass: Floats) -> Floats:
        """Give V' [m/s2]; `push` is the motor's thrust along the path [N], `lift_drag` the drag of lift times V^2."""
        squared = v * v
        force = push - self.drag * squared - lift_drag / squared
        if self.table is not None:
            force = force + np.interp(v, *self.table)
        return np.asarray(force / mass - self.slope)


def boost(
    run: Run,
    *,
    time: ArrayLike,
    thrust: ArrayLike,
    thrust_factor: ArrayLike = 1.0,
    impulse_factor: ArrayLike = 1.0,
    step: float = STEP,
    peak_only: bool = False,
) -> Boost:
    """Fly the burn of a thrust curve [s], [N] and the coast after it; `peak_only`: no further than the peak needs.

    Factors scale the motor case by case: the burn goes as impulse over thrust, the propellant stays as it is.
    """
    positive(mass=run.mass, density=run.density, entry_speed=run.entry_speed, step=step)
    positive(thrust_factor=thrust_factor, impulse_factor=impulse_factor)
    if (np.asarray(run.drag_area) < 0).any() or (np.asarray(run.propellant) >= run.mass).any():
        raise PhysicsError("drag area must be 0 or more, and the propellant less than the mass")
    factor, stretch, *_ = np.broadcast_arrays(
        *map(np.atleast_1d, (thrust_factor, np.divide(impulse_factor, thrust_factor))),
        *map(np.atleast_1d, (run.mass, run.propellant, run.drag_area, run.entry_speed, run.climb, run.downthrust)),
        np.atleast_1d(run.induced_factor),
    )
    steps = burn_steps(time=time, thrust=thrust, longest=step)
    forces = _Forces(run)
    burn, mass = _burn(run, forces, steps, factor, stretch)
    coast = _coast(run, forces, burn, mass[-1], COAST_STEPS * step, peak_only=peak_only)
    return _summed_up(run, burn, coast, mass, peak_only=peak_only)


def band_factors() -> tuple[Floats, Floats]:
    """Thrust and impulse factors of a band: the curve as given, then 20 % of thrust and 10 % of impulse up and down."""
    up, down = 1 + THRUST_BAND, 1 - THRUST_BAND
    more, less = 1 + IMPULSE_BAND, 1 - IMPULSE_BAND
    return np.array([1.0, up, up, down, down]), np.array([1.0, more, less, more, less])


def boost_band(run: Run, *, time: ArrayLike, thrust: ArrayLike, step: float = STEP, peak_only: bool = False) -> Boost:
    """Fly the five cases of `band_factors` at once; the first is the curve as given."""
    factor, impulse = band_factors()
    return boost(
        run,
        time=time,
        thrust=thrust,
        thrust_factor=factor,
        impulse_factor=impulse,
        step=step,
        peak_only=peak_only,
    )


@lru_cache(maxsize=256)
def level_speed(
    *,
    drag_area: float,
    weight: float,
    density: float,
    static_thrust: float,
    exit_area: float,
    induced_factor: float = 0.0,
    fan_model: FanModel = "constant power",
) -> float:
    """Fastest level speed on the fan [m/s]: fan thrust = drag; drag area [m2], weight [N], others as `Run`.

    Raises PhysicsError when the fan holds the weight at no speed.
    """
    positive(drag_area=drag_area, weight=weight, density=density, static_thrust=static_thrust, exit_area=exit_area)

    def spare(v: Floats) -> Floats:
        pressure = density * v * v / 2
        push = thrust_at_speed(
            speed=v, static_thrust=static_thrust, exit_area=exit_area, density=density, model=fan_model
        )
        return np.asarray(push - drag_area * pressure - induced_factor * weight**2 / pressure)

    top = (2 * static_thrust / (density * drag_area)) ** 0.5  # drag alone would take all the static thrust here
    grid = top * np.linspace(1.0, 0.0, 200, endpoint=False)  # falling
    holds = np.flatnonzero(spare(grid) > 0)
    if holds.size == 0:
        raise PhysicsError(
            f"static thrust = {static_thrust:g} N: the fan cannot hold {weight:.3g} N level at any speed"
        )
    slow, fast = grid[holds[0]], grid[max(int(holds[0]) - 1, 0)]
    while fast - slow > 1e-10 * top:
        between = np.linspace(slow, fast, 12)
        last = int(np.flatnonzero(spare(between) > 0)[-1])
        slow, fast = between[last], between[min(last + 1, 11)]
    return float((slow + fast) / 2)


def _burn(run: Run, forces: _Forces, steps: BurnSteps, factor: Floats, stretch: Floats) -> tuple[_March, Floats]:
    """March through the curve; give the rows and the mass at each."""
    push = steps.thrust[:, :, None] * factor  # (step, start/middle/end, case)
    mass = run.mass - steps.used[:, :, None] * np.asarray(run.propellant)
    mass = np.broadcast_to(mass, push.shape)
    lift_drag = _lift_drag(run, mass, push)
    along = push * np.cos(run.downthrust)
    lengths = np.diff(steps.time)[:, None] * stretch
    v = np.broadcast_to(np.asarray(run.entry_speed, dtype=float), factor.shape)
    s = np.zeros(factor.shape)
    rows = [(v, s)]
    before: list[Floats] = []
    for i, h in enumerate(lengths):
        at = [(along[i, j], lift_drag[i, j], mass[i, j]) for j in range(3)]
        v, s, a = _advance(forces, v, s, h, at)
        before.append(a)
        rows.append((v, s))
    last = forces.acceleration(v, along[-1, 2], lift_drag[-1, 2], mass[-1, 2])
    times = np.concatenate([np.zeros((1, factor.size)), np.cumsum(lengths, axis=0)])
    return _march(times, rows, [*before, last]), np.concatenate([mass[:1, 0], mass[:, 2]])


def _coast(run: Run, forces: _Forces, burn: _March, mass: Floats, step: float, *, peak_only: bool) -> _March:
    """March on without the motor until every case is back near its entry speed, or for 40 s.

    For the peak alone a step is enough once every case slows down: without the motor none gains speed again.
    """
    none = np.zeros_like(mass)
    at = [(none, _lift_drag(run, mass, none), mass)] * 3
    v, s = burn.speed[-1], burn.distance[-1]
    rows = [(v, s)]
    before: list[Floats] = []
    while len(before) < LONGEST_COAST / step and (v > BACK_AT_ENTRY * np.asarray(run.entry_speed)).any():
        v, s, a = _advance(forces, v, s, np.asarray(step), at)
        before.append(a)
        rows.append((v, s))
        if peak_only and (a <= 0).all():
            break
    last = forces.acceleration(v, *at[0])
    times = burn.time[-1] + step * np.arange(len(rows))[:, None]
    return _march(times, rows, [*before, last])


def _advance(
    forces: _Forces, v: Floats, s: Floats, h: Floats, at: list[tuple[Floats, Floats, Floats]]
) -> tuple[Floats, Floats, Floats]:
    """One classical Runge-Kutta step: speed and distance after it, acceleration before it."""
    a1 = forces.acceleration(v, *at[0])
    v2 = v + h / 2 * a1
    a2 = forces.acceleration(v2, *at[1])
    v3 = v + h / 2 * a2
    a3 = forces.acceleration(v3, *at[1])
    v4 = v + h * a3
    a4 = forces.acceleration(v4, *at[2])
    after = v + h / 6 * (a1 + 2 * (a2 + a3) + a4)
    if not (after > 0).all():
        raise PhysicsError("the speed falls to nothing on this path: climb less, or enter faster")
    return after, s + h / 6 * (v + 2 * (v2 + v3) + v4), a1


def _lift_drag(run: Run, mass: Floats, push: Floats) -> Floats:
    """Drag of lift times V^2: k L^2/(rho/2), lift holding the weight and the downthrust."""
    lift = mass * STANDARD_GRAVITY * np.cos(run.climb) + push * np.sin(run.downthrust)
    return np.asarray(run.induced_factor * lift**2 * 2 / run.density)


def _march(times: Floats, rows: list[tuple[Floats, Floats]], accelerations: list[Floats]) -> _March:
    before = np.array(accelerations)
    return _March(
        times, np.array([row[0] for row in rows]), np.array([row[1] for row in rows]), before[:-1], before[1:]
    )


def _peak(march: _March) -> tuple[Floats, Floats]:
    """Greatest speed of each case and when, on the cubic through speed and acceleration of each step's ends."""
    cases = np.arange(march.speed.shape[1])
    share = _top_of_step(march)
    speeds = np.concatenate([_cubic(*_step_ends(march), share), march.speed])
    times = np.concatenate([march.time[:-1] + share * np.diff(march.time, axis=0), march.time])
    row = speeds.argmax(axis=0)
    return speeds[row, cases], times[row, cases]


def _step_ends(march: _March) -> tuple[Floats, Floats, Floats, Floats]:
    """Speed at both ends of each step, and its slope there per whole step."""
    h = np.diff(march.time, axis=0)
    return march.speed[:-1], march.speed[1:], h * march.before, h * march.after


def _top_of_step(march: _March) -> Floats:
    """Where in each step the cubic of the speed turns from rising to falling, 0 to 1; 0 when it does not."""
    y0, y1, m0, m1 = _step_ends(march)
    a, b = 3 * (m0 + m1 - 2 * (y1 - y0)), 2 * (3 * (y1 - y0) - 2 * m0 - m1)  # slope = a x^2 + b x + m0
    below = np.sqrt(np.maximum(b * b - 4 * a * m0, 0.0)) - b
    share = 2 * m0 / np.where(below > 0, below, np.inf)  # the root at which the slope falls
    return np.where((share > 0) & (share < 1), share, 0.0)


def _cubic(y0: Floats, y1: Floats, m0: Floats, m1: Floats, x: Floats) -> Floats:
    """Hermite's cubic with ends y and slopes m (per whole step) at the share x of the step."""
    second, third = _bends(y0, y1, m0, m1)
    return np.asarray(y0 + x * (m0 + x * (second + x * third)))


def _bends(y0: Floats, y1: Floats, m0: Floats, m1: Floats) -> tuple[Floats, Floats]:
    """Factors of the cubic's second and third power."""
    return 3 * (y1 - y0) - 2 * m0 - m1, m0 + m1 - 2 * (y1 - y0)


def _back(run: Run, march: _March) -> tuple[Floats, Floats]:
    """Time and distance at which each case comes back within 2 % of its entry speed; nan when it does not.

    Found by halving on the cubic of the step in which it happens.
    """
    target = BACK_AT_ENTRY * np.asarray(run.entry_speed, dtype=float)
    under = march.speed <= target
    if len(march.before) == 0:
        return march.time[0], march.distance[0]
    cases = np.arange(march.speed.shape[1])
    row = (under.argmax(axis=0) - 1).clip(0)
    v0, v1, m0, m1 = (ends[row, cases] for ends in _step_ends(march))
    low, high = np.zeros(cases.size), np.where(under[0], 0.0, 1.0)
    second, third = _bends(v0, v1, m0, m1)
    for _ in range(HALVINGS):
        mid = (low + high) / 2
        faster = v0 + mid * (m0 + mid * (second + mid * third)) > target
        low, high = np.where(faster, mid, low), np.where(faster, high, mid)
    h = march.time[row + 1, cases] - march.time[row, cases]
    where = _cubic(march.distance[row, cases], march.distance[row + 1, cases], h * v0, h * v1, low)
    never = ~under.any(axis=0)
    return np.where(never, np.nan, march.time[row, cases] + low * h), np.where(never, np.nan, where)


def _summed_up(run: Run, burn: _March, coast: _March, mass: Floats, *, peak_only: bool) -> Boost:
    peaks = [_peak(march) for march in (burn, coast) if len(march.before)]
    speeds, times = (np.array([peak[k] for peak in peaks]) for k in (0, 1))
    best, cases = speeds.argmax(axis=0), np.arange(burn.speed.shape[1])
    unknown = np.full(cases.size, np.nan)
    end_time, end_distance = (unknown, unknown) if peak_only else _back(run, coast)
    return Boost(
        peak_speed=speeds[best, cases],
        peak_time=times[best, cases],
        burnout_speed=burn.speed[-1],
        burnout_distance=burn.distance[-1],
        end_time=end_time,
        end_distance=end_distance,
        time=np.concatenate([burn.time, coast.time[1:]]),
        speed=np.concatenate([burn.speed, coast.speed[1:]]),
        distance=np.concatenate([burn.distance, coast.distance[1:]]),
        mass=np.concatenate([mass, np.repeat(mass[-1:], len(coast.time) - 1, axis=0)]),
        burnout_row=len(burn.time) - 1,
    )
