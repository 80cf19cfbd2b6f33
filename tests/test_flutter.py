"""Flutter: what the formula must do when the fin gets thicker, stiffer, slimmer, and what it refuses."""

import math

import pytest

from foamworks.errors import PhysicsError
from foamworks.physics import flutter
from routes import beams

AIR = {"pressure": 101325.0, "speed_of_sound": 340.3}
FIN = {"aspect_ratio": 1.5, "taper": 0.5, "thickness_ratio": 0.04}


def speed(**change: float) -> float:
    return flutter.flutter_speed(**{"shear_modulus": 110e6, **FIN, **AIR, **change})


@pytest.mark.parametrize(
    ("change", "ratio"),
    [
        ({"shear_modulus": 440e6}, 2.0),  # root of the stiffness
        ({"thickness_ratio": 0.08}, 2**1.5),  # thickness to the power 3/2
        ({"taper": 1.0}, math.sqrt(1.5 / 2)),
        ({"aspect_ratio": 3.0}, math.sqrt((3 + 2) / (1.5 + 2) / 8)),
        ({"pressure": 101325.0 / 4}, 2.0),
        ({"speed_of_sound": 680.6}, 2.0),
    ],
)
def test_speed_follows_each_quantity_by_its_power(change: dict[str, float], ratio: float) -> None:
    assert speed(**change) / speed() == pytest.approx(ratio, rel=1e-12)


@pytest.mark.parametrize(
    "change",
    [
        {"shear_modulus": 0.0}, {"shear_modulus": math.nan}, {"aspect_ratio": -1.0}, {"taper": 1.1}, {"taper": -0.1},
        {"thickness_ratio": 0.5}, {"pressure": 0.0}, {"speed_of_sound": math.inf},
    ],
)  # fmt: skip
def test_numbers_outside_the_formula_are_refused_by_name(change: dict[str, float]) -> None:
    # said by name, as words or as the argument
    with pytest.raises(PhysicsError, match=next(iter(change)).replace("_", "[_ ]") + " = "):
        speed(**change)


@pytest.mark.parametrize("poisson", [-1.0, 0.6, math.nan])
def test_a_poisson_s_ratio_no_solid_has_is_refused(poisson: float) -> None:
    with pytest.raises(PhysicsError, match="poisson = "):
        beams.isotropic_shear_modulus(modulus=1e9, poisson=poisson)
