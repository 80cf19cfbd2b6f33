"""Do fins, wing and pod stand what the flight asks of them? Speeds in km/h, stresses in MPa, moments in N m."""

import math
from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Finding, Verdict, heard, judged, missed, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.model import Design
from foamworks.design.workshop import Board
from foamworks.parts.base import Parts
from foamworks.parts.density import board_named, stuff
from foamworks.parts.make import pod_clearance, pod_mount, pod_shape
from foamworks.study.pod_glue import FOAM_TENSION, LANDING, GlueLine, study_pod_glue
from foamworks.study.retainer import PLATE, Retainer, wire_for
from foamworks.study.strength import BoardKind, Fast, FinLoad, Strength, WingLoad
from foamworks.units import megapascals, mm, said

FLUTTER = record("flutter")
FIN = record("fin-strength")
TAB_GLUE = record("tab-glue")
WING = record("wing-load")
GLUE = record("glue-line")
RING = record("thrust-ring", landing=LANDING)
HELD = record("retainer-strength")

FLUTTER_LEAST, FLUTTER_WANTED = 1.2, 1.5  # times the fastest speed (ours)
STRENGTH: dict[BoardKind, float | None] = {  # Pa (from memory)
    "paper-faced": 15e6,  # paper pressed along its plane, before it wrinkles off the foam
    "foam": 0.4e6,  # foam sheet of 30 kg/m3 in bending
    "solid": None,
}
FACTOR_WANTED = 2.0  # on the strength of fin, root and ring (ours)
TIP_MOST = 0.10  # of a fin's height: a fin that bends more no longer stands where it was sized for (ours)
GLUE_FACTOR = 4.0  # on foam and paper, over the peak thrust (common practice, no source)
FOOT_LEAST = 2.0  # of the mount's foot, where the factor counts its greatest stress, not the mean (ours)
LEAST_LOAD_FACTOR = 6.0  # times the weight, of a tight turn in gusts (ours)
PLY_OVER_PRINT = 2.0  # times as strong in bending, birch ply beside a warm print (from memory)
FOOT = "mount on the back"
MOVE_MOST = 150  # mm: how far a lower nozzle or a longer tube is looked for
WIDER_MOST = 4.0  # times the mount's width: beyond it another mount is wanted
NO_SPEED = "how fast it flies is not known"
GIVE_SPEED = "fly it as it is and give [[flights]] speed; fan, battery and motor data then give the burn's peak"


def findings(case: Case) -> list[Finding]:
    """Judge the strength of what is added and of what carries it; nothing where the design does not ask for it."""
    strength = case.study.strength
    if strength is None:
        return []
    return [
        *heard(_flutter(case, strength)),
        *_fin(case, strength),
        *heard(_wing(case, strength)),
        *_glue(case, strength),
        *_ring(strength),
        *_retainer(strength),
    ]


def _judged(verdict: Verdict, fast: Fast) -> Verdict:
    """Withhold a pass when the burn's own peak is not known: it lies above the speed that was looked at."""
    return verdict if fast.whole or verdict == "fail" else "unknown"


def _at(fast: Fast) -> str:
    short = "" if fast.whole else "; not every motor's own peak is known, and it lies above"
    return f"{said(fast.speed, 'km/h', 0)} ({fast.words}{short})"


