"""Does what is about to be written pass? A failed finding stamps the files that it concerns."""

from foamworks.findings.case import Case

STAMP = "DOES NOT PASS"
# which files a check concerns; a check that is not named concerns the aircraft as a whole
CONCERNS = {
    "fins": {"fin-volume", "fin-fit", "fin-stiffness", "flutter", "fin-strength", "slot-fit"},
    "pod": {
        "plugged-only",
        "motor-fit",
        "front-stop",
        "retainer",
        "pod-fit",
        "print-fit",
        "thrust-moment",
        "pitch-change",
        "load-factor",
        "nose-profile",
        "plume",
        "one-out-yaw",
        "motor-curve",
        "glue-line",
    },
    "sheets": {"sheet-fit", "thin-web", "grain", "left-right"},
    "balance": {"static-margin", "forward-limit", "balance-solved", "ballast", "manoeuvre-margin", "closing-error"},
}


def stamp(case: Case, files: set[str]) -> str:
    """Give the stamp for these files: empty when nothing that concerns them fails."""
    checks = {check for name in files for check in CONCERNS.get(name, set())}
    return STAMP if any(f.verdict == "fail" and f.check in checks for f in case.findings) else ""
