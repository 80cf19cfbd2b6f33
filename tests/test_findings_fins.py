"""What is said of the fins: every verdict there is, with its number, and cures that cure."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from foamworks.changes.plain import sentence
from foamworks.checks.base import Finding
from foamworks.checks.fins import fit, volume
from kept import check

Tables = dict[str, str | None]
SmallFile = Callable[..., Path]
ALONE: Tables = dict.fromkeys(("pod", "[motors]", "ballast", "airframe.battery", "airframe"))
BUILT = (
    "root = {{ x = 690, y = 120, z = 30 }}\neach = {{ root_chord = {0}, tip_chord = {1}, height = {2}, sweep = 25 }}"
)


def judged(small_file: SmallFile, tables: Tables) -> list[Finding]:
    case = check(small_file({**ALONE, **tables}))
    return [*volume.findings(case), *fit.findings(case)]


def one(found: list[Finding], name: str, subject: str | None = None) -> Finding:
    return next(f for f in found if f.check == name and subject in (None, f.subject))


def test_sized_fins_pass_with_the_same_volume(small_file: SmallFile) -> None:
    found = one(judged(small_file, {}), "fin-volume")
    assert found.verdict == "pass"
    assert found.value == pytest.approx(found.limit, rel=1e-6)
    assert "the same as the original's" in found.why


@pytest.mark.parametrize(
    ("size", "verdict", "words"),
    [
        ((60, 40, 70), "fail", "less than"),
        ((88, 53, 104), "caution", "less than"),
        ((140, 90, 150), "fail", "more than"),
    ],
)
def test_fins_as_built_are_judged_by_how_far_off_they_are(
    small_file: SmallFile, size: tuple[int, int, int], verdict: str, words: str
) -> None:
    found = one(judged(small_file, {"fins": BUILT.format(*size)}), "fin-volume")
    assert found.verdict == verdict
    assert words in found.why


@pytest.mark.parametrize("size", [(60, 40, 70), (140, 90, 150)])
def test_the_scale_that_is_named_brings_the_volume_back(small_file: SmallFile, size: tuple[int, int, int]) -> None:
    cure = one(judged(small_file, {"fins": BUILT.format(*size)}), "fin-volume").cure
    match = re.search(r"root ([\d.]+), tip ([\d.]+), height ([\d.]+) mm", cure)
    assert match is not None
    cured = one(judged(small_file, {"fins": BUILT.format(*match.groups())}), "fin-volume")
    assert cured.verdict == "pass"
    assert cured.value == pytest.approx(cured.limit, rel=5e-3)


def test_same_area_says_in_words_what_it_would_have_left(small_file: SmallFile) -> None:
    found = one(judged(small_file, {}), "same-area")
    assert re.search(r"would have left you with \d+ % of the yaw stiffness", found.why)


def test_fins_built_to_the_same_area_are_cautioned_when_that_falls_short(small_file: SmallFile) -> None:
    # 2 x 110 x 70 = 15 400 mm2 in all, the old fin's area, low and long: the commonest trap
    found = one(judged(small_file, {"fins": BUILT.format(110, 110, 70)}), "same-area")
    assert found.verdict == "caution"
    assert found.value is not None
    assert found.value < 90


def test_small_fins_fail_in_yaw_stiffness(small_file: SmallFile) -> None:
    assert one(judged(small_file, {"fins": BUILT.format(40, 30, 50)}), "fin-stiffness").verdict == "fail"


def test_matched_stiffness_passes(small_file: SmallFile) -> None:
    table = (
        'match = "stiffness"\nroot = { x = 682, y = 120, z = 32 }\n'
        "shape = { aspect_ratio = 1.5, taper = 0.6, sweep = 25 }"
    )
    found = one(judged(small_file, {"fins": table}), "fin-stiffness")
    assert found.verdict == "pass"
    assert "100 % of the original's" in found.why


def test_without_the_old_fin_there_is_nothing_to_compare_with(small_file: SmallFile) -> None:
    found = judged(small_file, {"airframe.fin": None, "fins": BUILT.format(80, 50, 100)})
    assert one(found, "fin-volume").verdict == "unknown"
    assert "airframe.fin" in one(found, "fin-volume").cure


@pytest.mark.parametrize("fins", [BUILT.format(80, 50, 100), "root = { x = 682, y = 120, z = 32 }"])
def test_an_old_fin_ahead_of_the_wing_gives_nothing_to_keep(small_file: SmallFile, fins: str) -> None:
    table = "stations = [{x=100, z=40, chord=150}, {x=150, z=180, chord=50}]"
    found = one(judged(small_file, {"airframe.fin": table, "fins": fins}), "fin-volume")
    assert found.verdict == "unknown"
    assert "does not stand behind the wing" in found.why


def test_a_root_too_far_forward_for_any_size_fails(small_file: SmallFile) -> None:
    table = "root = { x = 20, y = 120, z = 32 }\nshape = { aspect_ratio = 8, taper = 0.6, sweep = -10 }"
    found = one(judged(small_file, {"fins": table}), "fin-volume")
    assert found.verdict == "fail"
    assert "aft" in found.cure


def test_a_root_over_the_elevators_hinge_fails_and_moving_it_cures(small_file: SmallFile) -> None:
    # the hinge lies at 720 + 0.7 x 90 = 783 mm
    table = "root = {{ x = {}, y = 120, z = 30 }}\neach = {{ root_chord = 90, tip_chord = 60, height = 100 }}"
    found = one(judged(small_file, {"fins": table.format(700)}), "fin-fit", "elevator")
    assert found.verdict == "fail"
    assert found.limit == pytest.approx(783)
    assert found.value == pytest.approx(790)
    match = re.search(r"forward by (\d+) mm", found.cure)
    assert match is not None
    moved = one(judged(small_file, {"fins": table.format(700 - int(match[1]))}), "fin-fit", "elevator")
    assert moved.verdict == "pass"


def test_a_root_too_near_the_hinge_shows_the_place_that_leaves_3_mm(small_file: SmallFile) -> None:
    table = "root = { x = 691, y = 120, z = 30 }\neach = { root_chord = 90, tip_chord = 60, height = 100 }"
    found = one(judged(small_file, {"fins": table}), "fin-fit", "elevator")
    assert (found.verdict, found.bound) == ("caution", "at most 780.0 mm")
    assert sentence(found).startswith("the fins do not sit right: the root ends 2.0 mm ahead of the elevator's hinge")


def test_a_root_outside_the_tailplanes_tip_fails(small_file: SmallFile) -> None:
    table = "root = { x = 690, y = 200, z = 30 }\neach = { root_chord = 80, tip_chord = 60, height = 100 }"
    found = one(judged(small_file, {"fins": table}), "fin-fit", "root")
    assert found.verdict == "fail"
    assert "20 mm outside" in found.why


def test_the_missing_fuselage_is_said(small_file: SmallFile) -> None:
    found = judged(small_file, {"airframe.fuselage": None})
    assert "no fuselage is given" in one(found, "fin-stiffness").why


def test_a_design_without_new_fins_is_asked_nothing(small_file: SmallFile) -> None:
    assert judged(small_file, {"fins": None}) == []


SIZED = 'match = "{}"\nroot = {{ x = {}, y = {}, z = {} }}\nshape = {{ aspect_ratio = {}, taper = 0.6, sweep = 25 }}'


def test_the_hinge_cure_counts_that_sized_fins_grow_as_they_lose_arm(small_file: SmallFile) -> None:
    found = one(judged(small_file, {"fins": SIZED.format("volume", 715, 120, 30, 1.5)}), "fin-fit", "elevator")
    assert found.verdict == "fail"
    match = re.search(r"forward by (\d+) mm", found.cure)
    assert match is not None
    verdicts = [
        one(judged(small_file, {"fins": SIZED.format("volume", x, 120, 30, 1.5)}), "fin-fit", "elevator").verdict
        for x in (715 - int(match[1]), 715 - int(match[1]) + 1)
    ]
    assert verdicts == ["pass", "caution"]  # no millimetre more than it takes


def test_a_stiffness_out_of_reach_is_not_called_a_root_too_far_forward(small_file: SmallFile) -> None:
    found = one(judged(small_file, {"fins": SIZED.format("stiffness", 60, 60, 50, 1.5)}), "fin-volume")
    assert found.verdict == "fail"
    assert "finds no fin smaller than the wing that gives the original's yaw stiffness" in found.why
    assert "too far forward" not in found.why
    aft = re.search(r"under \[fins\] type root\.x = (\d+)", found.cure)
    assert aft is not None
    cured = judged(small_file, {"fins": SIZED.format("stiffness", aft[1], 60, 50, 1.5)})
    assert one(cured, "fin-stiffness").verdict == "pass"
    by_volume = judged(small_file, {"fins": SIZED.format("volume", 60, 60, 50, 1.5)})
    assert one(by_volume, "fin-volume").verdict == "pass"


def test_a_shape_too_low_for_its_stiffness_is_offered_the_old_fins(small_file: SmallFile) -> None:
    found = one(judged(small_file, {"fins": SIZED.format("stiffness", 300, 60, 50, 0.1)}), "fin-volume")
    ratio = re.search(r"shape\.aspect_ratio = ([\d.]+)", found.cure)
    assert ratio is not None
    cured = judged(small_file, {"fins": SIZED.format("stiffness", 300, 60, 50, ratio[1])})
    assert one(cured, "fin-stiffness").verdict == "pass"


def test_fins_sized_by_stiffness_are_not_told_to_shrink_to_the_volume(small_file: SmallFile) -> None:
    found = judged(small_file, {"fins": SIZED.format("stiffness", 400, 60, 50, 1.5)})
    volume = one(found, "fin-volume")
    assert one(found, "fin-stiffness").verdict == "pass"
    assert volume.verdict == "caution"
    assert "scale the fins" not in volume.cure


def test_fins_of_many_times_the_volume_fail_however_they_were_sized(small_file: SmallFile) -> None:
    found = one(judged(small_file, {"fins": SIZED.format("stiffness", 500, 60, 50, 0.1)}), "fin-volume")
    assert found.verdict == "fail"
    assert "a higher aspect ratio" in found.cure


def test_fins_that_no_size_makes_as_stiff_as_the_original_are_judged_all_the_same(tmp_path: Path) -> None:
    """A tailplane bent up into a V by a mistyped z turns the nose by itself: the straight line finds no area."""
    path = tmp_path / "bent.toml"
    text = (Path(__file__).parents[1] / "designs" / "skerry-boost.toml").read_text()
    path.write_text(text.replace("y = 178, z = 34", "y = 178, z = 340"))
    assert one(list(check(path).findings), "fin-volume").verdict == "pass"


def test_the_scale_of_the_stiffness_cure_keeps_the_originals(small_file: SmallFile) -> None:
    size = (75, 45, 90)
    found = one(judged(small_file, {"fins": BUILT.format(*size)}), "fin-stiffness")
    assert found.verdict in ("fail", "caution")
    scale = re.search(r"about ([\d.]+) times as large", found.cure)
    assert scale is not None
    scaled = judged(small_file, {"fins": BUILT.format(*(float(scale[1]) * side for side in size))})
    assert one(scaled, "fin-stiffness").verdict == "pass"
    assert one(scaled, "fin-volume").verdict == "pass"  # what turns the aircraft back as before is not too large


def test_the_inward_move_brings_the_root_onto_the_tailplane(small_file: SmallFile) -> None:
    table = "root = {{ x = 700, y = {}, z = 30 }}\neach = {{ root_chord = 80, tip_chord = 60, height = 100 }}"
    found = one(judged(small_file, {"fins": table.format(200.4)}), "fin-fit", "root")
    inward = re.search(r"inward by (\d+) mm", found.cure)
    assert inward is not None
    moved = one(judged(small_file, {"fins": table.format(200.4 - int(inward[1]))}), "fin-fit", "root")
    assert moved.verdict == "pass"


SWEPT: Tables = {
    "airframe.tailplane": "stations = [{x=690, y=20, z=30, chord=120}, {x=730, y=180, z=30, chord=80}]\n"
    "elevator = { chord_fraction = 0.3, up = 20, down = 14 }"
}


def roots(small_file: SmallFile, fins: str) -> list[str]:
    """Give the verdicts on root and elevator."""
    return [f.verdict for f in judged(small_file, {**SWEPT, "fins": fins}) if f.check == "fin-fit"]


# too far ahead of the tailplane, and over the hinge
@pytest.mark.parametrize(("match", "x", "wide"), [("volume", 670, 1.3), ("volume", 705, 1.2)])
def test_a_root_too_long_for_its_place_gets_one_cure_for_both_its_ends(
    small_file: SmallFile, match: str, x: int, wide: float
) -> None:
    found = judged(small_file, {**SWEPT, "fins": SIZED.format(match, x, 150, 30, wide)})
    cures = {f.cure for f in found if f.check == "fin-fit" and f.cure}
    assert len(cures) == 1
    cure = cures.pop()
    ratio, place = re.findall(r"aspect_ratio = ([\d.]+) and root.x = (\d+)", cure)[0]
    assert roots(small_file, SIZED.format(match, place, 150, 30, ratio)) == ["pass", "pass"]
    for y, further in re.findall(r"root.y = ([\d.]+) and root.x = (\d+)", cure):
        assert roots(small_file, SIZED.format(match, further, y, 30, wide)) == ["pass", "pass"]


def test_a_built_root_too_long_for_its_place_is_told_the_length_that_fits(small_file: SmallFile) -> None:
    table = "root = {{ x = {}, y = 150, z = 30 }}\neach = {{ root_chord = {}, tip_chord = 60, height = 100 }}"
    found = judged(small_file, {**SWEPT, "fins": table.format(660, 110)})
    cure = one(found, "fin-fit", "root").cure
    root, x = re.findall(r"root_chord = (\d+) and root.x = (\d+)", cure)[0]
    assert roots(small_file, table.format(x, root)) == ["pass", "pass"]
    assert " aft" not in cure


def test_the_doubler_reaches_from_the_root_to_the_tailplane(small_file: SmallFile) -> None:
    table = "root = {{ x = {}, y = 150, z = 30 }}\neach = {{ root_chord = 110, tip_chord = 60, height = 100 }}"
    found = judged(small_file, {**SWEPT, "fins": table.format(690)})
    forward, long = re.findall(
        r"(\d+) mm forward \(under \[fins\] type root.x = 670\) and glue a doubler of (\d+) mm",
        one(found, "fin-fit", "elevator").cure,
    )[0]
    # at y = 150 the tailplane begins at 690 + 40 x 130 / 160 = 722.5 mm, and its hinge lies 0.7 x 87.5 mm behind that
    assert int(forward) == 20
    assert int(long) == 53
