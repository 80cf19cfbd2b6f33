"""Does every state of the flight balance, and how does it land there? Places in mm, margins in % of the mean chord."""

import math
from collections.abc import Iterator

from foamworks.aircraft.balance import STALL_TO_TRIM, Balance, StateRow, air_of
from foamworks.aircraft.fins import tail_stations
from foamworks.aircraft.masses import NO_MOTOR, NO_POD
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks import tailless
from foamworks.checks.base import CUSTOM, OURS, Finding, Verdict, at_least, round_up, unknown
from foamworks.checks.case import Case
from foamworks.design.ladder import has_pod, level_flights
from foamworks.physics import trim
from foamworks.study.cures import NOSE_ROOM, UNBURNT, Cure, Fight, cures, fight, opened
from foamworks.study.tolerance import LANDING_GROWTH

HEAVY_MARGIN = 0.20  # static margin over which one says what it costs (common practice, no source)
LANDING_FAIL = 1.5  # times the stock model's landing speed: more than twice the energy to lose (ours)
CLOSE = 0.0005  # m: this near a limit, ahead or behind, is on it
HAND_RULE_OFF = 0.05  # of the chord: a larger difference is explained
HORIZONTAL, VERTICAL = (0.35, 0.55), (0.035, 0.06)  # usual volumes of foam jets (common practice, no source)
COARSE = 0.05  # of a usual volume: bands of custom have no sharper edges than this (ours)
NEXT_CURES = 4  # shown


def findings(case: Case) -> list[Finding]:
    """Judge the balance; nothing for a design without a wing."""
    if case.study.wing is None or case.study.aero is None:
        return []
    balance = case.study.balance
    found = [*tailless.findings(case), *_static(case, balance), *_tail_volume(case), *_hand_rule(case, balance)]
    if balance is None:
        return found
    return [
        *found, *_manoeuvre(case, balance), *_forward(case, balance), *_solved(case, balance),
        *_landing(case, balance), *_trim_speed(case, balance),
    ]  # fmt: skip


def _missing(case: Case) -> list[str]:
    """Name what must be measured before the balance can be known."""
    airframe = case.design.airframe
    if airframe is None:
        return []
    lacks = []
    if airframe.mass is None:
        lacks.append("the model's mass (airframe.mass)")
    if airframe.cg is None:
        lacks.append("where it balances (airframe.cg)")
    return lacks


def _static(case: Case, balance: Balance | None) -> Iterator[Finding]:
    lacks = _missing(case)
    if lacks:
        text = " and ".join(lacks)
        yield unknown(
            "static-margin", "every state",
            f"nobody can say how stable it is in pitch and yaw, nor how its turning is damped, without {text}",
            f"measure {text}", "%",
        )  # fmt: skip
        return
    rows = [row for row in balance.rows if row.static_margin is not None] if balance else []
    if not rows:
        why = "a mass or a place aboard is not known, so the centre of gravity is not"
        yield unknown("static-margin", "every state", why, "see the findings on what was not weighed", "%")
        return
    least = case.design.limits.least
    under = [row for row in rows if _margin(row) < least - 1e-9]
    yield from (_margin_finding(case, row, "fail") for row in under)
    worst = min(rows, key=lambda row: (round(_margin(row), 9), not row.name.endswith(UNBURNT)))
    shown = {row.name for row in under}
    for row in (row for row in rows if row.name in (NO_POD, NO_MOTOR)):
        if least - 1e-9 <= _margin(row) < case.design.limits.first - 1e-9:
            shown.add(row.name)
            yield _margin_finding(case, row, "caution")
    heavy = max(rows, key=_margin)
    if _margin(heavy) > HEAVY_MARGIN and heavy.name not in shown:
        shown.add(heavy.name)
        yield _heavy(case, heavy)
    if not under and worst.name not in shown:
        yield _margin_finding(case, worst, "pass")


def _margin(row: StateRow) -> float:
    return math.inf if row.static_margin is None else row.static_margin