def _flutter(case: Case, strength: Strength) -> Iterator[Finding]:
    asked = FLUTTER.need(
        case.design.fins,
        "fins",
        why="the formula is for plates of a known board; there are no new fins of one here",
        measure="give [fins] with its board, or take the speed up in steps",
    )
    new = FLUTTER.need(
        case.study.new_fins,
        "fins",
        why="the new fins are not sized yet",
        measure="see fin-volume: what it waits for",
    )
    board = board_named(case.design, asked.board)
    board = FLUTTER.need(
        board if board is not None and board.shear_modulus is not None else None,
        "fins",
        why="the board's shear modulus was not measured; no published value for paper-faced board exists",
        measure="twist a strip of it (cards.pdf: Board strips): shear_modulus in [[boards]]",
    )
    taper = new.stations.taper
    speed = FLUTTER.need(
        strength.flutter,
        "fins",
        why=f"a taper of {taper:.2f} or a thickness of {mm(board.thickness):g} mm is outside its formula",
        measure="make the tip no longer than the root" if taper > 1 else "make the root longer",
    )
    fast = FLUTTER.need(
        strength.fastest,
        "fins",
        why=f"the fins flutter at {said(speed, 'km/h', 0)} by the bare formula, and {NO_SPEED}",
        measure=GIVE_SPEED,
    )
    least, wanted = FLUTTER_LEAST * fast.speed, FLUTTER_WANTED * fast.speed
    verdict = _judged(judged(speed, fail_below=least, caution_below=wanted), fast)
    yield FLUTTER.finding(
        verdict,
        "fins",
        value=speed,
        limit=missed(verdict, least, wanted),
        why=f"by the bare formula the fins flutter at {said(speed, 'km/h', 0)}, {speed / fast.speed:.2f} x {_at(fast)}"
        f"; {FLUTTER_WANTED:g} x is wanted, {FLUTTER_LEAST:g} x the least. It is made for a solid plate of one "
        "material clamped at its root, and is used here with the shear modulus that a twisted strip gave",
        cure=lambda: _flutter_cure(speed, fast, board.thickness),
    )


def _flutter_cure(speed: float, fast: Fast, thickness: float) -> str:
    """The formula's speed goes with the root of the shear modulus and with thickness to the power of 1.5."""
    short = FLUTTER_WANTED * fast.speed / speed
    if short <= 1:
        return GIVE_SPEED
    return (
        f"stay under {round_down(3.6 * speed / FLUTTER_WANTED):.0f} km/h (a smaller motor), take a board of "
        f"{round_up(1e3 * thickness * short ** (2 / 3), 1):.1f} mm or one {round_up(short**2, 1):.1f} x as stiff in "
        "twist (a second paper, a glass face on the slant), or make the fins lower and longer; stop at any buzz"
    )


def _fin(case: Case, strength: Strength) -> Iterator[Finding]:
    fast, load, new = strength.fastest, strength.fin, case.study.new_fins
    if case.design.fins is None or new is None:
        old = case.design.fins is None
        why = (
            "the fin that is on the model is not of a board that was measured" if old else "the fins are not sized yet"
        )
        cure = "bend it by hand at the root before and after each boost" if old else "see fin-volume, or give fins.each"
        yield FIN.unknown(
            "fins",
            why=why,
            measure=cure,
        )
        return
    if load is None or fast is None:
        why = NO_SPEED if fast is None else "the board is not given"
        measure = GIVE_SPEED if fast is None else "add [[boards]]: thickness, mass"
        yield from (check.unknown("fins", why=why, measure=measure) for check in (FIN, TAB_GLUE))
        return
    yield _fin_finding(case, load, fast, new.stations.height)
    yield _glue_finding(case, load, fast)


