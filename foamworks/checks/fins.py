"""Do the new fins do what the old one did, and do they fit where they stand? Volumes, yaw stiffness, room."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from foamworks.aircraft.aero import size_by_stiffness
from foamworks.aircraft.fins import FinSet, WantedShape, as_built, size_by_volume, wanted_shape
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks import fin_room
from foamworks.checks.base import OURS, Finding, Verdict, round_up, unknown
from foamworks.checks.case import Case
from foamworks.checks.fin_room import HINGE_ROOM, NEAR_TAIL, STANDS_WANTED
from foamworks.design.additions import Fins, FinShape

TRIM_STEP = 0.05  # of the volume: fins are trimmed in steps of 5 % (read in public texts)
SMALL, LARGE = 0.85, 1.30  # of the volume: below it wags and wanders, above it tightens its spiral (ours)
TOO_LARGE = 2.0  # times the volume, of fins sized by stiffness: they turn no better and wreck the balance (ours)
STIFF_LEAST, STIFF_WANTED = 0.50, 0.90  # of the original's yaw stiffness (ours)
HINGE_REACH = 200  # mm: how far forward a root that clears the hinge is looked for
NO_BODY = "; no fuselage is given: what it does to the old fin's root and to the aircraft is not in it"
TRADE = "read in public texts of the trade"


def findings(case: Case) -> list[Finding]:
    """Judge the new fins; nothing without a [fins] table."""
    if case.design.fins is None:
        return []
    return [*_volume(case), *_same_area(case), *_stiffness(case), *_stand(case), *_hinge(case)]


def _volume(case: Case) -> Iterator[Finding]:
    study, asked = case.study, case.asked.fins
    old, new, wing = study.old_fin, study.new_fins, study.wing
    if asked is None:
        return
    if wing is None or old is None:
        lacks = "the wing ([airframe.wing])" if wing is None else "the fin that comes off ([airframe.fin])"
        why = f"there is nothing to compare with: {lacks} is not given"
        yield unknown("fin-volume", "fins", why, f"measure {lacks}")
        return
    wanted = old.volume_coefficient(wing)
    if wanted <= 0:
        why = "the fin that comes off does not stand behind the wing: it gives no tail volume to keep"
        yield unknown("fin-volume", "fins", why, "see fin-place: the old fin's place comes first")
        return
    if new is None:
        yield _unsized(case, asked, old, wanted)
        return
    value = new.volume_coefficient(wing)
    off = value / wanted - 1
    stiff = asked.each is None and asked.match == "stiffness"  # sized by what they do: the volume stands beside it
    verdict = _by_stiffness(off) if stiff else _by_volume(off)
    words = "the same as" if abs(off) < 1e-5 else f"{100 * abs(off):.1f} % {'more' if off > 0 else 'less'} than"
    yield Finding(
        "fin-volume", "fins", verdict, value, wanted, "",
        f"{new.count} x {1e6 * new.area_each:.0f} mm2 at {1e3 * new.arm(wing):.0f} mm give a tail volume coefficient "
        f"of {value:.4f}, {words} the original's {wanted:.4f} ({old.count} x {1e6 * old.area_each:.0f} mm2 at "
        f"{1e3 * old.arm(wing):.0f} mm)",
        "" if verdict == "pass" else _stiff_cure(off) if stiff else _scale_cure(case, new, wanted, off),
        f"equal volume: textbook; trimmed in steps of 5 %: {TRADE}; -15, +30, +100 %: ours",
    )  # fmt: skip


def _by_volume(off: float) -> Verdict:
    if not SMALL - 1 <= off <= LARGE - 1:
        return "fail"
    return "pass" if abs(off) <= TRIM_STEP else "caution"


def _by_stiffness(off: float) -> Verdict:
    if off > TOO_LARGE - 1:
        return "fail"
    return "pass" if SMALL - 1 <= off <= LARGE - 1 else "caution"


def _unsized(case: Case, asked: Fins, old: FinSet, wanted: float) -> Finding:
    """Say why fins could not be sized: their volume is out of reach from this root, or only their yaw stiffness is."""
    wing, shape = case.study.wing, wanted_shape(asked, old)
    by_volume = None if wing is None or shape is None else size_by_volume(asked, shape, wanted, wing)
    if by_volume is None:
        return Finding(
            "fin-volume", "fins", "fail", None, wanted, "",
            "no fin up to the size of the wing's span gives the original's volume from this root: it stands too far "
            "forward", "move fins.root.x aft", "geometry",
        )  # fmt: skip
    return Finding(
        "fin-volume", "fins", "fail", None, wanted, "",
        'match = "stiffness" finds no fin smaller than the wing that gives the original\'s yaw stiffness: a fin of '
        "this shape, from this root, turns the aircraft back too weakly",
        "; or ".join([
            *_stiffness_cures(case, asked, old),
            f'match = "volume": root {1e3 * by_volume.root_chord:.0f}, tip {1e3 * by_volume.tip_chord:.0f}, height '
            f"{1e3 * by_volume.height:.0f} mm, and see fin-stiffness for what that leaves",
        ]), "lattice",
    )  # fmt: skip


def _stiffness_cures(case: Case, asked: Fins, old: FinSet) -> Iterator[str]:
    """Name the single changes that let the fins be sized by stiffness, each tried."""
    x, ratio = old.stations.x[0], old.stations.aspect_ratio
    root = asked.root.model_copy(update={"x": x})
    shape = (asked.shape or FinShape()).model_copy(update={"aspect_ratio": ratio})
    ways = (
        (f"fins.root.x = {1e3 * x:.0f}, where the old fin began", x > asked.root.x, {"root": root}),
        (f"shape.aspect_ratio = {ratio:.2f}, the old fin's", True, {"shape": shape}),
    )
    for words, sensible, update in ways:
        if sensible and _stiffness_settles(case, asked.model_copy(update=update), old):
            yield words


def _stiffness_settles(case: Case, asked: Fins, old: FinSet) -> bool:
    wing, aero, shape = case.study.wing, case.study.aero, wanted_shape(asked, old)
    if wing is None or aero is None or shape is None:
        return False
    start = size_by_volume(asked, shape, old.volume_coefficient(wing), wing)
    if start is None:
        return False
    wanted = aero.stock.solution.about(wing.quarter_mac_x, 0.0).yaw_stiffness
    design = case.asked.model_copy(update={"fins": asked})
    return size_by_stiffness(design, wing, as_built(asked, start), wanted) is not None


def _stiff_cure(off: float) -> str:
    """Say what fins that were sized by stiffness lose or gain by their shape and place."""
    if off < 0:
        return "they do as much with less: check shape and place, then build them"
    return "this shape and place need so much area for the same stiffness: a higher aspect ratio, or a root further aft"


def _scale_cure(case: Case, new: FinSet, wanted: float, off: float) -> str:
    """Say by how much the fins must be scaled about the root's leading edge for the wanted volume."""
    fins, wing, shape = case.design.fins, case.study.wing, new.stations
    if fins is None or wing is None or not wanted > 0:
        return ""
    found = size_by_volume(fins, WantedShape(shape.aspect_ratio, shape.taper, shape.sweep), wanted, wing)
    fault = "too small shows as Dutch roll and wander" if off < 0 else "too large shows as a spiral that tightens"
    if found is None:
        return f"{fault}; move fins.root.x aft: no size does it from there"
    scale = found.height / shape.height
    return (
        f"{fault}; scale the fins by {scale:.3f}: root {1e3 * found.root_chord:.1f}, tip {1e3 * found.tip_chord:.1f}, "
        f"height {1e3 * found.height:.1f} mm"
    )


