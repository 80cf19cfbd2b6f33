"""Numbers with units: exact factors, and messages that say what would do."""

import math

import pytest

from foamworks.units import FACTORS, Kind, Unit, default_unit, to_si


@pytest.mark.parametrize(
    ("value", "kind", "si"),
    [
        # exact by the international yard and pound agreement (1959) and CGPM 1901; SI Brochure, 9th ed.
        ("1 in", "length", 0.0254),
        ("1 ft", "length", 0.3048),
        ("1 lb", "mass", 0.45359237),
        ("16 oz", "mass", 0.45359237),
        ("1 kgf", "force", 9.80665),
        ("1 lbf", "force", 4.4482216152605),
        ("60 mph", "speed", 26.8224),
        ("1 kn", "speed", 1852 / 3600),
        ("180 deg", "angle", math.pi),
        ("32 F", "temperature", 273.15),
        ("1 psi", "stress", 6894.757293168),
        ("1000 mAh", "charge", 3600.0),
        (15, "temperature", 288.15),
        (62, "length", 0.062),
        (36, "speed", 10.0),
    ],
)
def test_a_unit_has_its_defined_value(value: float | str, kind: Kind, si: float) -> None:
    assert to_si(value, kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("with_unit", "bare", "kind"),
    [
        ("36.2 in", 919.48, "length"),
        ("62 mph", 99.779328, "speed"),
        ("26 oz", 737.0876, "mass"),
        ("3 cm", 30, "length"),
    ],
)
def test_a_number_is_the_same_whichever_unit_it_was_given_in(with_unit: str, bare: float, kind: Kind) -> None:
    assert to_si(with_unit, kind) == pytest.approx(to_si(bare, kind), rel=1e-7 if kind == "mass" else 1e-15)


@pytest.mark.parametrize("kind", [kind for kind in FACTORS if kind != "ratio"])
def test_a_bare_number_is_in_the_first_unit_of_its_kind(kind: Kind) -> None:
    assert to_si(7, kind) == to_si(f"7 {default_unit(kind)}", kind)


@pytest.mark.parametrize(
    ("value", "kind", "says"),
    [
        ("24 oz", "length", '"oz" is a unit of mass; a length is needed'),
        ("12 mmm", "length", 'did you mean "mm"'),
        ("12 furlong", "length", "unknown unit"),
        ("twelve", "mass", "a number .*is needed"),
        (float("nan"), "mass", "finite"),
        (float("inf"), "length", "finite"),
        ("1e999 mm", "length", "finite"),
        (True, "length", "a number"),
        ([1], "length", "a number"),
    ],
)
def test_what_is_no_quantity_is_refused_with_what_would_do(value: object, kind: Kind, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        to_si(value, kind)  # type: ignore[arg-type]  # the wrong kind is the point


@pytest.mark.parametrize(
    ("unit", "si", "shown"),
    [
        ("mm", 1.0, 1000.0),
        ("mm2", 1.0, 1e6),
        ("mm3", 1.0, 1e9),
        ("g", 0.0283495231, 28.3495231),
        ("deg", math.pi, 180.0),
        ("km/h", 10.0, 36.0),
        ("%", 0.25, 25.0),
        ("C", 273.15, 0.0),
        ("mAh", 7920.0, 2200.0),
    ],
)
def test_a_unit_shows_what_it_reads(unit: str, si: float, shown: float) -> None:
    """By the units' definitions; and the way back gives the number again."""
    assert Unit(unit)(si) == pytest.approx(shown, rel=1e-14, abs=1e-12)
    assert Unit(unit).si(shown) == pytest.approx(si, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "millimetres"),  # an inch is 25.4 mm, exactly
    [
        ("6 3/8 in", 161.925),
        ("1 5/64 in", 27.384375),
        ("3/8 in", 9.525),
        ("6-3/8 in", 161.925),
        ("1/2", 0.5),
        ('-1 1/2"', -38.1),
        ("\u221212 mm", -12.0),  # a printed minus
    ],
)
def test_a_rulers_fractions_and_a_printed_minus_are_read(text: str, millimetres: float) -> None:
    assert to_si(text, "length") == pytest.approx(millimetres / 1000, rel=1e-15)


def test_a_fraction_over_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown unit"):
        to_si("6 3/0 in", "length")
