"""One page for each thing that is made: what it is for, its numbers, where they come from, its cautions, what to
measure afterwards. Plain text with tables that line up, readable without the program.
"""  # fmt: skip

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from foamworks.checks.case import Case
from foamworks.checks.stamp import CONCERNS, stamp
from foamworks.output import tables
from foamworks.output.tables import Table, escaped
from foamworks.output.texts import BOOSTER, CUTTING, FOAM, POWER
from foamworks.physics.drag import CUBE, FAIRED
from foamworks.units import number, said, with_unit

# which files a build was asked for -> the pages that go with them
PAGES = {
    "fins": {"fins", "report"},
    "pod": {"pod", "prints", "report"},
    "sheets": {"sheets", "report"},
    "balance": {"report"},
    "camera": {"prints", "report"},
}
TITLES = {
    "fins": "the new fins",
    "pod": "the booster pod",
    "sheets": "the cut sheets",
    "balance": "the balance",
    "camera": "the camera's fairing",
}
EVERYTHING = frozenset({"fins", "pod", "sheets", "prints", "report"})
SOLVED = {
    "fins": "the size of the fins",
    "battery": "the battery's place",
    "ballast": "the ballast",
    "downthrust": "the downthrust",
}
BARE = "The flutter speed is the bare formula's, without a factor; the check further down applies one."
Page = list[str]


def write_summaries(
    case: Case,
    data: dict[str, Any],
    folder: Path,
    *,
    wanted: frozenset[str] = EVERYTHING,
    stamp_of: Callable[[set[str]], str] | None = None,
) -> list[Path]:
    """Write the pages that apply to the design and to what the build was asked for; give their paths."""
    stamped = stamp_of or (lambda files: stamp(case, files))
    written = []
    for name, make in MAKERS.items():
        page = make(case, data) if PAGES[name] & wanted else None
        if page is None:
            continue
        folder.mkdir(parents=True, exist_ok=True)
        text = _headed(case, name, page, stamped({name}))
        path = folder / f"{name}.md"
        path.write_text(text, encoding="utf-8", newline="\n")
        written.append(path)
    return written


def _headed(case: Case, name: str, page: Page, mark: str) -> str:
    head = [f"# {escaped(case.name)}: {TITLES[name]}"]
    if mark:
        failed = [f for f in case.findings if f.verdict == "fail" and f.check in CONCERNS[name]]
        head += [f"**{mark}** - {'; '.join(f'{f.check}: {escaped(f.why)}' for f in failed)}"]
    return "\n\n".join([*head, *page, _findings(case, name)]).rstrip() + "\n"


