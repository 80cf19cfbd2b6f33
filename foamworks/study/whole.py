"""The whole study of one solved design: each part from its own module, None where the design does not ask for it."""

from dataclasses import dataclass

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import Balance, Put, study_balance
from foamworks.aircraft.fins import FinSet, new_fins, old_fin
from foamworks.aircraft.thrust_line import ThrustLine, study_thrust_line
from foamworks.design.model import Design
from foamworks.parts.base import Parts
from foamworks.physics.planform import ReferenceWing
from foamworks.study.flight.burn import Burn, study_burn
from foamworks.study.flight.burn_case import burn_cases
from foamworks.study.flight.scatter import Scatter
from foamworks.study.flight.takeoff import TakeOff, study_take_off
from foamworks.study.heat import Heat, study_heat
from foamworks.study.hold import Proof, Slip, study_proof, study_slip
from foamworks.study.ignition import IgnitionStudy, study_ignition
from foamworks.study.lateral import Lateral, study_lateral
from foamworks.study.nose import NoseStudy, study_nose
from foamworks.study.pod_room import PodRoom, study_pod_room
from foamworks.study.strength import Strength, fastest, study_strength
from foamworks.study.sureness import Sure, study_scatter, study_sureness
from foamworks.study.tolerance import Tolerance, study_tolerance


@dataclass(frozen=True)
class Study:
    """Everything that was worked out of a design and its parts, in SI."""

    wing: ReferenceWing | None
    aero: Aero | None
    old_fin: FinSet | None
    new_fins: FinSet | None
    balance: Balance | None
    thrust_line: ThrustLine | None
    nose: NoseStudy | None
    lateral: Lateral | None = None
    tolerance: Tolerance | None = None
    sureness: tuple[Sure, ...] = ()
    scattered: tuple[Scatter, ...] = ()
    burn: Burn | None = None
    heat: Heat | None = None
    strength: Strength | None = None
    ignition: IgnitionStudy | None = None
    pod_room: PodRoom | None = None
    slip: Slip | None = None
    proof: Proof | None = None
    take_off: tuple[TakeOff, ...] = ()


def study(
    design: Design,
    parts: Parts,
    *,
    wing: ReferenceWing | None,
    aero: Aero | None,
    apart: Put | None,
    limited_by: str | None,
) -> Study:
    """Study a solved design; what the solver knows of the wing and the air is handed on, not worked out again."""
    balance = None
    if wing is not None and aero is not None:
        balance = study_balance(design, parts, aero, wing, apart=apart)
    line = study_thrust_line(design, balance, limited_by)
    old, new = old_fin(design), new_fins(design)
    tolerance = None
    if wing is not None and aero is not None and balance is not None:
        tolerance = study_tolerance(
            design, parts, wing=wing, aero=aero, balance=balance, thrust_line=line, old_fin=old, new_fins=new
        )
    burn = study_burn(design, parts, aero=aero, wing=wing, balance=balance, line=line)
    strength = study_strength(design, parts, wing=wing, aero=aero, balance=balance, fast=fastest(design, burn))
    cases = []
    if aero is not None and wing is not None and balance is not None and line is not None:
        cases = burn_cases(design, balance, aero.modified, wing, burn.power, burn.boosts)
    scattered = study_scatter(tolerance, cases)
    return Study(
        wing=wing,
        aero=aero,
        old_fin=old,
        new_fins=new,
        balance=balance,
        thrust_line=line,
        nose=study_nose(design),
        lateral=study_lateral(design, aero, wing, balance) if wing is not None and aero is not None else None,
        tolerance=tolerance,
        sureness=study_sureness(design, tolerance, scattered),
        scattered=scattered,
        burn=burn,
        heat=study_heat(design),
        strength=strength,
        ignition=study_ignition(design),
        pod_room=study_pod_room(design, parts),
        slip=study_slip(design, balance, wing) if wing is not None and balance is not None else None,
        proof=study_proof(strength.pod) if strength is not None and strength.pod is not None else None,
        take_off=_take_off(design, balance, wing, burn),
    )


def _take_off(design: Design, balance: Balance | None, wing: ReferenceWing | None, burn: Burn) -> tuple[TakeOff, ...]:
    if balance is None or wing is None or burn.power is None:
        return ()
    return study_take_off(design, balance, wing, burn.power)
