"""Does every state of the flight balance, and how does it land there? Places in mm, margins in % of the mean chord."""

import math
from collections.abc import Iterable, Iterator

from foamworks.aircraft.balance import StateRow
from foamworks.aircraft.fins import tail_stations
from foamworks.aircraft.hands_off import STALL_TO_TRIM, air_of
from foamworks.aircraft.surfaces import tail_half
from foamworks.checks import settled
from foamworks.checks.base import (
    CUSTOM,
    Finding,
    Proposal,
    Verdict,
    collected,
    given,
    judged,
    lacking,
    missed,
    round_up,
)
from foamworks.checks.case import Case
from foamworks.checks.forward import further
from foamworks.checks.proposals import fins_sized_by, left_out
from foamworks.checks.records import record
from foamworks.checks.settled import all_known
from foamworks.design.edit import Edit
from foamworks.design.ladder import NO_MOTOR, NO_POD, level_flights
from foamworks.physics import trim
from foamworks.study.cures import UNBURNT
from foamworks.study.tolerance import LANDING_GROWTH
from foamworks.units import degrees, grams, km_h, mm, said

TAILPLANE = record("tailplane")
MARGIN = record("static-margin")
MANOEUVRE = record("manoeuvre-margin")
FORWARD = record("forward-limit")
LANDING = record("landing-speed")
TRIM_SPEED = record("trim-speed")
TAIL_VOLUME = record("tail-volume")
HAND_RULE = record("hand-rule")

HEAVY_MARGIN = 0.20  # static margin over which one says what it costs (common practice, no source)
LANDING_FAIL = 1.5  # times the stock model's landing speed: more than twice the energy to lose (ours)
NOISE = 1e-9  # of a margin or a place: what solving leaves
HAND_RULE_OFF = 0.05  # of the chord: a larger difference is explained
HAND_RULE_MARGIN = 0.10  # of the chord: what the trade's rule keeps ahead of the neutral point
HORIZONTAL, VERTICAL = (0.35, 0.55), (0.035, 0.06)  # usual volumes of foam jets (common practice, no source)
COARSE = 0.05  # of a usual volume: bands of custom have no sharper edges than this (ours)


def findings(case: Case) -> list[Finding]:
    """Judge the balance; nothing for a design without a wing."""
    checks = (
        _tailplane,
        _static,
        _tail_volume,
        _hand_rule,
        _manoeuvre,
        _forward,
        settled.solved,
        _landing,
        _trim_speed,
    )
    return collected(case, *checks) if case.study.flying else []


def _is_tailless(case: Case) -> bool:
    """Tell whether the airframe has no tailplane: it is judged as the flying wing that it then is."""
    return case.design.airframe.given and case.design.airframe.tailplane is None


def _tailplane(case: Case) -> Iterator[Finding]:
    """Say that the neutral point is the wing's, and which measure would change that."""
    point = given(case.study.aero).modified.neutral_point_flown
    if _is_tailless(case):
        yield TAILPLANE.unknown("model", point=said(point, "mm", 1))


def _static(case: Case) -> Iterator[Finding]:
    airframe = given(case.design.stock)
    mass, cg = "the model's mass (mass under [airframe])", "where it balances (cg under [airframe])"
    what = lacking({mass: airframe.mass, cg: airframe.cg})
    MARGIN.need(None if what else airframe, "every state", "model", what=what)
    rows = [row for row in given(case.study.balance).rows if math.isfinite(row.static_margin)]
    if not rows:
        yield MARGIN.unknown("every state", "aboard")
        return
    yield from _margins(case, rows)


def _margins(case: Case, rows: list[StateRow]) -> Iterator[Finding]:
    """Name every state under the limit, what the first flight lacks, the heaviest nose; else the worst that holds."""
    limits = case.design.limits
    under = [row for row in rows if row.static_margin < limits.least - NOISE]
    first = [
        row
        for row in rows
        if row.state in {NO_POD, NO_MOTOR} and limits.least - NOISE <= row.static_margin < limits.first - NOISE
    ]
    yield from (_margin_finding(case, row, "fail") for row in under)
    yield from (_margin_finding(case, row, "caution") for row in first)
    named = {row.name for row in (*under, *first)}
    heavy = max(rows, key=lambda row: row.static_margin)
    if heavy.static_margin > HEAVY_MARGIN and heavy.name not in named:
        named.add(heavy.name)
        yield _heavy(case, heavy)
    worst = min(rows, key=lambda row: (round(row.static_margin, 9), row.state.phase != UNBURNT))
    if not under and worst.name not in named:
        yield _margin_finding(case, worst, "pass")