def _same_area(case: Case) -> Iterator[Finding]:
    study = case.study
    old, new, aero, wing = study.old_fin, study.new_fins, study.aero, study.wing
    if old is None or new is None or aero is None or wing is None:
        return
    ratio = aero.same_area_ratio(wing)
    if ratio is None:
        why = "the original itself is not stable in yaw by these measures, so there is nothing to compare with"
        yield unknown("same-area", "fins", why, "check the fin's and the fuselage's measures", "%")
        return
    built_so = abs(new.area / old.area - 1) < 0.02 and ratio < STIFF_WANTED
    now = "and these fins have just that area" if built_so else f"these have {100 * new.area / old.area:.0f} % of it"
    without = "" if aero.modified.body is not None else NO_BODY
    yield Finding(
        "same-area", "fins", "caution" if built_so else "pass", 100 * ratio, 100.0, "%",
        f"the same area in this shape and place would have left you with {100 * ratio:.0f} % of the yaw stiffness; "
        f"{now}{without}",
        'size by what the fin does: match = "volume", or "stiffness"' if built_so else "",
        "lattice and body, both aircraft alike; below 90 %: ours",
    )  # fmt: skip


def _stiffness(case: Case) -> Iterator[Finding]:
    study = case.study
    aero, wing, new, old = study.aero, study.wing, study.new_fins, study.old_fin
    if aero is None or wing is None or new is None or old is None:
        return
    value = aero.modified.yaw_stiffness(wing.quarter_mac_x, 0.0)
    original = aero.stock.yaw_stiffness(wing.quarter_mac_x, 0.0)
    share = value / original if original > 0 else math.nan
    limit = STIFF_LEAST * original if original > 0 else 0.0
    short = value <= 0 or share < STIFF_LEAST
    marginal = share < STIFF_WANTED
    body = "" if aero.modified.body is not None else NO_BODY
    compared = f", {100 * share:.0f} % of the original's {original:.4f}" if original > 0 else ""
    yield Finding(
        "fin-stiffness", "fins", "fail" if short else "caution" if marginal else "pass", value, limit, "per rad",
        f"the aircraft's yaw stiffness with these fins is {value:.4f} per rad{compared} about the wing's quarter-chord "
        f"point{body}",
        _stiffness_cure(case, value, original) if short or marginal else "",
        "50 and 90 % of the original's: ours",
    )  # fmt: skip


