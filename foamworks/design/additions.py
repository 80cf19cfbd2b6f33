"""What is added to the model: new fins, pod, motors, ballast, ignition, gyro, camera. SI."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from foamworks.design import quantity as q
from foamworks.design.table import ASIDE, LEAST_ASIDE, CurveFile, Pair, PointXYZ, PointXZ, Table, Truth, whole
from foamworks.design.wording import Misfit, milli
from foamworks.errors import not_measured
from foamworks.units import to_si


class FinShape(Table):
    """The shape of one new fin; what is not given is taken from the fin that comes off."""

    aspect_ratio: Annotated[float, q.Quantity("ratio", 0.1, 20)] | None = None
    taper: Annotated[float, q.Quantity("ratio", 0, 3)] | None = None
    sweep: q.Sweep | None = None


class FinAsBuilt(Table):
    """One fin as it was built: judged, not sized. Sweep is of the leading edge."""

    root_chord: q.Length
    tip_chord: q.LengthOrNone
    height: q.Length
    sweep: q.Sweep = 0.0


class Fins(Table):
    """The new fins."""

    match: Literal["volume", "stiffness"] = "volume"
    count: Pair = 2
    root: PointXYZ
    shape: FinShape | None = None
    each: FinAsBuilt | None = None
    cant: q.Cant = 0.0
    toe: q.Toe = 0.0
    board: q.Name | None = None
    mount: Literal["tab", "glue"] = "tab"
    rounding: q.LengthOrNone | None = None

    @property
    def sized_by(self) -> str:
        """By what the program sizes them; empty for fins as built."""
        return "" if self.each else self.match

    def moved(self, **root: float) -> "Fins":
        """Give the same fins with their root elsewhere [m]."""
        return self.model_copy(update={"root": self.root.model_copy(update=root)})

    @model_validator(mode="before")
    @classmethod
    def _built_or_sized(cls, data: Any) -> Any:
        sized = [key for key in ("match", "shape") if isinstance(data, dict) and "each" in data and key in data]
        if sized:
            text = "the table takes each (fins as built) or match and shape (fins to be sized), not both"
            raise Misfit(f"stands beside each; {text}", sized[0])
        return data

    @model_validator(mode="after")
    def _two_apart(self) -> "Fins":
        if self.count == 2 and self.root.y < LEAST_ASIDE:
            raise Misfit(f"with count = 2 the root's y must be {ASIDE} (the starboard fin)", "root", "y")
        if self.count == 1 and self.root.y != 0:
            raise Misfit("with count = 1 the fin stands in the middle: root.y = 0", "root", "y")
        return self


Bore = Annotated[float, q.Quantity("length", 3, 20_000)]  # no motor is thinner, and a nose cone needs some room


class Tube(Table):
    """The pod's paper tube."""

    inner: Bore | None = None
    outer: Bore
    length: q.Length | None = None
    material: q.Name = "paper tube"

    @model_validator(mode="after")
    def _hollow(self) -> "Tube":
        if self.inner is not None and self.inner >= self.outer:
            raise Misfit(f"must be smaller than the tube's outer diameter, {milli(self.outer)} mm", "inner")
        return self


Profile = Literal[
    "cone",
    "ogive",
    "tangent_ogive",
    "ellipse",
    "parabola",
    "power",
    "haack",
    "von_karman",
    "lv_haack",
]


class Nose(Table):
    """The pod's printed nose cone."""

    profile: Profile
    length: q.Length
    wall: Annotated[float, q.Quantity("length", 0.2, 50)] = 0.0012
    shoulder: q.LengthOrNone | None = None
    fit: Annotated[float, q.Quantity("length", 0, 2)] | None = None
    exponent: Annotated[float, q.Quantity("ratio", 0.1, 1)] = 0.5
    haack_c: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.0


class Pod(Table):
    """The booster pod on the fuselage's back. It pivots at the nozzle."""

    tube: Tube
    nozzle: PointXZ | None = None
    nose: Nose | None = None
    downthrust: q.DownthrustOrAuto = q.OPEN
    downthrust_limit: q.Downthrust = to_si(12, "angle")
    retainer: Literal["cap", "hook"] | None = None
    air_gap: Annotated[float, q.Quantity("length", 0, 100)] = 0.004
    count: Pair = 1
    y: q.Place | None = None

    @property
    def planes(self) -> tuple[float, ...]:
        """The plane y of each pod [m], the starboard one first."""
        y = abs(self.y or 0.0)
        return (y, -y) if self.count == 2 else (0.0,)

    @model_validator(mode="after")
    def _two_apart(self) -> "Pod":
        if self.count == 2 and abs(self.y or 0) < LEAST_ASIDE:
            raise Misfit(f"with count = 2 the pods' y is needed, {ASIDE}", "count" if self.y is None else "y")
        return self

    @model_validator(mode="after")
    def _nose_on_tube(self) -> "Pod":
        nose, tube = self.nose, self.tube
        if nose is not None and nose.shoulder and tube.inner is None:
            text = "goes into the tube, whose inner diameter is not given: measure pod.tube.inner, or leave it away"
            raise Misfit(text, "nose", "shoulder")
        if nose is not None and nose.wall >= tube.outer / 2:
            raise Misfit(f"must be below the tube's radius, {milli(tube.outer / 2)} mm", "nose", "wall")
        return self


