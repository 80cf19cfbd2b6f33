"""Do the new fins do what the old one did, and do they fit where they stand? Volumes, yaw stiffness, room."""

import math
from collections.abc import Iterator
from typing import TypeVar

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.fins import FinSet, size_as_old, size_by_volume
from foamworks.checks.base import GEOMETRY, Finding, Proposal, Verdict, collected, given, judged, missed, round_up
from foamworks.checks.case import Case
from foamworks.checks.fins.room import at, before_hinge, stiff_area
from foamworks.checks.moves import that_does
from foamworks.checks.records import record
from foamworks.design.additions import Fins, FinShape
from foamworks.design.edit import Edit
from foamworks.errors import where_given
from foamworks.physics.planform import ReferenceWing
from foamworks.units import mm, said

T = TypeVar("T")
VOLUME = record("fin-volume")
SAME_AREA = record("same-area")
STIFFNESS = record("fin-stiffness")

TRIM_STEP = 0.05  # of the volume: fins are trimmed in steps of 5 % (read in public texts)
SMALL, LARGE = 0.85, 1.30  # of the volume: below it wags and wanders, above it tightens its spiral (ours)
TOO_LARGE = 2.0  # times the volume, of fins sized by stiffness: they turn no better and wreck the balance (ours)
STIFF_LEAST, STIFF_WANTED = 0.50, 0.90  # of the original's yaw stiffness (ours)
AFT_REACH, AFT_STRIDE = 300, 5  # mm: how far aft a root is looked for from which the fins can be sized
NO_BODY = "; no fuselage is given: what it does to the old fin's root and to the aircraft is not in it"


def findings(case: Case) -> list[Finding]:
    """Judge what the new fins do; nothing without a [fins] table."""
    return collected(case, _volume, _same_area, _stiffness)


def _volume(case: Case) -> Iterator[Finding]:
    study, asked = case.study, given(case.asked.fins)
    wing = _needed(study.wing, "the wing ([airframe.wing])")
    old = _needed(study.old_fin, "the fin that comes off ([airframe.fin])")
    if old.volume_coefficient(wing) <= 0:
        yield VOLUME.unknown("fins", "place")
    elif study.new_fins:
        yield _against_old(case, study.new_fins, old, wing, asked)
    else:
        yield _unsized(case, asked, old, wing)


def _needed(value: T | None, what: str) -> T:
    return VOLUME.need(value, "fins", "compared", what=what)


def _against_old(case: Case, new: FinSet, old: FinSet, wing: ReferenceWing, asked: Fins) -> Finding:
    """Compare the new fins' volume with the old one's; sized by what they do, the volume stands beside it."""
    value, wanted = new.volume_coefficient(wing), old.volume_coefficient(wing)
    off = value / wanted - 1
    stiff = asked.sized_by == "stiffness"
    verdict = judged(off, caution_below=SMALL - 1, fail_above=TOO_LARGE - 1, caution_above=LARGE - 1)
    if not stiff:  # what the original's yaw stiffness takes of fins built so is not too much
        times = _larger(old, new, given(case.study.aero), wing)
        more = max(0.0, value * times**2 / wanted - 1) if math.isfinite(times) else 0.0
        verdict = judged(
            off,
            fail_below=SMALL - 1,
            caution_below=-TRIM_STEP,
            fail_above=LARGE - 1 + more,
            caution_above=TRIM_STEP + more,
        )
    words = "the same as" if abs(off) < 1e-5 else f"{said(abs(off), '%', 1)} {'more' if off > 0 else 'less'} than"
    return VOLUME.finding(
        verdict,
        "fins",
        value=value,
        limit=wanted,
        why=f"{_sized(new, wing)} give a tail volume coefficient of {value:.4f}, {words} the original's {wanted:.4f} "
        f"({_sized(old, wing)})",
        cure=lambda: _stiff_cure(off) if stiff else _scale_cure(case, asked, new, wing, wanted=wanted),
    )


