"""What the report's 3-D view shows, as plain lists: the aircraft and its parts as triangles. Millimetres.

The numbers are whole tenths of a millimetre, so that the page stays small.
"""

import numpy as np

from foamworks.checks.case import Case
from foamworks.output.keys import Row
from foamworks.output.views.bodies import Body, bodies, drawn

COLOURS = {"airframe": 0, "old": 1, "board": 2, "print": 3, "bought": 4, "motor": 4}  # the view has one for each


def scene(case: Case) -> Row | None:
    """Give the bodies of the view, each with name, colour, whether it shows at first, vertices and triangles.

    None when there is nothing to show.
    """
    parts = [_part(body) for body in bodies(case)]
    return {"parts": parts} if parts else None


def _part(body: Body) -> Row:
    made = drawn(body)
    return {
        "name": body.name,
        "group": COLOURS[body.kind],
        "shown": body.shown,
        "v": np.rint(10 * made.vertices).astype(int).ravel().tolist(),
        "f": made.triangles.ravel().tolist(),
    }
