"""A change as data: the reader sees it as if it were typed; a written copy keeps every remark, and no file is lost."""

import tomllib
from pathlib import Path

import pytest

from foamworks.design.drawing import trace
from foamworks.design.edit import Edit, edited, told, under, written
from foamworks.design.load import load
from foamworks.design.model import Design
from foamworks.errors import DesignError

ROOT = Path(__file__).parents[1]
FULL = ROOT / "designs" / "skerry-boost.toml"
TEXT = """# a jet
name = "Jet"                                 # its name

[airframe]
mass = "1.5 lb"                              # on the kitchen scale

[airframe.battery]                           # the pack
mass = 200
x = "auto"
x_stock = 200
slide = [140, 240]                           # ends

[pod]                                        # on the back
tube = { inner = 25, outer = 26.5, length = 120 }   # paper
nozzle = { x = 690, z = 95 }

# why a cone: it prints without support
[pod.nose]
profile = "cone"
length = 50

[[motors]]
name = "D"
diameter = 24
length = 70
mass = 44
propellant = 21
impulse = 17
burn = 1.7
peak = 29                                    # from the maker's sheet

[[boards]]                                   # the sheet in the shed
name = "foam board 5"
thickness = 5                                # with calipers
sheet = [500, 700]

# what was on the scale
[[weighed]]
part = "fin"
mass = 12
"""


@pytest.fixture
def jet(tmp_path: Path) -> Path:
    path = tmp_path / "jet.toml"
    path.write_text(TEXT)
    return path


def typed(path: Path, old: str, new: str) -> Design:
    """What the reader makes of the file with the change typed by hand."""
    text = path.read_text()
    assert text.count(old) == 1
    by_hand = path.with_name("by hand.toml")
    by_hand.write_text(text.replace(old, new))
    return load(by_hand)


# the change, and the same typed by hand: what stands in the file, and what instead
BY_HAND = [
    (Edit("pod.nozzle.x", 712.0, "mm"), "x = 690", "x = 712"),
    (Edit("pod.nozzle.x", 27.5, "in"), "x = 690", 'x = "27.5 in"'),
    (Edit("airframe.mass", 700, "g"), 'mass = "1.5 lb"', "mass = 700"),
    (Edit("airframe.mass", 0.7, "kg"), '"1.5 lb"', '"0.7 kg"'),
    (Edit("airframe.battery.slide", (130, 250)), "[140, 240]", "[130, 250]"),
    (Edit("airframe.battery.slide[2]", 250), "[140, 240]", "[140, 250]"),
    (Edit("airframe.battery.x", None), 'x = "auto"\n', ""),
    (Edit('boards["foam board 5"].thickness', 9.8, "mm"), "thickness = 5 ", "thickness = 9.8 "),
    (Edit("boards[1].thickness", 9.8, "mm"), "thickness = 5 ", "thickness = 9.8 "),
    (Edit('boards["foam board 5"].mass', 140, "g"), "thickness = 5 ", "mass = 140\nthickness = 5 "),
    (Edit('motors["D"].plugged', True), "mass = 44", "mass = 44\nplugged = true"),
    (Edit('weighed["fin"].mass', 13.5, "g"), "mass = 12", "mass = 13.5"),
    (Edit('weighed["fin"]', None), '[[weighed]]\npart = "fin"\nmass = 12', ""),
    (Edit("pod.downthrust", 6, "deg"), "nozzle = {", "downthrust = 6\nnozzle = {"),
    (Edit("pod.tube.length", None), ", length = 120", ""),
    (Edit("pod.nose", None), '[pod.nose]\nprofile = "cone"\nlength = 50', ""),
    (Edit("pod.nose.wall", 1.6, "mm"), 'profile = "cone"', 'profile = "cone"\nwall = 1.6'),
    (Edit("field.length", 150.0, "m"), "# a jet", 'field.length = "150 m"'),
    (Edit("limits.least", 0.08), "# a jet", "limits.least = 0.08"),
    (Edit('"name"', "Other"), '"Jet"', '"Other"'),
    (Edit("notes", "flown"), "# a jet", 'notes = "flown"'),
    (Edit("gyro.clean.gain", None), "# a jet", "# a jet"),
]