def _sized(fins: FinSet, wing: ReferenceWing) -> str:
    return f"{fins.count} x {said(fins.area_each, 'mm2', 0)} at {said(fins.arm(wing), 'mm', 0)}"


def _unsized(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> Finding:
    """Say why fins could not be sized: their volume is out of reach from this root, or only their yaw stiffness is."""
    wanted, by_volume = old.volume_coefficient(wing), size_as_old(asked, old, wing)
    if not by_volume:
        return VOLUME.finding(
            "fail",
            "fins",
            limit=wanted,
            why="no fin up to the size of the wing's span gives the original's volume from this root: it stands too "
            "far forward",
            cure=_far_enough_aft(asked, old, wing),
            source=GEOMETRY,
        )
    size = f"root {mm(by_volume.root_chord):.0f}, tip {mm(by_volume.tip_chord):.0f}, height {mm(by_volume.height):.0f}"
    by = Proposal(
        f"size them by volume: {size} mm, which leaves less yaw stiffness",
        "set",
        (Edit("fins.match", "volume"),),
    )
    return VOLUME.finding(
        "fail",
        "fins",
        limit=wanted,
        why='match = "stiffness" finds no fin smaller than the wing that gives the original\'s yaw stiffness: a fin of '
        "this shape, from this root, turns the aircraft back too weakly",
        cure=[*_stiffness_cures(case, asked, old, wing), by],
        source="lattice",
    )


def _far_enough_aft(asked: Fins, old: FinSet, wing: ReferenceWing) -> Proposal:
    """Find the least move aft from which the fins can be sized, in strides."""
    places = (round_up(mm(asked.root.x) + step) for step in range(AFT_STRIDE, AFT_REACH + 1, AFT_STRIDE))
    for x, _ in that_does(places, lambda x: size_as_old(asked.moved(x=mm.si(x)), old, wing)):
        return Proposal(f"move the fins aft: from x = {x:.0f} mm on they can be sized", "set", at("x", x))
    return Proposal("move the fins aft")


def _stiffness_cures(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> Iterator[Proposal]:
    """Name the single changes that let the fins be sized by stiffness, each tried."""
    x, ratio = round(mm(old.stations.x[0])), round(old.stations.aspect_ratio, 2)
    shape = (asked.shape or FinShape()).model_copy(update={"aspect_ratio": ratio})
    slender = asked.model_copy(update={"shape": shape})
    aft = asked.moved(x=mm.si(x))
    if aft.root.x > asked.root.x and _stiff_enough(case, aft, old, wing):
        yield Proposal("put the roots where the old fin began", "set", at("x", x))
    if _stiff_enough(case, slender, old, wing):
        yield Proposal("take the old fin's aspect ratio", "set", (Edit("fins.shape.aspect_ratio", ratio),))


@where_given
def _stiff_enough(case: Case, asked: Fins, old: FinSet, wing: ReferenceWing) -> float:
    """Give the area of one fin [m2] as stiff as the original; None where no size is."""
    return given(stiff_area(case, asked, given(size_as_old(asked, old, wing))))


def _stiff_cure(off: float) -> str:
    """Say what fins that were sized by stiffness lose or gain by their shape and place."""
    if off < 0:
        return "check shape and place, then build them: they do as much with less area"
    return "take a higher aspect ratio, or a root further aft: this shape and place need so much area"


def _scale_cure(case: Case, fins: Fins, new: FinSet, wing: ReferenceWing, *, wanted: float) -> Proposal:
    """Say by how much the fins must be scaled about the root's leading edge for the wanted volume."""
    shape, found = new.stations, size_by_volume(fins, new.shape, wanted, wing)
    if not found:
        return Proposal("move the fins aft: no size does it from there")
    edits: tuple[Edit, ...] = ()
    if not fins.sized_by:
        moved = fins.moved(x=before_hinge(case.design.airframe, new, found.root_chord))
        found = size_by_volume(moved, new.shape, wanted, wing) or found
        edits = _scaled(case, new, found.height / shape.height)
    scale = found.height / shape.height
    return Proposal(
        f"scale the fins by {scale:.3f}: root {mm(found.root_chord):.1f}, tip {mm(found.tip_chord):.1f}, "
        f"height {said(found.height, 'mm', 1)}",
        "set" if edits else "bench",
        edits,
    )


def _scaled(case: Case, new: FinSet, scale: float) -> tuple[Edit, ...]:
    """Give the edits that build fins so many times as large each way, their roots still ahead of the elevator."""
    shape = new.stations
    sides = (("root_chord", shape.chord[0]), ("tip_chord", shape.chord[-1]), ("height", shape.height))
    larger = tuple(Edit(f"fins.each.{side}", round(mm(length) * scale, 1), "mm") for side, length in sides)
    x = before_hinge(case.design.airframe, new, shape.chord[0] * scale)
    return larger if x == shape.x[0] else (*larger, *at("x", mm(x)))


def _compared(case: Case) -> tuple[FinSet, FinSet, Aero, ReferenceWing]:
    """Give old fin, new fins, aerodynamics and wing; what of them is missing is said by the volume."""
    study = case.study
    given(case.design.fins)
    return given(study.old_fin), given(study.new_fins), given(study.aero), given(study.wing)


def _same_area(case: Case) -> Iterator[Finding]:
    old, new, aero, wing = _compared(case)
    ratio = SAME_AREA.need(aero.same_area_ratio(wing), "fins")
    built_so = abs(new.area / old.area - 1) < 0.02 and ratio < STIFF_WANTED
    now = (
        "and these fins have just that area"
        if built_so
        else f"these have {said(new.area / old.area, '%', 0)} of that area"
    )
    without = "" if aero.modified.body else NO_BODY
    yield SAME_AREA.finding(
        "caution" if built_so else "pass",
        "fins",
        value=ratio,
        limit=1.0,
        why=f"the same area in this shape and place would have left you with {said(ratio, '%', 0)} of the yaw "
        f"stiffness; {now}{without}",
        cure=lambda: Proposal(
            "size them by what a fin does", "set", (Edit("fins.match", "volume"), Edit("fins.each", None))
        ),
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
    without = "" if aero.modified.body else NO_BODY
    yield STIFFNESS.finding(
        verdict,
        "fins",
        value=value,
        limit=missed(verdict, limit, STIFF_WANTED * original),
        why=f"the aircraft's yaw stiffness with these fins is {value:.4f} per rad{compared} about the wing's "
        f"quarter-chord point{without}",
        cure=lambda: _stiffness_cure(case, new, _larger(old, new, aero, wing), original),
    )


def _larger(old: FinSet, new: FinSet, aero: Aero, wing: ReferenceWing) -> float:
    """Give how many times as large each way the fins must be: stiffness is nearly straight in area; NaN: of no size."""
    planes = (aero.modified, aero.stock, given(aero.same_area))
    value, original, other = (plane.yaw_stiffness(wing.quarter_mac_x, 0.0) for plane in planes)
    if abs(old.area / new.area - 1) < 0.01 or (value - other) * (new.area - old.area) <= 0:
        return math.nan
    area = new.area + (original - value) * (new.area - old.area) / (value - other)
    return math.sqrt(area / new.area) if area > 0 else math.nan


def _stiffness_cure(case: Case, new: FinSet, times: float, original: float) -> Proposal:
    asked = given(case.asked.fins)
    sized = asked.sized_by == "volume"
    text = "size them by stiffness" if sized else "make them larger, or move them aft"
    if original <= 0:
        return Proposal("measure the old fin and the fuselage again: the original is not stable in yaw", "measure")
    edits: tuple[Edit, ...] = (Edit("fins.match", "stiffness"),) if sized else ()
    if math.isfinite(times):
        scale = round_up(times, 2)
        text += f": about {scale:.2f} times as large each way keeps the original's"
        edits = edits if asked.sized_by else _scaled(case, new, scale)
    return Proposal(text, "set" if edits else "bench", edits)
