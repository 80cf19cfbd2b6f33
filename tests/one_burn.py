"""One burn flown alone, as most tests of the motion in pitch want it."""

from numpy.typing import ArrayLike

from foamworks.errors import PhysicsError
from foamworks.physics.flight import pitch


def respond(
    model: pitch.Model,
    booster: pitch.Booster,
    *,
    gyro_gain: ArrayLike = 0.0,
    step: float = pitch.STEP,
    after: float = pitch.AFTER,
) -> pitch.Response:
    """Fly one burn; its error is raised."""
    (flown,) = pitch.respond((pitch.Flight(model, booster, gyro_gain, step, after),))
    if isinstance(flown, PhysicsError):
        raise flown
    return flown
