"""Can fan, controller and battery do it, is the drag known, what gain for the gyro? Amperes, volts, km/h, mm2, %."""

from collections.abc import Iterator

from foamworks.checks.base import Finding, Proposal, Verdict, judged, round_down, round_up
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.edit import Edit
from foamworks.physics.circuit import C_RATING_SHARE, FULL_CELL
from foamworks.physics.flight.fan import FanModel
from foamworks.study.flight.drag import POWER, Drag
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
    power = case.study.burn.power if case.study.burn else None
    found = [*_drag(case, power)]
    if power is not None:
        found += [*_battery(case, power), *_controller(case, power), *_volts(case, power)]
    return [*found, *_fan_line(case), *_gyro(case)]


def _drag(case: Case, power: Power | None) -> Iterator[Finding]:
    design = case.design
    airframe = design.airframe
    if not airframe.given or (airframe.fan is None and not design.flights and not design.motors):
        return
    yield from _odd_flights(case)
    fan = airframe.fan
    if fan is None or fan.thrust is None or (fan.diameter is None and fan.exit_area is None):
        without = "" if fan is not None else "no fan is given, so its thrust, current and volts are not known: "
        yield DRAG.unknown(
            "model",
            why=f"{without}a flown speed tells the drag only with the fan's thrust at that speed; its static thrust "
            "and its diameter are not both known",
            measure="pull the model against a kitchen scale at full throttle and measure the rotor, and type "
            "airframe.fan.thrust, diameter and hub",
        )
        return
    drag = power.drag if power else None
    if drag is None or power is None or drag.flown is None:
        guess = (
            ""
            if drag is None
            else (
                f"; a build-up from the geometry gives {said(drag.whole, 'mm2', 0)}, half or twice that at the worst, "
                "and all speeds rest on it"
            )
        )
        yield DRAG.unknown(
            "model",
            why=f"no level flight at full power was measured{guess}",
            measure="fly one straight run out and one back at full throttle, time both, and type the mean into "
            "[[flights]]",
        )
        return
    yield _drag_finding(case, power, drag)


def _odd_flights(case: Case) -> Iterator[Finding]:
    """Name the flights that say nothing of the drag, and why."""
    for flight in case.design.flights:
        speed, _ = airspeed(flight)
        if nothing_left(flight):
            yield DRAG.finding(
                "fail",
                f'flight "{flight.label}"',
                value=speed,
                limit=0.0,
                why=f"with a tail wind of {said((flight.wind or 0.0), 'km/h', 0)} taken off nothing sure is left of "
                f"{said(flight.speed, 'km/h', 0)}",
                cure=Proposal("type the mean of a run out and a run back", "measure"),
                unit="km/h",
            )


def _drag_finding(case: Case, power: Power, drag: Drag) -> Finding:
    wing = case.study.wing
    value = drag.whole
    other = drag.whole - drag.zero_lift(frozenset(), POWER) + drag.zero_lift(frozenset(), EFFLUX)
    why = f"from {drag.basis}: {said(value, 'mm2', 0)} by constant power, {mm2(other):.0f} by constant efflux"
    if power.modified is not None and power.level is not None:
        why += f"; with what is added {said(power.modified, 'mm2', 0)} and {said(power.level, 'km/h', 0)}"
    if power.fairing_saves is not None:
        why += f"; the camera's fairing is worth {said(power.fairing_saves, 'km/h', 1)} over the bare box"
    low, high = DRAG_COEFFICIENT
    coefficient = drag.whole / wing.area if wing else None
    verdict: Verdict = "pass"
    limit = cure = None
    left = {law: _least_left(drag, law) for law in (POWER, EFFLUX)}
    if min(left.values()) <= 0:
        beyond = any(run.drag_area(EFFLUX) <= 0 for run in drag.runs if not run.lit)
        verdict = "fail" if left[POWER] <= 0 or beyond else "caution"
        why += ": less than its parts alone make, or faster than the fan's jet; thrust, exit area and speed contradict"
        cure = f"{_pack_first(case)}measure the static thrust and the rotor again, and fly out and back"
    elif coefficient is not None and wing is not None and not low <= coefficient <= high:
        verdict = "caution"
        limit = wing.area * (low if coefficient < low else high)
        why += f"; {coefficient:.3f} on the wing's area is not usual ({low:g} to {high:g})"
        cure = f"{_pack_first(case)}measure the static thrust and the rotor again, and fly out and back"
    return DRAG.finding(
        verdict,
        "model",
        value=value,
        limit=limit,
        why=why,
        cure=cure or "",
    )


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
        return "say which pack it was flown on (airframe.battery.cells); then "
    cells = "" if battery.cells is None else f", {battery.cells} cells"
    if battery.stock is None:
        return (
            f"first: was it flown on the pack that the file gives{cells}? If another was in when the model was weighed "
            "and flown, give airframe.battery.stock = { mass, cells, capacity }; then "
        )
    return 'first: which pack was it? pack = "stock" or "new" in [[flights]] says so; then '


