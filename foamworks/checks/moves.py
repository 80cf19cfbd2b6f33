"""Moves of a cure, as edits that are tried on a design: the least step [mm] after which all is well."""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import islice
from typing import TypeVar

from foamworks.checks.base import Proposal, given
from foamworks.design.edit import Edit
from foamworks.design.edit import moved as applied
from foamworks.design.model import Design
from foamworks.parts.mounted_pod import MountedPod, over_back
from foamworks.units import mm

__all__ = ["applied", "fins", "first", "inward", "least", "nozzle", "proposed", "that_does"]
S = TypeVar("S")
T = TypeVar("T")
Edits = tuple[Edit, ...]
Good = Callable[[Design], bool]
STRIDE = 5  # steps of the walk


@dataclass(frozen=True)
class Move:
    """A move that a builder has: its words, with a place for its steps, how far it may go [mm], what is typed."""

    words: str
    most: int
    typed: Callable[[Design, int], Edits]


Search = Callable[[Design, Move, Good], int | None]


def pod_that(good: Callable[[Design, MountedPod], bool]) -> Good:
    """Ask a changed design of its pod over the back: without one it is not good."""

    def asked(design: Design) -> bool:
        pod = over_back(design)
        return pod is not None and good(design, pod)

    return asked


def least(design: Design, move: Move, good: Good) -> int | None:
    """Find the least whole step of a move that makes it good; None when the farthest does not.

    By halving: what is good stays good further on. The step that is given was tried, and so was the one before it.
    """
    does = partial(_does, design, move, good)
    if move.most <= 0 or not does(move.most):
        return None
    return 1 + bisect_left(range(1, move.most), True, key=does)


def _does(design: Design, move: Move, good: Good, step: int) -> bool:
    return good(applied(design, move.typed(design, step)))


def first(design: Design, move: Move, good: Good) -> int | None:
    """Find the first whole step that is good, where going on may spoil it again: in strides, then step by step."""
    does = partial(_does, design, move, good)
    strides = filter(does, range(STRIDE, move.most + 1, STRIDE))
    steps = (step for stride in islice(strides, 1) for step in range(stride - STRIDE + 1, stride + 1))
    return next(filter(does, steps), None)


def that_does(candidates: Iterable[S], trial: Callable[[S], T | None]) -> Iterator[tuple[S, T]]:
    """Give the first candidate whose trial comes to something, with what it comes to; nothing where none does."""
    for candidate in candidates:
        found = trial(candidate)
        if found is not None:
            yield candidate, found
            return


def proposed(design: Design, good: Good, *ways: Move, search: Search = least) -> list[Proposal]:
    """Propose of each move the least step that is good; nothing of one where none is."""
    steps = that_do(design, good, *ways, search=search)
    return [Proposal(move.words.format(step), "set", move.typed(design, step)) for move, step in steps]


def that_do(design: Design, good: Good, *ways: Move, search: Search = least) -> Iterator[tuple[Move, int]]:
    """Give each move that does it, with its least step."""
    return (found for move in ways for found in that_does((move,), lambda move: search(design, move, good)))


def nozzle(design: Design, *, aft: float = 0.0, lift: float = 0.0) -> Edits:
    """Move the pod's nozzle."""
    at = given(given(design.pod).nozzle)
    ways = (("x", at.x, aft), ("z", at.z, lift))
    return tuple(Edit(f"pod.nozzle.{key}", round(mm(place) + by, 3), "mm") for key, place, by in ways if by)


def inward(design: Design, by: float) -> Edits:
    """Move two pods nearer to the middle, or apart where it is negative; to whole tenths on the safe side."""
    return (Edit("pod.y", round(abs(mm(given(given(design.pod).y))) - by, 3), "mm"),)


def fins(design: Design, *, aft: float = 0.0, outward: float = 0.0) -> Edits:
    """Move the new fins' roots, their size kept."""
    root = given(design.fins).root
    ways = (("x", root.x, aft), ("y", root.y, outward))
    return tuple(Edit(f"fins.root.{key}", round(mm(place) + by, 3), "mm") for key, place, by in ways if by)


def _longer_tube(design: Design, by: int) -> Edits:
    return (Edit("pod.tube.length", round(mm(given(given(design.pod).tube.length)) + by, 3), "mm"),)


RAISE = Move("raise the nozzle by {} mm", 60, lambda design, by: nozzle(design, lift=by))
LOWER = Move("put the nozzle {} mm lower", 150, lambda design, by: nozzle(design, lift=-by))
AFT = Move("move the nozzle aft by {} mm", 200, lambda design, by: nozzle(design, aft=by))
FORWARD = Move("move the nozzle forward by {} mm", 200, lambda design, by: nozzle(design, aft=-by))
LONGER_TUBE = Move("take a tube {} mm longer, the mount grows with it", 150, _longer_tube)
PODS_APART = Move("move each pod out by {} mm", 100, lambda design, by: inward(design, -by))
FINS_AFT = Move("move the fins aft by {} mm", 150, lambda design, by: fins(design, aft=by))
FINS_OUT = Move("move the fins out by {} mm", 150, lambda design, by: fins(design, outward=by))
