"""Do fins, wing and pod stand what the flight asks of them? Speeds in km/h, stresses in MPa, moments in N m."""

import math
from collections.abc import Iterator

from foamworks.checks.base import (
    Check,
    Finding,
    LateCure,
    Proposal,
    Verdict,
    collected,
    given,
    judged,
    missed,
    round_down,
    round_up,
)
from foamworks.checks.case import Case
from foamworks.checks.proposals import built, left_out, smaller
from foamworks.checks.records import record
from foamworks.design.airframe import Wing
from foamworks.design.edit import Edit, entry_key
from foamworks.design.workshop import Board
from foamworks.errors import not_measured
from foamworks.parts.density import board_named, stuff
from foamworks.physics.beam import tip_rise
from foamworks.study.pod.glue import FOAM_TENSION
from foamworks.study.strength import STRENGTH, Fast, FinLoad, WingLoad
from foamworks.units import STANDARD_GRAVITY, degrees, grams, km_h, megapascals, mm, said

FLUTTER = record("flutter")
FIN = record("fin-strength")
TAB_GLUE = record("tab-glue")
WING = record("wing-load")

FLUTTER_LEAST, FLUTTER_WANTED = 1.2, 1.5  # times the fastest speed (ours)
FACTOR_WANTED = 2.0  # on the strength of fin, root and ring (ours)
TIP_MOST = 0.10  # of a fin's height: a fin that bends more no longer stands where it was sized for (ours)
RESERVE = 1.02  # on what a proposal asks for: the next reading of the scale moves the load (ours)
LEAST_TRAVEL = 2.0  # deg up: no rate can be set to less (ours)
LEAST_LOAD_FACTOR = 6.0  # times the weight, of a tight turn in gusts (ours)
NO_SPEED = "how fast it flies is not known"


def findings(case: Case) -> list[Finding]:
    """Judge the strength of what is added and of what carries it; nothing where the design does not ask for it."""
    return collected(case, _flutter, _fin, _glue, _wing)


def withheld(verdict: Verdict, fast: Fast) -> Verdict:
    """Withhold a pass when the burn's own peak is not known: it lies above the speed that was looked at."""
    return verdict if fast.whole or verdict == "fail" else "unknown"


def at(fast: Fast) -> str:
    """Say the fastest speed, when it is flown, and whether it is all."""
    short = "" if fast.whole else "; not every motor's own peak is known, and it lies above"
    return f"{said(fast.speed, 'km/h', 0)} ({fast.words}{short})"


def _flutter(case: Case) -> Iterator[Finding]:
    strength = given(case.study.strength)
    fast = strength.fastest
    asked = FLUTTER.need(case.design.fins, "fins", "fins")
    new = FLUTTER.need(case.study.new_fins, "fins", "size")
    board = board_named(case.design, asked.board)
    board = FLUTTER.need(board if board and math.isfinite(board.shear_modulus) else None, "fins", "board")
    taper, thick = new.stations.taper, f"{mm(board.thickness):g}"
    lack = "taper" if taper > 1 else "root"
    speed = FLUTTER.need(strength.flutter, "fins", lack, taper=f"{taper:.2f}", thick=thick)
    FLUTTER.need(fast.speed, "fins", "speed", speed=said(speed, "km/h", 0), fly=give_speed(case))
    yield reserve(
        FLUTTER,
        "fins",
        speed,
        fast,
        why=f"by the bare formula the fins flutter at {said(speed, 'km/h', 0)}",
        more=". It is made for a solid plate of one material clamped at its root, and is used here with the shear "
        "modulus that a twisted strip gave",
        cure=lambda: _flutter_cures(case, speed, fast, board),
    )


def reserve(check: Check, subject: str, speed: float, fast: Fast, *, why: str, more: str, cure: LateCure) -> Finding:
    """Judge the speed [m/s] at which something breaks by the fastest; `why` begins the sentence, `more` ends it."""
    least, wanted = FLUTTER_LEAST * fast.speed, FLUTTER_WANTED * fast.speed
    verdict = withheld(judged(speed, fail_below=least, caution_below=wanted), fast)
    return check.finding(
        verdict,
        subject,
        value=speed,
        limit=missed(verdict, least, wanted),
        why=f"{why}, {speed / fast.speed:.2f} x {at(fast)}; {FLUTTER_WANTED:g} x is wanted, "
        f"{FLUTTER_LEAST:g} x the least{more}",
        cure=cure,
    )


