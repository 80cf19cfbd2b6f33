"""What assembly.step shows, in groups: airframe, fins, pod, each motor with what belongs to it, what is bought.

The airframe is drawn solid: where something sits in it, it is cut away, so that nothing fills one place twice. The pod
is not cut out of it: where they meet, a finding says so.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from foamworks.output.prints.step import Colour, Piece, location
from foamworks.output.views.bodies import HERE, MODEL, POD, Body
from foamworks.parts.base import Placement
from foamworks.parts.mesh import Solid
from foamworks.parts.pod_bought import HOOK, TUBE

COLOURS: dict[str, Colour] = {
    "airframe": (0.86, 0.88, 0.90),
    "board": (0.95, 0.80, 0.45),
    "print": (0.35, 0.60, 0.75),
    "bought": (0.60, 0.55, 0.48),
    "motor": (0.75, 0.35, 0.30),
}
TOLERANCES = (1e-3, 1e-2, 1e-4)  # mm, of a cut, tried in turn: a spline that ends in a face wants some
TOUCH = 1e-3  # mm: boxes that overlap by less do not meet


def sets(there: Sequence[Body]) -> dict[str, list[Body]]:
    """Give the bodies of each group by its name; what comes off is in none."""
    ours = {body.group for body in there if not body.motor}
    found: dict[str, list[Body]] = {}
    for body in there:
        if body.kind != "old":
            owner = f"{body.motor}{' (motor)' if body.motor in ours else ''}" if body.motor else body.group
            found.setdefault(owner, []).append(body)
    return found


def named(body: Body) -> str:
    """Name a body in an assembly, where a motor's own name is its group's."""
    return f"motor {body.name}" if body.kind == "motor" else body.name


def grouped(there: Sequence[Body], made: Mapping[Solid, Any]) -> dict[str, list[Piece]]:
    """Give the pieces of each group, by the kernel's solids of their shapes."""
    return {
        name: [piece for body in held for piece in _pieces(body, there[there.index(body) + 1 :], made)]
        for name, held in sets(there).items()
    }


def _pieces(body: Body, later: Sequence[Body], made: Mapping[Solid, Any]) -> list[Piece]:
    colour = COLOURS[body.kind]
    numbered = len(body.shapes) > 1
    names = [f"{named(body)} {number}" if numbered else named(body) for number in range(1, len(body.shapes) + 1)]
    cutters = _cutters(body, later)
    if not cutters:
        return [Piece(name, made[shape], body.places, colour) for name, shape in zip(names, body.shapes, strict=True)]
    inside = [_moved(made[shape], there) for each in cutters for shape in each.shapes for there in each.places]
    found = []
    for name, shape in zip(names, body.shapes, strict=True):
        for number, place in enumerate(body.places, start=1):
            called = name if len(body.places) == 1 else f"{name} {number}"
            found.append(_cut(Piece(called, made[shape], (place,), colour), inside))
    return found


def _cutters(body: Body, later: Sequence[Body]) -> list[Body]:
    """Give what is cut out of a body: of the airframe what sits in it, of the pod's tube the hook's hole."""
    if body.name == TUBE:
        return [other for other in later if other.name == HOOK]
    kept = [other for other in later if other.kind != "old" and other.group != POD and not other.motor]
    return kept if body.group == MODEL else []


def _cut(piece: Piece, others: Sequence[Any]) -> Piece:
    """Cut what meets a piece out of it; where the kernel makes no valid solid of that, say so."""
    own = _moved(piece.solid, piece.places[0])
    inside = [other for other in others if _meet(own.BoundingBox(), other.BoundingBox())]
    if not inside:
        return piece
    tries = (own.cut(*inside, tol=tol) for tol in TOLERANCES)
    for good in (one for one in tries if one.isValid()):
        alone = good.Solids()
        return replace(piece, solid=alone[0] if len(alone) == 1 else good, places=HERE)
    return replace(piece, name=f"{piece.name}, not cut out")


def _moved(solid: Any, place: Placement) -> Any:
    return type(solid)(solid.wrapped.Moved(location(place)))


def _meet(a: Any, b: Any) -> bool:
    return all(
        getattr(a, f"{k}min") < getattr(b, f"{k}max") - TOUCH and getattr(b, f"{k}min") < getattr(a, f"{k}max") - TOUCH
        for k in "xyz"
    )
