"""The card "Wing twist": a stick, a weight and a ruler say how stiff a wing is, and how to type it.

All on the card is in mm, g and N; its example is worked out with the formulas of `physics.divergence`.
"""

from foamworks.design.model import Design
from foamworks.output.cards.pages import Block, Card, ticks, writes
from foamworks.physics.divergence import twist_by_weight
from foamworks.units import STANDARD_GRAVITY, Unit, degrees, grams, mm, number, said

# the example's numbers are of the size that a foam wing with a tube in it gives (ours)
MASS, GAP, FRONT, REAR, AHEAD, CHORD, SINKS = 0.200, 0.300, 0.014, 0.026, 0.060, 0.120, 0.006  # kg, m
HOW = (
    "tape a straight stick along the chord under the wing's tip, a hook at each end, D apart; a: from the front hook "
    "to the leading edge, c: the chord there",
    "hang a mass m from the front hook; h1: how much lower the front hook stands than the rear one",
    "hang it from the rear hook; h2: how much lower the rear hook stands than the front one; without the mass both "
    "must stand alike, or take the difference off; m so that h1 + h2 is 20 to 60 mm",
    "hang it D h1 / (h1 + h2) behind the front hook: the stick now sinks level; s: how far",
    "do the other wing too, type the softer one",
)
FORMULAS = (
    "torsion_stiffness = 0.00981 m D^2 / (h1 + h2) / 57300 (N m/deg)",
    "twist_axis = (D h1 / (h1 + h2) - a) / c; bending_stiffness = 0.00981 m / s (N/mm)",
)


def wing_card(design: Design) -> Card | None:
    """Give the card where a motor drives a wing beyond what it was made for, else nothing."""
    wing = design.airframe.wing
    if wing is None or not design.motors:
        return None
    stiff, behind = twist_by_weight(mass=MASS, gap=GAP, ahead=FRONT / GAP, behind=REAR / GAP)
    axis = (behind * GAP - AHEAD) / CHORD
    example = (
        f"Example: m = {grams(MASS):g} g, D = {mm(GAP):g}, h1 = {mm(FRONT):g}, h2 = {mm(REAR):g}, a = {mm(AHEAD):g}, "
        f"c = {mm(CHORD):g}, s = {mm(SINKS):g} mm: {number(stiff / degrees(1.0), 3)} N m/deg, {axis:.2f}, "
        f"{said(MASS * STANDARD_GRAVITY / SINKS, 'N/mm', 2)}"
    )
    root = said(wing.stations[0].y, "mm", 0)
    hold = f"hold the root between two padded blocks, clamped where the wing begins (y = {root}): it must not turn"
    typed = wing.torsion_stiffness
    known = "" if typed is None else f" (in the design: {number(Unit('N m/deg')(typed), 3)})"
    return Card(
        "Wing twist",
        "Two minutes: the air twists a wing the more the faster it flies, and no label says how stiff it is.",
        (
            *ticks(hold, *HOW),
            *(Block("text", formula) for formula in FORMULAS),
            Block("text", example),
            *writes("mass m g|D mm", "h1 mm|h2 mm", "a mm|c mm", "s mm"),
            *writes(f"airframe.wing.torsion_stiffness N m/deg{known}"),
            *writes("airframe.wing.twist_axis|bending_stiffness N/mm"),
        ),
    )
