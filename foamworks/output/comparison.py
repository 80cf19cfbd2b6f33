"""Several designs side by side, or one design's flight ladder: a table of texts, header first, and the same as data."""

import math
from collections.abc import Callable
from typing import Any

from foamworks.changes.flights import FlightAnswer, flights
from foamworks.checks.base import VERDICTS
from foamworks.checks.case import Case
from foamworks.errors import given, not_measured, printable, where_given
from foamworks.output.keys import Row, plain, told, told_of
from foamworks.output.summary import as_dict
from foamworks.units import percent, said

DASH = "-"  # stands where nothing is known
Table = list[list[str]]

# columns of the ladder: head, key in the data, decimals
LADDER = (
    ("mass g", "mass_g", 0), ("CG x mm", "cg_x_mm", 1), ("battery mm", "battery_x_mm", 0), ("lead g", "ballast_g", 0),
    ("margin %", "static_margin", 1), ("gyro %", "gyro_gain", 0), ("landing km/h", "landing_speed_km_h", 1),
    ("level km/h", "level_km_h", 0), ("band", "level_band_km_h", 0), ("peak km/h", "peak_km_h", 0),
    ("band", "peak_band_km_h", 0), ("predicted", "predicted_km_h", 0), ("flown km/h", "flown_km_h", 0),
)  # fmt: skip


def ladder(case: Case) -> tuple[Table, Row]:
    """Give one design's flights, one change at a time, predicted against flown."""
    rows = [_ladder_row(flight) for flight in flights(case)]
    heads = ["flight", *(head for head, *_ in LADDER), "difference", "predicted from", "cleared"]
    table = [heads, *([_ladder_texts(row) for row in rows])] if rows else [["no flights: no [airframe] is given"]]
    data = {"design": {"name": case.name, "file": case.file}, "ladder": rows}
    tidy: Row = plain(data)
    return table, tidy


def _ladder_row(flight: FlightAnswer) -> Row:
    step, now = flight.step, flight.step.now
    placed = ("mass_g", "cg_x_mm", "cg_z_mm", "battery_x_mm", "ballast_g")
    data = told_of(step, flight="rung.name", rung="rung.name") | told_of(step.rung.lit, motor="name")
    data |= told_of(step, *placed, camera_dead_mass_g="stand_in")
    data |= told_of(step, "static_margin", "gyro_gain", landing_speed_km_h="landing", elevator_deg="elevator")
    data |= told_of(now, "level_km_h", "level_band_km_h")
    data |= told(peak_km_h=now.speed(lit=True), peak_band_km_h=now.band(lit=True))
    data |= told_of(now.climbing, peak_climbing_30_deg_km_h="peak") | told_of(now, rests_on="basis")
    data |= told_of(step, "predicted_km_h", predicted_band_km_h="predicted_band", predicted_from="before.basis")
    data |= told_of(step.flight, flown_in="label") | told_of(step, "flown_km_h")
    data |= told_of(step, flown_less_predicted_km_h="difference", speed_km_h="speed", outside="holds")
    return data | {"held": not step.cleared} | told_of(flight, "cleared", "because")


def _ladder_texts(row: Row) -> list[str]:
    difference, shown = row["flown_less_predicted_km_h"], row | {"static_margin": percent(row["static_margin"])}
    return [
        row["flight"],
        *(_text(shown[key], decimals) for _, key, decimals in LADDER),
        (f"{difference:+.0f}" if math.isfinite(difference) else DASH) + (" outside its band" if row["outside"] else ""),
        row["predicted_from"],
        "yes" if row["cleared"] else f"no: {row['because']}",
    ]


Reading = Callable[[Case, Row], Any]  # how a line of the table is read from case and summary


def _at(where: str, choose: Callable[..., Any] = max) -> Reading:
    """Read what stands at a place of the summary, "balance.states.mass_g"; of a list the chosen one."""

    def read(_: Case, data: Row) -> Any:
        found: list[Any] = [data]
        for key in where.split("."):
            rows = [row for entry in found for row in (entry if isinstance(entry, list) else [entry])]
            found = [row[key] for row in rows if row.get(key) is not None]
        return choose(found) if found else None

    return read


def _farthest(values: list[float]) -> float:
    return max(values, key=abs)


def _worst_pitch(case: Case, data: Row) -> Any:
    """Give what `check` says of each motor's pitch change: built a little off, not as drawn."""
    rows = [row for row in data["findings"] if row["check"] == "pitch-change"]
    return _at("rows.value", _farthest)(case, {"rows": rows})


@where_given
def _yaw_stiffness(case: Case, _: Row) -> float:
    """Give it about the wing's quarter-chord point, as the fins' page and finding do [1/rad]."""
    wing = given(case.study.wing)
    return given(case.study.aero).modified.yaw_stiffness(wing.quarter_mac_x, 0.0)


def _worst_state(_: Case, data: Row) -> Any:
    rows = [row for row in data.get("balance", {}).get("states", []) if row["static_margin"] is not None]
    return min(rows, key=lambda row: row["static_margin"], default={"name": None})["name"]


def _mass(kind: str) -> Reading:
    @where_given
    def read(_: Case, data: Row) -> float:
        rows = [row for row in data["parts"] if row["kind"] == kind and row["x_mm"] is not None]
        return math.fsum(row["count"] * given(row["mass_g"]) for row in given(rows or None))

    return read


