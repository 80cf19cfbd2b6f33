"""The report: one HTML file that opens without a network. Verdicts first, then pictures, tables, charts, sheets.

Everything stands in the file itself: style, script, drawings and the triangles of the 3-D view. Where scripts are off
the drawings remain. The same design gives the same bytes.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from foamworks.checks.base import VERDICTS, Finding
from foamworks.checks.case import Case
from foamworks.output import charts, tables
from foamworks.output.keys import Row
from foamworks.output.placement_chart import found_map, placement_chart
from foamworks.output.report.scene import scene
from foamworks.output.tables import Table
from foamworks.output.texts import cautions
from foamworks.output.trace_picture import trace_pictures
from foamworks.output.views.overview import overview_svg
from foamworks.study.placement import PlacementMap, best_place
from foamworks.units import km_h, number, said, with_unit

HERE = Path(__file__).parent
LEADS = {
    "fail": "Does not work as it stands: change it before anything is cut.",
    "caution": "Works, with little to spare.",
    "unknown": "One more measurement would answer it.",
    "pass": "Checked and within its limit.",
}


@dataclass(frozen=True)
class Report:
    """The page with what was drawn for it: the three views and the placement map, None without one."""

    page: str
    overview: str | None
    placed: PlacementMap | None


def full_report(case: Case, data: Mapping[str, Any], sheet_svgs: Sequence[tuple[str, str]] = ()) -> Report:
    """Make the report with its pictures; sheets as (heading, SVG), none where nothing was laid out."""
    overview, placed = overview_svg(case), found_map(case)
    shown = (best_place(placed).words, placement_chart(case, placed)) if placed is not None else ("", "")
    return Report(report_html(case, data, overview=overview, sheet_svgs=sheet_svgs, placement=shown), overview, placed)


def report_html(
    case: Case,
    data: Mapping[str, Any],
    *,
    overview: str | None,
    sheet_svgs: Sequence[tuple[str, str]] = (),
    mesh: Mapping[str, Any] | None = None,
    placement: tuple[str, str] = ("", ""),
) -> str:
    """Write the page. `overview` and the sheets are SVG texts; `mesh` is what `scene` gives, made here without one.

    `placement`: words and SVG of the placement map, empty without one.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    loader = FileSystemLoader(HERE)
    page = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    shown = mesh if mesh is not None else scene(case)
    charted = (
        *trace_pictures(case),
        ("Static margin of each state, in mean chords.", _margins(case, data)),
        ("Speed through the boost, level and in still air.", charts.speed_chart(speed_runs(case))),
        placement,
    )
    return page.get_template("page.html").render(
        name=case.name,
        file=case.file,
        notes=case.design.notes or "",
        verdicts=_verdicts(case.findings),
        overview=Markup(overview) if overview else "",
        sections=_sections(case, data),
        axes=case.design.airframe is not None or case.design.pod is not None,
        charts=[(words, Markup(chart)) for words, chart in charted if chart],
        sheets=[(name, Markup(svg)) for name, svg in sheet_svgs],
        scene=Markup(_json(shown)) if shown else "",
        script=Markup(_script(HERE / "view.js")),
        cautions=cautions(case.design),
    )


