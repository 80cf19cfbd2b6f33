"""Can fan, controller and battery do it, is the drag known, what gain for the gyro? Amperes, volts, km/h, mm2, %."""

import math
from collections.abc import Iterator
from functools import partial

from foamworks.checks.base import Finding, Proposal, Verdict, collected, given, judged, lacking, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.airframe import Battery, Pack
from foamworks.design.edit import Edit, blank
from foamworks.errors import not_measured
from foamworks.physics.circuit import C_RATING_SHARE, FULL_CELL
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drag import POWER, Drag
from foamworks.study.flight.drive import drive
from foamworks.study.flight.flown import airspeed, nothing_left, weight
from foamworks.study.flight.power import EFFLUX, ESC_MARGIN, Power
from foamworks.units import milliamp_hours, mm2, percent, said

DRAG = record("drag-area")
CURRENT = record("battery-current")
CONTROLLER = record("controller-margin")
VOLTAGE = record("fan-voltage")
FAN_LINE = record("fan-moment")
GYRO = record("gyro-gain")

DRAG_COEFFICIENT = (0.02, 0.12)  # of whole foam jets on the wing's area (ours, from flown models and build-ups)
HOUR = 3600.0  # s
GAIN_KEPT = 0.5  # of the gain flown level; a boost that leaves less wants another setting (ours)


def findings(case: Case) -> list[Finding]:
    """Judge fan, battery, drag and gyro; each only where the design has it."""
    return collected(case, _drag, _battery, _controller, _volts, _fan_line, _gyro)


def _drag(case: Case) -> Iterator[Finding]:
    design, airframe = case.design, given(case.design.stock)
    given(airframe.fan or design.flights or design.motors or None)
    yield from _odd_flights(case)
    without = "" if airframe.fan else "no fan is given, so its thrust, current and volts are not known: "
    DRAG.need(drive(design, stock=True).jet, "model", "fan", without=without)
    drag, guess = case.study.burn.drag, ""
    if drag:
        guess = (
            f"; a build-up from the geometry gives {said(drag.whole, 'mm2', 0)}, half or twice that at the worst, "
            "and all speeds rest on it"
        )
    drag = DRAG.need(drag if drag and drag.flown else None, "model", "flight", guess=guess)
    yield _drag_finding(case, given(case.study.burn.power), drag)


def _odd_flights(case: Case) -> Iterator[Finding]:
    """Name the flights that say nothing of the drag, and why."""
    for flight in case.design.flights:
        speed, _ = airspeed(flight)
        if nothing_left(flight):
            yield DRAG.finding(
                "fail",
                f'flight "{flight.label}"',
                of="nothing left",
                value=speed,
                limit=0.0,
                unit="km/h",
                wind=flight.wind or 0.0,
                flown=flight.speed,
            )


def _drag_finding(case: Case, power: Power, drag: Drag) -> Finding:
    wing, value = given(case.study.wing), drag.whole
    other = drag.whole - drag.zero_lift(frozenset(), POWER) + drag.zero_lift(frozenset(), EFFLUX)
    why = f"from {drag.basis}: {said(value, 'mm2', 0)} by constant power, {mm2(other):.0f} by constant efflux"
    if math.isfinite(power.level):
        why += f"; with what is added {said(power.modified, 'mm2', 0)} and {said(power.level, 'km/h', 0)}"
    if math.isfinite(power.fairing_saves):
        why += f"; the camera's fairing is worth {said(power.fairing_saves, 'km/h', 1)} over the bare box"
    low, high = DRAG_COEFFICIENT
    coefficient = drag.whole / wing.area
    verdict: Verdict = "pass"
    limit, cure = math.nan, f"{_pack_first(case)}measure the static thrust and the rotor again, and fly out and back"
    left = {law: _least_left(drag, law) for law in (POWER, EFFLUX)}
    if min(left.values()) <= 0:
        beyond = any(run.drag_area(EFFLUX) <= 0 for run in drag.runs if not run.lit)
        verdict = "fail" if left[POWER] <= 0 or beyond else "caution"
        why += ": less than its parts alone make, or faster than the fan's jet; thrust, exit area and speed contradict"
    elif not low <= coefficient <= high:
        verdict = "caution"
        limit = wing.area * (low if coefficient < low else high)
        why += f"; {coefficient:.3f} on the wing's area is not usual ({low:g} to {high:g})"
    return DRAG.finding(verdict, "model", value=value, limit=limit, why=why, cure=lambda: cure)


def _least_left(drag: Drag, law: FanModel) -> float:
    """Give the least drag area [m2] that a flight leaves for the bare model, less lift's and the parts'."""
    return min(
        run.drag_area(law) - drag.induced * (weight(run) / run.pressure) ** 2 - sum(drag.fitted(run.rung.fitted))
        for run in drag.runs
        if not run.lit
    )


def _pack_first(case: Case) -> str:
    """Ask for the pack first: a speed that makes no sense was mostly flown on another than the file says."""
    battery = case.design.airframe.battery
    if battery is None:
        return "say which pack it was flown on: under [airframe.battery] type cells; then "
    cells = f", {battery.cells} cells" if battery.cells else ""
    if not battery.stock:
        return (
            f"first: was it flown on the pack that the file gives{cells}? If another was in when the model was weighed "
            "and flown, type stock = { mass, cells, capacity } under [airframe.battery]; then "
        )
    return 'first: which pack was it? pack = "stock" or "new" in [[flights]] says so; then '


