"""The measuring card's rows: what the design took as measured, to be held against the ruler once more."""

import math

from foamworks.checks.case import Case
from foamworks.design.airframe import Airframe, Tailplane, Wing
from foamworks.errors import not_measured
from foamworks.units import mm, number, said

Row = tuple[str, str]


def measured(case: Case) -> list[Row]:
    """Give what the design took as measured, in the order in which a builder goes round the model."""
    design = case.design
    rows = _model(case, design.airframe) if design.airframe.given else []
    if design.fins:
        root = design.fins.root
        rows += [("new fins' root, x, y, z", _several(root.x, root.y, root.z, decimals=0))]
    if design.pod:
        tube = design.pod.tube
        rows += [("tube, outside, inside", _several(tube.outer, tube.inner, decimals=1))]
    rows += [(f"{motor.name}, mass", said(motor.mass, "g", 1)) for motor in design.motors]
    rows += [(f"{board.name}, thickness", said(board.thickness, "mm", 1)) for board in design.boards]
    return rows


def _model(case: Case, airframe: Airframe) -> list[Row]:
    cg, battery, fin = airframe.cg, airframe.battery, airframe.fin
    height = [("centre of gravity, z", said(cg.z, "mm", 0))] if cg else []
    return [
        *_given("mass ready to fly, battery in", airframe.mass, "g"),
        *_given("centre of gravity, x", cg.x if cg else math.nan, "mm"),
        *height,
        *_half("wing", airframe.wing),
        *_half("tailplane", airframe.tailplane),
        *_old_fin(case),
        *_given("battery", battery.mass if battery else math.nan, "g"),
        *_given("battery as weighed, x", battery.x_stock if battery else math.nan, "mm"),
        *_given("fin that comes off", fin.mass if fin else math.nan, "g"),
    ]


def _given(what: str, value: float, unit: str) -> list[Row]:
    """Give a row, none where nothing was measured."""
    return [] if not_measured(value) else [(what, said(value, unit, 0))]


def _several(*lengths: float | None, decimals: int) -> str:
    """Write several lengths in one cell, their unit once."""
    *first, last = lengths
    return ", ".join([*(number(mm(length), decimals) for length in first), said(last, "mm", decimals)])


def _half(name: str, half: Wing | Tailplane | None) -> list[Row]:
    if not half:
        return []
    root, tip = half.stations[0], half.stations[-1]
    return [
        (f"{name}, root's leading edge, x", said(root.x, "mm", 0)),
        (f"{name}, root chord", said(root.chord, "mm", 0)),
        (f"{name}, tip's leading edge, x", said(tip.x, "mm", 0)),
        (f"{name}, tip chord", said(tip.chord, "mm", 0)),
        (f"{name}, tip to tip", said(2 * tip.y, "mm", 0)),
    ]


def _old_fin(case: Case) -> list[Row]:
    """Give the old fin's measures; of a drawn one those of the straight-edged fin it was taken for."""
    old = case.study.old_fin
    if not old:
        return []
    fin = old.trapezoid if old.drawn else old.stations
    return [
        ("old fin, root's leading edge, x", said(fin.x[0], "mm", 0)),
        ("old fin, root chord", said(fin.chord[0], "mm", 0)),
        ("old fin, tip's leading edge, x", said(fin.x[-1], "mm", 0)),
        ("old fin, tip chord", said(fin.chord[-1], "mm", 0)),
        ("old fin, height", said(fin.height, "mm", 0)),
    ]
