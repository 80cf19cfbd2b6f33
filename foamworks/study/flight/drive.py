"""What does the fan give on which pack? Volts, current and static thrust at full throttle, at rest. SI.

The fan was measured on the stock pack: static thrust, and volts at the pack while it pulled its current. On another
pack thrust and current go with the square of the volts, and the volts are where pack and fan agree (`physics.circuit`).
Volts that only the new pack's cells can give were measured on that one.
"""

from dataclasses import dataclass

from foamworks.aircraft.hands_off import exit_area
from foamworks.design.airframe import Fan, Pack
from foamworks.design.model import Design
from foamworks.physics import circuit

SPECIFIC_RESISTANCE = 0.010 * 3600  # ohm A s: a cell of 1 Ah has about 10 milliohm (from memory, good cells half of it)
LEAST_CELL = 2.5  # V under load: below it a cell is ruined (common practice, no source)
SLACK = 0.1  # V a cell, a meter's error
USUAL_RESISTANCE = 0.005  # ohm, a cell whose capacity is not known either (from memory)


@dataclass(frozen=True)
class Drive:
    """The fan on one pack at full throttle, at rest; what cannot be known is None.

    volts [V] under load, current [A], static thrust [N], exit area [m2]. `assumed`: what was taken for granted;
    `stock`: on the pack the model was measured with.
    """

    volts: float | None
    current: float | None
    thrust: float | None
    exit_area: float | None
    assumed: str = ""
    stock: bool = True


def stock_pack(design: Design) -> Pack | None:
    """Give the pack the model was measured with."""
    battery = design.airframe.battery
    return battery.stock if battery is not None and battery.stock is not None else battery


def drive(design: Design, *, stock: bool) -> Drive | None:
    """Give the fan on the stock pack, or on the one to be flown; None without a fan."""
    unit = design.airframe.fan
    if unit is None:
        return None
    new, old = design.airframe.battery, stock_pack(design)
    alone = new is None or old is None or new is old
    measured = Drive(_measured_volts(unit, old), unit.current, unit.thrust, exit_area(unit), stock=alone or stock)
    if new is None or old is None or new is old or measured.volts is None:
        return measured
    measured_on = new if _only_fits(measured.volts, new, old) else old
    flown_on = old if stock else new
    return measured if flown_on is measured_on else _on_other_pack(unit, measured, measured_on, flown_on)


def _only_fits(volts: float, new: Pack, old: Pack) -> bool:
    """Tell whether the measured volts can be the new pack's and cannot be the stock one's: no cell gives over 4.2 V."""
    if new.cells is None or old.cells is None:
        return False
    least, most = LEAST_CELL, circuit.FULL_CELL + SLACK
    return not least <= volts / old.cells <= most and least <= volts / new.cells <= most


def _measured_volts(unit: Fan, pack: Pack | None) -> float | None:
    if unit.volts is not None:
        return unit.volts
    return None if pack is None or pack.cells is None else circuit.pack_volts(cells=pack.cells)


def _on_other_pack(unit: Fan, measured: Drive, before: Pack, now: Pack) -> Drive:
    """Carry the measured point over to a pack of other cells or another resistance."""
    volts = measured.volts or circuit.NOMINAL_CELL
    cells_before = before.cells or max(1, round(volts / circuit.NOMINAL_CELL))
    cells_now = now.cells or cells_before
    assumed = []
    if None in (before.cells, now.cells):
        assumed.append(f"{cells_before} cells where it was measured and {cells_now} here")
    if None in (before.resistance, now.resistance):
        assumed.append("the inner resistance of the cells by their capacity")
    current = unit.current or 0.0
    cell = volts / cells_before + current * _cell_resistance(before)
    loaded = circuit.fan_volts_on_pack(
        open_volts=cells_now * cell,
        resistance=cells_now * _cell_resistance(now),
        reference_volts=volts,
        current=current,
    )
    thrust, pulled = unit.thrust, unit.current
    return Drive(
        volts=loaded,
        current=None if pulled is None else circuit.fan_current(current=pulled, volts=loaded, reference_volts=volts),
        thrust=None if thrust is None else circuit.fan_thrust(thrust=thrust, volts=loaded, reference_volts=volts),
        exit_area=measured.exit_area,
        assumed=", ".join(assumed),
        stock=measured.stock,
    )


def _cell_resistance(pack: Pack) -> float:
    """Give the inner resistance of one cell [ohm]: measured, else by its capacity."""
    if pack.resistance is not None:
        return pack.resistance
    return USUAL_RESISTANCE if pack.capacity is None else SPECIFIC_RESISTANCE / pack.capacity
