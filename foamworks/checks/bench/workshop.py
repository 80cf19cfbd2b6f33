"""Can it be cut and printed as drawn, on the board and the bed that are there? Millimetres."""

import math
from collections.abc import Iterator
from itertools import count

from foamworks.checks.base import GEOMETRY, Finding, Proposal, collected, given
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit, entry_key
from foamworks.design.workshop import Board
from foamworks.errors import not_measured
from foamworks.parts.base import BoardPart, PrintPart
from foamworks.parts.board.sheet import lost_holes
from foamworks.parts.board.webs import least_web
from foamworks.parts.density import bed, board_named, stuff
from foamworks.parts.fins import EDGE_THICKNESSES, TAB_THICKNESSES, tab_places
from foamworks.parts.make import root_lean, root_stand
from foamworks.units import grams, mm, said

PRINT_FIT = record("print-fit")
BOARD_THICKNESS = record("board-thickness")
BOARD_MASS = record("board-mass")
SLOT_FIT = record("slot-fit")
THIN_WEB = record("thin-web")
GRAIN = record("grain")
HANDS = record("left-right")
KERF = record("kerf-measured")
LASER = record("laser")
NAMES = record("part-names")

ROOMY = 1e-6  # mm
DRAWN = 0.02  # mm: how far a drawn outline may stray from its true curve
MOST_NAMED = 4  # parts in one text
TAKES_AWAY = {"needle", "laser", "wire"}  # tools that take away a width of board


def findings(case: Case) -> list[Finding]:
    """Judge boards, cutting and printing."""
    checks = (_print_fit, _board_mass, _slot_fit, _thin_web, _grain, _left_right, _kerf, _laser, _same_names)
    return collected(case, *checks)


def _print_fit(case: Case) -> Iterator[Finding]:
    """Name each print larger than the bed, and each that is so as it is printed only; else the tightest."""
    if not case.parts.prints:
        return
    size = PRINT_FIT.need(bed(case.design), "prints")
    room = (*sorted(size[:2]), size[2])
    tightest = [(part, *max(zip(part.box_as_printed, room, strict=True), key=_share)) for part in case.parts.prints]
    large = [row for row in tightest if row[1] > row[2] + ROOMY]
    for part, side, space in large:
        yield _too_large(part, size, side, space)
    if not large:
        part, side, space = max(tightest, key=lambda row: _share(row[1:]))
        why = f"every print fits the bed; the tightest is {part.name}"
        yield PRINT_FIT.passes("prints", value=side, limit=space, why=why)


def _too_large(part: PrintPart, size: tuple[float, float, float], side: float, space: float) -> Finding:
    """Say which side of a print as it is printed meets which of the printer's, and whether it fits another way."""
    box, beds = (" x ".join(f"{length:{form}}" for length in row) for row, form in ((part.box_mm, ".0f"), (size, "g")))
    every_way = any(a > b + ROOMY for a, b in zip(sorted(part.box_mm), sorted(size), strict=True))
    return PRINT_FIT.finding(
        "fail" if every_way else "caution",
        part.name,
        of="every way" if every_way else "as printed",
        value=side,
        limit=space,
        box=box,
        room=beds,
    )


def _share(pair: tuple[float, float]) -> float:
    return pair[0] / pair[1]


def _board_mass(case: Case) -> Iterator[Finding]:
    """Say where a board was not measured or weighed: what is cut from it for the aircraft sits far aft."""
    for name in dict.fromkeys(part.board for part in case.parts.boards):
        board = board_named(case.design, name)
        material = stuff(board)
        if board is None:
            yield BOARD_THICKNESS.unknown(name, taken=f"{material.thickness:g}", board=name)
        if material.measured:
            yield from _weighed_sheet(given(board))
            continue
        aboard = any(part.board == name and part.group != "cuts" for part in case.parts.boards)
        taken = f"{material.per_square_metre:.0f} g/m2 is taken" if aboard else "its parts carry no mass"
        mass = board.mass if board else math.nan
        yield BOARD_MASS.unknown(name, "mass" if not_measured(mass) else "size", mass=said(mass, "g"), taken=taken)


def _weighed_sheet(board: Board) -> Iterator[Finding]:
    """Say which of several sizes the board's mass is taken for."""
    whole = [sheet for sheet in board.sheet or () if isinstance(sheet, tuple)]
    sizes = len({tuple(sorted(sheet)) for sheet in whole})
    if not_measured(board.mass) or sizes < 2:
        return
    size = " x ".join(f"{mm(side):g}" for side in whole[0])
    yield BOARD_MASS.passes(
        board.name,
        of="weighed",
        value=board.mass,
        sizes=sizes,
        mass=grams(board.mass),
        size=size,
        sheet=stuff(board).per_square_metre,
    )


