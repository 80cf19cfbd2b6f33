"""Every file of a build, in order, into one folder; the sheets and the files are added to the summary."""

import json
from collections.abc import Sequence
from pathlib import Path

from foamworks.changes.answer import Answer
from foamworks.checks.case import Case
from foamworks.errors import OutputError
from foamworks.output import summary
from foamworks.output.folder import MARKER, listing, unique_names
from foamworks.output.gluing import SADDLE
from foamworks.output.keys import Row, plain, row_of
from foamworks.output.sheets.look import BuildOptions, Look
from foamworks.output.views.bodies import bodies
from foamworks.parts.board.layout import LaidOut
from foamworks.parts.board.sheet import PlacedPart, Sheet
from foamworks.parts.density import bed


def write_all(case: Case, answer: Answer, laid: LaidOut, folder: Path, options: BuildOptions) -> Row:
    """Write a build's files into an empty folder; give the summary, `files` included."""
    data = summary.as_dict(case, answer)
    if laid.sheets or laid.left_over:
        data["sheets"] = plain([_sheet(sheet) for sheet in laid.sheets])
    try:
        if options.wants("fins", "sheets"):
            from foamworks.output.sheets.washers import write_washers

            _sheets(laid, folder / "sheets", options)
            write_washers(case.parts.bought, folder / "sheets" / "ply-rings.pdf", title=case.name)
        if options.wants("pod", "prints") and case.parts.prints:
            from foamworks.output.prints.solids import write_prints
            from foamworks.output.sheets.saddle import write_saddles

            write_prints(case.parts.prints, folder, bed(case.design), bodies(case))
            write_saddles(case.parts.prints, data.get("gluing", {}), folder / SADDLE, title=case.name)
        _pages(case, answer, data, laid, folder, options)
        data["files"] = listing(folder)
        text = json.dumps(data, allow_nan=False, ensure_ascii=False, indent=1)
        (folder / MARKER).write_text(text + "\n", encoding="utf-8", newline="\n")
    except OSError as fault:
        if isinstance(fault, OutputError):
            raise
        raise OutputError(f"{fault.filename or folder}: cannot be written ({fault.strerror})") from None
    return data


def _sheets(laid: LaidOut, folder: Path, options: BuildOptions) -> None:
    from foamworks.output.sheets.dxf import write_sheet_dxf
    from foamworks.output.sheets.paper import write_sheet_pdf
    from foamworks.output.sheets.svg import sheet_svg

    if not laid.sheets:
        return
    folder.mkdir()
    names = unique_names([f"{s.board}-{s.number}{'-offcut' if s.is_offcut else ''}" for s in laid.sheets])
    for name, sheet in zip(names, laid.sheets, strict=True):
        write_sheet_dxf(sheet, folder / f"{name}.dxf", version=options.dxf, look=options)
        write_sheet_pdf(sheet, folder / f"{name}.pdf", plotter=False)
        if options.plotter:
            write_sheet_pdf(sheet, folder / f"{name}-plotter.pdf", plotter=True)
        (folder / f"{name}.svg").write_text(sheet_svg(sheet, options), encoding="utf-8", newline="\n")


def _pages(case: Case, answer: Answer, data: Row, laid: LaidOut, folder: Path, options: BuildOptions) -> None:
    from foamworks.output.summaries import EVERYTHING, write_summaries

    if options.wants("report"):
        from foamworks.output.cards.deck import write_cards
        from foamworks.output.report.page import full_report
        from foamworks.output.sheets.svg import sheet_svg

        pictures = [(sheet.heading, sheet_svg(sheet, Look(words=True))) for sheet in laid.sheets]
        report = full_report(case, data, answer, pictures)
        if report.overview:
            (folder / "overview.svg").write_text(report.overview, encoding="utf-8", newline="\n")
        data |= plain(report.placement)
        (folder / "report.html").write_text(report.page, encoding="utf-8", newline="\n")
        write_cards(case, data, answer, folder / "cards.pdf")
    write_summaries(case, data, folder / "summaries", wanted=options.only or EVERYTHING)


def _sheet(sheet: Sheet) -> Row:
    where = {"name": "part.name", "x_mm": "x", "y_mm": "y", "angle_deg": "angle", "mirrored": "mirrored"}
    return {
        **row_of(sheet, "board", "number", "used_length_mm", "utilisation", "cut_length_mm"),
        "sheet_mm": [sheet.width, sheet.height],
        "offcut": sheet.is_offcut,
        **row_of(sheet, "score_length_mm", "overcut_length_mm", cut_time_s="cut_seconds"),
        "tool": sheet.tool.name if sheet.tool.named else None,
        **row_of(sheet, "parts_mass_g", "waste_mass_g", "rest_length_mm"),
        "counts": [_count(number, here) for number, here in sheet.by_number.items()],
        "parts": [row_of(piece, **where) for piece in sheet.placed],
    }


def _count(number: int, here: Sequence[PlacedPart]) -> Row:
    """Give one part's line of the count table: how many of it lie here, of all, and of which hand."""
    part, hands = here[0].part, [piece.hand for piece in here]
    data = {"number": number, "name": part.name, "here": len(here), "of_all": part.count}
    return data | {"right": hands.count("R"), "left": hands.count("L"), "mass_g": part.mass_g}
