"""The stock model as measured: fuselage, wing, tailplane, fin, fan, battery. Lengths in m, angles in rad, masses in kg.

Axes: x aft from the nose tip, y to starboard, z up from the model's reference line.
"""

import math
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from foamworks.design import quantity as q
from foamworks.design.old_fin import LEAST_STEP, OldFin, after
from foamworks.design.table import Fraction, LogFile, PointXZ, Table, Truth, whole
from foamworks.design.wording import Misfit, milli
from foamworks.errors import not_measured
from foamworks.physics.planform import Stations
from foamworks.units import first_measured


class CentreOfGravity(Table):
    """Where the stock model balances: by x, or by two supports with the load on the rear one."""

    x: q.Place = q.UNMEASURED
    front_support: q.Place = q.UNMEASURED
    rear_support: q.Place = q.UNMEASURED
    rear_load: q.MassOrNone = q.UNMEASURED
    z: q.Place = q.UNMEASURED

    @model_validator(mode="after")
    def _one_way(self) -> "CentreOfGravity":
        names = ("front_support", "rear_support", "rear_load")
        given = [name for name in names if not not_measured(getattr(self, name))]
        if not self.by_x and not given:
            raise Misfit("is missing; needs x, or all of front_support, rear_support and rear_load", "x")
        if not self.by_x and len(given) < len(names):
            lacking = next(name for name in names if name not in given)
            raise Misfit(f"is missing beside {given[0]}; two supports need {', '.join(names)}", lacking)
        if self.by_x and given:
            raise Misfit("takes x or the two supports, not both; leave one out", given[0])
        if self.rear_support <= self.front_support:
            raise Misfit(f"must lie aft of front_support, above {milli(self.front_support)} mm", "rear_support")
        return self

    @property
    def by_x(self) -> bool:
        """Tell whether its place was typed; else two supports tell it."""
        return math.isfinite(self.x)


class Section(Table):
    """One elliptic cross-section of the fuselage; z is its centre's height."""

    x: q.Place
    width: q.Length
    height: q.Length
    z: q.Place = 0.0


class Fuselage(Table):
    """The fuselage by its cross-sections, nose to tail."""

    sections: tuple[Section, ...] = Field(min_length=2, max_length=200)

    @field_validator("sections")
    @classmethod
    def _rising(cls, sections: tuple[Section, ...]) -> tuple[Section, ...]:
        for number, (ahead, behind) in enumerate(pairwise(sections), start=2):
            if behind.x <= ahead.x:
                before = f"section {number - 1} stands at {milli(ahead.x)} mm, more is needed here"
                raise Misfit(f"x must rise from nose to tail: {before}", number - 1, "x")
        return sections


class Station(Table):
    """The leading-edge point and the chord at one break of a wing or tailplane."""

    x: q.Place
    y: q.LengthOrNone
    z: q.Place = 0.0
    chord: q.LengthOrNone


def _spanwise(stations: tuple[Station, ...]) -> tuple[Station, ...]:
    for number, (inner, outer) in enumerate(pairwise(stations), start=2):
        if outer.y < inner.y + LEAST_STEP:
            raise Misfit(f"y must rise from root to tip: {after(number - 1, inner.y)}", number - 1, "y")
    if sum(station.chord for station in stations) <= 0 or all(s.chord == 0 for s in stations[:-1]):
        raise Misfit("the surface has no area: a chord above 0 is needed", 0, "chord")
    return stations


class Surface(Table):
    """A lifting surface, starboard side, root to tip."""

    stations: tuple[Station, ...] = Field(min_length=2, max_length=50)

    _spanwise = field_validator("stations")(_spanwise)

    @property
    def half(self) -> Stations:
        """The starboard half, as given."""
        rows = self.stations
        return Stations(
            x=tuple(s.x for s in rows),
            s=tuple(s.y for s in rows),
            chord=tuple(s.chord for s in rows),
            across=tuple(s.z for s in rows),
        )


class Wing(Surface):
    """The wing, starboard side, root to tip."""

    thickness: Annotated[float, q.Quantity("ratio", 0.01, 0.3)] = 0.10
    max_lift: Annotated[float, q.Quantity("ratio", 0.1, 4)] = 0.9
    spar_moment: q.Moment = q.UNMEASURED
    torsion_stiffness: q.TwistStiffness = q.UNMEASURED
    twist_axis: Fraction = 0.45
    bending_stiffness: q.Spring = q.UNMEASURED


