"""Can fan, controller and battery do it, is the drag known, what gain for the gyro? Amperes, volts, km/h, mm2, %."""

from collections.abc import Iterator

from foamworks.checks.base import CUSTOM, OURS, Finding, Verdict, at_least, at_most, round_down, round_up, unknown
from foamworks.checks.case import Case
from foamworks.physics.circuit import C_RATING_SHARE, FULL_CELL
from foamworks.physics.fan import FanModel
from foamworks.study.flight.drag import POWER, Drag
from foamworks.study.flight.flown import airspeed, nothing_left, weight
from foamworks.study.flight.power import EFFLUX, ESC_MARGIN, Power

DRAG_COEFFICIENT = (0.02, 0.12)  # of whole foam jets on the wing's area (ours, from flown models and build-ups)
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
    if airframe is None or (airframe.fan is None and not design.flights and not design.motors):
        return
    yield from _odd_flights(case)
    fan = airframe.fan
    if fan is None or fan.thrust is None or (fan.diameter is None and fan.exit_area is None):
        without = "" if fan is not None else "no fan is given, so its thrust, current and volts are not known: "
        yield unknown(
            "drag-area", "model",
            f"{without}a flown speed tells the drag only with the fan's thrust at that speed; its static thrust and "
            "its diameter are not both known", "pull the model against a kitchen scale at full throttle "
            "(airframe.fan.thrust) and measure the rotor (diameter, hub)", "mm2",
        )  # fmt: skip
        return
    drag = power.drag if power else None
    if drag is None or power is None or drag.flown is None:
        guess = "" if drag is None else (
            f"; a build-up from the geometry gives {1e6 * drag.whole:.0f} mm2, half or twice that at the worst, and "
            "all speeds rest on it"
        )  # fmt: skip
        yield unknown(
            "drag-area", "model", f"no level flight at full power was measured{guess}",
            "fly one straight run out and one back at full throttle, time both, give the mean in [[flights]]", "mm2",
        )  # fmt: skip
        return
    yield _drag_finding(case, power, drag)


def _odd_flights(case: Case) -> Iterator[Finding]:
    """Name the flights that say nothing of the drag, and why."""
    for flight in case.design.flights:
        speed, _ = airspeed(flight)
        if nothing_left(flight):
            yield Finding(
                "drag-area", f'flight "{flight.label}"', "fail", 3.6 * speed, 0.0, "km/h",
                f"with a tail wind of {3.6 * (flight.wind or 0.0):.0f} km/h taken off nothing sure is left of "
                f"{3.6 * flight.speed:.0f} km/h", "give the mean of a run out and a run back", OURS,
            )  # fmt: skip


def _drag_finding(case: Case, power: Power, drag: Drag) -> Finding:
    wing = case.study.wing
    value = 1e6 * drag.whole
    other = 1e6 * (drag.whole - drag.zero_lift(frozenset(), POWER) + drag.zero_lift(frozenset(), EFFLUX))
    why = f"from {drag.basis}: {value:.0f} mm2 by constant power, {other:.0f} by constant efflux"
    if power.modified is not None and power.level is not None:
        why += f"; with what is added {1e6 * power.modified:.0f} mm2 and {3.6 * power.level:.0f} km/h"
    if power.fairing_saves is not None:
        why += f"; the camera's fairing is worth {3.6 * power.fairing_saves:.1f} km/h over the bare box"
    low, high = DRAG_COEFFICIENT
    coefficient = drag.whole / wing.area if wing else None
    verdict: Verdict = "pass"
    limit = cure = None
    left = {law: _least_left(drag, law) for law in (POWER, EFFLUX)}
    if min(left.values()) <= 0:
        beyond = any(run.drag_area(EFFLUX) <= 0 for run in drag.runs if run.rung.lit is None)
        verdict = "fail" if left[POWER] <= 0 or beyond else "caution"
        why += ": less than its parts alone make, or faster than the fan's jet; thrust, exit area and speed contradict"
        cure = f"{_pack_first(case)}measure the static thrust and the rotor again, and fly out and back"
    elif coefficient is not None and wing is not None and not low <= coefficient <= high:
        verdict = "caution"
        limit = 1e6 * wing.area * (low if coefficient < low else high)
        why += f"; {coefficient:.3f} on the wing's area is not usual ({low:g} to {high:g})"
        cure = f"{_pack_first(case)}measure the static thrust and the rotor again, and fly out and back"
    return Finding("drag-area", "model", verdict, value, limit, "mm2", why, cure or "", OURS)


