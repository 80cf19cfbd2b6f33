"""Is everything weighed, does the sum come out, and is the lead within bounds? Masses in g, places in mm."""

import difflib
import math
from collections.abc import Iterator

from foamworks.aircraft.balance import Balance
from foamworks.checks.base import OURS, Finding, Proposal, collected, given, judged
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.airframe import Airframe
from foamworks.design.edit import Edit, entry_key
from foamworks.design.ladder import NO_MOTOR, has_pod
from foamworks.design.quantity import AUTO, is_open
from foamworks.errors import not_measured
from foamworks.parts.density import board_named, stuff
from foamworks.parts.make import make
from foamworks.units import first_measured, grams, mm, said

WEIGHED = record("weighed")
BARE = record("airframe-mass")
BALLAST = record("ballast")
SLIDE = record("battery-slide")
CLOSING = record("closing-error")
UNWEIGHED = record("unweighed")
HEIGHT = record("cg-height")

BALLAST_SHARE = 0.08  # of the model's mass, above which lead is a bad bargain (ours)
BARE_SHARE = 1 / 3  # of the weighed model for foam, fan, controller and servos: foam jets have over half (ours)
BATTERY = "the battery"
CLOSING_WANTED, CLOSING_MOST = 0.02, 0.10  # of the weighed mass (ours)
A_LETTER = 0.8  # of a name that is alike: a slip of the pen, whatever it weighs (ours)
FAR = 2.0  # times a part's estimate, or its estimate so many times what was weighed (ours)
A_FEW = 0.010  # kg: what a few grams at the old fin's place do is told of so many
NOISE = 1e-9  # kg, m: what solving leaves


def findings(case: Case) -> list[Finding]:
    """Judge masses; a design without a balance is only asked whether its weighed parts are known."""
    return collected(case, _weighed, _bare_airframe, _ballast, _slide, _closing, _unweighed, _height)


def _weighed(case: Case) -> Iterator[Finding]:
    """Name a weighed part that is neither a part nor a state, and one that weighs far from what was estimated."""
    if not case.design.weighed:
        return
    parts = make(case.design.model_copy(update={"weighed": ()})).all()
    estimates = {part.name: grams.si(part.mass_g) for part in parts}
    states = {row.name: row.mass for row in case.study.balance.rows} if case.study.balance else {}
    for entry in case.design.weighed:
        estimate = estimates.get(entry.part, math.nan)
        if entry.part in estimates and _far(entry.mass, estimate):
            yield WEIGHED.finding("caution", entry.part, of="far", value=entry.mass, limit=estimate, part=entry.part)
        elif entry.part not in {**estimates, **states}:
            alike = [part for part, mass in estimates.items() if not _far(entry.mass, mass)]
            alike += [state for state, mass in states.items() if abs(entry.mass - mass) <= CLOSING_MOST * entry.mass]
            near = difflib.get_close_matches(entry.part, alike, n=1, cutoff=0.5)
            near = near or difflib.get_close_matches(entry.part, estimates, n=1, cutoff=A_LETTER)
            yield WEIGHED.finding(
                "fail",
                entry.part,
                value=entry.mass,
                why=f'nothing is called "{entry.part}", so these {grams(entry.mass):g} g replace no estimate',
                cure=_named(entry.part, near, [part for part in estimates if entry.part in part.split()]),
            )


def _far(weighed: float, estimate: float) -> bool:
    """Tell whether a part weighs [kg] far from its estimate: no error of density, glue or walls explains it."""
    least, most = sorted((weighed, estimate))
    return most - least > A_FEW / 2 and most > FAR * least


def _named(part: str, near: list[str], pieces: list[str]) -> list[Proposal]:
    """Say what a weighing may be called; a name that is nearly one and weighs about as much is typed."""
    listed = f", one by one ({', '.join(pieces)} and what else stands there)" if pieces else ""
    told = Proposal(
        f'name a part as the card "Weighing" of cards.pdf does{listed}, or a state such as "no motor"; what has a '
        "table of its own (battery, motor, items) is corrected there",
        "measure",
    )
    meant = (Edit(f"{entry_key('weighed', part)}.part", name) for name in near)
    return [*(Proposal(f'call it "{edit.value}", if that is meant', "set", (edit,)) for edit in meant), told]


def _aboard(airframe: Airframe) -> list[tuple[str, float]]:
    """Give what was in the model when it was weighed and has a mass of its own: name, mass [kg]."""
    battery, fin = airframe.battery, airframe.fin
    masses = [
        (BATTERY, battery.weighed_with.mass if battery else math.nan),
        ("fin", fin.mass if fin else math.nan),
        *((item.name, item.mass) for item in airframe.items),
    ]
    return [(name, mass) for name, mass in masses if mass > 0]


def _bare_airframe(case: Case) -> Iterator[Finding]:
    """Judge what is left of the weighed model for foam, fan and servos; with nothing left the design was refused."""
    airframe = given(case.design.stock)
    mass, aboard = given(airframe.mass), _aboard(airframe)
    left, wanted = mass - sum(part for _, part in aboard), BARE_SHARE * mass
    battery = dict(aboard).get(BATTERY, 0.0)
    verdict = judged(left, caution_below=wanted)
    if not aboard or (verdict == "pass" and not battery):
        return  # the battery is in what is left, so nothing is told by it
    listed = ", ".join(f"{name} {said(part, 'g', 0)}" for name, part in aboard)
    of = "battery out" if verdict != "pass" and battery > 0 else ""
    with_it = mass + battery
    yield BARE.finding(
        verdict, "stock model", of=of, value=left, limit=wanted, mass=mass, listed=listed, with_it=with_it
    )


