"""What the fins, the wing and the firing circuit stand, as the JSON holds it: km/h, MPa, g, A."""

from foamworks.checks.case import Case
from foamworks.output.keys import Row, told


def section(case: Case) -> Row:
    """Give `strength` and `ignition`, each only when the design asks for it."""
    data: Row = {}
    strength, ignition = case.study.strength, case.study.ignition
    if strength is not None:
        data["strength"] = told(
            flutter_speed_km_h=strength.flutter,
            fin_root_stress_MPa=strength.fin.stress if strength.fin else None,
            wing_load_factor=strength.wing.stands if strength.wing else None,
        )
    if ignition is not None:
        data["ignition"] = {
            "current_A": ignition.current,
            "all_fire_margin": ignition.all_fire_margin,
            "continuity_A": ignition.continuity,
        }
    return data
