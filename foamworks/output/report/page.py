"""The report: one HTML file that opens without a network. The answer first, then flights, changes, pictures,
numbers, sheets, all findings by cause, the words.

Everything stands in the file itself: style, script, drawings and the triangles of the 3-D view. Where scripts are off
the drawings remain. The same design gives the same bytes.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from foamworks.changes.answer import Answer
from foamworks.changes.place import placed
from foamworks.changes.plain import whole
from foamworks.checks.base import VERDICTS, Finding
from foamworks.checks.case import Case
from foamworks.output import tables
from foamworks.output.keys import Row, part
from foamworks.output.report.flown import flown_table, level_logs
from foamworks.output.report.glossary import DRAWN, drawing, explained, used
from foamworks.output.report.top import first_help, flight_table, tiles
from foamworks.output.tables import Table
from foamworks.output.templates import templates
from foamworks.output.terminal import change_line, unmarked
from foamworks.output.texts import cautions
from foamworks.output.views import charts
from foamworks.output.views.bodies import Body, bodies, drawn
from foamworks.output.views.overview import overview_svg
from foamworks.output.views.placement_chart import placement_chart, section
from foamworks.output.views.side import side_svg
from foamworks.output.views.trace_picture import trace_pictures
from foamworks.study.flight.burn import Burn
from foamworks.units import km_h

STAYS = "Marginal, and no change of the design takes it away"
HERE = Path(__file__).parent
COLOURS = {"airframe": 0, "old": 1, "board": 2, "print": 3, "bought": 4, "motor": 4}  # the view has one for each


@dataclass(frozen=True)
class Report:
    """The page with what was drawn for it: the three views, and the placement map as data; empty without one."""

    page: str
    overview: str
    placement: Row


def full_report(
    case: Case, data: Mapping[str, Any], answer: Answer, sheet_svgs: Sequence[tuple[str, str]] = ()
) -> Report:
    """Make the report with its pictures; sheets as (heading, SVG), none where nothing was laid out."""
    overview, found = overview_svg(case), placed(case)
    map_of = part("map", found, lambda found: (found.words, placement_chart(case, found)))
    page = report_html(case, data, answer, overview=overview, sheet_svgs=sheet_svgs, placement=map_of.values())
    return Report(page, overview, part("placement", found, section))


def report_html(
    case: Case,
    data: Mapping[str, Any],
    answer: Answer,
    *,
    overview: str,
    sheet_svgs: Sequence[tuple[str, str]] = (),
    placement: Iterable[tuple[str, str]] = (),
) -> str:
    """Write the page. `overview` and the sheets are SVG texts; `placement`: words and SVG of a map."""
    from markupsafe import Markup

    page = templates(HERE, autoescape=True)
    page.filters["explained"] = explained
    shown, steps = scene(case), [flight.step for flight in answer.flights]
    charted = (
        *trace_pictures(case),
        ("Static margin of each state, in percent of the mean chord.", _margins(case, data)),
        ("Speed through the boost, level and in still air.", charts.speed_chart(speed_runs(case))),
        *level_logs(steps),
        *placement,
    )
    made = page.get_template("page.html").render(
        case=case,
        verdicts={verdict: [f for f in case.findings if f.verdict == verdict] for verdict in VERDICTS},
        answer=answer,
        side=Markup(side_svg(case, answer.causes)),
        flights=flight_table(answer),
        flown=flown_table(steps),
        tiles=tiles(answer, case.design),
        folded=_folded(case.findings, answer),
        help=change_line,
        first_help=first_help,
        unmarked=unmarked,
        drawn=DRAWN,
        drawing=drawing,
        overview=Markup(overview),
        data=data,
        others=_others(data),
        charts=[(whole(words), Markup(chart)) for words, chart in charted if chart],
        sheets=[(name, Markup(svg)) for name, svg in sheet_svgs],
        scene=Markup(_json(shown)) if shown["parts"] else "",
        script=Markup((HERE / "view.js").read_text(encoding="utf-8").replace("</script", "<\\/script")),
        cautions=cautions(case.design),
    )
    terms = used(made)
    words = page.get_template("words.html").render(terms=terms) if terms else ""
    return made.replace("<!-- words -->\n", words)


def _json(value: Any) -> str:
    """Write JSON that cannot end the script element it stands in."""
    text = json.dumps(value, allow_nan=False, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("&", "\\u0026")


def _folded(findings: Sequence[Finding], answer: Answer) -> list[tuple[str, list[Finding]]]:
    """Gather what does not pass: by its cause in the answer, then what no change takes away, then what is not known."""
    left = [finding for finding in findings if finding.verdict != "pass"]
    found: list[tuple[str, list[Finding]]] = []
    for cause in answer.causes:
        found.append((cause.label, list(cause.findings)))
        left = [finding for finding in left if finding not in cause.findings]
    for verdict, title in (("fail", "Fails"), ("caution", STAYS), ("unknown", "Not known")):
        found.append((title, [finding for finding in left if finding.verdict == verdict]))
    return [(title, rows) for title, rows in found if rows]


def _margins(case: Case, data: Mapping[str, Any]) -> str:
    if "balance" not in data:
        return ""
    limits = case.design.limits
    return charts.margin_chart(data["balance"]["states"], least=limits.least, first=limits.first)


def speed_runs(case: Case) -> list[tuple[str, list[float], list[float]]]:
    """Give each motor's run as (name, times [s], speeds [km/h])."""
    burn = case.study.burn
    return [
        (row.motor, row.run.path.time.tolist(), km_h(row.run.path.speed).tolist()) for row in burn.boosts if row.run
    ] + _logged(burn)


