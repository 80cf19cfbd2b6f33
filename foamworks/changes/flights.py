"""Each flight of the ladder with its own verdict: what concerns it, what to set, what to expect. SI."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from foamworks.changes.plain import clause, rank, sentence
from foamworks.changes.trial import judged_once
from foamworks.checks.base import BAD, Finding
from foamworks.checks.case import Case
from foamworks.design.additions import Motor
from foamworks.design.ladder import NO_MOTOR, NO_POD, Rung, motors_by_size, refused, rungs
from foamworks.design.model import Design
from foamworks.study.flight.ladder import Expected, Step, study_ladder

Go = Literal["go", "care", "not yet", "cannot say"]
WORST_LAST: tuple[Go, ...] = ("go", "care", "cannot say", "not yet")
LEAST_HEIGHT = 50.0  # m: nothing is lit lower than the throttle is moved on a first flight (common practice, no source)
OF_VERDICT: dict[str, Go] = {"fail": "not yet", "caution": "care"}


@dataclass(frozen=True)
class FlightAnswer:
    """One flight: what stands on its rung of the ladder, its verdict and why, where a lit motor's height is [m] to be.

    `before`: what comes before it; `first`: the finding that its verdict rests on, None where another flight stops it.
    """

    step: Step
    verdict: Go
    because: str
    entry_height: float
    before: str
    first: Finding | None = None

    @property
    def name(self) -> str:
        """What the flight is called."""
        return self.step.rung.name

    @property
    def cleared(self) -> bool:
        """Tell whether nothing stops it: nothing that concerns it fails, no flight before it holds it."""
        return self.verdict != "not yet"

    @property
    def expected(self) -> tuple[float, float, float]:
        """Least, likely and most of the speed to expect [m/s]."""
        least, most = self.step.now.band(lit=self.step.lit)
        return least, self.step.now.speed(lit=self.step.lit), most


def flights(case: Case) -> tuple[FlightAnswer, ...]:
    """Answer for each flight of the ladder, in its order; at last for the motors that may not be lit."""
    study, smaller, template = case.study, _by_motor(case), case.asked.untouched
    steps = study_ladder(case.design, study.flying, study.balance, study.burn)
    steps = (*steps, *_refused(case.design, steps))
    found: list[FlightAnswer] = []
    stopped = ""
    for step in steps:
        rung = step.rung
        own = smaller.get(rung.motor.name, case) if rung.motor else case
        verdict, because, first = judged_flight(case, rung, own)
        if template.most:
            verdict, first = "cannot say", None
            because = f"{len(template.keys)} of its {template.of} numbers are still the template's; type your own first"
        elif rung.kind != "stock" and not step.cleared:
            held = next(other for other in steps if other.holds)
            verdict, first = "not yet", None
            because = (
                f'the flight "{held.rung.name}" was outside its band: say what happened (ended, wind, pack) or type '
                "accepted = true"
            )
        if stopped and rung.is_lit and verdict != "not yet":
            verdict, because, first = "not yet", stopped, None
        if verdict == "not yet" and not stopped:
            stopped = f'"{rung.name}" comes before it, and is not yet to be flown'
        found.append(FlightAnswer(step, verdict, because, _height(case, rung), _before(case, rung), first))
    return tuple(found)


def _refused(design: Design, steps: Sequence[Step]) -> Iterator[Step]:
    """Give the flight of each motor that may not be lit: nothing is worked out for it but what stops it."""
    nan = math.nan
    nothing = Expected(nan, (nan, nan), None, None, "")
    for motor in refused(design) if steps else ():
        last = steps[-1]
        numbers = {key: nan for key, value in vars(last).items() if isinstance(value, float)} | {"ballast": 0.0}
        rung = Rung("lit", last.rung.fitted | {"pod"}, motor)
        yield replace(last, **numbers, rung=rung, now=nothing, before=nothing, flight=None, cleared=True)


def unstopped(case: Case, flown: Sequence[FlightAnswer]) -> Finding | None:
    """Give the worst fail that stops no flight though it is no matter of sheets and prints alone; None without any."""
    rungs_above = [flight.step.rung for flight in flown if flight.step.rung.kind != "stock"]
    left = (
        f
        for f in case.findings
        if f.verdict == "fail"
        and not (f.record.inherent or f.record.concerns <= {"sheets", "prints"})
        and not any(concerns(f, rung, case.design) for rung in rungs_above)
    )
    return min(left, key=rank, default=None)


def _by_motor(case: Case) -> dict[str, Case]:
    """Judge the design with only the motors up to each: the fastest one's speed is not the others' fault."""
    motors = motors_by_size(case.asked)
    general = [f for f in case.findings if f.verdict in BAD and not motor_of(f.subject, motors)]
    if len(motors) < 2 or not any(f.record.when == "boost" for f in general):
        return {}
    found = {}
    for count, motor in enumerate(motors[:-1], start=1):
        names = {other.name for other in motors[:count]}
        kept = tuple(other for other in case.asked.motors if other.name in names)
        found[motor.name] = judged_once(case.asked.model_copy(update={"motors": kept}), case.path)
    return found


def judged_flight(case: Case, rung: Rung, smaller: Case) -> tuple[Go, str, Finding | None]:
    """Give a flight's verdict by the findings that concern it, why in words, and the finding that says so.

    `smaller`: the case with no motor above this flight's; what the fastest burn does to all of the model is its own.
    """
    if rung.kind == "stock":
        return "go", "it is the model as you bought it", None
    motors = case.design.motors
    fastest = {id(f) for f in case.findings if not motor_of(f.subject, motors) and _burns(f)}
    told = [f for f in case.findings if id(f) not in fastest]
    told += [f for f in smaller.findings if not motor_of(f.subject, motors) and _burns(f)]
    own = [f for f in told if concerns(f, rung, case.design) and (f.verdict == "fail" or not f.record.inherent)]
    for bad, verdict in OF_VERDICT.items():
        first = min((f for f in own if f.verdict == bad), key=rank, default=None)
        if first is not None:
            return verdict, sentence(first), first
    blind = next((f for f in own if f.verdict == "unknown" and f.check == "static-margin"), None)
    if blind is not None:
        return "cannot say", clause(blind.why), blind
    return "go", "nothing that concerns it fails or is marginal", None


def concerns(finding: Finding, rung: Rung, design: Design) -> bool:
    """Tell whether a finding speaks of what is flown on a rung; the stock model is as it was bought."""
    motors, battery = design.motors, design.airframe.battery
    motor = motor_of(finding.subject, motors)
    if finding.record.concerns == {"power"} and battery is not None and battery.stock is not None:
        return rung.kind != "twin fins"  # which is flown on the pack that the model came with
    if finding.check == "flight-ladder":
        return finding.subject == rung.name
    if motor:
        return rung.motor is not None and rung.motor.name == motor and (rung.is_lit or not _burns(finding))
    if finding.subject == NO_POD.name:
        return "pod" not in rung.fitted
    if finding.subject == NO_MOTOR.name or (finding.check == "balance-solved" and motors):
        return "pod" in rung.fitted  # what is flown without the pod is balanced apart
    about = finding.record.concerns  # its camera, its pod must be aboard for it to matter; else its fins at least
    on_pod = about & {"pod", "ignition"} and not about & {"fins", "balance"}
    aboard = {"camera"} & about or ({"pod"} if on_pod else set())
    boosted = any(other.is_lit for other in rungs(design))  # else it is judged at the fan's own speed
    return rung.is_lit if boosted and _burns(finding) else aboard <= rung.fitted


def motor_of(subject: str, motors: Sequence[Motor]) -> str:
    """Give the motor that a subject names, alone, in a state or on a flight of the ladder; "" where it names none."""
    names = (m.name for m in motors if subject == m.name or subject.startswith((f"{m.name}: ", f"{m.name}, ")))
    return max(names, key=len, default="")


def _burns(finding: Finding) -> bool:
    return finding.record.when == "boost"


def _height(case: Case, rung: Rung) -> float:
    answer = case.study.burn.response.of(rung.lit.name) if rung.lit else None
    return max(answer.entry_height, LEAST_HEIGHT) if answer else math.nan


def _before(case: Case, rung: Rung) -> str:
    """Say what comes before a flight."""
    if rung.kind == "lit" and rung.motor is not None:
        smallest = next(iter(motors_by_size(case.design)), None)
        proof = "the ground test and the static firing" if rung.motor == smallest else "the motor before it, twice"
        return f"its own weight as dead mass, {proof}"
    return {
        "stock": "nothing: fly it as it is, out and back at full throttle",
        "twin fins": "the stock model's speed",
        "battery": "the flight with twin fins" if "twin fins" in rung.fitted else "the stock model's speed",
        "changed": "the flight before it, with nothing of this on",
        "dead mass": "the ground test; battery and lead in their new places",
        "camera": "all flights without the camera",
    }[rung.kind]


def worst(verdicts: Iterable[Go]) -> Go:
    """Give the verdict that counts for all."""
    return max(verdicts, key=WORST_LAST.index, default="go")
