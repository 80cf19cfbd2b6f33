"""Is everything weighed, does the sum come out, and is the lead within bounds? Masses in g, places in mm."""

import difflib
import math
from collections.abc import Iterator

from foamworks.aircraft.balance import Balance
from foamworks.aircraft.masses import NO_MOTOR, battery_moves
from foamworks.checks.base import OURS, Finding, Verdict, unknown
from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe
from foamworks.design.ladder import has_pod
from foamworks.parts.density import board_named, stuff

BALLAST_SHARE = 0.08  # of the model's mass, above which lead is a bad bargain (ours)
BARE_SHARE = 1 / 3  # of the weighed model for foam, fan, controller and servos: foam jets have over half (ours)
BATTERY = "the battery"
CLOSING_WANTED, CLOSING_MOST = 0.02, 0.10  # of the weighed mass (ours)


def findings(case: Case) -> list[Finding]:
    """Judge masses; a design without a balance is only asked whether its weighed parts are known."""
    balance = case.study.balance
    found = [*_weighed(case), *_bare_airframe(case)]
    if balance is None:
        return found
    return [
        *found, *_ballast(case, balance), *_slide(case), *_closing(case, balance), *_unweighed(case, balance),
        *_height(balance),
    ]  # fmt: skip


def _weighed(case: Case) -> Iterator[Finding]:
    """Name a weighed part that is neither a part nor a state."""
    states = [row.name for row in case.study.balance.rows] if case.study.balance else []
    known = [*(part.name for part in case.parts.all()), *states]
    for entry in case.design.weighed:
        if entry.part in known:
            continue
        near = difflib.get_close_matches(entry.part, known, n=1, cutoff=0.5)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        yield Finding(
            "weighed", entry.part, "fail", 1e3 * entry.mass, None, "g",
            f'nothing is called "{entry.part}", so these {1e3 * entry.mass:g} g replace no estimate',
            f"{hint}a part as it is named in `parts`, or a state such as \"no motor\"; what has a table of its own "
            "(battery, motor, items) is corrected there", "the design itself",
        )  # fmt: skip


def _aboard(airframe: Airframe) -> list[tuple[str, float]]:
    """Give what was in the model when it was weighed and has a mass of its own: name, mass [kg]."""
    battery, fin = airframe.battery, airframe.fin
    pack = battery.stock if battery is not None and battery.stock is not None else battery
    masses = [
        (BATTERY, pack.mass if pack is not None else None),
        ("fin", fin.mass if fin is not None else None),
        *((item.name, item.mass) for item in airframe.items),
    ]
    return [(name, mass) for name, mass in masses if mass]


def _bare_airframe(case: Case) -> Iterator[Finding]:
    """Judge what is left of the weighed model for foam, fan and servos."""
    airframe = case.design.airframe
    aboard = _aboard(airframe) if airframe is not None else []
    if airframe is None or airframe.mass is None or not aboard:
        return
    mass, held = airframe.mass, sum(part for _, part in aboard)
    left, wanted = mass - held, BARE_SHARE * mass
    verdict: Verdict = "caution" if left < wanted else "pass"  # with nothing left the design was refused
    battery = aboard[0][1] if aboard[0][0] == BATTERY else 0.0
    if verdict == "pass" and not battery:
        return  # the battery is in what is left, so nothing is told by it
    listed = ", ".join(f"{name} {1e3 * part:.0f} g" for name, part in aboard)
    why = f"of its {1e3 * mass:.0f} g {1e3 * left:.0f} g are foam, fan and servos; the rest is {listed}"
    cure = ""
    if verdict != "pass":
        cure = "weigh it ready to fly (airframe.mass), and these one by one"
        if battery:
            why += "; it was probably weighed without its battery"
            cure += f"; {1e3 * (mass + battery):.0f} g if only the battery was out"
    yield Finding(
        "airframe-mass", "stock model", verdict, 1e3 * left, 1e3 * wanted, "g", why, cure,
        f"a third of it at least is the bare airframe, usually over half: {OURS}",
    )  # fmt: skip


def _ballast(case: Case, balance: Balance) -> Iterator[Finding]:
    ballast = case.design.ballast
    if ballast is None:
        return
    mass, row = balance.ballast, balance.row(NO_MOTOR)
    share = mass / (row.mass - mass)
    over = ballast.most is not None and mass > ballast.most + 1e-9
    heavy = share > BALLAST_SHARE
    verdict: Verdict = "fail" if over else "caution" if heavy else "pass"
    limit = 1e3 * ballast.most if ballast.most is not None else 1e3 * BALLAST_SHARE * (row.mass - mass)
    most = f", {1e3 * ballast.most:.0f} g are the most allowed" if ballast.most is not None else ""
    yield Finding(
        "ballast", f"at x = {1e3 * ballast.x:.0f}", verdict, 1e3 * mass, limit, "g",
        f"{1e3 * mass:.0f} g of ballast at x = {1e3 * ballast.x:.0f} mm, {100 * share:.1f} % of the rest of the "
        f"model{most}",
        "" if verdict == "pass" else "move the battery, then the receiver, further forward first, or the pod; lead "
        "goes as far from the centre of gravity as it will", f"ballast.most; {100 * BALLAST_SHARE:.0f} %: {OURS}",
    )  # fmt: skip


def _slide(case: Case) -> Iterator[Finding]:
    airframe = case.design.airframe
    battery = airframe.battery if airframe else None
    if battery is None or battery.slide is None or battery.x is None or isinstance(battery.x, str):
        return
    low, high = battery.slide
    out = max(low - battery.x, battery.x - high)
    outside = out > 1e-9
    end = high if battery.x > high else low
    yield Finding(
        "battery-slide", "battery", "fail" if outside else "pass", 1e3 * battery.x, 1e3 * end, "mm",
        f"the battery at x = {1e3 * battery.x:.0f} mm "
        + (f"lies {1e3 * out:.0f} mm outside" if outside else "lies within")
        + f" its slide, {1e3 * low:.0f} to {1e3 * high:.0f} mm",
        'put it within the slide, or x = "auto"' if outside else "", "airframe.battery.slide",
    )  # fmt: skip


