# ruff: noqa: E501 -- each text is the line that is printed
"""What a builder types wrongly, and the text that each slip gets: file, line, key, value, and what would do."""

import subprocess
import sys
from pathlib import Path

import pytest

from called import called
from foamworks.design.load import load
from foamworks.errors import DesignError

BOARD = '[[boards]]\nname = "b"\nthickness = 5\n'
CUT = '[[cuts]]\nname = "x"\n'
SQUARE = CUT + "rectangle = [50, 50]\n"
NOSE = '[pod]\ntube = { inner = 29.5, outer = 31.5 }\nnose = { profile = "ogive", length = 62 }\n'
FIN = "[airframe.fin]\nroot_chord = 160\ntip_chord = 70\nheight = 140\n"
MOTOR = (
    '[[motors]]\nname = "a"\ndiameter = 24\nlength = 70\nmass = 40\npropellant = 20\n'
    "impulse = 10\nburn = 1\npeak = 10\n"
)
PROFILES = "'cone', 'ogive', 'tangent_ogive', 'ellipse', 'parabola', 'power', 'haack', 'von_karman' or 'lv_haack'"
POINT = "the decimal sign is a point"

FIELD = "[field]\naltitude = 300\n"
FOAM = '[[boards]]\nname = "foam"\nthickness = 5\n'
WRONG = [
    # a key with its table's name, as the keys are called, in another table's lines or above its own
    (
        FIELD + BOARD + 'field.length = "180 m"\n',
        ['6: field.length = "180 m": belongs under [field], in line 1: length = "180 m"'],
    ),
    (
        'field.length = "180 m"\n' + FIELD,
        ['1: field.length = "180 m": belongs under [field], in line 2: length = "180 m"'],
    ),
    (
        BOARD + "build.angle_error = 3\n",
        ["4: build.angle_error = 3: belongs under a new line [build], at the end: angle_error = 3"],
    ),
    (
        "[airframe]\nmass = 700\n[airframe.fan]  # the fan\n[limits]\nairframe.fan.z = 3\n",
        ["5: airframe.fan.z = 3: belongs under [airframe.fan], in line 3: z = 3"],
    ),
    (
        '[field]\naltitude = 300\nname = "my jet"\n',
        ['3: name = "my jet": belongs above the first table, in line 1: name = "my jet"'],
    ),
    (
        'name = "a"\n[[weighed]]\npart = "no motor"\nmass = 900\nname = "my jet"\n',
        ['5: name = "my jet": belongs above the first table, which has it in line 1 already: name = "my jet"'],
    ),
    (
        "airframe.fan.z = 3\n[airframe]\nmass = 700\n[airframe.fan]\n",
        ["1: airframe.fan.z = 3: belongs under [airframe.fan], in line 4: z = 3"],
    ),
    (
        BOARD + FOAM + 'boards["foam"].thickness = 5.4\n',
        ['7: boards["foam"].thickness = 5.4: belongs under [[boards]], in line 4: thickness = 5.4'],
    ),
    (
        BOARD + FOAM + "boards[2].hollow = true\n",
        ["7: boards[2].hollow = true: belongs under [[boards]], in line 4: hollow = true"],
    ),
    (BOARD + "boards[3].mass = 9\n", ["4: boards[3].mass = 9: belongs under the [[boards]] that is meant: mass = 9"]),
    (
        '[[flights]] flight = "twin fins"\n',
        [
            '1: [[flights]] flight = "twin fins": [[flights]] stands on a line by itself, and below it, each on its own line, what it holds: flight = "twin fins"'
        ],
    ),
    (
        "[pod]\nnozzle = { x = 700, z = 101 }\nnozzle.z = 105\n",
        ["3: nozzle.z = 105: nozzle stands in line 2 already: change its z there to 105"],
    ),
    # braces
    (
        "[pod]\nnozzle = { x = 700, z = 101,\n",
        ["2: nozzle = { x = 700, z = 101,: what begins here has no end: } is missing"],
    ),
    ("[pod]\nnozzle = { x = 700, z = 101, }\n", ["2: nozzle = { x = 700, z = 101, }: no comma stands before }"]),
    # decimal commas
    (NOSE.replace("29.5", '"29,4"'), [f'2: pod.tube.inner = "29,4": {POINT}: "29.4"']),
    (NOSE.replace("29.5", "29,4"), [f"2: tube = {{ inner = 29,4, outer = 31.5 }}: {POINT}: 29.4"]),
    ("[airframe]\ncg = {x=676,5}\n", [f"2: cg = {{x=676,5}}: {POINT}: 676.5"]),
    (SQUARE + "[cutting]\nkerf = 0,3\n", [f"5: kerf = 0,3: {POINT}: 0.3"]),
    (
        CUT + "rectangle = [100,5,50]\n",
        [f"3: cuts[1].rectangle = [100, 5, 50]: has 3 entries; at most 2 are needed; {POINT}: 100.5, not 100,5"],
    ),
    (
        CUT + "trapezoid = [110,5, 56, 130, 32]\n",
        [
            "3: cuts[1].trapezoid = [110, 5, 56, 130, 32]: a trapezoid is [root, tip, height, sweep], the sweep in deg; "
            f"{POINT}: 110.5, not 110,5"
        ],
    ),
    (
        CUT + "outline = [[0,0],[10,5,3],[0,9]]\n",
        [f"3: cuts[1].outline[2] = [10, 5, 3]: point 2 must be two numbers, as in [120, 36]; {POINT}: 10.5, not 10,5"],
    ),
    (
        SQUARE + BOARD + "sheet = [508,5, 762]\n",
        [f"7: boards[1].sheet = [508, 5, 762]: has 3 entries; at most 2 are needed; {POINT}: 508.5, not 508,5"],
    ),
    # inch marks, other signs of the printer's, commas between entries
    (
        '[airframe.fan]\ndiameter = 2 1/2"\n',
        ['2: diameter = 2 1/2": a number with its unit stands in quotes: "2 1/2 in"'],
    ),
    (
        "[airframe]\ncg = { x = 12.5″, z = 3 }\n",
        ['2: cg = { x = 12.5″, z = 3 }: a number with its unit stands in quotes: "12.5 in"'],
    ),
    (
        "[airframe]\ncg = { x = 1', z = 3 }\n",
        ['2: cg = { x = 1\', z = 3 }: a number with its unit stands in quotes: "1 ft"'],
    ),
    ("[airframe]\ncg = { x = 320, z = \u22123 }\n", ["2: cg = { x = 320, z = \u22123 }: the minus is a hyphen: -3"]),
    (
        "[airframe]\nmass\u00a0= 738\n",
        ["2: mass\\u00a0= 738: holds a blank that is not the keyboard's: type the line anew"],
    ),
    (
        '[airframe]\nmass = "1,738.5 g"\n',
        ['2: airframe.mass = "1,738.5 g": no blank and no comma stands in a number: "1738.5 g"'],
    ),
    (
        '[airframe.battery]\nx = "auto"\nslide = [150 240]\n',
        ["3: slide = [150 240]: a comma is missing before 240"],  # and no word of a slide that x would need
    ),
    (SQUARE + BOARD + "sheet = [508; 762]\n", ["7: sheet = [508; 762]: its entries are parted by commas"]),
    ("[pod]\nnozzle = { x = 700 z = 101 }\n", ["2: nozzle = { x = 700 z = 101 }: a comma is missing before z"]),
    ("[airframe]\nmass = 738;\n", ["2: mass = 738;: a number stands alone: 738; words go behind a #"]),
    ("[airframe]\nmass = 738 // g\n", ["2: mass = 738 // g: a number stands alone: 738; words go behind a #"]),
    ("[airframe]\nmass = 0738\n", ["2: mass = 0738: no 0 stands before a number: 738"]),
    ('name = "a\n' + SQUARE, ['1: name = "a: the text in quotes has no end: its second quote is missing']),
    (SQUARE + "[limits]\nleast = 5\n", ['5: limits.least = 5: must lie within 0 and 1; in percent: "5 %"']),
    (MOTOR.replace("= 24", "= 0.024"), ["3: motors[1].diameter = 0.024: must lie within 5 and 500 mm"]),  # metres
    (
        '[airframe]\nmass = "1 738 g"\n',
        ['2: airframe.mass = "1 738 g": no blank and no comma stands in a number: "1738 g"'],
    ),
    (
        '[airframe]\nmass = "0.738 Kg"\n',
        ['2: airframe.mass = "0.738 Kg": unknown unit "Kg" (did you mean "kg"?); a mass takes one of: g, kg, oz, lb'],
    ),
    (
        '[fins]\ncant = "5 degrees"\nroot = { x = 1, y = 2, z = 3 }\n',
        [
            '2: fins.cant = "5 degrees": unknown unit "degrees" (did you mean "deg"?); an angle takes one of: deg, °, rad'
        ],
    ),
    ("[airframe]\nmass = ~738\n", ["2: mass = ~738: a number stands alone: 738; words go behind a #"]),
    ("[airframe]\nmass = 738 +/- 5\n", ["2: mass = 738 +/- 5: a number stands alone: 738; words go behind a #"]),
    ("[airframe]\nmass = null  # later\n", ["2: mass = null  # later: has no value; give one, or take the line out"]),
    ("[airframe]\nmass = ?\n", ["2: mass = ?: has no value; give one, or take the line out"]),
    ("name = 'a\n" + SQUARE, ["1: name = 'a: the text in quotes has no end: its second quote is missing"]),
    (
        "[pod]\nnozzle = { x: 700, z: 101 }\n",
        ["2: nozzle = { x: 700, z: 101 }: key and value are parted by =: x = 700"],
    ),
    (
        "[pod]\nnozzle = [ x = 700, z = 101 ]\n",
        ["2: nozzle = [ x = 700, z = 101 ]: a table stands in braces: { x = 700, z = 101 }"],
    ),
    (SQUARE + BOARD + "sheet = {508, 762}\n", ["7: sheet = {508, 762}: a list stands in square brackets: [508, 762]"]),
    ("[airframe]\nroot chord = 5\n", ["2: root chord = 5: a key is one word: root_chord"]),
    ("; of mine\n" + SQUARE, ["1: ; of mine: a remark begins with #"]),
    (
        "[airframe]\nmass = 738\n[airframe wing]\n",
        ["3: [airframe wing]: the words of a table's name are joined by a point: [airframe.wing]"],
    ),
    (
        SQUARE + "[wing]\nthickness = 0.09\n",
        [
            '4: wing: unknown key (did you mean "airframe.wing"?); here stand: airframe, ballast, boards, build, camera, changes, cuts, cutting, field, fins, flights, gyro, ignition, limits, motors, name, notes, pod, printer, weighed'
        ],
    ),
    # the brackets of a list of tables
    (
        MOTOR.replace("[[", "[").replace("]]", "]") + MOTOR,
        ["1: [motors]: is a list: each entry begins with [[motors]], in double brackets"],
    ),
    # units
    (
        CUT + "rectangle = [50 mm, 20]\n",
        ['3: rectangle = [50 mm, 20]: a number with its unit stands in quotes: "50 mm"'],
    ),
    (
        CUT + 'trapezoid = [110, 56, 130, "1in"]\n',
        ['3: cuts[1].trapezoid[4] = "1in": "in" is a unit of length; an angle is needed, in one of: deg, °, rad'],
    ),
    (
        CUT + 'rectangle = ["6 3/8 inch", 5]\n',
        [
            '3: cuts[1].rectangle[1] = "6 3/8 inch": unknown unit "inch" (did you mean "in"?); a length takes one of: '
            "mm, cm, m, in, \", ', ft"
        ],
    ),
    (
        SQUARE + BOARD.replace("5\n", '"5 g"\n'),
        [
            '6: boards[1].thickness = "5 g": "g" is a unit of mass; a length is needed, in one of: mm, cm, m, in, ", \', ft'
        ],
    ),
    (
        SQUARE + "[field]\nlength = 180\n",
        ['5: field.length = 180: must lie within 10 and 10000 m; a bare number is in mm: write "180 m"'],
    ),
    (
        SQUARE
        + BOARD
        + "[airframe]\nmass = 1.1\n[airframe.fin]\nmass = 12\nstations = [{x=680, z=30, chord=120}, {x=730, z=130, chord=70}]\n",
        [
            "8: airframe.mass = 1.1: must be above the sum of what it holds (fin 12 g): the whole model is weighed, ready to "
            'fly; a bare number is in g: write "1.1 kg"'
        ],
    ),
    # files
    (
        CUT + 'trace = "C:\\Users\\me\\fin.dxf"\n',
        [
            '3: trace = "C:\\Users\\me\\fin.dxf": no backslash in quotes: put the file beside the design, and name it '
            'alone: "fin.dxf"'
        ],
    ),
    (
        CUT + "trace = 'C:\\Users\\me\\fin.dxf'\n",
        [
            '3: cuts[1].trace = "C:\\\\Users\\\\me\\\\fin.dxf": a whole path is not taken: put the file beside the '
            'design, and name it alone: "fin.dxf"'
        ],
    ),
    (
        CUT + "trace = 'my drawings\\old fin.dxf'\n",
        [
            '3: cuts[1].trace = "my drawings\\\\old fin.dxf": folders are parted by a forward slash: '
            '"my drawings/old fin.dxf"'
        ],
    ),
    (
        CUT + 'trace = "../fin.dxf"\n',
        [
            '3: cuts[1].trace = "../fin.dxf": .. leads out of the design\'s folder: put the file beside the design, and '
            'name it: "fin.dxf"'
        ],
    ),
    (
        CUT + 'trace = "/home/me/fin.dxf"\n',
        [
            '3: cuts[1].trace = "/home/me/fin.dxf": a whole path is not taken: put the file beside the design, and name '
            'it alone: "fin.dxf"'
        ],
    ),
    (
        CUT + 'trace = "gone.dxf"\n',
        ['3: cuts[1].trace = "gone.dxf": there is no such file beside the design; put gone.dxf into its folder'],
    ),
    (CUT + 'trace = "a.toml"\n', ['3: cuts[1].trace = "a.toml": a trace is a .dxf or .svg file']),
    (
        SQUARE + 'layer = "cut"\n',
        ['4: cuts[1].layer = "cut": belongs to a drawing: it stands beside trace = "file.dxf"'],
    ),
    # brackets
    (SQUARE.replace("[[cuts]]", "[cuts]"), ["1: cuts: is a list: each entry begins with [[cuts]], in double brackets"]),
    (
        SQUARE + BOARD.replace("[[boards]]", "[boards]"),
        ["4: boards: is a list: each entry begins with [[boards]], in double brackets"],
    ),
    (
        "[[pod]]\ntube = { outer = 30 }\n",
        ["1: pod = [{tube = {outer = 30}}]: is one table: it begins with [pod], in single brackets"],
    ),
    (
        "[airframe.wing]\nstations = { x = 0, y = 0, chord = 100 }\n",
        ["2: airframe.wing.stations: is a list: stations = [ { ... }, { ... } ]"],
    ),
    (
        "[airframe]\ncg = 327\n",
        ["2: airframe.cg = 327: a table is needed, with some of: front_support, rear_load, rear_support, x, z"],
    ),
    ("[fins]\nroot = [1, 2, 3]\n", ["2: fins.root = [1, 2, 3]: a table is needed, with some of: x, y, z"]),
    (
        "[airframe.wing]\nstations = [{ x = 0, y = 0, chord = 100 }]\n",
        ["2: airframe.wing.stations = [{x = 0, y = 0, chord = 100}]: has 1 entry; at least 2 are needed"],
    ),
    # keys
    (
        SQUARE + "cuont = 2\n",
        [
            '4: cuts[1].cuont = 2: unknown key (did you mean "count"?); here stand: bevel, board, count, disc, drawn_in, '
            "grain, layer, mirror, name, outline, rectangle, score, trace, trapezoid"
        ],
    ),
    (
        MOTOR.replace("diameter", "diametre"),
        ['3: motors[1].diametre = 24: unknown key (did you mean "diameter"?); here stand: burn, case_temperature, '],
    ),
    (
        MOTOR.replace('name = "a"\n', "").replace("mass = 40\n", ""),
        ["1: motors[1].name: is missing and is needed here", "1: motors[1].mass: is missing and is needed here"],
    ),
    ("[airframe]\nmass = 700\nmass = 800\n", ["3: mass = 800: mass is given twice; keep one"]),
    (
        SQUARE + "outline = [[0,0],[1,0],[0,1]]\n",
        [
            "3: cuts[1].rectangle = [50, 50]: stands beside outline; the table needs exactly one of outline, trace, "
            "rectangle, trapezoid and disc"
        ],
    ),
    (
        CUT,
        [
            '1: cuts[1] = {name = "x"}: needs exactly one of outline, trace, rectangle, trapezoid and disc; none is given'
        ],
    ),
    (
        FIN,
        [
            "1: airframe.fin.at: is missing beside root_chord; a fin by its measures needs root_chord, tip_chord, height "
            "and at = { x, z }, its root's leading edge"
        ],
    ),
    (
        FIN + "sweep = 3\ntip_offset = 20\nat = { x = 3, z = 3 }\n",
        ["6: airframe.fin.tip_offset = 20: says again how far the tip lies aft; give sweep or tip_offset"],
    ),
    # numbers that cannot be
    (MOTOR.replace("burn = 1", "burn = 0"), ["8: motors[1].burn = 0: must be above 0 and at most 600 s"]),
    (
        MOTOR + "[ignition]\nigniter = { resistance = 0, no_fire = 0.3, all_fire = 0.7 }\n",
        ["11: ignition.igniter.resistance = 0: must be above 0 and at most 1000 ohm"],
    ),
    (
        CUT + "disc = [64, 92]\n",
        ["3: cuts[1].disc[2] = 92: the disc's inner diameter must be smaller than its outer one, 64 mm"],
    ),
    # several at once
    (
        NOSE.replace("29.5", '"29,4"').replace('"ogive"', '"vonkarman"'),
        [
            f'2: pod.tube.inner = "29,4": {POINT}: "29.4"',
            f'3: pod.nose.profile = "vonkarman": must be {PROFILES} (did you mean "von_karman"?)',
        ],
    ),
    (
        SQUARE + '[cutting]\nkerf = "0,3"\ntool = "Drag Knife"\n',
        [
            f'5: cutting.kerf = "0,3": {POINT}: "0.3"',
            "6: cutting.tool = \"Drag Knife\": must be 'knife', 'drag-knife', 'needle', 'laser' or 'wire' (did you mean "
            '"drag-knife"?)',
        ],
    ),
    (
        SQUARE + BOARD.replace('"b"', '"a"') + BOARD + BOARD + SQUARE,
        [
            '1: cuts[1].board: must name one of the boards: "a", "b", "b"',
            '11: boards[3].name = "b": is the name of entry 2 too; give each its own name',
            '13: cuts[2].board: must name one of the boards: "a", "b", "b"',
            '14: cuts[2].name = "x": is the name of entry 1 too; give each its own name',
        ],
    ),
    # lines that are no TOML: the rest is read too
    (
        SQUARE + "cuont = 2\n[cutting]\nkerf = 0,3\n",
        ['4: cuts[1].cuont = 2: unknown key (did you mean "count"?); here stand: ', f"6: kerf = 0,3: {POINT}: 0.3"],
    ),
    (
        'name : "x"\n[cutting]\nkerf : 0.3\ntool = laser  # ours\n',
        [
            '1: name : "x": key and value are parted by =: name = "x"',
            "3: kerf : 0.3: key and value are parted by =: kerf = 0.3",
            '4: tool = laser  # ours: a text stands in quotes: "laser"',
        ],
    ),
    (CUT.replace('"x"', "\u201cx\u201d") + "disc = 5\n", ['2: name = \u201cx\u201d: quotes are straight ones: "x"']),
    (CUT + "rectangle = (50, 50)\n", ["3: rectangle = (50, 50): a list stands in square brackets: [50, 50]"]),
    (CUT + "rectangle = [50, 50\n", ["3: rectangle = [50, 50: what begins here has no end: ] is missing"]),
    (
        CUT + "rectangle = [50, 50\ncount = 2\n" + SQUARE,
        ["3: rectangle = [50, 50: what begins here has no end: ] is missing"],
    ),
    (SQUARE + "count =\n", ["4: count =: has no value; give one, or take the line out"]),
    (SQUARE + "count = 2 pieces\n", ["4: count = 2 pieces: a number stands alone: 2; words go behind a #"]),
    (SQUARE + "mirror = yes\n", ["4: mirror = yes: must be true or false, in small letters: true"]),
    (
        SQUARE + "mirror = False\ncount = 0\n",
        [
            "4: mirror = False: must be true or false, in small letters: false",
            "5: cuts[1].count = 0: must be at least 1",
        ],
    ),
    (SQUARE + 'mirror = "yes"\n', ['4: cuts[1].mirror = "yes": true or false is needed']),
    (
        "hello\n",
        [
            "1: hello: is not TOML: Expected '=' after a key in a key/value pair; a line reads: key = 12, key = "
            '"text", or [table]'
        ],
    ),
    (  # a part whose shape is the slip's does not lack one, a motor whose mass is does not lack it
        CUT + "rectangle = [50 mm, 20]\n" + MOTOR.replace("mass = 40", "mass = 40,5"),
        [
            '3: rectangle = [50 mm, 20]: a number with its unit stands in quotes: "50 mm"',
            f"8: mass = 40,5: {POINT}: 40.5",
        ],
    ),
    (
        CUT + 'rectangle = "50 x 20"\n',
        ['3: cuts[1].rectangle = "50 x 20": a list is needed, in square brackets: [50, 20]'],
    ),
    (
        SQUARE + BOARD + 'sheet = "210 x 297"\n',
        ['7: boards[1].sheet = "210 x 297": is no paper size; give [210, 297] in mm, or one of A0, A1, A2, '],
    ),
    (SQUARE + 'board = "B"\n' + BOARD, ['4: cuts[1].board = "B": there is no such entry in [[boards]] (given: "b")']),
    (SQUARE + 'grain = "lenght"\n', ["4: cuts[1].grain = \"lenght\": must be 'none' or 'length' (did you mean "]),
    (
        '[pod]\ntube = { outer = 29.4 }\nnose = { profile = "ogive", length = 90, shoulder = 25 }\n',
        [
            "3: pod.nose.shoulder = 25: goes into the tube, whose inner diameter is not given: measure "
            "pod.tube.inner, or leave it away"
        ],
    ),
    (NOSE.replace("29.5", "33"), ["2: pod.tube.inner = 33: must be smaller than the tube's outer diameter, 31.5 mm"]),
    (
        CUT + "outline = [0, 0, 9, 0, 9, 9]\n",
        ["3: cuts[1].outline[1] = 0: point 1 must be two numbers, as in [120, 36]"],
    ),
    (
        CUT + "outline = [[0, 0], [9, 9], [9, 0], [0, 9]]\n",
        [
            "3: cuts[1].outline = [[0, 0], [9, 9], [9, 0], [0, 9]]: the outline crosses or touches itself near [4.50, 4.50]"
        ],
    ),
]


