"""Shares of builds through a burn: what must raise or lower them, and the grid they are read from."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from foamworks.checks.case import Case
from foamworks.design.edit import Edit, written
from foamworks.output.summary import as_dict
from foamworks.physics.grid import read_between
from kept import check

SmallFile = Callable[..., Path]
FAN: dict[str, str | None] = {
    "airframe.fan": "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
}


SKERRY = Path(__file__).parents[1] / "designs" / "skerry-boost.toml"


def shares(case: Case) -> dict[str, float]:
    return {row.what: row.share for row in case.study.sureness if row.what.startswith("D:")}


def test_each_motor_has_its_rows(small_file: SmallFile) -> None:
    found = shares(check(small_file(FAN)))
    for words in ("pitch within 10 deg", "pitch within 45 deg", "load"):
        assert sum(words in what for what in found) == 1
    assert all(0 <= share <= 1 for share in found.values())


def test_a_wider_angle_is_kept_by_more(small_file: SmallFile) -> None:
    narrow, wide, _ = shares(check(small_file(FAN))).values()
    assert narrow < wide


def test_an_angle_glued_worse_is_kept_by_fewer(tmp_path: Path) -> None:
    kept = []
    for error in (0.5, 3.0):
        path = tmp_path / f"glued-{error}.toml"
        text = SKERRY.read_text(encoding="utf-8").replace("\n[build]", f"\n[build]\nangle_error = {error}\n#")
        path.write_text(text, encoding="utf-8")
        rows = {row.what: row.share for row in check(path).study.sureness}
        kept.append(next(share for what, share in rows.items() if what.startswith("29 mm F class: pitch within 45")))
    assert kept[1] < kept[0] - 0.1


def test_a_grid_gives_a_plane_back_everywhere_inside_and_its_edge_beyond() -> None:
    axes = [np.array([0.0, 1.0, 4.0]), np.array([-1.0, 1.0])]
    x, y = np.meshgrid(*axes, indexing="ij")
    inside = [np.array([0.3, 2.0, 4.0]), np.array([-0.5, 0.0, 1.0])]
    assert read_between(axes, 2 * x - 3 * y, inside) == pytest.approx(2 * inside[0] - 3 * inside[1])
    assert read_between(axes, 2 * x, [np.array([9.0]), np.array([0.0])]) == pytest.approx([8.0])


def test_the_json_gives_damping_and_lag_of_each_moment_of_the_burn(small_file: SmallFile) -> None:
    case = check(small_file(FAN))
    assert case.study.aero is not None
    assert case.study.thrust_line is not None
    plane = case.study.aero.modified
    for row, line in zip(as_dict(case)["thrust_line"]["states"], case.study.thrust_line.rows, strict=True):
        assert row["pitch_damping"] == pytest.approx(plane.pitch_damping(line.cg_x), rel=1e-6)
        assert row["pitch_damping"] < row["lift_lag"] < 0


def test_a_burn_fails_where_more_than_one_build_in_twenty_passes_the_limit() -> None:
    """The tail-heavy example turns its nose by less than 45 degrees with the angle one degree off."""
    case = check(SKERRY.with_name("too-far-aft.toml"))
    assert case.study.burn is not None
    assert case.study.burn.response is not None
    answer = case.study.burn.response.motors[0]
    assert max(abs(swing.pitch_change) for swing in answer.one_off) < np.radians(45)
    built = case.study.burn.response.scattered[0]
    assert built.within[1] < 0.95
    row = next(f for f in case.findings if f.check == "pitch-change")
    assert row.verdict == "fail"
    assert row.value is not None
    assert abs(row.value) == pytest.approx(np.degrees(built.most))


@pytest.mark.parametrize("x", [812, 752])  # as it stands, and with the pod further forward, where it only cautions
def test_a_pitch_change_shows_the_same_figure_whatever_its_verdict(tmp_path: Path, x: int) -> None:
    path = tmp_path / "a.toml"
    written(SKERRY.with_name("too-far-aft.toml"), [Edit("pod.nozzle.x", x, "mm")], path)
    case = check(path)
    for row in (f for f in case.findings if f.check == "pitch-change"):
        answer = case.study.burn.response.of(row.subject)
        built = next(s.most for s in case.study.burn.response.scattered if s.motor == row.subject)
        assert answer is not None
        wanted = max(built, *(abs(swing.pitch_change) for swing in (answer.hands_off, *answer.one_off)))
        assert abs(row.value or 0.0) == pytest.approx(np.degrees(wanted))
        assert (row.verdict == "fail") == (wanted > np.radians(45))
