"""What a finding says in one plain sentence, for somebody who builds and does not calculate.

`SAID` stands in order, what hurts most first: by this order the answer chooses which finding to name. A sentence takes
{who} (the subject), {value} and {limit} with their units, {size} (the value without its sign) and {way} (down or up).
Where a value may miss its limit on either side there are two sentences: for too little, for too much. A finding
without the numbers that its sentence takes is told by the first clause of its own reason.
"""

import re
from string import Formatter

from foamworks.checks.base import Finding
from foamworks.units import with_unit

COMFORT = "landing-speed"  # too much of what there may be too little of hurts no more than this
Sentences = str | tuple[str, str]

SAID: dict[str, Sentences] = {
    # what must not be flown, or not be lit
    "plugged-only": "{who} is not declared plugged: an ejection charge would blow the pod open in flight",
    "motor-class": "the numbers of {who} are those of no motor of its class",
    "motor-curve": "the numbers of {who} contradict each other",
    "airframe-mass": "the mass typed in for the model cannot be right",
    "flight-ladder": "{why}",
    "static-margin": (
        "with {who} the balance keeps a margin of {value}; {limit} is wanted",
        "it is nose-heavy with {who}: margin {value}, over {limit}",
    ),
    "balance-solved": "no place of battery and lead suits every state of the flight; {value} is missing",
    "flights-agree": "the flights that you typed in do not agree with each other",
    "manoeuvre-margin": "in a hard pull with {who} the margin is {value}; {limit} is wanted",
    "forward-limit": "with {who} the nose cannot be held up at landing speed: balance at {value}, {limit} is foremost",
    "pitch-change": (
        "built a little off, as one in twenty is, {who} may turn the nose {way} by {size}; {limit} is wanted at most"
    ),
    "load-factor": "hands off, the burn of {who} may load the model with {value}; {limit} is the limit",
    "thrust-moment": "holding {who} may take {value} of the elevator's travel; {limit} is wanted at most",
    "one-out-yaw": "one motor alone turns the nose aside by {size}; {limit} is wanted at most",
    "flutter": "the fins may flutter from {value} on; {limit} leaves a good reserve",
    "proof-pull": "the mount is to be proved with a pull of {value}; its glue allows {limit}",
    "glue-line": "the glue under the mount holds {value} its load; {limit} is wanted",
    "retainer-strength": "the motor's retainer holds {value} its load; {limit} is wanted",
    "thrust-ring": "the thrust ring takes {limit}, the motor pushes with {value}",
    "tailplane-strength": "the fins twist the tailplane by {value}; its foam takes {limit} with a good reserve",
    "tab-glue": "a hard yaw at speed twists a fin's root by {value}; its glue is safe to {limit}",
    "fin-strength": "a hard yaw at speed loads the fins' paper by {value}; {limit} keeps a reserve",
    "wing-load": "full elevator at speed pulls {value}; the wing stands {limit}",
    "wing-divergence": "the wing may twist itself off from {value} on; {limit} leaves a good reserve",
    "servo-torque": "full elevator at speed asks {value} of its servo; it is good for {limit}",
    "go-around": (
        "at full throttle just before landing {value} of margin is left",
        "full throttle just before landing takes {value} of elevator",
    ),
    "plume": "the exhaust comes within {value} of {who}; {limit} is to stay clear",
    "pod-room": "the pod has {value} of air to the rest; {limit} is wanted",
    "pod-fit": "the pod does not clear the back at this angle",
    "motor-fit": "the case of {who} does not go into the tube: {value} against {limit}",
    "front-stop": "nothing stops {who} at the front of the tube",
    "heat-materials": "prints by the motor may soften over {value}",
    "firing-current": "the igniter gets {value}; {limit} is wanted to fire it surely",
    "continuity": "the continuity test passes {value}; under {limit} is safe, or else one that was measured",
    "lift-off-mass": "with {who} the model weighs {value}; {limit} is the most that the motor may lift",
    "entry-height": "light {who} at {value} or higher; {limit} is what is usual",
    "battery-held": "the thrust of a boost pulls the battery aft with {value}: it is to be held",
    "fin-fit": "the fins do not sit right: {why}",
    "fin-place": "the drawn fin lies where no fin can be: under [airframe.fin] type at = { x, z }",
    "slot-fit": "no tab of the fins stands on the tailplane",
    "fin-stiffness": "the new fins hold the tail with {value}; the old one held it with {limit}",
    "fin-volume": ("the fins are small for this model: {value}, {limit} is usual", "the fins are larger than usual"),
    "mount": "the mount does not find its place on the fuselage",
    "gyro-gain": "turn the gyro down to {value} before a boost, or the tail wags",
    "controller-margin": "the speed controller carries {value} of the fan's current; {limit} is wanted",
    "battery-current": "the fan draws {value}; the battery is good for {limit}",
    "fan-voltage": "the fan gets {value}; its motor stands {limit}",
    "drag-area": "the flown speed does not fit what fan and battery give: check both",
    "take-off": "the model needs {value} to leave the ground; {limit} is there",
    "leaves-the-field": "the longest boost takes {value} of straight flight; {limit} is there",
    "beyond-flown": "the air presses {value} as hard as on any flight of the stock model",
    "thrust-to-weight": "the motor pushes with {value} times the model's weight: everything happens at once",
    "sureness": "measured as people measure, {value} of builds stay stable; {limit} is wanted",
    # what costs something and is no reason to stay on the ground
    "ballast": "it takes {value} of lead; {limit} is wanted at most",
    "battery-slide": "the battery would stand outside its slide, at {value}; {limit} is its end",
    "downthrust": "more downthrust than {value} would be better, and that is the most that you or the back allow",
    "camera-foot": "the camera's box stands {size} off or inside the skin",
    "weighed": "{who} was weighed at {value}; {limit} is what was estimated",
    "closing-error": "the model weighs {limit}, the sum of its parts {value}",
    "unweighed": "{why}",
    "landing-speed": "with {who} it lands at {value}, faster by over 15 %",
    "lateral-balance": "the camera pulls the model to its side",
    "changes-aside": "what you added pulls the model to one side",
    "dutch-roll": "the tail wags for a while after a gust, the more so the slower it flies",
    "spiral": "a bank left alone doubles in {value}; over {limit} is easier to fly",
    "trim-speed": "nobody said how fast the stock model flies hands off",
    "same-area": "fins of the same area in this place hold the tail with {value} of what the old one did",
    "tail-volume": "the tail is small or large for a foam jet: {value}, {limit} is usual",
    "hand-rule": "the trade's rule balances at {value}, and 10 % ahead of our neutral point is {limit}",
    "untouched-template": "{value} are still those of the template",
}

