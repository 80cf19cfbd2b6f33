"""A check is a record, a row of `records.csv`; a finding is what it says of one subject.

A check measures in SI and speaks in its unit. What a finding proposes is data; its `cure` is the words joined.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field
from string import Formatter
from typing import Any, Literal, TypeVar, get_args

from foamworks import errors
from foamworks.design.edit import Edit, told
from foamworks.errors import NotGiven, not_measured
from foamworks.units import Unit, said, with_unit

T = TypeVar("T")
given = errors.given  # what a check asks at its door: without it nothing is said
Verdict = Literal["pass", "caution", "fail", "unknown"]
Thing = Literal["fins", "pod", "prints", "sheets", "balance", "power", "ignition", "camera", "fitted", "flight"]
Cause = Literal[
    "balance",
    "thrust line",
    "motor",
    "fins",
    "pod",
    "ignition",
    "speed",
    "strength",
    "camera",
    "board",
    "measures",
]
When = Literal["bench", "first flight", "boost"]
Kind = Literal["set", "bench", "fly", "measure"]

VERDICTS: tuple[Verdict, ...] = ("fail", "caution", "unknown", "pass")  # worst first: the order everywhere
BAD = VERDICTS[:2]
OURS = "ours"
CUSTOM = "common practice, no source"
MEMORY = "from memory"
GEOMETRY = "geometry"
OR = "; or "  # between the words of one finding's proposals
# what is counted, or told as a multiple, is given as it is shown
_COUNTED = {"", "x", "x weight", "parts", "pieces", "sheets", "numbers", "per rad"}


@dataclass(frozen=True)
class Proposal:
    """One thing that would help: in words, which begin with what to do, and as edits where it can be typed."""

    words: str
    kind: Kind = "bench"
    edits: tuple[Edit, ...] = ()

    @property
    def told(self) -> str:
        """The words and what is typed: for what is set by it, after what is built or measured first."""
        if not self.edits:
            return self.words
        return f"{self.words}{': ' if self.kind == 'set' else ', then '}{told(self.edits)}"


class _Facts(Formatter):
    """Fills facts into words: "{speed:0 km/h}" is a number in SI, told in this unit with so many decimals."""

    def format_field(self, value: Any, format_spec: str) -> Any:
        decimals, _, unit = format_spec.partition(" ")
        return said(value, unit, int(decimals)) if unit else format(value, format_spec)


@dataclass(frozen=True)
class Words:
    """What a check says in one case, with places for facts: why, and each cure with its kind."""

    why: str
    cures: tuple[tuple[Kind, str], ...]

    def told(self, facts: Mapping[str, object]) -> tuple[str, tuple[Proposal, ...]]:
        """Fill the facts in.

        >>> Words("it flies at {speed:0 km/h}", (("fly", "fly {who} slower"),)).told({"speed": 50.0, "who": "it"})
        ('it flies at 180 km/h', (Proposal(words='fly it slower', kind='fly', edits=()),))
        """
        filled = _Facts()
        why = filled.vformat(self.why, (), facts)
        return why, tuple(Proposal(filled.vformat(cure, (), facts), kind) for kind, cure in self.cures)


Cure = str | Proposal | Iterable[Proposal]
LateCure = Cure | Callable[[], Cure]  # worked out only where the verdict is not a pass


# why: a trial asks for verdicts alone; what would cure the changed design is worked out for nobody
proposing: ContextVar[bool] = ContextVar("proposing", default=True)


@dataclass(frozen=True)
class Check:
    """What is known of a check before anything is measured.

    `decimals` are those of its number on a page, None for as many as count. `concerns` are the things made, or the
    parts of the flight, that it stamps when it fails; `cause` is the one word under which the answer gathers it; `when`
    is when it matters. `inherent` marks what no change of the design takes away. With `plain` its numbers are given in
    `unit` already: parts are drawn in mm, a load factor is a multiple of the weight. `either_way`: the value has a
    sign, the limit holds it either way. `words`: what it says, by the case, of what it lacks as well.
    `said`: its plain sentence, or two, for too little and for too much; `place`: where it stands among all, what hurts
    most first; `blind`: what nobody knows where it was not judged, said of the flight.
    """

    name: str
    unit: str
    decimals: int | None
    source: str
    concerns: frozenset[Thing]
    cause: Cause
    when: When
    inherent: bool = False
    plain: bool = False
    either_way: bool = False
    words: Mapping[str, Words] = field(default_factory=dict, compare=False)
    said: tuple[str, ...] = ()
    place: float = math.inf
    blind: str = ""

    def finding(
        self,
        verdict: Verdict,
        subject: str,
        *,
        why: str = "",
        of: str = "",
        value: float | None = None,
        limit: float | None = None,
        cure: LateCure | None = None,
        source: str = "",
        unit: str | None = None,
        **facts: Any,
    ) -> "Finding":
        """Say what was found on a subject; value and limit in SI. `source`, `unit` where not the record's.

        Without a reason of its own it says the words of its case (`of`), with value, limit and these facts in them.
        Raises ValueError where a verdict is given on a number that was not measured: of that, "unknown" alone is true.
        """
        if verdict != "unknown" and not_measured(value):
            raise ValueError(f'{self.name} of {subject}: "{verdict}" on a number that was not measured')
        if not why:
            why, cures = self.words[of].told({"value": value, "limit": limit, **facts})
            cure = cures if cure is None else cure
        shown = self.unit if unit is None else unit
        convert = _as_it_is if self.plain or shown in _COUNTED else Unit(shown)
        wanted = "" if verdict == "pass" else cure
        given = (wanted() if proposing.get() else "") if callable(wanted) else wanted or ""
        return Finding(
            record=self,
            subject=subject,
            verdict=verdict,
            value=_number(convert(value)),
            limit=_number(convert(limit)),
            unit=shown,
            why=why,
            proposals=_proposals(given, "measure" if verdict == "unknown" else "bench"),
            source=source or self.source,
        )

    def judge(
        self,
        subject: str,
        value: float,
        *,
        fail_below: float = -math.inf,
        caution_below: float = -math.inf,
        fail_above: float = math.inf,
        caution_above: float = math.inf,
        **more: Any,
    ) -> "Finding":
        """Say whether a measurement keeps its limits on one side; a caution has missed what is wanted."""
        low, high = (fail_below, caution_below), (fail_above, caution_above)
        verdict = judged(value, fail_below=low[0], caution_below=low[1], fail_above=high[0], caution_above=high[1])
        fails, wanted = high if all(map(math.isinf, low)) else low
        limit = missed(verdict, wanted if math.isinf(fails) else fails, wanted)
        return self.finding(verdict, subject, value=value, limit=limit, wanted=wanted, **more)

    def passes(self, subject: str, **more: Any) -> "Finding":
        """Say that there is nothing to mend."""
        return self.finding("pass", subject, **more)

    def unknown(self, subject: str, lack: str = "", *, unit: str | None = None, **facts: Any) -> "Finding":
        """Say what one more measurement would answer."""
        return self.finding("unknown", subject, of=lack, source="not measured", unit=unit, **facts)

    def need(self, value: T | None, subject: str, lack: str = "", **facts: Any) -> T:
        """Take what the check cannot do without; where it is missing, the check ends with what to measure."""
        try:
            return given(value)
        except NotGiven:
            raise Lacking(self.unknown(subject, lack, **facts)) from None


class Lacking(Exception):
    """A check ends with a finding: something it needs was not measured."""

    def __init__(self, finding: "Finding") -> None:
        super().__init__(finding.why)
        self.finding = finding


def heard(findings: Iterable["Finding"]) -> Iterator["Finding"]:
    """Give what a check says, up to the point where it lacks something or is not asked."""
    try:
        yield from findings
    except Lacking as lacking:
        yield lacking.finding
    except NotGiven:
        return


def collected(subject: T, *checks: Callable[[T], Iterable["Finding"]]) -> list["Finding"]:
    """Judge one subject by several checks, in their order."""
    return [finding for check in checks for finding in heard(check(subject))]


def _as_it_is(value: float | None) -> float | None:
    return value


def _number(value: float | None) -> float | None:
    """Leave out a number that is not known."""
    return None if not_measured(value) else value


def _proposals(cure: Cure, kind: Kind) -> tuple[Proposal, ...]:
    if isinstance(cure, Proposal):
        return (cure,)
    if isinstance(cure, str):
        return (Proposal(cure, kind),) if cure else ()
    return tuple(cure)


@dataclass(frozen=True)
class Finding:
    """One verdict of a check. `value` and `limit` are in `unit`, None where there is no number.

    Texts speak the user's units.
    """

    record: Check
    subject: str
    verdict: Verdict
    value: float | None
    limit: float | None
    unit: str
    why: str
    proposals: tuple[Proposal, ...]
    source: str

    @property
    def check(self) -> str:
        """The check's name."""
        return self.record.name

    @property
    def cure(self) -> str:
        """What would cure it, in words; empty where nothing is to be cured."""
        return OR.join(proposal.told for proposal in self.proposals)

    @property
    def figures(self) -> tuple[str, str]:
        """Value and limit as they are written for people, with their unit; empty where there is none."""
        value, limit = self._written(self.record.decimals)
        if value == limit and self.value != self.limit and self.record.decimals is not None:
            return self._written(self.record.decimals + 1)  # which of the two is larger shall be seen
        return value, limit

    @property
    def off(self) -> float:
        """How far the value lies from its limit, in `unit`; 0 where there is no number."""
        if self.value is None or self.limit is None:
            return 0.0
        return abs((abs(self.value) if self.record.either_way else self.value) - self.limit)

    def _written(self, decimals: int | None) -> tuple[str, str]:
        value, limit = (
            "" if number is None or not math.isfinite(number) else with_unit(number, self.unit, decimals)
            for number in (self.value, self.limit)
        )
        return value, limit

    @property
    def bound(self) -> str:
        """The limit with the side that it holds: "at least 5 %", "at most 20 %"; empty where it misses none."""
        limit = self.figures[1]
        if not limit or self.value is None or self.limit is None:
            return limit
        if self.value == self.limit:
            return limit if self.verdict == "pass" else ""  # what it misses is another thing, told by `why`
        below = (abs(self.value) if self.record.either_way else self.value) < self.limit
        return f"{'at most' if below == (self.verdict == 'pass') else 'at least'} {limit}"

    @property
    def measure(self) -> str:
        """What is said behind its subject: value and limit, and that no change takes it away."""
        value, bound = self.figures[0], self.bound
        told = f" = {value}{bound and f' ({bound} is wanted)'}" if value else ""
        return f"{told}; stays" if self.record.inherent and self.verdict in BAD else told

    def as_dict(self) -> dict[str, Any]:
        """Give what the JSON tells of it, in the order of the contract."""
        told = ("check", "subject", "verdict", "value", "limit", "unit", "why", "cure", "source")
        row = {name: getattr(self, name) for name in told}
        concerns = [thing for thing in get_args(Thing) if thing in self.record.concerns]
        kinds = {"concerns": concerns, "cause": self.record.cause, "when": self.record.when}
        return {**row, **kinds, "inherent": self.record.inherent}


