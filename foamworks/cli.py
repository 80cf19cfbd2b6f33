"""The command line: arguments, printed lines, exit status. The only module that prints.

Exit status: 0 nothing fails, 1 a finding fails, 2 the design or the call cannot be used, 130 stopped by Ctrl-C
(SIGINT), 143 told to end (SIGTERM).
"""

import difflib
import gc
import json
import os
import shlex
import signal
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn, TypeVar

import typer

from foamworks.errors import DesignError, FoamworksError, printable

if TYPE_CHECKING:
    from foamworks.changes.answer import Answer
    from foamworks.checks.case import Case
    from foamworks.output.keys import Row

# why: the lattice's matrices are small; more threads only burn time, and one gives the same sums on every machine
for _variable in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_variable, "1")
# why: looking through every installed package for plug-ins of the reader takes longer than reading a design
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

app = typer.Typer(
    name="foamworks",
    help="Will the modified foam jet fly, what is marginal, what cures it; then cut sheets and printable parts.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

DesignFile = Annotated[Path, typer.Argument(metavar="DESIGN", help="The design file (TOML).")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]


class Job(StrEnum):
    """What a new design file is to be for."""

    boost = "boost"
    fins = "fins"
    nose = "nose"
    sheets = "sheets"


class DxfVersion(StrEnum):
    """Which DXF the cutter takes."""

    r2010 = "r2010"
    r12 = "r12"


def _any_of(choices: type[StrEnum]) -> str:
    return f"[{'|'.join(choices)}]"


Choice = TypeVar("Choice", bound=StrEnum)


def _within(option: str, value: float, most: float, unit: str = "") -> float:
    """Take a number that an option can be used with."""
    if not 0 <= value <= most:
        raise DesignError(f"{option} {value:.12g}: takes 0 to {most:g}{unit}")
    return value


def _choice(option: str, text: str, choices: type[Choice]) -> Choice:
    """Hold an option to be one of its words; in the words of a user, not of a library."""
    if text.lower() in list(choices):
        return choices(text.lower())
    near = difflib.get_close_matches(text.lower(), list(choices), n=1)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    raise DesignError(f'{option} "{text}": must be one of {", ".join(choices)}{hint}')


class _Ending:
    """Remembers Ctrl-C and SIGTERM: a library's C code may turn the interruption into an error of its own."""

    def __init__(self) -> None:
        self.asked = 0  # the signal

    def __call__(self, number: int, _: object) -> NoReturn:
        self.asked = number
        raise KeyboardInterrupt


_ending = _Ending()


def _say(text: str) -> None:
    print("\n".join(printable(line) for line in text.split("\n")), file=sys.stderr)


def _stop(fault: FoamworksError) -> NoReturn:
    if _ending.asked:  # the fault is what became of the interruption
        raise KeyboardInterrupt from fault
    _say(str(fault))
    raise typer.Exit(2)


def _folder(text: str) -> Path:
    if not text.strip():
        raise DesignError(f'--out "{text}": names no folder; name one, or leave --out away: it is out then')
    return Path(text)


def _print_json(data: "Row") -> None:
    print(json.dumps(data, allow_nan=False, ensure_ascii=False, indent=1))


@app.command()
def new(
    name: Annotated[str, typer.Argument(help="The new design's name; NAME.toml is written here.")],
    job: Annotated[str, typer.Option("--for", metavar=_any_of(Job), help="Which job the file is for.")] = Job.boost,
) -> None:
    """Write a commented design file with the list of what to measure; an existing file is never overwritten."""
    from foamworks.output.starter import write_starter

    try:
        path = write_starter(name, _choice("--for", job, Job), Path())
    except FoamworksError as fault:
        _stop(fault)
    print(f"wrote {path}: fill in what you measured, then: foamworks check {shlex.quote(str(path))}")


@app.command()
def check(
    design: DesignFile,
    as_json: AsJson = False,
    everything: Annotated[bool, typer.Option("--all", help="Print every finding.")] = False,
    flights: Annotated[bool, typer.Option("--flights", help="Print the names of the flights, one a line.")] = False,
) -> None:
    """Read, solve, study and judge a design, and answer: may it fly, what is wrong, what next; nothing is written."""
    from foamworks import pipeline
    from foamworks.changes.answer import answered
    from foamworks.output import terminal

    try:
        if flights:
            names = pipeline.flight_names(design)
            if as_json:
                _print_json({"flights": names})
            else:
                print("".join(f"{printable(name)}\n" for name in names), end="")
            return
        case = pipeline.check(design)
        answer = answered(case, every=everything)
    except FoamworksError as fault:
        _stop(fault)
    case = replace(case, findings=answer.proved(case.findings))
    if as_json:
        from foamworks.output import summary

        _print_json(summary.as_dict(case, answer))
    elif everything:
        _print_findings(case, answer)
    else:
        print("\n".join(printable(line) for line in terminal.answer_lines(case, answer)))
    raise typer.Exit(pipeline.exit_status(case))


@app.command()
def build(
    design: DesignFile,
    out: Annotated[str, typer.Option("--out", metavar="DIR", help="The folder to build into.")] = "out",
    as_json: AsJson = False,
    only: Annotated[
        str | None, typer.Option("--only", help="Of fins,pod,sheets,prints,report: the files wanted.")
    ] = None,
    dxf: Annotated[
        str, typer.Option("--dxf", metavar=_any_of(DxfVersion), help="The DXF version of the sheets.")
    ] = DxfVersion.r2010,
    plotter: Annotated[bool, typer.Option("--plotter", help="Add one full-size PDF page a sheet.")] = False,
    words: Annotated[bool, typer.Option("--words", help="Words beside the board in each sheet's SVG.")] = False,
    cut_only: Annotated[bool, typer.Option("--cut-only", help="Nothing but the layer cut in DXF and SVG.")] = False,
    colours: Annotated[bool, typer.Option("--colours", help="A colour for each layer of DXF and SVG.")] = False,
    improve: Annotated[
        float, typer.Option("--improve", metavar="SECONDS", help="Seconds to search for a tighter layout.")
    ] = 0.0,
) -> None:
    """Check a design and write its files: sheets, prints, summaries, report."""
    from foamworks import pipeline
    from foamworks.output.sheets.look import BuildOptions

    try:
        wanted = BuildOptions(
            only=pipeline.read_only(only) if only is not None else frozenset(),
            dxf=_choice("--dxf", dxf, DxfVersion).value,
            plotter=plotter,
            words=words,
            cut_only=cut_only,
            colours=colours,
            improve=_within("--improve", improve, 86400, " seconds"),
            progress=_show_progress,
        )
        built = pipeline.build(design, _folder(out), wanted)
    except FoamworksError as fault:
        _stop(fault)
    from foamworks.output import terminal
    from foamworks.output.sheets.words import sheet_line

    data, folder = built.data, built.folder
    for text in built.laid.gained:
        _say(f"searched longer: {text}")
    if as_json:
        _print_json(data)
    else:
        print("\n".join(printable(line) for line in terminal.answer_lines(built.case, built.answer)))
        for sheet in built.laid.sheets:
            print(_wrapped(printable(sheet_line(sheet)), indent=0))
        print(f"\n{len(data['files']) + 1} files in {printable(str(folder))}")
        if built.removed:
            print(f"removed {built.removed} files of the last build")
        if any(entry["path"] == "report.html" for entry in data["files"]):
            print(f"open {printable(str(folder / 'report.html'))} in a browser")
    raise typer.Exit(pipeline.exit_status(built.case))


@app.command()
def compare(
    designs: Annotated[list[Path], typer.Argument(metavar="DESIGN...", help="Design files to set side by side.")],
    ladder: Annotated[bool, typer.Option("--ladder", help="One design's flights, one change at a time.")] = False,
    as_json: AsJson = False,
) -> None:
    """Set the studies of several designs side by side, or one design's flight ladder."""
    from foamworks import pipeline

    try:
        table, data, status = pipeline.compare(designs, ladder=ladder)
    except FoamworksError as fault:
        _stop(fault)
    if as_json:
        _print_json(data)
    else:
        _print_table(table)
    raise typer.Exit(status)


@app.command()
def mend(
    design: DesignFile,
    keep: Annotated[
        list[str] | None, typer.Option("--keep", metavar="KEY", help="A key that stays as it is; may be repeated.")
    ] = None,
    without: Annotated[str | None, typer.Option("--without", metavar="MOTOR", help="Leave this motor out.")] = None,
    write: Annotated[
        Path | None, typer.Option("--write", metavar="NEW.toml", help="Write a copy with the first package made.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Look for changes that leave less wrong: up to three packages of up to three, each tried on the whole check."""
    from foamworks import pipeline
    from foamworks.changes import mend as mending
    from foamworks.design import edit
    from foamworks.output import mended

    try:
        if write is not None:
            edit.hold_free(write)
        case = pipeline.check(design)
        found = mending.packages(case, keep=keep or (), without=without)
        if write is not None and found:
            edit.written(design, found[0].edits, write)
    except FoamworksError as fault:
        _stop(fault)
    if as_json:
        _print_json(mended.as_dict(found))
    else:
        print("\n".join(printable(line) for line in mended.lines(case, found, write)))
    raise typer.Exit(int(not found and mending.wrong(case)))


@app.command()
def watch(
    design: DesignFile,
    port: Annotated[int, typer.Option("--port", metavar="N", help="The port of the page; 0 takes a free one.")] = 0,
) -> None:
    """Show a design on a live page in your browser: each save is read, solved and judged again; nothing is written.

    The page answers to this machine only (127.0.0.1). It has the report's verdicts, pictures and numbers, without
    sheets and prints. Ctrl-C ends it (exit status 130); told to terminate, it ends with 0.
    """
    from foamworks.watch import Watch, serving

    told: list[int] = []
    signal.signal(signal.SIGTERM, lambda number, _: told.append(number))
    try:
        watched = Watch(design)
        with serving(watched, int(_within("--port", port, 65535))) as address:
            name = printable(str(design))
            print(f"{name} is live at {address} (Ctrl-C ends it): {_counts(_verdicts(watched.shown.data))}", flush=True)
            for shown in watched.readings(lambda: bool(told)):
                said = shown.fault.partition("\n")[0] if shown.fault else _counts(_verdicts(shown.data))
                print(f"read again: {printable(said)}", flush=True)
    except FoamworksError as fault:
        _stop(fault)


@app.command()
def schema() -> None:
    """Print the JSON Schema of the design file."""
    from foamworks.design.reading.schema import schema as design_schema

    _print_json(design_schema())


_COLOURS = {"fail": "red", "caution": "yellow", "unknown": "cyan", "pass": "green"}


def _print_findings(case: "Case", answer: "Answer") -> None:
    """Print verdicts first: what fails, what is marginal, what is not known; then one line of what passes."""
    from foamworks.checks.base import VERDICTS
    from foamworks.output.terminal import change_line

    print(case.name)
    findings = case.findings
    for verdict in VERDICTS[:3]:
        for finding in (f for f in findings if f.verdict == verdict):
            print(
                f"{typer.style(verdict.ljust(8), fg=_COLOURS[verdict]) if sys.stdout.isatty() else verdict.ljust(8)}"
                f" {finding.check}: {finding.subject}{finding.measure}"
            )
            print(_wrapped(finding.why))
            for change in answer.changes_of(finding):
                print(_wrapped(f"-> {change_line(change, finding)}"))
    passed = sorted({f.check for f in findings} - {f.check for f in findings if f.verdict != "pass"})
    if passed:
        print(_wrapped("pass: " + ", ".join(passed), indent=0))
    print(_counts([finding.verdict for finding in findings]))


def _counts(verdicts: Sequence[str]) -> str:
    from foamworks.checks.base import VERDICTS

    return ", ".join(f"{verdicts.count(verdict)} {verdict}" for verdict in VERDICTS)


def _verdicts(data: Mapping[str, Any]) -> list[str]:
    return [finding["verdict"] for finding in data["findings"]]


def _wrapped(text: str, indent: int = 9) -> str:
    import textwrap

    return textwrap.fill(text, width=110, initial_indent=" " * indent, subsequent_indent=" " * indent)


def _print_table(table: list[list[str]]) -> None:
    widths = [max(len(row[column]) for row in table) for column in range(len(table[0]))]
    for row in table:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def _show_progress(text: str) -> None:
    """Show progress where stderr is a terminal: somebody watches."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text}", end="" if text else "\r", file=sys.stderr, flush=True)


def main() -> None:
    """Run the command line."""
    gc.set_threshold(50_000)  # why: next to nothing here goes in circles, and looking for it is a tenth of a check
    signal.signal(signal.SIGINT, _ending)
    signal.signal(signal.SIGTERM, _ending)
    try:
        app()
    except (Exception, KeyboardInterrupt, SystemExit):
        if not _ending.asked:
            raise
        _say("stopped; nothing half-written is left")
        sys.exit(128 + _ending.asked)