@pytest.mark.parametrize(("text", "says"), WRONG, ids=[text[-40:] for text, _ in WRONG])
def test_each_slip_gets_its_words(text: str, says: list[str], tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load(path)
    told = str(caught.value).split("\n")
    assert len(told) == len(says)
    for line, wanted in zip(told, says, strict=True):
        assert line.startswith(f"{path}:{wanted}")
        whole = f"{path}:{wanted}"  # of a list of all choices or of a place that follows, the beginning is held
        assert line == whole or wanted.endswith((": ", ", ", "mean ", "]"))
    assert sorted(file.name for file in tmp_path.iterdir()) == ["a.toml"]  # nothing is written


@pytest.mark.parametrize("text", ['"1/2 in"', '"\u00bd in"', '"1/2\\""', "12.7", '"0.041666667 ft"', '"0.041666667\'"'])
def test_inches_and_feet_are_taken_as_they_are_written(text: str, tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(CUT + f"disc = {text}\n", encoding="utf-8")
    assert load(path).cuts[0].disc == (pytest.approx(12.7e-3), 0)


def test_a_wing_of_many_stations_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text("[airframe.wing]\nstations = [\n" + "{ x = 0, y = 0, chord = 9 },\n" * 20_000 + "]\n")
    with pytest.raises(DesignError, match=r"a\.toml:2: airframe\.wing\.stations = .*has 20000 entries; at most 50 are"):
        load(path)


def test_at_most_five_faults_are_told_in_the_order_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text("".join(f"wrong{number} = 1\n" for number in range(9)))
    with pytest.raises(DesignError) as caught:
        load(path)
    told = str(caught.value).split("\n")
    assert [line.split(":")[1:3] for line in told] == [[str(n), f" wrong{n - 1} = 1"] for n in range(1, 6)]


def command(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    run = [sys.executable, "-m", "foamworks", *words]
    return subprocess.run(run, cwd=folder, capture_output=True, text=True, check=False, timeout=60)


@pytest.mark.parametrize("job", ["check", "build", "mend"])
def test_a_wrong_file_ends_every_command_with_2_and_leaves_nothing(job: str, tmp_path: Path) -> None:
    (tmp_path / "my part.toml").write_text(SQUARE + "cuont = 2\nkerf = 0,3\n", encoding="utf-8")
    done = called(job, "my part.toml", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    told = done.stderr.splitlines()
    assert [line.partition(" = ")[0] for line in told] == ["my part.toml:4: cuts[1].cuont", "my part.toml:5: kerf"]
    assert [file.name for file in tmp_path.iterdir()] == ["my part.toml"]


@pytest.mark.parametrize(
    ("named", "says"),
    [
        ("fin.dxf", 'fin.dxf: is a drawing; name it in a design beside it: trace = "fin.dxf"\n'),
        ("a", "a: cannot be read (No such file or directory); did you mean a.toml?\n"),
        ("b", "b: cannot be read (No such file or directory); name a design file, or make one: foamworks new NAME\n"),
    ],
)
def test_what_is_no_design_is_said(named: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(SQUARE)
    (tmp_path / "fin.dxf").write_text("0\nSECTION\n2\nHEADER\n")
    done = called("check", named, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, says)


def test_of_a_text_that_is_no_design_one_line_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("Dear Sir\nhere are\nthe sizes\nof my jet\n")
    done = called("check", "a.toml", cwd=tmp_path)
    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1)


def test_a_wrong_job_is_said_without_a_library(tmp_path: Path) -> None:
    done = command("new", "my fin", "--for", "fin", folder=tmp_path)
    assert done.returncode == 2
    assert done.stderr == '--for "fin": must be one of boost, fins, nose, sheets (did you mean "fins"?)\n'


def test_the_command_that_new_prints_can_be_typed(tmp_path: Path) -> None:
    done = command("new", "my fin", "--for", "fins", folder=tmp_path)
    assert done.stdout.endswith("then: foamworks check 'my fin.toml'\n")
    assert "foamworks check 'my fin.toml'" in (tmp_path / "my fin.toml").read_text(encoding="utf-8")
