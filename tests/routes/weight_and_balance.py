"""Weight and balance as manuals write it: each load sheet's own formula, beside the program's moments; SI."""

from foamworks.physics.balance import Number, _require_apart
from foamworks.physics.ranges import positive


def after_moving(*, mass: Number, cg: Number, moved: Number, start: Number, end: Number) -> Number:
    """CG [m] after a part of the mass [kg] moves from start to end: x + m (end - start)/M; the total does not change.

    Source: FAA-H-8083-1B, weight shift formula.

    >>> after_moving(mass=8000.0, cg=77.0, moved=100.0, start=30.0, end=150.0)
    78.5
    """
    positive(mass=mass)
    return cg + moved * (end - start) / mass


def after_adding(*, mass: Number, cg: Number, added: Number, place: Number) -> Number:
    """CG [m] after a mass [kg] is added at a place, or taken away (negative). Source: FAA-H-8083-1B.

    >>> after_adding(mass=6860.0, cg=80.0, added=140.0, place=150.0)
    81.4
    """
    total = mass + added
    positive(mass=mass, total_mass=total)
    return (mass * cg + added * place) / total


def ballast_for(*, mass: Number, cg: Number, target: Number, place: Number) -> Number:
    """Ballast [kg] at a place that brings the CG to a target: M (target - cg)/(place - target).

    Negative where mass would have to come off there. place and target must differ.
    Source: FAA-H-8083-1B, weight added formula.

    >>> round(ballast_for(mass=5000.0, cg=80.0, target=80.5, place=150.0), 2)
    35.97
    """
    positive(mass=mass)
    _require_apart(place=place, target=target)
    return mass * (target - cg) / (place - target)


def shift_for(*, mass: Number, cg: Number, target: Number, start: Number, end: Number) -> Number:
    """Mass [kg] to be moved from start to end that brings the CG to a target: M (target - cg)/(end - start).

    Source: FAA-H-8083-1B, weight shift formula.

    >>> shift_for(mass=7500.0, cg=80.5, target=79.5, start=150.0, end=30.0)
    62.5
    """
    positive(mass=mass)
    _require_apart(start=start, end=end)
    return mass * (target - cg) / (end - start)


def percent_mac(*, cg: Number, mac_le: Number, mac: Number) -> Number:
    """CG in percent of the mean aerodynamic chord, aft of that chord's leading edge; x and chord [m].

    >>> round(percent_mac(cg=724.0, mac_le=517.0, mac=1189.0), 2)
    17.41
    """
    positive(mac=mac)
    return 100 * (cg - mac_le) / mac
