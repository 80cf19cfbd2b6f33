"""Can it be cut and printed as drawn, on the board and the bed that are there? Millimetres."""

from collections.abc import Iterator
from itertools import permutations
from typing import TYPE_CHECKING

from shapely import Polygon

from foamworks.design.workshop import Board
from foamworks.findings.base import CUSTOM, OURS, Finding, Verdict, unknown
from foamworks.findings.case import Case
from foamworks.parts.base import BoardPart
from foamworks.parts.density import board_named, sheet_sizes, stuff
from foamworks.parts.fins import EDGE_THICKNESSES, tab_places
from foamworks.parts.make import bed
from foamworks.parts.sheet import cut_path, lost_holes

if TYPE_CHECKING:  # the layout brings the nester, which a check does not need
    from foamworks.parts.layout import LaidOut

POOR_USE = 0.40  # of the board used, on a sheet that is more than half full (ours)
TILE = (190.0, 259.0)  # mm: what fits both A4 and Letter (trade's table)
ROOMY = 1e-6  # mm


def findings(case: Case) -> list[Finding]:
    """Judge boards, cutting and printing."""
    return [
        *_sheet_fit(case), *_print_fit(case), *_board_mass(case), *_slot_fit(case), *_thin_web(case), *_grain(case),
        *_left_right(case), *_kerf(case), *_laser(case),
    ]  # fmt: skip


def _sheet_fit(case: Case) -> Iterator[Finding]:
    margin, kerf = 1000 * case.design.cutting.margin, 1000 * case.design.cutting.kerf
    for name in dict.fromkeys(part.board for part in case.parts.boards):
        board = board_named(case.design, name)
        parts = [part for part in case.parts.boards if part.board == name]
        if board is None or board.sheet is None:
            yield unknown(
                "sheet-fit", name, "the sheet's size is not known; 508 x 762 mm is drawn",
                f'give sheet = [width, height] in [[boards]] for "{name}"', "mm",
            )  # fmt: skip
            continue
        rooms = [tuple(side - 2 * margin for side in size) for size in sheet_sizes(board)]
        large = [part for part in parts if not _has_room(part, board, kerf, rooms)]
        yield from (_too_large(part, margin, max(rooms)) for part in large)
        if not large:
            yield Finding(
                "sheet-fit", name, "pass", None, None, "mm",
                f"each of its {sum(part.count for part in parts)} pieces fits a sheet, margin of {margin:g} mm kept",
                "", "geometry",
            )  # fmt: skip


def _has_room(part: BoardPart, board: Board, kerf: float, rooms: list[tuple[float, ...]]) -> bool:
    x0, y0, x1, y1 = cut_path(part.outline, kerf).bounds
    sizes = [(x1 - x0, y1 - y0)]
    if part.grain == "none" or board.grain == "none":
        sizes.append((y1 - y0, x1 - x0))
    return any(w <= long + ROOMY and h <= short + ROOMY for w, h in sizes for long, short in rooms)


def _too_large(part: BoardPart, margin: float, room: tuple[float, ...]) -> Finding:
    x0, y0, x1, y1 = part.outline.bounds
    long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    along = part.grain == "length"
    return Finding(
        "sheet-fit",
        part.name,
        "fail",
        x1 - x0 if along else long,
        room[0],
        "mm",
        f"the part is {x1 - x0:.1f} x {y1 - y0:.1f} mm{', its x along the grain' if along else ''}; a sheet inside its "
        f"margin of {margin:g} mm is {room[0]:g} x {room[1]:g} mm",
        f"give a sheet of at least {long + 2 * margin:.0f} x {short + 2 * margin:.0f} mm, or split the part",
        "geometry",
    )


def _print_fit(case: Case) -> Iterator[Finding]:
    if not case.parts.prints:
        return
    size = bed(case.design)
    if size is None:
        yield unknown("print-fit", "prints", "the printer's bed is not known", "give printer.bed = [x, y, z]", "mm")
        return
    for part in case.parts.prints:
        if not any(
            all(side <= room for side, room in zip(turn, size, strict=True)) for turn in permutations(part.box_mm)
        ):
            text = " x ".join(f"{side:.0f}" for side in part.box_mm)
            yield Finding(
                "print-fit", part.name, "fail", max(part.box_mm), max(size), "mm",
                f"the part is {text} mm, the bed {' x '.join(f'{side:g}' for side in size)} mm",
                "print it on a larger bed, or split it", "geometry",
            )  # fmt: skip
            return
    longest = max(case.parts.prints, key=lambda part: max(part.box_mm))
    yield Finding(
        "print-fit", "prints", "pass", max(longest.box_mm), max(size), "mm",
        f"every print fits the bed; the longest is {longest.name}", "", "geometry",
    )  # fmt: skip


