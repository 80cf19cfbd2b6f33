"""The shares of `sureness` against a hundred whole studies of models built with the same errors."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from foamworks.aircraft import errors, instruments
from foamworks.aircraft.aero import Flying, Plane, study_aero
from foamworks.aircraft.fins import reference
from foamworks.aircraft.hands_off import Intake
from foamworks.checks.case import Case
from foamworks.design.model import Design
from foamworks.parts.make import make
from foamworks.physics import losses
from foamworks.study.flight import scatter
from foamworks.study.flight.burn_case import burn_cases
from foamworks.study.flight.burn_case import flown as flown_of
from foamworks.study.tolerance import Tolerance
from foamworks.study.whole import Study, study
from kept import check

# the same draws stand on both sides, so that chance plays no part: each build is one point, and three may disagree
BUILDS = 100
SKERRY = Path(__file__).parents[1] / "designs" / "skerry-boost.toml"
Error = Callable[[str], float]


def built(design: Design, error: Error) -> Design:
    """Give the design as one builder built and measured it: errors in standard deviations, by name."""
    airframe, pod = design.airframe, design.pod
    assert airframe.cg is not None
    assert airframe.wing is not None
    assert airframe.battery is not None
    assert isinstance(airframe.battery.x, float)
    assert pod is not None
    assert pod.nozzle is not None
    assert isinstance(pod.downthrust, float)
    cg = {
        "x": airframe.cg.x + instruments.FINGER_CG * error(errors.CG_FINGERS),
        "z": airframe.cg.z + instruments.CG_HEIGHT * error(errors.HEIGHT),
    }
    stations = tuple(
        row.model_copy(
            update={
                "x": row.x + instruments.RULER * error(errors.WING_PLACE),
                "chord": row.chord + instruments.RULER * error(errors.WING_CHORD),
            }
        )
        for row in airframe.wing.stations
    )
    battery = {
        "x": airframe.battery.x + instruments.RULER * error("place of the battery (ruler, 1 mm)"),
        "mass": airframe.battery.mass + instruments.SCALE * error("mass of the battery (scale, 1 g)"),
    }
    airframe = airframe.model_copy(
        update={
            "mass": airframe.mass + instruments.SCALE * error(errors.MASS_STOCK),
            "cg": airframe.cg.model_copy(update=cg),
            "wing": airframe.wing.model_copy(update={"stations": stations}),
            "battery": airframe.battery.model_copy(update=battery),
        }
    )
    nozzle = pod.nozzle.model_copy(update={"x": pod.nozzle.x + instruments.RULER * error(errors.NOZZLE)})
    pod_update = {"nozzle": nozzle, "downthrust": pod.downthrust + design.build.angle_error * error(errors.ANGLE)}
    push, speed = 1 + instruments.THRUST * error(errors.MOTOR_THRUST), 1 + instruments.FLOWN_SPEED * error(errors.SPEED)
    motors = tuple(
        motor.model_copy(
            update={
                "mass": motor.mass * (1 + instruments.MOTOR_MASS * error(f"mass of {motor.name} (data sheet, 2 %)")),
                "impulse": (motor.impulse or 0.0) * push,
                "peak": (motor.peak or 0.0) * push,
            }
        )
        for motor in design.motors
    )
    return design.model_copy(
        update={
            "airframe": airframe,
            "pod": pod.model_copy(update=pod_update),
            "motors": motors,
            "flights": tuple(row.model_copy(update={"speed": row.speed * speed}) for row in design.flights),
        }
    )


def within(error: Error, name: str, band: tuple[float, float]) -> float:
    return sum(band) / 2 + (band[1] - band[0]) / math.sqrt(12) * error(name)


def flying(plane: Plane, error: Error) -> Plane:
    """Give the aircraft with the tail, the intake, the slopes and the neutral point of this build."""
    assert plane.tail is not None
    assert plane.body is not None
    assert plane.intake is not None
    lost = (1 - within(error, errors.TAIL_LOSS, losses.TAIL_BAND)) / (1 - losses.TAIL_FACTOR)
    left = 1 - within(error, errors.LOSS, instruments.SLOPE_LOSS)
    missed = instruments.NEUTRAL_POINT * error(errors.POINT) * plane.solution.lift_slope
    ahead = plane.neutral_point - losses.INTAKE_AHEAD * plane.chord
    return replace(
        plane,
        tail=replace(plane.tail, symmetric=plane.tail.symmetric * lost),
        body=replace(plane.body, pitch_with_wing=plane.body.pitch_with_wing / left - missed),
        intake=Intake(plane.intake.slope * within(error, errors.INTAKE, (0.0, 1.0)), ahead),
    )


def studied(case: Case, error: Error) -> Study:
    design = built(case.design, error)
    wing = reference(design)
    assert wing is not None
    aero = study_aero(design, wing)
    aero = replace(aero, stock=flying(aero.stock, error), modified=flying(aero.modified, error))
    assert design.airframe.wing is not None
    flown = Flying(design.airframe.wing, wing, aero)
    return study(replace(case.aircraft, design=design, flying=flown, limited_by="nothing"), make(design))


@pytest.mark.slow
def test_a_hundred_whole_studies_agree_within_3_points(monkeypatch: pytest.MonkeyPatch) -> None:
    case = check(SKERRY)
    tolerance: Tolerance | None = case.study.tolerance
    assert tolerance is not None
    samples, names = tolerance.sampled, tolerance.sampled.errors.names
    monkeypatch.setattr(scatter, "BUILDS", BUILDS)
    flown = case.study
    assert flown.balance is not None
    assert flown.flying is not None
    assert flown.burn is not None
    cases = burn_cases(case.design, flown.balance, flown.flying, flown.burn.power, flown.burn.boosts)
    grids = [grid for case in cases if (grid := scatter.grid(case, samples))]
    answers = zip(grids, flown_of([grid.flight for grid in grids]), strict=True)
    shares = {grid.motor: grid.told(answer) for grid, answer in answers if answer}
    expected = [float(np.mean(samples.margins[:, :BUILDS].min(axis=0) >= case.design.limits.least))]
    held: list[list[bool]] = []
    for number in range(BUILDS):
        found = studied(case, lambda name, n=number: float(samples.drawn[names.index(name), n]))  # type: ignore[misc]
        assert found.balance is not None
        assert found.burn is not None
        assert found.burn.response is not None
        margins = [row.static_margin for row in found.balance.rows if math.isfinite(row.static_margin)]
        row = [min(margins) >= case.design.limits.least]
        for motor in shares:
            answer = found.burn.response.of(motor)
            swing = None if answer is None else answer.hands_off  # one that runs away keeps nothing
            row += [swing is not None and abs(swing.pitch_change) <= math.radians(a) for a in (10, 45)]
            row.append(swing is not None and swing.least_load >= scatter.LEAST_LOAD)
        held.append(row)
    for share in shares.values():
        expected += [*share.within, share.load]
    assert list(np.mean(held, axis=0)) == pytest.approx(expected, abs=0.03)
