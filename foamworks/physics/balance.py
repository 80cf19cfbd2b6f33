"""Where the centre of gravity lies, what moves it, and the inertia about it. x aft, y starboard, z up [m]; kg, kg m2.

Formulas of weight and balance and of inertia. Placing battery and ballast is `settle`'s part, at the end: it moves the
battery first, then adds the least ballast, exactly, for any number of flight states at once.
"""

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import positive
from foamworks.units import STANDARD_GRAVITY

Array = NDArray[np.float64]
Number = TypeVar("Number", float, NDArray[np.float64])


@dataclass(frozen=True)
class Inertia:
    """Moments of inertia about axes through one point and the product xz = sum m x z [kg m2]; left-right symmetric.

    xx resists rolling, yy pitching, zz yawing. xz is the same in axes x aft, z up as in x forward, z down.
    """

    xx: float
    yy: float
    zz: float
    xz: float = 0.0

    def __add__(self, other: "Inertia") -> "Inertia":
        """Sum, both about the same point."""
        return Inertia(self.xx + other.xx, self.yy + other.yy, self.zz + other.zz, self.xz + other.xz)


@dataclass(frozen=True)
class Gyration:
    """Radii of gyration as fractions: of half span (roll), half length (pitch), half their mean (yaw)."""

    roll: float
    pitch: float
    yaw: float


# Raymer, *Aircraft Design*, table of nondimensional radii of gyration, from memory, full-size aircraft: the row
# "jet fighter" has its power plant in the fuselage as a foam jet has. A bifilar swing is better.
JET_GYRATION = Gyration(roll=0.23, pitch=0.38, yaw=0.52)


def centroid(*, masses: ArrayLike, places: ArrayLike) -> tuple[Array, Array]:
    """Total mass [kg] and centroid [m] of mass points along one axis; the last axis of the arrays runs over the points.

    Leading axes (samples) broadcast. Negative masses take something away; the total must stay above 0.
    Source: statics; FAA-H-8083-1B, *Weight and Balance Handbook*, ch. 2.

    >>> total, x = centroid(masses=[100, 100, 200], places=[50, 90, 150])
    >>> float(total), float(x)
    (400.0, 110.0)
    """
    weights, arms = np.broadcast_arrays(np.asarray(masses, dtype=float), np.asarray(places, dtype=float))
    total = weights.sum(axis=-1)
    if not np.all(total > 0):
        raise PhysicsError(f"total mass = {np.min(total):g} kg: must be above 0")
    return total, (weights * arms).sum(axis=-1) / total


def from_two_supports(*, front: Number, rear: Number, rear_load: Number, mass: Number) -> Number:
    """CG [m] of an aircraft on two supports, front + (rear - front) m_rear/m; rear_load 0 to mass [kg].

    Source: statics; a gram on the kitchen scale moves it by the supports' distance over the mass.

    >>> round(from_two_supports(front=0.25, rear=0.65, rear_load=0.2, mass=0.8), 9)
    0.35
    """
    positive(mass=mass)
    _require_apart(front=front, rear=rear)
    if not np.all((np.asarray(rear_load) >= 0) & (np.asarray(rear_load) <= mass)):
        raise PhysicsError(f"rear_load = {np.max(rear_load):g} kg: must lie within 0 and the mass {np.max(mass):g} kg")
    return front + (rear - front) * rear_load / mass


def bifilar_inertia(*, mass: float, gap: float, length: float, period: float) -> float:
    """Inertia [kg m2] about the vertical axis of a body on two strings: m g d^2 T^2/(16 pi^2 L).

    gap d between the parallel strings, CG midway; their length L; period T [s] of a small twist (there and back).
    Source: bifilar pendulum, closed form.
    """
    positive(mass=mass, gap=gap, length=length, period=period)
    return mass * STANDARD_GRAVITY * gap**2 * period**2 / (16 * math.pi**2 * length)


def inertia_of_points(
    *, masses: ArrayLike, x: ArrayLike, y: ArrayLike, z: ArrayLike, about_x: float, about_z: float
) -> Inertia:
    """Inertia of mass points about (about_x, 0, about_z) [m]; masses in pairs left and right, or at y = 0.

    Negative masses take something away. Source: definition.
    """
    m, dy = np.asarray(masses, dtype=float), np.asarray(y, dtype=float)
    dx, dz = np.asarray(x, dtype=float) - about_x, np.asarray(z, dtype=float) - about_z
    return Inertia(
        xx=float(np.sum(m * (dy**2 + dz**2))),
        yy=float(np.sum(m * (dx**2 + dz**2))),
        zz=float(np.sum(m * (dx**2 + dy**2))),
        xz=float(np.sum(m * dx * dz)),
    )


