"""What do fins, wing and pod stand, and what does the flight ask of them at its fastest? SI: N, N m, Pa, m/s.

Fins: flutter of the bare plate; at the fastest speed the side load of 20 degrees of sideslip, the stress it makes in
the board at the root, how far the tip bends, what the glue at the root stands. Wing: load factor its spar stands, and
the one that full up elevator pulls. Pod: shear in the glue lines under the peak thrust, the motor's push on its ring
in a hard landing, and on its retainer when it is pushed aft. Strengths of foam, paper and glue lines are from memory
and stand as named constants.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from foamworks.aircraft.aero import Aero, Flying
from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.fins import FinSet, new_fins
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.solve import Aircraft
from foamworks.design.ladder import has_pod
from foamworks.design.model import Design
from foamworks.design.workshop import Board
from foamworks.errors import PhysicsError, given, where_given
from foamworks.parts.base import Parts
from foamworks.parts.density import Stuff, board_named, stuff
from foamworks.parts.fins import TAB_DEPTH, tab_places
from foamworks.parts.make import root_stand
from foamworks.physics import beam, flutter
from foamworks.physics.atmosphere import Air
from foamworks.physics.losses import ELEVATOR_BAND, ELEVATOR_FACTOR, TAIL_BAND, TAIL_FACTOR
from foamworks.physics.planform import Stations
from foamworks.physics.ranges import where_known
from foamworks.study.at_speed import ServoLoad, divergence_speed, servo_load
from foamworks.study.flight.burn import Burn
from foamworks.study.pod.glue import FOAM_SHEAR, FOAM_TENSION, PodGlue, study_pod_glue
from foamworks.study.pod.retainer import Retainer, study_retainer
from foamworks.units import first_measured, mm

SIDESLIP = math.radians(20)  # of an upset, at the fastest speed (physics of the study; ours)
GREATEST_NORMAL = 1.2  # normal force coefficient at which a thin low plate breaks away (from memory)
PAPER_DENSITY, CORE_DENSITY = 800.0, 30.0  # kg/m3, of a board's faces and foam (from memory)
FOAM_BELOW, SOLID_ABOVE = 55.0, 200.0  # kg/m3 of the whole board: bare foam below, wood and the like above (ours)
PLY_BENDING = 30e6  # Pa, thin birch plywood (from memory)
BoardKind = Literal["paper-faced", "foam", "solid"]
STRENGTH: dict[BoardKind, float] = {  # Pa (from memory)
    "paper-faced": 15e6,  # paper pressed along its plane, before it wrinkles off the foam
    "foam": 0.4e6,  # foam sheet of 30 kg/m3 in bending
    "solid": math.nan,  # of many kinds: not known
}


@dataclass(frozen=True)
class Fast:
    """The fastest that the model flies [m/s], and when; `whole` is False when a motor's own peak is not known.

    `motor`: the one whose burn it is, empty where none is lit. The speed is NaN where nobody knows it.
    """

    speed: float
    words: str
    whole: bool
    motor: str = ""

    @property
    def known(self) -> bool:
        """Whether it is known at all."""
        return math.isfinite(self.speed)


UNKNOWN = Fast(math.nan, "", whole=False)


@dataclass(frozen=True)
class FinLoad:
    """One fin at the fastest speed: side force [N], at `arm` [m] from the root, moment there [N m].

    stress [Pa]: in the faces of a paper-faced board (each `face` thick [m], 0 of others), else at the surface of a
    plain plate, less what a spar across the root takes; tip [m]: how far it bends, NaN without a bending modulus; glue
    [N m]: the moment that tabs and fillets stand, `stands`: the length of root [m] that is glued to foam; `root`: the
    moment [N m] that the board alone stands there, NaN unknown.
    """

    coefficient: float
    force: float
    arm: float
    moment: float
    kind: BoardKind
    face: float
    stress: float
    tip: float
    glue: float
    fillet: float
    stands: float
    root: float


@dataclass(frozen=True)
class TailLoad:
    """The tailplane under two fins: moment a side and what it stands [N m], NaN unmeasured; its chord there [m]."""

    moment: float
    stands: float
    chord: float


@dataclass(frozen=True)
class WingLoad:
    """Load factors at a mass [kg]: `stands` by the spar, `pulls` by full up elevator at the fastest speed.

    up: elevator travel [rad] that pulls just what the spar stands. NaN where it cannot be known.
    """

    mass: float
    stands: float
    pulls: float = math.nan
    up: float = math.nan


@dataclass(frozen=True)
class Strength:
    """All of it; None or NaN where something was not measured."""

    fastest: Fast
    flutter: float
    fin: FinLoad | None
    wing: WingLoad | None
    pod: PodGlue | None
    retainer: Retainer | None = None
    tail: TailLoad | None = None
    servo: ServoLoad | None = None
    divergence: float = math.nan


def fastest(design: Design, burn: Burn) -> Fast:
    """Give the fastest speed: the greatest of the burns, level or in a dive, else level flight's, else as flown."""
    burns = has_pod(design) and bool(design.motors)
    peaks = [(peak, name) for name, peak in burn.fastest_peaks.items()]
    if burns and peaks:
        speed, name = max(peaks)
        answer = burn.response.of(name)
        dives = " in a dive hands off" if answer and answer.fastest >= speed else ""
        return Fast(speed, f"the peak of the burn of {name}{dives}", len(peaks) == len(design.motors), name)
    if math.isfinite(burn.level):
        return Fast(burn.level, "level at full throttle", not burns)
    flown = [(flight.speed - (flight.wind or 0.0), flight.label) for flight in design.flights]
    speed, name = max(flown, default=(0.0, ""))
    return Fast(speed, f'as flown in "{name}"', not burns) if speed > 0 else UNKNOWN


