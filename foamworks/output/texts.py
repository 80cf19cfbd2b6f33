"""The cautions in our words: used by summaries, cards, sheets and the report."""

from foamworks.design.model import Design

# which tool may cut the board
CUTTING = "knife or needle; a laser only where the workshop's written rules allow this very foam"

# what every page, sheet and card of the booster carries
BOOSTER = (
    "This is an experiment. Nobody has tested or certified this aircraft, and a check that passes is not a permission.",
    "For adults, at a club's field, with the written consent of club and insurer to rocket motors on a model.",
    "The law on aviation, on model flying and on pyrotechnics differs by country and comes before all that is written "
    "here: ask the authority and the club. The codes for rockets that fly straight up do not cover this use.",
    "Only certified, factory-made, plugged motors, never altered and never home-made: no ejection charge.",
    "Nothing leaves the aircraft: motor, case and pod stay on from take-off to landing.",
    "Fly it without a motor first, then with a dead mass in its place, then with the smallest motor.",
    "The igniter goes in last, on the field, arming plug out. After a misfire: disarm, wait 60 s, come from the side.",
    "Nobody behind the motor, nobody under the flight path, spectators behind the pilot.",
    "No dry grass; a fire extinguisher or water at hand.",
    "Look the whole model over after every boost, and count the boosts.",
)
FOAM = (
    "Foam: " + CUTTING + ". Polystyrene catches fire and drips; PVC foam looks the same and gives off acid fumes.",
    "Glue where there is air to breathe, with a glue that does not eat foam.",
)
# how a tube is measured: a caliper presses paper together
TUBE = (
    "a paper tube by a strip of paper and not by the caliper alone: once round it, pricked through where it overlaps, "
    "laid flat; outside diameter = length between the two pricks / 3.1416, less the strip's own thickness"
)
POWER = ("Charge, carry and store lithium packs as their maker says.",)


def booster(design: Design) -> bool:
    """Tell whether anything of the booster is made or flown."""
    return design.pod is not None or bool(design.motors)


def foam(design: Design) -> bool:
    """Tell whether foam is cut or glued: fins, cuts, a pod on a model's back; not for a nose alone."""
    return bool(design.fins is not None or design.cuts or (booster(design) and design.airframe.given))


def cautions(design: Design) -> tuple[str, ...]:
    """Give every caution that goes with this design."""
    rows = list(BOOSTER) if booster(design) else []
    rows += FOAM if foam(design) else ()
    if design.airframe.battery is not None:
        rows += POWER
    return tuple(rows)
