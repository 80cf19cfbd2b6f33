"""What was understood of each drawing: its size, its unit and why, a page's frame, the trapezoid of a drawn fin."""

from collections.abc import Iterator
from dataclasses import dataclass

from foamworks.checks.base import OURS, Finding, Proposal
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.drawing.trace_lines import DRAWN_IN
from foamworks.design.edit import Edit
from foamworks.design.files import Drawing
from foamworks.design.workshop import Offcut
from foamworks.units import degrees, mm, said

TRACE = record("trace")
FRAME = record("trace-frame")
PLACE = record("fin-place")

OLD_FIN = "old fin"
FIN_SIZES = (0.02, 0.6)  # of the wing's span: no fin of a foam jet is lower or higher (ours)
ANY_SIZES = (0.01, 2.0)  # m: no fin is lower or higher, where no wing is given (ours)
UPSIDE_DOWN = 1.05  # tip over root chord: hardly a fin is longer at its tip (ours)
LOOSE = 0.03  # of the area: a trapezoid that misses more is no fair picture of the drawing (ours)


@dataclass(frozen=True)
class Traced:
    """A drawing that the design names: what it is of, and the key that names it."""

    subject: str
    key: str
    drawing: Drawing


def traced(case: Case) -> Iterator[Traced]:
    """Give every drawing of a design: the old fin's, the cuts', the offcuts'."""
    airframe = case.asked.airframe
    if airframe.fin and airframe.fin.trace:
        yield Traced(OLD_FIN, "airframe.fin", airframe.fin.trace)
    for number, cut in enumerate(case.asked.cuts, start=1):
        if cut.trace:
            yield Traced(cut.name, f"cuts[{number}]", cut.trace)
    for number, board in enumerate(case.asked.boards, start=1):
        sheets = board.sheet or ()
        for place, sheet in enumerate(sheets, start=1):
            if isinstance(sheet, Offcut) and sheet.trace:
                key = f"boards[{number}].sheet" + (f"[{place}]" if len(sheets) > 1 else "")
                yield Traced(f"offcut of {board.name}", key, sheet.trace)


def findings(case: Case) -> list[Finding]:
    """Say what was understood of each drawing, and whether the old fin stands where a fin stands."""
    drawings = [finding for one in traced(case) for finding in _understood(case, one)]
    return [*drawings, *_fit(case), *_place(case)]


def size_text(drawing: Drawing, factor: float = 1.0) -> str:
    """Write a drawing's width and height, taken `factor` times as large."""
    width, height = (number_text(factor * mm(side)) for side in drawing.size)
    return f"{width} x {height} mm"


def number_text(value: float) -> str:
    """Write millimetres to the digits that matter on paper.

    >>> number_text(177.96), number_text(7.04)
    ('178', '7.0')
    """
    return f"{value:.0f}" if value >= 99.5 else f"{value:.1f}"


def _understood(case: Case, one: Traced) -> Iterator[Finding]:
    """Say in which unit a drawing was taken and why, and whether a rectangle in it may be the page's frame."""
    drawing, height = one.drawing, one.drawing.size[1]
    why = f"{drawing.file}: {drawing.why}; {size_text(drawing)}{_left_out(drawing)}"
    if one.subject == OLD_FIN and not _plausible(case, drawing, 1.0):
        yield TRACE.finding(
            "fail" if drawing.guessed else "caution",
            one.subject,
            value=height,
            why=f"{why}: no fin of this model is so {_odd(case, drawing)}",
            cure=_other_units(case, one),
            source=f"a fin's height is 2 to 60 % of the wing's span: {OURS}",
        )
    elif drawing.guessed:
        yield TRACE.finding("caution", one.subject, value=height, why=why, cure=_other_units(case, one))
    else:
        yield TRACE.passes(one.subject, value=height, why=why)
    if drawing.framed:
        yield _framed(one, *drawing.framed)


def _left_out(drawing: Drawing) -> str:
    """Say what was hidden in the drawing and so was left out."""
    if not drawing.hidden:
        return ""
    named = ", ".join(f'"{layer}"' for layer in drawing.hidden)
    return f"; left out is what is hidden, switched off or frozen, on {named}"


