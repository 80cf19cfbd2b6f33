"""How stable is the aircraft in pitch and yaw: with its old fin, with the new ones, and with "the same area"? SI.

The converged bare lattice of each; when a fuselage is given, the body's destabilising moments are added to the neutral
point (strips in the wing's flow) and to the yaw stiffness (slender body on the side view, up to where the flow leaves
it). What flies is less: a slower tail, a weaker elevator, the air that the intake turns; "flown" numbers have these.
What thickness and a low Reynolds number take off the slopes is a band in the tolerance study. The sidewash of the body
at two fins beside it is not known: the printed fit is for one fin on the body's back, and the lattice's is the wing's.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from foamworks.aircraft.fins import FinSet, new_fins, old_fin, wanted_shape
from foamworks.aircraft.hands_off import Intake, intake_of
from foamworks.aircraft.masses import stock_cg
from foamworks.aircraft.surfaces import FINS, TAIL, WING, surfaces
from foamworks.design.airframe import Fuselage, Wing
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.physics import body, losses
from foamworks.physics.planform import ReferenceWing
from foamworks.physics.vortex.derivatives import Solution
from foamworks.physics.vortex.lattice import solve

Floats = NDArray[np.float64]


# why: a change that is tried moves the pod or the battery far more often than a lifting surface
solved = lru_cache(maxsize=32)(solve)


@dataclass(frozen=True)
class Body:
    """The body's slopes per radian on the reference wing: pitch alone, pitch with the wing's flow; side force and yaw.

    The last two are negative; yaw is about x = `about` [m]. roll: by the wing's height on it, negative for a high wing.
    """

    pitch: float
    pitch_with_wing: float
    side: float
    yaw: float
    about: float
    span: float
    roll: float

    def yaw_about(self, x: float) -> float:
        """Yawing moment about another place [m]: it moves with the side force."""
        return self.yaw + (x - self.about) / self.span * self.side


@dataclass(frozen=True)
class Plane:
    """One aircraft: its lattice about the wing's quarter-chord point, the body's part, and what the intake does.

    "Flown" is with the tail's and the elevator's factors and the intake's force (`physics.losses`).
    """

    solution: Solution
    body: Body | None
    chord: float
    has_elevator: bool
    has_fins: bool
    tail: Solution | None = None
    intake: Intake | None = None

    @cached_property
    def neutral_point_flown(self) -> float:
        """Neutral point as flown [m], at full throttle and the speed flown hands off; slower, the intake does more."""
        return float(self.neutral_point_with())

    def neutral_point_with(
        self, tail_factor: Floats | float = losses.TAIL_FACTOR, intake: Floats | float | None = None
    ) -> Floats:
        """Neutral point [m] with this tail factor and normal force of the intake; None: as it is where it was measured.

        Arrays give an array. An intake that was not measured counts at `losses.INTAKE_AHEAD` chords.
        """
        lift, moment = self.slopes_with(tail_factor, intake)
        return np.asarray(self.solution.at[0] - moment / lift * self.chord)

    def slopes_with(
        self, tail_factor: Floats | float = losses.TAIL_FACTOR, intake: Floats | float | None = None
    ) -> tuple[Floats, Floats]:
        """Lift and pitching moment about the lattice's point per radian, alike."""
        s, duct, tail = self.solution, self.intake, self.tail
        ahead, own = losses.INTAKE_AHEAD + (s.at[0] - self.neutral_point) / self.chord, 0.0
        if duct and duct.measured:
            ahead, own = (s.at[0] - duct.x) / self.chord, duct.slope
        force = np.asarray(own if intake is None else intake)
        factor = np.asarray(tail_factor)
        lift = losses.flown_lift_slope(
            lift_slope=np.asarray(s.lift_slope),
            tail_lift=np.asarray(tail.lift_slope if tail else 0.0),
            tail_factor=factor,
            intake=force,
        )
        moment = losses.flown_moment_slope(
            moment_slope=np.asarray(s.pitch_stiffness),
            tail_moment=np.asarray(tail.pitch_stiffness if tail else 0.0),
            tail_factor=factor,
            body=np.asarray(self.body.pitch_with_wing if self.body else 0.0),
            intake=force,
            intake_ahead=np.asarray(ahead),
        )
        return lift, moment

    def pitch_damping(self, x: float) -> float:
        """Cmq about x [m] as flown: the tail's share by its factor."""
        own = self.solution.about(x, 0.0).pitch_damping
        tail = self.tail.about(x, 0.0).pitch_damping if self.tail else 0.0
        return own - (1 - losses.TAIL_FACTOR) * tail

    @property
    def body_shift(self) -> float:
        """How far forward the body takes the neutral point [m]; 0 where no fuselage is given."""
        return self.body.pitch_with_wing / self.solution.lift_slope * self.chord if self.body else 0.0

    @property
    def neutral_point(self) -> float:
        """Neutral point of the bare lattice, body included [m]."""
        return self.solution.neutral_point_x - self.body_shift

    @cached_property
    def elevator_power(self) -> float:
        """Moment of the elevator about the flown neutral point per radian, as flown, negative; NaN without one."""
        if not self.has_elevator:
            return math.nan
        moment = self.elevator_moment(self.neutral_point_flown)
        return moment if moment < 0 else math.nan

    @property
    def elevator_lift(self) -> float:
        """Lift per radian of elevator as flown: the lattice's by the elevator's and the tail's factor."""
        return losses.ELEVATOR_FACTOR * losses.TAIL_FACTOR * self.solution.elevator_lift

    def elevator_moment(self, x: float) -> float:
        """Moment about x [m] per radian of elevator as flown."""
        own = losses.ELEVATOR_FACTOR * losses.TAIL_FACTOR * self.solution.elevator_moment
        return own + (x - self.solution.at[0]) / self.chord * self.elevator_lift

    def yaw_stiffness(self, x: float, z: float) -> float:
        """Yawing moment per radian of sideslip about (x, z), body included; positive is stable."""
        return self.solution.about(x, z).yaw_stiffness + (self.body.yaw_about(x) if self.body else 0.0)

    @property
    def fin_slope(self) -> float:
        """Side force of the fins per radian of sideslip over their own area; NaN without fins."""
        return self.solution.side_force_slope(FINS) if self.has_fins else math.nan