class Elevator(Table):
    """The movable part of the tailplane; `span` is the part of the half-span it takes."""

    chord_fraction: Annotated[float, q.Quantity("ratio", 0, 1, above=True)]
    up: q.Travel
    down: q.Travel
    boost_up: q.Travel | None = None
    servo_torque: q.Moment = q.UNMEASURED
    arm_over_horn: Annotated[float, q.Quantity("ratio", 0.1, 5)] = 1.0
    span: tuple[Fraction, Fraction] = (0.0, 1.0)

    @field_validator("span")
    @classmethod
    def _ordered(cls, span: tuple[float, float]) -> tuple[float, float]:
        if span[1] <= span[0]:
            raise ValueError("the second part of the span must be greater than the first, as in [0, 1]")
        return span

    @property
    def up_lit(self) -> float:
        """Travel up [rad] while a motor is lit: of the boost's own rate, where there is one."""
        return self.up if self.boost_up is None else min(self.up, self.boost_up)

    @property
    def turned(self) -> tuple[tuple[str, float], ...]:
        """Its two ends of travel: the name, and the angle [rad], trailing edge up positive."""
        return ("elevator fully up", self.up), ("elevator fully down", -self.down)


class Tailplane(Surface):
    """The tailplane, starboard side, root to tip; its thickness where the fins stand."""

    thickness: q.Length = q.UNMEASURED
    elevator: Elevator | None = None

    def across(self, parts: tuple[float, float]) -> tuple[float, float]:
        """Where two parts of its half span lie, y [m]."""
        root, tip = self.stations[0].y, self.stations[-1].y
        return root + parts[0] * (tip - root), root + parts[1] * (tip - root)


class Fan(Table):
    """The ducted fan; thrust is static; x and z are the rotor's, `intake` is the middle of its mouth."""

    diameter: q.Length = q.UNMEASURED
    hub: q.LengthOrNone = 0.0
    thrust: q.Force = q.UNMEASURED
    current: q.Amperes = q.UNMEASURED
    volts: q.Volts = q.UNMEASURED
    esc: q.Amperes = q.UNMEASURED
    max_volts: q.Volts = q.UNMEASURED
    exit_area: q.Area = q.UNMEASURED
    x: q.Place = q.UNMEASURED
    z: q.Place = q.UNMEASURED
    intake: PointXZ | None = None
    tilt: q.Tilt = 0.0

    @model_validator(mode="after")
    def _hub_inside(self) -> "Fan":
        if self.hub >= self.diameter:
            raise Misfit(f"must be smaller than the fan's diameter, {milli(self.diameter)} mm", "hub")
        return self


class Pack(Table):
    """A flight battery."""

    mass: q.Mass = q.UNMEASURED
    x: q.PlaceOrAuto = q.UNMEASURED
    x_stock: q.Place = q.UNMEASURED
    z: q.Place = q.UNMEASURED
    slide: tuple[q.Place, q.Place] | None = None
    cells: Annotated[int, Field(ge=1, le=50), BeforeValidator(whole)] | None = None
    capacity: q.Charge = q.UNMEASURED
    c_rating: Annotated[float, q.Quantity("ratio", 0, 1000, above=True)] = q.UNMEASURED
    resistance: q.OhmsOrNone = q.UNMEASURED

    @field_validator("slide")
    @classmethod
    def _forward_first(cls, slide: tuple[float, float] | None) -> tuple[float, float] | None:
        if slide is not None and slide[1] < slide[0]:
            raise ValueError("the slide is the wrong way round: [least x, most x], the forward end first")
        return slide


class Battery(Pack):
    """The flight battery to be flown, and the one the model was weighed with when that was another."""

    stock: Pack | None = None

    @property
    def weighed_with(self) -> Pack:
        """The pack that the model was weighed with."""
        return self.stock or self

    @property
    def weighed_at(self) -> float:
        """Where the pack sat when the model was weighed [m]."""
        with_it = self.weighed_with
        return first_measured(with_it.x_stock, with_it.x, self.x_stock, self.x)

    @property
    def moves(self) -> bool:
        """Tell whether enough is known to take the battery out of the stock model and put it elsewhere."""
        return math.isfinite(self.mass + self.weighed_at + self.weighed_with.mass)

    @model_validator(mode="after")
    def _auto_needs(self) -> "Battery":
        if q.is_open(self.x) and self.slide is None:
            raise Misfit("needs slide = [least, most] beside it, where the battery can sit", "x")
        return self


