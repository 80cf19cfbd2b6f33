"""Which share of the models built to this plan holds what matters? Shares of the tolerance study's samples."""

from dataclasses import dataclass

from foamworks.design.model import Design
from foamworks.study.flight.scatter import Scatter
from foamworks.study.tolerance import STABLE, Tolerance
from foamworks.units import percent


@dataclass(frozen=True)
class Sure:
    """What is held, in words, and by which share of the builds (0 to 1)."""

    what: str
    share: float


def study_sureness(design: Design, tolerance: Tolerance | None, scattered: tuple[Scatter, ...]) -> tuple[Sure, ...]:
    """Give the shares, a row for each motor's burn among them; nothing where the balance cannot be sampled."""
    if tolerance is None:
        return ()
    rows = (
        (f"keeps a margin of {percent(design.limits.least):g} % in every state", "every state"),
        ("stays stable in every state", STABLE),
    )
    shares = ((what, tolerance.share("static-margin", subject)) for what, subject in rows)
    found = [Sure(what, share) for what, share in shares if share is not None]
    return (*found, *(row for burn in scattered for row in _rows(burn)))


def _rows(burn: Scatter) -> list[Sure]:
    """Put one motor's shares in words."""
    return [
        Sure(f"{burn.motor}: pitch within 10 deg, hands off", burn.within[0]),
        Sure(f"{burn.motor}: pitch within 45 deg, hands off", burn.within[1]),
        Sure(f"{burn.motor}: load factor within its limits, hands off", burn.load),
    ]
