"""What drag area has the model, as flown and with what is added to it? SI; drag area = drag over dynamic pressure.

Flown: at a steady level speed the fan's thrust there is the drag, by momentum theory at constant shaft power (the
value) and at constant efflux (the other bound). Not flown: a build-up from the geometry. Parts are added and taken off
by friction, form factors and printed coefficients; drag due to lift by the lattice's span efficiency.
"""

import math
from dataclasses import dataclass, field
from typing import get_args

import numpy as np

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.fins import FinSet, new_fins, old_fin, tail_stations, wing_stations
from foamworks.aircraft.hands_off import air_of
from foamworks.design.airframe import Airframe, Flight, Fuselage
from foamworks.design.ladder import Fitted, Fitting, Rung, has_pod, rung_of
from foamworks.design.model import Design
from foamworks.parts.base import Parts, Saddle
from foamworks.parts.fairing import hood_over
from foamworks.parts.make import filament
from foamworks.parts.solidmath import back_height
from foamworks.physics import drag, fan
from foamworks.physics.atmosphere import Air
from foamworks.physics.fan import FanModel
from foamworks.physics.planform import ReferenceWing, Stations
from foamworks.study.flight.drive import Drive, drive
from foamworks.study.flight.rungs import on_stock_pack, rung_loads
from foamworks.study.nose import study_nose
from foamworks.units import STANDARD_GRAVITY

POWER: FanModel = "constant power"  # the value; the other model is the bound
SPEED_ERROR = 0.03  # of a speed timed out and back (common practice, no source)
WIND_ERROR = 0.30  # of a wind that was not measured at the model (ours)
LEAST_WIND_ERROR = 5 / 3.6  # m/s, one way is never surer than that (ours)
BUILD_UP_SPEED = 30.0  # m/s, at which friction is taken when no flight gives a speed
SURFACE_THICKNESS = 0.10  # of the chord, moulded foam surfaces, when the wing's is not given
ROUGHNESS = (
    1.8  # drag over the build-up: gaps, hinges, servo arms, inlet and duct; 1.5 to 2 is common practice, no source
)
BUILD_UP_ERROR = 0.35  # of the build-up (ours)
OLD_FIN, NEW_FINS, POD_PIECE, MOUNT_PIECE, CAMERA_PIECE = "old fin", "new fins", "pod", "pod mount", "camera"
MODELS: tuple[FanModel, ...] = get_args(FanModel)
MOST_THICKNESS = 0.3  # of the chord, beyond which the form factor is not meant


@dataclass(frozen=True)
class FlownRun:
    """A level flight at full power as it counts: speed through the air and its band [m/s], what it says of the drag.

    drag_area: whole, of the model as flown, by each fan model [m2]; `low`, `high` [m2] over both and the speed's band.
    """

    name: str
    rung: Rung
    speed: float
    band: tuple[float, float]
    drag_area: dict[FanModel, float]
    low: float
    high: float


@dataclass(frozen=True)
class Drag:
    """The drag of the model in every outfit.

    bare: zero-lift drag area [m2] without fins, pod and camera, by each fan model; pieces: drag area of each part that
    comes or goes; induced [1/m2] of D = k L^2/q; error: of the whole, as a share either way. flown: the flight that set
    it, None for a build-up; runs: all that could be read. whole: as flown (build-up: as stock), lift's part included.
    """

    bare: dict[FanModel, float]
    pieces: dict[str, float]
    induced: float
    whole: float
    error: tuple[float, float]
    flown: FlownRun | None
    runs: tuple[FlownRun, ...] = field(default=())

    def zero_lift(self, fitted: Fitted, model: FanModel = POWER) -> float:
        """Drag area without lift [m2] of the model with these rungs' parts on."""
        return self.bare[model] + sum(self.pieces[name] for name in pieces_on(fitted, self.pieces))

    def modified(self, before: Fitted, after: Fitted) -> float:
        """Whole drag area [m2], lift's part as flown: the outfit `before` less what comes off, plus what goes on."""
        return self.whole + self.zero_lift(after) - self.zero_lift(before)


def pieces_on(fitted: Fitted, pieces: dict[str, float]) -> list[str]:
    """Name the parts that stand in the air on these rungs."""
    names = [NEW_FINS if "twin fins" in fitted else OLD_FIN]
    names += [POD_PIECE, MOUNT_PIECE] * ("pod" in fitted) + [CAMERA_PIECE] * ("camera" in fitted)
    return [name for name in names if name in pieces]


def final_outfit(design: Design) -> Fitted:
    """Give what is fitted to the finished model."""
    there: dict[Fitting, bool] = {
        "twin fins": new_fins(design) is not None,
        "pod": has_pod(design),
        "camera": design.camera is not None,
    }
    return frozenset(name for name, on in there.items() if on)


