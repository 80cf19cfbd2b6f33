"""What does the fan give on which pack? Volts, current and static thrust at full throttle, at rest. SI.

The fan was measured on the stock pack: static thrust, and volts at the pack while it pulled its current. On another
pack thrust and current go with the square of the volts, and the volts are where pack and fan agree (`physics.circuit`).
Volts that only the new pack's cells can give were measured on that one.
"""

import math
from dataclasses import dataclass, replace

from foamworks.aircraft.hands_off import exit_area
from foamworks.design.airframe import Fan, Pack
from foamworks.design.model import Design
from foamworks.errors import not_measured
from foamworks.physics import circuit
from foamworks.units import first_measured

SPECIFIC_RESISTANCE = 0.010 * 3600  # ohm A s: a cell of 1 Ah has about 10 milliohm (from memory, good cells half of it)
LEAST_CELL = 2.5  # V under load: below it a cell is ruined (common practice, no source)
SLACK = 0.1  # V a cell, a meter's error
USUAL_RESISTANCE = 0.005  # ohm, a cell whose capacity is not known either (from memory)


@dataclass(frozen=True)
class Drive:
    """The fan on one pack at full throttle, at rest; what cannot be known, all of it without a fan, is NaN.

    volts [V] under load, current [A], static thrust [N], exit area [m2]. `assumed`: what was taken for granted;
    `stock`: on the pack the model was measured with.
    """

    volts: float = math.nan
    current: float = math.nan
    thrust: float = math.nan
    exit_area: float = math.nan
    assumed: str = ""
    stock: bool = True

    @property
    def jet(self) -> float:
        """Thrust over the exit's area [Pa]; NaN where its thrust is not known at every speed."""
        return self.thrust / self.exit_area

    @property
    def pushes(self) -> bool:
        """Tell whether its thrust is known at every speed."""
        return math.isfinite(self.jet)


def stock_pack(design: Design) -> Pack | None:
    """Give the pack the model was measured with."""
    battery = design.airframe.battery
    return battery.weighed_with if battery else None


def drive(design: Design, *, stock: bool) -> Drive:
    """Give the fan on the stock pack, or on the one to be flown."""
    unit = design.airframe.fan
    if unit is None:
        return Drive()
    new, old = design.airframe.battery, stock_pack(design)
    volts, alone = _measured_volts(unit, old), new is old
    there = Drive(volts, unit.current, unit.thrust, exit_area(unit), stock=alone or stock)
    if new is None or old is None or alone or not math.isfinite(volts):
        return there
    measured_on = new if _only_fits(volts, new, old) else old
    flown_on = old if stock else new
    return there if flown_on is measured_on else _on_other_pack(there, measured_on, flown_on)


def _only_fits(volts: float, new: Pack, old: Pack) -> bool:
    """Tell whether the measured volts can be the new pack's and cannot be the stock one's: no cell gives over 4.2 V."""
    if new.cells is None or old.cells is None:
        return False
    least, most = LEAST_CELL, circuit.FULL_CELL + SLACK
    return not least <= volts / old.cells <= most and least <= volts / new.cells <= most


def _measured_volts(unit: Fan, pack: Pack | None) -> float:
    return first_measured(unit.volts, circuit.pack_volts(cells=pack.cells) if pack and pack.cells else math.nan)


def _on_other_pack(there: Drive, before: Pack, now: Pack) -> Drive:
    """Carry the measured point over to a pack of other cells or another resistance."""
    volts = there.volts
    cells_before = before.cells or max(1, round(volts / circuit.NOMINAL_CELL))
    cells_now = now.cells or cells_before
    assumed = []
    if None in (before.cells, now.cells):
        assumed.append(f"{cells_before} cells where it was measured and {cells_now} here")
    if not_measured(before.resistance + now.resistance):
        assumed.append("the inner resistance of the cells by their capacity")
    current = there.current if math.isfinite(there.current) else 0.0
    cell = volts / cells_before + current * _cell_resistance(before)
    loaded = circuit.fan_volts_on_pack(
        open_volts=cells_now * cell,
        resistance=cells_now * _cell_resistance(now),
        reference_volts=volts,
        current=current,
    )
    return replace(
        there,
        volts=loaded,
        current=circuit.fan_current(current=there.current, volts=loaded, reference_volts=volts),
        thrust=circuit.fan_thrust(thrust=there.thrust, volts=loaded, reference_volts=volts),
        assumed=", ".join(assumed),
    )


def _cell_resistance(pack: Pack) -> float:
    """Give the inner resistance of one cell [ohm]: measured, else by its capacity."""
    return first_measured(pack.resistance, SPECIFIC_RESISTANCE / pack.capacity, USUAL_RESISTANCE)