def asked_for(design: Design) -> bool:
    """Tell whether a design asks for strength: new fins, a motor in a pod on it, or a wing that was measured."""
    wing = design.airframe.wing
    measured = wing and math.isfinite(first_measured(wing.spar_moment, wing.torsion_stiffness))
    return bool(design.fins or measured or (has_pod(design) and design.motors))


def study_strength(aircraft: Aircraft, parts: Parts, balance: Balance | None, fast: Fast) -> Strength | None:
    """Study what is added and what carries it; None when the design does not ask for it."""
    design, flying, pod = aircraft.design, aircraft.flying, aircraft.pod
    if not asked_for(design):
        return None
    fins, board = new_fins(design), board_named(design, design.fins.board) if design.fins else None
    load = _fin_load(design, fins, board, flying, fast) if fins and board and fast.known else None
    return Strength(
        fastest=fast,
        flutter=_flutter(fins.stations, board, air_of(design)) if fins and board else math.nan,
        fin=load,
        tail=_tail_load(design, fins, load) if fins and load else None,
        wing=_wing_load(design, flying, balance, fast) if flying else None,
        pod=study_pod_glue(design, pod, parts) if pod else None,
        retainer=study_retainer(design, pod) if pod else None,
        servo=servo_load(design, fast.speed, lit=bool(fast.motor)) if fast.known else None,
        divergence=divergence_speed(flying, air_of(design)) if flying else math.nan,
    )


def _flutter(shape: Stations, board: Board, air: Air) -> float:
    """Flutter speed of the bare plate in this air; NaN without a measured shear modulus or out of its range."""
    try:
        return where_known(
            flutter.flutter_speed,
            shear_modulus=board.shear_modulus,
            aspect_ratio=shape.aspect_ratio,
            taper=shape.taper,
            thickness_ratio=board.thickness / shape.chord[0],
            pressure=air.pressure,
            speed_of_sound=air.speed_of_sound,
        )
    except PhysicsError:  # a tip wider than the root, a plate half as thick as long: the finding says so
        return math.nan


def _fin_load(design: Design, fins: FinSet, board: Board, flying: Flying | None, fast: Fast) -> FinLoad:
    shape, of = fins.stations, stuff(board)
    normal = GREATEST_NORMAL
    if flying:  # without fins on the lattice the slope is not a number, and the smaller is the plate's
        normal = min(normal, abs(flying.aero.modified.fin_slope) * SIDESLIP / math.cos(fins.cant))
    density = air_of(design).density
    force = beam.side_load(speed=fast.speed, density=density, area=fins.area_each, coefficient=normal)
    arm = shape.mac_s - shape.s[0]
    kind, face = board_build(of)
    moment, root = force * arm, shape.chord[0]
    stands, along = _standing(design, root, board.thickness)
    alone = root_stress(moment=moment, width=root, thickness=board.thickness, face=face)
    breaks, spar = STRENGTH[kind], design.build.root_spar
    return FinLoad(
        coefficient=normal,
        force=force,
        arm=arm,
        moment=moment,
        kind=kind,
        face=face,
        stress=shared_stress(alone, moment=moment, breaks=breaks, spar=spar) if math.isfinite(breaks) else alone,
        tip=_tip(board, fins, force, arm),
        glue=glue_moment(root=stands, thickness=board.thickness, tabs=along, fillet=design.build.fillet),
        fillet=design.build.fillet,
        stands=stands,
        root=moment * breaks / alone,
    )