def _margin_finding(case: Case, row: StateRow, verdict: Verdict) -> Finding:
    aero, wing, limits = case.study.aero, case.study.wing, case.design.limits
    point = aero.modified.neutral_point if aero else math.nan
    first = verdict == "caution"
    limit = limits.first if first else limits.least
    side = "ahead of" if row.cg_x <= point else "behind"
    why = (
        f"the centre of gravity lies at {1e3 * row.cg_x:.1f} mm, {1e3 * abs(point - row.cg_x):.1f} mm {side} the "
        f"neutral point at {1e3 * point:.1f}: {100 * _margin(row):.1f} % of the mean chord"
    )
    if verdict == "pass":
        why += "; every other state is more stable" if row.ballast or len(case.design.motors) else ""
    elif first:
        why += f"; the first flight is made like this and wants {100 * limit:.0f} %"
    move = round_up(1e3 * (limit - _margin(row)) * (wing.mac if wing else math.nan), 1)
    cure = "" if verdict == "pass" else f"bring the centre of gravity {move:.1f} mm forward in this state"
    if cure and tailless.is_tailless(case):
        cure = f"measure its tailplane first, if it has one; else {cure}"
    if first:
        cure += ": the battery further forward for the first flights"
    source = f"limits.{'first' if first else 'least'}; 10 to 15 % first, never under 5 %: {CUSTOM}"
    return Finding("static-margin", row.name, verdict, 100 * _margin(row), 100 * limit, "%", why, cure, source)


def _heavy(case: Case, row: StateRow) -> Finding:
    airframe = case.design.airframe
    tail = airframe.tailplane if airframe else None
    up = tail.elevator.up if tail and tail.elevator else None
    cost = ""
    if row.elevator is not None and up:
        cost = f"; landing takes {-math.degrees(row.elevator):.1f} of the {math.degrees(up):.0f} deg of up elevator"
    return Finding(
        "static-margin", row.name, "caution", 100 * _margin(row), 100 * HEAVY_MARGIN, "%",
        f"{100 * _margin(row):.1f} % is nose-heavy{cost}; it flies, but turns wider, lands faster and loses a little "
        "speed to the elevator's trim", "less ballast or the battery further aft, where the other states allow it; a "
        "pod whose motor sits nearer to the centre of gravity leaves the states closer together", CUSTOM,
    )  # fmt: skip


def _manoeuvre(case: Case, balance: Balance) -> Iterator[Finding]:
    aero, wing = case.study.aero, case.study.wing
    if aero is None or wing is None or balance.manoeuvre_point is None:
        return
    behind = balance.manoeuvre_point - aero.modified.neutral_point
    base = balance.row(NO_MOTOR).mass
    rows = {row.name: aero.modified.neutral_point + behind * base / row.mass - row.cg_x for row in balance.rows}
    name = min(rows, key=rows.__getitem__)
    value, least = 100 * rows[name] / wing.mac, 100 * case.design.limits.least
    verdict = at_least(value, least, 100 * case.design.limits.first)
    wanted = least if verdict == "fail" else 100 * case.design.limits.first
    move = round_up(10 * (wanted - value) * wing.mac, 1)
    yield Finding(
        "manoeuvre-margin", name, verdict, value, least, "%",
        f"in a hard pull the pitch damping helps: the manoeuvre point lies at {1e3 * balance.manoeuvre_point:.1f} mm "
        f"(no motor), and the margin to it is {value:.1f} % of the mean chord",
        "" if verdict == "pass" else f"bring the centre of gravity {move:.1f} mm forward in this state; pull gently "
        "until it is", OURS,
    )  # fmt: skip