def airspeed(flight: Flight) -> tuple[float, tuple[float, float]]:
    """Give the speed through the air and its band [m/s]: a tail wind is taken off a one-way speed."""
    speed = flight.speed - (flight.wind or 0.0)
    error = SPEED_ERROR * flight.speed
    if flight.wind is not None:
        error += max(WIND_ERROR * abs(flight.wind), LEAST_WIND_ERROR)
    return speed, (speed - error, speed + error)


def drag_pieces(design: Design, parts: Parts, *, speed: float, air: Air) -> dict[str, float]:
    """Give the drag area [m2] of each part that comes or goes, at a speed [m/s]."""
    found = {}
    old, new = old_fin(design), new_fins(design)
    if old is not None:
        found[OLD_FIN] = _fins_drag(old, _thickness(design.airframe), speed, air)
    if new is not None:
        found[NEW_FINS] = _fins_drag(new, _board_thickness(design, new), speed, air)
    if has_pod(design):
        found[POD_PIECE] = _pod_drag(design, speed, air)
        found[MOUNT_PIECE] = sum(mount_drag(part.shape) for part in parts.prints if isinstance(part.shape, Saddle))
    if design.camera is not None:
        found[CAMERA_PIECE] = camera_drag(design, faired=design.camera.fairing)
    return found


def camera_drag(design: Design, *, faired: bool) -> float:
    """Drag area [m2] of the camera as a bare box or in its fairing, by the front as printed; 0 without a camera."""
    if design.camera is None:
        return 0.0
    body = design.camera.body
    front = hood_over(body, filament(design)).frontal_area / 1e6 if faired else body.width * body.height
    return drag.camera_drag_area(frontal_area=front, faired=faired)


def study_drag(
    design: Design, parts: Parts, aero: Aero | None, wing: ReferenceWing | None, balance: Balance | None
) -> Drag | None:
    """Find the drag of the model from its first usable flight, else from its geometry; None without either.

    The friction of parts is taken at that flight's speed.
    """
    air = air_of(design)
    runs = flown_runs(design)
    speed = runs[0].speed if runs else BUILD_UP_SPEED
    pieces = drag_pieces(design, parts, speed=speed, air=air)
    induced = _induced(aero, wing)
    if runs:
        return from_run(runs[0], design, pieces=pieces, induced=induced, balance=balance, runs=runs)
    if design.airframe is None or wing is None:
        return None
    bare = build_up(design.airframe, speed=speed, air=air)
    lift = (design.airframe.mass or 0.0) * STANDARD_GRAVITY
    whole = bare + sum(pieces[name] for name in pieces_on(frozenset(), pieces))
    whole += induced * (lift / air_pressure(air, speed)) ** 2
    return Drag(dict.fromkeys(MODELS, bare), pieces, induced, whole, (BUILD_UP_ERROR, BUILD_UP_ERROR), None)


def from_run(
    run: FlownRun,
    design: Design,
    *,
    pieces: dict[str, float],
    induced: float,
    balance: Balance | None,
    runs: tuple[FlownRun, ...] = (),
) -> Drag:
    """Read the drag of the bare model out of one flight."""
    fitted = sum(pieces[name] for name in pieces_on(run.rung.fitted, pieces))
    by_lift = induced * (_lift_of(design, run, balance) / air_pressure(air_of(design), run.speed)) ** 2
    bare = {model: whole - by_lift - fitted for model, whole in run.drag_area.items()}
    whole = run.drag_area[POWER]
    return Drag(bare, pieces, induced, whole, (1 - run.low / whole, run.high / whole - 1), run, runs)


def flown_runs(design: Design) -> tuple[FlownRun, ...]:
    """Give every flight that says something of the drag: level on the fan alone, on a known rung, fan known."""
    found = []
    for flight in design.flights:
        rung = rung_of(design, flight)
        unit = drive(design, stock=on_stock_pack(design, flight))
        if rung is None or rung.lit is not None or unit is None or unit.thrust is None or unit.exit_area is None:
            continue
        speed, band = airspeed(flight)
        if band[0] <= 0:
            continue
        areas = {model: _area(unit, speed, design, model) for model in MODELS}
        every = [_area(unit, v, design, model) for v in band for model in MODELS]
        if areas[POWER] > 0:
            found.append(FlownRun(flight.label, rung, speed, band, areas, min(every), max(every)))
    return tuple(found)


def air_pressure(air: Air, speed: float) -> float:
    """Dynamic pressure [Pa]."""
    return drag.dynamic_pressure(speed=speed, density=air.density)


def _area(unit: Drive, speed: float, design: Design, model: FanModel) -> float:
    density = air_of(design).density
    thrust = float(
        fan.thrust_at_speed(
            speed=speed,
            static_thrust=unit.thrust or 0.0,
            exit_area=unit.exit_area or 0.0,
            density=density,
            model=model,
        )
    )
    return thrust / drag.dynamic_pressure(speed=speed, density=density)