def _board_mass(case: Case) -> Iterator[Finding]:
    """Say where a board's mass is a preset: it decides what the fins weigh, far aft."""
    for name in dict.fromkeys(part.board for part in case.parts.boards if part.group != "cuts"):
        board = stuff(board_named(case.design, name))
        if not board.measured:
            yield unknown(
                "board-mass", name,
                f"one sheet was not weighed; {1e6 * board.areal_density:.0f} g/m2 is taken, boards of one label have "
                "290 to 605",
                "weigh one whole sheet: mass in [[boards]]", "g",
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
    tabs = tab_places(root, thickness)
    verdict: Verdict = "pass" if tabs and thickness > kerf else "fail"
    why = (
        f"{len(tabs)} tab(s) of {tabs[0][1] - tabs[0][0]:.0f} mm in slots {thickness:g} mm wide"
        if tabs
        else (f"a root chord of {root:.0f} mm has no room for a tab of three thicknesses between two-thickness edges")
    )
    cure = (
        'take mount = "glue", a thinner board or a longer root'
        if not tabs
        else ("" if verdict == "pass" else f"a tool of {kerf:g} mm kerf cannot cut this slot: take a knife")
    )
    yield Finding("slot-fit", "fin", verdict, thickness, kerf, "mm", why, cure, CUSTOM)


def _thin_web(case: Case) -> Iterator[Finding]:
    kerf = 1000 * case.design.cutting.kerf
    thin: list[tuple[float, float, str]] = []
    for part in case.parts.boards:
        if lost_holes(part.outline, kerf):
            yield Finding(
                "thin-web", part.name, "fail", kerf, None, "mm", f"a hole is narrower than the kerf of {kerf:g} mm",
                "widen the hole, or take a tool with a smaller kerf", "geometry",
            )  # fmt: skip
        web, least = _least_web(part), EDGE_THICKNESSES * part.thickness_mm
        if web is not None and web < least:
            thin.append((web / least, web, part.name))
    if thin:
        _, web, name = min(thin)
        part = next(p for p in case.parts.boards if p.name == name)
        yield Finding(
            "thin-web", name, "caution", web, EDGE_THICKNESSES * part.thickness_mm, "mm",
            f"only {web:.1f} mm of board stand between a hole and an edge or the next hole",
            "widen it, or cut with care", CUSTOM,
        )  # fmt: skip


def _least_web(part: BoardPart) -> float | None:
    """Give the least board left between a hole and the edge, or between two holes [mm]; None without holes."""
    holes = [Polygon(ring) for ring in part.outline.interiors]
    webs = [float(hole.distance(part.outline.exterior)) for hole in holes]
    webs += [float(a.distance(b)) for number, a in enumerate(holes) for b in holes[number + 1 :]]
    return min(webs, default=None)


def _grain(case: Case) -> Iterator[Finding]:
    for part in case.parts.boards:
        board = board_named(case.design, part.board)
        if part.grain == "length" and board is not None and board.grain == "none":
            yield Finding(
                "grain", part.name, "caution", None, None, "",
                f'the part wants its length along the grain, "{board.name}" is said to have none; it may lie any way',
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


def judge_layout(case: Case, laid: "LaidOut") -> tuple[Finding, ...]:
    """Judge what only a laid-out build can know: what found no place, how well the board is used, what paper splits."""
    return (*_left_over(laid), *_use(laid), *_tiles(case))


def _left_over(laid: "LaidOut") -> Iterator[Finding]:
    for row in laid.left_over:
        yield Finding(
            "sheet-fit", row.part, "fail", float(row.count), 0.0, "pieces", f"{row.count} found no place: {row.why}",
            "give more or larger sheets, or split the part", "geometry",
        )  # fmt: skip


def _use(laid: "LaidOut") -> Iterator[Finding]:
    for sheet in laid.sheets:
        full = sheet.used_length_mm > 0.5 * sheet.width
        poor = full and sheet.utilisation < POOR_USE
        yield Finding(
            "utilisation", sheet.heading, "caution" if poor else "pass", 100 * sheet.utilisation, 100 * POOR_USE, "%",
            f"{100 * sheet.utilisation:.0f} % of the used {sheet.used_length_mm:.0f} mm of the sheet become parts",
            "search longer: build --improve 30, or put small parts on this sheet" if poor else "", OURS,
        )  # fmt: skip


def _tiles(case: Case) -> Iterator[Finding]:
    """Name the parts that no paper tile holds whole: their template is joined from several pages."""
    kerf, split = 1000 * case.design.cutting.kerf, []
    for part in case.parts.boards:
        x0, y0, x1, y1 = cut_path(part.outline, kerf).bounds
        if not (max(x1 - x0, y1 - y0) <= max(TILE) and min(x1 - x0, y1 - y0) <= min(TILE)):
            split.append(part.name)
    if split:
        yield Finding(
            "tile-split", ", ".join(split), "caution", float(len(split)), 0.0, "parts",
            "larger than one page: the paper template is joined from several",
            "join the pages by their crosses and measure across the joint before you cut",
            "trade's table: 190 x 259 mm fit A4 and Letter",
        )  # fmt: skip
