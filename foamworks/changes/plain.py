"""What a finding says in one plain sentence, for somebody who builds and does not calculate.

The sentences are the records', which stand in order, what hurts most first: by this order the answer chooses which
finding to name. A sentence takes {who} (the subject), {value} and {limit} with their units, {size} (the value without
its sign) and {way} (down or up). Where a value may miss its limit on either side there are two: for too little, for
too much. A finding without the numbers that its sentence takes is told by the first clause of its own reason.
"""

import re
from string import Formatter

from foamworks.checks.base import Finding
from foamworks.checks.records import record
from foamworks.units import with_unit

COMFORT = record("landing-speed")  # too much of what there may be too little of hurts no more than this


def rank(finding: Finding) -> tuple[float, float]:
    """Give a finding's place in the order of what hurts, the worst least; of one check the farthest off comes first."""
    milder = len(finding.record.said) > 1 and not _too_little(finding) and finding.verdict == "caution"
    check = COMFORT if milder else finding.record
    return check.place, -finding.off / abs(finding.limit) if finding.limit else 0.0


def _too_little(finding: Finding) -> bool:
    return finding.value is None or finding.limit is None or finding.value < finding.limit


def sentence(finding: Finding) -> str:
    """Say what is found in one plain clause, without a capital and without a stop."""
    value, limit = finding.figures
    told = {"who": who(finding.subject), "value": value, "limit": limit, "why": clause(finding.why)}
    if finding.value is not None:
        over = finding.unit == "deg" and abs(finding.value) > 180  # it tumbles, and how often says nothing
        told["size"] = "over 180 deg" if over else with_unit(abs(finding.value), finding.unit, finding.record.decimals)
        told["way"] = "down" if finding.value < 0 else "up"
    said = finding.record.said or ("{why}",)
    given = said[0] if _too_little(finding) else said[-1]
    wanted = [name for _, name, _, _ in Formatter().parse(given) if name]
    if not all(told.get(name) for name in wanted):
        given = "{why}"
    return given.format(**told)


def whole(text: str) -> str:
    """Make a clause a sentence: a capital letter and a stop.

    >>> whole("fly it as it is"), whole('"stock" is flown.')
    ('Fly it as it is.', '"stock" is flown.')
    """
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith((".", "!", "?")) else ".")


def clause(text: str) -> str:
    """Give the first clause of a text: up to its first semicolon or the end of its first sentence.

    >>> clause("weigh it (1.5 g at least); else guess. Then fly")
    'weigh it (1.5 g at least)'
    """
    return re.split(r"; |\. (?=[A-Z])", text, maxsplit=1)[0].strip().rstrip(".;")


def who(subject: str) -> str:
    """Say a subject as people say it: with its article, a motor's state in brackets.

    >>> who("29 mm F class: dead mass"), who("no motor")
    ('the 29 mm F class (dead mass)', 'no motor')
    """
    name, colon, state = subject.rpartition(": ")
    article = "" if subject.startswith(("no ", "every ", "the ")) else "the "
    return f"{article}{name} ({state})" if colon else f"{article}{subject}"


def blind(finding: Finding) -> str:
    """Say what a finding of verdict unknown leaves open."""
    return finding.record.blind or f"how it stands with {finding.check.replace('-', ' ')}: {clause(finding.why)}"