def _lift_of(design: Design, run: FlownRun, balance: Balance | None) -> float:
    """Weight of the model as flown [N]; 0 when it is not known."""
    if balance is None:
        return (design.airframe.mass or 0.0) * STANDARD_GRAVITY if design.airframe else 0.0
    mass = sum(load.mass for load in rung_loads(balance, run.rung))
    return mass * STANDARD_GRAVITY if math.isfinite(mass) else 0.0


def _induced(aero: Aero | None, wing: ReferenceWing | None) -> float:
    if wing is None:
        return 0.0
    efficiency = 1.0 if aero is None else min(aero.modified.solution.span_efficiency, 1.0)
    return drag.induced_factor(span=wing.span, efficiency=efficiency)


def _thickness(airframe: Airframe | None) -> float:
    return airframe.wing.thickness if airframe is not None and airframe.wing is not None else SURFACE_THICKNESS


def _board_thickness(design: Design, fins: FinSet) -> float:
    """Thickness over mean chord of fins cut from board."""
    name = design.fins.board if design.fins else None
    board = next((b for b in design.boards if name in (None, b.name)), None)
    chord = fins.stations.area / fins.stations.height
    return SURFACE_THICKNESS if board is None else min(board.thickness / chord, MOST_THICKNESS)


def _fins_drag(fins: FinSet, thickness: float, speed: float, air: Air) -> float:
    return _surface(fins.stations, fins.count, thickness, speed, air)


def _surface(stations: Stations, count: int, thickness: float, speed: float, air: Air) -> float:
    return count * drag.surface_drag_area(
        area=stations.area,
        chord=stations.area / stations.height,
        thickness=thickness,
        speed=speed,
        viscosity=air.kinematic_viscosity,
    )


def _pod_drag(design: Design, speed: float, air: Air) -> float:
    """Drag area of tube and nose, all pods; a tube of unknown length counts as long as the longest motor."""
    pod = design.pod
    if pod is None:
        return 0.0
    length = pod.tube.length or max((motor.length for motor in design.motors), default=4 * pod.tube.outer)
    nose = study_nose(design)
    wetted = math.pi * pod.tube.outer * length + (nose.wetted_area if nose else math.pi / 4 * pod.tube.outer**2)
    return pod.count * drag.pod_drag_area(
        wetted_area=wetted,
        length=length + (nose.length if nose else 0.0),
        diameter=pod.tube.outer,
        speed=speed,
        viscosity=air.kinematic_viscosity,
    )


def mount_drag(saddle: Saddle) -> float:
    """Drag area [m2] of the block between back and tube (mm): a blunt body along the stream on its frontal area."""
    x = np.linspace(0.0, saddle.length, 9)
    under = saddle.axis_z + x * math.tan(saddle.tilt) - saddle.bore / math.cos(saddle.tilt)
    gap = max(float(np.max(under - back_height(saddle, x, np.zeros_like(x)))), 0.0)
    if gap == 0:
        return 0.0
    shape = drag.cylinder_drag(ratio=saddle.length / max(gap, saddle.width), crosswise=False)
    return shape * saddle.width * gap / 1e6


def build_up(airframe: Airframe, *, speed: float, air: Air) -> float:
    """Zero-lift drag area [m2] of wing, tailplane and fuselage from their geometry, rough foam allowed for."""
    thickness = _thickness(airframe)
    surfaces = [s for s in (wing_stations(airframe), tail_stations(airframe)) if s is not None]
    total = 0.0
    for s in surfaces:  # both halves, both sides wet
        total += 4 * s.area * _skin(s.area / s.height, speed, air) * drag.wing_form_factor(thickness=thickness)
    if airframe.fuselage is not None:
        wetted, length, diameter = fuselage_size(airframe.fuselage)
        body = wetted * _skin(length, speed, air) * drag.body_form_factor(fineness=length / diameter)
        last = airframe.fuselage.sections[-1]
        total += body + drag.base_drag_area(base_area=math.pi / 4 * last.width * last.height, forebody=body)
    return ROUGHNESS * total


def _skin(length: float, speed: float, air: Air) -> float:
    """Friction of moulded foam along a length [m]: turbulent from its edge, as beads and seams make it."""
    return drag.turbulent_friction(reynolds=speed * length / air.kinematic_viscosity)


def fuselage_size(fuselage: Fuselage) -> tuple[float, float, float]:
    """Wetted area [m2], length and greatest mean diameter [m] of the body; circumferences by the mean diameter."""
    rows = fuselage.sections
    x = np.array([row.x for row in rows])
    mean = np.array([(row.width + row.height) / 2 for row in rows])
    return float(np.trapezoid(math.pi * mean, x)), float(x[-1] - x[0]), float(mean.max())
