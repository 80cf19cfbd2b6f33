"""What current does the igniter get, how sure is that to fire it, and is the test current safe? SI: V, A, ohm.

One loop of pack, wire and igniter, the pack at its nominal 3.7 V a cell (lithium polymer). What was not measured is
left out of the loop, which makes the current the most that it can be; `missing` names it. Two pods' igniters hang side
by side on one pack and share its wire.
"""

import math
from dataclasses import dataclass

from foamworks.design.additions import Ignition
from foamworks.design.model import Design
from foamworks.errors import given, where_given
from foamworks.physics import circuit
from foamworks.units import measured


@dataclass(frozen=True)
class IgnitionStudy:
    """The firing loop: cells, volts at rest, resistances [ohm], current [A], that over all-fire, the test current [A].

    NaN where igniter or pack are not given. `each`: the current through each of two igniters side by side, the current
    itself for one. `missing`: keys of the design that were left out of the loop.
    """

    cells: int
    volts: float
    igniter: float
    wire: float
    pack: float
    current: float
    each: float
    all_fire_margin: float
    continuity: float
    missing: tuple[str, ...]


@where_given
def study_ignition(design: Design) -> IgnitionStudy:
    """Study the firing circuit; None without an [ignition] table."""
    asked = given(design.ignition)
    pack, igniter = asked.pack, asked.igniter
    wire = 0.0
    if asked.wire:
        wire = circuit.wire_resistance(length=asked.wire.length, area=asked.wire.gauge_mm2)  # read as SI: m2
    volts = circuit.pack_volts(cells=pack.cells) if pack else math.nan
    inner = pack.resistance if pack else 0.0
    current = each = margin = math.nan
    if pack and igniter and igniter.resistance > 0:
        current = circuit.firing_current(volts=volts, igniter=igniter.resistance, wire=wire, pack=inner)
        each = circuit.firing_current(
            volts=volts, igniter=igniter.resistance, wire=igniters(design) * wire, pack=igniters(design) * inner
        )
        margin = circuit.all_fire_margin(current=current, all_fire=igniter.all_fire)
    return IgnitionStudy(
        cells=pack.cells if pack else 0,
        volts=volts,
        igniter=igniter.resistance if igniter else math.nan,
        wire=wire,
        pack=inner,
        current=current,
        each=each,
        all_fire_margin=margin,
        continuity=measured(asked.continuity),
        missing=_missing(asked),
    )


def igniters(design: Design) -> int:
    """Give how many igniters are fired at once: one a pod."""
    return design.pod.count if design.pod else 1


def _missing(asked: Ignition) -> tuple[str, ...]:
    found = []
    if not asked.wire:
        found.append("the wire")
    if asked.pack and "resistance" not in asked.pack.model_fields_set:
        found.append("the pack's resistance")
    return tuple(found)
