"""How large are the old and the new fins, and how far aft? Areas, arms and volume coefficients from geometry alone. SI.

A fin's span coordinate runs along the fin from its root, so that cant changes neither its area nor its shape.
Volume coefficient = count x area x arm x cos^2(cant) / (wing area x span); the arm runs from the wing's to the fin's
quarter-chord point, both on the mean aerodynamic chord. Source: the common textbook definition (Raymer, *Aircraft
Design*, ch. 6, from memory); cos^2 of the cant for the yaw part: NACA TR 823 (equations from memory).
"""

import math
from dataclasses import dataclass, replace

from foamworks.design.additions import FinAsBuilt, Fins
from foamworks.design.airframe import Airframe
from foamworks.design.model import Design
from foamworks.design.old_fin import OldFin
from foamworks.errors import given, where_given
from foamworks.physics import planform, straight_edges
from foamworks.physics.planform import ReferenceWing, Stations


@dataclass(frozen=True)
class WantedShape:
    """The shape a new fin keeps while it is scaled."""

    aspect_ratio: float
    taper: float
    sweep: float


@dataclass(frozen=True)
class FinSet:
    """Fins of one kind on the aircraft: the shape of one, how many, where the root stands (y, z of s = 0), its cant.

    `drawn`: the shape was read from an outline, whose tip may be rounded.
    """

    stations: Stations
    count: int
    y: float
    z: float
    cant: float
    area_each: float
    drawn: bool = False

    @property
    def area(self) -> float:
        """Area of all of them [m2], along the fin."""
        return self.count * self.area_each

    def scaled(self, k: float) -> "FinSet":
        """The same shape `k` times as large, about its root's leading edge."""
        return replace(self, stations=self.stations.scaled(k), area_each=self.area_each * k**2)

    def arm(self, wing: ReferenceWing) -> float:
        """Distance from the wing's to the fins' quarter-chord point [m]."""
        return self.stations.quarter_mac_x - wing.quarter_mac_x

    @property
    def shape(self) -> WantedShape:
        """The shape of straight-edged fins."""
        return WantedShape(self.stations.aspect_ratio, self.stations.taper, self.stations.sweep)

    @property
    def trapezoid(self) -> Stations:
        """The straight-edged fin that a drawn one comes nearest to."""
        return straight_edges.straight_edged(self.stations)

    @property
    def misfit(self) -> float:
        """Share of a drawn fin's area that lies outside of its trapezoid, or is missing in it [-]."""
        return straight_edges.misfit(self.stations, self.trapezoid)

    def volume_coefficient(self, wing: ReferenceWing) -> float:
        """Tail volume coefficient [-]."""
        return planform.volume_coefficient(
            fin_area=self.area, arm=self.arm(wing), wing_area=wing.area, span=wing.span, cant=self.cant
        )


@where_given
def wing_stations(airframe: Airframe) -> Stations:
    """Give the wing's stations, starboard half as given."""
    return given(airframe.wing).half


@where_given
def tail_stations(airframe: Airframe) -> Stations:
    """Give the tailplane's stations, starboard half as given."""
    return given(airframe.tailplane).half


@where_given
def reference(design: Design) -> ReferenceWing:
    """Give the gross wing all coefficients are made with."""
    return planform.reference_wing(given(wing_stations(design.airframe)))


@where_given
def old_fin(design: Design) -> FinSet:
    """Give the fin that comes off; its span coordinate is z itself."""
    fin = given(design.airframe.fin)
    stations, area = _old_shape(fin)
    y = abs(fin.y) if fin.count == 2 else 0.0
    return FinSet(stations, fin.count, y, stations.s[0], 0.0, area, drawn=bool(fin.drawn))


def _old_shape(fin: OldFin) -> tuple[Stations, float]:
    rows = fin.rows
    if rows:
        stations = Stations(x=tuple(s.x for s in rows), s=tuple(s.z for s in rows), chord=tuple(s.chord for s in rows))
        return stations, stations.area
    return planform.outline_stations(fin.drawn), planform.outline_area(fin.drawn)


