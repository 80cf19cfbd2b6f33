"""The design file: what is refused, and whether the message lets a builder mend it."""

from pathlib import Path

import pytest

from foamworks.design.load import load
from foamworks.errors import DesignError

FULL = (Path(__file__).parents[1] / "designs" / "skerry-boost.toml").read_text(encoding="utf-8")


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "jet.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def changed(old: str, new: str) -> str:
    assert old in FULL, old
    return FULL.replace(old, new, 1)


def line_of(text: str, needle: str) -> int:
    return next(number for number, line in enumerate(text.splitlines(), start=1) if needle in line)


CASES = [
    ("mass = 738", "mas = 738", r'airframe\.mas = 738: unknown key \(did you mean "mass"\?\)'),
    ("mass = 738", "mass = -738", r"airframe\.mass = -738: must be above 0"),
    ("mass = 738", "mass = 0", r"airframe\.mass = 0: must be above 0"),
    ("mass = 738", "mass = nan", r"airframe\.mass = nan: must be a finite number"),
    ("mass = 738", "mass = inf", r"airframe\.mass = inf: must be a finite number"),
    ("mass = 738", "mass = true", r"airframe\.mass = true: a number"),
    ("mass = 738", 'mass = "24 in"', r'airframe\.mass = "24 in": "in" is a unit of length; a mass is needed'),
    ("mass = 738", "mass = [738]", r"airframe\.mass = \[738\]: a number"),
    ("mass = 738", "mass = 1979-05-27", r"airframe\.mass = 1979-05-27: a number"),
    ("x = 327", "x = 3270", r"airframe\.cg\.x = 3270: lies outside the aircraft"),
    ("thickness = 0.09", "thickness = 9", r"airframe\.wing\.thickness = 9: must lie within 0\.01 and 0\.3"),
    ("slide     = [150, 240]", "slide = [240, 150]", r"airframe\.battery\.slide = \[240, 150\]: .*wrong way round"),
    ('x         = "auto"', 'x = "automatic"', r'airframe\.battery\.x = "automatic": a number in mm or "auto"'),
    ("cells     = 4", "cells = 4.5", r"airframe\.battery\.cells = 4\.5: a whole number is needed"),
    ('match      = "volume"', 'match = "volum"', r'fins\.match = "volum": must be .*did you mean "volume"'),
    ("cant       = 0", "cant = 61", r"fins\.cant = 61: must lie within -60 and 60 deg"),
    ('board      = "foam board 5"', 'board = "foam bord"', r'fins\.board = "foam bord": .*did you mean "foam board 5"'),
    ('downthrust = "auto"', "downthrust = 46", r"pod\.downthrust = 46: must lie within 0 and 45 deg"),
    ('retainer   = "cap"', 'retainer = "tape"', r'pod\.retainer = "tape": must be '),
    ("outer = 31.5", "outer = 21.5", r"pod\.tube: the tube's inner diameter must be smaller"),
    (
        '"von_karman", length = 62',
        '"ogive", length = 12',
        r"pod\.nose\.length = 12: a tangent ogive is at least as long",
    ),
    ("plugged = true", "plugged = 1", r"motors\[1\]\.plugged = 1: true or false is needed"),
    ("propellant = 21", "propellant = 44", r"motors\[1\]: the propellant must weigh less than the whole motor"),
    ("burn     = 1.7\n", "", r"motors\[1\]: needs impulse, burn and peak, or a curve"),
    ("burn     = 1.7", 'burn = 1.7\ncurve = "x.csv"', r'motors\[1\]\.curve = "x\.csv": there is no such file'),
    ("burn     = 1.7", 'burn = 1.7\ncurve = "../x.csv"', r"motors\[1\]\.curve = .*give a name without \.\."),
    ("burn     = 1.7", 'burn = 1.7\ncurve = "/etc/hosts"', r"motors\[1\]\.curve = .*without a leading /"),
    ("sheet     = [508, 762]", "sheet = [508]", r"boards\[1\]\.sheet.*at least 2 entries are needed"),
    ("thickness = 4.9 ", "thickness = 0 ", r"boards\[1\]\.thickness = 0: must be above 0"),
    ('name = "29 mm F class"', 'name = "24 mm D class"', r"motors\[2\]\.name = .*is the name of entry 1 too"),
    ("temperature = 12", "temperature = 120", r"field\.temperature = 120: must lie within -60 and 60 C"),
    ("{ x = 322, y = 460,", "{ x = 322, y = 30,", r"airframe\.wing\.stations.*y must rise from root to tip"),
    ("{ x = 778, z = 186,", "{ x = 778, z = 16,", r"airframe\.fin\.stations.*z must rise from root to tip"),
    ("{ x = 90,  width", "{ x = 0,  width", r"airframe\.fuselage\.sections.*x must rise from nose to tail"),
    (
        "chord = 214 }, { x = 322, y = 460, z = 22, chord = 116 }",
        "chord = 0 }, { x = 322, y = 460, z = 22, chord = 0 }",
        r"airframe\.wing\.stations.*no area",
    ),
    (
        "{ x = 712, y = 24, z = 34, chord = 118 }",
        "{ x = 312, y = 24, z = 4, chord = 118 }",
        r"airframe\.tailplane\.stations: the tailplane lies inside the wing",
    ),
    (", chord = 214 }, {", " }, {", r"airframe\.wing\.stations\[1\]\.chord: is missing"),
    ("[airframe.fan]", "[airframe.fann]", r'airframe\.fann: unknown key \(did you mean "fan"\?\)'),
    ("all_fire = 0.7", "all_fire = 0.2", r"ignition\.igniter: all_fire must be above no_fire"),
]