def _slot_fit(case: Case) -> Iterator[Finding]:
    fins = given(case.design.fins)
    each = given(fins.each)
    if fins.mount != "tab":
        return
    board = SLOT_FIT.need(board_named(case.design, fins.board), "fin")
    kerf, thickness, root = mm(case.design.cutting.kerf), mm(board.thickness), mm(each.root_chord)
    stands = root_stand(case.design)
    tabs, lean = tab_places(root, thickness, stands), root_lean(case.design)
    first, last = stands or (0.0, root)
    on = max(min(last, root) - max(first, 0.0), 0.0)  # mm of the root that can take tabs
    only = f", of which {on:.0f} mm stand on the tailplane ahead of the hinge," if stands else ""
    why = f"a root chord of {root:.0f} mm{only} has no room for a tab of three board thicknesses between edges of two"
    cures: tuple[Proposal, ...] = (
        Proposal("glue the fins on without tabs", "set", (Edit("fins.mount", "glue"),)),
        Proposal("take a thinner board or a longer root"),
    )
    if tabs:
        across = (
            f", {thickness / math.cos(lean):.2f} mm across the lean of {math.degrees(lean):.3g} deg" if lean else ""
        )
        why = (
            f"{len(tabs)} tab{'s' if len(tabs) > 1 else ''} of {tabs[0][1] - tabs[0][0]:.0f} mm in slots "
            f"{thickness:g} mm wide, as the board was measured{across}; the tool takes {kerf:g} mm away"
        )
        cures = (Proposal(f"cut it by knife: a tool that takes {kerf:g} mm away cannot cut this slot"),)
    yield SLOT_FIT.finding(
        "pass" if tabs and thickness > kerf else "fail",
        "fin",
        value=thickness if tabs else on,
        limit=kerf if tabs else (TAB_THICKNESSES + 2 * EDGE_THICKNESSES) * thickness,
        why=why,
        cure=lambda: cures,
    )


def _thin_web(case: Case) -> Iterator[Finding]:
    """Name each part with a hole that no cut leaves, and the part whose web is thinnest for its board."""
    kerf = mm(case.design.cutting.kerf)
    thin: list[tuple[float, str, float, float]] = []
    for part in case.parts.boards:
        if lost_holes(part.outline, kerf):
            yield THIN_WEB.finding("fail", part.name, of="kerf", value=kerf, source=GEOMETRY)
            continue
        web, least = least_web(part.outline), EDGE_THICKNESSES * part.thickness_mm
        if web < least - DRAWN:
            thin.append((web / least, part.name, web, least))
    if thin:
        _, name, web, least = min(thin)
        yield THIN_WEB.finding("caution", name, value=web, limit=least)


def _grain(case: Case) -> Iterator[Finding]:
    for board in case.design.boards:
        wants = [part.name for part in case.parts.boards if part.board == board.name and part.grain == "length"]
        if wants and board.grain == "none":
            others = f" and {len(wants) - MOST_NAMED} more" if len(wants) > MOST_NAMED else ""
            yield GRAIN.finding(
                "caution", board.name, value=float(len(wants)), limit=0.0, named=", ".join(wants[:MOST_NAMED]) + others
            )


def _left_right(case: Case) -> Iterator[Finding]:
    for cut in (cut for cut in case.design.cuts if cut.mirror):
        left, odd = divmod(cut.count, 2)
        yield HANDS.finding(
            "caution" if odd else "pass",
            cut.name,
            value=float(cut.count),
            why=f"{cut.count - left} as drawn (R) and {left} mirrored (L)",
            cure=Proposal(
                "cut one more, so that there are as many of each hand",
                "set",
                (Edit(f"{entry_key('cuts', cut.name)}.count", cut.count + 1),),
            ),
        )


def _kerf(case: Case) -> Iterator[Finding]:
    tool, kerf = given(case.design.cutting.tool), case.design.cutting.kerf
    if not case.parts.boards or tool not in TAKES_AWAY:
        return
    if kerf > 0:
        yield KERF.passes(tool, value=kerf, why=f"a {tool} takes away {mm(kerf):g} mm")
        return
    yield KERF.finding("unknown", tool, tool=tool)


def _laser(case: Case) -> Iterator[Finding]:
    if case.parts.boards and case.design.cutting.tool == "laser":
        yield LASER.finding(
            "fail",
            "sheets",
            why="polystyrene foam catches fire and drips under a laser; PVC foam sheet looks the same and gives off "
            "hydrogen chloride: foamworks calls no file ready for a laser",
            cure=[
                Proposal("cut by knife", "set", (Edit("cutting.tool", "knife"),)),
                Proposal("cut by laser only where the workshop's written rules allow this very foam"),
            ],
        )


def _same_names(case: Case) -> Iterator[Finding]:
    """Name a cut that is called like a part this design makes: sheets, tables and [[weighed]] go by the name."""
    others = {part.name: part for part in case.parts.all() if part.group != "cuts"}
    taken = {part.name for part in case.parts.all()}
    for name in (cut.name for cut in case.design.cuts if cut.name in others):
        free = next(free for number in count(2) if (free := f"{name[:70]} {number}") not in taken)
        part = others[name]
        kind = (
            "board part" if isinstance(part, BoardPart) else "print" if isinstance(part, PrintPart) else "bought part"
        )
        weighed = any(entry.part == name for entry in case.design.weighed)
        yield NAMES.finding(
            "fail",
            name,
            value=2.0,
            limit=1.0,
            why=f'two parts are called "{name}": the one of [[cuts]], and the {kind} that the rest of the design asks '
            f"for{'; what [[weighed]] says of it counts for neither' if weighed else ''}",
            cure=Proposal(
                "rename the cut",
                "set",
                (Edit(f"{entry_key('cuts', name)}.name", free),),
            ),
        )
