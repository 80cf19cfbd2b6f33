"""Can it be cut and printed as drawn, on the board and the bed that are there? Millimetres."""

import math
from collections.abc import Iterator
from itertools import count

from foamworks.checks.base import CUSTOM, OURS, Finding, Verdict, unknown
from foamworks.checks.case import Case
from foamworks.design.workshop import Board
from foamworks.parts.base import BoardPart, PrintPart
from foamworks.parts.board.sheet import lost_holes
from foamworks.parts.board.webs import least_web
from foamworks.parts.density import board_named, stuff
from foamworks.parts.fins import EDGE_THICKNESSES, Span, tab_places
from foamworks.parts.make import bed, root_lean, root_stand
from foamworks.units import said

ROOMY = 1e-6  # mm
DRAWN = 0.02  # mm: how far a drawn outline may stray from its true curve
MOST_NAMED = 4  # parts in one text


def findings(case: Case) -> list[Finding]:
    """Judge boards, cutting and printing."""
    return [
        *_print_fit(case), *_board_mass(case), *_slot_fit(case), *_thin_web(case), *_grain(case),
        *_left_right(case), *_kerf(case), *_laser(case), *_same_names(case),
    ]  # fmt: skip


def _print_fit(case: Case) -> Iterator[Finding]:
    if not case.parts.prints:
        return
    size = bed(case.design)
    if size is None:
        yield unknown("print-fit", "prints", "the printer's bed is not known", "give printer.bed = [x, y, z]", "mm")
        return
    room = sorted(size)
    tightest = [(part, *max(zip(sorted(part.box_mm), room, strict=True), key=_share)) for part in case.parts.prints]
    large = [row for row in tightest if row[1] > row[2] + ROOMY]
    for part, side, space in large:
        text = " x ".join(f"{length:.0f}" for length in part.box_mm)
        yield Finding(
            "print-fit", part.name, "fail", side, space, "mm",
            f"the part is {text} mm, the bed {' x '.join(f'{length:g}' for length in size)} mm: whichever way it lies, "
            f"{side:.0f} mm meet {space:g}",
            "print it on a larger bed, or split it across its length and join it with a dowel", "geometry",
        )  # fmt: skip
    if not large:
        part, side, space = max(tightest, key=lambda row: _share(row[1:]))
        yield Finding(
            "print-fit", "prints", "pass", side, space, "mm",
            f"every print fits the bed; the tightest is {part.name}", "", "geometry",
        )  # fmt: skip


def _share(pair: tuple[float, float]) -> float:
    return pair[0] / pair[1]


def _board_mass(case: Case) -> Iterator[Finding]:
    """Say where a board was not measured or weighed: what is cut from it for the aircraft sits far aft."""
    for name in dict.fromkeys(part.board for part in case.parts.boards):
        given = board_named(case.design, name)
        board = stuff(given)
        if given is None:
            yield unknown(
                "board-thickness", name, f"its thickness was not measured; {board.thickness:g} mm is taken, boards of "
                "one label have 4.3 to 5 mm", f'measure it with the caliper: [[boards]] with name = "{name}", '
                "thickness, sheet and mass", "mm",
            )  # fmt: skip
        if board.measured:
            yield from _weighed_sheet(given)
            continue
        aboard = any(part.board == name and part.group != "cuts" for part in case.parts.boards)
        taken = f"{1e6 * board.areal_density:.0f} g/m2 is taken" if aboard else "its parts carry no mass"
        why, cure = f"one whole sheet was not weighed; {taken}", "weigh one whole sheet: mass in [[boards]]"
        if given is not None and given.mass is not None:
            why = f"{said(given.mass, 'g')} are given, but not the size of the sheet that was weighed; {taken}"
            cure = (
                "put the size of the sheet that was weighed into sheet, as [width, height]; offcuts are used up first"
            )
        yield unknown("board-mass", name, f"{why}, boards of one label have 290 to 605 g/m2", cure, "g")


def _weighed_sheet(board: Board | None) -> Iterator[Finding]:
    """Say which of several sizes the board's mass is taken for."""
    whole = [sheet for sheet in (board.sheet if board is not None else None) or () if isinstance(sheet, tuple)]
    sizes = len({tuple(sorted(sheet)) for sheet in whole})
    if board is None or board.mass is None or sizes < 2:
        return
    size = " x ".join(f"{1000 * side:g}" for side in whole[0])
    yield Finding(
        "board-mass", board.name, "pass", 1000 * board.mass, None, "g",
        f"of its {sizes} sizes the {1000 * board.mass:g} g are taken for the first, {size} mm: "
        f"{1e6 * stuff(board).areal_density:.0f} g/m2; the size that was weighed stands first in sheet", "",
        "the design itself",
    )  # fmt: skip


def _slot_fit(case: Case) -> Iterator[Finding]:
    fins = case.design.fins
    if fins is None or fins.mount != "tab" or fins.each is None:
        return
    board, kerf = board_named(case.design, fins.board), 1000 * case.design.cutting.kerf
    if board is None:
        yield unknown(
            "slot-fit", "fin", "the board's thickness is not known, and the slots follow it",
            "measure it with the caliper: thickness in [[boards]]", "mm",
        )  # fmt: skip
        return
    thickness, root = 1000 * board.thickness, 1000 * fins.each.root_chord
    stands = root_stand(case.design)
    tabs, lean = tab_places(root, thickness, stands), root_lean(case.design)
    verdict: Verdict = "pass" if tabs and thickness > kerf else "fail"
    leaning = f", {thickness / math.cos(lean):.2f} mm across the lean of {math.degrees(lean):.3g} deg" if lean else ""
    why = (
        f"{len(tabs)} tab{'s' if len(tabs) > 1 else ''} of {tabs[0][1] - tabs[0][0]:.0f} mm in slots {thickness:g} mm "
        f"wide, as the board was measured{leaning}; the tool takes {kerf:g} mm away"
        if tabs
        else f"a root chord of {root:.0f} mm{_only(stands, root)} has no room for a tab of three board thicknesses "
        "between edges of two"
    )
    cure = (
        'take mount = "glue", a thinner board or a longer root'
        if not tabs
        else ("" if verdict == "pass" else f"a tool of {kerf:g} mm kerf cannot cut this slot: take a knife")
    )
    yield Finding("slot-fit", "fin", verdict, thickness, kerf, "mm", why, cure, CUSTOM)


