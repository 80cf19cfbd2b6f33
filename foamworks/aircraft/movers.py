"""What may be moved to balance the model: the flight battery, and the ignition pack where it was left open. SI."""

from collections.abc import Iterable
from dataclasses import dataclass

from foamworks.aircraft.masses import battery_place, pack_mass, pack_slide
from foamworks.design.ladder import NO_POD, State
from foamworks.design.model import Design
from foamworks.design.quantity import is_open


@dataclass(frozen=True)
class Mover:
    """Something that may be put anywhere between two places [m]; [kg], 0 for nothing."""

    mass: float
    first: float
    last: float

    def nearest(self, x: float) -> float:
        """Give the place on its slide nearest to x."""
        return min(max(x, self.first), self.last)


@dataclass(frozen=True)
class Movers:
    """Battery and ignition pack; taken as one mass they have one slide, and the battery moves first."""

    battery: Mover
    pack: Mover

    @property
    def mass(self) -> float:
        """Both [kg]."""
        return self.battery.mass + self.pack.mass

    @property
    def slide(self) -> tuple[float, float]:
        """Where their common centre may lie [m]."""
        if self.mass == 0:
            return self.battery.first, self.battery.last
        pair = (self.battery, self.pack)
        first, last = (
            sum(m.mass * place for m, place in zip(pair, places, strict=True)) / self.mass
            for places in ([m.first for m in pair], [m.last for m in pair])
        )
        return first, last

    def apart(self, centre: float) -> tuple[float, float]:
        """Give battery and pack [m] for their common centre: the pack leaves its middle only where the battery ends."""
        middle = (self.pack.first + self.pack.last) / 2
        moment = centre * self.mass
        if self.battery.mass == 0:
            return self.battery.first, self.pack.nearest(centre)
        battery = self.battery.nearest((moment - self.pack.mass * middle) / self.battery.mass)
        if self.pack.mass == 0:
            return centre, middle
        return battery, self.pack.nearest((moment - self.battery.mass * battery) / self.pack.mass)


def movers_of(design: Design, states: Iterable[State]) -> Movers:
    """Give what may be moved in the these states; the pack is aboard with the pod only."""
    battery = design.airframe.moving_battery
    found = Mover(0.0, 0.0, 0.0)
    if battery:
        x = battery_place(battery)[1]
        ends = battery.slide if is_open(battery.x) and battery.slide else (x, x)
        found = Mover(battery.mass, *ends)
    slide = pack_slide(design)
    if slide is None or all(state == NO_POD for state in states):
        return Movers(found, Mover(0.0, 0.0, 0.0))
    return Movers(found, Mover(pack_mass(design), *slide))