def _stiffness_cure(case: Case, value: float, original: float) -> str:
    """Say by how much to scale: stiffness is nearly straight in the area, and two areas are known."""
    study, fins = case.study, case.asked.fins
    new, old, aero, wing = study.new_fins, study.old_fin, study.aero, study.wing
    sized = fins is not None and fins.each is None and fins.match == "volume"
    text = 'match = "stiffness" sizes for it' if sized else "make them larger, or move them aft"
    if original <= 0:
        return f"{text}; the original is not stable in yaw by these measures: check the fin's and the fuselage's first"
    if new is None or old is None or aero is None or wing is None or aero.same_area is None:
        return text
    other = aero.same_area.yaw_stiffness(wing.quarter_mac_x, 0.0)
    if abs(old.area / new.area - 1) < 0.01 or (value - other) * (new.area - old.area) <= 0:
        return text
    area = new.area + (original - value) * (new.area - old.area) / (value - other)
    return f"{text}; about {round_up(math.sqrt(area / new.area), 2):.2f} times as large each way keeps the original's"


def _stand(case: Case) -> Iterator[Finding]:
    """Whether the root stands on the tailplane, and how much of it."""
    new, airframe = case.study.new_fins, case.design.airframe
    if new is None or airframe is None:
        return
    tail = tail_half(airframe)
    if tail is None and _on_wing(case, new):
        yield _standing(new, "wing", *_wing_chord(case, new.y))
        return
    if tail is None:
        why = "the tailplane is not given, so nobody can say what the fins stand on and whether the elevator is free"
        yield unknown("fin-fit", "root", why, "measure [airframe.tailplane] and its elevator", "mm")
        return
    if new.y > tail.s[-1]:
        if _on_wing(case, new):
            return
        over = round_up(1e3 * (new.y - tail.s[-1]))
        yield Finding(
            "fin-fit", "root", "fail", 1e3 * new.y, 1e3 * tail.s[-1], "mm",
            f"the root stands {over:.0f} mm outside the tailplane's tip", f"bring fins.root.y inward by {over:.0f} mm",
            "geometry",
        )  # fmt: skip
        return
    if new.y < tail.s[0] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return  # on the fuselage, or on something of the builder's own
    x, chord, _ = tail.at(new.y)
    found = _standing(new, "tailplane", x, chord)
    if found.verdict != "pass" and x > new.stations.x[0] and fin_room.cramped(case, new):
        found = replace(found, cure=fin_room.cure(case, new))
    yield found


