"""The measuring card's rows: what the design took as measured, to be held against the ruler once more."""

from foamworks.checks.case import Case
from foamworks.design.airframe import Tailplane, Wing
from foamworks.units import said

Row = tuple[str, str]


def measured(case: Case) -> list[Row]:
    """Give what the design took as measured, in the order in which a builder goes round the model."""
    design = case.design
    airframe, rows = design.airframe, []
    if airframe is not None:
        if airframe.mass is not None:
            rows.append(("mass ready to fly, battery in", said(airframe.mass, "g", 0)))
        if airframe.cg is not None and airframe.cg.x is not None:
            rows.append(("centre of gravity, x", said(airframe.cg.x, "mm", 0)))
        if airframe.cg is not None:
            z = airframe.cg.z
            rows.append(("centre of gravity, z", said(z, "mm", 0)))
        rows += [*_half("wing", airframe.wing), *_half("tailplane", airframe.tailplane), *_old_fin(case)]
        battery = airframe.battery
        if battery is not None and battery.mass is not None:
            rows.append(("battery", said(battery.mass, "g", 0)))
        if battery is not None and battery.x_stock is not None:
            rows.append(("battery as weighed, x", said(battery.x_stock, "mm", 0)))
        if airframe.fin is not None and airframe.fin.mass is not None:
            rows.append(("fin that comes off", said(airframe.fin.mass, "g", 0)))
    if design.fins is not None:
        root = design.fins.root
        rows += [(f"new fins' root, {axis}", said(getattr(root, axis), "mm", 0)) for axis in ("x", "y", "z")]
    if design.pod is not None:
        inner = design.pod.tube.inner
        rows.append(("tube, outside", said(design.pod.tube.outer, "mm", 1)))
        rows.append(("tube, inside", said(inner, "mm", 1)))
    rows += [(f"{motor.name}, mass", said(motor.mass, "g", 1)) for motor in design.motors]
    rows += [(f"{board.name}, thickness", said(board.thickness, "mm", 1)) for board in design.boards]
    return rows


def _half(name: str, half: Wing | Tailplane | None) -> list[Row]:
    if half is None:
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
    if old is None:
        return []
    fin = old.trapezoid if old.drawn else old.stations
    return [
        ("old fin, root's leading edge, x", said(fin.x[0], "mm", 0)),
        ("old fin, root chord", said(fin.chord[0], "mm", 0)),
        ("old fin, tip's leading edge, x", said(fin.x[-1], "mm", 0)),
        ("old fin, tip chord", said(fin.chord[-1], "mm", 0)),
        ("old fin, height", said(fin.height, "mm", 0)),
    ]