def _framed(one: Traced, outer: str, inner: str) -> Finding:
    """Say that a rectangle round the part was left out as the page's frame, or that it may be one."""
    typed = outer != inner and bool(inner)
    edits = (Edit(f"{one.key}.layer", inner),) if typed else ()
    other = "take the part's own layer" if typed else "take the frame out of the drawing"
    if one.drawing.frame:
        sides = " x ".join(number_text(mm(side)) for side in one.drawing.frame)
        why = f"a rectangle of {sides} mm round the part was taken for the page's frame and left out"
        return FRAME.finding("caution", one.subject, why=why, cure=Proposal(other, "set" if typed else "bench", edits))
    return FRAME.finding(
        "caution",
        one.subject,
        why="the outline is a rectangle round one loop, which is cut out of it as a hole; it may be the page's frame",
        cure=[
            Proposal(f"{other}, where the rectangle is the page's frame", "measure", edits),
            Proposal("draw both on one layer, where the rectangle is the part, no sheet of paper in size", "measure"),
        ],
    )


def _heights(case: Case) -> tuple[float, float]:
    wing = case.study.wing
    return (FIN_SIZES[0] * wing.span, FIN_SIZES[1] * wing.span) if wing else ANY_SIZES


def _plausible(case: Case, drawing: Drawing, factor: float) -> bool:
    low, high = _heights(case)
    return low <= factor * max(drawing.size) <= high * 2 and low <= factor * drawing.size[1] <= high


def _odd(case: Case, drawing: Drawing) -> str:
    return "small" if drawing.size[1] < _heights(case)[0] or max(drawing.size) < _heights(case)[0] else "large"


def _other_units(case: Case, one: Traced) -> list[Proposal]:
    """Name the units that the drawing may have been made in, with the size that each gives."""
    drawing = one.drawing
    found: list[Proposal] = []
    for unit in dict.fromkeys((drawing.unit, "mm", "in", "cm", "pt", "px")):
        factor = DRAWN_IN[unit] / DRAWN_IN.get(drawing.unit, 1.0)
        if one.subject != OLD_FIN or _plausible(case, drawing, factor):
            edit = Edit(f"{one.key}.drawn_in", unit)
            words = f"measure it, and where it is {size_text(drawing, factor)}"
            found.append(Proposal(words, "measure", (edit,)))
    return found[:4] or [Proposal("draw the fin in its own size", "measure")]


def _fit(case: Case) -> Iterator[Finding]:
    """Say which straight-edged fin a drawn one was taken for."""
    old, fins = case.study.old_fin, case.asked.fins
    if not (old and old.drawn):
        return
    fit, share = old.trapezoid, old.misfit
    given = (fins.shape.taper, fins.shape.sweep) if fins and fins.shape else (None, None)
    used = bool(fins and not fins.each and None in given)
    if fit.taper > UPSIDE_DOWN:
        yield TRACE.finding(
            "caution",
            "how the old fin stands",
            of="upside down",
            fit=fit,
            cure=_turned(case.asked.airframe.fin.turn if case.asked.airframe.fin else 0.0),
        )
    yield TRACE.finding(
        "caution" if used and share > LOOSE else "pass",
        "old fin's edges",
        value=share,
        of="used" if used else "unused",
        unit="%",
        fit=fit,
    )


def _turned(turn: float) -> Proposal:
    """Propose to turn the drawing over."""
    other = round(degrees(turn)) + 180
    edit = Edit("airframe.fin.turn", other - 360 if other > 180 else other, "deg")
    return Proposal("turn it, where it lies otherwise on the model", "measure", (edit,))


def _place(case: Case) -> Iterator[Finding]:
    """Fail an old fin that stands ahead of the wing: a drawing made at 0,0 does."""
    old, wing, airframe = case.study.old_fin, case.study.wing, case.asked.airframe
    if not (old and wing and airframe.fin):
        return
    arm = old.arm(wing)
    if arm > 0:
        return
    placed = old.drawn and not airframe.fin.at
    ahead = f"{said(-arm, 'mm', 0)} ahead of the wing's" if arm < 0 else "at the wing's"
    where = f"x {said(old.stations.x[0], 'mm', 0)}, z {said(old.stations.s[0], 'mm', 0)}"
    yield PLACE.finding("fail", "old fin", of="drawn" if placed else "", value=arm, ahead=ahead, where=where)
