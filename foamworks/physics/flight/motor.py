"""What does a commercial solid motor give? Its class, impulse, burn and mass, from its thrust curve or its data sheet.

SI throughout. A thrust curve is two arrays, `time` [s] rising and `thrust` [N] never negative, straight between its
samples; before the first and after the last sample there is no thrust. Propellant leaves in proportion to the impulse.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Floats = NDArray[np.float64]

CLASSES: tuple[str, ...] = ("1/8A", "1/4A", "1/2A", *"ABCDEFGHIJKLMNO")
SMALLEST_CLASS = 0.3125  # N s, upper limit of class 1/8A (NAR, Standard Motor Codes); each next class doubles it
BURN_SHARE = 0.05  # of the peak thrust: the burn is counted between these points (NFPA 1125, read at second hand)
SAME_IMPULSE = 1e-9  # relative; a sum of samples that ends a rounding error above a limit still belongs below it
MOST_SAMPLES = 60  # curves of up to so many samples are integrated from sample to sample, longer ones in even steps

# The plain shape, shares of the burn: rise to the peak, fall from it to the plateau, tail-off. Ours, no source.
RISE, FALL, TAIL = 0.05, 0.15, 0.05
LOW_PLATEAU = 0.08  # of the peak; a motor that wants less than this gets a shorter peak instead

# One motor is high power beyond any of these (NFPA 1122:2018 4.4 and 4.5, read at second hand)
HIGH_POWER_IMPULSE = 160.0  # N s
HIGH_POWER_PROPELLANT = 0.0625  # kg
HIGH_POWER_MEAN = 80.0  # N
# A model rocket stays within all of these (same source)
MODEL_MASS, MODEL_PROPELLANT, MODEL_IMPULSE = 1.5, 0.125, 320.0  # kg, kg, N s


class BurnSteps(NamedTuple):
    """A burn cut into n steps: `time` [s] (n + 1); `thrust` [N] and share of the impulse `used` (n, 3).

    The three columns are the start, the middle and the end of each step.
    """

    time: Floats
    thrust: Floats
    used: Floats


def class_limit(letter: str) -> float:
    """Greatest total impulse of a motor class [N s]. Source: NAR, Standard Motor Codes: 2.5 for A, doubling.

    >>> class_limit("F")
    80.0
    """
    if letter not in CLASSES:
        raise PhysicsError(f"motor class {letter!r}: must be one of {', '.join(CLASSES)}")
    return float(SMALLEST_CLASS * 2.0 ** CLASSES.index(letter))


def impulse_class(*, impulse: float) -> str:
    """Class letter of a total impulse [N s]; a class includes its upper limit. Range up to 40 960 N s (O).

    Source: NAR, Standard Motor Codes: A 1.26 to 2.50, B 2.51 to 5.00, and so on.

    >>> impulse_class(impulse=5.0), impulse_class(impulse=5.01)
    ('B', 'C')
    """
    positive(impulse=impulse)
    for letter in CLASSES:
        if impulse <= class_limit(letter) * (1 + SAME_IMPULSE):
            return letter
    raise PhysicsError(f"impulse = {impulse:g} N s: classes end with O at {class_limit('O'):g} N s")


def curve_arrays(*, time: ArrayLike, thrust: ArrayLike) -> tuple[Floats, Floats]:
    """Give a thrust curve as two float arrays [s], [N]; raise PhysicsError for what cannot be one."""
    t, force = np.asarray(time, dtype=float), np.asarray(thrust, dtype=float)
    if t.ndim != 1 or t.shape != force.shape or t.size < 2:
        raise PhysicsError("thrust curve: needs as many times as thrusts, at least two of each")
    _hold(t.tobytes(), force.tobytes())
    return t, force


@lru_cache(maxsize=64)  # asked of the same few curves, each time that a design is judged
def _hold(times: bytes, thrusts: bytes) -> None:
    """Raise PhysicsError for numbers that are no curve."""
    t, force = np.frombuffer(times), np.frombuffer(thrusts)
    if not (np.isfinite(t).all() and np.isfinite(force).all()):
        raise PhysicsError("thrust curve: every time and thrust must be finite")
    if (np.diff(t) <= 0).any():
        raise PhysicsError(f"thrust curve: time must rise; it does not after {t[np.argmax(np.diff(t) <= 0)]:g} s")
    if force.min() < 0 or force.max() <= 0:
        raise PhysicsError("thrust curve: thrust must be 0 or more, and somewhere more than 0 N")


def impulse_used(*, time: ArrayLike, thrust: ArrayLike, at: ArrayLike) -> Floats:
    """Impulse [N s] delivered until the times `at` [s], exact for a curve that is straight between its samples.

    >>> float(impulse_used(time=[0, 2], thrust=[0, 10], at=1.0))
    2.5
    """
    t, force = curve_arrays(time=time, thrust=thrust)
    steps = np.diff(t)
    until = np.concatenate([[0.0], np.cumsum(steps * (force[1:] + force[:-1]) / 2)])
    when = np.clip(np.asarray(at, dtype=float), t[0], t[-1])
    row = np.clip(np.searchsorted(t, when, side="right") - 1, 0, t.size - 2)
    ago = when - t[row]
    return np.asarray(until[row] + ago * (force[row] + (force[row + 1] - force[row]) / steps[row] * ago / 2))


def total_impulse(*, time: ArrayLike, thrust: ArrayLike) -> float:
    """Total impulse of a thrust curve [N s], by the trapezoid rule over all its samples."""
    t, force = curve_arrays(time=time, thrust=thrust)
    return float(np.trapezoid(force, t))


def burn_window(*, time: ArrayLike, thrust: ArrayLike) -> tuple[float, float]:
    """Start and end of the burn [s]: where thrust first rises above, and last falls below, 5 % of its peak.

    Source: NFPA 1125 as described on a maker's page (read there). Straight between samples; a curve that starts or
    ends above 5 % starts or ends with that sample.
    """
    t, force = curve_arrays(time=time, thrust=thrust)
    level = BURN_SHARE * force.max()
    above = np.flatnonzero(force > level)
    first, last = int(above[0]), int(above[-1])
    start = t[0] if first == 0 else np.interp(level, force[[first - 1, first]], t[[first - 1, first]])
    end = t[-1] if last == t.size - 1 else np.interp(level, force[[last + 1, last]], t[[last + 1, last]])
    return float(start), float(end)


def burn_time(*, time: ArrayLike, thrust: ArrayLike) -> float:
    """Burn time [s] between the 5 % points, see `burn_window`."""
    start, end = burn_window(time=time, thrust=thrust)
    return end - start


def mean_thrust(*, time: ArrayLike, thrust: ArrayLike) -> float:
    """Mean thrust [N]: total impulse over the 5 % burn time, as certification sheets give it (NFPA 1125, as above)."""
    return total_impulse(time=time, thrust=thrust) / burn_time(time=time, thrust=thrust)


def propellant_left(*, time: ArrayLike, thrust: ArrayLike, propellant: float, at: ArrayLike) -> Floats:
    """Propellant [kg] still aboard at the times `at` [s]: what left is in proportion to the impulse used.

    Holds for a constant exhaust speed, which solid motors keep within a few percent (common practice, no source).
    """
    positive(propellant=propellant)
    used = impulse_used(time=time, thrust=thrust, at=at) / total_impulse(time=time, thrust=thrust)
    return np.asarray(propellant * (1 - used))


def specific_impulse(*, impulse: float, propellant: float) -> float:
    """Specific impulse [s] of an impulse [N s] from so much propellant [kg]: I/(g m).

    About 75 to 85 s for black powder, 160 to 220 s for composite (from memory). Delay and ejection charges count as
    propellant in some lists, which reads low.
    """
    positive(impulse=impulse, propellant=propellant)
    return impulse / (STANDARD_GRAVITY * propellant)


@lru_cache(maxsize=64)
def plain_curve(*, impulse: float, burn: float, peak: float) -> tuple[Floats, Floats]:
    """Thrust curve, time [s] and thrust [N], of a motor known by impulse [N s], burn [s] and peak [N] only.

    Straight lines: from nothing to the peak in 5 % of the burn, down to a plateau in a further 15 %, along the plateau,
    and to nothing in the last 5 %. Height and length of the plateau are solved for, so impulse, peak and burn between
    the 5 % points are all exact; where the thrust lies between is an assumption (ours, no source). A motor fuller than
    that shape allows gets quicker ends, one that is mostly a spike gets a shorter spike.

    >>> time, thrust = plain_curve(impulse=17, burn=1.7, peak=29)
    >>> round(total_impulse(time=time, thrust=thrust), 9), round(burn_time(time=time, thrust=thrust), 9)
    (17.0, 1.7)
    """
    positive(impulse=impulse, burn=burn, peak=peak)
    fullness = impulse / (peak * burn)
    if not BURN_SHARE < fullness < 1:
        raise PhysicsError(
            f"impulse = {impulse:g} N s does not fit a peak of {peak:g} N and a burn of {burn:g} s: "
            f"these give more than {BURN_SHARE * peak * burn:.3g} and less than {peak * burn:.3g} N s"
        )
    plateau, rise, fall, tail = _plain_shape(fullness)
    end = 1 + BURN_SHARE * (rise + tail / plateau)
    corners = np.array([0.0, rise, rise + fall, end - tail, end])
    heights = np.array([0.0, 1.0, plateau, plateau, 0.0])
    keep = np.concatenate([[True], np.diff(corners) > 0])
    found = burn * corners[keep], peak * heights[keep]
    for row in found:
        row.setflags(write=False)
    return found


def _plain_shape(fullness: float) -> tuple[float, float, float, float]:
    """Plateau over peak, and rise, fall and tail over burn, of the plain shape that fills peak x burn so far.

    The area under the shape is spike + plateau (1 - width), both linear in the three times.
    """
    spike = (RISE + FALL) / 2 + BURN_SHARE * TAIL
    width = (1 - BURN_SHARE) * RISE + FALL / 2 + TAIL / 2
    plateau = (fullness - spike) / (1 - width)
    if plateau > 1:  # full: no spike, and both ends quick enough
        quick = (1 - fullness) / (1 - 2 * BURN_SHARE)
        return 1.0, quick, 0.0, quick
    if plateau < LOW_PLATEAU:  # spiky: the plateau goes from its least towards the 5 % line as the spike narrows
        least = spike + LOW_PLATEAU * (1 - width)
        plateau = BURN_SHARE + (LOW_PLATEAU - BURN_SHARE) * (fullness - BURN_SHARE) / (least - BURN_SHARE)
        narrow = (fullness - plateau) / (spike - plateau * width)
        return plateau, narrow * RISE, narrow * FALL, narrow * TAIL
    return plateau, RISE, FALL, TAIL


def burn_steps(*, time: ArrayLike, thrust: ArrayLike, longest: float | Floats) -> BurnSteps:
    """Cut a burn into steps of at most `longest` [s], for a Runge-Kutta march; one for all, or one an interval.

    Steps end on the samples, so thrust is straight within each; curves of more than 60 samples are cut evenly. The
    thrust in the middle is the one with which Simpson's rule gives the step's impulse exactly, so none is lost.
    """
    positive(longest=longest)
    t, force = curve_arrays(time=time, thrust=thrust)
    return _cut(t.tobytes(), force.tobytes(), np.asarray(longest, dtype=float).tobytes())


@lru_cache(maxsize=64)  # each motor's curve is flown dozens of times
def _cut(times: bytes, thrusts: bytes, lengths: bytes) -> BurnSteps:
    t, force, longest = map(np.frombuffer, (times, thrusts, lengths))
    if t.size <= MOST_SAMPLES:
        counts = np.ceil(np.diff(t) / longest - SAME_IMPULSE).astype(int).clip(1)
        parts = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(t[:-1], t[1:], counts, strict=True)]
        nodes = np.concatenate([*parts, t[-1:]])
    else:
        nodes = np.linspace(t[0], t[-1], int(np.ceil((t[-1] - t[0]) / np.min(longest))) + 1)
    points = np.stack([nodes[:-1], (nodes[:-1] + nodes[1:]) / 2, nodes[1:]], axis=1)
    used = impulse_used(time=t, thrust=force, at=points)
    at_points = np.interp(points, t, force)
    means = (used[:, 2] - used[:, 0]) / (points[:, 2] - points[:, 0])
    at_points[:, 1] = (6 * means - at_points[:, 0] - at_points[:, 2]) / 4
    found = BurnSteps(nodes, at_points, used / used[-1, 2])
    for row in found:
        row.setflags(write=False)
    return found


def high_power_reasons(*, impulse: float, propellant: float, mean: float) -> tuple[str, ...]:
    """Say why one motor counts as high power; empty when it is a model rocket motor.

    impulse [N s] over 160, propellant [kg] over 62.5 g, or mean thrust [N] over 80. Source: NFPA 1122:2018 4.4-4.5.

    >>> high_power_reasons(impulse=120, propellant=0.06, mean=80.3)
    ('mean thrust over 80 N',)
    """
    rules = (
        (impulse > HIGH_POWER_IMPULSE, "impulse over 160 N s"),
        (propellant > HIGH_POWER_PROPELLANT, "propellant over 62.5 g"),
        (mean > HIGH_POWER_MEAN, "mean thrust over 80 N"),
    )
    return tuple(reason for broken, reason in rules if broken)


def within_model_limits(*, mass: float, propellant: float, impulse: float) -> bool:
    """Say whether a vehicle stays a model rocket: at most 1.5 kg, 125 g of propellant [kg], 320 N s, all motors.

    Source: NFPA 1122:2018 4.4-4.5, read at second hand. Written for vertical flights; a winged model lies outside it.
    """
    return mass <= MODEL_MASS and propellant <= MODEL_PROPELLANT and impulse <= MODEL_IMPULSE