def _forward(case: Case, balance: Balance) -> Iterator[Finding]:
    window, flown = balance.window, balance.trimming
    if window is None or not all(math.isfinite(row.cg_x) for row in balance.rows):
        return
    airframe = case.design.airframe
    elevator = airframe.tailplane.elevator if airframe and airframe.tailplane else None
    if window.forward is None or elevator is None or flown is None:
        yield tailless.without_forward_limit(case)
        return
    row = min(balance.rows, key=lambda r: r.cg_x)
    room = row.cg_x - window.forward
    crossed = window.forward > window.aft
    words = f"{1e3 * abs(room):.1f} mm {'behind' if room >= 0 else 'ahead of'} the forward limit"
    use = 0.0 if row.elevator is None else -math.degrees(row.elevator)
    fails = room < -1e-9
    open_ = {"battery", "ballast"} & set(case.solved.marks)  # settled already: another travel settles them anew
    travel = (
        "; balance-solved says what brings every state inside"
        if open_
        else f", or give the elevator {round_up(use / trim.ELEVATOR_SHARE):.0f} deg up"
    )
    yield Finding(
        "forward-limit", row.name, "fail" if fails else "pass", 1e3 * row.cg_x, 1e3 * window.forward, "mm",
        f"the centre of gravity lies {words}, where two thirds of {math.degrees(elevator.up):.0f} deg up elevator "
        f"still hold the landing; it takes {use:.1f} deg here"
        + ("; the limits have crossed: no place is right for this elevator" if crossed else ""),
        f"bring the centre of gravity {round_up(-1e3 * room, 1):.1f} mm aft in this state{travel}" if fails else "",
        "two thirds of the up elevator: ours, the rest is for the flare",
    )  # fmt: skip


def _inside(balance: Balance, row: StateRow) -> bool:
    window = balance.window
    if window is None:
        return True
    return row.cg_x <= window.aft + 1e-8 and (window.forward is None or row.cg_x >= window.forward - 1e-8)


def _solved(case: Case, balance: Balance) -> Iterator[Finding]:
    settled, window = case.solved.settled, balance.window
    if settled is None or window is None or not all(math.isfinite(row.cg_x) for row in balance.rows):
        return
    bare = balance.row(NO_POD)
    if has_pod(case.design) and not _inside(balance, bare):
        yield _outside_bare(case, balance, bare)
    rows = [row for row in balance.rows if row.name != NO_POD or not has_pod(case.design)]
    if all(_inside(balance, row) for row in rows):
        yield Finding(
            "balance-solved", "every state", "pass", None, None, "mm",
            f"all {len(rows)} states lie inside the window; {_placed(case, balance)}", "", "statics",
        )  # fmt: skip
        return
    open_design = opened(case.design, case.asked)
    found = fight(open_design, window)
    if found is not None and case.study.aero is not None and case.study.wing is not None:
        yield _fighting(case, balance, found, cures(open_design, case.study.aero, case.study.wing))


def _placed(case: Case, balance: Balance) -> str:
    battery = case.asked.airframe.battery if case.asked.airframe else None
    where = "the battery is not given and stays where it was"
    if battery is not None and balance.battery_x is None:
        where = "the battery's mass or its place when the model was weighed is not known, so it stays where it was"
    elif balance.battery_x is not None:
        how = "was placed" if battery is not None and battery.x == "auto" else "sits"
        where = f"the battery {how} at {1e3 * balance.battery_x:.0f} mm"
    ballast = f" with {1e3 * balance.ballast:.0f} g of ballast" if balance.ballast > 0 else " and no ballast is needed"
    return where + ballast


def _outside_bare(case: Case, balance: Balance, row: StateRow) -> Finding:
    window, aero, wing = balance.window, case.study.aero, case.study.wing
    ways = [] if aero is None or wing is None else cures(opened(case.design, case.asked), aero, wing, bare=True)
    aft = window is not None and row.cg_x > window.aft
    limit = (window.aft if aft else window.forward or math.nan) if window else math.nan
    return Finding(
        "balance-solved", NO_POD, "fail", 1e3 * row.cg_x, 1e3 * limit, "mm",
        f"with the new fins and before the pod is on, the centre of gravity lies {1e3 * abs(row.cg_x - limit):.1f} mm "
        f"{'behind the aft' if aft else 'ahead of the forward'} limit, wherever battery and ballast go",
        "; or ".join(_cure_text(cure) for cure in ways[:NEXT_CURES])
        or "no single change within reach does it: combine more room for the battery with more nose ballast", "statics",
    )  # fmt: skip