def _closing(case: Case, balance: Balance) -> Iterator[Finding]:
    rows = {row.name: row for row in balance.rows if math.isfinite(row.mass)}
    weighed = [entry for entry in case.design.weighed if entry.part in rows]
    if not weighed and (case.design.fins is not None or has_pod(case.design)):
        yield unknown(
            "closing-error", NO_MOTOR, "the finished model was not weighed: nobody can say whether the sum comes out",
            'weigh it as "no motor" and add [[weighed]] part = "no motor", mass = ...', "g",
        )  # fmt: skip
    for entry in weighed:
        predicted = rows[entry.part].mass
        error = (predicted - entry.mass) / entry.mass if entry.mass > 0 else math.inf
        verdict: Verdict = "fail" if abs(error) > CLOSING_MOST else "caution" if abs(error) > CLOSING_WANTED else "pass"
        side = "heavier" if error < 0 else "lighter"
        yield Finding(
            "closing-error", entry.part, verdict, 1e3 * predicted, 1e3 * entry.mass, "g",
            f"{1e3 * predicted:.1f} g predicted, {1e3 * entry.mass:.1f} weighed: the model is "
            f"{1e3 * abs(predicted - entry.mass):.1f} g ({100 * abs(error):.1f} %) {side} than the sum of its parts",
            "" if verdict == "pass" else "weigh the parts one by one and add them as [[weighed]]; then look for what "
            + ("is not listed: glue, tape, leads" if error < 0 else "is listed and not aboard, or counted twice"),
            f"2 and 10 %: {OURS}",
        )  # fmt: skip


def _unweighed(case: Case, balance: Balance) -> Iterator[Finding]:
    """Say what was left out or guessed for want of the scale or the ruler."""
    design, airframe = case.design, case.design.airframe
    if airframe is None:
        return
    per_gram = _per_gram(case, balance)
    if design.fins is not None and airframe.fin is not None and airframe.fin.mass is None:
        yield unknown(
            "unweighed", "fin that comes off", f"its mass is not known and counts as 0{per_gram}",
            "weigh it and give airframe.fin.mass", "g",
        )  # fmt: skip
    battery = airframe.battery
    if battery is not None and not battery_moves(battery):
        lacks = "mass" if battery.mass is None else "place when the model was weighed"
        key = "airframe.battery.mass" if battery.mass is None else "airframe.battery.x_stock (and stock.mass)"
        why = f"its {lacks} is not known, so it stays where it was"
        yield unknown("unweighed", "battery", why, f"give {key}", "mm")
    board = stuff(board_named(design, design.fins.board)) if design.fins is not None else None
    if board is not None and not board.measured:
        yield unknown(
            "unweighed", board.name,
            f"the board was not weighed: {1e6 * board.areal_density:.0f} g/m2 is taken, and one label is sold from 290 "
            "to 605", "weigh one whole sheet and measure its sides: [[boards]] mass and sheet", "g",
        )  # fmt: skip
    camera = design.camera
    if camera is not None and (camera.mass is None or camera.at is None):
        yield unknown(
            "unweighed", "camera", "its mass or place is not known, so it is not aboard in any state",
            "give camera.mass and camera.at", "g",
        )  # fmt: skip
    yield from _unweighed_pod(case)


def _per_gram(case: Case, balance: Balance) -> str:
    """Say what ten grams at the old fin's place do to the centre of gravity."""
    fin, row = case.study.old_fin, balance.row(NO_MOTOR)
    if fin is None or not math.isfinite(row.cg_x):
        return ""
    return f"; 10 g there are {1e3 * 0.01 * (fin.stations.centroid_x - row.cg_x) / row.mass:.1f} mm of balance"


def _unweighed_pod(case: Case) -> Iterator[Finding]:
    design = case.design
    pod, pack = design.pod, design.ignition.pack if design.ignition else None
    for part in case.parts.all():
        if part.mass_g is None and part.x_mm is not None:
            yield unknown(
                "unweighed", part.name, "nobody knows what its material weighs, so no mass and no balance with it is "
                "known", f'weigh it: [[weighed]] part = "{part.name}", mass = ...', "g",
            )  # fmt: skip
    if pod is not None and has_pod(design) and (pod.tube.inner is None or pod.tube.length is None):
        yield unknown(
            "unweighed", "pod", "the tube is not wholly measured: tube, rings and mount count nothing in the balance",
            "give pod.tube inner and length", "g",
        )  # fmt: skip
    if pack is not None and has_pod(design) and (pack.mass is None or pack.x is None):
        yield unknown(
            "unweighed", "ignition pack", "its mass or place is not known, so it is not aboard in any state",
            "give ignition.pack.mass and x", "g",
        )  # fmt: skip


def _height(balance: Balance) -> Iterator[Finding]:
    rows = [row for row in balance.rows if math.isfinite(row.cg_x) and not math.isfinite(row.cg_z)]
    if not rows:
        return
    blank = next((load.name for load in rows[0].loads if not math.isfinite(load.z)), "stock model")
    what = "the stock model's centre of gravity" if blank == "stock model" else f'"{blank}"'
    yield unknown(
        "cg-height", rows[0].name, f"the height of {what} is not known, and the thrust line rests on it",
        "hang the model from two points and photograph it, or tilt it on the stand: airframe.cg.z"
        if blank == "stock model" else f"measure the z of {what}", "mm",
    )  # fmt: skip
