"""Where over the back could the pod's nozzle sit? Balance, thrust line, plume and fit over a grid of places. SI.

The aerodynamics stand as they are: a pod moves masses, not lift. At each place the pod group is shifted and turned
about its nozzle, battery and ballast are settled anew, the downthrust is the best that fits over the back and within
its limit, and the plume's cone is held against tailplane, fins and fuselage. Left out: the mount's mass changes with
its height, and the pod's nose does not change the wing's flow. Data for a picture, and the best point in words.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from foamworks.aircraft.aero import Aero
from foamworks.aircraft.balance import FAR, Balance, StateRow, Window, ballast_range
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import NO_POD, POD_LOADS, battery_heights, battery_moves, battery_place
from foamworks.aircraft.thrust_line import Powered, powered_states
from foamworks.design.model import Design, StandingPod
from foamworks.parts.mount import back_line
from foamworks.parts.mounted_pod import MountedPod, over_back
from foamworks.physics import balance as weights
from foamworks.physics import trim
from foamworks.physics.balance import Loads, Settled
from foamworks.physics.planform import ReferenceWing
from foamworks.study.placement_room import Bools, Floats, fit_limits, mount_stands, plume_angles
from foamworks.units import mm, said

COUNT = 20  # places each way
TILT_STEP = math.radians(0.25)  # of the scan for the best downthrust
HEADROOM = 0.060  # m above the nozzle as designed
OVERHANG = 0.030  # m behind the fuselage's end
PLUME = math.radians(15)  # half angle that structure keeps out of (common practice, no source)
SHARE_WISH = 1 / 3  # of the elevator's travel (common practice, no source)
ANGLE_ERROR, HEIGHT_ERROR = math.radians(2), 0.005  # of building and of the CG's height (common practice, no source)


@dataclass(frozen=True)
class PlacementMap:
    """Nozzle places x (columns) and z (rows) [m] and what each would bring, arrays (z, x).

    margin: worst static margin of all states after settling; settled: every state inside its window; downthrust [rad];
    moment: worst booster moment [N m]; share: elevator it asks for over its travel, building errors in, NaN when the
    elevator or the entry speed is not known; plume: least angle [rad] of anything off the plume's axis, inf when
    nothing is in reach; fits: the air gap is kept at that downthrust and the mount stands on the body.
    """

    x: Floats
    z: Floats
    margin: Floats
    settled: Bools
    downthrust: Floats
    moment: Floats
    share: Floats
    plume: Floats
    fits: Bools
    least_margin: float

    @property
    def good(self) -> Bools:
        """Places where nothing speaks against it."""
        light = np.where(np.isnan(self.share), True, self.share <= SHARE_WISH)
        inside = self.margin >= self.least_margin - 1e-9
        return np.asarray(self.fits & self.settled & inside & light & (self.plume >= PLUME))

    def at(self, row: int, column: int) -> dict[str, float]:
        """Give one place by its numbers."""
        names = ("margin", "downthrust", "moment", "share", "plume")
        found = {name: float(getattr(self, name)[row, column]) for name in names}
        return {"x": float(self.x[column]), "z": float(self.z[row]), **found}


def placement_map(
    design: Design,
    asked: Design,
    *,
    aero: Aero | None,
    wing: ReferenceWing | None,
    balance: Balance | None,
    entry: float | None,
    spare: float = 0.0,
    count: int = COUNT,
) -> PlacementMap | None:
    """Make the map; `asked` has battery and ballast as open as the file gives them; `entry`: speed at ignition [m/s];
    `spare`: how far ahead of the aft limit they aim where there is room [m].

    None without a pod over a measured back, without motors, or when the balance is not known.
    """
    stand, pod = design.standing, over_back(design)
    if stand is None or pod is None or aero is None or wing is None or balance is None or balance.window is None:
        return None
    powered = powered_states(design, balance.rows)
    rows = [row for row in balance.rows if row.name != NO_POD]
    if not powered or not all(math.isfinite(row.cg_x) for row in rows):
        return None
    x, z = _grid(pod, wing, count)
    places = np.array([(px, pz) for pz in z for px in x])
    group = _Group(design, stand, asked, rows, replace(balance.window, spare=spare))
    limit = stand.pod.downthrust_limit
    reach = fit_limits(pod, places, most=limit)
    most = np.minimum(np.where(np.isnan(reach), 0.0, reach), limit)
    moments = _Moments(group, powered)
    tilt = moments.best(places, most, [group.as_designed] * len(places))[0]
    settled = [group.settle(place, float(t)) for place, t in zip(places, tilt, strict=True)]
    tilt, worst, with_errors = moments.best(places, most, settled)
    points = aero.modified.neutral_point_flown
    margin = np.array([min((points - cg) / wing.mac for cg in s.cg) for s in settled])
    size = (len(z), len(x))
    return PlacementMap(
        x=x,
        z=z,
        margin=margin.reshape(size),
        settled=np.array([s.feasible for s in settled]).reshape(size),
        downthrust=tilt.reshape(size),
        moment=worst.reshape(size),
        share=(with_errors * _per_moment(design, aero, wing, entry)).reshape(size),
        plume=plume_angles(design, stand.planes, places, tilt).reshape(size),
        fits=(~np.isnan(reach) & mount_stands(pod, places, tilt)).reshape(size),
        least_margin=design.limits.least,
    )


@dataclass(frozen=True)
class Best:
    """The best place of a map, whether everything is good there, and the same in words (mm, deg)."""

    row: int
    column: int
    good: bool
    words: str


def best_place(found: PlacementMap) -> Best:
    """Choose the place where the scarcest of margin, elevator, plume and fit is least scarce, and say so."""
    share = np.where(np.isnan(found.share), 0.0, found.share)
    scores = np.stack(
        [
            (found.margin - found.least_margin) / 0.05,
            (SHARE_WISH - share) / SHARE_WISH,
            (np.minimum(found.plume, math.radians(45)) - PLUME) / math.radians(10),
            np.where(found.fits & found.settled, 1.0, -9.0),
        ]
    ).min(axis=0)
    scores = np.where(found.good, np.maximum(scores, 0.0) + 10, scores)  # any good place before any other
    row, column = (int(i) for i in np.unravel_index(int(np.argmax(scores)), scores.shape))
    good = bool(found.good[row, column])
    return Best(row, column, good, _words(found, row, column, good))


def _words(found: PlacementMap, row: int, column: int, good: bool) -> str:
    at = found.at(row, column)
    text = (
        f"nozzle at x = {mm(at['x']):.0f}, z = {said(at['z'], 'mm', 0)}, {said(at['downthrust'], 'deg', 1)} of "
        f"downthrust: worst static margin {said(at['margin'], '%', 1)}, worst moment {at['moment']:.2f} N m"
    )
    if math.isfinite(at["share"]):
        text += f" ({said(at['share'], '%', 0)} of the elevator with building errors)"
    if math.isfinite(at["plume"]):
        text += f", {said(at['plume'], 'deg', 0)} between the plume's axis and the nearest part"
    number = int(found.good.sum())
    if good:
        return f"the best place: {text}; {number} of {found.good.size} places on the map are good"
    lacks = []
    if not found.fits[row, column]:
        lacks.append("it does not fit over the back")
    if not found.settled[row, column] or at["margin"] < found.least_margin:
        lacks.append("not every state balances")
    if at["share"] > SHARE_WISH:
        lacks.append("it asks for more than a third of the elevator")
    if at["plume"] < PLUME:
        lacks.append("the plume reaches a part")
    return f"no place on the map is good; the least bad: {text}; {', '.join(lacks)}"


def _grid(pod: MountedPod, wing: ReferenceWing, count: int) -> tuple[Floats, Floats]:
    """Spread the places: from the wing to behind the tail, from the back to above the nozzle as designed."""
    sections, nozzle_z, outer = pod.sections, mm.si(pod.place.z), mm.si(pod.tube_outer)
    first = max(wing.quarter_mac_x, mm.si(sections[0].x) + mm.si(pod.layout.nose[1]))
    last = mm.si(sections[-1].x) + OVERHANG
    back = mm.si(min(z for x, z in back_line(sections) if mm.si(x) >= min(first, last - OVERHANG)))
    top = max(nozzle_z, back + outer) + HEADROOM
    return np.linspace(min(first, last - 0.01), last, count), np.linspace(back + outer / 2, top, count)


class _Group:
    """The states with the pod's parts and motor apart from all that stays, battery and ballast open."""

    def __init__(self, design: Design, stand: StandingPod, asked: Design, rows: list[StateRow], window: Window) -> None:
        self.rows, self.window = rows, window
        self.nozzle, self.tilt = (stand.x, stand.z), stand.downthrust
        moved = [[load for load in row.loads if load.kind in POD_LOADS] for row in rows]
        fixed = [[load for load in row.loads if load.kind not in (*POD_LOADS, "battery", "ballast")] for row in rows]
        self.pod = np.array([sum(load.mass for load in loads) for loads in moved])
        self.pod_x = np.array([sum(load.mass * (load.x - self.nozzle[0]) for load in loads) for loads in moved])
        self.pod_z = np.array([sum(load.mass * (load.z - self.nozzle[1]) for load in loads) for loads in moved])
        self.fixed = np.array([sum(load.mass for load in loads) for loads in fixed])
        self.fixed_x = np.array([sum(load.mass * load.x for load in loads) for loads in fixed])
        self.fixed_z = np.array([sum(load.mass * load.z for load in loads) for loads in fixed])
        self._room(design, asked)
        cg = np.array([row.cg_x for row in rows])
        place = rows[0].battery_x if rows[0].battery_x is not None else 0.0
        self.as_designed = Settled(place, rows[0].ballast, True, None, cg, 0.0, 0, 0)

    def _room(self, design: Design, asked: Design) -> None:
        """Note what battery and ballast may do."""
        airframe = asked.airframe
        battery = airframe.battery if airframe else None
        self.battery, self.slide, self.battery_z = 0.0, (0.0, 0.0), 0.0
        if airframe is not None and battery is not None and battery_moves(battery):
            self.battery, self.battery_z = battery.mass or 0.0, battery_heights(airframe)[1]
            solved = design.airframe.battery if design.airframe else None
            place = battery_place(solved)[1]
            self.slide = battery.slide if battery.x == "auto" and battery.slide is not None else (place, place)
        self.ballast = ballast_range(asked)
        self.ballast_x = asked.ballast.x if asked.ballast else 0.0
        self.ballast_z = asked.ballast.z if asked.ballast else 0.0

    def shifted(self, place: Floats, tilt: float) -> tuple[Floats, Floats]:
        """Moments of the pod's masses (x, z) [kg m] with the nozzle there and the pod turned about it."""
        cos, sin = math.cos(tilt - self.tilt), math.sin(tilt - self.tilt)
        x = self.pod * place[0] + self.pod_x * cos - self.pod_z * sin
        return x, self.pod * place[1] + self.pod_x * sin + self.pod_z * cos

    def settle(self, place: Floats, tilt: float) -> Settled:
        """Settle battery and ballast with the pod there, aiming ahead by the whole spare or not at all."""
        aimed = self._settle(place, tilt, self.window.spare)
        return aimed if aimed.feasible or self.window.spare <= 0 else self._settle(place, tilt, 0.0)

    def _settle(self, place: Floats, tilt: float, spare: float) -> Settled:
        aft = self.window.aft - spare
        forward = -FAR if self.window.forward is None else min(self.window.forward, aft)
        ones = np.ones(len(self.rows))
        loads = Loads(
            masses=self.fixed + self.pod,
            moments=self.fixed_x + self.shifted(place, tilt)[0],
            forward=forward * ones,
            aft=aft * ones,
        )
        return weights.settle(
            loads=loads, battery=self.battery, slide=self.slide, ballast_x=self.ballast_x, ballast=self.ballast
        )


