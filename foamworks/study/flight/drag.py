"""What drag area has the model, as flown and with what is added to it? SI; drag area = drag over dynamic pressure.

Flown: all flights together, by `estimate`, with the fan at constant shaft power (the value) and at constant efflux (the
other bound). Not flown: a build-up from the geometry. Parts are added and taken off by friction, form factors and
printed coefficients; drag due to lift by the lattice's span efficiency.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, get_args

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance
from foamworks.aircraft.fins import FinSet, new_fins, old_fin, tail_stations, wing_stations
from foamworks.aircraft.hands_off import air_of
from foamworks.design.airframe import Airframe, Fuselage
from foamworks.design.ladder import Fitted, Fitting, has_pod, rungs
from foamworks.design.model import Design
from foamworks.parts.base import Parts, Saddle
from foamworks.parts.density import filament
from foamworks.parts.fitted.fairing import hood_over
from foamworks.parts.solidmath import back_height
from foamworks.physics.atmosphere import Air
from foamworks.physics.flight import drag
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drive import Drive
from foamworks.study.flight.estimate import Carried, Estimate, driven, estimate
from foamworks.study.flight.flown import SURE, FlownRun, flown_runs, weight
from foamworks.study.nose import study_nose
from foamworks.units import STANDARD_GRAVITY, first_measured, mm2

POWER: FanModel = "constant power"  # the value; the other model is the bound
BUILD_UP_SPEED = 30.0  # m/s, at which friction is taken when no flight gives a speed
SURFACE_THICKNESS = 0.10  # of the chord, moulded foam surfaces, when the wing's is not given
ROUGHNESS = (
    1.8  # drag over the build-up: gaps, hinges, servo arms, inlet and duct; 1.5 to 2 is common practice, no source
)
Piece = Literal["old fin", "new fins", "pod", "pod mount", "camera"] | int  # of [[changes]] the number
MODELS: tuple[FanModel, ...] = get_args(FanModel)
PLATE = 1.15  # drag area of a plate square to the stream over its own; 1.0 to 1.3 by its shape (Hoerner, from memory)
MOST_THICKNESS = 0.3  # of the chord, beyond which the form factor is not meant


@dataclass(frozen=True)
class Drag:
    """The drag of the model in every outfit, and the fan's thrust that goes with it.

    fits: the estimate by each fan law; pieces: drag area [m2] of each part that comes or goes, by its printed
    coefficients; induced [1/m2] of D = k L^2/q; runs: all flights that could be read; `again`: the same from other
    runs. flown: the ladder's last flight on the fan alone, None for a build-up; whole: as flown then (build-up: as
    stock), lift's part included; error: of the whole, as a share either way.
    """

    fits: dict[FanModel, Estimate]
    pieces: dict[Piece, float]
    induced: float
    whole: float
    error: tuple[float, float]
    flown: FlownRun | None
    runs: tuple[FlownRun, ...]
    again: Callable[[tuple[FlownRun, ...]], "Drag"] = field(repr=False, compare=False)

    @property
    def basis(self) -> str:
        """Say what it rests on: the flights, in the order typed, or the build-up."""
        used = [f'"{run.name}"' for run in self.runs if not run.ended]
        if not used:
            return "build-up"
        return f"flight{'s' * (len(used) > 1)} {', '.join(used)}"

    def fitted(self, fitted: Fitted) -> Carried:
        """Drag areas of what an outfit carries."""
        return carried(fitted, self.pieces)

    def part(self, piece: Piece) -> float:
        """Drag area [m2] of one part as flown; a plate's is its own."""
        return self.pieces[piece] * (1.0 if isinstance(piece, int) else self.fits[POWER].pieces)

    def zero_lift(self, fitted: Fitted, model: FanModel = POWER) -> float:
        """Drag area without lift [m2] of the model with these parts on."""
        return self.fits[model].drag(self.fitted(fitted))

    def modified(self, before: Fitted, after: Fitted) -> float:
        """Whole drag area [m2], lift's part as flown: the outfit `before` less what comes off, plus what goes on."""
        return self.whole + self.zero_lift(after) - self.zero_lift(before)

    def drive(self, unit: Drive, model: FanModel = POWER) -> Drive:
        """Give the fan on its pack with the thrust that was flown."""
        return driven(unit, self.fits[model])

    def level_error(self, unit: Drive, fitted: Fitted, model: FanModel = POWER) -> float:
        """Standard error of a level speed, as a share of it: the speed goes about as the cube root of thrust/drag."""
        return self.fits[model].spread(self.fitted(fitted), stock=unit.stock) / 3


def pieces_on(fitted: Fitted, pieces: dict[Piece, float]) -> list[Piece]:
    """Give the parts that stand in the air on these rungs."""
    there: dict[Piece, bool] = {
        "new fins": "twin fins" in fitted,
        "old fin": "twin fins" not in fitted,
        "pod": "pod" in fitted,
        "pod mount": "pod" in fitted,
        "camera": "camera" in fitted,
    }
    there |= dict.fromkeys(sorted(n for n in fitted if isinstance(n, int)), True)
    return [piece for piece, on in there.items() if on and piece in pieces]


def carried(fitted: Fitted, pieces: dict[Piece, float]) -> Carried:
    """Add up what an outfit carries, plates apart."""
    there = pieces_on(fitted, pieces)
    plates = sum(pieces[piece] for piece in there if isinstance(piece, int))
    return Carried(sum(pieces[piece] for piece in there) - plates, plates)


