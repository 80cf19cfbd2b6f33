"""What must hold between the tables of one design, beyond each table by itself."""

import difflib
from collections.abc import Iterator
from typing import Any

from foamworks.design.locate import Path
from foamworks.design.model import Design

Fault = tuple[Path, str]


def first_fault(design: Design) -> Fault | None:
    """Give the first thing that cannot be, as (path of the key, what would do), or None."""
    return next(_faults(design), None)


def _faults(design: Design) -> Iterator[Fault]:
    yield from _nothing_to_do(design)
    yield from _same_names(design)
    yield from _boards(design)
    yield from _cg_outside(design)
    yield from _tail_in_wing(design)
    yield from _short_ogive(design)


def _nothing_to_do(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    useful = (
        (airframe is not None and airframe.wing is not None)
        or design.cuts
        or design.fins
        or design.pod
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
        ("airframe", "items"): design.airframe.items if design.airframe else (),
    }
    for path, entries in lists.items():
        seen: dict[str, int] = {}
        for number, entry in enumerate(entries):
            key = entry.name.strip()
            if key in seen:
                yield (*path, number, "name"), f"is the name of entry {seen[key] + 1} too; give each its own name"
            seen[key] = number
    parts: set[str] = set()
    for number, entry in enumerate(design.weighed):
        if entry.part in parts:
            yield ("weighed", number, "part"), "is weighed twice; keep one of the two"
        parts.add(entry.part)


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


def _cg_outside(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    if airframe is None or airframe.cg is None or airframe.wing is None:
        return
    places = [x for station in airframe.wing.stations for x in (station.x, station.x + station.chord)]
    if airframe.fuselage:
        places += [section.x for section in airframe.fuselage.sections]
    if airframe.tailplane:
        places += [x for station in airframe.tailplane.stations for x in (station.x, station.x + station.chord)]
    if not airframe.fuselage:
        places.append(0.0)  # the nose tip, where x is counted from
    least, most = min(places), max(places)
    x = airframe.cg.x
    if x is not None and not least <= x <= most:
        yield (
            ("airframe", "cg", "x"),
            (
                f"lies outside the aircraft, which reaches from x = {least * 1000:.0f} to {most * 1000:.0f} mm; "
                "measure from the nose tip aft"
            ),
        )


def _tail_in_wing(design: Design) -> Iterator[Fault]:
    airframe = design.airframe
    if airframe is None or airframe.wing is None or airframe.tailplane is None:
        return
    wing, tail = airframe.wing.stations[0], airframe.tailplane.stations[0]
    reach = min(airframe.wing.stations[-1].y, airframe.tailplane.stations[-1].y)
    apart = abs(tail.z - wing.z)
    overlap = min(wing.x + wing.chord, tail.x + tail.chord) - max(wing.x, tail.x)
    if reach > 0 and overlap > 0 and apart < 0.2 * tail.chord:
        yield (
            ("airframe", "tailplane", "stations"),
            (
                f"the tailplane lies inside the wing: its root chord overlaps the wing's by {overlap * 1000:.0f} mm "
                "at the same height; check x, measured from the nose tip aft"
            ),
        )


def _short_ogive(design: Design) -> Iterator[Fault]:
    pod = design.pod
    if pod is None or pod.nose is None or pod.nose.profile not in {"ogive", "tangent_ogive"}:
        return
    if pod.nose.length < pod.tube.outer / 2:
        yield (
            ("pod", "nose", "length"),
            (
                f"a tangent ogive is at least as long as half the tube's outer diameter, {500 * pod.tube.outer:g} mm; "
                'make it longer, or take profile = "ellipse"'
            ),
        )