def _fin_finding(case: Case, load: FinLoad, fast: Fast, height: float) -> Finding:
    stands = STRENGTH[load.kind]
    verdict: Verdict = "unknown"
    if stands is not None:
        verdict = judged(load.stress, fail_above=stands, caution_above=stands / FACTOR_WANTED)
    bent = load.tip is not None and load.tip > TIP_MOST * height
    if verdict == "pass" and bent:
        verdict = "caution"
    verdict = _judged(verdict, fast)
    where = {
        "paper-faced": f"in the paper faces ({said((load.face or 0), 'mm', 2)} each, from the board's mass)",
        "foam": "at the surface of the foam",
        "solid": "at the surface of the board",
    }[load.kind]
    preset = "" if stuff(_board(case)).measured else "; the board was not weighed, a preset is taken"
    tip = (
        f"; the tip bends by {said(load.tip, 'mm', 1)}"
        if load.tip is not None
        else ("; how far it bends is not known without the board's bending_modulus")
    )
    least = "" if stands is None else f", {megapascals(stands):g} MPa break it"
    value, limit, unit = _fin_numbers(load, verdict, stands, height)
    return FIN.finding(
        verdict,
        "fins",
        value=value,
        limit=limit,
        unit=unit,
        why=f"20 deg of sideslip at {_at(fast)} press {load.force:.1f} N on each fin (coefficient "
        f"{load.coefficient:.2f}), {said(load.arm, 'mm', 0)} above its root: {megapascals(load.stress):.2g} MPa "
        f"{where}{least}{tip}{preset}",
        cure=lambda: _fin_cure(load, fast, stands, bent),
    )


def _fin_numbers(
    load: FinLoad, verdict: Verdict, stands: float | None, height: float
) -> tuple[float, float | None, str]:
    """Give value, limit and unit: the stress, or how far the tip bends where that alone is what misses."""
    if stands is None:
        return load.stress, None, "MPa"
    if verdict == "caution" and load.tip is not None and load.stress <= stands / FACTOR_WANTED:
        return load.tip, TIP_MOST * height, "mm"
    return load.stress, missed(verdict, stands, stands / FACTOR_WANTED), "MPa"


def _board(case: Case) -> Board | None:
    return board_named(case.design, case.design.fins.board) if case.design.fins else None


def _fin_cure(load: FinLoad, fast: Fast, stands: float | None, bent: bool) -> str:
    if stands is None:
        return "load a strip of this board until it breaks, and compare"
    cures = []
    if load.stress > stands / FACTOR_WANTED:
        slow = fast.speed * math.sqrt(stands / FACTOR_WANTED / load.stress)
        calm = f"no hard yaw above {round_down(3.6 * slow):.0f} km/h"
        cures.append(f"{calm}, or lay tape or a thin spar over both faces of the root")
    if bent:
        cures.append("a stiffer board, or fins lower and longer in the root")
    return "; ".join(cures) or GIVE_SPEED


def _glue_finding(case: Case, load: FinLoad, fast: Fast) -> Finding:
    tabs = case.design.fins is not None and case.design.fins.mount == "tab"
    verdict = _judged(judged(load.moment, fail_above=load.glue, caution_above=load.glue / FACTOR_WANTED), fast)
    cure = "" if verdict == "pass" else GIVE_SPEED
    if load.moment > load.glue / FACTOR_WANTED:
        cure = (
            f"make the fillets {math.ceil(1e3 * _fillet(case, load))} mm wide (build.fillet), or glue a plywood "
            "doubler under the tailplane for the tabs to go through"
        )
    return TAB_GLUE.finding(
        verdict,
        "fins",
        value=load.moment,
        limit=missed(verdict, load.glue, load.glue / FACTOR_WANTED),
        why=f"20 deg of sideslip at {_at(fast)} turn each fin's root with {load.moment:.2f} N m; the foam round "
        f"{'tabs and fillets' if tabs else 'the fillets'} of {mm(load.fillet):g} mm lets go at about "
        f"{load.glue:.2f}",
        cure=cure,
    )


def _fillet(case: Case, load: FinLoad) -> float:
    """Width of the fillets [m] that brings the root to the wanted factor."""
    board = _board(case)
    if board is None:
        return load.fillet
    root, t, w = load.stands, board.thickness, load.fillet
    missing = FACTOR_WANTED * load.moment - load.glue + FOAM_TENSION * (t + w) * root * w
    return (math.sqrt(t**2 + 4 * missing / (FOAM_TENSION * root)) - t) / 2


