"""What brings a booster's line nearer to the centre of gravity, and can be typed: angle, nozzle, jig, motor."""

from collections.abc import Iterator

from foamworks.checks import moves
from foamworks.checks.base import Proposal, given, round_up
from foamworks.checks.case import Case
from foamworks.checks.proposals import built, left_out, smaller
from foamworks.design.edit import Edit
from foamworks.design.ladder import State
from foamworks.design.model import Design, StandingPod
from foamworks.design.quantity import is_open
from foamworks.physics.flight.thrust_line import downthrust_through
from foamworks.study.flight.response import NEARBY, Held, MotorResponse
from foamworks.units import degrees, mm, said

ALIKE = degrees.si(0.25)  # an angle is glued to a degree: so near it is met, and by so much it may settle anew (ours)
BALANCE_FIRST = Proposal("mend the balance first: no angle holds a model that is not stable", "set")
WORTH_IT = 0.9  # of the pitch change that a move leaves at most: less gain is none (ours)
FINER = 0.5  # of the error of a glued angle that a jig leaves (ours)


def aimed(case: Case, held: Held) -> Iterator[Proposal]:
    """Propose the angle that meets the centre of gravity, as much of it as can be built, and what helps beside it."""
    line, stand = case.study.thrust_line, case.design.standing
    if not (line and stand):
        return
    row = next(r for r in line.rows if (r.motor, r.state) == (held.motor, held.state))
    yield from _balance_first(case, held.motor)
    if stand.x > row.cg_x:
        yield from _angle(case, stand, (row.cg_x, row.cg_z))
    answer = case.study.burn.response.of(held.motor)
    if answer and abs(answer.lower.arm) < WORTH_IT * abs(row.arm) and _clears_lower(case):
        yield Proposal(
            f"put the nozzle {mm(NEARBY):g} mm lower, which leaves an arm of {said(answer.lower.arm, 'mm', 0)} instead "
            f"of {mm(row.arm):.0f}",
            "set",
            moves.nozzle(case.design, lift=-mm(NEARBY)),
        )
    yield from left_out(case.asked, held.motor)
    yield Proposal(f"fly {smaller(case.asked, held.motor)}: it asks for less in proportion", "fly")


def steadied(case: Case, answer: MotorResponse) -> Iterator[Proposal]:
    """Propose a nozzle further aft where that is worth it, and a gyro."""
    own = abs(answer.hands_off.pitch_change)
    if abs(answer.aft.pitch_change) < WORTH_IT * own and own - abs(answer.aft.pitch_change) > degrees.si(1):
        yield Proposal(
            f"put the nozzle {mm(NEARBY):g} mm further aft, which leaves {signed(answer.aft.pitch_change)} deg",
            "set",
            moves.nozzle(case.design, aft=mm(NEARBY)),
        )
    yield Proposal(
        "put a gyro on the elevator, turned down for the boost as gyro-gain says (the faster air makes up for it), and "
        "prove the angle with the smallest motor",
        "fly",
    )


def jig(case: Case) -> Proposal:
    """Propose a jig that holds the angle to half of what is counted: its worst is twice that, which was flown."""
    error = FINER * degrees(case.design.build.angle_error)
    return built(f"glue the angle in a jig true to {error:g} deg", "angle_error", error, "deg")


def signed(angle: float) -> str:
    """Write an angle [rad] in whole degrees with its sign, none for 0."""
    whole = round(degrees(angle))
    return f"{whole:+d}" if whole else "0"


def _balance_first(case: Case, motor: str) -> Iterator[Proposal]:
    """Say that the balance comes first where the model is not stable: no angle of the line cures that."""
    rows = case.study.balance.rows if case.study.balance else ()
    row = next((r for r in rows if r.state == State("ignition", motor)), None)
    if row and row.static_margin < case.design.limits.least - 1e-9:
        yield BALANCE_FIRST


def _angle(case: Case, stand: StandingPod, cg: tuple[float, float]) -> Iterator[Proposal]:
    """Propose the downthrust that meets the centre of gravity (x, z) [m], with the nozzle that makes room for it."""

    def through(design: Design) -> float:
        at = design.standing or stand
        return downthrust_through(aft=at.x - cg[0], above=at.z - cg[1])

    clears = moves.pod_that(lambda design, pod: pod.clears_at(through(design) + ALIKE))

    angle, fit, words = through(case.design), case.aircraft.fit, "tilt the pod by {}, which meets the centre of gravity"
    if abs(angle - stand.downthrust) < ALIKE:
        return  # it meets it already: what is left is how well the angle is glued
    if not angle > fit:
        typed = _typed(case, angle)
        if typed:
            yield Proposal(words.format(said(angle, "deg", 1)), "set", typed)
        return
    step = moves.least(case.design, moves.RAISE, clears)
    if step is None:
        most = said(fit, "deg", 1)
        yield Proposal(f"place the pod anew: it asks for {said(angle, 'deg', 1)}, and the back allows {most} here")
        return
    lifted = moves.nozzle(case.design, lift=step)
    higher = through(moves.applied(case.design, lifted))
    yield Proposal(
        f"raise the nozzle by {step} mm and {words.format(said(higher, 'deg', 1))}",
        "set",
        (*lifted, *_typed(case, higher)),
    )


def _typed(case: Case, angle: float) -> moves.Edits:
    """Type an angle, or where it is automatic a limit that lets it settle there."""
    if not is_open(given(case.asked.pod).downthrust):
        return (Edit("pod.downthrust", round(degrees(angle), 1), "deg"),)
    wanted = round_up(degrees(angle + ALIKE), 1)
    return (
        (Edit("pod.downthrust_limit", wanted, "deg"),)
        if angle + ALIKE > given(case.design.pod).downthrust_limit
        else ()
    )


def _clears_lower(case: Case) -> bool:
    """Tell whether the pod, 10 mm lower at its angle, still keeps its air over the back; True where nobody knows."""
    pod = case.over_back
    return pod is None or pod.moved(lift=-mm(NEARBY)).clears
