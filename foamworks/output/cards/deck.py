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
from foamworks.errors import OutputError
from foamworks.output.cards.answer import answer_card
from foamworks.output.cards.flights import flight_cards
from foamworks.output.cards.measuring import measured
from foamworks.output.cards.pages import Block, Card, table, ticks, write_pages, writes
from foamworks.output.cards.strips import strip_card
from foamworks.output.cards.wing import wing_card
from foamworks.output.gluing import SADDLE
from foamworks.output.keys import Row, cell
from foamworks.output.texts import CUTTING, TUBE, booster, cautions
from foamworks.units import number


def write_cards(case: Case, data: Row, answer: Answer, path: Path) -> None:
    """Write cards.pdf; raises OutputError when the file cannot be written."""
    made = write_pages(cards(case, data, answer), case.name)
    try:
        path.write_bytes(made)
    except OSError as fault:
        raise OutputError(f"{path}: cannot be written ({fault.strerror})") from fault


def cards(case: Case, data: Row, answer: Answer) -> list[Card]:
    """Give all cards that the design calls for, in the order they are used."""
    tests = (strip_card(case.design), wing_card(case.design))
    found = [_measuring(case), *(card for card in tests if card is not None), _weighing(case, data)]
    if case.design.cuts or case.parts.boards:
        found += _stamped(case, {"fins", "sheets", "fitted"}, _cutting(case))
    if booster(case.design) and case.design.airframe.given:
        found += _stamped(case, {"pod"}, *_gluing(data), _ground_test(case), _static_firing(case))
    foot = cautions(case.design)
    made = [card for card in found if card.blocks]
    whole_deck = [answer_card(case, answer), *made, *flight_cards(case, data, answer)]
    return [replace(card, cautions=foot) for card in whole_deck]


def _stamped(case: Case, pages: set[str], *cards: Card) -> list[Card]:
    """Stamp cards where something fails that concerns what they are for; to measure and to weigh is never wrong."""
    mark = stamp(case, pages)
    return [replace(card, under=f"{mark}: see report.html. {card.under}") if mark else card for card in cards]


def _measuring(case: Case) -> Card:
    """Give what the design file took as measured, with room for what the ruler says now."""
    rows = [(what, value, "") for what, value in measured(case)]
    blocks = [table(("what", "in the design", "measured"), rows, (2.3, 1.2, 1.2))] if rows else []
    if case.design.airframe.given:
        blocks += [
            Block("head", "Centre of gravity"),
            *ticks(
                "two supports, the rear one on the scale: x = front support + distance between them x load / mass",
                "its height: hang the model from two points, photograph it with a plumb line; or tilt it on the stand",
            ),
            Block("head", "Mean chord by ruler"),
            Block(
                "sketch",
                "Lengthen the root chord forward by the tip chord, the tip chord aft by the root chord. Join the new "
                "ends; where that line meets the middle line of the wing lies the mean chord.",
            ),
        ]
    if case.design.pod is not None:
        blocks += [Block("head", "Tube"), *ticks(TUBE)]
    if case.design.boards or case.design.cuts or case.design.fins:
        blocks += [
            Block("head", "Board"),
            *ticks("thickness at three places with a caliper, not from the label", "one whole sheet on the scale, dry"),
            *writes("thickness mm|mass of a sheet g"),
        ]
    return Card(
        "Measuring",
        "Check what was typed in before anything is cut.",
        tuple(blocks),
    )


def _weighing(case: Case, data: Row) -> Card:
    """Give every part and every state with its estimate, and room for the scale."""
    rows = [(p.name, str(p.count), number(p.mass_g, 1), "") for p in case.parts.all()]
    blocks = [table(("part, one piece", "count", "estimate g", "scale g"), rows, (3.0, 0.6, 1.0, 1.2))] if rows else []
    states = data.get("balance", {}).get("states", [])
    if states:
        lines = [
            (row["name"], cell("mass_g", row["mass_g"]), "", cell("cg_x_mm", row["cg_x_mm"]), "")
            for row in states
            if not row["name"].endswith((": ignition", ": unburnt landing"))  # weigh as the dead mass does
        ]
        heads = ("state", "mass g", "scale", "CG x mm", "stand")
        blocks += [Block("head", "States"), table(heads, lines, (2.6, 0.8, 0.9, 0.9, 0.9))]
        blocks += [Block("text", "A dead mass stands for the motor until it flies: same mass, same place.")]
    return Card(
        "Weighing",
        "What the scale says goes under [[weighed]] in the design file.",
        tuple(blocks),
    )


def _cutting(case: Case) -> Card:
    blocks = [
        Block("head", "Before"),
        *ticks(
            "the 100 mm line measures 100 mm both ways, on the print or in the cutter's program",
            "grain along the sheet's long side",
            f"the tool: {CUTTING}",
            *(
                ["the slot comb is cut first; the width that holds without crushing goes for all slots"]
                if any(part.name == "slot comb" for part in case.parts.boards)
                else []
            ),
        ),
        Block("head", "After"),
        *ticks("each part against the parts list: number, count, left and right", "each part weighed"),
        *writes("one part's length mm|in the drawing mm", "so the kerf is mm|slot that holds mm"),
    ]
    return Card("Cutting", "One sheet, one look, one cut.", tuple(blocks))