def _battery(case: Case) -> Iterator[Finding]:
    power, battery = given(case.study.burn.power), case.design.airframe.battery or Pack()
    current, limit = power.drive.current, power.current_limit
    rating, capacity = battery.c_rating, battery.capacity
    asked = {
        "the current at full throttle (current under [airframe.fan])": current,
        "the pack's capacity (capacity under [airframe.battery])": capacity,
        "its C rating (c_rating under [airframe.battery])": rating,
    }
    CURRENT.need(current + limit, "battery", what=lacking(asked))
    why = (
        f"{current:.0f} A at full throttle; half the printed {rating:g} C of {milliamp_hours(capacity):.0f} mAh is "
        f"{limit:.0f} A; {power.flight_time / 60:.1f} min of full throttle leave 20 % in the pack"
    )
    cure = partial(_stronger_pack, current, rating, capacity)
    yield CURRENT.judge("battery", current, fail_above=limit, why=why, cure=cure)


def _stronger_pack(current: float, rating: float, capacity: float) -> Iterator[Proposal]:
    """Propose a pack of a higher rating, or a larger one of the same; current [A], capacity [A s]."""
    harder = round_up(current / C_RATING_SHARE / (capacity / HOUR))
    larger = round_up(milliamp_hours(current / C_RATING_SHARE / rating * HOUR), -1)
    edit = Edit("airframe.battery.c_rating", harder)
    yield Proposal(f"take a pack of at least {harder:.0f} C", "set", (edit,))
    yield Proposal(f"take a pack of {larger:.0f} mAh at the same C, and weigh it")


def _controller(case: Case) -> Iterator[Finding]:
    power, fan = given(case.study.burn.power), given(case.design.airframe.fan)
    current = power.drive.current
    margin = CONTROLLER.need(fan.esc / current, "speed controller")
    amperes, throttle = round_up(ESC_MARGIN * current), round_down(percent(power.throttle))
    yield CONTROLLER.judge(
        "speed controller",
        margin,
        fail_below=ESC_MARGIN,
        why=f"{fan.esc:.0f} A of controller for {current:.0f} A of fan{_by_pack(power)}",
        cure=lambda: (
            Proposal(f"fit a controller of {amperes:.0f} A", "set", (Edit("airframe.fan.esc", amperes, "A"),)),
            Proposal(f"fly with at most {throttle:.0f} % of throttle on this controller", "fly"),
        ),
    )


def _by_pack(power: Power) -> str:
    """Say on which pack the fan draws the current, where the other one draws another."""
    old = power.drive_stock.current
    return "" if power.drive.stock or not math.isfinite(old) else f" on the new pack; {old:.0f} A on the old one"


def _volts(case: Case) -> Iterator[Finding]:
    unit, fan = given(case.study.burn.power).drive, given(case.design.airframe.fan)
    battery = case.design.airframe.battery or Battery()
    VOLTAGE.need(unit.volts, "fan", "volts")
    if not battery.stock or battery.stock.cells == battery.cells:
        given(fan.max_volts)
    most = VOLTAGE.need(fan.max_volts, "fan", "most")
    full = FULL_CELL * battery.cells if battery.cells else unit.volts
    why = f"{unit.volts:.1f} V under load, {full:.1f} V full at rest; the fan's motor is made for {most:g} V"
    if unit.assumed:
        why += f" (taken for granted: {unit.assumed})"
    yield VOLTAGE.finding(
        "fail" if unit.volts > most else judged(full, caution_above=most + 1e-9),
        "fan",
        value=unit.volts,
        limit=most,
        why=why,
        cure=lambda: _fewer_cells(case, int(most / FULL_CELL + 1e-9)),
    )


def _fewer_cells(case: Case, cells: int) -> Iterator[Proposal]:
    """Propose a pack that the fan's motor stands when full, where one does."""
    if cells and case.design.airframe.battery is not None:
        yield Proposal(f"take a pack of {cells} cells", "set", (Edit("airframe.battery.cells", cells),))
    yield Proposal(f"fit a fan for more volts, then {blank('airframe.fan.max_volts')}, what it stands")


def _fan_line(case: Case) -> Iterator[Finding]:
    """Say that the fan's own moment is not known where its line was not measured; it is there before the booster's."""
    fan, line = given(case.design.airframe.fan), given(case.study.thrust_line)
    if not line.rows:
        return
    places = {"airframe.fan.z": fan.z, **({"airframe.fan.x": fan.x} if fan.tilt else {})}
    lacks = [key for key, place in places.items() if not_measured(place)]
    if lacks:
        each = "" if not_measured(fan.thrust) else f"; at rest each 10 mm off make {0.01 * fan.thrust:.2f} N m"
        yield FAN_LINE.unknown("fan", each=each, typed=blank(*lacks))


def _gyro(case: Case) -> Iterator[Finding]:
    table, clean = given(case.study.burn.gyro), given(case.design.gyro).clean
    fastest, known = max(table.marks, key=lambda mark: mark.speed, default=None), math.isfinite(table.level)
    if known and not case.design.motors:
        given(fastest)
    fast = "the boost is" if case.design.motors else "it flies level at full throttle"
    fastest = GYRO.need(fastest, "gyro", what=fast)
    flown = table.level if known else clean.gain
    least = GAIN_KEPT * flown
    yield GYRO.judge("gyro", fastest.gain, caution_below=least, of="gain", clean=clean, flown=flown, fastest=fastest)