def _fighting(case: Case, balance: Balance, found: Fight, ways: list[Cure]) -> Finding:
    """Say which two states fight, and what would part them."""
    words = f'"{found.aft_state}" lies {_miss(found.aft_miss, "behind", "the aft limit")}'
    if math.isfinite(found.forward_miss):
        words += f', while "{found.forward_state}" lies {_miss(found.forward_miss, "ahead of", "the forward limit")}'
    texts = [_cure_text(cure) for cure in ways[:NEXT_CURES]]
    cure = "; or ".join(texts) if texts else (
        "no single change within reach does it: combine a pod further forward, a lighter motor and more nose ballast"
    )  # fmt: skip
    return Finding(
        "balance-solved", "every state", "fail", 1e3 * max(found.aft_miss, found.forward_miss), 0.0, "mm",
        f"no place of battery and ballast brings every state inside: {words}; {_placed(case, balance)}",
        cure, "statics",
    )  # fmt: skip


def _miss(distance: float, over: str, limit: str) -> str:
    if distance > CLOSE:
        return f"{1e3 * distance:.1f} mm {over} {limit}"
    if distance > -CLOSE:
        return f"on {limit}"
    return f"{-1e3 * distance:.1f} mm inside {limit}"


def _cure_text(cure: Cure) -> str:
    step, value = abs(1e3 * cure.change), 1e3 * cure.value
    way = "forward" if cure.change < 0 else "aft"
    lead = f"add {value:.0f} g of nose ballast at x = {1e3 * NOSE_ROOM:.0f}"
    return {
        "pod": f"move the pod {step:.0f} mm {way}, pod.nozzle.x = {value:.0f}",
        "motor": f'no motor heavier than {value:.0f} g ("{cure.name}" is {step:.0f} g more)',
        "ballast": f"allow {value:.0f} g of ballast, {step:.0f} g more" if step != value else lead,
        "ballast place": f"put the ballast {step:.0f} mm further {way}, ballast.x = {value:.0f}",
        "slide": f"let the battery go {step:.0f} mm further {way}, to x = {value:.0f}",
        "elevator": f"give the elevator {math.degrees(cure.value):.0f} deg up",
    }[cure.kind]  # fmt: skip


def _landing(case: Case, balance: Balance) -> Iterator[Finding]:
    airframe, wing = case.design.airframe, case.study.wing
    rows = [row for row in balance.rows if row.landing_speed is not None]
    if airframe is None or airframe.mass is None or airframe.wing is None or wing is None or not rows:
        return
    stock = trim.landing_speed(
        mass=airframe.mass, max_lift=airframe.wing.max_lift, density=air_of(case.design).density, area=wing.area
    )
    row = max(rows, key=lambda r: r.landing_speed or 0.0)
    speed = row.landing_speed or math.nan
    growth = speed / stock
    verdict: Verdict = "fail" if growth > LANDING_FAIL else "caution" if growth > LANDING_GROWTH else "pass"
    yield Finding(
        "landing-speed", row.name, verdict, 3.6 * speed, 3.6 * LANDING_GROWTH * stock, "km/h",
        f"the stock model lands at {3.6 * stock:.0f} km/h, this state at {3.6 * speed:.0f} "
        f"({100 * (growth - 1):+.0f} %), {1e3 * row.mass:.0f} g at a greatest lift coefficient of "
        f"{airframe.wing.max_lift:g}",
        "" if verdict == "pass" else f"{round_up(1e3 * (row.mass - airframe.mass * LANDING_GROWTH**2)):.0f} g less in "
        "this state; else fly the motor out before landing, and choose a long smooth field",
        "1.3 x stall: custom of the trade; +15 and +50 %: ours",
    )  # fmt: skip