@dataclass(frozen=True)
class Aero:
    """The stock aircraft, the modified one, and the one with new fins of the old area; where the stock one balances."""

    stock: Plane
    modified: Plane
    same_area: Plane | None
    stock_cg_x: float

    def same_area_ratio(self, wing: ReferenceWing) -> float | None:
        """Yaw stiffness that "the same area" would have given over the original's; None when that was not stable."""
        if self.same_area is None or not self.stock.has_fins:
            return None
        original = self.stock.yaw_stiffness(wing.quarter_mac_x, 0.0)
        return self.same_area.yaw_stiffness(wing.quarter_mac_x, 0.0) / original if original > 0 else None


@dataclass(frozen=True)
class Flying:
    """What flies: its wing as measured, the reference wing of all coefficients, its aerodynamics."""

    shape: Wing
    wing: ReferenceWing
    aero: Aero


def body_of(fuselage: Fuselage) -> body.Body:
    """Give the fuselage as the physics takes it."""
    rows = fuselage.sections
    return body.Body(
        x=tuple(row.x for row in rows),
        width=tuple(row.width for row in rows),
        height=tuple(row.height for row in rows),
        z=tuple(row.z for row in rows),
    )


def plane(design: Design, wing: ReferenceWing, fins: FinSet | None, body: Body | None = None) -> Plane:
    """Solve one aircraft with these fins; the body's moments, when wanted, are worked out once and handed in."""
    rows = tuple(surfaces(design, fins))
    solution = solved(
        rows,
        reference_area=wing.area,
        reference_span=wing.span,
        reference_chord=wing.mac,
        at=(wing.quarter_mac_x, 0.0),
    )
    names = {row.name for row in rows}
    elevator = any(row.flap is not None for row in rows if row.name == TAIL)
    tail = solution.share(TAIL) if TAIL in names else None
    return Plane(solution, body, wing.mac, elevator, FINS in names, tail, intake_of(design, wing))


