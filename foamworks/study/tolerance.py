"""How sure is each verdict, and which measurement would make it surer? Errors of the measurements, sampled. SI.

Every measurement errs independently and normally by the standard deviations of `instruments`. What has a band and no
error lies evenly within it: the loss of lift slope by thickness and low Reynolds number, the tail's and the elevator's
factors, and the intake's pull, which where its place was not measured is all on the unsafe side. The derivatives are
frozen; masses and moments are straight in the errors (their products, a gram times a millimetre, are left out).
The seed is fixed: the same design gives the same shares.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.fins import FinSet
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import NO_MOTOR, Load, stock_cg
from foamworks.aircraft.thrust_line import ThrustLine
from foamworks.design.model import Design
from foamworks.parts.base import BoardPart, Parts, PrintPart
from foamworks.parts.density import board_named, stuff
from foamworks.physics import losses, trim
from foamworks.physics.planform import ReferenceWing
from foamworks.study import instruments as by

Floats = NDArray[np.float64]

SAMPLES = 10_000
SEED = 1  # any fixed number
SHOWN = 5  # measurements listed
SURE = 0.95  # of the samples in which every state must stay stable (ours)

FIN_BAND = 0.05  # of the original's volume coefficient, within which new fins pass (ours)
LANDING_GROWTH = 1.15  # landing speed over the stock model's that still passes (ours)
ELEVATOR_PART = 1 / 3  # of the elevator's travel that the booster may ask for (common practice, no source)


@dataclass(frozen=True)
class Held:
    """In which share of the samples a finding holds."""

    check: str
    subject: str
    share: float


@dataclass(frozen=True)
class Matter:
    """A measurement and its share of the variance of the margins, those most in doubt counting most."""

    measurement: str
    share: float


@dataclass(frozen=True)
class Tolerance:
    """How sure the verdicts are, and which measurements matter most, in order.

    low_margin: the static margin that the worst state keeps in `SURE` of the samples; margin_by: the measurements that
    matter most to it alone.
    """

    samples: int
    holds: tuple[Held, ...]
    matters: tuple[Matter, ...]
    low_margin: float
    margin_by: tuple[Matter, ...]

    def share(self, check: str, subject: str | None = None) -> float | None:
        """Give the share in which a check holds."""
        found = [held for held in self.holds if held.check == check and subject in (None, held.subject)]
        return found[0].share if found else None


@dataclass
class _Errors:
    """The measurements' names, in order; drawn all at once."""

    names: list[str] = field(default_factory=list)

    def row(self, name: str) -> int:
        """Give the row of a measurement, a new one when it is new."""
        if name not in self.names:
            self.names.append(name)
        return self.names.index(name)

    def draw(self) -> Floats:
        """Draw errors in standard deviations (measurements, samples): normal, the bands evenly."""
        random = np.random.default_rng(SEED)
        drawn = random.standard_normal((len(self.names), SAMPLES))
        for name in EVEN:
            drawn[self.names.index(name)] = math.sqrt(12) * (random.random(SAMPLES) - 0.5)
        return drawn


@dataclass(frozen=True)
class _Subject:
    """What is sampled, and its nominal numbers."""

    design: Design
    parts: Parts
    wing: ReferenceWing
    aero: Aero
    balance: Balance
    thrust_line: ThrustLine | None
    old_fin: FinSet | None
    new_fins: FinSet | None


def study_tolerance(
    design: Design,
    parts: Parts,
    *,
    wing: ReferenceWing,
    aero: Aero,
    balance: Balance,
    thrust_line: ThrustLine | None,
    old_fin: FinSet | None,
    new_fins: FinSet | None,
) -> Tolerance | None:
    """Sample all margins that the design has; None when it has none."""
    subject = _Subject(design, parts, wing, aero, balance, thrust_line, old_fin, new_fins)
    if not all(math.isfinite(row.cg_x) for row in balance.rows) or balance.window is None:
        return None
    errors = _Errors()
    for name in GENERAL:
        errors.row(name)
    by_state = _state_errors(subject, errors)
    drawn = errors.draw()
    margins = _margins(_World(subject, errors, drawn, *_states(by_state, drawn)))
    holds = tuple(Held(check, what, float(np.mean(value >= 0))) for check, what, value in margins)
    at = next(i for i, (_, what, _) in enumerate(margins) if what == STABLE)
    stable = margins[at][2]
    return Tolerance(
        samples=SAMPLES,
        holds=holds,
        matters=_matters(errors.names, drawn, [value for *_, value in margins], holds),
        low_margin=float(np.quantile(stable, 1 - SURE)),
        margin_by=_matters(errors.names, drawn, [stable], holds[at : at + 1]),
    )


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
ANGLE = "downthrust as glued (1 deg)"
MOTOR_THRUST = "thrust of the motor (10 %)"
STABLE = "every state stable at all"
EVEN = (LOSS, TAIL_LOSS, ELEVATOR, INTAKE)
GENERAL = (HEIGHT, LIFT, *EVEN, POINT, SPEED, THROW, WING_PLACE, WING_CHORD, OLD_FIN, FIN_CUT, ANGLE, MOTOR_THRUST)

