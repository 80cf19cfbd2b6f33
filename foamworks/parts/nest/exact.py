"""Exact places: the free corners of a sheet, where a shape touches what lies there without a lattice [mm].

A place is that of the lower left corner of a shape's box, from the free box's. It is free outside the no-fit areas of
all pairs of convex parts, each less TOUCH: a slit or a single point that is left free becomes a sliver with corners.
"""

import numpy as np
import shapely
from shapely import Geometry, affinity

from foamworks.parts.nest.greedy import Filling, Spot
from foamworks.parts.nest.lattice import TOUCH, room_of
from foamworks.parts.nest.shapes import Bundle, Form, bundle, facing
from foamworks.parts.nest.task import Task

Areas = dict[tuple[int, int], Geometry]  # by the identities of a fixed and a moving form


class Corners:
    """Free places of one shape on the sheets, kept up to date while its copies are laid.

    `axis` 1 lays low first, then left. `areas` keeps the no-fit areas of pairs of forms for other trials.
    """

    def __init__(self, task: Task, axis: int = 0, areas: Areas | None = None) -> None:
        self.task, self.axis = task, axis
        self._areas = {} if areas is None else areas
        self._kind = -1
        self._free: dict[tuple[int, int, int], tuple[Geometry, int]] = {}

    def best(self, filling: Filling, number: int, kind: int) -> Spot | None:
        """Find a place for a shape on a sheet: least right edge, then least y, then the first turn; as axis says."""
        if kind != self._kind:
            self._kind, self._free = kind, {}
        found = []
        for turn, form in enumerate(self.task.forms[kind]):
            room = room_of(filling.sheet.box, form)
            if room is None:
                continue
            free = shapely.get_coordinates(self._left_free(filling, number, form, turn, room))
            if len(free):
                place = np.clip(free[np.lexsort((free[:, 1 - self.axis], free[:, self.axis]))[0]], 0.0, room)
                end = float(place[self.axis]) + 2 * form.half[self.axis]
                found.append((round(end, 6), round(float(place[1 - self.axis]), 6), turn, *place.tolist()))
        if not found:
            return None
        _, _, turn, x, y = min(found)
        return Spot(kind, turn, x, y)

    def _left_free(self, filling: Filling, number: int, form: Form, turn: int, room: tuple[float, float]) -> Geometry:
        """What parts laid since leave free of a sheet, for the lower left corner of a form."""
        key, sheet = (number, filling.stock, turn), filling.sheet
        free, seen = self._free.get(key, (None, 0))
        if free is None:
            free = shapely.box(-TOUCH, -TOUCH, room[0] + TOUCH, room[1] + TOUCH)
            if sheet.solid:
                corner = np.asarray(sheet.box[:2]) + form.half
                free = free.difference(affinity.translate(no_fit(bundle(sheet.solid), bundle(form.bare)), *-corner))
        for spot in filling.spots[seen:]:
            other = self.task.forms[spot.kind][spot.turn]
            shift = np.asarray((spot.x, spot.y)) + other.half - form.half
            free = free.difference(affinity.translate(self._area(other, form), *shift))
        self._free[key] = (free, len(filling.spots))
        return free

    def _area(self, fixed: Form, moving: Form) -> Geometry:
        key = (id(fixed), id(moving))
        if key not in self._areas:
            self._areas[key] = no_fit(*facing(fixed, moving))
        return self._areas[key]


def no_fit(fixed: Bundle, moving: Bundle) -> Geometry:
    """Where the moving shape's centre must not lie, from the fixed one's: convex sums less TOUCH, joined."""
    sums = fixed.corners[:, None, :, None] - moving.corners[None, :, None]
    pairs, corners = sums.shape[0] * sums.shape[1], sums.shape[2] * sums.shape[3]
    hulls = shapely.convex_hull(shapely.multipoints(sums.reshape(pairs, corners, 2)))
    return shapely.union_all(shapely.buffer(hulls, -TOUCH, join_style="mitre"))
