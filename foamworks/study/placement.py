"""Where over the back could the pod's nozzle sit? Balance, thrust line, plume and fit over a grid of places. SI.

The aerodynamics stand as they are: a pod moves masses, not lift. At each place the pod group is shifted and turned
about its nozzle, battery and ballast are settled anew, the downthrust is the best that fits over the back and within
its limit, the mount is made for it, and the plume's cone is held against tailplane, fins and fuselage. Left out: where
the pod meets fins or tailplane, and that its drag changes the speed it is lit at. Data for a picture, and for a first
choice that the whole check then tries.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from foamworks.aircraft.aero import Flying
from foamworks.aircraft.balance import Balance, StateRow, Window, settle_ahead, shifts_of
from foamworks.aircraft.hands_off import air_of
from foamworks.aircraft.masses import POD_LOADS, battery_heights, moments, pack_slide
from foamworks.aircraft.thrust_line import Powered, powered_states
from foamworks.design.ladder import NO_POD, State
from foamworks.design.model import Design, StandingPod
from foamworks.parts.cuts import weighed_apart
from foamworks.parts.mount import back_line
from foamworks.parts.mounted_pod import MountedPod, over_back
from foamworks.physics import trim
from foamworks.physics.balance import Settled
from foamworks.physics.flight.thrust_line import building_errors
from foamworks.physics.planform import ReferenceWing
from foamworks.study.placement_room import Bools, Floats, fit_limits, plume_angles
from foamworks.units import first_measured, grams, mm

COUNT = 20  # places each way
APART = 3  # places between two that are tried
TILT_STEP = math.radians(0.25)  # of the scan for the best downthrust
HEADROOM = 0.060  # m above the nozzle as designed
OVERHANG = 0.030  # m behind the fuselage's end
PLUME = math.radians(15)  # half angle that structure keeps out of (common practice, no source)
SHARE_WISH = 1 / 3  # of the elevator's travel (common practice, no source)
AIM_STEP = 1e-3  # m, of the aim ahead of the aft limit


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
    flying: Flying | None,
    balance: Balance | None,
    entry: float,
    spare: float = 0.0,
    count: int = COUNT,
) -> PlacementMap | None:
    """Make the map; `asked` has battery and ballast as open as the file gives them; `entry`: speed at ignition [m/s];
    `spare`: how far ahead of the aft limit they aim where there is room [m].

    None without a pod over a measured back, without motors, or when the balance is not known.
    """
    stand, pod = design.standing, over_back(design)
    if not (stand and pod and flying and balance):
        return None
    aero, wing = flying.aero, flying.wing
    powered = powered_states(design, balance.rows)
    rows = [row for row in balance.rows if row.state != NO_POD]
    if not powered or not all(math.isfinite(row.cg_x) for row in rows):
        return None
    x, z = _grid(pod, wing, count)
    places = np.array([(px, pz) for pz in z for px in x])
    group = _Group(stand, asked, rows, replace(balance.window, spare=spare), len(places))
    limit = stand.pod.downthrust_limit
    reach = fit_limits(pod, places, most=limit)
    most = np.minimum(np.where(np.isnan(reach), 0.0, reach), limit)
    moments = _Moments(group, powered, design.build.angle_error)
    tilt = moments.best(places, most, [group.as_designed] * len(places))[0]
    stands = group.take_mounts(design, pod, places, np.where(np.isnan(reach), np.nan, tilt))
    settled = [group.settle(i, place, float(t)) for i, (place, t) in enumerate(zip(places, tilt, strict=True))]
    tilt, worst = moments.best(places, most, settled)
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
        share=moments.share(places, tilt, settled, _elevator(design, flying, entry)).reshape(size),
        plume=plume_angles(design, stand.planes, places, tilt).reshape(size),
        fits=(~np.isnan(reach) & stands).reshape(size),
        least_margin=design.limits.least,
    )


def promising(found: PlacementMap, most: int) -> list[tuple[int, int]]:
    """Choose places (row, column) where the scarcest of margin, elevator and plume is least scarce, best first.

    Good places come before others, none comes next to one chosen, and none where the pod does not fit.
    """
    share = np.where(np.isnan(found.share), 0.0, found.share)
    scores = np.stack(
        [
            (found.margin - found.least_margin) / 0.05,
            (SHARE_WISH - share) / SHARE_WISH,
            (np.minimum(found.plume, math.radians(45)) - PLUME) / math.radians(10),
        ]
    ).min(axis=0)
    scores = np.where(found.good, np.maximum(scores, 0.0) + 10, scores)
    chosen: list[tuple[int, int]] = []
    for number in np.argsort(-scores, axis=None, kind="stable"):
        row, column = divmod(int(number), len(found.x))
        apart = all(max(abs(row - r), abs(column - c)) >= APART for r, c in chosen)
        if apart and found.fits[row, column] and len(chosen) < most:
            chosen.append((row, column))
    return chosen


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

    def __init__(self, stand: StandingPod, asked: Design, rows: list[StateRow], window: Window, places: int) -> None:
        self.rows, self.window = rows, window
        self.mounts = np.zeros((3, places))  # mass [kg], its moments [kg m] along x and z
        self.nozzle, self.tilt = (stand.x, stand.z), stand.downthrust
        open_ = ("battery", "ballast", *(("ignition pack",) if pack_slide(asked) is not None else ()))
        moved = [
            moments((load for load in row.loads if load.kind in POD_LOADS and load.kind != "mount"), about=self.nozzle)
            for row in rows
        ]
        fixed = [moments(load for load in row.loads if load.kind not in (*POD_LOADS, *open_)) for row in rows]
        self.pod, self.pod_x, self.pod_z = np.array(moved).T
        self.fixed, self.fixed_x, self.fixed_z = np.array(fixed).T
        self._room(asked)
        held = [load for load in rows[0].loads if load.kind in open_ and load.kind != "ballast"]
        place = sum(load.mass * load.x for load in held) / self.movers.mass if self.movers.mass else 0.0
        cg = np.array([row.cg_x for row in rows])
        self.as_designed = Settled(place, rows[0].ballast, True, cg, 0.0, 0, 0)

    def _room(self, asked: Design) -> None:
        """Note what battery, ignition pack and ballast may do."""
        self.shifts = shifts_of(asked, self.rows)
        self.movers = self.shifts.movers
        airframe, pack = asked.airframe, asked.ignition.pack if asked.ignition else None
        battery, apart = self.movers.battery.mass, self.movers.pack.mass
        self.movers_z = battery * battery_heights(airframe)[1] if battery else 0.0  # kg m
        self.movers_z += apart * first_measured(pack.z, 0.0) if pack else 0.0
        self.ballast_z = asked.ballast.z if asked.ballast else 0.0

    def take_mounts(self, design: Design, pod: MountedPod, places: Floats, tilts: Floats) -> Bools:
        """Make the mount of every place, NaN for a tilt where there is none to make; say where one can stand."""
        stands = np.zeros(len(places), dtype=bool)
        for i, ((x, z), tilt) in enumerate(zip(places, tilts, strict=True)):
            if math.isnan(tilt):
                continue
            made = pod.moved(aft=mm(x) - pod.place.x, lift=mm(z) - pod.place.z).tilted(float(tilt)).mount
            stands[i] = not made.reason
            for part in made.prints:
                weighed = weighed_apart(design, part.name)
                mass = first_measured(weighed, grams.si(part.mass_g), 0.0)
                self.mounts[:, i] += mass, mass * mm.si(part.x_mm or 0.0), mass * mm.si(part.z_mm or 0.0)
        return stands

    def shifted(self, place: Floats, tilt: float) -> tuple[Floats, Floats]:
        """Moments of the pod's masses (x, z) [kg m] with the nozzle there and the pod turned about it."""
        cos, sin = math.cos(tilt - self.tilt), math.sin(tilt - self.tilt)
        x = self.pod * place[0] + self.pod_x * cos - self.pod_z * sin
        return x, self.pod * place[1] + self.pod_x * sin + self.pod_z * cos

    def settle(self, i: int, place: Floats, tilt: float) -> Settled:
        """Settle what is open with the pod at the place of this number, aiming ahead as far as there is room."""
        moment = self.shifted(place, tilt)[0] + self.mounts[1, i]
        masses = self.fixed + self.pod + self.mounts[0, i]
        return settle_ahead(masses, self.fixed_x + moment, self.window, self.shifts, step=AIM_STEP)


