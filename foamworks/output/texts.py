"""The cautions in our words, and how a key of the JSON is written: used by summaries, cards, sheets and the report."""

from foamworks.design.model import Design

# which tool may cut the board
CUTTING = "knife or needle; a laser only where the workshop's written rules allow this very foam"
STAMP_WORDS = "does not pass"

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
    return bool(design.fins is not None or design.cuts or (booster(design) and design.airframe is not None))


def cautions(design: Design) -> tuple[str, ...]:
    """Give every caution that goes with this design."""
    rows = list(BOOSTER) if booster(design) else []
    rows += FOAM if foam(design) else ()
    if design.airframe is not None and design.airframe.battery is not None:
        rows += POWER
    return tuple(rows)


# ending of a key -> (unit as written, decimals); the longest ending that fits counts
UNITS: dict[str, tuple[str, int]] = {
    "_mm": ("mm", 1),
    "_mm2": ("mm²", 0),
    "_mm3": ("mm³", 0),
    "_m": ("m", 0),
    "_g": ("g", 1),
    "_s": ("s", 2),
    "_A": ("A", 2),
    "_kg_m2": ("kg m²", 4),
    "_V": ("V", 1),
    "_N": ("N", 1),
    "_N_s": ("N s", 1),
    "_N_m": ("N m", 3),
    "_MPa": ("MPa", 2),
    "_deg": ("deg", 1),
    "_km_h": ("km/h", 0),
    "_per_rad": ("per rad", 3),
}


def unit_of(key: str) -> tuple[str, str, int | None]:
    """Split a JSON key into its words, its unit and the decimals that unit is written with.

    >>> unit_of("fin_root_stress_MPa")
    ('fin root stress', 'MPa', 2)
    """
    ending = max((end for end in UNITS if key.endswith(end)), key=len, default="")
    unit, decimals = UNITS.get(ending, ("", None))
    words = key[: len(key) - len(ending)].replace("_", " ")
    return words, unit, decimals
