"""The card "Wing twist": a stick, a weight and a ruler say how stiff a wing is, and how to type it.

All on the card is in mm, g and N; its example is worked out with the formulas of `physics.divergence`.
"""

from foamworks.design.model import Design
from foamworks.output.cards.pages import Card
from foamworks.output.cards.words import worded
from foamworks.physics.divergence import twist_by_weight
from foamworks.units import STANDARD_GRAVITY, Unit, degrees, grams, mm, number, said

# the example's numbers are of the size that a foam wing with a tube in it gives (ours)
MASS, GAP, FRONT, REAR, AHEAD, CHORD, SINKS = 0.200, 0.300, 0.014, 0.026, 0.060, 0.120, 0.006  # kg, m


def wing_card(design: Design) -> list[Card]:
    """Give the card where a motor drives a wing beyond what it was made for, else nothing."""
    wing = design.airframe.wing
    if not (wing and design.motors):
        return []
    stiff, behind = twist_by_weight(mass=MASS, gap=GAP, ahead=FRONT / GAP, behind=REAR / GAP)
    axis = (behind * GAP - AHEAD) / CHORD
    example = (
        f"Example: m = {grams(MASS):g} g, D = {mm(GAP):g}, h1 = {mm(FRONT):g}, h2 = {mm(REAR):g}, a = {mm(AHEAD):g}, "
        f"c = {mm(CHORD):g}, s = {mm(SINKS):g} mm: {number(stiff / degrees(1.0), 3)} N m/deg, {axis:.2f}, "
        f"{said(MASS * STANDARD_GRAVITY / SINKS, 'N/mm', 2)}"
    )
    return [worded("wing", wing=wing, example=example, shown=Unit("N m/deg"))]