@where_given
def _masses_rest_on(case: Case, _: Row) -> str:
    given(case.study.balance)
    parts = [part for part in case.parts.all() if math.isfinite(part.mass_g)]
    names = {entry.part for entry in case.design.weighed}
    states = names - {part.name for part in case.parts.all()}
    weighed = sum(part.name in names for part in parts)
    whole = f", {len(states)} weighed whole" if states else ""
    return f"the stock model's mass as typed; {weighed} of {len(parts)} parts weighed{whole}, the others estimated"


@where_given
def _cg_rests_on(case: Case, _: Row) -> str:
    cg = given(case.design.airframe.cg)
    along = "its place as typed" if cg.by_x else "two supports and a scale"
    return f"{along}; its height {'not measured' if not_measured(cg.z) else 'typed'}"


@where_given
def _thrust_rests_on(case: Case, _: Row) -> str:
    unit = given(case.design.airframe.fan)
    pull = f"static thrust of {said(given(unit.thrust), 'N', 1)} as typed"
    return pull if not_measured(unit.volts) else f"{pull}, measured at {said(unit.volts, 'V', 1)}"


def _motors_rest_on(case: Case, _: Row) -> str | None:
    told = (f"{m.name}: {'thrust curve' if m.curve is not None else 'data sheet'}" for m in case.design.motors)
    return "; ".join(told) or None


# label, key in the data, decimals, how it is read; the last ones say what the numbers rest on
LINES: tuple[tuple[str, str, int, Reading], ...] = (
    ("fin area, all mm2", "fin_area_mm2", 0, _at("fins.twin.area_mm2")),
    ("yaw stiffness per rad", "yaw_stiffness_per_rad", 4, _yaw_stiffness),
    ("neutral point mm", "neutral_point_flown_x_mm", 1, _at("aero.neutral_point_flown_x_mm")),
    ("battery at mm", "battery_x_mm", 1, _at("balance.battery_x_mm")),
    ("ballast g", "ballast_g", 0, _at("balance.ballast_g")),
    ("heaviest g", "heaviest_g", 0, _at("balance.states.mass_g")),
    ("least static margin", "least_static_margin", 3, _at("balance.states.static_margin", min)),
    ("in the state", "least_margin_state", 0, _worst_state),
    ("fastest landing km/h", "landing_speed_km_h", 1, _at("balance.states.landing_speed_km_h")),
    ("downthrust deg", "downthrust_deg", 1, _at("thrust_line.downthrust_deg")),
    ("worst moment N m", "worst_moment_N_m", 2, _at("thrust_line.states.moment_N_m", _farthest)),
    ("worst pitch change deg", "worst_pitch_change_deg", 0, _worst_pitch),
    ("speeds rest on", "rests_on", 0, _at("drag.source")),
    ("level speed km/h", "level_speed_km_h", 0, _at("power.level_speed_km_h")),
    ("current A", "current_A", 0, _at("power.current_A")),
    ("full throttle s", "flight_time_s", 0, _at("power.flight_time_s")),
    ("fastest boost km/h", "peak_km_h", 0, _at("boost.peak_km_h")),
    ("flutter speed km/h", "flutter_speed_km_h", 0, _at("strength.flutter_speed_km_h")),
    ("board parts g", "board_parts_g", 0, _mass("board")),
    ("printed parts g", "printed_parts_g", 0, _mass("print")),
    *(
        (verdict, f"findings_{verdict}", 0, lambda _, d, v=verdict: sum(f["verdict"] == v for f in d["findings"]))
        for verdict in VERDICTS
    ),
    ("masses rest on", "masses_rest_on", 0, _masses_rest_on),
    ("balance rests on", "balance_rests_on", 0, _cg_rests_on),
    ("fan rests on", "fan_rests_on", 0, _thrust_rests_on),
    ("boosts rest on", "boosts_rest_on", 0, _motors_rest_on),
)


def side_by_side(cases: list[Case]) -> tuple[Table, Row]:
    """Give the studies of several designs, one column each; a line that none of them has is left out."""
    found = [as_dict(case) for case in cases]
    rows = [{key: read(case, data) for _, key, _, read in LINES} for data, case in zip(found, cases, strict=True)]
    table = [["", *_headings(cases)]]
    for label, key, decimals, _ in LINES:
        texts = [_text(row[key], decimals) for row in rows]
        if texts.count(DASH) < len(texts):
            table.append([label, *texts])
    data = {"designs": [{"design": data["design"], **row} for data, row in zip(found, rows, strict=True)]}
    tidy: Row = plain(data)
    return table, tidy


def _headings(cases: list[Case]) -> list[str]:
    """Head each column by the design's name; by its file where names are alike, by its path where files are too."""
    ways = [[case.name for case in cases], [case.file for case in cases], [printable(str(case.path)) for case in cases]]
    return [next((way[n] for way in ways if way.count(way[n]) == 1), ways[-1][n]) for n in range(len(cases))]


def _text(value: Any, decimals: int) -> str:
    if isinstance(value, list):
        return f"{value[0]:.0f} to {value[1]:.0f}" if math.isfinite(value[0]) else DASH
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return DASH
    return str(value) if isinstance(value, str) else f"{value:.{decimals}f}"
