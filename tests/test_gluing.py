"""Where the pod is glued, against the mount's own mesh and plain trigonometry, on the page and on its card."""

import math

import numpy as np
import pytest

import kept
from foamworks.output.cards.deck import cards
from foamworks.output.gluing import gluing
from foamworks.output.summaries import write_summaries
from foamworks.output.summary import as_dict
from foamworks.output.views.bodies import bodies, drawn
from kept import check

TILT = math.radians(6)  # the small design: nozzle at (690, 95), a tube of 120 mm, 8 mm of motor behind it


@pytest.fixture(scope="module")
def case(small_file):
    return check(small_file())


def test_the_mounts_edges_are_those_of_its_solid(case):
    made = drawn(next(body for body in bodies(case) if body.name == "pod mount")).vertices
    (row,) = gluing(case)["gluing"]["mounts"]
    assert (row["front_x_mm"], row["aft_x_mm"]) == pytest.approx((made[:, 0].min(), made[:, 0].max()))
    for end in ("front", "aft"):
        there = made[np.isclose(made[:, 0], row[f"{end}_x_mm"]) & (np.abs(made[:, 1]) < 0.1)]
        assert row[f"{end}_z_mm"] == pytest.approx(there[:, 2].min(), abs=0.05)


def test_the_tubes_ends_and_the_angle_by_two_heights(case):
    where = gluing(case)["gluing"]
    assert where["tube_aft_x_mm"] == pytest.approx(690 - 8 * math.cos(TILT))
    assert where["tube_front_x_mm"] == pytest.approx(690 - 128 * math.cos(TILT))
    assert where["aft_end_higher_mm"] == pytest.approx(120 * math.sin(TILT))
    low = [where[f"tube_{end}_underside_z_mm"] for end in ("front", "aft")]
    assert low[1] - low[0] == pytest.approx(120 * math.sin(TILT))
    assert low[1] == pytest.approx(95 - 8 * math.sin(TILT) - 13.25 * math.cos(TILT))
    assert where["tube_aft_underside_x_mm"] == pytest.approx(690 - 8 * math.cos(TILT) + 13.25 * math.sin(TILT))
    assert where["tube_front_underside_x_mm"] == pytest.approx(690 - 128 * math.cos(TILT) + 13.25 * math.sin(TILT))
    # a quarter of the tube by its axis; the underside, 13.25 mm under it, leaves the mount's upright face further ahead
    assert where["tube_behind_mount_mm"] == pytest.approx(0.25 * 120 + 13.25 * math.tan(TILT))
    assert where["thrust_ring_from_tube_aft_end_mm"] == pytest.approx(70 + 1.5 + 0.4 - 8)


def test_the_card_says_them_and_no_card_comes_without_a_mount(case, small_file):
    data = as_dict(case)
    card = next(card for card in cards(case, data, kept.answer(case)) if card.title == "Gluing the pod")
    words = " ".join(block.words for block in card.blocks)
    assert f"{120 * math.sin(TILT):.1f} mm higher" in words
    assert "31.4 mm of tube behind" in words
    (row,) = [row for block in card.blocks for row in getattr(block, "rows", ()) if "underside of its aft" in str(row)]
    assert f"{690 - 8 * math.cos(TILT) + 13.25 * math.sin(TILT):.0f}" in row
    bare = check(small_file({"airframe.fuselage": None}))
    assert gluing(bare) == {}
    assert all(card.title != "Gluing the pod" for card in cards(bare, as_dict(bare), kept.answer(bare)))


def test_what_build_says_is_made_stands_on_card_and_page_where_it_is_given(case, small_file, tmp_path):
    build = "mount_plate = 22\ntail_doubler = 1.7\nroot_spar = 0.36\nfillet = 5\nbattery_block = true"
    told = {
        "cards": ["a plate of 1 mm plywood on the back under the mount, 22.0 mm wide", "a block is glued behind"],
        "pod.md": ["a plate of 1 mm plywood on the back, 22.0 mm wide"],
        "fins.md": [
            "plywood under the tailplane, 1.7 mm thick, in one piece across both fins",
            "stands 0.36 N m",
            "legs of 5.0 mm",
        ],
    }
    for one, there in ((check(small_file({"build": build})), True), (case, False)):
        data = as_dict(one)
        found = {path.name: path.read_text() for path in write_summaries(one, data, tmp_path)}
        deck = cards(one, data, kept.answer(one))
        found["cards"] = " ".join(block.words for card in deck for block in card.blocks)
        for page, lines in told.items():
            assert [line in found[page] for line in lines] == [there] * len(lines), page
