"""Reading a thrust curve: what is taken, and that each fault names file, line, column, value, key and cure."""

import pytest

from foamworks.design.curve_file import read_curve
from foamworks.errors import DesignError

GOOD = b"time_s,thrust_N\n0,0\n0.1,29\n1.7,0\n"
HEAD = b"time_s,thrust_N\n"

# file's content, then what the message must hold
FAULTS = {
    "wrong header": (b"t,F\n0,1\n1,1\n", ["curve.csv:1:", "t,F", "time_s,thrust_N"]),
    "no header": (b"0,1\n1,1\n", ["curve.csv:1:", "0,1", "time_s,thrust_N"]),
    "a column missing in the header": (b"time_s\n0\n1\n", ["curve.csv:1:", "lacks the column thrust_N"]),
    "a column too many in the header": (b"time_s,thrust_N,note\n0,1,a\n", ["curve.csv:1:", "too many, note"]),
    "columns in the wrong order": (b"thrust_N,time_s\n1,0\n", ["curve.csv:1:", "order", "time_s,thrust_N"]),
    "semicolons": (b"time_s;thrust_N\n0;1\n", ["curve.csv:1:", "time_s;thrust_N"]),
    "not a number": (HEAD + b"0,0\n0.1,strong\n", ["curve.csv:3:", "thrust_N = strong", "not a number"]),
    "a unit behind the number": (HEAD + b"0,0\n0.1,5 N\n", ["curve.csv:3:", "thrust_N = 5 N", "bare"]),
    "underscores": (HEAD + b"0,0\n0.1,1_0\n", ["curve.csv:3:", "thrust_N = 1_0"]),
    "nan": (HEAD + b"0,0\nNaN,5\n", ["curve.csv:3:", "time_s = NaN", "finite"]),
    "infinity": (HEAD + b"0,0\n0.1,-inf\n", ["curve.csv:3:", "thrust_N = -inf", "finite"]),
    "overflow": (HEAD + b"0,0\n0.1,1e999\n", ["curve.csv:3:", "thrust_N = 1e999", "100000 N"]),
    "negative thrust": (HEAD + b"0,0\n0.1,-3\n", ["curve.csv:3:", "thrust_N = -3", "within 0 and"]),
    "negative time": (HEAD + b"-0.1,0\n0.1,3\n", ["curve.csv:2:", "time_s = -0.1", "within 0 and"]),
    "milliseconds": (HEAD + b"0,0\n1700,3\n", ["curve.csv:3:", "time_s = 1700", "1000 s"]),
    "time backwards": (HEAD + b"0,0\n0.2,3\n0.1,3\n", ["curve.csv:4:", "time_s = 0.1", "goes back", "must rise"]),
    "time repeated": (HEAD + b"0,0\n0.2,3\n0.2,4\n", ["curve.csv:4:", "time_s = 0.2", "repeats", "must rise"]),
    "a value missing": (HEAD + b"0,0\n0.1,\n", ["curve.csv:3:", "thrust_N", "missing", "a number in N"]),
    "a column missing": (HEAD + b"0,0\n0.1\n", ["curve.csv:3:", "thrust_N", "missing", "comma"]),
    "a column too many": (HEAD + b"0,0\n0,1,3,5\n", ["curve.csv:3:", "0,1,3,5", "4 columns", "point"]),
    "one sample": (HEAD + b"0,5\n", ["curve.csv:2:", "1 samples", "at least 2"]),
    "no sample": (HEAD, ["curve.csv:1:", "0 samples", "at least 2"]),
    "no thrust": (HEAD + b"0,0\n1,0\n", ["curve.csv:3:", "thrust_N", "0 in every line", "newtons"]),
    "empty": (b"", ["curve.csv:", "empty", "time_s,thrust_N"]),
    "comments only": (b"# nothing\n\n", ["curve.csv:", "empty", "time_s,thrust_N"]),
    "not UTF-8": (HEAD + b"0,0\n# \xb5s\n", ["curve.csv:3:", "UTF-8"]),
    "too large": (HEAD + b"#" * (1 << 20), ["curve.csv:", "over 1 MiB", "thin"]),
}


@pytest.fixture
def write(tmp_path):
    def write_file(content):
        path = tmp_path / "curve.csv"
        path.write_bytes(content)
        return path

    return write_file


@pytest.mark.parametrize(
    "content",
    [
        GOOD,
        b"\xef\xbb\xbf" + GOOD,
        GOOD.replace(b"\n", b"\r\n"),
        GOOD.replace(b"\n", b"\r"),
        GOOD.rstrip(),
        b"# from the bench\n\n" + GOOD.replace(b"0.1", b"\n  # lit\n 0.1 "),
    ],
    ids=["plain", "byte order mark", "CRLF", "CR", "no last newline", "comments and blank lines"],
)
def test_the_samples_are_read(write, content):
    assert read_curve(write(content), key="motors[0].curve") == ((0.0, 0.1, 1.7), (0.0, 29.0, 0.0))


def test_exponents_and_signs_are_numbers(write):
    assert read_curve(write(HEAD + b"0,+1.5e1\n.5,2.\n"), key="k") == ((0.0, 0.5), (15.0, 2.0))


@pytest.mark.parametrize(("content", "says"), FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_names_place_value_and_cure(write, content, says):
    with pytest.raises(DesignError) as caught:
        read_curve(write(content), key="motors[1].curve")
    message = str(caught.value)
    for part in (*says, "motors[1].curve"):
        assert part in message


@pytest.mark.parametrize(
    "content", [*(content for content, _ in FAULTS.values()), HEAD + b"0,\x00\x1b[31m\n", HEAD + b"0," + b"x" * 9000]
)
def test_a_fault_is_one_short_printable_line(write, content):
    with pytest.raises(DesignError) as caught:
        read_curve(write(content), key="motors[1].curve")
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 200


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(DesignError, match=r"gone\.csv: cannot be read .*motors\[1\]\.curve"):
        read_curve(tmp_path / "gone.csv", key="motors[1].curve")


def test_a_folder_is_no_curve(tmp_path):
    with pytest.raises(DesignError, match="cannot be read"):
        read_curve(tmp_path, key="curve")