def _ended(text: str) -> str:
    """End a sentence that does not end by itself."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _findings(case: Case, name: str) -> str:
    """Give what was checked on this thing, verdict by verdict."""
    rows = [f for f in case.findings if f.check in CONCERNS[name]]
    if not rows:
        return ""
    order = ("fail", "caution", "unknown", "pass")
    lines = [
        f"- {f.verdict}: {f.check}, {escaped(f.subject)}. {_ended(escaped(f.why))}"
        + (f" Cure: {escaped(f.cure)}" if f.cure and f.verdict != "pass" else "")
        + (f" (limit: {escaped(f.source)})" if f.source else "")
        for f in sorted(rows, key=lambda f: (order.index(f.verdict), f.check, f.subject))
    ]
    return "## What was checked\n\n" + "\n".join(lines)


def _section(title: str, *blocks: str | Table | None) -> str:
    texts = [block.markdown() if isinstance(block, Table) else block for block in blocks if block]
    return "\n\n".join([f"## {title}", *texts])


def _bullets(rows: Sequence[str]) -> str:
    return "\n".join(f"- {row}" for row in rows)


def _solved(case: Case, names: Sequence[str]) -> str:
    found = [SOLVED[name] for name in names if name in case.solved.marks]
    return (
        f"Worked out, not given: {', '.join(found)}."
        if found
        else "Nothing here was left to be worked out: all was given."
    )


def _notes(case: Case, names: set[str]) -> str:
    rows = [f"{part.name}: {escaped(part.note)}" for part in case.parts.all() if part.name in names and part.note]
    return _bullets(rows)


def _fins(case: Case, data: dict[str, Any]) -> Page | None:
    asked, each = case.design.fins, data.get("fins", {}).get("twin", {}).get("each")
    if asked is None or asked.each is None:
        return None
    bench = {"slot template", "slot comb", "fin jig", "toe template"}
    made = {part.name for part in case.parts.all() if part.group == "fins"} | bench
    how = {"volume": "the same tail volume coefficient", "stiffness": "the same yaw stiffness"}[asked.match]
    old = "original" in data.get("fins", {})
    purpose = (
        f"{'Two fins' if asked.count == 2 else 'One fin'} of foam board"
        + (f" {'take' if asked.count == 2 else 'takes'} the place of the fin that comes off" if old else "")
        + (f", sized for {how}." if "fins" in case.solved.marks else ", as you gave them.")
    )
    shape = {
        "root_chord_mm": 1000 * asked.each.root_chord,
        "tip_chord_mm": 1000 * asked.each.tip_chord,
        "height_mm": 1000 * asked.each.height,
        **({"area_mm2": each["area_mm2"], "mass_g": each["mass_g"]} if each else {}),
    }
    root = asked.root
    stands = (
        f"The root's leading edge stands at x {number(1000 * root.x, 1)}, y {number(1000 * root.y, 1)}, "
        f"z {number(1000 * root.z, 1)} mm. The area is that of the straight-edged fin; the rounded tip takes under 1 %."
    )
    ratio = data.get("fins", {}).get("same_area_yaw_stiffness_ratio")
    trap = (
        f'"The same area" would have given {said(ratio, "%", 1)} of the yaw stiffness: a fin\'s force follows its '
        "area, its slenderness and what it stands on, so equal area is not equal effect."
        if ratio is not None
        else None
    )
    return [
        purpose,
        _section("One fin", tables.pairs("One fin", shape), stands),
        *([_section("Against the fin that comes off", tables.fin_sets(data), trap)] if data.get("fins") else []),
        *([_section("Strength", tables.pairs("Strength", data["strength"]), BARE)] if data.get("strength") else []),
        _section("Parts", tables.parts(data, made), _notes(case, made)),
        _section(
            "Where the numbers come from",
            _solved(case, ["fins"]) + " Areas and arms are geometry, from quarter-chord point to quarter-chord point. "
            "Slopes and stiffness come from a vortex lattice of the whole aircraft, without a loss for thickness or "
            "small size; the mass from the board's weight for its area.",
        ),
        _section("Cautions", _bullets(FOAM)),
        _section(
            "Measure after cutting",
            _bullets(
                [
                    "the board's thickness in three places: slots follow it; the comb on sheet 1 tells which holds",
                    "mass of each fin, and enter it under [[weighed]]",
                    "height and both chords: 1 % in every length is 2 % of the area",
                    "that both stand at the same cant and toe: 1 deg between them is felt",
                    "that elevator and fin stay clear of each other at full travel",
                ]
            ),
        ),
    ]


def _pod(case: Case, data: dict[str, Any]) -> Page | None:
    pod = case.design.pod
    if pod is None:
        return None
    made = {part.name for part in case.parts.all() if part.group == "pod"} | {"ring gauge"}
    blocks: Page = [
        "The pod is a paper tube with a printed nose, rings and mount. It carries a commercial solid motor on the "
        "fuselage's back; a ring ahead takes the thrust, a retainer behind keeps the motor in."
        if pod.nozzle is not None
        else "A printed nose cone for a tube."
    ]
    if "nose" in data:
        blocks.append(
            _section(
                "Nose",
                tables.pairs("Nose", data["nose"]),
                "Outer shape, on the tube's outer diameter; the print has a flat tip and a shoulder besides.",
            )
        )
    if "thrust_line" in data:
        blocks.append(_thrust_line(data["thrust_line"]))
    if data.get("boost"):
        blocks.append(_section("Boost", tables.turned("Boost", data["boost"], "motor"), tables.boost_words(data)))
    if "ignition" in data:
        blocks.append(_section("Ignition", tables.pairs("Ignition", data["ignition"])))
    table = tables.parts(data, made)
    if table is not None:
        blocks.append(_section("Parts", table, _notes(case, made)))
    return [
        *blocks,
        _section(
            "Where the numbers come from",
            _solved(case, ["downthrust"]) + " Motors by their data sheet or thrust curve; the volume of a print by its "
            "shape, its mass by walls and infill, within some 10 % of what the printer's software says.",
        ),
        _section("Cautions", _bullets((*BOOSTER, *FOAM))),
        _section(
            "Measure after printing",
            _bullets(
                [
                    "the ring gauge first: the last step that slides in is your printer's clearance",
                    "mass of every print, and enter it under [[weighed]]",
                    "the tube's angle to the fuselage's datum, by a phone laid on it: 1 deg is 7 mm at 400 mm",
                    "the air between tube and back, both ends",
                    "that each motor goes in and out by hand, and cannot move fore or aft when it is retained",
                    "pull at the thrust ring with four times the peak thrust before the nose is glued",
                ]
                if pod.nozzle is not None
                else ["mass of the print", "that its shoulder slides into the tube without force"]
            ),
        ),
    ]


def _thrust_line(line: dict[str, Any]) -> str:
    limited = {
        "nothing": "It is the angle with the least worst moment over all powered states.",
        "fit": "The fuselage's back allows no more.",
        "limit": "Your downthrust_limit allows no more.",
    }.get(line.get("limited_by") or "", "")
    text = (
        f"Downthrust {with_unit(line.get('downthrust_deg'), 'deg', 1)}: the motor's aft end is the high end. {limited} "
        "The arm is the line's height over the centre of gravity; the moment is the booster's alone, nose up positive."
    )
    rows = line.get("states") or []
    return _section("Thrust line", text, tables.listing("Thrust line", rows) if rows else None)


def _sheets(case: Case, data: dict[str, Any]) -> Page | None:
    if not case.parts.boards:
        return None
    blocks: Page = ["What is cut from board, how it lies on the sheets, and what to look at before the knife goes in."]
    if data.get("sheets"):
        blocks.append(
            _section(
                "Sheets",
                tables.sheets(data),
                "The used share is the parts' true area over the used length times the width between the margins. The "
                "time is an estimate by the tool's feed and passes, from memory: time your own, give cutting.feed. "
                "The waste is what is left of the board up to the last cut; what lies beyond it is an offcut for the "
                "next job.",
                tables.counts(data),
            )
        )
    boards = {part.name for part in case.parts.boards}
    cutting = case.design.cutting
    return [
        *blocks,
        _section("Parts", tables.parts(data, boards), _notes(case, boards)),
        _section(
            "Where the numbers come from",
            f"Kerf {number(1000 * cutting.kerf, 2)} mm, gap {number(1000 * cutting.gap, 1)} mm, margin "
            f"{number(1000 * cutting.margin, 1)} mm. The cut path stands half the kerf outside outlines and inside "
            "holes. Masses come from the board's weight for its area; without a weighed sheet they are a guess of the "
            "kind of board, or left out.",
        ),
        _section("Cautions", _bullets((*(BOOSTER if case.design.pod else ()), *FOAM))),
        _section(
            "Measure",
            _bullets(
                [
                    "before cutting: the 100 mm line on the print or in the cutter's program, both ways",
                    "before cutting: the board's thickness, and that its grain runs along the sheet's long side",
                    f"the tool: {CUTTING}",
                    "after cutting: one part's length and a slot's width; the difference to the drawing is your kerf",
                    "after cutting: the mass of each part, and enter it under [[weighed]]",
                ]
            ),
        ),
    ]


def _balance(case: Case, data: dict[str, Any]) -> Page | None:
    balance = data.get("balance")
    if balance is None:
        return None
    forward, aft = balance["window_x_mm"]
    window = (
        f"The centre of gravity may lie between x {number(forward, 1)} and {number(aft, 1)} mm: ahead of it the "
        "elevator cannot hold the nose up at landing speed, aft of it the aircraft steers itself."
        if forward is not None
        else f"The centre of gravity may lie no further aft than x {number(aft, 1)} mm, or the aircraft steers itself; "
        "how far forward it may lie is not known: that takes the tailplane's elevator."
    )
    flown = case.study.balance.trimming if case.study.balance else None
    trim = f" The elevator's zero comes from {escaped(flown.origin)}." if flown is not None else ""
    return [
        "Where the aircraft balances in every state that the flight goes through, and what puts it there.",
        _section(
            "Put it here",
            _bullets(
                [
                    *(
                        [f"battery at x {number(balance['battery_x_mm'], 0)} mm"]
                        if balance["battery_x_mm"] is not None
                        else []
                    ),
                    f"ballast {number(balance['ballast_g'], 0)} g",
                ]
            ),
            _no_pod(balance),
            window,
        ),
        _section(
            "States",
            tables.states(data),
            "Margin: how far the centre of gravity lies ahead of the neutral point, in mean chords.",
        ),
        *([_section("Reference", tables.pairs("Reference wing", data["reference"]))] if "reference" in data else []),
        _section(
            "Where the numbers come from",
            _solved(case, ["battery", "ballast"])
            + " Masses and places as you measured them, parts from their outlines; "
            "the neutral point from a vortex lattice, with the fuselage's share when its sections are given." + trim,
        ),
        _section("Cautions", _bullets((*(BOOSTER if case.design.pod else ()), *POWER))),
        _section(
            "Measure afterwards",
            _bullets(
                [
                    "mass, and the load on the rear of two supports: x = front + distance x rear load / mass",
                    "each state apart: without a motor, with the full one, with a spent case",
                    "the height of the centre of gravity, hung from two points: the thrust line rests on it",
                ]
            ),
        ),
    ]


def _camera(case: Case, data: dict[str, Any]) -> Page | None:
    made = {part.name for part in case.parts.all() if part.group == "camera"}
    camera = case.design.camera
    if camera is None or not any(part.name in made for part in case.parts.prints):
        return None
    body, power = camera.body, data.get("power") or {}
    saves = power.get("fairing_saves_km_h")
    return [
        f"A printed hood over the camera's box of {number(1000 * body.length, 1)} x {number(1000 * body.width, 1)} x "
        f"{number(1000 * body.height, 1)} mm: a box in the stream has four times the drag of a hood of its size.",
        _section(
            "Parts",
            tables.parts(data, made),
            _notes(case, made),
            f"Level and at full throttle it makes {with_unit(number(saves, 1), 'km/h')} against the bare box, its own "
            "mass counted."
            if saves is not None
            else None,
        ),
        _section(
            "Where the numbers come from",
            "The hood's front is the narrowest that lets the box in. Drag coefficients on the frontal area as printed: "
            f"{CUBE:g} for a box (from memory), {FAIRED:g} for a hood (common practice, no source). Mass by walls and "
            "infill, within some 10 % of what the printer's software says.",
        ),
        _section("Cautions", _bullets((*(BOOSTER if case.design.pod else ()), *FOAM))),
        _section(
            "Measure after printing",
            _bullets(
                [
                    "that the camera goes in, sees past the lips, and its button can be reached",
                    "mass of the print with the camera, and enter both under [[weighed]]",
                    "the balance from wing tip to wing tip, hung or on a finger: the lead goes into the light tip",
                    "a hard shake by hand: nothing may come loose in flight",
                ]
            ),
        ),
    ]


def _no_pod(balance: dict[str, Any]) -> str | None:
    row = next((row for row in balance["states"] if row["name"] == "no pod" and "battery_x_mm" in row), None)
    if row is None or row["battery_x_mm"] is None or len(balance["states"]) == 2:
        return None
    return (
        f"Before the pod is glued on, for the flights without it: battery at x {number(row['battery_x_mm'], 0)} mm, "
        f"ballast {number(row['ballast_g'], 0)} g."
    )


MAKERS: dict[str, Callable[[Case, dict[str, Any]], Page | None]] = {
    "fins": _fins,
    "pod": _pod,
    "sheets": _sheets,
    "balance": _balance,
    "camera": _camera,
}