def _logged(burn: Burn) -> list[tuple[str, list[float], list[float]]]:
    """Give each logged boost as it was flown, from a second before ignition to twice its burn."""
    found = []
    for row in burn.flown:
        log = row.run.flight.log
        if log and row.run.lit:
            start, end = log.boost.ignition, log.boost.ignition + 2 * log.boost.burn + 1.0
            kept = [(t - start, km_h(v)) for t, v in zip(log.time, log.speed, strict=True) if start <= t <= end]
            found.append((f"{row.run.name}, as flown", [t for t, _ in kept], [v for _, v in kept]))
    return found


# what `sections.html` shows in its own words, or what is shown elsewhere on the page
OWN = {
    "design", "fins", "balance", "thrust_line", "boost", "power", "strength", "ignition", "nose", "reference", "aero",
    "gyro", "parts", "sheets", "files", "findings", "cuts", "answer",
}  # fmt: skip
TITLES = {
    "lateral": "Sideways motion",
    "tolerance": "How sure the verdicts are",
    "holds": "Share of the samples, each with its own measuring errors, in which a check holds",
    "matters": "What is worth measuring better, and its share in the scatter",
    "inertia": "Moments of inertia",
    "parts": "What each part drags",
    "flights": "Flights",
}


def _others(data: Mapping[str, Any]) -> list[tuple[str, list[Table]]]:
    """Give whatever else the summary holds, in plain tables: numbers of the study that have no words of their own."""
    found = []
    for key, value in data.items():
        if key in OWN or not value:
            continue
        title = TITLES.get(key, key.replace("_", " ").capitalize())
        if tables.of_rows(value):
            found.append((title, [tables.listing(title, tables.flat(value))]))
        elif isinstance(value, Mapping):
            lists = {TITLES.get(k, k.replace("_", " ")): v for k, v in value.items() if tables.of_rows(v)}
            inner = [tables.listing(words, tables.flat(rows)) for words, rows in lists.items()]
            plain = tables.pairs(title, value)
            found.append((title, [plain, *inner] if plain.rows else inner))
    return found


def scene(case: Case) -> Row:
    """Give the bodies of the 3-D view, each with name, colour, whether it shows at first, vertices and triangles [mm].

    The numbers are whole tenths of a millimetre, so that the page stays small.
    """
    return {"parts": [_body(body) for body in bodies(case)]}


def _body(body: Body) -> Row:
    made = drawn(body)
    return {
        "name": body.name,
        "group": COLOURS[body.kind],
        "shown": body.shown,
        "v": np.rint(10 * made.vertices).astype(int).ravel().tolist(),
        "f": made.triangles.ravel().tolist(),
    }
