"""Which share of the models built to this plan holds what matters? Shares of the tolerance study's samples."""

from dataclasses import dataclass

from foamworks.design.model import Design
from foamworks.study.tolerance import STABLE, Tolerance
from foamworks.units import percent


@dataclass(frozen=True)
class Sure:
    """What is held, in words, and by which share of the builds (0 to 1)."""

    what: str
    share: float


def study_sureness(design: Design, tolerance: Tolerance | None) -> tuple[Sure, ...]:
    """Give the shares; nothing where the balance cannot be sampled."""
    if tolerance is None:
        return ()
    rows = ((f"keeps a margin of {percent(design.limits.least):g} % in every state", "every state"),
            ("stays stable in every state", STABLE))  # fmt: skip
    shares = ((what, tolerance.share("static-margin", subject)) for what, subject in rows)
    return tuple(Sure(what, share) for what, share in shares if share is not None)