class Motor(Table):
    """A commercial solid motor, by its data sheet or by its thrust curve."""

    name: q.Name
    diameter: Annotated[float, q.Quantity("length", 5, 500)]
    length: q.Length
    mass: q.Mass
    propellant: q.Mass
    plugged: Truth = False
    impulse: q.Impulse | None = None
    burn: q.Duration | None = None
    peak: q.Force | None = None
    curve: CurveFile | None = None
    case_temperature: q.CaseTemperature | None = None

    @model_validator(mode="after")
    def _enough(self) -> "Motor":
        if self.propellant >= self.mass:
            raise Misfit(f"the propellant must weigh less than the whole motor, {milli(self.mass)} g", "propellant")
        names = ("impulse", "burn", "peak")
        given = [name for name in names if name in self.model_fields_set]
        by_curve = "curve" in self.model_fields_set
        if not by_curve and len(given) < len(names):
            lacking = next(name for name in names if name not in given)
            raise Misfit("is missing; a motor needs impulse, burn and peak, or a curve", lacking)
        if by_curve and given:
            raise Misfit("takes a curve, or impulse, burn and peak, not both; leave one out", given[0])
        return self


class Ballast(Table):
    """Lead, where the builder can put it."""

    x: q.Place
    z: q.Place = 0.0
    mass: q.MassOrAuto = q.OPEN
    most: q.MassOrNone = q.UNMEASURED


class Igniter(Table):
    """The igniter by its data sheet: bridge resistance, greatest safe current, least sure current."""

    resistance: q.Ohms
    no_fire: q.Amperes
    all_fire: q.Amperes

    @model_validator(mode="after")
    def _ordered(self) -> "Igniter":
        if self.all_fire <= self.no_fire:
            raise Misfit(f"must be above no_fire, {self.no_fire:.6g} A", "all_fire")
        return self


class IgnitionPack(Table):
    """The ignition's own battery."""

    cells: Annotated[int, Field(ge=1, le=50), BeforeValidator(whole)]
    resistance: q.OhmsOrNone = 0.0
    mass: q.MassOrNone = q.UNMEASURED
    x: q.PlaceOrAuto = q.UNMEASURED
    z: q.Place = q.UNMEASURED
    slide: tuple[q.Place, q.Place] | None = None

    @model_validator(mode="after")
    def _auto_needs(self) -> "IgnitionPack":
        if self.slide is not None and self.slide[1] < self.slide[0]:
            raise Misfit("the slide is the wrong way round: [least x, most x], the forward end first", "slide")
        if q.is_open(self.x) and self.slide is None:
            raise Misfit("needs slide = [least, most] beside it, where the pack can sit", "x")
        if q.is_open(self.x) and not_measured(self.mass):
            raise Misfit("needs mass beside it, what the pack weighs with its leads", "x")
        return self


class Wire(Table):
    """The firing wire, there and back."""

    length: q.LengthOrNone
    gauge_mm2: Annotated[float, q.Quantity("area", 0, 100, above=True)]


class Ignition(Table):
    """The firing circuit."""

    igniter: Igniter | None = None
    pack: IgnitionPack | None = None
    wire: Wire | None = None
    continuity: q.Amperes | None = None


class CleanGain(Table):
    """The highest gyro gain (percent) that did not wag, and the speed it was seen at."""

    gain: Annotated[float, q.Quantity("ratio", 0, 1000, above=True)]
    speed: q.Speed


class Gyro(Table):
    """The gyro."""

    clean: CleanGain


class Box(Table):
    """A box: length along x, width along y, height along z."""

    length: q.Length
    width: q.Length
    height: q.Length


class Camera(Table):
    """A camera on the wing, bare or behind a fairing."""

    body: Box
    mass: q.MassOrNone = q.UNMEASURED
    at: PointXYZ | None = None
    fairing: Truth = True


class Change(Table):
    """Something put on the model or taken off (a negative mass), from a flight on: paint, a spar, the canopy off.

    plate_area: the flat plate, square to the stream, that it drags like.
    """

    name: q.Name
    mass: q.MassEitherWay = 0.0
    x: q.Place | None = None
    y: q.Place = 0.0
    z: q.Place = 0.0
    plate_area: q.Area = q.UNMEASURED
    start: q.Name | None = Field(default=None, alias="from")

    @model_validator(mode="after")
    def _says_something(self) -> "Change":
        if self.mass == 0 and not_measured(self.plate_area):
            raise Misfit("is missing; a change has a mass with its place, or a plate_area", "mass")
        if self.mass != 0 and self.x is None:
            raise Misfit("is missing beside mass; where on the model is it", "x")
        return self


class Added(Table):
    """What a design adds to the model, each by its table's name in the design file."""

    fins: Fins | None = None
    pod: Pod | None = None
    motors: tuple[Motor, ...] = Field(default=(), max_length=20)
    ballast: Ballast | None = None
    ignition: Ignition | None = None
    gyro: Gyro | None = None
    camera: Camera | None = None
    changes: tuple[Change, ...] = Field(default=(), max_length=100)
