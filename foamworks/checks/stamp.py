"""Does what is about to be written pass? A failed finding stamps the files that it concerns."""

from foamworks.checks.base import Finding
from foamworks.checks.case import Case

STAMP = "DOES NOT PASS"
WHOLE = "balance"  # the files that speak of the aircraft as a whole: a check that is not named here concerns them
CONCERNS = {
    "fins": {
        "fin-volume",
        "fin-fit",
        "fin-stiffness",
        "same-area",
        "tail-volume",
        "flutter",
        "fin-strength",
        "tab-glue",
        "slot-fit",
    },
    "pod": {
        "plugged-only",
        "motor-fit",
        "front-stop",
        "retainer",
        "downthrust",
        "pod-fit",
        "pod-room",
        "retainer-strength",
        "print-fit",
        "thrust-moment",
        "pitch-change",
        "load-factor",
        "nose-profile",
        "plume",
        "one-out-yaw",
        "motor-curve",
        "glue-line",
        "thrust-ring",
        "heat-materials",
        "mount",
        "motor-class",
        "lift-off-mass",
        "thrust-to-weight",
        "firing-current",
        "continuity",
    },
    "camera": {"camera-foot", "lateral-balance", "print-fit"},
    "sheets": {
        "sheet-fit",
        "thin-web",
        "slot-fit",
        "laser",
        "part-names",
        "bevel",
        "score",
        "overcut",
        "relief",
        "grain",
        "left-right",
        "kerf-measured",
        "utilisation",
        "tile-split",
        "board-mass",
        "board-thickness",
    },
    "balance": {
        "static-margin",
        "forward-limit",
        "balance-solved",
        "ballast",
        "manoeuvre-margin",
        "closing-error",
        "lateral-balance",
        "camera-foot",
        "airframe-mass",
        "flight-ladder",
        "landing-speed",
        "hand-rule",
        "sureness",
        "tailplane",
    },
}


def concerned(case: Case, name: str) -> list[Finding]:
    """Give the findings that concern a page or its files; what is named for none concerns the whole."""
    named = {check for checks in CONCERNS.values() for check in checks}
    checks = CONCERNS.get(name, set())
    return [f for f in case.findings if f.check in checks or (name == WHOLE and f.check not in named)]


def stamp(case: Case, files: set[str]) -> str:
    """Give the stamp for these files: empty when nothing that concerns them fails."""
    return STAMP if any(f.verdict == "fail" for name in files for f in concerned(case, name)) else ""
