"""Where else could the pod sit? The placement map as a picture of the fuselage's side, and its best place in words.

Each cell is one place of the nozzle, coloured by the first thing that speaks against it. Millimetres.
"""

import numpy as np

from foamworks.checks.case import Case
from foamworks.output.drawing import element, num, text, text_width
from foamworks.output.keys import Row
from foamworks.study.placement import PLUME, SHARE_WISH, PlacementMap, best_place, placement_map
from foamworks.units import mm

SIZE = 12.0  # px, letters
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


def found_map(case: Case) -> PlacementMap | None:
    """Make the case's map; None without a pod over a measured back, motors, or a known balance."""
    study = case.study
    runs = [boost.run for boost in study.burn.boosts if boost.run is not None] if study.burn else []
    return placement_map(
        case.design,
        case.asked,
        aero=study.aero,
        wing=study.wing,
        balance=study.balance,
        spare=study.tolerance.spare if study.tolerance else 0.0,
        entry=runs[0].entry if runs else None,
    )


def section(found: PlacementMap) -> Row:
    """Give the map for the summary: the best place, in words and numbers, and every place's data row by row."""
    best = best_place(found)
    at = found.at(best.row, best.column)
    return {
        "words": best.words,
        "good": best.good,
        "nozzle_x_mm": mm(at["x"]),
        "nozzle_z_mm": mm(at["z"]),
        "downthrust_deg": float(np.degrees(at["downthrust"])),
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


def against(found: PlacementMap) -> list[list[str]]:
    """Name for each place (rows of z, columns of x) the first thing that speaks against it, or "good"."""
    heavy = np.where(np.isnan(found.share), False, found.share > SHARE_WISH)
    outside = ~found.settled | (found.margin < found.least_margin - 1e-9)
    names = np.select(
        [~found.fits, outside, found.plume < PLUME, heavy], ["room", "balance", "plume", "moment"], "good"
    )
    return [[str(name) for name in row] for row in names]


def placement_chart(case: Case, found: PlacementMap) -> str:
    """Draw the map, seen from port, the nose to the left; a cross is the design's nozzle, a ring the best place."""
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
        pieces.append(
            text((left + CELL * (k + 0.5), bottom + 1.3 * SIZE), words, SIZE, anchor="middle", style="ch-text")
        )
    for k in range(0, rows, 3):
        y = top + CELL * (rows - 0.5 - k)
        pieces.append(text((left - 6, y + 0.35 * SIZE), f"{mm(found.z[k]):.0f}", SIZE, anchor="end", style="ch-text"))
    pieces += _axes(left, left + CELL * columns / 2, bottom)
    pieces += _marks(case, found, left, top)
    pieces += _legend(left, bottom + 4.6 * SIZE)
    width = left + max(CELL * columns, max(text_width(words, SIZE) for _, words, _ in REASONS) + 30) + 10
    height = bottom + 4.6 * SIZE + 1.6 * SIZE * (len(REASONS) + 1)
    title = "Places of the nozzle, x across and z up, and what speaks against each"
    return element(
        "svg", element("title", title), element("style", STYLE), *pieces, xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}", width=width, height=height, class_="chart",
    )  # fmt: skip


def _axes(left: float, middle: float, bottom: float) -> list[str]:
    """Name both axes: z over its numbers, x under its own."""
    return [
        text((left - 40, SIZE), "z of the nozzle, mm", SIZE, style="ch-text"),
        text((middle, bottom + 2.8 * SIZE), "x of the nozzle, mm", SIZE, anchor="middle", style="ch-text"),
    ]


def _marks(case: Case, found: PlacementMap, left: float, top: float) -> list[str]:
    rows, columns = len(found.z), len(found.x)
    best = best_place(found)
    cx, cy = left + CELL * (best.column + 0.5) - 0.5, top + CELL * (rows - 0.5 - best.row) - 0.5
    pieces = [element("circle", cx=cx, cy=cy, r=0.3 * CELL, class_="pl-best")]
    pod = case.design.pod
    if pod is None or pod.nozzle is None:
        return pieces
    across = (pod.nozzle.x - found.x[0]) / (found.x[-1] - found.x[0]) * (columns - 1)
    up = (pod.nozzle.z - found.z[0]) / (found.z[-1] - found.z[0]) * (rows - 1)
    if 0 <= across <= columns - 1 and 0 <= up <= rows - 1:
        x, y, arm = left + CELL * (across + 0.5) - 0.5, top + CELL * (rows - 0.5 - up) - 0.5, 0.3 * CELL
        shape = f"M{num(x - arm)} {num(y)}H{num(x + arm)}M{num(x)} {num(y - arm)}V{num(y + arm)}"
        pieces.append(element("path", d=shape, class_="pl-own"))
    return pieces


def _legend(left: float, top: float) -> list[str]:
    pieces = [text((left, top), "a cross: the nozzle as designed; a ring: the best place", SIZE, style="ch-text")]
    for number, (name, words, _) in enumerate(REASONS, start=1):
        y = top + 1.6 * SIZE * number
        pieces.append(element("rect", x=left, y=y - SIZE + 2, width=SIZE, height=SIZE, class_=f"pl-{name}"))
        pieces.append(text((left + 20, y), words, SIZE, style="ch-text"))
    return pieces