def _standing(new: FinSet, on: str, x: float, chord: float) -> Finding:
    """Say how much of the root stands on a surface that begins at x [m] and is so long there."""
    start, end = new.stations.x[0], new.stations.x[0] + new.stations.chord[0]
    part = max(0.0, min(x + chord, end) - max(x, start)) / (end - start)
    verdict: Verdict = "caution" if part < STANDS_WANTED else "pass"
    ahead = 1e3 * (x - start)
    over = max(ahead, 1e3 * (end - x - chord))
    way = "aft" if ahead > 0 else "forward"
    return Finding(
        "fin-fit", "root", verdict, 100 * part, 100 * STANDS_WANTED, "%",
        f"{100 * part:.0f} % of the root chord stands on the {on}, which begins "
        f"{abs(ahead):.0f} mm {'behind' if ahead > 0 else 'ahead of'} the root's leading edge",
        "" if verdict == "pass" else f"move the root {way} or inward, or let a {over:.0f} mm doubler carry it",
        "two thirds: ours",
    )  # fmt: skip


def _on_wing(case: Case, new: FinSet) -> bool:
    airframe = case.design.airframe
    if airframe is None or airframe.wing is None:
        return False
    rows = airframe.wing.stations
    places = [s.y for s in rows]
    if not places[0] <= new.y <= places[-1] + NEAR_TAIL:
        return False
    x, chord = _wing_chord(case, new.y)
    return new.stations.x[0] < x + chord and new.stations.x[0] + new.stations.chord[0] > x


def _wing_chord(case: Case, y: float) -> tuple[float, float]:
    """Leading edge and chord of the wing at y [m]."""
    airframe = case.design.airframe
    rows = airframe.wing.stations if airframe is not None and airframe.wing is not None else ()
    places = [s.y for s in rows]
    x, chord = (float(np.interp(y, places, row)) for row in ([s.x for s in rows], [s.chord for s in rows]))
    return x, chord


def _hinge(case: Case) -> Iterator[Finding]:
    new, airframe = case.study.new_fins, case.design.airframe
    if new is None or airframe is None or airframe.tailplane is None:
        return
    tail, elevator = tail_half(airframe), airframe.tailplane.elevator
    if tail is None or not tail.s[0] <= new.y <= tail.s[-1] or abs(new.z - tail.at(new.y)[2]) > NEAR_TAIL:
        return
    if elevator is None:
        why = "the elevator is not given, so nobody can say whether the fins' roots leave it free"
        yield unknown("fin-fit", "elevator", why, "measure airframe.tailplane.elevator (chord_fraction)", "mm")
        return
    hinge = fin_room.hinge_at(airframe, new.y)
    if hinge is None:
        return
    end = new.stations.x[0] + new.stations.chord[0]
    room = hinge - end
    verdict: Verdict = "fail" if room < 0 else "caution" if room < HINGE_ROOM else "pass"
    words = f"ends {1e3 * room:.1f} mm ahead of" if room >= 0 else f"reaches {-1e3 * room:.1f} mm past"
    no_room = verdict != "pass" and fin_room.cramped(case, new)
    cure = fin_room.cure(case, new) if no_room else "" if verdict == "pass" else _hinge_cure(case, new, hinge)
    yield Finding(
        "fin-fit", "elevator", verdict, 1e3 * end, 1e3 * hinge, "mm",
        f"the root {words} the elevator's hinge at x = {1e3 * hinge:.1f} mm",
        cure, f"geometry; 3 mm of room: {OURS}",
    )  # fmt: skip


def _hinge_cure(case: Case, new: FinSet, hinge: float) -> str:
    """Say how far forward the root clears the hinge; fins that are sized grow as they lose arm."""
    grows = case.asked.fins is not None and case.asked.fins.each is None
    for step in range(1, HINGE_REACH + 1):
        x = new.stations.x[0] - step / 1e3
        root = _root_from(case, new, x) if grows else new.stations.chord[0]
        if root is not None and x + root <= hinge - HINGE_ROOM:
            larger = f" (they grow as they lose arm: a root of {1e3 * root:.0f} mm)" if grows else ""
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
