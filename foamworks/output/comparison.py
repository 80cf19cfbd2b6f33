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


# one row of the side-by-side table: label, key in the data, decimals, how to read it from the summary
Line = tuple[str, str, int, Callable[[Row], Any]]


def _worst(rows: list[Row], key: str, choose: Callable[..., Any]) -> Any:
    values = [row[key] for row in rows if row.get(key) is not None]
    return choose(values) if values else None


def _states(data: Row) -> list[Row]:
    rows: list[Row] = data.get("balance", {}).get("states", [])
    return rows


def _line(data: Row) -> list[Row]:
    rows: list[Row] = data.get("thrust_line", {}).get("states", [])
    return rows


def _pitch(data: Row) -> list[Row]:
    """Give what `check` says of each motor's pitch change: built a little off, not as drawn."""
    return [finding for finding in data["findings"] if finding["check"] == "pitch-change"]


def _largest(values: list[float]) -> float:
    return max(values, key=abs)


def _worst_state(data: Row) -> str | None:
    rows = [row for row in _states(data) if row["static_margin"] is not None]
    return min(rows, key=lambda row: row["static_margin"])["name"] if rows else None


@where_given
def _mass(data: Row, kind: str) -> float:
    rows = [row for row in data["parts"] if row["kind"] == kind and row["x_mm"] is not None]
    return math.fsum(row["count"] * given(row["mass_g"]) for row in given(rows or None))


LINES: tuple[Line, ...] = (
    ("fin area, all mm2", "fin_area_mm2", 0, lambda d: d.get("fins", {}).get("twin", {}).get("area_mm2")),
    ("yaw stiffness per rad", "yaw_stiffness_per_rad", 4, lambda d: d.get("aero", {}).get("yaw_stiffness_per_rad")),
    ("neutral point mm", "neutral_point_x_mm", 1, lambda d: d.get("aero", {}).get("neutral_point_x_mm")),
    ("battery at mm", "battery_x_mm", 1, lambda d: d.get("balance", {}).get("battery_x_mm")),
    ("ballast g", "ballast_g", 0, lambda d: d.get("balance", {}).get("ballast_g")),
    ("heaviest g", "heaviest_g", 0, lambda d: _worst(_states(d), "mass_g", max)),
    ("least static margin", "least_static_margin", 3, lambda d: _worst(_states(d), "static_margin", min)),
    ("in the state", "least_margin_state", 0, _worst_state),
    ("fastest landing km/h", "landing_speed_km_h", 1, lambda d: _worst(_states(d), "landing_speed_km_h", max)),
    ("downthrust deg", "downthrust_deg", 1, lambda d: d.get("thrust_line", {}).get("downthrust_deg")),
    ("worst moment N m", "worst_moment_N_m", 2, lambda d: _worst(_line(d), "moment_N_m", _largest)),
    ("worst pitch change deg", "worst_pitch_change_deg", 0, lambda d: _worst(_pitch(d), "value", _largest)),
    ("speeds rest on", "rests_on", 0, lambda d: d.get("drag", {}).get("source")),
    ("level speed km/h", "level_speed_km_h", 0, lambda d: d.get("power", {}).get("level_speed_km_h")),
    ("current A", "current_A", 0, lambda d: d.get("power", {}).get("current_A")),
    ("full throttle s", "flight_time_s", 0, lambda d: d.get("power", {}).get("flight_time_s")),
    ("fastest boost km/h", "peak_km_h", 0, lambda d: _worst(d.get("boost", []), "peak_km_h", max)),
    ("flutter speed km/h", "flutter_speed_km_h", 0, lambda d: d.get("strength", {}).get("flutter_speed_km_h")),
    ("board parts g", "board_parts_g", 0, lambda d: _mass(d, "board")),
    ("printed parts g", "printed_parts_g", 0, lambda d: _mass(d, "print")),
    *(
        (verdict, f"findings_{verdict}", 0, lambda d, v=verdict: sum(f["verdict"] == v for f in d["findings"]))
        for verdict in VERDICTS
    ),
)


# the same of what the numbers rest on, read from the case: measured, typed from a label, or estimated
Basis = tuple[str, str, Callable[[Case], str | None]]


@where_given
def _masses_rest_on(case: Case) -> str:
    given(case.study.balance)
    parts = [part for part in case.parts.all() if math.isfinite(part.mass_g)]
    names = {entry.part for entry in case.design.weighed}
    states = names - {part.name for part in case.parts.all()}
    weighed = sum(part.name in names for part in parts)
    whole = f", {len(states)} weighed whole" if states else ""
    return f"the stock model's mass as typed; {weighed} of {len(parts)} parts weighed{whole}, the others estimated"


@where_given
def _cg_rests_on(case: Case) -> str:
    cg = given(case.design.airframe.cg)
    along = "its place as typed" if cg.by_x else "two supports and a scale"
    return f"{along}; its height {'not measured' if not_measured(cg.z) else 'typed'}"


@where_given
def _thrust_rests_on(case: Case) -> str:
    unit = given(case.design.airframe.fan)
    pull = f"static thrust of {said(given(unit.thrust), 'N', 1)} as typed"
    return pull if not_measured(unit.volts) else f"{pull}, measured at {said(unit.volts, 'V', 1)}"


def _motors_rest_on(case: Case) -> str | None:
    told = (f"{m.name}: {'thrust curve' if m.curve is not None else 'data sheet'}" for m in case.design.motors)
    return "; ".join(told) or None


BASES: tuple[Basis, ...] = (
    ("masses rest on", "masses_rest_on", _masses_rest_on),
    ("balance rests on", "balance_rests_on", _cg_rests_on),
    ("fan rests on", "fan_rests_on", _thrust_rests_on),
    ("boosts rest on", "boosts_rest_on", _motors_rest_on),
)


def side_by_side(cases: list[Case]) -> tuple[Table, Row]:
    """Give the studies of several designs, one column each; a line that none of them has is left out."""
    found = [as_dict(case) for case in cases]
    rows = [
        {key: read(data) for _, key, _, read in LINES} | {key: basis(case) for _, key, basis in BASES}
        for data, case in zip(found, cases, strict=True)
    ]
    table = [["", *_headings(cases)]]
    shown = [(label, key, decimals) for label, key, decimals, _ in LINES]
    for label, key, decimals in [*shown, *((label, key, 0) for label, key, _ in BASES)]:
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