def _only(stands: Span | None, root: float) -> str:
    """Say how much of the root stands on the tailplane, where that is known."""
    if stands is None:
        return ""
    on = max(min(stands[1], root) - max(stands[0], 0.0), 0.0)
    return f", of which {on:.0f} mm stand on the tailplane ahead of the hinge,"


def _thin_web(case: Case) -> Iterator[Finding]:
    kerf = 1000 * case.design.cutting.kerf
    thin: list[tuple[float, float, str]] = []
    for part in case.parts.boards:
        if lost_holes(part.outline, kerf):
            yield Finding(
                "thin-web", part.name, "fail", kerf, None, "mm", f"a hole is narrower than the kerf of {kerf:g} mm",
                "widen the hole, or take a tool with a smaller kerf", "geometry",
            )  # fmt: skip
            continue
        web, least = least_web(part.outline), EDGE_THICKNESSES * part.thickness_mm
        if web is not None and web < least - DRAWN:
            thin.append((web / least, web, part.name))
    if thin:
        _, web, name = min(thin)
        part = next(p for p in case.parts.boards if p.name == name)
        yield Finding(
            "thin-web", name, "caution", web, EDGE_THICKNESSES * part.thickness_mm, "mm",
            f"only {web:.1f} mm of board stand between a hole and an edge or the next hole",
            "widen it, or cut with care", CUSTOM,
        )  # fmt: skip


def _grain(case: Case) -> Iterator[Finding]:
    for board in case.design.boards:
        wants = [part.name for part in case.parts.boards if part.board == board.name and part.grain == "length"]
        if wants and board.grain == "none":
            others = f" and {len(wants) - MOST_NAMED} more" if len(wants) > MOST_NAMED else ""
            yield Finding(
                "grain", board.name, "caution", float(len(wants)), 0.0, "parts",
                f"{', '.join(wants[:MOST_NAMED])}{others} should lie along the grain, and this board is said to have "
                "none: they may lie any way",
                "bend a strip cut each way: if one is stiffer, the board has a grain", CUSTOM,
            )  # fmt: skip


def _left_right(case: Case) -> Iterator[Finding]:
    for cut in case.design.cuts:
        if cut.mirror:
            left = cut.count // 2
            odd = cut.count % 2 == 1
            yield Finding(
                "left-right", cut.name, "caution" if odd else "pass", float(cut.count), None, "pieces",
                f"{cut.count - left} as drawn (R) and {left} mirrored (L)",
                "an even count makes as many of each hand" if odd else "", OURS,
            )  # fmt: skip


def _kerf(case: Case) -> Iterator[Finding]:
    cutting = case.design.cutting
    if case.parts.boards and cutting.tool in {"needle", "laser", "wire"}:
        measured = cutting.kerf > 0
        yield Finding(
            "kerf-measured", cutting.tool or "", "pass" if measured else "unknown",
            1000 * cutting.kerf if measured else None, None, "mm",
            f"a {cutting.tool} takes away {1000 * cutting.kerf:g} mm" if measured
            else f"a {cutting.tool} takes away some board; parts come out smaller and slots wider by what it takes",
            "" if measured else "cut the slot comb, measure a slot against its drawing: cutting.kerf", CUSTOM,
        )  # fmt: skip


def _laser(case: Case) -> Iterator[Finding]:
    if case.parts.boards and case.design.cutting.tool == "laser":
        yield Finding(
            "laser", "sheets", "fail", None, None, "",
            "polystyrene foam catches fire and drips under a laser; PVC foam sheet looks the same and gives off "
            "hydrogen chloride: foamworks calls no file ready for a laser",
            'take tool = "knife" or "needle"; a laser only where the workshop\'s written rules allow this very foam',
            "read in public texts",
        )  # fmt: skip


def _same_names(case: Case) -> Iterator[Finding]:
    """Name a cut that is called like a part this design makes: sheets, tables and [[weighed]] go by the name."""
    others = {part.name: part for part in case.parts.all() if part.group != "cuts"}
    taken = {part.name for part in case.parts.all()}
    for cut in case.design.cuts:
        part = others.get(cut.name)
        if part is None:
            continue
        weighed = any(entry.part == cut.name for entry in case.design.weighed)
        free = next(name for number in count(2) if (name := f"{cut.name[:70]} {number}") not in taken)
        kind = (
            "board part" if isinstance(part, BoardPart) else "print" if isinstance(part, PrintPart) else "bought part"
        )
        yield Finding(
            "part-names", cut.name, "fail", 2.0, 1.0, "parts",
            f'two parts are called "{cut.name}": the one of [[cuts]], and the {kind} that the rest of the '
            f"design asks for{'; what [[weighed]] says of it counts for neither' if weighed else ''}",
            f'rename the cut in [[cuts]]: name = "{free}"', "the design itself",
        )  # fmt: skip
