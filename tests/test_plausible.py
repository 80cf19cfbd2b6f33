"""What cannot be is refused or found: each number beside the one that may stand."""

from pathlib import Path

import pytest

from foamworks.checks import judged
from foamworks.checks.base import Finding
from foamworks.design.load import load
from foamworks.errors import DesignError

NOSE = "[pod]\ntube = {{ inner = {inner}, outer = 29.4 }}\n"
NOSE += 'nose = {{ profile = "ellipse", length = {length}, wall = {wall} }}\n'
CUT = '[[cuts]]\nname = "x"\nrectangle = [50, 50]\n'
BOARD = '[[boards]]\nname = "b"\nthickness = {thickness}\nsheet = [210, 297]\nmass = {mass}\n'


def found(folder: Path, text: str) -> list[Finding]:
    path = folder / "a.toml"
    path.write_text(text)
    return [one for one in judged(load(path), path).findings if one.check in {"plausible", "nothing-made"}]


def nose(inner: float = 27.6, length: float = 60, wall: float = 1.2) -> str:
    return NOSE.format(inner=inner, length=length, wall=wall)


@pytest.mark.parametrize(
    ("text", "subject", "verdict", "value"),
    [
        (nose(wall=0.3), "pod.nose.wall", "fail", 0.3),  # a nozzle of 0.4 mm prints no line of 0.3
        (nose(length=9), "pod.nose.length", "caution", 9),  # 29.4/3 = 9.8
        (nose(inner=29.2), "pod.tube", "fail", 0.1),
        (CUT + BOARD.format(thickness=4.9, mass=178), "b", "caution", 582),  # 178 g / 0.06237 m2 / 4.9 mm
        (CUT + BOARD.format(thickness=4.9, mass=600), "b", "fail", 1963),
        (CUT + BOARD.format(thickness=4.9, mass=3), "b", "fail", 9.8),
    ],
)
def test_what_can_hardly_be_is_found(text: str, subject: str, verdict: str, value: float, tmp_path: Path) -> None:
    [one] = found(tmp_path, text)
    assert (one.subject, one.verdict) == (subject, verdict)
    assert one.value == pytest.approx(value, rel=2e-3)
    assert one.cure


def test_what_is_usual_is_not_spoken_of(tmp_path: Path) -> None:
    assert found(tmp_path, nose() + CUT + BOARD.format(thickness=4.9, mass=29)) == []


def test_a_board_of_2854_g_per_m2_is_told_so(tmp_path: Path) -> None:
    [one] = found(tmp_path, CUT + BOARD.format(thickness=4.9, mass=178))
    assert "2854 g/m2" in one.why


def test_a_pod_of_which_nothing_is_made_says_what_would(tmp_path: Path) -> None:
    [one] = found(tmp_path, "[pod]\ntube = { outer = 30 }\n")
    assert (one.check, one.verdict) == ("nothing-made", "unknown")
    assert "under [pod]" in one.cure


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            '[pod]\ntube = { outer = 29.4 }\nnose = { profile = "cone", length = 60, shoulder = 25 }\n',
            r"a\.toml:3: pod\.nose\.shoulder = 25: goes into the tube.*measure pod\.tube\.inner",
        ),
        (nose(wall=14.7), r"a\.toml:3: pod\.nose\.wall = 14\.7: must be below the tube's radius, 14\.7 mm"),
    ],
)
def test_what_cannot_be_is_refused(text: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=says):
        found(tmp_path, text)


WING = "[airframe.wing]\nstations = [{{ x = 230, y = 0, z = 0, chord = {root} }}, "
WING += "{{ x = 280, y = 460, z = 0, chord = 130 }}]\n"


def test_a_chord_longer_than_the_span_is_asked_about(tmp_path: Path) -> None:
    [one] = found(tmp_path, WING.format(root=1900))  # 190 with a digit too many; the span is 920
    assert (one.verdict, one.subject) == ("caution", "wing")
    assert "chord of 1900 mm" in one.why
    assert "wing's chord again at station 1" in one.cure
    assert not found(tmp_path, WING.format(root=190))


@pytest.mark.parametrize(
    ("name", "near"), [("PEGT", "PETG"), ("PTEG", "PETG"), ("resin", None), ("PETG-CF", None), ("PVA", None)]
)
def test_a_filament_nearly_written_as_one_that_is_known_is_asked_about(name: str, near: str, tmp_path: Path) -> None:
    rows = found(tmp_path, nose() + f'[printer]\nfilament = {{ name = "{name}" }}\n')
    assert len(rows) == (near is not None)
    assert all(f'under [printer] type filament.name = "{near}"' in row.cure for row in rows)