def _wing(case: Case, strength: Strength) -> Iterator[Finding]:
    airframe, fast = case.design.airframe, strength.fastest
    WING.need(
        airframe.wing if airframe is not None else None,
        "wing",
        why="the wing is not given",
        measure="measure [airframe.wing]",
    )
    wing = WING.need(strength.wing, "wing", why="the model's mass is not known", measure="weigh it: airframe.mass")
    pull = ""
    if wing.pulls is not None and fast is not None:
        pull = f"full up elevator at {_at(fast)} pulls {wing.pulls:.0f} times its weight"
    WING.need(
        wing.stands,
        "wing",
        why=f"what the wing stands was not measured{'; ' + pull if pull else ''}",
        measure="hold the root and hang weights on a spare half wing, or take the maker's figure: "
        "airframe.wing.spar_moment = force x distance to the root",
    )
    yield _wing_finding(wing, fast, pull)


def _wing_finding(wing: WingLoad, fast: Fast | None, pull: str) -> Finding:
    stands, pulls = wing.stands or 0.0, wing.pulls
    verdict: Verdict = "fail" if stands < LEAST_LOAD_FACTOR else "caution" if pulls and stands < pulls else "pass"
    if verdict == "pass" and (pulls is None or fast is None or not fast.whole):
        verdict = "unknown"
    cure = ""
    if verdict == "fail":
        cure = f"a stronger spar: {round_up(LEAST_LOAD_FACTOR / stands, 1):.1f} x as strong is the least"
    elif verdict == "caution":
        up = None if wing.up is None else round_down(math.degrees(wing.up), 1)
        travel = "" if up is None else f": {up:.1f} deg up at most on the boost's rate"
        stronger = f"a spar {round_up((pulls or 0.0) / stands, 1):.1f} x as strong"
        cure = f"less elevator at speed{travel}, or {stronger}; look at the root after every boost"
    elif verdict == "unknown":
        cure = GIVE_SPEED
    return WING.finding(
        verdict,
        "wing",
        value=stands,
        limit=missed(verdict, LEAST_LOAD_FACTOR, pulls or 0.0),
        why=f"the spar stands {stands:.1f} times the model's {said(wing.mass, 'g', 0)}, {LEAST_LOAD_FACTOR:g} times is "
        f"the least{'; ' + pull if pull else '; ' + NO_SPEED}",
        cure=cure,
    )


def _glue(case: Case, strength: Strength) -> Iterator[Finding]:
    """Name the glue lines under the wanted factor; when all hold, the weakest."""
    pod = strength.pod
    if pod is None:
        return
    weak = [line for line in pod.lines if line.factor < GLUE_FACTOR]
    for line in weak or [min(pod.lines, key=lambda line: line.factor)]:
        foot = line.name == FOOT
        least = FOOT_LEAST if foot else GLUE_FACTOR
        verdict = judged(line.factor, fail_below=least, caution_below=GLUE_FACTOR)
        pull = f" and {said(line.pull, 'MPa', 2)} of pull at its aft end" if line.pull > 0 else ""
        yield GLUE.finding(
            verdict,
            line.name,
            value=line.factor,
            limit=missed(verdict, least, GLUE_FACTOR),
            why=f"{pod.peak:g} N (peak thrust of {pod.motor}) over {said(line.area, 'mm2', 0)} of glue make "
            f"{said(line.shear, 'MPa', 2)} of shear{pull}; {'the foam' if foot else 'the paper'} stands "
            f"{line.factor:.1f} times that, {GLUE_FACTOR:g} times are wanted",
            cure="" if verdict == "pass" else _glue_cure(case, line, foot=foot),
        )