def _flutter_cures(case: Case, speed: float, fast: Fast, board: Board) -> Iterator[Proposal]:
    """The formula's speed goes with the root of the shear modulus and with thickness to the power of 1.5."""
    short = FLUTTER_WANTED * fast.speed / speed
    if short <= 1:
        yield Proposal(give_speed(case), "measure")
        return
    thick = round_up(mm(board.thickness) * (RESERVE * short) ** (2 / 3), 1)
    edits = [Edit(f"{entry_key('boards', board.name)}.thickness", thick, "mm")]
    if math.isfinite(board.mass):
        weighs = grams(board.mass) * thick / mm(board.thickness)
        edits.append(Edit(f"{entry_key('boards', board.name)}.mass", round(weighs, 1), "g"))
    yield Proposal(f"take a board of {thick:.1f} mm", "set", tuple(edits))
    yield from left_out(case.asked, fast.motor)
    yield Proposal(
        f"take a board that is {round_up(RESERVE * short**2, 1):.1f} x as stiff in twist (a second paper, a glass face "
        "on the slant), or make the fins lower and longer"
    )
    slow = round_down(km_h(speed) / FLUTTER_WANTED)
    yield Proposal(f"stay under {slow:.0f} km/h with {smaller(case.asked, fast.motor)}, and stop at any buzz", "fly")


def give_speed(case: Case) -> str:
    """Say what tells how fast it flies: a flight, and with a motor what its peak is worked out from."""
    then = "; fan, battery and motor data then give the burn's peak" if case.design.motors else ""
    return f"fly it as it is, and type the speed into [[flights]]{then}"


def _fin(case: Case) -> Iterator[Finding]:
    fast = given(case.study.strength).fastest
    FIN.need(case.design.fins, "fins", "fins")
    height = FIN.need(case.study.new_fins, "fins", "size").stations.height
    load = _load(FIN, case)
    stands = STRENGTH[load.kind]
    verdict = judged(load.stress, fail_above=stands, caution_above=stands / FACTOR_WANTED)
    bent = load.tip > TIP_MOST * height
    if verdict == "pass" and bent:
        verdict = "caution"
    verdict = withheld(verdict, fast)
    where = {
        "paper-faced": f"in the paper faces ({said(load.face, 'mm', 2)} each, from the board's mass)",
        "foam": "at the surface of the foam",
        "solid": "at the surface of the board",
    }[load.kind]
    preset = "" if stuff(_board(case)).measured else "; the board was not weighed, a preset is taken"
    tip = (
        f"; the tip bends by {said(load.tip, 'mm', 1)}"
        if math.isfinite(load.tip)
        else "; how far it bends is not known without the board's bending_modulus"
    )
    least = f", {megapascals(stands):g} MPa break it" if math.isfinite(stands) else ""
    value, limit, unit = load.stress, missed(verdict, stands, stands / FACTOR_WANTED), "MPa"
    if verdict == "caution" and load.stress <= stands / FACTOR_WANTED:  # that the tip bends is all that misses
        value, limit, unit = load.tip, TIP_MOST * height, "mm"
    yield FIN.finding(
        verdict,
        "fins",
        value=value,
        limit=limit,
        unit=unit,
        why=f"20 deg of sideslip at {at(fast)} press {load.force:.1f} N on each fin (coefficient "
        f"{load.coefficient:.2f}), {said(load.arm, 'mm', 0)} above its root: {megapascals(load.stress):.2g} MPa "
        f"{where}{least}{tip}{preset}",
        cure=lambda: _fin_cures(case, load, fast, stands, bent=bent),
    )


def _load(check: Check, case: Case) -> FinLoad:
    strength = given(case.study.strength)
    check.need(strength.fastest.speed, "fins", "speed", fly=give_speed(case))
    return check.need(strength.fin, "fins", "board")


def _board(case: Case) -> Board | None:
    return board_named(case.design, case.design.fins.board) if case.design.fins else None


def _fin_cures(case: Case, load: FinLoad, fast: Fast, stands: float, *, bent: bool) -> Iterator[Proposal]:
    if math.isnan(stands):
        yield Proposal("load a strip of this board until it breaks, and compare", "measure")
        return
    weak = load.stress > stands / FACTOR_WANTED
    if weak:
        spar = round_up(RESERVE * FACTOR_WANTED * load.moment - load.root, 2)
        yield built(
            f"lay a rod, a spar or glass tape over both faces of each fin's root, that stands {spar:.2f} N m by itself",
            "root_spar",
            spar,
            "N m",
        )
        yield from left_out(case.asked, fast.motor)
        slow = fast.speed * math.sqrt(stands / FACTOR_WANTED / load.stress)
        yield Proposal(f"keep from hard yaw above {round_down(km_h(slow)):.0f} km/h", "fly")
    if bent:
        yield Proposal("take a stiffer board, or make the fins lower and longer in the root")
    if not weak and not bent:
        yield Proposal(give_speed(case), "measure")