LoadError = Callable[[Load], list[tuple[int, float, float]]]  # row, and what one deviation does to mass and moment


def _load_errors(subject: _Subject, errors: _Errors) -> LoadError:
    """Give how each load's mass and moment err: (row, mass, moment) for one standard deviation."""
    kinds = {part.name: part for part in subject.parts.all()}
    weighed = {entry.part for entry in subject.design.weighed} - {cut.name for cut in subject.design.cuts}

    def mass_error(load: Load) -> tuple[str, float]:
        part = kinds.get(load.name)
        if load.name in weighed:
            return f"mass of {load.name} (scale, 1 g)", by.SCALE
        if load.kind == "motor":
            return f"mass of {load.name} (data sheet, 2 %)", by.MOTOR_MASS * load.mass
        if isinstance(part, BoardPart):
            return "mass of the board parts (estimate)", _board_error(subject.design) * load.mass
        if isinstance(part, PrintPart):
            return "mass of the printed parts (estimate, 10 %)", by.PRINT_MASS * load.mass
        if part is not None and load.name not in MEASURED:
            return "mass of tube, ring, glue (estimate, 10 %)", by.BOUGHT_MASS * load.mass
        return f"mass of {PLAIN.get(load.name, load.name)} (scale, 1 g)", math.copysign(by.SCALE, load.mass)

    def place_error(load: Load) -> tuple[str, float]:
        part = kinds.get(load.name)
        if load.kind == "motor" or (part is not None and part.group == "pod" and load.name not in MEASURED):
            return NOZZLE, by.RULER
        small = part is not None and load.name not in MEASURED
        named = PLAIN_PLACE.get(load.name, load.name)
        return ("place of small parts (1 mm, alike)" if small else f"place of {named} (ruler, 1 mm)"), by.RULER

    def of(load: Load) -> list[tuple[int, float, float]]:
        if load.kind == "stock":
            name, x_error = _cg_error(subject.design)
            return [(errors.row(MASS_STOCK), by.SCALE, by.SCALE * load.x), (errors.row(name), 0.0, load.mass * x_error)]
        mass_name, grams = mass_error(load)
        place_name, x_error = place_error(load)
        return [(errors.row(mass_name), grams, grams * load.x), (errors.row(place_name), 0.0, load.mass * x_error)]

    return of


MEASURED = ("camera", "ignition pack", "ballast")  # bought parts that come with a mass from the scale and a place
PLAIN = {"battery out": "the battery", "battery": "the battery", "old fin off": "the fin that comes off"}
PLAIN_PLACE = {**PLAIN, "battery out": "the battery when the model was weighed"}


def _board_error(design: Design) -> float:
    named = board_named(design, design.fins.board if design.fins else None)
    return by.BOARD_MASS if stuff(named).measured else by.BOARD_UNWEIGHED


def _cg_error(design: Design) -> tuple[str, float]:
    """Give the stock CG's name and standard deviation [m], by fingers or by two supports."""
    airframe = design.airframe
    cg = airframe.cg if airframe else None
    if airframe is None or cg is None or airframe.mass is None or cg.x is not None:
        return CG_FINGERS, by.FINGER_CG
    front, rear, load = cg.front_support or 0.0, cg.rear_support or 0.0, cg.rear_load or 0.0
    part, length = load / airframe.mass, rear - front
    return CG_SUPPORTS, math.hypot((1 - part) * by.RULER, part * by.RULER, length / airframe.mass * by.SCALE)