def _least_left(drag: Drag, law: FanModel) -> float:
    """Give the least drag area [m2] that a flight leaves for the bare model, less lift's and the parts'."""
    return min(
        run.drag_area(law) - drag.induced * (weight(run) / run.pressure) ** 2 - drag.fitted(run.rung.fitted)
        for run in drag.runs
        if run.rung.lit is None
    )


def _pack_first(case: Case) -> str:
    """Ask for the pack first: a speed that makes no sense was mostly flown on another than the file says."""
    battery = case.design.airframe.battery if case.design.airframe else None
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
    battery = case.design.airframe.battery if case.design.airframe else None
    current, limit = power.drive.current if power.drive else None, power.current_limit
    if battery is None or current is None or limit is None or battery.c_rating is None or battery.capacity is None:
        given = {
            "the current at full throttle (airframe.fan.current)": current,
            "the pack's capacity (airframe.battery.capacity)": battery.capacity if battery else None,
            "its C rating (airframe.battery.c_rating)": battery.c_rating if battery else None,
        }
        text = " and ".join(words for words, value in given.items() if value is None)
        yield unknown(
            "battery-current", "battery", f"what the pack gives and for how long is not known without {text}",
            f"give {text}", "A",
        )  # fmt: skip
        return
    verdict = at_most(current, limit)
    why = (
        f"{current:.0f} A at full throttle; half the printed {battery.c_rating:g} C of {battery.capacity / 3.6:.0f} "
        f"mAh is {limit:.0f} A"
    )
    if power.flight_time is not None:
        why += f"; {power.flight_time / 60:.1f} min of full throttle leave 20 % in the pack"
    cure = "" if verdict == "pass" else (
        f"a pack of at least {round_up(current * 3600 / C_RATING_SHARE / battery.capacity):.0f} C, or of "
        f"{round_up(current * 1000 / C_RATING_SHARE / battery.c_rating, -1):.0f} mAh at the same C"
    )  # fmt: skip
    yield Finding("battery-current", "battery", verdict, current, limit, "A", why, cure, CUSTOM)


def _controller(case: Case, power: Power) -> Iterator[Finding]:
    fan = case.design.airframe.fan if case.design.airframe else None
    if fan is None or power.drive is None:
        return
    current = power.drive.current
    if fan.esc is None or current is None:
        yield unknown(
            "controller-margin", "speed controller", "its amperes or the measured current are not known",
            "read the amperes off the controller (airframe.fan.esc), measure airframe.fan.current",
        )  # fmt: skip
        return
    margin = fan.esc / current
    verdict = at_least(margin, ESC_MARGIN)
    why = f"{fan.esc:.0f} A of controller for {current:.0f} A of fan"
    throttle = 100 * (power.throttle or 1.0)
    cure = "" if verdict == "pass" else (
        f"a controller of {round_up(ESC_MARGIN * current):.0f} A; until then at most {round_down(throttle):.0f} % of "
        "throttle"
    )  # fmt: skip
    yield Finding("controller-margin", "speed controller", verdict, margin, ESC_MARGIN, "", why, cure, CUSTOM)


