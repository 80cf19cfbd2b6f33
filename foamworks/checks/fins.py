"""Do the new fins do what the old one did, and do they fit where they stand? Volumes, yaw stiffness, room."""

import math
from collections.abc import Callable, Iterator

import numpy as np

from foamworks.aircraft.aero import Aero, size_by_stiffness
from foamworks.aircraft.fins import FinSet, WantedShape, as_built, size_by_volume, wanted_shape
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks import fin_room
from foamworks.checks.base import GEOMETRY, OURS, Finding, Proposal, Verdict, collected, given, judged, missed, round_up
from foamworks.checks.case import Case
from foamworks.checks.fin_room import HINGE_ROOM, NEAR_TAIL, STANDS_WANTED
from foamworks.checks.records import record
from foamworks.design.additions import Fins, FinShape
from foamworks.design.airframe import Wing
from foamworks.physics.planform import ReferenceWing
from foamworks.units import mm, said

VOLUME = record("fin-volume")
SAME_AREA = record("same-area")
STIFFNESS = record("fin-stiffness")
FIT = record("fin-fit")

TRIM_STEP = 0.05  # of the volume: fins are trimmed in steps of 5 % (read in public texts)
SMALL, LARGE = 0.85, 1.30  # of the volume: below it wags and wanders, above it tightens its spiral (ours)
TOO_LARGE = 2.0  # times the volume, of fins sized by stiffness: they turn no better and wreck the balance (ours)
STIFF_LEAST, STIFF_WANTED = 0.50, 0.90  # of the original's yaw stiffness (ours)
HINGE_REACH = 200  # mm: how far forward a root that clears the hinge is looked for
NO_BODY = "; no fuselage is given: what it does to the old fin's root and to the aircraft is not in it"


def findings(case: Case) -> list[Finding]:
    """Judge the new fins; nothing without a [fins] table."""
    return collected(case, _volume, _same_area, _stiffness, _stand, _hinge)


def _volume(case: Case) -> Iterator[Finding]:
    study, asked = case.study, given(case.asked.fins)
    lacks = "the wing ([airframe.wing])" if study.wing is None else "the fin that comes off ([airframe.fin])"
    why = f"there is nothing to compare with: {lacks} is not given"
    wing = VOLUME.need(study.wing, "fins", why=why, measure=f"measure {lacks}")
    old = VOLUME.need(study.old_fin, "fins", why=why, measure=f"measure {lacks}")
    wanted = old.volume_coefficient(wing)
    if wanted <= 0:
        yield VOLUME.unknown(
            "fins",
            why="the fin that comes off does not stand behind the wing: it gives no tail volume to keep",
            measure="see fin-place: the old fin's place comes first",
        )
    elif study.new_fins is None:
        yield _unsized(case, asked, old, wing)
    else:
        yield _against_old(study.new_fins, old, wing, asked)


def _against_old(new: FinSet, old: FinSet, wing: ReferenceWing, asked: Fins) -> Finding:
    """Compare the new fins' volume with the old one's; sized by what they do, the volume stands beside it."""
    value, wanted = new.volume_coefficient(wing), old.volume_coefficient(wing)
    off = value / wanted - 1
    stiff = asked.each is None and asked.match == "stiffness"
    words = "the same as" if abs(off) < 1e-5 else f"{said(abs(off), '%', 1)} {'more' if off > 0 else 'less'} than"
    return VOLUME.finding(
        _by_stiffness(off) if stiff else _by_volume(off),
        "fins",
        value=value,
        limit=wanted,
        why=f"{_sized(new, wing)} give a tail volume coefficient of {value:.4f}, {words} the original's {wanted:.4f} "
        f"({_sized(old, wing)})",
        cure=lambda: _stiff_cure(off) if stiff else _scale_cure(asked, new, wing, wanted=wanted),
    )


def _sized(fins: FinSet, wing: ReferenceWing) -> str:
    return f"{fins.count} x {said(fins.area_each, 'mm2', 0)} at {said(fins.arm(wing), 'mm', 0)}"


def _by_volume(off: float) -> Verdict:
    return judged(off, fail_below=SMALL - 1, caution_below=-TRIM_STEP, fail_above=LARGE - 1, caution_above=TRIM_STEP)


def _by_stiffness(off: float) -> Verdict:
    return judged(off, caution_below=SMALL - 1, fail_above=TOO_LARGE - 1, caution_above=LARGE - 1)


