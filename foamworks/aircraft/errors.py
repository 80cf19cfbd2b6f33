"""How do the measurements err, and where do the centre of gravity and the neutral point lie then? Sampled. SI.

Every measurement errs independently and normally by the standard deviations of `instruments`. What has a band and no
error lies evenly within it: the loss of lift slope by thickness and low Reynolds number, the tail's and the elevator's
factors, and the intake's pull, which where its place was not measured is all on the unsafe side. The derivatives are
frozen; masses and moments are straight in the errors (their products, a gram times a millimetre, are left out).
The seed is fixed: the same design gives the same samples.
"""

import functools
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft import instruments as by
from foamworks.aircraft.aero import Plane
from foamworks.aircraft.masses import POD_LOADS, Load, LoadKind, moments
from foamworks.design.model import Design
from foamworks.errors import not_measured
from foamworks.parts.density import board_named, stuff
from foamworks.physics import losses
from foamworks.physics.grid import quantile
from foamworks.physics.planform import ReferenceWing

Floats = NDArray[np.float64]
Loads = tuple[Load, ...]

SAMPLES = 10_000
SEED = 1  # any fixed number

MASS_STOCK = "mass of the stock model (scale, 1 g)"
CG_FINGERS = "centre of gravity of the stock model (two fingers, 3 mm)"
CG_SUPPORTS = "centre of gravity of the stock model (two supports)"
HEIGHT = "height of the centre of gravity (5 mm)"
LIFT = "greatest lift coefficient (10 %)"
LOSS = "loss of lift slope by thickness and low speed (3 to 10 %)"
TAIL_LOSS = "tail factor (0.8 to 1.0)"
ELEVATOR = "elevator power over the lattice's (0.55 to 0.85)"
INTAKE = "pull of the fan's intake"
POINT = "neutral point by lattice and body formula (2 % of the chord)"
SPEED = "speed flown hands off (3 %)"
THROW = "elevator throw (1 deg)"
WING_PLACE = "place of the wing (ruler, 1 mm)"
WING_CHORD = "chords of the wing (ruler, 1 mm)"
OLD_FIN = "height and chords of the fin that comes off (ruler, 1 mm)"
FIN_CUT = "cut of the new fins (0.5 mm)"
NOZZLE = "place of the pod (ruler, 1 mm)"
ANGLE = "downthrust as glued"
MOTOR_THRUST = "thrust of the motor (10 %)"
EVEN = (LOSS, TAIL_LOSS, ELEVATOR, INTAKE)
GENERAL = (HEIGHT, LIFT, *EVEN, POINT, SPEED, THROW, WING_PLACE, WING_CHORD, OLD_FIN, FIN_CUT, ANGLE, MOTOR_THRUST)


@dataclass
class Errors:
    """The measurements' names, in order; drawn all at once."""

    names: list[str] = field(default_factory=lambda: list(GENERAL))

    def row(self, name: str) -> int:
        """Give the row of a measurement, a new one when it is new."""
        if name not in self.names:
            self.names.append(name)
        return self.names.index(name)

    def draw(self) -> Floats:
        """Draw errors in standard deviations (measurements, samples): normal, the bands evenly."""
        return _drawn(len(self.names), tuple(self.names.index(name) for name in EVEN))


@functools.lru_cache(maxsize=4)
def _drawn(count: int, even: tuple[int, ...]) -> Floats:
    """Draw so many rows; a design is sampled a few times with the same errors while its balance is settled."""
    random = np.random.default_rng(SEED)
    drawn = random.standard_normal((count, SAMPLES))
    for row in even:
        drawn[row] = math.sqrt(12) * (random.random(SAMPLES) - 0.5)
    drawn.setflags(write=False)
    return drawn


LoadError = Callable[[Load], list[tuple[int, float, float]]]  # row, and what one deviation does to mass and moment


def _load_errors(design: Design, errors: Errors) -> LoadError:
    """Give how each load's mass and moment err: (row, mass, moment) for one standard deviation."""

    def mass_error(load: Load) -> tuple[str, float]:
        match load.known:
            case "data sheet":
                return f"mass of {load.name} (data sheet, 2 %)", by.MOTOR_MASS * load.mass
            case "board":
                return "mass of the board parts (estimate)", _board_error(design) * load.mass
            case "print":
                return "mass of the printed parts (estimate, 10 %)", by.PRINT_MASS * load.mass
            case "bought":
                return "mass of tube, ring, glue (estimate, 10 %)", by.BOUGHT_MASS * load.mass
            case "given" | "weighed":
                return f"mass of {PLAIN.get(load.kind, load.name)} (scale, 1 g)", math.copysign(by.SCALE, load.mass)

    def place_error(load: Load) -> str:
        if load.kind in POD_LOADS:
            return NOZZLE
        if load.known != "given":
            return "place of small parts (1 mm, alike)"
        return f"place of {PLAIN_PLACE.get(load.kind, load.name)} (ruler, 1 mm)"

    def of(load: Load) -> list[tuple[int, float, float]]:
        if load.kind == "stock":
            name, x_error = _cg_error(design)
            return [(errors.row(MASS_STOCK), by.SCALE, by.SCALE * load.x), (errors.row(name), 0.0, load.mass * x_error)]
        name, grams = mass_error(load)
        return [
            (errors.row(name), grams, grams * load.x),
            (errors.row(place_error(load)), 0.0, load.mass * by.RULER),
        ]

    return of


