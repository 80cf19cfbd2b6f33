"""The card "Board strips": which two tests of a strip at home give a board's bending and shear modulus, and how.

All on the card is in mm, N, N mm, rad and MPa (1 MPa = 1 N/mm2), as a ruler and a scale give it. The worked example is
worked out with the formulas of `physics.beam`, so that card and program cannot part.
"""

from foamworks.design.model import Design
from foamworks.output.cards.pages import Card
from foamworks.output.cards.words import worded
from foamworks.parts.density import board_named
from foamworks.physics.beam import modulus_from_bending, shear_modulus_from_twist
from foamworks.units import STANDARD_GRAVITY

THICKNESS = 0.005  # m, of the example's strip: the common foam board
# the examples' numbers are of the size that paper-faced board of 5 mm gives (ours): m, kg
BENT = {"span": 0.300, "width": 0.050, "mass": 0.200, "sag": 0.0034, "thickness": THICKNESS}
# higher: between the two ends of the stick
TWIST = {"length": 0.200, "width": 0.040, "mass": 0.130, "arm": 0.100, "higher": 0.030, "thickness": THICKNESS}


def strip_card(design: Design) -> list[Card]:
    """Give the card where fins are cut from a board of the design, else nothing."""
    board = board_named(design, design.fins.board) if design.fins else None
    return [worded("strips", board=board, bent=_bent(**BENT), twist=_twisted(**TWIST))] if board else []


def _bent(*, mass: float, **strip: float) -> dict[str, float]:
    modulus = modulus_from_bending(force=mass * STANDARD_GRAVITY, **strip)
    return {"mass": mass, "modulus": modulus, **strip}


def _twisted(*, mass: float, arm: float, higher: float, **strip: float) -> dict[str, float]:
    moment, twist = mass * STANDARD_GRAVITY * arm, higher / (2 * arm)
    modulus = shear_modulus_from_twist(moment=moment, twist=twist, **strip)
    return {"mass": mass, "arm": arm, "higher": higher, "modulus": modulus, **strip}