def _unsized(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> Finding:
    """Say why fins could not be sized: their volume is out of reach from this root, or only their yaw stiffness is."""
    wanted, shape = old.volume_coefficient(wing), wanted_shape(asked, old)
    by_volume = None if shape is None else size_by_volume(asked, shape, wanted, wing)
    if by_volume is None:
        return VOLUME.finding(
            "fail",
            "fins",
            limit=wanted,
            why="no fin up to the size of the wing's span gives the original's volume from this root: it stands too "
            "far forward",
            cure=Proposal("move fins.root.x aft", "set"),
            source=GEOMETRY,
        )
    size = f"root {mm(by_volume.root_chord):.0f}, tip {mm(by_volume.tip_chord):.0f}, height {mm(by_volume.height):.0f}"
    by = f'match = "volume": {size} mm, and see fin-stiffness for what that leaves'
    return VOLUME.finding(
        "fail",
        "fins",
        limit=wanted,
        why='match = "stiffness" finds no fin smaller than the wing that gives the original\'s yaw stiffness: a fin of '
        "this shape, from this root, turns the aircraft back too weakly",
        cure=[Proposal(words, "set") for words in (*_stiffness_cures(case, asked, old, wing), by)],
        source="lattice",
    )


def _stiffness_cures(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> Iterator[str]:
    """Name the single changes that let the fins be sized by stiffness, each tried."""
    x, ratio = old.stations.x[0], old.stations.aspect_ratio
    root = asked.root.model_copy(update={"x": x})
    shape = (asked.shape or FinShape()).model_copy(update={"aspect_ratio": ratio})
    ways = (
        (f"fins.root.x = {mm(x):.0f}, where the old fin began", x > asked.root.x, {"root": root}),
        (f"shape.aspect_ratio = {ratio:.2f}, the old fin's", True, {"shape": shape}),
    )
    for words, sensible, update in ways:
        if sensible and _stiffness_settles(case, asked.model_copy(update=update), old, wing):
            yield words


def _stiffness_settles(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> bool:
    aero, shape = case.study.aero, wanted_shape(asked, old)
    start = None if shape is None else size_by_volume(asked, shape, old.volume_coefficient(wing), wing)
    if aero is None or start is None:
        return False
    wanted = aero.stock.solution.about(wing.quarter_mac_x, 0.0).yaw_stiffness
    design = case.asked.model_copy(update={"fins": asked})
    return size_by_stiffness(design, wing, as_built(asked, start), wanted) is not None


def _stiff_cure(off: float) -> str:
    """Say what fins that were sized by stiffness lose or gain by their shape and place."""
    if off < 0:
        return "they do as much with less: check shape and place, then build them"
    return "this shape and place need so much area for the same stiffness: a higher aspect ratio, or a root further aft"


def _scale_cure(fins: Fins, new: FinSet, wing: ReferenceWing, *, wanted: float) -> str:
    """Say by how much the fins must be scaled about the root's leading edge for the wanted volume."""
    shape = new.stations
    found = size_by_volume(fins, WantedShape(shape.aspect_ratio, shape.taper, shape.sweep), wanted, wing)
    small = new.volume_coefficient(wing) < wanted
    fault = "too small shows as Dutch roll and wander" if small else "too large shows as a spiral that tightens"
    if found is None:
        return f"{fault}; move fins.root.x aft: no size does it from there"
    scale = found.height / shape.height
    return (
        f"{fault}; scale the fins by {scale:.3f}: root {mm(found.root_chord):.1f}, tip {mm(found.tip_chord):.1f}, "
        f"height {said(found.height, 'mm', 1)}"
    )


def _compared(case: Case) -> tuple[FinSet, FinSet, Aero, ReferenceWing]:
    """Give old fin, new fins, aerodynamics and wing; what of them is missing is said by the volume."""
    study = case.study
    given(case.design.fins)
    return given(study.old_fin), given(study.new_fins), given(study.aero), given(study.wing)


def _same_area(case: Case) -> Iterator[Finding]:
    old, new, aero, wing = _compared(case)
    ratio = SAME_AREA.need(
        aero.same_area_ratio(wing),
        "fins",
        why="the original itself is not stable in yaw by these measures, so there is nothing to compare with",
        measure="check the fin's and the fuselage's measures",
    )
    built_so = abs(new.area / old.area - 1) < 0.02 and ratio < STIFF_WANTED
    now = "and these fins have just that area" if built_so else f"these have {said(new.area / old.area, '%', 0)} of it"
    without = NO_BODY if aero.modified.body is None else ""
    yield SAME_AREA.finding(
        "caution" if built_so else "pass",
        "fins",
        value=ratio,
        limit=1.0,
        why=f"the same area in this shape and place would have left you with {said(ratio, '%', 0)} of the yaw "
        f"stiffness; {now}{without}",
        cure=lambda: Proposal('size by what the fin does: match = "volume", or "stiffness"', "set"),
    )


def _stiffness(case: Case) -> Iterator[Finding]:
    old, new, aero, wing = _compared(case)
    value = aero.modified.yaw_stiffness(wing.quarter_mac_x, 0.0)
    original = aero.stock.yaw_stiffness(wing.quarter_mac_x, 0.0)
    stable = original > 0
    limit = STIFF_LEAST * original if stable else 0.0
    verdict: Verdict = "fail" if value <= 0 else "pass"
    if verdict == "pass" and stable:
        verdict = judged(value / original, fail_below=STIFF_LEAST, caution_below=STIFF_WANTED)
    compared = f", {said(value / original, '%', 0)} of the original's {original:.4f}" if stable else ""
    without = NO_BODY if aero.modified.body is None else ""
    yield STIFFNESS.finding(
        verdict,
        "fins",
        value=value,
        limit=missed(verdict, limit, STIFF_WANTED * original),
        why=f"the aircraft's yaw stiffness with these fins is {value:.4f} per rad{compared} about the wing's "
        f"quarter-chord point{without}",
        cure=lambda: _stiffness_cure(case.asked.fins, _larger(old, new, aero, wing), original),
    )


def _larger(old: FinSet, new: FinSet, aero: Aero, wing: ReferenceWing) -> float | None:
    """Give how many times as large each way the fins must be: stiffness is nearly straight in the area."""
    if aero.same_area is None:
        return None
    value, original, other = (
        plane.yaw_stiffness(wing.quarter_mac_x, 0.0) for plane in (aero.modified, aero.stock, aero.same_area)
    )
    if abs(old.area / new.area - 1) < 0.01 or (value - other) * (new.area - old.area) <= 0:
        return None
    return math.sqrt((new.area + (original - value) * (new.area - old.area) / (value - other)) / new.area)


def _stiffness_cure(asked: Fins | None, times: float | None, original: float) -> str:
    sized = asked is not None and asked.each is None and asked.match == "volume"
    text = 'match = "stiffness" sizes for it' if sized else "make them larger, or move them aft"
    if original <= 0:
        return f"{text}; the original is not stable in yaw by these measures: check the fin's and the fuselage's first"
    if times is None:
        return text
    return f"{text}; about {round_up(times, 2):.2f} times as large each way keeps the original's"


def _stand(case: Case) -> Iterator[Finding]:
    """Whether the root stands on the tailplane, and how much of it."""
    given(case.design.fins)
    new, airframe = given(case.study.new_fins), given(case.design.airframe)
    tail, on_wing = tail_half(airframe), _on_wing(airframe.wing, new)
    if tail is None and on_wing is not None:
        yield _standing(new, "wing", *on_wing)
        return
    tail = FIT.need(
        tail,
        "root",
        why="the tailplane is not given, so nobody can say what the fins stand on and whether the elevator is free",
        measure="measure [airframe.tailplane] and its elevator",
    )
    if new.y > tail.s[-1]:
        if on_wing is None:
            yield _outside(new.y, tail.s[-1])
        return
    if new.y < tail.s[0] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return  # on the fuselage, or on something of the builder's own
    x, chord, _ = tail.at(new.y)
    cramped = x > new.stations.x[0] and fin_room.cramped(case, new)
    yield _standing(new, "tailplane", x, chord, cure=(lambda: fin_room.cure(case, new)) if cramped else None)


def _outside(y: float, tip: float) -> Finding:
    over = round_up(mm(y - tip))
    return FIT.finding(
        "fail",
        "root",
        value=y,
        limit=tip,
        why=f"the root stands {over:.0f} mm outside the tailplane's tip",
        cure=Proposal(f"bring fins.root.y inward by {over:.0f} mm", "set"),
    )


def _standing(new: FinSet, on: str, x: float, chord: float, cure: Callable[[], str] | None = None) -> Finding:
    """Say how much of the root stands on a surface that begins at x [m] and is so long there."""
    start, end = new.stations.x[0], new.stations.x[0] + new.stations.chord[0]
    part = max(0.0, min(x + chord, end) - max(x, start)) / (end - start)
    ahead = x - start
    over, way = max(ahead, end - x - chord), "aft" if ahead > 0 else "forward"
    return FIT.finding(
        judged(part, caution_below=STANDS_WANTED),
        "root",
        value=part,
        limit=STANDS_WANTED,
        unit="%",
        why=f"{said(part, '%', 0)} of the root chord stands on the {on}, which begins {said(abs(ahead), 'mm', 0)} "
        f"{'behind' if ahead > 0 else 'ahead of'} the root's leading edge",
        cure=cure or (lambda: f"move the root {way} or inward, or let a {said(over, 'mm', 0)} doubler carry it"),
        source="two thirds: ours",
    )


def _on_wing(wing: Wing | None, new: FinSet) -> tuple[float, float] | None:
    """Leading edge and chord of the wing [m] where the root stands on it; None where it does not."""
    if wing is None:
        return None
    places = [s.y for s in wing.stations]
    if not places[0] <= new.y <= places[-1] + NEAR_TAIL:
        return None
    rows = ([s.x for s in wing.stations], [s.chord for s in wing.stations])
    x, chord = (float(np.interp(new.y, places, row)) for row in rows)
    meets = new.stations.x[0] < x + chord and new.stations.x[0] + new.stations.chord[0] > x
    return (x, chord) if meets else None


def _hinge(case: Case) -> Iterator[Finding]:
    given(case.design.fins)
    new, airframe = given(case.study.new_fins), given(case.design.airframe)
    tail, plane = given(tail_half(airframe)), given(airframe.tailplane)
    if not tail.s[0] <= new.y <= tail.s[-1] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return
    FIT.need(
        plane.elevator,
        "elevator",
        why="the elevator is not given, so nobody can say whether the fins' roots leave it free",
        measure="measure airframe.tailplane.elevator (chord_fraction)",
    )
    hinge = given(fin_room.hinge_at(airframe, new.y))
    end = new.stations.x[0] + new.stations.chord[0]
    room = hinge - end
    verdict = judged(room, fail_below=0.0, caution_below=HINGE_ROOM)
    words = f"ends {said(room, 'mm', 1)} ahead of" if room >= 0 else f"reaches {said(-room, 'mm', 1)} past"
    yield FIT.finding(
        verdict,
        "elevator",
        value=end,
        limit=hinge,
        why=f"the root {words} the elevator's hinge at x = {said(hinge, 'mm', 1)}",
        cure=lambda: fin_room.cure(case, new) if fin_room.cramped(case, new) else _hinge_cure(case, new, hinge),
        source=f"geometry; 3 mm of room: {OURS}",
    )


def _hinge_cure(case: Case, new: FinSet, hinge: float) -> str:
    """Say how far forward the root clears the hinge; fins that are sized grow as they lose arm."""
    grows = case.asked.fins is not None and case.asked.fins.each is None
    for step in range(1, HINGE_REACH + 1):
        x = new.stations.x[0] - mm.si(step)
        root = _root_from(case, new, x) if grows else new.stations.chord[0]
        if root is not None and x + root <= hinge - HINGE_ROOM:
            larger = f" (they grow as they lose arm: a root of {said(root, 'mm', 0)})" if grows else ""
            return f"move fins.root.x forward by {step} mm{larger}, or cut the root short above the elevator"
    return "take a shape with a shorter root (shape.aspect_ratio), or cut the root short above the elevator"


def _root_from(case: Case, new: FinSet, x: float) -> float | None:
    """Root chord [m] of fins sized for the volume they have here, the root's leading edge moved to x [m]."""
    fins, wing, shape = case.design.fins, case.study.wing, new.stations
    if fins is None or wing is None:
        return None
    moved = fins.model_copy(update={"root": fins.root.model_copy(update={"x": x})})
    wanted = WantedShape(shape.aspect_ratio, shape.taper, shape.sweep)
    found = size_by_volume(moved, wanted, new.volume_coefficient(wing), wing)
    return None if found is None else found.root_chord
