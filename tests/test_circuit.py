"""Firing circuit against published igniter data; the flight pack and the fan against Ohm's law and the fan law."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foamworks.errors import PhysicsError
from foamworks.physics import circuit

# M9, makers' sheets as collected on a public wiki (read): type, resistance ohm, no-fire A, all-fire A
IGNITERS = [("older high-current starter", 1.6, 1.25, 3.8), ("dipped e-match", 1.3, 0.3, 0.7)]


def test_a_metre_of_square_millimetre_copper_is_17_milliohm() -> None:
    # handbook: 1.72e-8 ohm m at 20 C
    assert circuit.wire_resistance(length=1.0, area=1e-6) == pytest.approx(0.0172, rel=1e-12)


@pytest.mark.parametrize(("gauge", "area", "ohm_per_km"), [(18, 0.823e-6, 20.95), (20, 0.518e-6, 33.31),
                                                           (24, 0.205e-6, 84.22)])  # fmt: skip
def test_wire_resistance_agrees_with_the_american_wire_gauge_table(gauge: int, area: float, ohm_per_km: float) -> None:
    # Table of the American wire gauge (ASTM B258 sections, ohm per km at 20 C, from memory)
    assert circuit.wire_resistance(length=1000, area=area) == pytest.approx(ohm_per_km, rel=0.005), gauge


def test_the_firing_current_is_ohm_s_law_round_the_loop() -> None:
    # 7.4 V through 1.0 + 0.02 + 0.05 ohm: 6.916 A by hand
    assert circuit.firing_current(volts=7.4, igniter=1.0, wire=0.02, pack=0.05) == pytest.approx(6.9159, abs=5e-5)


@pytest.mark.parametrize(("kind", "ohm", "no_fire", "all_fire"), IGNITERS)
def test_two_lithium_cells_fire_each_published_igniter(kind: str, ohm: float, no_fire: float, all_fire: float) -> None:
    current = circuit.firing_current(volts=circuit.pack_volts(cells=2), igniter=ohm, wire=0.02, pack=0.05)
    assert no_fire < all_fire < current, kind


def test_the_older_starter_lacks_the_margin_of_two_on_two_cells() -> None:
    # 7.4 V/1.67 ohm = 4.43 A over 3.8 A
    current = circuit.firing_current(volts=7.4, igniter=1.6, wire=0.02, pack=0.05)
    assert circuit.all_fire_margin(current=current, all_fire=3.8) == pytest.approx(1.166, abs=5e-4)


# M9: test current A, no-fire A, judged
TESTS = [
    (0.01, 0.3, "safe"),
    (0.01, 1.25, "safe"),
    (0.12, 0.3, "above custom"),  # a handbook lamp circuit: under 0.3 but over the maker's 0.04
    (0.04, 0.3, "above custom"),
    (0.02, 0.3, "above custom"),  # at a limit is not under it
    (0.3, 0.3, "above no-fire"),
    (0.5, 0.3, "above no-fire"),
    (0.015, 0.01, "above no-fire"),
]


@pytest.mark.parametrize(("test_current", "no_fire", "judged"), TESTS)
def test_a_test_current_must_stay_under_the_custom_and_the_no_fire_current(
    test_current: float, no_fire: float, judged: str
) -> None:
    assert circuit.continuity(test_current=test_current, no_fire=no_fire) == judged


def test_half_the_printed_c_rating_is_what_can_be_had() -> None:
    # 2200 mAh at 45 C: 99 A printed, 49.5 A by custom
    pack = {"capacity": 2.2 * 3600, "c_rating": 45.0}
    assert circuit.current_limit(**pack, share=1.0) == pytest.approx(99.0, rel=1e-12)
    assert circuit.current_limit(**pack) == pytest.approx(49.5, rel=1e-12)


def test_flight_time_uses_eighty_percent_of_the_pack() -> None:
    # 2.2 Ah x 0.8 / 44 A = 0.04 h = 144 s
    assert circuit.flight_time(capacity=2.2 * 3600, current=44) == pytest.approx(144.0, rel=1e-12)


def test_a_fifth_cell_on_a_four_cell_fan_goes_with_volts_squared() -> None:
    assert circuit.fan_thrust(thrust=11.5, volts=5.0, reference_volts=4.0) == pytest.approx(11.5 * 1.5625, rel=1e-12)
    assert circuit.fan_current(current=42, volts=5.0, reference_volts=4.0) == pytest.approx(42 * 1.5625, rel=1e-12)


@given(open_volts=st.floats(5, 30), resistance=st.floats(0.001, 0.2), current=st.floats(5, 120))
def test_pack_and_fan_agree_on_volts_and_current(open_volts: float, resistance: float, current: float) -> None:
    volts = circuit.fan_volts_on_pack(
        open_volts=open_volts, resistance=resistance, reference_volts=14.0, current=current
    )
    drawn = circuit.fan_current(current=current, volts=volts, reference_volts=14.0)
    assert open_volts - drawn * resistance == pytest.approx(volts, rel=1e-9)


def test_a_pack_without_resistance_does_not_sag() -> None:
    volts = circuit.fan_volts_on_pack(open_volts=16.0, resistance=0.0, reference_volts=15.0, current=42)
    assert volts == 16.0


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_an_igniter_without_resistance_is_refused(bad: float) -> None:
    with pytest.raises(PhysicsError, match="igniter = "):
        circuit.firing_current(volts=7.4, igniter=bad)


def test_a_negative_wire_is_refused() -> None:
    with pytest.raises(PhysicsError, match=r"wire = -0\.1"):
        circuit.firing_current(volts=7.4, igniter=1.0, wire=-0.1)


@pytest.mark.parametrize("usable", [0.0, 1.1])
def test_a_usable_share_beyond_the_pack_is_refused(usable: float) -> None:
    with pytest.raises(PhysicsError, match="usable = "):
        circuit.flight_time(capacity=7920, current=42, usable=usable)