def _battery(case: Case, power: Power) -> Iterator[Finding]:
    battery = case.design.airframe.battery
    current, limit = power.drive.current if power.drive else None, power.current_limit
    if battery is None or current is None or limit is None or battery.c_rating is None or battery.capacity is None:
        given = {
            "the current at full throttle (airframe.fan.current)": current,
            "the pack's capacity (airframe.battery.capacity)": battery.capacity if battery else None,
            "its C rating (airframe.battery.c_rating)": battery.c_rating if battery else None,
        }
        text = " and ".join(words for words, value in given.items() if value is None)
        yield CURRENT.unknown(
            "battery",
            why=f"what the pack gives and for how long is not known without {text}",
            measure=f"give {text}",
        )
        return
    verdict, rating, capacity = judged(current, fail_above=limit), battery.c_rating, battery.capacity
    why = (
        f"{current:.0f} A at full throttle; half the printed {battery.c_rating:g} C of {battery.capacity / 3.6:.0f} "
        f"mAh is {limit:.0f} A"
    )
    if power.flight_time is not None:
        why += f"; {power.flight_time / 60:.1f} min of full throttle leave 20 % in the pack"
    yield CURRENT.finding(
        verdict,
        "battery",
        value=current,
        limit=limit,
        why=why,
        cure=lambda: tuple(_stronger_pack(current, rating, capacity)),
    )


def _stronger_pack(current: float, rating: float, capacity: float) -> Iterator[Proposal]:
    """Propose a pack of a higher rating, or a larger one of the same; current [A], capacity [A s]."""
    harder = round_up(current / C_RATING_SHARE / (capacity / HOUR))
    larger = round_up(milliamp_hours(current / C_RATING_SHARE / rating * HOUR), -1)
    edit = Edit("airframe.battery.c_rating", harder)
    yield Proposal(f"take a pack of at least {harder:.0f} C", "set", (edit,))
    yield Proposal(f"take a pack of {larger:.0f} mAh at the same C, and weigh it")


def _controller(case: Case, power: Power) -> Iterator[Finding]:
    fan = case.design.airframe.fan
    if fan is None or power.drive is None:
        return
    current = power.drive.current
    if fan.esc is None or current is None:
        yield CONTROLLER.unknown(
            "speed controller",
            why="its amperes or the measured current are not known",
            measure="read the amperes off the controller, measure the current at full throttle, and type "
            "airframe.fan.esc and "
            "airframe.fan.current",
        )
        return
    margin = fan.esc / current
    verdict = judged(margin, fail_below=ESC_MARGIN)
    why = f"{fan.esc:.0f} A of controller for {current:.0f} A of fan"
    amperes, throttle = round_up(ESC_MARGIN * current), round_down(percent(power.throttle or 1.0))
    yield CONTROLLER.finding(
        verdict,
        "speed controller",
        value=margin,
        limit=ESC_MARGIN,
        why=why,
        cure=lambda: (
            Proposal(f"fit a controller of {amperes:.0f} A", "set", (Edit("airframe.fan.esc", amperes, "A"),)),
            Proposal(f"fly with at most {throttle:.0f} % of throttle until then", "fly"),
        ),
    )