def _gluing(data: Row) -> list[Card]:
    """Give the card that the pod is glued by; none where its mount is not made."""
    where = data.get("gluing")
    if where is None:
        return []
    rows = [
        (f"{row['name']}, {end}", number(row[f"{key}_x_mm"], 0), number(row[f"{key}_z_mm"], 0), "")
        for row in where["mounts"]
        for end, key in (("front edge", "front"), ("aft edge", "aft"))
    ]
    ends = (("front end", "tube_front"), ("aft end", "tube_aft"))
    rows += [
        (
            f"tube, underside of its {end}",
            number(where[f"{key}_underside_x_mm"], 0),
            number(where[f"{key}_underside_z_mm"], 0),
            "",
        )
        for end, key in ends
    ]
    behind, ring = where["tube_behind_mount_mm"], where["thrust_ring_from_tube_aft_end_mm"]
    blocks = [
        Block("text", "x aft from the nose tip, along the back's middle line; z up from the reference line."),
        table(("edge", "x mm", "z mm", "found"), rows, (3.0, 0.8, 0.8, 1.2)),
        Block("head", "In this order"),
        *ticks(
            f"the thrust ring in the tube, its aft face {number(ring, 1)} mm from the tube's aft end; when it is hard, "
            "pull at it",
            "the retainer's collar flush with the tube's aft end, ears abeam",
            "a pencil line along the middle of the back, two lines across it where the mount's edges go: "
            f"wrap the paper {SADDLE} round it; dry fit",
            f"the mount on the back; the tube in its trough, {number(behind, 1)} mm of tube behind the mount, measured "
            "along its underside; the tube's aft end then stands over its line on the paper",
            "seen from ahead the tube stands over the pencil line at both ends; bind it and let it set",
        ),
        Block("head", "Angle check, before the glue sets"),
        *ticks(
            "reference line level over a flat table; measure from the table to the underside of both ends of the tube: "
            f"the aft end stands {number(where['aft_end_higher_mm'], 1)} mm higher",
        ),
        *writes("front end mm|aft end mm", "difference mm"),
    ]
    return [Card("Gluing the pod", "Where the mount and the tube go, and the angle by two heights.", tuple(blocks))]


def _ground_test(case: Case) -> Card:
    design = case.design
    circuit = design.ignition
    blocks = [
        Block("head", "Firing circuit, no motor aboard"),
        *ticks(
            "failsafe: transmitter off, and fire is off and the throttle idle",
            "a bulb in the igniter's place, fired and cut by the failsafe twenty times without one miss",
            "arming plug out: nothing lights the bulb, whatever the transmitter does",
            "arming plug in: two actions on the transmitter are needed, one alone does nothing",
            "power up and down ten times with the plug in: the bulb stays dark",
            "the pulse ends by itself",
            "igniter leads stay twisted together until they are connected, igniter last, on the field",
        ),
    ]
    if circuit is not None and circuit.igniter is not None:
        blocks += writes(
            f"test current A, under the igniter's no-fire current of {number(circuit.igniter.no_fire, 2)} A"
        )
    blocks += [Block("head", "Controls"), *ticks("elevator, ailerons: sense and travel at full power, engine bed held")]
    if design.gyro is not None:
        blocks += ticks(
            "gyro sense: the nose turned right by hand, it answers left; gain on a slider, lowest for the boost"
        )
    blocks += [
        Block("head", "Pod"),
        *ticks(
            "the motor goes in by hand, stands against its washer, and cannot move when it is retained",
            *_proof(case),
            "air all round the tube; tape or ply under the exit; elevator free through its travel",
        ),
        *writes("downthrust measured deg|pull N", "tested by|how often"),
    ]
    return Card(
        "Ground test", "Before any motor is near the model. A single miss: stop, find it, begin again.", tuple(blocks)
    )


def _proof(case: Case) -> list[str]:
    """Ask for the one pull that the numbers allow; none where the mount would not stand it."""
    proof, slip = case.study.proof, case.study.slip
    asked = []
    if proof is not None and proof.safe:
        asked.append(f"pull the pod forward, aft and up with {proof.told}, by a spring balance: nothing gives")
    elif proof is not None:
        asked.append("the pod is not to be pulled at, nor lit: see proof-pull in the report")
    if slip is not None:
        pulls = (("battery", slip.force), *slip.others)
        asked += [f"pull the {name} aft with {round_up(2 * force):.0f} N: it does not move" for name, force in pulls]
    return asked


def _static_firing(case: Case) -> Card:
    blocks = [
        Block("head", "What is fired"),
        Block("text", f"The smallest motor in the real tube, mount and retainer, on a bench: {_smallest(case)}."),
        Block("head", "Set up"),
        *ticks(
            "a dummy tail of the same foam and board in the places of fins, tailplane and fuselage",
            "the mount screwed down, nothing behind it for 15 m, nothing dry on the ground, water at hand",
            "everybody at least 4.6 m away up to a D, 9 m for E and F, and to the side",
        ),
        Block("head", "Look afterwards, when it is cold"),
        *ticks(
            "brown or shrunk foam on the dummy tail: move the nozzle or shield it, and fire again",
            "the motor has not moved in its retainer, the ring has not crept in the tube",
            "the case is hottest after the burn: what touches it is still sound; a temperature strip on the case tells "
            "how hot (case_temperature in [[motors]])",
        ),
        *writes("where it is brown", "spring balance N|burn s|hottest of the case C"),
    ]
    return Card(
        "Static firing", "Proves the plume's place and the retainer before the model meets them.", tuple(blocks)
    )


def _smallest(case: Case) -> str:
    lit = [rung.lit for rung in rungs(case.design) if rung.lit is not None]
    return lit[0].name if lit else "the smallest that you mean to fly"