def board_build(board: Stuff) -> tuple[BoardKind, float]:
    """Tell from a board's mass and thickness what it is, and how thick a paper face is [m], 0 where it has none.

    What is heavier than its foam is paper, half of it on either side.

    >>> kind, face = board_build(Stuff("craft", thickness=5.0, areal_density=450e-6, measured=True))
    >>> kind, round(1000 * face, 2)
    ('paper-faced', 0.19)
    """
    thickness, area_density = mm.si(board.thickness), 1000 * board.areal_density  # m, kg/m2
    whole = area_density / thickness
    if whole < FOAM_BELOW:
        return "foam", 0.0
    if whole > SOLID_ABOVE:
        return "solid", 0.0
    face = (area_density - CORE_DENSITY * thickness) / (2 * (PAPER_DENSITY - CORE_DENSITY))
    return "paper-faced", face


def root_stress(*, moment: float, width: float, thickness: float, face: float) -> float:
    """Stress [Pa] at a fin's root: in the paper faces, M/(b t_f (t - t_f)), or 6 M/(b t^2) of a plain plate.

    moment [N m]; width (the root chord), thickness of the board and of one face [m], 0 for a plain plate. Source:
    thin-face sandwich theory; Euler beam.

    >>> round(root_stress(moment=0.3, width=0.03, thickness=0.006, face=0.0) / 1e6, 3)  # 1 N at 0.3 m
    1.667
    """
    if face == 0:
        inertia = beam.rectangle_inertia(width=width, height=thickness)
        return beam.bending_stress(moment=moment, inertia=inertia, distance=thickness / 2)
    return beam.sandwich_face_stress(moment=moment, width=width, thickness=thickness, face=face)


def shared_stress(alone: float, *, moment: float, breaks: float, spar: float) -> float:
    """Stress [Pa] in a board that makes `alone` under a moment [N m], beside a spar: each takes by what it stands.

    breaks: the stress [Pa] that breaks the board; spar [N m], 0 for none. Board and spar come to their limits together
    (ours: what is stiffer takes more, and yields or slips before it breaks the other).

    >>> shared_stress(10e6, moment=1.0, breaks=15e6, spar=1.5)  # the board alone stands 1.5 N m, with the spar 3
    5000000.0
    """
    return moment * breaks / (moment * breaks / alone + spar)


def _tip(board: Board, fins: FinSet, force: float, arm: float) -> float:
    shape = fins.stations
    inertia = beam.rectangle_inertia(width=fins.area_each / shape.height, height=board.thickness)
    return tip_of(force=force, arm=arm, height=shape.height, stiffness=board.bending_modulus * inertia)


def tip_of(*, force: float, arm: float, height: float, stiffness: float) -> float:
    """Deflection [m] of a cantilever's tip under a force [N] at `arm` [m] from its root, F a^2 (3 h - a)/(6 E I).

    height [m], stiffness E I [N m2]. Beyond a tenth of the height it is only an order of magnitude. Source: Euler beam.

    >>> round(tip_of(force=5, arm=0.3, height=0.3, stiffness=120e9 * math.pi / 64 * (0.006**4 - 0.004**4)), 7)  # a tube
    0.0073456
    """
    return force * arm**2 * (3 * height - arm) / (6 * stiffness)


def _standing(design: Design, root: float, thickness: float) -> tuple[float, float]:
    """Give how much of a root stands on what it is glued to, and the length of its tabs [m]."""
    on, ahead = root_stand(design), 0.0
    if on is not None:
        ahead, root_end = mm.si(max(on[0], 0.0)), min(mm.si(on[1]), root)
        root = max(root_end - ahead, 0.0)
    if design.fins is None or design.fins.mount != "tab" or design.fins.each is None:
        return root, 0.0
    places = tab_places(mm(design.fins.each.root_chord), mm(thickness), on)
    return root, mm.si(sum(end - start for start, end in places))