def _ballast(case: Case) -> Iterator[Finding]:
    ballast, balance = given(case.design.ballast), given(case.study.balance)
    mass = balance.ballast
    rest = balance.row(NO_MOTOR).mass - mass
    heavy = BALLAST_SHARE * rest
    most = first_measured(ballast.most, math.inf)
    allowed = "" if math.isinf(most) else f", {said(most, 'g', 0)} are the most allowed"
    yield BALLAST.finding(
        judged(mass, fail_above=most + NOISE, caution_above=heavy),
        f"lead at x = {mm(ballast.x):.0f}",
        value=mass,
        limit=most if mass > most + NOISE else heavy,
        place=ballast.x,
        share=mass / rest,
        allowed=allowed,
        source=f"ballast.most; {said(BALLAST_SHARE, '%', 0)}: {OURS}",
    )


def _slide(case: Case) -> Iterator[Finding]:
    given(case.study.balance)
    battery = given(case.design.airframe.battery)
    low, high = given(battery.slide)
    x = given(battery.x)
    out = max(low - x, x - high)
    outside = out > NOISE
    end = high if x > high else low
    at_end = Edit("airframe.battery.x", round(mm(end), 1), "mm")
    yield SLIDE.finding(
        "fail" if outside else "pass",
        "battery",
        value=x,
        limit=end,
        why=f"the battery at x = {said(x, 'mm', 0)} "
        + (f"lies {said(out, 'mm', 0)} outside" if outside else "lies within")
        + f" its slide, {mm(low):.0f} to {said(high, 'mm', 0)}",
        cure=lambda: [
            Proposal("put it at the end of the slide", "set", (at_end,)),
            Proposal("let its place be worked out", "set", (Edit("airframe.battery.x", AUTO),)),
        ],
    )


def _closing(case: Case) -> Iterator[Finding]:
    rows = {row.name: row.mass for row in given(case.study.balance).rows if math.isfinite(row.mass)}
    weighed = [entry for entry in case.design.weighed if entry.part in rows]
    if not weighed and (case.design.fins or has_pod(case.design)):
        yield CLOSING.unknown(NO_MOTOR.name)
    yield from (_closing_error(entry.part, rows[entry.part], entry.mass) for entry in weighed)


def _closing_error(part: str, predicted: float, weighed: float) -> Finding:
    off = predicted - weighed
    share = abs(off) / weighed if weighed > 0 else math.inf
    verdict = judged(share, fail_above=CLOSING_MOST, caution_above=CLOSING_WANTED)
    rests = "; nobody knows where that sits: balance and speeds rest on the sum" if verdict != "pass" else ""
    return CLOSING.finding(
        verdict,
        part,
        of="lighter" if off >= 0 else "heavier",
        value=predicted,
        limit=weighed,
        weighed=grams(weighed),
        off=abs(off),
        share=share,
        rests=rests,
    )


def _unweighed(case: Case) -> Iterator[Finding]:
    """Say what was left out or guessed for want of the scale or the ruler."""
    balance, design, airframe = given(case.study.balance), case.design, given(case.design.stock)
    if design.fins and airframe.fin and not_measured(airframe.fin.mass):
        yield UNWEIGHED.unknown("fin that comes off", "fin", effect=_per_few_grams(case, balance))
    battery = airframe.battery
    if battery and not battery.moves:
        lacks, key = "place when the model was weighed", "x_stock (and stock.mass)"
        if not_measured(battery.mass):
            lacks, key = "mass", "mass"
        yield UNWEIGHED.unknown("battery", "battery", lacks=lacks, key=key, unit="mm")
    board = stuff(board_named(design, design.fins.board)) if design.fins else None
    if board and not board.measured:
        yield UNWEIGHED.unknown(board.name, "board", taken=f"{board.per_square_metre:.0f}")
    camera = design.camera
    if camera and not (camera.at and math.isfinite(camera.mass)):
        yield UNWEIGHED.unknown("camera", "camera")
    yield from _unweighed_pod(case)


def _per_few_grams(case: Case, balance: Balance) -> str:
    """Say what ten grams at the old fin's place do to the centre of gravity."""
    fin, row = case.study.old_fin, balance.row(NO_MOTOR)
    if not (fin and math.isfinite(row.cg_x)):
        return ""
    moved = A_FEW * (fin.stations.centroid_x - row.cg_x) / row.mass
    return f"; {said(A_FEW, 'g', 0)} there are {said(moved, 'mm', 1)} of balance"


def _unweighed_pod(case: Case) -> Iterator[Finding]:
    for part in case.parts.all():
        if not_measured(part.mass_g) and part.x_mm is not None:
            yield UNWEIGHED.unknown(part.name, "material", part=part.name)
    design = case.design
    if not has_pod(design):
        return
    tube, pack = given(design.pod).tube, design.ignition.pack if design.ignition else None
    if tube.inner is None or tube.length is None:
        yield UNWEIGHED.unknown("pod", "pod")
    if pack and not_measured(pack.mass + (0.0 if is_open(pack.x) else pack.x)):
        yield UNWEIGHED.unknown("ignition pack", "pack")


def _height(case: Case) -> Iterator[Finding]:
    balance = given(case.study.balance)
    rows = [row for row in balance.rows if math.isfinite(row.cg_x) and not math.isfinite(row.cg_z)]
    if not rows:
        return
    blank = next((load.name for load in rows[0].loads if not math.isfinite(load.z)), "stock model")
    yield HEIGHT.unknown(rows[0].name, "model" if blank == "stock model" else "load", load=blank)