PLAIN: dict[LoadKind, str] = {
    "battery out": "the battery",
    "battery": "the battery",
    "old fin": "the fin that comes off",
}
PLAIN_PLACE: dict[LoadKind, str] = {**PLAIN, "battery out": "the battery when the model was weighed"}


def _board_error(design: Design) -> float:
    named = board_named(design, design.fins.board if design.fins else None)
    return by.BOARD_MASS if stuff(named).measured else by.BOARD_UNWEIGHED


def _cg_error(design: Design) -> tuple[str, float]:
    """Give the stock CG's name and standard deviation [m], by fingers or by two supports."""
    airframe = design.airframe
    cg = airframe.cg
    if not cg or not_measured(cg.rear_load / airframe.mass):
        return CG_FINGERS, by.FINGER_CG
    part, length = cg.rear_load / airframe.mass, cg.rear_support - cg.front_support
    return CG_SUPPORTS, math.hypot((1 - part) * by.RULER, part * by.RULER, length / airframe.mass * by.SCALE)


@dataclass(frozen=True)
class Samples:
    """The samples: errors by name, and mass [kg] and CG [m] of every state that differs, (states, samples).

    states: what is aboard in each of them, in order.
    """

    plane: Plane
    wing: ReferenceWing
    errors: Errors
    drawn: Floats
    states: tuple[Loads, ...]
    nominal: Floats
    mass: Floats
    cg: Floats

    def error(self, name: str) -> Floats:
        """Give one measurement's errors in standard deviations."""
        return np.asarray(self.drawn[self.errors.row(name)])

    @property
    def slope(self) -> Floats:
        """What is left of the lattice's slopes."""
        return 1 - self.within(LOSS, by.SLOPE_LOSS)

    def within(self, name: str, band: tuple[float, float]) -> Floats:
        """Give the samples of what lies evenly within a band."""
        low, high = band
        return np.asarray((low + high) / 2 + (high - low) / math.sqrt(12) * self.error(name))

    @property
    def elevator(self) -> Floats:
        """Elevator power over the nominal one."""
        factors = self.within(ELEVATOR, losses.ELEVATOR_BAND) * self.within(TAIL_LOSS, losses.TAIL_BAND)
        return factors / (losses.ELEVATOR_FACTOR * losses.TAIL_FACTOR) * self.slope

    @property
    def chord(self) -> Floats:
        """Mean chord [m]."""
        return np.asarray(self.wing.mac + by.RULER * self.error(WING_CHORD))

    @functools.cached_property
    def neutral_point(self) -> Floats:
        """Neutral point of the modified model [m]: a lower slope lets the body count for more."""
        plane, wing = self.plane, self.wing
        shift = plane.body_shift
        missed = by.NEUTRAL_POINT * wing.mac * self.error(POINT) + by.RULER * self.error(WING_PLACE)
        point = plane.neutral_point_with(self.within(TAIL_LOSS, losses.TAIL_BAND), self.intake)
        return np.asarray(point - shift * (1 / self.slope - 1) + missed)

    @property
    def intake(self) -> Floats:
        """Normal force of the intake: about what it is where it was measured, else from nothing up."""
        duct = self.plane.intake
        if duct is None:
            return np.zeros(SAMPLES)
        return duct.slope * self.within(INTAKE, by.INTAKE_PULL if duct.measured else (0.0, 1.0))

    @functools.cached_property
    def margins(self) -> Floats:
        """Static margin of every state that differs (states, samples)."""
        return np.asarray((self.neutral_point - self.cg) / self.chord)

    def needs(self, share: float) -> float:
        """Give the margin [-] over the wanted one that the worst state must have for this share of builds to keep it.

        0 for an even chance: the margin as drawn is then the one that is aimed at.
        """
        if share <= EVEN_CHANCE:
            return 0.0
        drawn = (self.plane.neutral_point_flown - self.nominal.max()) / self.wing.mac
        return max(float(drawn) - quantile(self.margins.min(axis=0), 1 - share), 0.0)


EVEN_CHANCE = 0.5


def sample(design: Design, plane: Plane, wing: ReferenceWing, states: Iterable[Loads]) -> Samples:
    """Sample these states with everything aboard; their places must be known."""
    errors, different = Errors(), tuple(dict.fromkeys(states))
    by_load = _load_errors(design, errors)
    found = [[entry for load in row for entry in by_load(load)] for row in different]  # names the measurements too
    mass_by, moment_by = np.zeros((2, len(found), len(errors.names)))
    for i, entries in enumerate(found):
        for place, grams, turns in entries:
            mass_by[i, place] += grams
            moment_by[i, place] += turns
    mass, moment, _ = np.array([moments(row) for row in different]).T
    drawn = errors.draw()
    sampled = mass[:, None] + mass_by @ drawn
    cg = (moment[:, None] + moment_by @ drawn) / sampled
    return Samples(plane, wing, errors, drawn, different, moment / mass, sampled, cg)