@dataclass(frozen=True)
class _StateErrors:
    """States that differ: mass and moment, and what one deviation of each measurement does to them."""

    mass: Floats
    moment: Floats
    mass_by: Floats
    moment_by: Floats


def _state_errors(subject: _Subject, errors: _Errors) -> _StateErrors:
    by_load = _load_errors(subject, errors)
    different = {row.loads: row for row in subject.balance.rows}
    found = [[entry for load in loads for entry in by_load(load)] for loads in different]
    shape = (len(found), len(errors.names))
    mass_by, moment_by = np.zeros(shape), np.zeros(shape)
    for i, entries in enumerate(found):
        for place, mass, moment in entries:
            mass_by[i, place] += mass
            moment_by[i, place] += moment
    nominal = np.array([[row.mass, row.mass * row.cg_x] for row in different.values()])
    return _StateErrors(nominal[:, 0], nominal[:, 1], mass_by, moment_by)


def _states(error: _StateErrors, drawn: Floats) -> tuple[Floats, Floats]:
    """Mass [kg] and CG [m] of every state, sampled: (states, samples)."""
    mass = error.mass[:, None] + error.mass_by @ drawn
    return mass, (error.moment[:, None] + error.moment_by @ drawn) / mass


@dataclass(frozen=True)
class _World:
    """The samples: errors by name, and each state's mass and CG."""

    subject: _Subject
    errors: _Errors
    drawn: Floats
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
        return np.asarray(self.subject.wing.mac + by.RULER * self.error(WING_CHORD))

    def neutral_point(self, slope: Floats) -> Floats:
        """Neutral point of the modified model [m]: a lower slope lets the body count for more."""
        plane, wing = self.subject.aero.modified, self.subject.wing
        shift = 0.0 if plane.body is None else plane.body.pitch_with_wing / plane.solution.lift_slope * wing.mac
        missed = by.NEUTRAL_POINT * wing.mac * self.error(POINT) + by.RULER * self.error(WING_PLACE)
        point = plane.neutral_point_with(self.within(TAIL_LOSS, losses.TAIL_BAND), self.intake)
        return np.asarray(point - shift * (1 / slope - 1) + missed)

    @property
    def intake(self) -> Floats:
        """Normal force of the intake: about what it is where it was measured, else from nothing up."""
        duct = self.subject.aero.modified.intake
        if duct is None:
            return np.zeros(SAMPLES)
        return duct.slope * self.within(INTAKE, by.INTAKE_PULL if duct.x is not None else (0.0, 1.0))


Margin = tuple[str, str, Floats]  # check, subject, value that holds when it is at least 0


def _margins(world: _World) -> list[Margin]:
    slope = world.slope
    point = world.neutral_point(slope)
    margin = np.min((point - world.cg) / world.chord, axis=0)
    least = world.subject.design.limits.least
    found: list[Margin] = [("static-margin", "every state", margin - least), ("static-margin", STABLE, margin)]
    tail = [*_forward(world, point), *_landing(world), *_fin_volume(world), *_thrust(world)]
    return [*found, *_manoeuvre(world, point, slope), *tail]


def _manoeuvre(world: _World, point: Floats, slope: Floats) -> list[Margin]:
    balance = world.subject.balance
    if balance.manoeuvre_point is None:
        return []
    behind = (
        balance.manoeuvre_point - world.subject.aero.modified.neutral_point_flown
    )  # of the neutral point, without motor
    damped = behind * balance.row(NO_MOTOR).mass / world.mass * slope / world.subject.wing.mac
    value = np.min((point - world.cg) / world.chord + damped, axis=0) - world.subject.design.limits.least
    return [("manoeuvre-margin", "every state", value)]


