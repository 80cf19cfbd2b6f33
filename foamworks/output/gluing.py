"""Where the pod is glued: the mount's edges on the back, the tube's ends, the angle by two heights. Millimetres.

x aft from the nose tip, z up from the model's reference line.
"""

import math

import numpy as np

from foamworks.checks.case import Case
from foamworks.output.keys import Row
from foamworks.parts.base import Placement, Saddle
from foamworks.parts.solidmath import back_height
from foamworks.units import degrees

SADDLE = "prints/pod-saddle.pdf"  # the paper that shows the foot of the mount on the back


def gluing(case: Case) -> Row:
    """Give the part of the summary on where the pod is glued; nothing without a mount."""
    pod = case.pod
    mounts = [
        _edges(part.name, part.shape, where)
        for part in case.parts.prints
        if isinstance(part.shape, Saddle)
        for where in part.places
    ]
    if pod is None or not mounts:
        return {}
    place, layout = pod.place, pod.layout
    aft, front = layout.tube
    (aft_x, aft_z), (front_x, front_z) = place.point(aft), place.point(front)
    cos, sin = math.cos(place.downthrust), math.sin(place.downthrust)
    below, back = pod.tube_outer / 2 * cos, pod.tube_outer / 2 * sin  # of the underside, from the axis
    found = {
        "mounts": mounts,
        "tube_front_x_mm": front_x,
        "tube_aft_x_mm": aft_x,
        "tube_behind_mount_mm": (aft_x + back - max(row["aft_x_mm"] for row in mounts)) / cos,
        "thrust_ring_from_tube_aft_end_mm": layout.thrust_ring[0] - aft,
        "tube_front_underside_x_mm": front_x + back,
        "tube_front_underside_z_mm": front_z - below,
        "tube_aft_underside_x_mm": aft_x + back,
        "tube_aft_underside_z_mm": aft_z - below,
        "aft_end_higher_mm": aft_z - front_z,
        "downthrust_deg": degrees(place.downthrust),
    }
    return {"gluing": found}


def _edges(name: str, shape: Saddle, where: Placement) -> Row:
    """Give a mount's two edges at its foot, on the back, in the middle of its width."""
    ends = np.array([0.0, shape.length])
    front, aft = (where.z + back_height(shape, ends, np.zeros(2))).tolist()
    return {
        "name": name,
        "y_mm": where.y,
        "front_x_mm": where.x,
        "front_z_mm": front,
        "aft_x_mm": where.x + shape.length,
        "aft_z_mm": aft,
    }