def glue_moment(*, root: float, thickness: float, tabs: float, fillet: float) -> float:
    """Moment [N m] at a fin's root that the foam round its glue stands.

    Shear on both glued faces of the tabs, t apart, and pull and push of the fillets, t + w apart:
    tau t L d + sigma (t + w) c w. c: the root as far as it stands on foam, L: of the tabs together, thickness t,
    fillet's leg w [m]. Source: statics; strengths of the foam from memory, the glue is the stronger.
    """
    in_tabs = FOAM_SHEAR * thickness * tabs * mm.si(TAB_DEPTH)
    return in_tabs + FOAM_TENSION * (thickness + fillet) * root * fillet


def tail_moment(*, chord: float, thickness: float, doubler: float) -> float:
    """Moment [N m] about the flight direction that a solid foam tailplane stands, with a plywood doubler under it.

    chord, thickness, the doubler's thickness [m]: sigma c t^2/6 of each, added. Source: Euler beam; strengths of foam
    and plywood from memory. The doubler's own share is on the safe side: glued to the foam it carries more.

    >>> round(tail_moment(chord=0.110, thickness=0.008, doubler=0.0), 2)
    0.47
    """
    return chord * (FOAM_TENSION * thickness**2 + PLY_BENDING * doubler**2) / 6


@where_given
def _tail_load(design: Design, fins: FinSet, load: FinLoad) -> TailLoad:
    tail = given(design.airframe.tailplane)
    given(root_stand(design))
    chord = float(tail.half.along(fins.y)[1])
    stands = tail_moment(chord=chord, thickness=tail.thickness, doubler=design.build.tail_doubler)
    return TailLoad(load.moment, stands, chord)


@where_given
def _wing_load(design: Design, flying: Flying, balance: Balance | None, fast: Fast) -> WingLoad:
    wing, shape, stations = flying.wing, flying.shape, flying.shape.half
    rows = [row for row in (balance.rows if balance else ()) if math.isfinite(row.mass)]
    mass = given(max((row.mass for row in rows), default=design.airframe.mass))
    arm = stations.area / (wing.area / 2) * (stations.mac_s - stations.s[0])
    stands = where_known(beam.load_factor_of_spar, spar_moment=shape.spar_moment, mass=mass, arm=arm)
    if not fast.known:
        return WingLoad(mass, stands)
    hold = _Elevator.of(design, flying.aero, balance, rows, lit=bool(fast.motor))
    air = {"speed": fast.speed, "density": air_of(design).density, "area": wing.area, "mass": mass}
    if hold is None:
        return WingLoad(mass, stands, beam.load_factor(lift=shape.max_lift, **air))
    pulls = beam.load_factor(lift=min(shape.max_lift, hold.lift()), **air)
    return WingLoad(mass, stands, pulls, hold.up_for(stands / beam.load_factor(lift=1.0, **air)))


@dataclass(frozen=True)
class _Elevator:
    """What up elevator holds at the state balanced furthest aft; the pitch damping that helps is left out."""

    margin: float
    zero_lift: float
    power: float
    most: float

    @staticmethod
    def of(
        design: Design, aero: Aero, balance: Balance | None, rows: Sequence[StateRow], *, lit: bool
    ) -> "_Elevator | None":
        elevator = design.airframe.elevator
        zero_lift = balance.trimming.zero_lift if balance else math.nan
        margins = [row.static_margin for row in rows if math.isfinite(row.static_margin)]
        power = aero.modified.elevator_power
        if not (elevator and margins and math.isfinite(zero_lift * power)):
            return None
        # why the strong end of both bands: what breaks the wing is the elevator at its best
        strong = ELEVATOR_BAND[1] * TAIL_BAND[1] / (ELEVATOR_FACTOR * TAIL_FACTOR)
        most = elevator.up_lit if lit else elevator.up
        return _Elevator(min(margins), zero_lift, strong * power, most)

    def lift(self) -> float:
        """Lift coefficient that full up elevator holds; infinite where the balance needs none."""
        return math.inf if self.margin <= 0 else max((self.zero_lift - self.power * self.most) / self.margin, 0.0)

    def up_for(self, lift: float) -> float:
        """Up elevator [rad] that holds a lift coefficient; NaN where that needs no elevator at all."""
        need = (self.margin * lift - self.zero_lift) / -self.power
        return need if need > 0 else math.nan