def as_built(fins: Fins, each: FinAsBuilt) -> FinSet:
    """Give the new fins from their measures; s = 0 at the root."""
    x = fins.root.x
    stations = Stations(
        x=(x, x + each.height * math.tan(each.sweep)), s=(0.0, each.height), chord=(each.root_chord, each.tip_chord)
    )
    return FinSet(stations, fins.count, fins.root.y, fins.root.z, fins.cant, stations.area)


@where_given
def new_fins(design: Design) -> FinSet:
    """Give the new fins, once they are sized."""
    fins = given(design.fins)
    return as_built(fins, given(fins.each))


def fins_on(design: Design) -> tuple[FinSet, ...]:
    """Give the fins that the finished model has: the new ones, else those it came with; none before they are sized."""
    fins = new_fins(design) if design.fins else old_fin(design)
    return (fins,) if fins else ()


@where_given
def wanted_shape(fins: Fins, old: FinSet | None) -> WantedShape:
    """Give the shape asked for; what the design leaves out is taken from the old fin. None when neither is there."""
    asked = (fins.shape.aspect_ratio, fins.shape.taper, fins.shape.sweep) if fins.shape else (None, None, None)
    taken = _shape_of(old) if old else asked
    return WantedShape(*(given(b if a is None else a) for a, b in zip(asked, taken, strict=True)))


def _shape_of(old: FinSet) -> tuple[float, float, float]:
    """Aspect ratio, taper and sweep of a fin; where a slanting root cuts it off, its edges count from above that.

    The taper of a fin that runs to a point at its foot is NaN: it has none. A drawn one's are its trapezoid's.
    """
    stations = old.stations
    low = planform.widest_low(stations)
    if stations.chord[low] <= 0:
        return stations.aspect_ratio, math.nan, 0.0
    if old.drawn:
        return stations.aspect_ratio, old.trapezoid.taper, old.trapezoid.sweep
    sweep = math.atan2(stations.x[-1] - stations.x[low], stations.s[-1] - stations.s[low])
    return stations.aspect_ratio, stations.chord[-1] / stations.chord[low], sweep


def shaped(shape: WantedShape, area: float) -> FinAsBuilt:
    """Give one fin's measures at an area [m2]."""
    stations = planform.trapezoid(aspect_ratio=shape.aspect_ratio, taper=shape.taper, sweep=shape.sweep, area=area)
    return FinAsBuilt.model_construct(
        root_chord=stations.chord[0], tip_chord=stations.chord[1], height=stations.height, sweep=shape.sweep
    )


def size_by_volume(fins: Fins, shape: WantedShape, wanted: float, wing: ReferenceWing) -> FinAsBuilt | None:
    """Scale the fin about its root's leading edge until the volume coefficient is the wanted one.

    With the linear scale k the coefficient is a k^2 (b + c k), rising while the arm is positive; None when no scale up
    to a fin as high as the span does it (the root stands too far forward), or the wanted one is not above 0.
    """
    if wanted <= 0:
        return None
    unit = as_built(fins, shaped(shape, 1.0))
    start = fins.root.x - wing.quarter_mac_x
    growth = unit.stations.quarter_mac_x - fins.root.x
    factor = fins.count * math.cos(fins.cant) ** 2 / (wing.area * wing.span)
    low = max(0.0, -start / growth) if growth > 0 else 0.0
    high = wing.span / unit.stations.height

    def short(k: float) -> float:
        return factor * k * k * (start + growth * k) - wanted

    if short(high) < 0:
        return None
    while low < (middle := (low + high) / 2) < high:  # to the last bit: no optimiser's tolerance in a 1e-6 promise
        low, high = (middle, high) if short(middle) < 0 else (low, middle)
    return shaped(shape, middle * middle)


@where_given
def size_as_old(fins: Fins, old: FinSet, wing: ReferenceWing) -> FinAsBuilt:
    """Give the size at which fins of the shape asked for have the old one's volume; None where none has."""
    return given(size_by_volume(fins, given(wanted_shape(fins, old)), old.volume_coefficient(wing), wing))
