"""The card "Board strips": which two tests of a strip at home give a board's bending and shear modulus, and how.

All on the card is in mm, N, N mm, rad and MPa (1 MPa = 1 N/mm2), as a ruler and a scale give it. The worked example is
worked out with the formulas of `physics.beam`, so that card and program cannot part.
"""

from foamworks.design.model import Design
from foamworks.design.workshop import Board
from foamworks.output.cards.pages import Block, Card, ticks, writes
from foamworks.parts.density import board_named
from foamworks.physics.beam import modulus_from_bending, shear_modulus_from_twist
from foamworks.units import STANDARD_GRAVITY, grams, mm, said

THICKNESS = 0.005  # m, of the example's strip: the common foam board
# the examples' numbers are of the size that paper-faced board of 5 mm gives (ours)
BENT_SPAN, BENT_WIDTH, BENT_MASS, BENT_SAG = 0.300, 0.050, 0.200, 0.0034  # m, m, kg, m
TWIST_LENGTH, TWIST_WIDTH, TWIST_MASS, TWIST_ARM = 0.200, 0.040, 0.130, 0.100  # m, m, kg, m
TWIST_HIGHER = 0.030  # m, between the two ends of the stick

BENDING = (
    "a strip 50 mm wide, 350 mm long, cut the way the fin's span runs over the board",
    "on two round supports, pencils, L = 300 mm apart; a ruler upright beside the middle",
    "hang a mass m from its middle, so that it sags f = 2 to 5 mm; read f at once, the board creeps",
    "turn the strip over, do it again, take the mean of f",
)
BENDING_FORMULAS = ("F = 0.00981 m (N, m in g); I = b t^3 / 12 (mm4)", "E = F L^3 / (48 f I) (MPa)")
TWIST = (
    "a strip 40 mm wide, 260 mm long, cut the same way; clamp one end flat on the table's edge, l = 200 mm free",
    "glue a stick 200 mm long flat across the free end, its middle on the strip's middle",
    "a nail's head or pencil point under that middle, so that the strip twists and does not bend",
    "hang a mass m from the stick, r = 100 mm from the middle; h: how much higher one end stands than the other, "
    "d = 200 mm apart; take m so that h is 20 to 40 mm; without the mass h must be 0, or is taken off",
    "from the other end of the stick too, take the mean of h",
)
# J: short for the series of `beam.torsion_constant`, within 0.2 % of it while t is at most b/2 (0.21 from memory)
TWIST_FORMULAS = (
    "M = 0.00981 m r (N mm, m in g); theta = h / d (rad)",
    "J = b t^3 (1/3 - 0.21 t/b) (mm4); G = M l / (J theta) (MPa)",
)


def strip_card(design: Design) -> Card | None:
    """Give the card where fins are cut from a board of the design, else nothing."""
    board = board_named(design, design.fins.board) if design.fins is not None else None
    if board is None:
        return None
    return Card(
        "Board strips",
        f"What the flutter and strength checks need to know of {board.name}; no label says it.",
        (*_bending(board), *_twisting(board)),
    )


def _bending(board: Board) -> list[Block]:
    found = modulus_from_bending(
        force=BENT_MASS * STANDARD_GRAVITY, sag=BENT_SAG, span=BENT_SPAN, width=BENT_WIDTH, thickness=THICKNESS
    )
    example = (
        f"Example: m = {grams(BENT_MASS):g} g, L = {mm(BENT_SPAN):g}, b = {mm(BENT_WIDTH):g}, "
        f"t = {mm(THICKNESS):g}, f = {mm(BENT_SAG):g} mm: E = {said(found, 'MPa', 0)}"
    )
    return [
        Block("head", "Bending: weigh the middle down"),
        *ticks(*BENDING),
        *(Block("text", formula) for formula in BENDING_FORMULAS),
        Block("text", example),
        *writes("width b mm|thickness t mm", "mass m g|sag f mm"),
        *writes(f"boards.bending_modulus MPa{_typed(board.bending_modulus)}"),
    ]


def _twisting(board: Board) -> list[Block]:
    found = shear_modulus_from_twist(
        moment=TWIST_MASS * STANDARD_GRAVITY * TWIST_ARM, twist=TWIST_HIGHER / (2 * TWIST_ARM), length=TWIST_LENGTH,
        width=TWIST_WIDTH, thickness=THICKNESS,
    )  # fmt: skip
    example = (
        f"Example: m = {grams(TWIST_MASS):g} g, r = {mm(TWIST_ARM):g}, l = {mm(TWIST_LENGTH):g}, "
        f"b = {mm(TWIST_WIDTH):g}, t = {mm(THICKNESS):g}, h = {mm(TWIST_HIGHER):g}, "
        f"d = {mm(2 * TWIST_ARM):g} mm: G = {said(found, 'MPa', 0)}"
    )
    return [
        Block("head", "Twist: weigh one end of a cross stick down"),
        *ticks(*TWIST),
        *(Block("text", formula) for formula in TWIST_FORMULAS),
        Block("text", example),
        *writes("width b mm|thickness t mm", "mass m g|height h mm"),
        *writes(f"boards.shear_modulus MPa{_typed(board.shear_modulus)}"),
    ]


def _typed(value: float | None) -> str:
    return "" if value is None else f" (in the design: {said(value, 'MPa', 0)})"