class _Moments:
    """The booster's moment at every place and tilt, over all moments of all burns."""

    def __init__(self, group: _Group, powered: list[Powered], angle_error: float) -> None:
        self.group, self.powered, self.angle_error = group, powered, angle_error
        states = [row.state for row in group.rows]
        self.index = [states.index(State("ignition", p.motor)) for p in powered]

    def best(self, places: Floats, most: Floats, settled: list[Settled]) -> tuple[Floats, Floats]:
        """Give the best downthrust within `most` [rad] and the worst moment there."""
        count = max(2, math.ceil(float(most.max()) / TILT_STEP) + 1)
        tilts = np.linspace(0.0, 1.0, count) * most[:, None]  # (place, tilt)
        worst = np.zeros(tilts.shape)
        for p, i in zip(self.powered, self.index, strict=True):
            worst = np.maximum(worst, p.thrust * np.abs(self._arm(p, i, places, tilts, settled)))
        row = np.arange(len(places))
        choice = worst.argmin(axis=1)
        return tilts[row, choice], worst[row, choice]

    def share(self, places: Floats, tilts: Floats, settled: list[Settled], elevator: "_Elevator | None") -> Floats:
        """Give the share of the elevator's travel that the worst building error asks for; NaN when it is not known."""
        if elevator is None:
            return np.full(len(places), math.nan)
        angles, heights = building_errors(self.angle_error)
        built, found = tilts[:, None] + angles, np.zeros(len(places))
        for p, i in zip(self.powered, self.index, strict=True):
            arm = self._arm(p, i, places, built, settled) + heights * np.cos(built)
            asked = -elevator.per_moment * p.thrust * arm
            worst = np.take_along_axis(asked, np.abs(asked).argmax(axis=1)[:, None], axis=1)[:, 0]
            with np.errstate(divide="ignore"):
                found = np.maximum(found, np.abs(worst) / np.where(worst < 0, elevator.up, elevator.down))
        return found

    def _arm(self, p: Powered, i: int, places: Floats, tilts: Floats, settled: list[Settled]) -> Floats:
        """Height of the line above the CG [m], (place, tilt)."""
        g = self.group
        cos, sin = np.cos(tilts - g.tilt), np.sin(tilts - g.tilt)
        x, z = places[:, :1], places[:, 1:]
        held = np.array([s.battery_x for s in settled])[:, None]
        ballast = np.array([s.ballast for s in settled])[:, None]
        mount, mount_x, mount_z = g.mounts[:, :, None]
        gone = g.pod[i] - self._kept(p, i)  # propellant that has left, from the motor's middle
        total = g.fixed[i] + g.pod[i] + mount + g.movers.mass + ballast - gone
        half = p.motor_length / 2
        cg_x = (
            g.fixed_x[i] + g.pod[i] * x + g.pod_x[i] * cos - g.pod_z[i] * sin + mount_x
            + g.movers.mass * held + ballast * g.shifts.ballast_x - gone * (x - half * np.cos(tilts))
        ) / total  # fmt: skip
        cg_z = (
            g.fixed_z[i] + g.pod[i] * z + g.pod_x[i] * sin + g.pod_z[i] * cos + mount_z
            + g.movers_z + ballast * g.ballast_z - gone * (z - half * np.sin(tilts))
        ) / total  # fmt: skip
        return np.asarray((z - cg_z) * np.cos(tilts) - (x - cg_x) * np.sin(tilts))

    def _kept(self, p: Powered, i: int) -> float:
        """Mass of the pod group at this moment of the burn."""
        full = next(load.mass for load in self.group.rows[i].loads if load.kind == "motor")
        return float(self.group.pod[i]) - (full - p.motor_mass)


@dataclass(frozen=True)
class _Elevator:
    """The elevator that one newton metre asks for [rad/(N m)], and its travel up and down [rad]."""

    per_moment: float
    up: float
    down: float


def _elevator(design: Design, flying: Flying, entry: float) -> _Elevator | None:
    """Give it at the speed the motor is lit at [m/s]; None when something of it is not known."""
    elevator, wing, power = design.airframe.elevator, flying.wing, flying.aero.modified.elevator_power
    if elevator is None or not math.isfinite(power * entry):
        return None
    angle = trim.elevator_for_moment(
        moment=1.0, speed=entry, density=air_of(design).density, area=wing.area, chord=wing.mac, power=power
    )
    return _Elevator(angle, elevator.up, elevator.down)
