"""What the fins, the wing and the firing circuit stand, as the JSON holds it: km/h, MPa, g, A."""

from typing import Any

from foamworks.checks.case import Case


def section(case: Case) -> dict[str, Any]:
    """Give `strength` and `ignition`, each only when the design asks for it."""
    data: dict[str, Any] = {}
    strength, ignition = case.study.strength, case.study.ignition
    if strength is not None:
        data["strength"] = {
            "flutter_speed_km_h": None if strength.flutter is None else 3.6 * strength.flutter,
            "fin_root_stress_MPa": None if strength.fin is None else 1e-6 * strength.fin.stress,
            "wing_load_factor": None if strength.wing is None else strength.wing.stands,
        }
    if ignition is not None:
        data["ignition"] = {
            "current_A": ignition.current,
            "all_fire_margin": ignition.all_fire_margin,
            "continuity_A": ignition.continuity,
        }
    return data