@pytest.mark.parametrize(("old", "new", "says"), CASES, ids=[case[1][:40] for case in CASES])
def test_a_wrong_value_is_named_with_its_key_and_what_would_do(tmp_path: Path, old: str, new: str, says: str) -> None:
    with pytest.raises(DesignError, match=says) as caught:
        load(write(tmp_path, changed(old, new)))
    assert len(str(caught.value).splitlines()) <= 5


@pytest.mark.parametrize(
    ("old", "new"),
    [("mass = 738", "mas = 738"), ("cells     = 4", "cells = 4.5"), ("temperature = 12", "temperature = 120")],
)
def test_a_message_names_file_and_line(tmp_path: Path, old: str, new: str) -> None:
    text = changed(old, new)
    with pytest.raises(DesignError, match=rf"jet\.toml:{line_of(text, new)}: "):
        load(write(tmp_path, text))


def test_the_full_design_loads_in_si() -> None:
    design = load(Path(__file__).parents[1] / "designs" / "skerry-boost.toml")
    assert design.airframe is not None
    assert design.airframe.mass == pytest.approx(0.738)
    assert design.airframe.wing is not None
    assert design.airframe.wing.stations[1].chord == pytest.approx(0.116)


def test_a_byte_order_mark_and_crlf_are_taken(tmp_path: Path) -> None:
    plain = load(write(tmp_path, FULL))
    other = load(write(tmp_path, b"\xef\xbb\xbf" + FULL.replace("\n", "\r\n").encode()))
    assert other == plain


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[airframe", r"jet\.toml:1: is not TOML"),
        ("a = 1\na = 2", r"jet\.toml:2: is not TOML"),
        (b"name = '\xff'", r"jet\.toml:1: is not UTF-8"),
        ("# " + "x" * (1 << 20), "is over 1 MiB"),
        ("", "there is nothing to do"),
        ('name = "x"\n[field]\naltitude = 1', "there is nothing to do"),
        ("x = " + "[" * 3000 + "]" * 3000, "nested too deeply|is not TOML"),
    ],
    ids=["open table", "key twice", "not UTF-8", "too long", "empty", "nothing asked", "deep"],
)
def test_what_is_no_design_is_refused(tmp_path: Path, text: str | bytes, says: str) -> None:
    with pytest.raises(DesignError, match=says):
        load(write(tmp_path, text))


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="cannot be read"):
        load(tmp_path / "none.toml")
    with pytest.raises(DesignError, match="is a folder"):
        load(tmp_path)


def test_a_link_may_not_lead_out_of_the_folder(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "curve.csv").write_text("time_s,thrust_N\n0,1\n1,1\n2,0\n")
    (inside / "curve.csv").symlink_to(tmp_path / "curve.csv")
    text = changed("impulse  = 17\nburn     = 1.7\npeak     = 29 ", 'curve = "curve.csv" #')
    with pytest.raises(DesignError, match="link leads out"):
        load(write(inside, text))


def test_a_self_crossing_outline_is_named_with_its_place(tmp_path: Path) -> None:
    text = '[[boards]]\nname = "b"\nthickness = 5\n[[cuts]]\nname = "c"\noutline = [[0,0],[10,10],[10,0],[0,10]]'
    with pytest.raises(DesignError, match=r"cuts\[1\]\.outline.*near \[5\.00, 5\.00\] mm"):
        load(write(tmp_path, text))


def test_a_cut_needs_exactly_one_shape(tmp_path: Path) -> None:
    text = '[[boards]]\nname = "b"\nthickness = 5\n[[cuts]]\nname = "c"\ndisc = 10\nrectangle = [1, 2]'
    with pytest.raises(DesignError, match=r"cuts\[1\]: needs exactly one of"):
        load(write(tmp_path, text))


def test_fins_are_built_or_sized_not_both(tmp_path: Path) -> None:
    text = changed(
        'match      = "volume"', 'match = "volume"\neach = { root_chord = 100, tip_chord = 50, height = 110 }'
    )
    with pytest.raises(DesignError, match=r"fins: takes each .* not both"):
        load(write(tmp_path, text))
