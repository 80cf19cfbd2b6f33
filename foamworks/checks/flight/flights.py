"""Do the flights agree with each other and with the model, and where one does not, what would explain it? In km/h."""

import math
from collections.abc import Iterator

from foamworks.checks.base import Finding, Proposal, collected, given
from foamworks.checks.case import Case
from foamworks.checks.records import record
from foamworks.design.airframe import Battery, Flight
from foamworks.design.edit import Edit
from foamworks.study.flight.causes import Reason, reasons
from foamworks.study.flight.ladder import Step, study_ladder
from foamworks.study.flight.learnt import ODD, Learnt, Row
from foamworks.units import degrees, km_h, said

AGREE = record("flights-agree", odd=ODD)


def findings(case: Case) -> list[Finding]:
    """Judge the flights against each other; nothing without any."""
    return collected(case, _agree)


def _agree(case: Case) -> Iterator[Finding]:
    burn = case.study.burn
    learnt = given(burn.learnt)
    if not (learnt.flights and burn.power):
        return
    # to be named: the oddest, and any boost that is odd by itself
    odd = [row for row in learnt.flights if row is learnt.odd or (row.odd and row.run.lit)]
    for row in odd:
        yield _odd(case, learnt, row)
    rows = {id(row.run.flight): row for row in learnt.flights}
    steps = study_ladder(case.design, case.study.flying, case.study.balance, burn, only_flown=True)
    named = {id(row.run.flight) for row in odd}
    held = [step for step in steps if step.holds and id(step.flight) not in named]
    yield from (_held(case, step, rows.get(id(step.flight))) for step in held)
    if not odd and not held:
        level = f"; the finished model then flies {said(burn.level, 'km/h', 0)} level" if burn.level > 0 else ""
        yield AGREE.passes("flights", why=f"all speeds rest on {_rest(learnt)}{_left_out(case, learnt)}{level}")


def _rest(learnt: Learnt) -> str:
    """Say what each flight measured and what it counts for."""
    told = []
    for row in learnt.flights:
        words = f'"{row.run.name}", {said(row.run.speed, "km/h", 0)}'
        if not row.used:
            words += " (not held against the drag: it did not go as planned)"
        elif math.isfinite(row.expected):
            words += f" (without it {said(row.expected, 'km/h', 0)} would be expected)"
        told.append(words)
    return "; ".join(told)


def _left_out(case: Case, learnt: Learnt) -> str:
    """Name the flights that say nothing, and why not."""
    told = [f'"{case.design.flights[number].label}" ({why})' for number, why in learnt.unread.items()]
    return f"; not counted: {', '.join(told)}" if told else ""


def _odd(case: Case, learnt: Learnt, row: Row) -> Finding:
    run, expected = row.run, row.expected
    accepted = run.flight.accepted
    names = ", ".join(f'"{other.run.name}" ({said(other.run.speed, "km/h", 0)})' for other in learnt.flights)
    slow = "slower" if run.speed < expected else "faster"
    why = (
        f"flown {said(run.speed, 'km/h', 0)}, the other flights let expect {said(expected, 'km/h', 0)}: "
        f"{said(abs(run.speed - expected), 'km/h', 0)} {slow}, "
        f"{row.off:.1f} times what the two may differ by chance"
    )
    if accepted:
        return AGREE.passes(f'flight "{run.name}"', value=run.speed, limit=expected, why=f"{why}; accepted as it is")
    return AGREE.finding(
        "caution",
        f'flight "{run.name}"',
        value=run.speed,
        limit=expected,
        why=f"{why}. All speeds rest on {names}{_left_out(case, learnt)}; strength, gyro and field are judged at the "
        "faster of them",
        cure=lambda: _cures(case, row),
    )


def _held(case: Case, step: Step, row: Row | None) -> Finding:
    """Say that a flight was outside the band that those before it let expect: it holds what comes after it."""
    (least, most), flown = step.predicted_band, step.flown
    return AGREE.finding(
        "caution",
        f'flight "{step.rung.name}"',
        value=flown,
        limit=least if flown < least else most,
        why=f"flown {said(flown, 'km/h', 0)}, the flights before it let expect {km_h(least):.0f} to "
        f"{said(most, 'km/h', 0)}: no flight after it is cleared until it is known what happened",
        cure=lambda: [_accepted(case, given(step.flight))] if row is None else _cures(case, row),
    )


def _accepted(case: Case, flight: Flight) -> Proposal:
    number = 1 + case.design.flights.index(flight)
    return Proposal("take it as it was flown", "set", (Edit(f"flights[{number}].accepted", True),))


def _cures(case: Case, row: Row) -> list[Proposal]:
    found = [_words(case, row, reason) for reason in reasons(case.design, given(case.study.burn.drag), row)]
    likely = "; ".join(f"{number}. {words}" for number, words in enumerate(found, start=1))
    tells = (
        "log the speed of the next boost and type log = its file, which tells burn, entry and path" if row.run.lit
        else "fly it once more out and back on this pack, with five seconds of full throttle each"
    )  # fmt: skip
    return [
        Proposal(f'say under [[flights]] "{row.run.name}" what happened; the likeliest first: {likely}', "measure"),
        _accepted(case, row.run.flight),
        Proposal(tells, "fly"),
    ]


def _words(case: Case, row: Row, reason: Reason) -> str:
    number = reason.number
    if reason.name == "pack":
        return _pack(case, row, number)
    blows, path = ("behind" if number > 0 else "against"), ("climb" if number > 0 else "dive")
    wind = f"{km_h(number):.0f}"
    return {
        "wind": f"a wind of {wind.lstrip('-')} km/h {blows} it (wind = {wind}, if it was flown one way)",
        "throttle": f"the throttle at {100 * number:.0f} %",
        "climb": f"a {path} of {degrees(abs(number)):.0f} deg",
        "thrown": f'the motor thrown out after {number:.1f} s (ended = "thrown", thrown_at = {number:.1f})',
        "lit late": f'lit late, the speed down to {100 * number:.0f} % of the level one (ended = "lit late")',
        "motor": f"a motor of {100 * number:.0f} % of its thrust",
    }[reason.name]


def _pack(case: Case, row: Row, ratio: float) -> str:
    battery = case.design.airframe.battery
    if battery and not battery.stock:
        gave = f" (its fan had {100 * ratio:.0f} % of the thrust)"
        return (
            f"another pack than the file gives{gave}: stock = {{ mass, cells, capacity }} under [airframe.battery] is "
            "the one that the model was weighed and measured with"
        )
    flown = battery or Battery()
    cells = (flown.weighed_with if row.run.unit.stock else flown).cells
    count = f", one of about {cells * math.sqrt(ratio):.1f} cells" if cells else ""
    return f'another pack{count} (pack = "stock" or "new" says which)'
