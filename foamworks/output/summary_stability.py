"""What the study knows of swinging sideways, of inertia and of its own sureness, as keys of the JSON object."""

from foamworks.checks.case import Case
from foamworks.design.ladder import NO_MOTOR
from foamworks.errors import given, where_given
from foamworks.output.keys import Row, part, told_of
from foamworks.physics.modes import Mode
from foamworks.study.inertia import own_inertia, state_inertia
from foamworks.study.lateral import Lateral
from foamworks.study.strength import Strength
from foamworks.study.tolerance import Tolerance


def section(case: Case) -> Row:
    """Give `inertia`, `lateral`, `strength`, `ignition` and `tolerance`, each only where the design allows it."""
    study = case.study
    data = part("inertia", _inertia(case), dict) | part("lateral", study.lateral, _lateral)
    if study.tolerance:
        data["sureness"] = [told_of(row, "what", "share") for row in study.sureness]
        data["tolerance"] = _tolerance(study.tolerance)
    data |= part("strength", study.strength, _strength)
    circuit = ("current_A", "all_fire_margin", "continuity_A")
    return data | part("ignition", study.ignition, lambda found: told_of(found, *circuit))


def _strength(found: Strength) -> Row:
    """What the fins and the wing stand."""
    stress, load = told_of(found.fin, fin_root_stress_MPa="stress"), told_of(found.wing, wing_load_factor="stands")
    return told_of(found, flutter_speed_km_h="flutter") | stress | load


def _tolerance(found: Tolerance) -> Row:
    return {
        "samples": found.samples,
        "holds": [told_of(row, "check", "subject", "share") for row in found.holds],
        "matters": [told_of(row, "measurement", "share") for row in found.matters],
    }


def _lateral(found: Lateral) -> list[Row]:
    return [
        told_of(row, "model", "flight", "speed_km_h")
        | {"dutch_roll": _mode(row.dutch_roll), "spiral": _mode(row.spiral)}
        for row in found.rows
    ]


@where_given
def _inertia(case: Case) -> Row:
    """Moments of inertia about the centre of gravity of `no motor`."""
    wing, balance = given(case.study.wing), given(case.study.balance)
    own = given(own_inertia(case.design.airframe, wing))
    found = given(state_inertia(case.design, wing, balance.row(NO_MOTOR).loads))
    moments = told_of(found, roll_kg_m2="xx", pitch_kg_m2="yy", yaw_kg_m2="zz", product_kg_m2="xz")
    return {"state": NO_MOTOR.name, **moments, **told_of(own, "measured", "source")}


def _mode(mode: Mode) -> Row | None:
    """Give a mode; null for one that has joined another."""
    row = told_of(mode, "damping_ratio", "period_s", halves_in_s="time_to_halve", doubles_in_s="time_to_double")
    return row if mode.roots else None