def inertia_moved(*, own: Inertia, mass: float, dx: float, dz: float) -> Inertia:
    """Inertia about a point that lies (dx, dz) [m] away from the body's own CG, from the one about its own CG.

    Source: parallel axes (Steiner).
    """
    positive(mass=mass)
    return own + inertia_of_points(masses=[mass], x=[dx], y=[0.0], z=[dz], about_x=0.0, about_z=0.0)


def inertia_by_gyration(*, mass: float, span: float, length: float, gyration: Gyration = JET_GYRATION) -> Inertia:
    """Inertia about the own CG from radii of gyration as fractions of the size; an estimate, 20 % and more off.

    Ixx = m (b Rx/2)^2, Iyy = m (l Ry/2)^2, Izz = m ((b + l)/2 Rz/2)^2; the product is taken as 0.
    span b and length l [m]. Source: Raymer, *Aircraft Design*, section on mass moments of inertia (from memory).
    """
    positive(mass=mass, span=span, length=length)
    return Inertia(
        xx=mass * (span * gyration.roll / 2) ** 2,
        yy=mass * (length * gyration.pitch / 2) ** 2,
        zz=mass * ((span + length) / 2 * gyration.yaw / 2) ** 2,
    )


# Battery and ballast --------------------------------------------------------------------------------------------------

SETTLE_FUZZ = 1e-9  # m: closer to a limit than this is on it
LEVEL_STEP = 1e-9  # m: how finely the least worst violation is found when no place satisfies every state
WHOLE_GRAM = 1e-3  # kg: ballast is weighed on a kitchen scale
GRAM_FUZZ = 1e-6  # grams: a need of 12.0000001 g is 12 g, not 13


@dataclass(frozen=True)
class Loads:
    """The flight states to be kept inside their windows, without battery and ballast, one entry each.

    masses [kg], moments about x = 0 [kg m], forward and aft limits of the CG [m].
    """

    masses: Array
    moments: Array
    forward: Array
    aft: Array


@dataclass(frozen=True)
class Settled:
    """Where the battery goes, how much ballast, and how the states lie.

    cg [m], one per state. worst [m]: how far the worst state lies outside its window, negative where all lie inside.
    forward_state, aft_state: index of the state nearest to (or furthest over) its forward limit, and its aft limit:
    the two that fight.
    """

    battery_x: float
    ballast: float
    feasible: bool
    cg: Array
    worst: float
    forward_state: int
    aft_state: int


def settle(
    *,
    loads: Loads,
    battery: float,
    slide: tuple[float, float],
    ballast_x: float = 0.0,
    ballast: tuple[float, float] = (0.0, 0.0),
) -> Settled:
    """Battery place [m] and least ballast [kg] that keep every state inside its window.

    battery: its mass [kg], 0 for none; slide: least and most x, equal when the place is fixed. ballast: least and
    most mass, equal when it is fixed, (0, most) when it is automatic; between the two it comes in whole grams.
    The least ballast that works is taken: ballast comes only after the battery has gone as far as it helps, so beside
    added ballast the battery stands at the end of its slide when that is among the places that work, else (and without
    added ballast) in their middle. When nothing works: the least worst violation.

    Exact: a state's limits are straight lines in (ballast, battery moment), so the answer is a corner of a polygon.
    Source: own derivation from statics.

    >>> one = Loads(masses=np.array([0.7]), moments=np.array([0.24]), forward=np.array([0.30]), aft=np.array([0.33]))
    >>> round(settle(loads=one, battery=0.2, slide=(0.1, 0.3)).battery_x, 4)
    0.2175
    """
    _check_settle(loads=loads, battery=battery, slide=slide, ballast=ballast)
    bounds = _Bounds(loads, battery, slide, ballast_x)
    mass = _least_ballast(bounds, *ballast)
    feasible = bounds.worst(mass) <= 2 * SETTLE_FUZZ  # once for the limit, once for rounding to the gram
    low, high = bounds.battery_moments(mass, slack=max(bounds.worst(mass), 0.0))
    moment = bounds.place(low, high, mass, added=mass > ballast[0])
    cg = (loads.moments + moment + mass * ballast_x) / (loads.masses + battery + mass)
    ahead, behind = loads.forward - cg, cg - loads.aft
    return Settled(
        battery_x=moment / battery if battery > 0 else slide[0],
        ballast=mass,
        feasible=feasible,
        cg=cg,
        worst=float(np.max(np.maximum(ahead, behind))),
        forward_state=int(np.argmax(ahead)),
        aft_state=int(np.argmax(behind)),
    )


