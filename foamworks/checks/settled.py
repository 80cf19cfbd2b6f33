"""Where battery and ballast settle, which two states fight when they cannot, and what single change parts them."""

import math
from collections.abc import Iterator

from foamworks.aircraft.balance import Balance, StateRow
from foamworks.aircraft.solve import opened
from foamworks.checks.base import Finding, Proposal, given
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.ladder import NO_POD, has_pod
from foamworks.design.quantity import is_open
from foamworks.study.cures import NOSE_ROOM, Cure, Fight, cures, fight
from foamworks.units import said

SOLVED = record("balance-solved")

CLOSE = 0.0005  # m: this near a limit, ahead or behind, is on it
NEXT_CURES = 5  # shown
NEAR_SURE = 0.015  # a share sampled anew and ballast in whole grams settle no finer (ours)


def all_known(balance: Balance) -> Balance:
    """Give the balance where every state has its centre of gravity; else nothing is asked."""
    return given(balance if all(math.isfinite(row.cg_x) for row in balance.rows) else None)


def _inside(balance: Balance, row: StateRow) -> bool:
    return balance.window.forward - 1e-8 <= row.cg_x <= balance.window.aft + 1e-8


def solved(case: Case) -> Iterator[Finding]:
    """Judge whether every state lies inside the window; what is bare of the pod, with a battery place of its own."""
    given(case.aircraft.settled)
    balance = all_known(given(case.study.balance))
    window, bare, pod = balance.window, balance.row(NO_POD), has_pod(case.design)
    if pod and not _inside(balance, bare):
        aft = bare.cg_x > window.aft
        limit = window.aft if aft else window.forward
        none = "combine more room for the battery with more lead in the nose: no single change within reach does it"
        yield SOLVED.finding(
            "fail",
            NO_POD.name,
            of="behind" if aft else "ahead",
            value=bare.cg_x,
            limit=limit,
            off=abs(bare.cg_x - limit),
            cure=lambda: _ways(case, bare=True, none=none),
        )
    rows = [row for row in balance.rows if row.state != NO_POD or not pod]
    if all(_inside(balance, row) for row in rows):
        why = f"all {len(rows)} states lie inside the window; {_placed(case, balance)}"
        yield SOLVED.passes("every state", why=why)
        return
    yield _fighting(case, balance, given(fight(opened(case.design, case.asked), window)))


def _placed(case: Case, balance: Balance) -> str:
    battery = case.asked.airframe.battery
    where = "the battery is not given and stays where it was"
    if battery:
        how = "was placed" if is_open(battery.x) else "sits"
        where = f"the battery {how} at {said(balance.battery_x, 'mm', 0)}"
    if battery and not math.isfinite(balance.battery_x):
        where = "the battery's mass or its place when the model was weighed is not known, so it stays where it was"
    lead = f"with {said(balance.ballast, 'g', 0)} of ballast" if balance.ballast > 0 else "and no ballast is needed"
    pack = case.design.ignition.pack if case.design.ignition else None
    if pack and "ignition pack" in case.aircraft.marks and math.isfinite(pack.x):
        where += f", the ignition pack at {said(pack.x, 'mm', 0)},"
    return f"{where} {lead}{_aimed(case, balance)}"


def _aimed(case: Case, balance: Balance) -> str:
    """Say which margin what is automatic aims at, and whether there was room for it."""
    tolerance, wing = case.study.tolerance, case.study.wing
    if not (case.aircraft.opened and tolerance and wing and tolerance.spare > 0):
        return ""
    limits = case.design.limits
    aim = f"{said(limits.least + tolerance.spare / wing.mac, '%', 1)}"
    worst = min(row.static_margin for row in balance.rows)
    kept = tolerance.share("static-margin", "every state") or 0.0
    words = (
        f"; {aim} as drawn is what {said(limits.sure, '%', 0)} of the builds need to keep {said(limits.least, '%', 0)}"
    )
    if kept >= limits.sure - NEAR_SURE:
        return words
    return f"{words}, and there is room for {said(worst, '%', 1)}, which {said(kept, '%', 0)} of them keep"


def _ways(case: Case, *, bare: bool, none: str) -> list[Proposal] | str:
    """Give the single changes that settle the balance, or the words for none."""
    found = cures(opened(case.design, case.asked), given(case.study.flying), bare=bare)[:NEXT_CURES]
    # a lighter motor is another motor: it is bought, not typed
    typed = ((_cure_text(cure), () if cure.kind == "motor" else cure.edits) for cure in found)
    return [Proposal(words, "set" if edits else "bench", edits) for words, edits in typed] or none


def _fighting(case: Case, balance: Balance, found: Fight) -> Finding:
    """Say which two states fight, and what would part them."""
    words = f'"{found.aft_state}" lies {_miss(found.aft_miss, "behind", "the aft limit")}'
    if math.isfinite(found.forward_miss):
        words += f', while "{found.forward_state}" lies {_miss(found.forward_miss, "ahead of", "the forward limit")}'
    return SOLVED.finding(
        "fail",
        "every state",
        value=max(found.aft_miss, found.forward_miss),
        limit=0.0,
        why=f"no place of battery and ballast brings every state inside: {words}; {_placed(case, balance)}",
        cure=lambda: _ways(
            case,
            bare=False,
            none="combine a pod further forward, a lighter motor and more lead in the nose: no single change within "
            "reach does it",
        ),
    )


def _miss(distance: float, over: str, limit: str) -> str:
    if distance > CLOSE:
        return f"{said(distance, 'mm', 1)} {over} {limit}"
    return f"on {limit}" if distance > -CLOSE else f"{said(-distance, 'mm', 1)} inside {limit}"


def _cure_text(cure: Cure) -> str:
    change, value = abs(cure.change), cure.value
    way = "forward" if cure.change < 0 else "aft"
    step, more, weight = said(change, "mm", 0), said(change, "g", 0), said(value, "g", 0)
    lead = f"glue {weight} of lead into the nose at x = {said(NOSE_ROOM, 'mm', 0)}"
    return {
        "pod": f"move the pod {step} {way}",
        "motor": f"take no motor heavier than {weight}: the {cure.name} has {more} more",
        "ballast": f"allow {weight} of lead, {more} more" if change != value else lead,
        "ballast place": f"put the lead {step} further {way}",
        "slide": f"let the battery go {step} further {way}",
        "elevator": f"give the elevator {said(value, 'deg', 0)} up",
        "retainer": "hold the motor by a hook instead of a cap",
    }[cure.kind]