@pytest.mark.parametrize(("edit", "old", "new"), BY_HAND, ids=[edit.key for edit, _, _ in BY_HAND])
def test_an_edit_is_read_as_if_it_were_typed(jet: Path, edit: Edit, old: str, new: str) -> None:
    assert edited(jet, [edit]) == typed(jet, old, new)
    assert jet.read_text() == TEXT


@pytest.mark.parametrize("edit", [edit for edit, _, _ in BY_HAND], ids=lambda edit: edit.key)
def test_a_written_copy_says_the_same_and_keeps_every_remark(jet: Path, edit: Edit) -> None:
    copy = jet.with_name("copy.toml")
    written(jet, [edit], copy)
    assert load(copy) == edited(jet, [edit])
    remarks = [line.partition("#")[2] for line in TEXT.splitlines() if "#" in line]
    left = [line.partition("#")[2] for line in copy.read_text().splitlines() if "#" in line]
    assert left[: len(remarks)] == remarks


def test_a_measurement_that_goes_out_stays_as_a_remark(jet: Path) -> None:
    copy = jet.with_name("copy.toml")
    written(jet, [Edit('weighed["fin"]', None)], copy)
    assert load(copy).weighed == ()
    (line,) = [line for line in copy.read_text().splitlines() if "before the change" in line]
    assert line.startswith("#")
    assert 'part = "fin", mass = 12' in line
    assert copy.read_text().count("before the change") == 1


def test_what_no_edit_names_stays_to_the_letter(jet: Path) -> None:
    copy = jet.with_name("copy.toml")
    written(jet, [Edit("pod.nozzle.x", 712.0), Edit('boards["foam board 5"].thickness', 9.8)], copy)
    assert copy.read_text() == TEXT.replace("x = 690", "x = 712").replace("thickness = 5 ", "thickness = 9.8 ")


def test_a_new_key_stands_in_its_own_table_before_the_remark_on_the_next(jet: Path) -> None:
    copy = jet.with_name("copy.toml")
    edits = [Edit("pod.downthrust", 6), Edit("motors[1].plugged", True), Edit("build.mount_plate", 1.5)]
    written(jet, edits, copy)
    text = copy.read_text()
    assert "nozzle = { x = 690, z = 95 }\ndownthrust = 6\n\n# why a cone" in text
    assert "maker's sheet\nplugged = true\n\n[[boards]]" in text
    assert text.endswith("\nmass = 12\n\n[build]\nmount_plate = 1.5\n")


def test_a_key_put_into_an_inline_table_leaves_it_on_its_line(jet: Path) -> None:
    copy = jet.with_name("copy.toml")
    written(jet, [Edit("pod.tube.material", "paper tube")], copy)
    assert 'tube = { inner = 25, outer = 26.5, length = 120, material = "paper tube" }   # paper\n' in copy.read_text()


def test_a_copy_never_takes_the_place_of_a_file(jet: Path) -> None:
    for existing in (jet, jet.with_name("other.toml")):
        existing.write_text(TEXT)
        with pytest.raises(DesignError, match="exists already and is not overwritten"):
            written(jet, [Edit("name", "New")], existing)
        assert existing.read_text() == TEXT


def test_a_copy_that_cannot_be_written_is_a_fault_of_the_call(jet: Path) -> None:
    with pytest.raises(DesignError, match="cannot be written"):
        written(jet, [Edit("name", "New")], jet.parent / "no folder" / "copy.toml")


def test_a_range_speaks_as_for_a_typed_value(jet: Path) -> None:
    with pytest.raises(DesignError, match=r"jet\.toml:\d+: pod\.downthrust = 60: must lie within 0 and 45 deg"):
        edited(jet, [Edit("pod.downthrust", 60, "deg")])
    line = 1 + TEXT.splitlines().index("nozzle = { x = 690, z = 95 }")
    with pytest.raises(DesignError, match=rf"jet\.toml:{line}: pod\.nozzle\.x = 1000000000: must lie within"):
        edited(jet, [Edit("pod.nozzle.x", 1e9)])


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ('boards["plywood"].mass', r'no entry is called that; there are: foam board 5$'),
        ("boards[2].mass", "there are 1 entries"),
        ('cuts["a"].count', "there are: none"),
        ("name.first", r"jet\.toml: name\.first: name is no table$"),
        ("pod..nozzle", "is no key; one is written"),
        ("pod.nozzle x", "is no key"),
        ("", "is no key"),
    ],
)  # fmt: skip
def test_a_key_that_leads_nowhere_says_so(jet: Path, key: str, says: str) -> None:
    with pytest.raises(DesignError, match=says):
        edited(jet, [Edit(key, 1)])