def _margin_finding(case: Case, row: StateRow, verdict: Verdict) -> Finding:
    limits, chord = case.design.limits, given(case.study.wing).mac
    point = given(case.study.aero).modified.neutral_point_flown
    first = verdict == "caution"
    key, limit = ("first", limits.first) if first else ("least", limits.least)
    side = "ahead of" if row.cg_x <= point else "behind"
    then = {
        "pass": "; every other state is more stable" if row.ballast or case.design.motors else "",
        "caution": f"; the first flight is made like this and wants {said(limit, '%', 0)}",
    }
    return MARGIN.finding(
        verdict,
        row.name,
        value=row.static_margin,
        limit=limit,
        why=f"the centre of gravity lies at {said(row.cg_x, 'mm', 1)}, {said(abs(point - row.cg_x), 'mm', 1)} {side} "
        f"the neutral point at {mm(point):.1f}: {said(row.static_margin, '%', 1)} of the mean chord"
        + then.get(verdict, ""),
        cure=lambda: _forward_by(case, row, (limit - row.static_margin) * chord, first=first),
        source=f"limits.{key}; 10 to 15 % first, never under 5 %: {CUSTOM}",
    )


def _forward_by(case: Case, row: StateRow, move: float, *, first: bool) -> list[Proposal]:
    words = f"bring the centre of gravity {round_up(mm(move), 1):.1f} mm forward"
    if _is_tailless(case):
        words = f"measure its tailplane first, if it has one, else {words}"
    if first:
        words += " for the first flights"
    return further(case, row.mass, row.cg_x, move, words=words)


def _heavy(case: Case, row: StateRow) -> Finding:
    elevator, cost = case.design.airframe.elevator, ""
    if elevator and elevator.up and math.isfinite(row.elevator):
        cost = f"; landing takes {degrees(-row.elevator):.1f} of the {degrees(elevator.up):.0f} deg of up elevator"
    return MARGIN.finding(
        "caution",
        row.name,
        value=row.static_margin,
        limit=HEAVY_MARGIN,
        why=f"{said(row.static_margin, '%', 1)} is nose-heavy{cost}; it flies, but turns wider, lands faster and loses "
        "a little speed to the elevator's trim",
        cure=lambda: _aft_of(case, row, (row.static_margin - HEAVY_MARGIN) * given(case.study.wing).mac),
    )


def _aft_of(case: Case, row: StateRow, over: float) -> list[Proposal]:
    """Propose what takes a state so much [m] aft and can be typed; what was settled with others is flown as it is."""
    typed: list[Proposal] = []
    if not {"battery", "ballast"} & set(case.aircraft.marks):
        words = f"bring the centre of gravity {round_up(mm(over), 1):.1f} mm aft"
        typed = [way for way in further(case, row.mass, row.cg_x, -over, words=words) if way.edits]
    return [*typed, Proposal("fly it as it is: it lands faster and turns wider, and that is safe", "fly")]


def _manoeuvre(case: Case) -> Iterator[Finding]:
    aero, wing, balance = given(case.study.aero), given(case.study.wing), given(case.study.balance)
    point, least, first = given(balance.manoeuvre_point), case.design.limits.least, case.design.limits.first
    neutral = aero.modified.neutral_point_flown
    base = balance.row(NO_MOTOR).mass
    rooms = [(neutral + (point - neutral) * base / row.mass - row.cg_x, row) for row in balance.rows]
    room, row = min(rooms, key=lambda pair: pair[0])
    value = room / wing.mac
    verdict = judged(value, fail_below=least, caution_below=first)
    wanted = missed(verdict, least, first)
    short = (wanted - value) * wing.mac
    yield MANOEUVRE.finding(
        verdict,
        row.name,
        value=value,
        limit=wanted,
        why=f"in a hard pull the pitch damping helps: the manoeuvre point lies at {said(point, 'mm', 1)} (no motor), "
        f"and the margin to it is {said(value, '%', 1)} of the mean chord",
        cure=lambda: further(
            case,
            row.mass,
            row.cg_x,
            short,
            words=f"pull gently until the centre of gravity lies {round_up(mm(short), 1):.1f} mm further forward",
        ),
    )


def _forward(case: Case) -> Iterator[Finding]:
    balance, elevator = all_known(given(case.study.balance)), case.design.airframe.elevator
    window = balance.window
    if not (elevator and math.isfinite(window.forward)):
        tail = given(case.design.stock).tailplane
        yield FORWARD.unknown("every state", "tailplane" if not tail else "travel" if tail.elevator else "elevator")
        return
    up, row = elevator.up, min(balance.rows, key=lambda r: r.cg_x)
    room, use = row.cg_x - window.forward, -row.elevator
    crossed = "; the limits have crossed: no place is right for this elevator" if window.forward > window.aft else ""
    yield FORWARD.finding(
        judged(room, fail_below=-NOISE),
        row.name,
        value=row.cg_x,
        limit=window.forward,
        why=f"the centre of gravity lies {said(abs(room), 'mm', 1)} {'behind' if room >= 0 else 'ahead of'} the "
        f"forward limit, where two thirds of {said(up, 'deg', 0)} up elevator still hold the landing; it takes "
        f"{said(use, 'deg', 1)} here{crossed}",
        cure=lambda: _aft_by(case, row, -room, use),
    )


def _aft_by(case: Case, row: StateRow, move: float, use: float) -> list[Proposal]:
    """Say what helps; where battery or ballast are settled, another travel settles them anew."""
    words = f"bring the centre of gravity {round_up(mm(move), 1):.1f} mm aft"
    if {"battery", "ballast"} & set(case.aircraft.marks):
        return [Proposal(f"{words}, by what is proposed for battery and lead", "set")]
    up = round_up(degrees(use) / trim.ELEVATOR_SHARE)
    more = Proposal(f"give the elevator {up:.0f} deg up", "set", (Edit("airframe.tailplane.elevator.up", up, "deg"),))
    return [*further(case, row.mass, row.cg_x, -move, words=words), more]


