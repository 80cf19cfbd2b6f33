"""The design: what the user measured and asked for, frozen, in SI (angles in radians, temperatures in kelvin).

One class for each table of the design file, with the file's own key names. A field's type reads the file's unit into SI
(see `quantity`); what holds between fields is checked here too, so that a `Design` that exists is consistent in itself.
Axes: x aft from the nose tip, y to starboard, z up from the model's reference line.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, field_validator, model_validator

from foamworks.design import quantity as q
from foamworks.design.files import Curve, Drawing, read_curve_file, read_drawing_file
from foamworks.design.outline import simple_outline
from foamworks.units import to_si


class Table(BaseModel):
    """A table of the design file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def _count(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("a whole number is needed")
    return value


Count = Annotated[int, BeforeValidator(_count), Field(ge=1, le=1000)]
Pair = Annotated[int, BeforeValidator(_count), Field(ge=1, le=2)]
Fraction = Annotated[float, q.Quantity("ratio", 0, 1)]


def _points(value: object) -> tuple[tuple[float, float], ...]:
    """Read [[x, z], ...] in mm into metres; at least three points, a simple closed outline."""
    if not isinstance(value, list) or len(value) < 3:
        raise ValueError("an outline is a list of at least three [x, z] points")
    points = []
    for number, point in enumerate(value, start=1):
        if not isinstance(point, list) or len(point) != 2:
            raise ValueError(f"point {number} of the outline must be two numbers, as in [120, 36]")
        points.append((to_si(point[0], "length"), to_si(point[1], "length")))
    return simple_outline(points)


_POINTS_SCHEMA = {"type": "array", "minItems": 3, "items": {"type": "array", "minItems": 2, "maxItems": 2}}
Outline = Annotated[tuple[tuple[float, float], ...], BeforeValidator(_points), WithJsonSchema(_POINTS_SCHEMA)]
_FILE_SCHEMA = {"type": "string", "description": "a file beside the design file"}
TraceFile = Annotated[Drawing, BeforeValidator(read_drawing_file), WithJsonSchema(_FILE_SCHEMA)]
CurveFile = Annotated[Curve, BeforeValidator(read_curve_file), WithJsonSchema(_FILE_SCHEMA)]


class PointXZ(Table):
    """A place in the plane of symmetry."""

    x: q.Place
    z: q.Place


class PointXYZ(Table):
    """A place on the aircraft."""

    x: q.Place
    y: q.Place = 0.0
    z: q.Place


class CentreOfGravity(Table):
    """Where the stock model balances: by x, or by two supports with the load on the rear one."""

    x: q.Place | None = None
    front_support: q.Place | None = None
    rear_support: q.Place | None = None
    rear_load: q.MassOrNone | None = None
    z: q.Place | None = None

    @model_validator(mode="after")
    def _one_way(self) -> "CentreOfGravity":
        supports = (self.front_support, self.rear_support, self.rear_load)
        if self.x is None and any(value is None for value in supports):
            raise ValueError("needs x, or all of front_support, rear_support and rear_load")
        if self.x is not None and any(value is not None for value in supports):
            raise ValueError("takes x or the two supports, not both")
        if self.front_support is not None and self.rear_support is not None and self.rear_support <= self.front_support:
            raise ValueError("rear_support must lie aft of front_support")
        return self


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
        for number, (ahead, behind) in enumerate(zip(sections, sections[1:], strict=False), start=2):
            if behind.x <= ahead.x:
                raise ValueError(f"section {number}: x must rise from nose to tail")
        return sections


class Station(Table):
    """The leading-edge point and the chord at one break of a wing or tailplane."""

    x: q.Place
    y: q.LengthOrNone
    z: q.Place = 0.0
    chord: q.LengthOrNone


class FinStation(Table):
    """The leading-edge point and the chord at one height of a fin."""

    x: q.Place
    z: q.Place
    chord: q.LengthOrNone


def _spanwise(stations: tuple[Station, ...]) -> tuple[Station, ...]:
    for number, (inner, outer) in enumerate(zip(stations, stations[1:], strict=False), start=2):
        if outer.y <= inner.y:
            raise ValueError(f"station {number}: y must rise from root to tip (a station goes backwards)")
    if sum(station.chord for station in stations) <= 0 or all(s.chord == 0 for s in stations[:-1]):
        raise ValueError("the surface has no area: a chord above 0 is needed")
    return stations


class Wing(Table):
    """The wing, starboard side, root to tip."""

    stations: tuple[Station, ...] = Field(min_length=2, max_length=50)
    thickness: Annotated[float, q.Quantity("ratio", 0.01, 0.3)] = 0.10
    max_lift: Annotated[float, q.Quantity("ratio", 0.1, 4)] = 0.9
    spar_moment: q.Moment | None = None

    _spanwise = field_validator("stations")(_spanwise)


class Elevator(Table):
    """The movable part of the tailplane; `span` is the part of the half-span it takes."""

    chord_fraction: Annotated[float, q.Quantity("ratio", 0, 1, above=True)]
    up: q.Travel
    down: q.Travel
    span: tuple[Fraction, Fraction] = (0.0, 1.0)

    @field_validator("span")
    @classmethod
    def _ordered(cls, span: tuple[float, float]) -> tuple[float, float]:
        if span[1] <= span[0]:
            raise ValueError("the second part of the span must be greater than the first, as in [0, 1]")
        return span


class Tailplane(Table):
    """The tailplane, starboard side, root to tip."""

    stations: tuple[Station, ...] = Field(min_length=2, max_length=50)
    elevator: Elevator | None = None

    _spanwise = field_validator("stations")(_spanwise)


class OldFin(Table):
    """The fin that comes off, given in one of three ways."""

    stations: tuple[FinStation, ...] | None = Field(default=None, min_length=2, max_length=50)
    outline: Outline | None = None
    trace: TraceFile | None = None
    mass: q.MassOrNone | None = None
    count: Pair = 1
    y: q.Place | None = None

    @field_validator("stations")
    @classmethod
    def _upward(cls, stations: tuple[FinStation, ...] | None) -> tuple[FinStation, ...] | None:
        for number, (lower, upper) in enumerate(zip(stations or (), (stations or ())[1:], strict=False), start=2):
            if upper.z <= lower.z:
                raise ValueError(f"station {number}: z must rise from root to tip (a station goes backwards)")
        if stations and all(station.chord == 0 for station in stations):
            raise ValueError("the surface has no area: a chord above 0 is needed")
        return stations

    @model_validator(mode="after")
    def _one_shape(self) -> "OldFin":
        if sum(shape is not None for shape in (self.stations, self.outline, self.trace)) != 1:
            raise ValueError("needs exactly one of stations, outline and trace")
        if self.count == 2 and not self.y:
            raise ValueError("with count = 2 the fins' y is needed")
        return self


class Fan(Table):
    """The ducted fan; thrust is static."""

    diameter: q.Length | None = None
    hub: q.LengthOrNone = 0.0
    thrust: q.Force | None = None
    current: q.Amperes | None = None
    volts: q.Volts | None = None
    esc: q.Amperes | None = None
    max_volts: q.Volts | None = None
    exit_area: q.Area | None = None
    x: q.Place | None = None
    z: q.Place | None = None
    tilt: q.Tilt = 0.0

    @model_validator(mode="after")
    def _hub_inside(self) -> "Fan":
        if self.diameter is not None and self.hub >= self.diameter:
            raise ValueError("the hub must be smaller than the fan's diameter")
        return self


class Pack(Table):
    """A flight battery."""

    mass: q.Mass | None = None
    x: q.PlaceOrAuto | None = None
    x_stock: q.Place | None = None
    z: q.Place | None = None
    slide: tuple[q.Place, q.Place] | None = None
    cells: Annotated[int, BeforeValidator(_count), Field(ge=1, le=50)] | None = None
    capacity: q.Charge | None = None
    c_rating: Annotated[float, q.Quantity("ratio", 0, 1000, above=True)] | None = None
    resistance: q.Ohms | None = None

    @field_validator("slide")
    @classmethod
    def _forward_first(cls, slide: tuple[float, float] | None) -> tuple[float, float] | None:
        if slide is not None and slide[1] < slide[0]:
            raise ValueError("the slide is the wrong way round: [least x, most x], the forward end first")
        return slide


class Battery(Pack):
    """The flight battery to be flown, and the one the model was weighed with when that was another."""

    stock: Pack | None = None

    @model_validator(mode="after")
    def _auto_needs(self) -> "Battery":
        if self.x == "auto" and self.slide is None:
            raise ValueError('x = "auto" needs slide = [least, most], where the battery can sit')
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

    mass: q.Mass | None = None
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


class Flight(Table):
    """One level flight at full power: the mean of an out and a back run, or one way with the wind (a tail wind positive)."""

    name: q.Name
    speed: q.Speed
    wind: q.Wind | None = None
    battery: q.Name | None = None
    rung: q.Name | None = None


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

    @model_validator(mode="before")
    @classmethod
    def _built_or_sized(cls, data: Any) -> Any:
        if isinstance(data, dict) and "each" in data and ("match" in data or "shape" in data):
            raise ValueError("takes each (fins as built) or match and shape (fins to be sized), not both")
        return data

    @model_validator(mode="after")
    def _two_apart(self) -> "Fins":
        if self.count == 2 and self.root.y <= 0:
            raise ValueError("with count = 2 the root's y must be above 0 (the starboard fin)")
        if self.count == 1 and self.root.y != 0:
            raise ValueError("with count = 1 the fin stands in the middle: root.y = 0")
        return self


class Tube(Table):
    """The pod's paper tube."""

    inner: q.Length | None = None
    outer: q.Length
    length: q.Length | None = None
    material: q.Name = "paper tube"

    @model_validator(mode="after")
    def _hollow(self) -> "Tube":
        if self.inner is not None and self.inner >= self.outer:
            raise ValueError("the tube's inner diameter must be smaller than its outer diameter")
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
    exponent: Annotated[float, q.Quantity("ratio", 0.1, 1)] = 0.5
    haack_c: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.0


class Pod(Table):
    """The booster pod on the fuselage's back. It pivots at the nozzle."""

    tube: Tube
    nozzle: PointXZ | None = None
    nose: Nose | None = None
    downthrust: q.DownthrustOrAuto = "auto"
    downthrust_limit: q.Downthrust = to_si(12, "angle")
    retainer: Literal["cap", "hook"] | None = None
    air_gap: Annotated[float, q.Quantity("length", 0, 100)] = 0.004
    count: Pair = 1
    y: q.Place | None = None

    @model_validator(mode="after")
    def _two_apart(self) -> "Pod":
        if self.count == 2 and not self.y:
            raise ValueError("with count = 2 the pods' y is needed")
        return self


class Motor(Table):
    """A commercial solid motor, by its data sheet or by its thrust curve."""

    name: q.Name
    diameter: q.Length
    length: q.Length
    mass: q.Mass
    propellant: q.Mass
    plugged: bool = False
    impulse: q.Impulse | None = None
    burn: q.Duration | None = None
    peak: q.Force | None = None
    curve: CurveFile | None = None

    @field_validator("plugged", mode="before")
    @classmethod
    def _truth(cls, value: object) -> object:
        if not isinstance(value, bool):
            raise ValueError("true or false is needed")
        return value

    @model_validator(mode="after")
    def _enough(self) -> "Motor":
        if self.propellant >= self.mass:
            raise ValueError("the propellant must weigh less than the whole motor")
        data = (self.impulse, self.burn, self.peak)
        if self.curve is None and any(value is None for value in data):
            raise ValueError("needs impulse, burn and peak, or a curve")
        if self.curve is not None and any(value is not None for value in data):
            raise ValueError("takes a curve, or impulse, burn and peak, not both")
        return self


class Ballast(Table):
    """Lead, where the builder can put it."""

    x: q.Place
    z: q.Place = 0.0
    mass: q.MassOrAuto = "auto"
    most: q.MassOrNone | None = None


class Igniter(Table):
    """The igniter by its data sheet: bridge resistance, greatest safe current, least sure current."""

    resistance: q.Ohms
    no_fire: q.Amperes
    all_fire: q.Amperes

    @model_validator(mode="after")
    def _ordered(self) -> "Igniter":
        if self.all_fire <= self.no_fire:
            raise ValueError("all_fire must be above no_fire")
        return self


class IgnitionPack(Table):
    """The ignition's own battery."""

    cells: Annotated[int, BeforeValidator(_count), Field(ge=1, le=50)]
    resistance: q.Ohms = 0.0
    mass: q.MassOrNone | None = None
    x: q.Place | None = None
    z: q.Place | None = None


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
    mass: q.MassOrNone | None = None
    at: PointXYZ | None = None
    fairing: bool = True


def _trapezoid(value: object) -> tuple[float, float, float, float]:
    if not isinstance(value, list) or len(value) != 4:
        raise ValueError("a trapezoid is [root, tip, height, sweep]")
    root, tip, height = (to_si(number, "length") for number in value[:3])
    sweep = to_si(value[3], "angle")
    if root <= 0 or tip < 0 or height <= 0:
        raise ValueError("a trapezoid's root and height must be above 0, its tip at least 0")
    if abs(sweep) > to_si(85, "angle"):
        raise ValueError("a trapezoid's sweep must lie within -85 and 85 deg")
    return root, tip, height, sweep


def _disc(value: object) -> tuple[float, float]:
    numbers: list[Any] = value if isinstance(value, list) else [value, 0]
    if len(numbers) != 2:
        raise ValueError("a disc is its diameter, or [outer, inner]")
    outer, inner = (to_si(number, "length") for number in numbers)
    if outer <= 0 or inner < 0 or inner >= outer:
        raise ValueError("a disc's outer diameter must be above 0 and above its inner one")
    return outer, inner


class Cut(Table):
    """A part to be cut from board, given in one of five ways, in its own frame."""

    name: q.Name
    count: Count = 1
    board: q.Name | None = None
    grain: Literal["none", "length"] = "none"
    mirror: bool = False
    outline: Outline | None = None
    trace: TraceFile | None = None
    rectangle: tuple[q.Length, q.Length] | None = None
    trapezoid: Annotated[tuple[float, float, float, float], BeforeValidator(_trapezoid)] | None = None
    disc: Annotated[tuple[float, float], BeforeValidator(_disc)] | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> "Cut":
        shapes = (self.outline, self.trace, self.rectangle, self.trapezoid, self.disc)
        if sum(shape is not None for shape in shapes) != 1:
            raise ValueError("needs exactly one of outline, trace, rectangle, trapezoid and disc")
        return self


class Offcut(Table):
    """A piece of board left over: its outline, lower left at 0,0, and how many there are."""

    outline: Outline
    count: Count = 1


def _sheets(value: object) -> object:
    """Take [w, h], or a list of [w, h] and offcuts; hand on a list of sheets."""
    if isinstance(value, list) and value and not isinstance(value[0], list | dict):
        return [value]
    return value


Size = tuple[q.Length, q.Length]


class Board(Table):
    """A board, measured: thickness with the caliper, the mass of one whole sheet on the scale."""

    name: q.Name
    thickness: Annotated[float, q.Quantity("length", 0, 200, above=True)]
    sheet: Annotated[tuple[Size | Offcut, ...], BeforeValidator(_sheets), Field(min_length=1, max_length=50)] | None = (
        None
    )
    mass: q.Mass | None = None
    grain: Literal["length", "none"] = "length"
    shear_modulus: q.Modulus | None = None
    bending_modulus: q.Modulus | None = None


class Cutting(Table):
    """How the board is cut. `kerf` is the width the tool takes away."""

    kerf: Annotated[float, q.Quantity("length", 0, 10)] = 0.0
    gap: Annotated[float, q.Quantity("length", 0, 200)] = 0.002
    margin: Annotated[float, q.Quantity("length", 0, 200)] = 0.006
    tool: Literal["knife", "needle", "laser", "wire"] | None = None
    overcut: Annotated[float, q.Quantity("length", 0, 5)] = 0.0
    relief: Annotated[float, q.Quantity("length", 0, 5)] = 0.0


class Filament(Table):
    """What the printer prints with. Density in g/cm3."""

    name: q.Name = "PETG"
    density: q.Density = 1270.0
    walls: Annotated[int, BeforeValidator(_count), Field(ge=1, le=50)] = 3
    nozzle: Annotated[float, q.Quantity("length", 0, 5, above=True)] = 0.0004
    infill: Fraction = 0.15


class Printer(Table):
    """The printer: its bed and its filament."""

    bed: tuple[q.Length, q.Length, q.Length] | None = None
    filament: Filament = Filament()


class Flying(Table):
    """The field: altitude, temperature, and how long it is."""

    altitude: q.Altitude = 0.0
    temperature: q.Temperature = 288.15
    length: q.FieldLength | None = None


class Limits(Table):
    """The static margins wanted: on the first flight, and in any state."""

    first: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.10
    least: Annotated[float, q.Quantity("ratio", 0, 1)] = 0.05


class Weighed(Table):
    """A part, or a whole state of the model, on the scale; replaces the estimate. One piece."""

    part: q.Name
    mass: q.MassOrNone


class Design(Table):
    """The whole design file."""

    name: q.Name | None = None
    notes: str | None = Field(default=None, max_length=20_000)
    airframe: Airframe | None = None
    flights: tuple[Flight, ...] = Field(default=(), max_length=200)
    fins: Fins | None = None
    pod: Pod | None = None
    motors: tuple[Motor, ...] = Field(default=(), max_length=20)
    ballast: Ballast | None = None
    ignition: Ignition | None = None
    gyro: Gyro | None = None
    camera: Camera | None = None
    cuts: tuple[Cut, ...] = Field(default=(), max_length=2000)
    boards: tuple[Board, ...] = Field(default=(), max_length=50)
    cutting: Cutting = Cutting()
    printer: Printer | None = None
    field: Flying = Flying()
    limits: Limits = Limits()
    weighed: tuple[Weighed, ...] = Field(default=(), max_length=500)
