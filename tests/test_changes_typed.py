"""Every change that the answer prints, typed into the file: what it clears is clear then, and nothing else fails.

Over the designs as they stand, and over designs spoilt at random by one to three keys.
"""

import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import kept
from foamworks.changes.trial import Tried, tried, verdicts
from foamworks.checks.base import BAD, Proposal
from foamworks.checks.case import Case
from foamworks.design.edit import Edit, written
from foamworks.design.ladder import NO_MOTOR
from foamworks.design.load import load
from foamworks.errors import FoamworksError
from kept import check

DESIGNS = Path(__file__).parents[1] / "designs"
FLOWN = ("skerry-boost", "too-far-aft", "skerry-fins")
SPOILT = 100  # a few minutes on two quiet cores
# key, what is added to its value, the unit
SPOILS: list[tuple[str, tuple[float, ...], str]] = [
    ("pod.nozzle.x", (-60, 30, 70), "mm"),
    ("pod.nozzle.z", (-12, 15, 30), "mm"),
    ("pod.tube.length", (-30, 40), "mm"),
    ("pod.downthrust_limit", (-8, 4), "deg"),
    ("ballast.most", (-40, -15), "g"),
    ("airframe.battery.mass", (-60, 90), "g"),
    ("airframe.mass", (-80, 150), "g"),
    ("airframe.cg.x", (-12, 8, 15), "mm"),
    ("fins.root.x", (-60, -25, 20, 40), "mm"),
    ("fins.root.y", (-30, 25), "mm"),
    ("fins.cant", (10, 20), "deg"),
    ("camera.at.y", (-60, 80), "mm"),
    ("camera.at.z", (-10, 8), "mm"),
    ("limits.least", (0.04, 0.08), ""),
]


def value_of(tables: dict[str, Any], key: str) -> float | None:
    there: Any = tables
    for part in key.split("."):
        there = there.get(part) if isinstance(there, dict) else None
    return None if isinstance(there, str | bool) else there


def spoilt(source: Path, seed: int) -> list[Edit]:
    """Choose one to three keys of a design and what each is to be."""
    import tomllib

    chance, tables = random.Random(seed), tomllib.loads(source.read_text(encoding="utf-8"))
    known = [(key, value, steps, unit) for key, steps, unit in SPOILS if (value := value_of(tables, key)) is not None]
    return [
        Edit(key, round(value + chance.choice(steps), 3), unit)
        for key, value, steps, unit in chance.sample(known, min(len(known), chance.randint(1, 3)))
    ]


@pytest.fixture(scope="module")
def beside(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder with all the designs and the files that they name."""
    folder = tmp_path_factory.mktemp("typed")
    for path in DESIGNS.iterdir():
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    return folder


def judged_anew(copy: Path, _: Tried) -> Case:
    """Check the file that was typed."""
    return check(copy)


def as_it_was_tried(copy: Path, change: Tried) -> Case:
    """Read the file that was typed; it is to be the design that was tried, whose case is given."""
    assert load(copy) == change.after.asked, change.proposal.told
    return change.after


def faults(case: Case, folder: Path, found: Callable[[Path, Tried], Case]) -> Iterator[str]:
    """Type every change of a case's answer into a copy of its file, and tell what does not hold."""
    before = verdicts(case.findings)
    for cause in kept.answer(case).causes:
        for number, change in enumerate(cause.changes):
            if not isinstance(change, Tried):
                continue
            copy = folder / f"{case.path.stem}-{cause.cause.replace(' ', '-')}-{number}.toml"
            written(case.path, change.proposal.edits, copy)
            after = verdicts(found(copy, change).findings)
            yield from (
                f"{change.proposal.words}: {key} is {after[key]}" for key in change.clears if after.get(key) in BAD
            )
            failing = [key for key, verdict in after.items() if verdict == "fail" and before.get(key) != "fail"]
            yield from (f"{change.proposal.words}: {key} fails" for key in failing)
            if not change.clears:
                yield f"{change.proposal.words}: clears nothing"


@pytest.mark.parametrize("name", FLOWN)
def test_what_is_printed_for_a_design_holds_when_it_is_typed(beside: Path, name: str) -> None:
    assert list(faults(check(beside / f"{name}.toml"), beside, judged_anew)) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(SPOILT))
def test_what_is_printed_for_a_spoilt_design_holds_when_it_is_typed(beside: Path, seed: int) -> None:
    source = beside / f"{FLOWN[seed % len(FLOWN)]}.toml"
    copy = beside / f"spoilt-{seed}.toml"
    edits = spoilt(source, seed)
    try:
        written(source, edits, copy)
        case = check(copy)
    except FoamworksError:
        return  # refused with a message: nothing is printed for it
    assert list(faults(case, beside, as_it_was_tried)) == [], edits


def test_a_change_of_mass_takes_the_old_weighing_out(beside: Path) -> None:
    heavier = [Edit("changes[+].name", "paint"), *(Edit(f'changes["paint"].{key}', 300.0) for key in ("mass", "x"))]
    found = tried(check(beside / "skerry-boost.toml"), Proposal("paint it", "set", tuple(heavier)))
    assert found is not None
    assert found.proposal.edits[-1] == Edit(f'weighed["{NO_MOTOR.name}"]', None)
    assert "closing-error" not in {tip.check for tip in found.tips}