# of what could not be judged: what nobody knows, as it is said of the flight, not of the file
BLIND = {
    "leaves-the-field": "whether a boost stays over your field",
    "wing-load": "what the wing stands",
    "fan-moment": "how the fan pitches it",
    "closing-error": "whether the finished model weighs what its parts do",
    "unweighed": "what a part weighs or where it stands",
    "tailplane-strength": "whether the tailplane stands what the fins do to it",
    "go-around": "how it takes full throttle just before landing",
    "servo-torque": "whether the servo holds the elevator",
    "flutter": "whether the fins flutter",
    "fin-strength": "whether the fins stand a hard yaw",
    "tab-glue": "whether the fins' glue stands a hard yaw",
    "gyro-gain": "which gyro gain a boost needs",
    "battery-current": "whether the battery gives the fan's current",
    "fan-voltage": "whether the fan's motor stands the new battery",
    "controller-margin": "whether the speed controller carries the fan",
    "static-margin": "how stable it is",
    "pitch-change": "how far a boost turns the nose",
    "thrust-moment": "whether the elevator holds a boost",
    "thrust-to-weight": "how hard a motor pushes",
    "lift-off-mass": "what it weighs with a motor",
    "drag-area": "how fast it is",
    "fin-fit": "whether the fins leave the elevator free",
    "board-mass": "what the board weighs",
    "pod-fit": "whether the pod clears the back",
    "mount": "how the mount stands on the back",
    "fin-volume": "whether the fins are large enough",
    "firing-current": "whether the igniter fires",
    "continuity": "whether the continuity test is safe",
    "heat-materials": "whether the prints stand the heat",
    "print-fit": "whether the prints fit your printer",
    "sheet-fit": "how many sheets it takes",
    "downthrust": "which downthrust it needs",
    "plume": "what the exhaust reaches",
    "beyond-flown": "how far a boost goes beyond what was flown",
    "battery-held": "how far the battery can slide",
    "retainer-strength": "what the motor's retainer holds",
    "retainer": "what holds the motor",
    "glue-line": "what the glue under the mount holds",
    "take-off": "how it takes off",
    "kerf-measured": "how wide your cut is",
    "grain": "which way the board's grain runs",
}


def rank(finding: Finding) -> tuple[int, float]:
    """Give a finding's place in the order of what hurts, the worst least; of one check the farthest off comes first."""
    return _place(finding), -finding.off / abs(finding.limit) if finding.limit else 0.0


def _place(finding: Finding) -> int:
    checks = list(SAID)
    if finding.check not in SAID:
        return len(checks)
    too_much = isinstance(SAID[finding.check], tuple) and not _too_little(finding)
    return checks.index(COMFORT if too_much and finding.verdict == "caution" else finding.check)


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
    given = SAID.get(finding.check, "{why}")
    if isinstance(given, tuple):
        given = given[0] if _too_little(finding) else given[1]
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
    return BLIND.get(finding.check, f"how it stands with {finding.check.replace('-', ' ')}: {clause(finding.why)}")
