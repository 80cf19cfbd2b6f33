"""What a finding can propose: work at the bench that has a key, a motor left out."""

from collections.abc import Iterator

from foamworks.checks.base import Proposal
from foamworks.design.edit import Edit
from foamworks.design.ladder import rung_of
from foamworks.design.model import Design


def built(words: str, key: str, value: float | bool, unit: str = "") -> Proposal:
    """Propose work at the bench that has a key: what was built is typed there."""
    return Proposal(words, "bench", (Edit(f"build.{key}", value, unit),))


def leave_out(design: Design, name: str) -> Proposal:
    """Propose to leave a motor out, and its flights with it."""
    flown = [
        Edit(f'flights["{flight.named}"]', None)
        for flight in design.flights
        if (rung := rung_of(design, flight)) is not None and rung.motor is not None and rung.motor.name == name
    ]
    return Proposal(f"leave the motor {name} out", "set", (Edit(f'motors["{name}"]', None), *flown))


def left_out(design: Design, name: str) -> Iterator[Proposal]:
    """Propose to leave a motor out, where the design has another to fly with."""
    if len(design.motors) > 1 and any(motor.name == name for motor in design.motors):
        yield leave_out(design, name)


def leaves_out(proposal: Proposal) -> bool:
    """Tell whether a proposal leaves a motor on the ground."""
    return any(edit.value is None and edit.key.startswith("motors[") for edit in proposal.edits)