def test_two_of_one_name_are_counted(jet: Path) -> None:
    jet.write_text(TEXT + '\n[[weighed]]\npart = "fin"\nmass = 13\n')
    with pytest.raises(DesignError, match=r'2 entries are called "fin"; count them: \[1\] is the first'):
        edited(jet, [Edit('weighed["fin"].mass', 1)])


def test_edits_follow_each_other(jet: Path) -> None:
    edits = [Edit("camera.mass", 30), Edit("camera.mass", 31), Edit("camera", None), Edit("name", "Twice")]
    assert edited(jet, edits) == typed(jet, '"Jet"', '"Twice"')


SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
    '<path d="M0 0H60V60H0Z" fill="none" stroke="#000"/></svg>'
)


def test_a_drawing_is_found_beside_the_design_and_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "cut.toml"
    path.write_text(
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [99, 99]\n[[cuts]]\nname = "c"\ntrace = "plate.svg"\n'
    )
    (tmp_path / "plate.svg").write_text(SQUARE)
    before = load(path)

    def read_again(*_: object, **__: object) -> None:
        raise AssertionError("the drawing holds what it held")

    with monkeypatch.context() as patched:
        patched.setattr(trace, "load_trace", read_again)
        assert edited(path, [Edit('cuts["c"].count', 3)]).cuts[0].trace == before.cuts[0].trace
    (tmp_path / "plate.svg").write_text(SQUARE.replace("H60", "H50"))
    wider = edited(path, []).cuts[0].trace
    assert wider is not None
    assert wider.size == pytest.approx((0.050, 0.060))
    with pytest.raises(DesignError, match=r"names plate\.svg, which stands beside"):
        written(path, [], tmp_path.parent / f"{tmp_path.name} elsewhere.toml")


def test_every_table_of_the_full_design_survives_the_copy(tmp_path: Path) -> None:
    copy = tmp_path / "copy.toml"
    written(FULL, [Edit("name", "Copy")], copy)
    text = FULL.read_text(encoding="utf-8")
    assert copy.read_text(encoding="utf-8") == text.replace('name = "Skerry boost"', 'name = "Copy"')
    assert tomllib.loads(copy.read_text(encoding="utf-8"))["name"] == "Copy"


def test_what_to_type_reads_as_the_file_has_it() -> None:
    edits = [
        Edit("pod.retainer", "hook"),
        Edit("airframe.battery.slide", (130, 250), "mm"),
        Edit("build.battery_block", value=True),
        Edit('boards["6 mm \\"blue\\""].thickness', 0.25, "in"),
    ]
    for edit in edits:
        assert told([edit]).startswith(f"under {under(edit.key)[0]} type ")
        (value,) = tomllib.loads("value = " + told([edit]).split(" = ", 1)[1]).values()
        assert value == edit.typed
    assert told([Edit("ballast.most", None)]) == "under [ballast] take out most"


@pytest.mark.parametrize("before", ["", '\n[[changes]]\nname = "paint"\nmass = 9\nx = 300\n'])
def test_one_more_entry_is_added_and_named(jet: Path, before: str) -> None:
    jet.write_text(TEXT + before)
    edits = [
        Edit("changes[+].name", "tip lead"),
        Edit('changes["tip lead"].mass', 8.5, "g"),
        Edit('changes["tip lead"].x', 310, "mm"),
        Edit('changes["tip lead"].y', -440, "mm"),
    ]
    *_, new = edited(jet, edits).changes
    assert (new.name, new.mass, new.x, new.y) == ("tip lead", pytest.approx(0.0085), 0.310, -0.440)
    copy = jet.with_name("copy.toml")
    written(jet, edits, copy)
    assert copy.read_text().startswith(f"{TEXT + before}\n[[changes]]\n")
    assert load(copy).changes == edited(jet, edits).changes