def judged(
    value: float,
    *,
    fail_below: float = -math.inf,
    caution_below: float = -math.inf,
    fail_above: float = math.inf,
    caution_above: float = math.inf,
) -> Verdict:
    """Turn a measurement and its limits into a verdict; on a limit it still passes, by what is not known it is unknown.

    >>> judged(1.3, fail_below=1.2, caution_below=1.5), judged(1.5, caution_below=1.5), judged(3.0, fail_above=2.0)
    ('caution', 'pass', 'fail')
    >>> judged(math.nan, fail_below=2), judged(3, fail_above=math.nan), judged(1, fail_below=2, caution_below=math.nan)
    ('unknown', 'unknown', 'fail')
    """
    if value < fail_below or value > fail_above:
        return "fail"
    if any(map(math.isnan, (value, fail_below, caution_below, fail_above, caution_above))):
        return "unknown"
    return "caution" if value < caution_below or value > caution_above else "pass"


def missed(verdict: Verdict, limit: float, wanted: float) -> float:
    """Give the limit to show: a caution has missed what is wanted, not the limit that fails."""
    return wanted if verdict == "caution" else limit


def lacking(asked: Mapping[str, object], otherwise: str = "") -> str:
    """Name by its words what is asked for and not there, or not measured; `otherwise` where all of it is.

    >>> lacking({"the mass": math.nan, "the wing": None, "a motor": True}), lacking({}, "something else")
    ('the mass and the wing', 'something else')
    """
    missing = (words for words, value in asked.items() if value is None or value is False or not_measured(value))
    return " and ".join(missing) or otherwise


def round_up(value: float, digits: int = 0) -> float:
    """Round to the next number that can be typed in and is not less: what a cure must reach.

    >>> round_up(38.18), round_up(1.203, 1), round_up(55.0)
    (39.0, 1.3, 55.0)
    """
    return math.ceil(round(value * 10.0**digits, 6)) / 10.0**digits if math.isfinite(value) else value


def round_down(value: float, digits: int = 0) -> float:
    """Round to the next number that can be typed in and is not more: what a cure must not exceed.

    >>> round_down(22.95), round_down(12.68, 1)
    (22.0, 12.6)
    """
    return math.floor(round(value * 10.0**digits, 6)) / 10.0**digits if math.isfinite(value) else value