class Item(Table):
    """Something aboard that can be moved; its mass is in the airframe's already."""

    name: q.Name
    mass: q.MassOrNone
    x: q.Place
    z: q.Place = 0.0
    to: PointXZ | None = None


class Trim(Table):
    """The speed and the elevator (trailing edge down positive) at which the stock model flies hands off."""

    speed: q.Speed
    elevator: q.Deflection = 0.0


class Swing(Table):
    """A bifilar swing in yaw: period, length of the strings, gap between them."""

    period: q.Duration
    length: q.Length
    gap: q.Length


class Airframe(Table):
    """The stock model as it stands, ready to fly."""

    mass: q.Mass = q.UNMEASURED
    cg: CentreOfGravity | None = None
    fuselage: Fuselage | None = None
    wing: Wing | None = None
    tailplane: Tailplane | None = None
    fin: OldFin | None = None
    fan: Fan | None = None
    battery: Battery | None = None
    items: tuple[Item, ...] = Field(default=(), max_length=200)
    trim: Trim | None = None
    swing: Swing | None = None

    @property
    def given(self) -> bool:
        """Tell that the design has one."""
        return True

    @property
    def sections(self) -> tuple[Section, ...]:
        """The fuselage's sections; none where it was not measured."""
        return self.fuselage.sections if self.fuselage else ()

    @property
    def elevator(self) -> Elevator | None:
        """The tailplane's elevator."""
        return self.tailplane.elevator if self.tailplane else None

    @property
    def moving_battery(self) -> Battery | None:
        """The battery, where enough is known to put it elsewhere."""
        return self.battery if self.battery and self.battery.moves else None


class NoAirframe(Airframe):
    """No airframe: what is made stands by itself. Asked for a part of it, it has none."""

    @property
    def given(self) -> bool:
        """Tell that there is none."""
        return False


class Flight(Table):
    """What was flown, by its name on the ladder, and how fast at full power: level, or a lit motor's peak.

    speed: mean of out and back, or one way with the wind (a tail wind positive). `ended`: how a boost went otherwise
    than planned, `thrown_at` after how many seconds; `accepted`: outside its band, and taken as it is. `name`, `rung`
    and `battery` are the old keys.
    """

    flight: q.Name | None = None
    name: q.Name | None = None
    rung: q.Name | None = None
    typed: q.Speed = Field(default=q.UNMEASURED, alias="speed")
    log: LogFile | None = None
    wind: q.Wind | None = None
    one_way: Truth | None = None
    battery: q.Name | None = None
    pack: Literal["stock", "new"] | None = None
    altitude: q.Altitude = q.UNMEASURED
    ended: Literal["thrown", "lit late"] | None = None
    thrown_at: q.Duration | None = None
    accepted: Truth = False

    @model_validator(mode="after")
    def _says_what(self) -> "Flight":
        given = self.model_fields_set
        if not given & {"flight", "name", "rung"}:
            raise Misfit("is missing; it names what was flown, as foamworks check --flights lists it", "flight")
        if given >= {"flight", "rung"}:
            raise Misfit("stands beside flight; flight alone names what was flown", "rung")
        if not given & {"typed", "log"}:
            raise Misfit("is missing; a flight has a speed, or a log (a CSV or GPX file beside the design)", "speed")
        if given >= {"typed", "log"}:
            raise Misfit("stands beside log; one of the two says how fast it was", "speed")
        if "thrown_at" in given and self.ended != "thrown":
            raise Misfit('needs ended = "thrown" beside it', "thrown_at")
        return self

    @property
    def speed(self) -> float:
        """How fast it was level [m/s]: as typed, or by the log; of a log without a level run its peak."""
        return self.log.level.speed if self.log and self.log.level else self.peak

    @property
    def peak(self) -> float:
        """How fast a lit motor took it [m/s]: as typed, or by the log."""
        return self.log.boost.peak if self.log else self.typed

    @property
    def one_sided(self) -> bool:
        """Tell whether it was flown one way only."""
        run = self.log.level if self.log else None
        return bool(self.one_way or (self.log and not (run and run.back)))

    @property
    def named(self) -> str:
        """The name of the ladder that it goes by."""
        return self.flight or self.rung or self.name or ""

    @property
    def label(self) -> str:
        """What the builder calls it."""
        return self.name or self.named
