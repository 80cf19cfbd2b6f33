"""Drag of a model that keeps its speed; SI."""

from foamworks.physics.flight.drag import dynamic_pressure


def drag_area_from_level_flight(*, thrust: float, speed: float, density: float) -> float:
    """Whole drag area [m2] of a model in level flight at constant speed [m/s]: thrust there [N] over rho V^2/2."""
    return thrust / dynamic_pressure(speed=speed, density=density)