def _glue(case: Case) -> Iterator[Finding]:
    strength, fins = given(case.study.strength), given(case.design.fins)
    given(case.study.new_fins)
    load, fast = _load(TAB_GLUE, case), strength.fastest
    verdict = withheld(judged(load.moment, fail_above=load.glue, caution_above=load.glue / FACTOR_WANTED), fast)
    yield TAB_GLUE.finding(
        verdict,
        "fins",
        value=load.moment,
        limit=missed(verdict, load.glue, load.glue / FACTOR_WANTED),
        why=f"20 deg of sideslip at {at(fast)} turn each fin's root with {load.moment:.2f} N m; the foam round "
        f"{'tabs and fillets' if fins.mount == 'tab' else 'the fillets'} of {mm(load.fillet):g} mm lets go at about "
        f"{load.glue:.2f}",
        cure=lambda: _root_cures(case, load, fast),
    )


def _root_cures(case: Case, load: FinLoad, fast: Fast) -> Iterator[Proposal]:
    if load.moment <= load.glue / FACTOR_WANTED:
        yield Proposal(give_speed(case), "measure")
        return
    if load.stands <= 0:
        yield Proposal("put the roots onto the tailplane first: here nothing carries them")
        return
    wide = math.ceil(mm(_fillet(case, load)))
    yield built(f"make the fillets at the fins' roots {wide} mm wide", "fillet", wide, "mm")
    yield from left_out(case.asked, fast.motor)


def _fillet(case: Case, load: FinLoad) -> float:
    """Width of the fillets [m] that brings the root to the wanted factor."""
    root, t, w = load.stands, given(_board(case)).thickness, load.fillet
    missing = FACTOR_WANTED * load.moment - load.glue + FOAM_TENSION * (t + w) * root * w
    return (math.sqrt(t**2 + 4 * missing / (FOAM_TENSION * root)) - t) / 2


def _wing(case: Case) -> Iterator[Finding]:
    strength = given(case.study.strength)
    fast, pull = strength.fastest, ""
    shape = WING.need(case.design.airframe.wing, "wing", "wing")
    wing = WING.need(strength.wing, "wing", "mass")
    if fast.known:
        pull = f"full up elevator at {at(fast)} pulls {wing.pulls:.0f} times its weight{_bent(shape, wing)}"
    WING.need(wing.stands, "wing", "spar", pull=f"; {pull}" if pull else "")
    stands = wing.stands
    verdict = judged(stands, fail_below=LEAST_LOAD_FACTOR, caution_below=wing.pulls)
    if verdict == "pass":
        verdict = withheld(verdict, fast)
    yield WING.finding(
        verdict,
        "wing",
        value=stands,
        limit=missed(verdict, LEAST_LOAD_FACTOR, wing.pulls),
        why=f"the spar stands {stands:.1f} times the model's {said(wing.mass, 'g', 0)}, {LEAST_LOAD_FACTOR:g} times is "
        f"the least; {pull or NO_SPEED}",
        cure=lambda: give_speed(case) if verdict == "unknown" else _wing_cures(case, wing, fast, stands, verdict),
    )


def _bent(shape: Wing, wing: WingLoad) -> str:
    """Say how far the pull bends the tips up, where the stiffness in bending was measured."""
    if not_measured(shape.bending_stiffness):
        return ""
    half = wing.pulls * wing.mass * STANDARD_GRAVITY / 2
    return f", which would bend its tips up by {said(tip_rise(load=half, stiffness=shape.bending_stiffness), 'mm', 0)}"


def rate(up: float, fast: Fast) -> Iterator[Proposal]:
    """Propose so much up elevator [deg] at most for the fastest speed, where a rate can be set to it."""
    if up >= LEAST_TRAVEL:
        edit = Edit(f"airframe.tailplane.elevator.{'boost_up' if fast.motor else 'up'}", up, "deg")
        yield Proposal(f"set a rate for the boost with {up:.1f} deg of up elevator at most", "set", (edit,))


def _wing_cures(case: Case, wing: WingLoad, fast: Fast, stands: float, verdict: Verdict) -> Iterator[Proposal]:
    """Ask for a stronger spar, and less travel where a rate can be set to what is left."""
    if verdict == "fail":
        yield Proposal(f"fit a spar at least {round_up(LEAST_LOAD_FACTOR / stands, 1):.1f} x as strong")
        return
    up = round_down(degrees(wing.up), 1)
    yield from rate(up, fast)
    if up < LEAST_TRAVEL:
        yield Proposal(f"pull gently: {up:.1f} deg of up elevator are enough, too little to set a rate to", "fly")
    yield from left_out(case.asked, fast.motor)
    stronger = round_up(wing.pulls / stands, 1)
    yield Proposal(f"fit a spar {stronger:.1f} x as strong, and look at the root after every boost")
