"""The whole study of one solved design: each part from its own module, None where the design does not ask for it."""

from dataclasses import dataclass

from foamworks.aircraft.aero import Aero, Flying
from foamworks.aircraft.balance import Balance, study_balance
from foamworks.aircraft.fins import FinSet, new_fins, old_fin
from foamworks.aircraft.solve import Aircraft
from foamworks.aircraft.thrust_line import ThrustLine, study_thrust_line
from foamworks.parts.base import Parts
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.burn import Burn, study_burn
from foamworks.study.flight.takeoff import TakeOff, study_take_off
from foamworks.study.go_around import GoAround, study_go_around
from foamworks.study.heat import Heat, study_heat
from foamworks.study.ignition import IgnitionStudy, study_ignition
from foamworks.study.lateral import Lateral, study_lateral
from foamworks.study.nose import NoseStudy, study_nose
from foamworks.study.pod.hold import Proof, Slip, study_proof, study_slip
from foamworks.study.pod.room import PodRoom, study_pod_room
from foamworks.study.strength import Strength, fastest, study_strength
from foamworks.study.sureness import Sure, study_sureness
from foamworks.study.tolerance import Tolerance, study_tolerance


@dataclass(frozen=True)
class Study:
    """Everything that was worked out of a design and its parts, in SI."""

    flying: Flying | None
    old_fin: FinSet | None
    new_fins: FinSet | None
    balance: Balance | None
    thrust_line: ThrustLine | None
    nose: NoseStudy | None
    burn: Burn
    lateral: Lateral | None = None
    tolerance: Tolerance | None = None
    sureness: tuple[Sure, ...] = ()
    heat: Heat | None = None
    strength: Strength | None = None
    ignition: IgnitionStudy | None = None
    pod_room: PodRoom | None = None
    slip: Slip | None = None
    proof: Proof | None = None
    take_off: tuple[TakeOff, ...] = ()
    go_around: tuple[GoAround, ...] = ()

    @property
    def wing(self) -> ReferenceWing | None:
        """The reference wing."""
        return self.flying.wing if self.flying else None

    @property
    def aero(self) -> Aero | None:
        """The aerodynamics."""
        return self.flying.aero if self.flying else None


def study(aircraft: Aircraft, parts: Parts) -> Study:
    """Study a solved design; what the solver knows of the wing and the air is handed on, not worked out again."""
    design, flying = aircraft.design, aircraft.flying
    old, new = old_fin(design), new_fins(design)
    balance = study_balance(design, parts, flying, apart=aircraft.apart) if flying else None
    line = study_thrust_line(design, balance, aircraft.limited_by)
    tolerance = lateral = slip = None
    take_off: tuple[TakeOff, ...] = ()
    go_around: tuple[GoAround, ...] = ()
    if flying and balance:
        tolerance = study_tolerance(design, flying, balance, line, old_fin=old, new_fins=new)
    burn = study_burn(design, parts, flying, balance, line, tolerance.sampled if tolerance else None)
    if flying and balance:
        lateral = study_lateral(design, flying, balance)
        slip = study_slip(design, balance, flying.wing)
        take_off = study_take_off(design, balance, flying, burn.power) if burn.power else ()
        go_around = study_go_around(design, flying, balance, burn.power.drive) if burn.power else ()
    strength = study_strength(aircraft, parts, balance, fastest(design, burn))
    return Study(
        flying=flying,
        old_fin=old,
        new_fins=new,
        balance=balance,
        thrust_line=line,
        nose=study_nose(design),
        lateral=lateral,
        tolerance=tolerance,
        sureness=study_sureness(design, tolerance, burn.response.scattered),
        burn=burn,
        heat=study_heat(design),
        strength=strength,
        ignition=study_ignition(design),
        pod_room=study_pod_room(design, aircraft.pod, parts),
        slip=slip,
        proof=study_proof(strength.pod) if strength and strength.pod else None,
        take_off=take_off,
        go_around=go_around,
    )