@dataclass(frozen=True)
class _Bounds:
    """What the battery's moment u [kg m] must lie between at a ballast w [kg]: straight lines in w, one a state."""

    loads: Loads
    battery: float
    slide: tuple[float, float]
    ballast_x: float

    def lines(self, slack: float) -> tuple[Array, Array, Array, Array]:
        """Least u: value at w = 0 and slope; most u alike; windows widened by `slack` [m]; the slide comes last."""
        total = self.loads.masses + self.battery
        forward, aft = self.loads.forward - slack, self.loads.aft + slack
        return (
            np.append(forward * total - self.loads.moments, self.slide[0] * self.battery),
            np.append(forward - self.ballast_x, 0.0),
            np.append(aft * total - self.loads.moments, self.slide[1] * self.battery),
            np.append(aft - self.ballast_x, 0.0),
        )

    def battery_moments(self, ballast: float, *, slack: float) -> tuple[float, float]:
        """Least and most u at a ballast; crossed over when no u satisfies every state."""
        low, low_slope, high, high_slope = self.lines(slack)
        return float(np.max(low + low_slope * ballast)), float(np.min(high + high_slope * ballast))

    def place(self, low: float, high: float, ballast: float, *, added: bool) -> float:
        """Battery moment u among those that work: beside added ballast the slide's end on the ballast's side."""
        first, last = self.slide[0] * self.battery, self.slide[1] * self.battery
        ahead = self.ballast_x < float(np.max(self.loads.aft))
        fuzz = SETTLE_FUZZ * (float(np.min(self.loads.masses)) + self.battery + ballast)
        for end in (first, last) if ahead else (last, first):
            if added and low - fuzz <= end <= high + fuzz:
                return end
        return (low + high) / 2

    def ballasts(self, slack: float, least: float, most: float) -> tuple[float, float] | None:
        """Range of ballast at which some u satisfies every state: each least u must lie below each most u."""
        low, low_slope, high, high_slope = self.lines(slack)
        excess = np.subtract.outer(low, high)
        slope = np.subtract.outer(low_slope, high_slope)
        if np.any((slope == 0) & (excess > 0)):
            return None
        crossing = np.divide(-excess, slope, out=np.zeros_like(excess), where=slope != 0)
        start = float(np.max(crossing, where=slope < 0, initial=least))
        end = float(np.min(crossing, where=slope > 0, initial=most))
        return (start, end) if start <= end else None

    def worst(self, ballast: float) -> float:
        """Worst distance [m] outside a window at a ballast with the battery where that is least; negative inside."""
        total = self.loads.masses + self.battery + ballast
        bare = self.loads.moments + ballast * self.ballast_x
        low, high = self.slide[0] * self.battery, self.slide[1] * self.battery
        ahead, behind = self.loads.forward * total - bare, bare - self.loads.aft * total
        fight = np.add.outer(ahead, behind) / np.add.outer(total, total)
        return float(max(np.max(fight), np.max((ahead - high) / total), np.max((behind + low) / total)))


def _least_ballast(bounds: _Bounds, least: float, most: float) -> float:
    """Ballast [kg] in whole grams: the least that keeps all inside, else the one with the least worst violation."""
    span = bounds.ballasts(SETTLE_FUZZ, least, most)
    if span is not None:
        whole = span[0] if span[0] == least else math.ceil(span[0] / WHOLE_GRAM - GRAM_FUZZ) * WHOLE_GRAM
        if whole <= span[1] + GRAM_FUZZ * WHOLE_GRAM:
            return min(whole, most)
    inside, outside = max(bounds.worst(least), 0.0) + SETTLE_FUZZ, 0.0
    while inside - outside > LEVEL_STEP:
        middle = (inside + outside) / 2
        inside, outside = (inside, middle) if bounds.ballasts(middle, least, most) is None else (middle, outside)
    start = (bounds.ballasts(inside, least, most) or (least, most))[0]
    grams = (math.floor(start / WHOLE_GRAM), math.ceil(start / WHOLE_GRAM))
    choices = {least, *(w * WHOLE_GRAM for w in grams if least <= w * WHOLE_GRAM <= most)}
    return min(sorted(choices), key=bounds.worst)


def _check_settle(*, loads: Loads, battery: float, slide: tuple[float, float], ballast: tuple[float, float]) -> None:
    if not battery >= 0 or not math.isfinite(battery):
        raise PhysicsError(f"battery = {battery:g} kg: must be 0 or more")
    if not -math.inf < slide[0] <= slide[1] < math.inf:
        raise PhysicsError(f"slide = {slide[0]:g} to {slide[1]:g} m: must rise and be finite")
    if not 0 <= ballast[0] <= ballast[1] < math.inf:
        raise PhysicsError(f"ballast = {ballast[0]:g} to {ballast[1]:g} kg: must rise from 0 or more and be finite")
    if loads.masses.size == 0:
        raise PhysicsError("loads: at least one state is needed")
    if not all(np.all(np.isfinite(row)) for row in (loads.masses, loads.moments, loads.forward, loads.aft)):
        raise PhysicsError("loads: every number must be finite")
    positive(masses=loads.masses + battery)


def _require_apart(**places: float | Array) -> None:
    (first, a), (second, b) = places.items()
    if np.any(np.asarray(a) == np.asarray(b)):
        raise PhysicsError(f"{first} and {second}: must be two different places")
