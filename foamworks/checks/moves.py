"""Moves of a cure, as edits that are tried on a design: the least step [mm] after which all is well."""

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TypeVar

from foamworks.checks.base import Proposal, given
from foamworks.design.edit import Edit
from foamworks.design.edit import moved as applied
from foamworks.design.model import Design
from foamworks.parts.mounted_pod import MountedPod, over_back
from foamworks.units import mm

__all__ = ["applied", "fins", "first", "inward", "least", "longer_tube", "nozzle", "proposed", "that_does"]
S = TypeVar("S")
T = TypeVar("T")
Edits = tuple[Edit, ...]
Move = Callable[[int], Edits]
Good = Callable[[Design], bool]
Search = Callable[[Design, int, Move, Good], int | None]
STRIDE = 5  # steps of the walk


def pod_that(good: Callable[[Design, MountedPod], bool]) -> Good:
    """Ask a changed design of its pod over the back: without one it is not good."""

    def asked(design: Design) -> bool:
        pod = over_back(design)
        return pod is not None and good(design, pod)

    return asked


def least(design: Design, most: int, move: Move, good: Good) -> int | None:
    """Find the least whole step of a move that makes it good; None when the farthest does not.

    By halving: what is good stays good further on. The step that is given was tried, and so was the one before it.
    """
    if most <= 0 or not good(applied(design, move(most))):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if good(applied(design, move(middle))) else (middle, high)
    return high


def first(design: Design, most: int, move: Move, good: Good) -> int | None:
    """Find the first whole step that is good, where going on may spoil it again: in strides, then step by step."""
    strides = (step for step in range(STRIDE, most + 1, STRIDE) if good(applied(design, move(step))))
    steps = (step for stride in islice(strides, 1) for step in range(stride - STRIDE + 1, stride + 1))
    return next((step for step in steps if good(applied(design, move(step)))), None)


def that_does(candidates: Iterable[S], trial: Callable[[S], T | None]) -> Iterator[tuple[S, T]]:
    """Give the first candidate whose trial comes to something, with what it comes to; nothing where none does."""
    for candidate in candidates:
        found = trial(candidate)
        if found is not None:
            yield candidate, found
            return


def proposed(
    words: str, design: Design, most: int, move: Move, good: Good, *, search: Search = least
) -> Iterator[Proposal]:
    """Propose the least step that is good, in words that have a place for it; nothing where none is."""
    step = search(design, most, move, good)
    if step is not None:
        yield Proposal(words.format(step), "set", move(step))


def nozzle(design: Design, *, aft: float = 0.0, lift: float = 0.0) -> Edits:
    """Move the pod's nozzle."""
    at = given(given(design.pod).nozzle)
    ways = (("x", at.x, aft), ("z", at.z, lift))
    return tuple(Edit(f"pod.nozzle.{key}", round(mm(place) + by, 3), "mm") for key, place, by in ways if by)


def longer_tube(design: Design, by: float) -> Edits:
    """Lengthen the pod's tube."""
    return (Edit("pod.tube.length", round(mm(given(given(design.pod).tube.length)) + by, 3), "mm"),)


def inward(design: Design, by: float) -> Edits:
    """Move two pods nearer to the middle, or apart where it is negative; to whole tenths on the safe side."""
    return (Edit("pod.y", round(abs(mm(given(given(design.pod).y))) - by, 3), "mm"),)


def fins(design: Design, *, aft: float = 0.0, outward: float = 0.0) -> Edits:
    """Move the new fins' roots, their size kept."""
    root = given(design.fins).root
    ways = (("x", root.x, aft), ("y", root.y, outward))
    return tuple(Edit(f"fins.root.{key}", round(mm(place) + by, 3), "mm") for key, place, by in ways if by)