def _volts(case: Case, power: Power) -> Iterator[Finding]:
    airframe = case.design.airframe
    fan, unit = (airframe.fan if airframe else None), power.drive
    if airframe is None or fan is None or unit is None:
        return
    battery = airframe.battery
    changed = battery is not None and battery.stock is not None and battery.stock.cells != battery.cells
    if unit.volts is None:
        yield unknown(
            "fan-voltage", "fan", "neither the volts under load nor the pack's cells are known",
            "measure airframe.fan.volts, or give airframe.battery.cells", "V",
        )  # fmt: skip
        return
    if fan.max_volts is None:
        if changed:
            yield unknown(
                "fan-voltage", "fan", "the new pack has other volts, and what the fan's motor stands is not given",
                "read it off the fan's data sheet: airframe.fan.max_volts", "V",
            )  # fmt: skip
        return
    full = FULL_CELL * battery.cells if battery is not None and battery.cells is not None else unit.volts
    verdict: Verdict = "fail" if unit.volts > fan.max_volts else "caution" if full > fan.max_volts + 1e-9 else "pass"
    why = f"{unit.volts:.1f} V under load, {full:.1f} V full at rest; the fan's motor is made for {fan.max_volts:g} V"
    if unit.assumed:
        why += f" (taken for granted: {unit.assumed})"
    cells = int(fan.max_volts / FULL_CELL + 1e-9)
    cure = "" if verdict == "pass" else f"a pack of {cells} cells, or a fan for more volts"
    yield Finding("fan-voltage", "fan", verdict, unit.volts, fan.max_volts, "V", why, cure, "the fan's data sheet")


def _fan_line(case: Case) -> Iterator[Finding]:
    """Say that the fan's own moment is not known where its line was not measured; it is there before the booster's."""
    fan, line = case.design.airframe.fan if case.design.airframe else None, case.study.thrust_line
    if fan is None or line is None or not line.rows:
        return
    lacks = ["its height (airframe.fan.z)"] if fan.z is None else []
    if fan.tilt and fan.x is None:
        lacks.append("its place along the tilted line (airframe.fan.x)")
    if lacks:
        text = " and ".join(lacks)
        each = "" if fan.thrust is None else f"; at rest each 10 mm off make {0.01 * fan.thrust:.2f} N m"
        yield unknown(
            "fan-moment", "fan", f"the fan's own moment about the centre of gravity is not known without {text}{each}, "
            "and the answer in pitch takes it through the centre", f"measure {text}, from the same line as the rest",
            "N m",
        )  # fmt: skip


def _gyro(case: Case) -> Iterator[Finding]:
    table, asked = (case.study.burn.gyro if case.study.burn else None), case.design.gyro
    if table is None or asked is None:
        return
    flown = table.level if table.level is not None else asked.clean.gain
    if not table.marks:
        if case.design.motors or table.level is None:
            fast = "the boost is" if case.design.motors else "it flies level at full throttle"
            yield unknown(
                "gyro-gain", "gyro", f"how fast {fast}, is not known, so neither is the gain for it",
                "see what the finding drag-area asks for", "%",
            )  # fmt: skip
        return
    fastest = max(table.marks, key=lambda mark: mark.speed)
    limit = GAIN_KEPT * flown
    verdict: Verdict = "caution" if fastest.gain < limit else "pass"
    why = (
        f"clean at {asked.clean.gain:g} % and {3.6 * asked.clean.speed:.0f} km/h; by 1/V^2 {flown:.0f} % in level "
        f"flight at full throttle and {fastest.gain:.0f} % at {3.6 * fastest.speed:.0f} km/h ({fastest.motor})"
    )
    cure = "" if verdict == "pass" else (
        f"gain on a slider: down to {fastest.gain:.0f} % before the motor is lit, or the tail wags"
    )  # fmt: skip
    yield Finding(
        "gyro-gain", "gyro", verdict, fastest.gain, limit, "%", why, cure, f"1/V^2: the trade's rule; half: {OURS}"
    )
