"""What was typed and can hardly be so: a size, a mass, a name, a template's numbers, an empty pod."""

import difflib
from collections.abc import Iterator

from foamworks.checks.base import MEMORY, OURS, Finding, Proposal, collected, given
from foamworks.checks.case import Case
from foamworks.checks.flight.heat import WORKING, working_temperature
from foamworks.checks.records import record
from foamworks.design.edit import Edit, blank, entry_key
from foamworks.design.workshop import Filament
from foamworks.errors import not_measured
from foamworks.parts.density import stuff
from foamworks.units import grams, mm, said

WALL = record("plausible", of="wall")
TUBE = record("plausible", of="tube")
CHORD = record("plausible", of="chord")
FILAMENT = record("plausible", of="filament")
BOARD = record("plausible", of="board")
TEMPLATE = record("untouched-template")
ITEM = record("item-stays")
MADE = record("nothing-made")

NEAR_NAME = 0.7  # PEGT is 0.75 of PETG; shorter slips are other words (ours)
MOST_NAMED = 4  # keys in one text
THIN_TUBE = 0.25e-3  # m: the thinnest paper tubes sold have walls of 0.33 mm (from memory)
BLUNT = 1 / 3  # of the tube's diameter: a nose shorter than that is a lid (ours)
# kg/m3: paper-faced foam has 60 to 130, balsa 100 to 250, plywood 500 to 700; lighter than 15 is no board (from memory)
LIGHTEST, HEAVIEST_FOAM, HEAVIEST = 15.0, 250.0, 1500.0


def findings(case: Case) -> list[Finding]:
    """Find what can hardly be as it was typed; nothing where all is plausible."""
    return collected(case, _template, _chord, _filament, _wall, _lid, _tube, _made, _boards, _items)


def _template(case: Case) -> Iterator[Finding]:
    """Say which numbers nobody measured: they are still those of the file that `new` wrote."""
    found = case.asked.untouched
    if not found.keys:
        return
    named = ", ".join(found.keys[:MOST_NAMED]) + (" and so on" if len(found.keys) > MOST_NAMED else "")
    many = len(found.keys)
    yield TEMPLATE.finding("caution", "design", value=many, limit=0, of_all=found.of, named=named)


def _chord(case: Case) -> Iterator[Finding]:
    """Ask for a wing's chord that is longer than its span: a digit too many."""
    wing = given(case.asked.airframe.wing)
    span = 2 * wing.stations[-1].y
    chord, number = max((station.chord, n) for n, station in enumerate(wing.stations, start=1))
    if chord > span:
        yield CHORD.finding("caution", "wing", of="chord", value=chord, limit=span, number=number)


def _filament(case: Case) -> Iterator[Finding]:
    """Ask for a filament that nobody knows and that is written nearly as one that is known."""
    name = given(case.asked.printer).filament.name
    alike = [known for known in WORKING if len(known) == len(name)]  # why: PVA is a filament, and no PA
    near = difflib.get_close_matches(name.upper(), alike, n=1, cutoff=NEAR_NAME)
    if not_measured(working_temperature(name)) and near:
        yield FILAMENT.finding(
            "caution",
            "printer.filament.name",
            why=f'"{name}" is no filament known here: is it {near[0]}',
            cure=Proposal(f"where it is {near[0]}, type it so", "set", (Edit("printer.filament.name", near[0]),)),
        )


def _items(case: Case) -> Iterator[Finding]:
    """Say that an item which stays where it is moves nothing: it is in the model's mass already."""
    airframe = case.asked.airframe
    for item in airframe.items:
        if not item.to:
            yield ITEM.passes(item.name, mass=said(item.mass, "g"))


def _tube(case: Case) -> Iterator[Finding]:
    tube = given(case.asked.pod).tube
    inner, outer = given(tube.inner), tube.outer
    wall = (outer - inner) / 2
    if wall < THIN_TUBE:
        yield TUBE.finding(
            "fail",
            "pod.tube",
            of="tube",
            value=wall,
            limit=THIN_TUBE,
            inner=said(inner, "mm"),
            outer=said(outer, "mm"),
            source=f"thin tubes have 0.33 mm: {MEMORY}",
        )


def _made(case: Case) -> Iterator[Finding]:
    given(case.asked.pod)
    if not case.parts.prints and not case.parts.boards:
        yield MADE.unknown("pod")


def _wall(case: Case) -> Iterator[Finding]:
    nose, printer = given(given(case.asked.pod).nose), case.asked.printer
    line = (printer.filament if printer else Filament()).nozzle
    if nose.wall < line:
        yield WALL.finding(
            "fail",
            "pod.nose.wall",
            value=nose.wall,
            limit=line,
            why=f"a wall of {said(nose.wall, 'mm')} is thinner than one line of a {said(line, 'mm')} nozzle: it is not "
            "printed",
            cure=Proposal(
                "make the wall two lines thick",
                "set",
                (Edit("pod.nose.wall", round(mm(2 * line), 2), "mm"),),
            ),
        )


def _lid(case: Case) -> Iterator[Finding]:
    pod = given(case.asked.pod)
    nose, least = given(pod.nose), BLUNT * pod.tube.outer
    if nose.length < least:
        yield WALL.finding(
            "caution",
            "pod.nose.length",
            of="lid",
            value=nose.length,
            limit=least,
            nose=said(nose.length, "mm"),
            tube=said(pod.tube.outer, "mm"),
        )


def _boards(case: Case) -> Iterator[Finding]:
    for board in case.asked.boards:
        found, key = stuff(board), f"{entry_key('boards', board.name)}.mass"
        density = grams.si(found.per_square_metre) / board.thickness
        if not found.measured or LIGHTEST <= density <= HEAVIEST_FOAM:
            continue
        cannot = not LIGHTEST <= density <= HEAVIEST
        yield BOARD.finding(
            "fail" if cannot else "caution",
            board.name,
            of="board" if cannot else "plywood",
            value=density,
            limit=LIGHTEST if density < LIGHTEST else HEAVIEST_FOAM,
            sheet=found.per_square_metre,
            typed=blank(key),
            source=f"densities: {MEMORY}; limits: {OURS}",
        )
