"""The design file: what is refused, and whether the message lets a builder mend it."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from foamworks.design.load import load
from foamworks.errors import DesignError

FULL = (Path(__file__).parents[1] / "designs" / "skerry-boost.toml").read_text(encoding="utf-8")

BOARD_OF_TABLE = '[[boards]]\nname = "b"\nthickness = 5\nsheet = { width = 5, height = 6 }'


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
    (
        "outer = 31.5",
        "outer = 21.5",
        r"pod\.tube\.inner = 29\.5: must be smaller than the tube's outer diameter, 21\.5 mm",
    ),
    (
        '"von_karman", length = 62',
        '"ogive", length = 12',
        r"pod\.nose\.length = 12: a tangent ogive is at least as long",
    ),
    ("inner = 29.5", "inner = 1e-9", r"pod\.tube\.inner = 1e-09: must lie within 3 and 20000 mm"),
    ("speed = 118", "speed = 1e-9", r"flights\[1\]\.speed = 1e-09: must lie within 1 and 1500 km/h"),
    ("plugged = true", "plugged = 1", r"motors\[1\]\.plugged = 1: true or false is needed"),
    ("propellant = 21", "propellant = 44", r"motors\[1\]\.propellant = 44: .*less than the whole motor, 43 g"),
    ("burn     = 1.7\n", "", r"motors\[1\]\.burn: is missing; .* needs impulse, burn and peak, or a curve"),
    ("burn     = 1.7", 'burn = 1.7\ncurve = "x.csv"', r'motors\[1\]\.curve = "x\.csv": there is no such file'),
    ("burn     = 1.7", 'burn = 1.7\ncurve = "../x.csv"', r'motors\[1\]\.curve = .*\.\. leads out .*: "x\.csv"'),
    (
        "burn     = 1.7",
        'burn = 1.7\ncurve = "/etc/hosts"',
        r'motors\[1\]\.curve = .*a whole path is not taken.*: "hosts"',
    ),
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
        r"airframe\.tailplane\.stations\[1\]\.x = 312: the tailplane lies inside the wing",
    ),
    (", chord = 214 }, {", " }, {", r"airframe\.wing\.stations\[1\]\.chord: is missing"),
    ("[airframe.fan]", "[airframe.fann]", r'airframe\.fann: unknown key \(did you mean "fan"\?\)'),
    ("all_fire = 0.7", "all_fire = 0.2", r"ignition\.igniter\.all_fire = 0\.2: must be above no_fire, 0\.3 A"),
]


CG = "{ x = 327, z = 6 }"
BESIDE = [  # one value against another of the same design: key, value and what would do, in the file's units
    (CG, "{ x = 3, rear_load = 5 }", r"airframe\.cg\.rear_load = 5: takes x or the two supports, not both"),
    (CG, "{ z = 6 }", r"airframe\.cg\.x: is missing; needs x, or all of front_support, rear_support and rear_load"),
    (CG, "{ front_support = 9, rear_load = 5 }", r"airframe\.cg\.rear_support: is missing beside front_support"),
    (
        CG,
        "{ front_support = 300, rear_support = 300, rear_load = 200 }",
        r"airframe\.cg\.rear_support = 300: must lie aft of front_support, above 300 mm",
    ),
    (
        CG,
        "{ front_support = 300, rear_support = 400, rear_load = 900 }",
        r"airframe\.cg\.rear_load = 900: must lie within 0 and airframe\.mass, 738 g",
    ),
    (
        CG,
        "{ front_support = 3000, rear_support = 4000, rear_load = 369 }",
        r"airframe\.cg\.front_support = 3000: puts the balance at x = 3500 mm, which lies outside the aircraft",
    ),
    ("mass = 738", "mass = 262", r"airframe\.mass = 262: must be above .* \(battery 226 g, fin 17 g, items 19 g\)"),
    ("{ x = 90,  width", "{ x = -1, width", r"sections\[2\]\.x = -1: x must rise .* section 1 stands at 0 mm"),
    ("{ x = 322, y = 460,", "{ x = 322, y = 40,", r"wing\.stations\[2\]\.y = 40: y must rise .* at least 40\.1 mm"),
    ("{ x = 778, z = 186,", "{ x = 778, z = 44,", r"fin\.stations\[2\]\.z = 44: z must rise .* at least 44\.1 mm"),
    (
        "z = 0, chord = 214",
        "z = 0, chord = 10",
        r"wing\.stations\[1\]\.chord = 10: must be above 10\.087 mm: continued",
    ),
    ("hub      = 26", "hub = 64", r"airframe\.fan\.hub = 64: must be smaller than the fan's diameter, 64 mm"),
    ("slide     = [150, 240]\n", "", r'airframe\.battery\.x = "auto": needs slide = \[least, most\]'),
    ("outer = 31.5", 'outer = "1 in"', r"pod\.tube\.inner = 29\.5: must be smaller than .* diameter, 25\.4 mm"),
    ("y = 82,", "y = 0.9,", r"fins\.root\.y = 0\.9: with count = 2 .* at least 1 mm"),
    ("retainer   =", "count = 2\nretainer =", r"pod\.count = 2: with count = 2 the pods' y is needed"),
    (
        "[airframe.fin] ",
        "[airframe.fin]\ncount = 2 #",
        r"airframe\.fin\.count = 2: with count = 2 the fins' y is needed",
    ),
    ("mass     = 17", 'mass = 17\ntrace = "x.dxf"', r'airframe\.fin\.trace = "x\.dxf": there is no such file'),
    (
        "mass     = 17",
        "mass = 17\noutline = [[0, 0], [9, 0], [9, 9]]",
        r"airframe\.fin\.outline = \[\[0, 0\], \[9, 0\], \[9, 9\]\]: stands beside stations",
    ),
]
CUT = '[[boards]]\nname = "b"\nthickness = 5\n[[cuts]]\nname = "c"\n'
SHAPES = [
    ("", r'cuts\[1\] = \{name = "c"\}: needs exactly one of outline, .* and disc; none is given'),
    ("trapezoid = [10, 5, 0, 20]", r"cuts\[1\]\.trapezoid\[3\] = 0: must be above 0 and at most 20000 mm"),
    ("trapezoid = [10, 5, 9, 90]", r"cuts\[1\]\.trapezoid\[4\] = 90: must lie within -85 and 85 deg"),
    ("disc = [20, 40]", r"cuts\[1\]\.disc\[2\] = 40: .* must be smaller than its outer one, 20 mm"),
    ("disc = -1", r"cuts\[1\]\.disc = -1: must be above 0 and at most 20000 mm"),
    ("outline = [[0, 0], [1, inf], [2, 0]]", r"cuts\[1\]\.outline\[2\]\[2\] = inf: must be a finite number"),
    ("outline = [[0, 0], [1e9, 0], [2, 9]]", r"cuts\[1\]\.outline\[2\]\[1\] = 1000000000\.0: must lie within -20000"),
    ("outline = [[0, 0], [1], [2, 0]]", r"cuts\[1\]\.outline\[2\] = \[1\]: point 2 must be two numbers"),
    (
        "disc = 9\nscore = [{ line = [[0, 0], [0, 0]], depth = 1 }]",
        r"cuts\[1\]\.score\[1\]\.line\[2\] = \[0, 0\]: .* the point before it again",
    ),
]


@pytest.mark.parametrize(("old", "new", "says"), BESIDE, ids=[case[1][:40] for case in BESIDE])
def test_a_value_that_misfits_another_is_named_with_file_line_key_and_value(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    text = changed(old, new)
    with pytest.raises(DesignError, match=says) as caught:
        load(write(tmp_path, text))
    found = re.match(rf"{tmp_path}/jet\.toml:(\d+): ", str(caught.value))
    assert found
    start = text.count("\n", 0, FULL.index(old)) + 1
    assert abs(int(found.group(1)) - start) <= 3  # the slide is missing three lines below the x that asks for it


@pytest.mark.parametrize(("shape", "says"), SHAPES, ids=[case[0][:40] for case in SHAPES])
def test_a_wrong_number_in_a_list_is_named_with_its_place(tmp_path: Path, shape: str, says: str) -> None:
    with pytest.raises(DesignError, match=says):
        load(write(tmp_path, CUT + shape))


ENDLESS = [
    "9" * 5000,
    "9_" * 4999 + "9",
    "9" * 310,
    "0x" + "f" * 4000,
    "-0o1" + "7" * 9000,
    "1e999",
    f'"{"9" * 400} g"',
]


@pytest.mark.parametrize("number", [n.replace("-0o", "0o") for n in ENDLESS], ids=[n[:4] for n in ENDLESS])
@pytest.mark.parametrize(
    ("old", "key"),
    [
        ("mass = 738", r"airframe\.mass"),
        ("cells     = 4", r"airframe\.battery\.cells"),
        ('match      = "volume"', r"fins\.match"),
        ("plugged = true", r"motors\[1\]\.plugged"),
        ("sheet     = [508, 762]", r"boards\[1\]\.sheet"),
    ],
)
def test_a_number_without_end_is_a_message_with_its_beginning(tmp_path: Path, number: str, old: str, key: str) -> None:
    new = f"{old.partition(' ')[0]} = {number}"
    text = changed(old, new)
    with pytest.raises(DesignError, match=rf"jet\.toml:{line_of(text, new[:60])}: {key} = .*: .") as caught:
        load(write(tmp_path, text))
    assert len(str(caught.value)) < 300 + len(str(tmp_path))


def test_a_number_that_only_its_unit_makes_too_large_is_refused(tmp_path: Path) -> None:
    text = changed("shear_modulus   = 110 ", "shear_modulus = 1e305 ")
    with pytest.raises(DesignError, match=r"boards\[1\]\.shear_modulus = 1e\+305: must be a finite number"):
        load(write(tmp_path, text))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (r'name = "\u001b[2J\u001b[31m"', r'name = "\\u001b\[2J\\u001b\[31m": a name has'),
        (r'name = "a\nb"', r'name = "a\\nb": a name has'),
        (r'"a\u001b" = 1', r'"a\\u001b" = 1: unknown key'),
        (r'[airframe]\nmass = "1 \u001b[2J"'.replace(r"\n", "\n", 1), r'unknown unit "\\u001b\[2J"'),
        ("name = \x1b[2J", r"name = \\u001b\[2J: is not TOML: .*"),
    ],
    ids=["escape", "line end", "key", "unit", "no TOML"],
)
def test_a_message_repeats_nothing_that_a_terminal_obeys(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(DesignError, match=says) as caught:
        load(write(tmp_path, text))
    assert str(caught.value).replace("\n", "").isprintable()


def test_where_there_is_nothing_to_do_no_key_is_named(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"jet\.toml:1: there is nothing to do: give \[airframe\.wing\]"):
        load(write(tmp_path, ""))


NUMBER = re.compile(r"(?<![\w.+-])[+-]?\d+(?:\.\d+)?(?![\w.])")


def mutations() -> Iterator[tuple[str, range]]:
    """Give the full design with one number made wrong or two neighbours swapped, and the lines round it."""
    bare = re.sub(r'"[^"\n]*"|#[^\n]*', lambda quoted: "_" * len(quoted.group()), FULL)
    spots = [match.span() for match in NUMBER.finditer(bare)]
    for spot, (start, end) in enumerate(spots):
        old, line = FULL[start:end], FULL.count("\n", 0, start) + 1
        opposite = old[1:] if old.startswith("-") else "-" + old
        for new in {"0", "-1", "1e-9", "1e9", "nan", '"heavy"', opposite, "9" * 320} - {old}:
            yield FULL[:start] + new + FULL[end:], range(line - 1, line + 2)
        if spot + 1 < len(spots):
            low, high = spots[spot + 1]
            last = FULL.count("\n", 0, low) + 1
            yield FULL[:start] + FULL[low:high] + FULL[end:low] + old + FULL[high:], range(line - 1, last + 2)


@pytest.mark.slow
def test_any_number_made_wrong_loads_or_is_named_with_file_line_key_and_value(tmp_path: Path) -> None:
    path = tmp_path / "jet.toml"
    for text, lines in mutations():
        path.write_text(text, encoding="utf-8")
        fault = fault_of(path)
        for told in fault.splitlines():
            found = re.fullmatch(rf"{path}:(\d+): ([\w.\[\]]+) = (.+?): .+", told)
            assert found, fault
            if int(found.group(1)) not in lines:  # of two in each other the inner is blamed, of a sum the whole
                whole = {"airframe.mass", "airframe.cg.x", "airframe.fan.hub"}  # or a motor that no curve fits any more
                assert found.group(2) in whole or re.fullmatch(r"flights\[\d+\]\.flight", found.group(2)), fault


def fault_of(path: Path) -> str:
    try:
        load(path)
    except DesignError as fault:
        return str(fault)
    return ""


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
        ("[airframe", r"jet\.toml:1: \[airframe: is not TOML"),
        ("a = 1\na = 2", r"jet\.toml:2: a = 2: a is given twice"),
        ("[field]\n[field]\n", r"jet\.toml:2: .*\[field\] is given twice"),
        ("cg = { x = 1, x = 2 }", r"jet\.toml:1: .*: x is given twice"),
        ("a = [1,\n2]\na = [1,\n2]\n", r"jet\.toml:4: .*: a key is given twice"),
        ("mass = 1350 g\n", r'jet\.toml:1: mass = 1350 g: .*in quotes: "1350 g"'),
        ("cg = { x = 12 in, z = 3 }  # low\n", r'jet\.toml:1: .*in quotes: "12 in"'),
        ("mass = 1,5 # kg", r"jet\.toml:1: mass = 1,5 # kg: .*a point: 1\.5"),
        (
            '[airframe]\nmass = "1,95 kg"',
            r'jet\.toml:2: airframe\.mass = "1,95 kg": the decimal sign is a point: "1\.95 kg"',
        ),
        (BOARD_OF_TABLE, r"boards\[1\]\.sheet = .*: must be \[width, height\], or a list of these and of \{ outline"),
        (b"name = '\xff'", r"jet\.toml:1: is not UTF-8"),
        ("# " + "x" * (1 << 20), "is over 1 MiB"),
        ("", "there is nothing to do"),
        ('name = "x"\n[field]\naltitude = 1', "there is nothing to do"),
        ("x = " + "[" * 3000 + "]" * 3000, "nested too deeply|is not TOML"),
    ],
    ids=[
        "open table",
        "key twice",
        "table twice",
        "twice inside",
        "list twice",
        "bare unit",
        "bare unit inside",
        "comma",
        "comma in text",
        "sheet as a table",
        "not UTF-8",
        "too long",
        "empty",
        "nothing asked",
        "deep",
    ],
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
    with pytest.raises(
        DesignError, match=r"cuts\[1\]\.disc = 10: stands beside rectangle; the table needs exactly one of"
    ):
        load(write(tmp_path, text))


def test_fins_are_built_or_sized_not_both(tmp_path: Path) -> None:
    text = changed(
        'match      = "volume"', 'match = "volume"\neach = { root_chord = 100, tip_chord = 50, height = 110 }'
    )
    with pytest.raises(
        DesignError, match=r'fins\.match = "volume": stands beside each; the table takes each .* not both'
    ):
        load(write(tmp_path, text))
