"""What the study knows of swinging sideways, of inertia and of its own sureness, as keys of the JSON object."""

from foamworks.aircraft.masses import NO_MOTOR
from foamworks.checks.case import Case
from foamworks.output.keys import Row, told, told_of
from foamworks.physics.modes import Mode
from foamworks.study.inertia import own_inertia, state_inertia


def section(case: Case) -> Row:
    """Give `inertia`, `lateral`, `strength`, `ignition` and `tolerance`, each only where the design allows it."""
    data: Row = {}
    study = case.study
    inertia = _inertia(case)
    if inertia is not None:
        data["inertia"] = inertia
    if study.lateral is not None:
        data["lateral"] = [
            told_of(row, "model", "flight", "speed_km_h")
            | {"dutch_roll": _mode(row.dutch_roll), "spiral": _mode(row.spiral)}
            for row in study.lateral.rows
        ]
    if study.tolerance is not None:
        tolerance = study.tolerance
        data["sureness"] = [{"what": row.what, "share": row.share} for row in study.sureness]
        data["tolerance"] = {
            "samples": tolerance.samples,
            "holds": [{"check": h.check, "subject": h.subject, "share": h.share} for h in tolerance.holds],
            "matters": [{"measurement": m.measurement, "share": m.share} for m in tolerance.matters],
        }
    return data | _strength(case)


def _strength(case: Case) -> Row:
    """What the fins, the wing and the firing circuit stand, each only when the design asks for it."""
    data: Row = {}
    strength, ignition = case.study.strength, case.study.ignition
    if strength is not None:
        data["strength"] = told(
            flutter_speed_km_h=strength.flutter,
            fin_root_stress_MPa=strength.fin.stress if strength.fin else None,
            wing_load_factor=strength.wing.stands if strength.wing else None,
        )
    if ignition is not None:
        data["ignition"] = told(
            current_A=ignition.current, all_fire_margin=ignition.all_fire_margin, continuity_A=ignition.continuity
        )
    return data


def _inertia(case: Case) -> Row | None:
    """Moments of inertia about the centre of gravity of `no motor`."""
    study, airframe = case.study, case.design.airframe
    if study.wing is None or study.balance is None:
        return None
    own = own_inertia(airframe, study.wing)
    found = state_inertia(case.design, study.wing, study.balance.row(NO_MOTOR).loads)
    if own is None or found is None:
        return None
    return {
        "state": NO_MOTOR,
        "roll_kg_m2": found.xx,
        "pitch_kg_m2": found.yy,
        "yaw_kg_m2": found.zz,
        "product_kg_m2": found.xz,
        "measured": own.measured,
        "source": own.source,
    }


def _mode(mode: Mode | None) -> Row | None:
    """Give a mode; null for one that has joined another."""
    if mode is None:
        return None
    return {
        "damping_ratio": mode.damping_ratio,
        "period_s": mode.period,
        "halves_in_s": mode.time_to_halve,
        "doubles_in_s": mode.time_to_double,
    }