def _glue_cure(case: Case, line: GlueLine, *, foot: bool) -> str:
    more = round_up(GLUE_FACTOR / line.factor, 1)
    if not foot:
        return f"glue {more:.1f} x the area: a second ring or a longer mount, or a smaller motor"
    if more <= WIDER_MOST:
        return (
            f"glue the mount on a plate of 1 mm ply {more:.1f} x as wide as its foot, shaped to the back, or run two "
            f"carbon strips along the back under it (a plate: build.mount_plate = its width); {_pull(case)}"
        )
    ways = (
        ("a nozzle {} mm lower", lambda by: moves.nozzle(case.design, lift=-by)),
        ("a tube {} mm longer, the mount grows with it", lambda by: moves.longer_tube(case.design, by)),
    )
    steps = [(text, moves.first(MOVE_MOST, move, _foot_stands)) for text, move in ways]
    texts = [text.format(step) for text, step in steps if step is not None]
    return f"the pod stands too high for this mount: {' or '.join(texts) or 'place it anew, lower'}"


def _pull(case: Case) -> str:
    proof = case.study.proof
    if proof is None or not proof.safe:
        return "do not pull at it before that"
    return f"pull at it with {said(proof.pull, 'N', 0)} before you fly"


def _foot_stands(design: Design) -> bool:
    """Tell whether the mount's foot stands the thrust at all (`FOOT_LEAST`) and the pod clears the back."""
    shape = pod_shape(design)
    gap = pod_clearance(design, shape) if shape is not None else None
    if shape is None or design.pod is None or gap is None or gap < 1000 * design.pod.air_gap - 1e-3:
        return False
    glue = study_pod_glue(design, Parts(prints=pod_mount(design, shape).prints))
    foot = next((line for line in glue.lines if line.name == FOOT), None) if glue is not None else None
    return foot is not None and foot.factor >= FOOT_LEAST


def _ring(strength: Strength) -> Iterator[Finding]:
    pod = strength.pod
    if pod is None:
        return
    limit = pod.ring_stands / FACTOR_WANTED
    verdict = judged(pod.landing_force, fail_above=limit)
    more = round_up(pod.landing_force / limit, 1)
    yield RING.finding(
        verdict,
        "thrust ring",
        value=pod.landing_force,
        limit=limit,
        why=f"a landing on the nose, assumed to stop it with {LANDING:g} times its weight, throws {pod.heaviest}, "
        f"unburnt, at its ring with {pod.landing_force:.0f} N; the ring's glue stands {pod.ring_stands:.0f} N, half of "
        "which may be used",
        cure=lambda: f"{math.ceil(more)} rings one behind the other, or a ring {more:.1f} x as long",
    )


def _retainer(strength: Strength) -> Iterator[Finding]:
    """Judge what holds the motor from behind by its weakest link."""
    held = strength.retainer
    if held is None:
        return
    weak, factor = held.links[0], held.factor
    verdict = judged(factor, fail_below=1.0, caution_below=FACTOR_WANTED)
    yield HELD.finding(
        verdict,
        "retainer",
        value=factor,
        limit=missed(verdict, 1.0, FACTOR_WANTED),
        why=f"{held.cause}, pushes {held.motor} aft with {held.force:.0f} N; of the {held.kind} the {weak.name} gives "
        f"way first, at about {weak.stands:.0f} N: {factor:.1f} times that, {FACTOR_WANTED:g} times are wanted. No "
        "retainer holds a case that blows open",
        cure=lambda: _retainer_cure(held),
    )


def _retainer_cure(held: Retainer) -> str:
    more, weak = FACTOR_WANTED / held.factor, held.links[0].name
    if weak == "retainer plate":
        thick = round_up(1e3 * PLATE * math.sqrt(more), 1)
        ply = f", or the same cut from {mm(PLATE):g} mm ply instead of printed" if more <= PLY_OVER_PRINT else ""
        return f"a plate of {thick:.1f} mm{ply}"
    if weak == "hook's bend":
        wire = 1e3 * wire_for(held.links[0].stands, FACTOR_WANTED * held.force)
        return f'a hook of {wire:.1f} mm spring steel wire, two hooks opposite each other, or retainer = "cap"'
    return f"{round_up(more, 1):.1f} x the glued length along the tube, bound over with thread and glue"
