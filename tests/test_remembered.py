"""What is kept from one design to the next changes nothing: a trial's verdicts are those of a check by itself."""

import sys
from pathlib import Path

import pytest

from foamworks.checks import judged
from foamworks.design.edit import Edit, edited

DESIGNS = Path(__file__).parents[1] / "designs"
BOOST = (
    (Edit("pod.nozzle.z", 106, "mm"),),
    (Edit("pod.nozzle.x", 690, "mm"), Edit("pod.downthrust", 6, "deg")),
    (Edit("pod.retainer", "hook", ""),),
    (Edit('motors["29 mm F class"]', None),),
    (Edit('motors["24 mm D class"].mass', 47, "g"),),
    (Edit("airframe.battery.mass", 300, "g"),),
    (Edit("fins.root.x", 700, "mm"),),
    (Edit("build.angle_error", 0.5, "deg"),),
)
TRIALS = {
    "skerry-boost": ((), *BOOST, ()),
    "too-far-aft": ((), (Edit("ballast.most", 100, "g"),), (Edit("pod.nozzle.x", 752, "mm"),)),
    "skerry-fins": ((), (Edit("fins.shape.aspect_ratio", 2.2, ""),), (Edit("fins.cant", 10, "deg"),)),
    "board-cuts": ((),),
    "pod-nose": ((), (Edit("pod.nose.length", 80, "mm"),)),
}


def forget() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("foamworks"):
            for thing in vars(module).values():
                if hasattr(thing, "cache_clear"):
                    thing.cache_clear()


def verdicts(design: str, edits: tuple[Edit, ...]) -> list[str]:
    path = DESIGNS / f"{design}.toml"
    case = judged(edited(path, edits), path)
    return [f"{f.check} {f.subject} {f.verdict} {f.value!r} {f.limit!r} {f.why} {f.cure}" for f in case.findings]


@pytest.mark.parametrize("design", TRIALS)
def test_what_was_worked_out_for_other_designs_changes_no_verdict(design: str) -> None:
    after_others = [verdicts(design, edits) for edits in TRIALS[design]]
    for edits, found in zip(TRIALS[design], after_others, strict=True):
        forget()
        assert verdicts(design, edits) == found
