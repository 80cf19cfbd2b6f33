"""Moves of a cure, tried on the design itself: the least whole millimetre (or the like) after which all is well."""

from collections.abc import Callable

from foamworks.design.model import Design

Move = Callable[[int], Design | None]
Good = Callable[[Design], bool]
STRIDE = 5  # steps of the walk


def _trial(move: Move, good: Good) -> Callable[[int], bool]:
    """Give what tells of a step whether the design moved by it is good."""

    def works(step: int) -> bool:
        moved = move(step)
        return moved is not None and good(moved)

    return works


def least(most: int, move: Move, good: Good) -> int | None:
    """Find the least whole step of a move that makes it good; None when the farthest does not.

    By halving: what is good stays good further on. The step that is given was tried, and so was the one before it.
    """
    works = _trial(move, good)
    if not works(most):
        return None
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return high


def first(most: int, move: Move, good: Good) -> int | None:
    """Find the first whole step that is good, where going on may spoil it again: in strides, then step by step."""
    works = _trial(move, good)
    stride = next((step for step in range(STRIDE, most + 1, STRIDE) if works(step)), None)
    if stride is None:
        return None
    return next(step for step in range(stride - STRIDE + 1, stride + 1) if works(step))


def nozzle(design: Design, *, aft: float = 0.0, lift: float = 0.0) -> Design | None:
    """Give the design with its pod's nozzle moved [mm]."""
    pod = design.pod
    if pod is None or pod.nozzle is None:
        return None
    place = pod.nozzle.model_copy(update={"x": pod.nozzle.x + aft / 1000, "z": pod.nozzle.z + lift / 1000})
    return design.model_copy(update={"pod": pod.model_copy(update={"nozzle": place})})


def longer_tube(design: Design, by: float) -> Design | None:
    """Give the design with a longer tube on its pod [mm]."""
    pod = design.pod
    if pod is None or pod.tube.length is None:
        return None
    tube = pod.tube.model_copy(update={"length": pod.tube.length + by / 1000})
    return design.model_copy(update={"pod": pod.model_copy(update={"tube": tube})})


def inward(design: Design, by: float) -> Design | None:
    """Give the design with its two pods nearer to the middle [mm]; None when they would touch."""
    pod = design.pod
    if pod is None or pod.count != 2 or pod.y is None or abs(pod.y) - by / 1000 < pod.tube.outer / 2:
        return None
    return design.model_copy(update={"pod": pod.model_copy(update={"y": abs(pod.y) - by / 1000})})


def fins(design: Design, *, aft: float = 0.0, outward: float = 0.0) -> Design | None:
    """Give the design with its new fins' roots moved [mm], their size kept."""
    if design.fins is None:
        return None
    root = design.fins.root
    place = root.model_copy(update={"x": root.x + aft / 1000, "y": root.y + outward / 1000})
    return design.model_copy(update={"fins": design.fins.model_copy(update={"root": place})})