def _volts(case: Case, power: Power) -> Iterator[Finding]:
    airframe = case.design.airframe
    fan, unit = (airframe.fan), power.drive
    if fan is None or unit is None:
        return
    battery = airframe.battery
    changed = battery is not None and battery.stock is not None and battery.stock.cells != battery.cells
    if unit.volts is None:
        yield VOLTAGE.unknown(
            "fan",
            why="neither the volts under load nor the pack's cells are known",
            measure="measure the volts under load and type airframe.fan.volts, or type airframe.battery.cells",
        )
        return
    if fan.max_volts is None:
        if changed:
            yield VOLTAGE.unknown(
                "fan",
                why="the new pack has other volts, and what the fan's motor stands is not given",
                measure="read it off the fan's data sheet, and type airframe.fan.max_volts",
            )
        return
    full = FULL_CELL * battery.cells if battery is not None and battery.cells is not None else unit.volts
    verdict: Verdict = "fail" if unit.volts > fan.max_volts else "caution" if full > fan.max_volts + 1e-9 else "pass"
    why = f"{unit.volts:.1f} V under load, {full:.1f} V full at rest; the fan's motor is made for {fan.max_volts:g} V"
    most = int(fan.max_volts / FULL_CELL + 1e-9)
    if unit.assumed:
        why += f" (taken for granted: {unit.assumed})"
    yield VOLTAGE.finding(
        verdict,
        "fan",
        value=unit.volts,
        limit=fan.max_volts,
        why=why,
        cure=lambda: tuple(_fewer_cells(case, most)),
    )


def _fewer_cells(case: Case, cells: int) -> Iterator[Proposal]:
    """Propose a pack that the fan's motor stands when full, where one does."""
    if cells and case.design.airframe.battery is not None:
        yield Proposal(f"take a pack of {cells} cells", "set", (Edit("airframe.battery.cells", cells),))
    yield Proposal("fit a fan for more volts, and type what it stands: airframe.fan.max_volts")


def _fan_line(case: Case) -> Iterator[Finding]:
    """Say that the fan's own moment is not known where its line was not measured; it is there before the booster's."""
    fan, line = case.design.airframe.fan, case.study.thrust_line
    if fan is None or line is None or not line.rows:
        return
    lacks = ["airframe.fan.z"] if fan.z is None else []
    if fan.tilt and fan.x is None:
        lacks.append("airframe.fan.x")
    if lacks:
        each = "" if fan.thrust is None else f"; at rest each 10 mm off make {0.01 * fan.thrust:.2f} N m"
        yield FAN_LINE.unknown(
            "fan",
            why=f"the fan's own moment about the centre of gravity is not known without {' and '.join(lacks)}{each}, "
            "and the answer in pitch takes it through the centre",
            measure="measure how high the fan's axis stands, from the same line as the rest, and type "
            f"{' and '.join(lacks)}",
        )


def _gyro(case: Case) -> Iterator[Finding]:
    table, asked = (case.study.burn.gyro if case.study.burn else None), case.design.gyro
    if table is None or asked is None:
        return
    flown = table.level if table.level is not None else asked.clean.gain
    if not table.marks:
        if case.design.motors or table.level is None:
            fast = "the boost is" if case.design.motors else "it flies level at full throttle"
            yield GYRO.unknown(
                "gyro",
                why=f"how fast {fast}, is not known, so neither is the gain for it",
                measure="fly it level at full throttle, out and back, and type the mean speed into [[flights]]",
            )
        return
    fastest = max(table.marks, key=lambda mark: mark.speed)
    limit = GAIN_KEPT * flown
    verdict: Verdict = "caution" if fastest.gain < limit else "pass"
    why = (
        f"clean at {asked.clean.gain:g} % and {said(asked.clean.speed, 'km/h', 0)}; by 1/V^2 {flown:.0f} % in level "
        f"flight at full throttle and {fastest.gain:.0f} % at {said(fastest.speed, 'km/h', 0)} ({fastest.motor})"
    )
    yield GYRO.finding(
        verdict,
        "gyro",
        value=fastest.gain,
        limit=limit,
        why=why,
        cure=lambda: Proposal(
            f"put the gain on a slider and turn it down to {fastest.gain:.0f} % before the motor is lit, or the "
            "tail wags",
            "fly",
        ),
    )