def _trim_speed(case: Case, balance: Balance) -> Iterator[Finding]:
    flown, airframe = balance.trimming, case.design.airframe
    if flown is None or airframe is None or airframe.trim is not None or level_flights(case.design):
        return
    yield Finding(
        "trim-speed", "stock model", "caution", 3.6 * flown.speed, None, "km/h",
        f"nobody said how fast the stock model flies hands off: {3.6 * flown.speed:.0f} km/h is taken, "
        f"{STALL_TO_TRIM:g} x its stall speed, with the elevator at 0; the forward limit and the elevator angles rest "
        "on it",
        "fly it level, let go, and note speed and elevator in [airframe.trim]", CUSTOM,
    )  # fmt: skip


def _tail_volume(case: Case) -> Iterator[Finding]:
    airframe, wing = case.design.airframe, case.study.wing
    if airframe is None or wing is None:
        return
    tail = tail_half(airframe)
    if tail is not None:
        value = trim.tail_volume(
            tail_area=2 * tail.area,
            tail_arm=tail.quarter_mac_x - wing.quarter_mac_x,
            wing_area=wing.area,
            chord=wing.mac,
        )
        yield _usual("tailplane", value, HORIZONTAL, "holds its attitude badly", "costs weight and drag")
    fins = case.study.new_fins or case.study.old_fin
    if fins is not None and case.design.fins is not None and tail is not None:  # a flying wing's are smaller
        value = fins.volume_coefficient(wing)
        if value <= 0:
            return  # `fin-place` says it
        yield _usual("fins", value, VERTICAL, "wags and wanders easily", "may tighten its spiral")


def _usual(subject: str, value: float, band: tuple[float, float], small: str, large: str) -> Finding:
    inside = band[0] * (1 - COARSE) <= value <= band[1] * (1 + COARSE)
    side = "" if inside else f"; one with {'less' if value < band[0] else 'more'} {small if value < band[0] else large}"
    return Finding(
        "tail-volume", subject, "pass" if inside else "caution", value, band[0 if value <= band[1] else 1], "",
        f"the tail volume coefficient of the {subject} is {value:.3f}; foam jets have {band[0]:g} to {band[1]:g}{side}",
        "" if inside else "check the measures first; then area or arm", CUSTOM,
    )  # fmt: skip


def _hand_rule(case: Case, balance: Balance | None) -> Iterator[Finding]:
    airframe, wing, aero = case.design.airframe, case.study.wing, case.study.aero
    tail = tail_stations(airframe) if airframe else None
    if airframe is None or wing is None or aero is None or tail is None:
        return
    whole = tail_half(airframe) or tail
    arm = whole.quarter_mac_x - wing.quarter_mac_x
    rule = wing.mac_le_x + trim.balance_by_hand(
        chord=wing.mac, wing_area=wing.area, tail_area=2 * whole.area, tail_arm=arm
    )
    plane = aero.modified
    ours = plane.neutral_point - 0.10 * wing.mac
    off = (rule - ours) / wing.mac
    verdict: Verdict = "caution" if abs(off) > HAND_RULE_OFF else "pass"
    body = 0.0 if plane.body is None else plane.body.pitch_with_wing / plane.solution.lift_slope * wing.mac
    why = f"the trade's rule balances at {1e3 * rule:.0f} mm, 10 % ahead of our neutral point is {1e3 * ours:.0f} mm"
    if verdict == "caution":
        why += (
            f"; the rule knows no fuselage (ours moves the point {1e3 * body:.0f} mm forward), and takes one downwash "
            f"for all tails (this wing has an aspect ratio of {wing.aspect_ratio:.1f}, this tailplane "
            f"{4 * whole.s[-1] ** 2 / (2 * whole.area):.1f})"
        )
    used = "" if balance is None else "; the program balances by its own neutral point"
    yield Finding(
        "hand-rule", "centre of gravity", verdict, 1e3 * rule, 1e3 * ours, "mm", why + used,
        "" if verdict == "pass" else "start at the forward one of the two, and test by a dive: let go at 45 degrees",
        "rule of thumb read in public texts, no derivation; 5 %: ours",
    )  # fmt: skip