def final_outfit(design: Design) -> Fitted:
    """Give what is fitted to the finished model."""
    there: dict[Fitting, bool] = {
        "twin fins": new_fins(design) is not None,
        "changed": any(rung.kind == "changed" for rung in rungs(design)),
        "pod": has_pod(design),
        "camera": design.camera is not None,
    }
    return frozenset(name for name, on in there.items() if on) | frozenset(range(len(design.changes)))


def drag_pieces(design: Design, parts: Parts, *, speed: float, air: Air) -> dict[Piece, float]:
    """Give the drag area [m2] of each part that comes or goes, at a speed [m/s]."""
    found: dict[Piece, float] = {}
    old, new = old_fin(design), new_fins(design)
    if old is not None:
        found["old fin"] = _fins_drag(old, surface_thickness(design.airframe), speed, air)
    if new is not None:
        found["new fins"] = _fins_drag(new, _board_thickness(design, new), speed, air)
    if has_pod(design):
        found["pod"] = _pod_drag(design, speed, air)
        found["pod mount"] = sum(mount_drag(part.shape) for part in parts.prints if isinstance(part.shape, Saddle))
    if design.camera is not None:
        found["camera"] = camera_drag(design, faired=design.camera.fairing)
    for number, change in enumerate(design.changes):
        if math.isfinite(change.plate_area):
            found[number] = PLATE * change.plate_area
    return found


def camera_drag(design: Design, *, faired: bool) -> float:
    """Drag area [m2] of the camera as a bare box or in its fairing, by the front as printed; 0 without a camera."""
    if design.camera is None:
        return 0.0
    body = design.camera.body
    front = mm2.si(hood_over(body, filament(design)).frontal_area) if faired else body.width * body.height
    return drag.camera_drag_area(frontal_area=front, faired=faired)


def study_drag(design: Design, parts: Parts, flying: Flying, balance: Balance | None) -> Drag:
    """Estimate the drag of the model from all its flights and its geometry.

    The friction of parts is taken at the speed of the ladder's first level flight.
    """
    return _Shape(design, parts, flying).drag(flown_runs(design, balance, flying))


class _Shape:
    """What the drag rests on besides the flights: friction at one speed is worked out once for all of them."""

    def __init__(self, design: Design, parts: Parts, flying: Flying) -> None:
        self.design, self.parts = design, parts
        efficiency = min(flying.aero.modified.solution.span_efficiency, 1.0)
        self.induced = drag.induced_factor(span=flying.wing.span, efficiency=efficiency)
        self.air, self.ladder = air_of(design), rungs(design)
        self.built: dict[float, tuple[dict[Piece, float], float]] = {}

    def at(self, speed: float) -> tuple[dict[Piece, float], float]:
        """Give the parts' and the bare model's drag areas [m2] at a speed [m/s], from their geometry."""
        if speed not in self.built:
            pieces = drag_pieces(self.design, self.parts, speed=speed, air=self.air)
            self.built[speed] = pieces, build_up(self.design.airframe, speed=speed, air=self.air)
        return self.built[speed]

    def drag(self, runs: tuple[FlownRun, ...]) -> Drag:
        """Estimate the drag from these flights alone."""
        level = [run for run in runs if not run.lit and not run.ended]
        level.sort(key=lambda run: self.ladder.index(run.rung))
        speed, induced = level[0].speed if level else BUILD_UP_SPEED, self.induced
        pieces, bare = self.at(speed)

        def fitted(outfit: Fitted) -> Carried:
            return carried(outfit, pieces)

        fits = {law: estimate(self.design, runs, law, bare=bare, fitted=fitted, induced=induced) for law in MODELS}
        last = level[-1] if level else None
        lift = weight(last) if last else first_measured(self.design.airframe.mass, 0.0) * STANDARD_GRAVITY
        pressure = last.pressure if last else drag.dynamic_pressure(speed=speed, density=self.air.density)
        by_lift = induced * (lift / pressure) ** 2
        outfit: Fitted = last.rung.fitted if last else frozenset()
        parted, value = fitted(outfit), fits[POWER].drag(fitted(outfit)) + by_lift
        low, high = (
            choose(fit.drag(parted) * math.exp(way * SURE * fit.drag_spread(parted)) + by_lift for fit in fits.values())
            for choose, way in ((min, -1), (max, 1))
        )
        return Drag(fits, pieces, induced, value, (1 - low / value, high / value - 1), last, runs, self.drag)


def surface_thickness(airframe: Airframe) -> float:
    """Give thickness over chord of what is moulded of foam: the wing's, where that is given."""
    return airframe.wing.thickness if airframe.wing is not None else SURFACE_THICKNESS


def _board_thickness(design: Design, fins: FinSet) -> float:
    """Thickness over mean chord of fins cut from board."""
    name = design.fins.board if design.fins else None
    board = next((b for b in design.boards if name in (None, b.name)), None)
    chord = fins.stations.area / fins.stations.height
    return SURFACE_THICKNESS if board is None else min(board.thickness / chord, MOST_THICKNESS)


def _fins_drag(fins: FinSet, thickness: float, speed: float, air: Air) -> float:
    return fins.count * drag.surface_drag_area(
        area=fins.stations.area,
        chord=fins.stations.area / fins.stations.height,
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
    return mm2.si(shape * saddle.width * gap)


def build_up(airframe: Airframe, *, speed: float, air: Air) -> float:
    """Zero-lift drag area [m2] of wing, tailplane and fuselage from their geometry, rough foam allowed for."""
    thickness = surface_thickness(airframe)
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
