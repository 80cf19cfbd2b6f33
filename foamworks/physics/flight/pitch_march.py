"""The equations of the motion in pitch and their march: many burns side by side, each by its own steps. SI.

Inside, a vector in the body's plane of symmetry is one complex number, forward + i up: the velocity is u - i w, lift is
the velocity turned by i, gravity -i g exp(-i theta), and half the array operations are saved.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from foamworks.units import STANDARD_GRAVITY

Floats = NDArray[np.float64]
Vectors = NDArray[np.complex128]  # forward + i up
Numbers = float | Floats  # an array has one entry a case
Table = tuple[Floats, Floats]  # speed [m/s], thrust [N]

LEAST_SPEED = 1e-9  # m/s, keeps zero out of divisions


class Burn(NamedTuple):
    """What the motor does to the model, (row, case): push [N], moment [N m], mass [kg], inertia [kg m2].

    shift [m]: where the centre of gravity has gone, aft + i up, so that the imaginary part of shift x force is the
    moment that a force at the old centre has about the new one.
    """

    push: Vectors
    moment: Floats
    mass: Floats
    inertia: Floats
    shift: Vectors


class Air(NamedTuple):
    """The models' numbers in the form in which the equations want them."""

    q: Numbers  # rho S/2
    chord: Numbers
    lift: Numbers  # coefficients of the trimmed flight
    moment: Numbers
    drag: Numbers
    induced: Numbers
    slope: Numbers
    limit: Numbers
    stiffness: Numbers
    damping: Numbers  # with rho S c^2/4: times V and the rate it is the moment
    lag: Numbers
    elevator_lift: Numbers
    elevator_moment: Numbers
    gain: Numbers
    up: Numbers
    down: Numbers
    fan_above: Numbers
    trim_thrust: Numbers
    fan_trim: Numbers  # what the fan's table has at the trimmed speed

    def lifted(self, velocity: Vectors, rate: Floats) -> tuple[Floats, Floats]:
        """Give lift coefficient, limited, and elevator."""
        elevator = np.minimum(np.maximum(self.gain * rate, self.up), self.down)
        free = self.lift + self.slope * np.arctan2(-velocity.imag, velocity.real) + self.elevator_lift * elevator
        return np.minimum(np.maximum(free, -self.limit), self.limit), elevator


class Ready(NamedTuple):
    """A burn ready to be marched: entry speed [m/s], motor, air, the fan's table, the lengths of its steps [s].

    The motor's rows are start, middle and end of each step.
    """

    speed: float
    burn: Burn
    air: Air
    fan: Table
    lengths: Floats


def march(burns: Sequence[Ready]) -> list[Vectors]:
    """Classical Runge-Kutta; states of each burn (row, variable, case): velocity, and attitude + i rate.

    A burn that has fewer steps than another goes on in steps of no length.
    """
    most = max(len(one.lengths) for one in burns)
    widths = [one.burn.moment.shape[1] for one in burns]
    spans = [slice(end - width, end) for end, width in zip(np.cumsum(widths), widths, strict=True)]
    airs = ([np.broadcast_to(value, width) for value in one.air] for one, width in zip(burns, widths, strict=True))
    air = Air(*map(np.concatenate, zip(*airs, strict=True)))
    burn = [np.hstack(column) for column in zip(*(_lengthened(one.burn, 3 * most) for one in burns), strict=True)]
    lengths = np.zeros((most, sum(widths)))
    y = np.zeros((2, sum(widths)), dtype=complex)
    for one, span in zip(burns, spans, strict=True):
        lengths[: len(one.lengths), span] = one.lengths[:, None]
        y[0, span] = one.speed
    fans = [(one.fan, span) for one, span in zip(burns, spans, strict=True)]
    if all(one.fan is burns[0].fan for one in burns):
        fans = [(burns[0].fan, slice(None))]
    states = [y]
    for i, h in enumerate(lengths):
        start, middle, end = ([part[row] for part in burn] for row in range(3 * i, 3 * i + 3))
        k1 = _rates(air, fans, y, start)
        k2 = _rates(air, fans, y + h / 2 * k1, middle)
        k3 = _rates(air, fans, y + h / 2 * k2, middle)
        k4 = _rates(air, fans, y + h * k3, end)
        y = y + h / 6 * (k1 + 2 * (k2 + k3) + k4)
        states.append(y)
    marched = np.array(states)
    return [marched[: len(one.lengths) + 1, :, span] for one, span in zip(burns, spans, strict=True)]


def _lengthened(burn: Burn, rows: int) -> Iterator[NDArray[Any]]:
    """Give each part of a burn with its last row again up to `rows` of them, one column a case."""
    for part in burn:
        whole = np.broadcast_to(part, burn.moment.shape)
        yield np.concatenate([whole, np.broadcast_to(whole[-1], (rows - len(whole), whole.shape[1]))])


def _rates(air: Air, fans: list[tuple[Table, slice]], y: Vectors, now: list[NDArray[Any]]) -> Vectors:
    """Rates of the two rows of `y`, velocity and attitude + i rate; `now` is the row of `Burn`."""
    velocity, turn = y
    rate = turn.imag
    push, moment, mass, inertia, shift = now
    speed = np.abs(velocity)
    lift, elevator = air.lifted(velocity, rate)
    table = np.concatenate([np.interp(speed[span], *fan) for fan, span in fans])
    fan = np.maximum(0.0, table + (air.trim_thrust - air.fan_trim))
    flow = air.q * speed
    force = flow * (1j * lift - (air.drag + air.induced * lift * lift)) * velocity + fan
    change = (force + push) / mass - 1j * (STANDARD_GRAVITY * np.exp(-1j * turn.real) + rate * velocity)
    turning = -(change / (velocity + LEAST_SPEED)).imag  # of the incidence
    steady = (air.moment + air.elevator_moment * elevator) * speed - air.stiffness * velocity.imag
    pitching = air.chord * flow * steady + speed * (air.damping * rate + air.lag * turning)
    pitching += (shift * force).imag - fan * air.fan_above + moment
    return np.array([change, rate + 1j * (pitching / inertia)])