def _json(value: Any) -> str:
    """Write JSON that cannot end the script element it stands in."""
    text = json.dumps(value, allow_nan=False, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("&", "\\u0026")


def _script(path: Path) -> str:
    return path.read_text(encoding="utf-8").replace("</script", "<\\/script")


def _verdicts(findings: Sequence[Finding]) -> list[Row]:
    """Give the findings by verdict, worst first."""
    return [
        {"verdict": verdict, "lead": LEADS[verdict], "rows": [f for f in findings if f.verdict == verdict]}
        for verdict in VERDICTS
    ]


def _margins(case: Case, data: Mapping[str, Any]) -> str:
    if "balance" not in data:
        return ""
    limits = case.design.limits
    return charts.margin_chart(data["balance"]["states"], least=limits.least, first=limits.first)


def speed_runs(case: Case) -> list[tuple[str, list[float], list[float]]]:
    """Give each motor's run as (name, times [s], speeds [km/h])."""
    burn = case.study.burn
    return [
        (row.motor, row.run.path.time.tolist(), km_h(row.run.path.speed).tolist())
        for row in (burn.boosts if burn is not None else ())
        if row.run is not None
    ]


Section = tuple[str, str, list[Table]]


def _sections(case: Case, data: Mapping[str, Any]) -> list[Section]:
    """Give the tables in the order of the page: heading, a line of words, tables. What is absent is left out."""
    found: list[Section] = []
    if "fins" in data:
        found.append(_fins(data))
    if "balance" in data:
        found.append(_balance(data["balance"], data))
    if "thrust_line" in data:
        line = data["thrust_line"]
        words = f"Downthrust {with_unit(line['downthrust_deg'], 'deg', 1)}, {_held(case, line['limited_by'])}. "
        words += "The arm is the line's distance above the centre of gravity; nose up is positive."
        found.append(("Thrust line", words, [tables.listing("Thrust line", line["states"])] if line["states"] else []))
    if data.get("boost"):
        found.append(("Boost", tables.boost_words(data), [tables.turned("Boost", data["boost"], "motor")]))
    for key, title in FLAT.items():
        if key in data:
            found.append((title, "", [tables.pairs(title, data[key])]))
    if data.get("gyro", {}).get("table"):
        words = "The gain that just does not wag falls with the square of the speed; lowest for the boost. "
        words += "In the burn: a speed that only a motor reaches."
        found.append(("Gyro gain by speed", words, [tables.listing("Gyro gain by speed", data["gyro"]["table"])]))
    found += _others(data)
    parts = tables.parts(data)
    if parts is not None:
        placed = any(row["x_mm"] is not None for row in data["parts"])
        where = "; x and z where it sits, bench for what stays there" if placed else ""
        found.append(("Parts", f"Mass of one piece{where}.", [parts]))
    if data.get("sheets"):
        found.append(("Sheets of board", "", [tables.sheets(data), tables.counts(data)]))
    return found


def _held(case: Case, limited_by: str | None) -> str:
    """Say what held the downthrust: the design, which gives an angle, or what bounded the search for the best one."""
    pod = case.asked.pod
    if pod is not None and pod.downthrust != "auto":
        return "as the design gives it"
    return f"limited by {BOUNDS.get(limited_by or '', 'something not known')}"


FLAT = {
    "power": "Power",
    "strength": "Strength",
    "ignition": "Ignition",
    "nose": "Nose cone",
    "reference": "Reference wing",
    "aero": "Aerodynamics",
}
BOUNDS = {"nothing": "nothing", "fit": "the fuselage's back", "limit": "your downthrust_limit"}
TITLES = {
    "lateral": "Sideways motion",
    "tolerance": "How sure the verdicts are",
    "holds": "Share of the samples, each with its own measuring errors, in which a check holds",
    "matters": "What is worth measuring better, and its share in the scatter",
    "inertia": "Moments of inertia",
    "parts": "Parts",
    "flights": "Flights",
}
SPECIAL = {
    "design",
    "fins",
    "balance",
    "thrust_line",
    "boost",
    "gyro",
    "parts",
    "sheets",
    "files",
    "findings",
    "cuts",
    *FLAT,
}


def _others(data: Mapping[str, Any]) -> list[Section]:
    """Give whatever else the summary holds, in plain tables: numbers of the study that have no section of their own."""
    found: list[Section] = []
    for key, value in data.items():
        if key in SPECIAL or not value:
            continue
        title = TITLES.get(key, key.replace("_", " ").capitalize())
        if isinstance(value, list) and isinstance(value[0], Mapping):
            found.append((title, "", [tables.listing(title, tables.flat(value))]))
        elif isinstance(value, Mapping):
            inner = [
                tables.listing(TITLES.get(k, k.replace("_", " ")), tables.flat(v)) for k, v in value.items() if _rows(v)
            ]
            flat = tables.pairs(title, value)
            found.append((title, "", ([flat] if flat.rows else []) + inner))
    return found


def _rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _fins(data: Mapping[str, Any]) -> Section:
    fins = data["fins"]
    made = [tables.fin_sets(data)] if "original" in fins or "twin" in fins else []
    each = fins.get("twin", {}).get("each")
    if each:
        made.append(tables.pairs("One new fin", each))
    ratio = fins.get("same_area_yaw_stiffness_ratio")
    words = (
        ""
        if ratio is None
        else f'"The same area" would have given {said(ratio, "%", 1)} of the original\'s yaw stiffness.'
    )
    return "Fins", words, made


def _balance(balance: Mapping[str, Any], data: Mapping[str, Any]) -> Section:
    forward, aft = balance["window_x_mm"]
    battery, ballast = with_unit(balance["battery_x_mm"], "mm", 1), with_unit(balance["ballast_g"], "g", 0)
    words = f"Battery at x {battery}, ballast {ballast}. "
    words += f"The centre of gravity may lie between x {number(forward, 1)} and {number(aft, 1)} mm."
    return "Balance", words, [tables.states(data)]
