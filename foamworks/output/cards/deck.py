"""The cards for bench and field: the answer, measuring, weighing, ground test, static firing, one for each flight.

One change at a time; each flight's card says what changed, when to fly, what to expect, what to write down and when to
stop. Every card of a design with a booster carries the cautions.
"""

from dataclasses import replace
from pathlib import Path

from foamworks.changes.answer import Answer
from foamworks.checks.base import round_up
from foamworks.checks.case import Case
from foamworks.checks.stamp import stamp
from foamworks.design.ladder import rungs
from foamworks.design.model import Design
from foamworks.output.cards.answer import answer_card
from foamworks.output.cards.flights import flight_cards
from foamworks.output.cards.measuring import measured
from foamworks.output.cards.pages import Card, table, write_pages
from foamworks.output.cards.strips import strip_card
from foamworks.output.cards.wing import wing_card
from foamworks.output.cards.words import worded
from foamworks.output.gluing import SADDLE
from foamworks.output.keys import Row, cell
from foamworks.output.texts import booster, cautions
from foamworks.parts.jigs import COMB
from foamworks.units import Unit, mm, number


def write_cards(case: Case, data: Row, answer: Answer, path: Path) -> None:
    """Write cards.pdf."""
    path.write_bytes(write_pages(cards(case, data, answer), case.name))


def cards(case: Case, data: Row, answer: Answer) -> list[Card]:
    """Give all cards that the design calls for, in the order they are used."""
    design = case.design
    rows = table(("what", "in the design", "measured"), [(*row, "") for row in measured(case)], (2.3, 1.2, 1.2))
    measuring = worded("measuring", design=design, rows=rows)
    found = [measuring, *strip_card(design), *wing_card(design), _weighing(case, data)]
    if design.cuts or case.parts.boards:
        comb = any(part.name == COMB and part.group == "fin bench" for part in case.parts.boards)
        found += _stamped(case, {"fins", "sheets", "fitted"}, worded("cutting", comb=comb))
    if booster(design) and design.airframe.given:
        lit = (rung.lit.name for rung in rungs(design) if rung.lit)
        firing = worded("firing", smallest=next(lit, "the smallest that you mean to fly"))
        found += _stamped(case, {"pod"}, *_gluing(design, data), _ground_test(case), firing)
    made = [card for card in found if card.blocks]
    whole_deck = [answer_card(case, answer), *made, *flight_cards(case, data, answer)]
    return [replace(card, cautions=cautions(design)) for card in whole_deck]


def _stamped(case: Case, pages: set[str], *cards: Card) -> list[Card]:
    """Stamp cards where something fails that concerns what they are for; to measure and to weigh is never wrong."""
    mark = stamp(case, pages)
    return [replace(card, under=f"{mark}: see report.html. {card.under}") if mark else card for card in cards]


def _weighing(case: Case, data: Row) -> Card:
    """Give every part and every state with its estimate, and room for the scale."""
    rows = [(p.name, str(p.count), number(p.mass_g, 1), "") for p in case.parts.all()]
    states = case.study.balance.rows if case.study.balance else ()
    lines = [
        (row["name"], cell("mass_g", row["mass_g"]), "", cell("cg_x_mm", row["cg_x_mm"]), "")
        for row, state in zip(data.get("balance", {}).get("states", []), states, strict=True)
        if state.state.phase not in {"ignition", "unburnt landing"}  # weigh as the dead mass does
    ]
    return worded(
        "weighing",
        parts=table(("part, one piece", "count", "estimate g", "scale g"), rows, (3.0, 0.6, 1.0, 1.2)),
        states=table(("state", "mass g", "scale", "CG x mm", "stand"), lines, (2.6, 0.8, 0.9, 0.9, 0.9)),
    )


def _gluing(design: Design, data: Row) -> list[Card]:
    """Give the card that the pod is glued by; none where its mount is not made."""
    if "gluing" not in data:
        return []
    where = data["gluing"]
    places = [
        (f"{row['name']}, {end}", row[f"{key}_x_mm"], row[f"{key}_z_mm"])
        for row in where["mounts"]
        for end, key in (("front edge", "front"), ("aft edge", "aft"))
    ]
    places += [
        (f"tube, underside of its {end}", where[f"{key}_underside_x_mm"], where[f"{key}_underside_z_mm"])
        for end, key in (("front end", "tube_front"), ("aft end", "tube_aft"))
    ]
    unit, decimals = ("in", 2) if "in" in design.typed_in else ("mm", 0)

    def told(length: float) -> str:
        return number(Unit(unit)(mm.si(length)), decimals)

    rows = [(name, told(x), told(z), "") for name, x, z in places]
    edges = table(("edge", f"x {unit}", f"z {unit}", "found"), rows, (3.0, 0.8, 0.8, 1.2))
    return [worded("gluing", where=where, edges=edges, SADDLE=SADDLE, design=design, si=mm.si)]


def _ground_test(case: Case) -> Card:
    """Ask for the tests before a motor is near, and for the one pull of the pod that the numbers allow."""
    slip = case.study.slip
    held = (("battery", slip.force), *slip.others) if slip else ()
    pulls = [(name, f"{round_up(2 * force):.0f}") for name, force in held]
    return worded("ground", design=case.design, proof=case.study.proof, pulls=pulls)
