"""Where else could the pod sit? The placement map as a picture of the fuselage's side, and a better place in words.

Each cell is one place of the nozzle, coloured by the first thing that speaks against it. Millimetres.
"""

import numpy as np

from foamworks.changes.answer import change_dict
from foamworks.changes.place import Placed, worst_margin
from foamworks.checks.case import Case
from foamworks.design.model import StandingPod
from foamworks.output.keys import Row, told
from foamworks.output.views.charts import SIZE, chart, label
from foamworks.output.views.drawing import dot, element, num, text_width
from foamworks.parts.base import Point
from foamworks.study.placement import PLUME, SHARE_WISH, PlacementMap
from foamworks.units import mm

CELL = 22.0  # px
# what speaks against a place, in the order in which it is looked for
REASONS = (
    ("good", "nothing speaks against it", "#3f7330"),
    ("room", "the pod does not clear the back, or no mount can stand", "#8d979e"),
    ("balance", "a state falls out of its window", "#b23a2c"),
    ("plume", "something stands in the plume", "#94642a"),
    ("moment", "its moment takes more than a third of the elevator", "#d9a441"),
)
STYLE = "".join(f".pl-{name}{{fill:{colour}}}" for name, _, colour in REASONS) + (
    ".ch-text{fill:#1f2a33;font-family:Helvetica,Arial,sans-serif}.pl-own,.pl-best{fill:none;stroke:#fff;stroke-width:2.5}"
)


def section(placed: Placed) -> Row:
    """Give the map for the summary: the best place that was tried, in words and numbers, and every place's data."""
    found, best = placed.found, placed.best
    data: Row = {
        "words": placed.words,
        "good": best is not None,
        "tried": placed.trials,
        "places": int(found.good.size),
        "good_places": int(found.good.sum()),
        "map": {
            "x_mm": mm(found.x).tolist(),
            "z_mm": mm(found.z).tolist(),
            "static_margin": found.margin.tolist(),
            "downthrust_deg": np.degrees(found.downthrust).tolist(),
            "moment_N_m": found.moment.tolist(),
            "plume_deg": np.degrees(found.plume).tolist(),
            "fits": found.fits.tolist(),
            "good": found.good.tolist(),
        },
    }
    stand = best.after.design.standing if best else None
    if best is not None and stand is not None:
        data |= told(nozzle_x_mm=stand.x, nozzle_z_mm=stand.z, downthrust_deg=stand.downthrust)
        data |= {"static_margin": worst_margin(best.after), "change": change_dict(best)}
    return data


def against(found: PlacementMap) -> list[list[str]]:
    """Name for each place (rows of z, columns of x) the first thing that speaks against it, or "good"."""
    heavy = np.where(np.isnan(found.share), False, found.share > SHARE_WISH)
    outside = ~found.settled | (found.margin < found.least_margin - 1e-9)
    names = np.select(
        [~found.fits, outside, found.plume < PLUME, heavy], ["room", "balance", "plume", "moment"], "good"
    )
    return [[str(name) for name in row] for row in names]


def placement_chart(case: Case, placed: Placed) -> str:
    """Draw the map, seen from port, the nose to the left; a cross is the design's nozzle, a ring a better place."""
    found = placed.found
    left, top = 46.0, 2.2 * SIZE
    rows, columns = len(found.z), len(found.x)
    pieces = []
    for row, names in enumerate(against(found)):
        y = top + CELL * (rows - 1 - row)
        pieces += [
            element("rect", x=left + CELL * k, y=y, width=CELL - 1, height=CELL - 1, class_=f"pl-{name}")
            for k, name in enumerate(names)
        ]
    bottom = top + CELL * rows
    for k in range(0, columns, 3):
        words = f"{mm(found.x[k]):.0f}"
        pieces.append(label((left + CELL * (k + 0.5), bottom + 1.3 * SIZE), words, anchor="middle"))
    for k in range(0, rows, 3):
        y = top + CELL * (rows - 0.5 - k)
        pieces.append(label((left - 6, y + 0.35 * SIZE), f"{mm(found.z[k]):.0f}", anchor="end"))
    middle = (left + CELL * columns / 2, bottom + 2.8 * SIZE)
    pieces.append(label((left - 40, SIZE), "z of the nozzle, mm"))
    pieces.append(label(middle, "x of the nozzle, mm", anchor="middle"))
    pieces += _marks(case, placed, left, top)
    pieces += _legend(left, bottom + 4.6 * SIZE)
    width = left + max(CELL * columns, max(text_width(words, SIZE) for _, words, _ in REASONS) + 30) + 10
    height = bottom + 4.6 * SIZE + 1.6 * SIZE * (len(REASONS) + 1)
    title = "Places of the nozzle, x across and z up, and what speaks against each"
    return chart(pieces, width, height, title, STYLE)


def _marks(case: Case, placed: Placed, left: float, top: float) -> list[str]:
    found, arm = placed.found, 0.3 * CELL
    own, best = case.design.standing, placed.best.after.design.standing if placed.best else None

    def at(stand: StandingPod) -> Point | None:
        """Give a nozzle's place on the picture; None off it."""
        columns, rows = len(found.x) - 1, len(found.z) - 1
        across = (stand.x - found.x[0]) / (found.x[-1] - found.x[0]) * columns
        up = (stand.z - found.z[0]) / (found.z[-1] - found.z[0]) * rows
        if not (0 <= across <= columns and 0 <= up <= rows):
            return None
        return left + CELL * (across + 0.5) - 0.5, top + CELL * (rows + 0.5 - up) - 0.5

    pieces = []
    if best is not None and (ring := at(best)):
        pieces.append(dot(ring, arm, "pl-best"))
    if own is not None and (cross := at(own)):
        x, y = cross
        shape = f"M{num(x - arm)} {num(y)}H{num(x + arm)}M{num(x)} {num(y - arm)}V{num(y + arm)}"
        pieces.append(element("path", d=shape, class_="pl-own"))
    return pieces


def _legend(left: float, top: float) -> list[str]:
    pieces = [label((left, top), "a cross: the nozzle as designed; a ring: a better place, tried")]
    for number, (name, words, _) in enumerate(REASONS, start=1):
        y = top + 1.6 * SIZE * number
        pieces.append(element("rect", x=left, y=y - SIZE + 2, width=SIZE, height=SIZE, class_=f"pl-{name}"))
        pieces.append(label((left + 20, y), words))
    return pieces
