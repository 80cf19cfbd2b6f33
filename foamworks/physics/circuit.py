"""What current fires the igniter, and what the flight pack gives under load; SI: V, A, ohm, m, m2, charge in A s.

Firing: one loop of pack, wire and igniter. Flying: a pack with an inner resistance feeds a fan of fixed pitch.
"""

import math
from typing import Literal

from foamworks.errors import PhysicsError
from foamworks.physics.ranges import not_negative, positive

COPPER_RESISTIVITY = 1.72e-8  # ohm m at 20 C, handbook value for annealed copper (CRC Handbook; from memory)
NOMINAL_CELL = 3.7  # V, lithium polymer as labelled
FULL_CELL = 4.2  # V, lithium polymer charged
USABLE_SHARE = 0.80  # of the capacity; custom of the trade 75 to 80 %
C_RATING_SHARE = 0.5  # of the printed C rating that can be had in earnest; custom of the trade
CONTINUITY_CUSTOM = 0.02  # A, the most a test current should be whatever the igniter; custom of the trade

Continuity = Literal["safe", "above custom", "above no-fire"]


def wire_resistance(*, length: float, area: float) -> float:
    """Resistance [ohm] of copper wire at 20 C, rho L/A; length there and back [m], copper section [m2].

    Source: resistivity 1.72e-8 ohm m, handbook.

    >>> round(wire_resistance(length=0.6, area=0.5e-6), 5)
    0.02064
    """
    positive(area=area)
    not_negative(length=length)
    return COPPER_RESISTIVITY * length / area


def firing_current(*, volts: float, igniter: float, wire: float = 0.0, pack: float = 0.0) -> float:
    """Current [A] through the igniter, V/(R_igniter + R_wire + R_pack); pack volts at rest, resistances [ohm].

    Source: Ohm's law. Contacts of a plug add 0.01 to 0.05 ohm each (common practice, no source).
    """
    positive(volts=volts, igniter=igniter)
    not_negative(wire=wire, pack=pack)
    return volts / (igniter + wire + pack)


def all_fire_margin(*, current: float, all_fire: float) -> float:
    """Firing current over the igniter's all-fire current [A]; at least 2 is wanted (custom of the trade)."""
    positive(all_fire=all_fire)
    not_negative(current=current)
    return current / all_fire


def continuity(*, test_current: float, no_fire: float, custom: float = CONTINUITY_CUSTOM) -> Continuity:
    """Judge a test current [A]: it must stay under the igniter's least no-fire current and under the custom [A].

    A test current at or above a limit is not under it. Under 0.3 A alone is no safety: makers of dipped igniters ask
    for less than a seventh of it.

    >>> continuity(test_current=0.12, no_fire=0.3)
    'above custom'
    """
    positive(no_fire=no_fire, custom=custom)
    not_negative(test_current=test_current)
    if test_current >= no_fire:
        return "above no-fire"
    return "safe" if test_current < custom else "above custom"


def pack_volts(*, cells: int, cell: float = NOMINAL_CELL) -> float:
    """Volts of a pack of `cells` in a row at `cell` volts each."""
    positive(cells=cells, cell=cell)
    return cells * cell


def current_limit(*, capacity: float, c_rating: float, share: float = C_RATING_SHARE) -> float:
    """Current [A] the pack can be asked for: share x C x capacity; capacity [A s], c_rating per hour.

    Half the printed rating by custom of the trade.

    >>> round(current_limit(capacity=2.2 * 3600, c_rating=45), 6)
    49.5
    """
    positive(capacity=capacity, c_rating=c_rating, share=share)
    return share * c_rating * capacity / 3600


def flight_time(*, capacity: float, current: float, usable: float = USABLE_SHARE) -> float:
    """Time [s] at a steady current [A] from a capacity [A s], leaving 20 % in the pack (custom of the trade).

    >>> round(flight_time(capacity=2.2 * 3600, current=42), 1)
    150.9
    """
    positive(capacity=capacity, current=current)
    if not 0 < usable <= 1:
        raise PhysicsError(f"usable = {usable:g}: must lie within 0 and 1")
    return usable * capacity / current


def fan_thrust(*, thrust: float, volts: float, reference_volts: float) -> float:
    """Static thrust [N] at other volts, T (V/V_0)^2, from the thrust measured at the reference volts.

    Source: the fan law (a fan of fixed shape: thrust and torque go with rpm^2) on a motor whose rpm goes with the
    volts (its Kv). The winding's resistance is left out: near to the measured volts, within 20 %, it is a good rule.
    """
    positive(volts=volts, reference_volts=reference_volts)
    return thrust * (volts / reference_volts) ** 2


def fan_current(*, current: float, volts: float, reference_volts: float) -> float:
    """Current [A] at other volts, I (V/V_0)^2: current goes with torque, torque with rpm^2. Source: `fan_thrust`."""
    positive(volts=volts, reference_volts=reference_volts)
    return current * (volts / reference_volts) ** 2


def fan_volts_on_pack(*, open_volts: float, resistance: float, reference_volts: float, current: float) -> float:
    """Volts at which a pack and the fan agree: V = E - R I with I = I_0 (V/V_0)^2, the positive root.

    open_volts E of the pack [V], its resistance R [ohm], 0 allowed; `current` I_0 [A] measured at reference_volts V_0.
    Source: Ohm's law and `fan_current`.

    >>> volts = fan_volts_on_pack(open_volts=16.0, resistance=0.02, reference_volts=15.0, current=42)
    >>> round(volts + 0.02 * fan_current(current=42, volts=volts, reference_volts=15.0), 9)
    16.0
    """
    positive(open_volts=open_volts, reference_volts=reference_volts)
    not_negative(resistance=resistance, current=current)
    droop = resistance * current / reference_volts**2
    return 2 * open_volts / (1 + math.sqrt(1 + 4 * droop * open_volts))