@where_given
def _body(design: Design, wing: ReferenceWing, solution: Solution) -> Body:
    return _body_in_flow(body_of(given(design.airframe.fuselage)), wing, solution)


@lru_cache(maxsize=32)  # as the lattice: a change that is tried seldom touches fuselage, wing or tail
def _body_in_flow(shape: body.Body, wing: ReferenceWing, solution: Solution) -> Body:
    root = next(s for s in solution.surfaces if s.name == WING)
    middle = root.x[0] + root.chord[0] / 4
    side, yaw = body.side_slopes(shape, reference_area=wing.area, reference_span=wing.span, about=wing.quarter_mac_x)

    def upwash(x: NDArray[np.float64]) -> NDArray[np.float64]:
        points = np.stack([x, np.zeros_like(x), np.full_like(x, root.z[0])], axis=1)
        return solution.upwash(points, WING)

    return Body(
        pitch=body.munk_pitch_slope(shape, reference_area=wing.area, reference_chord=wing.mac),
        pitch_with_wing=body.multhopp_pitch_slope(
            shape,
            reference_area=wing.area,
            reference_chord=wing.mac,
            wing_start=root.x[0],
            wing_end=root.x[0] + root.chord[0],
            upwash=upwash,
        ),
        side=side,
        yaw=yaw,
        about=wing.quarter_mac_x,
        span=wing.span,
        roll=body.height_dihedral(
            below=shape.centre_at(middle) - root.z[0],
            diameter=math.sqrt(shape.width_at(middle) * shape.height_at(middle)),
            span=wing.span,
            aspect_ratio=wing.aspect_ratio,
        ),
    )


def study_aero(design: Design, wing: ReferenceWing) -> Aero:
    """Solve the aircraft that are compared; one that equals another is not solved twice."""
    old, new = old_fin(design), new_fins(design)
    modified = plane(design, wing, new or old)
    # why once: the fins change the wing's flow along the body by less than a thousandth
    body = _body(design, wing, modified.solution)
    modified = replace(modified, body=body)
    stock = plane(design, wing, old, body) if new else modified
    same = plane(design, wing, new.scaled(math.sqrt(old.area / new.area)), body) if old and new else None
    x = stock_cg(design.airframe)[0]
    return Aero(stock, modified, same, x)


@where_given
def size_by_stiffness(design: Design, wing: ReferenceWing, start: FinSet, wanted: float) -> float:
    """Find the area of one new fin [m2] that gives the wanted yaw stiffness about the quarter-chord point.

    A secant walk in the area: the stiffness is nearly straight in it. None when it does not settle.
    """
    given(wanted_shape(given(design.fins), old_fin(design)))

    def miss(area: float) -> float:
        fins = start.scaled(math.sqrt(area / start.area_each))
        return plane(design, wing, fins).yaw_stiffness(wing.quarter_mac_x, 0.0) - wanted

    a, b = start.area_each, 1.1 * start.area_each
    fa, fb = miss(a), miss(b)
    for _ in range(SECANT_STEPS):
        if fb == fa or abs(fb) < 1e-10:
            break
        a, b, fa = b, min(max(b - fb * (b - a) / (fb - fa), 0.2 * b), 5 * b), fb
        fb = miss(b)
    return given(b if abs(fb) <= 1e-8 + 1e-6 * abs(wanted) and b < wing.area else None)


SECANT_STEPS = 12  # a nearly straight line needs about four
