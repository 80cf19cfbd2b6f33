"""What must hold between the tables of one design, beyond each table by itself."""

import difflib
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

from foamworks.design.airframe import CentreOfGravity, Station
from foamworks.design.ladder import ANY, Rung, named, refused, rungs
from foamworks.design.model import Design
from foamworks.design.reading.locate import Path
from foamworks.design.wording import milli
from foamworks.errors import NotGiven, given
from foamworks.physics.planform import Stations, outline_stations, widest_low
from foamworks.units import first_measured

Fault = tuple[Path, str]


def faults(design: Design) -> Iterator[Fault]:
    """Give what cannot be, each as (path of the key, what would do)."""
    for rule in RULES:
        with suppress(NotGiven):  # a rule about what is not there
            yield from rule(design)


def _nothing_to_do(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    useful = (
        (airframe.wing is not None)
        or design.cuts
        or design.fins
        or design.pod
        or (design.camera is not None and design.camera.fairing)
        or design.motors
        or design.ignition
        or design.gyro
    )
    if not useful:
        yield (
            (),
            (
                "there is nothing to do: give [airframe.wing] and what else was measured, or [pod] with its nose, "
                "or [[cuts]] (foamworks new NAME writes a file to start from)"
            ),
        )


def _same_names(design: Design) -> Iterator[Fault]:
    lists: dict[Path, tuple[Any, ...]] = {
        ("flights",): design.flights,
        ("motors",): design.motors,
        ("cuts",): design.cuts,
        ("boards",): design.boards,
        ("changes",): design.changes,
        ("airframe", "items"): design.airframe.items,
    }
    for path, entries in lists.items():
        seen: dict[str, int] = {}
        for number, entry in enumerate(entries):
            key = (entry.name or "").strip()
            if key and key in seen:
                yield (*path, number, "name"), f"is the name of entry {seen[key] + 1} too; give each its own name"
            seen[key] = number
    parts: set[str] = set()
    for number, entry in enumerate(design.weighed):
        if entry.part in parts:
            yield ("weighed", number, "part"), "is weighed twice; keep one of the two"
        parts.add(entry.part)


def _flights(design: Design) -> Iterator[Fault]:
    """Hold each flight to be one of the ladder's, and one alone."""
    names = ", ".join(f'"{rung.name}"' for rung in rungs(design)) or "none, without [airframe]"
    typed: list[tuple[Path, str]] = []
    for number, flight in enumerate(design.flights):
        key = next(name for name in ("flight", "rung", "name") if name in flight.model_fields_set)
        typed.append((("flights", number, key), flight.named))
    typed += [(("changes", n, "from"), change.start) for n, change in enumerate(design.changes) if change.start]
    for path, name in typed:
        found = named(design, name)
        if not found:
            yield path, _no_flight(design, name) or f"is none of this design's flights; these are: {names}"
        if len(found) > 1:
            yield path, f"is the name of {len(found)} flights: {names}; give the motor of this name another"


def _no_flight(design: Design, name: str) -> str:
    """Say why the motor of this name takes no flight, and which key to mend; "" for any other name."""
    for motor in refused(design):
        number, wanted = design.motors.index(motor) + 1, name.strip().casefold()
        if wanted in {called.name.casefold() for called in (Rung("lit", ANY, motor), Rung("dead mass", ANY, motor))}:
            key = f"motors[{number}]"
            why = f"its numbers contradict each other; mend {key}.impulse, burn and peak by its data sheet"
            if not motor.plugged:
                why = f"it is not declared plugged; with a plugged one in its place type {key}.plugged = true"
            return f'is no flight yet: the motor "{motor.name}" may not be lit: {why}'
    return ""


def _boards(design: Design) -> Iterator[Fault]:
    names = [board.name for board in design.boards]
    asked: list[tuple[Path, str | None]] = [
        (("cuts", number, "board"), cut.board) for number, cut in enumerate(design.cuts)
    ]
    if design.fins:
        asked.insert(0, (("fins", "board"), design.fins.board))
    for path, name in asked:
        if name is not None and name not in names:
            near = difflib.get_close_matches(name, names, n=1)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            given = ", ".join(f'"{known}"' for known in names) or "none"
            yield path, f"there is no such entry in [[boards]] (given: {given}){hint}"
    if len(names) > 1:
        for path, name in asked:
            if name is None:
                yield path, "must name one of the boards: " + ", ".join(f'"{known}"' for known in names)


def _too_light(design: Design) -> Iterator[Fault]:
    """Hold the model to be heavier than what was weighed with it: battery, the fin that comes off, items."""
    airframe = design.airframe
    battery, fin = airframe.battery, airframe.fin
    aboard = {
        "battery": first_measured(battery.weighed_with.mass, 0.0) if battery else 0.0,
        "fin": first_measured(fin.mass, 0.0) if fin else 0.0,
        "items": sum(item.mass for item in airframe.items),
    }
    if sum(aboard.values()) >= airframe.mass:
        listed = ", ".join(f"{name} {milli(mass)} g" for name, mass in aboard.items() if mass > 0)
        out = f"; {milli(airframe.mass + aboard['battery'])} g if only the battery was out" if aboard["battery"] else ""
        bare = f'; a bare number is in g: write "{milli(airframe.mass)} kg"' if airframe.mass < LIGHTEST else ""
        yield (
            ("airframe", "mass"),
            f"must be above the sum of what it holds ({listed}): the whole model is weighed, ready to fly{out}{bare}",
        )


def _rear_load(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    if airframe.cg and airframe.cg.rear_load > airframe.mass:
        yield (
            ("airframe", "cg", "rear_load"),
            f"must lie within 0 and airframe.mass, {milli(airframe.mass)} g: it is what the rear support holds of it",
        )


def _balance_point(cg: CentreOfGravity, mass: float) -> tuple[str, float]:
    """Give the key that says where the model balances, and where that is [m]."""
    if cg.by_x:
        return "x", cg.x
    return "front_support", cg.front_support + (cg.rear_support - cg.front_support) * cg.rear_load / mass


def _cg_outside(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    cg, wing = given(airframe.cg), given(airframe.wing)
    places = [x for station in wing.stations for x in (station.x, station.x + station.chord)]
    if airframe.fuselage:
        places += [section.x for section in airframe.fuselage.sections]
    if airframe.tailplane:
        places += [x for station in airframe.tailplane.stations for x in (station.x, station.x + station.chord)]
    if not airframe.fuselage:
        places.append(0.0)  # the nose tip, where x is counted from
    least, most = min(places), max(places)
    key, x = _balance_point(cg, airframe.mass)
    if x < least or x > most:
        what = "" if key == "x" else f"puts the balance at x = {x * 1000:.0f} mm, which "
        yield (
            ("airframe", "cg", key),
            (
                f"{what}lies outside the aircraft, which reaches from x = {least * 1000:.0f} to {most * 1000:.0f} mm; "
                "measure from the nose tip aft"
            ),
        )


def _edges_meet(design: Design) -> Iterator[Fault]:
    """Hold wing and tailplane to have a chord left where their root is continued to the centre line."""
    airframe = design.airframe
    surfaces: dict[str, tuple[Station, ...]] = {
        "wing": airframe.wing.stations if airframe.wing else (),
        "tailplane": airframe.tailplane.stations if airframe.tailplane and airframe.fuselage else (),
    }
    for name, stations in surfaces.items():
        if not stations or stations[0].y == 0:
            continue
        root, outer = stations[:2]
        least = outer.chord * root.y / outer.y
        if root.chord <= least * (1 + 1e-9):
            yield (
                ("airframe", name, "stations", 0, "chord"),
                (
                    f"must be above {milli(least)} mm: continued straight to the centre line, the {name}'s edges "
                    "would meet before they get there"
                ),
            )


def _taper_of_a_point(design: Design) -> Iterator[Fault]:
    """A fin that runs to a point at its foot has no taper that new fins could take over."""
    fins, fin = given(design.fins), given(design.airframe.fin)
    if fins.each or (fins.shape and "taper" in fins.shape.model_fields_set):
        return
    foot = (
        Stations(x=tuple(s.x for s in fin.rows), s=tuple(s.z for s in fin.rows), chord=tuple(s.chord for s in fin.rows))
        if fin.rows
        else outline_stations(fin.drawn)
    )
    if foot.chord[widest_low(foot)] <= 0:
        yield (
            ("fins", "shape", "taper"),
            "is missing, and the fin that comes off has none to take over: it stands on a point; give it, as in 0.6",
        )


def _tail_in_wing(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    wings, tails = given(airframe.wing).stations, given(airframe.tailplane).stations
    wing, tail, reach = wings[0], tails[0], min(wings[-1].y, tails[-1].y)
    apart = abs(tail.z - wing.z)
    overlap = min(wing.x + wing.chord, tail.x + tail.chord) - max(wing.x, tail.x)
    if reach > 0 and overlap > 0 and apart < 0.2 * tail.chord:
        yield (
            ("airframe", "tailplane", "stations", 0, "x"),
            (
                f"the tailplane lies inside the wing: its root chord overlaps the wing's by {overlap * 1000:.0f} mm "
                "at the same height; check x, measured from the nose tip aft"
            ),
        )


def _short_ogive(design: Design) -> Iterator[Fault]:
    pod, nose = given(design.pod), given(given(design.pod).nose)
    if nose.profile in {"ogive", "tangent_ogive"} and nose.length < pod.tube.outer / 2:
        yield (
            ("pod", "nose", "length"),
            (
                f"a tangent ogive is at least as long as half the tube's outer diameter, {500 * pod.tube.outer:g} mm; "
                'make it longer, or take profile = "ellipse"'
            ),
        )


LIGHTEST = 0.030  # kg: what weighs less was typed in kilograms (ours)
RULES = (
    _nothing_to_do, _same_names, _flights, _boards, _too_light, _rear_load, _cg_outside, _edges_meet,
    _taper_of_a_point, _tail_in_wing, _short_ogive,
)  # fmt: skip