def _landing(case: Case) -> Iterator[Finding]:
    airframe, wing, balance = given(case.design.stock), given(case.study.wing), given(case.study.balance)
    mass, max_lift = given(airframe.mass), given(airframe.wing).max_lift
    rows = [row for row in balance.rows if math.isfinite(row.landing_speed)]
    if not rows:
        return
    stock = trim.landing_speed(mass=mass, max_lift=max_lift, density=air_of(case.design).density, area=wing.area)
    row = max(rows, key=lambda row: row.landing_speed)
    speed = row.landing_speed
    growth = speed / stock
    yield LANDING.finding(
        judged(growth, fail_above=LANDING_FAIL, caution_above=LANDING_GROWTH),
        row.name,
        value=speed,
        limit=LANDING_GROWTH * stock,
        why=f"the stock model lands at {said(stock, 'km/h', 0)}, this state at {km_h(speed):.0f} "
        f"({100 * (growth - 1):+.0f} %), {said(row.mass, 'g', 0)} at a greatest lift coefficient of {max_lift:g}",
        cure=lambda: (
            Proposal(f"take {round_up(grams(row.mass - mass * LANDING_GROWTH**2)):.0f} g off the model"),
            *left_out(case.asked, row.motor or ""),
            Proposal("fly the motor out before landing, and choose a long smooth field", "fly"),
        ),
    )


def _trim_speed(case: Case) -> Iterator[Finding]:
    flown = given(case.study.balance).trimming
    if given(case.design.stock).trim or level_flights(case.design) or not math.isfinite(flown.speed):
        return
    yield TRIM_SPEED.finding("caution", "stock model", value=flown.speed, ratio=STALL_TO_TRIM)


def _tail_volume(case: Case) -> Iterator[Finding]:
    wing, tail = given(case.study.wing), given(tail_half(given(case.design.stock)))
    value = trim.tail_volume(
        tail_area=2 * tail.area,
        tail_arm=tail.quarter_mac_x - wing.quarter_mac_x,
        wing_area=wing.area,
        chord=wing.mac,
    )
    yield _usual("tailplane", value, HORIZONTAL, "holds its attitude badly", "costs weight and drag", ())
    fins = case.study.new_fins or case.study.old_fin
    if fins and case.design.fins:  # a flying wing's, without a tail, are smaller
        value = fins.volume_coefficient(wing)
        if value <= 0:
            return  # `fin-place` says it
        others = fins_sized_by("stiffness" if value < VERTICAL[0] else "volume", case.asked)
        yield _usual("fins", value, VERTICAL, "wags and wanders easily", "may tighten its spiral", others)


def _usual(
    subject: str, value: float, band: tuple[float, float], small: str, large: str, others: Iterable[Proposal]
) -> Finding:
    low, high = band
    verdict = judged(value, caution_below=low * (1 - COARSE), caution_above=high * (1 + COARSE))
    fault = f"less {small}" if value < low else f"more {large}"
    return TAIL_VOLUME.finding(
        verdict,
        subject,
        value=value,
        limit=low if value <= high else high,
        why=f"the tail volume coefficient of the {subject} is {value:.3f}; foam jets have {low:g} to {high:g}"
        + ("" if verdict == "pass" else f"; one with {fault}"),
        cure=(
            *others,
            Proposal(
                f"measure the {subject} and the wing again; if it is so, fly it as it is and with care", "measure"
            ),
        ),
    )


def _hand_rule(case: Case) -> Iterator[Finding]:
    airframe, wing = given(case.design.stock), given(case.study.wing)
    given(case.asked.airframe.cg or case.asked.airframe.mass)  # whoever changes fins alone does not balance it
    plane = given(case.study.aero).modified
    tail = tail_half(airframe) or given(tail_stations(airframe))
    arm = tail.quarter_mac_x - wing.quarter_mac_x
    rule = wing.mac_le_x + trim.balance_by_hand(
        chord=wing.mac, wing_area=wing.area, tail_area=2 * tail.area, tail_arm=arm
    )
    ours = plane.neutral_point_flown - HAND_RULE_MARGIN * wing.mac
    verdict = judged(abs(rule - ours) / wing.mac, caution_above=HAND_RULE_OFF)
    body = plane.body_shift
    slender = 4 * tail.s[-1] ** 2 / (2 * tail.area)
    explained = (
        f"; the rule knows no fuselage (ours moves the point {said(body, 'mm', 0)} forward), and takes one downwash "
        f"for all tails (this wing has an aspect ratio of {wing.aspect_ratio:.1f}, this tailplane {slender:.1f})"
    )
    used = "" if case.study.balance is None else "; the program balances by its own neutral point"
    more = used if verdict == "pass" else explained + used
    yield HAND_RULE.finding(verdict, "centre of gravity", value=rule, limit=ours, more=more)
