"""What the overview marks on the aircraft: centres of gravity, window, neutral point, thrust line, loads. Millimetres.

Places are (x aft, z up) of the side view; a height that was not measured is drawn on the reference line, z = 0.
"""

import math
from dataclasses import dataclass

from foamworks.aircraft.balance import StateRow
from foamworks.checks.case import Case
from foamworks.errors import not_measured
from foamworks.output.views.drawing import Pt
from foamworks.units import first_measured, grams, mm, number, said

SAME = 0.05  # mm: states nearer than this share one dot
BEYOND = 60.0  # mm that the thrust line is drawn past the foremost centre of gravity


@dataclass(frozen=True)
class Spot:
    """A dot, or a limit of the balance, with a label: where, what it says, how it is drawn."""

    at: Pt
    label: str
    style: str


@dataclass(frozen=True)
class Ray:
    """The booster's line, side view: nozzle, forward end, and the arm from a known centre of gravity to its foot."""

    nozzle: Pt
    end: Pt
    arm: tuple[Pt, ...]
    label: str


def state_rows(case: Case) -> list[StateRow]:
    """Give the states whose place along x is known."""
    balance = case.study.balance
    return [row for row in balance.rows if math.isfinite(row.cg_x)] if balance else []


def place(row: StateRow) -> Pt:
    """Give a state's centre of gravity (x, z)."""
    return mm(row.cg_x), mm(row.cg_z) if math.isfinite(row.cg_z) else 0.0


def cg_spots(case: Case) -> list[Spot]:
    """Give the dots of the states; states that share a place share a dot, its label lists their numbers."""
    dots: dict[Pt, list[str]] = {}
    for count, row in enumerate(state_rows(case), start=1):
        at = place(row)
        spot = next((spot for spot in dots if math.dist(spot, at) < SAME), at)
        dots.setdefault(spot, []).append(str(count))
    return [Spot(at, ",".join(numbers), "ow-cg") for at, numbers in dots.items()]


def load_spots(case: Case) -> list[Spot]:
    """Give battery, ballast, ignition pack and what was moved."""
    design, balance = case.design, case.study.balance
    airframe, found = design.airframe, []
    battery = airframe.battery
    x = first_measured(balance.battery_x if balance else math.nan, battery.x if battery else math.nan)
    if battery and math.isfinite(x):
        mass = "" if not_measured(battery.mass) else f" {said(battery.mass, 'g', 0)}"
        found.append(Spot((mm(x), mm(first_measured(battery.z, 0.0))), f"battery{mass}", "ow-load"))
    for part in case.parts.bought:
        if part.group in {"ballast", "ignition pack"} and part.x_mm is not None and part.mass_g > 0:
            found.append(Spot((part.x_mm, part.z_mm or 0.0), f"{part.name} {number(part.mass_g, 0)} g", "ow-load"))
    for item in airframe.items:
        if item.to is not None:
            found.append(Spot((mm(item.to.x), mm(item.to.z)), item.name, "ow-load"))
    return found


def limits(case: Case) -> list[Spot]:
    """Give forward limit, aft limit and neutral point on the reference line, as far as known."""
    found: list[tuple[float, str, str]] = []
    balance, aero = case.study.balance, case.study.aero
    if balance:
        window = balance.window
        if math.isfinite(window.forward):
            found.append((mm(window.forward), "forward limit", "ow-limit"))
        found.append((mm(window.aft), "aft limit", "ow-limit"))
    if aero is not None:
        found.append((mm(aero.modified.neutral_point_flown), "neutral point", "ow-neutral"))
    return [Spot((x, 0.0), f"{words} {number(x, 1)}", style) for x, words, style in found]


def thrust_rays(case: Case) -> list[Ray]:
    """Give the booster's line, if any, to just ahead of the centres of gravity, and the arm of the worst moment."""
    line, pod = case.study.thrust_line, case.design.standing
    if not (line and pod):
        return []
    nozzle = (mm(pod.x), mm(pod.z))
    cos, sin = math.cos(line.downthrust), math.sin(line.downthrust)
    known = [row for row in line.rows if math.isfinite(row.cg_x) and math.isfinite(row.cg_z)]
    front = min([mm(row.cg_x) for row in known], default=nozzle[0] - 300.0) - BEYOND
    length = max((nozzle[0] - front) / cos, 50.0)
    end = (nozzle[0] - length * cos, nozzle[1] - length * sin)
    label = f"thrust line, {said(line.downthrust, 'deg', 1)} down"
    if not known:
        return [Ray(nozzle, end, (), label)]
    worst = max(known, key=lambda row: abs(row.moment))
    cg = (mm(worst.cg_x), mm(worst.cg_z))
    foot = (cg[0] - mm(worst.arm) * sin, cg[1] + mm(worst.arm) * cos)
    side = "over" if worst.arm >= 0 else "under"
    return [Ray(nozzle, end, (cg, foot), f"{label}, {said(abs(worst.arm), 'mm', 1)} {side} the CG")]


def legend(case: Case) -> list[tuple[str, ...]]:
    """Give the table of the states: number, state, mass, place, margin; the first row is its head."""
    head = ("", "state", "mass g", "CG x", "CG z", "margin")
    rows = [
        (
            str(count),
            row.name,
            number(grams(row.mass), 0),
            number(mm(row.cg_x), 1),
            number(mm(row.cg_z), 1) if math.isfinite(row.cg_z) else "?",
            said(row.static_margin, "%", 1) if math.isfinite(row.static_margin) else "?",
        )
        for count, row in enumerate(state_rows(case), start=1)
    ]
    return [head, *rows] if rows else []
