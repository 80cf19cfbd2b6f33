"""The measuring card's rows: what the design took as measured, to be held against the ruler once more."""

import math

from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe, Tailplane, Wing
from foamworks.design.model import Design
from foamworks.output.ruler import read
from foamworks.units import Unit, number, said

Row = tuple[str, str]
Measure = tuple[str, float, str]  # what, how much in SI, the unit it is shown in
HEIGHT = "centre of gravity, z"


def measured(case: Case) -> list[Row]:
    """Give what the design took as measured, in the order in which a builder goes round the model."""
    design = case.design
    rows = _model(case, design.airframe) if design.airframe.given else []
    if design.fins:
        root = design.fins.root
        rows += [("new fins' root, x, y, z", _several(design, root.x, root.y, root.z, decimals=0))]
    if design.pod:
        tube = design.pod.tube
        rows += [("tube, outside, inside", _several(design, tube.outer, tube.inner, decimals=1))]
    rows += [(f"{motor.name}, mass", read(design, motor.mass, "g", 1)) for motor in design.motors]
    rows += [(f"{board.name}, thickness", read(design, board.thickness, "mm", 1)) for board in design.boards]
    return rows


def _model(case: Case, airframe: Airframe) -> list[Row]:
    cg, battery, fin = airframe.cg, airframe.battery, airframe.fin
    known = [
        ("mass ready to fly, battery in", airframe.mass, "g"),
        ("centre of gravity, x", cg.x if cg else math.nan, "mm"),
        (HEIGHT, cg.z if cg else math.nan, "mm"),
        *_half("wing", airframe.wing),
        *_half("tailplane", airframe.tailplane),
        *_old_fin(case),
        ("battery", battery.mass if battery else math.nan, "g"),
        ("battery as weighed, x", battery.x_stock if battery else math.nan, "mm"),
        ("fin that comes off", fin.mass if fin else math.nan, "g"),
    ]
    asked = {HEIGHT} if cg else set()  # told even where nobody measured it
    return [
        (what, read(case.design, value, unit, 0))
        for what, value, unit in known
        if what in asked or math.isfinite(value)
    ]


def _several(design: Design, *lengths: float | None, decimals: int) -> str:
    """Write several lengths in one cell, their unit once: in the builder's alone, both would not find room."""
    unit, decimals = ("in", 2) if "in" in design.typed_in else ("mm", decimals)
    *first, last = lengths
    return ", ".join([*(number(Unit(unit)(length), decimals) for length in first), said(last, unit, decimals)])


def _half(name: str, half: Wing | Tailplane | None) -> list[Measure]:
    if not half:
        return []
    root, tip = half.stations[0], half.stations[-1]
    return [*_edges(name, (root.x, root.chord), (tip.x, tip.chord)), (f"{name}, tip to tip", 2 * tip.y, "mm")]


def _edges(name: str, *ends: tuple[float, float]) -> list[Measure]:
    """Give where root and tip of a surface begin, and their chords."""
    return [
        row
        for end, (x, chord) in zip(("root", "tip"), ends, strict=True)
        for row in ((f"{name}, {end}'s leading edge, x", x, "mm"), (f"{name}, {end} chord", chord, "mm"))
    ]


def _old_fin(case: Case) -> list[Measure]:
    """Give the old fin's measures; of a drawn one those of the straight-edged fin it was taken for."""
    old = case.study.old_fin
    if not old:
        return []
    fin = old.trapezoid if old.drawn else old.stations
    ends = ((fin.x[k], fin.chord[k]) for k in (0, -1))
    return [*_edges("old fin", *ends), ("old fin, height", fin.height, "mm")]
