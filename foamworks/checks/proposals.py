"""What a finding can propose: work at the bench that has a key, a motor left out."""

import math
from collections.abc import Iterator
from typing import Literal

from foamworks.checks.base import Proposal
from foamworks.design.edit import Edit, entry_key
from foamworks.design.ladder import motors_by_size, named
from foamworks.design.model import Design
from foamworks.units import grams, mm, said

TIP_LEAD = "tip lead"


def built(words: str, key: str, value: float | bool, unit: str = "") -> Proposal:
    """Propose work at the bench that has a key: what was built is typed there, once it is."""
    return Proposal(words, "bench", (Edit(f"build.{key}", value, unit),))


def tip_lead(design: Design, moment: float, tip: float, x: float, start: str | None) -> Proposal:
    """Propose lead in the other wing tip [m from the middle] against a moment [kg m], from a flight on.

    It is typed as one of [[changes]]; where there is one of its name already, that one is to be weighed anew.
    """
    side, own = "port" if moment > 0 else "starboard", entry_key("changes", TIP_LEAD)
    lead, y = round(grams(abs(moment) / tip), 1), -math.copysign(math.floor(mm(tip)), moment)
    words = f"glue {lead:.1f} g of lead into the {side} wing tip, {said(tip, 'mm', 0)} from the middle"
    if any(change.name == TIP_LEAD for change in design.changes):
        return Proposal(f"{words}, more than is there")
    wing = design.airframe.wing
    if wing is not None:  # in the tip itself
        row = wing.stations[-1]
        x = min(max(x, row.x + row.chord / 8), row.x + row.chord * 7 / 8)
    edits = [
        Edit("changes[+].name", TIP_LEAD),
        Edit(f"{own}.mass", lead, "g"),
        Edit(f"{own}.x", float(round(mm(x))), "mm"),
        Edit(f"{own}.y", y, "mm"),
    ]
    return Proposal(words, "bench", (*edits, *((Edit(f"{own}.from", start),) if start else ())))


def leave_out(design: Design, name: str) -> Proposal:
    """Propose to leave a motor out, and its flights with it."""
    flown = [
        Edit(entry_key("flights", flight.named), None)
        for flight in design.flights
        if any(rung.motor and rung.motor.name == name for rung in named(design, flight.named)[:1])
    ]
    return Proposal(f"leave the motor {name} out", "set", (Edit(entry_key("motors", name), None), *flown))


def left_out(design: Design, name: str) -> Iterator[Proposal]:
    """Propose to leave a motor out, where the design has another to fly with."""
    if len(design.motors) > 1 and any(motor.name == name for motor in design.motors):
        yield leave_out(design, name)


def smaller(design: Design, name: str) -> str:
    """Name the next smaller motor of the design, or say that one is to be listed.

    A design is asked only about motors that it lists: without one there is nothing smaller to fly.
    """
    names = [motor.name for motor in motors_by_size(design)]
    below = names[: names.index(name)] if name in names else []
    return f"the smaller {below[-1]}" if below else "a smaller motor (none is listed: type it as one of [[motors]])"


def leaves_out(proposal: Proposal) -> bool:
    """Tell whether a proposal leaves a motor on the ground."""
    return any(edit.value is None and edit.key.startswith("motors[") for edit in proposal.edits)


def fins_sized_by(match: Literal["stiffness", "volume"], design: Design) -> Iterator[Proposal]:
    """Propose to size the new fins by another rule, where the program sizes them."""
    rule = {"stiffness": "how stiffly they hold the tail", "volume": "their tail volume"}[match]
    if design.fins and design.fins.sized_by not in {"", match}:
        yield Proposal(f"size the new fins by {rule}", "set", (Edit("fins.match", match),))
