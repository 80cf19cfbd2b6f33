"""Packages of changes: tried whole, the same every time, written as a copy."""

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import kept
from called import called
from foamworks.changes.mend import Package, _clearing, _different, leave_out, packages
from foamworks.changes.trial import changed
from foamworks.checks.base import Proposal
from foamworks.design.edit import Edit, written
from foamworks.errors import DesignError

ROOT = Path(__file__).parents[1]
TOO_FAR = ROOT / "designs" / "too-far-aft.toml"


def run(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "foamworks", "mend", *args], capture_output=True, text=True, check=False, cwd=ROOT
    )


@pytest.mark.slow
def test_packages_leave_less_wrong_and_are_written_as_a_copy(tmp_path: Path) -> None:
    shutil.copy(TOO_FAR, tmp_path / "tfa.toml")
    new = tmp_path / "new.toml"
    done = run(str(tmp_path / "tfa.toml"), "--json", "--write", str(new))
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)["packages"]
    assert 1 <= len(found) <= 3
    assert all(1 <= len(package["changes"]) <= 3 for package in found)
    assert found[0]["fails_after"] < found[0]["fails_before"]
    again = kept.check(new)
    assert sum(f.verdict == "fail" for f in again.findings) == found[0]["fails_after"]
    assert "#" in new.read_text()  # its remarks are kept
    assert run(str(tmp_path / "tfa.toml"), "--json").stdout == done.stdout  # and the same every time
    assert run(str(tmp_path / "tfa.toml"), "--write", str(new)).returncode == 2


BROKEN = {
    "a pod too high": [Edit("pod.nozzle.z", 165.0, "mm")],
    "no downthrust": [Edit("pod.downthrust", 0.0, "deg")],
    "fins too small": [
        *(
            Edit(f"fins.each.{key}", value, "mm")
            for key, value in (("root_chord", 70), ("tip_chord", 40), ("height", 60))
        ),
        *(Edit(f"fins.{key}", None) for key in ("shape", "match")),
    ],
    "a motor too large": [
        Edit('motors["29 mm F class"].impulse', 110.0),
        Edit('motors["29 mm F class"].peak', 90.0),
        Edit('motors["29 mm F class"].propellant', 56.0, "g"),
    ],
    "no room for the battery": [
        Edit("airframe.battery.slide", (215.0, 250.0), "mm"),
        Edit("ballast.most", 20.0, "g"),
    ],
}


@pytest.mark.slow
@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_design_comes_to_nothing_that_fails(tmp_path: Path, name: str) -> None:
    copy = tmp_path / "broken.toml"
    written(ROOT / "designs" / "skerry-boost.toml", BROKEN[name], copy)
    case = kept.check(copy)
    assert any(finding.verdict == "fail" for finding in case.findings)
    best = packages(case)[0]
    mended = tmp_path / "mended.toml"
    written(copy, best.edits, mended)
    assert [f.check for f in kept.check(mended).findings if f.verdict == "fail"] == []
    assert best.fails[1] == 0


def test_a_package_takes_out_the_weighing_that_it_leaves_behind() -> None:
    """Without the larger motor and its lead the model is lighter than it was weighed."""
    case = kept.check(ROOT / "designs" / "skerry-boost.toml")
    kept_so = ["pod", "build", "camera", "changes", "printer"]
    (package, *_) = packages(case, keep=kept_so, without="29 mm F class")
    after = changed(case, package.edits)
    assert after is not None
    assert not [f for f in after.findings if f.check == "closing-error" and f.verdict in {"caution", "fail"}]
    assert 'weighed["no motor"]' in {edit.key for edit in package.edits}
    assert "weigh again" in package.told[-1].told
    for count, verdict in ((package.fails, "fail"), (package.cautions, "caution")):  # all of them, as check counts
        assert count == tuple(sum(f.verdict == verdict for f in c.findings) for c in (case, after))
    assert package.edits == tuple(edit for proposal in package.told for edit in proposal.edits)


def test_another_ways_changes_and_something_besides_are_no_way() -> None:
    case = kept.check(TOO_FAR)
    package = Package((), (), (), (0, 0), (0, 0), case)

    def way(*keys: str) -> Package:
        return replace(package, proposals=tuple(Proposal("", "set", (Edit(key, 1.0),)) for key in keys))

    one, more, other = way("pod.nozzle.x"), way("pod.nozzle.x", "ballast.most"), way("pod.retainer", "ballast.most")
    assert _different([one, more, other]) == [one, other]


def test_a_motor_that_is_left_out_takes_its_flights_with_it() -> None:
    case = kept.check(ROOT / "designs" / "skerry-boost.toml")
    after = changed(case, leave_out(case, "29 mm F class").edits)
    assert after is not None
    assert [motor.name for motor in after.design.motors] == ["24 mm D class"]


def test_a_motor_whose_name_has_quotes_can_be_left_out(tmp_path: Path) -> None:
    text = (ROOT / "designs" / "skerry-boost.toml").read_text(encoding="utf-8")
    path = tmp_path / "named.toml"
    path.write_text(text.replace('"29 mm F class"', """'29 mm "F" class'"""), encoding="utf-8")
    case = kept.check(path)
    after = changed(case, leave_out(case, '29 mm "F" class').edits)
    assert after is not None
    assert [motor.name for motor in after.design.motors] == ["24 mm D class"]


def test_unknown_motors_and_keys_are_named() -> None:
    case = kept.check(ROOT / "designs" / "skerry-boost.toml")
    with pytest.raises(DesignError, match="24 mm D class, 29 mm F class"):
        packages(case, without="30 mm")
    with pytest.raises(DesignError, match=r"pod\.nozzle\.x"):
        packages(case, keep=["pod.nozle.x"])


def test_nothing_to_mend_is_said(tmp_path: Path) -> None:
    path = tmp_path / "cut.toml"
    path.write_text(
        '[[boards]]\nname = "b"\nthickness = 5\nsheet = [500, 500]\nmass = 80\n'
        '[[cuts]]\nname = "plate"\nrectangle = [200, 100]\n'
    )
    done = run(str(path))
    assert (done.returncode, "nothing to mend" in done.stdout) == (0, True)


def test_a_copy_whose_name_is_taken_is_refused_before_anything_is_tried(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = tmp_path / "taken.toml"
    taken.write_text("mine")
    monkeypatch.setattr("foamworks.changes.mend.packages", lambda *_, **__: [])
    done = called("mend", "designs/board-cuts.toml", "--write", str(taken))
    assert done.returncode == 2
    assert "exists already" in done.stderr
    assert taken.read_text() == "mine"


def test_where_one_package_clears_a_fail_none_that_clears_none_is_offered() -> None:
    case = kept.check(TOO_FAR)
    good, idle = (Package((), (), (), (2, left), (10, 3), case) for left in (0, 2))
    assert list(_clearing([good, idle])) == [good]
    assert list(_clearing([idle])) == [idle]
