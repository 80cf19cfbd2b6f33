"""What do motors of each class look like? Generic ones by size, from memory: for a plausibility check, not for flight.

The table stands in design/tables/motor_classes.csv with a source for every row; the builder's data sheet always wins.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from foamworks.units import to_si


@dataclass(frozen=True)
class GenericMotor:
    """A usual motor of its class and size, SI; `source` says how far to trust it."""

    letter: str
    diameter: float
    length: float
    impulse: float
    mean_thrust: float
    burn: float
    peak_thrust: float
    mass: float
    propellant: float
    source: str

    @property
    def filling(self) -> float:
        """Impulse over diameter^2 x length [N s/m3]."""
        return self.impulse / (self.diameter**2 * self.length)


@cache
def generic_motors() -> tuple[GenericMotor, ...]:
    """Read the table."""
    text = files("foamworks.design").joinpath("tables", "motor_classes.csv").read_text(encoding="utf-8")
    return tuple(
        GenericMotor(
            letter=row["class"],
            diameter=to_si(float(row["diameter_mm"]), "length"),
            length=to_si(float(row["length_mm"]), "length"),
            impulse=float(row["impulse_N_s"]),
            mean_thrust=float(row["mean_thrust_N"]),
            burn=float(row["burn_s"]),
            peak_thrust=float(row["peak_thrust_N"]),
            mass=to_si(float(row["mass_g"]), "mass"),
            propellant=to_si(float(row["propellant_g"]), "mass"),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def usual(letter: str) -> GenericMotor | None:
    """Give the largest usual motor of a class; None where the table has none."""
    return next((row for row in reversed(generic_motors()) if row.letter == letter), None)


def usual_filling() -> tuple[float, float]:
    """Least and greatest impulse over diameter^2 x length [N s/m3] of the table."""
    fillings = [row.filling for row in generic_motors()]
    return min(fillings), max(fillings)