class _Moments:
    """The booster's moment at every place and tilt, over all moments of all burns."""

    def __init__(self, group: _Group, powered: list[Powered]) -> None:
        self.group, self.powered = group, powered
        names = [row.name for row in group.rows]
        self.index = [names.index(f"{p.motor}: ignition") for p in powered]

    def best(self, places: Floats, most: Floats, settled: list[Settled]) -> tuple[Floats, Floats, Floats]:
        """Give the best downthrust within `most` [rad], the worst moment there, and the same with building errors."""
        count = max(2, math.ceil(float(most.max()) / TILT_STEP) + 1)
        tilts = np.linspace(0.0, 1.0, count) * most[:, None]  # (place, tilt)
        battery = np.array([s.battery_x for s in settled])[:, None]
        ballast = np.array([s.ballast for s in settled])[:, None]
        worst, erred = np.zeros(tilts.shape), np.zeros(tilts.shape)
        for p, i in zip(self.powered, self.index, strict=True):
            arm, far = self._arm(p, i, places, tilts, battery, ballast)
            worst = np.maximum(worst, p.thrust * np.abs(arm))
            erred = np.maximum(erred, p.thrust * (np.abs(arm) + far * math.sin(ANGLE_ERROR) + HEIGHT_ERROR))
        row = np.arange(len(places))
        choice = worst.argmin(axis=1)
        return tilts[row, choice], worst[row, choice], erred[row, choice]

    def _arm(
        self, p: Powered, i: int, places: Floats, tilts: Floats, battery: Floats, ballast: Floats
    ) -> tuple[Floats, Floats]:
        """Height of the line above the CG, and the nozzle's distance from the CG [m]."""
        g = self.group
        cos, sin = np.cos(tilts - g.tilt), np.sin(tilts - g.tilt)
        x, z = places[:, :1], places[:, 1:]
        gone = g.pod[i] - self._kept(p, i)  # propellant that has left, from the motor's middle
        total = g.fixed[i] + g.pod[i] + g.battery + ballast - gone
        half = p.motor_length / 2
        cg_x = (
            g.fixed_x[i] + g.pod[i] * x + g.pod_x[i] * cos - g.pod_z[i] * sin
            + g.battery * battery + ballast * g.ballast_x - gone * (x - half * np.cos(tilts))
        ) / total  # fmt: skip
        cg_z = (
            g.fixed_z[i] + g.pod[i] * z + g.pod_x[i] * sin + g.pod_z[i] * cos
            + g.battery * g.battery_z + ballast * g.ballast_z - gone * (z - half * np.sin(tilts))
        ) / total  # fmt: skip
        arm = (z - cg_z) * np.cos(tilts) - (x - cg_x) * np.sin(tilts)
        return arm, np.hypot(x - cg_x, z - cg_z)

    def _kept(self, p: Powered, i: int) -> float:
        """Mass of the pod group at this moment of the burn."""
        full = next(load.mass for load in self.group.rows[i].loads if load.kind == "motor")
        return float(self.group.pod[i]) - (full - p.motor_mass)


def _per_moment(design: Design, aero: Aero, wing: ReferenceWing, entry: float | None) -> float:
    """Share of the elevator's travel up that one newton metre asks for; NaN when it is not known."""
    tail = design.airframe.tailplane if design.airframe else None
    power = aero.modified.elevator_power
    if tail is None or tail.elevator is None or power is None or entry is None or not tail.elevator.up > 0:
        return math.nan
    angle = trim.elevator_for_moment(
        moment=-1.0, speed=entry, density=air_of(design).density, area=wing.area, chord=wing.mac, power=power
    )
    return abs(angle) / min(tail.elevator.up, tail.elevator.down or tail.elevator.up)