def _forward(world: _World, point: Floats) -> list[Margin]:
    design, aero, wing, flown = world.subject.design, world.subject.aero, world.subject.wing, world.subject.balance
    airframe, window, trimming = design.airframe, flown.window, flown.trimming
    elevator = airframe.tailplane.elevator if airframe and airframe.tailplane else None
    power, stock_power = aero.modified.elevator_power, aero.stock.elevator_power
    if window is None or window.forward is None or trimming is None or elevator is None or airframe is None:
        return []
    if power is None or stock_power is None or airframe.wing is None or airframe.mass is None:
        return []
    speed = trimming.speed * (1 + by.FLOWN_SPEED * world.error(SPEED))
    lift = 2 * airframe.mass * 9.80665 / (air_of(design).density * speed**2 * wing.area)
    missed = point - aero.modified.neutral_point_flown
    stock_margin = (aero.stock.neutral_point_flown - stock_cg(airframe)[0] + missed) / world.chord
    zero_lift = stock_margin * lift - stock_power * world.elevator * trimming.elevator
    approach = trim.approach_lift(max_lift=airframe.wing.max_lift) * (
        1 + by.MAX_LIFT * np.clip(world.error(LIFT), -4, 4)
    )
    up = elevator.up + by.ELEVATOR_THROW * world.error(THROW)
    limit = point - world.chord / approach * (zero_lift - power * world.elevator * trim.ELEVATOR_SHARE * up)
    return [("forward-limit", "every state", np.asarray(np.min(world.cg, axis=0) - limit))]


def _landing(world: _World) -> list[Margin]:
    airframe = world.subject.design.airframe
    if airframe is None or airframe.mass is None or airframe.wing is None:
        return []
    stock = airframe.mass + by.SCALE * world.error(MASS_STOCK)
    return [("landing-speed", "every state", LANDING_GROWTH - np.sqrt(np.max(world.mass, axis=0) / stock))]


def _fin_volume(world: _World) -> list[Margin]:
    old, new, wing = world.subject.old_fin, world.subject.new_fins, world.subject.wing
    if old is None or new is None or old.volume_coefficient(wing) <= 0:
        return []

    def area_error(fins: FinSet, step: float) -> float:
        chords = fins.stations.chord[0] + fins.stations.chord[-1]
        return step * math.hypot(1 / fins.stations.height, math.sqrt(2) / max(chords, step))

    ratio = new.volume_coefficient(wing) / old.volume_coefficient(wing)
    before = 1 + area_error(old, by.RULER) * world.error(OLD_FIN)
    after = ratio * (1 + area_error(new, by.CUT) * world.error(FIN_CUT))
    return [("fin-volume", "fins", np.asarray(FIN_BAND - np.abs(after / before - 1)))]


def _thrust(world: _World) -> list[Margin]:
    design, line, wing = world.subject.design, world.subject.thrust_line, world.subject.wing
    airframe, flown, power = design.airframe, world.subject.balance.trimming, world.subject.aero.modified.elevator_power
    elevator = airframe.tailplane.elevator if airframe and airframe.tailplane else None
    rows = [row for row in line.rows if math.isfinite(row.arm)] if line else []
    if not rows or elevator is None or power is None or flown is None or flown.speed <= 0 or design.pod is None:
        return []
    travel = min(elevator.up, elevator.down) * ELEVATOR_PART
    nozzle = design.pod.nozzle
    pressure = 0.5 * air_of(design).density * flown.speed**2 * wing.area * wing.mac
    worst = np.zeros(SAMPLES)
    for row in rows:
        lever = (nozzle.x - row.cg_x) if nozzle else 0.0
        arm = row.arm - by.CG_HEIGHT * world.error(HEIGHT) - lever * by.GLUED_ANGLE * world.error(ANGLE)
        moment = row.thrust * (1 + by.THRUST * world.error(MOTOR_THRUST)) * np.abs(arm)
        worst = np.maximum(worst, moment / (pressure * -power * world.elevator))
    return [("thrust-moment", "every state", np.asarray(travel - worst))]


def _matters(names: list[str], drawn: Floats, values: list[Floats], holds: tuple[Held, ...]) -> tuple[Matter, ...]:
    """Rank measurements by squared correlation with each margin, margins in doubt counting most.

    What no ruler can better (the methods' own error) takes its share but is not listed.
    """
    shares = np.zeros(len(names))
    for value, held in zip(values, holds, strict=True):
        centred = value - value.mean()
        spread = float(centred.std())
        if spread <= 0:
            continue
        squared = (drawn @ centred / (SAMPLES * spread)) ** 2
        doubt = held.share * (1 - held.share) + SURE_COUNTS
        shares += doubt * squared / max(float(squared.sum()), 1e-12)
    total = float(shares.sum())
    if total <= 0:
        return ()
    order = [i for i in np.argsort(-shares, kind="stable") if names[i] not in (POINT, *EVEN)]
    return tuple(Matter(names[i], float(shares[i]) / total) for i in order[:SHOWN])


SURE_COUNTS = 0.01  # what a margin that always holds counts beside one in doubt (at most 0.25)
